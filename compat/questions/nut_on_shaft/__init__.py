"""Does this nut belong on this shaft?"""

from __future__ import annotations

from typing import ClassVar

from compat.asking.fields import Placed, flag, measured, number, request, spread, text, within, word, yes_no
from compat.asking.question import Desk, Document, Model, OfPart, Onward, Question
from compat.asking.words import JOINT
from compat.dampers.engine_values import gauged_pitch
from compat.engineering import nut_on_shaft as engine
from compat.engineering.answers import Answer
from compat.engineering.assembly.catalogued import joint_of
from compat.engineering.units import Range
from compat.questions.nut_on_shaft.picture import nut_picture
from compat.shelf import nuts
from compat.texts.refusals import engine_errors, refuse_unreadable
from inventory.dampers.document import DamperDocument, Valve
from inventory.documents.typed import written

SHAFT, NUT, LOAD = "The shaft's end", "The nut", "The load"
GAUGE = "With the thread gauge; the marking is not enough."
PER_INCH = "For an inch thread, in place of the pitch in mm."
HANDS = {"right": "right", "left": "left"}
ENDS = {
    "plain": "plain",
    "peened": "peened or staked over",
    "peened_dressed": "peened, dressed since",
    "damaged": "damaged",
}
LOCKINGS = {
    "none": "does not lock",
    "prevailing": "prevailing torque (insert or squeezed)",
    "staked": "staked collar",
    "compound": "locking compound",
}
CONDITIONS = {"new": "new", "used": "used"}


@request
class Threaded:
    """What both threads are told by; a pitch in one of two ways."""

    PART: ClassVar = ""
    thread: str | None = text("Thread", help="With its pitch, as in M12x1.25.")
    gauged_pitch_mm: float | None = number("Pitch by gauge", least=0.1, most=10, unit="mm", help=GAUGE)
    hand: str | None = word(HANDS, "Hand")
    gauged_threads_per_inch: float | None = number(
        "or threads per inch by gauge", least=2, most=80, unit="per inch", help=PER_INCH, later=True
    )
    tolerance_class: str | None = text("Tolerance class", most=10, later=True)
    property_class: str | None = text("Property class", most=10)

    @property
    def pitch_mm(self) -> float | None:
        """The pitch by gauge. Raises DomainError `invalid` where it is told twice."""
        return gauged_pitch(self.PART, self.gauged_pitch_mm, self.gauged_threads_per_inch)


@request
class Shaft(Threaded):
    """A threaded shaft end; positions are from the shoulder."""

    PART: ClassVar = "shaft"
    TAKEN_OVER: ClassVar[Placed] = {
        "group": SHAFT,
        "letters": {"gauged_pitch_mm": "E", "gauged_threads_per_inch": "E"},
        "helps": {"tolerance_class": "As in 6g.", "property_class": "8.8, 10.9 or 12.9, from its maker."},
    }
    major_mm: Range | None = measured("Outer diameter of the thread", letter="A", group=SHAFT)
    end_condition: str | None = word(ENDS, "The end is", group=SHAFT)
    full_thread_start_mm: Range | None = measured("Shoulder to full thread", letter="C", group=SHAFT)
    shaft_end_mm: Range | None = measured("Shoulder to the end", letter="D", group=SHAFT)
    hole_mm: Range | None = measured("Hole in the end", help="0 if it is solid.", letter="B", group=SHAFT, later=True)
    thread_relief: bool | None = yes_no("Relief groove before the thread", group=SHAFT)
    relief_diameter_mm: Range | None = measured(
        "Diameter in that groove", least_um=1, help="Empty where there is none.", letter="M", group=SHAFT, later=True
    )
    full_length_gauged: bool = flag(
        "The thread was gauged over its whole length", default=False, group=SHAFT, later=True
    )

    def as_read(self) -> engine.ShaftEnd:
        """For the engine. Raises DomainError `invalid`."""
        pitch = self.pitch_mm
        with engine_errors("shaft"):
            return engine.ShaftEnd(
                thread=self.thread,
                tolerance_class=self.tolerance_class,
                hand=self.hand,
                gauged_pitch_mm=pitch,
                major_mm=self.major_mm,
                hole_mm=self.hole_mm,
                end_condition=self.end_condition,
                full_thread_start_mm=self.full_thread_start_mm,
                shaft_end_mm=self.shaft_end_mm,
                property_class=self.property_class,
                full_length_gauged=self.full_length_gauged,
                thread_relief=self.thread_relief,
                relief_diameter_mm=self.relief_diameter_mm,
            )


@request
class CataloguedNut:
    """A nut by its number."""

    part: str | None = text("Part number", most=40, help="If it is a nut of the catalogue.", later=True)


