"""Every route of the API as the URL resolver knows it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver

PREFIX = "api/v1/"


@dataclass(frozen=True, order=True)
class Route:
    """A method on an address; the address's parameters stand as `{}`."""

    method: str
    path: str

    def __str__(self) -> str:
        return f"{self.method} {self.path}"


def views() -> dict[str, Any]:
    """{address: view class} of everything below the API's root."""
    return {_plain("/" + path.removeprefix(PREFIX)): view for path, view in _walk(get_resolver(), "") if _ours(path)}


def routes() -> list[Route]:
    """Every method that any address answers, except OPTIONS, which every view has."""
    found = []
    for path, view in views().items():
        found += [Route(name.upper(), path) for name in view.http_method_names if hasattr(view, name)]
    return sorted(route for route in found if route.method not in {"OPTIONS", "HEAD"})


def plain(path: str) -> str:
    """An address with `{}` for each parameter, whatever the parameter is called."""
    return re.sub(r"\{[^}]*\}", "{}", path)


def _plain(path: str) -> str:
    return re.sub(r"<[^>]*>", "{}", path)


def _ours(path: str) -> bool:
    return path.startswith(PREFIX)


def _walk(resolver: URLResolver, before: str) -> Iterator[tuple[str, Any]]:
    for pattern in resolver.url_patterns:
        here = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from _walk(pattern, here)
        elif isinstance(pattern, URLPattern):
            yield here, getattr(pattern.callback, "view_class", pattern.callback)
