"""Bores and shafts as they wear: by hand, and by every sample of the readings."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.engineering.answers import Answer, Verdict
from compat.engineering.bore import Bore, bore
from compat.engineering.roundness import DiameterReading, shape_of
from compat.engineering.shaft_wear import Shaft, shaft
from compat.engineering.units import Range
from tests.engineering.cases_seals import codes, exact
from tests.engineering.test_band import TOLERATED


def readings(*rows: tuple[float, float, float], error: float = 0.0) -> list[DiameterReading]:
    return [DiameterReading(depth, angle, Range.around(size, error)) for depth, angle, size in rows]


ROUND = readings(
    (20, 0, 46.02), (20, 90, 46.01), (80, 0, 46.05), (80, 90, 46.02), (140, 0, 46.03), (140, 90, 46.02), error=0.005
)
GOOD = Bore(exact(46), exact(46.08), ROUND)


def test_wear_ovality_and_taper_by_hand() -> None:
    """Largest 46.05 less 46.00; in one depth 46.05 - 46.02; means 46.015, 46.035, 46.025."""
    values = bore(
        Bore(exact(46), exact(46.08), readings(*((r.depth_mm, r.angle_deg, r.diameter_mm.nominal) for r in ROUND)))
    ).values
    assert values["wear_mm"].nominal == pytest.approx(0.05)
    assert values["ovality_mm"].nominal == pytest.approx(0.03)
    assert values["taper_mm"].nominal == pytest.approx(0.02)
    assert values["wear_left_mm"].nominal == pytest.approx(0.03)


def test_a_bore_within_its_makers_limit_fits_and_says_what_the_gauge_cannot_see() -> None:
    answer = bore(GOOD)
    assert answer.verdict is Verdict.FITS and codes(answer) == {"three_lobes_unseen"}


@pytest.mark.parametrize(
    ("most", "code", "verdict"),
    [
        (46.04, "bore_worn_out", Verdict.DOES_NOT_FIT),
        (46.05, "bore_at_limit", Verdict.CANNOT_TELL),
        (45.90, "bore_limit_under_nominal", Verdict.CANNOT_TELL),
    ],
)
def test_the_limit_decides(most: float, code: str, verdict: Verdict) -> None:
    answer = bore(replace(GOOD, max_diameter_mm=exact(most)))
    assert code in codes(answer) and answer.verdict is verdict


@pytest.mark.parametrize(
    ("told", "code"),
    [
        (replace(GOOD, readings=()), "diameters_missing"),
        (replace(GOOD, readings=ROUND[:4]), "too_few_depths"),
        (replace(GOOD, readings=ROUND[:5]), "too_few_directions"),
        (replace(GOOD, readings=[replace(one, angle_deg=one.angle_deg * 2) for one in ROUND]), "too_few_directions"),
        (replace(GOOD, nominal_mm=None), "bore_nominal_missing"),
        (replace(GOOD, max_diameter_mm=None), "bore_limit_missing"),
        (replace(GOOD, readings=[*ROUND, *readings((200, 0, 1.811), (200, 90, 1.812))]), "reading_looks_like_inches"),
        (replace(GOOD, readings=[*ROUND, *readings((200, 0, 64.05), (200, 90, 46.0))]), "diameter_far_off"),
    ],
)
def test_what_is_missing_or_doubtful_is_asked_for(told: Bore, code: str) -> None:
    """Fewer than three depths or two directions cannot tell: common practice, no published source. 0 and 180 degrees
    are one direction."""
    answer = bore(told)
    assert code in codes(answer) and answer.verdict is Verdict.CANNOT_TELL


def test_without_a_makers_limit_the_band_in_it_gives_one() -> None:
    """The band of tests/engineering/test_band.py, as it is squeezed by 15.7 % at its worst in a new bore."""
    sealed = bore(Bore(exact(46), None, ROUND, TOLERATED))
    assert sealed.verdict is Verdict.FITS
    assert 0 < sealed.values["wear_left_mm"].low < 0.6
    wide = [replace(one, diameter_mm=one.diameter_mm + exact(0.5)) for one in ROUND]
    assert "bore_band_unsure" in codes(bore(Bore(exact(46), None, wide, TOLERATED)))
    wider = [replace(one, diameter_mm=one.diameter_mm + exact(1.6)) for one in ROUND]
    gone = bore(Bore(exact(46), None, wider, TOLERATED))
    assert "bore_band_does_not_seal" in codes(gone) and gone.verdict is Verdict.DOES_NOT_FIT
    unmeasured = bore(Bore(exact(46), None, ROUND, replace(TOLERATED, energiser_section_mm=None)))
    assert unmeasured.verdict is Verdict.CANNOT_TELL


def test_three_lobes_are_not_seen_by_two_points() -> None:
    """Geometry: r = R + a cos 3t has the same width in every direction, since cos 3(t + pi) = -cos 3t."""
    lobes = readings(
        *(
            (
                depth,
                angle,
                (23 + 0.1 * math.cos(3 * math.radians(angle))) + (23 + 0.1 * math.cos(3 * math.radians(angle + 180))),
            )
            for depth in (20, 80, 140)
            for angle in range(0, 180, 15)
        )
    )
    answer = bore(replace(GOOD, readings=lobes))
    assert answer.values["ovality_mm"].nominal == pytest.approx(0, abs=1e-9)
    assert "three_lobes_unseen" in codes(answer)


DEPTHS = st.sampled_from([10.0, 50.0, 90.0, 130.0])
ROWS = st.tuples(DEPTHS, st.floats(0, 360), st.floats(45.9, 46.2), st.floats(0, 0.05))


@given(st.lists(ROWS, min_size=1, max_size=12), st.integers(0, 1000))
def test_every_sample_of_the_readings_lies_inside_the_ranges(
    rows: list[tuple[float, float, float, float]], seed: int
) -> None:
    told = [DiameterReading(depth, angle, Range.around(size, error)) for depth, angle, size, error in rows]
    whole = shape_of(told)
    assert whole is not None
    draw = random.Random(seed)
    for _ in range(20):
        one = shape_of(
            [replace(r, diameter_mm=exact(draw.uniform(r.diameter_mm.low, r.diameter_mm.high))) for r in told]
        )
        assert one is not None
        for name in ("largest", "smallest", "ovality", "taper"):
            span: Range | None = getattr(whole, name)
            if span is None:
                assert getattr(one, name) is None
                continue
            assert span.low - 1e-9 <= getattr(one, name).nominal <= span.high + 1e-9


def test_five_hundred_readings_are_no_trouble() -> None:
    many = readings(*((depth, angle, 46.02) for depth in range(10, 260, 10) for angle in range(0, 180, 9)))
    assert len(many) == 500
    assert bore(replace(GOOD, readings=many)).verdict is Verdict.FITS


THIN = readings((10, 0, 15.98), (10, 90, 15.975), (60, 0, 15.96), (60, 90, 15.97), (110, 0, 15.98), (110, 90, 15.98))
SOUND = Shaft(exact(16), exact(15.95), THIN, exact(0.02), exact(0.05), "ok")


def codes_of(told: Shaft) -> tuple[Answer, set[str]]:
    answer = shaft(told)
    return answer, codes(answer)


def test_a_sound_shaft() -> None:
    answer, found = codes_of(SOUND)
    assert answer.verdict is Verdict.FITS and found == {"three_lobes_unseen"}
    assert answer.values["wear_mm"].nominal == pytest.approx(0.04)
    assert answer.values["ovality_mm"].nominal == pytest.approx(0.01)
    assert answer.values["wear_left_mm"].nominal == pytest.approx(0.01)


@pytest.mark.parametrize(
    ("change", "code", "verdict"),
    [
        ({"min_diameter_mm": exact(15.97)}, "shaft_worn_thin", Verdict.DOES_NOT_FIT),
        ({"min_diameter_mm": Range(15.95, 15.97, 15.96)}, "shaft_at_limit", Verdict.CANNOT_TELL),
        ({"min_diameter_mm": exact(16.1)}, "shaft_limit_over_nominal", Verdict.CANNOT_TELL),
        ({"min_diameter_mm": None}, "shaft_limit_missing", Verdict.CANNOT_TELL),
        ({"nominal_mm": None}, "shaft_nominal_missing", Verdict.CANNOT_TELL),
        ({"runout_mm": exact(0.08)}, "shaft_bent", Verdict.DOES_NOT_FIT),
        ({"runout_mm": Range(0.04, 0.06, 0.05)}, "runout_at_limit", Verdict.CANNOT_TELL),
        ({"runout_mm": None}, "runout_missing", Verdict.CANNOT_TELL),
        ({"max_runout_mm": None}, "runout_limit_missing", Verdict.CANNOT_TELL),
        ({"surface": "pitted"}, "shaft_pitted", Verdict.DOES_NOT_FIT),
        ({"surface": "worn"}, "shaft_worn", Verdict.DOES_NOT_FIT),
        ({"surface": None}, "surface_missing", Verdict.CANNOT_TELL),
        ({"readings": ()}, "diameters_missing", Verdict.CANNOT_TELL),
        ({"readings": THIN[:2]}, "too_few_depths", Verdict.CANNOT_TELL),
    ],
)
def test_what_decides_a_shaft(change: dict[str, object], code: str, verdict: Verdict) -> None:
    """The limits are the maker's; that pits and wear cut the seal is common practice, no published source."""
    answer, found = codes_of(replace(SOUND, **change))  # type: ignore[arg-type]
    assert code in found and answer.verdict is verdict


