"""Is this shaft worn or bent?"""

from __future__ import annotations

from compat.asking.fields import measured, request, rows, word
from compat.asking.question import Desk, Document, Model, Question
from compat.asking.words import SEALS
from compat.dampers import sealing_requests
from compat.engineering import shaft_wear as engine
from compat.engineering.answers import Answer
from compat.engineering.units import Range
from compat.questions.shaft.picture import shaft_shapes
from compat.questions.told_readings import READ, ROWS, SIZES, DiameterReading, Readings
from compat.texts.refusals import engine_errors
from inventory.dampers.document import DamperDocument, Valve

RUN_OUT = "Run-out and surface"
SURFACES = {"ok": "sound to eye and fingernail", "pitted": "pitted", "worn": "worn through or scored"}


@request
class ShaftWear(Readings):
    """Is this shaft worn thin, bent or rough?"""

    min_diameter_mm: Range | None = measured(
        "Least allowed", least_um=1, help="From the maker's instructions.", letter="B", group=SIZES
    )
    readings: tuple[DiameterReading, ...] = rows(
        DiameterReading, "Diameters by depth", kind="diameters", help=ROWS.replace("46.0", "15.9"), group=READ
    )
    travel_from_mm: Range | None = measured(
        "The seal travels from", most_um=2_000_000, help="In the same depths.", letter="G", group=READ
    )
    travel_to_mm: Range | None = measured(
        "to", most_um=2_000_000, help="The last depth that it reaches.", letter="H", group=READ
    )
    runout_mm: Range | None = measured(
        "Run-out", most_um=20_000, help="The gauge's whole swing in a turn.", letter="F", group=RUN_OUT
    )
    max_runout_mm: Range | None = measured(
        "Most allowed", most_um=20_000, help="From the maker's instructions.", letter="F", group=RUN_OUT
    )
    surface: str | None = word(SURFACES, "The surface is", group=RUN_OUT)


def answer(asked: ShaftWear) -> Answer:
    """Raises DomainError `invalid` for what cannot be read."""
    with engine_errors("readings"):
        return engine.shaft(
            engine.Shaft(
                nominal_mm=asked.nominal_mm,
                min_diameter_mm=asked.min_diameter_mm,
                readings=asked.read,
                runout_mm=asked.runout_mm,
                max_runout_mm=asked.max_runout_mm,
                surface=asked.surface,
                travel=asked.travel,
            )
        )


def told(document: DamperDocument, valve: Valve, side: str) -> Document:
    """The nominal diameter, the least allowed, and the run-out allowed."""
    return sealing_requests.shaft_request(document)


QUESTION = Question(
    "shaft",
    "Is this shaft worn thin, bent or rough?",
    ShaftWear,
    answer,
    headlines={"fits": "Within its limits", "does_not_fit": "Not to be used"},
    desk=Desk(
        about=SEALS,
        place=4,
        title="Is this shaft worn or bent?",
        needs="A micrometer at three places in three directions, a dial gauge between centres, and the maker's limits.",
        picture=shaft_shapes,
        picture_title="What to measure on a shaft",
    ),
    model=Model(told, limits={"min_diameter_mm": "shaft_min_mm", "max_runout_mm": "runout_max_mm"}),
)
