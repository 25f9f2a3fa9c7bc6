"""The inspection sheet: what of a stripped damper can be reused, part by part, and what could replace the rest."""

from __future__ import annotations

from compat.asking.question import Desk, Document, Model, Question, Section
from compat.asking.words import STRIPPED
from compat.dampers import sealing_requests
from compat.questions.inspection.request import (
    BAND_PART,
    BORE_PART,
    NUT_THREAD,
    OIL,
    SEAL_PART,
    SHAFT_PART,
    SHAFT_THREAD,
    Inspection,
)
from compat.questions.inspection.sheet import answer
from inventory.dampers.document import DamperDocument, Valve
from inventory.people.roles import STAFF


def told(document: DamperDocument, valve: Valve, side: str) -> Document:
    """All but what is read on a stripped damper."""
    return sealing_requests.inspection_request(document)


QUESTION = Question(
    "inspection",
    "Every verdict of a stripped damper at once. Looks at the shelf, so it is for the workshop.",
    Inspection,
    answer,
    roles=STAFF,
    verdicts={
        "fits": "All of it can be reused.",
        "does_not_fit": "Not all of it can be reused.",
        "cannot_tell": "Cannot tell of all of it yet.",
    },
    headlines={
        "fits": "All of it can be reused",
        "does_not_fit": "Not all of it can be reused",
        "cannot_tell": "Cannot tell of all of it yet",
    },
    desk=Desk(
        about=STRIPPED,
        place=1,
        title="The inspection sheet: what of a stripped damper can be reused?",
        needs="Caliper, bore gauge, micrometer, dial gauge and thread gauge; read what you can, part by part.",
        sections=(
            Section("bore", BORE_PART, "bore", (BORE_PART,)),
            Section("band", BAND_PART, "band", (BAND_PART,)),
            Section("shaft", SHAFT_PART, "shaft", (SHAFT_PART,)),
            Section("seal", SEAL_PART, "oring", (SEAL_PART, OIL)),
            Section("joint", "Nut and thread", "nut-on-shaft", (SHAFT_THREAD, NUT_THREAD)),
        ),
    ),
    model=Model(
        told,
        limits={
            "bore.max_diameter_mm": "bore_max_mm",
            "shaft.min_diameter_mm": "shaft_min_mm",
            "shaft.max_runout_mm": "runout_max_mm",
        },
    ),
)
