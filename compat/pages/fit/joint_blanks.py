"""The blanks of threads and joints, in the order in which they are measured at the bench."""

from __future__ import annotations

from compat.asked.fit import CONDITIONS, ENDS, LOCKINGS
from compat.asking.blanks import Blank
from compat.pages.fit.valve_blanks import HANDS

SHAFT, NUT, LOAD = "The shaft's end", "The nut", "The load"
WORDS = {
    "plain": "plain",
    "peened": "peened or staked over",
    "peened_dressed": "peened, dressed since",
    "damaged": "damaged",
    "none": "does not lock",
    "prevailing": "prevailing torque (insert or squeezed)",
    "staked": "staked collar",
    "compound": "locking compound",
    "new": "new",
    "used": "used",
}


def words(known: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Words of the request with what the page calls them."""
    return tuple((word, WORDS[word]) for word in known)


def _thread_of(part: str, group: str, example: str, stamped: str) -> tuple[Blank, ...]:
    """What is asked of both threads alike, the pitch by gauge first of all."""
    gauge = "With the thread gauge; the marking is not enough."
    return (
        Blank(f"{part}.thread", "Thread", "text", help="With its pitch, as in M12x1.25.", group=group, first=True),
        Blank(f"{part}.gauged_pitch_mm", "Pitch by gauge", "reading", unit="mm", help=gauge, group=group, first=True),
        Blank(f"{part}.hand", "Hand", "word", choices=HANDS, group=group, first=True),
        Blank(
            f"{part}.gauged_threads_per_inch",
            "or threads per inch by gauge",
            "reading",
            unit="per inch",
            help="For an inch thread, in place of the pitch in mm.",
            group=group,
        ),
        Blank(f"{part}.tolerance_class", "Tolerance class", "text", help=f"As in {example}.", group=group, most=10),
        Blank(f"{part}.property_class", "Property class", "text", help=stamped, group=group, first=True, most=10),
    )


NUT_ON_SHAFT = (
    *_thread_of("shaft", SHAFT, "6g", "8.8, 10.9 or 12.9, from its maker."),
    Blank("shaft.major_mm", "Outer diameter of the thread", group=SHAFT, first=True),
    Blank("shaft.end_condition", "The end is", "word", choices=words(ENDS), group=SHAFT, first=True),
    Blank("shaft.full_thread_start_mm", "Shoulder to full thread", group=SHAFT, first=True),
    Blank("shaft.shaft_end_mm", "Shoulder to the end", group=SHAFT, first=True),
    Blank("shaft.hole_mm", "Hole in the end", help="0 if it is solid.", group=SHAFT),
    Blank("shaft.thread_relief", "Relief groove before the thread", "yes_no", group=SHAFT, first=True),
    Blank("shaft.relief_diameter_mm", "Diameter in that groove", help="Empty where there is none.", group=SHAFT),
    Blank("shaft.full_length_gauged", "The thread was gauged over its whole length", "flag", group=SHAFT),
    Blank("nut.part", "Part number", "text", help="If it is a nut of the catalogue.", group=NUT, most=40),
    *_thread_of("nut", NUT, "6H", "8, 10 or 12, as stamped on it."),
    Blank("nut.minor_mm", "Bore of the thread", help="The inner diameter, over the crests.", group=NUT, first=True),
    Blank("nut.height_mm", "Height", group=NUT, first=True),
    Blank("nut.underside_mm", "Shoulder to its underside", help="Everything under the nut.", group=NUT, first=True),
    Blank("nut.condition", "It is", "word", choices=words(CONDITIONS), group=NUT, first=True),
    Blank("nut.locking", "How it locks", "word", choices=words(LOCKINGS), group=NUT, first=True),
    Blank("nut.chamfer_mm", "Depth of its chamfer", help="0 if there is none.", group=NUT, first=True),
    Blank(
        "nut.unthreaded_mm",
        "Height that is not thread",
        help="Nylon ring, insert, collar or counterbore; 0 if there is none.",
        group=NUT,
    ),
    Blank(
        "preload_n",
        "Preload that the torque gives",
        "reading",
        unit="N",
        help="The most of it. Left empty, the thread must carry as much as the shaft.",
        group=LOAD,
    ),
)
