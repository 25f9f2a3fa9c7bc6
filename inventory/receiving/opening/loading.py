"""Writing an opening shelf: everything is checked and prepared outside, then written in one short transaction."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from django.db.models import Model

from inventory.catalogue.kinds.registry import KINDS
from inventory.catalogue.models import Part
from inventory.common import bulk, clock, locks
from inventory.common.errors import DomainError, FieldError
from inventory.common.quantities import mm_text
from inventory.common.transactions import require_transaction, use_case
from inventory.people.actors import Actor
from inventory.receiving.opening.reading import Fault, read
from inventory.receiving.opening.rows import KNOWN, REQUIRED, OpeningRow, PartRow, Progress, check
from inventory.stock import sizes
from inventory.stock.ledger import newest_movement, refuse_unapplied
from inventory.stock.models import Balance, Drawer, Lot, Movement, Reading, Site
from inventory.stock.services import MAIN_SITE

CHUNK = 500
Row = TypeVar("Row", bound=Model)


@dataclass(frozen=True, slots=True)
class Loaded:
    """What an opening shelf brought in; with faults it brought nothing."""

    faults: list[Fault]
    lots: int = 0
    pieces: int = 0
    parts: int = 0
    drawers: int = 0


def load_shelf(*, content: bytes, actor: Actor, progress: Progress, only_check: bool = False) -> Loaded:
    """Loads a CSV file onto the shelf: all rows, or none and every fault. Opens its own transaction.

    Raises DomainError `bad_file` when the file as a whole cannot be read, `conflict` when the shelf changed between
    checking and writing.
    """
    table = read(content, required=REQUIRED, known=KNOWN)
    rows, faults = check(table, today=clock.today(), progress=progress)
    faults = sorted(faults + against_shelf(rows), key=lambda fault: fault.line)
    if not table.rows and not faults:
        raise DomainError("bad_file", reason="It has a header but no rows.")
    if faults or only_check:
        return Loaded(faults)
    progress("writing", 0, len(rows))
    loaded = use_case(lambda: write(rows, actor))
    progress("writing", len(rows), len(rows))
    return loaded


def against_shelf(rows: Sequence[OpeningRow]) -> list[Fault]:
    """What contradicts the shelf as it is: lots that exist, parts with other sizes, retired things, wrong readings."""
    return [*_against_names(rows), *_against_readings(rows)]


def _against_names(rows: Sequence[OpeningRow]) -> list[Fault]:
    """Lots that exist, parts with other sizes, and what is retired."""
    faults: list[Fault] = []
    lots = set(_among(Lot, "number", [row.lot for row in rows]))
    retired = {drawer.code for drawer in Drawer.objects.exclude(retired_at=None)}
    retired_parts = set(Part.objects.exclude(retired_at=None).values_list("number", flat=True))
    parts = _known_parts({row.part.number for row in rows})
    for row in rows:
        if row.lot in lots:
            faults.append(Fault(row.line, "lot", "is on the shelf already; every lot has a number of its own"))
        if row.drawer in retired:
            faults.append(Fault(row.line, "drawer", "is retired; choose another"))
        if row.part.number in retired_parts:
            faults.append(Fault(row.line, "part", "is retired; take its successor"))
        known = parts.get(row.part.number)
        if known is not None and known != (row.part.kind, row.part.unit, row.part.columns):
            faults.append(Fault(row.line, "part", "is in the catalogue with other sizes; take another number"))
    return faults


def _against_readings(rows: Sequence[OpeningRow]) -> list[Fault]:
    """Samples that belong to another thickness than their part's, or to several."""
    faults: list[Fault] = []
    nominal = sorted({*sizes.nominal_thicknesses(), *(_nominal(row) for row in rows if _nominal(row))})
    for row in rows:
        wanted = _nominal(row)
        if not row.readings_um or not wanted:
            continue
        found = sizes.misfit(nominal_um=wanted, readings_um=row.readings_um, known_um=nominal)
        if found is None:
            continue
        if found.code == "mixed_sizes":
            read, of = sizes.readings_text(row.readings_um), sizes.readings_text(found.sizes_um)
            cure = f"{read} mm are of more than one size ({of}); sort the bag"
        else:
            mean = mm_text(round(sizes.mean_um(row.readings_um)))
            nearest = mm_text(found.nearest_um)
            cure = f"have a mean of {mean} mm, nearer to {nearest} than to {mm_text(wanted)}; check the bag"
        faults.append(Fault(row.line, "readings_mm", cure))
    return faults


