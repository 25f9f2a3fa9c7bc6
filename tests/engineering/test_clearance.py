"""Limits and fits of ISO 286, against pressfit (PyPI, MIT) for every grade, letter and band to 80 mm."""

from __future__ import annotations

from itertools import pairwise, product

import pressfit
import pytest

from compat.engineering.answers import Verdict
from compat.engineering.clearance import BoreOnShaft, clearance
from compat.engineering.limits_and_fits import BANDS, ClassError, hole_limits, shaft_limits
from compat.engineering.units import Range
from tests.engineering.cases_seals import codes, exact

NOT = Verdict.DOES_NOT_FIT
GRADES = range(5, 12)
# Both ends of every band: just over the one before, up to and including its own.
SIZES = [size for low, high in zip((0.0, *BANDS), BANDS, strict=False) for size in (low + 0.5, float(high))]


@pytest.mark.parametrize("size", SIZES)
def test_every_grade_and_letter_agrees_with_an_open_table(size: float) -> None:
    for hole_grade, letter, grade in product(GRADES, "defgh", GRADES):
        oracle = pressfit.fit(f"H{hole_grade}/{letter}{grade}", size)
        hole, shaft = hole_limits(size, f"H{hole_grade}"), shaft_limits(size, f"{letter}{grade}")
        found = [round(1000 * (end - size), 6) for end in (hole.low, hole.high, shaft.low, shaft.high)]
        assert found == [oracle.hole_ei_um, oracle.hole_es_um, oracle.shaft_ei_um, oracle.shaft_es_um]


def test_a_grade_is_about_as_wide_as_its_formula() -> None:
    """ISO 286-1: i = 0.45 D^(1/3) + 0.001 D, D the geometric mean of a band, times 7, 10, 16, 25, 40, 64, 100 for the
    grades 5 to 11; the table is rounded, so within 12 %."""
    for low, high in pairwise(BANDS):
        middle = (low * high) ** 0.5
        unit = 0.45 * middle ** (1 / 3) + 0.001 * middle
        for grade, factor in zip(GRADES, (7, 10, 16, 25, 40, 64, 100), strict=True):
            tolerance = 1000 * (hole_limits(high, f"H{grade}").high - high)
            assert tolerance == pytest.approx(factor * unit, rel=0.12), (high, grade)


def test_a_shim_on_its_shaft() -> None:
    """12 H9/g6: clearance 6 to 60 um, from the tables of ISO 286 as above."""
    answer = clearance(BoreOnShaft(nominal_mm=12, bore_class="H9", shaft_class="g6"))
    play = answer.values["clearance_mm"]
    assert (round(play.low * 1000), round(play.high * 1000)) == (6, 60)
    assert answer.verdict is Verdict.CANNOT_TELL
    assert codes(answer) == {"most_clearance_unknown", "bore_not_measured", "shaft_not_measured"}


@pytest.mark.parametrize(
    ("told", "code", "verdict"),
    [
        (BoreOnShaft(bore_mm=exact(12.0), shaft_mm=exact(12.01)), "bore_does_not_pass", Verdict.DOES_NOT_FIT),
        (BoreOnShaft(bore_mm=Range.around(12, 0.02), shaft_mm=exact(12.0)), "bore_may_not_pass", Verdict.CANNOT_TELL),
        # A shim must slide: equal sizes leave it no play, though ISO 286-1 calls a least clearance of zero one.
        (BoreOnShaft(bore_mm=exact(12), shaft_mm=exact(12), most_clearance_mm=0.06), "bore_does_not_pass", NOT),
        (
            BoreOnShaft(None, Range(12, 12.02, 12), None, exact(12), None, 0.06),
            "bore_may_not_pass",
            Verdict.CANNOT_TELL,
        ),
        (BoreOnShaft(12, None, "H9", None, "g6", 0.005), "play_too_large", Verdict.DOES_NOT_FIT),
        (BoreOnShaft(12, None, "H9", None, "g6", 0.05), "play_may_be_large", Verdict.CANNOT_TELL),
        (BoreOnShaft(12, None, None, None, "g6"), "bore_size_missing", Verdict.CANNOT_TELL),
        (BoreOnShaft(12, None, "H9"), "shaft_size_missing", Verdict.CANNOT_TELL),
        (BoreOnShaft(None, None, "H9", exact(12)), "nominal_missing", Verdict.CANNOT_TELL),
        (BoreOnShaft(12, exact(12.2), "H9", None, "g6"), "size_outside_class", Verdict.CANNOT_TELL),
        (BoreOnShaft(12, Range(12.0, 12.05, 12.02), "H9", None, "g6"), "size_outside_class", Verdict.CANNOT_TELL),
        (BoreOnShaft(None, exact(12.02), "H9", exact(11.99), None, 0.1), "nominal_missing", Verdict.CANNOT_TELL),
        (BoreOnShaft(12, None, "H9", exact(11.99), None, 0.1), "bore_not_measured", Verdict.CANNOT_TELL),
        (
            BoreOnShaft(None, Range(0.4, 12.1, 12.02), None, exact(11.99), None, 20.0),
            "size_looks_like_inches",
            Verdict.CANNOT_TELL,
        ),
        (BoreOnShaft(bore_mm=exact(12.02), shaft_mm=exact(0.4724)), "size_looks_like_inches", Verdict.CANNOT_TELL),
        (BoreOnShaft(bore_mm=exact(12.05), shaft_mm=exact(0.375)), "size_looks_like_inches", Verdict.CANNOT_TELL),
    ],
)
def test_what_decides_a_clearance(told: BoreOnShaft, code: str, verdict: Verdict) -> None:
    answer = clearance(told)
    assert code in codes(answer) and answer.verdict is verdict


def test_within_the_most_that_is_allowed_it_fits_without_a_remark() -> None:
    answer = clearance(BoreOnShaft(12, Range(12.0, 12.03, 12.01), "H9", exact(11.99), "g6", 0.06))
    assert answer.verdict is Verdict.FITS and not answer.findings


@pytest.mark.parametrize(
    ("size", "hole", "shaft"),
    [(12, "h7", "g6"), (12, "H12", "g6"), (12, "H7", "k6"), (81, "H7", "g6"), (12, "H7", "H6")],
)
def test_what_is_not_tabulated_is_refused(size: float, hole: str, shaft: str) -> None:
    with pytest.raises(ClassError, match="class_not_tabulated"):
        clearance(BoreOnShaft(size, None, hole, None, shaft))
