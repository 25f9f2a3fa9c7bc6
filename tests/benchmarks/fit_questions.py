"""Every fit question on random readings: the engine's function alone, and whole requests over HTTP."""

from __future__ import annotations

import os
import random
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any
from unittest import mock

from tests.benchmarks.figures import Figure, timed
from tests.benchmarks.plan_service import expect
from tests.benchmarks.service import Service, serving
from tests.compat.questions.readings import Json

if TYPE_CHECKING:
    from tests.compat.questions.rooms import Tried

TIMES = 300  # cases of each question for the engine
REQUESTS = 60
ENGINE_MS, API_MS = 5, 30


class _Called(Exception):
    """Stands in for the engine's answer: what it was called with."""

    def __init__(self, *words: Any, **named: Any) -> None:
        super().__init__()
        self.words, self.named = words, named


def run(seed: int) -> list[Figure]:
    """Each question on cases of its own: 300 for the engine, the first 60 of them over HTTP."""
    timed_ones, draw = _timed(), random.Random(seed)
    inspection = timed_ones.pop("inspection").heavy
    assert inspection is not None
    bodies = {question: [one.heavy(draw) for _ in range(TIMES) if one.heavy] for question, one in timed_ones.items()}
    with tempfile.TemporaryDirectory() as name, serving(f"sqlite:///{Path(name) / 'shelf.sqlite3'}", quantity=1) as at:
        over_http = {question: _over_http(at, question, given[:REQUESTS]) for question, given in bodies.items()}
        sheets, _ = _over_http(at, "inspection", [inspection(draw) for _ in range(REQUESTS)])
    figures = _figures("inspection, five questions at once: over HTTP", sheets, API_MS, digits=1)
    for question, given in bodies.items():
        alone = _alone(question, timed_ones[question].engine, given)
        asked, fitting = over_http[question]
        figures += [
            *_figures(f"{question}: engine", alone, ENGINE_MS, digits=3),
            *_figures(f"{question}: over HTTP", asked, API_MS, digits=1),
            Figure(f"{question}: requests that fit", fitting, f"of {REQUESTS}", "printed", True),
        ]
    return figures


def _figures(name: str, times_ms: list[float], reach_ms: float, *, digits: int) -> list[Figure]:
    median, p95 = statistics.median(times_ms), sorted(times_ms)[int(0.95 * len(times_ms))]
    return [
        timed(f"{name}, median", median, "ms", reach_ms, digits=digits),
        Figure(f"{name}, p95", round(p95, digits), "ms", "printed", True),
    ]


def _prepare() -> None:
    """Lets this process check requests as the service does; it opens no database, and services started later see
    nothing of it."""
    with mock.patch.dict(os.environ, DJANGO_SETTINGS_MODULE="tests.typing_settings"):
        import django

        django.setup()


def _timed() -> dict[str, Tried]:
    """What is tried on the questions that name their engine, and on the inspection, which asks several."""
    _prepare()
    from tests.compat.questions.rooms import tried

    return {slug: one for slug, one in tried().items() if one.heavy and (one.engine or slug == "inspection")}


def _alone(question: str, call: str, bodies: list[Json]) -> list[float]:
    """Milliseconds of the engine's own function, called as the question calls it."""
    from compat.questions import asks

    place, name = call.rsplit(".", 1)
    engine: Callable[..., Any] = getattr(__import__(place, fromlist=[name]), name)
    calls = []
    with mock.patch(call, _raise):
        for body in bodies:
            serializer, answered = asks.QUESTIONS[question]
            try:
                answered(asks.checked(serializer, body))
            except _Called as stopped:
                calls.append(stopped)
    if len(calls) != len(bodies):
        raise RuntimeError(f"{question} did not reach the engine")
    times = []
    for one in calls:
        start = time.perf_counter()
        engine(*one.words, **one.named)
        times.append((time.perf_counter() - start) * 1000)
    return times


def _raise(*words: Any, **named: Any) -> None:
    raise _Called(*words, **named)


def _over_http(service: Service, question: str, bodies: list[Json]) -> tuple[list[float], int]:
    """(milliseconds of each request, how many fit)."""
    times, fitting = [], 0
    for body in bodies:
        start = time.perf_counter()
        answer = expect(service.call("POST", f"fit/{question}", body, service.clerk), 200)
        times.append((time.perf_counter() - start) * 1000)
        fitting += answer["verdict"] == "fits"
    return times, fitting
