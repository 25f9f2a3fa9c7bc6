"""The band on its energiser, against figures worked by hand and the trade's own check."""

from __future__ import annotations

import random
from dataclasses import fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.engineering.answers import Verdict
from compat.engineering.band import Band, band, mending
from compat.engineering.seals.ring import Ring
from compat.engineering.seals.sizes import ring_called
from compat.engineering.units import Range
from tests.engineering.cases_seals import codes, exact, within

NONE = exact(0.0)
BOOK = Ring(exact(37.69), exact(3.53))
WORKED = Band(exact(46), exact(38.60), exact(0.95), BOOK, exact(3.53), None, NONE, NONE, coldest_c=20.0)
TOLERATED = Band(
    Range(46, 46.039, 46), Range(38.538, 38.60, 38.60), Range.around(0.95, 0.02), ring_called("222"),
    energiser_section_mm=Range.around(3.53, 0.10), band_wear_radial_mm=NONE, bore_wear_diametral_mm=NONE,
    coldest_c=20.0,
)  # fmt: skip


def test_the_worked_example() -> None:
    """Bore 46.00, groove 38.60, -222, band 0.95: by hand W' = 3.53 (1 - 1.986 %) = 3.460, free diameter 38.6 + 2 (3.460
    + 0.95) = 47.42, squeeze (3.460 - 2.75)/3.460 = 20.5 %."""
    values = band(WORKED).values
    assert round(values["free_od_mm"].nominal, 2) == 47.42
    assert round(values["squeeze_percent"].nominal, 1) == 20.5
    assert values["interference_mm"].nominal == pytest.approx(2 * 3.4599 * 0.20518, abs=1e-3)
    assert band(WORKED).verdict is Verdict.FITS


def test_the_worst_corner_and_measured_wear() -> None:
    """The same with bore +0.039, groove -0.062, band +-0.02 and the ring's tolerances: by hand W' = 3.43 (1 - 2.452 %),
    height (46.039 - 38.538)/2 - 0.93: 15.7 %; with 0.10 of band and 0.10 of bore worn off 11.2 %."""
    assert round(band(TOLERATED).values["squeeze_percent"].low, 1) == 15.7
    worn = replace(TOLERATED, band_wear_radial_mm=exact(0.10), bore_wear_diametral_mm=exact(0.10))
    assert round(band(worn).values["squeeze_percent"].low, 1) == 11.2
    assert band(worn).verdict is Verdict.FITS


def test_a_thinner_section_of_the_same_inside_does_not_reach_the_bore() -> None:
    """A 2.62 section of the same inner diameter: by hand 38.6 + 2 (2.568 + 0.95) - 46 = -0.36 mm."""
    answer = band(replace(WORKED, energiser=Ring(exact(37.69), exact(2.62)), energiser_section_mm=exact(2.62)))
    assert round(answer.values["interference_mm"].nominal, 2) == -0.36
    assert "band_does_not_seal" in codes(answer) and answer.verdict is Verdict.DOES_NOT_FIT


def test_the_touch_of_the_caliper() -> None:
    """A 46 mm piston's band must measure more than 46 mm, or its O-ring is worn flat: common practice, no published
    source. Necessary, never sufficient: 46.05 on 46.00 is 0.05/(2 x 3.46) = 0.7 % of squeeze."""
    flat = band(replace(WORKED, measured_od_mm=exact(45.98)))
    assert "energiser_worn_flat" in codes(flat) and flat.verdict is Verdict.DOES_NOT_FIT
    just = band(replace(WORKED, measured_od_mm=exact(46.05)))
    assert round(just.values["squeeze_percent"].nominal, 1) == 0.7
    assert {"touch_is_not_enough", "band_does_not_seal"} <= codes(just) and just.verdict is Verdict.DOES_NOT_FIT
    unsure = band(replace(WORKED, measured_od_mm=Range.around(46.0, 0.02)))
    assert "energiser_may_be_flat" in codes(unsure)
    good = band(replace(WORKED, measured_od_mm=Range.around(47.2, 0.02)))
    assert good.verdict is Verdict.FITS and good.values["free_od_mm"].nominal == 47.2


def test_a_measured_diameter_governs_and_one_that_cannot_be_is_doubted() -> None:
    answer = band(replace(TOLERATED, measured_od_mm=exact(46.7)))
    assert answer.values["free_od_mm"] == exact(46.7)
    assert "band_od_contradicts" in codes(band(replace(TOLERATED, measured_od_mm=exact(49.0))))


@pytest.mark.parametrize(
    ("left_out", "code"),
    [
        ("bore_mm", "band_bore_missing"),
        ("groove_mm", "band_groove_missing"),
        ("band_thickness_mm", "band_band_thickness_missing"),
        ("energiser", "band_energiser_missing"),
        ("energiser_section_mm", "band_od_missing"),
        ("band_wear_radial_mm", "band_wear_missing"),
        ("bore_wear_diametral_mm", "bore_wear_missing"),
        ("coldest_c", "coldest_missing"),
    ],
)
def test_what_is_not_measured_is_asked_for(left_out: str, code: str) -> None:
    answer = band(replace(TOLERATED, **{left_out: None}))
    assert code in codes(answer) and answer.verdict is Verdict.CANNOT_TELL


def test_inches_and_a_groove_without_room_are_doubted() -> None:
    assert "band_looks_like_inches" in codes(band(replace(TOLERATED, groove_mm=exact(1.52))))
    assert "band_groove_has_no_room" in codes(band(replace(TOLERATED, groove_mm=exact(46.5))))
    with pytest.raises(ValueError, match="bore_mm"):
        band(replace(TOLERATED, bore_mm=exact(0)))


