"""The corner law over the questions of seals, bands, bores, shafts and clearances: no answer becomes `fits` because a
reading was left out or made vaguer, alone or in pairs, also inside a ring, a gland or a list of readings."""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from datetime import date
from itertools import combinations
from typing import Any

import pytest

from compat.engineering.answers import Answer, Verdict, verdict_of
from compat.engineering.band import Band, band
from compat.engineering.bore import Bore, bore
from compat.engineering.clearance import BoreOnShaft, clearance
from compat.engineering.oring import RingInGland, oring
from compat.engineering.ring_search import Search, rings_for_gland
from compat.engineering.roundness import DiameterReading, Travel
from compat.engineering.seals.compounds import COMPOUNDS
from compat.engineering.seals.shelf_life import age_findings
from compat.engineering.seals.sizes import ring_called
from compat.engineering.shaft_wear import Shaft, shaft
from compat.engineering.units import Range
from tests.engineering.cases_seals import exact
from tests.engineering.drawn_rings import an_oring, sized
from tests.engineering.test_ring_search import stocked

TODAY = date(2030, 3, 4)
# What may be left out without the verdict getting worse, and why.
MAY_BE_LEFT_OUT = {
    ("oring", "gland.width_mm"): "of a face: the two diameters of the groove tell its width too",
    ("oring", "service.hardness_shore_a"): "it stands behind the compound too, as in NBR 70",
    ("band", "measured_od_mm"): "the section of the O-ring as read is the other way to know how far it presses",
    ("band", "band_wear_radial_mm"): "the diameter over the band holds its wear already, where that is read",
    ("band", "energiser_section_mm"): "the diameter over the band is the other way to know how far it presses",
    ("bore", "max_diameter_mm"): "the band in it gives a limit where the maker gives none",
    ("bore", "on_it"): "the maker's limit is the other one",
    ("clearance", "bore_class"): "a class is no reading: the bore as read is the evidence",
    ("clearance", "shaft_class"): "a class is no reading: the shaft as read is the evidence",
    ("clearance", "nominal_mm"): "it only names a class; with a class told it is asked for",
}
# Limits of a new ring are no reading of this one where its own section was read.
MAY_BE_VAGUER = {("band", "energiser.section_mm"): "limits of a new ring; the section as read is the evidence"}

Case = tuple[str, Any, Callable[[Any], Verdict]]


def paths(told: Any, before: str = "") -> Iterator[str]:
    """Every field that is told, nested ones as a dotted path; a list by its numbers."""
    if isinstance(told, list | tuple):
        parts: list[tuple[str, Any]] = [(str(n), one) for n, one in enumerate(told)]
    else:
        parts = [(one.name, getattr(told, one.name)) for one in fields(told)]
    for name, value in parts:
        if value is None or value == () or name in ("size", "depth_mm", "angle_deg", "kind", "by_size"):
            continue
        yield before + name
        if (is_dataclass(value) and not isinstance(value, Range)) or isinstance(value, list | tuple):
            yield from paths(value, f"{before}{name}.")


def named(name: str, path: str) -> tuple[str, str]:
    """A field as the lists name it: the band in a bore is a band."""
    return ("band", path.removeprefix("on_it.")) if path.startswith("on_it.") else (name, path)


def at(told: Any, path: str) -> Any:
    for name in path.split("."):
        told = told[int(name)] if name.isdecimal() else getattr(told, name)
    return told


def changed(told: Any, path: str, value: Any) -> Any:
    """The same with another value at the path."""
    name, _, rest = path.partition(".")
    inner = changed(told[int(name)] if name.isdecimal() else getattr(told, name), rest, value) if rest else value
    if not name.isdecimal():
        return replace(told, **{name: inner})
    kept = list(told)
    if inner is None:
        del kept[int(name)]
    else:
        kept[int(name)] = inner
    return kept


def vaguer(draw: random.Random, size: Range) -> Range:
    """A range that holds the first, a little or a lot wider; the nominal value anywhere in it."""
    step = draw.choice((0.003, 0.03, 0.3, 3.0, 30.0))
    low, high = size.low - draw.random() * step, size.high + draw.random() * step
    low = max(low, min(size.low, 0.001))
    return Range(low, high, draw.choice((size.nominal, draw.uniform(low, high))))


