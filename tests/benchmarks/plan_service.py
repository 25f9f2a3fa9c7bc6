"""POST /plans over HTTP: two sides, 24 positions, 5 shortages, a shelf of 5,000 lots."""

from __future__ import annotations

import random
import statistics
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from itertools import product
from pathlib import Path
from typing import Any

from tests.benchmarks.figures import Figure, timed
from tests.benchmarks.service import Service, serving

REQUESTS = 60
LOTS_OF_A_SIZE = 4
THICKNESSES = (0.1, 0.11, 0.12, 0.15, 0.2, 0.25, 0.3)
BORES = (8, 10, 12, 14, 16)
DIAMETERS = range(18, 54)
HEADER = "part,kind,name,od_mm,thickness_mm,bore_mm,lot,drawer,quantity,received_on,readings_mm"
HEADER += ",thread,height_mm,chamfer_mm,property_class,locking"
NUTS = [f"M12x1.25,{height},0.6,10,compound" for height in (10, 10.4, 10.8)]
COMPRESSION = [(44, 0.2), (44, 0.15), (24, 0.1), (42, 0.2), (40, 0.15), (38, 0.15), (36, 0.15), (34, 0.2), (32, 0.15)]
COMPRESSION += [(30, 0.2), (26, 0.25), (22, 0.3)]
REBOUND = [(43, 0.2), (43, 0.15), (22, 0.1), (38, 0.2), (36, 0.2), (35, 0.15), (34, 0.15), (32, 0.2), (31, 0.15)]
REBOUND += [(28, 0.2), (25, 0.25), (20, 0.3)]
SHORT = [(40, 0.15), (36, 0.15), (34, 0.15), (32, 0.2), (31, 0.15)]
ASKED = 3
# Lines of one thickness on either side: pieces of one may be another's, and the stack stays as high.
OF_COMPRESSION, PAIR = [(44, 0.2), (42, 0.2), (30, 0.2)], [(44, 0.15), (38, 0.15)]
OF_REBOUND = [(43, 0.2), (38, 0.2), (36, 0.2), (28, 0.2)]
IN_PLACE = {(38, 0.15): 4, (35, 0.15): 4, (38, 0.2): 2}  # of the same thickness as two of each short size


def run(seed: int) -> list[Figure]:
    """Each request is a whole one: key, damper, shelf, search, checks, record."""
    with stocked_service(seed) as (service, tuner, lots):
        there = expect(service.call("POST", "plans", plan(all_there=True), tuner), 200)
        short = expect(service.call("POST", "plans", plan(), tuner), 200)
        times = sorted(_timed(service, tuner, number, all_there=True) for number in range(REQUESTS))
        curved = sorted(_timed(service, tuner, number) for number in range(REQUESTS))
    lines, stand_ins = len(short["lines"]), len(short["stand_ins"])
    median, p95 = statistics.median(times), times[int(0.95 * REQUESTS)]
    median_curved, p95_curved = statistics.median(curved), curved[int(0.95 * REQUESTS)]
    worst = max(one["score_percent"] for one in short["curves"])
    return [
        Figure("lots on the shelf", lots, "", "5,000", lots >= 5000),
        Figure("positions", lines, "", "24", lines == 24),
        Figure("all there: proven best", float(there["proven_best"]), "", "1", bool(there["proven_best"])),
        timed("all there: plan, median", median, "ms", 60),
        timed("all there: plan, p95", p95, "ms", 150),
        Figure("short: positions with stand-ins", stand_ins, "", "5", stand_ins == 5),
        Figure("short: worst change of a side's curve", worst, "%", "printed", True),
        Figure("short: plan by curves, median", round(median_curved, 1), "ms", "printed", True),
        timed("short: plan by curves, p95", p95_curved, "ms", 400),
    ]


