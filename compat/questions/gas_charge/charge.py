"""A gas charge behind a floating piston: the pressure that belongs in it, and what the rod and the heat make of it.

The gas is nitrogen as it really is (`nitrogen`). Its mass is that of the sheet's pressure at the sheet's temperature in
the chamber as it is filled; bore and depth of the piston give the volume. The oil does not give way; its volume grows
with heat. How fast the rod goes in is not known, so the gas stays as warm as it was (isothermal) or keeps all of its
heat (adiabatic), or anything between.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import product
from typing import Any

from compat.engineering.answers import Answer, Finding, ask, note, warn
from compat.engineering.answers import stop as stops
from compat.engineering.corners import judged, over_corners, room
from compat.engineering.units import Range
from compat.questions.gas_charge import nitrogen

QUESTION = "gas-charge"
SOURCES = ("nitrogen_equation", "oil_expansion", "makers_limit")
CAUTIONS = ("nitrogen_only", "pressurised_gas", "makers_instructions")
ABSOLUTE_ZERO_C = -273.15
OPEN_AIR_BAR = Range(0.5, 1.1, 1.01325)  # from 5,500 m to more than at the sea; standard atmosphere, ISO 2533
OIL_PER_K = Range(0.0006, 0.001, 0.0008)  # of its volume; mineral and synthetic damper oils (from memory of handbooks)
LIKE_PSI_BAR = 50.0  # more than a damper is charged with; 14.5 psi are one bar
EXACT = Range.exact(0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Charge:
    """What is known of a charge; pressures in bar by gauge, temperatures in degrees Celsius, None where not known.

    bore_mm and depth_mm: of the gas chamber, its piston as far out as it is with the rod out, when it is filled.
    """

    charge_bar: Range | None = None
    charge_c: Range | None = None
    fill_c: Range | None = None
    air_bar: Range | None = None
    bore_mm: Range | None = None
    depth_mm: Range | None = None
    rod_mm: Range | None = None
    stroke_mm: Range | None = None
    oil_ml: Range | None = None
    coldest_c: float | None = None
    hottest_c: float | None = None
    least_bar: float | None = None
    most_bar: float | None = None
    limits_source: str | None = None


@dataclass(frozen=True, slots=True)
class _Rule:
    """A pressure beside a limit of the sheet: what it is called, the pressure, and which limits it has to keep."""

    when: str
    bar: Range
    least: bool = False
    most: bool = False


def gas_charge(charge: Charge) -> Answer:
    """Does the piston stay off the end of its chamber, and the pressure inside the sheet's limits, hot and cold?

    Values: `fill_bar` (by gauge, at the temperature of filling), `piston_travel_mm`, `gas_left_mm` (of the depth, rod
    in, at the hottest if that is known), `rod_in_bar`, `cold_bar`, `hot_bar`, `hot_rod_in_bar`; ranges, None where not
    known or past 500 bar.
    """
    values: dict[str, Range | None] = {"fill_bar": _rest(charge, charge.fill_c)}
    values |= {"piston_travel_mm": _travel(charge), "gas_left_mm": _left(charge)}
    hot, grown = _exact(charge.hottest_c), _grown(charge, charge.hottest_c)
    values |= {"rod_in_bar": _rod_in(charge, charge.fill_c, EXACT)}
    values |= {"cold_bar": _rest(charge, _exact(charge.coldest_c), _grown(charge, charge.coldest_c))}
    values |= {"hot_bar": _rest(charge, hot, grown), "hot_rod_in_bar": _rod_in(charge, hot, grown)}
    findings = [*_missing(charge), *_doubts(charge)]
    if _may_run(charge):
        findings += [*_piston(charge), *_pressures(charge, values), note("gas_how_fast"), note("gas_oil_solid")]
    shown = {name: one if one is not None and math.isfinite(one.high) else None for name, one in values.items()}
    return Answer(QUESTION, tuple(findings), shown, SOURCES, CAUTIONS)


def _missing(charge: Charge) -> Iterator[Finding]:
    needed = {
        "gas_charge_missing": charge.charge_bar,
        "gas_charge_temperature_missing": charge.charge_c,
        "gas_fill_temperature_missing": charge.fill_c,
        "gas_bore_missing": charge.bore_mm,
        "gas_depth_missing": charge.depth_mm,
        "gas_rod_missing": charge.rod_mm,
        "gas_stroke_missing": charge.stroke_mm,
        "gas_oil_missing": charge.oil_ml,
        "gas_coldest_missing": charge.coldest_c,
        "gas_hottest_missing": charge.hottest_c,
        "gas_least_missing": charge.least_bar,
        "gas_most_missing": charge.most_bar,
        "gas_limits_source_missing": charge.limits_source,
    }
    yield from (ask(code) for code, told in needed.items() if told is None)
    if charge.air_bar is None:
        yield note("gas_air_taken", low=OPEN_AIR_BAR.low, high=OPEN_AIR_BAR.high)


def _doubts(charge: Charge) -> Iterator[Finding]:
    """Figures that contradict each other: one of them is wrong, and which one is not known."""
    bar = charge.charge_bar
    if bar is not None and bar.high > LIKE_PSI_BAR:
        yield warn("gas_looks_like_psi", "trade", bar=bar.nominal)
    if not _rod_in_bore(charge):
        yield ask("gas_rod_not_in_bore", rod_mm=_said(charge.rod_mm), bore_mm=_said(charge.bore_mm))
    if not _in_order(charge.coldest_c, charge.hottest_c):
        yield ask("gas_cold_above_hot", cold=charge.coldest_c, hot=charge.hottest_c)
    if not _in_order(charge.least_bar, charge.most_bar):
        yield ask("gas_limits_crossed", least=charge.least_bar, most=charge.most_bar)
    elif not _charge_inside(charge):
        yield ask("gas_charge_outside_limits", bar=_said(bar), least=charge.least_bar, most=charge.most_bar)


def _rod_in_bore(charge: Charge) -> bool:
    """Whether the rod may be thinner than the bore that its piston runs in; so where one is not known."""
    rod, bore = charge.rod_mm, charge.bore_mm
    return rod is None or bore is None or rod.low < bore.high


def _charge_inside(charge: Charge) -> bool:
    """Whether the sheet's own pressure lies inside the sheet's own limits at every corner; so where one is unknown."""
    bar, least, most = charge.charge_bar, charge.least_bar, charge.most_bar
    return bar is None or least is None or most is None or (least <= bar.low and bar.high <= most)


def _in_order(low: float | None, high: float | None) -> bool:
    return low is None or high is None or low <= high


def _may_run(charge: Charge) -> bool:
    """Whether nothing that is told contradicts itself; else no rule is tried on it."""
    return (
        _rod_in_bore(charge)
        and _in_order(charge.coldest_c, charge.hottest_c)
        and _in_order(charge.least_bar, charge.most_bar)
    )


def _piston(charge: Charge) -> list[Finding]:
    """Whether the piston stays off the end of its chamber, rod in: as filled, and at the hottest."""
    found = []
    for when, grown in (("as filled", EXACT), ("at the hottest", _grown(charge, charge.hottest_c))):
        left = None if grown is None else _length(charge, grown)
        if left is None:
            continue  # what is missing is asked for
        data: dict[str, Any] = {"when": when, "low": max(left.low, 0.0), "high": max(left.high, 0.0)}
        data["short"] = max(-left.high, 0.0)
        found += judged(
            left, never=stops("gas_piston_bottoms", **data), perhaps=ask("gas_piston_may_bottom", **data), strict=True
        )
        if found:
            break
    return found


def _pressures(charge: Charge, values: dict[str, Range | None]) -> list[Finding]:
    found: list[Finding] = []
    if not _charge_inside(charge):
        return found
    rules = [
        _Rule("at the coldest", bar, least=True) if (bar := values["cold_bar"]) else None,
        _Rule("as filled", bar, least=True, most=True) if (bar := values["fill_bar"]) else None,
        _Rule("at the hottest", bar, most=True) if (bar := values["hot_bar"]) else None,
        _Rule("with the rod in, as filled", bar, most=True) if (bar := values["rod_in_bar"]) else None,
        _Rule("with the rod in, at the hottest", bar, most=True) if (bar := values["hot_rod_in_bar"]) else None,
    ]
    for rule in filter(None, rules):
        if math.isinf(rule.bar.high):
            never = math.isinf(rule.bar.low)
            found.append(
                (stops if never else ask)("gas_squeezed_out" if never else "gas_may_be_squeezed_out", when=rule.when)
            )
            continue
        told = {"when": rule.when, "low": rule.bar.low, "high": rule.bar.high}
        if rule.least and charge.least_bar is not None:
            data = {**told, "least": charge.least_bar}
            found += judged(
                room(rule.bar, least=Range.exact(charge.least_bar)),
                never=stops("gas_under_least", "makers_limit", **data),
                perhaps=ask("gas_may_be_under_least", "makers_limit", **data),
            )
        if rule.most and charge.most_bar is not None:
            data = {**told, "most": charge.most_bar}
            found += judged(
                room(rule.bar, most=Range.exact(charge.most_bar)),
                never=stops("gas_over_most", "makers_limit", **data),
                perhaps=ask("gas_may_be_over_most", "makers_limit", **data),
            )
    return found


def _travel(charge: Charge) -> Range | None:
    """How far the piston goes while the rod does, mm: the rod's volume over the bore's area."""
    bore, rod, stroke = charge.bore_mm, charge.rod_mm, charge.stroke_mm
    if bore is None or rod is None or stroke is None:
        return None
    return over_corners(_moved, bore, rod, stroke)


def _moved(bore: float, rod: float, stroke: float) -> float:
    return stroke * (rod / bore) ** 2


def _left(charge: Charge) -> Range | None:
    """What is left of the gas's length with the rod in, mm; at the hottest, if it is known how the oil grows."""
    grown = _grown(charge, charge.hottest_c)
    left = _length(charge, EXACT if grown is None else grown)
    return left if left is None else Range(max(left.low, 0.0), max(left.high, 0.0), max(left.nominal, 0.0))


