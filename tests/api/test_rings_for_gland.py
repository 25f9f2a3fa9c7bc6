"""Which rings in stock fit this gland? From the shelf, over HTTP."""

from __future__ import annotations

import random
from math import inf
from typing import Any

import pytest

from compat.engineering.seals.search import Reach
from compat.engineering.seals.sizes import known
from inventory.catalogue.models import Part
from inventory.common import clock
from inventory.holds.requests import Wanted
from inventory.stock.models import Condition, Lot
from tests import factories
from tests.api.conftest import Caller, Json, fields, ok, problem, statements
from tests.api.fit import asked, codes, without
from tests.conftest import HeldClock

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

# The worked gland of tests/engineering/test_oring.py: a -222 (37.69 x 3.53) is squeezed by 13.7 to 21.0 percent.
GLAND: Json = {
    "kind": "piston",
    "bore_mm": {"min": 44.0, "max": 44.039, "nominal": 44.0},
    "groove_mm": {"min": 38.238, "max": 38.3, "nominal": 38.3},
    "width_mm": 4.75,
    "land_mm": 43.9,
}
ASKED: Json = {
    "gland": GLAND,
    "motion": "static",
    "fluid": "mineral_oil",
    "temperature_c": 80,
    "coldest_c": -10,
    "pressure_mpa": 2.5,
}
NEW: Json = {"size": "222", "cure_date": "2029-Q4"}
TIGHT: Json = {"ring_id_tolerance_mm": 0.05, "section_tolerance_mm": 0.03}


def search(program: Caller, **change: Any) -> Json:
    return asked(program, "rings-for-gland", {**ASKED, **change})


def ring(number: str, ring_id_mm: float = 37.69, section_mm: float = 3.53, **sizes: Any) -> Part:
    return factories.oring(
        ring_id_mm, section_mm, number=number, **{"size": "222", "compound": "NBR", "hardness": "70", **sizes}
    )


def put(part: Part, quantity: int = 5, lot: str = "", cure_date: str = "2029-Q4", **more: Any) -> None:
    number = lot or f"L-{part.number}"
    factories.stocked(part, quantity, lot=number, drawer=f"D-{number}", cure_date=cure_date, **more)


def offered(answer: Json) -> list[str]:
    return [one["part"] for one in answer["values"]["rings"]]


def only(answer: Json) -> Json:
    (one,) = answer["values"]["rings"]
    return dict(one)


def data(answer: Json, code: str) -> Json:
    return dict(next(one["data"] for one in answer["findings"] if one["code"] == code))


def test_a_ring_that_fits_is_offered_with_all_that_the_bench_needs(lead: Caller) -> None:
    put(ring("OR-222"), 5)
    answer = search(lead)
    one = only(answer)
    alone = asked(lead, "oring", {**ASKED, "ring": NEW, "compound": "NBR 70", "reused": False})
    assert answer["verdict"] == alone["verdict"] == one["verdict"] == "fits"
    for name in ("stretch_percent", "squeeze_percent", "fill_percent", "margin"):
        assert one[name] == alone["values"][name]
    assert one["id_mm"] == {"min": 37.31, "max": 38.07, "nominal": 37.69}
    assert one["section_mm"] == {"min": 3.43, "max": 3.63, "nominal": 3.53}
    assert (one["part"], one["size"], one["compound"], one["available"]) == ("OR-222", "222", "NBR", 5)
    assert one["lots"] == [
        {
            "lot": "L-OR-222",
            "drawer": "D-L-OR-222",
            "available": 5,
            "cure_date": "2029-Q4",
            "shelf_life": "good",
            "until": "2036-12-31",
        }
    ]
    assert answer["values"]["searched"] == 1 and answer["findings"] == []


def test_the_best_come_first(lead: Caller) -> None:
    """Surely fitting before fitting but old, those before what may fit; in each by the margin."""
    put(ring("A-unknown", compound="unknown"))
    put(ring("B-inspect"), cure_date="2022-Q4")
    put(ring("C-standard"))
    put(ring("D-tight", **TIGHT))
    put(ring("E-thin", 37.77, 2.62, size="128"))
    put(ring("F-soon"), cure_date="2023-Q2")
    answer = search(lead)
    assert offered(answer) == ["D-tight", "C-standard", "F-soon", "B-inspect", "A-unknown"]
    tight, standard = answer["values"]["rings"][:2]
    assert tight["margin"] > standard["margin"]
    assert [one["verdict"] for one in answer["values"]["rings"]] == ["fits"] * 4 + ["cannot_tell"]
    assert answer["verdict"] == "fits" and answer["values"]["searched"] == 6
    assert offered(search(lead, most=2)) == ["D-tight", "C-standard"]


