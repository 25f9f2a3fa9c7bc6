"""A plan's request as it is sent, in JSON: lengths in millimetres, what is not told left out.

What the pages type is put into these, and a kept plan holds them; once checked a request is an AskedPlan
(compat/plans/document.py).
"""

from __future__ import annotations

from typing import NotRequired, Required, TypedDict


class SentLine(TypedDict):
    """Some shims of one size; a stack lists them face first."""

    od_mm: float
    thickness_mm: float
    quantity: int
    bore_mm: NotRequired[float]
    form: NotRequired[str]


class SentValve(TypedDict):
    """The stacks of one valve by side."""

    code: str
    stacks: dict[str, list[SentLine]]


class SentPart(TypedDict):
    """A part that the job needs besides the stacks."""

    part: str
    quantity: int


class SentRange(TypedDict):
    """A length between two limits, and its best single value."""

    min: float
    max: float
    nominal: float


SentReading = float | str | bool | SentRange


class SentAllow(TypedDict, total=False):
    """What may stand in: flags, and how far it may be from what was asked for; `search_ms` in milliseconds."""

    stand_ins: bool
    take_offs: bool
    face: bool
    crossover: bool
    clamp: bool
    curve_percent: float
    height_mm: float
    reach_mm: float
    search_ms: float


class SentPlan(TypedDict, total=False):
    """The whole request: `stacks` of the main valve, or those of several `valves`; readings by their names."""

    damper: Required[str]
    stacks: dict[str, list[SentLine]]
    valves: list[SentValve]
    readings: dict[str, SentReading]
    spacer: bool
    also: list[SentPart]
    nut: bool
    nut_readings: dict[str, SentReading]
    allow: SentAllow
    job: str
