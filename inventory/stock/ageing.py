"""Where lots of seals stand in their shelf life. The rule is loaded by the name that the settings give it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from django.conf import settings
from django.utils.module_loading import import_string

Rule = Callable[[str | None, str, date, str], tuple[date, date] | None]


class Age(StrEnum):
    """`none`: the kind has no shelf life; `good`: surely in its life; `check`: nobody can tell, or an inspection is
    due; `over`: past its life."""

    NONE = "none"
    GOOD = "good"
    CHECK = "check"
    OVER = "over"


@dataclass(frozen=True, slots=True)
class Life:
    """A lot's age, and the last day of its first years where there is one."""

    age: Age
    until: date | None = None

    @property
    def is_sure(self) -> bool:
        """Whether it is surely in its life, or has none."""
        return self.age in {Age.NONE, Age.GOOD}

    @property
    def words(self) -> str:
        """What somebody at the drawer must know of it; empty where nothing."""
        if self.age is Age.OVER:
            return "over-age: do not fit"
        if self.age is Age.CHECK:
            return "inspection due" if self.until else "age unknown"
        return ""


AGELESS = Life(Age.NONE)


def life_of(compound: str | None, cured: str, on: date) -> Life:
    """Where a lot stands on a day under the shop's policy; `compound` is None for a kind that has no shelf life."""
    if compound is None:
        return AGELESS
    rule: Rule = import_string(settings.SHELF_LIFE_RULE)
    ends = rule(compound, cured, on, settings.SHELF_LIFE)
    if ends is None:
        return Life(Age.CHECK)
    until, last = ends
    age = Age.OVER if on > last else Age.CHECK if on > until else Age.GOOD
    return Life(age, None if until == date.max else until)
