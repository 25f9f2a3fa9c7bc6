"""How long a seal may lie on the shelf. Two standards differ; the shop chooses which it follows."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from compat.engineering.answers import Finding, ask, note, stop, warn
from compat.engineering.seals.compounds import compound_called

POLICIES = ("iso_2230", "arp5316d")
UNLIMITED = 0
# Policy -> compound -> years from the end of the cure quarter, and further years after an inspection.
YEARS: dict[str, dict[str, tuple[int, int]]] = {
    "iso_2230": {
        "NBR": (7, 3), "HNBR": (7, 3), "FKM": (10, 5), "EPDM": (10, 5), "VMQ": (10, 5), "PU": (5, 2),
    },
    "arp5316d": {"NBR": (15, 0), "FKM": (UNLIMITED, 0), "EPDM": (UNLIMITED, 0)},
}  # fmt: skip
SOON_DAYS = 180


class State(StrEnum):
    """Where a seal stands in its shelf life."""

    GOOD = "good"
    SOON = "soon"
    INSPECT = "inspect"
    OVER = "over"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class ShelfLife:
    """`until`: last day of the first period; `after_inspection`: last day if it passes an inspection by then. None
    where the standard sets no end, or nothing is known."""

    state: State
    until: date | None = None
    after_inspection: date | None = None


def end_of_quarter(cured: str) -> date:
    """The last day of a cure quarter written `2026-Q3`. Raises ValueError for anything else."""
    if not (found := re.fullmatch(r"(\d{4})-Q([1-4])", cured)) or not 1900 <= int(found[1]) < 9000:
        raise ValueError(f"a cure date is a quarter, as in 2026-Q3; not {cured[:20]!r}")
    year, quarter = int(found[1]), int(found[2])
    following = date(year + quarter // 4, quarter * 3 % 12 + 1, 1)
    return following - timedelta(days=1)


def shelf_life(compound: str | None, cured: str | None, on: date, policy: str) -> ShelfLife:
    """Where a seal of this compound, cured in that quarter, stands on a day under a policy of POLICIES.

    The life counts from the end of the cure quarter, as both standards count. An inspection that is due is not one
    that was made: INSPECT says that the first years are over and the further ones are not. UNKNOWN where compound or
    quarter is missing, the quarter is yet to come, or the policy does not list the compound. Raises ValueError for
    another policy or quarter. Source: ISO 2230, SAE ARP5316D, years as tabulated openly.
    """
    if policy not in YEARS:
        raise ValueError(f"a shelf life policy is one of {', '.join(POLICIES)}; not {policy!r}")
    name = compound_called(compound)
    if name is None or not cured or name not in YEARS[policy] or _is_to_come(cured, on):
        return ShelfLife(State.UNKNOWN)
    cured_by = end_of_quarter(cured)
    years, further = YEARS[policy][name]
    if years == UNLIMITED:
        return ShelfLife(State.GOOD)
    until, last = _later(cured_by, years), _later(cured_by, years + further)
    if on > last:
        state = State.OVER
    elif on > until:
        state = State.INSPECT
    else:
        state = State.SOON if (until - on).days <= SOON_DAYS else State.GOOD
    return ShelfLife(state, until, last if further else None)


def ends_on(compound: str | None, cured: str | None, on: date, policy: str) -> tuple[date, date] | None:
    """The last day of the first years, and the last one at all, which needs an inspection; of a seal without an end
    date.max. None where nobody can tell: compound or quarter missing, no quarter, or yet to come; see shelf_life()."""
    life = life_by_label(compound, cured or "", on, policy)
    if life.state is State.UNKNOWN:
        return None
    until = life.until or date.max
    return until, life.after_inspection or until


def life_by_label(compound: str | None, cured: str, on: date, policy: str) -> ShelfLife:
    """The same of a lot by what stands on its bag: UNKNOWN where that is a quarter that cannot be."""
    try:
        return shelf_life(compound, cured, on, policy)
    except ValueError:
        return ShelfLife(State.UNKNOWN)


def shelf_life_findings(compound: str | None, cured: str | None, on: date, policy: str) -> list[Finding]:
    """The same as findings: over is a stop, due for inspection or not known is asked for."""
    if cured and _is_to_come(cured, on):
        return [ask("cured_in_future", policy, cured=cured)]
    life = shelf_life(compound, cured, on, policy)
    data = {"policy": policy, "cured": cured or "", "compound": compound or ""}
    dates = {"until": str(life.until or ""), "after_inspection": str(life.after_inspection or "")}
    match life.state:
        case State.OVER:
            return [stop("shelf_life_over", policy, **data, **dates)]
        case State.INSPECT:
            return [ask("shelf_life_inspect", policy, **data, **dates)]
        case State.SOON:
            return [warn("shelf_life_soon", policy, **data, **dates)]
        case State.UNKNOWN:
            return [ask("shelf_life_unknown", policy, **data)]
    return [note("shelf_life_good", policy, **data, **dates)] if life.until else []


def age_findings(
    compound: str | None, cured: str | None, on: date, policy: str, *, reused: bool | None
) -> list[Finding]:
    """What the age of one ring says: a ring that may be new is judged as on the shelf, and its cure quarter asked for.

    The years of the standards are those of a ring that lies on the shelf; of a used one an old quarter is said only.
    """
    if reused:
        found = shelf_life_findings(compound, cured, on, policy) if cured else []
        old = any(one.code in ("shelf_life_over", "shelf_life_inspect") for one in found)
        return [warn("used_ring_is_old", policy, cured=cured)] if old else []
    if not cured:
        return [ask("cure_date_missing", "trade")]
    return shelf_life_findings(compound, cured, on, policy)


def _is_to_come(cured: str, on: date) -> bool:
    """Whether the quarter begins after that day: the label was misread."""
    return end_of_quarter(cured) > end_of_quarter(f"{on.year}-Q{(on.month + 2) // 3}")


def _later(day: date, years: int) -> date:
    """The same day of a later year; quarters never end on the 29th of February."""
    return day.replace(year=day.year + years)
