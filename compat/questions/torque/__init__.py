"""What does the application's torque do to the joint?"""

from __future__ import annotations

from collections.abc import Iterator

from compat.asking.fields import measured, number, request, spread, text, within, yes_no
from compat.asking.question import Desk, Document, Model, Question
from compat.asking.requests import refuse
from compat.asking.words import JOINT
from compat.dampers import sealing_requests
from compat.engineering.answers import Answer
from compat.engineering.torque import MOST_WRENCH_PERCENT, UNITS, Joint, torque
from compat.engineering.units import Range
from compat.questions.torque.picture import torque_shapes
from compat.texts.refusals import engine_errors, refuse_unreadable
from inventory.dampers.document import DamperDocument, Valve

FIGURE, PARTS, TOOL = "The figure", "The joint", "The wrench"
FRICTION = "Friction, from the compound's or the nut's maker"


@request
class Factor:
    """A figure without a unit, as a range."""

    min: float = number("from", least=0.01, most=1, needed=True)
    max: float = number("to", least=0.01, most=1, needed=True)

    def check(self) -> None:
        if self.min > self.max:
            refuse("range", max="must not be smaller than min")


@request
class Torque:
    """What preload does the application's torque give? One torque, in any of four units."""

    torque_n_m: float | None = number(
        "Torque", least=0.1, most=2_000, null=False, unit="N.m", help="Of this very application.", group=FIGURE
    )
    torque_source: str | None = text("Where it comes from", most=200, help="Needed: which instructions.", group=FIGURE)
    torque_lbf_ft: float | None = number(
        "or in pound-feet", least=0.1, most=1_500, null=False, unit="lbf.ft", group=FIGURE, later=True
    )
    torque_lbf_in: float | None = number(
        "or in pound-inches", least=1, most=18_000, null=False, unit="lbf.in", group=FIGURE, later=True
    )
    torque_kgf_cm: float | None = number(
        "or in kilopond-centimetres", least=1, most=20_000, null=False, unit="kgf.cm", group=FIGURE, later=True
    )
    thread: str = text("Thread", needed=True, help="Needed, with its pitch, as in M12x1.25.", group=PARTS)
    property_class: str | None = text("Property class of the shaft", most=10, help="As in 8.8.", group=PARTS)
    hole_mm: Range | None = measured("Hole in the shaft", help="0 if it is solid.", letter="A", group=PARTS)
    thread_relief: bool | None = yes_no("Relief groove before the thread", group=PARTS)
    relief_diameter_mm: Range | None = measured(
        "Diameter in that groove", least_um=1, help="Empty where there is none.", letter="F", group=PARTS, later=True
    )
    nut_class: str | None = text("Property class of the nut", most=10, help="8, 10 or 12.", group=PARTS)
    engagement_mm: Range | None = measured(
        "Full thread engaged",
        help="Height of the nut less both chamfers and what of it is not thread.",
        letter="B",
        group=PARTS,
    )
    prevailing_n_m: Range | None = spread(
        "Turns before it clamps with",
        least=0,
        most=500,
        unit="N.m",
        help="Prevailing torque, or its limits as in 1.5..2.5; 0 if the nut runs free.",
        group=PARTS,
    )
    nut_factor: Factor | None = within(
        Factor, group=FRICTION, labels={"min": "Nut factor K, from", "max": "Nut factor K, to"}, first=("min", "max")
    )
    friction: Factor | None = within(
        Factor, group=FRICTION, labels={"min": "or friction, from", "max": "Friction, to"}, first=()
    )
    bearing_mm: Range | None = measured(
        "Mean diameter of the bearing face",
        least_um=1,
        help="With the friction.",
        letter="C",
        group=FRICTION,
        later=True,
    )
    wrench_length_mm: float | None = number(
        "Length of the wrench",
        least=50,
        most=2_000,
        unit="mm",
        help="With an adapter: hand to drive.",
        letter="E",
        group=TOOL,
        later=True,
    )
    adapter_offset_mm: float | None = number(
        "Length of the adapter in line", least=-500, most=500, unit="mm", letter="D", group=TOOL, later=True
    )
    wrench_error_percent: float | None = number(
        "Off by, either way",
        least=0,
        most=MOST_WRENCH_PERCENT,
        unit="%",
        help="As it was checked; 25 if left empty.",
        group=TOOL,
        later=True,
    )

    def check(self) -> None:
        if len(list(self.figures())) != 1:
            said = "give one torque, in newton metres, pound-feet, pound-inches or kilopond-centimetres"
            refuse("one", torque_n_m=said)
        if (self.friction is None) is not (self.bearing_mm is None):
            refuse("together", bearing_mm="is told together with the friction")
        if (self.adapter_offset_mm is None) is not (self.wrench_length_mm is None):
            refuse("together", wrench_length_mm="is told together with the adapter")
        if self.friction is not None and self.nut_factor is not None:
            refuse("two", nut_factor="give this or the friction, not both")

    def figures(self) -> Iterator[float]:
        """What is told as the torque, N.m."""
        told = (self.torque_n_m, self.torque_lbf_ft, self.torque_lbf_in, self.torque_kgf_cm)
        return (figure * unit for figure, unit in zip(told, UNITS.values(), strict=True) if figure is not None)


def answer(asked: Torque) -> Answer:
    """Raises DomainError `invalid` for what cannot be read."""
    refuse_unreadable("thread", asked.thread)
    with engine_errors("torque_n_m"):
        return torque(
            Joint(
                thread=asked.thread,
                torque_n_m=next(asked.figures()),
                source=asked.torque_source,
                nut_factor=_between(asked.nut_factor),
                friction=_between(asked.friction),
                bearing_mm=asked.bearing_mm,
                property_class=asked.property_class,
                hole_mm=asked.hole_mm,
                engagement_mm=asked.engagement_mm,
                prevailing_n_m=asked.prevailing_n_m,
                adapter_offset_mm=asked.adapter_offset_mm,
                wrench_length_mm=asked.wrench_length_mm,
                nut_class=asked.nut_class,
                wrench_error_percent=asked.wrench_error_percent,
                thread_relief=asked.thread_relief,
                relief_diameter_mm=asked.relief_diameter_mm,
            )
        )


def _between(told: Factor | None) -> Range | None:
    return None if told is None else Range.between(told.min, told.max)


def told(document: DamperDocument, valve: Valve, side: str) -> Document:
    """Thread, hole and groove of the shaft's end, the nut's torque and its source."""
    return sealing_requests.torque_request(document)


QUESTION = Question(
    "torque",
    "What preload does the application's torque give?",
    Torque,
    answer,
    desk=Desk(
        about=JOINT,
        place=3,
        title="What does this torque do to the joint?",
        needs="The maker's torque for this application, the thread and its hole, and the compound's nut factor.",
        picture=torque_shapes,
        picture_title="What to measure for a torque",
    ),
    model=Model(told, limits={"torque_n_m": "nut_torque_n_m", "torque_source": "nut_torque_n_m"}),
)
