"""From a damper's document, and the readings of one damper, to the engine's values."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from compat.dampers import engine_values
from compat.dampers.engine_values import EndAsRead
from compat.engineering.shims import Form, Size
from compat.engineering.units import Range
from compat.engineering.valves import Kind, Place
from inventory.common.errors import DomainError
from inventory.dampers.checked import ShaftEndIn
from inventory.dampers.document import Line, ShaftEnd, Valve
from inventory.documents.lengths import Length
from inventory.documents.typed import read
from tests.api.conftest import damper_document, stored

DAMPER = stored(damper_document())
MAIN, END = DAMPER.valves[0], DAMPER.shaft_end


def refusal(work: Any) -> list[str]:
    """The fields that the refusal names."""
    with pytest.raises(DomainError) as caught:
        work()
    assert caught.value.code == "invalid"
    return [error.field for error in caught.value.errors]


@pytest.mark.parametrize(
    ("told", "expected"),
    [
        (None, None),
        (12, Range.exact(12.0)),
        (12.5, Range.exact(12.5)),
        ({"min": 1.0, "max": 2.0, "nominal": 1.2}, Range(1.0, 2.0, 1.2)),
    ],
)
def test_a_stored_length_is_a_range_or_unknown(told: Any, expected: Range | None) -> None:
    assert engine_values.length(read(ShaftEnd, {"hole_mm": told}).hole_mm) == expected


def test_a_valve_has_everything_that_its_document_says() -> None:
    on_file = engine_values.valve_from(MAIN)
    valve = on_file.valve
    assert valve.kind is Kind.MAIN
    assert [side.name for side in valve.sides] == ["compression", "rebound"]
    assert valve.sides[1].ports_outer_mm == Range.exact(34 - 1.8)
    assert valve.piston_height_mm == Range.exact(12.0)
    assert valve.plate("rebound").contact_diameter_mm == Range.exact(28.0)
    assert [(one.name, one.place) for one in valve.spacings] == [("Shoulder washer", Place.SHOULDER)]
    assert on_file.overlap_mm == Range.exact(0.5)


def test_what_a_document_leaves_out_is_unknown_and_not_zero() -> None:
    on_file = engine_values.valve_from(Valve(code="main"))
    valve = on_file.valve
    assert (valve.piston_height_mm, valve.shaft_mm, valve.body_bore_mm, on_file.overlap_mm) == (None,) * 4
    assert valve.plate("rebound").height_mm is None
    assert [side.hub_mm for side in valve.sides] == [None, None]


def test_a_main_valve_has_both_sides_and_another_only_those_it_names() -> None:
    one_side = read(Valve, {"code": "base", "sides": {"compression": {}}})
    assert [side.name for side in engine_values.valve_from(one_side).valve.sides] == ["compression"]
    assert len(engine_values.valve_from(replace(one_side, code="main")).valve.sides) == 2


def test_readings_of_the_damper_count_before_its_model() -> None:
    readings = EndAsRead(base_plate_mm=Length(3.9, 4.1, 4.0), piston_height_mm=Length.exact(11.9))
    valve = engine_values.valve_from(MAIN, readings).valve
    assert valve.plate("rebound").height_mm == Range(3.9, 4.1, 4.0)
    # The contact diameter of the same plate was not read and stays.
    assert valve.plate("rebound").contact_diameter_mm == Range.exact(28.0)
    assert valve.plate("compression").height_mm == Range.exact(4.0)
    assert valve.piston_height_mm == Range.exact(11.9)


def test_readings_of_the_shaft_say_nothing_of_another_valve() -> None:
    base = read(Valve, {"code": "base", "sides": {"compression": {}}, "piston_height_mm": 8.0})
    read_here = EndAsRead(piston_height_mm=Length.exact(12), base_plate_mm=Length.exact(4), diameter_mm=Length.exact(9))
    valve = engine_values.valve_from(base, read_here).valve
    assert valve.piston_height_mm == Range.exact(8.0)
    assert valve.base_plates == {}


def test_a_line_without_bore_takes_the_shafts_nominal_diameter() -> None:
    shaft = Range(11.97, 12.0, 12.0)
    told = read(Line, {"od_mm": 36, "thickness_mm": 0.2, "quantity": 2, "form": "notched"})
    found = engine_values.lines_from([told, replace(told, bore_mm=Length.exact(14))], shaft, "stacks.rebound")
    assert [one.size for one in found] == [
        Size(36_000, 200, 12_000, Form.NOTCHED),
        Size(36_000, 200, 14_000, Form.NOTCHED),
    ]
    assert [one.quantity for one in found] == [2, 2]


def test_a_line_without_bore_on_an_unknown_shaft_is_named() -> None:
    told = read(Line, {"od_mm": 36, "thickness_mm": 0.2, "quantity": 2})
    assert refusal(lambda: engine_values.lines_from([told], None, "stacks.rebound")) == ["stacks.rebound.0.bore_mm"]


def test_a_line_no_larger_than_the_shaft_is_named() -> None:
    told = read(Line, {"od_mm": 12, "thickness_mm": 0.2, "quantity": 2})
    assert refusal(lambda: engine_values.lines_from([told], Range.exact(12.0), "at")) == ["at.0.od_mm"]


def test_an_unknown_valve_is_refused_with_those_there_are() -> None:
    assert refusal(lambda: engine_values.valve_called(DAMPER, "mid")) == ["valve"]
    assert engine_values.valve_called(DAMPER, "main").code == "main"


def test_the_lip_and_the_thread_come_from_the_shaft_end() -> None:
    rule = engine_values.lip_rule(END)
    assert (rule.shoulder_to_lip_mm, rule.on_straight_mm, rule.past_lip_mm) == (Range.exact(22.0), 1.8, 1.8)
    assert rule.base_plate_mm is None
    end = engine_values.threaded_end(END)
    assert (end.thread, end.hand, end.tolerance_class) == ("M12x1.25", "right", "6g")
    # A model says what thread the shaft should have; nobody gauged this one.
    assert end.gauged_pitch_mm is None and end.end_condition is None


@pytest.mark.parametrize("nothing", [None, ShaftEnd()])
def test_an_unknown_shaft_end_is_unknown(nothing: Any) -> None:
    assert engine_values.lip_rule(nothing).shoulder_to_lip_mm is None
    assert engine_values.threaded_end(nothing).thread is None


def test_an_end_that_was_stored_without_its_groove_s_diameter_is_read_as_unknown() -> None:
    old = engine_values.threaded_end(ShaftEnd(thread="M12x1.25", thread_relief=True))
    assert (old.thread_relief, old.relief_diameter_mm) == (True, None)
    told = engine_values.threaded_end(ShaftEnd(relief_diameter_mm=Length(9.9, 10.1, 10.0)))
    assert told.relief_diameter_mm == Range(9.9, 10.1, 10.0)


def test_a_model_that_denies_its_groove_tells_no_diameter_of_it() -> None:
    denied = ShaftEndIn(data={"thread_relief": False, "relief_diameter_mm": 10})
    assert not denied.is_valid()
    assert set(denied.errors) == {"relief_diameter_mm"}
    for told in (
        {"thread_relief": True, "relief_diameter_mm": 10},
        {"relief_diameter_mm": 10},
        {"thread_relief": False},
    ):
        assert ShaftEndIn(data=told).is_valid()


@pytest.mark.parametrize(
    ("model", "here", "there", "diameter"),
    [
        ({"thread_relief": False}, {"relief_diameter_mm": 10.0}, True, 10.0),
        ({"thread_relief": True, "relief_diameter_mm": 10.0}, {"thread_relief": False}, False, None),
        ({"thread_relief": True, "relief_diameter_mm": 10.0}, {"thread_relief": None}, True, 10.0),
        ({"thread_relief": True, "relief_diameter_mm": 10.0}, {"relief_diameter_mm": 9.5}, True, 9.5),
        ({}, {}, None, None),
    ],
)
def test_a_groove_as_it_was_read_counts_before_the_model(
    model: dict[str, Any], here: dict[str, Any], there: bool | None, diameter: float | None
) -> None:
    end = engine_values.end_as_read(read(ShaftEnd, model), read(EndAsRead, here))
    wide = None if diameter is None else Length.exact(diameter)
    assert (end.thread_relief, end.relief_diameter_mm) == (there, wide)
    assert engine_values.threaded_end(end).thread_relief is there


def test_a_document_that_contradicts_itself_is_a_refusal() -> None:
    assert refusal(lambda: engine_values.lip_rule(read(ShaftEnd, {"shoulder_to_lip_mm": 0}))) == [
        "shaft_end.shoulder_to_lip_mm"
    ]
    assert refusal(lambda: engine_values.lip_rule(read(ShaftEnd, {"on_straight_mm": -1}))) == [
        "shaft_end.on_straight_mm"
    ]
