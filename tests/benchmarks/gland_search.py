"""Which rings in stock fit a gland: 20,000 parts, the search of the engine alone and the whole question over HTTP."""

from __future__ import annotations

import random
import statistics
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np

from compat.engineering.seals.gland import Gland, Rings
from compat.engineering.seals.gland_readings import with_width
from compat.engineering.seals.ring import Ring
from compat.engineering.seals.search import rank
from compat.engineering.seals.sizes import known
from compat.engineering.units import Range
from tests.benchmarks.figures import Figure, timed
from tests.benchmarks.plan_service import expect
from tests.benchmarks.service import serving
from tests.compat.questions.readings import COMPOUNDS, Json, gland_of

PARTS = 20_000
GLANDS = 60
OIL = {"fluid": "mineral_oil", "temperature_c": 80, "coldest_c": 0, "pressure_mpa": 2.0}
MOST = 10
HEADER = "part,kind,name,size,ring_id_mm,section_mm,ring_id_tolerance_mm,section_tolerance_mm,compound,hardness,"
HEADER += "lot,drawer,quantity,cure_date"
METRIC_SECTIONS = (1.5, 1.6, 2.0, 2.4, 2.5, 3.0, 3.1, 3.5, 4.0, 5.0, 5.7, 6.0)


def run(seed: int) -> list[Figure]:
    """Half of the parts are sizes of AS568 in some compound, half metric rings with the tolerances of their maker."""
    draw = random.Random(seed)
    listed = [_ring(draw) for _ in range(PARTS)]
    glands = [gland_of(draw, draw.choice(list(known().values())[20:])) for _ in range(GLANDS)]
    rings = Rings.of(*(ring for _, ring in listed))
    alone = []
    for told, motion in glands:
        gland = _gland(told)
        start = time.perf_counter()
        rank(rings, gland, motion, MOST)
        alone.append((time.perf_counter() - start) * 1000)
    asked, offered, searched = _over_http(draw, listed, glands)
    median, p95 = statistics.median(asked), sorted(asked)[int(0.95 * GLANDS)]
    engine, engine_p95 = statistics.median(alone), sorted(alone)[int(0.95 * GLANDS)]
    return [
        Figure("rings searched", searched, "", f"{PARTS:,}", searched == PARTS),
        timed("engine alone over all rings, median", engine, "ms", 50, digits=2),
        Figure("engine alone over all rings, p95", round(engine_p95, 2), "ms", "printed", True),
        Figure("rings offered (at most 10), median", offered, "", "at least 1", offered >= 1),
        timed("whole question over HTTP, median", median, "ms", 100),
        Figure("whole question over HTTP, p95", round(p95, 1), "ms", "printed", True),
    ]


def _ring(draw: random.Random) -> tuple[str, Ring]:
    """(the dash number or `none`, the ring)."""
    if draw.random() < 0.5:
        dash, ring = draw.choice(list(known().items()))
        return f"{dash:03}", ring
    inner, section = round(draw.uniform(3, 250), 1), draw.choice(METRIC_SECTIONS)
    about = 0.1 + round(0.006 * inner, 2)
    return "none", Ring(Range.around(inner, about), Range.around(section, 0.09))


def _row(draw: random.Random, number: int, size: str, ring: Ring) -> str:
    inner, section = ring.id_mm, ring.section_mm
    stated = size == "none" or draw.random() < 0.2
    spread = [f"{one.high - one.nominal:.3f}" if stated else "" for one in (inner, section)]
    cured = f"{draw.randrange(2014, 2026)}-Q{draw.randrange(1, 5)}"
    lengths = f"{inner.nominal:.3f},{section.nominal:.3f},{','.join(spread)}"
    place = f"R{number},D{number % 500},{draw.randrange(1, 90)}"
    return f"OR{number},oring,O-ring {number},{size},{lengths},{draw.choice(COMPOUNDS)},70,{place},{cured}"


def _gland(told: Json) -> Gland:
    sizes: dict[str, Any] = {
        name: Range.between(size["min"], size["max"]) for name, size in told.items() if isinstance(size, dict)
    }
    return with_width(Gland(told["kind"], **sizes, pressure_from=told.get("pressure_from")))[0]


def _over_http(
    draw: random.Random, listed: list[tuple[str, Ring]], glands: list[tuple[Json, str]]
) -> tuple[list[float], float, int]:
    """(milliseconds of each request, rings offered, rings searched)."""
    with tempfile.TemporaryDirectory() as name:
        file = Path(name) / "shelf.csv"
        rows = [_row(draw, number, size, ring) for number, (size, ring) in enumerate(listed)]
        file.write_text("\n".join([HEADER, *rows]) + "\n")
        with serving(f"sqlite:///{Path(name) / 'shelf.sqlite3'}", quantity=1) as service:
            service.manage("person", "clerk", "--role", "clerk", "--no-password")
            service.manage("load_shelf", str(file), "--person", "clerk")
            times, offered, searched = [], [], 0
            for gland, motion in glands:
                body = {"gland": gland, "motion": motion, **OIL, "most": MOST}
                start = time.perf_counter()
                answer = expect(service.call("POST", "fit/rings-for-gland", body, service.clerk), 200)
                times.append((time.perf_counter() - start) * 1000)
                offered.append(len(answer["values"]["rings"]))
                searched = max(searched, answer["values"]["searched"])
    return times, float(np.median(offered)), searched
