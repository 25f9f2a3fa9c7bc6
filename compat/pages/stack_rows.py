"""The stacks on the bench as rows of typed cells: what was typed is kept exactly, also where it cannot be read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from compat.pages.stack_text import MOST_LINES, Fault, read_lines, size_text
from inventory.common import quantities

CELLS = ("od", "thickness", "count")
NAMES = {"od_mm": "od", "thickness_mm": "thickness", "quantity": "count", "bore_mm": "od", "form": "od"}
MOST_ROWS = 2 * MOST_LINES


@dataclass(slots=True)
class Row:
    """One shim size as typed. `bore` and `form` come from a typed line such as `34x0.15x10 x3 notched`."""

    od: str = ""
    thickness: str = ""
    count: str = ""
    bore: str = ""
    form: str = ""
    errors: dict[str, str] = field(default_factory=dict)

    @property
    def is_empty(self) -> bool:
        return not (self.od or self.thickness or self.count)

    @property
    def is_whole(self) -> bool:
        """Whether all three cells are filled in."""
        return bool(self.od and self.thickness and self.count)

    @property
    def is_begun(self) -> bool:
        """Whether something is filled in and something is not."""
        return not self.is_empty and not self.is_whole

    @property
    def cells(self) -> list[tuple[str, str, str]]:
        """(cell, what was typed, its error) in the order of typing."""
        return [(name, getattr(self, name), self.errors.get(name, "")) for name in CELLS]


@dataclass(slots=True)
class Side:
    """One side of one valve: its rows, face first, and where typing goes on."""

    valve: str
    side: str
    rows: list[Row] = field(default_factory=list)
    text: str = ""
    faults: list[Fault] = field(default_factory=list)
    focus: int | None = None

    @property
    def key(self) -> str:
        """The name under which its fields are sent."""
        return f"{self.valve}-{self.side}"

    @property
    def shown(self) -> list[tuple[int, Row]]:
        """The rows with an empty one behind them to type into."""
        return list(enumerate([*self.rows, Row()]))

    @property
    def focus_at(self) -> int | None:
        """The row in which typing goes on: the first that is wrong or not whole, else the one that was asked for."""
        if self.focus is None:
            return None
        return next((index for index, row in enumerate(self.rows) if row.errors or row.is_begun), self.focus)

    @property
    def focus_cell(self) -> str:
        """The cell in which typing goes on."""
        at = self.focus_at
        row = self.rows[at] if at is not None and at < len(self.rows) else Row()
        return next((name for name, typed, error in row.cells if error or not typed), CELLS[0])

    @property
    def pieces(self) -> int:
        """How many shims stand on it, as far as the counts can be read."""
        counts = (row.count.strip() for row in self.rows)
        return sum(int(count) for count in counts if count.isascii() and count.isdigit() and len(count) < 5)

    def lines(self) -> list[dict[str, Any]]:
        """The whole rows in the form of the API; what cannot be read is marked in its row and left out."""
        found = []
        for row in self.rows:
            line = _line(row)
            if line is not None and not row.errors:
                found.append(line)
        return found

    def whole(self) -> list[Row]:
        """The rows that lines() takes, in the same order."""
        return [row for row in self.rows if row.is_whole and not row.errors]


def side_from(data: Mapping[str, str], valve: str, side: str) -> Side:
    """The rows of a side as they were sent; a cell that holds whole lines becomes as many rows."""
    found = Side(valve, side)
    for index in range(MOST_ROWS):
        base = f"{found.key}-{index}"
        if f"{base}-od" not in data:
            break
        cells = {name: data.get(f"{base}-{name}", "").strip()[:200] for name in (*CELLS, "bore", "form")}
        row = Row(cells["od"], cells["thickness"], cells["count"], cells["bore"], cells["form"])
        if not (row.thickness or row.count) and _is_text(row.od):
            found.rows += _rows(row.od, found, row)
        else:
            found.rows.append(row)
    # The empty row behind the last one is the page's own; one between others was put there, and a button may name it.
    while found.rows and found.rows[-1].is_empty:
        found.rows.pop()
    text = data.get(f"{found.key}-text", "")
    if text.strip():
        typed = _rows(text, found, None)
        found.rows += typed
        found.text = text if found.faults else ""
    return found


def side_of(valve: str, side: str, lines: Iterable[Mapping[str, Any]], usual_bore_mm: float | None) -> Side:
    """The rows of a saved or recorded stack."""
    return Side(valve, side, [_row(line, usual_bore_mm) for line in lines])


def remove(side: Side, index: int) -> None:
    """Takes a row away and puts the focus where it was."""
    if 0 <= index < len(side.rows):
        del side.rows[index]
        side.focus = index


def insert(side: Side, index: int) -> None:
    """An empty row before another one."""
    if 0 <= index <= len(side.rows):
        side.rows.insert(index, Row())
        side.focus = index


def end(side: Side) -> None:
    """A row was ended: typing goes on behind the last one."""
    side.focus = len(side.rows)


def require_whole(sides: Iterable[Side]) -> None:
    """Marks every cell that is still empty in a row that was begun."""
    for side in sides:
        for row in side.rows:
            if row.is_begun:
                row.errors |= {name: "It is still missing." for name, typed, _ in row.cells if not typed}


def refuse(sides: Iterable[Side], path: str, message: str) -> bool:
    """Marks the row that a path of the API's request names; whether there is one."""
    words = path.split(".")
    if "stacks" not in words:
        return False
    side, *rest = words[words.index("stacks") + 1 :] or [""]
    valve = words[words.index("valves") + 1] if "valves" in words else "0"
    candidates = [one for one in sides if one.side == side]
    by_valve = {str(index): code for index, code in enumerate(dict.fromkeys(one.valve for one in sides if one.whole()))}
    found = next((one for one in candidates if one.valve == by_valve.get(valve, one.valve)), None)
    if found is None:
        return False
    rows = found.whole()
    if len(rest) < 2 or not rest[0].isdigit() or int(rest[0]) >= len(rows):
        found.faults.append(Fault(0, "", message))
        return True
    rows[int(rest[0])].errors[NAMES.get(rest[1], "od")] = message
    return True


