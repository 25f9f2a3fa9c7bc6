"""The stack question. The trade's facts are common practice, no published source; figures are worked by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.engineering.answers import Answer, Severity, Verdict
from compat.engineering.groups import Ply, crossovers_of, groups_of, height_of, unmeasured
from compat.engineering.lip import LipRule
from compat.engineering.refused import Refused
from compat.engineering.shims import Form, Line, Size
from compat.engineering.stack_checks import bores
from compat.engineering.stacks import MAX_PIECES, rule_for, stack, stack_height
from compat.engineering.units import Range
from compat.engineering.valves import BasePlate, Kind, Place, Spacing, Valve, ValveSide, fixed_height
from compat.questions.face_shim import texts as face_shim
from compat.questions.stack import texts
from compat.texts import common, lip

exact = Range.exact
TEXTS = {**face_shim.TEXTS, **lip.TEXTS, **texts.TEXTS}


def ply(od: float, thickness: float, quantity: int = 1, bore: float = 12, form: Form = Form.ROUND) -> Ply:
    """A measured line without spread; sizes in millimetres."""
    size = Size(round(od * 1000), round(thickness * 1000), round(bore * 1000), form)
    return Ply(Line(size, quantity), exact(thickness))


COMPRESSION = ValveSide("compression", exact(24.0), exact(37.0), exact(38.4), exact(20.0), exact(39.0))
REBOUND = ValveSide("rebound", exact(24.0), exact(33.0), exact(34.4), exact(20.0), exact(35.0))
PLATES = {"compression": BasePlate(exact(5.0), exact(22.0)), "rebound": BasePlate(exact(4.0), exact(22.0))}
MAIN = Valve(
    Kind.MAIN,
    (COMPRESSION, REBOUND),
    piston_height_mm=exact(12.0),
    base_plates=PLATES,
    spacings=(Spacing("check sleeve", exact(1.5)),),
    body_bore_mm=exact(46.0),
    shaft_mm=exact(11.96),
)
TWO_STAGE = [ply(38, 0.15, 3), ply(24, 0.10), ply(36, 0.20, 2), ply(32, 0.20), ply(28, 0.20), ply(20, 0.30)]
SINGLE = [ply(34, 0.20, 4), ply(30, 0.20), ply(26, 0.20), ply(20, 0.30)]
STACKS = {"compression": TWO_STAGE, "rebound": SINGLE}
# Height 5 + 1.5 + 12 + (.45 + .1 + .4 + .2 + .2 + .3) + (.8 + .2 + .2 + .3) = 21.65 mm.
RULE = LipRule(exact(24.0), None, 1.5, 0.5)
OVERLAP = exact(0.3)


def judge(
    valve: Valve = MAIN,
    stacks: dict[str, list[Ply]] | None = None,
    rule: LipRule | None = RULE,
    overlap: Range | None = OVERLAP,
) -> Answer:
    return stack(valve, STACKS if stacks is None else stacks, overlap_mm=overlap, rule=rule)


def compression(*plies: Ply) -> Answer:
    return judge(stacks={"compression": list(plies), "rebound": SINGLE})


def codes(answer: Answer, *severities: Severity) -> list[str]:
    return [finding.code for finding in answer.findings if not severities or finding.severity in severities]


def serious(answer: Answer) -> list[str]:
    return codes(answer, Severity.STOP, Severity.ASK, Severity.WARN)


def test_a_sound_main_valve_fits() -> None:
    answer = judge()
    assert answer.verdict is Verdict.FITS
    assert serious(answer) == []


def test_height_is_everything_between_shoulder_and_rebound_base_plate() -> None:
    """Compression base plate, sleeve, piston, both stacks; the rebound base plate and spacers are not in it."""
    answer = judge()
    assert answer.values["height_mm"] == exact(21.65)
    assert answer.values["fixed_mm"] == exact(18.5)


def test_every_piece_adds_its_whole_spread_to_the_height() -> None:
    """Four unmeasured 0.20 shims of +-0.015 (ISO 9445-1): +-0.06 mm."""
    loose = unmeasured(Line(Size(34_000, 200, 12_000), 4))
    assert loose.height_mm == Range(0.74, 0.86, 0.8)
    answer = judge(stacks={"compression": TWO_STAGE, "rebound": [loose, *SINGLE[1:]]})
    assert answer.values["height_mm"] == Range(21.59, 21.71, 21.65)


def test_the_lip_rule_uses_the_outer_base_plate_and_the_height() -> None:
    """L 24, on 1.5, past 0.5, B 4, H 21.65: add at most 24 - 1.5 - 21.65 = 0.85, at least 0."""
    answer = judge()
    assert answer.values["add_mm"] == Range(0.0, 0.85, 0.425)
    assert "lip_straddled" in codes(answer)
    assert rule_for(MAIN, RULE).base_plate_mm == exact(4.0)


def test_a_stack_too_tall_for_the_lip_stops() -> None:
    answer = judge(rule=replace(RULE, shoulder_to_lip_mm=exact(23.1)))
    assert answer.verdict is Verdict.DOES_NOT_FIT
    assert codes(answer, Severity.STOP) == ["stack_too_tall"]


def test_a_low_stack_has_a_place_for_spacers_before_the_rebound_base_plate() -> None:
    answer = judge(rule=replace(RULE, shoulder_to_lip_mm=exact(26.0)))
    assert "lip_needs_spacers" in codes(answer)
    last = answer.values["assembly_order"][-3:]
    assert [step["part"] for step in last] == ["spacers", "base_plate", "nut"]
    assert last[0]["add_mm"] == Range(0.85, 2.85, 1.85)


def test_an_unknown_lip_asks() -> None:
    answer = judge(rule=None)
    assert answer.verdict is Verdict.CANNOT_TELL
    assert codes(answer, Severity.ASK) == ["shoulder_to_lip_unknown", "on_straight_unknown", "past_lip_unknown"]


def test_a_shim_thinner_than_its_strips_tolerance_keeps_a_thickness() -> None:
    foil = unmeasured(Line(Size(34_000, 8, 12_000), 1))
    assert foil.thickness_mm.low == 0.001


def test_the_spread_of_a_group_is_cubed_with_it() -> None:
    """One 0.20 +-0.02: 0.18^3 = 0.005832 to 0.22^3 = 0.010648, nominal 0.008."""
    (group,) = groups_of([Ply(ply(34, 0.2).line, Range(0.18, 0.22, 0.2))])
    assert group.sum_t3_mm3 == Range(0.005832, 0.010648, 0.008)


def test_groups_merge_neighbours_of_one_diameter_and_keep_both_sums() -> None:
    """3 x 0.15 and 2 x 0.10 of one diameter: thickness 0.65, sum t^3 = 3 * 0.003375 + 2 * 0.001 = 0.012125."""
    (group,) = groups_of([ply(40, 0.15, 3), ply(40, 0.10, 2)])
    assert (group.od_mm, group.pieces) == (40.0, 5)
    assert group.thickness_mm == exact(0.65)
    assert group.sum_t3_mm3 == exact(0.012125)


def test_groups_do_not_merge_across_another_diameter() -> None:
    assert [group.od_mm for group in groups_of([ply(40, 0.2), ply(24, 0.1), ply(40, 0.2)])] == [40, 24, 40]


def gaps(*plies: Ply) -> list[tuple[int, float, float, float]]:
    return [(c.after, c.gap_mm.nominal, c.below_od_mm, c.above_od_mm) for c in crossovers_of(groups_of(plies))]


def test_a_two_stage_stack_has_one_crossover() -> None:
    answer = judge()
    (crossover,) = answer.values["crossovers"]
    assert (crossover["side"], crossover["after"], crossover["gap_mm"]) == ("compression", 1, exact(0.1))
    assert (crossover["below_od_mm"], crossover["above_od_mm"]) == (38.0, 36.0)


def test_a_single_stage_stack_has_no_crossover() -> None:
    assert gaps(*SINGLE) == []


def test_a_gap_is_all_that_is_absent_there() -> None:
    """Two crossover shims of 22 and 24 mm under a 38 mm shim: the gap at its rim is both, 0.10 + 0.15."""
    assert gaps(ply(40, 0.2), ply(22, 0.10), ply(24, 0.15), ply(38, 0.2)) == [
        (1, 0.10, 40.0, 24.0),
        (1, 0.25, 40.0, 38.0),
    ]


def test_several_crossovers_are_all_found_wherever_they_stand() -> None:
    """The 34 mm shim faces the 38 mm one across 20, and nothing beyond a plate as large as 40 faces the first."""
    found = gaps(ply(40, 0.2), ply(24, 0.1), ply(38, 0.2), ply(20, 0.3), ply(34, 0.2), ply(18, 0.3))
    assert found == [(1, 0.1, 40.0, 38.0), (3, 0.3, 38.0, 34.0)]


def test_a_gap_under_five_hundredths_warns() -> None:
    thin = [ply(38, 0.2), ply(24, 0.04), ply(36, 0.2), ply(20, 0.3)]
    assert serious(compression(*thin)) == ["crossover_gap_small"]
    assert serious(compression(thin[0], ply(24, 0.05), *thin[2:])) == []


def test_a_gap_under_its_own_spread_warns() -> None:
    """0.12 mm known only to +-0.065."""
    wide = Ply(ply(24, 0.12).line, Range.around(0.12, 0.065))
    assert "crossover_gap_small" in codes(compression(ply(38, 0.2), wide, ply(36, 0.2), ply(20, 0.3)))


def test_a_small_gap_is_named_with_both_limits() -> None:
    gap = Ply(ply(24, 0.05).line, Range.around(0.05, 0.01))
    found = [f for f in compression(ply(38, 0.2), gap, ply(36, 0.2), ply(20, 0.3)).findings if "gap" in f.code]
    assert found[0].data == {
        "side": "compression",
        "after": 1,
        "gap_min_mm": 0.04,
        "gap_max_mm": 0.06,
        "least_mm": 0.05,
    }


def test_a_gap_as_wide_as_its_spread_is_trusted() -> None:
    """0.12 mm +-0.06 spreads by 0.12 and is at least 0.06."""
    gap = Ply(ply(24, 0.12).line, Range(0.06, 0.18, 0.12))
    assert serious(compression(ply(38, 0.2), gap, ply(36, 0.2), ply(20, 0.3))) == []


def test_a_reverse_taper_is_a_warning_and_not_a_rule() -> None:
    answer = judge(stacks={"compression": TWO_STAGE, "rebound": [ply(34, 0.2), ply(36, 0.2), ply(20, 0.3)]})
    assert codes(answer, Severity.WARN) == ["reverse_taper"]
    assert answer.verdict is Verdict.FITS


def test_a_rise_out_of_a_crossover_is_no_reverse_taper() -> None:
    assert "reverse_taper" not in codes(judge())


def test_a_rise_after_two_groups_of_the_same_reach_is_still_a_reverse_taper() -> None:
    """30, 34, 36: each rise is one; 34, 20, 34, 36: only the last, since 20 is a crossover."""
    rising = judge(stacks={"compression": TWO_STAGE, "rebound": [ply(34, 0.2), ply(35, 0.2), ply(36, 0.2)]})
    assert codes(rising).count("reverse_taper") == 2
    again = judge(
        stacks={"compression": TWO_STAGE, "rebound": [ply(34, 0.2), ply(20, 0.2), ply(34, 0.2), ply(36, 0.2)]}
    )
    found = [f.data for f in again.findings if f.code == "reverse_taper"]
    assert found == [{"side": "rebound", "below_od_mm": 34.0, "above_od_mm": 36.0}]


@pytest.mark.parametrize(
    ("body", "shaft", "code", "limits"),
    [
        (exact(40.04), exact(11.96), "shim_touches_body", (0.0, 0.0)),
        (Range.between(40.0, 40.5), exact(11.96), "shim_clearance_doubtful", (-0.02, 0.23)),
        (exact(40.04), Range.between(11.94, 11.98), "shim_clearance_doubtful", (-0.01, 0.01)),
        (exact(40.02), Range.between(11.96, 12.0), "shim_clearance_doubtful", (-0.01, 0.01)),
    ],
)
def test_clearance_of_a_large_shim_counts_its_play(
    body: Range, shaft: Range, code: str, limits: tuple[float, float]
) -> None:
    """40 mm shim of bore 12: (body - 40 - (12 - shaft)) / 2."""
    valve = replace(MAIN, body_bore_mm=body, shaft_mm=shaft)
    answer = judge(valve, stacks={"compression": TWO_STAGE, "rebound": [ply(34, 0.2), ply(40, 0.2), ply(20, 0.3)]})
    (found,) = (f for f in answer.findings if f.code == code)
    assert (found.data["min_mm"], found.data["max_mm"]) == limits


@pytest.mark.parametrize("name", ["body_bore_mm", "shaft_mm"])
def test_clearance_of_a_large_shim_waits_for_body_and_shaft(name: str) -> None:
    stacks = {"compression": TWO_STAGE, "rebound": [ply(34, 0.2), ply(46, 0.2), ply(20, 0.3)]}
    answer = judge(changed(name, None), stacks=stacks)
    assert answer.verdict is Verdict.CANNOT_TELL
    assert "shim_touches_body" not in codes(answer)


def test_a_face_shim_that_touches_the_body_is_named_once() -> None:
    answer = judge(replace(MAIN, body_bore_mm=exact(38.0)))
    assert codes(answer, Severity.STOP) == ["face_shim_touches_body"]


def test_a_shim_larger_than_the_face_shim_must_clear_the_body() -> None:
    """46.0 shim in a 46.0 body: contact."""
    answer = judge(stacks={"compression": TWO_STAGE, "rebound": [ply(34, 0.2), ply(46, 0.2), ply(20, 0.3)]})
    assert "shim_touches_body" in codes(answer, Severity.STOP)


def test_a_crossover_smaller_than_the_clamp_sets_the_clamp() -> None:
    """One clamp radius for all plates: the smallest of hub, base plate and every shim."""
    answer = compression(ply(38, 0.2), ply(18, 0.1), ply(36, 0.2), ply(20, 0.3))
    assert codes(answer, Severity.WARN) == ["clamp_not_smallest"]


def test_a_clamp_larger_than_the_base_plates_contact_warns() -> None:
    assert codes(compression(ply(38, 0.2), ply(30, 0.2), ply(24, 0.3)), Severity.WARN) == ["clamp_over_base_plate"]
    assert serious(compression(ply(38, 0.2), ply(30, 0.2), ply(22, 0.3))) == []


def test_a_contact_diameter_that_may_be_smaller_than_the_clamp_warns() -> None:
    plates = {**PLATES, "compression": BasePlate(exact(5.0), Range.between(19.5, 20.5))}
    (found,) = (f for f in judge(replace(MAIN, base_plates=plates)).findings if f.severity is Severity.WARN)
    assert found.data == {"side": "compression", "clamp_od_mm": 20.0, "contact_mm": 19.5}


def test_an_unknown_base_plate_contact_warns() -> None:
    plates = {**PLATES, "rebound": BasePlate(exact(4.0))}
    assert serious(judge(replace(MAIN, base_plates=plates))) == ["base_plate_contact_unknown"]


def test_a_stack_of_one_diameter_is_clamped_by_the_base_plate() -> None:
    answer = compression(ply(38, 0.2, 2))
    assert "no_clamp_shim" in codes(answer, Severity.NOTE)
    assert serious(answer) == []
    assert answer.verdict is Verdict.FITS


def test_a_bore_under_the_shaft_stops() -> None:
    """11.9 mm bore on an 11.96 mm shaft."""
    answer = compression(*TWO_STAGE[:-1], ply(20, 0.3, bore=11.9))
    assert codes(answer, Severity.STOP) == ["bore_under_shaft"]


def test_bores_a_little_apart_warn_and_bores_for_two_shafts_stop() -> None:
    """Stock bores are 2 mm apart (common practice, no published source)."""
    assert codes(compression(*TWO_STAGE[:-1], ply(20, 0.3, bore=12.1)), Severity.WARN) == ["bores_differ"]
    assert codes(compression(*TWO_STAGE[:-1], ply(20, 0.3, bore=14)), Severity.STOP) == ["bores_of_two_shafts"]


def test_one_shim_for_a_larger_shaft_among_others_is_found() -> None:
    """12.0 and 12.98 are within a step of each other, and 12.98 is a whole millimetre over a shaft of 11.96."""
    odd = compression(*TWO_STAGE[:-1], ply(20, 0.3, bore=12.98))
    assert codes(odd, Severity.STOP) == ["bore_of_larger_shaft"]


def test_a_loose_shim_as_large_as_the_face_shim_must_clear_the_body_too() -> None:
    """The face shim clears a bore of 38.4 by 0.18, with its play of 0.02; one with 0.2 of play more does not."""
    tight = replace(
        MAIN, body_bore_mm=exact(38.4), sides=(replace(COMPRESSION, other_side_feed_inner_mm=None), REBOUND)
    )
    assert "shim_touches_body" not in codes(judge(tight))
    loose = [TWO_STAGE[0], ply(38, 0.2, bore=12.4), *TWO_STAGE[1:]]
    assert "shim_touches_body" in codes(judge(tight, {"compression": loose, "rebound": SINGLE}))


def test_shims_for_a_larger_shaft_stop() -> None:
    wide = [ply(p.od_mm, p.thickness_mm.nominal, p.line.quantity, bore=14) for p in TWO_STAGE]
    assert "bore_of_larger_shaft" in codes(compression(*wide), Severity.STOP)


@pytest.mark.parametrize(
    ("shaft", "code"),
    [
        (exact(12.0), None),
        (Range.between(11.9, 12.0), None),
        (Range.between(12.0, 12.1), "bore_close_to_shaft"),
        (exact(12.001), "bore_under_shaft"),
        (exact(11.001), None),
        (exact(11.0), "bore_of_larger_shaft"),
        (Range.between(11.0, 11.001), "bore_may_be_loose"),
    ],
)
def test_a_bore_of_12_takes_shafts_up_to_12_and_above_11(shaft: Range, code: str | None) -> None:
    """Stock bores are 2 mm apart, so 1 mm of clearance belongs to another shaft (common practice)."""
    found = [f for f in bores("rebound", SINGLE, shaft) if f.severity is not Severity.NOTE]
    assert [f.code for f in found] == ([] if code is None else [code])
    data = {"side": "rebound", "bore_mm": 12.0, "shaft_min_mm": shaft.low, "shaft_max_mm": shaft.high}
    assert all(f.data == data for f in found)


def test_bores_one_millimetre_apart_are_of_two_shafts() -> None:
    found = bores("rebound", [ply(34, 0.2, bore=12), ply(20, 0.2, bore=13)], None)
    assert [f.code for f in found] == ["bores_of_two_shafts"]


def test_a_shaft_known_too_loosely_asks() -> None:
    near = judge(replace(MAIN, shaft_mm=Range.between(11.95, 12.02)))
    assert "bore_close_to_shaft" in codes(near, Severity.ASK)
    loose = judge(replace(MAIN, shaft_mm=Range.between(10.9, 11.98)))
    assert "bore_may_be_loose" in codes(loose, Severity.ASK)


def test_a_notched_face_is_a_bleed_on_purpose() -> None:
    answer = compression(ply(38, 0.15, form=Form.NOTCHED), *TWO_STAGE[1:])
    assert "face_bleed" in codes(answer, Severity.NOTE)
    assert answer.verdict is Verdict.FITS


def test_a_slotted_shim_away_from_the_face_is_taken_as_round_with_a_warning() -> None:
    answer = compression(ply(38, 0.15), ply(30, 0.2, form=Form.SLOTTED), ply(20, 0.3))
    assert serious(answer) == ["cut_shim_taken_as_round"]
    assert answer.verdict is Verdict.FITS


@pytest.mark.parametrize(("form", "code"), [(Form.RING, "ring_shim_in_stack"), (Form.POLYGON, "polygon_shim_in_stack")])
def test_rings_and_polygons_cannot_be_judged(form: Form, code: str) -> None:
    """A ring's own wide bore is by design and is not held against it."""
    answer = compression(ply(38, 0.15), ply(36, 0.2, bore=30 if form is Form.RING else 12, form=form), ply(20, 0.3))
    assert answer.verdict is Verdict.CANNOT_TELL
    assert serious(answer) == [code]


