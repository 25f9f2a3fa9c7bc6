"""How a field of a request is declared, once: how it is checked, what it becomes, and how it is typed at the desk.

    @request
    class Clearance:
        "Does this bore pass this shaft?"

        bore_mm: Range | None = measured("Bore, as read", least_um=1, letter="A", group=HOLE)

Lengths are millimetres from here on: a number or a Range, never micrometres and never a mapping. A field without a
label is told by programs only, not at the desk. `needed=True`: no request leaves it out; else it is None where it is
not told, or the `default`.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import MISSING, dataclass, field, replace
from enum import Enum
from typing import Any, NoReturn, TypedDict, TypeVar, Unpack, dataclass_transform, get_type_hints

from rest_framework import serializers

from compat.asking.blanks import Blank
from compat.engineering.units import Range, um_to_mm
from inventory.documents.fields import Flag, Measured, MeasuredNumber, Millimetres, Name, Number, Quantity

Words = Mapping[str, str] | Iterable[str]
R = TypeVar("R")
TOLD = "told"  # of a field, in the metadata of its class


class Shown(TypedDict, total=False):
    """How a field stands on the page: its heading, the letter of the picture, the help under it. `later`: it need not
    be known first. `called`: the form's name for it, where that is not its path."""

    group: str
    letter: str
    help: str
    unit: str
    later: bool
    called: str
    kind: str


class Placed(TypedDict, total=False):
    """How the fields of a request within a request stand on the page, where not as they declare it: under one heading;
    by path with other labels, helps, letters and names in the form. `first`: these alone must be known first; `hidden`:
    these are told by programs only; without letters where `lettered` is False."""

    group: str
    labels: Mapping[str, str]
    helps: Mapping[str, str]
    letters: Mapping[str, str]
    called: Mapping[str, str]
    first: Collection[str]
    hidden: Collection[str]
    lettered: bool


@dataclass(frozen=True, slots=True)
class Told:
    """A declared field. `check` is the API's field and `options` what it is made with, beside whether it may be left
    out; `take` makes of what passed what the engine takes; `blank` is how it is typed, None where only programs tell
    it. `inner`: the request that stands in it, once or, where `many`, as a list, of which so many have fields of their
    own on the page at least as `open` says. `gives`: the type in the class; `none`: null says that it is not there.
    `accepts` refuses rows that do not go together (`refuse_value`)."""

    gives: Any
    check: Callable[..., Any] | None = None
    options: Mapping[str, object] = field(default_factory=dict)
    take: Callable[[Any], Any] = lambda value: value
    blank: Blank | None = None
    letter: str = ""
    null: bool = True
    inner: type[Any] | None = None
    many: bool = False
    open: int = 0
    none: bool = False
    accepts: Callable[[Any], None] | None = None
    placed: Placed = field(default_factory=Placed)


class Nothing(Enum):
    """Told that something is not there, which is more than not telling it."""

    THERE = "nothing"


def measured(
    label: str = "",
    *,
    least_um: int = 0,
    most_um: int = 1_000_000,
    needed: bool = False,
    null: bool = True,
    **shown: Unpack[Shown],
) -> Any:
    """A measured length, mm: read once or between two limits; a Range."""
    options = {"least_um": least_um, "most_um": most_um}
    return _field(Range, Measured, options, as_range, "measured", label, shown, needed=needed, null=null)


def length(
    label: str = "", *, least_um: int = 1, most_um: int = 1_000_000, needed: bool = False, **shown: Unpack[Shown]
) -> Any:
    """A length that is set and not read, mm: a float of whole micrometres."""
    options = {"least_um": least_um, "most_um": most_um}
    return _field(float, Millimetres, options, um_to_mm, "length", label, shown, needed=needed)


def lengths(*, most_um: int, most: int) -> Any:
    """Lengths that are set, mm, told by programs only; a tuple."""

    def check(**options: Any) -> Any:
        return serializers.ListField(child=Millimetres(most_um=most_um), min_length=1, max_length=most, **options)

    gives = tuple[float, ...]
    return _declared(Told(gives, check, take=lambda all_um: tuple(map(um_to_mm, all_um)), null=False), ())


def number(
    label: str = "", *, least: float, most: float, needed: bool = False, null: bool = True, **shown: Unpack[Shown]
) -> Any:
    """A figure between two limits, in the unit that its name says; a float."""
    return _field(
        float, Number, {"least": least, "most": most}, float, "reading", label, shown, needed=needed, null=null
    )


def spread(label: str = "", *, least: float, most: float, **shown: Unpack[Shown]) -> Any:
    """The same read once or between two limits; a Range."""
    return _field(Range, MeasuredNumber, {"least": least, "most": most}, as_range, "figure", label, shown)


def quantity(
    label: str = "", *, most: int, default: int | None = None, needed: bool = False, **shown: Unpack[Shown]
) -> Any:
    """A whole number of pieces."""
    return _field(int, Quantity, {"most": most}, int, "reading", label, shown, needed=needed, default=default)


def text(
    label: str = "",
    *,
    most: int = 30,
    words: Words = (),
    accepts: Callable[[str], None] | None = None,
    needed: bool = False,
    null: bool = True,
    empty: bool = False,
    **shown: Unpack[Shown],
) -> Any:
    """A short text on one line; at the desk one of the `words`, where those are all that is known. `accepts` refuses
    one that is none (`refuse_value`); `empty`: it is empty where nothing is told."""
    choices = tuple(_named(words).items())
    options: dict[str, object] = {"max_length": most, **({"validators": [accepts]} if accepts else {})}
    options |= {"allow_blank": True} if empty else {}
    return _field(
        *(str, Name, options, str, "word" if choices else "text", label, shown),
        needed=needed,
        null=null,
        default="" if empty else None,
        most=most,
        choices=choices,
    )


