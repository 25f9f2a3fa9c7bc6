"""Cover of the ports. The rule is common practice of the trade, no published source; figures are worked by hand."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.engineering.answers import Answer, Verdict
from compat.engineering.face import face_shim
from compat.engineering.refused import Refused
from compat.engineering.units import Range
from compat.questions.face_shim import texts
from compat.texts import common

exact = Range.exact
# Side A: its ports end at 37.2 mm, so a 38 mm face shim just covers them with 0.35 mm of overlap and 0.03 mm of play.
SIDE_A: dict[str, Range] = {
    "shim_od_mm": exact(38.0),
    "shim_bore_mm": exact(12.0),
    "shaft_mm": exact(11.94),
    "hub_mm": exact(20.0),
    "ports_inner_mm": exact(24.0),
    "ports_outer_mm": exact(37.2),
    "land_outer_mm": exact(38.4),
    "body_bore_mm": exact(46.0),
    "other_side_feed_inner_mm": exact(39.0),
    "overlap_mm": exact(0.35),
}
SIDE_B = {**SIDE_A, "ports_outer_mm": exact(33.2), "land_outer_mm": exact(34.4), "shim_od_mm": exact(34.0)}


def ask_with(readings: dict[str, Any], **changed: Range | None) -> Answer:
    return face_shim(**{**readings, **changed})


def codes(answer: Answer) -> list[str]:
    return [finding.code for finding in answer.findings]


def test_side_a_is_just_covered_by_its_38_mm_face_shim() -> None:
    """Example of the trade: common practice, no published source."""
    answer = face_shim(**SIDE_A)
    assert answer.verdict is Verdict.FITS
    assert codes(answer) == ["ports_covered"]


def test_side_b_is_covered_by_its_34_mm_face_shim() -> None:
    assert face_shim(**SIDE_B).verdict is Verdict.FITS


def test_a_34_mm_shim_on_side_a_leaves_ports_open() -> None:
    """Example of the trade: a piston put on the wrong way round is visible. (34 - 37.2)/2 - 0.03 = -1.63 mm."""
    answer = ask_with(SIDE_A, shim_od_mm=exact(34.0))
    assert answer.verdict is Verdict.DOES_NOT_FIT
    assert codes(answer) == ["ports_open_outside"]
    assert (answer.findings[0].data["max_mm"], answer.findings[0].data["short_mm"]) == (-1.63, 1.63)


def test_a_38_mm_shim_on_side_b_reaches_past_its_land() -> None:
    answer = ask_with(SIDE_B, shim_od_mm=exact(38.0))
    assert answer.verdict is Verdict.DOES_NOT_FIT
    assert "face_shim_past_land" in codes(answer)


def test_cover_counts_the_radial_play_in_both_directions() -> None:
    """Outer (38 - 37.2)/2 = 0.40, inner (24 - 12)/2 = 6, hub (20 - 12)/2 = 4; play (12 - 11.94)/2 = 0.03."""
    values = face_shim(**SIDE_A).values
    assert values["outer_cover_mm"] == Range(0.37, 0.43, 0.40)
    assert values["inner_cover_mm"] == Range(5.97, 6.03, 6.0)
    assert values["hub_seat_mm"] == Range(3.97, 4.03, 4.0)
    assert values["radial_play_mm"] == exact(0.03)


def test_play_alone_can_leave_too_little_cover() -> None:
    loose = ask_with(SIDE_A, shaft_mm=exact(11.8))
    assert loose.values["radial_play_mm"] == exact(0.1)
    assert codes(loose) == ["outer_cover_small"]


def test_a_bore_that_its_play_brings_past_the_inner_edge_opens_the_ports() -> None:
    """(12.04 - 12)/2 - 0.03 = -0.01 mm; such ports also lie under the hub, which asks."""
    answer = ask_with(SIDE_A, ports_inner_mm=exact(12.04), hub_mm=exact(12.4))
    assert codes(answer) == ["ports_open_inside", "hub_over_ports"]
    assert answer.findings[0].data["short_mm"] == 0.01


def test_a_port_that_is_open_is_told_from_one_that_is_covered_too_little() -> None:
    """Outer edges at 37.94 are just covered by 38 with 0.03 of play; at 37.96 they are open by 0.01."""
    bare = ask_with(SIDE_A, ports_outer_mm=exact(37.94), land_outer_mm=exact(38.5))
    assert codes(bare) == ["outer_cover_small"] and "short_mm" not in bare.findings[0].data
    opened = ask_with(SIDE_A, ports_outer_mm=exact(37.96), land_outer_mm=exact(38.5))
    assert codes(opened) == ["ports_open_outside"] and opened.findings[0].data["short_mm"] == 0.01


def test_an_overlap_met_exactly_is_met() -> None:
    assert ask_with(SIDE_A, overlap_mm=exact(0.37)).verdict is Verdict.FITS
    assert codes(ask_with(SIDE_A, overlap_mm=exact(0.371))) == ["outer_cover_small"]


def test_a_reading_that_straddles_the_limit_asks_for_a_closer_one() -> None:
    answer = ask_with(SIDE_A, ports_outer_mm=Range.between(37.1, 37.3))
    assert answer.verdict is Verdict.CANNOT_TELL
    assert codes(answer) == ["outer_cover_doubtful"]


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"ports_inner_mm": exact(12.5), "hub_mm": exact(12.4)}, "inner_cover_small"),
        ({"hub_mm": exact(12.06)}, "hub_misses_shim"),
        ({"shaft_mm": exact(12.01)}, "face_shim_bore_small"),
        ({"land_outer_mm": exact(37.9)}, "face_shim_past_land"),
        ({"body_bore_mm": exact(38.06)}, "face_shim_touches_body"),
        ({"other_side_feed_inner_mm": exact(38.05)}, "face_shim_blocks_feed"),
    ],
)
def test_each_way_to_be_wrong_stops(changed: dict[str, Range], code: str) -> None:
    answer = ask_with(SIDE_A, **changed)
    assert answer.verdict is Verdict.DOES_NOT_FIT
    assert codes(answer) == [code]


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"ports_inner_mm": Range.between(12.6, 12.9), "hub_mm": exact(12.5)}, "inner_cover_doubtful"),
        ({"hub_mm": Range.between(12.0, 13.0)}, "hub_seat_doubtful"),
        ({"shaft_mm": Range.between(11.98, 12.02)}, "face_shim_bore_close"),
        ({"land_outer_mm": Range.between(37.9, 38.4)}, "face_shim_near_land_edge"),
        ({"body_bore_mm": Range.between(38.0, 39.0)}, "body_clearance_doubtful"),
        ({"other_side_feed_inner_mm": Range.between(38.0, 39.0)}, "feed_clearance_doubtful"),
        ({"hub_mm": exact(25.0)}, "hub_over_ports"),
        ({"ports_inner_mm": exact(37.5)}, "ports_inner_over_outer"),
    ],
)
def test_each_doubt_asks(changed: dict[str, Range], code: str) -> None:
    answer = ask_with(SIDE_A, **changed)
    assert answer.verdict is Verdict.CANNOT_TELL
    assert codes(answer) == [code]


def test_play_past_the_land_warns_where_body_and_feed_stay_clear() -> None:
    answer = ask_with(SIDE_A, land_outer_mm=exact(38.02))
    assert answer.verdict is Verdict.FITS
    assert codes(answer) == ["face_shim_plays_past_land"]
    assert answer.findings[0].data["by_mm"] == 0.02


def test_a_land_inside_the_ports_is_a_contradiction() -> None:
    assert "ports_over_land" in codes(ask_with(SIDE_A, land_outer_mm=exact(37.0)))


@pytest.mark.parametrize("name", sorted(SIDE_A))
def test_a_missing_reading_asks_for_itself_and_nothing_else(name: str) -> None:
    answer = ask_with(SIDE_A, **{name: None})
    assert answer.verdict is Verdict.CANNOT_TELL
    assert codes(answer) == [f"face_{name.removesuffix('_mm')}_unknown"]


def test_the_overlap_has_no_default() -> None:
    assert codes(ask_with(SIDE_A, overlap_mm=None)) == ["face_overlap_unknown"]


def test_open_ports_stop_even_while_overlap_and_shaft_are_unknown() -> None:
    answer = ask_with(SIDE_A, shim_od_mm=exact(34.0), overlap_mm=None, shaft_mm=None)
    assert answer.verdict is Verdict.DOES_NOT_FIT


def test_nothing_known_asks_for_everything() -> None:
    assert len(face_shim().findings) == len(SIDE_A)
    assert face_shim().verdict is Verdict.CANNOT_TELL


def test_impossible_lengths_are_refused() -> None:
    with pytest.raises(Refused, match="shim_od_mm"):
        ask_with(SIDE_A, shim_od_mm=exact(0.0))
    with pytest.raises(Refused, match="overlap_mm"):
        ask_with(SIDE_A, overlap_mm=exact(-0.1))


names = st.sampled_from(sorted(SIDE_A))


@st.composite
def readings(draw: st.DrawFn) -> dict[str, Range]:
    """Side A with its readings moved and widened by up to a tenth: near every limit at once."""
    moved = {}
    for name, reading in SIDE_A.items():
        middle = round(reading.nominal * 1000) + draw(st.integers(-100, 100))
        spread = draw(st.integers(0, 30))
        low = max(middle - spread, 1)
        moved[name] = Range(low / 1000, max(middle + spread, low) / 1000, max(middle, low) / 1000)
    return moved


@given(readings(), names, st.integers(1, 200))
def test_a_wider_reading_never_turns_a_doubt_into_fits(case: dict[str, Range], name: str, more: int) -> None:
    reading = case[name]
    wider = Range(max(reading.low - more / 1000, 0.0005), reading.high + more / 1000, reading.nominal)
    if face_shim(**case).verdict is not Verdict.FITS:
        assert ask_with(case, **{name: wider}).verdict is not Verdict.FITS


@given(readings(), names)
def test_a_removed_reading_never_gives_fits(case: dict[str, Range], name: str) -> None:
    assert ask_with(case, **{name: None}).verdict is not Verdict.FITS


@given(readings(), st.floats(-1, 1), st.lists(st.booleans(), min_size=10, max_size=10))
def test_fits_holds_at_every_corner_wherever_the_shim_lies(
    case: dict[str, Range], shift: float, ends: list[bool]
) -> None:
    """Checked edge by edge on one diameter, with the shim pushed along it."""
    if face_shim(**case).verdict is not Verdict.FITS:
        return
    at = {name: (r.high if end else r.low) for (name, r), end in zip(case.items(), ends, strict=True)}
    off = shift * (at["shim_bore_mm"] - at["shaft_mm"]) / 2
    rim, hole = at["shim_od_mm"] / 2, at["shim_bore_mm"] / 2
    for side in (1, -1):
        edge, inner_edge = rim + side * off, hole + side * off
        assert edge - at["ports_outer_mm"] / 2 >= at["overlap_mm"] - 1e-6
        assert at["ports_inner_mm"] / 2 - inner_edge >= at["overlap_mm"] - 1e-6
        assert inner_edge < at["hub_mm"] / 2
        assert edge < at["body_bore_mm"] / 2
        assert edge <= at["other_side_feed_inner_mm"] / 2 + 1e-6


@given(readings(), st.sets(names))
def test_every_finding_has_a_text_and_a_known_source(case: dict[str, Range], gone: set[str]) -> None:
    answer = ask_with(case, **dict.fromkeys(gone))
    for finding in answer.findings:
        assert texts.TEXTS[finding.code].format(**finding.data)
        assert finding.source in {*common.SOURCES, ""}
    assert set(answer.sources) <= set(common.SOURCES)
    assert set(answer.cautions) <= set(common.CAUTIONS)
    assert answer.question in texts.METHODS


def test_cover_of_uncertain_readings_takes_each_at_its_worst_for_either_end() -> None:
    """Od 37.9..38.1, ports 37.1..37.3, play 0.02..0.04: (37.9 - 37.3)/2 - 0.04 to (38.1 - 37.1)/2 + 0.04."""
    changed = {"shim_od_mm": Range.around(38.0, 0.1), "ports_outer_mm": Range.around(37.2, 0.1)}
    values = ask_with(SIDE_A, **changed, shaft_mm=Range.between(11.92, 11.96)).values
    cover = values["outer_cover_mm"]
    assert (cover.low, cover.high, cover.nominal) == pytest.approx((0.26, 0.54, 0.4), abs=1e-9)
    assert values["radial_play_mm"] == Range(0.02, 0.04, 0.03)


def test_a_finding_carries_what_is_there_and_what_is_needed() -> None:
    """Cover (38 - 37.1..37.3)/2 - 0.03 = 0.32..0.42 where 0.34..0.36 is needed: the larger need is named."""
    open_by = ask_with(SIDE_A, ports_outer_mm=Range.around(37.2, 0.1), overlap_mm=Range.between(0.34, 0.36))
    assert open_by.findings[0].data == {"min_mm": 0.32, "max_mm": 0.42, "needed_mm": 0.36}
    clear_by = ask_with(SIDE_A, body_bore_mm=Range.between(38.0, 39.0))
    assert clear_by.findings[0].data == {"min_mm": -0.03, "max_mm": 0.47}


def test_a_shim_that_may_meet_the_overlap_asks_and_one_that_cannot_stops() -> None:
    """Cover is 0.37 at its worst; the need is a range where the shop wrote one."""
    assert codes(ask_with(SIDE_A, overlap_mm=Range.between(0.37, 0.40))) == ["outer_cover_doubtful"]
    assert codes(ask_with(SIDE_A, overlap_mm=Range.between(0.38, 0.40))) == ["outer_cover_small"]


def test_readings_that_may_contradict_each_other_are_asked_about() -> None:
    """Hub and inner port edge may be one diameter; a corner beyond that is asked about, however vague the reading."""
    assert ask_with(SIDE_A, hub_mm=exact(24.0)).verdict is Verdict.FITS
    for hub in (exact(24.2), Range.between(23.8, 24.2)):
        assert codes(ask_with(SIDE_A, hub_mm=hub)) == ["hub_over_ports"]
    near = ask_with(SIDE_A, ports_inner_mm=Range.between(19.8, 20.2), hub_mm=exact(20.1))
    assert codes(near) == ["hub_over_ports"] and near.verdict is Verdict.CANNOT_TELL


def test_play_past_the_land_is_named_at_its_worst() -> None:
    """Land 38.02..38.10 leaves 0.01..0.05; play 0.02..0.04: the rim overhangs by 0.03 at most."""
    land, shaft = Range.between(38.02, 38.10), Range.between(11.92, 11.96)
    answer = ask_with(SIDE_A, land_outer_mm=land, shaft_mm=shaft, overlap_mm=exact(0.3))
    assert codes(answer) == ["face_shim_plays_past_land"]
    assert answer.findings[0].data["by_mm"] == 0.03
    just = ask_with(SIDE_A, land_outer_mm=exact(38.06), shaft_mm=shaft, overlap_mm=exact(0.3))
    assert just.findings[0].data == {"by_mm": 0.01}
    assert codes(ask_with(SIDE_A, land_outer_mm=exact(38.06))) == ["ports_covered"]
    assert codes(ask_with(SIDE_A, land_outer_mm=Range.between(38.04, 38.2))) == ["face_shim_plays_past_land"]


def test_an_overlap_of_nothing_is_a_rule_too() -> None:
    assert ask_with(SIDE_A, overlap_mm=exact(0.0)).verdict is Verdict.FITS


def test_a_reading_that_reaches_zero_is_refused() -> None:
    with pytest.raises(Refused, match="hub_mm"):
        ask_with(SIDE_A, hub_mm=Range.between(0.0, 20.0))
    with pytest.raises(Refused, match="overlap_mm"):
        ask_with(SIDE_A, overlap_mm=Range.between(-0.1, 0.3))