def test_stacks_on_the_wrong_sides_stop_with_the_side_named() -> None:
    """A piston the wrong way round: the 34 mm face shim leaves side A's ports open, the 38 mm one overhangs side B."""
    answer = judge(stacks={"compression": SINGLE, "rebound": TWO_STAGE})
    stops = {(f.code, f.data["side"]) for f in answer.findings if f.severity is Severity.STOP}
    assert ("ports_open_outside", "compression") in stops
    assert ("face_shim_past_land", "rebound") in stops


def test_cover_is_given_for_each_side() -> None:
    cover = judge().values["cover"]
    assert [(each["side"], each["outer_cover_mm"]) for each in cover] == [
        ("compression", Range(0.48, 0.52, 0.5)),
        ("rebound", Range(0.48, 0.52, 0.5)),
    ]


def test_a_missing_overlap_asks_on_both_sides() -> None:
    assert codes(judge(overlap=None), Severity.ASK) == ["face_overlap_unknown", "face_overlap_unknown"]


def test_an_empty_side_of_a_main_valve_stops() -> None:
    answer = judge(stacks={"compression": TWO_STAGE, "rebound": []})
    assert codes(answer, Severity.STOP) == ["side_without_shims"]


def test_a_side_that_is_not_told_asks_and_leaves_the_height_open() -> None:
    answer = judge(stacks={"compression": TWO_STAGE})
    assert answer.verdict is Verdict.CANNOT_TELL
    assert codes(answer, Severity.ASK) == ["side_not_told"]
    assert answer.values["height_mm"] is None
    assert answer.values["add_mm"] is None


