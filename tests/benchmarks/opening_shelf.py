"""An opening shelf of 100,000 rows on SQLite, while another writer tries all the time."""

from __future__ import annotations

import os
import random
import secrets
import sqlite3
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.benchmarks.figures import Figure, timed
from tests.benchmarks.service import ROOT, manage

ROWS = 100_000
HEADER = "part,kind,name,od_mm,thickness_mm,bore_mm,lot,drawer,quantity,condition,received_on,readings_mm"
THICKNESSES = (0.1, 0.15, 0.2, 0.25, 0.3)


def run(seed: int) -> list[Figure]:
    """Seconds for the whole command, and the longest that the other writer had to wait."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        database = folder / "shelf.sqlite3"
        environment = {
            **{name: value for name, value in os.environ.items() if not name.startswith("SHIMSHELF_")},
            "DATABASE_URL": f"sqlite:///{database}",
            "SHIMSHELF_SECRET_KEY": secrets.token_urlsafe(32),
        }
        manage(environment, "migrate", "--verbosity", "0")
        manage(environment, "person", "clerk", "--role", "clerk", "--no-password")
        file = folder / "shelf.csv"
        file.write_text(shelf(seed))
        command = [sys.executable, "manage.py", "load_shelf", str(file), "--person", "clerk"]
        started = time.monotonic()
        loading = subprocess.Popen(command, cwd=ROOT, env=environment, stderr=subprocess.DEVNULL)
        longest = longest_wait(database, loading)
        seconds = time.monotonic() - started
        ledger = manage(environment, "check_ledger")
    explained = f"{ROWS} movements explain {ROWS} balances" in ledger
    return [
        Figure(f"{ROWS:,} rows, the whole command", round(seconds, 1), "s", "printed", loading.returncode == 0),
        timed("longest wait of another writer", longest, "s", 5, digits=2),
        Figure("ledger replays every row", float(explained), "", "1", explained),
    ]


def shelf(seed: int, rows: int = ROWS) -> str:
    """A file of so many lots of some thousand shim parts, every other one with readings."""
    choose = random.Random(seed)
    lines = [HEADER]
    for number in range(rows):
        od, thickness, bore = choose.randrange(17, 51), choose.choice(THICKNESSES), choose.choice((8, 10, 12, 14, 16))
        readings = " ".join(f"{thickness + choose.randrange(-4, 5) / 1000:.3f}" for _ in range(3)) if number % 2 else ""
        size = f"{od},{thickness},{bore}"
        part = f"S-{od}-{bore}-{round(thickness * 1000)}"
        place = f"L{number},D{od}-{bore},{choose.randrange(1, 90)}"
        lines.append(f"{part},shim,Shim {part},{size},{place},new,2025-0{choose.randrange(1, 10)}-11,{readings}")
    return "\n".join(lines) + "\n"


def longest_wait(database: Path, loading: subprocess.Popen[bytes]) -> float:
    """The longest that a small write took while the other process ran."""
    longest = 0.0
    connection = sqlite3.connect(database, timeout=60, isolation_level=None)
    while loading.poll() is None:
        started = time.monotonic()
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("UPDATE inventory_person SET first_name = first_name || ''")
        connection.execute("COMMIT")
        longest = max(longest, time.monotonic() - started)
        time.sleep(0.02)
    connection.close()
    return longest
