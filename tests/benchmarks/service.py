"""A running service with a stocked shelf, and many clients at once; used by the benchmarks of holds."""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import random
import secrets
import socket
import subprocess
import sys
import threading
import time
import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent.parent
HOST = "127.0.0.1"
WORKERS = 4
PARTS = 40
START_S = 30.0


@dataclass
class Service:
    """Where it listens and the keys for it."""

    port: int
    environment: dict[str, str]
    clerk: str
    storefront: str

    def call(self, method: str, path: str, body: Any, key: str) -> tuple[int, Any]:
        """One request on a connection of its own."""
        connection = http.client.HTTPConnection(HOST, self.port, timeout=30)
        headers = {
            "Authorization": f"Bearer {key}",
            "Content-Type": "application/json",
            "Idempotency-Key": uuid.uuid4().hex,
        }
        connection.request(method, f"/api/v1/{path}", json.dumps(body) if body is not None else None, headers)
        answer = connection.getresponse()
        content = answer.read()
        connection.close()
        return answer.status, json.loads(content)

    def manage(self, *words: str) -> str:
        """Runs a management command against the service's database."""
        return manage(self.environment, *words)


@dataclass
class Load:
    """What many clients saw."""

    seconds: float = 0.0
    statuses: dict[int, int] = field(default_factory=dict)
    times: list[float] = field(default_factory=list)

    @property
    def rate(self) -> float:
        return self.statuses.get(201, 0) / self.seconds

    def quantile_ms(self, share: float) -> float:
        ordered = sorted(self.times)
        return 1000 * ordered[min(len(ordered) - 1, int(share * len(ordered)))]


@contextlib.contextmanager
def serving(database_url: str, *, quantity: int) -> Iterator[Service]:
    """gunicorn with 4 workers on a migrated database whose PARTS parts have `quantity` pieces each."""
    environment = {
        **{name: value for name, value in os.environ.items() if not name.startswith("SHIMSHELF_")},
        "DATABASE_URL": database_url,
        "SHIMSHELF_SECRET_KEY": secrets.token_urlsafe(32),
        "SHIMSHELF_REQUESTS_PER_MINUTE": "100000000",
        "SHIMSHELF_POOL_SIZE": "2",
    }
    manage(environment, "migrate", "--verbosity", "0")
    keys = [manage(environment, "api_key", role, "--role", role).splitlines()[-1] for role in ("clerk", "storefront")]
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "gunicorn", "inventory.project.wsgi", "--workers", str(WORKERS)]
    command += ["--bind", f"{HOST}:{port}", "--log-level", "error"]
    server = subprocess.Popen(command, cwd=ROOT, env=environment)
    try:
        service = Service(port, environment, *keys)
        await_port(port)
        _stock(service, quantity)
        yield service
    finally:
        server.terminate()
        server.wait(timeout=20)


def hold_for(service: Service, *, seconds: float, clients: int, seed: int) -> Load:
    """`clients` connections that make holds of two parts, one after the other, for some seconds."""
    load, lock, stop_at = Load(), threading.Lock(), time.monotonic() + seconds

    def one(number: int) -> None:
        choose = random.Random(f"{seed}/{number}")
        statuses: dict[int, int] = {}
        times = []
        while time.monotonic() < stop_at:
            parts = choose.sample(range(PARTS), 2)
            body = {"lines": [{"part": part_number(part), "quantity": 1} for part in parts]}
            started = time.perf_counter()
            status = post_hold(service, body)
            times.append(time.perf_counter() - started)
            statuses[status] = statuses.get(status, 0) + 1
        with lock:
            load.times += times
            for status, count in statuses.items():
                load.statuses[status] = load.statuses.get(status, 0) + count

    threads = [threading.Thread(target=one, args=(number,)) for number in range(clients)]
    started = time.monotonic()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    load.seconds = time.monotonic() - started
    return load


def post_hold(service: Service, body: Any) -> int:
    """The status of one POST /holds, by a bare socket: the client shares the machine and must not be measured too."""
    content = json.dumps(body).encode()
    head = (
        f"POST /api/v1/holds HTTP/1.1\r\nHost: {HOST}\r\nAuthorization: Bearer {service.storefront}\r\n"
        f"Idempotency-Key: {uuid.uuid4().hex}\r\nContent-Type: application/json\r\n"
        f"Content-Length: {len(content)}\r\nConnection: close\r\n\r\n"
    )
    with socket.create_connection((HOST, service.port), timeout=30) as connection:
        connection.sendall(head.encode() + content)
        answer = b""
        while piece := connection.recv(65536):
            answer += piece
    return int(answer.split(b" ", 2)[1])


def part_number(index: int) -> str:
    """The number of a benchmark's part."""
    return f"BENCH-{index:03d}"


def manage(environment: dict[str, str], *words: str) -> str:
    """Runs manage.py; raises with its output when it fails."""
    command = [sys.executable, "manage.py", *words]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True)
    if done.returncode:
        raise RuntimeError(f"{' '.join(words)}: {done.stderr}")
    return done.stdout.strip()


def await_port(port: int) -> None:
    give_up = time.monotonic() + START_S
    while time.monotonic() < give_up:
        with contextlib.suppress(OSError), socket.create_connection((HOST, port), timeout=1):
            return
        time.sleep(0.1)
    raise RuntimeError("the service did not start")


def _stock(service: Service, quantity: int) -> None:
    _expect(service.call("POST", "deliveries", {"number": "BENCH"}, service.clerk))
    for index in range(PARTS):
        sizes = {"od_mm": 20 + index, "thickness_mm": 0.15, "bore_mm": 12}
        part = {"number": part_number(index), "kind": "shim", "name": "Shim", "sizes": sizes}
        _expect(service.call("POST", "parts", part, service.clerk))
        line = {"part": part_number(index), "lot": f"L{index}", "drawer": f"D{index}", "quantity": quantity}
        _expect(service.call("POST", "deliveries/1/lines", line, service.clerk))


def _expect(answer: tuple[int, Any]) -> None:
    if answer[0] != 201:
        raise RuntimeError(f"stocking the shelf failed: {answer}")
