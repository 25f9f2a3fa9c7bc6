"""A typed size as the parts of the catalogue that have it: `34x0.15`, `o-ring 44x3.5`, `M12x1.25`, `222 NBR`."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from inventory.common.sizes.echo import read_as
from inventory.common.sizes.measures import Number
from inventory.common.sizes.reading import read as read_words
from inventory.common.sizes.refusals import TextError
from inventory.common.sizes.wanted import Meaning, Wanted, meanings

INCH_UM = 13  # half a thousandth of an inch, to which inches are written
TINY_UM = 0.01


@dataclass(frozen=True)
class Typed:
    """A size with every way to read it; those that say how many stand behind those that do not."""

    wanted: Wanted

    @cached_property
    def ways(self) -> list[Meaning]:
        """The meanings by which parts are looked for: how many there are leaves the size open, so another reading of
        the same words as a size comes first."""
        found = meanings(self.wanted)
        sizes = [one for one in found if one.count is None]
        return sizes or found

    @property
    def is_diameter(self) -> bool:
        """Whether it is one number without a name, which names no part."""
        return all(len(one.sizes) == 1 and len(one.said.loose) == 1 for one in self.ways if not one.dash)

    @property
    def names_one(self) -> bool:
        """Whether it says enough to choose a part by it: two sizes, a thread, or a size by its number."""
        return all(one.dash or one.said.thread or len(one.sizes) > 1 for one in self.ways)

    @property
    def read_as(self) -> list[str]:
        """How the words were read, in words."""
        return read_as(self.wanted)

    @property
    def count(self) -> int | None:
        """How many were said, where no way to read the words leaves that out."""
        counts = {one.count for one in meanings(self.wanted)}
        return counts.pop() if len(counts) == 1 else None

    @property
    def shim(self) -> tuple[int, ...]:
        """Outer diameter, thickness and, where it is said, bore of a shim, micrometres; empty where it may be none."""
        for one in self.ways:
            numbers = [one.sizes.get(name) for name in ("od_mm", "thickness_mm", "id_mm")]
            if one.kind == "shim" and numbers[0] and numbers[1]:
                exact = [um_of(number) for number in numbers if number]
                return tuple(um for um in exact if um is not None) if None not in exact else ()
        return ()


def read(text: str) -> Typed | None:
    """The size that a text says, None where it says none."""
    try:
        return Typed(read_words(text))
    except TextError:
        return None


def refused(text: str) -> str:
    """Why a text is no size, in words; empty where it is one, or the number of something."""
    try:
        read_words(text)
    except TextError as error:
        return "" if error.code == "text_is_number" else error.sentence
    return ""


def shim_size(text: str) -> tuple[int, ...]:
    """Outer diameter, thickness and, where it is said, bore in micrometres; empty where the text is no shim's size."""
    found = read(text)
    return found.shim if found is not None else ()


def um_of(number: Number) -> int | None:
    """A number as whole micrometres; None where it has more decimals than a size can have."""
    low, high = limits_of(number)
    return round((low + high) / 2) if low <= high else None


def limits_of(number: Number) -> tuple[int, int]:
    """The micrometres that a part may have to be of this size; the first is larger where none can."""
    um = number.mm * 1000
    if number.is_rough:
        width = number.spread("od_mm") * 1000
        return round(um - width), round(um + width)
    if number.written.rstrip().endswith(('"', "in", "inch", "inches", "thou")) or "/" in number.written:
        return round(um - INCH_UM), round(um + INCH_UM)
    whole = round(um)
    return (whole, whole) if abs(um - whole) < TINY_UM else (1, 0)
