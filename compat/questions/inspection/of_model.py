"""A damper model under the readings of one damper: what is told here in place of what the model tells."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

from compat.asking.requests import made, passed
from compat.dampers import sealing_requests
from compat.engineering.nut_on_shaft import groove_as_read
from compat.questions.inspection.request import Inspection
from compat.questions.nut_on_shaft import Shaft
from inventory.dampers.selectors import damper_called

R = TypeVar("R")
# What is told field by field; a ring and a reading are told as one.
PARTS = ("bore", "band", "shaft", "seal", "joint", "nut", "oil")


def with_model(asked: Inspection) -> Inspection:
    """The sheet with what its damper model tells. Raises DomainError `not_found` for a model that is none, `invalid`
    where it contradicts itself."""
    if asked.damper is None:
        return asked
    told = sealing_requests.inspection_request(damper_called(asked.damper).document)
    return _over(made(Inspection, passed(Inspection, told)), asked)


def _over(base: R, told: R) -> R:
    """A request with what is told in place of what stands in it."""
    found: dict[str, object] = {}
    for one in fields(told):  # type: ignore[arg-type]  # a request is a data class
        before, now = getattr(base, one.name), getattr(told, one.name)
        if one.name in PARTS and is_dataclass(before) and is_dataclass(now):
            found[one.name] = _end(before, now) if isinstance(now, Shaft) else _over(before, now)
        elif now is not None and now != ():
            found[one.name] = now
    return replace(base, **found)  # type: ignore[type-var]  # the same


def _end(model: Any, read: Shaft) -> Shaft:
    """A shaft's end."""
    end: Shaft = _over(model, read)
    groove = groove_as_read(read.thread_relief, measured=read.relief_diameter_mm is not None)
    if groove is None:
        return end
    return replace(end, thread_relief=True) if groove else replace(end, relief_diameter_mm=None)