def test_the_lot_to_take_first_stands_first(lead: Caller) -> None:
    part = ring("OR-222")
    for lot, cured in (("NEW", "2029-Q4"), ("OLDER", "2026-Q1"), ("NOBODY-KNOWS", ""), ("SOON", "2023-Q2")):
        put(part, 1, lot, cured)
    one = only(search(lead))
    assert [(lot["lot"], lot["shelf_life"]) for lot in one["lots"]] == [
        ("SOON", "soon"),
        ("OLDER", "good"),
        ("NEW", "good"),
        ("NOBODY-KNOWS", "unknown"),
    ]
    assert one["available"] == 4 and one["lots"][3]["cure_date"] is one["lots"][3]["until"] is None


def test_the_warnings_of_the_best_ring_are_said_and_leave_the_verdict(lead: Caller) -> None:
    put(ring("OR-222"), cure_date="2023-Q2")
    answer = search(lead, temperature_c=98)
    assert answer["verdict"] == "fits" and codes(answer) == {"seal_nearly_too_hot", "shelf_life_soon"}
    assert data(answer, "shelf_life_soon")["part"] == "OR-222"
    assert set(only(answer)["codes"]) == {"extrusion_table_warm", "seal_nearly_too_hot"} and not only(answer)["measure"]


# --- what is free


def test_held_rings_are_not_offered_until_their_hold_lapses(lead: Caller, clock: HeldClock) -> None:
    put(ring("OR-222"), 3, "ONE")
    factories.held(Wanted(quantity=2, lot="ONE"))
    assert only(search(lead))["available"] == 1
    factories.held(Wanted(quantity=1, lot="ONE"))
    gone = search(lead)
    assert offered(gone) == [] and codes(gone, "stop") == {"no_ring_fits"}
    clock.advance(minutes=15)
    assert only(search(lead))["available"] == 3


def test_used_rings_and_retired_lots_are_not_offered(lead: Caller, clock: HeldClock) -> None:
    part = ring("OR-222")
    put(part, 3, "USED", condition=Condition.TAKE_OFF)
    put(part, 3, "GONE")
    Lot.objects.filter(number="GONE").update(retired_at=clock.time)
    answer = search(lead)
    assert answer["verdict"] == "does_not_fit" and offered(answer) == []


def test_an_empty_shelf_is_a_finding_and_not_an_error(lead: Caller) -> None:
    answer = search(lead)
    assert answer["verdict"] == "does_not_fit" and codes(answer) == {"no_ring_fits"}
    assert answer["values"] == {"rings": [], "searched": 0}


# --- age


@pytest.mark.parametrize(("policy", "verdict"), [("iso_2230", "does_not_fit"), ("arp5316d", "fits")])
def test_rings_past_their_shelf_life_are_left_out_by_the_policy(
    lead: Caller, clock: HeldClock, settings: Any, policy: str, verdict: str
) -> None:
    """NBR cured in 2017-Q1: 7 + 3 years by ISO 2230 are over in 2030, 15 by SAE ARP5316D are not."""
    assert clock.time.year == 2030
    put(ring("OR-222"), 4, cure_date="2017-Q1")
    answer = search(lead, shelf_life_policy=policy)
    settings.SHELF_LIFE = policy
    assert search(lead) == answer
    assert answer["verdict"] == verdict
    if policy == "iso_2230":
        assert offered(answer) == [] and codes(answer) == {"no_ring_fits", "rings_over_age"}
        assert data(answer, "rings_over_age") == {"pieces": 4, "lots": 1}
    else:
        assert only(answer)["lots"][0]["until"] == "2032-03-31"


def test_rings_past_their_shelf_life_are_listed_last_when_asked_for_and_fit_nothing(lead: Caller) -> None:
    old = ring("A-old", **TIGHT)
    put(old, 4, cure_date="2017-Q1")
    answer = search(lead, over_age=True)
    assert answer["verdict"] == "does_not_fit" and codes(answer) == {"no_ring_fits", "rings_over_age"}
    assert only(answer)["lots"][0]["shelf_life"] == "over"
    put(ring("B-good"))
    put(ring("C-unknown", compound="unknown"))
    answer = search(lead, over_age=True)
    assert answer["verdict"] == "fits" and offered(answer) == ["B-good", "C-unknown", "A-old"]
    put(old, 2, "FRESH")
    assert only(search(lead, most=1))["available"] == 2
    assert only(search(lead, most=1, over_age=True))["available"] == 6


