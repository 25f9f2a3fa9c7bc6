"""What follows from a declared request: the API's check, the typed request, the blanks of the desk, the letters."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, fields, replace
from functools import cache
from typing import Any, NoReturn, Protocol, TypeVar, runtime_checkable

from rest_framework import serializers

from compat.asking.blanks import Blank
from compat.asking.fields import TOLD, Placed, Told
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
    """The API's check of a request; its name in the document is the class's with `In`."""

    def validate(self: Any, attrs: dict[str, Any]) -> dict[str, Any]:
        made(cls, attrs)
        return attrs

    own: dict[str, Any] = {"__doc__": cls.__doc__, "__module__": cls.__module__}
    defaults = {one.name: one.default for one in fields(cls)}
    own |= {name: _field(told, defaults[name]) for name, told in told_of(cls).items()}
    if issubclass(cls, Checks):
        own["validate"] = validate
    return type(f"{cls.__name__}In", (Strict,), own)


def _field(told: Told, default: Any) -> Any:
    """The API's field: to be told where the class has no default, else with that default or null where it has none."""
    make: Any = told.check or serializer_of(told.inner)
    options = dict(told.options)
    if told.many:
        options["many"] = True
    if default is MISSING:
        return make(**options)
    if default is None or told.many:
        return make(**options, required=False, **({"allow_null": True} if told.null else {}))
    return make(**options, default=default)


def checked(serializer: type[serializers.Serializer[Any]], body: Mapping[str, Any]) -> dict[str, Any]:
    """A request that passed the API's check. Raises DomainError `invalid` with dotted paths."""
    found = serializer(data=dict(body))
    if not found.is_valid():
        raise DomainError("invalid", errors=list(flat(found.errors)))
    return dict(found.validated_data)


def passed(cls: Any, body: Mapping[str, Any]) -> dict[str, Any]:
    """The same by the check of a declared request."""
    return checked(serializer_of(cls), body)


def made(cls: type[R], checked: Mapping[str, Any]) -> R:
    """The typed request of what passed the API's check; what is null is as if it had not been told."""
    told = told_of(cls)
    found = cls(**{name: _taken(told[name], value) for name, value in checked.items() if value is not None})
    if isinstance(found, Checks):
        found.check()
    return found


def _taken(told: Told, value: Any) -> Any:
    if told.inner is None:
        return told.take(value)
    return tuple(made(told.inner, one) for one in value) if told.many else made(told.inner, value)


@_kept
def blanks_of(cls: Any) -> tuple[Blank, ...]:
    """The fields that are typed at the desk, in the order in which they are declared."""
    return tuple(blank for _, told in _shown(cls) if (blank := told.blank) is not None)


@_kept
def letters_of(cls: Any) -> Mapping[str, str]:
    """{path: letter in the picture}."""
    return {path: told.letter for path, told in _shown(cls) if told.letter}


def _shown(cls: Any) -> Iterator[tuple[str, Told]]:
    """(path, declaration) of every field, those of inner requests as they are placed here."""
    for name, told in told_of(cls).items():
        if told.inner is None or told.many:
            yield name, told if told.blank is None else replace(told, blank=replace(told.blank, path=name))
        if told.inner is None:
            continue
        for path, inner in _shown(told.inner):
            # A row of a list has no field of its own on the page, but its letters.
            one = replace(inner, blank=None) if told.many else inner
            yield f"{name}.{path}", _placed(name, path, one, told.placed)


def _placed(name: str, path: str, told: Told, placed: Placed) -> Told:
    """The declaration of a field within the request `name`."""
    letter = placed.get("letters", {}).get(path, told.letter) if placed.get("lettered", True) else ""
    if told.blank is None or path in placed.get("hidden", ()):
        return replace(told, letter=letter, blank=None)
    called = placed.get("called", {}).get(path, told.blank.called)
    blank = replace(
        told.blank,
        path=f"{name}.{path}",
        label=placed.get("labels", {}).get(path, told.blank.label),
        help=placed.get("helps", {}).get(path, told.blank.help),
        group=placed.get("group", told.blank.group),
        first=path in placed["first"] if "first" in placed else told.blank.first,
        called=f"{name}_{called}" if called else "",
    )
    return replace(told, letter=letter, blank=blank)
