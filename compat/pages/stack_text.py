"""Stacks as people type them: one size after the other, `34x0.15 x3`, with a point or a comma."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from compat.engineering.shims import Form
from inventory.common import quantities
from inventory.counter.forms import sentence

MOST_LINES = 60
# A third number like these may be meant as the bore (common sizes of the trade, no published source).
BORES = (6, 8, 10, 12, 14, 16)
NUMBER = r"(?:\d{1,3}(?:[.,]\d{1,3})?|[.,]\d{1,3})"
BETWEEN = r"(?:\s*[xX×*]\s*|\s+)"
# Diameter, thickness, perhaps the bore, perhaps how many, perhaps the form.
SIZES = re.compile(
    rf"(?P<od>{NUMBER}){BETWEEN}(?P<thickness>{NUMBER})"
    rf"(?:\s*[xX×*]\s*(?P<bore>{NUMBER})(?=\s*[xX×*\s]\s*\d))?"
    r"(?:(?:\s*[xX×*]\s*|\s+)(?P<count>\d{1,3})(?:\s*(?:pcs|pc|off))?)?"
    rf"(?:\s+(?P<form>{'|'.join(Form)}))?",
    re.ASCII,
)
COUNT_FIRST = re.compile(r"(?P<count>\d{1,3})\s*(?:[xX×*]|pcs|pc|off|of)\s+(?P<rest>\d.*)", re.ASCII)
# Between sizes on one line. A decimal comma has a digit behind it, a comma between sizes a blank or nothing.
SEPARATOR = re.compile(r";|,(?=\s|$)")
UNITS = re.compile(r"mm|Ø|ø|dia\.?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Fault:
    """A line that cannot be read: its number from 1, what stands there, and what to type instead."""

    line: int
    text: str
    cure: str

    @property
    def said(self) -> str:
        """The cure as a sentence."""
        return sentence(self.cure)


def read_lines(text: str) -> tuple[list[dict[str, Any]], list[Fault]]:
    """(lines, faults) of a stack, face first, in the form of the API.

    One shim size a line, or separated by a semicolon or by a comma and a blank: diameter, thickness, count, as in
    `34x0.15 x3`, `34 0,15 3`, `3 x 34 x 0.15`, `34x0.15x12 x3` with the bore, `34x0.15 x3 notched`. Without a count it
    is one. What stands behind a # and empty lines are passed over.
    """
    lines: list[dict[str, Any]] = []
    faults: list[Fault] = []
    pieces = [part for row in text.splitlines() for part in SEPARATOR.split(row.split("#", 1)[0])]
    for number, piece in enumerate(pieces, start=1):
        typed = " ".join(UNITS.sub(" ", piece).split())
        if not typed:
            continue
        try:
            lines.append(read_line(typed))
        except ValueError as error:
            faults.append(Fault(number, piece.strip()[:60], str(error)))
    if len(lines) > MOST_LINES:
        faults.append(Fault(MOST_LINES + 1, "", f"a side may have at most {MOST_LINES} lines"))
    return lines, faults


def read_line(text: str) -> dict[str, Any]:
    """One size of a stack in the form of the API. Raises ValueError with what to type instead."""
    text = text.strip()
    count_first = COUNT_FIRST.fullmatch(text)
    found = SIZES.fullmatch(text)
    if count_first is not None and (found is None or _thick(found)):
        found = SIZES.fullmatch(f"{count_first['rest']} x{count_first['count']}")
    if found is None:
        raise ValueError("type diameter, thickness and count, as in 34x0.15 x3")
    if found["count"] and re.search(r"[\d][xX×*]\d+$", text) and not found["bore"] and int(found["count"]) in BORES:
        size, count = text[: found.end("thickness")], found["count"]
        raise ValueError(
            f"{count} may be the bore or the count: type {size} x{count} for the count, {size}x{count} x1 for both"
        )
    if _thick(found):
        raise ValueError(
            f"{found['thickness']} mm is no thickness of a shim; type the diameter first, as in 34x0.15 x3"
        )
    line: dict[str, Any] = {
        "od_mm": _mm(found["od"]),
        "thickness_mm": _mm(found["thickness"]),
        "quantity": int(found["count"] or 1),
    }
    if found["bore"]:
        line["bore_mm"] = _mm(found["bore"])
    if found["form"] and found["form"] != "round":
        line["form"] = found["form"]
    return line


def write_lines(lines: Iterable[Mapping[str, Any]], *, usual_bore_mm: float | None = None) -> str:
    """Lines in the form of the API as they would be typed; the bore only where it is not the usual one."""
    return "\n".join(write_line(line, usual_bore_mm=usual_bore_mm) for line in lines)


def write_line(line: Mapping[str, Any], *, usual_bore_mm: float | None = None) -> str:
    """One size as it would be typed: `34x0.15 x3`."""
    bore = line.get("bore_mm")
    size = f"{line['od_mm']:g}x{size_text(line['thickness_mm'])}"
    if bore and bore != usual_bore_mm:
        size += f"x{bore:g}"
    form = line.get("form", "round")
    return f"{size} x{line['quantity']}" + ("" if form == "round" else f" {form}")


def size_text(mm: float) -> str:
    """A thickness as the trade writes it: two decimals, a third where it is needed."""
    return quantities.mm_text(round(mm * 1000))


def _thick(found: re.Match[str]) -> bool:
    """A shim is thinner than 5 mm; a larger number in the second place is something else."""
    return _mm(found["thickness"]) > 5


def _mm(text: str) -> float:
    return float(text.replace(",", "."))
