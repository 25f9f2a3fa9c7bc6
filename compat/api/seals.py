"""POST /fit/...: the questions of seals, bands, bores, shafts and clearances."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from compat.api.fit import AnswerShape, Question
from compat.asked.inspection import InspectionIn
from compat.asked.seals import BandIn, BoreIn, ORingIn, RingsForGlandIn, ShaftWearIn
from compat.asks import answer_to
from inventory.people.roles import STAFF


class ORing(Question):
    """Does this O-ring fit this gland?"""

    @extend_schema(request=ORingIn, responses=AnswerShape)
    def post(self, request: Request) -> Response:
        return Response(answer_to("oring", self.read(ORingIn)))


class RingsForGland(Question):
    """Which rings in stock fit this gland? Looks at the shelf, so it is for the workshop."""

    allowed = {"POST": STAFF}

    @extend_schema(request=RingsForGlandIn, responses=AnswerShape)
    def post(self, request: Request) -> Response:
        return Response(answer_to("rings-for-gland", self.read(RingsForGlandIn)))


class Band(Question):
    """Does this band, on its energiser, still seal in this bore?"""

    @extend_schema(request=BandIn, responses=AnswerShape)
    def post(self, request: Request) -> Response:
        return Response(answer_to("band", self.read(BandIn)))


class Bore(Question):
    """Is this bore worn, oval or tapered beyond its limit?"""

    @extend_schema(request=BoreIn, responses=AnswerShape)
    def post(self, request: Request) -> Response:
        return Response(answer_to("bore", self.read(BoreIn)))


class Shaft(Question):
    """Is this shaft worn thin, bent or rough?"""

    @extend_schema(request=ShaftWearIn, responses=AnswerShape)
    def post(self, request: Request) -> Response:
        return Response(answer_to("shaft", self.read(ShaftWearIn)))


class Inspection(Question):
    """Every verdict of a stripped damper at once. Looks at the shelf, so it is for the workshop."""

    allowed = {"POST": STAFF}

    @extend_schema(request=InspectionIn, responses=AnswerShape)
    def post(self, request: Request) -> Response:
        return Response(answer_to("inspection", self.read(InspectionIn)))
