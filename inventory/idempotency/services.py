"""A command sent twice happens once: key, work and answer stand or fall in one transaction.

A refusal that another try cannot better is kept as well: whoever was told "no" under a key is never surprised by an
earlier try of the same command that was held up on its way and arrives after the answer.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import timedelta
from functools import partial
from typing import Any, TypeVar

from django.core.serializers.json import DjangoJSONEncoder
from django.db import Error, connection
from django.db.models import Field

from inventory.common import clock, locks
from inventory.common.errors import DomainError, FieldError
from inventory.common.transactions import require_transaction, use_case
from inventory.idempotency.models import RememberedAnswer
from inventory.people.actors import Actor

Result = TypeVar("Result")

KEPT = timedelta(hours=24)
# A key is meant for one command; whoever sends it to many addresses is told of the last ones.
MOST_TOLD = 50


@dataclass(frozen=True, slots=True)
class Command:
    """One command as somebody sent it. The scope of a client's key is client, method, path and key; the key of a page's
    form belongs to the form, whoever sends it."""

    actor: Actor
    method: str
    path: str
    key: str
    body_digest: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """The status and body to answer with; `repeated` when they come from an earlier try."""

    status: int
    body: Any
    repeated: bool = False


REFUSED, SERVERS_FAULT = 400, 500
# Refusals that are no answer to the command: it was sent too often, or beside something newer.
NOT_KEPT = frozenset({"edited_meanwhile", "if_match_missing", "too_many_requests", "idempotency_key_reused"})


def run_once(
    *,
    command: Command,
    work: Callable[[], tuple[int, Any]],
    refusal: Callable[[DomainError], DomainError] = lambda error: error,
) -> Outcome:
    """Runs `work` (which returns status and body) in a transaction unless this command was already answered.

    The same key and body: the first answer again, a refusal raised as a DomainError that is `repeated`. Another body:
    DomainError `idempotency_key_reused`. A twin in flight waits for the first to end. An error that says nothing about
    the command (busy, no database, a fault of the program) rolls the key back with the work. When the reply to the
    COMMIT is lost the key is looked for once more, and the answer that stands there is given; only when the database
    stays away is it DomainError `not_known`.

    `refusal` makes the refusal that is told of the one that `work` raised, outside any transaction and before it is
    kept: what is told is what stands under the key. What it raises itself is told instead.
    """

    def once() -> Outcome:
        record = _claim(command)
        if record.status is not None:
            return _answer_of(record)
        status, body = work()
        RememberedAnswer.objects.filter(pk=record.pk).update(status=status, body=body)
        return Outcome(status, body)

    try:
        return _found_out(once)
    except DomainError as error:
        if error.repeated or not _is_final(error):
            raise
        told = _told(refusal, error)
        if not _is_final(told):
            raise told from error
        standing = _found_out(partial(_keep_refusal, command, told))
        if standing is None:
            raise told from error
        return _answer_of(standing)


def _told(refusal: Callable[[DomainError], DomainError], error: DomainError) -> DomainError:
    try:
        return refusal(error)
    except DomainError as instead:
        return instead


def answers_of(*, actor: Actor, key: str) -> list[RememberedAnswer]:
    """What was answered to an API client's commands under a key, newest first and 50 at most; nothing of others."""
    found = RememberedAnswer.objects.filter(client=actor.client, client__isnull=False, key=key)
    return list(found.filter(created_at__gte=clock.now() - KEPT, status__isnull=False).order_by("-pk")[:MOST_TOLD])


def refusal_of(record: RememberedAnswer) -> DomainError | None:
    """The refusal that a remembered answer is, or None."""
    if record.status is None or record.status < REFUSED:
        return None
    told: dict[str, Any] = record.body or {}
    errors = [FieldError(**one) for one in told["errors"]]
    return DomainError(told["code"], errors=errors, repeated=True, **told["data"])


def forget_old() -> int:
    """Removes answers older than 24 h; returns how many."""
    return RememberedAnswer.objects.filter(created_at__lt=clock.now() - KEPT).delete()[0]


def _found_out(work: Callable[[], Result]) -> Result:
    """The result of `work` in a transaction, looked for a second time where the first reply was lost.

    The second try claims the same key. It waits for the first, where that is still being written, and then finds it.
    """
    try:
        return use_case(work)
    except DomainError as error:
        if error.code != "not_known":
            raise
        unknown = error
    try:
        return use_case(work)
    except Error as error:
        raise unknown from error
    except DomainError as error:
        raise (unknown if error.code in {"too_busy", "no_database"} else error) from None


def _is_final(error: DomainError) -> bool:
    """Whether the same command sent again may be told the same."""
    return error.status < SERVERS_FAULT and error.code not in NOT_KEPT


def _keep_refusal(command: Command, error: DomainError) -> RememberedAnswer | None:
    """Keeps a refusal as the command's answer; gives a twin's answer instead where one stands there already."""
    record = _claim(command)
    if record.status is not None:
        return record
    told = {"code": error.code, "errors": [asdict(one) for one in error.errors], "data": dict(error.data)}
    body = json.loads(json.dumps(told, cls=DjangoJSONEncoder))
    RememberedAnswer.objects.filter(pk=record.pk).update(status=error.status, body=body)
    return None


def _answer_of(record: RememberedAnswer) -> Outcome:
    """A remembered answer as it was given: an outcome, or the refusal raised again."""
    if refused := refusal_of(record):
        raise refused
    return Outcome(record.status or 0, record.body, repeated=True)


def _claim(command: Command) -> RememberedAnswer:
    """The record of this command, new (status None) or remembered. On a conflict the database waits for the twin."""
    require_transaction()
    now, actor = clock.now(), command.actor
    named = {"method": command.method, "path": command.path, "key": command.key}
    scope = {**named, **({"client": actor.client} if actor.client else {"person__isnull": False})}
    whose = {"client": actor.client, "person": actor.person}
    record = RememberedAnswer(**named, **whose, body_digest=command.body_digest, created_at=now)
    if _insert(record):
        return record
    found = locks.for_update(RememberedAnswer.objects.filter(**scope)).first()
    if found is None:
        # It was forgotten between the two statements; so it is new.
        if not _insert(record):
            raise DomainError("too_busy", seconds=0)
        return record
    if found.created_at < now - KEPT:
        found.body_digest, found.created_at, found.status, found.body = command.body_digest, now, None, None
        found.save()
        return found
    if found.body_digest != command.body_digest:
        raise DomainError("idempotency_key_reused")
    return found


def _insert(record: RememberedAnswer) -> bool:
    """Writes the record unless its key is taken; whether it was written."""
    columns = ["client_id", "person_id", "method", "path", "key", "body_digest", "created_at"]
    fields = (RememberedAnswer._meta.get_field(column) for column in columns)
    values = [
        field.get_db_prep_save(getattr(record, field.attname), connection)
        for field in fields
        if isinstance(field, Field)
    ]
    table = RememberedAnswer._meta.db_table
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join(['%s'] * len(columns))})"
            " ON CONFLICT DO NOTHING RETURNING id",
            values,
        )
        row = cursor.fetchone()
    if row is None:
        return False
    record.pk = row[0]
    return True
