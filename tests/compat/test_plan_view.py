"""A plan's lots as the drawing and the pick list show them."""

from __future__ import annotations

from typing import Any

from compat.pages.plan_view import PlanView, view_of
from compat.pages.plan_words import stand_in
from tests.api.conftest import damper_document

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


def position(side: str, number: int, lots: list[dict[str, Any]], quantity: int, missing: int = 0) -> dict[str, Any]:
    return {
        "position": f"main.{side}.{number}",
        "valve": "main",
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


def view(*lines: dict[str, Any], spacer: list[dict[str, Any]] | None = None) -> PlanView:
    answer = {"verdict": "fits", "summary": "It fits.", "findings": [], "values": {}, "cautions": []}
    document = {
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
    }
    return view_of(document, damper_document())


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
