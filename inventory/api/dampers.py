"""GET/POST /dampers, GET/PUT /dampers/{code}, GET/POST /dampers/{code}/stacks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db.models import F
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.shapes import DamperPage, DamperShape, StackPage, StackShape
from inventory.api.views import EVERYONE, LISTING, Resource
from inventory.common import quantities
from inventory.common.errors import DomainError, invalid
from inventory.dampers.checked import DamperIn, StacksIn
from inventory.dampers.document import stacks_told, told
from inventory.dampers.models import DamperModel, DamperRevision, StackRevision
from inventory.dampers.selectors import Damper, damper_called, damper_row, described, latest_stacks
from inventory.dampers.services import create_damper, edit_damper, save_stack
from inventory.dampers.words import VALVES
from inventory.documents.fields import Name, Strict
from inventory.documents.typed import written
from inventory.people.roles import BENCH, STAFF


class NewStack(Strict):
    """Stacks of one valve under a name."""

    name = Name(max_length=80)
    valve = serializers.ChoiceField(choices=VALVES, default="main")
    stacks = StacksIn()
    note = Name(max_length=400, required=False, default="", allow_blank=True)


class Dampers(Resource):
    """Damper models."""

    allowed = {"GET": EVERYONE, "POST": BENCH}
    parameters = LISTING

    @extend_schema(responses=DamperPage)
    def get(self, request: Request) -> Response:
        return self.listing(DamperModel.objects.filter(retired_at=None), _show_all)

    @extend_schema(request=DamperIn, responses={201: DamperShape})
    def post(self, request: Request) -> Response:
        sent = told(self.read(DamperIn))

        def work() -> tuple[int, Any]:
            create_damper(code=sent.code, name=sent.name, document=sent.document, actor=self.actor)
            return 201, _show(Damper(sent.code, sent.name, 1, sent.document))

        return self.command(work)


class OneDamper(Resource):
    """One damper model; its ETag is its revision."""

    allowed = {"GET": EVERYONE, "PUT": BENCH}

    @extend_schema(responses=DamperShape)
    def get(self, request: Request, code: str) -> Response:
        found = damper_called(code)
        return Response(_show(found), headers={"ETag": _etag(found.revision)})

    @extend_schema(request=DamperIn, responses=DamperShape)
    def put(self, request: Request, code: str) -> Response:
        sent = told(self.read(DamperIn))
        if sent.code != code:
            raise invalid("code", "must be the code of this address; a damper keeps its code")
        revision = _revision(request)

        def work() -> tuple[int, Any]:
            saved = edit_damper(code=code, name=sent.name, document=sent.document, revision=revision, actor=self.actor)
            return 200, _show(Damper(code, sent.name, saved.revision, sent.document))

        response = self.command(work)
        response["ETag"] = _etag(response.data["revision"])
        return response


class Stacks(Resource):
    """Stacks saved for a damper model; the same name again is the next revision."""

    allowed = {"GET": STAFF, "POST": BENCH}
    parameters = ("cursor",)

    @extend_schema(responses=StackPage)
    def get(self, request: Request, code: str) -> Response:
        found = latest_stacks(damper_row(code))
        return self.whole([_show_stack(revision) for revision in found])

    @extend_schema(request=NewStack, responses={201: StackShape})
    def post(self, request: Request, code: str) -> Response:
        asked = self.read(NewStack)
        asked["stacks"] = written(stacks_told(asked["stacks"]))

        def work() -> tuple[int, Any]:
            if asked["valve"] not in damper_called(code).document.codes:
                raise invalid("valve", f"the damper {code} has no valve {asked['valve']}")
            return 201, _show_stack(save_stack(damper=damper_row(code), **asked, actor=self.actor))

        return self.command(work)


def _show_all(rows: Sequence[DamperModel]) -> list[dict[str, Any]]:
    latest = DamperRevision.objects.filter(damper__in=rows, number=F("damper__revision")).select_related("damper")
    found = {revision.damper_id: described(revision) for revision in latest}
    return [_show(found[row.pk]) for row in rows]


def _show(damper: Damper) -> dict[str, Any]:
    document = written(damper.document)
    return {
        "code": damper.code,
        "name": damper.name,
        "revision": damper.revision,
        "valves": document["valves"],
        **{name: document.get(name) for name in ("shaft_end", "band", "shaft", "rod_gland", "oil")},
        "limits": document.get("limits") or [],
    }


def _show_stack(revision: StackRevision) -> dict[str, Any]:
    saved = revision.stack
    return {
        "name": saved.name,
        "valve": saved.valve,
        "revision": revision.number,
        "note": revision.note,
        "stacks": revision.stacks,
    }


def _etag(revision: int) -> str:
    return f'"{revision}"'


def _revision(request: Request) -> int:
    """The revision in If-Match. Raises DomainError `if_match_missing` or `edited_meanwhile`."""
    tag = request.headers.get("If-Match", "").strip()
    if not tag:
        raise DomainError("if_match_missing")
    revision = quantities.whole_number(tag.removeprefix("W/").strip('"'), digits=9)
    if revision is None:
        raise DomainError("edited_meanwhile")
    return revision
