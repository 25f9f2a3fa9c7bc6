"""Stacks as people type them: one size after the other, `34x0.15 x3`, with a point or a comma."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from compat.plans.sent import SentLine
from inventory.common import quantities
from inventory.common.sizes.measures import Number
from inventory.common.sizes.reading import read
from inventory.common.sizes.refusals import TextError
from inventory.common.sizes.wanted import Meaning, Wanted, meanings
from inventory.counter.browsing.typed_sizes import um_of
from inventory.counter.forms import sentence

MOST_LINES = 60
LONGEST = 4_000  # signs, of all lines of a side
MOST_FAULTS = 20  # lines that are told; what is behind them is not read
# Between sizes on one line. A decimal comma has a digit behind it, a comma between sizes a blank or nothing.
SEPARATOR = re.compile(r";|,(?=\s|$)")
SHIM = "shim"
SHAPES = "type diameter, thickness and count, as in 34x0.15 x3"
NUMBER = "that is the number of a part or a drawer; type diameter, thickness and count, as in 34x0.15 x3"


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


def read_lines(text: str) -> tuple[list[SentLine], list[Fault]]:
    """(lines, faults) of a stack, face first, in the form of the API.

    One shim size a line, or separated by a semicolon or by a comma and a blank: diameter, thickness, count, as in
    `34x0.15 x3`, `34 0,15 3`, `3 x 34 x 0.15`, `34x0.15x12 x3` with the bore, `34x0.15 x3 notched`. Without a count it
    is one. What stands behind a # and empty lines are passed over.
    """
    if len(text) > LONGEST:
        return [], [Fault(0, "", f"that is longer than {LONGEST} signs; a side may have at most {MOST_LINES} lines")]
    lines: list[SentLine] = []
    faults: list[Fault] = []
    pieces = [part for row in text.splitlines() for part in SEPARATOR.split(row.split("#", 1)[0])]
    for number, piece in enumerate(pieces, start=1):
        typed = " ".join(piece.split())
        if not typed:
            continue
        try:
            lines.append(read_line(typed))
        except ValueError as error:
            faults.append(Fault(number, piece.strip()[:60], str(error)))
            if len(faults) >= MOST_FAULTS and number < len(pieces):
                faults.append(Fault(number + 1, "", "from here on nothing was read; correct the lines above first"))
                return lines, faults
    if len(lines) > MOST_LINES:
        faults.append(Fault(MOST_LINES + 1, "", f"a side may have at most {MOST_LINES} lines"))
    return lines, faults


def read_line(text: str) -> SentLine:
    """One size of a stack in the form of the API. Raises ValueError with what to type instead."""
    try:
        wanted = read(text)
    except TextError as refused:
        raise ValueError(NUMBER if refused.code == "text_is_number" else SHAPES) from None
    found = meanings(wanted, SHIM)
    whole = [one for one in found if "od_mm" in one.sizes and "thickness_mm" in one.sizes]
    if not whole:
        raise ValueError(_not_whole(wanted))
    # Where one way says how many and another does not, both are named; else one size is meant.
    ways = {(_size(one), one.count): one for one in whole}
    if len(ways) > 1:
        raise ValueError(_several(list(ways.values())))
    return _line(whole[0])


def write_lines(lines: Iterable[SentLine], *, usual_bore_mm: float | None = None) -> str:
    """Lines in the form of the API as they would be typed; the bore only where it is not the usual one."""
    return "\n".join(write_line(line, usual_bore_mm=usual_bore_mm) for line in lines)


def write_line(line: SentLine, *, usual_bore_mm: float | None = None) -> str:
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


def _line(one: Meaning) -> SentLine:
    line: SentLine = {
        "od_mm": _mm(one.sizes["od_mm"]),
        "thickness_mm": _mm(one.sizes["thickness_mm"]),
        "quantity": one.count or 1,
    }
    if "id_mm" in one.sizes:
        line["bore_mm"] = _mm(one.sizes["id_mm"])
    if one.said.form and one.said.form != "round":
        line["form"] = one.said.form
    return line


def _size(one: Meaning) -> tuple[tuple[str, float], ...]:
    return tuple(sorted((name, number.mm) for name, number in one.sizes.items()))


def _several(ways: list[Meaning]) -> str:
    """Which ways there are, and how each is typed so that only it is meant."""
    with_bore = [one for one in ways if one.count is None and "id_mm" in one.sizes]
    if len(ways) == 2 and with_bore:
        sizes = with_bore[0].sizes
        bore, size = f"{sizes['id_mm'].mm:g}", f"{sizes['od_mm'].written}x{sizes['thickness_mm'].written}"
        return f"{bore} may be the bore or the count: type {size} x{bore} for the count, {size}x{bore} x1 for both"
    typed = [f"{write_line(_line(one))} for {_words(one)}" for one in ways[:3]]
    return f"this may be read in more than one way: type {', or '.join(typed)}"


def _words(one: Meaning) -> str:
    count = one.count or 1
    bore = f"the bore {one.sizes['id_mm'].mm:g} mm and " if "id_mm" in one.sizes else ""
    return f"{bore}{count} piece{'' if count == 1 else 's'}"


def _not_whole(wanted: Wanted) -> str:
    sizes = sorted((one.mm for one in (*wanted.loose, *wanted.said.values())), reverse=True)
    if len(wanted.loose) > 1 and len(sizes) > 1 and wanted.loose[0].mm < wanted.loose[1].mm:
        return f"{wanted.loose[1].mm:g} mm is no thickness of a shim; type the diameter first, as in 34x0.15 x3"
    return SHAPES


def _mm(number: Number) -> float:
    """In whole micrometres: inches are rounded, more decimals of a millimetre are none of a shim."""
    um = um_of(number)
    if um is None or number.is_rough:
        raise ValueError(SHAPES)
    return um / 1000
