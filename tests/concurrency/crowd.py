"""Several processes on one database at once.

Each is a fresh interpreter, not a fork: it shares no connection, no lock and no cache with the test. All wait for one
word before they begin, so that they meet.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent.parent
# Much longer than a slow machine needs: it costs only where a test fails.
LONGEST_S = 300


@dataclass(frozen=True, slots=True)
class Told:
    """What one process tells of its work: a script's own figures, what the database refused, and what went wrong."""

    done: dict[str, Any] = field(default_factory=dict)
    # Refusals that use_case() tries again: deadlocks, locks that did not come, a locked file.
    busy: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)


def run(url: str, script: str, *members: dict[str, Any], locking: bool = True) -> list[Told]:
    """Runs a function of tests.concurrency.scripts once for each member, with its words, all at the same time."""
    gates = tempfile.TemporaryDirectory(prefix="shelf-gates-")
    environment = {**os.environ, "DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": "inventory.project.settings"}
    environment |= {"CROWD_GATES": gates.name, "CROWD_LOCKING": "yes" if locking else ""}
    pipe = subprocess.PIPE
    processes = []
    try:
        for words in members:
            task = json.dumps({"script": script, "words": words, "locking": locking})
            command = [sys.executable, "-m", "tests.concurrency.member", task]
            processes.append(
                subprocess.Popen(command, cwd=ROOT, env=environment, stdin=pipe, stdout=pipe, stderr=pipe, text=True)
            )
        for process in processes:
            assert process.stdout
            if process.stdout.readline() != "ready\n":
                raise AssertionError(process.communicate()[1])
        for process in processes:
            assert process.stdin
            process.stdin.write("go\n")
            process.stdin.flush()
        told = []
        for process in processes:
            out, err = process.communicate(timeout=LONGEST_S)
            assert process.returncode == 0, err
            told.append(Told(**json.loads(out)))
        return told
    finally:
        for process in processes:
            if process.poll() is None:
                process.kill()
                process.wait()
            for stream in (process.stdin, process.stdout, process.stderr):
                if stream is not None:
                    stream.close()
        gates.cleanup()
