"""GET /dampers/{code}/parts: what fits this damper model, and why."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from compat.api.fit import AnswerShape
from compat.dampers import fitting
from compat.texts import rendering
from inventory.api import showing
from inventory.api.shapes import PartShape, page_of, shape
from inventory.api.views import EVERYONE, LISTING, Resource
from inventory.catalogue.models import Part
from inventory.common.errors import invalid
from inventory.dampers.selectors import damper_called
from inventory.holds.requests import is_shop

PartFitPage = page_of("PartFitPage", shape("PartFit", part=PartShape(), answer=AnswerShape()))


class DamperParts(Resource):
    """Nuts and shims with an answer each; `kind` narrows the list."""

    allowed = {"GET": EVERYONE}
    parameters = (*LISTING, "kind")

    @extend_schema(responses=PartFitPage)
    def get(self, request: Request, code: str) -> Response:
        kind = request.query_params.get("kind")
        if kind is not None and kind not in fitting.KINDS:
            raise invalid("kind", f"is one of {', '.join(fitting.KINDS)}; not {kind[:40]!r}")
        damper = damper_called(code)
        kinds = (kind,) if kind else fitting.KINDS

        def show(rows: list[Part]) -> list[dict[str, object]]:
            answers = fitting.answers_for(damper, rows)
            shown = showing.parts(rows, to_shop=is_shop(self.actor))
            return [
                {"part": part, "answer": rendering.answer(answer)}
                for part, (_, answer) in zip(shown, answers, strict=True)
            ]

        return self.listing(Part.objects.filter(kind__in=kinds, retired_at=None), show)
