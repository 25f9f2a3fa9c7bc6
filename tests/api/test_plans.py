"""Build this stack from the shelf: what is found, what stands in, what is missing, and what must still be measured."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from inventory.holds.requests import Wanted
from inventory.jobs.models import Plan
from inventory.stock.models import Condition
from tests import factories
from tests.api.conftest import (
    COMPRESSION,
    REBOUND,
    STACKS,
    Caller,
    Json,
    damper_document,
    fields,
    job,
    lay_in,
    line,
    ok,
    problem,
    saved_damper,
    statements,
)
from tests.api.fit import codes, well_formed
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db

SHORT = COMPRESSION[3]  # 28 x 0.20, a taper line
SHORT_AT = "main.compression.4"
OWN = {"reach_mm": 0}  # only the same diameter may stand in
OTHERS = [one for one in [*COMPRESSION, *REBOUND] if one != SHORT]


def planned(program: Caller, **request: Any) -> Json:
    """A plan for STACKS, or as the request says, that must have the whole form."""
    plan: Json = ok(program.ask("/plans", {"damper": "HA-46", "stacks": STACKS, **request}))
    well_formed(plan["answer"])
    assert plan["verdict"] == plan["answer"]["verdict"]
    assert plan["complete"] == (plan["missing"] == 0 and not (plan["spacer"] or {}).get("reason"))
    assert plan["can_be_built"] == plan["complete"]
    for one in plan["lines"]:
        stood_in = any(lot["stand_in"] for lot in one["lots"])
        exact = sum(lot["quantity"] for lot in one["lots"] if not lot["stand_in"])
        assert stood_in or exact + one["missing"] == one["quantity"], one
        assert all(lot["stand_in"] or lot["od_mm"] == one["od_mm"] for lot in one["lots"])
    return plan


def drawn(plan: Json) -> dict[str, int]:
    """{lot: pieces} of everything that a plan shows."""
    found: dict[str, int] = {}
    nut = [plan["nut"]] if plan["nut"] else []
    lots = [lot for one in [*plan["lines"], *plan["also"], *nut] for lot in one["lots"]]
    for lot in [*lots, *((plan["spacer"] or {}).get("lines", ()))]:
        found[lot["lot"]] = found.get(lot["lot"], 0) + lot["quantity"]
    return found


def at(plan: Json, position: str) -> Json:
    """The line at a position."""
    return next(dict(one) for one in plan["lines"] if one["position"] == position)


def all_but_short(damper: str) -> None:
    """Every size but SHORT."""
    lay_in(*{(one["od_mm"], one["thickness_mm"]): one for one in OTHERS}.values())


# --- complete


def test_a_stack_that_is_on_the_shelf_is_found_whole(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner)
    assert (plan["verdict"], plan["complete"], plan["missing"]) == ("fits", True, 0)
    assert plan["stand_ins"] == [] and plan["proven_best"] is True
    assert [one["role"] for one in plan["lines"]] == ["face", "crossover", "taper", "taper", "clamp"] * 2
    assert [one["position"] for one in plan["lines"]][:2] == ["main.compression.1", "main.compression.2"]
    first = at(plan, "main.compression.1")["lots"][0]
    assert (first["drawer"], first["quantity"], first["mean_mm"], first["measured"]) == ("D-36-200", 2, 0.2, True)
    assert plan["answer"]["values"]["main"]["height_mm"]["nominal"] == 19.9
    assert plan["spacer"]["lines"] == [] and plan["spacer"]["reason"] is None
    assert plan["job"] is None and plan["damper"] == shelf and plan["engine"]


def test_a_plan_claims_nothing(tuner: Caller, shelf: str) -> None:
    planned(tuner)
    assert all(row["held"] == 0 for row in tuner.walk("/parts"))


def test_both_sides_draw_on_the_same_drawer_at_once(tuner: Caller, damper: str) -> None:
    """Both crossovers are 22 x 0.10, and one is there."""
    lay_in(*{(one["od_mm"], one["thickness_mm"]): one for one in OTHERS if one["od_mm"] != 22}.values(), SHORT)
    lay_in(line(22, 0.1), pieces=1)
    plan = planned(tuner)
    assert (plan["complete"], plan["missing"]) == (False, 1)
    assert sum(at(plan, f"main.{side}.2")["missing"] for side in ("compression", "rebound")) == 1


def test_several_valves_draw_on_the_same_drawers_at_once(tuner: Caller, shelf: str) -> None:
    document = damper_document("TWO")
    base = {**deepcopy(document["valves"][0]), "code": "base"}
    del base["sides"]["rebound"], base["base_plates"]["rebound"]
    document["valves"].append(base)
    saved_damper(document)
    valves = [
        {"code": "base", "stacks": {"compression": [line(36, 0.2, 9), line(20, 0.3)]}},
        {"code": "main", "stacks": STACKS},
    ]
    plan = ok(tuner.ask("/plans", {"damper": "TWO", "valves": valves}))
    assert plan["missing"] == 1
    assert drawn(plan)[at(plan, "base.compression.1")["lots"][0]["lot"]] == 10
    assert set(plan["answer"]["values"]) == {"main", "base"}


def test_held_pieces_are_not_planned_until_their_hold_lapses(tuner: Caller, shelf: str, clock: HeldClock) -> None:
    lot = at(planned(tuner), "main.compression.1")["lots"][0]["lot"]
    factories.held(Wanted(quantity=9, lot=lot))
    assert at(planned(tuner), "main.compression.1")["missing"] == 1
    clock.advance(minutes=15)
    assert planned(tuner)["complete"] is True


# --- short


def test_a_missing_shim_is_named_with_its_place_and_size(tuner: Caller, damper: str) -> None:
    all_but_short(damper)
    plan = planned(tuner, allow=OWN)
    assert (plan["complete"], plan["missing"]) == (False, 1)
    assert (at(plan, SHORT_AT)["missing"], at(plan, SHORT_AT)["lots"]) == (1, [])
    found = next(one for one in plan["answer"]["findings"] if one["code"] == "pieces_missing")
    assert found["data"]["side"] == "compression" and found["data"]["line"] == 4
    assert (found["data"]["od_mm"], found["data"]["thickness_mm"], found["data"]["missing"]) == (28, 0.2, 1)
    assert "28 x 0.2 mm" in found["text"]


def test_an_empty_shelf_is_a_plan_of_missing_pieces(tuner: Caller, damper: str) -> None:
    plan = planned(tuner, nut=False)
    assert plan["missing"] == 13
    assert all(one["lots"] == [] for one in plan["lines"])
    assert len([one for one in plan["answer"]["findings"] if one["code"] == "pieces_missing"]) == 10
    problem(tuner.post(f"/plans/{plan['plan']}/hold", {}), 409, "plan_empty")


def test_a_stand_in_fills_a_taper_line_and_says_what_it_changes(tuner: Caller, damper: str) -> None:
    """2 x 0.16^3 = 0.008192 for 0.20^3 = 0.008: stiffer by 2.4 %, and 0.12 mm higher; the whole side by less."""
    all_but_short(damper)
    lay_in(line(28, 0.16))
    plan = planned(tuner, allow=OWN)
    assert plan["complete"] is True
    changed = plan["stand_ins"][0]["curve_change_percent"]
    assert 0 < changed < 2.4
    assert plan["stand_ins"] == [
        {
            "position": SHORT_AT,
            "replaces": 1,
            "with": [{"od_mm": 28, "thickness_mm": 0.16, "bore_mm": 12, "form": "round", "quantity": 2}],
            "sum_t3_change_percent": 2.4,
            "height_change_mm": 0.12,
            "curve_change_percent": changed,
            "drawn_change_percent": changed,  # lots at their nominal thickness
        }
    ]
    lots = at(plan, SHORT_AT)["lots"]
    assert [(lot["thickness_mm"], lot["quantity"], lot["stand_in"]) for lot in lots] == [(0.16, 2, True)]
    assert "stand_ins_by_curve" in codes(plan["answer"], "note")
    (curve,) = plan["curves"]
    assert (curve["valve"], curve["side"], curve["score_percent"]) == ("main", "compression", changed)
    differences = [row["difference_percent"] for row in curve["curve"]]
    assert max(abs(difference) for difference in differences) == pytest.approx(changed, abs=0.01)
    assert plan["answer"]["values"]["main"]["height_mm"]["nominal"] == 20.02


@pytest.mark.parametrize("allow", [{"stand_ins": False}, {"height_mm": 0.039}])
def test_a_stand_in_stays_within_what_is_allowed(tuner: Caller, damper: str, allow: Json) -> None:
    all_but_short(damper)
    lay_in(line(28, 0.16))
    plan = planned(tuner, allow={**OWN, **allow})
    assert (plan["stand_ins"], plan["missing"]) == ([], 1)


def test_a_stand_in_at_its_very_limit_is_taken(tuner: Caller, damper: str) -> None:
    all_but_short(damper)
    lay_in(line(28, 0.16))
    assert planned(tuner, allow={**OWN, "height_mm": 0.12})["complete"] is True
    changed = planned(tuner, allow=OWN)["stand_ins"][0]["curve_change_percent"]
    assert planned(tuner, allow={**OWN, "curve_percent": round(changed + 0.001, 3)})["complete"] is True
    assert planned(tuner, allow={**OWN, "curve_percent": round(changed - 0.001, 3)})["missing"] == 1


def test_a_neighbouring_diameter_stands_in_and_says_so(tuner: Caller, damper: str) -> None:
    all_but_short(damper)
    lay_in(line(27, 0.2))
    plan = planned(tuner)
    (stood_in,) = plan["stand_ins"]
    assert [(one["od_mm"], one["quantity"]) for one in stood_in["with"]] == [(27, 1)]
    assert stood_in["sum_t3_change_percent"] is None
    assert stood_in["curve_change_percent"] > 0
    assert stood_in["height_change_mm"] == 0
    assert plan["answer"]["values"]["main"]["height_mm"]["nominal"] == 19.9


def test_a_crossover_is_replaced_only_where_that_is_allowed(tuner: Caller, damper: str) -> None:
    short = COMPRESSION[1]
    lay_in(*{(one["od_mm"], one["thickness_mm"]): one for one in [*COMPRESSION, *REBOUND] if one != short}.values())
    lay_in(line(short["od_mm"], round(short["thickness_mm"] + 0.01, 3)))
    wide = {"curve_percent": 100, **OWN}
    assert planned(tuner, allow=wide)["stand_ins"] == []
    plan = planned(tuner, allow={**wide, "crossover": True})
    # both sides have it
    assert [one["position"] for one in plan["stand_ins"]] == ["main.compression.2", "main.rebound.2"]
    found = next(one for one in plan["answer"]["findings"] if one["code"] == "role_replaced")
    assert found["data"]["role"] == "crossover"
    assert plan["curves"][0]["gap_closes_at_mm"]["built"] != plan["curves"][0]["gap_closes_at_mm"]["asked"]


def test_without_the_mount_stand_ins_are_compared_by_sums_of_cubes(tuner: Caller) -> None:
    document = damper_document()
    del document["valves"][0]["sides"]["compression"]["hub_mm"]
    del document["valves"][0]["sides"]["rebound"]["hub_mm"]
    saved_damper(document)
    all_but_short("HA-46")
    lay_in(line(28, 0.16), line(27, 0.2))
    plan = planned(tuner)
    (stood_in,) = plan["stand_ins"]
    assert (stood_in["sum_t3_change_percent"], stood_in["curve_change_percent"]) == (2.4, None)
    assert plan["curves"] == []
    assert {"stand_ins_used", "curve_hub_unknown_for_plan"} <= codes(plan["answer"], "note")


def test_a_request_may_give_the_search_its_time(tuner: Caller, damper: str) -> None:
    all_but_short(damper)
    lay_in(line(28, 0.16), line(27, 0.2), line(27, 0.15))
    assert planned(tuner, allow={"search_ms": 2_000})["complete"] is True
    problem(tuner.ask("/plans", {"damper": damper, "stacks": STACKS, "allow": {"search_ms": 1}}), 400, "invalid")


@pytest.mark.parametrize("place", [0, 1, 4])
def test_face_crossover_and_clamp_never_get_a_stand_in(tuner: Caller, damper: str, place: int) -> None:
    short = COMPRESSION[place]
    lay_in(*{(one["od_mm"], one["thickness_mm"]): one for one in [*COMPRESSION, *REBOUND] if one != short}.values())
    lay_in(line(short["od_mm"], round(short["thickness_mm"] + 0.005, 3)))
    plan = planned(tuner)
    assert plan["stand_ins"] == []
    assert plan["missing"] >= 1


# --- take-offs


def test_take_offs_are_taken_only_when_they_are_allowed(tuner: Caller, damper: str) -> None:
    all_but_short(damper)
    lay_in(SHORT, condition=Condition.TAKE_OFF)
    assert planned(tuner, allow=OWN)["missing"] == 1
    assert planned(tuner, allow={**OWN, "take_offs": False})["missing"] == 1
    plan = planned(tuner, allow={**OWN, "take_offs": True})
    assert plan["complete"] is True
    assert [lot["condition"] for lot in at(plan, SHORT_AT)["lots"]] == ["take_off"]


def test_a_face_or_crossover_place_never_gets_a_take_off(tuner: Caller, damper: str) -> None:
    lay_in(*{(one["od_mm"], one["thickness_mm"]): one for one in OTHERS}.values(), SHORT, condition=Condition.TAKE_OFF)
    plan = planned(tuner, allow={"take_offs": True})
    for one in plan["lines"]:
        if one["role"] in ("face", "crossover"):
            assert (one["lots"], one["missing"]) == ([], one["quantity"])
        else:
            assert one["missing"] == 0


def test_other_parts_never_come_from_take_offs(tuner: Caller, shelf: str) -> None:
    factories.stocked(factories.nut(number="NUT"), 5, condition=Condition.TAKE_OFF)
    plan = planned(tuner, also=[{"part": "NUT", "quantity": 1}], allow={"take_offs": True})
    assert plan["also"] == [{"part": "NUT", "quantity": 1, "lots": [], "missing": 1}]
    assert plan["complete"] is False


# --- refusals


@pytest.mark.parametrize(
    ("changes", "status", "field"),
    [
        ({"damper": "NONE"}, 404, ""),
        ({"job": "J-99"}, 404, ""),
        ({"valves": [{"code": "main", "stacks": STACKS}]}, 400, "stacks"),
        ({"allow": {"curve_percent": 101}}, 400, "allow.curve_percent"),
        ({"readings": {"shoulder_to_lip_mm": "22"}}, 400, "readings.shoulder_to_lip_mm"),
        ({"also": [{"part": "A", "quantity": 0}]}, 400, "also.0.quantity"),
        ({"stacks": {"compression": [line(10, 0.1)]}}, 400, "stacks.compression.0.od_mm"),
    ],
)
def test_what_cannot_be_planned_is_refused_and_not_recorded(
    tuner: Caller, shelf: str, changes: Json, status: int, field: str
) -> None:
    reply = tuner.ask("/plans", {"damper": shelf, "stacks": STACKS, **changes})
    body = problem(reply, status, "not_found" if status == 404 else "invalid")
    assert fields(body) == ({field} if field else set())
    assert not Plan.objects.exists()


@pytest.mark.parametrize("valves", [[], [{"code": "mid", "stacks": STACKS}], [{"code": "main", "stacks": STACKS}] * 2])
def test_valves_that_the_damper_does_not_have_or_twice_are_refused(tuner: Caller, shelf: str, valves: Any) -> None:
    problem(tuner.ask("/plans", {"damper": shelf, "valves": valves}), 400, "invalid")


# --- what stays


def test_a_plan_stays_as_it_was_given_whatever_happens(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner, job=job())
    path = f"/plans/{plan['plan']}"
    assert ok(tuner.get(path)) == plan
    assert plan["job"] == "J-1"
    ok(tuner.put(f"/dampers/{shelf}", damper_document(shoulder_to_lip_mm=30), If_Match='"1"'))
    ok(tuner.post(f"{path}/hold", {}), 201)
    all_but_short(shelf)
    assert ok(tuner.get(path)) == plan


def test_the_same_request_on_the_same_shelf_gets_the_same_answer(tuner: Caller, shelf: str) -> None:
    one, two = (planned(tuner) for _ in range(2))
    own = ("plan", "made_at")
    assert {name: one[name] for name in one if name not in own} == {name: two[name] for name in two if name not in own}
    assert one["plan"] != two["plan"]


def test_an_alternative_says_where_it_differs(tuner: Caller, damper: str) -> None:
    all_but_short(damper)
    lay_in(line(28, 0.16), line(28, 0.19), line(28, 0.21))
    plan = planned(tuner, allow=OWN)
    assert plan["alternatives"]
    criteria = list(plan["score"])
    for other in plan["alternatives"]:
        assert other["differs_in"] == [SHORT_AT]
        # behind the best by the first criterion in which they differ
        differing = [name for name in criteria if other["score"][name] != plan["score"][name]]
        assert other["behind_by"] == differing[0]
        assert other["score"][differing[0]] > plan["score"][differing[0]]


# --- how much work it is


def test_the_number_of_statements_grows_neither_with_the_stack_nor_with_the_shelf(tuner: Caller, shelf: str) -> None:
    small = {"compression": [line(36, 0.2), line(20, 0.3)], "rebound": [line(34, 0.2), line(20, 0.3)]}
    sizes = [40 - number for number in range(20)]
    large = {side: [line(od, 0.15, 2) for od in sizes] for side in ("compression", "rebound")}
    counts = []

    def count(stacks: Json) -> None:
        with statements() as sent:
            ok(tuner.ask("/plans", {"damper": shelf, "stacks": stacks}))
        counts.append(len(sent))

    lay_in(*small["compression"], *small["rebound"])
    count(small)
    lay_in(*[line(od, thickness) for od in sizes for thickness in (0.1, 0.15, 0.2)])
    count(small)
    count(large)
    assert len(set(counts)) == 1, counts
    assert counts[0] <= 10
    # Where something is short the shelf is read once more, for the neighbouring diameters.
    counts.clear()
    count({side: [{**one, "quantity": 30} for one in lines] for side, lines in small.items()})
    count({side: [*lines[:1], line(33.5, 0.15), *lines[1:]] for side, lines in large.items()})
    assert len(set(counts)) == 1, counts
    assert counts[0] <= 13
