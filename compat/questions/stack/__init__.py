"""Is this stack sound on its valve?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from compat.asking.question import Desk, Document, Model, Question, Saved
from compat.asking.requests import untold
from compat.asking.words import SHIMS
from compat.dampers import engine_values
from compat.engineering.answers import Answer
from compat.engineering.drawing.measuring_valve import stack_shapes
from compat.engineering.groups import Ply
from compat.engineering.lip import LipRule
from compat.engineering.stacks import stack
from compat.engineering.units import Range
from compat.engineering.valves import Valve
from compat.questions.stack.request import Stack
from compat.questions.told_lines import lots_of, plies_of
from compat.questions.told_valves import BasePlate, BasePlates, PistonSide, Sides
from compat.texts.refusals import engine_errors
from inventory.common.errors import invalid
from inventory.dampers.document import DamperDocument
from inventory.dampers.document import Valve as OnFile
from inventory.dampers.selectors import damper_called
from inventory.dampers.words import SIDES
from inventory.documents.typed import written


def answer(asked: Stack) -> Answer:
    """On the valve of a damper model, with its lip, or on the valve that the request describes.

    Raises DomainError `invalid` for what cannot be computed, `not_found` for an unknown damper.
    """
    if asked.damper is None:
        return _judged(asked, asked.described(), asked.overlap_mm, engine_values.lip_rule(None))
    document = damper_called(asked.damper).document
    on_file = engine_values.valve_from(engine_values.valve_called(document, asked.valve))
    overlap = None if on_file.overlap_mm is None else on_file.overlap_mm.nominal
    return _judged(asked, on_file.valve, overlap, engine_values.lip_rule(document.shaft_end))


def on_model(asked: Stack, document: DamperDocument) -> Answer:
    """On a valve that is described, at the lip of a model's shaft. What the model says is there is there, though none
    of its sizes may be known."""
    valve = engine_values.valve_called(document, asked.valve)
    told_sides, told_plates = asked.sides or untold(Sides), asked.base_plates or untold(BasePlates)
    sides = {name: getattr(told_sides, name) or untold(PistonSide) for name in SIDES if valve.side(name) is not None}
    plates = {name: getattr(told_plates, name) or untold(BasePlate) for name in SIDES if valve.plate(name) is not None}
    there = replace(asked, sides=replace(told_sides, **sides), base_plates=replace(told_plates, **plates))
    return _judged(there, there.described(), there.overlap_mm, engine_values.lip_rule(document.shaft_end))


def _judged(asked: Stack, valve: Valve, overlap_mm: float | None, rule: LipRule) -> Answer:
    plies = _plies(asked, valve.shaft_mm)
    with engine_errors("stacks"):
        overlap = None if overlap_mm is None else Range.exact(overlap_mm)
        return stack(valve, plies, overlap_mm=overlap, rule=rule)


def _plies(asked: Stack, shaft_mm: Range | None) -> dict[str, list[Ply]]:
    """{side: plies}. A line without a bore takes that of its shaft. Raises DomainError `invalid`."""
    lots = lots_of([line for lines in asked.stacks.told.values() for line in lines])
    usual, found = engine_values.usual_bore_um(shaft_mm), dict[str, list[Ply]]()
    for side, told in asked.stacks.told.items():
        path = f"stacks.{side}"
        untold = next((index for index, one in enumerate(told) if one.bore_mm is None), None)
        if untold is not None and not usual:
            said = "is required here: the damper does not state the shaft's diameter"
            raise invalid(f"{path}.{untold}.bore_mm", said)
        lines = [one.line(usual or 0, f"{path}.{index}") for index, one in enumerate(told)]
        found[side] = plies_of(told, lines, path, lots)
    return found


def names_lots(asked: Stack) -> str:
    """Where lots are named."""
    return "stacks" if any(line.lot for lines in asked.stacks.told.values() for line in lines) else ""


def told(document: DamperDocument, valve: OnFile, side: str) -> Document:
    """The valve."""
    return {**written(valve), "valve": valve.code}


def saved(stack: Saved) -> Document:
    """The lines, each with its bore only where that is not the usual one of the valve's shaft."""
    usual = engine_values.usual_bore_mm(stack.document, stack.valve)

    def line(sent: Mapping[str, object]) -> Mapping[str, object]:
        return {name: value for name, value in sent.items() if (name, value) != ("bore_mm", usual)}

    return {
        "valve": stack.valve,
        "stacks": {side: [line(one) for one in stack.stacks.get(side) or ()] for side in SIDES},
    }


QUESTION = Question(
    "stack",
    "Is this stack sound?",
    Stack,
    answer,
    desk=Desk(
        about=SHIMS,
        place=2,
        title="Is this stack sound on its valve?",
        needs="The stack line by line, face shim first, and a damper model or the valve's sizes.",
        picture=stack_shapes,
        picture_title="What to measure on a valve and its shims",
        takes=("stack",),
        empty={"stacks": {}},
        remark="The shims' thicknesses are nominal, with the tolerance of rolled strip.",
    ),
    model=Model(told, saved=saved),
    conditions=("lip_needs_spacers",),
    on_model=on_model,
    names_lots=names_lots,
)