class AsTyped(serializers.CharField):
    """A text as it is typed, which is read and never kept: a minus or an equals sign may stand first."""

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str):
            raise serializers.ValidationError("must be a text", code="not_a_text")
        return str(super().to_internal_value(data))


def as_typed(*, most: int) -> Any:
    """A text that the question itself reads, told by programs only."""
    return _declared(Told(str, AsTyped, {"max_length": most, "trim_whitespace": True}), None)


def refuse_value(code: str, said: str) -> NoReturn:
    """Refuses a field by itself."""
    raise serializers.ValidationError(said, code=code)


def word(
    words: Words,
    label: str = "",
    *,
    needed: bool = False,
    null: bool = True,
    default: str | None = None,
    **shown: Unpack[Shown],
) -> Any:
    """One of some words, each with what the page calls it; at the desk it may be not known, unless it is needed or has
    a default."""
    named = _named(words)
    options, kind = {"choices": tuple(named)}, "choice" if needed or default else "word"
    return _field(
        *(str, serializers.ChoiceField, options, str, kind, label, shown),
        needed=needed,
        null=null,
        default=default,
        choices=tuple(named.items()),
    )


def yes_no(label: str = "", **shown: Unpack[Shown]) -> Any:
    """Yes, no, or not known."""
    return _field(bool, Flag, {}, bool, "yes_no", label, shown)


def flag(label: str = "", *, default: bool = False, **shown: Unpack[Shown]) -> Any:
    """Something that holds or does not."""
    return _field(bool, Flag, {}, bool, "flag", label, shown, default=default)


def within(
    inner: type[Any], *, needed: bool = False, null: bool = True, none: bool = False, **shown: Unpack[Placed]
) -> Any:
    """A request in a request. `none`: null says that there is none, and is `Nothing.THERE`."""
    gives: Any = inner | Nothing if none else inner
    return _declared(Told(gives, inner=inner, null=null, none=none, placed=shown), MISSING if needed else None)


def rows(
    inner: type[R],
    label: str = "",
    *,
    open: int = 0,
    needed: bool = False,
    apart: bool = False,
    accepts: Callable[[tuple[R, ...]], None] | None = None,
    **shown: Unpack[Shown],
) -> Any:
    """Several of a request; a tuple. With a label they are typed in one field of that kind, a line each; `open` of them
    have their own fields, more where more are told. `apart`: None where nothing is told, which is not the same as that
    there is none. `accepts` refuses rows that do not go together."""
    blank = Blank("", label, shown.get("kind", "lines"), **_beside(shown)) if label else None
    gives: Any = tuple[inner, ...]  # type: ignore[valid-type]  # of this very request
    placed: Placed = {"group": shown["group"]} if "group" in shown else {}
    told = Told(gives, inner=inner, many=True, null=False, blank=blank, letter=shown.get("letter", ""))
    return _declared(
        replace(told, open=open, accepts=accepts, placed=placed), MISSING if needed else None if apart else ()
    )


@dataclass_transform(
    frozen_default=True,
    kw_only_default=True,
    field_specifiers=(
        as_typed,
        measured,
        length,
        lengths,
        number,
        spread,
        quantity,
        text,
        word,
        yes_no,
        flag,
        within,
        rows,
    ),
)
def request(cls: type[R]) -> type[R]:
    """Makes a class of declared fields a request. A method `check` looks at its fields together. With `CHECKED_BY` in
    the class, what comes in is checked as the house checks it elsewhere; `TAKEN_OVER` says how the fields of the
    classes that it is made from stand on the page, where not as those declare them.

    Raises TypeError for a field that is not declared, or whose type is not what its declaration gives.
    """
    made = dataclass(frozen=True, kw_only=True)(cls)
    hints = get_type_hints(made)
    for one in dataclasses.fields(made):  # type: ignore[arg-type]  # made a data class just above
        if TOLD not in one.metadata:
            raise TypeError(f"{cls.__name__}.{one.name} does not declare how it is told")
        gives = one.metadata[TOLD].gives
        if hints[one.name] != (gives | None if one.default is None else gives):
            raise TypeError(f"{cls.__name__}.{one.name} is {hints[one.name]}, and its declaration gives {gives}")
    return made


def as_range(value: Mapping[str, float]) -> Range:
    """A checked measured length or figure as the engine takes it."""
    return Range(value["min"], value["max"], value["nominal"])


def _named(words: Words) -> dict[str, str]:
    return dict(words) if isinstance(words, Mapping) else {one: one for one in words}


def _field(
    gives: Any,
    check: Callable[..., Any],
    options: Mapping[str, object],
    take: Callable[[Any], Any],
    kind: str,
    label: str,
    shown: Shown,
    *,
    needed: bool = False,
    null: bool = True,
    default: Any = None,
    **typed: Any,
) -> Any:
    blank = Blank("", label, shown.get("kind", kind), **typed, **_beside(shown)) if label else None
    told = Told(gives, check, options, take, blank, shown.get("letter", ""), null)
    return _declared(told, MISSING if needed else default)


def _declared(told: Told, default: Any) -> Any:
    return dataclasses.field(default=default, metadata={TOLD: told})


def _beside(shown: Shown) -> dict[str, Any]:
    beside = {name: value for name, value in shown.items() if name not in ("letter", "kind", "later")}
    return {**beside, "first": not shown.get("later", False)}
