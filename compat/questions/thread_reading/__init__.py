"""Which thread is this, by calliper and pitch gauge?"""

from __future__ import annotations

from compat.asking.fields import measured, number, request, word
from compat.asking.question import Desk, Question
from compat.asking.requests import refuse
from compat.asking.words import JOINT
from compat.engineering.answers import Answer
from compat.engineering.thread_reading import thread_reading
from compat.engineering.threads.readings import CALIPER_MM
from compat.engineering.units import Range
from compat.questions.thread_reading.picture import thread_shapes
from compat.texts.refusals import engine_errors

THREAD, GAUGES = "The thread", "The gauges"
PARTS = {"shaft": "a shaft or screw", "nut": "a nut or a tapped hole"}


@request
class ThreadReading:
    """Which thread is this? The diameter is over the crests: of a shaft outside, of a nut its bore."""

    part: str = word(PARTS, "It is", needed=True, group=THREAD)
    diameter_mm: Range | None = measured(
        "Over the crests", least_um=1, help="Of a shaft outside, of a nut its bore.", letter="A", group=THREAD
    )
    pitch_mm: float | None = number(
        "Pitch by gauge",
        least=0.001,
        most=100,
        unit="mm",
        help="Better: a length over ten threads, divided by ten.",
        letter="B",
        group=THREAD,
    )
    threads_per_inch: float | None = number(
        "or threads per inch",
        least=1,
        most=100,
        unit="per inch",
        help="In place of the pitch in mm.",
        letter="B",
        group=THREAD,
    )
    diameter_error_mm: float | None = number(
        "Caliper off by", least=0.001, most=1, unit="mm", help="0.02 if left empty.", group=GAUGES, later=True
    )
    pitch_error_mm: float | None = number(
        "Pitch off by",
        least=0.001,
        most=1,
        unit="mm",
        help="3 % if left empty, as a leaf gauge may be.",
        group=GAUGES,
        later=True,
    )

    def check(self) -> None:
        if self.pitch_mm is not None and self.threads_per_inch is not None:
            refuse("two", threads_per_inch="give this or the pitch in mm, not both")


def answer(asked: ThreadReading) -> Answer:
    """Raises DomainError `invalid` for what cannot be read."""
    with engine_errors("diameter_mm"):
        return thread_reading(
            asked.part,
            diameter_mm=asked.diameter_mm,
            pitch_mm=asked.pitch_mm,
            threads_per_inch=asked.threads_per_inch,
            diameter_error_mm=CALIPER_MM if asked.diameter_error_mm is None else asked.diameter_error_mm,
            pitch_error_mm=asked.pitch_error_mm,
        )


QUESTION = Question(
    "thread-reading",
    "Which thread is this, and which reading would tell?",
    ThreadReading,
    answer,
    desk=Desk(
        about=JOINT,
        place=2,
        title="Which thread is this?",
        needs="A caliper, and a thread gauge or a length over ten threads.",
        picture=thread_shapes,
        picture_title="What to measure on a thread",
    ),
)
