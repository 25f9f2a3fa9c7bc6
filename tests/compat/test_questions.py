"""The questions as other programs of the house ask them: engine errors become refusals that name the field."""

from __future__ import annotations

import pytest

from compat.engineering.refused import Refused
from compat.questions import asks
from compat.texts.refusals import engine_errors
from inventory.common.errors import DomainError
from tests import factories
from tests.api.conftest import STACKS, damper_document, saved_damper


@pytest.mark.parametrize(
    ("own", "below", "field"),
    [("", False, "here"), ("", True, "here"), ("hub_mm", False, "hub_mm"), ("shaft.hole_mm", True, "here.hole_mm")],
)
def test_a_refusal_of_the_engine_names_its_field(own: str, below: bool, field: str) -> None:
    with pytest.raises(DomainError) as caught, engine_errors("here", below=below):
        raise Refused("side_unknown", own, side="third")
    (error,) = caught.value.errors
    assert (error.field, error.code, error.message) == (field, "side_unknown", "The valve has no third side.")


@pytest.mark.parametrize("defect", [KeyError, ValueError, ArithmeticError])
def test_other_errors_pass(defect: type[Exception]) -> None:
    with pytest.raises(defect), engine_errors("here"):
        raise defect("a defect")


def test_both_pitches_at_once_are_refused() -> None:
    shaft = {"gauged_pitch_mm": 1.25, "gauged_threads_per_inch": 20}
    with pytest.raises(DomainError) as caught:
        asks.ask("nut-on-shaft", {"shaft": shaft, "nut": {}})
    assert [error.field for error in caught.value.errors] == ["shaft.gauged_threads_per_inch"]


def test_threads_per_inch_become_a_pitch() -> None:
    found = asks.ask("nut-on-shaft", {"shaft": {"gauged_threads_per_inch": 20}, "nut": {"gauged_pitch_mm": 1.5}})
    assert "gauged_pitches_differ" in {finding["code"] for finding in found["findings"]}


def test_knowing_nothing_is_cannot_tell() -> None:
    assert asks.ask("nut-on-shaft", {"shaft": {}, "nut": {}})["verdict"] == "cannot_tell"
    assert asks.ask("face-shim", {})["verdict"] == "cannot_tell"


@pytest.mark.django_db
def test_a_stack_is_judged_on_the_damper_on_file() -> None:
    saved_damper(damper_document("WIDE", on_straight_mm=1.2, past_lip_mm=1.2))
    found = asks.ask("stack", {"damper": "WIDE", "stacks": STACKS})
    assert (found["verdict"], found["values"]["height_mm"]["nominal"]) == ("fits", 19.9)


@pytest.mark.django_db
@pytest.mark.parametrize("lip", [21.999, 22.0, 22.001])
def test_the_window_of_spacers_is_never_wider_than_it_is(lip: float) -> None:
    """A piece of exactly the least thickness is taken, one micrometre less is not."""
    factories.stocked(factories.shim(24, 0.3), 5, lot="S30", readings_um=[300, 300, 300])
    asked = {
        "stack_height_mm": 19.5,
        "shoulder_to_lip_mm": lip,
        "base_plate_mm": 4,
        "on_straight_mm": 1.9,
        "past_lip_mm": 1.8,
        "clamp_od_mm": 20,
        "spacer_max_od_mm": 28,
        "shaft_mm": 12,
    }
    found = asks.ask("spacer", asked)
    one = [(line["lot"], line["quantity"]) for line in found["values"]["lines"]]
    # The window is lip - 21.7 to lip - 21.4; two pieces are 0.6 mm, and 0.6 mm is its very end at 22.0.
    assert one == {21.999: [("S30", 1)], 22.0: [("S30", 1)], 22.001: [("S30", 2)]}[lip]
