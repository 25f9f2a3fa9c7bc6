"""How much thread outlasts its shaft: against the greatest strength that a shaft of its class may have. M12x1.25, 6g in
6H, hole of 6 mm; figures from ISO 898-1 and -2 as compat.engineering.joints has them, areas by FED-STD-H28/2B."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from compat.engineering.answers import Answer, Severity, Verdict
from compat.engineering.nut_on_shaft import nut_on_shaft
from compat.engineering.threads.stripping import MOST_OVER_LEAST, Stripping
from compat.engineering.torque import torque
from compat.engineering.units import Range
from tests.engineering.test_relief_groove import JOINT, NUT, SHAFT

NET = math.pi / 4 * ((12 - 0.9382 * 1.25) ** 2 - 36)  # 63.8 mm2
NUT_AREA = math.pi / 1.25 * 11.760 * (0.625 + (11.760 - 11.368) / math.sqrt(3))  # 25.1 mm2/mm
SHAFT_AREA = 18.98  # mm2/mm, see the test of joints


def codes(answer: Answer, severity: Severity) -> set[str]:
    return {finding.code for finding in answer.findings if finding.severity is severity}


def pair(shaft_class: str, nut_class: str, engaged: float, load: float | None = None, **nut: Any) -> Answer:
    """That engagement in a nut without chamfers."""
    fitted = replace(NUT, property_class=nut_class, height_mm=engaged, chamfer_mm=0.0, **nut)
    preload = None if load is None else Range.exact(load)
    return nut_on_shaft(replace(SHAFT, property_class=shaft_class, shaft_end_mm=60.0), fitted, preload_n=preload)


def test_the_nut_s_thread_outlasts_the_strongest_shaft_of_its_class() -> None:
    """1040 MPa of class 10.9 on 63.8 mm2 is 66.4 kN at least and 79.6 at 1.2 times that (VDI 2230, 5.5, from memory); a
    class 8 nut strips at 8.03 kN/mm: 8.24 mm carry the weakest shaft, 9.89 mm the strongest."""
    per_mm = NUT_AREA * 640 / 2
    least, most = NET * 1040 / per_mm, 1.2 * NET * 1040 / per_mm
    assert (round(least, 2), round(most, 2)) == (8.24, 9.89)
    assert codes(pair("10.9", "8", 9.88), Severity.ASK) == {"engagement_under_full_strength"}
    assert pair("10.9", "8", 9.9).verdict is Verdict.FITS
    assert pair("10.9", "8", 9.0).values["engagement_mm"]["full_strength"] == pytest.approx(most, abs=0.002)


def test_the_shaft_s_own_thread_is_as_much_stronger_as_its_shaft() -> None:
    """2 x 63.8 mm2 over 18.98 mm2/mm (FED-STD-H28/2B), whatever the steel: a strong nut leaves the shaft's thread to
    decide, for 8.8 in a class 12 nut as for the weakest shaft."""
    full = 2 * NET / SHAFT_AREA
    assert pair("8.8", "12", 9.0).values["engagement_mm"]["full_strength"] == pytest.approx(full, abs=0.002)
    assert pair("8.8", "12", full + 0.01).verdict is Verdict.FITS
    assert codes(pair("8.8", "12", full - 0.01), Severity.ASK) == {"engagement_under_full_strength"}


def test_under_a_load_too_no_less_than_the_strongest_shaft_excuses_the_thread() -> None:
    """Twice 45 kN are more than any shaft of 10.9 here bears, so the shaft's own strength is what is asked: between
    8.24 and 9.89 mm it depends on the steel, which a hardness test would tell."""
    assert "engagement_may_be_too_short" in codes(pair("10.9", "8", 9.0, 45_000.0), Severity.ASK)
    assert pair("10.9", "8", 9.9, 45_000.0).verdict is Verdict.FITS
    assert "engagement_too_short" in codes(pair("10.9", "8", 5.0, 45_000.0), Severity.STOP)


def test_torque_asks_as_much_of_a_thread_that_is_to_outlast_its_shaft() -> None:
    """31 N.m at K 0.16 give 16.1 kN, doubled 32.3; a shaft of 8.8 breaks in a groove of 9 mm at 28.3 kN at least, 33.9
    at 1.2 times. At the widest classes its own thread strips at 6.68 kN/mm: 4.23 mm. A class 8 nut's does at 7.07: 4.00
    mm for the weakest shaft, 4.57 for the doubled load."""
    grooved = replace(
        JOINT, nut_class="8", torque_n_m=31.0, nut_factor=Range.exact(0.16), thread_relief=True,
        relief_diameter_mm=Range.exact(9.0),
    )  # fmt: skip
    short, enough = (
        {one.code for one in torque(replace(grooved, engagement_mm=Range.exact(engaged))).findings}
        for engaged in (4.55, 4.59)
    )
    assert "torque_may_strip" in short
    assert not {"torque_strips", "torque_may_strip"} & enough


@pytest.mark.parametrize(("load", "code"), [(None, "thin_nut_at_full_strength"), (8_000.0, "thin_nut")])
def test_a_thin_nut_is_named_with_a_load_and_without(load: float | None, code: str) -> None:
    """ISO 898-2 calls a nut under 0.8 of the diameter thin, 9.6 mm here; ISO 4035 has 6 mm."""
    assert code in codes(pair("8.8", "10", 6.0, load), Severity.WARN)
    hollow = pair("8.8", "10", 9.0)
    assert hollow.verdict is Verdict.FITS
    assert codes(hollow, Severity.WARN) == {"thin_nut_at_full_strength"}
    assert codes(pair("8.8", "10", 9.7, load), Severity.WARN) == set()


def test_the_margin_is_the_worse_of_both_threads() -> None:
    """Arithmetic: 10 mm of 1000 and 900 N/mm against 8 kN, which may be 9.6 for the nut."""
    threads = Stripping(Range.exact(1000.0), Range.exact(900.0))
    own = Range.exact(8000.0)
    assert MOST_OVER_LEAST == 1.2
    assert threads.margin(Range.exact(10.0), own) == Range(-600.0, 1000.0, 1000.0)
    assert threads.full_mm(own) == pytest.approx(9600 / 900, abs=0.001)
    lighter = threads.margin(Range.exact(10.0), own, preload=Range.exact(3000.0), factor=2.0)
    assert lighter == Range(3000.0, 3000.0, 3000.0)
    assert threads.needed_mm(Range.exact(3000.0), 2.0, own) == pytest.approx(6000 / 900, abs=0.001)
