"""Django's SQLite engine with two differences: guards outlive a change of the tables, and the file is its user's alone.

SQLite changes most of a table by making another one, copying, dropping and renaming. The dropped table takes its
triggers with it, the renaming fails as long as a trigger of another table names the one that is gone, and a column is
not dropped as long as a trigger names it. So every trigger is taken away first and put back afterwards, in the
migration's own transaction: no writer ever finds the shelf without its guards.

A file that is not there yet is made readable for its user alone. SQLite gives its `-wal` and `-shm` files the rights of
the database file, so they follow. Not by the umask, which is the whole process's: two threads that change it and put it
back would get in each other's way.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any

from django.db.backends.sqlite3 import base, schema

PRIVATE = 0o600


class DatabaseSchemaEditor(schema.DatabaseSchemaEditor):
    """Puts triggers aside while a table changes; what runs between two changes, such as moving data, meets them."""

    _are_aside = False

    @contextmanager
    def _triggers_aside(self) -> Iterator[None]:
        # Only registered when Django is set up, which the engine is loaded before.
        from inventory.common import guarding

        if self._are_aside or self.collect_sql:
            yield
            return
        with self.connection.cursor() as cursor:
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' ORDER BY name")
            aside = dict(cursor.fetchall())
            for name in aside:
                cursor.execute(f"DROP TRIGGER {self.quote_name(name)}")
            self._are_aside = True
            try:
                yield
            finally:
                self._are_aside = False
            # Of the guards not the text that they had: they may name a column that is gone, and not one that is new.
            guarding.put_in_place(cursor)
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
            there = {row[0] for row in cursor.fetchall()}
            for name, sql in aside.items():
                if name not in there and not guarding.is_guard(name):
                    cursor.execute(sql)

    def _remake_table(self, *args: Any, **changes: Any) -> None:
        with self._triggers_aside():
            super()._remake_table(*args, **changes)  # type: ignore[misc]  # the stubs leave out private methods

    def alter_db_table(self, *args: Any, **options: Any) -> None:
        with self._triggers_aside():
            super().alter_db_table(*args, **options)

    def alter_field(self, *args: Any, **options: Any) -> None:
        with self._triggers_aside():
            super().alter_field(*args, **options)

    def remove_field(self, *args: Any, **options: Any) -> None:
        with self._triggers_aside():
            super().remove_field(*args, **options)


class DatabaseWrapper(base.DatabaseWrapper):
    """The engine that settings.DATABASES names."""

    SchemaEditorClass = DatabaseSchemaEditor

    def get_new_connection(self, conn_params: dict[str, Any]) -> Any:
        name = str(conn_params["database"])
        if not name.startswith(("file:", ":memory:")):
            # Where it cannot be made, SQLite says so better.
            with suppress(OSError):
                os.close(os.open(name, os.O_CREAT | os.O_EXCL | os.O_RDWR, PRIVATE))
        return super().get_new_connection(conn_params)
