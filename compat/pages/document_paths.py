"""Documents by dotted paths: values set and read, numbered items as lists, and where an item was among the blanks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

# What an item of a list may hold without being there: the place of a washer that has neither name nor height.
ALONE = {"place"}


def nested(values: Iterable[tuple[str, Any]]) -> dict[str, object]:
    """Values at dotted paths as one document; None is left out."""
    document: dict[str, Any] = {}
    for path, value in values:
        if value is None:
            continue
        *way, last = path.split(".")
        inner = document
        for name in way:
            inner = inner.setdefault(name, {})
        if value == {}:
            inner.setdefault(last, {})
        else:
            inner[last] = value
    return document


def with_lists(value: Any, places: dict[str, str], sent: str = "", blank: str = "") -> Any:
    """A document whose numbered items are lists; an item with nothing but its place is left out.

    `places` learns for every item {its path as sent: its path among the blanks}.
    """
    if not isinstance(value, Mapping):
        return value
    if not value or not all(name.isdigit() for name in value):
        found = {}
        for name, inner in value.items():
            kept = with_lists(inner, places, _join(sent, name), _join(blank, name))
            if kept != []:
                found[name] = kept
        return found
    items: list[Any] = []
    for name in sorted(value, key=int):
        at_sent, at_blank = _join(sent, str(len(items))), _join(blank, name)
        inner_places = {at_sent: at_blank}
        item = with_lists(value[name], inner_places, at_sent, at_blank)
        if set(item) - ALONE:
            items.append(item)
            places.update(inner_places)
    return items


def blank_path(path: str, places: Mapping[str, str]) -> str:
    """The path among the blanks of a path as sent."""
    known = [sent for sent in places if path == sent or path.startswith(f"{sent}.")]
    longest = max(known, key=len, default="")
    return places.get(longest, "") + path.removeprefix(longest)


def told_at(document: object, path: str) -> Any:
    """What a typed document tells at a dotted path, or None."""
    for name in path.split("."):
        document = getattr(document, name, None)
    return document


def at(document: Mapping[str, object], path: str) -> Any:
    """The value at a dotted path of a document in the form of the API, or None."""
    found: Any = document
    for name in path.split("."):
        if isinstance(found, Sequence) and not isinstance(found, str):
            found = found[int(name)] if name.isdigit() and int(name) < len(found) else None
        else:
            found = found.get(name) if isinstance(found, Mapping) else None
    return found


def _join(path: str, name: str) -> str:
    return f"{path}.{name}" if path else name