def test_more_than_200_pieces_are_refused() -> None:
    judge(stacks={"compression": [ply(38, 0.1, MAX_PIECES - 7)], "rebound": SINGLE})
    with pytest.raises(Refused, match=r"too_many_shims_asked.*201"):
        judge(stacks={"compression": [ply(38, 0.1, MAX_PIECES - 6)], "rebound": SINGLE})


def test_impossible_input_is_refused() -> None:
    with pytest.raises(Refused, match="side_unknown"):
        judge(stacks={"middle": SINGLE})
    with pytest.raises(Refused, match="line_without_shims"):
        ply(38, 0.2, 0)
    with pytest.raises(Refused, match="shim_size_impossible"):
        ply(12, 0.2, bore=12)
    with pytest.raises(Refused, match="shim_size_impossible"):
        ply(12, 0.2, bore=0)
    with pytest.raises(Refused, match="shim_size_impossible"):
        Ply(ply(38, 0.2).line, Range.between(0.0, 0.4))
    with pytest.raises(Refused, match="main_valve_one_sided"):
        Valve(Kind.MAIN, (COMPRESSION,))
    with pytest.raises(Refused, match="sides_unknown"):
        Valve(Kind.BASE, (ValveSide("middle"),))
    with pytest.raises(Refused, match="base_plate_of_no_side"):
        Valve(Kind.BASE, (COMPRESSION,), base_plates={"middle": BasePlate()})
    with pytest.raises(ValueError, match="order on the shaft"):
        Valve(Kind.BASE, (COMPRESSION,), on_shaft_order=("compression",))
    with pytest.raises(ValueError, match="order on the shaft"):
        Valve(Kind.BASE, (COMPRESSION,), on_shaft_order=("compression", "compression"))


