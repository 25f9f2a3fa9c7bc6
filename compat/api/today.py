"""GET /buildable: which saved stacks can be built from the shelf as it is now."""

from __future__ import annotations

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from compat.plans import today
from inventory.api.shapes import shape
from inventory.api.views import Resource, cursor_text, cursor_value
from inventory.people.roles import STAFF

BuildableShape = shape(
    "Buildable",
    stacks=serializers.ListField(child=serializers.DictField()),
    one_more=serializers.ListField(child=serializers.DictField()),
    next=serializers.CharField(allow_null=True),
)


class Buildable(Resource):
    """Every saved stack, each against the whole shelf, some hundred of them in one answer; `damper` narrows it to one
    model. `one_more` is of the stacks of the answer."""

    allowed = {"GET": STAFF}
    parameters = ("damper", "cursor")

    @extend_schema(
        responses=BuildableShape, parameters=[OpenApiParameter("damper", OpenApiTypes.STR, OpenApiParameter.QUERY)]
    )
    def get(self, request: Request) -> Response:
        cursor = request.query_params.get("cursor")
        start, most = 0 if cursor is None else cursor_value(cursor), today.MOST_STACKS
        made = today.today(request.query_params.get("damper"), start=start, most=most + 1)
        following = cursor_text(start + most) if len(made) > most else None
        return Response({**today.document(made[:most]), "next": following})
