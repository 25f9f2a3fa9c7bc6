"""What a damper model tells the questions of band, bore, shaft, O-ring and torque, in the form of their requests."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from compat.dampers import sealing_requests
from compat.dampers.sealing_requests import (
    band_of,
    bore_request,
    limit_of,
    rod_gland_request,
    shaft_request,
    torque_request,
)
from compat.engineering.seals.compounds import FLUIDS
from compat.questions import asks
from compat.questions.asks import checked
from inventory.common.clock import today
from inventory.dampers.checked import DamperIn
from inventory.dampers.document import DamperDocument, Valve, told
from inventory.dampers.document_sealing import Limit, RodGland
from inventory.dampers.words import LIMITS, MOST_N_M, MOST_UM, OILS
from inventory.documents.lengths import Length
from inventory.documents.typed import read
from tests.api.conftest import damper_document, limit, sealing, stored

SENT: dict[str, Any] = {**damper_document(), **sealing()}
WHOLE = stored(SENT)
BARE = DamperDocument(valves=(Valve(code="main"),))
DEMO = Path(__file__).parents[2] / "fixtures" / "demo"
DEMO_DAMPERS = json.loads((DEMO / "dampers.json").read_text())
SEALED = [one for one in DEMO_DAMPERS if "band" in one]
# What each question takes of a model.
REQUESTS = {
    "band": band_of,
    "bore": bore_request,
    "shaft": shaft_request,
    "oring": rod_gland_request,
    "torque": torque_request,
}


def exact(mm: float) -> dict[str, float]:
    """A length without a spread, as a request takes it."""
    return {"min": mm, "max": mm, "nominal": mm}


def asked(answer: dict[str, Any]) -> set[str]:
    """What is to be measured."""
    return {one["code"] for one in answer["findings"] if one["measure"]}


def faults(answer: dict[str, Any]) -> set[str]:
    """What is wrong with the sizes."""
    return {one["code"] for one in answer["findings"] if one["severity"] in ("stop", "warn") and not one["measure"]}


def test_a_limit_comes_with_its_source_and_its_date() -> None:
    assert limit_of(WHOLE, "bore_max_mm") == Limit(
        limit="bore_max_mm", value=46.105, source="Halvik sheet 9", on="2026-05-01"
    )
    assert limit_of(WHOLE, "nothing_of_the_kind") is None
    assert limit_of(BARE, "bore_max_mm") is None


def test_the_band_stands_in_the_bore_of_the_main_valve() -> None:
    document = replace(WHOLE, valves=(read(Valve, {"code": "base", "body_bore_mm": 30.0}), *WHOLE.valves))
    assert band_of(document) == {
        "bore_mm": exact(46.0),
        "groove_mm": exact(38.6),
        "band_thickness_mm": exact(0.95),
        "energiser": {"size": "222"},
    }


def test_the_bore_has_its_nominal_size_its_limit_and_the_band_on_it() -> None:
    assert bore_request(WHOLE) == {
        "nominal_mm": exact(46.0),
        "max_diameter_mm": 46.105,
        "band": {"groove_mm": exact(38.6), "band_thickness_mm": exact(0.95), "energiser": {"size": "222"}},
    }


def test_the_shaft_has_its_nominal_size_and_both_limits() -> None:
    assert shaft_request(WHOLE) == {
        "nominal_mm": {"min": 11.97, "max": 12.0, "nominal": 12.0},
        "min_diameter_mm": 11.95,
        "max_runout_mm": 0.04,
    }


def test_the_seal_heads_ring_slides_on_the_shaft_in_the_models_oil() -> None:
    assert rod_gland_request(WHOLE) == {
        # Nominal lengths of a model are never exact: 1 % of the diameter, 0.1 mm of the section.
        "ring": {
            "id_mm": {"min": 11.484, "max": 11.716, "nominal": 11.6},
            "section_mm": {"min": 2.3, "max": 2.5, "nominal": 2.4},
        },
        "gland": {
            "kind": "rod",
            "rod_mm": {"min": 11.97, "max": 12.0, "nominal": 12.0},
            "groove_mm": exact(16.1),
            "width_mm": exact(3.2),
        },
        "motion": "dynamic",
        "fluid": "mineral_oil",
        "temperature_c": 92.5,
    }


def test_a_model_without_a_groove_in_its_seal_head_tells_nothing_of_the_ring() -> None:
    assert rod_gland_request(replace(WHOLE, rod_gland=None)) == {}
    assert rod_gland_request(replace(WHOLE, rod_gland=RodGland())) == {}
    assert rod_gland_request(replace(BARE, rod_gland=RodGland(width_mm=Length.exact(3.2)))) == {
        "gland": {"kind": "rod", "width_mm": exact(3.2)},
        "motion": "dynamic",
    }


def test_a_torque_names_its_source_and_its_date() -> None:
    assert torque_request(WHOLE) == {
        "thread": "M12x1.25",
        "hole_mm": exact(5.0),
        "thread_relief": True,
        "relief_diameter_mm": exact(10.0),
        "torque_n_m": 33.8955,
        "torque_source": "Halvik sheet 9, 2026-05-01",
    }
    without = replace(WHOLE, limits=None)
    assert torque_request(without) == {
        "thread": "M12x1.25",
        "hole_mm": exact(5.0),
        "thread_relief": True,
        "relief_diameter_mm": exact(10.0),
    }


def test_the_longest_source_is_cut_to_what_a_request_takes_and_keeps_its_date() -> None:
    long = stored({**SENT, "limits": [limit("nut_torque_n_m", 30, source="x" * 200)]})
    source = torque_request(long)["torque_source"]
    assert len(source) == 200 and source.endswith("x\u2026, 2026-05-01")
    checked(asks.QUESTIONS["torque"][0], torque_request(long))


@pytest.mark.parametrize("name", REQUESTS)
def test_a_model_that_knows_nothing_tells_nothing(name: str) -> None:
    assert REQUESTS[name](BARE) == {}
    assert REQUESTS[name](stored({"valves": [{"code": "main"}], **dict.fromkeys([*sealing(), "shaft_end"])})) == {}


# What is left to ask for once the model has told what it knows: what is read on the damper itself, or is not its own.
LEFT = {
    "band": {"band_od_missing", "band_wear_missing", "bore_wear_missing", "coldest_missing"},
    "bore": {"diameters_missing", "travel_missing"},
    "shaft": {"diameters_missing", "travel_missing", "runout_missing", "surface_missing"},
    "oring": {"reused_unknown", "compound_missing", "squeeze_may_be_little", "cure_date_missing", "coldest_missing"}
    | {"pressure_missing", "gap_missing", "hardness_missing"},
    "torque": {
        *("prevailing_unknown", "nut_factor_unknown", "engagement_unknown"),
        *("shaft_strength_unknown", "nut_strength_unknown"),
    },
}


@pytest.mark.parametrize("name", REQUESTS)
def test_each_question_takes_what_a_stored_model_tells_and_asks_for_the_rest(name: str) -> None:
    answer = asks.ask(name, REQUESTS[name](told(checked(DamperIn, SENT)).document))
    assert asked(answer) == LEFT[name]
    assert answer["verdict"] == "cannot_tell"


def test_every_limit_has_an_end_in_its_own_unit() -> None:
    assert {*MOST_UM, *MOST_N_M} == set(LIMITS) and not set(MOST_UM) & set(MOST_N_M)
    assert all(name.endswith("_mm") for name in MOST_UM) and all(name.endswith("_n_m") for name in MOST_N_M)


def test_every_fluid_that_the_seals_are_tabulated_for_can_be_a_models_oil() -> None:
    assert set(FLUIDS) <= set(OILS)


def test_a_source_is_cut_where_the_request_of_a_torque_ends() -> None:
    field: Any = asks.QUESTIONS["torque"][0]().fields["torque_source"]
    assert field.max_length == sealing_requests.MOST_SOURCE


# The demo's models.


def test_most_of_the_demos_models_with_a_main_valve_have_a_band() -> None:
    mains = [one for one in DEMO_DAMPERS if one["valves"][0]["code"] == "main"]
    assert {one["code"] for one in mains} - {one["code"] for one in SEALED} == {"LE-46-X", "UN-40-X"}
    assert all([one["limit"] for one in model["limits"]] == list(LIMITS) for model in SEALED)


@pytest.mark.parametrize("document", SEALED, ids=[one["code"] for one in SEALED])
def test_a_demo_band_is_squeezed_by_ten_to_twenty_percent_at_its_worst_corner(document: dict[str, Any]) -> None:
    answer = asks.ask("band", {**band_of(stored(document)), "band_wear_radial_mm": 0, "bore_wear_diametral_mm": 0})
    assert 10 <= answer["values"]["squeeze_percent"]["min"] <= 20
    assert (asked(answer), faults(answer)) == ({"band_od_missing", "coldest_missing"}, set())


@pytest.mark.parametrize("document", SEALED, ids=[one["code"] for one in SEALED])
def test_a_demo_seal_head_takes_its_ring(document: dict[str, Any]) -> None:
    told = rod_gland_request(stored(document))
    read = {"coldest_c": -10, "pressure_bar": 20, "compound": "NBR 70", "reused": False}
    read |= {"ring": {**told["ring"], "cure_date": f"{today().year - 1}-Q1"}}
    answer = asks.ask("oring", {**told, **read, "gland": {**told["gland"], "extrusion_gap_mm": 0.03}})
    assert answer["verdict"] == "fits", asked(answer) | faults(answer)


@pytest.mark.parametrize("document", SEALED, ids=[one["code"] for one in SEALED])
def test_the_rings_of_a_demo_model_lie_on_the_demos_shelf(document: dict[str, Any]) -> None:
    shelf = (DEMO / "shelf.csv").read_text()
    assert f"OR-{document['band']['energiser']['size']}-NBR," in shelf
    ring = document["rod_gland"]["ring"]
    size = ring.get("size") or f"{ring['id_mm']['nominal']:g}x{ring['section_mm']['nominal']:g}"
    assert f"OR-{size}-NBR," in shelf
