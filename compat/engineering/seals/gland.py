"""The three glands of an O-ring, and what a ring does in one at every corner of the tolerances."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from itertools import product
from typing import Any

import numpy as np

from compat.engineering.seals.ring import Floats, Ring, section_loss_percent
from compat.engineering.units import Range

KINDS = ("piston", "rod", "face")
LEAST_LEFT = 0.5  # of a ring's outer diameter where it is crushed; past that every gland has refused it


@dataclass(frozen=True, slots=True)
class Gland:
    """A gland of one kind; the sizes of that kind, mm, None where not measured, all else None.

    piston: a ring in the groove (diameter `groove_mm`) of a piston, in the bore `bore_mm`. rod: a ring in a groove of
    the housing (its outer diameter `groove_mm`) round the rod `rod_mm`. face: a ring in a flat groove `depth_mm` deep
    between the diameters `inner_mm` and `outer_mm`, its lid closed. `width_mm`: of the groove along the axis, or of a
    face's ring groove. `pressure_from`: of a face, `inside` or `outside`, None where not known. `land_mm`: the diameter
    of the part beside its groove, of a piston outside, of a rod's housing its hole. `extrusion_gap_mm`: the gap that is
    left there in diameter, or between the faces.
    """

    kind: str
    bore_mm: Range | None = None
    rod_mm: Range | None = None
    groove_mm: Range | None = None
    depth_mm: Range | None = None
    inner_mm: Range | None = None
    outer_mm: Range | None = None
    width_mm: Range | None = None
    pressure_from: str | None = None
    land_mm: Range | None = None
    extrusion_gap_mm: Range | None = None

    @property
    def missing(self) -> tuple[str, ...]:
        """Names of sizes that must be measured before stretch and squeeze are known."""
        return tuple(name for name in NEEDED[self.kind] if getattr(self, name) is None)

    def widened(self, diameter_mm: float) -> Gland:
        """The same with its bore worn larger by so much in diameter."""
        if self.bore_mm is None:
            raise ValueError("only a piston gland has a bore")
        return replace(self, bore_mm=self.bore_mm + Range.exact(diameter_mm))

    def at_nominal(self) -> Gland:
        """The same with every size at its nominal value."""
        sizes: dict[str, Any] = {
            one.name: Range.exact(size.nominal)
            for one in fields(self)
            if isinstance(size := getattr(self, one.name), Range)
        }
        return replace(self, **sizes)


NEEDED = {
    "piston": ("bore_mm", "groove_mm"),
    "rod": ("rod_mm", "groove_mm"),
    "face": ("depth_mm", "inner_mm", "outer_mm"),
}


@dataclass(frozen=True, slots=True)
class Spans:
    """Limits of one quantity for some rings: arrays of shape (rings,), and the nominal value of each."""

    low: Floats
    high: Floats
    nominal: Floats

    def at(self, index: int) -> Range:
        """The range of one ring."""
        low, high = float(self.low[index]), float(self.high[index])
        return Range(low, high, min(max(float(self.nominal[index]), low), high))


@dataclass(frozen=True, slots=True)
class Seated:
    """Some rings in a gland, in percent: of the inner diameter, the section, the groove's area, the outer diameter.

    `squeeze` is that of parts on one axis, `aside` holds also what it becomes where they lie to one side."""

    stretch: Spans
    squeeze: Spans
    aside: Spans
    fill: Spans | None
    crush: Spans


@dataclass(frozen=True, slots=True)
class Rings:
    """Free rings as arrays of shape (rings,), mm."""

    id_low: Floats
    id_high: Floats
    id_nominal: Floats
    section_low: Floats
    section_high: Floats
    section_nominal: Floats

    @classmethod
    def of(cls, *rings: Ring) -> Rings:
        """From single rings."""
        ends = [[getattr(one, end) for one in pair] for pair in _pairs(rings) for end in ("low", "high", "nominal")]
        return cls(*(np.array(end, dtype=float) for end in ends))


def seated(rings: Rings, gland: Gland) -> Seated:
    """Stretch, squeeze, fill and crush of each ring, over all corners of its sizes and of the gland's.

    rings: arrays of shape (n,). Squeeze and fill take the section that stretching leaves (section_loss_percent); the
    largest fill keeps the ring's volume; a ring crushed at its outer diameter swells by it in the largest squeeze and
    fill, not in the least. Between the ends of each diameter three values more are tried, since a small ring's
    squeeze need not be largest at an end. Raises
    ValueError where a size of the gland is missing, or leaves no room between groove and wall. Source: stretch,
    squeeze and fill as ISO 3601-2 defines them; the crush of a rod's or a face's ring from memory of it.

    Round parts with a gap between their diameters touch on one side when their axes are half of it apart; opposite,
    the gland is deeper by that half. So `aside` takes it from the least squeeze and gives it to the largest: plane
    geometry, which handbooks and ISO 3601-2 call eccentricity or side loading (from memory). A gap that is not known
    takes nothing here, and is asked for.
    """
    if gland.missing:
        raise ValueError(f"not measured: {', '.join(gland.missing)}")
    corners = np.array(list(seat_corners(gland)))  # (corners, [seat, outside, height, aside])
    seat, outside, height, off = (corners[:, n, None, None] for n in range(4))
    if (height <= 0).any():
        raise ValueError("the groove leaves no room for a ring")
    inner = np.stack([rings.id_low, rings.id_high])[None, :, :]
    found = []
    for section in (rings.section_low, rings.section_high):
        found.append(_in_place(inner, section[None, None, :], seat, outside, height, off))
    columns = (np.stack([one[n] for one in found]) for n in range(8))
    stretch, squeeze, swollen, apart, touching, crush, least, most = columns
    middle = np.array([nominal_seat(gland)])[:, :, None, None]
    at = _in_place(
        rings.id_nominal[None, None, :],
        rings.section_nominal[None, None, :],
        middle[:, 0],
        middle[:, 1],
        middle[:, 2],
        0.0,
    )
    fill = None
    if gland.width_mm is not None:
        # `least` and `most` are areas over the height of their own corner.
        fill = _spans(
            np.concatenate([least / gland.width_mm.high, most / gland.width_mm.low]), at[6] / gland.width_mm.nominal
        )
    central = np.concatenate([squeeze, swollen])
    aside = np.concatenate([central, apart, touching])
    return Seated(_spans(stretch, at[0]), _spans(central, at[1]), _spans(aside, at[1]), fill, _spans(crush, at[5]))


def _in_place(inner: Any, section: Any, seat: Any, outside: Any, height: Any, off: Any) -> tuple[Any, ...]:
    """(stretch, squeeze, squeeze as crushing swells the section, the first where the parts are `off` further apart, the
    second where they are so much nearer, crush, least and most section over height), percent and mm; arrays that
    broadcast."""
    stretch = 100 * (seat - inner) / inner
    outer = inner + 2 * section
    crush = 100 * (outer - outside) / outer
    left = section * (1 - section_loss_percent(stretch) / 100)
    swollen = np.clip(1 - crush / 100, LEAST_LEFT, 1.0)
    squeeze, swelled = 100 * (1 - height / left), 100 * (1 - height * np.sqrt(swollen) / left)
    apart, touching = 100 * (1 - (height + off) / left), 100 * (1 - (height - off) * np.sqrt(swollen) / left)
    area = np.pi / 4 * section**2 / (1 + np.clip(stretch, 0.0, None) / 100) / swollen
    shape = np.broadcast_shapes(stretch.shape, squeeze.shape, crush.shape)
    least, most = 100 * np.pi / 4 * left**2 / height, 100 * area / height
    return tuple(
        np.broadcast_to(one, shape) for one in (stretch, squeeze, swelled, apart, touching, crush, least, most)
    )


def gap_of(gland: Gland) -> Range | None:
    """The gap beside the gland in diameter, mm: as read, or of a piston's or a rod's gland from the part beside the
    groove; of a face the distance between the two faces. None where not known. Below zero where readings contradict."""
    if gland.extrusion_gap_mm is not None or gland.land_mm is None:
        return gland.extrusion_gap_mm
    if gland.kind == "piston":
        return None if gland.bore_mm is None else gland.bore_mm - gland.land_mm
    return None if gland.rod_mm is None or gland.kind != "rod" else gland.land_mm - gland.rod_mm


def aside_mm(gland: Gland) -> float:
    """How far the axes of the two parts can lie apart, mm: half the largest gap between their diameters; 0 of a face,
    whose lids lie on no side, and where the gap is not known."""
    gap = None if gland.kind == "face" else gap_of(gland)
    return 0.0 if gap is None else max(gap.high, 0.0) / 2


def seat_corners(gland: Gland) -> Iterator[tuple[float, float, float, float]]:
    """(diameter that stretches the ring, diameter that crushes it, height left to its section, how far the parts can
    lie to one side) at every corner. The gap is that of the bore or rod of the same corner."""
    if gland.kind == "piston":
        assert gland.bore_mm is not None and gland.groove_mm is not None
        for bore in _ends(gland.bore_mm):
            off = aside_mm(replace(gland, bore_mm=Range.exact(bore)))
            yield from ((groove, np.inf, (bore - groove) / 2, off) for groove in _between(gland.groove_mm))
    elif gland.kind == "rod":
        assert gland.rod_mm is not None and gland.groove_mm is not None
        for rod in _between(gland.rod_mm):
            off = aside_mm(replace(gland, rod_mm=Range.exact(rod)))
            yield from ((rod, groove, (groove - rod) / 2, off) for groove in _between(gland.groove_mm))
    else:
        assert gland.depth_mm is not None and gland.inner_mm is not None and gland.outer_mm is not None
        for inner, outer, depth in product(_ends(gland.inner_mm), _ends(gland.outer_mm), _ends(gland.depth_mm)):
            yield inner, outer, depth, 0.0


def nominal_seat(gland: Gland) -> tuple[float, float, float]:
    """(diameter that stretches a ring, diameter that crushes it, height left to its section) at nominal sizes, mm.

    The gland misses no size that stretch and squeeze need.
    """
    return next(seat_corners(gland.at_nominal()))[:3]


def _ends(size: Range) -> tuple[float, ...]:
    return (size.low, size.high) if size.low < size.high else (size.low,)


def _between(size: Range) -> tuple[float, ...]:
    if size.low == size.high:
        return (size.low,)
    return tuple(np.linspace(size.low, size.high, 5))


def _pairs(rings: tuple[Ring, ...]) -> tuple[list[Range], list[Range]]:
    return [ring.id_mm for ring in rings], [ring.section_mm for ring in rings]


def _spans(values: Any, nominal: Any) -> Spans:
    rings = values.shape[-1]
    flat = values.reshape(-1, rings)
    return Spans(flat.min(axis=0), flat.max(axis=0), np.broadcast_to(nominal, (1, 1, rings)).reshape(rings))
