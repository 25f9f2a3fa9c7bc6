"""A plan's lots as the drawing and the pick list show them."""

from __future__ import annotations

from typing import Any

from compat.pages.plan.plan_view import PlanView, view_of
from compat.pages.plan.plan_words import changes, stand_in
from tests.api.conftest import damper_document

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
    return view_of(document(*lines, **more), damper)


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


def test_a_stand_in_says_what_it_changes() -> None:
    one = {"replaces": 3, "with": [{"quantity": 2, "thickness_mm": 0.2}, {"quantity": 1, "thickness_mm": 0.1}]}
    said = stand_in({**one, "sum_t3_change_percent": -0.94, "height_change_mm": 0.05})
    assert said == "2 of 0.20 + 1 of 0.10 mm for 3: stiffness here -0.9 %, height +0.050 mm"


def test_where_a_plan_has_other_valves_every_number_names_its_valve() -> None:
    stand_in_there = {"replaces": 1, "with": [], "sum_t3_change_percent": 0.0, "height_change_mm": 0.0}
    places = ("main.rebound.1", "mid.compression.1")
    other = {"stand_ins": [{"position": place, **stand_in_there} for place in places], "missing": 0, "spacer": None}
    shown = view(
        position("rebound", 1, [lot("A", 0.15, 2)], 2),
        position("compression", 1, [lot("A", 0.15, 1)], 1, valve="base"),
        position("compression", 1, [lot("M", 0.15, 1)], 1, valve="mid"),
        spacer=[lot("S", 0.3, 1)],
        alternatives=[other],
    )
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
    assert changes(before, after) == [
        "base compression 1, 34 x 0.15: 1 of 0.15 from D-B lot B before, 1 of 0.15 from D-B lot C now",
        "spacer: 1 of 34 x 0.30 from D-S lot S before, none now",
        "NU-1, 2 asked for: 2 from D-1 lot N before, 1 from D-1 lot N, 1 missing now",
    ]
    assert changes(before, before) == []
