"""Which of the rings in stock fit a gland: what may be left unread, and every verdict against the single question."""

from __future__ import annotations

from datetime import date
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compat.engineering.answers import Verdict, verdict_of
from compat.engineering.oring import RingInGland, oring
from compat.engineering.ring_search import Search, rings_for_gland
from compat.engineering.seals.gland import Gland, Rings
from compat.engineering.seals.gland_readings import inches, with_width
from compat.engineering.seals.limits import MOTIONS, judge
from compat.engineering.seals.listed import Listed, readings
from compat.engineering.seals.offers import StockedLot, StockedRing
from compat.engineering.seals.ring import Ring
from compat.engineering.seals.search import rank, reach_of
from compat.engineering.seals.seating import seats
from compat.engineering.seals.sizes import known
from compat.engineering.units import Range
from tests.engineering.cases_seals import codes, exact, gapped, met, piston

DAY = date(2030, 3, 4)
OIL = met(None, "mineral_oil", 80.0)
TOLERATED = piston(Range(44.0, 44.039, 44.0), Range(38.238, 38.30, 38.30), exact(4.75))
AS568 = list(known().values())
# A grid of metric rings as well, finer than the limits: nothing near a limit goes untried.
METRIC = [Ring(Range.around(5 + 0.5 * n, 0.1), Range.around(w, 0.05)) for n, w in product(range(150), (1.5, 2, 2.5, 3))]
NEAR = Range.around


def gland_round(ring: Ring, kind: str, stretch: float, squeeze: float, crush: float, spread: float) -> Gland:
    """A gland in which a ring is stretched, squeezed and, on a rod or in a face, crushed by about so much."""
    seat = ring.id_mm.nominal * (1 + stretch / 100)
    height = ring.section_mm.nominal * (1 - squeeze / 100)
    outer = (ring.id_mm.nominal + 2 * ring.section_mm.nominal) * (1 - crush / 100)
    if kind == "piston":
        return piston(NEAR(seat + 2 * height, spread), NEAR(seat, spread), exact(1.4 * ring.section_mm.nominal))
    if kind == "rod":
        rod = max(outer - 2 * height, seat * 0.5)
        return Gland("rod", rod_mm=NEAR(rod, spread), groove_mm=NEAR(rod + 2 * height, spread))
    return Gland("face", depth_mm=NEAR(height, spread), inner_mm=NEAR(seat, spread), outer_mm=NEAR(outer, spread))


@settings(max_examples=60)
@given(
    ring=st.sampled_from([*AS568, *METRIC]),
    kind=st.sampled_from(["piston", "rod", "face"]),
    motion=st.sampled_from(MOTIONS),
    stretch=st.floats(-2, 9),
    squeeze=st.floats(4, 36),
    crush=st.floats(-10, 6),
    spread=st.floats(0, 0.03),
)
def test_nothing_that_stands_lies_out_of_reach(
    ring: Ring, kind: str, motion: str, stretch: float, squeeze: float, crush: float, spread: float
) -> None:
    """All 349 sizes and 600 metric rings: what the search lets stand is what judging every one of them lets stand."""
    gland, _ = with_width(gland_round(ring, kind, stretch, squeeze, crush, spread))
    reach = reach_of(gland, motion)
    if kind == "face" and motion == "dynamic":
        assert reach is None
        return
    if kind == "face" and gland.width_mm is None:
        return  # the outer wall lies inside the inner one
    assert reach is not None
    whole = [*AS568, *METRIC]
    judged = [verdict_of(judge(kind, motion, seat).findings) for seat in seats(Rings.of(*whole), gland, None)]
    standing = {index: one for index, one in enumerate(judged) if one is not Verdict.DOES_NOT_FIT}
    assert {one.index: one.verdict for one in rank(Rings.of(*whole), gland, motion, len(whole))} == standing
    assert all(reach.takes(whole[index]) for index in standing)
    assert {whole[index].size for index in standing if whole[index].size} <= set(reach.sizes())


def test_a_gland_that_cannot_be_searched_has_no_reach() -> None:
    assert reach_of(Gland("rod", rod_mm=exact(20)), "static") is None
    assert reach_of(piston(exact(38), exact(38.3)), "static") is None


def stocked(ring: Ring, compound: str | None = "NBR") -> StockedRing:
    spreads = ring.id_mm.high - ring.id_mm.nominal, ring.section_mm.high - ring.section_mm.nominal
    listed = Listed(ring.id_mm.nominal, ring.section_mm.nominal, *spreads)
    lot = StockedLot(f"L-{ring.size}", "D", 1, "2029-Q4")
    return StockedRing(
        ring.size or f"{ring.id_mm.nominal}x{ring.section_mm.nominal}", "ring", listed, compound, (lot,), 70.0
    )


