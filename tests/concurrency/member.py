"""One process of a crowd. No model is imported before Django is set up."""

from __future__ import annotations

import json
import sys
from typing import Any

import django


def main(task: dict[str, Any]) -> None:
    django.setup()
    from django.db import connection

    from inventory.common import database_trouble, transactions
    from tests.concurrency import scripts

    if task["locking"]:
        wait_long_for_locks()
    connection.ensure_connection()
    if not task["locking"]:
        switch_locking_off()
    busy: list[str] = []
    decide = database_trouble.is_busy

    def noting(error: Any) -> bool:
        answer = decide(error)
        if answer:
            busy.append(str(error).strip())
        return answer

    setattr(transactions, "is_busy", noting)  # noqa: B010  # what use_case() asks
    print("ready", flush=True)
    sys.stdin.readline()
    done, errors = {}, []
    try:
        done = getattr(scripts, task["script"])(**task["words"])
    except Exception as error:
        errors.append(f"{type(error).__name__}: {error}")
    print(json.dumps({"done": done, "busy": busy, "errors": errors}), flush=True)
    connection.close()
    if connection.vendor == "postgresql":
        connection.close_pool()  # type: ignore[attr-defined]  # the PostgreSQL backend's own method


def wait_long_for_locks() -> None:
    """A lock that is free in the end is waited for, however slow the machine is: what is asked is whether it comes. A
    deadlock is told at once all the same."""
    from django.db import connection

    options = connection.settings_dict["OPTIONS"]
    if connection.vendor == "sqlite":
        options["timeout"] = 120
    else:
        assert "lock_timeout=3s" in options["options"]
        options["options"] = options["options"].replace("lock_timeout=3s", "lock_timeout=120s")


def switch_locking_off() -> None:
    """What protects a read-then-write stands aside: PostgreSQL's row locks, SQLite's IMMEDIATE transaction."""
    from django.db import connection

    from inventory.common import locks

    locks.for_update = lambda rows: rows
    if connection.vendor == "sqlite":
        connection.transaction_mode = "DEFERRED"  # type: ignore[attr-defined]  # the SQLite backend's own attribute
        for name, module in list(sys.modules.items()):
            if name.startswith("inventory.") and hasattr(module, "require_transaction"):
                module.require_transaction = lambda: None  # type: ignore[attr-defined]  # a module's function, switched off


if __name__ == "__main__":
    main(json.loads(sys.argv[1]))
