"""What is told reaches the engine under its own name, and what is not told reaches it as unknown, of every question
that hands a request on as it is. No outside source is needed: no figure is computed here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from itertools import count
from typing import Any

import pytest

from compat.engineering.units import Range
from compat.questions import asks
from tests.api.fit import without
from tests.compat.questions.readings import Json
from tests.compat.questions.rooms import tried

_sizes = count(10)


def size() -> Json:
    """A length or figure that no other field has, with three ends of its own."""
    least = float(next(_sizes))
    return {"min": least, "max": least + 0.5, "nominal": least + 0.2}


def sizes(*names: str) -> Json:
    return {name: size() for name in names}


BAND = {
    **sizes("groove_mm", "band_thickness_mm", "measured_od_mm", "energiser_section_mm"),
    "band_wear_radial_mm": {"min": 0.1, "max": 0.3, "nominal": 0.2},
    "energiser": sizes("id_mm", "section_mm"),
    "coldest_c": -11.0,
}
TRAVEL = {"travel_from_mm": {"min": 1, "max": 3, "nominal": 2}, "travel_to_mm": {"min": 94, "max": 97, "nominal": 95}}
SERVICE: Json = {"fluid": "mineral_oil", "temperature_c": 77.0, "coldest_c": -13.0, "backup_rings": True}
RING = {**SERVICE, "motion": "dynamic", "compound": "NBR", "hardness_shore_a": size(), "reused": False}
GAP: Json = {"min": 0.1, "max": 0.3, "nominal": 0.2}
# Request by question, or by question and what it is about; paths of a request that have another name in the engine.
BODIES: dict[str, Json] = {
    "band": {**BAND, "bore_mm": size(), "bore_wear_diametral_mm": {"min": 0.4, "max": 0.6, "nominal": 0.5}},
    "bore": {"nominal_mm": size(), "max_diameter_mm": size(), **TRAVEL, "band": BAND},
    "shaft": {
        "nominal_mm": size(),
        "min_diameter_mm": size(),
        **TRAVEL,
        "surface": "pitted",
        "runout_mm": {"min": 0.1, "max": 0.3, "nominal": 0.2},
        "max_runout_mm": {"min": 0.4, "max": 0.6, "nominal": 0.5},
    },
    "clearance": {
        **sizes("bore_mm", "shaft_mm"),
        "bore_class": "H9",
        "shaft_class": "g6",
        "nominal_mm": 12.5,
        "most_clearance_mm": 0.07,
    },
    "face-shim": {
        **sizes("shim_od_mm", "shim_bore_mm", "ports_inner_mm", "ports_outer_mm", "land_outer_mm", "hub_mm"),
        **sizes("other_side_feed_inner_mm", "shaft_mm", "body_bore_mm"),
        "overlap_mm": 0.25,
    },
    "oring a piston's": {
        **RING,
        "ring": sizes("id_mm", "section_mm"),
        "pressure_mpa": size(),
        "gland": {"kind": "piston", **sizes("bore_mm", "groove_mm", "width_mm", "land_mm")},
    },
    "oring a rod's": {
        **RING,
        "ring": sizes("id_mm", "section_mm"),
        "pressure_mpa": size(),
        "gland": {"kind": "rod", **sizes("rod_mm", "groove_mm", "width_mm"), "extrusion_gap_mm": GAP},
    },
    "oring a face's": {
        **RING,
        "ring": sizes("id_mm", "section_mm"),
        "pressure_mpa": size(),
        "gland": {
            "kind": "face",
            "pressure_from": "inside",
            **sizes("depth_mm", "inner_mm", "outer_mm", "width_mm"),
            "extrusion_gap_mm": GAP,
        },
    },
    "torque": {
        "torque_n_m": 31.5,
        "torque_source": "sheet",
        "thread": "M12x1.25",
        "property_class": "8.8",
        "nut_class": "10",
        "thread_relief": True,
        "wrench_length_mm": 350.0,
        "adapter_offset_mm": 45.0,
        "wrench_error_percent": 6.0,
        "friction": {"min": 0.11, "max": 0.13},
        **sizes("hole_mm", "relief_diameter_mm", "engagement_mm", "prevailing_n_m", "bearing_mm"),
    },
    "torque by its factor": {"torque_n_m": 31.5, "thread": "M12x1.25", "nut_factor": {"min": 0.14, "max": 0.19}},
    "thread-reading": {
        "part": "shaft",
        "diameter_mm": size(),
        "pitch_mm": 1.25,
        "diameter_error_mm": 0.03,
        "pitch_error_mm": 0.005,
    },
    "nut-on-shaft": {
        "shaft": {
            "thread": "M12x1.25",
            "gauged_pitch_mm": 1.25,
            "hand": "right",
            "tolerance_class": "6g",
            "property_class": "8.8",
            "end_condition": "plain",
            "thread_relief": True,
            "full_length_gauged": True,
            **sizes("major_mm", "full_thread_start_mm", "shaft_end_mm", "hole_mm", "relief_diameter_mm"),
        },
        "nut": {
            "thread": "M10x1",
            "gauged_pitch_mm": 1.0,
            "hand": "left",
            "tolerance_class": "6H",
            "property_class": "10",
            "condition": "new",
            "locking": "staked",
            **sizes("minor_mm", "height_mm", "underside_mm", "chamfer_mm", "unthreaded_mm"),
        },
        "preload_n": size(),
    },
}
MOVED = {
    "travel_from_mm": "travel.from_mm",
    "travel_to_mm": "travel.to_mm",
    "torque_source": "source",
    "fluid": "service.fluid",
    "temperature_c": "service.hottest_c",
    "backup_rings": "service.backup_rings",
    "pressure_mpa": "service.pressure_mpa",
    "hardness_shore_a": "service.hardness_shore_a",
    "compound": "service.compound",
}
# Needed together with another, or by the question.
KEPT = ("thread", "torque_n_m", "part", "gland.kind", "friction", "bearing_mm", "wrench_length_mm", "adapter_offset_mm")
# Not told is no, there; the caliper's usual error stands in for one that is not told.
INSTEAD = {"backup_rings": False, "shaft.full_length_gauged": False, "diameter_error_mm": 0.02}
NAMES = {"nut-on-shaft": ("shaft", "nut"), "thread-reading": ("part",)}


class Called(Exception):
    """The engine was called, with what."""


def leaves(told: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """(dotted path, value) of all that stands in dictionaries and data classes."""
    if isinstance(told, dict) and "min" not in told:
        inside = told
    elif is_dataclass(told) and not isinstance(told, Range):
        inside = {one.name: getattr(told, one.name) for one in fields(told)}
    else:
        yield path, told
        return
    for name, value in inside.items():
        yield from leaves(value, f"{path}.{name}" if path else name)


def handed_on(question: str, body: Json, patch: pytest.MonkeyPatch) -> dict[str, Any]:
    """{path in the engine's arguments: value} of a request."""
    slug = question.split(" ")[0]

    def engine(*args: Any, **words: Any) -> None:
        given = zip(NAMES[slug], args, strict=False) if slug in NAMES else ((f"{n}", one) for n, one in enumerate(args))
        raise Called({**dict(given), **words})

    patch.setattr(tried()[slug].engine, engine)
    form, work = asks.QUESTIONS[slug]
    with pytest.raises(Called) as caught:
        work(dict(asks.checked(form, body)))
    return {path.removeprefix("0."): value for path, value in leaves(caught.value.args[0])}


def place(question: str, path: str) -> str:
    """Where the engine has what stands at that path of the request."""
    if question == "bore" and path.startswith("band."):
        return path.replace("band.", "on_it.", 1)
    if question.startswith("oring") and path == "coldest_c":
        return "service.coldest_c"
    return MOVED.get(path, path)


def as_handed(told: Any) -> Any:
    if not isinstance(told, dict):
        return told
    return (
        Range(told["min"], told["max"], told["nominal"])
        if "nominal" in told
        else Range.between(told["min"], told["max"])
    )


@pytest.mark.parametrize("question", BODIES)
def test_each_reading_reaches_the_engine_under_its_own_name(question: str, monkeypatch: pytest.MonkeyPatch) -> None:
    found = handed_on(question, BODIES[question], monkeypatch)
    for path, told in leaves(BODIES[question]):
        handed = found[place(question, path)]
        expected = as_handed(told)
        assert (handed == Range.exact(expected)) if path == "overlap_mm" else (handed == expected), path


@pytest.mark.parametrize("question", BODIES)
def test_nothing_stands_in_for_a_reading_that_is_not_told(question: str, monkeypatch: pytest.MonkeyPatch) -> None:
    for path, _ in leaves(BODIES[question]):
        if path in KEPT:
            continue
        found = handed_on(question, without(BODIES[question], path), monkeypatch)
        at = place(question, path)
        # Of a ring of which one length is missing nothing is known.
        known = {name: value for name, value in found.items() if at == name or at.startswith(f"{name}.")}
        assert list(known.values()) == [INSTEAD.get(path)], path
