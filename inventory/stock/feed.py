"""Whether new movements would come behind the old ones in the feed of changes, and what brings them there.

PostgreSQL's feed is ordered by transaction (docs/decisions/0002). A restored ledger in a new server may hold numbers of
transactions that the server has yet to give out: what happens next would sort before what is there, and whoever
follows the feed would never see it. The numbers of rows, drawn from a sequence, can lag behind in the same way. On
SQLite ids are the order, and it draws them above all that are there.
"""

from __future__ import annotations

from typing import Any

from django.db import connections

from inventory.stock.models import Movement

TABLE = Movement._meta.db_table


def behind(using: str = "default") -> str | None:
    """A sentence that says how far the server is behind its movements; None where it is not."""
    connection = connections[using]
    if connection.vendor != "postgresql":
        return None
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT max(transaction), max(id) FROM {TABLE}")
        last, last_id = cursor.fetchone()
        if last is None:
            return None
        here = _next_transaction(cursor)
        if here <= last:
            return (
                f"The server counts transactions from {here}, the ledger's last movement has {last}: new changes would "
                "come before old ones in the feed, as after a restore in a new server."
            )
        drawn = _drawn(cursor)
        if drawn < last_id:
            return f"New movements are numbered from {drawn + 1}, the ledger's last one is {last_id}."
    return None


def catch_up(using: str = "default") -> None:
    """Moves both counters past the ledger's last movement; about a million transactions a second or two.

    Outside a transaction: each number of a transaction takes one of its own.
    """
    connection = connections[using]
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT max(transaction), max(id) FROM {TABLE}")
        last, last_id = cursor.fetchone()
        if last is None:
            return
        cursor.execute(
            f"DO $$ BEGIN WHILE pg_current_xact_id()::text::bigint <= {int(last)} LOOP COMMIT; END LOOP; END $$"
        )
        if _drawn(cursor) < last_id:
            cursor.execute("SELECT setval(pg_get_serial_sequence(%s, 'id'), %s)", [TABLE, last_id])


def _next_transaction(cursor: Any) -> int:
    """A number above those of all that have ended and of this one; asking for it gives none out."""
    cursor.execute(
        "SELECT GREATEST(pg_snapshot_xmax(pg_current_snapshot())::text::bigint,"
        " pg_current_xact_id_if_assigned()::text::bigint + 1)"
    )
    return int(cursor.fetchone()[0])


def _drawn(cursor: Any) -> int:
    cursor.execute("SELECT pg_get_serial_sequence(%s, 'id')", [TABLE])
    sequence = cursor.fetchone()[0]
    cursor.execute(f"SELECT CASE WHEN is_called THEN last_value ELSE last_value - 1 END FROM {sequence}")
    return int(cursor.fetchone()[0])
