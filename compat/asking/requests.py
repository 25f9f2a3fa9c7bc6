"""What follows from a declared request: the API's check, the typed request, the blanks of the desk, the letters."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, fields, replace
from functools import cache
from typing import Any, NoReturn, Protocol, TypeVar, runtime_checkable

from rest_framework import serializers

from compat.asking.blanks import Blank
from compat.asking.fields import TOLD, Nothing, Placed, Told
from inventory.common.errors import DomainError
from inventory.documents.faults import flat
from inventory.documents.fields import Strict

R = TypeVar("R")
M = TypeVar("M")


@runtime_checkable
class Checks(Protocol):
    """A request that looks at its fields together."""

    def check(self) -> None:
        """Refuses what contradicts itself (`refuse`)."""


def _kept(make: Callable[[Any], M]) -> Callable[[Any], M]:
    """What follows from a class, made once."""
    return cache(make)


def refuse(code: str, **errors: str) -> NoReturn:
    """Refuses a request for what its fields say together: {field: sentence}."""
    raise serializers.ValidationError({name: [said] for name, said in errors.items()}, code=code)


@_kept
def told_of(cls: Any) -> Mapping[str, Told]:
    """{name: declaration} of a request's fields, in their order."""
    return {one.name: one.metadata[TOLD] for one in fields(cls)}


@_kept
def serializer_of(cls: Any) -> type[Strict]:
    """The API's check of a request; its name in the document is the class's with `In`.

    Raises TypeError where the house's own check (`CHECKED_BY`) has other fields than the class.
    """
    if (elsewhere := vars(cls).get("CHECKED_BY")) is not None:
        return _agreeing(cls, elsewhere)

    def validate(self: Any, attrs: dict[str, object]) -> dict[str, object]:
        made(cls, attrs)
        return attrs

    own: dict[str, object] = {"__doc__": cls.__doc__, "__module__": cls.__module__}
    defaults = {one.name: one.default for one in fields(cls)}
    for name, told in told_of(cls).items():
        own[name] = _field(told, defaults[name])
        if told.accepts is not None:
            own[f"validate_{name}"] = _validating(told)
    if issubclass(cls, Checks):
        own["validate"] = validate
    return type(f"{cls.__name__}In", (Strict,), own)


def _validating(told: Told) -> Callable[[Any, Any], Any]:
    def validate(self: Any, value: Any) -> Any:
        assert told.accepts is not None
        told.accepts(_taken(told, value))
        return value

    return validate


def _agreeing(cls: Any, check: type[Strict]) -> type[Strict]:
    told, known = told_of(cls), check().fields
    if set(told) != set(known):
        raise TypeError(f"{cls.__name__} and {check.__name__} differ in {sorted(set(told) ^ set(known))}")
    for name, one in told.items():
        made: Any = one.check or serializer_of(one.inner)
        if not isinstance(getattr(known[name], "child", known[name]), made):
            raise TypeError(f"{cls.__name__}.{name} is checked as {type(known[name]).__name__}")
    return check


def _field(told: Told, default: Any) -> Any:
    """The API's field: to be told where the class has no default, else with that default or null where it has none."""
    make: Any = told.check or serializer_of(told.inner)
    options = dict(told.options)
    if told.many:
        options["many"] = True
    if default is MISSING:
        return make(**options)
    if default is None or default == ():
        return make(**options, required=False, **({"allow_null": True} if told.null else {}))
    return make(**options, default=default)


def checked(serializer: type[serializers.Serializer[Any]], body: Mapping[str, object]) -> dict[str, object]:
    """A request that passed the API's check. Raises DomainError `invalid` with dotted paths."""
    found = serializer(data=dict(body))
    if not found.is_valid():
        raise DomainError("invalid", errors=list(flat(found.errors)))
    return dict(found.validated_data)


def passed(cls: Any, body: Mapping[str, object]) -> dict[str, object]:
    """The same by the check of a declared request."""
    return checked(serializer_of(cls), body)


def made(cls: type[R], checked: Mapping[str, object]) -> R:
    """The typed request of what passed the API's check; what is null is as if it had not been told."""
    told, found_of = told_of(cls), dict[str, object]()
    for name, value in checked.items():
        if value is not None:
            found_of[name] = _taken(told[name], value)
        elif told[name].none:
            found_of[name] = Nothing.THERE
    found = cls(**found_of)
    if isinstance(found, Checks):
        found.check()
    return found


def untold(cls: type[R]) -> R:
    """The request of which nothing is told."""
    return made(cls, {})


def _taken(told: Told, value: Any) -> Any:
    if told.inner is None:
        return told.take(value)
    return tuple(made(told.inner, one) for one in value) if told.many else made(told.inner, value)


@_kept
def blanks_of(cls: Any) -> tuple[Blank, ...]:
    """The fields that are typed at the desk, in the order in which they are declared."""
    return blanks_with(cls, {})


def blanks_with(cls: Any, rows: Mapping[str, int]) -> tuple[Blank, ...]:
    """The same with fields for so many rows of an open list at least, by the list's name."""
    return tuple(blank for _, told in _shown(cls, rows) if (blank := told.blank) is not None)


@_kept
def open_rows(cls: Any) -> Mapping[str, str]:
    """{name of a list whose rows have fields of their own: the first field of such a row}."""
    return {name: blanks_of(told.inner)[0].path for name, told in told_of(cls).items() if told.open}


@_kept
def letters_of(cls: Any) -> Mapping[str, str]:
    """{path: letter in the picture}."""
    return {path: told.letter for path, told in _shown(cls) if told.letter}


def _shown(cls: Any, rows: Mapping[str, int] | None = None) -> Iterator[tuple[str, Told]]:
    """(path, declaration) of every field, those of inner requests as they are placed here."""
    taken_over: Placed = getattr(cls, "TAKEN_OVER", Placed())
    for name, told in told_of(cls).items():
        if told.inner is None or told.many:
            own = name in vars(cls).get("__annotations__", {})
            yield name, _placed(name, name, told, Placed() if own else taken_over)
        if told.inner is None:
            continue
        for path, inner in _shown(told.inner):
            # A row of a list has its letters once, whether or not it has fields of its own on the page.
            one = replace(inner, blank=None) if told.many else inner
            yield f"{name}.{path}", _placed(f"{name}.{path}", path, one, told.placed)
        for row in range(max(told.open, (rows or {}).get(name, 0)) if told.open else 0):
            for path, inner in _shown(told.inner):
                at = f"{name}.{row}.{path}"
                yield at, _placed(at, path, replace(inner, letter=""), told.placed)


def _placed(at: str, path: str, told: Told, placed: Placed) -> Told:
    """The declaration of the field that stands at `at`, and at `path` in what places it."""
    letter = placed.get("letters", {}).get(path, told.letter) if placed.get("lettered", True) else ""
    if told.blank is None or path in placed.get("hidden", ()):
        return replace(told, letter=letter, blank=None)
    called = placed.get("called", {}).get(path, told.blank.called)
    blank = replace(
        told.blank,
        path=at,
        label=placed.get("labels", {}).get(path, told.blank.label),
        help=placed.get("helps", {}).get(path, told.blank.help),
        group=placed.get("group", told.blank.group),
        first=path in placed["first"] if "first" in placed else told.blank.first,
        called=f"{at.removesuffix(path).replace('.', '_')}{called}" if called else "",
    )
    return replace(told, letter=letter, blank=blank)
