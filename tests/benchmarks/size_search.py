"""Which part is this, by what was measured of it: 20,000 shims, the whole question over HTTP."""

from __future__ import annotations

import random
import statistics
import tempfile
import time
from pathlib import Path

from tests.benchmarks.figures import Figure, timed
from tests.benchmarks.plan_service import expect
from tests.benchmarks.service import serving

PARTS = 20_000
TIMES = 15
HEADER = "part,kind,name,od_mm,thickness_mm,bore_mm,lot,drawer,quantity"
TEXTS = ("shim 30 x 0.15", "shim od 30", "30 x 0.15", "about 30", "ring 44 x 3.5", "nut 19 across flats, 1.25")


def run(seed: int) -> list[Figure]:
    """Shims of many sizes; each text is asked some times, in random order."""
    draw = random.Random(seed)
    asked = [text for text in TEXTS for _ in range(TIMES)]
    draw.shuffle(asked)
    times, found = [], 0
    with tempfile.TemporaryDirectory() as name:
        file = Path(name) / "shelf.csv"
        file.write_text("\n".join([HEADER, *(_row(number) for number in range(PARTS))]) + "\n")
        with serving(f"sqlite:///{Path(name) / 'shelf.sqlite3'}", quantity=1) as service:
            service.manage("person", "clerk", "--role", "clerk", "--no-password")
            service.manage("load_shelf", str(file), "--person", "clerk")
            for text in asked:
                start = time.perf_counter()
                answer = expect(service.call("POST", "fit/parts-by-size", {"text": text}, service.clerk), 200)
                times.append((time.perf_counter() - start) * 1000)
                found = max(found, len(answer["values"]["parts"]))
    median, p95 = statistics.median(times), sorted(times)[int(0.95 * len(times))]
    return [
        Figure("parts listed, at most", found, "", "50", found == 50),
        timed("whole question over HTTP, median", median, "ms", 100),
        Figure("whole question over HTTP, p95", round(p95, 1), "ms", "printed", True),
    ]


def _row(number: int) -> str:
    """Diameters in half millimetres, bores from 6 to 14 mm, thicknesses a micrometre apart: every size its own."""
    outer, bore = 18 + number % 40 / 2, 6 + number // 40 % 5 * 2
    return f"Z{number},shim,Shim {number},{outer},{0.1 + number // 200 / 1000:.3f},{bore},Z{number},Z{number % 400},5"
