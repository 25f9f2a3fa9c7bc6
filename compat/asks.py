"""The fit questions by name: one check and one way into the engine, for the API and for the pages."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from rest_framework.serializers import Serializer

from compat import curves, damper_sealing, damper_values, rendering, seal_questions
from compat import joint_questions as questions
from compat.asked.fit import (
    CurveCalibrationIn,
    FaceShimIn,
    SpacerIn,
    StackCurveIn,
    StackIn,
    ranges,
)
from compat.asked.inspection import InspectionIn
from compat.asked.seals import BandIn, BoreIn, ORingIn, RingsForGlandIn, ShaftWearIn
from compat.asking.question import Question
from compat.asking.requests import made, serializer_of
from compat.asking.rooms import questions as questions_of_rooms
from compat.engineering.answers import Answer
from compat.engineering.units import Range, um_to_mm
from compat.inspection.sheet import ask_inspection
from inventory.api.damper_documents import outside
from inventory.api.problems import flat
from inventory.common.errors import DomainError
from inventory.dampers.selectors import damper_called

Asked = dict[str, Any]
# Of the inspection sheet: what is told field by field.
PARTS = ("bore", "band", "shaft", "seal", "joint", "nut", "oil")


def checked(serializer: type[Serializer[Any]], body: Mapping[str, Any]) -> Asked:
    """A request that passed the API's check. Raises DomainError `invalid` with dotted paths."""
    found = serializer(data=dict(body))
    if not found.is_valid():
        raise DomainError("invalid", errors=list(flat(found.errors)))
    return dict(found.validated_data)


def ask(question: str, body: Mapping[str, Any]) -> dict[str, Any]:
    """The answer document to a request as it came. Raises DomainError `invalid` with the paths of what is wrong."""
    return answer_to(question, checked(QUESTIONS[question][0], body))


def answer_to(question: str, asked: Asked) -> dict[str, Any]:
    """The answer document to a checked request. Raises DomainError `invalid` for what the engine cannot take."""
    return rendering.answer(QUESTIONS[question][1](dict(asked)))


def ask_stack(body: Mapping[str, Any], *, shaft_end: Mapping[str, Any] | None) -> dict[str, Any]:
    """The answer document to a stack on a valve that is described, at the lip of a damper's shaft.

    Raises DomainError `invalid` as `ask` does.
    """
    return rendering.answer(_stack(checked(StackIn, body), shaft_end))


def _face_shim(asked: Asked) -> Answer:
    sizes = ranges(asked)
    overlap = sizes.get("overlap_mm")
    sizes["overlap_mm"] = None if overlap is None else Range.exact(um_to_mm(overlap))
    return questions.ask_face_shim(sizes)


def _stack(asked: Asked, shaft_end: Mapping[str, Any] | None = None) -> Answer:
    damper, valve, stacks = asked.pop("damper", None), asked.pop("valve"), asked.pop("stacks")
    return questions.ask_stack(damper=damper, fields=outside(asked), valve=valve, stacks=stacks, shaft_end=shaft_end)


def _spacer(asked: Asked) -> Answer:
    return questions.ask_spacer(ranges(asked))


def _inspection(asked: Asked) -> Answer:
    damper = asked.pop("damper", None)
    if damper is not None:
        told = damper_sealing.inspection_request(damper_called(damper).document)
        asked = _over(checked(InspectionIn, told), asked)
    return ask_inspection(asked)


def _over(base: Mapping[str, Any], told: Mapping[str, Any]) -> Asked:
    """A request with what is told here in place of what a model tells; a ring and a reading are told as one."""
    found = dict(base)
    for name, value in told.items():
        if name in PARTS and isinstance(found.get(name), Mapping) and isinstance(value, Mapping):
            found[name] = _over(found[name], value)
            if name == "joint" and value.get("shaft"):
                found[name]["shaft"] = damper_values.end_as_read(base[name].get("shaft") or {}, value["shaft"])
        elif value is not None:
            found[name] = value
    return found


def _of_room(question: Question[Any]) -> tuple[type[Serializer[Any]], Callable[[Asked], Answer]]:
    return serializer_of(question.request), lambda asked: question.answer(made(question.request, asked))


QUESTIONS: dict[str, tuple[type[Serializer[Any]], Callable[[Asked], Answer]]] = {
    **{slug: _of_room(question) for slug, question in questions_of_rooms().items()},
    "face-shim": (FaceShimIn, _face_shim),
    "stack": (StackIn, _stack),
    "stack-curve": (StackCurveIn, curves.ask_stack_curve),
    "curve-calibration": (CurveCalibrationIn, curves.ask_curve_calibration),
    "spacer": (SpacerIn, _spacer),
    "oring": (ORingIn, seal_questions.ask_oring),
    "rings-for-gland": (RingsForGlandIn, seal_questions.ask_rings_for_gland),
    "band": (BandIn, seal_questions.ask_band),
    "bore": (BoreIn, seal_questions.ask_bore),
    "shaft": (ShaftWearIn, seal_questions.ask_shaft),
    "inspection": (InspectionIn, _inspection),
}
