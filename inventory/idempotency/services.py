"""A command sent twice happens once: key, work and answer stand or fall in one transaction."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db import connection
from django.db.models import Field

from inventory.common import clock, locks
from inventory.common.errors import DomainError
from inventory.common.transactions import require_transaction, use_case
from inventory.idempotency.models import RememberedAnswer
from inventory.people.actors import Actor

KEPT = timedelta(hours=24)


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


def run_once(*, command: Command, work: Callable[[], tuple[int, Any]]) -> Outcome:
    """Runs `work` (which returns status and body) in a transaction unless this command was already carried out.

    The same key and body: the first answer again. Another body: DomainError `idempotency_key_reused`. A twin in
    flight waits for the first to end. An error rolls the key back with the work, so only successes are remembered.
    """

    def once() -> Outcome:
        record = _claim(command)
        if record.status is not None:
            return Outcome(record.status, record.body, repeated=True)
        status, body = work()
        RememberedAnswer.objects.filter(pk=record.pk).update(status=status, body=body)
        return Outcome(status, body)

    return use_case(once)


def forget_old() -> int:
    """Removes answers older than 24 h; returns how many."""
    return RememberedAnswer.objects.filter(created_at__lt=clock.now() - KEPT).delete()[0]


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
