"""The relief groove before the thread: where it is the least section, it decides. Sources stand beside each check."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from compat.engineering import joints
from compat.engineering.answers import Answer, Severity, Verdict
from compat.engineering.assembly.joint import joint
from compat.engineering.nut_on_shaft import Nut, ShaftEnd, groove_as_read, nut_on_shaft
from compat.engineering.refused import Refused
from compat.engineering.torque import Joint, torque
from compat.engineering.units import Range
from compat.questions.nut_on_shaft import texts as texts

# M12x1.25 with an undercut by DIN 76-1, d - 2.0 mm for a pitch of 1.25 (from memory).
GROOVE = 10.0
SHAFT = ShaftEnd(
    thread="M12x1.25", tolerance_class="6g", hand="right", gauged_pitch_mm=1.25, major_mm=11.90, hole_mm=6.0,
    end_condition="plain", full_thread_start_mm=28.0, shaft_end_mm=46.0, property_class="8.8", thread_relief=False,
)  # fmt: skip
NUT = Nut(
    thread="M12x1.25", tolerance_class="6H", hand="right", gauged_pitch_mm=1.25, minor_mm=10.75, height_mm=10.8,
    chamfer_mm=0.7, property_class="10", locking="compound", condition="new", underside_mm=31.0,
)  # fmt: skip
JOINT = Joint(
    "M12x1.25", 30.0, source="the maker's instructions", nut_factor=Range(0.14, 0.18, 0.16), property_class="8.8",
    nut_class="10", hole_mm=Range.exact(6.0), engagement_mm=Range(8.0, 9.0, 8.5), prevailing_n_m=Range.exact(0.0),
    wrench_error_percent=0.0, thread_relief=False,
)  # fmt: skip


def codes(answer: Answer, severity: Severity | None = None) -> set[str]:
    for finding in answer.findings:
        assert not (finding.code in texts.TEXTS and "{" in texts.TEXTS[finding.code].format(**finding.data))
    return {finding.code for finding in answer.findings if severity in (None, finding.severity)}


def pair(load: float | None, **shaft: Any) -> Answer:
    preload = None if load is None else Range.exact(load)
    return nut_on_shaft(replace(SHAFT, **shaft), NUT, preload_n=preload)


def tightened(**told: Any) -> Answer:
    return torque(replace(JOINT, **told))


def test_a_shaft_that_bears_its_load_does_not_with_a_groove() -> None:
    """pi/4 (100 - 36) = 50.3 mm2: 36 kN is 716 MPa on it, over the 580 MPa of class 8.8 (ISO 898-1); the thread less
    its hole has 63.8 mm2, where it is 564 MPa."""
    assert pair(36_000).verdict is Verdict.FITS
    grooved = pair(36_000, thread_relief=True, relief_diameter_mm=GROOVE)
    (stopped,) = [one for one in grooved.findings if one.severity is Severity.STOP]
    assert stopped.code == "preload_over_proof"
    assert stopped.data["proof_n"] == round(580 * math.pi / 4 * 64) == 29154
    assert round(36_000 / (math.pi / 4 * 64)) == 716
    assert pair(29_000, thread_relief=True, relief_diameter_mm=GROOVE).verdict is Verdict.FITS


@pytest.mark.parametrize("load", [None, 10_000.0, 36_000.0])
@pytest.mark.parametrize(("there", "code"), [(True, "relief_diameter_unknown"), (None, "thread_relief_unknown")])
def test_a_groove_that_nobody_measured_is_asked_for(load: float | None, there: bool | None, code: str) -> None:
    answer = pair(load, thread_relief=there)
    assert answer.verdict is Verdict.CANNOT_TELL
    assert codes(answer, Severity.ASK) == {code}


def test_a_diameter_told_where_nobody_says_that_there_is_a_groove_counts() -> None:
    assert "preload_over_proof" in codes(pair(36_000, thread_relief=None, relief_diameter_mm=GROOVE), Severity.STOP)
    assert pair(20_000, thread_relief=None, relief_diameter_mm=GROOVE).verdict is Verdict.FITS


def test_a_groove_that_is_said_not_to_be_there_has_no_diameter() -> None:
    with pytest.raises(Refused) as refused:
        pair(None, thread_relief=False, relief_diameter_mm=GROOVE)
    assert (refused.value.code, refused.value.field) == ("groove_of_none", "shaft.relief_diameter_mm")
    with pytest.raises(Refused) as refused:
        tightened(thread_relief=False, relief_diameter_mm=Range.exact(GROOVE))
    assert (refused.value.code, refused.value.field) == ("groove_of_none", "relief_diameter_mm")
    assert texts.REFUSALS["groove_of_none"]


def test_a_shallow_groove_leaves_the_thread_to_decide() -> None:
    """580 MPa on 63.8 mm2 is 37.0 kN (ISO 898-1), whatever lies beside it that is larger than 10.83 mm."""
    for diameter in (10.9, Range(10.83, 11.2, 11.0)):
        assert pair(36_900, thread_relief=True, relief_diameter_mm=diameter).verdict is Verdict.FITS
        over = pair(37_100, thread_relief=True, relief_diameter_mm=diameter)
        assert over.verdict is Verdict.DOES_NOT_FIT


def test_a_groove_read_vaguely_leaves_the_load_open() -> None:
    answer = pair(29_500, thread_relief=True, relief_diameter_mm=Range(9.9, 10.2, 10.1))
    assert codes(answer, Severity.ASK) == {"preload_may_be_over_proof"}


def test_a_load_that_the_thread_itself_does_not_bear_stops_without_the_groove() -> None:
    assert "preload_over_proof" in codes(pair(40_000, thread_relief=None), Severity.STOP)


@pytest.mark.parametrize(
    ("groove", "load", "code", "severity"),
    [
        (9.2, None, None, Severity.ASK), (8.8, None, "groove_thin_wall_load_unknown", Severity.ASK),
        (8.8, 10_000.0, "groove_thin_wall", Severity.WARN),
        (8.4, 10_000.0, "groove_wall_too_thin_to_judge", Severity.ASK),
        (6.0, 10_000.0, "hole_leaves_no_wall_in_groove", Severity.ASK),
    ],
)  # fmt: skip
def test_the_wall_in_the_groove(groove: float, load: float | None, code: str | None, severity: Severity) -> None:
    """A hole of 6 is over two thirds of a groove under 9 mm; (8.4 - 6)/2 is less than a pitch, 1.25 mm. Common
    practice, no published source, as for the wall under the thread."""
    found = codes(pair(load, thread_relief=True, relief_diameter_mm=groove), severity)
    assert found == (set() if code is None else {code})


def test_the_wall_shown_is_the_thinnest() -> None:
    """Root 10.466 mm (ISO 724): (10.466 - 6)/2 = 2.233, in the groove (10 - 6)/2."""
    assert joint(SHAFT, NUT).values["wall_mm"].nominal == pytest.approx(2.233, abs=0.001)
    grooved = replace(SHAFT, thread_relief=True, relief_diameter_mm=GROOVE)
    assert joint(grooved, NUT).values["wall_mm"] == Range.exact(2.0)
    assert joint(replace(SHAFT, thread_relief=True), NUT).values["wall_mm"] is None


def test_a_groove_that_no_such_thread_has_is_a_question() -> None:
    for diameter, code in ((0.394, "thread_reading_in_inches"), (13.0, "thread_reading_implausible")):
        answer = pair(None, thread_relief=True, relief_diameter_mm=diameter)
        (found,) = [one for one in answer.findings if one.code == code]
        assert found.data["field"] == "relief_diameter_mm"
        assert found.data["reading"] == "groove's diameter"


def test_torque_counts_the_groove_in_tension_and_in_torsion() -> None:
    """30 N.m at K 0.16: 15.6 kN on 50.3 mm2 of 580 MPa; pi/12 (10^3 - 6^3) against torsion (VDI 2230, fully yielded
    section), the whole moment at most in the thread."""
    exact = {"nut_factor": Range.exact(0.16)}
    answer = tightened(thread_relief=True, relief_diameter_mm=Range.exact(GROOVE), **exact)
    force, area, modulus = 30 / 0.16 / 0.012, math.pi / 4 * 64, math.pi / 12 * 784
    assert answer.values["proof_percent"].high == pytest.approx(100 * force / (area * 580))
    tau = 30_000 / modulus
    assert answer.values["equivalent_percent"].high == pytest.approx(
        100 / 640 * math.sqrt((force / area) ** 2 + 3 * tau**2)
    )
    whole = tightened(**exact)
    assert whole.values["equivalent_percent"].high < answer.values["equivalent_percent"].high
    assert tightened(torque_n_m=42.0).verdict is Verdict.FITS
    over = tightened(torque_n_m=42.0, thread_relief=True, relief_diameter_mm=Range.exact(GROOVE))
    assert codes(over, Severity.ASK) == {"torque_may_be_over_yield"}


@pytest.mark.parametrize(("there", "code"), [(True, "relief_diameter_unknown"), (None, "thread_relief_unknown")])
def test_torque_asks_for_a_groove_that_nobody_measured(there: bool | None, code: str) -> None:
    answer = tightened(thread_relief=there)
    assert codes(answer, Severity.ASK) == {code}
    assert (answer.values["proof_percent"], answer.values["equivalent_percent"]) == (None, None)
    assert "torque_over_proof" in codes(tightened(thread_relief=there, torque_n_m=120.0), Severity.STOP)


def test_a_shallow_groove_leaves_the_torsion_to_the_thread() -> None:
    told, shallow = tightened(), tightened(thread_relief=True, relief_diameter_mm=Range.exact(11.0))
    assert told.values == shallow.values
    with pytest.raises(ValueError, match="no wall"):
        joints.torsion_mm3(11.188, 10.466, 6.0, 6.0)


def test_a_shaft_that_breaks_in_its_groove_asks_less_of_the_thread() -> None:
    """A thread need not outlast more than its shaft: 800 MPa on 50.3 mm2 instead of 63.8 (ISO 898-1)."""
    plain, grooved = pair(None), pair(None, thread_relief=True, relief_diameter_mm=GROOVE)
    full = [one.values["engagement_mm"]["full_strength"] for one in (plain, grooved)]
    assert full[1] / full[0] == pytest.approx(64 / ((12 - 0.9382 * 1.25) ** 2 - 36), abs=0.001)


def test_an_unknown_groove_stops_nothing_that_a_known_one_would_let_pass() -> None:
    """3.6 mm of thread carry 27 kN at least, less than twice 16.5; a shaft that breaks in its groove at 800 MPa on
    31.2 mm2, 25 kN, bears 16.5 (ISO 898-1) and asks no more of the thread."""
    low = replace(NUT, height_mm=5.0)
    load = Range.exact(16_500.0)
    known = replace(SHAFT, thread_relief=True, relief_diameter_mm=8.7)
    assert nut_on_shaft(known, low, preload_n=load).verdict is Verdict.FITS
    assert nut_on_shaft(replace(SHAFT, thread_relief=True), low, preload_n=load).verdict is Verdict.CANNOT_TELL


@pytest.mark.parametrize(
    ("there", "measured", "here"),
    [(None, False, None), (None, True, True), (True, True, None), (True, False, None), (False, False, False)],
)
def test_a_groove_that_was_measured_is_here_and_one_that_is_not_here_has_no_diameter(
    there: bool | None, measured: bool, here: bool | None
) -> None:
    assert groove_as_read(there, measured=measured) is here


def test_a_groove_that_is_denied_and_measured_is_left_to_be_refused() -> None:
    assert groove_as_read(False, measured=True) is None
    with pytest.raises(Refused):
        ShaftEnd(thread_relief=False, relief_diameter_mm=Range.exact(10.0))
