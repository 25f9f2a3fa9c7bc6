"""All shims of one bore and form as a grid: diameters down, thicknesses across, pieces in the cells."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from inventory.catalogue.kinds.shims import Shim
from inventory.common.quantities import mm_text, short_mm
from inventory.holds import amounts
from inventory.stock import browsing


@dataclass(frozen=True, slots=True)
class Entry:
    """One part of the grid with its pieces, sizes in micrometres."""

    od_um: int
    thickness_um: int
    number: str
    available: int
    held: int


@dataclass(slots=True)
class Cell:
    """One size. `state` is `some` or `none` for a size of the catalogue, `gap` for one between its neighbours that no
    part has, empty for one outside the range."""

    size: str
    state: str = ""
    available: int = 0
    held: int = 0
    numbers: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Row:
    """One diameter."""

    diameter: str
    cells: list[Cell]

    @property
    def total(self) -> int:
        return sum(cell.available for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Grid:
    """The shelf at a glance. `thicknesses` are the heads of the columns, millimetres as text."""

    thicknesses: list[str]
    rows: list[Row]

    @property
    def totals(self) -> list[int]:
        return [sum(row.cells[at].available for row in self.rows) for at in range(len(self.thicknesses))]

    @property
    def total(self) -> int:
        return sum(row.total for row in self.rows)

    @property
    def sizes(self) -> int:
        """How many sizes the catalogue has."""
        return sum(1 for row in self.rows for cell in row.cells if cell.numbers)

    @property
    def short(self) -> int:
        """How many of them have nothing available."""
        return sum(1 for row in self.rows for cell in row.cells if cell.state == "none")


def read(*, bore_um: int, form: str, conditions: Sequence[str]) -> Grid:
    """The grid of a bore and form; three queries however many sizes there are."""
    shims = browsing.shims(bore_um=bore_um, form=form)
    known = amounts.of_parts([shim.part for shim in shims])
    entries = []
    for shim in shims:
        its = [known[shim.part_id, condition] for condition in conditions]
        available, held = sum(one.available for one in its), sum(one.held for one in its)
        if shim.part.retired_at is None or any(one.on_hand for one in its):
            entries.append(_entry(shim, available, held))
    return laid_out(entries)


def laid_out(entries: Iterable[Entry]) -> Grid:
    """The grid of some parts: a row for each diameter and a column for each thickness that occurs."""
    listed = list(entries)
    diameters = sorted({entry.od_um for entry in listed})
    thicknesses = sorted({entry.thickness_um for entry in listed})
    cells = [[Cell(f"{short_mm(od)}x{mm_text(thick)}") for thick in thicknesses] for od in diameters]
    for entry in listed:
        cell = cells[diameters.index(entry.od_um)][thicknesses.index(entry.thickness_um)]
        cell.available += entry.available
        cell.held += entry.held
        cell.numbers.append(entry.number)
        cell.state = "some" if cell.available else "none"
    _mark_gaps(cells)
    _mark_gaps([list(column) for column in zip(*cells, strict=True)])
    rows = [Row(short_mm(od), row) for od, row in zip(diameters, cells, strict=True)]
    return Grid([mm_text(thick) for thick in thicknesses], rows)


def _mark_gaps(lines: Iterable[Sequence[Cell]]) -> None:
    """What lies between two sizes of the catalogue on a line, and is none, is a gap."""
    for line in lines:
        known = [at for at, cell in enumerate(line) if cell.numbers]
        for cell in line[known[0] : known[-1]] if known else ():
            cell.state = cell.state or "gap"


def _entry(shim: Shim, available: int, held: int) -> Entry:
    return Entry(shim.od_um, shim.thickness_um, shim.part.number, available, held)
