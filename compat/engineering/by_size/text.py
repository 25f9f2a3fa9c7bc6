"""Reads what somebody types who holds a part and a caliper: `ring about 44 x 3.5`, `nut 19 across flats, 1.25`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice, product

from compat.engineering.by_size.measures import ANY_PITCH_MM, KINDS, Reading, Wanted, ways
from compat.engineering.by_size.tokens import TextError, Token, tokens
from compat.engineering.seals.sizes import known
from compat.engineering.threads.designation import Thread, parse
from compat.engineering.units import MM_PER_INCH

MOST_NUMBERS = 6
WIDEST_RANGE = 0.1  # of the middle; two numbers further apart are two sizes
PER_INCH = (4, 80)
MOST_TRIES = 243
Cell = tuple[Token | Reading, ...]


@dataclass(slots=True)
class _Heard:
    """What a text says beside its sizes."""

    kinds: list[str]
    threads: list[Thread]
    nominal: list[Reading]
    dashes: list[str]
    hands: list[str]


def read(text: str) -> Wanted:
    """The request that a text makes; lengths in mm, a decimal comma or point, inches where an inch mark stands.

    Names may stand before or after their number; numbers without a name keep their order. `±0.1` holds for the
    numbers since the last one, `about` and a tool's name for all. Raises TextError with a code for what is not
    understood, and ThreadError for a thread that is none.
    """
    found = tokens(text)
    heard = _heard(found)
    cells = _cells(found)
    numbers = sum(isinstance(one, Reading) for cell in cells for one in cell)
    if numbers > MOST_NUMBERS:
        raise TextError("text_too_many", most=MOST_NUMBERS)
    if len(heard.threads) + len(heard.nominal) > 1 or len(heard.dashes) > 1 or len(set(heard.hands)) > 1:
        raise TextError("text_said_twice")
    if not numbers and not heard.threads and not heard.nominal and not heard.dashes:
        raise TextError("text_no_size")
    base = Wanted(
        kinds=tuple(dict.fromkeys(heard.kinds)),
        said={"thread_mm": heard.nominal[0]} if heard.nominal else {},
        thread=heard.threads[0] if heard.threads else None,
        dash=heard.dashes[0] if heard.dashes else "",
        hand=heard.hands[0] if heard.hands else None,
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
        kinds = sum(bool(ways(kind, wanted)) for kind in wanted.kinds or KINDS)
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


def _measure(name: str, reading: Reading) -> tuple[str, Reading]:
    if name != "tpi":
        return name, reading
    if not PER_INCH[0] <= reading.mm <= PER_INCH[1]:
        raise TextError("text_size_impossible")
    pitch = MM_PER_INCH / reading.mm
    return "pitch_mm", replace(reading, mm=pitch, error=None)


def _styles(cell: Cell) -> Iterator[list[tuple[str | None, Reading]]]:
    """The numbers of a cell with their names: names before their numbers, after them, or on whichever side is free."""
    seen = []
    for style in ("before", "after", "free"):
        given = _given(cell, style)
        if given is not None and given not in seen:
            seen.append(given)
            yield given


def _given(cell: Cell, style: str) -> list[tuple[str | None, Reading]] | None:
    names: dict[int, str] = {}
    for at, one in enumerate(cell):
        if isinstance(one, Reading):
            continue
        sides = {"before": (at + 1,), "after": (at - 1,), "free": (at - 1, at + 1)}[style]
        free = [n for n in sides if 0 <= n < len(cell) and isinstance(cell[n], Reading) and n not in names]
        if not free:
            return None
        names[free[0]] = str(one.value)
    return [(names.get(at), one) for at, one in enumerate(cell) if isinstance(one, Reading)]


def _heard(found: list[Token]) -> _Heard:
    heard = _Heard([], [], [], [], [])
    for one in found:
        if one.sort == "kind":
            heard.kinds.append(one.value)
        elif one.sort == "hand":
            heard.hands.append(one.value)
        elif one.sort == "dash":
            if int(one.value) not in known():
                raise TextError("text_no_such_ring", dash=one.value)
            heard.dashes.append(f"{int(one.value):03}")
        elif one.sort in ("metric", "unified"):
            thread = parse(one.text.upper().replace("X", "x").replace(" X ", " x "))
            if thread.coarse_taken:
                heard.nominal.append(Reading(thread.nominal_mm, ANY_PITCH_MM))
            else:
                heard.threads.append(thread)
    return heard


def _cells(found: list[Token]) -> list[Cell]:
    """The numbers and names between the breaks, each number with what is said of how well it was read."""
    about = any(one.sort == "about" for one in found)
    tool = next((one.value for one in found if one.sort == "tool"), "caliper")
    cells: list[list[Token | Reading]] = [[]]
    since: list[tuple[list[Token | Reading], int]] = []
    for one in found:
        cell = cells[-1]
        if one.sort == "break":
            cells.append([])
        elif one.sort == "label":
            cell.append(one)
        elif one.sort in ("number", "fraction", "range"):
            reading = _range(one) if one.sort == "range" else Reading(one.value, None, about, tool)
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


def _range(one: Token) -> Reading:
    low, high = one.value
    if low >= high or high - low > WIDEST_RANGE * (low + high) / 2:
        raise TextError("text_range_or_two", text=one.text[:40])
    return Reading((low + high) / 2, (high - low) / 2)


def _whole(found: list[Token]) -> bool:
    """Whether the only number is three bare digits, as AS568 writes its sizes."""
    numbers = [one for one in found if one.sort in ("number", "fraction", "range")]
    return len(numbers) == 1 and len(numbers[0].text) == 3 and numbers[0].text.isdecimal()


def _as_size(wanted: Wanted, whole: bool) -> Wanted:
    """Three bare digits are a size of AS568 where the part may be a ring; of a ring they are nothing else."""
    plain = whole and len(wanted.loose) == 1 and not wanted.said and not wanted.thread and not wanted.dash
    if not plain or (wanted.kinds and "oring" not in wanted.kinds) or int(wanted.loose[0].mm) not in known():
        return wanted
    dash = f"{int(wanted.loose[0].mm):03}"
    return replace(wanted, dash=dash, loose=() if wanted.kinds == ("oring",) else wanted.loose)
