"""Django's SQLite engine with one difference: guards outlive a change of the tables.

SQLite changes most of a table by making another one, copying, dropping and renaming. The dropped table takes its
triggers with it, the renaming fails as long as a trigger of another table names the one that is gone, and a column is
not dropped as long as a trigger names it. So every trigger is taken away first and put back afterwards, in the
migration's own transaction: no writer ever finds the shelf without its guards.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db.backends.sqlite3 import base, schema


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
