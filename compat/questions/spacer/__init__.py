"""Which spacers make the base plate straddle the lip?"""

from __future__ import annotations

from collections.abc import Mapping

from compat.asking.question import Desk, Document, Model, Question
from compat.asking.words import SHIMS
from compat.engineering.drawing.measuring_valve import spacer_shapes
from compat.questions.spacer.request import Spacer
from compat.questions.spacer.search import answer
from inventory.people.roles import STAFF


def told(document: Document, valve: Document, side: str) -> Document:
    """The lip of the shaft's end; base plate and shaft of the valve."""
    plate = (valve.get("base_plates") or {}).get("rebound") or {}
    contact = plate.get("contact_diameter_mm")
    return {
        **(document.get("shaft_end") or {}),
        "base_plate_mm": plate.get("height_mm"),
        # Up to the smallest that the contact diameter may be: a larger spacer might overhang it.
        "spacer_max_od_mm": contact["min"] if isinstance(contact, Mapping) else contact,
        "shaft_mm": valve.get("shaft_mm"),
    }


QUESTION = Question(
    "spacer",
    "Which shims make the rebound base plate straddle the lip? Looks at the shelf, so it is for the workshop.",
    Spacer,
    answer,
    roles=STAFF,
    desk=Desk(
        about=SHIMS,
        place=3,
        title="Which spacers make the base plate straddle the lip?",
        needs="The stack height, the shaft from shoulder to lip, the base plate, and the damper's instructions.",
        picture=spacer_shapes,
        picture_title="What to measure for a spacer",
        takes=("stack",),
        unless_said={"take_offs": "on"},
    ),
    model=Model(told),
)
