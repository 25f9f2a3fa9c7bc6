"""Rows of the bench as the stacks of a request, and the way back from a path of that request to its row."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from compat.pages.bench.stack_rows import Row, Side
from compat.pages.stack_text import Fault
from compat.plans.sent import SentLine, SentValve
from inventory.common import quantities
from inventory.common.sizes.numbers import single
from inventory.counter.forms import sentence

MOST_PIECES = 200
CELL_OF = {"od_mm": "od", "thickness_mm": "thickness", "quantity": "count", "bore_mm": "od", "form": "od"}
PATH = re.compile(r"valves\.(?P<valve>\d++)\.stacks\.(?P<side>\w++)(?:\.(?P<line>\d++))?(?:\.(?P<name>\w++))?")


@dataclass(frozen=True, slots=True)
class Place:
    """Where a path of the request leads: a side, and the row and cell of it unless the side as a whole is meant."""

    side: Side
    row: Row | None
    cell: str

    def mark(self, text: str) -> None:
        """Shows what is wrong there; what is marked already stays."""
        if self.row is None:
            self.side.faults.append(Fault(0, "", text))
        else:
            before = self.row.errors.get(self.cell)
            self.row.errors[self.cell] = f"{before} {text}" if before else text


@dataclass(frozen=True, slots=True)
class SentStacks:
    """The stacks as a request holds them, and the rows behind them in the same order.

    The order is fixed once, when the rows are read: a row that is marked later keeps its number.
    """

    valves: list[SentValve] = field(default_factory=list)
    sides: dict[tuple[int, str], tuple[Side, list[Row]]] = field(default_factory=dict)

    def place(self, path: str) -> Place | None:
        """Where a dotted path such as `valves.0.stacks.rebound.2.od_mm` leads; None if to no side that was sent."""
        found = PATH.fullmatch(path)
        side, rows = self.sides.get((int(found["valve"]), found["side"]), (None, [])) if found else (None, [])
        if found is None or side is None:
            return None
        line = int(found["line"]) if found["line"] else len(rows)
        row = rows[line] if line < len(rows) else None
        return Place(side, row, CELL_OF.get(found["name"] or "", "od"))


def sent_stacks(sides: Iterable[Side]) -> SentStacks:
    """The whole rows in the form of the API; what cannot be read is marked in its row and left out."""
    found = SentStacks()
    numbers: dict[str, int] = {}
    for side in sides:
        whole = [(row, line) for row in side.rows if (line := _line(row)) is not None]
        if not whole:
            continue
        number = numbers.setdefault(side.valve, len(numbers))
        if number == len(found.valves):
            found.valves.append({"code": side.valve, "stacks": {}})
        found.valves[number]["stacks"][side.side] = [line for _, line in whole]
        found.sides[number, side.side] = (side, [row for row, _ in whole])
    return found


def _line(row: Row) -> SentLine | None:
    """The row in the form of the API; None where a cell is empty or cannot be read, with the error in the row."""
    if not row.is_whole or row.errors:
        return None
    od, thickness = _mm(row, "od", row.od), _mm(row, "thickness", row.thickness)
    bore = _mm(row, "od", row.bore) if row.bore else None
    quantity = quantities.whole_number(row.count, digits=6) or 0
    if not 1 <= quantity <= MOST_PIECES:
        row.errors["count"] = f"It must be a whole number from 1 to {MOST_PIECES}."
    if row.errors or od is None or thickness is None:
        return None
    line: SentLine = {"od_mm": od, "thickness_mm": thickness, "quantity": quantity}
    if bore is not None:
        line["bore_mm"] = bore
    if row.form:
        line["form"] = row.form
    return line


def _mm(row: Row, cell: str, text: str) -> float | None:
    """A length of the row in millimetres; None where it cannot be read, with the error at the cell."""
    try:
        return quantities.um_from_mm(single(text) or text, comma=True) / 1000
    except ValueError as error:
        row.errors[cell] = sentence(str(error))
    return None
