"""Every page on the demo shelf and on 5,000 lots: the server's own time, and what a cold browser fetches first."""

from __future__ import annotations

import contextlib
import json
import os
import re
import secrets
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from http.cookiejar import CookieJar
from itertools import count, product
from pathlib import Path
from typing import Any
from urllib.error import HTTPError
from urllib.parse import quote, urlencode

from tests.benchmarks import plan_service
from tests.benchmarks.figures import Figure, timed
from tests.benchmarks.service import ROOT, await_port, manage

HOST = "127.0.0.1"
ROUNDS = 15
DEMO_MS, LARGE_MS, COLD_KB = 60, 120, 200
FIXTURES = ROOT / "fixtures" / "demo"
# The whole answer, with what stands in: as long as a plan by curves may take (plan_service), half on the demo shelf.
WHOLE_MS = {DEMO_MS: 200, LARGE_MS: 400}
WITHOUT_SCRIPT, STANDS_IN = "bench, the whole answer without script", "bench, what stands in"
# Asked for with another stack each time, on the side that is short of as many pieces, which no server has bent before:
# as much work, and nothing remembered. A first word bends nothing, so it may have the same ones.
ANEW = (WITHOUT_SCRIPT, STANDS_IN)
FIRST = "bench, a changed line"
# And with another limit each time, which no server has searched by before; the curves are remembered.
LIMITED = "bench, what stands in within another limit"
LIMITS = (f"{15 + number / 10_000:.4f}" for number in count())
OPENED = "bench, the whole page anew"  # a recorded plan put back, of another stack each time
# What says that stand-ins are still looked for, and no other page.
HALVES = ("bench, a saved stack", OPENED, FIRST, "bench, the same line again")
ROUND_IT = (0, 2, 3, 5)  # lines of the compression side, all of one thickness, around the one that the shelf lacks
PIECES = range(6, 9)  # of them together, 7 in the stack as it is
THIN = (2, 3, 4)  # lines of the rebound side


def others(side: str, lines: tuple[int, ...], pieces: range) -> Iterator[dict[str, str]]:
    """Other counts of some lines, so many pieces together."""
    return (
        {f"main-{side}-{line}-count": str(number) for line, number in zip(lines, counts, strict=True)}
        for counts in product(range(1, pieces.stop), repeat=len(lines))
        if sum(counts) in pieces
    )


STACKS, FIRST_STACKS = others("compression", ROUND_IT, PIECES), others("compression", ROUND_IT, PIECES)
ASKED = {"damper": "QU-46-A", "stand_ins": "on", "spacer": "on"}


@dataclass
class Visitor:
    """A signed-in browser without a screen."""

    address: str

    def __post_init__(self) -> None:
        self.opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
        self.token = ""
        self.at = ""

    def get(self, path: str) -> str:
        with self.opener.open(self.address + path, timeout=60) as reply:
            text: str = reply.read().decode()
        found = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', text)
        self.token = found[1] if found else self.token
        return text

    def post(self, path: str, fields: dict[str, str]) -> str:
        body = urlencode({**fields, "csrfmiddlewaretoken": self.token}).encode()
        headers = {"HX-Request": "true", "Referer": self.address}
        request = urllib.request.Request(self.address + path, body, headers)
        try:
            with self.opener.open(request, timeout=60) as reply:
                self.at = reply.headers.get("HX-Redirect", "")
                return str(reply.read().decode())
        except HTTPError as error:
            raise RuntimeError(f"{path}: {error.code} {error.read()[:300]!r}") from None

    def sign_in(self, name: str) -> None:
        self.get("/sign-in")
        self.post("/sign-in", {"username": name, "password": "oily-hands-2026"})


def run(seed: int) -> list[Figure]:
    """The median of each page; the reach is for the slowest of them."""
    found = []
    with tempfile.TemporaryDirectory() as name, served(Path(name)) as (address, environment):
        visitor = Visitor(address)
        visitor.sign_in("ottla")
        cold = cold_kilobytes(address)
        kept = keep(visitor)
        found += measured(visitor, "demo shelf", DEMO_MS, kept)
        file = Path(name) / "shelf.csv"
        lots = plan_service.shelf(file, seed)
        manage(environment, "load_shelf", str(file), "--person", "pim")
        found += [Figure("further lots", lots, "", "5,000", lots >= 5000)]
        found += measured(visitor, "5,000 lots more", LARGE_MS, kept)
    return [*found, Figure("first page, cold", round(cold, 1), "kB", f"under {COLD_KB}", cold < COLD_KB)]


def keep(visitor: Visitor) -> list[str]:
    """Keeps as many plans as pages are opened, each of another stack; their addresses on the bench."""
    typed = {**ASKED, **rows(scenario()["plan"]["stacks"]), "do": "plan"}
    found = []
    visitor.get("/bench?damper=QU-46-A")
    for number, stack in zip(range(ROUNDS), others("rebound", THIN, range(5, 9)), strict=False):
        visitor.post("/bench", {**typed, **stack, "once": f"kept-{number}"})
        found.append(f"/bench?plan={visitor.at.rpartition('/')[2]}")
    return found


