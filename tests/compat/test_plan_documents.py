"""What a kept plan records: its request is read as it was sent, its answer is read and written as it was given."""

from __future__ import annotations

import gzip
import json
import sqlite3
from dataclasses import fields
from pathlib import Path
from random import Random
from typing import Any

import pytest
from rest_framework import serializers

from compat.dampers.engine_values import EndAsRead
from compat.plans import checked, document, reserve
from compat.plans.answered import AnsweredPlan, answered
from compat.plans.document import AskedPlan, asked_plan
from compat.plans.sent import SentPlan
from inventory.common.errors import DomainError
from inventory.dampers.document import Line, Stacks
from inventory.documents.outside import outside
from inventory.documents.typed import read, written
from tests import factories, people, snapshots
from tests.api.conftest import COMPRESSION, REBOUND, STACKS, lay_in, saved_damper

PAIRS: list[tuple[Any, type[serializers.Serializer[Any]]]] = [
    (document.StacksOfValve, checked.ValveStacksIn),
    (document.Besides, checked.AlsoIn),
    (document.NutAsRead, checked.NutReadingsIn),
    (document.Allow, checked.AllowIn),
    (AskedPlan, checked.PlanIn),
    (EndAsRead, checked.PlanReadingsIn),
]
READINGS: dict[str, Any] = {
    "diameter_mm": 11.99,
    "hole_mm": {"min": 4.95, "max": 5.05},
    "thread": "M12x1.25",
    "hand": "right",
    "shoulder_to_lip_mm": {"min": 21.98, "max": 22.02, "nominal": 22.01},
    "on_straight_mm": 1.8,
    "past_lip_mm": 0,
    "thread_relief": True,
    "base_plate_mm": 4,
    "gauged_pitch_mm": 1.25,
    "major_mm": 11.9,
    "end_condition": "plain",
    "full_length_gauged": False,
}
ALLOW: dict[str, Any] = {
    "stand_ins": False,
    "take_offs": True,
    "curve_percent": 12,
    "height_mm": 0.2,
    "reach_mm": 1,
    "face": True,
    "crossover": False,
    "clamp": True,
    "search_ms": 50,
}


def sent(dice: Random) -> dict[str, Any]:
    """A plan's request as somebody might send it; some of it null, much left out."""

    def some(told: dict[str, Any]) -> dict[str, Any]:
        return {name: value for name, value in told.items() if dice.random() < 0.5}

    stacks = some(STACKS) or STACKS
    asked: dict[str, Any] = {"damper": "HA-46", "stacks": stacks}
    if dice.random() < 0.3:
        asked = {"damper": "HA-46", "valves": [{"code": code, "stacks": stacks} for code in ("base", "main")]}
    readings = some(READINGS) | ({"relief_diameter_mm": None} if dice.random() < 0.2 else {})
    more = {
        "readings": readings,
        "allow": some(ALLOW),
        "spacer": dice.random() < 0.5,
        "nut": dice.random() < 0.5,
        "nut_readings": some({"part": None, "gauged_threads_per_inch": 20, "minor_mm": {"min": 10.7, "max": 10.8}}),
        "also": [{"part": "NU-1", "quantity": dice.randint(1, 9)}],
        "job": "J-1",
    }
    return asked | some(more)


def test_a_request_is_read_alike_as_it_was_checked_and_as_it_was_sent() -> None:
    """It is recorded as it was sent: what is read of it later is what the plan was made from."""
    dice, kinds = Random(7), set[str]()
    for _ in range(500):
        asked = sent(dice)
        check = checked.PlanIn(data=asked)
        assert check.is_valid(), check.errors
        found = asked_plan(check.validated_data)
        again = read(AskedPlan, asked)
        for one in fields(AskedPlan):
            if one.name not in ("spacer", "nut", "allow", "readings", "stacks", "valves"):
                assert getattr(again, one.name) == getattr(found, one.name)
        # The check fills in what is usual where it was left out.
        usual = {"form": "round"}
        for stacks, other in zip(again.valves_in_order, found.valves_in_order, strict=True):
            assert stacks[0] == other[0] and stacks[2] == other[2]
            for side in ("compression", "rebound"):
                lines = [read(Line, {**usual, **written(told)}) for told in stacks[1].of(side)]
                assert lines == list(other[1].of(side))
        for name in READINGS:
            assert getattr(again.readings, name, None) == getattr(found.readings, name, None)
        for name in ("curve_percent", "height_mm", "reach_mm", "search_ms"):
            assert getattr(again.allow, name, None) == getattr(found.allow, name, None)
        assert read(AskedPlan, written(found)) == found
        assert json.dumps(written(found)) == json.dumps(outside(check.validated_data))
        kinds |= set(asked)
    assert kinds == {one.name for one in fields(AskedPlan)}


