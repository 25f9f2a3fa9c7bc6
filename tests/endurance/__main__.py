"""`python3 start.py endure [NAME ...]`: long runs on both engines; each prints its figures and ends with 1 at a fault.

holds      HOLDS commands for the same few pieces, with lost, doubled and late requests and killed workers: what was
           told has one serial explanation
kills      KILLS workers, and PostgreSQL under them, killed in the middle of a write: nothing lost, nothing half
migrate    `migrate` to the newest tables and again, with 8 writers at work
upgrade    each older database of fixtures/databases brought up to date, with 8 writers at work
restore    a copy made among 8 writers and put back: what was answered before it is there, and a storefront that was
           ahead is told so
"""

from __future__ import annotations

import argparse
import secrets
import sys
import time
from collections.abc import Callable
from functools import partial

from rich.console import Console

from tests.benchmarks.__main__ import table
from tests.benchmarks.figures import Figure
from tests.endurance import holds, kills, restores, upgrades
from tests.endurance.places import ENGINES

NAMES = ("holds", "kills", "migrate", "upgrade", "restore")
# What is no figure of time is as it is on any machine.
FACTOR = 1.0


def main() -> int:
    form = argparse.RawDescriptionHelpFormatter
    reader = argparse.ArgumentParser(prog="start.py endure", description=__doc__, formatter_class=form)
    reader.add_argument("names", nargs="*", metavar="NAME", help=f"which ones: {', '.join(NAMES)}; all when left out")
    reader.add_argument("--engine", choices=ENGINES, help="the one engine; both, one after the other, when left out")
    reader.add_argument("--holds", type=int, default=100_000, metavar="N", help="commands of `holds` (100000)")
    reader.add_argument("--kills", type=int, default=200, metavar="N", help="kills of `kills` (200)")
    reader.add_argument("--server-kills", type=int, default=12, metavar="N", help="of them PostgreSQL's own (12)")
    reader.add_argument("--writes", type=int, default=400, metavar="N", help="commands answered in each step (400)")
    reader.add_argument("--minutes", type=float, help="end `holds` and `kills` early, each after so long; then exit 1")
    reader.add_argument("--seed", type=int, help="the seed of what is drawn; fresh when left out, and printed")
    words = reader.parse_args()
    if unknown := sorted(set(words.names) - set(NAMES)):
        reader.error(f"there is no run {', '.join(unknown)}; there are: {', '.join(NAMES)}")
    seed = secrets.randbelow(2**31) if words.seed is None else words.seed
    console = Console()
    console.print(f"seed {seed}")
    every = True
    for name in words.names or NAMES:
        for engine in [words.engine] if words.engine else ENGINES:
            started = time.monotonic()
            until = float("inf") if words.minutes is None else started + 60 * words.minutes
            runs: dict[str, Callable[[], list[Figure]]] = {
                "holds": partial(holds.run, engine, holds=words.holds, seed=seed, until=until),
                "kills": partial(
                    kills.run, engine, kills=words.kills, server_kills=words.server_kills, seed=seed, until=until
                ),
                "migrate": partial(upgrades.run_newest, engine, writes=words.writes, seed=seed),
                "upgrade": partial(upgrades.run_older, engine, writes=words.writes, seed=seed),
                "restore": partial(restores.run, engine, writes=words.writes, seed=seed),
            }
            found = runs[name]()
            every = every and all(figure.ok for figure in found)
            console.print(table(f"{name} on {engine}", found, FACTOR, time.monotonic() - started))
    return 0 if every else 1


if __name__ == "__main__":
    try:
        sys.exit(main())
    except KeyboardInterrupt:
        sys.exit(130)
