"""Making parts, and changing them while nothing depends on their sizes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inventory.catalogue.kinds.registry import KINDS, Kind
from inventory.catalogue.models import Part, Unit
from inventory.common import clock
from inventory.common.errors import DomainError, FieldError, invalid
from inventory.common.transactions import require_transaction


def create_part(
    *, number: str, kind: str, name: str, sizes: Mapping[str, Any], unit: str = Unit.PIECE, comma: bool = False
) -> Part:
    """A new part with its sizes (by their outside names), counted in a unit of its kind.

    Raises DomainError `invalid` or `conflict`.
    """
    require_transaction()
    found = known_kind(kind)
    columns, errors = found.clean(sizes, comma=comma)
    if refused := found.unit_error(unit):
        errors["unit"] = refused
    # Its page stands under this number, and browsers walk along dots.
    if {".", ".."} & set(number.split("/")):
        raise invalid("number", "cannot be a dot or two, nor have them between slashes: no page could be opened by it")
    if errors:
        raise DomainError("invalid", errors=[FieldError(name, "invalid", text) for name, text in errors.items()])
    if Part.objects.filter(number=number).exists():
        raise DomainError("conflict", what="Part", which=number)
    part = Part.objects.create(number=number, kind=kind, name=name, unit=unit, created_at=clock.now())
    found.table._default_manager.create(part=part, **columns)
    return part


def known_kind(code: str) -> Kind:
    """The kind of that code. Raises DomainError `invalid`."""
    if code not in KINDS:
        raise invalid("kind", f"is one of {', '.join(KINDS)}; not {code[:40]!r}")
    return KINDS[code]


def retire_part(*, part: Part) -> None:
    """Takes a part out of use; its lots and history stay."""
    require_transaction()
    part.retired_at = part.retired_at or clock.now()
    part.save(update_fields=["retired_at"])