@pytest.mark.parametrize(
    ("cure_date", "code"),
    [("", "shelf_life_unknown"), ("2022-Q4", "shelf_life_inspect"), ("0001-Q1", "shelf_life_unknown")],
)
def test_a_ring_of_unknown_age_or_due_for_inspection_cannot_tell(lead: Caller, cure_date: str, code: str) -> None:
    put(ring("OR-222"))
    # As an older row may stand there: today such a quarter is refused when a lot comes in.
    Lot.objects.update(cure_date=cure_date)
    answer = search(lead)
    assert answer["verdict"] == "cannot_tell" and codes(answer, "measure") == {"rings_may_fit", code}
    assert only(answer)["verdict"] == "fits"


# --- compound and service


def test_only_rings_of_the_compound_asked_for_are_offered(lead: Caller) -> None:
    for compound in ("NBR", "FKM", "unknown"):
        put(ring(f"OR-{compound}", compound=compound))
    answer = search(lead, compound="fkm 75")
    assert offered(answer) == ["OR-FKM"] and answer["values"]["searched"] == 1


def test_rings_that_do_not_bear_the_fluid_are_left_out_and_counted(lead: Caller) -> None:
    put(ring("OR-NBR"), 4)
    put(ring("OR-FKM", compound="FKM"), 2)
    answer = search(lead, fluid="glycol_brake_fluid")
    assert offered(answer) == [] and answer["verdict"] == "does_not_fit"
    assert data(answer, "rings_do_not_bear") == {"pieces": 6, "compounds": "FKM, NBR"}
    put(ring("OR-EPDM", compound="EPDM"))
    assert offered(search(lead, fluid="glycol_brake_fluid")) == ["OR-EPDM"]


def test_a_ring_of_unknown_compound_cannot_tell(lead: Caller) -> None:
    put(ring("OR-222", compound="unknown"))
    answer = search(lead)
    assert answer["verdict"] == "cannot_tell"
    assert codes(answer, "measure") == {"rings_may_fit", "compound_missing", "shelf_life_unknown"}
    assert only(answer)["compound"] is None and only(answer)["verdict"] == "cannot_tell"


@pytest.mark.parametrize(
    ("path", "code"),
    [
        ("fluid", "fluid_missing"),
        ("temperature_c", "temperature_missing"),
        ("gland.width_mm", "gland_width_missing"),
    ],
)
def test_what_is_open_leaves_rings_that_may_fit(lead: Caller, path: str, code: str) -> None:
    put(ring("OR-222"))
    answer = asked(lead, "rings-for-gland", without(ASKED, path))
    assert answer["verdict"] == "cannot_tell" and codes(answer, "measure") == {"rings_may_fit", code}
    assert only(answer)["verdict"] == "cannot_tell"


@pytest.mark.parametrize("name", ["bore_mm", "groove_mm"])
def test_a_gland_with_sizes_missing_is_asked_about_and_not_searched(lead: Caller, name: str) -> None:
    put(ring("OR-222"))
    with statements() as sent:
        answer = asked(lead, "rings-for-gland", without(ASKED, f"gland.{name}"))
    assert answer["verdict"] == "cannot_tell" and answer["values"] == {"rings": [], "searched": 0}
    assert codes(answer) == {f"gland_{name.removesuffix('_mm')}_missing"}
    assert not any("oring" in one for one in sent)


def test_a_gland_that_cannot_be_is_not_searched(lead: Caller) -> None:
    face = {"kind": "face", "depth_mm": 2.7, "inner_mm": 35.4, "outer_mm": 44.8}
    moving = search(lead, gland=face, motion="dynamic")
    assert moving["verdict"] == "does_not_fit" and codes(moving) == {"face_gland_moves"}
    shut = search(lead, gland={**GLAND, "bore_mm": 38})
    assert shut["verdict"] == "does_not_fit" and codes(shut) == {"piston_gland_has_no_room"}
    doubtful = search(lead, gland={**GLAND, "bore_mm": {"min": 38, "max": 44}})
    assert doubtful["verdict"] == "cannot_tell" and codes(doubtful) == {"piston_gland_has_no_room"}


