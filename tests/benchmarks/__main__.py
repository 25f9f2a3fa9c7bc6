"""`python3 start.py benchmark [NAME ...] [--json FILE] [--seed N]`: prints each figure beside its reach."""

from __future__ import annotations

import argparse
import importlib
import json
import os
import platform
import secrets
import sys
import time
from dataclasses import asdict
from pathlib import Path

from rich.console import Console
from rich.table import Table

from tests.benchmarks.figures import LOOP, REFERENCE_S, Figure, calibration, factor_of

NAMES = (
    "fit_questions",
    "gland_search",
    "size_search",
    "spacer_search",
    "bending",
    "plan_search",
    "curve_search",
    "plan_service",
    "today",
    "pages",
    "holds_postgresql",
    "holds_sqlite",
    "opening_shelf",
    "shelf_growth",
)


def main() -> int:
    reader = argparse.ArgumentParser(prog="start.py benchmark", description=__doc__)
    reader.add_argument("names", nargs="*", metavar="NAME", help=f"which ones: {', '.join(NAMES)}; all when left out")
    reader.add_argument("--json", type=Path, metavar="FILE", help="also write the figures as JSON")
    reader.add_argument("--seed", type=int, help="the seed of random cases; fresh when left out, and printed")
    words = reader.parse_args()
    unknown = sorted(set(words.names) - set(NAMES))
    if unknown:
        reader.error(f"there is no benchmark {', '.join(unknown)}; there are: {', '.join(NAMES)}")
    seed = secrets.randbelow(2**31) if words.seed is None else words.seed
    machine = {
        "cores": os.cpu_count(),
        "python": platform.python_version(),
        "reference_s": REFERENCE_S,
        "seed": seed,
    }
    console = Console()
    console.print(
        f"{machine['cores']} cores, Python {machine['python']}, seed {seed}. Reaches of time are those of a machine"
        f" where a loop of {LOOP:,} additions takes {REFERENCE_S} s, times the factor by which it takes longer here."
    )
    results: list[tuple[str, Figure]] = []
    for name in words.names or NAMES:
        started, before = time.monotonic(), calibration()
        measured = importlib.import_module(f"tests.benchmarks.{name}").run(seed)
        factor = factor_of(before, calibration())
        found = [figure.at(factor) for figure in measured]
        results += [(name, figure) for figure in found]
        console.print(table(name, found, factor, time.monotonic() - started))
    if words.json:
        figures = [{"benchmark": name, **asdict(figure)} for name, figure in results]
        words.json.write_text(json.dumps({"machine": machine, "figures": figures}, indent=1) + "\n")
    return 0 if all(figure.ok for _, figure in results) else 1


def table(name: str, figures: list[Figure], factor: float, seconds: float) -> Table:
    """The figures of one benchmark."""
    title = f"{name} ({seconds:.0f} s; factor {factor:.2f})"
    shown = Table("figure", "measured", "", "reach", "reach here", "", title=title, title_justify="left")
    for one in figures:
        here = "" if one.scaled is None else f"{one.scaled:.4g}"
        shown.add_row(one.name, f"{one.figure:g}", one.unit, one.reach, here, "ok" if one.ok else "NOT REACHED")
    return shown


if __name__ == "__main__":
    sys.exit(main())
