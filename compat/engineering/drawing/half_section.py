"""A valve on its shaft in half section, as the shaft stands in the vice: shoulder below, nut on top."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from compat.engineering.drawing import shaft
from compat.engineering.drawing.cuts import CORNERS
from compat.engineering.drawing.heights import HALF, Placed, place, scale_of
from compat.engineering.drawing.items import THIN, Assembly, Kind
from compat.engineering.drawing.labels import Label, balloons
from compat.engineering.drawing.levels import straddle
from compat.engineering.drawing.shapes import Circle, Drawing, Note, Path, Shape, Text, finished, line
from compat.engineering.drawing.standing import standing

WIDTH = 340.0
AXIS = 26.0 + HALF
ELBOW = AXIS + HALF + 5
COLUMN = 303.0


def half_section(assembly: Assembly, *, side_words: Mapping[str, str] | None = None, lip_word: str = "") -> Drawing:
    """The half section: cut and hatched right of the axis, the outside left of it, shaft and nut uncut.

    Diameters are to scale, thickness of shims `thickness_factor` times that, other heights to scale where a note does
    not say otherwise. Lip, thread and shaft end stand where they truly fall inside the part beside them, and are not
    drawn where a stack is not told. Data: `scale` (units a millimetre across), `thickness_factor`, `straddle` (None
    while unknown). Notes say what is
    unknown or not to scale. `side_words` and `lip_word` are what is written beside a side's shims and at the lip.
    Source: ISO 128-3 (sections, hatching), ISO 6410-1 (threads), ISO 6433 (item references).
    """
    scale = scale_of(assembly)
    placed, notes = place(assembly, scale)
    at = shaft.levels(assembly.shaft, placed, scale, whole=assembly.whole)
    if assembly.shaft.diameter_mm is None:
        notes.append(Note("shaft_diameter_unknown"))
    shapes = [
        *_bore(assembly, scale.across, at.end),
        *standing(AXIS, assembly, placed, scale, at),
        *_lip(at.lip, lip_word),
        *_sides(placed, side_words or {}),
        *_references(placed),
    ]
    data = {
        "scale": scale.across,
        "thickness_factor": scale.factor,
        "straddle": straddle(placed, assembly.shaft.shoulder_to_lip_mm) if assembly.whole else None,
    }
    return finished(shapes, width=WIDTH, notes=[*notes, *at.notes], data=data)


def _bore(assembly: Assembly, across: float, end: float) -> list[Shape]:
    if assembly.body_bore_mm is None:
        return []
    radius = assembly.body_bore_mm / 2 * across
    walls = tuple(((AXIS + side * radius, shaft.STUB), (AXIS + side * radius, -end)) for side in (-1, 1))
    return [Path("bore", walls)]


def _lip(lip: float | None, word: str) -> list[Shape]:
    """The lip's level on the outside half, where the parts hide it."""
    if lip is None:
        return []
    shapes: list[Shape] = [line("lip", (AXIS, -lip), (AXIS - HALF - 2, -lip))]
    return [*shapes, Text("word", AXIS - HALF, -lip - 6, word, 9.5, "start")] if word else shapes


def _sides(placed: Sequence[Placed], words: Mapping[str, str]) -> list[Shape]:
    """A bracket with the side's word beside each side's shims."""
    shapes: list[Shape] = []
    for side, word in words.items():
        own = [one for one in placed if one.item.kind is Kind.SHIM and one.item.side == side]
        if own:
            low, high = own[0].low, own[-1].high
            shapes.append(line("thin", (19, -low), (15, -low), (15, -high), (19, -high)))
            shapes.append(Text("side", 7, -(low + high) / 2, word, 9.5, turned=True))
    return shapes


def _references(placed: Sequence[Placed]) -> list[Shape]:
    """Leaders from top to bottom. A thin part is pointed at on its rim, another one by a dot inside its outline."""
    shapes: list[Shape] = []
    labels: list[Label] = []
    for one in reversed(placed):
        item, y = one.item, -one.middle
        rim = one.outer * (CORNERS if item.kind is Kind.NUT else 1.0)
        x = AXIS + rim
        if item.kind not in THIN:
            x = AXIS + one.inner + (rim - one.inner) * (0.8 if item.kind is Kind.NUT else 0.7)
            shapes.append(Circle("dot", x, y, 1.6))
        elif item.pieces > 1:
            x += 3
            shapes.append(line("thin", (x - 2, -one.low), (x, -one.low), (x, -one.high), (x - 2, -one.high)))
        labels.append(Label(item.ref, x, y, item.pieces, item.mark.value))
    return [*shapes, *balloons(labels, ELBOW, COLUMN)]
