"""The demo, as a newcomer runs it: in a fresh copy of the project, twice."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest
from rich.console import Console

from compat.demo import telling
from compat.plans.answered import AnsweredPlan
from tests import snapshots

ROOT = Path(__file__).resolve().parent.parent.parent
LEFT_OUT = shutil.ignore_patterns(".git", ".venv", "var", "__pycache__", ".*_cache", ".hypothesis", "screenshots")


def demo(copy: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    own = {name: value for name, value in os.environ.items() if not name.startswith(("SHIMSHELF_", "DATABASE_URL"))}
    return subprocess.run(
        [sys.executable, "manage.py", "demo", "--no-serve"],
        cwd=copy,
        env={**own, **environment},
        capture_output=True,
        text=True,
    )


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The project without what git ignores."""
    folder = tmp_path_factory.mktemp("fresh") / "copy"
    shutil.copytree(ROOT, folder, ignore=LEFT_OUT)
    return folder


@pytest.fixture(scope="module")
def twice(copy: Path) -> list[str]:
    """What two runs of the demo print."""
    runs = [demo(copy), demo(copy)]
    assert [run.returncode for run in runs] == [0, 0], runs[0].stderr + runs[1].stderr
    return [run.stdout for run in runs]


def test_the_second_run_prints_what_the_first_did(twice: list[str]) -> None:
    assert twice[0] == twice[1]


def test_it_shows_the_main_job(twice: list[str]) -> None:
    """Plan with stand-ins and spacer, the wrong nut refused, the parts held, the ledger true."""
    said = twice[0]
    for words in ("OK  FITS", "stand-in for 0.15", "under the rebound base plate", "Take ", "XX  DOES NOT FIT"):
        assert words in said
    assert "pieces in" in said and "are held for J-2026-0187" in said
    assert said.rstrip().endswith("Yes: every balance and every hold is explained by its movements.")


def test_the_shelf_it_leaves_is_true_and_as_large_as_promised(copy: Path, twice: list[str]) -> None:
    """500 shim sizes, 1,500 lots, 40 nuts, 12 damper models."""
    with sqlite3.connect(copy / "var" / "demo" / "shelf.sqlite3") as shelf:
        count = {
            name: shelf.execute(f"SELECT COUNT(*) FROM inventory_{name}").fetchone()[0]
            for name in ("shim", "lot", "nut", "dampermodel", "savedstack")
        }
    assert count["shim"] >= 500 and count["lot"] >= 1500 and count["nut"] >= 40
    assert count["dampermodel"] == 12 and count["savedstack"] >= 12
    own = {**os.environ, "SHIMSHELF_DEMO": "yes"}
    for name in ("SHIMSHELF_SECRET_KEY", "DATABASE_URL"):
        own.pop(name, None)
    checked = subprocess.run([sys.executable, "manage.py", "check_ledger"], cwd=copy, env=own, capture_output=True)
    assert checked.returncode == 0 and checked.stdout.startswith(b"The shelf is true")


def test_it_refuses_a_database_that_holds_other_data(copy: Path, tmp_path: Path) -> None:
    of_a_shop = sorted(snapshots.FOLDER.glob("*.sqlite3.gz"))[-1]
    refused = demo(copy, DATABASE_URL=snapshots.restore_sqlite(of_a_shop, tmp_path))
    assert refused.returncode != 0
    assert "holds other data" in refused.stderr


def test_without_settings_a_command_says_which_variable_to_set(copy: Path) -> None:
    own = {name: value for name, value in os.environ.items() if not name.startswith("SHIMSHELF_")}
    done = subprocess.run([sys.executable, "manage.py", "check"], cwd=copy, env=own, capture_output=True, text=True)
    assert done.returncode == 2
    assert "SHIMSHELF_SECRET_KEY" in done.stderr and "Traceback" not in done.stderr


def test_a_nut_whose_place_is_not_known_is_told_without_one() -> None:
    """As on a demo that was loaded by an older version: its model tells less."""
    lot = SimpleNamespace(drawer="N-04-06", lot="L-1")
    question = {"nut": {"underside_mm": None}}
    values = {"engagement_mm": {"available": None}}
    nut = SimpleNamespace(part="NU-1", lots=(lot,), question=question, values=values)
    console = Console(record=True, width=120)
    telling.nut(console, cast(AnsweredPlan, SimpleNamespace(nut=nut)))
    assert "Take 1 of NU-1 from drawer N-04-06, lot L-1." in (said := console.export_text())
    assert "Where it sits is not known; see the findings." in said
