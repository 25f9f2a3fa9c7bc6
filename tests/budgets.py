"""What each address may take and give: seconds of a worker that nobody else uses, and kilobytes of an answer.

The sizes are held by the fuzz of tests/api/test_budgets.py and tests/compat/test_page_budgets.py on a full shelf; the
times are printed there, and only a request that would stall a worker fails.
"""

from __future__ import annotations

from dataclasses import dataclass

from tests.compat.questions.rooms import tried

STALLED_S = 60.0  # on a machine that does other things besides; what was mended here took minutes
LARGEST_KB = 2_000


@dataclass(frozen=True)
class Budget:
    """The most of one answer."""

    seconds: float
    kilobytes: int


ROW = Budget(0.3, 300)  # one thing, or a refusal that says all that is wrong
LIST = Budget(0.5, 1_100)  # a page of rows, cut at a megabyte
QUESTION = Budget(0.5, 300)
RINGS = Budget(0.5, 600)  # fifty rings with fifty lots each
CURVE = Budget(2.0, 300)
PLAN = Budget(3.0, 600)
PAGE = Budget(1.0, 600)
BENCH = Budget(3.0, 1_700)  # gives back what was typed, each sign of it escaped

API: dict[str, Budget] = {
    **{f"POST /fit/{slug}": QUESTION for slug in tried()},
    "GET /schema": Budget(2.0, 1_000),
    "GET /parts": LIST,
    "POST /parts": ROW,
    "GET /parts/{}": ROW,
    "GET /lots": LIST,
    "POST /lots/{}/readings/{}/withdraw": ROW,
    "GET /drawers": LIST,
    "GET /movements": LIST,
    "GET /changes": LIST,
    "GET /commands": LIST,
    "GET /deliveries": LIST,
    "POST /deliveries": ROW,
    "GET /deliveries/{}": ROW,
    "GET /deliveries/{}/lines": LIST,
    "POST /deliveries/{}/lines": ROW,
    "POST /counts": ROW,
    "GET /dampers": LIST,
    "POST /dampers": ROW,
    "GET /dampers/{}": ROW,
    "PUT /dampers/{}": ROW,
    "GET /dampers/{}/stacks": LIST,
    "POST /dampers/{}/stacks": ROW,
    "GET /dampers/{}/parts": LIST,
    "GET /dampers/{}/calibrations": LIST,
    "POST /dampers/{}/calibrations": CURVE,
    "POST /dampers/{}/calibrations/{}/withdraw": ROW,
    "GET /holds": LIST,
    "POST /holds": ROW,
    "GET /holds/{}": ROW,
    "POST /holds/{}/confirm": ROW,
    "POST /holds/{}/extend": ROW,
    "POST /holds/{}/release": ROW,
    "GET /jobs": LIST,
    "POST /jobs": ROW,
    "GET /jobs/{}": ROW,
    "GET /buildable": Budget(3.0, 1_100),
    "POST /plans": PLAN,
    "GET /plans/{}": PLAN,
    "POST /plans/{}/hold": PLAN,
    "POST /fit/curve-calibration": CURVE,
    "POST /fit/inspection": RINGS,
    "POST /fit/rings-for-gland": RINGS,
    "POST /fit/stack-curve": CURVE,
}
PAGES: dict[str, Budget] = {
    "/": PAGE,
    "/sign-in": PAGE,
    "/sign-out": PAGE,
    "/switch": PAGE,
    "/switch/send": BENCH,
    "/lock": PAGE,
    "/still-here": PAGE,
    "/my-pin": PAGE,
    "/find": PAGE,
    "/shelf": PAGE,
    "/drawers/{}": PAGE,
    "/lots/{}": PAGE,
    "/take-in": PAGE,
    "/take-in/opening": PAGE,
    "/deliveries/{}": PAGE,
    "/deliveries/{}/undo": PAGE,
    "/bench": BENCH,
    "/bench/answer": BENCH,
    "/bench/curves": BENCH,
    "/bench/others": BENCH,
    "/buildable": Budget(3.0, 600),
    "/plans/{}": PLAN,
    "/plans/{}/curves": PLAN,
    "/plans/{}/hold": PLAN,
    "/holds/{}": PAGE,
    "/holds/{}/release": PAGE,
    "/parts/by-size": PAGE,
    "/parts/{}": PAGE,
    "/dampers": PAGE,
    "/dampers/new": PAGE,
    "/dampers/{}": PAGE,
    "/dampers/{}/edit": PAGE,
    "/dampers/{}/calibrate": BENCH,
    "/dampers/{}/calibrations/{}/withdraw": PAGE,
    "/fit": PAGE,
    "/fit/{}": BENCH,
}