def test_the_compression_stack_goes_on_reversed_clamp_shim_first() -> None:
    """Common practice of the trade; no published source."""
    steps = judge().values["assembly_order"]
    assert [step["step"] for step in steps] == list(range(1, len(steps) + 1))
    told = [(step["part"], step.get("side", step.get("name")), step.get("od_mm")) for step in steps]
    assert told == [
        ("spacing", "check sleeve", None),
        ("base_plate", "compression", None),
        *[("shim", "compression", od) for od in (20.0, 28.0, 32.0, 36.0, 24.0, 38.0)],
        ("piston", None, None),
        *[("shim", "rebound", od) for od in (34.0, 30.0, 26.0, 20.0)],
        ("base_plate", "rebound", None),
        ("nut", None, None),
    ]


def test_every_step_says_which_way_it_looks() -> None:
    steps = judge().values["assembly_order"]
    piston = next(step for step in steps if step["part"] == "piston")
    assert (piston["down"], piston["up"]) == ("compression", "rebound")
    looks = {(step["part"], step["side"]): step["face_towards"] for step in steps if "side" in step}
    assert looks == {
        ("base_plate", "compression"): "nut",
        ("shim", "compression"): "nut",
        ("shim", "rebound"): "shoulder",
        ("base_plate", "rebound"): "shoulder",
    }