@pytest.mark.parametrize(
    "gland",
    [
        TOLERATED,
        piston(exact(44.0), exact(38.3)),
        piston(exact(44.0), exact(38.3), exact(3.5)),
        piston(exact(44.0), exact(38.3), NEAR(3.55, 0.1)),
        Gland("rod", rod_mm=exact(38), groove_mm=exact(43.8), width_mm=exact(4.75)),
        Gland("face", depth_mm=exact(2.7), inner_mm=exact(35.4), outer_mm=exact(44.8)),
        Gland("face", depth_mm=exact(2.7), inner_mm=exact(35.4), outer_mm=exact(44.8), width_mm=exact(6)),
    ],
)
@pytest.mark.parametrize("compound", ["NBR", "EPDM", "VMQ", None])
def test_every_verdict_is_that_of_the_single_question(gland: Gland, compound: str | None) -> None:
    """Each ring that is offered as it would be answered alone; each that may fit alone is offered."""
    service, gland = met(compound, "mineral_oil", 80.0), gapped(gland)
    answer = rings_for_gland(
        [stocked(ring, compound) for ring in AS568],
        Search(gland, "static", service, DAY, "iso_2230", most=400),
        searched=349,
    )
    offered = {one["part"]: one for one in answer.values["rings"]}
    for ring in AS568:
        alone = oring(RingInGland(ring, gland, "static", service, reused=False))
        doubted = inches(gland, ring)[1]  # the gland is, and the search asks about it once
        assert (alone.verdict is not Verdict.DOES_NOT_FIT and not doubted) == (ring.size in offered)
        if ring.size in offered:
            assert offered[ring.size]["verdict"] == alone.verdict
            assert offered[ring.size]["margin"] == pytest.approx(alone.values["margin"], rel=1e-9)
            assert set(offered[ring.size]["codes"]) | {"face_pressure_side"} == codes(alone) | {"face_pressure_side"}
    sure = any(one["verdict"] == "fits" for one in offered.values())
    assert answer.verdict is (Verdict.FITS if sure else Verdict.CANNOT_TELL if offered else Verdict.DOES_NOT_FIT)


def test_a_policy_or_a_gland_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match="policy"):
        rings_for_gland([], Search(TOLERATED, "static", OIL, DAY, "mine"), searched=0)
    with pytest.raises(ValueError, match="a gland is one of"):
        rings_for_gland([], Search(Gland("oval"), "static", OIL, DAY, "iso_2230"), searched=0)


def test_a_size_listed_as_the_standard_has_it_is_its_ring() -> None:
    for ring in AS568:
        (one,) = readings(Listed(ring.id_mm.nominal, ring.section_mm.nominal, size=ring.size))
        assert (one.ring, one.doubt) == (ring, "")


@pytest.mark.parametrize(
    ("listed", "doubts"),
    [
        (Listed(37.69, 3.53, 0.1, 0.05), [""]),
        (Listed(37.69, 3.53, 0.1), ["ring_tolerances_unknown"]),
        (Listed(37.69, 3.53, size="099"), ["ring_tolerances_unknown"]),
        (Listed(37.74, 3.48, size="222"), [""]),
        (Listed(37.75, 3.53, size="222"), ["ring_size_contradicts"] * 2),
        (Listed(37.69, 3.59, size="222"), ["ring_size_contradicts"] * 2),
        # A stated tolerance says that somebody measured: it may lie anywhere in the standard's limits, +-0.38.
        (Listed(38.07, 3.53, 0.1, size="222"), [""]),
        (Listed(38.08, 3.53, 0.1, size="222"), ["ring_size_contradicts"] * 2),
    ],
)
def test_what_is_doubtful_of_an_entry(listed: Listed, doubts: list[str]) -> None:
    assert [one.doubt for one in readings(listed)] == doubts


def test_a_ring_without_tolerances_may_lie_anywhere_that_its_maker_may_have_let_it() -> None:
    """Not listed is not exact: an inner diameter a little over the groove's may be a little under it. The stand-in is
    no narrower than any tolerance of AS568, and spares no ring that is far off."""
    for ring in AS568:
        (one,) = readings(Listed(ring.id_mm.nominal, ring.section_mm.nominal))
        assert one.doubt == "ring_tolerances_unknown"
        for lies, standard in ((one.ring.id_mm, ring.id_mm), (one.ring.section_mm, ring.section_mm)):
            assert lies.low <= standard.low and standard.high <= lies.high
    gland = gapped(piston(exact(44.0), exact(38.3), exact(4.75)))
    entries = {
        "near": Listed(38.5, 3.53),
        "far": Listed(39.5, 3.53),
        "thin": Listed(37.7, 2.95),
        "small": Listed(0.1, 1),
    }
    lots = (StockedLot("L", "D", 1, "2029-Q4"),)
    rings = [StockedRing(name, "ring", listed, "NBR", lots, 70.0) for name, listed in entries.items()]
    answer = rings_for_gland(rings, Search(gland, "static", OIL, DAY, "iso_2230"), searched=4)
    assert {one["part"]: one["verdict"] for one in answer.values["rings"]} == {
        "near": "cannot_tell",
        "thin": "cannot_tell",
    }
    assert {"rings_may_fit", "ring_tolerances_unknown"} <= codes(answer)
    assert "ring_may_be_loose" in next(one for one in answer.values["rings"] if one["part"] == "near")["measure"]
