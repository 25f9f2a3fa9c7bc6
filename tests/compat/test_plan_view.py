"""A plan's lots as the drawing and the pick list show them."""

from __future__ import annotations

from typing import Any

from compat.pages.plan.plan_view import PlanView, view_of
from compat.pages.plan.plan_words import changes, stand_in
from compat.plans.answered import StandIn, answered
from compat.texts.plan import TEXTS
from inventory.documents.typed import read
from tests.api.conftest import damper_document, stored

OTHERS = ("base", "mid")
LOT = {"part": "P", "condition": "new", "od_mm": 34.0, "measured": True, "stand_in": False}


def lot(name: str, thickness: float, quantity: int, **more: Any) -> dict[str, Any]:
    return {
        **LOT,
        "lot": name,
        "drawer": f"D-{name}",
        "thickness_mm": thickness,
        "mean_mm": thickness,
        "quantity": quantity,
        **more,
    }


def position(
    side: str, number: int, lots: list[dict[str, Any]], quantity: int, missing: int = 0, valve: str = "main"
) -> dict[str, Any]:
    return {
        "position": f"{valve}.{side}.{number}",
        "valve": valve,
        "side": side,
        "line": number,
        "role": "taper",
        "od_mm": 34.0,
        "thickness_mm": 0.15,
        "bore_mm": 12.0,
        "form": "round",
        "quantity": quantity,
        "lots": lots,
        "missing": missing,
    }


def document(*lines: dict[str, Any], spacer: list[dict[str, Any]] | None = None, **more: Any) -> dict[str, Any]:
    answer = {"verdict": "fits", "summary": "It fits.", "findings": [], "values": {}, "cautions": []}
    return {
        "answer": answer,
        "verdict": "fits",
        "complete": True,
        "missing": 0,
        "lines": list(lines),
        "also": [],
        "to_confirm": [],
        "stand_ins": [],
        "spacer": {"add_mm": None, "lines": spacer, "total_mm": 0.0, "reason": None} if spacer else None,
        "alternatives": [],
        "proven_best": True,
        **more,
    }


def view(*lines: dict[str, Any], **more: Any) -> PlanView:
    damper = damper_document()
    sides = {"compression": damper["valves"][0]["sides"]["compression"]}
    damper["valves"] += [{"code": code, "shaft_mm": 12.0, "piston_height_mm": 8.0, "sides": sides} for code in OTHERS]
    return view_of(document(*lines, **more), stored(damper))


def test_like_shims_of_a_position_are_one_number_and_stand_ins_and_missing_ones_their_own() -> None:
    lots = [lot("A", 0.15, 2), lot("B", 0.15, 1, mean_mm=0.153), lot("C", 0.2, 1, stand_in=True)]
    shown = view(position("rebound", 1, lots, 5, missing=1))
    rows = [(row.name, row.size, row.pieces, row.mark) for row in shown.pictures[0].rows if "shim" in row.name]
    # From the nut down: what is missing lies last, beyond what was drawn, thicker ones at the piston.
    assert [(pieces, mark) for _, _, pieces, mark in rows] == [(1, "missing"), (3, ""), (1, "stand-in")]
    # Washer 1, plate 2, piston 3; then the three runs.
    assert shown.positions[0].refs == "4-6"


def test_the_numbers_of_the_drawing_stand_on_the_pick_list() -> None:
    shown = view(
        position("compression", 1, [lot("A", 0.15, 2)], 2),
        position("compression", 2, [lot("B", 0.2, 1)], 1),
        position("rebound", 1, [lot("A", 0.15, 1)], 1),
        spacer=[lot("S", 0.3, 1)],
    )
    # From the shoulder: washer 1, plate 2, compression from clamp to face 3 and 4, piston 5, rebound 6, spacer 7.
    assert [one.refs for one in shown.positions] == ["4", "3", "6"]
    assert {pick.lot: (pick.quantity, pick.used_for) for pick in shown.picks} == {
        "A": (3, "4, 6"),
        "B": (1, "3"),
        "S": (1, "7 spacer"),
    }
    assert [pick.drawer for pick in shown.picks] == ["D-A", "D-B", "D-S"]
    assert shown.pieces == 5


