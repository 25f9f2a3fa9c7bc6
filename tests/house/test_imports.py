"""Relations follow the import rule too: a foreign key by name escapes the import linter, but not the database."""

from __future__ import annotations

import tomllib

import pytest
from django.apps import apps

from tests.house.project import ROOT


def layers() -> list[list[str]]:
    """The rooms of inventory from the top down, as the import linter's contract has them."""
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    (contract,) = [contract for contract in contracts if contract["id"] == "inventory-layers"]
    return [[f"inventory.{name.strip(' ()')}" for name in layer.split("|")] for layer in contract["layers"]]


def level(module: str) -> tuple[int, str]:
    """How far down a module's room lies, and the room."""
    for depth, rooms in enumerate(layers()):
        for room in rooms:
            if f"{module}.".startswith(f"{room}."):
                return depth, room
    raise LookupError(f"{module} lies in no room of the import rule")


def points_up(source: str, target: str) -> bool:
    """Whether a relation leads out of its own room to anywhere but a lower layer."""
    (from_depth, from_room), (to_depth, to_room) = level(source), level(target)
    return from_room != to_room and to_depth <= from_depth


def relations() -> list[tuple[str, str, str]]:
    """(field, defining module, module of the target) of every relation to another model of ours."""
    found = []
    for model in apps.get_app_config("inventory").get_models(include_auto_created=True):
        for field in model._meta.get_fields():
            target = field.related_model
            if not field.is_relation or field.auto_created or target is None or isinstance(target, str):
                continue
            if target._meta.app_label == "inventory":
                found.append((f"{model.__name__}.{field.name}", model.__module__, target.__module__))
    return found


def test_relations_point_down_or_stay_in_their_room() -> None:
    wrong = [f"{name}: {source} -> {target}" for name, source, target in relations() if points_up(source, target)]
    assert not wrong


def test_compat_has_no_tables() -> None:
    assert list(apps.get_app_config("compat").get_models()) == []


def test_the_relations_of_the_ledger_are_among_those_looked_at() -> None:
    assert ("Movement.balance", "inventory.stock.models", "inventory.stock.models") in relations()
    assert ("HoldLine.balance", "inventory.holds.models", "inventory.stock.models") in relations()


@pytest.mark.parametrize(
    ("source", "target", "up"),
    [
        ("inventory.stock.models", "inventory.holds.models", True),
        ("inventory.stock.models", "inventory.dampers.models", True),
        ("inventory.holds.models", "inventory.stock.models", False),
        ("inventory.catalogue.kinds.shims", "inventory.catalogue.models", False),
        ("inventory.people.models", "inventory.idempotency.models", True),
    ],
)
def test_a_relation_upward_or_sideways_is_told_from_one_downward(source: str, target: str, up: bool) -> None:
    assert points_up(source, target) is up
