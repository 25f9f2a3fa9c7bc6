"""Does this bore pass this shaft?"""

from __future__ import annotations

from compat.asking.fields import length, measured, number, request, text
from compat.asking.question import Desk, Document, Model, Question, Value
from compat.asking.words import SEALS
from compat.dampers import sealing_requests
from compat.engineering.answers import Answer
from compat.engineering.clearance import BoreOnShaft, clearance
from compat.engineering.limits_and_fits import LARGEST_MM
from compat.engineering.units import Range
from compat.questions.clearance.picture import clearance_shapes
from compat.texts.refusals import engine_errors
from inventory.dampers.document import DamperDocument, Valve

HOLE, PIN, PAIR = "The bore", "The shaft in it", "Both"


@request
class Clearance:
    """Does this bore pass this shaft, and with how much play? Sizes as read, or by a class of ISO 286."""

    bore_mm: Range | None = measured("Bore, as read", least_um=1, letter="A", group=HOLE)
    bore_class: str | None = text("and its class", most=4, help="H5 to H11, as in H9.", group=HOLE)
    shaft_mm: Range | None = measured("Shaft, as read", least_um=1, letter="B", group=PIN)
    shaft_class: str | None = text("and its class", most=4, help="d to h, as in g6.", group=PIN)
    nominal_mm: float | None = number(
        "Nominal diameter", least=0.1, most=LARGEST_MM, unit="mm", help="Of the classes.", letter="C", group=PAIR
    )
    most_clearance_mm: float | None = length(
        "Most play allowed", most_um=5_000, help="In diameter.", letter="D", group=PAIR
    )


def answer(asked: Clearance) -> Answer:
    """Raises DomainError `invalid` for a class that is not tabulated."""
    with engine_errors("bore_class"):
        return clearance(
            BoreOnShaft(
                nominal_mm=asked.nominal_mm,
                bore_mm=asked.bore_mm,
                bore_class=asked.bore_class or None,
                shaft_mm=asked.shaft_mm,
                shaft_class=asked.shaft_class or None,
                most_clearance_mm=asked.most_clearance_mm,
            )
        )


def told(document: DamperDocument, valve: Valve, side: str) -> Document:
    """Of a shim on a valve: its shaft, and the play allowed."""
    return sealing_requests.clearance_request(document, valve)


QUESTION = Question(
    "clearance",
    "Does this bore pass this shaft, and with how much play?",
    Clearance,
    answer,
    desk=Desk(
        about=SEALS,
        place=5,
        title="Does this bore pass this shaft?",
        needs="Bore and shaft as read, or their classes of ISO 286 as in H9 and g6.",
        picture=clearance_shapes,
        picture_title="What to measure on a shaft and its bore",
    ),
    values=(
        Value("bore_mm", "Bore"),
        Value("shaft_mm", "Shaft"),
        Value("clearance_mm", "Play in diameter"),
    ),
    model=Model(told, limits={"most_clearance_mm": "shim_play_max_mm"}),
)
