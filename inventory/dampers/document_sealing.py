"""What a damper model's document tells of seals, wear and oil, and the limits from the maker's instructions."""

from __future__ import annotations

from inventory.dampers.words import LIMITS, OILS
from inventory.documents.lengths import Length
from inventory.documents.typed import Measured, Number, Part, Text, document, may, need


@document
class Ring:
    """A ring: by the three digits of its AS568 size, or by inner diameter and section."""

    size: str | None = may(Text())
    id_mm: Length | None = may(Measured())
    section_mm: Length | None = may(Measured())


@document
class Band:
    """The piston's band: the bottom of its groove, its radial thickness when new, the ring under it."""

    groove_mm: Length | None = may(Measured())
    band_thickness_mm: Length | None = may(Measured())
    energiser: Ring | None = may(Part(Ring))


@document
class Shaft:
    """The shaft where its seal runs."""

    diameter_mm: Length | None = may(Measured())


@document
class RodGland:
    """The groove in the seal head round the shaft: its outer diameter, its width, and the ring in it."""

    groove_mm: Length | None = may(Measured())
    width_mm: Length | None = may(Measured())
    ring: Ring | None = may(Part(Ring))


@document
class Oil:
    """What the seals meet: the oil, and the hottest it becomes, in degrees Celsius."""

    fluid: str | None = may(Text(OILS))
    hottest_c: float | None = may(Number())


@document
class Limit:
    """A limit from the maker's instructions: its value in the unit that its name says, where it stands, and the date
    of that, YYYY-MM-DD."""

    limit: str = need(Text(LIMITS))
    value: float = need(Number())
    source: str = need(Text())
    on: str = need(Text())
