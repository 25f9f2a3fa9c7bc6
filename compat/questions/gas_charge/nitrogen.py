"""Nitrogen as a real gas: pressure, density and the isentrope of the reference equation of state.

Span, Lemmon, Jacobsen, Wagner and Yokozeki, J. Phys. Chem. Ref. Data 29 (2000) 1361, equations 24 and 53 to 56 with
their coefficients: the Helmholtz energy a(rho, T) / RT, an ideal part and a residual one. Temperatures in kelvin,
densities in mol/l, pressures in bar, absolute. Good to 0.02 % of the density up to 300 bar, say its authors.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

R = 8.31451  # J/(mol K), the value that the coefficients were fitted with
CRITICAL_K, CRITICAL_MOL_L = 126.192, 11.1839
BAR = 100.0  # kPa
DENSEST = 20.0  # mol/l: over 500 bar at any temperature of a damper; beyond it nothing is said

# n, i, j, l: n delta^i tau^j, with l above 0 times exp(-delta^l)
_N, _I, _J, _L = np.array(
    [
        (0.924803575275, 1, 0.25, 0),
        (-0.492448489428, 1, 0.875, 0),
        (0.661883336938, 2, 0.5, 0),
        (-1.92902649201, 2, 0.875, 0),
        (-0.0622469309629, 3, 0.375, 0),
        (0.349943957581, 3, 0.75, 0),
        (0.564857472498, 1, 0.5, 1),
        (-1.61720005987, 1, 0.75, 1),
        (-0.481395031883, 1, 2.0, 1),
        (0.421150636384, 3, 1.25, 1),
        (-0.0161962230825, 3, 3.5, 1),
        (0.172100994165, 4, 1.0, 1),
        (0.00735448924933, 6, 0.5, 1),
        (0.0168077305479, 6, 3.0, 1),
        (-0.00107626664179, 7, 0.0, 1),
        (-0.0137318088513, 7, 2.75, 1),
        (0.000635466899859, 8, 0.75, 1),
        (0.00304432279419, 8, 2.5, 1),
        (-0.0435762336045, 1, 4.0, 2),
        (-0.0723174889316, 2, 6.0, 2),
        (0.0389644315272, 3, 6.0, 2),
        (-0.021220136391, 4, 3.0, 2),
        (0.00408822981509, 5, 3.0, 2),
        (-0.0000551990017984, 8, 6.0, 2),
        (-0.0462016716479, 4, 16.0, 3),
        (-0.00300311716011, 5, 11.0, 3),
        (0.0368825891208, 5, 15.0, 3),
        (-0.0025585684622, 8, 12.0, 3),
        (0.00896915264558, 3, 12.0, 4),
        (-0.0044151337035, 5, 7.0, 4),
        (0.00133722924858, 6, 4.0, 4),
        (0.000264832491957, 9, 16.0, 4),
    ]
).T
_FADES = _L > 0
# n, i, j, phi, beta, gamma: n delta^i tau^j exp(-phi (delta - 1)^2 - beta (tau - gamma)^2)
_BN, _BI, _BJ, _PHI, _BETA, _GAMMA = np.array(
    [
        (19.6688194015, 1, 0.0, 20, 325, 1.16),
        (-20.911560073, 1, 1.0, 20, 325, 1.16),
        (0.0167788306989, 3, 2.0, 15, 300, 1.13),
        (2627.67566274, 2, 3.0, 25, 275, 1.25),
    ]
).T
_IDEAL = ((-0.0001934819, -1), (-0.00001247742, -2), (0.00000006678326, -3))  # n, j: n tau^j
_VIBRATION, _VIBRATION_K = 1.012941, 3364.011


@dataclass(frozen=True, slots=True)
class _Residual:
    """The residual part and its derivatives, each times delta or tau as often as it is one by it."""

    a: float
    by_delta: float
    by_delta_twice: float
    by_tau: float
    by_tau_twice: float


def pressure(mol_l: float, kelvin: float) -> float:
    """The pressure of so dense a gas, bar."""
    return mol_l * R * kelvin * (1 + _residual(mol_l, kelvin).by_delta) / BAR


@lru_cache(maxsize=512)
def density(bar: float, kelvin: float) -> float:
    """The density at a pressure, mol/l; by Newton from the ideal gas, above the critical temperature."""
    found = bar * BAR / (R * kelvin)
    for _ in range(50):
        part = _residual(found, kelvin)
        wrong = found * R * kelvin * (1 + part.by_delta) / BAR - bar
        slope = R * kelvin * (1 + 2 * part.by_delta + part.by_delta_twice) / BAR
        step = wrong / slope
        found = max(found - step, found / 2)
        if abs(step) <= 1e-12 * found:
            return found
    raise ArithmeticError(f"no density at {bar} bar and {kelvin} K")


@lru_cache(maxsize=512)
def squeezed(mol_l: float, kelvin: float, to_mol_l: float) -> float:
    """The temperature, K, of gas that is brought to another density without heat going in or out."""
    wanted, found = _entropy(mol_l, kelvin), kelvin * math.pow(to_mol_l / mol_l, 0.4)
    for _ in range(50):
        step = (_entropy(to_mol_l, found) - wanted) * found / _heat(to_mol_l, found)
        found = max(found - step, found / 2)
        if abs(step) <= 1e-10 * found:
            return found
    raise ArithmeticError(f"no temperature at {to_mol_l} mol/l")


def _entropy(mol_l: float, kelvin: float) -> float:
    """s / R, but for a constant."""
    tau, part = CRITICAL_K / kelvin, _residual(mol_l, kelvin)
    decay = math.exp(-_VIBRATION_K / kelvin)
    ideal = math.log(mol_l) + 2.5 * math.log(tau) + sum(n * tau**j for n, j in _IDEAL)
    ideal += _VIBRATION * math.log(1 - decay)
    by_tau = 2.5 + sum(n * j * tau**j for n, j in _IDEAL) + _VIBRATION * _VIBRATION_K / kelvin * decay / (1 - decay)
    return by_tau + part.by_tau - ideal - part.a


def _heat(mol_l: float, kelvin: float) -> float:
    """The heat capacity at constant volume, by R."""
    tau, heat = CRITICAL_K / kelvin, _VIBRATION_K / kelvin
    decay = math.exp(-heat)
    ideal = -2.5 + sum(n * j * (j - 1) * tau**j for n, j in _IDEAL) - _VIBRATION * heat**2 * decay / (1 - decay) ** 2
    return -ideal - _residual(mol_l, kelvin).by_tau_twice


@lru_cache(maxsize=4096)
def _residual(mol_l: float, kelvin: float) -> _Residual:
    delta, tau = mol_l / CRITICAL_MOL_L, CRITICAL_K / kelvin
    log_delta, log_tau = math.log(delta), math.log(tau)
    fade = np.exp(_L * log_delta) * _FADES
    value = _N * np.exp(_I * log_delta + _J * log_tau - fade)
    away = -_PHI * (delta - 1) ** 2 - _BETA * (tau - _GAMMA) ** 2
    bell = _BN * np.exp(_BI * log_delta + _BJ * log_tau + away)
    # Each term's own exponent of delta and of tau; `more` is what the second derivative has beside it squared.
    by_delta, by_tau = _I - _L * fade, _J
    bell_delta, bell_tau = _BI - 2 * _PHI * delta * (delta - 1), _BJ - 2 * _BETA * tau * (tau - _GAMMA)
    more, bell_more = -_L * _L * fade, -2 * _PHI * delta * (2 * delta - 1)
    bell_more_tau = -2 * _BETA * tau * (2 * tau - _GAMMA)
    return _Residual(
        float(value.sum() + bell.sum()),
        float(value @ by_delta + bell @ bell_delta),
        float(value @ (by_delta * (by_delta - 1) + more) + bell @ (bell_delta * (bell_delta - 1) + bell_more)),
        float(value @ by_tau + bell @ bell_tau),
        float(value @ (by_tau * (by_tau - 1)) + bell @ (bell_tau * (bell_tau - 1) + bell_more_tau)),
    )
