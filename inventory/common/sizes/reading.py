"""Reads what somebody types who holds a part and a caliper: `ring about 44 x 3.5`, `nut 19 across flats, 1.25`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice, product

from inventory.common.sizes import designations
from inventory.common.sizes.designations import Designation
from inventory.common.sizes.measures import ANY_PITCH_MM, KINDS, Number
from inventory.common.sizes.numbers import MM_PER_INCH
from inventory.common.sizes.refusals import TextError
from inventory.common.sizes.rings import is_dash
from inventory.common.sizes.tokens import Token, tokens
from inventory.common.sizes.variants import counted, variants
from inventory.common.sizes.wanted import Wanted, meanings, ways

MOST_NUMBERS = 6
WIDEST_RANGE = 0.1  # of the middle; two numbers further apart are two sizes
PER_INCH = (4, 80)
MOST_TRIES = 243
NUMBERS = ("number", "fraction", "range")
# A number of a part, a lot, a drawer, a delivery or a job: no blanks, a digit, and a letter or two hyphens.
A_NUMBER = re.compile(
    r"(?!m?[0-9x.,/]*+$)(?=[^0-9]*+[0-9])(?=[^a-z]*+[a-z]|(?:[^-]{0,40}+-){2})[a-z0-9][a-z0-9._/-]{0,39}+",
    re.IGNORECASE | re.ASCII,
)
# Letters, a hyphen, digits: no words that mean something else.
A_CODE = re.compile(r"(?!as|o-|x-|m-)[a-z]{1,6}-(?=[^0-9]*+[0-9])[a-z0-9._/-]*+", re.IGNORECASE | re.ASCII)
UNREADABLE = ("text_not_understood", "text_range_or_two", "text_size_impossible", "text_no_size", "text_too_many")
Cell = tuple[Token | Number, ...]


@dataclass(slots=True)
class _Heard:
    """What a text says beside its sizes."""

    kinds: list[str]
    threads: list[Designation]
    dashes: list[str]
    hands: list[str]
    compounds: list[tuple[str, str]]
    forms: list[str]
    counts: list[int]


def read(text: str) -> Wanted:
    """The request that a text makes; lengths in mm, a decimal comma or point, inches where an inch mark stands.

    Names may stand before or after their number; numbers without a name keep their order. `±0.1` holds for the
    numbers since the last one, `about` and a tool's name for all, an `in` at the end for every number before it that
    has no unit. Raises TextError with a code for what is not understood.
    """
    if A_CODE.fullmatch(text.strip()):
        raise TextError("text_is_number", text=text.strip()[:40])
    try:
        return _read(text)
    except TextError as refused:
        if refused.code in UNREADABLE and A_NUMBER.fullmatch(text.strip()):
            raise TextError("text_is_number", text=text.strip()) from None
        raise


def _read(text: str) -> Wanted:
    found: list[Wanted] = []
    refused: TextError | None = None
    for several, form in variants(tokens(text)):
        try:
            wanted = _wanted(several, form)
        except TextError as error:
            refused = refused or error
            found += counted(_plain(several))
        else:
            found += [wanted, *counted(wanted)]
    possible = [one for one in found if one.dash or meanings(one)]
    if not possible:
        raise refused or TextError("text_size_impossible")
    return replace(possible[0], others=tuple(possible[1:]))


def _plain(found: list[Token]) -> Wanted:
    """The numbers alone, where the text has nothing else but kinds of part."""
    if any(one.sort not in (*NUMBERS, "break", "noise", "kind") for one in found):
        return Wanted()
    numbers = [one for cell in _cells(found) for one in cell if isinstance(one, Number)]
    return Wanted(kinds=tuple(_heard(found).kinds), loose=tuple(numbers))


def _wanted(found: list[Token], form: str) -> Wanted:
    heard = _heard(found)
    cells = _cells(found)
    numbers = sum(isinstance(one, Number) for cell in cells for one in cell)
    if numbers > MOST_NUMBERS:
        raise TextError("text_too_many", most=MOST_NUMBERS)
    several = (heard.threads, heard.dashes, heard.compounds, heard.counts, set(heard.hands), set(heard.forms))
    if any(len(one) > 1 for one in several):
        raise TextError("text_said_twice")
    if not numbers and not heard.threads and not heard.dashes:
        raise TextError("text_no_size")
    form = form or next(iter(heard.forms), "")
    implied = ("shim",) if form else ("oring",) if heard.compounds else ()
    thread = heard.threads[0] if heard.threads else None
    compound, hardness = heard.compounds[0] if heard.compounds else ("", "")
    base = Wanted(
        kinds=("shim",) if form else tuple(dict.fromkeys(heard.kinds)) or implied,
        # A diameter alone leaves the pitch open.
        said={"thread_mm": Number(thread.nominal_mm, ANY_PITCH_MM)} if thread and not thread.is_whole else {},
        thread=thread,
        dash=heard.dashes[0] if heard.dashes else "",
        hand=heard.hands[0] if heard.hands else None,
        compound=compound,
        hardness=hardness,
        form=form,
        count=heard.counts[0] if heard.counts else None,
    )
    return _as_size(_named(base, cells), _whole(found))


def _named(base: Wanted, cells: list[Cell]) -> Wanted:
    """The request with the names given to the numbers in the way that most kinds of part can have."""
    last: TextError | None = None
    best: tuple[int, Wanted] | None = None
    for choice in islice(product(*(list(_styles(cell)) for cell in cells)), MOST_TRIES):
        said, loose = dict(base.said), []
        try:
            for name, reading in (pair for cell in choice for pair in cell):
                if name is None:
                    loose.append(reading)
                    continue
                measure, as_read = _measure(name, reading)
                if measure in said:
                    raise TextError("text_said_twice")
                said[measure] = as_read
        except TextError as refused:
            last = refused
            continue
        wanted = replace(base, said=said, loose=tuple(loose))
        if wanted.dash and (wanted.said or wanted.loose or wanted.thread):
            raise TextError("text_dash_alone", dash=wanted.dash)
        if wanted.dash and wanted.kinds and "oring" not in wanted.kinds:
            raise TextError("text_size_impossible")
        kinds = sum(bool(ways(kind, replace(wanted, dash=""))) for kind in wanted.kinds or KINDS)
        if wanted.dash or kinds:
            best = (kinds, wanted) if best is None or kinds > best[0] else best
        else:
            last = TextError("text_size_impossible")
    if best is not None:
        return best[1]
    for cell in cells:
        if not any(True for _ in _styles(cell)):
            label = next(one for one in cell if isinstance(one, Token))
            raise TextError("text_name_without_number", name=label.text)
    raise last or TextError("text_no_size")


def _measure(name: str, reading: Number) -> tuple[str, Number]:
    if name != "tpi":
        return name, reading
    if not PER_INCH[0] <= reading.mm <= PER_INCH[1]:
        raise TextError("text_size_impossible")
    pitch = MM_PER_INCH / reading.mm
    return "pitch_mm", replace(reading, mm=pitch, error=None)


def _styles(cell: Cell) -> Iterator[list[tuple[str | None, Number]]]:
    """The numbers of a cell with their names: names before their numbers, after them, or on whichever side is free."""
    seen = []
    for style in ("before", "after", "free"):
        given = _given(cell, style)
        if given is not None and given not in seen:
            seen.append(given)
            yield given


def _given(cell: Cell, style: str) -> list[tuple[str | None, Number]] | None:
    names: dict[int, str] = {}
    for at, one in enumerate(cell):
        if isinstance(one, Number):
            continue
        sides = {"before": (at + 1,), "after": (at - 1,), "free": (at - 1, at + 1)}[style]
        free = [n for n in sides if 0 <= n < len(cell) and isinstance(cell[n], Number) and n not in names]
        if not free:
            return None
        names[free[0]] = str(one.value)
    return [(names.get(at), one) for at, one in enumerate(cell) if isinstance(one, Number)]


def _heard(found: list[Token]) -> _Heard:
    heard = _Heard([], [], [], [], [], [], [])
    for one in found:
        if one.sort == "kind":
            heard.kinds.append(one.value)
        elif one.sort == "hand":
            heard.hands.append(one.value)
        elif one.sort == "dash":
            if not is_dash(int(one.value)):
                raise TextError("text_no_such_ring", dash=one.value)
            heard.dashes.append(f"{int(one.value):03}")
        elif one.sort in ("metric", "unified"):
            heard.threads.append(getattr(designations, one.sort)(one.text))
        elif one.sort == "compound":
            heard.compounds.append(one.value)
        elif one.sort == "form":
            heard.forms.append(one.value)
        elif one.sort == "count":
            heard.counts.append(one.value)
    return heard


def _cells(found: list[Token]) -> list[Cell]:
    """The numbers and names between the breaks, each number with what is said of how well it was read."""
    about = any(one.sort == "about" for one in found)
    tool = next((one.value for one in found if one.sort == "tool"), "caliper")
    cells: list[list[Token | Number]] = [[]]
    since: list[tuple[list[Token | Number], int]] = []
    for one in found:
        cell = cells[-1]
        if one.sort == "break":
            cells.append([])
        elif one.sort == "label":
            cell.append(one)
        elif one.sort in NUMBERS:
            reading = _range(one) if one.sort == "range" else Number(one.value, None, about, tool, one.text)
            if reading.mm <= 0:
                raise TextError("text_size_impossible")
            cell.append(reading)
            since.append((cell, len(cell) - 1))
        elif one.sort == "within":
            if not since:
                raise TextError("text_tolerance_alone")
            for row, at in since:
                reading = row[at]  # type: ignore[assignment]  # only readings are kept there
                if reading.error is None:
                    row[at] = replace(reading, error=one.value)
            since = []
    return [tuple(cell) for cell in cells if cell]


def _range(one: Token) -> Number:
    low, high = one.value
    if low >= high or high - low > WIDEST_RANGE * (low + high) / 2:
        raise TextError("text_range_or_two", text=one.text[:40])
    return Number((low + high) / 2, (high - low) / 2, written=one.text)


def _whole(found: list[Token]) -> bool:
    """Whether the only number is three bare digits, as AS568 writes its sizes."""
    numbers = [one for one in found if one.sort in NUMBERS]
    return len(numbers) == 1 and len(numbers[0].text) == 3 and numbers[0].text.isdecimal()


def _as_size(wanted: Wanted, whole: bool) -> Wanted:
    """Three bare digits are a size of AS568 where the part may be a ring; of a ring they are nothing else."""
    plain = whole and len(wanted.loose) == 1 and not wanted.said and not wanted.thread and not wanted.dash
    if not plain or (wanted.kinds and "oring" not in wanted.kinds) or not is_dash(int(wanted.loose[0].mm)):
        return wanted
    dash = f"{int(wanted.loose[0].mm):03}"
    return replace(wanted, dash=dash, loose=() if wanted.kinds == ("oring",) else wanted.loose)
