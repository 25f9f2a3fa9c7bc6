"""The stacks on the bench as rows of typed cells, and what the buttons of a row do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from compat.pages.stack_text import Fault
from inventory.common.quantities import whole_number

CELLS = ("od", "thickness", "count")


@dataclass(slots=True)
class Row:
    """One shim size as typed. `bore` and `form` come from a typed line such as `34x0.15x10 x3 notched`.

    `posted` is the number under which the page sent it; of a cell that held whole lines all their rows have it.
    """

    od: str = ""
    thickness: str = ""
    count: str = ""
    bore: str = ""
    form: str = ""
    posted: int | None = None
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
    focus_text: bool = False

    @property
    def key(self) -> str:
        """The name under which its fields are sent."""
        return f"{self.valve}-{self.side}"

    @property
    def label(self) -> str:
        """What it is called: `Rebound`, or `Base valve, rebound`."""
        return self.side.capitalize() if self.valve == "main" else f"{self.valve.capitalize()} valve, {self.side}"

    @property
    def shown(self) -> list[tuple[int, Row]]:
        """The rows with an empty one behind them to type into."""
        return list(enumerate([*self.rows, Row()]))

    @property
    def is_wrong(self) -> bool:
        return bool(self.faults) or any(row.errors for row in self.rows)

    @property
    def begun(self) -> list[int]:
        """The numbers, from 1, of the rows that are not whole yet."""
        return [number for number, row in enumerate(self.rows, start=1) if row.is_begun]

    @property
    def focus_at(self) -> int | None:
        """The row in which typing goes on: the first that is wrong or not whole, else the one that was asked for."""
        if self.focus is None:
            return None
        return next((index for index, row in enumerate(self.rows) if row.errors or row.is_begun), self.focus)

    @property
    def focus_cell(self) -> str:
        """The cell in which typing goes on: the first with an error, else the first empty one."""
        at = self.focus_at
        row = self.rows[at] if at is not None and at < len(self.rows) else Row()
        wrong = next((name for name, _, error in row.cells if error), "")
        return wrong or next((name for name, typed, _ in row.cells if not typed), CELLS[0])

    @property
    def words(self) -> str:
        """How many shims stand on it, in words."""
        return f"{self.pieces} shim{'' if self.pieces == 1 else 's'}"

    @property
    def pieces(self) -> int:
        """How many shims stand on it, as far as the counts can be read."""
        counts = (row.count.strip() for row in self.rows)
        return sum(whole_number(count, digits=4) or 0 for count in counts)


def remove(side: Side, posted: int) -> None:
    """Takes the row that was sent under a number away, and puts the focus where it was."""
    side.focus = _place(side, posted)
    side.rows = [row for row in side.rows if row.posted != posted]


def insert(side: Side, posted: int) -> None:
    """An empty row before the one that was sent under a number."""
    side.focus = _place(side, posted)
    if side.focus < len(side.rows):
        side.rows.insert(side.focus, Row())


def end(side: Side) -> None:
    """A row was ended: typing goes on behind the last one."""
    side.focus = len(side.rows)


def require_whole(sides: Iterable[Side]) -> None:
    """Marks every cell that is still empty in a row that was begun."""
    for side in sides:
        for row in side.rows:
            if row.is_begun:
                row.errors |= {name: "It is still missing." for name, typed, _ in row.cells if not typed}


def uncounted(sides: Iterable[Side]) -> list[str]:
    """A sentence for every row that is not whole yet: an answer leaves it out."""
    begun = [(side.label, number) for side in sides for number in side.begun]
    return [f"{label}, line {number} is not whole yet and is not counted." for label, number in begun]


def focus_wrong(sides: Iterable[Side]) -> bool:
    """Puts the focus into the first cell with an error, or the text that cannot be read; whether there is one."""
    side = next((side for side in sides if side.is_wrong), None)
    if side is None:
        return False
    if side.text and not any(row.errors for row in side.rows):
        side.focus_text = True
    else:
        side.focus = 0
    return True


def _place(side: Side, posted: int) -> int:
    """Where the row that was sent under a number stands; the end, where it was empty and is gone."""
    return next((index for index, row in enumerate(side.rows) if row.posted == posted), len(side.rows))
