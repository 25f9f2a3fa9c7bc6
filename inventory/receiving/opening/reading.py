"""From the bytes of a file to cells with line numbers."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass

from inventory.common.errors import DomainError

BOM = b"\xef\xbb\xbf"
OTHER_BOMS = (b"\xff\xfe", b"\xfe\xff")
MOST_BYTES = 200_000_000
LONGEST_CELL = 1000


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in the file: the line (1 is the header), the column, and what to do about it."""

    line: int
    column: str
    cure: str


@dataclass(frozen=True, slots=True)
class Table:
    """The file's rows: (line number, {column: cell}); `comma` when it writes decimal commas."""

    rows: list[tuple[int, dict[str, str]]]
    faults: list[Fault]
    comma: bool


def read(content: bytes, *, required: tuple[str, ...], known: frozenset[str]) -> Table:
    """The rows of a CSV file with a header line, comma or semicolon separated, UTF-8 with or without byte order mark.

    A semicolon file may write decimal commas. Raises DomainError `bad_file` when the file as a whole cannot be read:
    another encoding (also in a single line), no header, missing, unknown or doubled columns.
    """
    text = _decode(content)
    header_line = text.split("\n", 1)[0]
    separator = ";" if header_line.count(";") > header_line.count(",") else ","
    try:
        lines = list(_lines(text, separator))
    except csv.Error as error:
        raise DomainError(
            "bad_file", reason=f"It is not CSV: {error}. Save it as CSV with commas or semicolons."
        ) from None
    if not lines:
        raise DomainError("bad_file", reason="It is empty. The first line names the columns.")
    columns = [cell.strip() for cell in lines[0][1]]
    _check_header(columns, required, known)
    rows, faults = [], []
    for number, cells in lines[1:]:
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) != len(columns):
            cure = f"has {len(cells)} cells, the header has {len(columns)}; quote cells that contain the separator"
            faults.append(Fault(number, "", cure))
            continue
        row = {}
        for column, cell in zip(columns, cells, strict=True):
            row[column] = cell.strip()
            if len(cell) > LONGEST_CELL:
                faults.append(Fault(number, column, f"is longer than {LONGEST_CELL} characters"))
                row[column] = row[column][:LONGEST_CELL]
        rows.append((number, row))
    return Table(rows, faults, comma=separator == ";")


def _decode(content: bytes) -> str:
    if len(content) > MOST_BYTES:
        raise DomainError("bad_file", reason=f"It has more than {MOST_BYTES // 1_000_000} MB; split it.")
    if content.startswith(OTHER_BOMS):
        raise DomainError("bad_file", reason="It is UTF-16. Save it as CSV UTF-8.")
    try:
        return content.removeprefix(BOM).decode("utf-8")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise DomainError(
            "bad_file", reason=f"Line {line} is not UTF-8 (byte {error.start}). Save the whole file as CSV UTF-8."
        ) from None


def _lines(text: str, separator: str) -> Iterator[tuple[int, list[str]]]:
    if "\x00" in text:
        raise DomainError("bad_file", reason="It contains zero bytes; it is not a text file.")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    previous = 0
    for cells in reader:
        # A quoted cell may span lines; the row is named by the line on which it begins.
        yield previous + 1, cells
        previous = reader.line_num


def _check_header(columns: list[str], required: tuple[str, ...], known: frozenset[str]) -> None:
    missing = [name for name in required if name not in columns]
    unknown = [name[:40] for name in columns if name not in known]
    doubled = sorted({name for name in columns if columns.count(name) > 1})
    reasons = []
    if missing:
        reasons.append(f"The header lacks {', '.join(missing)}.")
    if unknown:
        reasons.append(f"The header has unknown columns: {', '.join(map(repr, unknown))}.")
    if doubled:
        reasons.append(f"The header has columns twice: {', '.join(doubled)}.")
    if reasons:
        raise DomainError("bad_file", reason=f"{' '.join(reasons)} Known columns: {', '.join(sorted(known))}.")
