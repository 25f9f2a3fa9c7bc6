"""O-rings, bands, seal heads, bushes and fluids over the API; what is counted in millilitres or grams all the way."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.stock import replay
from tests import factories
from tests.api.conftest import Caller, Json, fields, ok, problem

pytestmark = pytest.mark.django_db

ORING = {
    "size": "222",
    "ring_id_mm": 37.69,
    "section_mm": 3.53,
    "ring_id_tolerance_mm": 0.38,
    "section_tolerance_mm": 0.1,
    "compound": "FKM",
    "hardness": "75",
}
SIZES: dict[str, Json] = {
    "oring": ORING,
    "band": {"for_bore_mm": 46.0, "width_mm": 9.8, "band_thickness_mm": 1.5, "material": "PTFE_carbon"},
    "seal_head": {"shaft_mm": 12.0, "body_mm": 46.0, "height_mm": 25.0},
    "bush": {"inner_mm": 12.0, "outer_mm": 14.0, "length_mm": 10.0, "inner_class": "F7", "outer_class": "p6"},
    "fluid": {"use": "damper_oil", "base": "synthetic_oil", "grade": "ISO VG 15"},
}
# What is not said of a part.
SILENT: dict[str, Json] = {
    "oring": {
        "size": "none",
        "ring_id_tolerance_mm": None,
        "section_tolerance_mm": None,
        "compound": "unknown",
        "hardness": "unknown",
    },
    "band": {"material": "unknown"},
    "seal_head": {},
    "bush": {"inner_class": "unknown", "outer_class": "unknown"},
    "fluid": {"base": "unknown", "grade": "unknown"},
}


def new(kind: str, **changed: Any) -> Json:
    unit = {"unit": "ml"} if kind == "fluid" else {}
    return {"number": "P-1", "kind": kind, "name": "n", "sizes": SIZES[kind], **unit, **changed}


# --- parts


@pytest.mark.parametrize("kind", SIZES)
def test_a_part_comes_back_as_it_was_sent(clerk: Caller, kind: str) -> None:
    made = ok(clerk.post("/parts", new(kind)), 201)
    assert (made["kind"], made["unit"], made["sizes"]) == (kind, "ml" if kind == "fluid" else "piece", SIZES[kind])
    assert ok(clerk.get("/parts/P-1")) == made
    assert list(clerk.walk(f"/parts?kind={kind}")) == [made]


@pytest.mark.parametrize("kind", SIZES)
def test_what_is_not_said_of_a_part_is_unknown(clerk: Caller, kind: str) -> None:
    said = {name: value for name, value in SIZES[kind].items() if name not in SILENT[kind]}
    made = ok(clerk.post("/parts", new(kind, sizes=said)), 201)
    assert made["sizes"] == {**said, **SILENT[kind]}


@pytest.mark.parametrize("kind", SIZES)
def test_what_is_needed_must_be_said(clerk: Caller, kind: str) -> None:
    needed = {f"sizes.{name}" for name in SIZES[kind] if name not in SILENT[kind]}
    assert fields(problem(clerk.post("/parts", new(kind, sizes={})), 400, "invalid")) == needed


@pytest.mark.parametrize(
    ("kind", "unit", "said"),
    [
        ("fluid", {}, "must be ml or g: the kind fluid is not counted in piece"),
        ("fluid", {"unit": "piece"}, "must be ml or g: the kind fluid is not counted in piece"),
        ("oring", {"unit": "ml"}, "must be piece: the kind oring is not counted in ml"),
        ("seal_head", {"unit": "g"}, "must be piece: the kind seal_head is not counted in g"),
    ],
    ids=str,
)
def test_a_unit_that_the_kind_is_not_counted_in_is_refused_with_the_cure(
    clerk: Caller, kind: str, unit: Json, said: str
) -> None:
    asked = {name: value for name, value in new(kind).items() if name != "unit"}
    body = problem(clerk.post("/parts", {**asked, **unit}), 400, "invalid")
    assert fields(body) == {"unit"}
    assert said in str(body["errors"])
    both = problem(clerk.post("/parts", {**asked, **unit, "sizes": {}}), 400, "invalid")
    assert fields(both) > {"unit"}


def test_parts_are_found_by_ranges_and_words_of_the_new_kinds(clerk: Caller) -> None:
    factories.oring(37.69, 3.53, number="O-222", size="222", compound="NBR")
    factories.oring(40.87, 3.53, number="O-223", size="223", compound="FKM")
    factories.oring(9.25, 1.78, number="O-012", size="012", compound="NBR")
    factories.band(46, number="B-46", material="PTFE_bronze")
    factories.band(50, number="B-50", material="PTFE")
    factories.seal_head(12, 46, number="H-12")
    factories.seal_head(14, 50, number="H-14")
    factories.bush(12, 14, number="U-12", inner_class="F7")
    factories.washer(14, 12, number="W-12")
    factories.fluid(number="F-oil", base="mineral_oil", grade="ISO VG 15")
    factories.fluid("grease", number="F-grease", unit="g")

    def numbers(query: str) -> set[str]:
        return {row["number"] for row in clerk.walk(f"/parts?{query}&page_size=2")}

    assert numbers("section_mm_min=3.5&section_mm_max=3.6&ring_id_mm_min=38") == {"O-223"}
    assert numbers("ring_id_mm_max=37.69&compound=NBR") == {"O-222", "O-012"}
    assert numbers("size=222") == {"O-222"}
    assert numbers("for_bore_mm_min=46&for_bore_mm_max=46") == {"B-46"}
    assert numbers("material=PTFE") == {"B-50"}
    assert numbers("shaft_mm_max=12&body_mm_min=46") == {"H-12"}
    # Names that several kinds share mean the same in each.
    assert numbers("inner_mm_min=12&inner_mm_max=12&outer_mm_max=14") == {"U-12", "W-12"}
    assert numbers("inner_class=F7") == {"U-12"}
    assert numbers("use=grease") == {"F-grease"}
    assert numbers("base=mineral_oil&grade=ISO+VG+15") == {"F-oil"}
    for query, field in (("compound=latex", "compound"), ("use=soup", "use"), ("section_mm_min=x", "section_mm_min")):
        assert fields(problem(clerk.get(f"/parts?{query}"), 400, "invalid")) == {field}


def test_a_lot_of_rings_keeps_its_cure_date(clerk: Caller) -> None:
    factories.oring(number="O-222")
    delivery = ok(clerk.post("/deliveries", {"number": "D-1"}), 201)["id"]
    line = {"part": "O-222", "lot": "L-1", "drawer": "R-01", "quantity": 50, "cure_date": "2026-Q3"}
    ok(clerk.post(f"/deliveries/{delivery}/lines", line), 201)
    assert next(clerk.walk("/lots?part=O-222"))["cure_date"] == "2026-Q3"


# --- quantities in millilitres and grams


@pytest.mark.parametrize("unit", ["ml", "g"])
def test_a_fluid_is_delivered_counted_held_and_taken_in_its_own_unit(
    clerk: Caller, storefront: Caller, unit: str
) -> None:
    factories.fluid(number="F-1", unit=unit)

    def shown() -> tuple[str, int, int, int]:
        row = ok(clerk.get("/parts/F-1"))
        return row["unit"], row["on_hand"], row["held"], row["available"]

    delivery = ok(clerk.post("/deliveries", {"number": "D-1"}), 201)["id"]
    line = {"part": "F-1", "lot": "L-1", "drawer": "T-01", "quantity": 1000}
    ok(clerk.post(f"/deliveries/{delivery}/lines", line), 201)
    assert shown() == (unit, 1000, 0, 1000)
    ok(clerk.post("/counts", {"lot": "L-1", "drawer": "T-01", "counted": 950}), 201)
    assert shown() == (unit, 950, 0, 950)
    hold = ok(storefront.post("/holds", {"lines": [{"part": "F-1", "quantity": 200}]}), 201)
    assert [(one["lot"], one["quantity"]) for one in hold["lines"]] == [("L-1", 200)]
    assert shown() == (unit, 950, 200, 750)
    body = problem(storefront.post("/holds", {"lines": [{"part": "F-1", "quantity": 751}]}), 409, "out_of_stock")
    assert body["data"]["lines"] == [{"line": 0, "asked": 751, "free": 750}]
    ok(storefront.post(f"/holds/{hold['id']}/confirm", {}))
    assert shown() == (unit, 950, 200, 750)
    moved = [(row["on_hand_delta"], row["held_delta"], row["on_hand"], row["held"]) for row in clerk.walk("/movements")]
    assert moved == [(1000, 0, 1000, 0), (-50, 0, 950, 0), (0, 200, 950, 200)]
    assert replay.faults() == []


def test_a_count_below_what_is_held_shortens_the_hold_of_a_fluid(clerk: Caller, storefront: Caller) -> None:
    factories.stocked(factories.fluid(number="F-1"), 1000, lot="L-1", drawer="T-01")
    hold = ok(storefront.post("/holds", {"lines": [{"part": "F-1", "quantity": 800}]}), 201)["id"]
    ok(clerk.post("/counts", {"lot": "L-1", "drawer": "T-01", "counted": 350}), 201)
    left = ok(storefront.get(f"/holds/{hold}"))
    assert (left["state"], left["lines"][0]["quantity"], left["lines"][0]["asked"]) == ("short", 350, 800)
    assert replay.faults() == []


@pytest.mark.parametrize("quantity", [0.5, 12.5, "1000", 0, -200])
def test_a_fluid_is_counted_in_whole_units(clerk: Caller, quantity: Any) -> None:
    factories.fluid(number="F-1")
    delivery = ok(clerk.post("/deliveries", {"number": "D-1"}), 201)["id"]
    line = {"part": "F-1", "lot": "L-1", "drawer": "T-01", "quantity": quantity}
    assert fields(problem(clerk.post(f"/deliveries/{delivery}/lines", line), 400, "invalid")) == {"quantity"}
