"""Django's SQLite engine with one difference: triggers outlive a table that is made anew.

SQLite changes most of a table by making another one, copying, dropping and renaming. The dropped table takes its
triggers with it, and the renaming fails as long as a trigger of another table names the one that is gone. So every
trigger is taken away first and put back afterwards, in the migration's own transaction: no writer ever finds the shelf
without its guards.
"""

from __future__ import annotations

from typing import Any

from django.db.backends.sqlite3 import base, schema
from django.db.models import Model


class DatabaseSchemaEditor(schema.DatabaseSchemaEditor):
    """Puts triggers aside while a table is made anew."""

    def _remake_table(self, model: type[Model], *args: Any, **changes: Any) -> None:
        with self.connection.cursor() as cursor:
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' ORDER BY name")
            aside = cursor.fetchall()
        for name, _ in aside:
            self.execute(f"DROP TRIGGER {self.quote_name(name)}")
        super()._remake_table(model, *args, **changes)  # type: ignore[misc]  # the stubs leave out private methods
        for _, sql in aside:
            self.execute(sql, params=None)


class DatabaseWrapper(base.DatabaseWrapper):
    """The engine that settings.DATABASES names."""

    SchemaEditorClass = DatabaseSchemaEditor
