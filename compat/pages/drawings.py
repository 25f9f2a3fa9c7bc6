"""Drawings for pages: from stored and sent values to the engine's input, from coordinates to what a template prints.

Every number that a template prints is text here already, so that no locale can put a comma into a coordinate.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from compat.asking.pictures import picture_of
from compat.asking.rooms import questions
from compat.engineering.drawing import part_pictures
from compat.engineering.drawing.half_section import half_section
from compat.engineering.drawing.items import THIN, Assembly, Item, Kind, Mark, PistonFace, ShaftEnd
from compat.engineering.drawing.shapes import Circle, Drawing, Path, Point, Shape, Text
from compat.engineering.threads.designation import ThreadError, parse
from inventory.common.quantities import UM_PER_MM, mm_text, short_mm
from inventory.dampers.document import BasePlate, PistonSide, Stacks, Valve
from inventory.dampers.document import ShaftEnd as AtEnd
from inventory.documents.lengths import Length

SIDES = ("compression", "rebound")
ON_END = ("shoulder_to_lip_mm", "full_thread_start_mm", "shaft_end_mm")
ON_FACE = ("ports_inner_mm", "ports_outer_mm", "land_outer_mm", "hub_mm")
PREFIX = re.compile(r"[a-z][a-z0-9-]*+")
LIP_WORD = "lip"
# Outer diameter, bore and height of the kinds of part that are rings, by their outside names.
RINGS = {
    "shim": ("od_mm", "bore_mm", "thickness_mm"),
    "washer": ("outer_mm", "inner_mm", "height_mm"),
    "piston": ("outer_mm", "bore_mm", "height_mm"),
    "bush": ("outer_mm", "inner_mm", "length_mm"),
}
MARK_WORDS = {Mark.NONE: "", Mark.STAND_IN: "stand-in", Mark.MISSING: "missing"}
NOTES = {
    "height_unknown": "height unknown, drawn by eye",
    "outer_unknown": "outer diameter unknown, drawn by eye",
    "height_not_to_scale": "height not to scale",
    "pieces_in_a_block": "drawn as one broken block; the number stands beside the balloon",
    "shaft_diameter_unknown": "The shaft's diameter is unknown: its outline is drawn by eye.",
    "shaft_not_placed": "A height below the shaft's end is unknown: its lip and thread are not placed.",
    "stack_not_told": "Lip, thread and the shaft's end are not placed: where they fall depends on the stacks.",
    "lip_unknown": "The lip is not drawn: shoulder to lip is unknown.",
    "thread_start_unknown": "The start of the full thread is unknown, drawn by eye.",
    "shaft_end_unknown": "The end of the shaft is unknown, drawn by eye.",
    "shaft_end_shortened": "The end of the shaft is drawn shortened.",
    "thickness_exaggerated": "The thickness is exaggerated.",
    "across_flats_unknown": "The width across flats is unknown, drawn by eye.",
}


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


@dataclass(frozen=True, slots=True)
class ShownShape:
    """A shape as the template writes it; a path has `d`, a circle `radius`, a text neither."""

    css: str
    d: str = ""
    x: str = ""
    y: str = ""
    radius: str = ""
    value: str = ""
    size: str = ""
    anchor: str = ""
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Shown:
    """What `compat/drawing/_drawing.html` takes. `prefix` makes the ids of one page's drawings different."""

    prefix: str
    title: str
    desc: str
    width: str
    height: str
    shapes: tuple[ShownShape, ...]
    extra: str = ""


def shown(drawing: Drawing, *, prefix: str, title: str, desc: str, extra: str = "") -> Shown:
    """A drawing for the template. Raises ValueError for a prefix that is no id, or an empty title or description."""
    if not PREFIX.fullmatch(prefix):
        raise ValueError(f"a prefix is a lower-case word with digits and hyphens, not {prefix!r}")
    if not title.strip() or not desc.strip():
        raise ValueError("a drawing has a title and a description")
    shapes = tuple(_shape(shape) for shape in drawing.shapes)
    return Shown(prefix, title, desc, _number(drawing.width), _number(drawing.height), shapes, extra)


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


def notes_of(drawing: Drawing) -> list[str]:
    """What the drawing does not show as it is, one sentence a kind of note, with the references it is about."""
    refs: dict[str, list[str]] = {}
    for note in drawing.notes:
        refs.setdefault(note.code, []).extend([note.ref] if note.ref else [])
    return [f"{', '.join(own)}: {NOTES[code]}." if own else NOTES[code] for code, own in refs.items()]


