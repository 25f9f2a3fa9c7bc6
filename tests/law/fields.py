"""The fields of a question's request, nested ones too, as the API declares them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from rest_framework import serializers

from inventory.documents.fields import Measured, Millimetres, Number

Body = dict[str, Any]
Path = tuple[str | int, ...]
Field = serializers.Field[Any, Any, Any, Any]
Leaf = tuple[Path, Field]


def leaves(serializer: Field, body: Any, before: Path = ()) -> Iterator[Leaf]:
    """Every field that a body tells, and every row of its lists, with what the API takes there."""
    if isinstance(serializer, serializers.ListSerializer):
        row_of: Any = serializer.child
        for at, row in enumerate(body):
            yield (*before, at), row_of
            yield from leaves(row_of, row, (*before, at))
    elif isinstance(serializer, serializers.Serializer):
        for name, value in body.items():
            field = serializer.fields[name]
            yield (*before, name), field
            if isinstance(value, dict | list) and not isinstance(field, Measured):
                yield from leaves(field, value, (*before, name))


def value_at(body: Any, path: Path) -> Any:
    """What stands at a path."""
    for step in path:
        body = body[step]
    return body


def placed(body: Any, path: Path, value: Any) -> Any:
    """The body with another value at a path; the given one stays as it is."""
    step, rest = path[0], path[1:]
    copied: Any = list(body) if isinstance(body, list) else dict(body)
    copied[step] = placed(copied[step], rest, value) if rest else value
    return copied


def dropped(body: Any, path: Path) -> Any:
    """The body without what stands at a path."""
    step, rest = path[0], path[1:]
    copied: Any = list(body) if isinstance(body, list) else dict(body)
    if rest:
        copied[step] = dropped(copied[step], rest)
    else:
        del copied[step]
    return copied


def dotted(path: Path) -> str:
    """A path as people write it, rows of lists without their number: `readings[].diameter_mm`."""
    return "".join("[]" if isinstance(step, int) else f".{step}" for step in path).removeprefix(".")


def is_number(field: Field) -> bool:
    """Whether a figure stands there, a range or a single one."""
    return isinstance(field, Measured | Millimetres | Number)