def test_a_face_and_a_rod_gland_find_their_rings(lead: Caller) -> None:
    put(ring("OR-222"))
    put(ring("OR-METRIC", 37.69, 3.53, size="none", **TIGHT))
    face = {"kind": "face", "depth_mm": 2.7, "inner_mm": 35.4, "outer_mm": 44.8, "pressure_from": "inside"}
    assert offered(search(lead, gland=face)) == ["OR-METRIC", "OR-222"]
    rod = {"kind": "rod", "rod_mm": 38, "groove_mm": 43.8, "width_mm": 4.75, "land_mm": 38.1}
    found = search(lead, gland=rod)
    assert found["verdict"] == "fits" and offered(found)[0] == "OR-METRIC"


def test_a_gland_in_inches_is_asked_about(lead: Caller) -> None:
    """1.732 and 1.508 inches are 44.00 and 38.30 mm."""
    put(ring("OR-222"))
    inches = {"kind": "piston", "bore_mm": 1.732, "groove_mm": 1.508, "width_mm": 0.187}
    answer = search(lead, gland=inches)
    assert answer["verdict"] == "cannot_tell" and codes(answer) == {"gland_looks_like_inches"}


# --- what is on file of a ring


def test_a_ring_without_tolerances_may_fit_and_never_surely_does(lead: Caller) -> None:
    put(ring("OR-METRIC", 37.7, 3.5, size="none"))
    put(ring("OR-HALF", 37.7, 3.5, size="none", ring_id_tolerance_mm=0.1))
    answer = search(lead)
    assert answer["verdict"] == "cannot_tell"
    assert codes(answer, "measure") == {"rings_may_fit", "ring_tolerances_unknown"}
    assert set(data(answer, "ring_tolerances_unknown")["parts"].split(", ")) == {"OR-METRIC", "OR-HALF"}
    assert {one["verdict"] for one in answer["values"]["rings"]} == {"cannot_tell"}
    put(ring("OR-222"))
    answer = search(lead)
    assert answer["verdict"] == "fits" and offered(answer)[0] == "OR-222"
    assert codes(answer, "warn") == {"ring_tolerances_unknown"} and not codes(answer, "measure")


def test_lengths_rounded_by_a_catalogue_are_those_of_the_standard(lead: Caller) -> None:
    put(ring("OR-ROUNDED", 37.7, 3.5))
    one = only(search(lead))
    assert one["section_mm"] == {"min": 3.43, "max": 3.63, "nominal": 3.53} and one["verdict"] == "fits"


def test_a_stated_tolerance_counts_and_the_standard_stands_in_for_the_other(lead: Caller) -> None:
    put(ring("OR-222", 37.7, 3.5, ring_id_tolerance_mm=0.1))
    one = only(search(lead))
    assert one["id_mm"] == {"min": 37.6, "max": 37.8, "nominal": 37.7}
    assert one["section_mm"] == {"min": 3.43, "max": 3.63, "nominal": 3.53}


@pytest.mark.parametrize(
    ("size", "id_mm", "section_mm"),
    [("128", 37.69, 3.53), ("222", 61.6, 2.62)],
    ids=["the lengths fit", "the size fits"],
)
@pytest.mark.parametrize("stated", [{}, TIGHT])
def test_a_ring_whose_size_contradicts_its_lengths_is_flagged_either_way(
    lead: Caller, size: str, id_mm: float, section_mm: float, stated: Json
) -> None:
    put(ring("OR-WRONG", id_mm, section_mm, size=size, **stated))
    answer = search(lead)
    assert answer["verdict"] == "cannot_tell"
    assert codes(answer, "measure") == {"rings_may_fit", "ring_size_contradicts"}
    assert data(answer, "ring_size_contradicts")["part"] == "OR-WRONG"
    assert data(answer, "ring_size_contradicts")["id_mm"] == id_mm
    one = only(answer)
    assert one["verdict"] == "cannot_tell" and one["id_mm"]["nominal"] == 37.69
    put(ring("OR-222"))
    answer = search(lead)
    assert answer["verdict"] == "fits" and codes(answer, "warn") == {"ring_size_contradicts"}


# --- the shelf


