"""The document of a damper model: what is stored is read and written as it was, and what cannot be held is refused."""

from __future__ import annotations

import gzip
import json
import sqlite3
from collections.abc import Iterator
from dataclasses import fields
from random import Random
from typing import Any

import pytest
from rest_framework import serializers

from inventory.common.errors import DomainError
from inventory.dampers import checked, checked_sealing, document, document_sealing
from inventory.dampers.document import DamperDocument, Stacks, Told, told
from inventory.dampers.document_calibration import CurveFit, MeasuredCurve
from inventory.dampers.words import LIMITS, OILS, PLACES, SIDES, VALVES
from inventory.documents.lengths import Length
from inventory.documents.outside import outside
from inventory.documents.typed import read, tells, written
from tests import snapshots

DEMO = snapshots.ROOT / "fixtures" / "demo"
# Each class beside the check of what is sent for it.
PAIRS: list[tuple[Any, type[serializers.Serializer[Any]]]] = [
    (document.Line, checked.LineIn),
    (document.Stacks, checked.StacksIn),
    (document.PistonSide, checked.PistonSideIn),
    (document.Sides, checked.SidesIn),
    (document.BasePlate, checked.BasePlateIn),
    (document.BasePlates, checked.BasePlatesIn),
    (document.Washer, checked.WasherIn),
    (document.Valve, checked.ValveIn),
    (document.ShaftEnd, checked.ShaftEndIn),
    (document_sealing.Ring, checked_sealing.ModelRingIn),
    (document_sealing.Band, checked_sealing.ModelBandIn),
    (document_sealing.Shaft, checked_sealing.ModelShaftIn),
    (document_sealing.RodGland, checked_sealing.RodGlandIn),
    (document_sealing.Oil, checked_sealing.OilIn),
    (document_sealing.Limit, checked_sealing.LimitIn),
]


# What is kept where.
KEPT: list[tuple[type[Any], str, str]] = [
    (DamperDocument, "inventory_damperrevision", "document"),
    (Stacks, "inventory_stackrevision", "stacks"),
    (MeasuredCurve, "inventory_calibration", "measured"),
    (CurveFit, "inventory_calibration", "fit"),
]


def some(dice: Random, **fields_: Any) -> dict[str, Any]:
    """Some of the fields, each made when it is taken; null now and then."""
    taken = {name: make() for name, make in fields_.items() if dice.random() < 0.6}
    return {name: None if dice.random() < 0.05 else value for name, value in taken.items()}