def test_the_build_order_is_the_parts_list_from_the_shoulder_outward() -> None:
    picture = view(position("rebound", 1, [lot("A", 0.15, 2)], 2)).pictures[0]
    assert [row.ref for row in picture.order] == ["1", "2", "3", "4", "5", "6"]
    assert [picture.order[0].name, picture.order[-1].name] == ["Shoulder washer", "nut"]
    assert picture.order[-1].size == "M12x1.25"


CHECKS = [
    {"code": code, "text": code}
    for code in ("gauge_shaft_pitch", "gauge_nut_pitch", "measure_lip", "measure_base_plate", "measure_spacer")
]


def expected(readings: dict[str, Any] | None = None, **damper: Any) -> dict[str, str]:
    """{code of a check: what it should read}."""
    spacer = {
        "add_mm": {"min": 0.2, "max": 0.4, "nominal": 0.3},
        "lines": [lot("S", 0.3, 1)],
        "total_mm": 0.3,
        "reason": None,
    }
    plan = {**document(position("rebound", 1, [lot("A", 0.15, 1)], 1), to_confirm=CHECKS), "spacer": spacer}
    shown = view_of(plan, stored(damper_document() | damper), readings)
    return {check.text: check.expected for check in shown.checks}


def test_a_check_says_what_the_damper_model_expects_and_a_reading_counts_before_it() -> None:
    end = {"thread": "M12x1.25", "shoulder_to_lip_mm": {"min": 23.9, "max": 24.0, "nominal": 23.95}}
    found = expected(shaft_end=end)
    assert found["gauge_shaft_pitch"] == found["gauge_nut_pitch"] == "1.25 mm"
    assert found["measure_lip"] == "23.9 to 24 mm"
    assert found["measure_base_plate"].endswith(" mm")
    assert found["measure_spacer"] == "0.300 mm together, 0.200 to 0.400 mm is safe"
    read = expected({"thread": "M12x1.5", "base_plate_mm": 4.01}, shaft_end=end)
    assert (read["gauge_shaft_pitch"], read["measure_base_plate"]) == ("1.5 mm", "4.01 mm")


def test_where_the_model_says_nothing_a_check_expects_nothing() -> None:
    found = expected(shaft_end=None)
    assert (found["gauge_shaft_pitch"], found["measure_lip"]) == ("", "")


def test_a_lot_without_a_reading_is_to_be_measured_once() -> None:
    bare = lot("B", 0.15, 1, measured=False)
    shown = view(
        position("rebound", 1, [lot("A", 0.15, 1), bare], 2),
        position("rebound", 2, [bare], 1),
        spacer=[lot("S", 0.3, 1, measured=False)],
    )
    assert [(check.text, check.expected) for check in shown.checks] == [
        ("Measure lot B from D-B: no reading yet.", "about 34 x 0.15 mm"),
        ("Measure lot S from D-S: no reading yet.", "about 34 x 0.30 mm"),
    ]


def test_several_lots_of_one_size_in_one_drawer_are_drawn_oldest_first() -> None:
    two = [lot("A", 0.15, 1), lot("B", 0.15, 3, drawer="D-A")]
    apart = [lot("A", 0.15, 1), lot("B", 0.15, 3)]
    other = [lot("A", 0.15, 1), lot("B", 0.2, 3, drawer="D-A", stand_in=True)]
    shown = [view(position("rebound", 1, lots, 4)).positions[0].has_like_lots for lots in (two, apart, other)]
    assert shown == [True, False, False]


def test_a_percentage_has_one_decimal_and_a_thickness_of_spacers_three() -> None:
    said = TEXTS["stand_ins_used"].format(count=1, worst_percent=0.06)
    assert "by 0.1 %" in said
    spread = {"total_min_mm": 0.3, "total_max_mm": 0.325, "add_min_mm": 0.1, "add_max_mm": 0.5}
    assert TEXTS["spacer_spread"].format(**spread).startswith("The spacers add up to 0.300 to 0.325 mm, and 0.100 to")


