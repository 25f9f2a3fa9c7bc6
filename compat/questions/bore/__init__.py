"""Is this bore worn?"""

from __future__ import annotations

from compat.asking.fields import measured, request, within
from compat.asking.question import Desk, Document, Model, Question
from compat.asking.words import SEALS
from compat.dampers import sealing_requests
from compat.engineering import bore as engine
from compat.engineering.answers import Answer
from compat.engineering.band import Band
from compat.engineering.units import Range
from compat.questions.bore.picture import bore_shapes
from compat.questions.told_bands import BandInBore
from compat.questions.told_readings import SIZES, Readings
from compat.texts.refusals import engine_errors
from inventory.dampers.document import DamperDocument, Valve

BAND_IN_IT = "The band in it, if the maker gives no limit"


@request
class BoreRead(Readings):
    """The body's bore; the band in it is told by itself."""

    max_diameter_mm: Range | None = measured(
        "Largest allowed", least_um=1, help="From the maker's instructions.", letter="B", group=SIZES
    )


@request
class Bore(BoreRead):
    """Is this bore worn, oval or tapered beyond its limit? `band`: what runs in it, where the maker gives no limit."""

    band: BandInBore | None = within(
        BandInBore,
        group=BAND_IN_IT,
        labels={
            "band_thickness_mm": "Band, thickness when new",
            "energiser.size": "O-ring under it, size",
            "energiser.id_mm": "or its inner diameter",
            "energiser.section_mm": "and its section when new",
            "energiser_section_mm": "O-ring, section as read",
        },
        helps={
            "band_thickness_mm": "",
            "energiser.id_mm": "",
            "energiser_section_mm": "",
            "measured_od_mm": "",
            "band_wear_radial_mm": "0 if it is new.",
        },
        lettered=False,
        first=(),
    )

    @property
    def on_it(self) -> Band | None:
        """The band in it, for the engine. Raises DomainError `invalid`."""
        return None if self.band is None else self.band.band("band.energiser", coldest_c=self.band.coldest_c)


def answer(asked: Bore) -> Answer:
    """Raises DomainError `invalid` for what cannot be read."""
    with engine_errors("readings"):
        return engine.bore(
            engine.Bore(
                nominal_mm=asked.nominal_mm,
                max_diameter_mm=asked.max_diameter_mm,
                readings=asked.read,
                on_it=asked.on_it,
                travel=asked.travel,
            )
        )


def told(document: DamperDocument, valve: Valve, side: str) -> Document:
    """The nominal bore, the largest allowed, and the band that runs in it."""
    return sealing_requests.bore_request(document)


QUESTION = Question(
    "bore",
    "Is this bore worn, oval or tapered beyond its limit?",
    Bore,
    answer,
    headlines={"fits": "Within its limits", "does_not_fit": "Not to be used"},
    desk=Desk(
        about=SEALS,
        place=3,
        title="Is this bore worn?",
        needs="A bore gauge at three depths in three directions, and the maker's limit, or the band that runs in it.",
        picture=bore_shapes,
        picture_title="What to measure on a body's bore",
    ),
    model=Model(told, limits={"max_diameter_mm": "bore_max_mm"}),
)
