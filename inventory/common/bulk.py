"""Many rows in one statement, past the object layer: a hundred thousand rows must not hold the write lock long."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.db import connection
from django.db.models import Max, Model


def reserve(table: type[Model], count: int) -> Sequence[int]:
    """Ids for `count` new rows. On SQLite call it inside the writing transaction, which keeps others out."""
    name = table._meta.db_table
    if connection.vendor == "sqlite":
        last = table._default_manager.aggregate(last=Max("pk"))["last"] or 0
        return range(last + 1, last + 1 + count)
    with connection.cursor() as cursor:
        cursor.execute("SELECT nextval(pg_get_serial_sequence(%s, 'id')) FROM generate_series(1, %s)", [name, count])
        return [row[0] for row in cursor.fetchall()]


def insert(table: type[Model], columns: Sequence[str], rows: Iterable[tuple[Any, ...]]) -> None:
    """Inserts rows whose values are already in the database's own form."""
    marks = ", ".join(["%s"] * len(columns))
    quoted = ", ".join(connection.ops.quote_name(column) for column in columns)
    name = connection.ops.quote_name(table._meta.db_table)
    with connection.cursor() as cursor:
        # Both drivers take any iterable; a list of everything would only cost memory while others wait.
        cursor.executemany(f"INSERT INTO {name} ({quoted}) VALUES ({marks})", rows)  # type: ignore[arg-type]  # the stubs want one sequence type


def prepared(table: type[Model], column: str, value: Any) -> Any:
    """A value in the database's own form, as this column stores it."""
    return table._meta.get_field(column).get_db_prep_save(value, connection)  # type: ignore[union-attr]  # these columns are fields of the table itself
