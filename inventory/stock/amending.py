"""Correcting what is said of a part, a lot or a drawer. Each correction keeps who made it and why.

Every edit names what its author had read, so that nobody overwrites what somebody else has just corrected.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import F, Model

from inventory.amendments.models import Amendment, Subject
from inventory.amendments.services import Change, keep
from inventory.catalogue.kinds.registry import KINDS, Kind, Length, Word
from inventory.catalogue.models import Part, Supplier
from inventory.common import clock, locks
from inventory.common.errors import DomainError, FieldError, invalid
from inventory.common.quantities import mm_text
from inventory.common.transactions import require_transaction
from inventory.people.actors import Actor
from inventory.stock import compounds, cure_dates
from inventory.stock.models import Balance, Drawer, Lot
from inventory.stock.services import add_readings, refuse_other_size
from inventory.stock.sizes import thickness_um

IN_USE, RETIRED = "in use", "retired"
STATE = "state"
NOT_KNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class PartEdit:
    """What a part should read. `sizes` by their outside names as somebody types them; those left out stay as they
    are."""

    name: str
    retired: bool
    sizes: Mapping[str, Any] | None = None


@dataclass(frozen=True, slots=True)
class LotEdit:
    """What a lot should read. `supplier` is a name, empty for none; `cure_date` a quarter as in 2026-Q3, or empty."""

    supplier: str
    source: str
    received_on: date
    cure_date: str


def part_reads(part: Part, row: Model) -> dict[str, str]:
    """Every field of a part that can be edited, as text; `row` is its row in the table of its kind."""
    kind = KINDS[part.kind]
    sizes = {size.name: _size_text(size, getattr(row, size.column)) for size in kind.sizes}
    return {"name": part.name, STATE: _state(part), **sizes}


def lot_reads(lot: Lot) -> dict[str, str]:
    """Every field of a lot that can be edited, as text."""
    return {
        "supplier": lot.supplier.name if lot.supplier else "",
        "source": lot.source,
        "received_on": lot.received_on.isoformat(),
        "cure_date": lot.cure_date,
    }


def seen(reads: Mapping[str, str]) -> str:
    """A short text that differs when any field differs: what an edit names as read."""
    return hashlib.sha256(repr(sorted(reads.items())).encode()).hexdigest()[:16]


def edit_part(*, number: str, edit: PartEdit, read: str, reason: str, actor: Actor) -> list[Amendment]:
    """Corrects a part; returns what differed. `read` is seen() of what the author read.

    Raises DomainError: `not_found`, `invalid` for a field or a missing reason, `sizes_frozen` for another size once a
    lot exists (a compound that nobody knew may be told), `edited_meanwhile` with what each field reads now.
    """
    require_transaction()
    part = _locked(Part, number=number)
    kind = KINDS[part.kind]
    row = kind.table._default_manager.get(pk=part.pk)
    before = part_reads(part, row)
    columns = _columns(kind, edit.sizes, before)
    after = {**before, "name": edit.name.strip(), STATE: RETIRED if edit.retired else IN_USE}
    after.update({size.name: _size_text(size, columns[size.column]) for size in kind.sizes if size.column in columns})
    if not after["name"]:
        raise invalid("name", "is required")
    _refuse_stale(before, after, read)
    changes = _changes(before, after)
    resized = set(changes) - {"name", STATE}
    if resized - open_with_lots(kind, before) and Lot.objects.filter(part=part).exists():
        raise DomainError("sizes_frozen", which=number)
    told = kind.ages_by is not None and any(size.column == kind.ages_by and size.name in resized for size in kind.sizes)
    free = _free_of(part) if told else []
    kept = keep(subject=Subject.PART, subject_id=part.pk, changes=changes, reason=reason, actor=actor)
    if resized:
        kind.table._default_manager.filter(pk=part.pk).update(**columns)
    if told:
        compounds.tell(free, part=part, actor=actor)
    part.name = after["name"]
    part.retired_at = (part.retired_at or clock.now()) if edit.retired else None
    part.save(update_fields=["name", "retired_at"])
    return kept


def open_with_lots(kind: Kind, reads: Mapping[str, str]) -> set[str]:
    """What of a part's sizes, by outside names, may be told although lots of it exist: the compound by which they age,
    while it is unknown. `reads` is part_reads(). A compound that is known stays: another one is another part."""
    return {size.name for size in kind.sizes if size.column == kind.ages_by and reads[size.name] == NOT_KNOWN}


def edit_lot(*, number: str, edit: LotEdit, read: str, reason: str, actor: Actor) -> list[Amendment]:
    """Corrects where a lot comes from and when; returns what differed.

    Raises DomainError: `not_found`, `invalid` for a field or a missing reason, `edited_meanwhile`.
    """
    require_transaction()
    lot = _locked(Lot, number=number)
    cure_date = _refuse_days(edit)
    before = lot_reads(lot)
    after = {
        "supplier": edit.supplier.strip(),
        "source": edit.source.strip(),
        "received_on": edit.received_on.isoformat(),
        "cure_date": cure_date,
    }
    _refuse_stale(before, after, read)
    changes = _changes(before, after)
    kept = keep(subject=Subject.LOT, subject_id=lot.pk, changes=changes, reason=reason, actor=actor)
    name = after["supplier"]
    lot.supplier = Supplier.objects.get_or_create(name=name)[0] if name else None
    lot.source, lot.received_on, lot.cure_date = after["source"], edit.received_on, cure_date
    lot.save(update_fields=["supplier", "source", "received_on", "cure_date"])
    return kept


def add_sample(*, number: str, readings_um: Sequence[int], actor: Actor) -> None:
    """Keeps a sample of thickness readings of a lot. Its mean is judged alone: the bag may have been mixed since.

    Raises DomainError: `not_found`, `invalid` without a reading or for a part that has no thickness, and what
    refuse_other_size() raises.
    """
    require_transaction()
    lot = _locked(Lot, number=number)
    if not readings_um:
        raise invalid("readings_um", "needs at least one reading")
    if thickness_um(lot.part) is None:
        raise invalid("readings_um", "cannot be kept: this part has no thickness")
    refuse_other_size(part=lot.part, readings_um=readings_um)
    add_readings(lot=lot, readings_um=readings_um, actor=actor)


def set_drawer_state(*, code: str, retired: bool, reason: str, actor: Actor) -> list[Amendment]:
    """Retires an empty drawer, or opens it again. Raises DomainError `not_found`, `invalid`, `drawer_not_empty`."""
    require_transaction()
    drawer = _locked(Drawer, code=code)
    if retired and Balance.objects.filter(drawer=drawer, on_hand__gt=0).exists():
        raise DomainError("drawer_not_empty", which=code)
    changes = _changes({STATE: _state(drawer)}, {STATE: RETIRED if retired else IN_USE})
    kept = keep(subject=Subject.DRAWER, subject_id=drawer.pk, changes=changes, reason=reason, actor=actor)
    drawer.retired_at = (drawer.retired_at or clock.now()) if retired else None
    drawer.save(update_fields=["retired_at"])
    return kept


def use_for_pieces(*, drawer: int, actor: Actor) -> None:
    """Locks a drawer in which pieces were found, and opens it again where it is retired: what lies there is true."""
    require_transaction()
    found = locks.take_one(Drawer.objects.filter(pk=drawer))
    if found is None or found.retired_at is None:
        return
    changes = {STATE: (RETIRED, IN_USE)}
    keep(subject=Subject.DRAWER, subject_id=found.pk, changes=changes, reason="pieces were counted in it", actor=actor)
    found.retired_at = None
    found.save(update_fields=["retired_at"])


def _free_of(part: Part) -> list[Balance]:
    """The balances of a part with free pieces, under lock."""
    return locks.take(Balance.objects.filter(lot__part=part, lot__retired_at=None, on_hand__gt=F("held")))


def _locked(table: type[Any], **name: str) -> Any:
    """The row of that name under lock. Raises DomainError `not_found`."""
    found = locks.take_one(table._default_manager.filter(**name))
    if found is None:
        raise DomainError("not_found", what=table.__name__.lower(), which=next(iter(name.values())))
    return found


def _columns(kind: Kind, sizes: Mapping[str, Any] | None, before: Mapping[str, str]) -> dict[str, Any]:
    if sizes is None:
        return {}
    columns, errors = kind.clean({**before, **sizes}, comma=True)
    if errors:
        raise DomainError("invalid", errors=[FieldError(name, "invalid", text) for name, text in errors.items()])
    return columns


def _refuse_days(edit: LotEdit) -> str:
    """The cure date as it is kept. Raises DomainError `invalid` for it and for the day of receiving."""
    wrong = []
    cure_date = ""
    if not clock.can_have_come_in(edit.received_on, clock.today()):
        text = f"must lie between {clock.FIRST_DAY.year} and today"
        wrong.append(FieldError("received_on", "invalid", text))
    try:
        cure_date = cure_dates.read(edit.cure_date)
    except ValueError as error:
        wrong.append(FieldError("cure_date", "invalid", str(error)))
    if wrong:
        raise DomainError("invalid", errors=wrong)
    return cure_date


def _refuse_stale(before: Mapping[str, str], after: Mapping[str, str], read: str) -> None:
    """Raises DomainError `edited_meanwhile` with what each field that differs from the edit reads now."""
    if read == seen(before):
        return
    errors = [
        FieldError(name, "edited_meanwhile", f"reads {text or 'nothing'!r} now; you typed {after[name] or 'nothing'!r}")
        for name, text in before.items()
        if text != after[name]
    ]
    if errors:
        raise DomainError("edited_meanwhile", errors=errors)


def _changes(before: Mapping[str, str], after: Mapping[str, str]) -> dict[str, Change]:
    return {name: (text, after[name]) for name, text in before.items() if text != after[name]}


def _state(subject: Part | Drawer) -> str:
    return IN_USE if subject.retired_at is None else RETIRED


def _size_text(size: Length | Word, value: Any) -> str:
    if value is None:
        return ""
    return mm_text(value) if isinstance(size, Length) else str(value)