@contextmanager
def stocked_service(seed: int) -> Iterator[tuple[Service, str, int]]:
    """(service, the tuner's key, lots): a server on the shelf of this seed, with the damper on file."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with serving(f"sqlite:///{folder / 'shelf.sqlite3'}", quantity=1) as service:
            file = folder / "shelf.csv"
            lots = shelf(file, seed)
            service.manage("person", "clerk", "--role", "clerk", "--no-password")
            service.manage("load_shelf", str(file), "--person", "clerk")
            tuner = service.manage("api_key", "tuner", "--role", "tuner").splitlines()[-1]
            expect(service.call("POST", "dampers", damper(), tuner), 201)
            yield service, tuner, lots


def shelf(file: Path, seed: int) -> int:
    """Writes the opening shelf; returns how many lots it has."""
    choose = random.Random(seed)
    lines = [HEADER]
    sizes = [(od, thickness, bore) for bore in BORES for od in DIAMETERS for thickness in THICKNESSES]
    for od, thickness, bore in sizes:
        short = bore == 12 and (od, thickness) in SHORT
        for lot in range(1 if short else LOTS_OF_A_SIZE):
            shift = choose.randrange(-4, 5)
            readings = " ".join(f"{thickness + (shift + choose.randrange(-1, 2)) / 1000:.3f}" for _ in range(4))
            name = f"{od}-{bore}-{round(thickness * 1000)}"
            place = f"P{name}-{lot},D{od}-{bore}-{round(thickness * 100)},{1 if short else choose.randrange(5, 40)}"
            day = f"20{choose.randrange(22, 26)}-{choose.randrange(1, 13):02}-{choose.randrange(1, 29):02}"
            lines.append(f"P{name},shim,Shim {name},{od},{thickness},{bore},{place},{day},{readings},,,,,")
    for number, nut in enumerate(NUTS):
        lines.append(f"N{number},nut,Nut {number},,,,N{number}-0,N-{number},20,2024-01-01,,{nut}")
    file.write_text("\n".join(lines) + "\n")
    return len(lines) - 1


def plan(*, all_there: bool = False, moved: Mapping[tuple[float, float], int] | None = None) -> dict[str, Any]:
    """24 positions of three shims each, five of them short; or as high with others in place of the short pieces.

    moved: pieces of some lines where they are not three.
    """

    def side(sizes: list[tuple[int, float]]) -> list[dict[str, Any]]:
        return [{"od_mm": od, "thickness_mm": t, "quantity": number((od, t)), "bore_mm": 12} for od, t in sizes]

    def number(size: tuple[int, float]) -> int:
        if not all_there:
            return (moved or {}).get(size, ASKED)
        return 1 if size in SHORT else ASKED + IN_PLACE.get(size, 0)

    return {"damper": "BENCH", "stacks": {"compression": side(COMPRESSION), "rebound": side(REBOUND)}}


def damper() -> dict[str, Any]:
    """A damper whose lip asks for a spacer of about 0.6 mm under the stacks of plan()."""
    shims = ASKED * sum(thickness for _, thickness in [*COMPRESSION, *REBOUND])
    fixed, plate, past, on = 2.5 + 14.0, 4.0, 0.5, 0.5
    # The middle of the window is L - (H + fixed) - (plate + on - past)/2 - ... ; L puts it at 0.6 mm.
    lip = round(fixed + shims + 0.6 + (plate - past + on) / 2, 3)
    side = {"ports_inner_mm": 20, "land_outer_mm": 46, "hub_mm": 18, "other_side_feed_inner_mm": 47}
    return {
        "code": "BENCH",
        "name": "Benchmark damper",
        "valves": [
            {
                "code": "main",
                "piston_height_mm": 14.0,
                "shaft_mm": 12.0,
                "body_bore_mm": 50.0,
                "overlap_mm": 0.5,
                "base_plates": {
                    "compression": {"height_mm": 2.5, "contact_diameter_mm": 22},
                    "rebound": {"height_mm": plate, "contact_diameter_mm": 28},
                },
                "sides": {
                    "compression": {**side, "ports_outer_mm": 42},
                    "rebound": {**side, "ports_outer_mm": 38},
                },
            }
        ],
        "shaft_end": {
            "diameter_mm": 12.0,
            "hole_mm": 5.0,
            "thread": "M12x1.25",
            "hand": "right",
            "shoulder_to_lip_mm": lip,
            "on_straight_mm": on,
            "past_lip_mm": past,
            "full_thread_start_mm": lip + 1,
            "shaft_end_mm": lip + 20,
            "property_class": "8.8",
            "thread_relief": True,
            "relief_diameter_mm": 10.0,
        },
    }


def moved_pieces(number: int) -> dict[tuple[float, float], int]:
    """One of 140 stacks that differ on both sides."""
    first, pair = splits(OF_COMPRESSION), splits(PAIR)
    return first[number % len(first)] | pair[number // len(first)] | splits(OF_REBOUND)[number]


def splits(lines: Sequence[tuple[float, float]]) -> list[dict[tuple[float, float], int]]:
    """Every way to share out the pieces of these lines among them, those nearest to three each first."""
    every = product(range(1, ASKED * len(lines)), repeat=len(lines))
    as_many = [pieces for pieces in every if sum(pieces) == ASKED * len(lines)]
    return [dict(zip(lines, one, strict=True)) for one in sorted(as_many, key=lambda one: (max(one), one))]


def _timed(service: Service, tuner: str, number: int, *, all_there: bool = False) -> float:
    # a stack and a limit of its own: as much work, and nothing that a request before it has bent or searched
    stacks = plan(all_there=all_there, moved=moved_pieces(number))
    asked = {**stacks, "allow": {"curve_percent": 15 + (number + 1) / 1_000}}
    started = time.perf_counter()
    expect(service.call("POST", "plans", asked, tuner), 200)
    return (time.perf_counter() - started) * 1000


def expect(answer: tuple[int, Any], status: int) -> Any:
    """The body of an answer. Raises RuntimeError for another status."""
    if answer[0] != status:
        raise RuntimeError(f"expected {status}: {answer}")
    return answer[1]
