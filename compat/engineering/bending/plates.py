"""One round plate with a hole, clamped at r = b and free at r = a, in closed form.

Source: Roark's Formulas for Stress and Strain, flat circular plates, inner edge fixed and outer edge free, cases 1l
and 2l (case letters from memory), in the compact form that superposes Timoshenko and Woinowsky-Krieger's solutions for
the annulus. Thin plates (Kirchhoff), small deflection. Arrays of any shape that broadcast; radii in millimetres with
r, s >= b > 0; the stiffness D in N.mm is left out: divide deflections by it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


def stiffness(cubes_mm3: Any, youngs_mpa: float, poisson: float) -> Any:
    """Bending stiffness D of plates lying on each other without friction, N.mm, from their sum of t^3."""
    return youngs_mpa * cubes_mm3 / (12 * (1 - poisson**2))


def clamp_moment(s: Any, a: Any, b: float, poisson: float) -> Any:
    """Radial moment at the clamp by a unit total force spread over the circle r = s, N.mm per mm."""
    ratio = (1 - poisson) / a**2
    return ((1 + poisson) * np.log(s / b) + ratio * (s**2 - b**2) / 2) / (2 * np.pi * (1 + poisson + ratio * b**2))


def by_clamp_moment(r: Any, b: float) -> Any:
    """D times the deflection of a unit moment at the clamp, in the closed form's own split."""
    return (r**2 - b**2 - 2 * b**2 * np.log(r / b)) / 4


def by_ring_load(r: Any, s: Any) -> Any:
    """8 pi D times the deflection that a unit total force on the circle r = s adds outside of it; 0 inside."""
    beyond = np.maximum(r, s)
    return (s**2 + beyond**2) * np.log(beyond / s) + s**2 - beyond**2


def deflection(r: Any, s: Any, a: Any, b: float, poisson: float) -> Any:
    """D times the deflection at r by a unit total force on the circle r = s; symmetric in r and s."""
    bent = clamp_moment(s, a, b, poisson) * by_clamp_moment(r, b)
    return bent + (by_ring_load(r, s) - by_ring_load(r, b)) / (8 * np.pi)


def _pressure_integral(s: Any, a: float, b: float, poisson: float) -> Any:
    """The integral of s (1+nu) ln(s/b) + s (1-nu) (s^2 - b^2) / 2a^2 over s."""
    logarithm = np.log(s / b)
    ratio = (1 - poisson) / (2 * a**2)
    return (1 + poisson) * (s**2 * logarithm / 2 - s**2 / 4) + ratio * (s**4 / 4 - b**2 * s**2 / 2)


def pressure_clamp_moment(inner: Any, outer: Any, a: float, b: float, poisson: float) -> Any:
    """Radial moment at the clamp by a unit pressure on the ring inner..outer, N.mm per mm."""
    span = _pressure_integral(outer, a, b, poisson) - _pressure_integral(inner, a, b, poisson)
    return span / (1 + poisson + (1 - poisson) * b**2 / a**2)


def _by_pressure_beyond(r: Any, start: Any) -> Any:
    """D times the deflection that a unit pressure from `start` outward adds beyond it; 0 inside."""
    beyond = np.maximum(r, start)
    logarithm = np.log(beyond / start)
    square = start**2
    return (beyond**4 + 4 * square * beyond**2 - 5 * square**2 - 4 * square * (2 * beyond**2 + square) * logarithm) / 64


def pressure_deflection(r: Any, inner: Any, outer: Any, a: float, b: float, poisson: float) -> Any:
    """D times the deflection at r by a unit pressure on the ring inner..outer, b <= inner < outer <= a."""
    bent = pressure_clamp_moment(inner, outer, a, b, poisson) * by_clamp_moment(r, b)
    sheared = (outer**2 - inner**2) * by_ring_load(r, b) / 8
    return bent - sheared + _by_pressure_beyond(r, inner) - _by_pressure_beyond(r, outer)


def rings_deflection(r: Any, rings: Iterable[tuple[float, float, float]], a: float, b: float, poisson: float) -> Any:
    """D times the deflection at r by rings (inner, outer, pressure), as pressure_deflection() takes them."""
    inner, outer, share = np.array(list(rings)).T
    return pressure_deflection(np.asarray(r)[..., None], inner, outer, a, b, poisson) @ share


def rings_moment(r: Any, rings: Iterable[tuple[float, float, float]], a: float, b: float, poisson: float) -> Any:
    """Radial moment at r by rings (inner, outer, pressure), N.mm per mm."""
    inner, outer, share = np.array(list(rings)).T
    return pressure_radial_moment(np.asarray(r)[..., None], inner, outer, a, b, poisson) @ share


def _moment_spread(r: Any, b: float, poisson: float) -> Any:
    """Radial moment at r by a unit moment at the clamp."""
    return (1 + poisson + (1 - poisson) * b**2 / r**2) / 2


def _moment_beyond(r: Any, s: Any, poisson: float) -> Any:
    """2 pi times the radial moment that a unit force on r = s takes away outside of it; 0 inside."""
    beyond = np.maximum(r, s)
    return (1 + poisson) / 2 * np.log(beyond / s) + (1 - poisson) / 4 * (1 - s**2 / beyond**2)


def radial_moment(r: Any, s: Any, a: float, b: float, poisson: float) -> Any:
    """Radial moment at r by a unit total force on the circle r = s, N.mm per mm."""
    bent = clamp_moment(s, a, b, poisson) * _moment_spread(r, b, poisson)
    return bent + (_moment_beyond(r, s, poisson) - _moment_beyond(r, b, poisson)) / (2 * np.pi)


def radial_moments(newtons: Array, r: Array, s: Array, a: Array, b: float, poisson: float) -> Array:
    """(g, m, len(r)): the radial moments at r of plates with rims a (g,) by newtons (g, m, k) on the circles s (k,),
    as radial_moment() gives those of one."""
    bent = np.einsum("gmk,gk->gm", newtons, clamp_moment(s, a[:, None], b, poisson))
    taken = (_moment_beyond(r[:, None], s, poisson) - _moment_beyond(r, b, poisson)[:, None]) / (2 * np.pi)
    return np.asarray(bent[:, :, None] * _moment_spread(r, b, poisson) + newtons @ taken.T)


def pressure_radial_moment(r: Any, inner: Any, outer: Any, a: float, b: float, poisson: float) -> Any:
    """Radial moment at r by a unit pressure on the ring inner..outer, N.mm per mm (the force's form, integrated)."""
    end = np.clip(r, inner, outer)
    square, before = end**2 / 2, inner**2 / 2

    def loaded(half_square: Any, at: Any) -> Any:
        # the integral of s h(r, s) over s, h from _moment_beyond
        by_log = half_square * np.log(r / at) + half_square / 2
        return (1 + poisson) / 2 * by_log + (1 - poisson) / 4 * (half_square - half_square**2 / r**2)

    bent = pressure_clamp_moment(inner, outer, a, b, poisson) * _moment_spread(r, b, poisson)
    reach = np.where(r > inner, loaded(square, end) - loaded(before, inner), 0.0)
    return bent - (outer**2 - inner**2) / 2 * _moment_beyond(r, b, poisson) + reach
