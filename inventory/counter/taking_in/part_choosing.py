"""Which part is meant by what somebody typed or scanned: a number in any case, or the sizes of a shim."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from django.db.models import Q

from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.models import Part
from inventory.counter.browsing.part_words import size_line
from inventory.counter.browsing.typed_sizes import shim_size
from inventory.stock.selectors import sizes_of

MOST_CANDIDATES = 8


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part that may be meant, and its sizes in words."""

    part: Part
    words: str


@dataclass(frozen=True, slots=True)
class Meant:
    """The one part that was meant, else those that may be. `size` is what was read as the sizes of a shim."""

    part: Part | None = None
    candidates: list[Candidate] = field(default_factory=list)
    size: tuple[int, ...] = ()


def meant(text: str) -> Meant:
    """Which part is meant by `SH-12-34-015`, `34x0.15x12` or `34 0,15` (outer diameter, thickness, bore).

    A size means a part only where one part alone has it; what is no number and no size may be the beginning of
    numbers. A retired part is meant only by its number. Four queries and one for each kind among the candidates.
    """
    text = text.strip()
    if not text:
        return Meant()
    numbered = list(Part.objects.filter(number__iexact=text)[:2])
    exact = next((part for part in numbered if part.number == text), None)
    if exact is not None or len(numbered) == 1:
        return Meant(exact or numbered[0])
    size = shim_size(text)
    in_use = Part.objects.filter(retired_at=None).order_by("number")
    if numbered:
        rows = in_use.filter(number__iexact=text)
    elif size:
        rows = in_use.filter(_of_size(size)).order_by("shim__bore_um", "shim__form", "number")
    else:
        rows = in_use.filter(number__istartswith=text)
    parts = list(rows[:MOST_CANDIDATES])
    if size and len(parts) == 1:
        return Meant(parts[0], size=size)
    return Meant(candidates=in_words(parts), size=size)


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


def _of_size(size: tuple[int, ...]) -> Q:
    return Q(**dict(zip(("shim__od_um", "shim__thickness_um", "shim__bore_um"), size, strict=False)))
