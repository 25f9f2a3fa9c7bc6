"""The PostgreSQL of the tests: on a socket alone, and gone when its user is gone, however that happened."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import psycopg

from tests import postgres
from tests.house.project import ROOT

USER = """
import sys
from tests import postgres
with postgres.running() as url:
    print(url, flush=True)
    sys.stdin.read()
"""
WITHIN_S = 120


def comes(true: Callable[[], bool]) -> bool:
    """Whether it becomes true within WITHIN_S."""
    end = time.monotonic() + WITHIN_S
    while not true():
        if time.monotonic() > end:
            return False
        time.sleep(0.05)
    return True


def alive(pid: int) -> bool:
    try:
        # A process that has ended and that nobody has waited for yet is a zombie, Z.
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


def server_of(url: str) -> int:
    return int((postgres.socket_folder(url) / "data" / "postmaster.pid").read_text().split()[0])


def test_a_killed_user_leaves_no_server_and_no_folder() -> None:
    pipe = subprocess.PIPE
    with subprocess.Popen([sys.executable, "-c", USER], cwd=ROOT, stdin=pipe, stdout=pipe, text=True) as user:
        assert user.stdout
        url = user.stdout.readline().strip()
        server, folder = server_of(url), postgres.socket_folder(url)
        assert alive(server)
        user.kill()
    assert comes(lambda: not alive(server))
    assert comes(lambda: not folder.exists())


def test_the_server_listens_on_its_socket_alone_and_goes_with_the_block() -> None:
    with postgres.running(durable=True) as url:
        server, folder = server_of(url), postgres.socket_folder(url)
        with psycopg.connect(url) as connection:
            shown = connection.execute(
                "SELECT current_setting('listen_addresses'), current_setting('fsync'),"
                " current_setting('synchronous_commit'), current_setting('server_version_num')::int / 10000"
            ).fetchone()
        assert shown == ("", "on", "on", 18)
        assert folder.stat().st_mode & 0o077 == 0
        assert os.access(postgres.pgbench(), os.X_OK)
    assert not alive(server)
    assert not folder.exists()
