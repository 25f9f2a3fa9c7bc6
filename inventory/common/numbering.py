"""The numbers that the database draws for new rows."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.apps import apps
from django.db import connection
from django.db.models import AutoField

# More than any shop draws between two copies.
STEP = 1_000_000


def skip() -> None:
    """Lets every table of the shelf go on a million higher.

    After a restore the numbers of what is lost would be drawn again, and somebody who remembers one, of a hold or of a
    delivery, would go on with another's.
    """
    with connection.cursor() as cursor:
        for table in _tables():
            if connection.vendor == "sqlite":
                _skip_sqlite(cursor, table)
            else:
                cursor.execute(
                    "SELECT setval(sequence, nextval(sequence) + %s)"
                    " FROM (SELECT pg_get_serial_sequence(%s, 'id')::regclass AS sequence) AS its",
                    [STEP, table],
                )


def _skip_sqlite(cursor: Any, table: str) -> None:
    cursor.execute("UPDATE sqlite_sequence SET seq = seq + %s WHERE name = %s", [STEP, table])
    if not cursor.rowcount:
        # Nothing was ever put into it.
        cursor.execute("INSERT INTO sqlite_sequence (name, seq) VALUES (%s, %s)", [table, STEP])


def _tables() -> Iterable[str]:
    """Those whose rows are numbered by the database."""
    for model in apps.get_app_config("inventory").get_models():
        if isinstance(model._meta.pk, AutoField) and not model._meta.proxy:
            yield model._meta.db_table
