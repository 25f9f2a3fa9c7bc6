"""O-rings, bands, seal heads, bushes and fluids: what their tables refuse, what a file brings, what they are counted
in."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from typing import Any

import pytest
from django.db import DataError, IntegrityError, transaction

from inventory.catalogue.kinds.bands import Band
from inventory.catalogue.kinds.bushes import Bush
from inventory.catalogue.kinds.fluids import Fluid
from inventory.catalogue.kinds.orings import ORing
from inventory.catalogue.kinds.registry import KINDS
from inventory.catalogue.kinds.seal_heads import SealHead
from inventory.catalogue.models import Part, Unit
from inventory.common.errors import DomainError
from inventory.receiving.opening.loading import Loaded, load_shelf
from inventory.receiving.selectors import check_opening
from inventory.stock import replay
from inventory.stock.models import Balance, Lot
from tests import factories, people

pytestmark = pytest.mark.django_db

MAKERS: dict[str, Callable[..., Part]] = {
    "oring": factories.oring,
    "band": factories.band,
    "seal_head": factories.seal_head,
    "bush": factories.bush,
    "fluid": factories.fluid,
}


# --- the tables


@pytest.mark.parametrize(
    ("table", "kind", "wrong"),
    [
        *[(ORing, "oring", {name: 0}) for name in ("ring_id_um", "section_um")],
        *[(ORing, "oring", {name: 0}) for name in ("ring_id_tolerance_um", "section_tolerance_um")],
        (ORing, "oring", {"ring_id_tolerance_um": 37_690}),
        (ORing, "oring", {"section_tolerance_um": 3_530}),
        (ORing, "oring", {"compound": "latex"}),
        (ORing, "oring", {"compound": ""}),
        *[(ORing, "oring", {"size": text}) for text in ("", "22")],
        (ORing, "oring", {"hardness": ""}),
        *[(Band, "band", {name: 0}) for name in ("for_bore_um", "width_um", "band_thickness_um")],
        (Band, "band", {"for_bore_um": 1_500}),
        (Band, "band", {"material": "leather"}),
        *[(SealHead, "seal_head", {name: 0}) for name in ("shaft_um", "body_um", "height_um")],
        (SealHead, "seal_head", {"body_um": 12_000}),
        *[(Bush, "bush", {name: 0}) for name in ("inner_um", "outer_um", "length_um")],
        (Bush, "bush", {"outer_um": 12_000}),
        *[(Bush, "bush", {name: ""}) for name in ("inner_class", "outer_class")],
        *[(Fluid, "fluid", {name: "soup"}) for name in ("use", "base")],
        *[(Fluid, "fluid", {"grade": text}) for text in ("", "G" * 31)],
    ],
    ids=str,
)
def test_the_table_refuses_what_no_such_part_can_have(table: Any, kind: str, wrong: dict[str, Any]) -> None:
    part = MAKERS[kind]()
    with pytest.raises((IntegrityError, DataError)), transaction.atomic():
        table.objects.filter(part=part).update(**wrong)


@pytest.mark.parametrize("kind", MAKERS)
def test_a_part_of_the_kind_has_its_row_and_shows_its_sizes(kind: str) -> None:
    part = MAKERS[kind]()
    row = KINDS[kind].table._default_manager.get(part=part)
    assert set(KINDS[kind].show(row)) == {size.name for size in KINDS[kind].sizes}


@pytest.mark.parametrize(
    ("kind", "wrong", "field"),
    [
        ("oring", {"size": "22"}, "size"),
        ("oring", {"size": "-222"}, "size"),
        ("oring", {"hardness": "70 A"}, "hardness"),
        ("oring", {"section_tolerance_mm": 3.53}, "section_tolerance_mm"),
        ("oring", {"ring_id_tolerance_mm": 11}, "ring_id_tolerance_mm"),
        ("band", {"band_thickness_mm": 46}, "band_thickness_mm"),
        ("band", {"material": "PTFE bronze"}, "material"),
        ("seal_head", {"shaft_mm": 46}, "shaft_mm"),
        ("bush", {"inner_mm": 14}, "inner_mm"),
        ("bush", {"inner_class": "h8"}, "inner_class"),
        ("bush", {"inner_class": "H19"}, "inner_class"),
        ("bush", {"outer_class": "G6"}, "outer_class"),
        ("bush", {"outer_class": "l6"}, "outer_class"),
        ("fluid", {"use": ""}, "use"),
        ("fluid", {"grade": "=VG"}, "grade"),
    ],
    ids=str,
)
def test_a_wrong_size_is_named(kind: str, wrong: dict[str, Any], field: str) -> None:
    with pytest.raises(DomainError) as raised:
        MAKERS[kind](**wrong)
    assert [error.field for error in raised.value.errors] == [field]
    assert not Part.objects.exists()


@pytest.mark.parametrize(
    ("inner", "outer"), [("H8", "g6"), ("JS7", "js5"), ("F7", "zc11"), ("E01", "p0"), ("unknown", "unknown")]
)
def test_classes_of_iso_286_are_taken(inner: str, outer: str) -> None:
    part = factories.bush(inner_class=inner, outer_class=outer)
    assert (part.bush.inner_class, part.bush.outer_class) == (inner, outer)


# --- what a kind is counted in


@pytest.mark.parametrize("kind", sorted(set(KINDS) - {"fluid"}))
@pytest.mark.parametrize("unit", ["ml", "g"])
def test_what_is_no_fluid_is_counted_in_pieces(kind: str, unit: str) -> None:
    with pytest.raises(DomainError) as raised:
        factories.part(kind, "P-1", {}, unit=unit)
    told = {error.field: error.message for error in raised.value.errors}
    assert told["unit"] == f"must be piece: the kind {kind} is not counted in {unit}"


def test_a_fluid_is_counted_in_millilitres_or_grams() -> None:
    assert factories.fluid(unit="ml").unit == Unit.MILLILITRE
    assert factories.fluid("grease", unit="g").unit == Unit.GRAM
    with pytest.raises(DomainError) as raised:
        factories.fluid(unit="piece")
    (error,) = raised.value.errors
    assert (error.field, error.message) == ("unit", "must be ml or g: the kind fluid is not counted in piece")


# --- a file

COLUMNS = ["part", "kind", "name", "lot", "drawer", "quantity", "unit", "cure_date"]
SIZES = sorted({size.name for kind in MAKERS for size in KINDS[kind].sizes})
ROWS: dict[str, dict[str, str]] = {
    "oring": {
        "size": "222",
        "ring_id_mm": "37.69",
        "section_mm": "3.53",
        "ring_id_tolerance_mm": "0.38",
        "section_tolerance_mm": "0.1",
        "compound": "NBR",
        "hardness": "70",
        "cure_date": "2024-q2",
    },
    "band": {"for_bore_mm": "46", "width_mm": "9.8", "band_thickness_mm": "1.5", "material": "PTFE_bronze"},
    "seal_head": {"shaft_mm": "12", "body_mm": "46", "height_mm": "25"},
    "bush": {"inner_mm": "12", "outer_mm": "14", "length_mm": "10", "inner_class": "H8", "outer_class": "p6"},
    "fluid": {"use": "damper_oil", "base": "mineral_oil", "grade": "ISO VG 15", "unit": "ml"},
}


def file(*kinds: str, **cells: str) -> bytes:
    """One row for each kind, each with the cells given."""
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS + SIZES, restval="")
    writer.writeheader()
    for number, kind in enumerate(kinds, start=1):
        named = {"part": f"P-{number}", "kind": kind, "name": kind, "lot": f"L-{number}", "drawer": "S-01"}
        writer.writerow({**named, "quantity": "40", **ROWS[kind], **cells})
    return text.getvalue().encode()


def load(content: bytes) -> Loaded:
    return load_shelf(content=content, actor=people.clerk(), progress=lambda *_: None)


def test_a_file_brings_one_of_each_kind() -> None:
    content = file(*ROWS)
    checked = check_opening(content)
    loaded = load(content)
    assert (loaded.faults, loaded.lots, loaded.parts) == ([], 5, 5)
    # What is counted in millilitres is no piece.
    assert (loaded.pieces, checked.pieces) == (160, 160)
    assert replay.faults() == []
    for part in Part.objects.all():
        shown = KINDS[part.kind].show(KINDS[part.kind].table._default_manager.get(part=part))
        sent = {name: cell for name, cell in ROWS[part.kind].items() if name in shown}
        assert {name: str(float(cell)) if name.endswith("_mm") else cell for name, cell in sent.items()} == {
            name: str(value) for name, value in shown.items()
        }
    assert Lot.objects.get(number="L-1").cure_date == "2024-Q2"
    assert Balance.objects.get(lot__part__unit="ml").on_hand == 40


def test_a_second_file_finds_the_parts_of_the_first() -> None:
    load(file(*ROWS))
    again = file(*ROWS).replace(b"L-", b"M-")
    assert (load(again).faults, Part.objects.count(), Lot.objects.count()) == ([], 5, 10)


@pytest.mark.parametrize(
    ("kind", "unit", "cure"),
    [
        ("fluid", "", "must be ml or g: the kind fluid is not counted in piece"),
        ("fluid", "piece", "must be ml or g: the kind fluid is not counted in piece"),
        ("oring", "ml", "must be piece: the kind oring is not counted in ml"),
        ("bush", "g", "must be piece: the kind bush is not counted in g"),
    ],
)
def test_a_unit_that_the_kind_is_not_counted_in_is_a_fault_of_its_line(kind: str, unit: str, cure: str) -> None:
    loaded = load(file(kind, unit=unit))
    assert [(fault.line, fault.column, fault.cure) for fault in loaded.faults] == [(2, "unit", cure)]
    assert not Part.objects.exists()


def test_an_unknown_unit_is_told_once() -> None:
    loaded = load(file("fluid", unit="l"))
    assert [(fault.line, fault.column) for fault in loaded.faults] == [(2, "unit")]


def test_one_fluid_in_two_units_is_two_descriptions() -> None:
    content = file("fluid", "fluid", part="F-1", unit="ml").replace(b"40,ml", b"40,g", 1)
    (fault,) = load(content).faults
    assert (fault.line, fault.column) == (3, "part")


def test_a_size_of_another_kind_is_refused() -> None:
    loaded = load(file("bush", section_mm="3.53"))
    assert [(fault.line, fault.column) for fault in loaded.faults] == [(2, "section_mm")]
