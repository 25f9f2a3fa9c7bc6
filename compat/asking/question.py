"""A question as its room declares it; everything that is alike in all questions follows from this."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from compat.engineering.answers import Answer
from compat.engineering.drawing.shapes import Shape
from inventory.dampers.document import DamperDocument, Valve
from inventory.people.roles import EVERYONE, Role

R = TypeVar("R")
Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a long form with a picture of its own: of which question, and the groups of fields in it."""

    item: str
    title: str
    picture: str
    groups: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Desk:
    """How the fit desk offers a question: under which heading and where there, its title, what one needs to have, and
    the picture of what to measure with its title, or sections with a picture each. `unless_said` stands in the form
    until it is changed; `empty` is in the request also where nothing of it was typed. `takes`: what of a model is
    picked besides: valve, side, stack."""

    about: str
    place: int
    title: str
    needs: str
    picture: Callable[[Mapping[str, str]], list[Shape]] | None = None
    picture_title: str = ""
    sections: tuple[Section, ...] = ()
    takes: tuple[str, ...] = ()
    unless_said: Mapping[str, str] = field(default_factory=dict)
    empty: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Model:
    """What a damper model tells of a question: from its document, one of its valves and a side of that. `limits`:
    {path in the request: the maker's limit that stands there}."""

    told: Callable[[DamperDocument, Valve, str], Document]
    limits: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class OfPart:
    """What a part of that kind in the catalogue tells of a question, from its sizes by their outside names."""

    kind: str
    told: Callable[[Document], Document]


@dataclass(frozen=True, slots=True)
class Value:
    """A row of an answer's figures on the page: which value, what it is called, and its unit."""

    name: str
    label: str
    unit: str = "mm"


@dataclass(frozen=True, slots=True)
class Question(Generic[R]):
    """One question: what it asks, in a sentence; `answer` takes the typed request that `request` declares. Who may
    ask; how the desk offers it; what a damper model or a part tells of it. `values`: the rows of the answer's figures,
    where the room has no `values.html`; `verdicts`: the verdict in words where the usual ones do not suit."""

    slug: str
    asks: str
    request: type[R]
    answer: Callable[[R], Answer]
    roles: tuple[Role, ...] = EVERYONE
    desk: Desk | None = None
    model: Model | None = None
    part: OfPart | None = None
    values: tuple[Value, ...] = ()
    verdicts: Mapping[str, str] = field(default_factory=dict)