def test_another_surface_is_refused() -> None:
    with pytest.raises(ValueError, match="surface"):
        shaft(replace(SOUND, surface="shiny"))


# What a sceptic found: nothing of it may come back.


@pytest.mark.parametrize(
    ("told", "code"),
    [
        (replace(GOOD, max_diameter_mm=exact(1.8142)), "wear_limit_far_off"),
        (replace(GOOD, max_diameter_mm=exact(64.1)), "wear_limit_far_off"),
        (replace(GOOD, readings=[*ROUND, *readings((200, 0, 45.8), (200, 90, 46.0))]), "bore_under_nominal"),
        (replace(GOOD, readings=[replace(one, depth_mm=20 + one.depth_mm / 1000) for one in ROUND]), "too_few_depths"),
        (
            Bore(
                exact(46),
                None,
                readings(*((d, a, 46.0 + 0.15 * (a > 0)) for d in (20, 80, 140) for a in (0, 90))),
                TOLERATED,
            ),
            "form_far_off",
        ),
    ],
)
def test_a_slip_in_a_reading_or_a_limit_is_asked_about(told: Bore, code: str) -> None:
    answer = bore(told)
    assert code in codes(answer) and answer.verdict is Verdict.CANNOT_TELL


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"min_diameter_mm": exact(0.628)}, "wear_limit_far_off"),
        ({"max_runout_mm": exact(5.0), "runout_mm": exact(4.0)}, "runout_limit_large"),
        ({"readings": [replace(one, diameter_mm=exact(17.9)) for one in THIN]}, "shaft_over_nominal"),
    ],
)
def test_a_limit_in_inches_passes_no_worn_shaft(change: dict[str, object], code: str) -> None:
    answer, found = codes_of(replace(SOUND, **change))  # type: ignore[arg-type]
    assert code in found and answer.verdict is Verdict.CANNOT_TELL


def test_no_ovality_of_one_direction_and_no_taper_of_one_depth() -> None:
    one = shape_of(readings((20, 0, 46.02)))
    assert one is not None and one.ovality is None and one.taper is None
