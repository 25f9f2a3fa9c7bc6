"""POST /fit/parts-by-size: which part is this, by what was measured of it."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from compat.api.fit import AnswerShape, Question
from compat.asked.sizes import PartsBySizeIn
from compat.by_size.answering import document
from compat.by_size.asking import find
from inventory.people.roles import STAFF


class PartsBySize(Question):
    """Which part is this, by any size that was measured? A storefront sees no drawers."""

    @extend_schema(request=PartsBySizeIn, responses=AnswerShape)
    def post(self, request: Request) -> Response:
        found = find(self.read(PartsBySizeIn))
        return Response(document(found, drawers=self.actor.role in STAFF))