def _is_text(cell: str) -> bool:
    return ";" in cell or any(sign in cell for sign in "xX×* \n")


def _rows(text: str, side: Side, instead: Row | None) -> Iterator[Row]:
    """Typed text as rows; what cannot be read stays in a row of its own, or in the text it came from."""
    lines, faults = read_lines(text)
    if instead is not None and faults:
        instead.errors["od"] = f"{faults[0].cure[:1].upper()}{faults[0].cure[1:]}."
        yield instead
        return
    side.faults += faults
    if not faults:
        yield from (_row(line, None) for line in lines)


def _row(line: Mapping[str, Any], usual_bore_mm: float | None) -> Row:
    bore, form = line.get("bore_mm"), line.get("form", "round")
    return Row(
        od=f"{line['od_mm']:g}",
        thickness=size_text(line["thickness_mm"]),
        count=str(line["quantity"]),
        bore=f"{bore:g}" if bore and bore != usual_bore_mm else "",
        form="" if form == "round" else form,
    )


def _line(row: Row) -> dict[str, Any] | None:
    """The row in the form of the API; None where a cell is empty or cannot be read, with the error in the row."""
    if not row.is_whole:
        return None
    line: dict[str, Any] = {}
    for name, cell in (("od_mm", "od"), ("thickness_mm", "thickness"), ("bore_mm", "bore")):
        text = getattr(row, cell)
        if not text:
            continue
        try:
            line[name] = quantities.um_from_mm(text, comma=True) / 1000
        except ValueError as error:
            row.errors["od" if cell == "bore" else cell] = f"It {error}."
    if row.count.isascii() and row.count.isdigit() and 1 <= int(row.count[:6]) <= 200:
        line["quantity"] = int(row.count)
    else:
        row.errors["count"] = "It must be a whole number from 1 to 200."
    if row.form:
        line["form"] = row.form
    return line
