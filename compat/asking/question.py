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
class Onward:
    """What another question takes over from this one once it is answered: its name, what the page calls the way there,
    {field of its form: field of this form}, and fields that the figures of the answer fill."""

    to: str
    said: str
    fields: Mapping[str, str]
    figures: Callable[[Document], Mapping[str, str]]


@dataclass(frozen=True, slots=True)
class Beside:
    """Another question whose figures stand under the answer: its name, and its request by the one that was sent; None
    before enough is known."""

    question: str
    asked: Callable[[Document], Document | None]


@dataclass(frozen=True, slots=True)
class Desk:
    """How the fit desk offers a question: under which heading and where there, its title, what one needs to have, and
    the picture of what to measure with its title, or sections with a picture each. `unless_said` stands in the form
    until it is changed; `empty` is in the request also where nothing of it was typed. `takes`: what of a model is
    picked besides: valve, side, stack. `remark` stands above every answer. `page`: the name of the address of its own
    page, where it is not asked by a form of fields. `onward`, `beside`: what follows from an answer."""

    about: str
    place: int
    title: str
    needs: str
    picture: Callable[[Mapping[str, str]], list[Shape]] | None = None
    picture_title: str = ""
    sections: tuple[Section, ...] = ()
    takes: tuple[str, ...] = ()
    unless_said: Mapping[str, str] = field(default_factory=dict)
    empty: Document = field(default_factory=dict)
    remark: str = ""
    page: str = ""
    onward: Onward | None = None
    beside: Beside | None = None


@dataclass(frozen=True, slots=True)
class Saved:
    """A saved stack of a damper model: the model's code and document, the valve, the lines of each side; `ask` answers
    another question, by its name."""

    damper: str
    document: DamperDocument
    valve: str
    stacks: Document
    ask: Callable[[str, Document], Document]


@dataclass(frozen=True, slots=True)
class Places:
    """That a part may go where the model tells the question of, or elsewhere on it: a part that is the one `elsewhere`,
    and not the one `here`, by the fields `by`, is not put where the model tells of, unless one of the `choices` says
    where it goes. `said`: of the model's code, and whether it is the one elsewhere."""

    label: str
    choices: tuple[tuple[str, str], ...]
    here: Callable[[DamperDocument], Document]
    elsewhere: Callable[[DamperDocument], Document]
    by: tuple[str, ...]
    said: Callable[[str, bool], str]


@dataclass(frozen=True, slots=True)
class Model:
    """What a damper model tells of a question: from its document, one of its valves and a side of that. `valve`: which
    one where nobody picks it, else the first. `limits`: {path in the request: the maker's limit that stands there}.
    `saved`: what one of its saved stacks tells; `places`: where a part may go besides."""

    told: Callable[[DamperDocument, Valve, str], Document]
    valve: str = ""
    limits: Mapping[str, str] = field(default_factory=dict)
    saved: Callable[[Saved], Document] | None = None
    places: Places | None = None


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
    where the room has no `values.html`; `verdicts`: the verdict in a sentence where the usual ones do not suit, and
    `headlines` in a large word; `conditions`: findings that are said with a good verdict, since it holds with them
    alone.

    `on_model`: the answer at the desk where sizes were taken from a damper model, by its document; `to_staff`: the
    answer to the workshop, where that sees more; `names_lots`: the field in which a request names lots, which a
    storefront does not look into.
    """

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
    headlines: Mapping[str, str] = field(default_factory=dict)
    conditions: tuple[str, ...] = ()
    on_model: Callable[[R, DamperDocument], Answer] | None = None
    to_staff: Callable[[R], Answer] | None = None
    names_lots: Callable[[R], str] | None = None

    @property
    def room(self) -> str:
        """The name of its room, and of the folder of its templates."""
        return self.slug.replace("-", "_")
