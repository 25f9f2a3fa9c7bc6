#!/usr/bin/env python3
"""The one door: sets up an environment of its own beside this file, then does what is asked.

    python3 start.py demo [--no-serve] [--port N]     the main job on an invented workshop, then serve it
    python3 start.py test                             every check, on SQLite and on PostgreSQL
    python3 start.py benchmark [NAME ...] [--json F]  measure, each figure beside its reach
    python3 start.py endure [NAME ...]                long runs of kills, faults and restores on both engines
    python3 start.py manage COMMAND ...               manage.py in that environment

Standard library only, so that a bare Debian with python3 can run it.
"""

from __future__ import annotations

import ctypes
import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
PYTHON = VENV / "bin" / "python"
# Where the tests look for a browser too, after CHROMIUM in the environment.
BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
LOCKS = {"run": ROOT / "requirements.lock", "develop": ROOT / "requirements-dev.lock"}


def say(text: str) -> None:
    print(f"start.py: {text}", flush=True)


def main(words: list[str]) -> int:
    if sys.version_info < (3, 11):
        say(f"Python 3.11 or newer is needed; this is {sys.version.split()[0]}.")
        return 2
    verb, rest = (words[0], words[1:]) if words else ("", [])
    # PYTHONUNBUFFERED: what a command says is seen when it says it, also through a pipe.
    os.environ.setdefault("PYTHONUNBUFFERED", "1")
    if verb == "demo":
        prepare("run")
        return run("manage.py", "demo", *rest)
    if verb == "manage":
        prepare("run")
        return run("manage.py", *rest)
    if verb == "test":
        if not os.environ.get("CHROMIUM") and not any(map(shutil.which, BROWSERS)):
            install(BROWSERS[0], "A browser for the tests")
        if not loads("libatomic.so.1"):
            install("libatomic1", "A library of the driver between tests and browser")
        prepare("develop")
        return run("-m", "tests", *rest)
    if verb == "benchmark":
        prepare("develop")
        return run("-m", "tests.benchmarks", *rest)
    if verb == "endure":
        prepare("develop")
        return run("-m", "tests.endurance", *rest)
    print(__doc__)
    return 0 if verb in {"", "help", "--help", "-h"} else 2


def run(*words: str) -> int:
    """Becomes the command, so that a signal to start.py reaches it and nothing is left running behind."""
    os.chdir(ROOT)
    sys.stdout.flush()
    os.execv(str(PYTHON), [str(PYTHON), *words])


def prepare(what: str) -> None:
    """Makes the environment hold exactly what the lock names; does nothing when it already does."""
    lock = LOCKS[what]
    wanted = hashlib.sha256(lock.read_bytes() + sys.version.encode()).hexdigest()
    stamp = VENV / f"installed-{what}"
    # The development lock contains all of the other one, so it also serves demo and manage.
    both = [stamp] if what == "develop" else [stamp, VENV / "installed-develop"]
    wishes = {stamp: wanted}
    if what == "run":
        develop = LOCKS["develop"].read_bytes() + sys.version.encode()
        wishes[both[1]] = hashlib.sha256(develop).hexdigest()
    if PYTHON.exists() and any(path.exists() and path.read_text() == wishes[path] for path in both):
        return
    if not works():
        make_venv()
    # An interrupted installation leaves no stamp behind, and an older one of the other lock is no longer true.
    for name in LOCKS:
        (VENV / f"installed-{name}").unlink(missing_ok=True)
    say(f"installing what {lock.name} names into {VENV.name} (hashes checked) ...")
    command = [str(PYTHON), "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-deps"]
    done = subprocess.run([*command, "--require-hashes", "-r", str(lock)], cwd=ROOT, stderr=subprocess.PIPE, text=True)
    if done.returncode:
        print(done.stderr, file=sys.stderr)
        say("the packages could not be installed. Is a package registry reachable? The lines above say what pip found.")
        raise SystemExit(done.returncode)
    stamp.write_text(wanted)


def works() -> bool:
    """Whether the environment exists with a working pip for this very Python."""
    if not PYTHON.exists():
        return False
    ask = "import pip, sys; print(sys.version)"
    answer = subprocess.run([str(PYTHON), "-c", ask], capture_output=True, text=True)
    return answer.returncode == 0 and answer.stdout.strip() == sys.version


def make_venv() -> None:
    """Makes .venv; on a Debian without python3-venv installs that first, or says how."""
    command = [sys.executable, "-m", "venv", "--clear", str(VENV)]
    if subprocess.run(command, capture_output=True).returncode == 0:
        return
    install(f"python{sys.version_info.major}.{sys.version_info.minor}-venv", "Python's venv module")
    subprocess.run(command, check=True)


def loads(library: str) -> bool:
    """Whether a shared library of the system is there."""
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def install(package: str, missing: str) -> None:
    """Installs a package of Debian as root; else says the line to type, and ends with 2."""
    line = f"apt-get update && apt-get install -y --no-install-recommends {package}"
    if os.geteuid() != 0 or not shutil.which("apt-get"):
        say(f"{missing} is missing. Type this once, then try again:\n    sudo sh -c '{line}'")
        raise SystemExit(2)
    say(f"{missing} is missing; installing {package} ...")
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    done = subprocess.run(["sh", "-c", line], env=quiet, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    if done.returncode:
        print(done.stderr, file=sys.stderr)
        say(f"{package} could not be installed; the lines above are apt-get's.")
        raise SystemExit(2)


if __name__ == "__main__":
    try:
        raise SystemExit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        raise SystemExit(130) from None