@request
class Nut(Threaded, CataloguedNut):
    """A nut; `underside_mm` is where it sits, from the shoulder; `unthreaded_mm` what of its height is not thread.

    `part` is its number where it is one of the catalogue, which can then contradict what is told.
    """

    PART: ClassVar = "nut"
    TAKEN_OVER: ClassVar[Placed] = {
        "group": NUT,
        "letters": {"gauged_pitch_mm": "K", "gauged_threads_per_inch": "K"},
        "helps": {"tolerance_class": "As in 6H.", "property_class": "8, 10 or 12, as stamped on it."},
    }
    minor_mm: Range | None = measured(
        "Bore of the thread", help="The inner diameter, over the crests.", letter="F", group=NUT
    )
    height_mm: Range | None = measured("Height", letter="G", group=NUT)
    underside_mm: Range | None = measured(
        "Shoulder to its underside", help="Everything under the nut.", letter="J", group=NUT
    )
    condition: str | None = word(CONDITIONS, "It is", group=NUT)
    locking: str | None = word(LOCKINGS, "How it locks", group=NUT)
    chamfer_mm: Range | None = measured("Depth of its chamfer", help="0 if there is none.", letter="H", group=NUT)
    unthreaded_mm: Range | None = measured(
        "Height that is not thread",
        help="Nylon ring, insert, collar or counterbore; 0 if there is none.",
        letter="L",
        group=NUT,
        later=True,
    )

    def as_read(self) -> engine.Nut:
        """For the engine. Raises DomainError `invalid`."""
        pitch = self.pitch_mm
        with engine_errors("nut"):
            return engine.Nut(
                thread=self.thread,
                tolerance_class=self.tolerance_class,
                hand=self.hand,
                gauged_pitch_mm=pitch,
                minor_mm=self.minor_mm,
                height_mm=self.height_mm,
                chamfer_mm=self.chamfer_mm,
                property_class=self.property_class,
                locking=self.locking,
                condition=self.condition,
                underside_mm=self.underside_mm,
                unthreaded_mm=self.unthreaded_mm,
            )


@request
class NutOnShaft:
    """Does this nut belong on this shaft?"""

    shaft: Shaft = within(Shaft, needed=True)
    nut: Nut = within(Nut, needed=True)
    preload_n: Range | None = spread(
        "Preload that the torque gives",
        least=1,
        most=1_000_000,
        unit="N",
        help="Or its limits, as in 18000..22000. Left empty, the thread must carry as much as the shaft.",
        group=LOAD,
        later=True,
    )


def answer(asked: NutOnShaft) -> Answer:
    """One query where the nut is one of the catalogue, else none.

    Raises DomainError `invalid` for what cannot be read, or a part number that is no nut's.
    """
    number = asked.nut.part
    label = nuts.by_label(nuts.called(number, "nut.part")) if number else None
    shaft, nut = asked.shaft.as_read(), asked.nut.as_read()
    for part, thread in (("shaft", shaft.thread), ("nut", nut.thread)):
        if thread is not None:
            refuse_unreadable(f"{part}.thread", thread)
    with engine_errors("shaft.thread"):
        return joint_of(shaft, nut, label, number=number or "", preload_n=asked.preload_n)


def told(document: DamperDocument, valve: Valve, side: str) -> Document:
    """The shaft's end."""
    return {"shaft": {} if document.shaft_end is None else written(document.shaft_end)}


def of_nut(sizes: Document) -> Document:
    """The nut as the catalogue has it."""
    return {"nut": sizes}


def engaged(values: Document) -> dict[str, str]:
    """The thread engaged, for the torque."""
    available = (values["engagement_mm"] or {}).get("available")
    return {"engagement_mm": f"{available:g}"} if available is not None and available > 0 else {}


QUESTION = Question(
    "nut-on-shaft",
    "Does this nut belong on this shaft?",
    NutOnShaft,
    answer,
    desk=Desk(
        about=JOINT,
        place=1,
        title="Does this nut belong on this shaft?",
        needs="A thread gauge on both parts, a caliper, and the lengths from the shoulder.",
        picture=nut_picture,
        picture_title="What to measure on shaft and nut",
        empty={"shaft": {}, "nut": {}},
        onward=Onward(
            "torque",
            "What does the torque do to this joint?",
            fields={
                "thread": "shaft_thread",
                "hole_mm": "shaft_hole_mm",
                "thread_relief": "shaft_thread_relief",
                "relief_diameter_mm": "shaft_relief_diameter_mm",
                "property_class": "shaft_property_class",
                "nut_class": "nut_property_class",
            },
            figures=engaged,
        ),
    ),
    model=Model(told),
    part=OfPart("nut", of_nut),
)
