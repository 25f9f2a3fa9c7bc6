"""From cells to checked rows: everything that can be said of a row without writing."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.catalogue.kinds.registry import KINDS, Kind
from inventory.catalogue.models import Unit
from inventory.common import clock, quantities, writing
from inventory.receiving.opening.reading import Fault, Table
from inventory.stock import cure_dates
from inventory.stock.models import Condition

REQUIRED = ("part", "kind", "name", "lot", "drawer", "quantity")
OPTIONAL = ("unit", "condition", "received_on", "source", "cure_date", "readings_mm")
SIZES = frozenset(size.name for kind in KINDS.values() for size in kind.sizes)
KNOWN = frozenset({*REQUIRED, *OPTIONAL}) | SIZES
LIMITS = {"part": 40, "name": 120, "lot": 40, "drawer": 20, "source": 120}
MOST_READINGS = 200
REPORT_EVERY = 2000


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part as a row describes it."""

    number: str
    kind: str
    name: str
    unit: str
    columns: dict[str, Any]


@dataclass(frozen=True, slots=True)
class OpeningRow:
    """One lot in one drawer."""

    line: int
    part: PartRow
    lot: str
    drawer: str
    quantity: int
    condition: str
    received_on: date
    source: str
    cure_date: str
    readings_um: tuple[int, ...]

    @property
    def pieces(self) -> int:
        """How many pieces it brings; none of what is counted in another unit."""
        return self.quantity if self.part.unit == Unit.PIECE else 0


Progress = Callable[[str, int, int], None]


def check(table: Table, *, today: date, progress: Progress) -> tuple[list[OpeningRow], list[Fault]]:
    """(checked rows, faults): every fault of every row, in the order of the file."""
    rows: list[OpeningRow] = []
    faults = list(table.faults)
    parts: dict[tuple[str, ...], PartRow] = {}
    lots: dict[str, int] = {}
    described: dict[str, tuple[int, PartRow]] = {}
    for done, (line, cells) in enumerate(table.rows):
        if done % REPORT_EVERY == 0:
            progress("checking", done, len(table.rows))
        reader = _Row(line, cells, table.comma)
        row = reader.read(parts, today)
        lot = cells["lot"]
        if lot and lots.setdefault(lot, line) != line:
            reader.fault("lot", f"is also on line {lots[lot]}; every lot has a number of its own")
        if row is not None:
            first_line, first = described.setdefault(row.part.number, (line, row.part))
            if first is not row.part and first != row.part:
                reader.fault("part", f"is described otherwise on line {first_line}; make both lines alike")
        if reader.faults:
            faults += reader.faults
        elif row is not None:
            rows.append(row)
    progress("checking", len(table.rows), len(table.rows))
    return rows, sorted(faults, key=lambda fault: fault.line)


class _Row:
    """One row while it is read; gathers its faults."""

    def __init__(self, line: int, cells: dict[str, str], comma: bool) -> None:
        self.line, self.cells, self.comma = line, cells, comma
        self.faults: list[Fault] = []

    def fault(self, column: str, cure: str) -> None:
        self.faults.append(Fault(self.line, column, cure))

    def read(self, parts: dict[tuple[str, ...], PartRow], today: date) -> OpeningRow | None:
        texts = {name: self._text(name, most, required=name != "source") for name, most in LIMITS.items()}
        part = self._part(parts, texts)
        row = OpeningRow(
            line=self.line,
            part=part or PartRow("", "", "", "", {}),
            lot=texts["lot"],
            drawer=texts["drawer"],
            quantity=self._quantity(),
            condition=self._choice("condition", list(Condition), Condition.NEW),
            received_on=self._date("received_on", today),
            source=texts["source"],
            cure_date=self._cure_date(),
            readings_um=self._readings(),
        )
        return row if part is not None and not self.faults else None

    def _part(self, parts: dict[tuple[str, ...], PartRow], texts: dict[str, str]) -> PartRow | None:
        """The part of this row; rows that describe the same part alike share one object."""
        kind = KINDS.get(self.cells["kind"])
        if kind is None:
            self.fault("kind", f"is one of {', '.join(KINDS)}; not {self.cells['kind'][:40]!r}")
            return None
        unit = self._choice("unit", list(Unit), Unit.PIECE)
        mine = [size.name for size in kind.sizes]
        key = (texts["part"], kind.code, texts["name"], unit, *(self.cells.get(name, "") for name in mine))
        self._refuse_foreign_sizes(kind, mine)
        found = parts.get(key)
        if found is None:
            columns, errors = kind.clean(self.cells, comma=self.comma)
            if unit in Unit and (refused := kind.unit_error(unit)):
                errors["unit"] = refused
            for name, cure in errors.items():
                self.fault(name, cure)
            if errors:
                return None
            found = parts[key] = PartRow(texts["part"], kind.code, texts["name"], unit, columns)
        return found

    def _refuse_foreign_sizes(self, kind: Kind, mine: Iterable[str]) -> None:
        for name in SIZES.intersection(self.cells).difference(mine):
            if self.cells[name]:
                self.fault(name, f"is not a size of the kind {kind.code}; leave the cell empty")

    def _text(self, column: str, most: int, *, required: bool = True) -> str:
        text = writing.tidy(self.cells.get(column, ""))
        if not text and required:
            self.fault(column, "is empty")
        elif refused := writing.refusal(text):
            self.fault(column, refused)
        elif len(text) > most:
            self.fault(column, f"may have at most {most} characters")
        return text

    def _quantity(self) -> int:
        text = self.cells["quantity"]
        pieces = quantities.whole_number(text, digits=7)
        if pieces is not None and 1 <= pieces <= quantities.MOST_PIECES:
            return pieces
        self.fault("quantity", f"must be a whole number from 1 to {quantities.MOST_PIECES}; not {text[:40]!r}")
        return 0

    def _choice(self, column: str, known: list[str], default: str) -> str:
        text = self.cells.get(column, "") or default
        if text not in known:
            self.fault(column, f"is one of {', '.join(known)}; not {text[:40]!r}")
        return str(text)

    def _date(self, column: str, today: date) -> date:
        text = self.cells.get(column, "")
        if not text:
            return today
        try:
            found = date.fromisoformat(text)
        except ValueError:
            self.fault(column, f"must be a date as in 2026-03-31; not {text[:40]!r}")
            return today
        if not clock.can_have_come_in(found, today):
            self.fault(column, f"must lie between {clock.FIRST_DAY.year} and today")
        return found

    def _cure_date(self) -> str:
        text = self.cells.get("cure_date", "")
        try:
            return cure_dates.read(text)
        except ValueError as error:
            self.fault("cure_date", f"{error}; not {text[:40]!r}")
            return ""

    def _readings(self) -> tuple[int, ...]:
        words = self.cells.get("readings_mm", "").split()
        if len(words) > MOST_READINGS:
            self.fault("readings_mm", f"may hold at most {MOST_READINGS} readings")
            return ()
        found = []
        for word in words:
            try:
                um = quantities.um_from_mm(word, comma=self.comma)
            except ValueError as error:
                self.fault("readings_mm", f"{error}; readings are separated by blanks")
                return ()
            if not 0 < um <= 20_000:
                self.fault("readings_mm", f"{word} mm is no thickness; is the unit right?")
                return ()
            found.append(um)
        return tuple(found)
