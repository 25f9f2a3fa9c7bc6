"""Drawings for pages: from stored and sent values to the engine's input, from coordinates to what a template prints.

Every number that a template prints is text here already, so that no locale can put a comma into a coordinate.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from compat.asking.pictures import picture_of
from compat.asking.rooms import questions
from compat.engineering.drawing import part_pictures
from compat.engineering.drawing.half_section import half_section
from compat.engineering.drawing.items import THIN, Mark
from compat.engineering.drawing.shapes import Circle, Drawing, Path, Point, Shape, Text
from compat.engineering.threads.designation import ThreadError, parse
from compat.pages.valve_drawing import MARK_WORDS, OnShaft, diameter, thickness
from inventory.common.quantities import UM_PER_MM, short_mm

SIDES = ("compression", "rebound")
PREFIX = re.compile(r"[a-z][a-z0-9-]*+")
LIP_WORD = "lip"
# Outer diameter, bore and height of the kinds of part that are rings, by their outside names.
RINGS = {
    "shim": ("od_mm", "bore_mm", "thickness_mm"),
    "washer": ("outer_mm", "inner_mm", "height_mm"),
    "piston": ("outer_mm", "bore_mm", "height_mm"),
    "bush": ("outer_mm", "inner_mm", "length_mm"),
}
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
