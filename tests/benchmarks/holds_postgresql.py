"""POST /holds on PostgreSQL with fsync on, against pgbench that writes the same rows in one transaction."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path
from urllib.parse import urlsplit

from tests import postgres
from tests.benchmarks.figures import Figure, timed
from tests.benchmarks.service import PARTS, hold_for, serving

SCRIPT = Path(__file__).parent / "hold.pgbench.sql"
SECONDS = 12
CLIENTS = 8
PLENTY = 500_000


def run(seed: int) -> list[Figure]:
    """Holds through gunicorn with 4 workers and 8 connections; then pgbench with 8 on the same shelf."""
    with postgres.running(durable=True) as url, serving(url, quantity=PLENTY) as service:
        hold_for(service, seconds=2, clients=CLIENTS, seed=seed + 1)
        load = hold_for(service, seconds=SECONDS, clients=CLIENTS, seed=seed)
        ceiling = pgbench_rate(url)
        ledger = service.manage("check_ledger") if load.statuses else ""
    share = load.rate / ceiling
    errors = sum(count for status, count in load.statuses.items() if status != 201)
    p99 = load.quantile_ms(0.99)
    return [
        Figure("holds", round(load.rate, 1), "a second", "printed", True),
        Figure("pgbench, same rows", round(ceiling, 1), "a second", "printed", True),
        Figure("share of pgbench's rate", round(share, 3), "", "at least 0.06", share >= 0.06),
        timed("hold, p99", p99, "ms", 50),
        Figure("errors", errors, "", "0", errors == 0),
        Figure("ledger replays", 1.0 if ledger.startswith("The shelf is true") else 0.0, "", "1", bool(ledger)),
    ]


def pgbench_rate(url: str) -> float:
    """Transactions a second of the committed script with 8 connections."""
    parts = urlsplit(url)
    command = [str(postgres.pgbench()), "--no-vacuum", "--file", str(SCRIPT), "--client", str(CLIENTS), "--jobs", "2"]
    command += ["--time", str(SECONDS), "--define", f"parts={PARTS - 1}", "--host", str(postgres.socket_folder(url))]
    command += ["--username", parts.username or "postgres", parts.path.lstrip("/")]
    done = subprocess.run(command, capture_output=True, text=True)
    found = re.search(r"tps = ([\d.]+)", done.stdout)
    failed = re.search(r"number of failed transactions: (\d+)", done.stdout)
    if done.returncode or found is None or (failed and int(failed[1])):
        raise RuntimeError(f"pgbench failed: {done.stdout}{done.stderr}")
    return float(found[1])
