"""Rows from what was sent, or from a stack on file: what was typed is kept exactly, also where it cannot be read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from compat.pages.bench.stack_rows import CELLS, Row, Side
from compat.pages.stack_text import MOST_LINES, read_lines, size_text
from compat.plans.sent import SentLine
from inventory.counter.forms import sentence

MOST_ROWS = 2 * MOST_LINES


def side_from(data: Mapping[str, str], valve: str, side: str) -> Side:
    """The rows of a side as they were sent; a cell that holds whole lines becomes as many rows."""
    found = Side(valve, side)
    for index in range(MOST_ROWS):
        base = f"{found.key}-{index}"
        if f"{base}-od" not in data:
            break
        cells = {name: data.get(f"{base}-{name}", "").strip()[:200] for name in (*CELLS, "bore", "form")}
        row = Row(cells["od"], cells["thickness"], cells["count"], cells["bore"], cells["form"], posted=index)
        if not (row.thickness or row.count) and _is_text(row.od):
            found.rows += _rows(row)
        else:
            found.rows.append(row)
    # The empty row behind the last one is the page's own; one between others was put there, and a button may name it.
    while found.rows and found.rows[-1].is_empty:
        found.rows.pop()
    text = data.get(f"{found.key}-text", "")
    lines, found.faults = read_lines(text)
    if found.faults:
        found.text = text
    else:
        found.rows += [_row(line) for line in lines]
    return found


def side_of(valve: str, side: str, lines: Iterable[SentLine], usual_bore_mm: float | None) -> Side:
    """The rows of a saved or recorded stack."""
    return Side(valve, side, [_row(line, usual_bore_mm=usual_bore_mm) for line in lines])


def _is_text(cell: str) -> bool:
    return ";" in cell or any(sign in cell for sign in "xX×* \n")


def _rows(row: Row) -> Iterator[Row]:
    """The rows of a diameter that holds whole lines; what cannot be read stays in it."""
    lines, faults = read_lines(row.od)
    if faults:
        row.errors["od"] = sentence(faults[0].cure)
        yield row
    else:
        yield from (_row(line, posted=row.posted) for line in lines)


def _row(line: SentLine, *, usual_bore_mm: float | None = None, posted: int | None = None) -> Row:
    bore, form = line.get("bore_mm"), line.get("form", "round")
    return Row(
        od=f"{line['od_mm']:g}",
        thickness=size_text(line["thickness_mm"]),
        count=str(line["quantity"]),
        bore=f"{bore:g}" if bore and bore != usual_bore_mm else "",
        form="" if form == "round" else form,
        posted=posted,
    )
