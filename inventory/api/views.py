"""What all resources share: the role table, strict parameters, commands that happen once, lists."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Callable, Sequence
from typing import Any, ClassVar, TypeVar, cast

from django.db.models import Model, QuerySet
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import Serializer
from rest_framework.views import APIView

from inventory.common import quantities
from inventory.common.errors import DomainError, invalid
from inventory.idempotency.services import Command, run_once
from inventory.people.actors import Actor
from inventory.people.roles import EVERYONE as EVERYONE
from inventory.people.roles import Role

Row = TypeVar("Row", bound=Model)

PAGE_SIZE = 50
PAGE_SIZE_MOST = 200
LONGEST_PAGE = 1_000_000  # signs; a page with longer rows has fewer of them
KEY_LONGEST = 200
PATH_LONGEST = 300
LISTING = ("cursor", "page_size")
CURSORS = ("cursor", "after")


class Resource(APIView):
    """One address. `allowed` says which roles may use which method; `parameters` which query parameters exist."""

    allowed: ClassVar[dict[str, tuple[Role, ...]]] = {}
    parameters: ClassVar[tuple[str, ...]] = ()
    # Without OPTIONS, whose answer would describe a view to anybody.
    http_method_names = ("get", "head", "post", "put", "patch", "delete")
    options = None  # type: ignore[assignment]  # no OPTIONS: the document says what there is

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        if any(ord(sign) < 32 for sign in request.path):
            raise DomainError("not_found", what="page", which=ascii(request.path)[:60])
        for name, value in request.query_params.items():
            # A cursor is opaque; what is wrong with it is said where it is read.
            if name not in CURSORS and any(ord(sign) < 32 for sign in str(value)):
                raise invalid(name[:40], "has characters that are not allowed here")
        known = self.parameters if request.method == "GET" else ()
        unknown = sorted(set(request.query_params) - set(known))
        if unknown:
            names = ", ".join(name[:40] for name in unknown)
            raise DomainError("unknown_parameter", names=names, known=", ".join(known) or "none")

    @property
    def actor(self) -> Actor:
        """Who asks."""
        return cast(Actor, self.request.user)

    def read(self, serializer: type[Serializer[Any]]) -> dict[str, Any]:
        """The request's body, checked. Raises the framework's ValidationError."""
        checked = serializer(data=self.request.data)
        checked.is_valid(raise_exception=True)
        return cast(dict[str, Any], checked.validated_data)

    def command(
        self,
        work: Callable[[], tuple[int, Any]],
        refusal: Callable[[DomainError], DomainError] = lambda error: error,
    ) -> Response:
        """Carries out a command once for its Idempotency-Key; `work` runs inside the transaction, and `refusal` after
        it where it was refused: it makes what is told of that, and kept."""
        key = self.request.headers.get("Idempotency-Key", "")
        if not 1 <= len(key) <= KEY_LONGEST:
            raise DomainError("idempotency_key_missing")
        if len(self.request.path) > PATH_LONGEST:
            raise DomainError("not_found", what="page", which=f"{self.request.path[:40]}...")
        canonical = json.dumps(self.request.data, sort_keys=True, separators=(",", ":"))
        command = Command(
            actor=self.actor,
            method=cast(str, self.request.method),
            path=self.request.path,
            key=key,
            body_digest=hashlib.sha256(canonical.encode()).hexdigest(),
        )
        outcome = run_once(command=command, work=work, refusal=refusal)
        headers = {"Idempotency-Replayed": "true"} if outcome.repeated else {}
        return Response(outcome.body, status=outcome.status, headers=headers)

    def listing(self, rows: QuerySet[Row], show: Callable[[list[Row]], list[dict[str, Any]]]) -> Response:
        """One page of rows by ascending id, with the cursor of the next."""
        page, following = self.page(rows)
        shown = show(page)
        whole = _within(shown)
        if whole < len(shown):
            following = cursor_text(page[whole - 1].pk)
        return Response({"results": shown[:whole], "next": following})

    def whole(self, rows: Sequence[dict[str, Any]]) -> Response:
        """A list that comes in one piece unless it is too long for one answer; its cursor counts the rows before."""
        cursor = self.request.query_params.get("cursor")
        start = 0 if cursor is None else cursor_value(cursor)
        number = _within(rows[start:])
        following = cursor_text(start + number) if start + number < len(rows) else None
        return Response({"results": rows[start : start + number], "next": following})

    def page(self, rows: QuerySet[Row]) -> tuple[list[Row], str | None]:
        """(rows of this page, cursor of the next or None)."""
        size = self.page_size()
        cursor = self.request.query_params.get("cursor")
        if cursor is not None:
            rows = rows.filter(pk__gt=cursor_value(cursor))
        found = list(rows.order_by("pk")[: size + 1])
        return found[:size], cursor_text(found[size - 1].pk) if len(found) > size else None

    def page_size(self) -> int:
        """The page size asked for. Raises DomainError `invalid` outside 1..200."""
        size = quantities.whole_number(self.request.query_params.get("page_size", str(PAGE_SIZE)), digits=5)
        if size is None or not 1 <= size <= PAGE_SIZE_MOST:
            raise invalid("page_size", f"must be a whole number from 1 to {PAGE_SIZE_MOST}")
        return size


def _within(rows: Sequence[Any]) -> int:
    """How many rows an answer holds before it is too long; one at least, and the next page goes on behind them."""
    long = 0
    for number, row in enumerate(rows):
        long += len(json.dumps(row, default=str))
        if long > LONGEST_PAGE and number:
            return number
    return len(rows)


def cursor_text(*values: int) -> str:
    """Whole numbers as an opaque cursor."""
    return base64.urlsafe_b64encode(json.dumps(values).encode()).decode().rstrip("=")


def cursor_values(cursor: str, *counts: int) -> list[int]:
    """The numbers in a cursor, as many as one of `counts` says. Raises DomainError `bad_cursor`."""
    try:
        values = json.loads(base64.urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4)))
    except (ValueError, RecursionError):
        raise DomainError("bad_cursor") from None
    right = isinstance(values, list) and len(values) in counts
    if not right or any(type(value) is not int or not 0 <= value < 2**63 for value in values):
        raise DomainError("bad_cursor")
    return cast(list[int], values)


def cursor_value(cursor: str) -> int:
    """The one number in a cursor."""
    return cursor_values(cursor, 1)[0]


def id_from(text: str, what: str, *, of: str = "") -> int:
    """An id as it stands in an address, of the lot or other thing that `of` names. Raises DomainError `not_found` for
    what no id looks like."""
    found = quantities.whole_number(text)
    if found is None:
        raise DomainError("not_found", what=what, which=f"{text[:40]} of {of}" if of else text[:40])
    return found
