"""The blanks of each fit question, in the order in which they are measured at the bench."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from compat.asked.fit import CONDITIONS, ENDS, LOCKINGS
from compat.pages.blanks import Blank
from compat.pages.fit.valve_blanks import HANDS, PLATE, SIDE, SIDES, VALVE, under, washers

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


def _thread_of(part: str, group: str, example: str) -> tuple[Blank, ...]:
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
        Blank(f"{part}.property_class", "Property class", "text", help="As stamped on it.", group=group, most=10),
    )


NUT_ON_SHAFT = (
    *_thread_of("shaft", SHAFT, "6g"),
    Blank("shaft.major_mm", "Outer diameter of the thread", group=SHAFT, first=True),
    Blank("shaft.end_condition", "The end is", "word", choices=words(ENDS), group=SHAFT, first=True),
    Blank("shaft.full_thread_start_mm", "Shoulder to full thread", group=SHAFT, first=True),
    Blank("shaft.shaft_end_mm", "Shoulder to the end", group=SHAFT, first=True),
    Blank("shaft.hole_mm", "Hole in the end", help="0 if it is solid.", group=SHAFT),
    Blank("shaft.thread_relief", "Relief groove before the thread", "yes_no", group=SHAFT),
    Blank("shaft.full_length_gauged", "The thread was gauged over its whole length", "flag", group=SHAFT),
    *_thread_of("nut", NUT, "6H"),
    Blank("nut.minor_mm", "Bore of the thread", help="The inner diameter, over the crests.", group=NUT, first=True),
    Blank("nut.height_mm", "Height", group=NUT, first=True),
    Blank("nut.underside_mm", "Shoulder to its underside", help="Everything under the nut.", group=NUT, first=True),
    Blank("nut.condition", "It is", "word", choices=words(CONDITIONS), group=NUT, first=True),
    Blank("nut.locking", "How it locks", "word", choices=words(LOCKINGS), group=NUT, first=True),
    Blank("nut.chamfer_mm", "Depth of its chamfer", help="0 if there is none.", group=NUT),
    Blank("preload_n", "Preload that the torque gives", "reading", unit="N", group=LOAD),
)

THREAD, GAUGES = "The thread", "The gauges"
PARTS = (("shaft", "a shaft or screw"), ("nut", "a nut or a tapped hole"))
THREAD_READING = (
    Blank("part", "It is", "choice", choices=PARTS, group=THREAD, first=True),
    Blank("diameter_mm", "Over the crests", help="Of a shaft outside, of a nut its bore.", group=THREAD, first=True),
    Blank(
        "pitch_mm",
        "Pitch by gauge",
        "reading",
        unit="mm",
        help="Better: a length over ten threads, divided by ten.",
        group=THREAD,
        first=True,
    ),
    Blank(
        "threads_per_inch",
        "or threads per inch",
        "reading",
        unit="per inch",
        help="In place of the pitch in mm.",
        group=THREAD,
        first=True,
    ),
    Blank("diameter_error_mm", "Caliper off by", "reading", unit="mm", help="0.02 if left empty.", group=GAUGES),
    Blank(
        "pitch_error_mm",
        "Pitch off by",
        "reading",
        unit="mm",
        help="3 % if left empty, as a leaf gauge may be.",
        group=GAUGES,
    ),
)

FIGURE, JOINT, FRICTION, TOOL = (
    "The figure",
    "The joint",
    "Friction, from the compound's or the nut's maker",
    "The wrench",
)
TORQUE = (
    Blank("torque_n_m", "Torque", "reading", unit="N.m", help="Of this very application.", group=FIGURE, first=True),
    Blank(
        "torque_source",
        "Where it comes from",
        "text",
        help="Needed: which instructions.",
        group=FIGURE,
        first=True,
        most=200,
    ),
    Blank("torque_lbf_ft", "or in pound-feet", "reading", unit="lbf.ft", group=FIGURE),
    Blank("torque_lbf_in", "or in pound-inches", "reading", unit="lbf.in", group=FIGURE),
    Blank("torque_kgf_cm", "or in kilopond-centimetres", "reading", unit="kgf.cm", group=FIGURE),
    Blank("thread", "Thread", "text", help="Needed, with its pitch, as in M12x1.25.", group=JOINT, first=True),
    Blank("property_class", "Property class of the shaft", "text", help="As in 8.8.", group=JOINT, first=True, most=10),
    Blank("hole_mm", "Hole in the shaft", help="0 if it is solid.", group=JOINT, first=True),
    Blank("engagement_mm", "Full thread engaged", help="As nut-on-shaft reckons it.", group=JOINT, first=True),
    Blank(
        "prevailing_n_m",
        "Turns before it clamps with",
        "reading",
        unit="N.m",
        help="Prevailing torque; 0 if the nut runs free.",
        group=JOINT,
        first=True,
    ),
    Blank("nut_factor.min", "Nut factor K, from", "reading", group=FRICTION, first=True),
    Blank("nut_factor.max", "Nut factor K, to", "reading", group=FRICTION, first=True),
    Blank("friction.min", "or friction, from", "reading", group=FRICTION),
    Blank("friction.max", "Friction, to", "reading", group=FRICTION),
    Blank("bearing_mm", "Mean diameter of the bearing face", help="With the friction.", group=FRICTION),
    Blank(
        "wrench_length_mm",
        "Length of the wrench",
        "reading",
        unit="mm",
        help="With an adapter: hand to drive.",
        group=TOOL,
    ),
    Blank("adapter_offset_mm", "Length of the adapter in line", "reading", unit="mm", group=TOOL),
)

SHIM, FACE, ROUND_IT = "The face shim", "The face it lies on", "Shaft and body"
FACE_SHIM = (
    Blank("shim_od_mm", "Outer diameter of the shim", group=SHIM, first=True),
    Blank("shim_bore_mm", "Bore of the shim", group=SHIM, first=True),
    *(replace(blank, group=FACE, first=True) for blank in SIDE),
    Blank("overlap_mm", "Overlap required", "length", help=VALVE[3].help, group=FACE, first=True),
    *(replace(blank, group=ROUND_IT, first=True) for blank in VALVE[:2]),
)

PLATE_AND_LIP, SPACERS = "Base plate and lip", "The spacers"
SPACER = (
    Blank(
        "stack_height_mm",
        "Stack height",
        help="From the shoulder to under the rebound base plate, without spacers.",
        group=PLATE_AND_LIP,
        first=True,
    ),
    Blank("shoulder_to_lip_mm", "Shoulder to lip", group=PLATE_AND_LIP, first=True),
    Blank("base_plate_mm", "Thickness of the rebound base plate", group=PLATE_AND_LIP, first=True),
    Blank(
        "on_straight_mm",
        "On the straight part, at least",
        "length",
        help="From the damper's instructions.",
        group=PLATE_AND_LIP,
        first=True,
    ),
    Blank(
        "past_lip_mm",
        "Past the lip, at least",
        "length",
        help="From the damper's instructions.",
        group=PLATE_AND_LIP,
        first=True,
    ),
    Blank(
        "clamp_od_mm",
        "Diameter of the clamp shim",
        "length",
        help="Needed: every spacer must be larger.",
        group=SPACERS,
        first=True,
    ),
    Blank(
        "spacer_max_od_mm",
        "Largest spacer",
        "length",
        help="Needed: the base plate's contact diameter.",
        group=SPACERS,
        first=True,
    ),
    Blank("shaft_mm", "Shaft", help="Needed: the spacers must pass it.", group=SPACERS, first=True),
    Blank("take_offs", "Shims taken out of dampers may be used", "flag", group=SPACERS, first=True),
)

STACKS, VALVE_SIZES = "The stacks, face shim first", "The valve"
VALVES = (("main", "main"), ("base", "base"), ("mid", "mid"))
# The letters are those of the measuring picture.
LINES_HELP = "One size a line, face shim first: diameter J x thickness L, bore K if it is not the shaft's: 34x0.15 x3."
STACK_LINES = (
    Blank("valve", "Valve", "choice", choices=VALVES, group=STACKS, first=True),
    *(
        Blank(f"stacks.{side}", f"{side.capitalize()} stack", "lines", help=LINES_HELP, group=STACKS, first=True)
        for side in SIDES
    ),
)
STACK_VALVE = (
    *(replace(blank, group=VALVE_SIZES, first=True) for blank in VALVE),
    *(
        replace(blank, label=f"{blank.label}, {side}", group=VALVE_SIZES)
        for side in SIDES
        for blank in under(f"base_plates.{side}", PLATE)
    ),
)
STACK_PORTS = tuple(
    replace(blank, group=f"Ports and lands, {side} side") for side in SIDES for blank in under(f"sides.{side}", SIDE)
)
WASHER_ROWS = 2


def stack_blanks(washer_rows: int = WASHER_ROWS) -> tuple[Blank, ...]:
    """The blanks of the stack question with at least that many rows of washers."""
    rows = washers("washers", max(WASHER_ROWS, washer_rows), "Washers and sleeves that count in the height")
    return (*STACK_LINES, *STACK_VALVE, *rows, *STACK_PORTS)


@dataclass(frozen=True, slots=True)
class Question:
    """A fit question as the desk offers it."""

    slug: str
    title: str
    needs: str
    blanks: tuple[Blank, ...]
    part_kind: str = ""
    takes: tuple[str, ...] = ()
    unless_said: Mapping[str, str] = field(default_factory=dict)
    of_model: bool = True  # whether a damper model tells anything of it


QUESTIONS = {
    question.slug: question
    for question in (
        Question(
            "nut-on-shaft",
            "Does this nut belong on this shaft?",
            "A thread gauge on both parts, a caliper, and the lengths from the shoulder.",
            NUT_ON_SHAFT,
            part_kind="nut",
        ),
        Question(
            "thread-reading",
            "Which thread is this?",
            "A caliper, and a thread gauge or a length over ten threads.",
            THREAD_READING,
            of_model=False,
        ),
        Question(
            "torque",
            "What does this torque do to the joint?",
            "The maker's torque for this application, the thread and its hole, and the compound's nut factor.",
            TORQUE,
            of_model=False,
        ),
        Question(
            "face-shim",
            "Does this face shim cover its ports?",
            "Diameters of shim, ports, land and hub, and the overlap that the shop requires.",
            FACE_SHIM,
            part_kind="shim",
            takes=("valve", "side"),
        ),
        Question(
            "stack",
            "Is this stack sound on its valve?",
            "The stack line by line, face shim first, and a damper model or the valve's sizes.",
            stack_blanks(),
            takes=("stack",),
        ),
        Question(
            "spacer",
            "Which spacers make the base plate straddle the lip?",
            "The stack height, the shaft from shoulder to lip, the base plate, and the damper's instructions.",
            SPACER,
            takes=("stack",),
            unless_said={"take_offs": "on"},
        ),
    )
}