def length(dice: Random, least_um: int = 1, most_um: int = 4_000) -> Any:
    """A length as it is sent: a number, or limits with or without the best value."""
    low = dice.randint(least_um, most_um)
    high = low + dice.choice((0, 1, 3, 40))
    limits = {"min": low / 1000, "max": high / 1000}
    return dice.choice((low / 1000, limits, {**limits, "nominal": dice.randint(low, high) / 1000}, max(1, low // 1000)))


def lengths(dice: Random, kind: Any, **more: Any) -> dict[str, Any]:
    """Some lengths of a class, and `more`."""
    names = [one.name for one in fields(kind) if one.name.endswith("_mm") and one.name not in more]
    shaft = {"shaft_mm", "diameter_mm", "relief_diameter_mm"}
    made = {name: lambda name=name: length(dice, 1000 if name in shaft else 1) for name in names}
    return some(dice, **made, **more)


def sent(dice: Random) -> dict[str, Any]:
    """A damper model as somebody might send it, most of it left out."""

    def ring() -> Any:
        sizes = {"id_mm": length(dice), "section_mm": length(dice)}
        return dice.choice(({}, {"size": "222"}, sizes, {"id_mm": length(dice)}))

    def plain() -> float:
        return dice.randint(0, 3_000) / 1000

    def valve(code: str) -> dict[str, Any]:
        def side() -> Any:
            return lengths(dice, document.PistonSide, open_fraction=lambda: dice.randint(1, 100) / 100)

        def washer() -> Any:
            return {"name": "Washer", **some(dice, height_mm=lambda: length(dice), place=lambda: dice.choice(PLACES))}

        made = lengths(
            dice,
            document.Valve,
            overlap_mm=plain,
            base_plates=lambda: some(dice, **dict.fromkeys(SIDES, lambda: lengths(dice, document.BasePlate))),
            washers=lambda: [washer() for _ in range(dice.randint(0, 3))],
            sides=lambda: some(dice, **dict.fromkeys(SIDES, side)),
        )
        return {"code": code, **made}

    def a_limit(name: str) -> dict[str, Any]:
        return {"limit": name, "value": dice.randint(100, 5_000) / 1000, "source": "Sheet 3", "on": "2026-02-16"}

    end = {
        "thread": lambda: "M12x1.25",
        "tolerance_class": lambda: "6g",
        "hand": lambda: dice.choice(("right", "left")),
        "on_straight_mm": plain,
        "past_lip_mm": plain,
        "thread_relief": lambda: dice.choice((True, False, None)),
        "property_class": lambda: "8.8",
    }
    oil = {"fluid": lambda: dice.choice(OILS), "hottest_c": lambda: dice.randint(0, 4000) / 10}
    return {
        "code": "X",
        "name": "x",
        "valves": [valve(code) for code in dice.sample(VALVES, dice.randint(1, 3))],
        **some(
            dice,
            shaft_end=lambda: lengths(dice, document.ShaftEnd, **end),
            band=lambda: lengths(dice, document_sealing.Band, energiser=ring),
            shaft=lambda: lengths(dice, document_sealing.Shaft),
            rod_gland=lambda: lengths(dice, document_sealing.RodGland, ring=ring),
            oil=lambda: some(dice, **oil),
            limits=lambda: [a_limit(name) for name in dice.sample(LIMITS, dice.randint(0, 5))],
        ),
    }


def stored_documents(dice: Random, number: int) -> Iterator[dict[str, Any]]:
    """Documents as the API stores them: what its check takes of what might be sent."""
    found = 0
    while found < number:
        check = checked.DamperIn(data=sent(dice))
        if check.is_valid():
            found += 1
            stored = outside(check.validated_data)
            yield {name: value for name, value in stored.items() if name not in ("code", "name")}


def unchanged(kind: type[Any], stored: Any) -> None:
    """Reading and writing give the same JSON, field by field in its order, and the same document."""
    found = read(kind, stored)
    assert json.dumps(written(found)) == json.dumps(stored)
    assert read(kind, written(found)) == found


def test_whatever_the_api_stores_is_read_and_written_as_it_was() -> None:
    seen = set[str]()
    for stored in stored_documents(Random(46), 2_000):
        unchanged(DamperDocument, stored)
        seen |= set(stored) | {name for valve in stored["valves"] for name in valve}
    assert seen == {one.name for kind in (DamperDocument, document.Valve) for one in fields(kind)}


def test_every_model_and_stack_of_the_demo_is_read_and_written_as_it_was() -> None:
    for sent_ in json.loads((DEMO / "dampers.json").read_text()):
        check = checked.DamperIn(data=sent_)
        assert check.is_valid()
        model = outside(check.validated_data)
        assert told(check.validated_data) == Told(model.pop("code"), model.pop("name"), read(DamperDocument, model))
        unchanged(DamperDocument, model)
    for saved in json.loads((DEMO / "stacks.json").read_text()):
        stacks = checked.StacksIn(data=saved["stacks"])
        assert stacks.is_valid()
        unchanged(Stacks, outside(stacks.validated_data))


@pytest.mark.parametrize("snapshot", sorted(snapshots.FOLDER.glob("*.sqlite3.gz")), ids=lambda file: file.name)
def test_every_document_of_an_older_database_is_read_and_written_as_it_was(snapshot: Any, tmp_path: Any) -> None:
    file = tmp_path / "old.sqlite3"
    file.write_bytes(gzip.decompress(snapshot.read_bytes()))
    base = sqlite3.connect(file)
    tables = {name for (name,) in base.execute("select name from sqlite_master where type = 'table'")}
    rows = {
        kind: [json.loads(text) for (text,) in base.execute(f"select {column} from {table}")]
        for kind, table, column in KEPT
        if table in tables
    }
    base.close()
    assert {DamperDocument, Stacks} <= set(rows) and all(rows.values())
    for kind, kept in rows.items():
        for one in kept:
            found = read(kind, one)
            assert written(found) == one and read(kind, written(found)) == found


@pytest.mark.parametrize(("kind", "check"), PAIRS, ids=[kind.__name__ for kind, _ in PAIRS])
def test_a_class_has_the_fields_of_its_check_in_their_order(
    kind: Any, check: type[serializers.Serializer[Any]]
) -> None:
    assert [one.name for one in fields(kind)] == list(check().fields)


def test_the_whole_document_has_all_of_the_check_but_code_and_name() -> None:
    assert ["code", "name", *(one.name for one in fields(DamperDocument))] == list(checked.DamperIn().fields)


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"valves": None}, "valves"),
        ({"valves": {"code": "main"}}, "valves"),
        ({"valves": "main"}, "valves"),
        ({"valves": ["main"]}, "valves.0"),
        ({"valves": [{}]}, "valves.0.code"),
        ({"valves": [{"code": "front"}]}, "valves.0.code"),
        ({"valves": [{"code": "main", "shaft_mm": "12"}]}, "valves.0.shaft_mm"),
        ({"valves": [{"code": "main", "shaft_mm": True}]}, "valves.0.shaft_mm"),
        ({"valves": [{"code": "main", "shaft_mm": float("nan")}]}, "valves.0.shaft_mm"),
        ({"valves": [{"code": "main", "shaft_mm": {"min": 12}}]}, "valves.0.shaft_mm"),
        ({"valves": [{"code": "main", "shaft_mm": {"min": 12, "max": 11}}]}, "valves.0.shaft_mm"),
        ({"valves": [{"code": "main", "shaft_mm": {"min": 12, "max": 13, "nominal": 14}}]}, "valves.0.shaft_mm"),
        ({"valves": [{"code": "main", "shaft_mm": {"min": 12, "max": 13, "mean": 12}}]}, "valves.0.shaft_mm"),
        ({"valves": [{"code": "main", "overlap_mm": {"min": 0, "max": 1}}]}, "valves.0.overlap_mm"),
        ({"valves": [{"code": "main", "washers": [{"name": 3}]}]}, "valves.0.washers.0.name"),
        ({"valves": [{"code": "main", "washers": [{"name": "W", "place": "top"}]}]}, "valves.0.washers.0.place"),
        ({"valves": [{"code": "main", "sides": {"left": {}}}]}, "valves.0.sides.left"),
        ({"shaft_end": {"thread_relief": 1}}, "shaft_end.thread_relief"),
        ({"shaft_end": {"hand": "both"}}, "shaft_end.hand"),
        ({"oil": {"fluid": "water"}}, "oil.fluid"),
        ({"band": {"energiser": {"sice": "222"}}}, "band.energiser.sice"),
        ({"limits": [{"limit": "bore_max_mm", "value": 46}]}, "limits.0.source"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_what_a_document_cannot_hold_is_refused_at_its_path(change: dict[str, Any], path: str) -> None:
    with pytest.raises(DomainError) as caught:
        read(DamperDocument, {"valves": [{"code": "main"}], **change})
    assert caught.value.code == "invalid"
    assert [one.field for one in caught.value.errors] == [path]
    # What is sent is checked before, and refused as well.
    assert not checked.DamperIn(data={"code": "X", "name": "x", "valves": [{"code": "main"}], **change}).is_valid()


def test_a_whole_number_is_no_fraction_and_no_flag() -> None:
    for quantity in (2.5, 2.0, "2", True):
        with pytest.raises(DomainError) as caught:
            read(document.Line, {"od_mm": 30, "thickness_mm": 0.2, "quantity": quantity})
        assert [one.field for one in caught.value.errors] == ["quantity"]


def test_one_number_is_a_measured_length_without_a_spread() -> None:
    assert read(document.Valve, {"code": "main", "shaft_mm": 12}).shaft_mm == Length(12.0, 12.0, 12.0)
    assert written(document.Valve(code="main", shaft_mm=Length.exact(12)))["shaft_mm"] == {
        "min": 12.0,
        "max": 12.0,
        "nominal": 12.0,
    }


def test_nothing_told_and_an_empty_document_are_told_apart_and_tell_nothing() -> None:
    bare = read(DamperDocument, {"valves": [], "shaft_end": {}, "limits": None})
    assert written(bare) == {"valves": [], "shaft_end": {}}
    assert not tells(bare.shaft_end) and not tells(bare.band)
    assert tells(read(document.Sides, {"rebound": {}}))