def measured(visitor: Visitor, where: str, most_ms: int, kept: list[str]) -> list[Figure]:
    """A figure for each page."""
    figures = []
    for name, path, fields in pages(visitor):
        times = []
        for number in range(ROUNDS):
            more = {"curve_percent": next(LIMITS)} if name == LIMITED else {}
            more = next(STACKS) if name in ANEW else next(FIRST_STACKS) if name == FIRST else more
            address, sent = kept[number] if name == OPENED else path, fields and {**fields, **more}
            started = time.perf_counter()
            text = visitor.get(address) if sent is None else visitor.post(address, sent)
            times.append(1000 * (time.perf_counter() - started))
            if ("data-half" in text) != (name in HALVES):
                raise RuntimeError(f"{name}: not what it is measured for")
        most = WHOLE_MS[most_ms] if name in (*ANEW, LIMITED) else most_ms
        figures.append(timed(f"{where}: {name}", statistics.median(times), "ms", most))
    return figures


def pages(visitor: Visitor) -> Iterator[tuple[str, str, dict[str, str] | None]]:
    """(what, address, fields where it is sent) of every page and fragment."""
    yield "sign in", "/sign-in", None
    yield "start", "/", None
    yield "shelf", "/shelf?bore=12", None
    yield "nuts", "/shelf?kind=nut", None
    yield "find a size", "/find?q=34x0.15", None
    yield "find nothing", "/find?q=nothing+like+it", None
    lines = (FIXTURES / "shelf.csv").read_text().splitlines()
    part, lot, drawer = next(line for line in lines if ",34,0.15,12," in line).split(",")[0], "L00838", "D-10-03"
    yield "part", f"/parts/{quote(part)}", None
    yield "lot", f"/lots/{lot}", None
    yield "drawer", f"/drawers/{drawer}", None
    yield "take in", "/take-in", None
    yield "opening shelf", "/take-in/opening", None
    yield "dampers", "/dampers", None
    yield "damper", "/dampers/QU-46-A", None
    yield "edit a damper", "/dampers/QU-46-A/edit", None
    yield "fit desk", "/fit", None
    yield "nut on shaft", "/fit/nut-on-shaft", None
    yield "face shim", "/fit/face-shim", None
    yield "stack", "/fit/stack", None
    yield "spacer", "/fit/spacer", None
    yield "bench, a saved stack", "/bench?damper=QU-46-A&stack=Long%20trail", None
    typed = {**ASKED, **rows(scenario()["plan"]["stacks"])}
    yield OPENED, "/bench", None
    yield FIRST, "/bench/answer", typed
    yield STANDS_IN, "/bench/answer", {**typed, "whole": "yes"}
    yield LIMITED, "/bench/answer", {**typed, "whole": "yes"}
    yield "bench, the same line again", "/bench/answer", typed
    yield "bench, what stands in again", "/bench/answer", {**typed, "whole": "yes"}
    yield WITHOUT_SCRIPT, "/bench", {**typed, "do": "show"}
    yield "plan", "/plans/1", None
    yield "hold", "/holds/1", None


def scenario() -> dict[str, Any]:
    """The demo workshop's job."""
    found: dict[str, Any] = json.loads((FIXTURES / "scenario.json").read_text())
    return found


def rows(stacks: dict[str, list[dict[str, float]]]) -> dict[str, str]:
    """Stacks as the bench sends them."""
    return {
        f"main-{side}-{index}-{cell}": f"{line[name]:g}"
        for side, lines in stacks.items()
        for index, line in enumerate(lines)
        for cell, name in (("od", "od_mm"), ("thickness", "thickness_mm"), ("count", "quantity"))
    }


def cold_kilobytes(address: str) -> float:
    """What a browser that has nothing fetches for the first page: the page and all that its head and body name."""
    stranger = Visitor(address)
    text = stranger.get("/sign-in")
    linked = set(re.findall(r'(?:href|src)="(/static/[^"]+)"', text))
    sizes = [len(text.encode())]
    for path in sorted(linked):
        with urllib.request.urlopen(address + path, timeout=60) as reply:
            sizes.append(len(reply.read()))
    return sum(sizes) / 1000


@contextlib.contextmanager
def served(folder: Path) -> Iterator[tuple[str, dict[str, str]]]:
    """The demo workshop behind gunicorn, as `demo` serves it; its address and environment."""
    environment = {
        **{name: value for name, value in os.environ.items() if not name.startswith("SHIMSHELF_")},
        "DATABASE_URL": f"sqlite:///{folder / 'shelf.sqlite3'}",
        "SHIMSHELF_SECRET_KEY": secrets.token_urlsafe(32),
        "SHIMSHELF_DEMO": "yes",
    }
    manage(environment, "demo", "--no-serve")
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "gunicorn", "inventory.project.wsgi", "--workers", "2"]
    command += ["--bind", f"{HOST}:{port}", "--log-level", "error"]
    server = subprocess.Popen(command, cwd=ROOT, env=environment)
    try:
        await_port(port)
        yield f"http://{HOST}:{port}", environment
    finally:
        server.terminate()
        server.wait(timeout=20)
