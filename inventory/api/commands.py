"""GET /commands: what became of the commands sent under an Idempotency-Key."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.problems import body
from inventory.api.shapes import CommandPage
from inventory.api.showing import time
from inventory.api.views import EVERYONE, KEY_LONGEST, Resource
from inventory.common.errors import invalid
from inventory.idempotency.models import RememberedAnswer
from inventory.idempotency.services import answers_of, refusal_of


class Commands(Resource):
    """The answers of one's own commands under a key, the last first, for whoever lost the reply.

    An empty list: no command under this key was answered until now. One that is still on its way may yet be carried
    out; sent again under the same key it is answered once and for all.
    """

    allowed = {"GET": EVERYONE}
    parameters = ("key",)

    @extend_schema(responses=CommandPage)
    def get(self, request: Request) -> Response:
        key = request.query_params.get("key", "")
        if not 1 <= len(key) <= KEY_LONGEST:
            raise invalid("key", f"give the Idempotency-Key, a text of 1 to {KEY_LONGEST} characters")
        return Response({"results": [show(one) for one in answers_of(actor=self.actor, key=key)], "next": None})


def show(record: RememberedAnswer) -> dict[str, Any]:
    """A remembered answer: `done` or `refused`, with the status and body that were given."""
    refused = refusal_of(record)
    return {
        "key": record.key,
        "method": record.method,
        "path": record.path,
        "outcome": "refused" if refused else "done",
        "status": record.status,
        "body": body(refused) if refused else record.body,
        "at": time(record.created_at),
    }