def _length(charge: Charge, grown: Range) -> Range | None:
    """The gas's length with the rod in, mm, where the oil has grown by so many ml; below 0 the piston stands on the
    end."""
    told = (charge.bore_mm, charge.depth_mm, grown, charge.rod_mm, charge.stroke_mm)
    known = [one for one in told if one is not None]
    return over_corners(_gas_mm, *known) if len(known) == len(told) else None


def _gas_mm(bore: float, depth: float, grown_ml: float, rod: float = 0.0, stroke: float = 0.0) -> float:
    return depth - _moved(bore, rod, stroke) - grown_ml * 1000 / (math.pi / 4 * bore**2)


def _grown(charge: Charge, celsius: float | None) -> Range | None:
    """By how much the oil has grown since it was filled in, ml; below 0 it has shrunk."""
    if charge.oil_ml is None or charge.fill_c is None or celsius is None:
        return None
    return over_corners(lambda oil, fill, part: oil * part * (celsius - fill), charge.oil_ml, charge.fill_c, OIL_PER_K)


def _rest(charge: Charge, at_c: Range | None, grown: Range | None = EXACT) -> Range | None:
    """The pressure at rest, rod out, bar by gauge, at a temperature, where the oil has grown so much."""
    if grown == EXACT:  # the volume is that of filling, whatever it is
        return _gauge(charge, at_c, nitrogen.pressure)
    left = None if grown is None else _squeezes(charge, grown, rod_in=False)
    if left is None:
        return None
    return _widest(_gauge(charge, at_c, _resting(begins)) for begins, _ in left)