def half_section_of(standing: OnShaft, *, prefix: str, title: str) -> tuple[Shown, list[str]]:
    """The half section of a valve with its words, and its notes. Raises ValueError as `shown` does."""
    drawing = half_section(standing.assembly, side_words={side: side for side in SIDES}, lip_word=LIP_WORD)
    factor = drawing.data["thickness_factor"]
    said = ["Half section: shoulder below, nut on top; cut right of the axis, seen from outside left of it."]
    if any(item.kind in THIN for item in standing.assembly.items):
        thick = f"{factor} times as thick as they are" if factor > 1 else "as thick as they are"
        said.append(f"Diameters are to scale; shims are {thick}.")
    else:
        said.append("Diameters are to scale.")
    lip = drawing.data["straddle"]
    if lip is not None and lip.straddles:
        on, past = thickness(lip.on_straight_mm), thickness(lip.past_lip_mm)
        said.append(f"At best values {on} mm of the outer base plate lie on the straight part, {past} mm past the lip.")
    elif lip is not None:
        where = "on the straight part" if lip.past_lip_mm <= 0 else "past the lip"
        said.append(f"At best values the outer base plate does not straddle the lip: it lies wholly {where}.")
    said += [f"{row.ref}: {row.name} is a stand-in." for row in standing.rows if row.mark == MARK_WORDS[Mark.STAND_IN]]
    said += [f"{row.ref}: {row.name} is missing." for row in standing.rows if row.mark == MARK_WORDS[Mark.MISSING]]
    return shown(drawing, prefix=prefix, title=title, desc=" ".join(said)), notes_of(drawing)


def question_picture(question: str, *, prefix: str) -> tuple[Shown, dict[str, str]]:
    """The measuring picture of a question, and {field: letter}. Raises ValueError for a question without one."""
    picture, letters = _question_picture(question, prefix)
    return picture, dict(letters)


@lru_cache(maxsize=64)  # the same for every damper and reading
def _question_picture(question: str, prefix: str) -> tuple[Shown, dict[str, str]]:
    room = questions()[question]
    drawing = picture_of(room)
    assert room.desk is not None
    desc = "Not to scale. Each letter stands beside the field of the form that it belongs to."
    return shown(drawing, prefix=prefix, title=room.desk.picture_title, desc=desc), drawing.data["letters"]


def part_drawing(kind: str, sizes: Mapping[str, Any]) -> Drawing | None:
    """A part of the catalogue from its sizes by their outside names; None where they cannot be drawn.

    Raises ValueError for sizes that make no part.
    """
    if kind == "nut":
        return _nut_drawing(sizes)
    if kind == "oring":
        inner, section = sizes["ring_id_mm"], sizes["section_mm"]
        return part_pictures.ring(inner, section, {"bore": diameter(inner), "thickness": thickness(section)})
    if kind == "band":
        return _band_drawing(sizes)
    if kind not in RINGS:
        return None
    outer, bore, height = (sizes[name] for name in RINGS[kind])
    words = {"outer": diameter(outer), "bore": diameter(bore), "thickness": thickness(height)}
    if kind == "shim":
        return part_pictures.shim(outer, bore, height, sizes.get("form", "round"), words)
    if kind == "piston":
        return part_pictures.piston(outer, bore, height, words)
    contact = sizes.get("contact_diameter_mm")
    if contact is None or contact >= outer:
        return part_pictures.washer(outer, bore, height, words)
    return part_pictures.washer(outer, bore, height, {**words, "contact": diameter(contact)}, contact)


def _band_drawing(sizes: Mapping[str, Any]) -> Drawing:
    """A band as it lies in its bore: the bore, the band's width, and what is left inside it."""
    outer, wide = sizes["for_bore_mm"], sizes["width_mm"]
    inner = outer - 2 * sizes["band_thickness_mm"]
    return part_pictures.washer(outer, inner, wide, {"outer": diameter(outer), "thickness": thickness(wide)})


def _nut_drawing(sizes: Mapping[str, Any]) -> Drawing | None:
    try:
        major = parse(sizes["thread"]).nominal_mm
    except ThreadError:
        return None
    flats = sizes.get("across_flats_mm")
    words = {"thread": sizes["thread"], "thickness": thickness(sizes["height_mm"])}
    if flats is not None:
        words["across_flats"] = short_mm(flats * UM_PER_MM)
    return part_pictures.nut(major, sizes["height_mm"], words, flats)


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


# A name, its size in words, and what is drawn; its number follows.
_Named = tuple[str, str, Item]


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


def _shape(shape: Shape) -> ShownShape:
    css = f"dr-{shape.kind}"
    if isinstance(shape, Path):
        return ShownShape(css, d="".join(_line(line, shape.closed) for line in shape.lines if line) or "M0 0")
    x, y = _number(shape.x), _number(shape.y)
    if isinstance(shape, Circle):
        return ShownShape(css, x=x, y=y, radius=_number(shape.radius))
    assert isinstance(shape, Text)
    return ShownShape(
        css, x=x, y=y, value=shape.value, size=_number(shape.size), anchor=shape.anchor, turned=shape.turned
    )


def _line(points: Iterable[Point], closed: bool) -> str:
    return "M" + "L".join(f"{_number(x)} {_number(y)}" for x, y in points) + ("Z" if closed else "")


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