def droppable(name: str, told: Any) -> list[str]:
    """Fields that count as readings. The ends of a ring, and one reading of several at one depth, have no None."""
    found = []
    for path in paths(told):
        last = path.rpartition(".")[2]
        if named(name, path) in MAY_BE_LEFT_OUT or path in ("gland", "service", "travel"):
            continue
        inside_ring = path.startswith(("ring.", "energiser.", "on_it.energiser."))
        inside_reading = path.startswith("readings") and last == "diameter_mm"
        if not inside_ring and not inside_reading and not (path.startswith("readings.") and last.isdecimal()):
            found.append(path)
    return found


def judged(case: Case, told: Any) -> Verdict:
    return case[2](told)


def cured(told: RingInGland, cure: str | None) -> Callable[[RingInGland], Verdict]:
    return lambda one: verdict_of(
        (*oring(one).findings, *age_findings(one.service.compound, cure, TODAY, "iso_2230", reused=one.reused))
    )


def a_band(draw: random.Random) -> Band:
    return Band(
        bore_mm=sized(draw, 46, 0.3, 0.03),
        groove_mm=sized(draw, 38.6, 0.3, 0.03),
        band_thickness_mm=sized(draw, 0.95, 0.2, 0.02),
        energiser=ring_called(draw.choice(("222", "222", "128", "221"))),
        energiser_section_mm=sized(draw, 3.5, 0.4, 0.03),
        band_wear_radial_mm=sized(draw, 0.3, 0.3, 0.02),
        measured_od_mm=draw.choice((None, sized(draw, 46.9, 1.0, 0.03))),
        bore_wear_diametral_mm=sized(draw, 0.3, 0.3, 0.02),
        coldest_c=draw.choice((20.0, -10.0, -30.0)),
    )


def read_round(draw: random.Random, nominal: float, worn: int) -> list[DiameterReading]:
    found = []
    angles = draw.choice(((0, 60, 120), (0, 45, 90, 135), (0, 30, 60), (0, 90)))
    half, spread = draw.choice((0.0, 0.02, 0.06)), draw.choice((0.0, 0.003, 0.01))
    for depth in draw.choice(((10, 50, 90), (10, 30, 60, 90), (40, 50, 60))):
        mean, axis = nominal + worn * draw.uniform(0, 0.1), draw.uniform(0, 180)
        for angle in angles:
            size = mean + half * math.cos(2 * math.radians(angle - axis))
            found.append(DiameterReading(depth, angle, Range.around(size, spread)))
    return found


def a_travel(draw: random.Random) -> Travel:
    return Travel(sized(draw, 8, 9, 3), sized(draw, 92, 9, 3))


def a_bore(draw: random.Random) -> Bore:
    on_it = draw.choice((None, replace(a_band(draw), bore_mm=None, bore_wear_diametral_mm=None)))
    most = None if on_it is not None and draw.random() < 0.5 else sized(draw, 46.1, 0.1, 0.01)
    return Bore(sized(draw, 46, 0.05, 0.02), most, read_round(draw, 46, 1), on_it, a_travel(draw))


def a_shaft(draw: random.Random) -> Shaft:
    return Shaft(
        sized(draw, 16, 0.05, 0.02),
        sized(draw, 15.9, 0.1, 0.01),
        read_round(draw, 16, -1),
        sized(draw, 0.03, 0.03, 0.005),
        sized(draw, 0.05, 0.02, 0.005),
        draw.choice(("ok", "ok", "ok", "worn")),
        a_travel(draw),
    )


def a_clearance(draw: random.Random) -> BoreOnShaft:
    return BoreOnShaft(
        12.0,
        sized(draw, 12.02, 0.04, 0.02),
        draw.choice((None, "H9")),
        sized(draw, 11.99, 0.03, 0.01),
        draw.choice((None, "g6", "f7")),
        draw.choice((0.03, 0.06, 0.1)),
    )


def of(question: Callable[[Any], Answer]) -> Callable[[Any], Verdict]:
    return lambda told: question(told).verdict


