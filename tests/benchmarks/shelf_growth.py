"""Opening shelves of 5,000, 20,000 and 100,000 rows, each on a fresh server: a row takes what it takes in a small
one."""

from __future__ import annotations

import contextlib
import os
import secrets
import statistics
import tempfile
import time
from pathlib import Path

from tests import postgres
from tests.benchmarks.figures import Figure
from tests.benchmarks.opening_shelf import shelf
from tests.benchmarks.service import manage

SIZES = (5_000, 20_000, 100_000)
ENGINES = ("sqlite", "postgresql")
# A row of the largest against one of the smallest.
MOST = 1.5
STARTS = 2


def run(seed: int, sizes: tuple[int, ...] = SIZES) -> list[Figure]:
    """Milliseconds a row, without the time that the command takes to start; of each engine the largest against the
    smallest. A row of the small shelf is measured before and after the large one: other work on the machine changes."""
    found: list[Figure] = []
    for engine in ENGINES:
        ms: dict[int, float] = {}
        again = 0.0
        for rows in (*sizes, sizes[0]):
            took = 1000 * seconds(engine, seed, rows) / rows
            again, ms[rows] = took, ms.get(rows, took)
            found.append(Figure(f"{engine}, {rows:,} rows", round(took, 3), "ms a row", "printed", True))
        grown = ms[sizes[-1]] / statistics.fmean((ms[sizes[0]], again))
        name = f"{engine}, a row of {sizes[-1]:,} against one of {sizes[0]:,}"
        found.append(Figure(name, round(grown, 2), "times", f"at most {MOST}", grown <= MOST))
    return found


def seconds(engine: str, seed: int, rows: int) -> float:
    """How long a shelf takes to load into a database that has nothing, without what a file that is not there takes."""
    with tempfile.TemporaryDirectory() as name, contextlib.ExitStack() as stack:
        folder = Path(name)
        if engine == "postgresql":
            url = stack.enter_context(postgres.running(durable=True))
        else:
            url = f"sqlite:///{folder / 'shelf.sqlite3'}"
        environment = {
            **{word: value for word, value in os.environ.items() if not word.startswith("SHIMSHELF_")},
            "DATABASE_URL": url,
            "SHIMSHELF_SECRET_KEY": secrets.token_urlsafe(32),
        }
        manage(environment, "migrate", "--verbosity", "0")
        manage(environment, "person", "clerk", "--role", "clerk", "--no-password")
        starting = min(_starts(environment, folder) for _ in range(STARTS))
        file = folder / "shelf.csv"
        file.write_text(shelf(seed, rows))
        started = time.monotonic()
        manage(environment, "load_shelf", str(file), "--person", "clerk")
        took = time.monotonic() - started - starting
        if f"{rows} movements explain {rows} balances" not in manage(environment, "check_ledger"):
            raise RuntimeError("the ledger does not explain what was loaded")
    return took


def _starts(environment: dict[str, str], folder: Path) -> float:
    """The seconds until the command says that it has no file."""
    started = time.monotonic()
    with contextlib.suppress(RuntimeError):
        manage(environment, "load_shelf", str(folder / "none.csv"), "--person", "clerk")
    return time.monotonic() - started
