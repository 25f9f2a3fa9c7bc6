"""Where the same words may be read in more than one way: how many or a size, a unit for one number or for all, a ring
that is an O-ring or the outline of a shim."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from inventory.common.sizes.measures import Number
from inventory.common.sizes.numbers import MM_PER_INCH
from inventory.common.sizes.tokens import Token
from inventory.common.sizes.wanted import Wanted

MOST_PIECES = 200
_SIZES = ("number", "fraction", "range")


def variants(found: list[Token]) -> list[tuple[list[Token], str]]:
    """The pieces of a text in each way in which they may be taken, with the outline of the shim where they say one."""
    several = [one for counts in _times(found) for one in _units(counts)]
    listed = [(one, "") for one in several]
    last = found[-1] if found else None
    if last is not None and last.sort == "kind" and last.text == "ring" and _sizes(found[:-1]) > 1:
        listed += [(one[:-1], "ring") for one in several]
    return listed


def counted(wanted: Wanted) -> Iterator[Wanted]:
    """The request read as so many shims: `34 0.15 3`, and `3 x 34 x 0.15`."""
    plain = not (wanted.said or wanted.thread or wanted.count or wanted.dash) and "shim" in (wanted.kinds or ("shim",))
    if not plain or wanted.hand or wanted.compound or not 3 <= len(wanted.loose) <= 4:
        return
    first, *rest = wanted.loose
    *sizes, last = wanted.loose
    for count, numbers in ((last, sizes), (first, rest)):
        if count.is_bare and 1 <= count.mm <= MOST_PIECES:
            names = ("od_mm", "thickness_mm", "id_mm")
            said: dict[str, Number] = dict(zip(names, numbers, strict=False))
            yield replace(wanted, kinds=("shim",), said=said, loose=(), count=int(count.mm))


def _times(found: list[Token]) -> list[list[Token]]:
    """`x3` behind a blank is how many; behind one number alone it may be a second size as well."""
    at = next((n for n, one in enumerate(found) if one.sort == "times"), None)
    if at is None:
        return [found]
    one = found[at]
    size = [Token("break", "x", "x"), Token("number", float(one.value), one.text[1:])]
    as_size = [*found[:at], *size, *found[at + 1 :]]
    as_count = [*found[:at], Token("count", one.value, one.text), *found[at + 1 :]]
    before = found[:at]
    if any(piece.sort in ("number", "fraction", "range") for piece in found[at + 1 :]) or one.value < 1:
        return _times(as_size)
    whole = _sizes(before) > 1 or any(piece.sort in ("metric", "unified", "dash", "label") for piece in before)
    return [as_count] if whole else [as_size, as_count]


def _units(found: list[Token]) -> Iterator[list[Token]]:
    """`1.75 x 0.139 in`: a unit at the end holds for the numbers before it that have none."""
    numbers = [one for one in found if one.sort in _SIZES]
    last = numbers[-1] if numbers else None
    spread = (
        len(numbers) > 1
        and last is not None
        and last.sort in ("number", "fraction")
        and last.text.endswith(("in", "inch", "inches"))
        and all(one.text[-1].isdigit() for one in numbers[:-1])
        and not any(one.sort in ("metric", "unified", "label", "within", "range") for one in found)
    )
    if not spread:
        yield found
        return
    yield [
        replace(one, value=one.value * MM_PER_INCH, text=f"{one.text} in")
        if one.sort == "number" and one is not last
        else one
        for one in found
    ]


def _sizes(found: list[Token]) -> int:
    return sum(one.sort in _SIZES for one in found)