def test_shims_keep_the_number_of_the_line_that_they_were_typed_in() -> None:
    steps = [s for s in judge().values["assembly_order"] if s["part"] == "shim" and s["side"] == "compression"]
    assert [step["line"] for step in steps] == [6, 5, 4, 3, 2, 1]
    assert [step["role"] for step in steps] == ["clamp", "taper", "taper", "taper", "crossover", "face"]
    assert sum(step["pieces"] for step in steps) == 9


def test_washers_stand_where_they_are_placed() -> None:
    washers = (Spacing("low", exact(1.0), Place.INNER), Spacing("high", exact(0.5), Place.OUTER))
    answer = judge(replace(MAIN, spacings=washers))
    names = [step.get("name", step["part"]) for step in answer.values["assembly_order"] if step["part"] != "shim"]
    assert names == ["base_plate", "low", "piston", "high", "base_plate", "nut"]
    assert answer.values["fixed_mm"] == exact(18.5)


def test_a_main_valve_the_other_way_up_has_its_lip_under_the_compression_base_plate() -> None:
    turned = replace(MAIN, on_shaft_order=("rebound", "compression"))
    assert rule_for(turned, RULE).base_plate_mm == exact(5.0)
    assert judge(turned).values["fixed_mm"] == exact(17.5)
    assert next(s for s in judge(turned).values["assembly_order"] if s["part"] == "piston")["up"] == "compression"


