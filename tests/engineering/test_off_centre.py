"""Parts that lie to one side of each other: the squeeze is least where they are apart, most where they touch.

Two round parts with a gap g between their diameters are apart by at most g/2 at their axes, plane geometry: on one side
they touch, on the other the gland is g/2 deeper. Handbooks of seals, and ISO 3601-2, take the least squeeze there as
eccentricity or side loading; from memory of both.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from compat.engineering.answers import Verdict
from compat.engineering.corners import DUST
from compat.engineering.oring import RingInGland, oring
from compat.engineering.ring_search import Search, rings_for_gland
from compat.engineering.seals.gland import Gland, aside_mm
from compat.engineering.seals.ring import Ring, section_loss_percent
from compat.engineering.seals.sizes import ring_called
from compat.engineering.units import Range
from tests.engineering.cases_seals import codes, exact, gapped, met, piston
from tests.engineering.test_ring_search import stocked

OIL = met("NBR", "mineral_oil", 60.0, 0.0)
MOVING = gapped(piston(exact(38.2), exact(35.2), exact(2.4)), exact(0.4))
BOOK = Ring(exact(37.69), exact(3.53))
LEFT = 3.53 * (1 - section_loss_percent(100 * (38.30 / 37.69 - 1)) / 100)  # 3.478, as the worked example has it


def asked(ring: Ring, gland: Gland, motion: str = "static", **service: object) -> RingInGland:
    return RingInGland(ring, gland, motion, replace(OIL, **service), reused=False)  # type: ignore[arg-type]


def test_a_moving_ring_that_is_loose_on_one_side_does_not_fit() -> None:
    """-028 on 35.2 in 38.2 with 0.4 beside it: the section of 1.70 is 1.684 or less in place, and 1.5 + 0.2 is deeper
    than that: by hand, no squeeze at all where the parts are apart."""
    answer = oring(asked(ring_called("028"), MOVING, "dynamic"))
    assert answer.verdict is not Verdict.FITS
    assert "off_centre_squeeze_may_be_little" in codes(answer)
    assert answer.values["squeeze_percent"].low < 0 and answer.values["cold_squeeze_percent"].low < 0
    central = oring(asked(ring_called("028"), gapped(MOVING, exact(0.0)), "dynamic"))
    assert central.verdict is Verdict.FITS


def test_half_the_gap_is_lost_on_one_side_and_gained_on_the_other() -> None:
    """The worked example, height 2.850 and section 3.478, with 0.3 beside it: 1 - (2.850 +- 0.150)/3.478 by hand."""
    squeeze = oring(asked(BOOK, gapped(piston(exact(44.0), exact(38.30), exact(4.75)), exact(0.3)))).values[
        "squeeze_percent"
    ]
    assert squeeze.low == pytest.approx(100 * (1 - 3.0 / LEFT), abs=1e-9)
    assert squeeze.high == pytest.approx(100 * (1 - 2.7 / LEFT), abs=1e-9)
    assert squeeze.nominal == pytest.approx(100 * (1 - 2.85 / LEFT), abs=1e-9)
    assert (round(squeeze.low, 1), round(squeeze.high, 1)) == (13.8, 22.4)


def test_a_part_beside_the_groove_tells_how_far_off_it_lies() -> None:
    """The gap is the bore less the land at each bore: at its largest the parts lie (44.1 - 43.8)/2 apart, at its
    smallest (44.0 - 43.8)/2, by hand; never the large gap in the small bore."""
    gland = replace(piston(Range.between(44.0, 44.1), exact(38.3), exact(4.75)), land_mm=exact(43.8))
    squeeze = oring(asked(BOOK, gland)).values["squeeze_percent"]
    assert squeeze.low == pytest.approx(100 * (1 - (2.90 + 0.15) / LEFT), abs=1e-9)
    assert squeeze.high == pytest.approx(100 * (1 - (2.85 - 0.10) / LEFT), abs=1e-9)
    rod = Gland("rod", rod_mm=exact(38.3), groove_mm=exact(44.0), width_mm=exact(4.75), land_mm=exact(38.6))
    assert oring(asked(BOOK, rod)).values["squeeze_percent"].low == pytest.approx(100 * (1 - 3.0 / LEFT), abs=1e-9)


def test_the_lids_of_a_face_lie_on_no_side() -> None:
    face = Gland("face", depth_mm=exact(2.7), inner_mm=exact(35.4), outer_mm=exact(44.8), pressure_from="inside")
    near, wide = (oring(asked(BOOK, gapped(face, exact(gap)))).values["squeeze_percent"] for gap in (0.0, 0.3))
    assert near == wide


def test_much_on_one_side_is_asked_about_and_a_ring_that_is_bad_in_the_middle_stops() -> None:
    """A moving ring, most 20 %: 18.06 % in the middle, 1 - 2.75/3.478 = 20.9 % where 0.2 lies on one side."""
    gland = piston(exact(44.0), exact(38.30), exact(4.75))
    one_side = oring(asked(BOOK, gapped(gland, exact(0.2)), "dynamic"))
    assert "off_centre_squeeze_may_be_much" in codes(one_side) and one_side.verdict is Verdict.CANNOT_TELL
    for bore, code in ((45.0, "squeeze_too_little"), (43.6, "squeeze_too_much")):
        for gap in (0.0, 0.1, 0.3):
            answer = oring(asked(BOOK, gapped(replace(gland, bore_mm=exact(bore)), exact(gap)), "dynamic"))
            assert code in codes(answer) and answer.verdict is Verdict.DOES_NOT_FIT


def test_cold_and_one_side_together_are_asked_about() -> None:
    """A rod's ring, moving, least 8 %, height 2.850, section 3.128, loose enough to lose nothing by stretch: 8.9 % on
    one axis, 8.1 % with 0.05 beside it; at -29 C the section is 0.83 % smaller, 8.1 % and 7.3 %. By hand."""
    ring = Ring(exact(38.7), exact(3.128))
    gland = Gland("rod", rod_mm=exact(38.3), groove_mm=exact(44.0), width_mm=exact(4.75))
    code = "off_centre_cold_squeeze_may_be_little"
    for cold, gap, verdict in ((20.0, 0.05, Verdict.FITS), (-29.0, 0.0, Verdict.FITS), (-29.0, 0.05, None)):
        answer = oring(asked(ring, gapped(gland, exact(gap)), "dynamic", coldest_c=cold))
        assert answer.verdict is (verdict or Verdict.CANNOT_TELL), answer.findings
        assert (code in codes(answer)) is (verdict is None)


def test_with_back_up_rings_the_gap_is_asked_for_all_the_same() -> None:
    """They close the gap to the ring, and centre nothing."""
    bare = piston(exact(44.0), exact(38.30), exact(4.75))
    answer = oring(asked(BOOK, bare, backup_rings=True))
    assert "gap_missing" in codes(answer) and answer.verdict is Verdict.CANNOT_TELL
    assert oring(asked(BOOK, gapped(bare), backup_rings=True)).verdict is Verdict.FITS
    face = Gland("face", depth_mm=exact(2.85), inner_mm=exact(35.4), outer_mm=exact(44.8), pressure_from="inside")
    assert "gap_missing" not in codes(oring(asked(BOOK, face, backup_rings=True)))


@pytest.mark.parametrize("gap", [0.0, 0.05, 0.1, 0.2, 0.4])
@pytest.mark.parametrize("kind", ["piston", "rod"])
def test_the_search_of_the_shelf_takes_the_same_off(gap: float, kind: str) -> None:
    round_rod = Gland("rod", rod_mm=exact(35.2), groove_mm=exact(38.2), width_mm=exact(2.4))
    gland = gapped(round_rod if kind == "rod" else MOVING, exact(gap))
    search = Search(gland, "dynamic", OIL, date(2030, 3, 4), "iso_2230")
    found = rings_for_gland([stocked(ring_called("028"))], search, searched=1)
    alone = oring(asked(ring_called("028"), gland, "dynamic"))
    (one,) = found.values["rings"]
    assert one["verdict"] == alone.verdict and one["squeeze_percent"] == alone.values["squeeze_percent"]
    assert abs(one["margin"] - alone.values["margin"]) < DUST


def test_parts_lie_aside_by_half_of_the_widest_gap() -> None:
    """Plane geometry: two circles touch when their centres are half the difference of their diameters apart."""
    gap = Range(0.08, 0.16, 0.1)
    assert aside_mm(Gland("piston", extrusion_gap_mm=gap)) == 0.08