def test_the_main_valve_comes_first_and_keeps_its_path() -> None:
    stacks = {"compression": [{"od_mm": 30, "thickness_mm": 0.2, "quantity": 1}]}
    asked = {"damper": "X", "valves": [{"code": code, "stacks": stacks} for code in ("mid", "base", "main")]}
    told = read(Stacks, stacks)
    assert read(AskedPlan, asked).valves_in_order == [
        ("main", told, "valves.2.stacks"),
        ("base", told, "valves.1.stacks"),
        ("mid", told, "valves.0.stacks"),
    ]


@pytest.mark.parametrize(("kind", "check"), PAIRS, ids=[kind.__name__ for kind, _ in PAIRS])
def test_a_class_has_the_fields_of_its_check_in_their_order(
    kind: Any, check: type[serializers.Serializer[Any]]
) -> None:
    assert [one.name for one in fields(kind)] == list(check().fields)


@pytest.mark.parametrize("snapshot", sorted(snapshots.FOLDER.glob("*.sqlite3.gz")), ids=lambda file: file.name)
def test_the_requests_of_plans_in_older_databases_are_read(snapshot: Path, tmp_path: Path) -> None:
    file = tmp_path / "old.sqlite3"
    file.write_bytes(gzip.decompress(snapshot.read_bytes()))
    base = sqlite3.connect(file)
    kept = [json.loads(text) for (text,) in base.execute("select request from inventory_plan")]
    base.close()
    assert kept and [read(AskedPlan, one).damper for one in kept] == ["OLD-1"] * len(kept)


# The answer.


@pytest.fixture
def plan(db: None) -> dict[str, Any]:
    """A plan with stand-ins, missing pieces, a spacer, a nut, a part besides and other plans."""
    lay_in(
        *(
            one
            for one in {(one["od_mm"], one["thickness_mm"]): one for one in [*COMPRESSION, *REBOUND]}.values()
            if one != COMPRESSION[3]
        )
    )
    factories.stocked(factories.shim(28, 0.16, 12), 10, readings_um=[156, 156])
    factories.stocked(factories.nut("M12x1.25", number="NUT"), 2)
    factories.stocked(factories.washer(number="WASHER"), 1)
    asked: SentPlan = {
        "damper": saved_damper(),
        "stacks": STACKS,
        "also": [{"part": "WASHER", "quantity": 2}],
    }
    check = checked.PlanIn(data=asked)
    assert check.is_valid(), check.errors
    made: dict[str, Any] = reserve.plan_and_record(
        asked=asked_plan(check.validated_data), sent=asked, actor=people.tuner()
    ).answer
    return made


@pytest.mark.django_db
def test_an_answer_is_read_and_written_as_it_was_recorded(plan: dict[str, Any]) -> None:
    found = answered(plan)
    assert written(found) == plan and json.dumps(written(found)) == json.dumps(plan)
    assert found.stand_ins and found.nut is not None and found.also and found.missing
    assert found.stand_ins[0].shims and found.spacer is not None


@pytest.mark.django_db
def test_an_older_plan_is_read_without_what_it_did_not_hold_and_with_what_is_gone(plan: dict[str, Any]) -> None:
    new = ("can_be_built", "leads", "headline", "shelf", "nut", "curves")
    old = {name: value for name, value in plan.items() if name not in new} | {"colour": "red"}
    for one in old["stand_ins"]:
        del one["drawn_change_percent"]
    found = answered(old)
    assert (found.leads, found.nut, found.curves) == (None, None, None)
    assert found.lines == answered(plan).lines and found.stand_ins[0].drawn_change_percent is None


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("verdict", None),
        ("lines", {}),
        ("lines.0.quantity", 1.5),
        ("lines.0.lots", None),
        ("missing", "none"),
        ("spacer.total_mm", "thick"),
        ("stand_ins.0.with", None),
        ("to_confirm.0", "measure"),
    ],
)
def test_what_is_no_plan_is_refused_at_its_path(plan: dict[str, Any], path: str, value: Any) -> None:
    inner: Any = plan
    *way, last = path.split(".")
    for name in way:
        inner = inner[int(name)] if name.isdigit() else inner[name]
    inner[int(last) if last.isdigit() else last] = value
    with pytest.raises(DomainError) as caught:
        read(AnsweredPlan, plan)
    assert [one.field for one in caught.value.errors] == [path]
