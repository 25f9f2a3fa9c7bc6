"""POST /fit/...: every question answers 200 unless the request is malformed."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from compat.asking import question as asking
from compat.asking.requests import made, serializer_of
from compat.texts import rendering
from inventory.api.shapes import shape
from inventory.api.views import Resource
from inventory.common.errors import invalid
from inventory.people.roles import EVERYONE, STAFF, Role

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


def view_of(question: asking.Question[Any]) -> type[Question]:
    """The view of a question."""
    asked_of = serializer_of(question.request)

    @extend_schema(request=asked_of, responses=AnswerShape)
    def post(self: Question, request: Request) -> Response:
        asked, role = made(question.request, self.read(asked_of)), self.actor.role
        if role == Role.STOREFRONT and question.names_lots is not None and (field := question.names_lots(asked)):
            raise invalid(field, "a storefront does not look into lots; leave lot out")
        to_staff = question.to_staff if role in STAFF else None
        return Response(rendering.answer((to_staff or question.answer)(asked)))

    own = {"__doc__": question.asks, "allowed": {"POST": question.roles}, "post": post}
    return type(question.request.__name__, (Question,), own)
