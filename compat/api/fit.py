"""POST /fit/...: every question answers 200 unless the request is malformed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from compat import questions, rendering
from compat.asked.fit import FaceShimIn, NutOnShaftIn, SpacerIn, StackIn, ranges
from compat.engineering.units import Range, um_to_mm
from inventory.api.damper_documents import outside
from inventory.api.shapes import shape
from inventory.api.views import EVERYONE, Resource
from inventory.common.errors import invalid
from inventory.people.roles import STAFF, Role

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


class NutOnShaft(Question):
    """Does this nut belong on this shaft?"""

    @extend_schema(request=NutOnShaftIn, responses=AnswerShape)
    def post(self, request: Request) -> Response:
        asked = self.read(NutOnShaftIn)
        found = questions.ask_nut_on_shaft(ranges(asked["shaft"]), ranges(asked["nut"]), asked.get("preload_n"))
        return Response(rendering.answer(found))


class FaceShim(Question):
    """Does this face shim cover its ports, and nothing else?"""

    @extend_schema(request=FaceShimIn, responses=AnswerShape)
    def post(self, request: Request) -> Response:
        sizes = ranges(self.read(FaceShimIn))
        overlap = sizes.get("overlap_mm")
        sizes["overlap_mm"] = None if overlap is None else Range.exact(um_to_mm(overlap))
        return Response(rendering.answer(questions.ask_face_shim(sizes)))


class Stack(Question):
    """Is this stack sound?"""

    @extend_schema(request=StackIn, responses=AnswerShape)
    def post(self, request: Request) -> Response:
        asked = self.read(StackIn)
        damper, valve, stacks = asked.pop("damper", None), asked.pop("valve"), asked.pop("stacks")
        named = any("lot" in line for lines in stacks.values() for line in lines)
        if named and self.actor.role == Role.STOREFRONT:
            raise invalid("stacks", "a storefront does not look into lots; leave lot out")
        fields: Mapping[str, Any] = outside(asked)
        found = questions.ask_stack(damper=damper, fields=fields, valve=valve, stacks=stacks)
        return Response(rendering.answer(found))


class Spacer(Question):
    """Which shims make the rebound base plate straddle the lip? Looks at the shelf, so it is for the workshop."""

    allowed = {"POST": STAFF}

    @extend_schema(request=SpacerIn, responses=AnswerShape)
    def post(self, request: Request) -> Response:
        return Response(rendering.answer(questions.ask_spacer(ranges(self.read(SpacerIn)))))
