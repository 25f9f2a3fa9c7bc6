"""A damper model's document as its page shows it: tables with letters and units, drawings, saved stacks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from compat.asking.blanks import Blank
from compat.asking.requests import letters_of
from compat.dampers.engine_values import usual_bore_mm
from compat.engineering.drawing.shapes import NotDrawable
from compat.pages import drawings, valve_drawing
from compat.pages.damper_models.damper_forms import TITLES
from compat.pages.damper_models.valve_blanks import PISTON_SIDE, PLATE, SHAFT_END, VALVE, under
from compat.pages.document_paths import told_at
from compat.pages.measured import said_length
from compat.pages.stack_text import write_line
from compat.questions.face_shim import FaceShim
from compat.questions.nut_on_shaft import NutOnShaft
from compat.questions.spacer.request import Spacer
from compat.questions.stack.request import Stack
from compat.questions.told_valves import PLACES
from inventory.dampers.document import DamperDocument, ShaftEnd, Stacks, Valve
from inventory.dampers.models import StackRevision
from inventory.dampers.words import SIDES
from inventory.documents.typed import read, tells

LIP = ("shoulder_to_lip_mm", "on_straight_mm", "past_lip_mm")
# A mid-valve's shims float under a spring on a sleeve: there is no clamped section to draw.
DRAWN = ("main", "base")


@dataclass(frozen=True, slots=True)
class SizeRow:
    """One size: its letter in the picture, what it is called, and its values as text."""

    letter: str
    label: str
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """The half section of a valve, its parts list from the nut down, and what is not drawn as it is."""

    drawing: drawings.Shown
    rows: tuple[valve_drawing.Row, ...]
    notes: list[str]


@dataclass(frozen=True, slots=True)
class SavedStack:
    """A saved stack: its lines by side as they would be typed."""

    name: str
    valve: str
    note: str
    revision: int
    sides: list[tuple[str, list[str]]]
    drawn: bool


@dataclass(frozen=True, slots=True)
class ValveView:
    """One valve of a damper model."""

    code: str
    title: str
    sizes: list[SizeRow]
    faces: list[SizeRow]
    washers: list[tuple[str, str, str]]
    section: Section | None
    drawn_stack: str


def valves_of(document: DamperDocument, drawn: StackRevision | None) -> list[ValveView]:
    """Each valve; `drawn` is the saved stack to draw on its valve, the others are drawn without shims."""
    found = []
    for valve in document.valves:
        code = valve.code
        stack = drawn if drawn is not None and drawn.stack.valve == code else None
        end = document.shaft_end if code == "main" else None
        found.append(
            ValveView(
                code=code,
                title=TITLES[code],
                sizes=_rows((*VALVE, *_plates()), (valve,), letters_of(Stack)),
                faces=_rows(PISTON_SIDE, [valve.side(side) for side in SIDES], letters_of(FaceShim)),
                washers=[
                    (one.name, said_length(one.height_mm) or "not known", PLACES[one.stands])
                    for one in valve.washers or ()
                ],
                section=_section(valve, end, stack),
                drawn_stack=stack.stack.name if stack else "",
            )
        )
    return found


def end_of(document: DamperDocument) -> tuple[list[SizeRow], list[SizeRow]]:
    """(thread and lengths, lip rule) of the shaft's end; both empty where the model has none."""
    end = document.shaft_end
    if not tells(end):
        return [], []
    letters = {path.removeprefix("shaft."): letter for path, letter in letters_of(NutOnShaft).items()}
    thread = [blank for blank in SHAFT_END if blank.path not in LIP]
    lip = [blank for blank in SHAFT_END if blank.path in LIP]
    return _rows(thread, (end,), letters), _rows(lip, (end,), letters_of(Spacer))


def stacks_of(document: DamperDocument, saved: Iterable[StackRevision], drawn: str) -> list[SavedStack]:
    """The saved stacks as text; the bore of a shim only where it is not the valve's usual one."""
    found = []
    for one in saved:
        usual = usual_bore_mm(document, one.stack.valve)
        sides = [
            (side, [write_line(line, usual_bore_mm=usual) for line in one.stacks[side]])
            for side in SIDES
            if one.stacks.get(side)
        ]
        name = one.stack.name
        found.append(SavedStack(name, one.stack.valve, one.note, one.number, sides, name == drawn))
    return found


def pictures() -> dict[str, drawings.Shown]:
    """The pictures that say what each letter means."""
    known = {"valve": "stack", "face": "face-shim", "end": "nut-on-shaft", "lip": "spacer"}
    return {name: drawings.question_picture(slug, prefix=f"means-{name}")[0] for name, slug in known.items()}


def _plates() -> list[Blank]:
    return [
        Blank(blank.path, f"{blank.label}, {side}") for side in SIDES for blank in under(f"base_plates.{side}", PLATE)
    ]


def _rows(blanks: Iterable[Blank], documents: Sequence[object], letters: Mapping[str, str]) -> list[SizeRow]:
    return [
        SizeRow(
            letters.get(blank.path, ""), blank.label, tuple(_said(blank, told_at(one, blank.path)) for one in documents)
        )
        for blank in blanks
    ]


def _said(blank: Blank, value: Any) -> str:
    if value is None:
        return "not known"
    if blank.kind == "reading":
        return f"{value:g}"
    return value if isinstance(value, str) else said_length(value)


def _section(valve: Valve, end: ShaftEnd | None, stack: StackRevision | None) -> Section | None:
    """The valve in half section; None for a mid-valve, and for sizes that contradict each other."""
    code = valve.code
    if code not in DRAWN:
        return None
    try:
        runs = valve_drawing.runs_of(read(Stacks, stack.stacks)) if stack else {}
        standing = valve_drawing.on_shaft(valve, runs, shaft_end=end)
        drawing, notes = drawings.half_section_of(standing, prefix=f"valve-{code}", title=TITLES[code])
    except NotDrawable:
        return None
    return Section(drawing, standing.rows[::-1], notes)
