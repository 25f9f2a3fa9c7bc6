"""A valve with its stacks as the half section takes it: from documents and plans to what stands on the shaft."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from compat.engineering.drawing.items import Assembly, Item, Kind, Mark, PistonFace, ShaftEnd
from inventory.common.quantities import UM_PER_MM, mm_text, short_mm
from inventory.dampers.document import BasePlate, PistonSide, Stacks, Valve
from inventory.dampers.document import ShaftEnd as AtEnd
from inventory.dampers.words import SIDES
from inventory.documents.lengths import Length

ON_END = ("shoulder_to_lip_mm", "full_thread_start_mm", "shaft_end_mm")
ON_FACE = ("ports_inner_mm", "ports_outer_mm", "land_outer_mm", "hub_mm")
MARK_WORDS = {Mark.NONE: "", Mark.STAND_IN: "stand-in", Mark.MISSING: "missing"}
# A name, its size in words, and what is drawn; its number follows.
_Named = tuple[str, str, Item]


@dataclass(frozen=True, slots=True)
class Run:
    """Like shims that lie together in a stack. Lengths in millimetres; `mean_mm` is what was measured, which is drawn
    in place of the nominal thickness. `position`: the line of a plan that they serve."""

    od_mm: float
    thickness_mm: float
    quantity: int
    bore_mm: float | None = None
    mean_mm: float | None = None
    role: str = ""
    mark: Mark = Mark.NONE
    position: str = ""


@dataclass(frozen=True, slots=True)
class NutOn:
    """The nut that goes on, as far as it is known; lengths in millimetres."""

    thread: str = ""
    height_mm: float | None = None
    across_flats_mm: float | None = None
    mark: Mark = Mark.NONE


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the parts list beside a half section, in words; from the shoulder outward."""

    ref: str
    name: str
    size: str
    pieces: int
    mark: str


@dataclass(frozen=True, slots=True)
class OnShaft:
    """A valve as the half section takes it, and its parts list."""

    assembly: Assembly
    rows: tuple[Row, ...]


def diameter(mm: float) -> str:
    """A diameter as it stands on a drawing, millimetres: Ø34, Ø34.2."""
    return f"Ø{short_mm(mm * UM_PER_MM)}"


def thickness(mm: float) -> str:
    """A thickness as the trade writes it, millimetres: two decimals, more only where they are told: 0.30, 0.125."""
    return mm_text(round(mm * UM_PER_MM))


def best_mm(value: Length | Mapping[str, float] | float | None) -> float | None:
    """The best single value of a stored or sent length, millimetres."""
    if value is None:
        return None
    if isinstance(value, Length):
        return value.nominal
    return float(value["nominal"] if isinstance(value, Mapping) else value)


def runs_of(stacks: Stacks) -> dict[str, list[Run]]:
    """Stacks on file by side, each line a run at its best sizes."""
    return {
        side: [
            Run(line.od_mm.nominal, line.thickness_mm.nominal, line.quantity, best_mm(line.bore_mm))
            for line in stacks.of(side)
        ]
        for side in SIDES
    }


def on_shaft(
    valve: Valve,
    stacks: Mapping[str, Sequence[Run]],
    *,
    shaft_end: AtEnd | None = None,
    spacer: Sequence[Run] = (),
    nut: NutOn | None = None,
) -> OnShaft:
    """A valve's document with its stacks, face first, as the half section takes it.

    `spacer` lies under the outer base plate. A mid-valve (by its `code`) has no piston, and no plate but those told;
    nor has a side that a base valve lacks. References count from 1 at the shoulder. Raises ValueError for a size that
    is none.
    """
    end, code = shaft_end or AtEnd(), valve.code
    shaft = best_mm(end.diameter_mm) or best_mm(valve.shaft_mm)
    bore, high = best_mm(valve.body_bore_mm), best_mm(valve.piston_height_mm)
    piston = Item(Kind.PISTON, Kind.PISTON.value, outer_mm=bore, height_mm=high)
    inner, outer = SIDES
    named = [
        *_spacings(valve, "shoulder"),
        *_plates(valve, inner, code),
        *_spacings(valve, "inner"),
        *reversed([_shim(Kind.SHIM, inner, line) for line in stacks.get(inner, ())]),
        *([] if code == "mid" else [("piston", _height(high), piston)]),
        *[_shim(Kind.SHIM, outer, line) for line in stacks.get(outer, ())],
        *_spacings(valve, "outer"),
        *[_shim(Kind.SPACER, outer, line) for line in spacer],
        *_plates(valve, outer, code),
        _nut(nut or NutOn()),
    ]
    items = tuple(replace(item, ref=str(ref)) for ref, (_, _, item) in enumerate(named, start=1))
    at_end = ShaftEnd(shaft, *(best_mm(getattr(end, name)) for name in ON_END))
    below, above = (_face(valve.side(side) or PistonSide()) for side in SIDES)
    # A main valve stands on both stacks: without one of them the plate at the lip is not where it will be.
    whole = code != "main" or all(stacks.get(side) for side in SIDES)
    assembly = Assembly(items, at_end, below, above, bore, whole)
    rows = tuple(
        Row(item.ref, name, size, item.pieces, MARK_WORDS[item.mark])
        for item, (name, size, _) in zip(items, named, strict=True)
    )
    return OnShaft(assembly, rows)


def _face(side: PistonSide) -> PistonFace:
    return PistonFace(*(best_mm(getattr(side, name)) for name in ON_FACE))


def _spacings(valve: Valve, place: str) -> list[_Named]:
    """Washers and sleeves of one place. Documents name them freely; what is called a sleeve is drawn as one."""
    found: list[_Named] = []
    for one in valve.washers or ():
        if one.stands == place:
            kind = Kind.SLEEVE if "sleeve" in one.name.lower() else Kind.WASHER
            height = best_mm(one.height_mm)
            found.append((one.name, _height(height), Item(kind, kind.value, height_mm=height)))
    return found


def _plates(valve: Valve, side: str, code: str) -> list[_Named]:
    """The plate of a side, as `assembly_order` counts it."""
    told = valve.plate(side)
    if told is None and (code == "mid" or (code == "base" and valve.side(side) is None)):
        return []
    plate = told or BasePlate()
    height, contact = best_mm(plate.height_mm), best_mm(plate.contact_diameter_mm)
    item = Item(Kind.BASE_PLATE, Kind.BASE_PLATE.value, side, height_mm=height, contact_diameter_mm=contact)
    return [(f"{side} base plate", _height(height), item)]


def _nut(nut: NutOn) -> _Named:
    item = Item(Kind.NUT, Kind.NUT.value, outer_mm=nut.across_flats_mm, height_mm=nut.height_mm, mark=nut.mark)
    return "nut", nut.thread or _height(nut.height_mm), item


def _shim(kind: Kind, side: str, run: Run) -> _Named:
    item = Item(
        kind,
        kind.value,
        side,
        outer_mm=run.od_mm,
        inner_mm=run.bore_mm,
        height_mm=run.mean_mm or run.thickness_mm,
        pieces=run.quantity,
        role=run.role,
        mark=run.mark,
    )
    name = "spacer shim" if kind is Kind.SPACER else " ".join(word for word in (side, run.role, "shim") if word)
    return name, f"{short_mm(run.od_mm * UM_PER_MM)} × {thickness(run.thickness_mm)} mm", item


def _height(mm: float | None) -> str:
    return "height unknown" if mm is None else f"{thickness(mm)} mm high"
