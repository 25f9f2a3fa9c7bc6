"""How cold it becomes: asked for, and doubted where it is warmer than the room in which the parts were measured."""

from __future__ import annotations

from dataclasses import replace

import pytest

from compat.engineering.answers import Verdict
from compat.engineering.band import band, mending
from compat.engineering.oring import oring
from compat.engineering.seals.cold import SHRINKS_LEAST, SHRINKS_MOST
from compat.engineering.seals.ring import section_loss_percent
from tests.engineering.cases_seals import codes, exact, met
from tests.engineering.test_band import NOMINAL, NONE, WORKED
from tests.engineering.test_off_centre import BOOK
from tests.engineering.test_oring import WORKED as GLAND
from tests.engineering.test_oring import new

COLD = -30.0
# The free ring is 50 K colder than it was measured, beside its metal; see seals/cold.py for the figures.
SMALLEST, LARGEST = 1 - 50 * SHRINKS_MOST, 1 - 50 * SHRINKS_LEAST


def left(by: float, section: float = 3.53) -> float:
    """The section left on 38.60 of a -222 that has shrunk to `by` of its sizes."""
    return float(section * by * (1 - section_loss_percent(100 * (38.60 / (37.69 * by) - 1)) / 100))


@pytest.mark.parametrize("coldest", [20.5, 29.0, 40.0])
def test_a_coldest_above_the_room_is_asked_about(coldest: float) -> None:
    """Rings and glands are measured at 20 C, so it becomes that cold at least: 40 may be -40 without its sign."""
    answer = oring(new(BOOK, GLAND, "static", met("NBR", "mineral_oil", 80, coldest)))
    assert "coldest_above_room" in codes(answer) and answer.verdict is Verdict.CANNOT_TELL
    of_band = band(replace(WORKED, coldest_c=coldest))
    assert "coldest_above_room" in codes(of_band) and of_band.verdict is Verdict.CANNOT_TELL


def test_at_the_warmth_of_the_room_nothing_shrinks() -> None:
    assert oring(new(BOOK, GLAND, "static", met("NBR", "mineral_oil", 80, 20.0))).verdict is Verdict.FITS
    room = band(replace(WORKED, coldest_c=20.0))
    assert room.verdict is Verdict.FITS and room.values["cold_squeeze_percent"] == room.values["squeeze_percent"]


def test_a_band_is_judged_at_the_coldest() -> None:
    """By hand: height under the band (46 - 38.6)/2 - 0.95 = 2.75; squeeze 1 - 2.75/left(f) at both ends of f."""
    cold = band(replace(WORKED, coldest_c=COLD)).values["cold_squeeze_percent"]
    assert cold.low == pytest.approx(100 * (1 - 2.75 / left(SMALLEST)), abs=1e-9)
    assert cold.high == pytest.approx(100 * (1 - 2.75 / left(LARGEST)), abs=1e-9)
    assert round(cold.low, 1) < round(100 * (1 - 2.75 / left(1.0)), 1) == 20.5


@pytest.mark.parametrize(
    ("warm", "coldest", "code", "verdict"),
    [
        (8.5, 20.0, None, Verdict.FITS),
        (8.5, COLD, "band_may_not_seal_cold", Verdict.CANNOT_TELL),
        (8.5, None, "coldest_missing", Verdict.CANNOT_TELL),
        (7.5, COLD, "band_may_not_seal", Verdict.CANNOT_TELL),
    ],
)
def test_a_band_that_seals_warm_need_not_seal_in_the_cold(
    warm: float, coldest: float | None, code: str | None, verdict: Verdict
) -> None:
    bore = 38.60 + 2 * (left(1.0) * (1 - warm / 100) + 0.95)
    answer = band(replace(WORKED, bore_mm=exact(bore), coldest_c=coldest))
    assert answer.verdict is verdict and (code is None or code in codes(answer)), answer.findings


def test_a_band_that_is_flat_in_the_cold_does_not_seal() -> None:
    """5.5 % warm; by hand 1 - 0.945 left(1)/left(f) is 4.5 % at best 80 K colder, and under 5 % no band seals."""
    bore = 38.60 + 2 * (left(1.0) * (1 - 0.055) + 0.95)
    answer = band(replace(WORKED, bore_mm=exact(bore), coldest_c=-60.0))
    assert round(answer.values["cold_squeeze_percent"].high, 1) == 4.5
    assert "band_does_not_seal_cold" in codes(answer) and answer.verdict is Verdict.DOES_NOT_FIT


def test_a_diameter_read_over_the_band_shrinks_with_what_lies_under_it() -> None:
    """By hand: 47.42 as the parts make it; in the cold less twice what the section loses."""
    over = 38.60 + 2 * (left(1.0) + 0.95)
    read = band(replace(WORKED, measured_od_mm=exact(over), coldest_c=COLD)).values
    made = band(replace(WORKED, coldest_c=COLD)).values
    for end in ("low", "high"):
        assert getattr(read["cold_squeeze_percent"], end) == pytest.approx(
            getattr(made["cold_squeeze_percent"], end), abs=1e-9
        )


def test_the_bore_may_grow_until_the_band_is_loose_in_the_cold() -> None:
    told = replace(WORKED, coldest_c=COLD)
    grown = band(told).values["wear_left_mm"].low
    assert band(replace(told, bore_wear_diametral_mm=exact(grown - 1e-6))).verdict is Verdict.FITS
    assert band(replace(told, bore_wear_diametral_mm=exact(grown + 0.01))).verdict is Verdict.CANNOT_TELL


def test_a_vaguer_or_colder_coldest_fits_no_better() -> None:
    for warm in (7.0, 8.5, 9.0, 9.5, 10.0, 15.0):
        bore = exact(38.60 + 2 * (left(1.0) * (1 - warm / 100) + 0.95))
        fits = [
            band(replace(WORKED, bore_mm=bore, coldest_c=cold)).verdict is Verdict.FITS
            for cold in (20.0, 0.0, -20.0, -40.0, None)
        ]
        assert fits == sorted(fits, reverse=True)


def test_what_mends_a_band_is_told_before_the_cold_is() -> None:
    """The cold is asked for beside it; a new O-ring that would not seal in a known cold mends nothing."""
    flat = replace(WORKED, measured_od_mm=exact(45.98), energiser_section_mm=None)
    assert mending(flat, NOMINAL) == ("energiser",)
    assert mending(replace(flat, coldest_c=COLD), NOMINAL) == ("energiser",)
    bore = exact(38.60 + 2 * (left(1.0) * (1 - 0.085) + 0.95))
    slack = replace(flat, bore_mm=bore, measured_od_mm=exact(45.98), band_wear_radial_mm=NONE)
    assert mending(slack, None) == ("energiser",)
    assert mending(replace(slack, coldest_c=COLD), None) is None
