"""GET /buildable: which saved stacks can be built from the shelf as it is now."""

from __future__ import annotations

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from compat.planning import today
from inventory.api.shapes import shape
from inventory.api.views import Resource
from inventory.people.roles import STAFF

BuildableShape = shape(
    "Buildable",
    stacks=serializers.ListField(child=serializers.DictField()),
    one_more=serializers.ListField(child=serializers.DictField()),
)


class Buildable(Resource):
    """Every saved stack, each against the whole shelf; `damper` narrows it to one model."""

    allowed = {"GET": STAFF}
    parameters = ("damper",)

    @extend_schema(
        responses=BuildableShape, parameters=[OpenApiParameter("damper", OpenApiTypes.STR, OpenApiParameter.QUERY)]
    )
    def get(self, request: Request) -> Response:
        return Response(today.document(today.today(request.query_params.get("damper"))))