@pytest.mark.parametrize(
    ("valve", "code"),
    [
        (replace(MAIN, piston_height_mm=None), "piston_height_unknown"),
        (replace(MAIN, base_plates={**PLATES, "compression": BasePlate(None, exact(22.0))}), "inner_base_plate_height"),
        (replace(MAIN, base_plates={**PLATES, "rebound": BasePlate(None, exact(22.0))}), "lip_base_plate_unknown"),
        (replace(MAIN, spacings=(Spacing("sleeve"),)), "spacing_height_unknown"),
    ],
)
def test_an_unmeasured_part_of_the_height_asks_for_itself(valve: Valve, code: str) -> None:
    answer = judge(valve)
    assert answer.verdict is Verdict.CANNOT_TELL
    (asked,) = codes(answer, Severity.ASK)
    assert asked.startswith(code)


def test_a_base_valve_has_no_lip_rule() -> None:
    base = replace(MAIN, kind=Kind.BASE)
    answer = judge(base, rule=None)
    assert answer.verdict is Verdict.FITS
    assert answer.values["add_mm"] is None
    assert answer.values["height_mm"] == exact(21.65)


def test_a_base_valve_of_unknown_height_still_fits_and_says_so() -> None:
    answer = judge(replace(MAIN, kind=Kind.BASE, piston_height_mm=None), rule=None)
    assert answer.verdict is Verdict.FITS
    assert "valve_height_not_known" in codes(answer, Severity.NOTE)


