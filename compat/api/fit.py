"""POST /fit/...: every question answers 200 unless the request is malformed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from compat.asked.fit import (
    CurveCalibrationIn,
    StackCurveIn,
    StackIn,
)
from compat.asking import question as asking
from compat.asking.requests import serializer_of
from compat.asks import answer_to
from inventory.api.shapes import shape
from inventory.api.views import Resource
from inventory.common.errors import invalid
from inventory.people.roles import EVERYONE, Role

FindingShape = shape(
    "Finding",
    code=serializers.CharField(),
    severity=serializers.ChoiceField(choices=("stop", "warn", "note")),
    measure=serializers.BooleanField(),
    text=serializers.CharField(),
    data=serializers.DictField(),
    source=serializers.CharField(allow_blank=True),
)
AnswerShape = shape(
    "Answer",
    question=serializers.CharField(),
    verdict=serializers.ChoiceField(choices=("fits", "does_not_fit", "cannot_tell")),
    summary=serializers.CharField(),
    findings=FindingShape(many=True),
    values=serializers.DictField(),
    method=serializers.CharField(),
    sources=serializers.ListField(child=serializers.CharField()),
    cautions=serializers.ListField(child=serializers.CharField()),
)


class Question(Resource):
    """A question writes nothing, so it takes no Idempotency-Key."""

    allowed = {"POST": EVERYONE}
    questions = ("POST",)

    def refuse_lots(self, field: str, lines: Iterable[Mapping[str, Any]]) -> None:
        """Raises DomainError `invalid` where a storefront names a lot."""
        if self.actor.role == Role.STOREFRONT and any("lot" in line for line in lines):
            raise invalid(field, "a storefront does not look into lots; leave lot out")


def view_of(question: asking.Question[Any]) -> type[Question]:
    """The view of a question that has a room."""
    asked_of = serializer_of(question.request)

    @extend_schema(request=asked_of, responses=AnswerShape)
    def post(self: Question, request: Request) -> Response:
        return Response(answer_to(question.slug, self.read(asked_of)))

    own = {"__doc__": question.asks, "allowed": {"POST": question.roles}, "post": post}
    return type(question.request.__name__, (Question,), own)


class Stack(Question):
    """Is this stack sound?"""

    @extend_schema(request=StackIn, responses=AnswerShape)
    def post(self, request: Request) -> Response:
        asked = self.read(StackIn)
        self.refuse_lots("stacks", (line for lines in asked["stacks"].values() for line in lines))
        return Response(answer_to("stack", asked))


class StackCurve(Question):
    """What force lifts this stack how far?"""

    @extend_schema(request=StackCurveIn, responses=AnswerShape)
    def post(self, request: Request) -> Response:
        asked = self.read(StackCurveIn)
        self.refuse_lots("stack", asked["stack"])
        return Response(answer_to("stack-curve", asked))


class CurveCalibration(Question):
    """What E and what slip of the clamp's edge explain a measured curve?"""

    @extend_schema(request=CurveCalibrationIn, responses=AnswerShape)
    def post(self, request: Request) -> Response:
        asked = self.read(CurveCalibrationIn)
        self.refuse_lots("stack", asked["stack"])
        return Response(answer_to("curve-calibration", asked))
