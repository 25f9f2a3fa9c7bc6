"""GET/POST /dampers/{code}/calibrations, POST /dampers/{code}/calibrations/{id}/withdraw."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from compat.asking.requests import serializer_of
from compat.questions.curve_calibration import NewCalibration, calibrations
from compat.texts import rendering
from inventory.api.shapes import page_of, shape
from inventory.api.showing import time
from inventory.api.views import Resource, id_from
from inventory.dampers.models import Calibration
from inventory.dampers.selectors import damper_called
from inventory.dampers.services import withdraw_calibration
from inventory.documents.outside import outside
from inventory.people.roles import BENCH, STAFF

STATES = (calibrations.IN_USE, calibrations.OUTDATED, calibrations.REPLACED, calibrations.WITHDRAWN)
NewCalibrationIn = serializer_of(NewCalibration)
CalibrationShape = shape(
    "Calibration",
    id=serializers.IntegerField(),
    valve=serializers.CharField(),
    side=serializers.CharField(),
    state=serializers.ChoiceField(choices=STATES),
    youngs_gpa=serializers.FloatField(),
    edge_slip=serializers.FloatField(),
    rms_percent=serializers.FloatField(),
    worst_percent=serializers.FloatField(),
    open_percent=serializers.FloatField(),
    as_good=serializers.ListField(child=serializers.DictField()),
    engine=serializers.CharField(),
    stack=serializers.ListField(child=serializers.DictField()),
    shims=serializers.ListField(child=serializers.DictField()),
    points=serializers.ListField(child=serializers.DictField()),
    note=serializers.CharField(allow_blank=True),
    who=serializers.CharField(),
    at=serializers.DateTimeField(),
    withdrawn_by=serializers.CharField(allow_null=True),
    withdrawn_at=serializers.DateTimeField(allow_null=True),
)


class Calibrations(Resource):
    """What curves measured on a damper model's pistons told; the newest of a side counts."""

    allowed = {"GET": STAFF, "POST": BENCH}
    parameters = ("cursor",)

    @extend_schema(responses=page_of("CalibrationPage", CalibrationShape))
    def get(self, request: Request, code: str) -> Response:
        found = [_show(row, state) for row, state in calibrations.with_states(damper_called(code))]
        return self.whole(found)

    @extend_schema(request=NewCalibrationIn, responses={201: CalibrationShape})
    def post(self, request: Request, code: str) -> Response:
        sent = outside(self.read(NewCalibrationIn))
        tried = calibrations.try_on(code, sent)

        def work() -> tuple[int, Any]:
            return 201, _show(calibrations.keep(tried, self.actor), calibrations.IN_USE)

        return self.command(work)


class WithdrawCalibration(Resource):
    """Takes a calibration out of use; it stays readable."""

    allowed = {"POST": BENCH}

    @extend_schema(request=None, responses=CalibrationShape)
    def post(self, request: Request, code: str, calibration: str) -> Response:
        def work() -> tuple[int, Any]:
            number = id_from(calibration, "calibration")
            return 200, _show(withdraw_calibration(code=code, number=number, actor=self.actor), calibrations.WITHDRAWN)

        return self.command(work)


def _show(row: Calibration, state: str) -> dict[str, object]:
    shown: dict[str, object] = rendering.number(
        {
            "id": row.pk,
            "valve": row.valve,
            "side": row.side,
            "state": state,
            **row.fit,
            "stack": row.measured["stack"],
            "shims": row.measured["shims"],
            "points": row.measured["points"],
            "note": row.note,
            "who": str(row.person or row.client),
            "at": time(row.at),
            "withdrawn_by": None if row.withdrawn_at is None else str(row.withdrawn_person or row.withdrawn_client),
            "withdrawn_at": time(row.withdrawn_at),
        }
    )
    return shown