def test_the_wear_left_is_where_eight_percent_are_left() -> None:
    """A bore grown by just the wear that is said to be left squeezes the energiser by the least 8 %."""
    left = band(TOLERATED).values["wear_left_mm"].low
    at_end = band(replace(TOLERATED, bore_wear_diametral_mm=exact(left)))
    assert at_end.values["squeeze_percent"].low == pytest.approx(8.0, abs=1e-6)
    past = band(replace(TOLERATED, bore_wear_diametral_mm=exact(left + 0.01)))
    assert past.verdict is Verdict.CANNOT_TELL and "band_may_not_seal" in codes(past)


@given(
    bore=st.floats(0, 0.2), groove=st.floats(0, 0.2), thickness=st.floats(0, 0.05), wear=st.floats(0, 0.2),
    measured=st.booleans(), seed=st.integers(0, 10_000),
)  # fmt: skip
def test_every_sample_lies_inside_the_ranges_and_no_missing_reading_makes_it_fit(
    bore: float, groove: float, thickness: float, wear: float, measured: bool, seed: int
) -> None:
    told = Band(
        Range.around(46, bore), Range.around(38.6, groove), Range.around(0.95, thickness), ring_called("222"),
        Range.around(3.5, 0.05), Range.around(47.0, 0.05) if measured else None, Range.between(0, wear), exact(wear),
        -10.0,
    )  # fmt: skip
    whole = band(told)
    draw = random.Random(seed)
    for _ in range(20):
        sizes = {
            one.name: within(size, draw) for one in fields(told) if isinstance(size := getattr(told, one.name), Range)
        }
        assert told.energiser is not None
        ring = Ring(within(told.energiser.id_mm, draw), within(told.energiser.section_mm, draw))
        one = band(replace(told, **sizes, energiser=ring))  # type: ignore[arg-type]
        for name in ("free_od_mm", "interference_mm", "squeeze_percent", "cold_squeeze_percent", "wear_left_mm"):
            span: Range = whole.values[name]
            assert span.low - 1e-9 <= one.values[name].nominal <= span.high + 1e-9
    # The diameter over the band and the section under it are two ways to know one thing: either will do. A diameter
    # that was read holds the band's wear.
    spared = {"measured_od_mm", "band_wear_radial_mm"} if measured else set()
    for name in (field.name for field in fields(told) if field.name not in spared):
        assert whole.verdict is Verdict.FITS or band(replace(told, **{name: None})).verdict is not Verdict.FITS


# What a sceptic found: nothing of it may come back.


@pytest.mark.parametrize(
    ("change", "code", "verdict"),
    [
        ({"energiser": ring_called("275")}, "ring_loose", Verdict.DOES_NOT_FIT),
        ({"energiser": ring_called("210")}, "stretch_too_much", Verdict.DOES_NOT_FIT),
        ({"band_thickness_mm": exact(2.9)}, "squeeze_too_much", Verdict.DOES_NOT_FIT),
        ({"band_thickness_mm": Range(0.95, 1.6, 0.95)}, "squeeze_may_be_much", Verdict.CANNOT_TELL),
        ({"bore_mm": Range(40, 46.1, 46)}, "squeeze_may_be_much", Verdict.CANNOT_TELL),
        ({"energiser_section_mm": exact(3.8)}, "section_contradicts_size", Verdict.CANNOT_TELL),
        ({"energiser_section_mm": exact(2.6)}, "section_contradicts_size", Verdict.DOES_NOT_FIT),
        (
            {"energiser_section_mm": None, "band_wear_radial_mm": exact(0.9), "measured_od_mm": exact(46.9)},
            "band_od_contradicts",
            Verdict.CANNOT_TELL,
        ),
        ({"bore_mm": Range(38, 46.039, 46)}, "band_groove_may_have_no_room", Verdict.CANNOT_TELL),
        ({"measured_od_mm": Range(40, 46.9, 46.8)}, "band_groove_may_have_no_room", Verdict.CANNOT_TELL),
        ({"bore_mm": exact(60)}, "band_far_too_small", Verdict.CANNOT_TELL),
    ],
)
def test_parts_that_cannot_belong_together_do_not_fit(change: dict[str, object], code: str, verdict: Verdict) -> None:
    """A ring is stretched by at most 8 % and squeezed by at most 30 %, as in every radial gland: handbooks."""
    answer = band(replace(TOLERATED, **change))  # type: ignore[arg-type]
    assert code in codes(answer) and answer.verdict is verdict


FLAT = replace(TOLERATED, measured_od_mm=exact(45.98))
NOMINAL = exact(46.0)


def test_what_would_make_a_band_seal_again() -> None:
    assert mending(TOLERATED, NOMINAL) is None
    assert mending(FLAT, NOMINAL) == ("energiser",)
    assert mending(replace(FLAT, band_wear_radial_mm=exact(0.6)), NOMINAL) == ("energiser", "maybe", "band")
    thin = replace(FLAT, measured_od_mm=exact(45.2), band_wear_radial_mm=exact(0.9))
    assert mending(thin, NOMINAL) == ("energiser", "band")
    assert mending(replace(FLAT, band_wear_radial_mm=None), NOMINAL) == ("energiser", "maybe", "band")
    wide = replace(FLAT, bore_mm=exact(47.6), band_wear_radial_mm=NONE)
    assert mending(wide, NOMINAL) == ()
    assert mending(wide, None) is None


@pytest.mark.parametrize(
    "change", [{"groove_mm": exact(83)}, {"band_thickness_mm": exact(0.1)}, {"groove_mm": exact(1.52)}]
)
def test_a_doubted_reading_condemns_no_body(change: dict[str, object]) -> None:
    assert mending(replace(FLAT, **change), NOMINAL) is None  # type: ignore[arg-type]
