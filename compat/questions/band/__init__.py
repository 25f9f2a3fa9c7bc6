"""Does this band still seal in this bore?"""

from __future__ import annotations

from compat.asking.fields import measured, request
from compat.asking.question import Desk, Document, Model, Question
from compat.asking.words import SEALS
from compat.dampers import sealing_requests
from compat.engineering import band as engine
from compat.engineering.answers import Answer
from compat.engineering.units import Range
from compat.questions.band.picture import band_shapes
from compat.questions.told_bands import PISTON, WEAR, BandInBore
from compat.texts.refusals import engine_errors
from inventory.dampers.document import DamperDocument, Valve


@request
class InBore:
    """The bore that a band runs in."""

    bore_mm: Range | None = measured(
        "Bore of the body", least_um=1, help="Nominal, or as read; then its wear is 0.", letter="A", group=PISTON
    )


@request
class Worn:
    """What the bore lost to the band."""

    bore_wear_diametral_mm: Range | None = measured(
        "Bore worn by", most_um=20_000, help="In diameter, beyond the bore above.", letter="H", group=WEAR
    )


@request
class Band(Worn, BandInBore, InBore):
    """Does this band, on its energiser, still seal in this bore?"""

    def as_told(self) -> engine.Band:
        """For the engine. Raises DomainError `invalid`."""
        return self.band(
            "energiser", coldest_c=self.coldest_c, bore_mm=self.bore_mm, worn_mm=self.bore_wear_diametral_mm
        )


def answer(asked: Band) -> Answer:
    """Raises DomainError `invalid` for what cannot be read."""
    with engine_errors("bore_mm"):
        return engine.band(asked.as_told())


def told(document: DamperDocument, valve: Valve, side: str) -> Document:
    """The main valve's bore; groove, thickness and energiser of the band."""
    return sealing_requests.band_of(document)


QUESTION = Question(
    "band",
    "Does this band, on its energiser, still seal in this bore?",
    Band,
    answer,
    headlines={"fits": "It seals", "does_not_fit": "It does not seal"},
    desk=Desk(
        about=SEALS,
        place=2,
        title="Does this band still seal in this bore?",
        needs="A caliper held lightly over the band, groove, band and O-ring, and how far band and bore are worn.",
        picture=band_shapes,
        picture_title="What to measure on a band and its bore",
    ),
    model=Model(told),
)
