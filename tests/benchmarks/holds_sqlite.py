"""POST /holds on SQLite from 4 worker processes: nothing fails as locked, nothing is oversold."""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.benchmarks.figures import Figure
from tests.benchmarks.service import PARTS, hold_for, serving

SECONDS = 10
CLIENTS = 8
SCARCE = 60


def run(seed: int) -> list[Figure]:
    """So few pieces that they run out: the rest must be refused as out of stock, and nothing else go wrong."""
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{Path(folder) / 'shelf.sqlite3'}"
        with serving(url, quantity=SCARCE) as service:
            load = hold_for(service, seconds=SECONDS, clients=CLIENTS, seed=seed)
            ledger = service.manage("check_ledger")
            _, page = service.call("GET", "parts?page_size=200", None, service.clerk)
    errors = sum(count for status, count in load.statuses.items() if status not in {201, 409})
    held = sum(part["held"] for part in page["results"])
    given = 2 * load.statuses.get(201, 0)
    most = PARTS * SCARCE
    return [
        Figure("holds", round(load.rate, 1), "a second", "printed", True),
        Figure("errors other than out of stock", errors, "", "0", errors == 0),
        Figure("pieces held, of those given", held - given, "difference", "0", held == given),
        Figure("pieces held", held, f"of {most}", f"at most {most}", held <= most),
        Figure("ledger replays", float(ledger.startswith("The shelf is true")), "", "1", "true" in ledger),
    ]
