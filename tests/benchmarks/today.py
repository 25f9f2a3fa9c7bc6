"""GET /buildable over HTTP: 200 saved stacks against a shelf of 5,000 lots."""

from __future__ import annotations

import random
import statistics
import time

from tests.benchmarks.figures import Figure, timed
from tests.benchmarks.plan_service import expect, plan, stocked_service

STACKS = 200
REQUESTS = 5


def run(seed: int) -> list[Figure]:
    """Stacks of 24 positions each, two or three of a size; about half of them are short of something."""
    random_ = random.Random(seed)
    with stocked_service(seed) as (service, tuner, lots):
        for number in range(STACKS):
            stacks = plan()["stacks"]
            for lines in stacks.values():
                # every second stack leaves the short sizes out
                lines[:] = [
                    {**line, "quantity": random_.randint(2, 3)}
                    for line in lines
                    if number % 2 or (line["quantity"] and random_.random() < 0.8)
                ]
            sent = {"name": f"Stack {number}", "valve": "main", "stacks": stacks}
            expect(service.call("POST", "dampers/BENCH/stacks", sent, tuner), 201)
        times = []
        for _ in range(REQUESTS):
            start = time.perf_counter()
            answer = expect(service.call("GET", "buildable", None, tuner), 200)
            times.append(time.perf_counter() - start)
    states = [one["state"] for one in answer["stacks"]]
    seconds = statistics.median(times)
    return [
        Figure("lots on the shelf", lots, "", "5,000", lots >= 5000),
        Figure("saved stacks", len(states), "", f"{STACKS}", len(states) == STACKS),
        Figure("short or with stand-ins", sum(state != "as_written" for state in states), "", "printed", True),
        timed("what can be made today, median", seconds, "s", 3, digits=2),
    ]