def test_an_empty_side_of_a_base_valve_asks() -> None:
    answer = judge(replace(MAIN, kind=Kind.BASE), stacks={"compression": TWO_STAGE, "rebound": []})
    assert codes(answer, Severity.ASK) == ["side_may_be_empty"]


def test_a_one_sided_base_valve_has_one_base_plate() -> None:
    base = Valve(Kind.BASE, (COMPRESSION,), exact(8.0), {"compression": PLATES["compression"]}, (), exact(46.0))
    steps = stack(base, {"compression": TWO_STAGE}).values["assembly_order"]
    assert [s["part"] for s in steps if s["part"] != "shim"] == ["base_plate", "piston", "nut"]
    rebound = replace(base, sides=(REBOUND,), base_plates={"rebound": PLATES["rebound"]})
    assert fixed_height(rebound) == (exact(8.0), [])


def test_a_base_plate_belongs_in_the_order_even_where_nothing_is_known_of_it() -> None:
    steps = judge(replace(MAIN, base_plates={})).values["assembly_order"]
    assert [step["side"] for step in steps if step["part"] == "base_plate"] == ["compression", "rebound"]
    assert codes(judge(replace(MAIN, base_plates={})), Severity.ASK) == [
        "inner_base_plate_height_unknown",
        "lip_base_plate_unknown",
    ]


def test_a_mid_valves_own_plate_counts_where_it_is_told() -> None:
    mid = Valve(Kind.MID, (COMPRESSION,), base_plates={"compression": BasePlate(exact(2.0))})
    assert fixed_height(mid) == (exact(2.0), [])


def test_a_mid_valves_shims_float_and_only_its_sleeve_counts() -> None:
    """Common practice of the trade; no published source."""
    sleeve = (Spacing("sleeve", exact(3.0)),)
    mid = Valve(Kind.MID, (COMPRESSION,), spacings=sleeve, body_bore_mm=exact(46.0), shaft_mm=exact(11.96))
    answer = judge(mid, stacks={"compression": TWO_STAGE}, rule=None)
    assert answer.values["height_mm"] == exact(3.0)
    assert "floating_shims_not_in_height" in codes(answer, Severity.NOTE)
    assert answer.verdict is Verdict.FITS
    assert {step["part"] for step in answer.values["assembly_order"]} == {"spacing", "shim", "nut"}


def test_every_finding_and_source_of_an_answer_has_its_text() -> None:
    ring = ply(30, 0.2, bore=25, form=Form.RING)
    odd = [ply(34, 0.2, form=Form.NOTCHED), ply(46, 0.2), ring, ply(30, 0.03, form=Form.SLOTTED), ply(36, 0.2, bore=14)]
    few = Valve(Kind.MAIN, (ValveSide("compression"), ValveSide("rebound")), spacings=(Spacing("washer"),))
    answers = [judge(), judge(few), judge(stacks={"compression": odd, "rebound": []}), judge(few, stacks={})]
    answers += [judge(replace(MAIN, kind=Kind.BASE, piston_height_mm=None), {"compression": SINGLE, "rebound": []})]
    for answer in answers:
        for finding in answer.findings:
            assert TEXTS[finding.code].format(**finding.data)
            assert finding.source in {*common.SOURCES, ""}
        assert set(answer.sources) <= set(common.SOURCES)
        assert set(answer.cautions) <= set(common.CAUTIONS)
        assert answer.question in texts.METHODS


def test_no_code_has_two_texts() -> None:
    assert len(TEXTS) == len(face_shim.TEXTS) + len(lip.TEXTS) + len(texts.TEXTS)