def _rod_in(charge: Charge, at_c: Range | None, grown: Range | None) -> Range | None:
    """The pressure with the rod in, bar by gauge, from the slowest stroke to the fastest; it begins at a temperature
    where the oil has grown so much."""
    left = None if grown is None else _squeezes(charge, grown, rod_in=True)
    if left is None:
        return None
    slow = _widest(_gauge(charge, at_c, _resting(ends)) for _, ends in left)
    fast = _widest(_gauge(charge, at_c, _fast(begins, ends)) for begins, ends in left)
    if slow is None or fast is None:
        return None
    low, high = min(slow.low, fast.low), max(slow.high, fast.high)
    middle = slow.nominal if math.isinf(fast.nominal) else (slow.nominal + fast.nominal) / 2
    return Range(low, high, min(max(middle, low), high))


def _squeezes(charge: Charge, grown: Range, *, rod_in: bool) -> list[tuple[float, float]] | None:
    """How often denser than as filled the gas is before and after the stroke, the nominal pair first, then the pairs of
    the corners that may give the least or the most pressure: a pressure grows with the last density, and falls with
    the first, from which it is then squeezed less. inf where there is no room."""
    stroke = (charge.rod_mm, charge.stroke_mm) if rod_in else (EXACT, EXACT)
    told = [one for one in (charge.bore_mm, charge.depth_mm, grown, *stroke) if one is not None]
    if len(told) < 5:
        return None

    def pair(bore: float, depth: float, oil: float, rod: float, moved: float) -> tuple[float, float]:
        rest, inside = _gas_mm(bore, depth, oil), _gas_mm(bore, depth, oil, rod, moved)
        return (depth / rest if rest > 0 else math.inf), (depth / inside if inside > 0 else math.inf)

    corners = {pair(*corner) for corner in product(*({one.low, one.high} for one in told))}
    ends = [
        one
        for one in corners
        if not any(other != one and other[0] <= one[0] and other[1] >= one[1] for other in corners)
        or not any(other != one and other[0] >= one[0] and other[1] <= one[1] for other in corners)
    ]
    return [pair(*(one.nominal for one in told)), *sorted(ends)]


