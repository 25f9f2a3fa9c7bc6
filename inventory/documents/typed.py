"""Documents as frozen data classes: each field says how it stands in JSON, reading and writing follow from that.

A document that was written and read is the same, and so is one that was read and written. What is not known is None
in the class and absent in JSON, where null is read as absent; fields that JSON tells as null are said to be so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import MISSING, dataclass, field, fields
from functools import cache
from typing import Any, NoReturn, Protocol, TypeVar, dataclass_transform

from inventory.common.errors import invalid
from inventory.documents.lengths import Length

FORM = "form"
Json = dict[str, Any]
D = TypeVar("D")


def _kept(make: Callable[[Any], D]) -> Callable[[Any], D]:
    """What follows from a class, made once."""
    return cache(make)


class Form(Protocol):
    """How a field stands in JSON."""

    def read(self, value: Any, path: str) -> Any:
        """From JSON that is not null. Raises DomainError `invalid` with the path."""

    def written(self, value: Any) -> Any:
        """To JSON, from what was read."""


_LENIENT = set[Any]()


@dataclass(frozen=True, slots=True)
class _Stands:
    """How a field stands in its document: its form, its name there where that is another, and whether null is told."""

    form: Form
    called: str = ""
    null: bool = False


def need(form: Form, called: str = "") -> Any:
    """A field that is always told, under its own name in JSON or as it is `called` there."""
    return field(metadata={FORM: _Stands(form, called)})


def may(form: Form) -> Any:
    """A field that may be left out; None where it is."""
    return field(default=None, metadata={FORM: _Stands(form)})


def null(form: Form) -> Any:
    """A field that may be unknown: null in what is written, null or left out in what is read."""
    return field(default=None, metadata={FORM: _Stands(form, null=True)})


@dataclass_transform(frozen_default=True, kw_only_default=True, field_specifiers=(need,))
def document(kind: type[D]) -> type[D]:
    """A class of documents: frozen, its fields told by name."""
    return dataclass(frozen=True, slots=True, kw_only=True)(kind)


def lenient(kind: type[D]) -> type[D]:
    """A class of documents that older versions wrote too: a field that it does not know is left aside."""
    _LENIENT.add(kind)
    return kind


def read(kind: type[D], sent: Any, path: str = "") -> D:
    """A document of that class from its JSON. Raises DomainError `invalid` with the path of what it cannot hold: an
    unknown field, one that is missing, or a value of another kind."""
    if type(sent) is not dict and not isinstance(sent, Mapping):
        refuse(path, "must be an object")
    forms = _forms(kind)
    for name in sent if kind not in _LENIENT else ():
        if name not in forms:
            refuse(_at(path, str(name)[:60]), f"there is no such field; the fields here are: {', '.join(forms)}")
    told = {}
    for name, (own, stands, needed) in forms.items():
        value = sent.get(name)
        if value is not None:
            told[own] = stands.form.read(value, _at(path, name))
        elif needed:
            refuse(_at(path, name), "is required")
    return kind(**told)


def written(told: Any) -> Json:
    """The JSON of a document that reading gave, its fields in the order of their class."""
    found: Json = {}
    for name, (own, stands, _) in _forms(type(told)).items():
        value = getattr(told, own)
        if value is not None:
            found[name] = stands.form.written(value)
        elif stands.null:
            found[name] = None
    return found


def tells(told: Any) -> bool:
    """Whether a document tells anything; one that is left out does not."""
    return told is not None and any(getattr(told, one.name) is not None for one in fields(told))


def refuse(path: str, message: str) -> NoReturn:
    """Refuses a document for what stands at a path."""
    raise invalid(path, message)


@dataclass(frozen=True, slots=True)
class Anything:
    """JSON of any shape, kept as it is."""

    def read(self, value: Any, path: str) -> Any:
        return value

    def written(self, value: Any) -> Any:
        return value


@dataclass(frozen=True, slots=True)
class Part:
    """A document within the document."""

    kind: type[Any]

    def read(self, value: Any, path: str) -> Any:
        return read(self.kind, value, path)

    def written(self, value: Any) -> Json:
        return written(value)


@dataclass(frozen=True, slots=True)
class Several:
    """A list of documents; a tuple of them in the class. An empty one is told, and so it is kept."""

    kind: type[Any]

    def read(self, value: Any, path: str) -> tuple[Any, ...]:
        if not isinstance(value, Sequence) or isinstance(value, str):
            refuse(path, "must be a list")
        return tuple(read(self.kind, one, _at(path, str(number))) for number, one in enumerate(value))

    def written(self, value: Sequence[Any]) -> list[Json]:
        return [written(one) for one in value]


@dataclass(frozen=True, slots=True)
class Number:
    """A finite number, or with `whole` a whole one."""

    whole: bool = False

    def read(self, value: Any, path: str) -> float | int:
        if not self.whole:
            return _number(value, path)
        if type(value) is not int:
            refuse(path, "must be a whole number")
        return value

    def written(self, value: float | int) -> float | int:
        return value


@dataclass(frozen=True, slots=True)
class Millimetres:
    """A length told as one number in millimetres."""

    def read(self, value: Any, path: str) -> Length:
        return Length.exact(_number(value, path))

    def written(self, value: Length) -> float:
        return value.nominal


@dataclass(frozen=True, slots=True)
class Measured:
    """A measured length: {min, max, nominal} in millimetres; one number is read as that without a spread."""

    def read(self, value: Any, path: str) -> Length:
        if not isinstance(value, Mapping):
            return Length.exact(_number(value, path))
        if set(value) - {"min", "max", "nominal"} or not {"min", "max"} <= set(value):
            refuse(path, 'must be a number or {"min", "max", "nominal"}')
        low, high = (_number(value[end], path) for end in ("min", "max"))
        nominal = value.get("nominal")
        try:
            return Length(low, high, (low + high) / 2 if nominal is None else _number(nominal, path))
        except ValueError as error:
            refuse(path, str(error))

    def written(self, value: Length) -> Json:
        return {"min": value.low, "max": value.high, "nominal": value.nominal}


@dataclass(frozen=True, slots=True)
class Text:
    """A text; with `words` one of them."""

    words: tuple[str, ...] = ()

    def read(self, value: Any, path: str) -> str:
        if not isinstance(value, str):
            refuse(path, "must be a text")
        if self.words and value not in self.words:
            refuse(path, f"is one of {', '.join(self.words)}; not {value[:40]!r}")
        return value

    def written(self, value: str) -> str:
        return value


@dataclass(frozen=True, slots=True)
class Flag:
    """true or false."""

    def read(self, value: Any, path: str) -> bool:
        if not isinstance(value, bool):
            refuse(path, "must be true or false")
        return value

    def written(self, value: bool) -> bool:
        return value


def _number(value: Any, path: str) -> float:
    """A finite number, of which true and false are none."""
    if not isinstance(value, float | int) or value is True or value is False or value != value:
        refuse(path, "must be a number")
    return float(value)


@_kept
def _forms(kind: Any) -> Mapping[str, tuple[str, _Stands, bool]]:
    """{name in JSON: the field, how it stands there, and whether it is always told}."""
    found: dict[str, tuple[str, _Stands, bool]] = {}
    for one in fields(kind):
        stands: _Stands = one.metadata[FORM]
        found[stands.called or one.name] = (one.name, stands, one.default is MISSING)
    return found


def _at(path: str, name: str) -> str:
    return f"{path}.{name}" if path else name
