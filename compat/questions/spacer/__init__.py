"""Which spacers make the base plate straddle the lip?"""

from __future__ import annotations

from compat.asking.question import Desk, Document, Model, Question, Saved
from compat.asking.words import SHIMS
from compat.dampers.sealing_requests import sent
from compat.engineering.drawing.measuring_valve import spacer_shapes
from compat.questions.spacer.request import Spacer
from compat.questions.spacer.search import answer
from inventory.common.errors import invalid
from inventory.dampers.document import BasePlate, DamperDocument, Valve
from inventory.documents.typed import written
from inventory.people.roles import STAFF


def told(document: DamperDocument, valve: Valve, side: str) -> Document:
    """The lip of the shaft's end; base plate and shaft of the valve."""
    plate = valve.plate("rebound") or BasePlate()
    contact = plate.contact_diameter_mm
    return {
        **({} if document.shaft_end is None else written(document.shaft_end)),
        "base_plate_mm": sent(plate.height_mm),
        # Up to the smallest that the contact diameter may be: a larger spacer might overhang it.
        "spacer_max_od_mm": None if contact is None else contact.low,
        "shaft_mm": sent(valve.shaft_mm),
    }


def saved(stack: Saved) -> Document:
    """The height and the clamp shim. Raises DomainError `invalid` for a stack that has no lip to reach."""
    outer = stack.stacks.get("rebound")
    if stack.valve != "main" or not outer:
        raise invalid("stack", "it has no rebound stack on the main valve, whose base plate lies at the lip")
    answer = stack.ask("stack", {"damper": stack.damper, "valve": stack.valve, "stacks": stack.stacks})
    return {"stack_height_mm": answer["values"]["height_mm"], "clamp_od_mm": outer[-1]["od_mm"]}


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
    # The lip rule is the main valve's.
    model=Model(told, valve="main", saved=saved),
)