def write(rows: Sequence[OpeningRow], actor: Actor) -> Loaded:
    """All rows in the transaction that is open. The values are plain tuples: only this part blocks others.

    The parts and drawers that are there already are locked and looked at again first: nobody retires or resizes them
    from then on. Raises DomainError `conflict` when the shelf changed so that a row is not right any more.
    """
    require_transaction()
    _lock(Part, "number", {row.part.number for row in rows})
    _lock(Drawer, "code", {row.drawer for row in rows})
    faults = _against_names(rows)
    if faults:
        errors = [FieldError(f"{one.line}.{one.column}", "conflict", one.cure) for one in faults]
        raise DomainError("conflict", errors=errors, what="Something", which=f"on line {faults[0].line} of this file")
    part_ids, new_parts = _parts(rows)
    drawer_ids, new_drawers = _drawers(rows)
    lot_ids = bulk.reserve(Lot, len(rows))
    bulk.insert(
        Lot,
        ("id", "number", "part_id", "condition", "source", "received_on", "cure_date"),
        (
            (
                key,
                row.lot,
                part_ids[row.part.number],
                row.condition,
                row.source,
                row.received_on.isoformat(),
                row.cure_date,
            )
            for key, row in zip(lot_ids, rows, strict=True)
        ),
    )
    balance_ids = bulk.reserve(Balance, len(rows))
    bulk.insert(
        Balance,
        ("id", "lot_id", "drawer_id", "on_hand", "held", "version"),
        ((key, lot, drawer_ids[row.drawer], 0, 0, 0) for key, lot, row in zip(balance_ids, lot_ids, rows, strict=True)),
    )
    _readings(rows, lot_ids, actor)
    person, client = actor.person and actor.person.pk, actor.client and actor.client.pk
    # Taken under the locks: whoever retires a part afterwards does so later.
    posting, at, before = uuid.uuid4(), clock.now(), newest_movement()
    stored_posting, stored_at = bulk.prepared(Movement, "posting", posting), bulk.prepared(Movement, "at", at)
    columns = "balance_id version on_hand_delta held_delta on_hand held person_id client_id reason cause_kind cause_id"
    fixed = (0, person, client, "opening shelf", "opening", posting.hex, stored_posting, stored_at, "", 0)
    bulk.insert(
        Movement,
        (*columns.split(), "posting", "at", "currency", "transaction"),
        ((key, 1, row.quantity, 0, row.quantity, *fixed) for key, row in zip(balance_ids, rows, strict=True)),
    )
    refuse_unapplied(posting=posting, after=before, count=len(rows))
    pieces = sum(row.pieces for row in rows)
    return Loaded([], lots=len(rows), pieces=pieces, parts=new_parts, drawers=new_drawers)


def _lock(table: type[Part] | type[Drawer], column: str, names: Iterable[str]) -> None:
    """Locks those of the names that are there until the transaction ends, in the order of their ids."""
    keys = sorted(row.pk for row in _in_chunks(table, column, names))
    for start in range(0, len(keys), CHUNK):
        rows = table._default_manager.filter(pk__in=keys[start : start + CHUNK]).order_by("pk")
        list(locks.for_update(rows))


def _parts(rows: Sequence[OpeningRow]) -> tuple[dict[str, int], int]:
    """{part number: id} with the new ones made, and how many those are."""
    described = {row.part.number: row.part for row in rows}
    ids = {part.number: part.pk for part in _in_chunks(Part, "number", described)}
    new = [part for number, part in described.items() if number not in ids]
    at = clock.now()
    made = Part.objects.bulk_create(
        Part(number=part.number, kind=part.kind, name=part.name, unit=part.unit, created_at=at) for part in new
    )
    ids.update({part.number: part.pk for part in made})
    by_kind: dict[str, list[PartRow]] = {}
    for part in new:
        by_kind.setdefault(part.kind, []).append(part)
    for kind, parts in by_kind.items():
        table = KINDS[kind].table
        table._default_manager.bulk_create(table(part_id=ids[part.number], **part.columns) for part in parts)
    return ids, len(new)


def _drawers(rows: Sequence[OpeningRow]) -> tuple[dict[str, int], int]:
    """{drawer code: id} with the new ones made, and how many those are."""
    codes = {row.drawer for row in rows}
    ids = {drawer.code: drawer.pk for drawer in _in_chunks(Drawer, "code", codes)}
    site, _ = Site.objects.get_or_create(code=MAIN_SITE, defaults={"name": "Main"})
    made = Drawer.objects.bulk_create(Drawer(site=site, code=code) for code in sorted(codes - set(ids)))
    ids.update({drawer.code: drawer.pk for drawer in made})
    return ids, len(made)


def _readings(rows: Sequence[OpeningRow], lot_ids: Sequence[int], actor: Actor) -> None:
    at = bulk.prepared(Reading, "taken_at", clock.now())
    person, client = actor.person and actor.person.pk, actor.client and actor.client.pk
    bulk.insert(
        Reading,
        ("lot_id", "thickness_um", "taken_at", "person_id", "client_id"),
        ((lot, um, at, person, client) for lot, row in zip(lot_ids, rows, strict=True) for um in row.readings_um),
    )


def _known_parts(numbers: Iterable[str]) -> dict[str, tuple[str, str, dict[str, object]]]:
    """{part number: (kind, unit, sizes as stored)} of the parts that the catalogue has already."""
    found = {part.pk: part for part in _in_chunks(Part, "number", numbers)}
    known = {}
    for kind in KINDS.values():
        columns = [size.column for size in kind.sizes]
        mine = [key for key, part in found.items() if part.kind == kind.code]
        for row in _in_chunks(kind.table, "pk", mine):
            part = found[row.pk]
            known[part.number] = (part.kind, part.unit, {column: getattr(row, column) for column in columns})
    return known


def _nominal(row: OpeningRow) -> int:
    return int(row.part.columns["thickness_um"]) if row.part.kind == "shim" else 0


def _among(table: type[Lot], column: str, values: Sequence[str]) -> list[str]:
    return [getattr(row, column) for row in _in_chunks(table, column, values)]


def _in_chunks(table: type[Row], column: str, values: Iterable[object]) -> list[Row]:
    """The rows whose column is among the values, some hundred at a time: engines limit the length of a statement."""
    wanted = list(values)
    found: list[Row] = []
    for start in range(0, len(wanted), CHUNK):
        found += table._default_manager.filter(**{f"{column}__in": wanted[start : start + CHUNK]})
    return found