def cases(name: str, draw: random.Random) -> Case:
    if name == "oring":
        told, cure = an_oring(draw)
        return name, told, cured(told, cure)
    made: dict[str, tuple[Callable[[random.Random], Any], Callable[[Any], Answer]]] = {
        "band": (a_band, band),
        "bore": (a_bore, bore),
        "shaft": (a_shaft, shaft),
        "clearance": (a_clearance, clearance),
    }
    make, question = made[name]
    return name, make(draw), of(question)


def variants(name: str, told: Any, draw: random.Random) -> Iterator[tuple[str, Any]]:
    """What is left out or vaguer, and how it is told then: each alone, and some pairs."""
    gone = [(f"no {path}", path, None) for path in droppable(name, told)]
    wide = [
        (f"vaguer {path}", path, vaguer(draw, at(told, path)))
        for path in paths(told)
        if isinstance(at(told, path), Range) and named(name, path) not in MAY_BE_VAGUER
    ]
    alone = [*gone, *wide]
    for said, path, value in alone:
        yield said, changed(told, path, value)
    pairs = list(combinations(alone, 2))
    for one, other in draw.sample(pairs, min(8, len(pairs))):
        inside = one[1].startswith(other[1]) or other[1].startswith(one[1])
        if not inside:
            yield f"{one[0]}, {other[0]}", changed(changed(told, one[1], one[2]), other[1], other[2])


@pytest.mark.parametrize(
    ("name", "times"), [("oring", 70), ("band", 40), ("bore", 30), ("shaft", 40), ("clearance", 150)]
)
def test_no_answer_becomes_fits_because_less_is_known(name: str, times: int) -> None:
    draw = random.Random(f"law of {name}")
    tried, verdicts, broken = 0, Counter[Verdict](), []
    for _ in range(times):
        case = cases(name, draw)
        before = judged(case, case[1])
        verdicts[before] += 1
        if before is Verdict.FITS:
            continue
        for said, told in variants(name, case[1], draw):
            tried += 1
            if judged(case, told) is Verdict.FITS:
                broken.append((before, said, case[1]))
    assert not broken, f"{len(broken)} of {tried}: {broken[0]}"
    print(name, tried, verdicts)
    assert tried > 400 and set(verdicts) == set(Verdict), (tried, verdicts)
    assert min(verdicts.values()) >= times / 20, f"too few of one verdict to prove anything: {verdicts}"


@pytest.mark.parametrize("name", ["oring", "band", "bore", "shaft", "clearance"])
def test_what_fits_fits_at_every_value_that_its_readings_leave_open(name: str) -> None:
    """And the other way round: where an answer is `fits`, no sharper reading makes it not fit."""
    draw = random.Random(f"inside {name}")
    fitting = 0
    for _ in range(2000):
        case = cases(name, draw)
        if judged(case, case[1]) is not Verdict.FITS:
            continue
        fitting += 1
        for _ in range(8):
            told = case[1]
            for path in paths(told):
                if isinstance(size := at(told, path), Range):
                    told = changed(
                        told, path, exact(draw.choice((size.low, size.high, draw.uniform(size.low, size.high))))
                    )
            assert judged(case, told) is not Verdict.DOES_NOT_FIT, told
        if fitting == 25:
            break
    assert fitting >= 5


def test_a_search_of_the_shelf_fits_no_better_for_a_vaguer_gland() -> None:
    rings = [stocked(ring_called(size), compound) for size in ("222", "128", "325") for compound in COMPOUNDS[:3]]
    draw, tried = random.Random(5), 0
    while tried < 300:
        told, _ = an_oring(draw)
        search = Search(told.gland, told.motion or "static", replace(told.service, compound=None), TODAY, "iso_2230")
        if rings_for_gland(rings, search, searched=9).verdict is Verdict.FITS:
            continue
        for path in [one for one in paths(search) if one.startswith(("gland.", "service."))]:
            value = at(search, path)
            if ("oring", path) in MAY_BE_LEFT_OUT or path in ("service.backup_rings", "service.hardness_shore_a"):
                continue
            for less in (None, vaguer(draw, value) if isinstance(value, Range) else None):
                tried += 1
                found = rings_for_gland(rings, changed(search, path, less), searched=9)
                assert found.verdict is not Verdict.FITS, (path, less, search)


def test_every_exception_has_a_reason() -> None:
    assert all(len(why) > 20 for why in (*MAY_BE_LEFT_OUT.values(), *MAY_BE_VAGUER.values()))
