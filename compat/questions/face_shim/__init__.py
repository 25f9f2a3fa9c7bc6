"""Does this face shim cover its ports?"""

from __future__ import annotations

from compat.asking.fields import length, measured, request
from compat.asking.question import Desk, Document, Model, OfPart, Question
from compat.asking.words import SHIMS
from compat.engineering import face
from compat.engineering.answers import Answer
from compat.engineering.units import Range
from compat.questions.face_shim.picture import face_shapes
from compat.texts.refusals import engine_errors
from inventory.dampers.document import DamperDocument, PistonSide, Valve
from inventory.documents.typed import written

SHIM, FACE, ROUND_IT = "The face shim", "The face it lies on", "Shaft and body"


@request
class FaceShim:
    """Does this face shim cover its ports, and nothing else? All diameters."""

    shim_od_mm: Range | None = measured("Outer diameter of the shim", least_um=1, letter="A", group=SHIM)
    shim_bore_mm: Range | None = measured("Bore of the shim", least_um=1, letter="B", group=SHIM)
    ports_inner_mm: Range | None = measured(
        "Ports, inner edges", least_um=1, help="Diameter on which they lie.", letter="E", group=FACE
    )
    ports_outer_mm: Range | None = measured(
        "Ports, outer edges", least_um=1, help="Diameter on which they lie.", letter="F", group=FACE
    )
    land_outer_mm: Range | None = measured(
        "Land, outer diameter", least_um=1, help="Of the land round the ports.", letter="G", group=FACE
    )
    hub_mm: Range | None = measured(
        "Hub", least_um=1, help="Diameter of the seat that carries the shim's centre.", letter="D", group=FACE
    )
    other_side_feed_inner_mm: Range | None = measured(
        "Feed of the other side",
        least_um=1,
        help="Diameter at which its openings begin here.",
        letter="H",
        group=FACE,
    )
    overlap_mm: float | None = length(
        "Overlap required",
        least_um=0,
        help="Past the ports' edges, radial; the shop's own figure.",
        letter="K",
        group=FACE,
    )
    shaft_mm: Range | None = measured(
        "Shaft where the shims sit",
        least_um=1,
        help="Diameter of shaft, bolt or sleeve.",
        letter="C",
        group=ROUND_IT,
    )
    body_bore_mm: Range | None = measured("Bore of the body", least_um=1, letter="J", group=ROUND_IT)


def answer(asked: FaceShim) -> Answer:
    """Raises DomainError `invalid` for what cannot be read."""
    with engine_errors("shim_od_mm"):
        return face.face_shim(
            shim_od_mm=asked.shim_od_mm,
            shim_bore_mm=asked.shim_bore_mm,
            shaft_mm=asked.shaft_mm,
            hub_mm=asked.hub_mm,
            ports_inner_mm=asked.ports_inner_mm,
            ports_outer_mm=asked.ports_outer_mm,
            land_outer_mm=asked.land_outer_mm,
            body_bore_mm=asked.body_bore_mm,
            other_side_feed_inner_mm=asked.other_side_feed_inner_mm,
            overlap_mm=None if asked.overlap_mm is None else Range.exact(asked.overlap_mm),
        )


def told(document: DamperDocument, valve: Valve, side: str) -> Document:
    """The face of one side, shaft, body and the overlap required."""
    return {**written(valve.side(side) or PistonSide()), **written(valve)}


def of_shim(sizes: Document) -> Document:
    """The shim as the catalogue has it."""
    return {"shim_od_mm": sizes["od_mm"], "shim_bore_mm": sizes["bore_mm"]}


QUESTION = Question(
    "face-shim",
    "Does this face shim cover its ports, and nothing else?",
    FaceShim,
    answer,
    desk=Desk(
        about=SHIMS,
        place=1,
        title="Does this face shim cover its ports?",
        needs="Diameters of shim, ports, land and hub, and the overlap that the shop requires.",
        picture=face_shapes,
        picture_title="What to measure on piston face and shim",
        takes=("valve", "side"),
    ),
    model=Model(told),
    part=OfPart("shim", of_shim),
)