thicknesses = st.sampled_from([0.10, 0.15, 0.20, 0.25, 0.30])
free_stacks = st.lists(st.builds(ply, st.integers(16, 44), thicknesses, st.integers(1, 4)), min_size=1, max_size=9)


def rows_by_radius(plies: Sequence[Ply]) -> set[tuple[int, int]]:
    """At each shim's rim, list the groups present from face to base; neighbours that are not adjacent leave a gap."""
    diameters = [group.od_mm for group in groups_of(plies)]
    found = set()
    for rim in set(diameters):
        present = [index for index, od in enumerate(diameters) if od >= rim]
        found |= {(one, other) for one, other in pairwise(present) if other > one + 1}
    return found


@given(free_stacks)
def test_crossovers_are_the_open_contact_rows_of_the_stack(plies: list[Ply]) -> None:
    """Found a second way: from the plates present at each radius."""
    groups, found = groups_of(plies), crossovers_of(groups_of(plies))
    assert {(c.after - 1, c.after + c.between) for c in found} == rows_by_radius(plies)
    for crossover in found:
        absent = groups[crossover.after : crossover.after + crossover.between]
        assert crossover.gap_mm.nominal == pytest.approx(sum(g.thickness_mm.nominal for g in absent), abs=1e-9)


@given(free_stacks)
def test_merging_loses_neither_pieces_nor_height(plies: list[Ply]) -> None:
    groups = groups_of(plies)
    assert sum(group.pieces for group in groups) == sum(each.line.quantity for each in plies)
    assert sum(g.thickness_mm.nominal for g in groups) == pytest.approx(height_of(plies).nominal, abs=1e-9)
    assert all(one.od_mm != other.od_mm for one, other in pairwise(groups))


@given(free_stacks, st.data())
def test_splitting_a_line_changes_no_finding_and_no_group(plies: list[Ply], data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(plies) - 1))
    line = plies[at].line
    double = replace(plies[at], line=replace(line, quantity=2 * line.quantity))
    whole = compression(*plies[:at], double, *plies[at + 1 :])
    split = compression(*plies[:at], plies[at], plies[at], *plies[at + 1 :])
    assert codes(whole) == codes(split)
    for name in ("groups", "crossovers", "height_mm"):
        assert whole.values[name] == split.values[name]


VALVE_READINGS = ["piston_height_mm", "body_bore_mm", "shaft_mm"]
SIDE_READINGS = ["ports_inner_mm", "ports_outer_mm", "land_outer_mm", "hub_mm", "other_side_feed_inner_mm"]


def changed(name: str, value: Any) -> Valve:
    if name in VALVE_READINGS:
        return replace(MAIN, **{name: value})
    return replace(MAIN, sides=(replace(COMPRESSION, **{name: value}), REBOUND))


@pytest.mark.parametrize("name", VALVE_READINGS + SIDE_READINGS)
def test_a_removed_reading_cannot_tell(name: str) -> None:
    assert judge(changed(name, None)).verdict is Verdict.CANNOT_TELL


@given(
    st.sampled_from(VALVE_READINGS + SIDE_READINGS), st.integers(-900, 900), st.integers(0, 400), st.integers(1, 300)
)
def test_a_wider_reading_never_turns_a_doubt_into_fits(name: str, moved: int, spread: int, more: int) -> None:
    reading = getattr(MAIN if name in VALVE_READINGS else COMPRESSION, name)
    middle = reading.nominal + moved / 1000
    if judge(changed(name, Range.around(middle, spread / 1000))).verdict is not Verdict.FITS:
        assert judge(changed(name, Range.around(middle, (spread + more) / 1000))).verdict is not Verdict.FITS


@given(st.integers(0, 5), st.integers(1, 60))
def test_an_uncertain_thickness_never_makes_a_tall_stack_fit(at: int, spread: int) -> None:
    """H_max is 21.65 mm where 21.65 is allowed: any spread at all may be too much, and is asked about."""
    tight = replace(RULE, shoulder_to_lip_mm=exact(23.15))
    assert judge(rule=tight).verdict is Verdict.FITS
    wide = list(TWO_STAGE)
    wide[at] = Ply(wide[at].line, Range.around(wide[at].thickness_mm.nominal, spread / 1000))
    assert judge(stacks={"compression": wide, "rebound": SINGLE}, rule=tight).verdict is Verdict.CANNOT_TELL


def test_stack_height_says_what_is_missing() -> None:
    height, missing = stack_height(replace(MAIN, piston_height_mm=None), STACKS)
    assert height is None
    assert [finding.code for finding in missing] == ["piston_height_unknown"]
