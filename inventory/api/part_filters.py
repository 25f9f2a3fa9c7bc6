"""Filters of /parts by kind and by size ranges, made from the registry of kinds with django-filter."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import django_filters
from django.db.models import Q, QuerySet
from django.http import QueryDict

from inventory.catalogue.kinds.registry import KINDS, Length, Word
from inventory.catalogue.models import Part
from inventory.common import quantities
from inventory.common.errors import DomainError, FieldError


def _by_name() -> dict[str, list[tuple[str, Length | Word]]]:
    """Every size name with the (lookup path, size) of each kind that has it."""
    found: dict[str, list[tuple[str, Length | Word]]] = {}
    for kind in KINDS.values():
        for size in kind.sizes:
            found.setdefault(size.name, []).append((f"{kind.table._meta.model_name}__{size.column}", size))
    return found


SIZES = _by_name()


def _within(name: str, comparison: str) -> Any:
    paths = [path for path, _ in SIZES[name]]

    def narrow(rows: QuerySet[Part], _: str, value: Any) -> QuerySet[Part]:
        um = quantities.um_from_mm(value)
        wanted = Q()
        for path in paths:
            wanted |= Q(**{f"{path}__{comparison}": um})
        return rows.filter(wanted)

    return narrow


def _equal(name: str) -> Any:
    paths = [path for path, _ in SIZES[name]]

    def narrow(rows: QuerySet[Part], _: str, value: str) -> QuerySet[Part]:
        wanted = Q()
        for path in paths:
            wanted |= Q(**{path: value})
        return rows.filter(wanted)

    return narrow


def _retired(rows: QuerySet[Part], _: str, value: str) -> QuerySet[Part]:
    return rows.filter(retired_at__isnull=value == "false")


def _filters() -> dict[str, django_filters.Filter]:
    found: dict[str, django_filters.Filter] = {
        "kind": django_filters.ChoiceFilter(field_name="kind", choices=[(code, code) for code in KINDS]),
        "number": django_filters.CharFilter(field_name="number"),
        "retired": django_filters.ChoiceFilter(method=_retired, choices=[("true", "true"), ("false", "false")]),
    }
    for name, uses in SIZES.items():
        if isinstance(uses[0][1], Length):
            for end, comparison in (("min", "gte"), ("max", "lte")):
                field = django_filters.NumberFilter(method=_within(name, comparison), max_digits=9, decimal_places=3)
                found[f"{name}_{end}"] = field
        elif uses[0][1].choices:
            words = sorted({word for _, size in uses if isinstance(size, Word) for word in size.choices})
            found[name] = django_filters.ChoiceFilter(method=_equal(name), choices=[(word, word) for word in words])
        else:
            found[name] = django_filters.CharFilter(method=_equal(name))
    return found


PartFilters: type[django_filters.FilterSet] = type("PartFilters", (django_filters.FilterSet,), _filters())
PARAMETERS = tuple(PartFilters.base_filters)


def filtered(rows: QuerySet[Part], asked: Mapping[str, str]) -> QuerySet[Part]:
    """The parts that match. Raises DomainError `invalid` naming the parameter that is wrong."""
    values = QueryDict(mutable=True)
    values.update({name: value for name, value in asked.items() if name in PARAMETERS})
    found = PartFilters(values, queryset=rows)
    if not found.is_valid():
        errors = [
            FieldError(str(name), "invalid", str(message))
            for name, messages in found.errors.items()
            for message in messages
        ]
        raise DomainError("invalid", errors=errors)
    narrowed: QuerySet[Part] = found.qs
    return narrowed
