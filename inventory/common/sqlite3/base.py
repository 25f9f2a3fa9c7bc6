"""Django's SQLite connection; a file that is not there yet is made readable for its user alone.

SQLite gives its `-wal` and `-shm` files the rights of the database file, so they follow. Not by the umask, which is the
whole process's: two threads that change it and put it back would get in each other's way.
"""

from __future__ import annotations

import os
from contextlib import suppress
from typing import Any

from django.db.backends.sqlite3 import base

PRIVATE = 0o600


class DatabaseWrapper(base.DatabaseWrapper):
    """Connections of this project."""

    def get_new_connection(self, conn_params: dict[str, Any]) -> Any:
        name = str(conn_params["database"])
        if not name.startswith(("file:", ":memory:")):
            # Where it cannot be made, SQLite says so better.
            with suppress(OSError):
                os.close(os.open(name, os.O_CREAT | os.O_EXCL | os.O_RDWR, PRIVATE))
        return super().get_new_connection(conn_params)
