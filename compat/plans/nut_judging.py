"""The nuts of a plan judged on its shaft's end, and of which of them the readings are."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from compat.engineering.answers import Answer, Finding, ask
from compat.engineering.assembly.catalogued import joint_of
from compat.engineering.assembly.labels import as_labelled
from compat.engineering.nut_on_shaft import Nut, ShaftEnd
from compat.engineering.units import Range
from compat.plans.request import PlanRequest
from compat.texts.refusals import engine_errors

BY_CATALOGUE = ("height_mm", "chamfer_mm")


@dataclass(frozen=True, slots=True)
class Judged:
    """A nut as it was asked about, with what was taken from labels as `part.field`, and the answer."""

    shaft: ShaftEnd
    nut: Nut
    taken: tuple[str, ...]
    answer: Answer


@dataclass(frozen=True, slots=True)
class Bench:
    """One shaft's end, where the nut's underside lies on it, and what was read of the nut `owner`: of no other."""

    shaft: ShaftEnd
    underside_mm: Range | None
    readings: Mapping[str, Any]
    owner: str | None
    seen: dict[Nut, Judged] = field(default_factory=dict)

    def judged(self, part: str, label: Nut) -> Judged:
        """The question nut-on-shaft of the catalogue's nut `part`, and the labels where only the bench can read.

        Nuts that the catalogue describes alike are judged once. Raises DomainError `invalid` for a reading that the
        engine cannot take.
        """
        if part == self.owner and self.readings:
            return self._judged(part, label, self.readings)
        if label not in self.seen:
            self.seen[label] = self._judged(part, label, {})
        return self.seen[label]

    def _judged(self, part: str, label: Nut, readings: Mapping[str, Any]) -> Judged:
        with engine_errors("nut_readings", below=True):
            told = replace(label, underside_mm=self.underside_mm, **readings)
            shaft, told, taken = as_labelled(self.shaft, told)
            read_less = tuple(f"nut.{name}" for name in BY_CATALOGUE if name not in readings)
            return Judged(shaft, told, (*taken, *read_less), joint_of(shaft, told, label, number=part))


def owner_of(wanted: PlanRequest, asked_for: Collection[str]) -> tuple[str | None, list[Finding]]:
    """The part number of the nut that was read, None where nobody knows it or it is no nut of this plan, which is then
    asked about: what may be the wrong nut's reading makes no nut fit.

    `asked_for` are the nuts among the plan's other parts: a single one is the one that was read.
    """
    named = wanted.nut_part
    if not wanted.nut_readings:
        return named, []
    if named is None:
        if len(asked_for) == 1:
            return next(iter(asked_for)), []
        return None, [ask("nut_readings_of_which", "trade")]
    if asked_for and named not in asked_for:
        return None, [ask("nut_readings_of_another", "trade", part=named)]
    return named, []
