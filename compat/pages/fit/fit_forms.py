"""The fit questions as the desk offers them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from compat.engineering.drawing.letters import QUESTIONS as LETTERS
from compat.pages.blanks import Blank
from compat.pages.fit import inspection_blanks
from compat.pages.fit.inspection_blanks import Section
from compat.pages.fit.joint_blanks import NUT_ON_SHAFT, THREAD_READING, TORQUE
from compat.pages.fit.seal_blanks import BAND, BORE, CLEARANCE, ORING, SHAFT
from compat.pages.fit.shim_blanks import FACE_SHIM, SPACER, stack_blanks

STRIPPED, JOINT = "A stripped damper, an unknown part", "Threads and joint"
SEALS, SHIMS = "Seals and wear", "Shims and stack"


@dataclass(frozen=True, slots=True)
class Question:
    """A fit question as the desk offers it."""

    slug: str
    title: str
    needs: str
    blanks: tuple[Blank, ...]
    about: str
    part_kind: str = ""
    takes: tuple[str, ...] = ()
    unless_said: Mapping[str, str] = field(default_factory=dict)
    of_model: bool = True  # whether a damper model tells anything of it
    sections: tuple[Section, ...] = ()

    @property
    def letters(self) -> Mapping[str, str]:
        """Which letter of which picture stands for which field."""
        return inspection_blanks.LETTERS if self.sections else LETTERS[self.slug]


QUESTIONS = {
    question.slug: question
    for question in (
        Question(
            "inspection",
            "The inspection sheet: what of a stripped damper can be reused?",
            "Caliper, bore gauge, micrometer, dial gauge and thread gauge; read what you can, part by part.",
            inspection_blanks.INSPECTION,
            STRIPPED,
            sections=inspection_blanks.SECTIONS,
        ),
        Question(
            "nut-on-shaft",
            "Does this nut belong on this shaft?",
            "A thread gauge on both parts, a caliper, and the lengths from the shoulder.",
            NUT_ON_SHAFT,
            JOINT,
            part_kind="nut",
        ),
        Question(
            "thread-reading",
            "Which thread is this?",
            "A caliper, and a thread gauge or a length over ten threads.",
            THREAD_READING,
            JOINT,
            of_model=False,
        ),
        Question(
            "torque",
            "What does this torque do to the joint?",
            "The maker's torque for this application, the thread and its hole, and the compound's nut factor.",
            TORQUE,
            JOINT,
        ),
        Question(
            "oring",
            "Does this O-ring fit this gland?",
            "The ring's size or a caliper, bore or rod, the groove's diameter and width, and what the bag says.",
            ORING,
            SEALS,
            part_kind="oring",
            unless_said={"gland_kind": "piston"},
        ),
        Question(
            "band",
            "Does this band still seal in this bore?",
            "A caliper held lightly over the band, groove, band and O-ring, and how far band and bore are worn.",
            BAND,
            SEALS,
        ),
        Question(
            "bore",
            "Is this bore worn?",
            "A bore gauge at three depths in three directions, and the maker's limit, or the band that runs in it.",
            BORE,
            SEALS,
        ),
        Question(
            "shaft",
            "Is this shaft worn or bent?",
            "A micrometer at three places in three directions, a dial gauge between centres, and the maker's limits.",
            SHAFT,
            SEALS,
        ),
        Question(
            "clearance",
            "Does this bore pass this shaft?",
            "Bore and shaft as read, or their classes of ISO 286 as in H9 and g6.",
            CLEARANCE,
            SEALS,
        ),
        Question(
            "face-shim",
            "Does this face shim cover its ports?",
            "Diameters of shim, ports, land and hub, and the overlap that the shop requires.",
            FACE_SHIM,
            SHIMS,
            part_kind="shim",
            takes=("valve", "side"),
        ),
        Question(
            "stack",
            "Is this stack sound on its valve?",
            "The stack line by line, face shim first, and a damper model or the valve's sizes.",
            stack_blanks(),
            SHIMS,
            takes=("stack",),
        ),
        Question(
            "spacer",
            "Which spacers make the base plate straddle the lip?",
            "The stack height, the shaft from shoulder to lip, the base plate, and the damper's instructions.",
            SPACER,
            SHIMS,
            takes=("stack",),
            unless_said={"take_offs": "on"},
        ),
    )
}