def _gauge(charge: Charge, at_c: Range | None, bar: Callable[[float, float], float]) -> Range | None:
    """A pressure, bar by gauge, at every corner of the charge, the open air and a temperature; `bar` makes it,
    absolute, from the density as filled and the temperature in kelvin."""
    if charge.charge_bar is None or charge.charge_c is None or at_c is None:
        return None

    def of(sheet: float, from_c: float, air: float, celsius: float) -> float:
        return bar(nitrogen.density(sheet + air, _kelvin(from_c)), _kelvin(celsius)) - air

    return over_corners(of, charge.charge_bar, charge.charge_c, charge.air_bar or OPEN_AIR_BAR, at_c)


def _widest(spans: Iterable[Range | None]) -> Range | None:
    """From the least to the most of some spans, the nominal value of the first."""
    known = [one for one in spans if one is not None]
    if not known:
        return None
    return Range(min(one.low for one in known), max(one.high for one in known), known[0].nominal)


def _resting(denser: float) -> Callable[[float, float], float]:
    """As warm as it was: isothermal."""

    def bar(filled: float, kelvin: float) -> float:
        return nitrogen.pressure(filled * denser, kelvin) if _told_of(filled * denser) else math.inf

    return bar


def _fast(begins: float, ends: float) -> Callable[[float, float], float]:
    """Adiabatic, and without friction."""

    def bar(filled: float, kelvin: float) -> float:
        if not (_told_of(filled * begins) and _told_of(filled * ends)):
            return math.inf
        warm = nitrogen.squeezed(filled * begins, kelvin, filled * ends)
        return nitrogen.pressure(filled * ends, warm)

    return bar


def _told_of(mol_l: float) -> bool:
    return mol_l < nitrogen.DENSEST


def _kelvin(celsius: float) -> float:
    return celsius - ABSOLUTE_ZERO_C


def _exact(told: float | None) -> Range | None:
    return None if told is None else Range.exact(told)


def _said(told: Range | None) -> float:
    return 0.0 if told is None else told.nominal
