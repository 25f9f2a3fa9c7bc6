"""POST /plans, GET /plans/{id}, POST /plans/{id}/hold."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from compat.api.fit import AnswerShape
from compat.plans import reserve
from compat.plans.checked import PlanHoldIn, PlanIn
from compat.plans.document import asked_plan
from compat.plans.sent import SentPlan
from compat.plans.statements import statements_of
from inventory.api.holds import show_locked
from inventory.api.shapes import HoldShape, shape
from inventory.api.showing import time
from inventory.api.views import Resource, id_from
from inventory.common.errors import DomainError
from inventory.jobs.models import Plan
from inventory.people.roles import BENCH, STAFF

PlanShape = shape(
    "Plan",
    plan=serializers.CharField(),
    damper=serializers.CharField(),
    job=serializers.CharField(allow_null=True),
    made_at=serializers.DateTimeField(),
    engine=serializers.CharField(),
    verdict=serializers.ChoiceField(choices=("fits", "does_not_fit", "cannot_tell")),
    complete=serializers.BooleanField(),
    can_be_built=serializers.BooleanField(),
    leads=serializers.ChoiceField(choices=("does_not_fit", "missing", "cannot_tell", "fits")),
    headline=serializers.CharField(),
    shelf=serializers.CharField(),
    answer=AnswerShape(),
    lines=serializers.ListField(child=serializers.DictField()),
    nut=serializers.DictField(allow_null=True),
    also=serializers.ListField(child=serializers.DictField()),
    missing=serializers.IntegerField(),
    to_confirm=serializers.ListField(child=serializers.DictField()),
    stand_ins=serializers.ListField(child=serializers.DictField()),
    curves=serializers.ListField(child=serializers.DictField()),
    spacer=serializers.DictField(allow_null=True),
    score=serializers.DictField(),
    alternatives=serializers.ListField(child=serializers.DictField()),
    proven_best=serializers.BooleanField(),
)


class Plans(Resource):
    """Build these stacks from the shelf. A question: it only records its answer, so it takes no Idempotency-Key."""

    allowed = {"POST": STAFF}
    questions = ("POST",)

    @extend_schema(request=PlanIn, responses={200: PlanShape})
    def post(self, request: Request) -> Response:
        asked = asked_plan(self.read(PlanIn))
        made = reserve.plan_and_record(asked=asked, sent=cast(SentPlan, request.data), actor=self.actor)
        return Response(show(made))


class OnePlan(Resource):
    """A plan as it was given."""

    allowed = {"GET": STAFF}

    @extend_schema(responses=PlanShape)
    def get(self, request: Request, plan: str) -> Response:
        return Response(show(reserve.plan_called(id_from(plan, "plan"))))


class HoldPlan(Resource):
    """Claims exactly the pieces that the plan shows."""

    allowed = {"POST": BENCH}

    @extend_schema(request=PlanHoldIn, responses={201: HoldShape})
    def post(self, request: Request, plan: str) -> Response:
        asked = self.read(PlanHoldIn)
        found = reserve.plan_called(id_from(plan, "plan"))

        def work() -> tuple[int, Any]:
            held = reserve.hold(plan=found, job=asked.get("job"), minutes=asked.get("minutes"), actor=self.actor)
            job = asked.get("job") or (found.job.number if found.job else None)
            return 201, show_locked(held, job)

        def refusal(error: DomainError) -> DomainError:
            if error.code != "out_of_stock":
                return error
            return DomainError("shelf_changed", plan=show(reserve.plan_again(plan=found, actor=self.actor)))

        return self.command(work, refusal)


def show(plan: Plan) -> dict[str, object]:
    """A recorded plan as the API gives it."""
    return {
        "plan": str(plan.pk),
        "damper": plan.request["damper"],
        "job": plan.job.number if plan.job else None,
        "made_at": time(plan.created_at),
        "engine": plan.engine_version,
        # A plan that was recorded before it held these says them too.
        "nut": None,
        **_said(plan.answer),
        **plan.answer,
    }


def _said(answer: Mapping[str, Any]) -> dict[str, str | bool]:
    """The statements as the document of a plan holds them."""
    found = statements_of(answer["verdict"], built=bool(answer["complete"]), missing=answer["missing"])
    return {
        "can_be_built": found.can_be_built,
        "leads": found.leads,
        "headline": found.headline,
        "shelf": found.shelf,
    }
