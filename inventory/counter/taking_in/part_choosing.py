"""Which part is meant by what somebody typed or scanned: a number in any case, or its sizes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.models import Part
from inventory.counter.browsing.of_size import others_of, shims_of
from inventory.counter.browsing.part_words import size_line
from inventory.counter.browsing.typed_sizes import Typed, read
from inventory.stock.selectors import sizes_of

MOST_CANDIDATES = 8
MOST_OF_SIZE = 200  # retired ones are taken out afterwards


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part that may be meant, and its sizes in words."""

    part: Part
    words: str


@dataclass(frozen=True, slots=True)
class Meant:
    """The one part that was meant, else those that may be, and whether there are `more` of them than are listed.
    `size`: what was read, where the text says a size; `read_as`: how it was read, in words."""

    part: Part | None = None
    candidates: list[Candidate] = field(default_factory=list)
    size: Typed | None = None
    read_as: list[str] = field(default_factory=list)
    more: bool = False


def meant(text: str) -> Meant:
    """Which part is meant by `SH-12-34-015`, `34x0.15x12`, `o-ring 44x3.5` or `222 NBR`.

    A size means a part only where one part alone has it, in whatever way the words are read; a diameter alone names
    none. What is no number and no size may be the beginning of numbers. A retired part is meant only by its number.
    Six queries and one for each kind among the candidates.
    """
    text = text.strip()
    if not text:
        return Meant()
    numbered = list(Part.objects.filter(number__iexact=text)[:2])
    exact = next((part for part in numbered if part.number == text), None)
    if exact is not None or len(numbered) == 1:
        return Meant(exact or numbered[0])
    size, in_use = read(text), Part.objects.filter(retired_at=None)
    if numbered:
        return _among(list(in_use.filter(number__iexact=text).order_by("number")[: MOST_CANDIDATES + 1]))
    called = [] if size and size.names_one else list(in_use.filter(number__istartswith=text)[: MOST_CANDIDATES + 1])
    parts = [*called, *(part for part in (_of_size(size) if size else []) if part not in called)]
    heard = size.read_as if size else []
    if size and len(parts) == 1 and size.names_one:
        return Meant(parts[0], size=size, read_as=heard)
    return _among(parts, size=size, read_as=heard)


def _among(parts: Sequence[Part], *, size: Typed | None = None, read_as: Sequence[str] = ()) -> Meant:
    """Those that may be meant: no more of them than can be chosen from."""
    more = len(parts) > MOST_CANDIDATES
    return Meant(candidates=in_words(parts[:MOST_CANDIDATES]), size=size, read_as=list(read_as), more=more)


def in_words(parts: Iterable[Part]) -> list[Candidate]:
    """Parts with their sizes in words; one query for each kind among them."""
    chosen = list(parts)
    sizes = sizes_of(chosen)
    return [Candidate(part, size_line(sizes[part.pk])) for part in chosen]


def of_other_thickness(part: Part, thickness_um: int) -> list[Candidate]:
    """The shims that are like this one except for their thickness; two or three queries."""
    own = Shim.objects.get(part=part)
    like = Part.objects.filter(
        retired_at=None,
        shim__od_um=own.od_um,
        shim__bore_um=own.bore_um,
        shim__form=own.form,
        shim__thickness_um=thickness_um,
    )
    return in_words(like.order_by("number")[:MOST_CANDIDATES])


def _of_size(size: Typed) -> list[Part]:
    """The parts in use that have a size, shims first; three queries."""
    keys = [*shims_of(size, MOST_OF_SIZE), *others_of(size, MOST_OF_SIZE)]
    found = Part.objects.filter(retired_at=None).in_bulk(keys)
    return [found[key] for key in dict.fromkeys(keys) if key in found]
