"""What is not exactly known of a mount, and the corners that bound every curve inside it.

Most sizes move the whole curve one way, so the softest and the stiffest curve lie at known ends of them. The hub and
the radius of a seat move it either way: a hub supports the face shim and, where it is the smallest, is the clamp. They
are taken at both ends and, the hub, at every size at which another part becomes the clamp in its place.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

from compat.engineering.bending.stack import SLIP, Groups, Mount, Preload, refuse_outside_model
from compat.engineering.units import Range

LEAST_MPA, MOST_MPA = 180_000.0, 220_000.0  # E of spring strip, carbon and stainless; from memory
LEAST_POISSON, MOST_POISSON = 0.27, 0.31  # of steel, from memory
# 1: the curve is softer at the high end; -1: at the low end
SOFTER = {"youngs_mpa": -1, "poisson": -1, "edge_slip": 1, "base_radius_mm": -1, "seat_height_mm": -1}
RING = ("inner_radius_mm", "outer_radius_mm")
EITHER = ("hub_radius_mm", "seat_radius_mm")
SIZES = ("hub_radius_mm", "base_radius_mm", *RING, "seat_radius_mm", "seat_height_mm")


@dataclass(frozen=True, slots=True)
class Spread:
    """A mount at its nominal values, and those of its quantities that are only known between limits, by their names in
    Mount and `seat_radius_mm`, `seat_height_mm` of its preload; radii in millimetres."""

    mount: Mount
    open: Mapping[str, Range]

    @classmethod
    def of(cls, mount: Mount, **told: Range) -> Spread:
        """With the sizes told; the steel, the clamp's edge and the pressure beside the ports are as open as they are
        where nothing is told of them."""
        known = {
            "youngs_mpa": Range(LEAST_MPA, MOST_MPA, min(max(mount.youngs_mpa, LEAST_MPA), MOST_MPA)),
            "poisson": Range(LEAST_POISSON, MOST_POISSON, min(max(mount.poisson, LEAST_POISSON), MOST_POISSON)),
            "edge_slip": Range(*SLIP, mount.edge_slip),
            "beyond": Range(0.0, 1.0, 0.0),
            **told,
        }
        return cls(mount, {name: one for name, one in known.items() if one.low < one.high})

    def measured(self, mount: Mount) -> Spread:
        """The same with what a curve measured on its piston tells of the steel and the clamp's edge."""
        settled = ("youngs_mpa", "edge_slip")
        return Spread(mount, {name: one for name, one in self.open.items() if name not in settled})

    def at(self, values: Mapping[str, float]) -> Mount:
        """The mount with some of its quantities at other values."""
        seat = self.mount.preload
        sizes: dict[str, Any] = {name: value for name, value in values.items() if not name.startswith("seat_")}
        if seat is not None:
            radius, height = values.get("seat_radius_mm"), values.get("seat_height_mm")
            seat = Preload(seat.radius_mm if radius is None else radius, seat.height_mm if height is None else height)
        return replace(self.mount, **sizes, preload=seat)

    def corners(self, groups: Groups, *, soft: bool) -> Iterator[Mount]:
        """The mounts among which the softest, or the stiffest, curve of such a stack lies."""
        ends = {
            name: one.high if (SOFTER[name] > 0) == soft else one.low
            for name, one in self.open.items()
            if name in SOFTER
        }
        base = ends.get("base_radius_mm")
        either = {name: self.either(name, groups, base) for name in EITHER if name in self.open}
        found = [dict(zip(either, values, strict=True)) for values in product(*either.values())]
        for loaded, sizes in product(self._loads(soft=soft), found):
            corner = self.at({**ends, **loaded, **sizes})
            if corner.fitted is None:
                yield corner
            else:
                for youngs, slip in corner.fitted.as_good:
                    yield replace(corner, youngs_mpa=youngs, edge_slip=slip)

    def _loads(self, *, soft: bool) -> list[dict[str, float]]:
        """The rings of ports, without and with oil beside them, at which the least, or the most, pressure, force and
        stress lie.

        A ring further out lifts the shim more easily, by its pressure and by its force. A wider one does so by its
        pressure, and not by its force. Where oil presses inside of it as well, its inner edge moves no pressure. Oil
        beside the ports lets a lift be reached by less pressure, and may bend the shim more sharply at the clamp.
        """
        inner, outer = (self.open.get(name, Range.exact(getattr(self.mount, name))) for name in RING)
        beside = self.open.get("beyond", Range.exact(self.mount.beyond))
        most, least = (inner.high, outer.high), (inner.low, outer.low)
        loads = {(beside.high, inner.high, outer.low), (beside.high, *most), (beside.low, *most)}
        if not soft:
            loads = {(beside.low, inner.high, outer.low), (beside.low, *least), (beside.high, *least)}
        return [dict(zip(("beyond", *RING), load, strict=True)) for load in sorted(loads)]

    def either(self, name: str, groups: Groups, base_mm: float | None = None) -> list[float]:
        """The values of a quantity between which a curve moves one way; base_mm: the base plate's radius, if not the
        nominal one."""
        one, base = self.open[name], self.mount.base_radius_mm if base_mm is None else base_mm
        turns = (base, float(groups.radius_mm.min())) if name == "hub_radius_mm" else ()
        return sorted({one.low, one.high, *(turn for turn in turns if one.low < turn < one.high)})

    def size_corners(self) -> list[Mount]:
        """The mount at every end of its open sizes; none where all of them are known."""
        sizes = {name: one for name, one in self.open.items() if name in SIZES}
        ends = product(*((one.low, one.high) for one in sizes.values()))
        return [self.at(dict(zip(sizes, values, strict=True))) for values in ends] if sizes else []

    def refuse_outside_model(self, stacks: Sequence[Groups]) -> None:
        """Raises CannotBend where any corner of the sizes lies outside the model."""
        slip = self.open.get("edge_slip")
        most = self.mount.edge_slip if slip is None else slip.high
        for corner in self.size_corners() or [self.mount]:
            for groups in stacks:
                refuse_outside_model(groups, replace(corner, edge_slip=most))