def test_nothing_is_lost_by_what_the_shelf_leaves_out(lead: Caller, monkeypatch: pytest.MonkeyPatch) -> None:
    """All 349 sizes of AS568, their lengths rounded up and down, and metric rings with much tolerance, little or none:
    as if the whole shelf were read."""
    for dash, free in known().items():
        off = 0.04 if dash % 2 else -0.04
        inner, section = round(free.id_mm.nominal + off, 3), round(free.section_mm.nominal - off, 3)
        put(ring(f"OR-{dash:03}", inner, section, size=f"{dash:03}"), 1)
    draw = random.Random(7)
    for number in range(150):
        stated = {"ring_id_tolerance_mm": draw.choice((0.1, 0.9)), "section_tolerance_mm": draw.choice((0.05, 0.4))}
        listed = {name: about for name, about in stated.items() if draw.random() < 0.6}
        inner, section = draw.uniform(35, 41), draw.uniform(2.6, 4.4)
        put(ring(f"OR-M{number}", round(inner, 2), round(section, 2), size="none", **listed), 1)
    rod: Json = {"kind": "rod", "rod_mm": {"min": 37.9, "max": 38.4}, "groove_mm": 43.8, "width_mm": 4.75}
    glands: list[Json] = [GLAND, {"kind": "rod", "rod_mm": 20, "groove_mm": 24.4, "width_mm": 3.6}]
    glands += [{"kind": "face", "depth_mm": 2.0, "inner_mm": 58, "outer_mm": 66}, rod]
    glands += [{"kind": "piston", "bore_mm": seat + 5.6, "groove_mm": seat, "width_mm": 4.75} for seat in (21, 48, 90)]
    narrowed = [search(lead, gland=gland, most=50) for gland in glands]
    assert [bool(answer["values"]["rings"]) for answer in narrowed[:4]] == [True] * 4
    everything = Reach(0, 2000, 0, 2000, inf)
    monkeypatch.setattr("compat.questions.rings_for_gland.reach_of", lambda gland, motion: everything)
    assert [search(lead, gland=gland, most=50) for gland in glands] == narrowed


def test_the_number_of_statements_does_not_grow_with_the_shelf(lead: Caller) -> None:
    counts = []
    for start, end in ((0, 0), (0, 1), (1, 30)):
        for number in range(start, end):
            put(ring(f"OR-{number}"), 2, f"L-{number}")
        with statements() as sent:
            ok(lead.ask("/fit/rings-for-gland", ASKED))
        counts.append(len(sent))
    assert counts == [4, 4, 4]


# --- who may ask, and what is refused


def test_a_storefront_does_not_look_at_the_shelf(storefront: Caller) -> None:
    problem(storefront.ask("/fit/rings-for-gland", ASKED), 403, "role_not_allowed")


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"motion": "slow"}, "motion"),
        ({"motion": None}, "motion"),
        ({"gland": {"kind": "oval"}}, "gland.kind"),
        ({"gland": {"kind": "piston", "rod_mm": 16}}, "gland.rod_mm"),
        ({"compound": "neoprene"}, "compound"),
        ({"most": 0}, "most"),
        ({"most": 51}, "most"),
        ({"over_age": "yes"}, "over_age"),
        ({"shelf_life_policy": "mine"}, "shelf_life_policy"),
        ({"temperature_c": 20, "coldest_c": 30}, "coldest_c"),
        ({"ring": {"size": "222"}}, "ring"),
    ],
)
def test_what_cannot_be_read_is_refused_at_its_field(lead: Caller, change: Json, field: str) -> None:
    refused = problem(lead.ask("/fit/rings-for-gland", {**ASKED, **change}), 400, "invalid")
    assert fields(refused) == {field}


@pytest.mark.parametrize("name", ["gland", "motion"])
def test_gland_and_motion_are_required(lead: Caller, name: str) -> None:
    assert fields(problem(lead.ask("/fit/rings-for-gland", without(ASKED, name)), 400, "invalid")) == {name}


def test_a_retired_ring_is_not_offered(lead: Caller) -> None:
    part = ring("OR-222")
    put(part)
    assert offered(search(lead)) == ["OR-222"]
    Part.objects.update(retired_at=clock.now())
    assert offered(search(lead)) == []


def test_a_face_gland_that_no_ring_fits_is_an_answer(lead: Caller) -> None:
    face = {"kind": "face", "depth_mm": 2.7, "inner_mm": 35.4, "outer_mm": 44.8, "pressure_from": "inside"}
    answer = asked(lead, "rings-for-gland", {"gland": face, "motion": "static"})
    assert answer["verdict"] == "does_not_fit"
