"""Bores and shafts as they wear: by hand, and by every sample of the readings."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.engineering.answers import Answer, Verdict
from compat.engineering.bore import Bore, bore
from compat.engineering.roundness import DiameterReading, Travel, shape_of
from compat.engineering.shaft_wear import Shaft, shaft
from compat.engineering.units import Range
from tests.engineering.cases_seals import codes, exact
from tests.engineering.test_band import TOLERATED


def readings(*rows: tuple[float, float, float], error: float = 0.0) -> list[DiameterReading]:
    return [DiameterReading(depth, angle, Range.around(size, error)) for depth, angle, size in rows]


def oval(depth: float, mean: float, half: float, axis: float = 0.0, angles: Any = (0, 60, 120)) -> Any:
    """Rows of an ellipse: D(t) = mean + half cos 2 (t - axis)."""
    return [(depth, t, mean + half * math.cos(2 * math.radians(t - axis))) for t in angles]


ROWS = (*oval(20, 46.015, 0.005), *oval(65, 46.035, 0.015), *oval(110, 46.025, 0.005))
ROUND = readings(*ROWS, error=0.005)
TRAVEL = Travel(exact(15), exact(118))
GOOD = Bore(exact(46), exact(46.08), ROUND, travel=TRAVEL)


def test_wear_ovality_and_taper_by_hand() -> None:
    """Largest 46.035 + 0.015 less 46.00; in one depth twice 0.015; means 46.015, 46.035, 46.025."""
    values = bore(Bore(exact(46), exact(46.08), readings(*ROWS))).values
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


def test_the_limit_is_held_against_the_ellipse_and_not_against_what_was_read_of_it() -> None:
    """Geometry: of an ellipse whose axis lies at 30 degrees, mean and half 46.03 and 0.03, a gauge at 0, 60 and 120
    degrees reads 46.045 at most and the diameter at 30 degrees is 46.06; the other way round 46.015 and 46.00."""
    depths = (20, 65, 110)
    wide = readings(*(row for depth in depths for row in oval(depth, 46.03, 0.03, axis=30)))
    assert max(one.diameter_mm.high for one in wide) == pytest.approx(46.045)
    worn = bore(replace(GOOD, nominal_mm=exact(45.99), readings=wide, max_diameter_mm=exact(46.055)))
    assert codes(worn) == {"bore_at_limit", "three_lobes_unseen"} and worn.verdict is Verdict.CANNOT_TELL
    thin = readings(*(row for depth in depths for row in oval(depth, 46.03, 0.03, axis=120)))
    assert min(one.diameter_mm.low for one in thin) == pytest.approx(46.015)
    worn = shaft(Shaft(exact(46.07), exact(46.005), thin, exact(0.02), exact(0.05), "ok", TRAVEL))
    assert codes(worn) == {"shaft_at_limit", "three_lobes_unseen"} and worn.verdict is Verdict.CANNOT_TELL


@pytest.mark.parametrize(
    ("told", "code"),
    [
        (replace(GOOD, readings=()), "diameters_missing"),
        (replace(GOOD, readings=ROUND[:6]), "too_few_depths"),
        (replace(GOOD, readings=ROUND[:8]), "too_few_directions"),
        (replace(GOOD, travel=Travel(exact(15))), "travel_missing"),
        (replace(GOOD, travel=Travel(exact(5), exact(118))), "travel_not_read"),
        (replace(GOOD, travel=Travel(exact(15), Range(110, 125, 118))), "travel_not_read"),
        (replace(GOOD, travel=Travel(exact(70), exact(160))), "travel_not_read"),
        (replace(GOOD, readings=[replace(one, angle_deg=one.angle_deg * 3) for one in ROUND]), "too_few_directions"),
        (replace(GOOD, nominal_mm=None), "bore_nominal_missing"),
        (replace(GOOD, max_diameter_mm=None), "bore_limit_missing"),
        (replace(GOOD, readings=[*ROUND, *readings((200, 0, 1.811), (200, 90, 1.812))]), "reading_looks_like_inches"),
        (replace(GOOD, readings=[*ROUND, *readings((200, 0, 64.05), (200, 90, 46.0))]), "diameter_far_off"),
    ],
)
def test_what_is_missing_or_doubtful_is_asked_for(told: Bore, code: str) -> None:
    """Fewer than three depths or three directions cannot tell: geometry of the ellipse, and common practice of the
    depths. 0, 180 and 360 degrees are one direction."""
    answer = bore(told)
    assert code in codes(answer) and answer.verdict is Verdict.CANNOT_TELL


def test_without_a_makers_limit_the_band_in_it_gives_one() -> None:
    """The band of tests/engineering/test_band.py, as it is squeezed by 15.7 % at its worst in a new bore."""
    sealed = bore(Bore(exact(46), None, ROUND, TOLERATED, TRAVEL))
    assert sealed.verdict is Verdict.FITS
    assert 0 < sealed.values["wear_left_mm"].low < 0.6
    wide = [replace(one, diameter_mm=one.diameter_mm + exact(0.5)) for one in ROUND]
    assert "bore_band_unsure" in codes(bore(Bore(exact(46), None, wide, TOLERATED, TRAVEL)))
    wider = [replace(one, diameter_mm=one.diameter_mm + exact(1.6)) for one in ROUND]
    gone = bore(Bore(exact(46), None, wider, TOLERATED, TRAVEL))
    assert "bore_band_does_not_seal" in codes(gone) and gone.verdict is Verdict.DOES_NOT_FIT
    unmeasured = bore(Bore(exact(46), None, ROUND, replace(TOLERATED, energiser_section_mm=None), TRAVEL))
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
            for depth in (20, 65, 110)
            for angle in range(0, 180, 15)
        )
    )
    answer = bore(replace(GOOD, readings=lobes))
    assert answer.values["ovality_mm"].nominal == pytest.approx(0, abs=1e-9)
    assert "three_lobes_unseen" in codes(answer)


DEPTHS = st.sampled_from([10.0, 50.0, 90.0, 130.0])
DRAWN = st.tuples(DEPTHS, st.floats(0, 360), st.floats(45.9, 46.2), st.floats(0, 0.05))


@given(st.lists(DRAWN, min_size=1, max_size=12), st.integers(0, 1000))
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
    one_depth = readings(*((20, angle * 0.36, 46.02) for angle in range(500)))
    assert "too_few_depths" in codes(bore(replace(GOOD, readings=one_depth)))


THIN = readings(*oval(10, 15.98, 0.0025), *oval(60, 15.965, 0.005, 60), *oval(110, 15.98, 0))
SOUND = Shaft(exact(16), exact(15.95), THIN, exact(0.02), exact(0.05), "ok", Travel(exact(5), exact(115)))


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
        ({"readings": THIN[:3]}, "too_few_depths", Verdict.CANNOT_TELL),
        ({"travel": Travel()}, "travel_missing", Verdict.CANNOT_TELL),
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
                readings(*(row for d in (20, 65, 110) for row in oval(d, 46.075, 0.075))),
                TOLERATED,
                TRAVEL,
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


def test_no_ellipse_over_the_limit_hides_between_the_directions_read() -> None:
    """Every ellipse whose largest diameter lies 0.1 mm over the limit, whatever its axes, read where a bench would:
    three directions 60 degrees apart see it; two never do, at 90 degrees least of all when its axes lie at 45."""
    for axis in range(0, 180, 5):
        for angles in ((0, 60, 120), (0, 30, 60), (10, 75, 140), (0, 45, 90, 135), (0, 90), (0, 30)):
            rows = [row for d in (20, 65, 110) for row in oval(d, 46.03, 0.15, axis, angles)]
            answer = bore(replace(GOOD, readings=readings(*rows, error=0.001)))
            assert answer.verdict is not Verdict.FITS, (axis, angles)
    hidden = bore(
        replace(GOOD, readings=readings(*(r for d in (20, 65, 110) for r in oval(d, 46.03, 0.15, 45, (0, 90)))))
    )
    assert codes(hidden) >= {"too_few_directions"} and hidden.values["largest_mm"].high == pytest.approx(46.03)


@given(st.floats(0, 180), st.floats(0, 0.2), st.lists(st.floats(0, 180), min_size=3, max_size=6), st.integers(0, 99))
def test_the_ellipse_that_was_read_lies_inside_what_is_said_of_it(
    axis: float, half: float, angles: list[float], seed: int
) -> None:
    """Readings of a known ellipse, each off by up to its error: the true largest and smallest are inside the ranges."""
    draw = random.Random(seed)
    told = [
        DiameterReading(d, t, Range.around(size + draw.uniform(-0.01, 0.01), 0.01))
        for d, t, size in oval(20, 46.0, half, axis, angles)
    ]
    shape = shape_of(told)
    assert shape is not None
    if shape.ovality is not None:
        assert shape.largest.low - 1e-6 <= 46 + half <= shape.largest.high + 2e-5
        assert shape.smallest.low - 2e-5 <= 46 - half <= shape.smallest.high + 1e-6
        assert shape.ovality.low - 1e-6 <= 2 * half <= shape.ovality.high + 4e-5


def test_three_depths_within_a_few_millimetres_say_nothing_of_the_rest() -> None:
    close = readings(*(row for d in (60, 66, 72) for row in oval(d, 46.02, 0.0)))
    answer = bore(replace(GOOD, readings=close))
    assert "travel_not_read" in codes(answer) and answer.verdict is Verdict.CANNOT_TELL


def test_ovality_is_judged_at_its_corners() -> None:
    """Half an ovality of 0.045 is 0.09, over the 0.08 that wear may be where the nominal is 46.00 and under it where
    that is 45.95: asked about at any of its values, however wide they are told."""
    rows = readings(*(row for d in (20, 65, 110) for row in oval(d, 46.03, 0.045)))
    for nominal in (exact(46), Range(45.95, 46.0, 46.0), Range(45.9, 46.02, 45.95)):
        told = replace(GOOD, readings=rows, nominal_mm=nominal)
        assert "form_far_off" in codes(bore(told)), nominal


def test_no_ovality_of_one_direction_and_no_taper_of_one_depth() -> None:
    one = shape_of(readings((20, 0, 46.02)))
    assert one is not None and one.ovality is None and one.taper is None


@pytest.mark.parametrize(
    ("depths", "end", "expected"),
    [((20, 70, 110), 118, set()), ((20, 71, 110), 118, {"travel_not_read"}), ((20, 25, 30), 38, set())],
)
def test_how_far_apart_depths_are_read(depths: tuple[float, ...], end: float, expected: set[str]) -> None:
    """At most 50 mm from one to the next, and 5 mm make two of them; common practice, no published source."""
    rows = readings(*(row for depth in depths for row in oval(depth, 46.03, 0.005)))
    answer = bore(replace(GOOD, readings=rows, travel=Travel(exact(15), exact(end))))
    assert codes(answer) - {"three_lobes_unseen"} == expected
