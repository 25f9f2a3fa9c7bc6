"""What a benchmark gives back: a figure, the figure to reach, and whether it does."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Figure:
    """One measured figure. `reach` says in words what it has to be; `ok` says whether it is."""

    name: str
    figure: float
    unit: str
    reach: str
    ok: bool