def test_a_stand_in_says_what_it_changes() -> None:
    sizes = [{"quantity": 2, "od_mm": 34, "thickness_mm": 0.2}, {"quantity": 1, "od_mm": 33, "thickness_mm": 0.1}]
    one = {"position": "main.rebound.1", "replaces": 3, "with": sizes, "height_change_mm": 0.05}
    there = "2 of 34 x 0.20 + 1 of 33 x 0.10 mm for 3: {}, height +0.050 mm"
    said = stand_in(read(StandIn, {**one, "sum_t3_change_percent": -0.94, "curve_change_percent": None}))
    assert said == there.format("stiffness here -0.9 %")
    said = stand_in(read(StandIn, {**one, "sum_t3_change_percent": None, "curve_change_percent": 1.26}))
    assert said == there.format("force of this side within 1.3 % by nominal sizes")
    figures = {"curve_change_percent": 0.24, "drawn_change_percent": -6.96}
    said = stand_in(read(StandIn, {**one, "sum_t3_change_percent": None, **figures}))
    assert said == there.format("force of this side -7.0 % with the lots drawn (chosen by nominal sizes: 0.2 %)")


def test_where_a_plan_has_other_valves_every_number_names_its_valve() -> None:
    nothing = {"sum_t3_change_percent": 0.0, "curve_change_percent": None, "height_change_mm": 0.0}
    stand_in_there: dict[str, Any] = {"replaces": 1, "with": [], **nothing}
    places = ("main.rebound.1", "mid.compression.1")
    other = {"stand_ins": [{"position": place, **stand_in_there} for place in places], "missing": 0, "spacer": None}
    shown = view(
        position("rebound", 1, [lot("A", 0.15, 2)], 2),
        position("compression", 1, [lot("A", 0.15, 1)], 1, valve="base"),
        position("compression", 1, [lot("M", 0.15, 1)], 1, valve="mid"),
        spacer=[lot("S", 0.3, 1)],
        alternatives=[other],
    )
    assert shown.undrawn == ["mid"], "what has no build order is named"
    # Main from the shoulder: washer 1, plate 2, piston 3, rebound 4, spacer 5. Base: plate 1, shim 2. Mid: undrawn.
    assert [one.refs for one in shown.positions] == ["main 4", "base 2", ""]
    assert {pick.lot: pick.used_for for pick in shown.picks} == {
        "A": "main 4, base 2",
        "M": "mid compression 1",
        "S": "main 5 spacer",
    }
    assert [said.split(": ")[0] for said in shown.alternatives[0].split("; ")] == [
        "main rebound 1",
        "mid compression 1",
    ]


def test_a_base_valve_alone_is_named_and_a_main_valve_alone_is_not() -> None:
    base = view(position("compression", 1, [lot("A", 0.15, 2)], 2, valve="base"))
    main = view(position("compression", 1, [lot("A", 0.15, 2)], 2))
    assert [view.picks[0].used_for for view in (base, main)] == ["base 2", "3"]


def test_what_is_taken_otherwise_names_the_lot_the_valve_the_spacer_and_the_parts_besides() -> None:
    def nut(lots: list[dict[str, Any]], missing: int) -> list[dict[str, Any]]:
        return [{"part": "NU-1", "quantity": 2, "lots": lots, "missing": missing}]

    same = position("rebound", 1, [lot("A", 0.15, 2)], 2)
    before = document(
        same,
        position("compression", 1, [lot("B", 0.15, 1)], 1, valve="base"),
        spacer=[lot("S", 0.3, 1)],
        also=nut([{"lot": "N", "drawer": "D-1", "quantity": 2}], 0),
    )
    after = document(
        same,
        # Another lot of the same drawer.
        position("compression", 1, [lot("C", 0.15, 1, drawer="D-B")], 1, valve="base"),
        also=nut([{"lot": "N", "drawer": "D-1", "quantity": 1}], 1),
    )
    assert changes(answered(before), answered(after)) == [
        "base compression 1, 34 x 0.15: 1 of 0.15 from D-B lot B before, 1 of 0.15 from D-B lot C now",
        "spacer: 1 of 34 x 0.30 from D-S lot S before, none now",
        "NU-1, 2 asked for: 2 from D-1 lot N before, 1 from D-1 lot N, 1 missing now",
    ]
    assert changes(answered(before), answered(before)) == []
