"""No verdict on a joint gets better because a reading is left out or made vaguer. Arithmetic on invented readings; the
bodies that fit carry figures of standards named in the tests of the questions themselves."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from itertools import combinations
from typing import Any

import pytest

from compat.engineering.answers import Answer, Verdict
from compat.engineering.nut_on_shaft import Nut, ShaftEnd, nut_on_shaft
from compat.engineering.refused import Refused
from compat.engineering.thread_reading import thread_reading
from compat.engineering.torque import Joint, torque
from compat.engineering.units import Range

Body = dict[str, Any]
Told = Mapping[str, Any]

SHAFT = ShaftEnd(
    thread="M12x1.25", tolerance_class="6g", hand="right", gauged_pitch_mm=1.25, major_mm=11.90, hole_mm=6.0,
    end_condition="plain", full_thread_start_mm=28.0, shaft_end_mm=46.0, property_class="8.8", thread_relief=False,
)  # fmt: skip
NUT = Nut(
    thread="M12x1.25", tolerance_class="6H", hand="right", gauged_pitch_mm=1.25, minor_mm=10.75, height_mm=10.8,
    chamfer_mm=0.7, property_class="10", locking="compound", condition="new", underside_mm=31.0, unthreaded_mm=0.0,
)  # fmt: skip
JOINT = Joint(
    "M12x1.25", 30.0, source="the maker's instructions", nut_factor=Range(0.14, 0.18, 0.16), property_class="8.8",
    nut_class="8", hole_mm=Range.exact(6.0), engagement_mm=Range(8.0, 9.0, 8.5), prevailing_n_m=Range.exact(0.0),
    wrench_error_percent=4.0, thread_relief=False,
)  # fmt: skip

# What may be left out without the verdict getting worse, and why. Nothing else may.
EXCEPTIONS = {
    "shaft.tolerance_class": "a label that the crest reading can contradict; without it every usual class is counted",
    "nut.tolerance_class": "a label that the bore reading can contradict; without it every usual class is counted",
    "shaft.hand": "the thread's own label may say it, and a contradiction goes with one of its two sources",
    "nut.hand": "the thread's own label may say it, and a contradiction goes with one of its two sources",
    "nut.unthreaded_mm": "how a nut locks tells that it has no insert and no collar: locking none or compound",
    "preload_n": "the load is a choice, not a reading; without it the thread must carry the shaft's own strength",
    "joint.adapter_offset_mm": "a choice of tool: it moves what the wrench shows and nothing in the joint",
    "reading.diameter_error_mm": "the error of the tool; a workshop caliper's where it is not told",
    "reading.pitch_error_mm": "the error of the tool; a leaf gauge's where it is not told",
}
UNLIKE_A_READING = {"joint.thread", "joint.torque_n_m", "joint.wrench_length_mm"}  # what is asked about, and its tool


def asked_of_pair(body: Body) -> Answer:
    shaft = {name[6:]: value for name, value in body.items() if name.startswith("shaft.")}
    nut = {name[4:]: value for name, value in body.items() if name.startswith("nut.")}
    return nut_on_shaft(ShaftEnd(**shaft), Nut(**nut), preload_n=body.get("preload_n"))


def asked_of_joint(body: Body) -> Answer:
    told = {name[6:]: value for name, value in body.items()}
    if told.get("friction") is None or told.get("bearing_mm") is None:
        told |= {"friction": None, "bearing_mm": None}
    return torque(Joint(**told))


def asked_of_thread(body: Body) -> Answer:
    told = {name[8:]: value for name, value in body.items() if value is not None}
    return thread_reading(told.pop("part"), **told)


def flat(prefix: str, part: Any) -> Body:
    assert is_dataclass(part)
    return {f"{prefix}.{field.name}": getattr(part, field.name) for field in fields(part)}


PAIR: Body = {**flat("shaft", SHAFT), **flat("nut", NUT), "preload_n": None}
LOADED: Body = {**PAIR, "preload_n": Range(14100, 20000, 17000)}
# An undercut by DIN 76-1, d - 2.0 mm for a pitch of 1.25 (from memory).
GROOVED: Body = {**PAIR, "shaft.thread_relief": True, "shaft.relief_diameter_mm": Range(9.9, 10.1, 10.0)}
GROOVED_LOADED: Body = {**GROOVED, "preload_n": Range(14100, 20000, 17000)}
TORQUE: Body = flat("joint", JOINT)
GROOVED_TORQUE: Body = {
    **TORQUE, "joint.torque_n_m": 25.0, "joint.thread_relief": True, "joint.relief_diameter_mm": Range(9.9, 10.1, 10.0),
    "joint.prevailing_n_m": Range(1.0, 3.0, 2.0),
}  # fmt: skip
BY_FRICTION: Body = {
    **TORQUE, "joint.nut_factor": None, "joint.friction": Range(0.10, 0.14, 0.12),
    "joint.bearing_mm": Range(14.8, 15.4, 15.1), "joint.prevailing_n_m": Range.exact(5.0),
}  # fmt: skip
READING: Body = {
    "reading.part": "shaft", "reading.diameter_mm": 11.9, "reading.pitch_mm": 1.25, "reading.diameter_error_mm": 0.02,
    "reading.pitch_error_mm": 0.02,
}  # fmt: skip
QUESTIONS: list[tuple[str, Body, Callable[[Body], Answer]]] = [
    ("a pair without its load", PAIR, asked_of_pair),
    ("a pair under its load", LOADED, asked_of_pair),
    ("a pair with a groove", GROOVED, asked_of_pair),
    ("a pair with a groove under its load", GROOVED_LOADED, asked_of_pair),
    ("a torque by nut factor", TORQUE, asked_of_joint),
    ("a torque on a groove", GROOVED_TORQUE, asked_of_joint),
    ("a torque by friction", BY_FRICTION, asked_of_joint),
    ("a reading", READING, asked_of_thread),
]
WORDS: dict[str, tuple[Any, ...]] = {
    "shaft.thread": ("M12x1.5", "M12", "12x1", "1/2-20 UNF"), "nut.thread": ("M12x1.5", "M12x1.25 LH", "1/2-20 UNF"),
    "shaft.hand": ("left",), "nut.hand": ("left",), "shaft.end_condition": ("peened", "damaged", "peened_dressed"),
    "shaft.property_class": ("10.9", "12.9", "5.6"), "nut.property_class": ("8", "6"),
    "shaft.tolerance_class": ("6h", "8g", "6H", "4h"), "nut.tolerance_class": ("7H", "6G", "6g"),
    "nut.locking": ("prevailing", "staked", "none"), "nut.condition": ("used",), "shaft.thread_relief": (True, False),
    "joint.thread_relief": (True, False),
    "shaft.full_length_gauged": (True, False), "joint.property_class": ("10.9", "5.6"), "joint.nut_class": ("10", "6"),
    "joint.source": (None,), "reading.part": ("nut",),
}  # fmt: skip
WIDTHS = (0.001, 0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0, 100.0)


def ends(value: Any) -> tuple[float, float]:
    return (value.low, value.high) if isinstance(value, Range) else (value, value)


def is_number(name: str, value: Any) -> bool:
    return isinstance(value, Range) or (isinstance(value, float | int) and not isinstance(value, bool))


def spoilt(draw: random.Random, body: Body) -> Body:
    """One or two fields otherwise than they should be, so that most such bodies do not fit or leave something open."""
    found = dict(body)
    for name in draw.sample([name for name in body if name != "joint.thread"], draw.choice((1, 1, 2))):
        value = body[name]
        if name in WORDS:
            found[name] = draw.choice(WORDS[name])
        elif is_number(name, value):
            low, high = ends(value)
            factor = draw.choice((0.04, 0.3, 0.6, 0.8, 0.9, 0.97, 1.03, 1.1, 1.25, 1.5, 2.0, 4.0, 25.4))
            moved: Any = draw.choice((Range(low * factor, high * factor, high * factor), low * factor, high * factor))
            moved = draw.choice((0.0, 0.5, 3.0, 5.0)) if low == 0 else moved
            scalar = name.endswith(("gauged_pitch_mm", "torque_n_m", "_error_percent", "error_mm", "reading.pitch_mm"))
            if scalar:
                moved = ends(moved)[1]
            elif name.startswith("joint.") or name == "preload_n":
                moved = moved if isinstance(moved, Range) else Range.exact(moved)
            found[name] = min(25.0, moved) if name == "joint.wrench_error_percent" else moved
    return found


def vaguer(draw: random.Random, body: Body, name: str) -> Body | None:
    """The body with that field left out or wider; None where it can be neither."""
    value = body[name]
    droppable = name not in EXCEPTIONS and name not in UNLIKE_A_READING and name != "reading.part"
    if value is None or (not droppable and not is_number(name, value)):
        return None
    if droppable and (draw.random() < 0.4 or not is_number(name, value)):
        if name == "shaft.full_length_gauged":
            return {**body, name: False}
        return {**body, name: None}
    if name in ("joint.wrench_error_percent", "reading.diameter_error_mm", "reading.pitch_error_mm"):
        return {**body, name: min(25.0, value * draw.choice((1.1, 2, 10))) if "percent" in name else value * 2}
    if name.endswith(("gauged_pitch_mm", "torque_n_m", "pitch_mm", "adapter_offset_mm", "wrench_length_mm")):
        return None
    low, high = ends(value)
    down, up = (draw.choice((0.0, *WIDTHS)) for _ in range(2))
    if name == "preload_n":
        down, up = down * 1000, up * 1000
    if name in ("joint.friction", "joint.nut_factor"):
        down, up = down / 100, up / 100
    least = 0.0 if low == 0 or name == "preload_n" else min(low, 0.001)
    low, high = max(least, low - down), high + up
    nominal = draw.choice((low, high, (low + high) / 2))
    return {**body, name: Range(low, high, nominal)}


@pytest.mark.parametrize(("what", "body", "asked"), QUESTIONS, ids=[one[0] for one in QUESTIONS])
def test_what_is_told_in_full_fits(what: str, body: Body, asked: Callable[[Body], Answer]) -> None:
    answer = asked(body)
    assert answer.verdict is Verdict.FITS, [one.code for one in answer.findings]


def bases(draw: random.Random, body: Body, asked: Callable[[Body], Answer], count: int) -> Iterator[Body]:
    """Bodies that do not fit or leave something open; one that contradicts itself is refused, and is none."""
    while count:
        found = spoilt(draw, body)
        try:
            said = asked(found).verdict
        except Refused:
            continue
        if said is not Verdict.FITS:
            count -= 1
            yield found


@pytest.mark.parametrize(("what", "body", "asked"), QUESTIONS, ids=[one[0] for one in QUESTIONS])
def test_no_vaguer_body_fits_where_the_sharper_one_did_not(
    what: str, body: Body, asked: Callable[[Body], Answer]
) -> None:
    draw = random.Random(f"vaguer: {what}")
    tried = 0
    for base in bases(draw, body, asked, 300 if what != "a reading" else 100):
        for _ in range(9):
            weaker = dict(base)
            for name in draw.sample(list(base), draw.choice((1, 1, 2))):
                weaker = vaguer(draw, weaker, name) or weaker
            if weaker == base:
                continue
            tried += 1
            answer = asked(weaker)
            assert answer.verdict is not Verdict.FITS, {
                "base": {name: base[name] for name in base if base[name] != body[name]},
                "weaker": {name: weaker[name] for name in base if base[name] != weaker[name]},
                "said of the base": [one.code for one in asked(base).findings],
            }
    assert tried > (1500 if what != "a reading" else 200)


@pytest.mark.parametrize(("what", "body", "asked"), QUESTIONS, ids=[one[0] for one in QUESTIONS])
def test_what_fits_does_not_fit_any_more_without_a_reading(
    what: str, body: Body, asked: Callable[[Body], Answer]
) -> None:
    """Every reading is needed, alone and with any other; what is not is an exception with a reason."""
    told = [name for name, value in body.items() if value is not None]
    free = {"shaft.full_length_gauged", "joint.wrench_error_percent", "reading.part"}
    if body.get("shaft.relief_diameter_mm", body.get("joint.relief_diameter_mm")) is not None:
        free |= {"shaft.thread_relief", "joint.thread_relief"}  # a groove that was measured is there
    needed = [name for name in told if name not in EXCEPTIONS and name not in UNLIKE_A_READING and name not in free]
    for names in (*((name,) for name in needed), *combinations(needed, 2)):
        assert asked({**body, **dict.fromkeys(names)}).verdict is Verdict.CANNOT_TELL, names


def test_every_exception_is_a_field_of_a_question() -> None:
    assert set(EXCEPTIONS) <= {*PAIR, *TORQUE, *READING}


# The trials that found the law broken, each by name.


@pytest.mark.parametrize("major", [Range(11, 12, 11.5), Range(6, 18, 12), Range(11.7, 12.1, 11.9), 11.99])
def test_an_outside_diameter_partly_outside_its_class_is_asked_about(major: Any) -> None:
    assert nut_on_shaft(replace(SHAFT, major_mm=11.5), NUT).verdict is not Verdict.FITS
    assert nut_on_shaft(replace(SHAFT, major_mm=major), NUT).verdict is Verdict.CANNOT_TELL


@pytest.mark.parametrize("minor", [Range(10, 11, 10.7), Range(5, 16, 10.7), Range(10.65, 10.7, 10.68)])
def test_a_bore_partly_outside_its_class_is_asked_about(minor: Range) -> None:
    assert nut_on_shaft(SHAFT, replace(NUT, minor_mm=minor)).verdict is Verdict.CANNOT_TELL


def test_too_short_is_not_mended_by_leaving_the_load_out() -> None:
    for height in (4.0, 5.0, 6.0, 7.0, 8.0):
        short = replace(NUT, height_mm=height)
        for load in (10_000.0, 20_000.0, 30_000.0, 36_000.0):
            told = nut_on_shaft(SHAFT, short, preload_n=Range.exact(load))
            if told.verdict is not Verdict.FITS:
                assert nut_on_shaft(SHAFT, short).verdict is not Verdict.FITS, (height, load)


def test_three_tenths_of_a_millimetre_of_thread_do_not_fit() -> None:
    for change in ({"underside_mm": 44.0, "height_mm": 2.0, "chamfer_mm": 0.3}, {"height_mm": 1.7}):
        for load in (None, Range.exact(10.0)):
            answer = nut_on_shaft(replace(SHAFT, shaft_end_mm=60.0), replace(NUT, **change), preload_n=load)  # type: ignore[arg-type]  # named above
            assert answer.verdict is not Verdict.FITS


def test_a_nylon_ring_is_no_thread() -> None:
    locking = replace(NUT, locking="prevailing", height_mm=12.0)
    assert nut_on_shaft(SHAFT, replace(locking, unthreaded_mm=None)).verdict is Verdict.CANNOT_TELL
    assert nut_on_shaft(SHAFT, replace(locking, unthreaded_mm=5.0)).verdict is Verdict.CANNOT_TELL
    full = nut_on_shaft(SHAFT, replace(locking, unthreaded_mm=1.0))
    assert full.verdict is Verdict.FITS
    assert full.values["engagement_mm"]["available"] == pytest.approx(12.0 - 1.4 - 1.0)


@pytest.mark.parametrize("load", [None, Range.exact(2000.0)])
def test_a_wall_of_nine_tenths_is_asked_about(load: Range | None) -> None:
    """Root 12 - 1.226869 x 1.25 = 10.466 mm (ISO 68-1, ISO 724); a hole of 8.666 leaves 0.9 mm of wall under it."""
    answer = nut_on_shaft(replace(SHAFT, hole_mm=8.666), NUT, preload_n=load)
    assert answer.verdict is Verdict.CANNOT_TELL
    assert "wall_too_thin_to_judge" in {one.code for one in answer.findings}


VAGUE: list[tuple[str, Range]] = [
    ("nut.height_mm", Range(4, 12, 10.8)), ("nut.height_mm", Range(0.4, 11.0, 10.8)),
    ("nut.chamfer_mm", Range(0.0, 4.0, 0.7)), ("nut.underside_mm", Range(20.0, 33.0, 31.0)),
    ("shaft.hole_mm", Range(0.0, 12.0, 6.0)), ("shaft.hole_mm", Range(5.9, 9.0, 6.0)),
    ("shaft.full_thread_start_mm", Range(20.0, 33.0, 28.0)), ("shaft.shaft_end_mm", Range(40.0, 46.0, 46.0)),
]  # fmt: skip


@pytest.mark.parametrize(("name", "value"), VAGUE)
def test_a_length_read_vaguely_is_asked_about(name: str, value: Range) -> None:
    assert asked_of_pair({**PAIR, name: value}).verdict is Verdict.CANNOT_TELL


def test_a_diameter_that_no_thread_has_is_not_mended_by_a_wider_reading() -> None:
    assert thread_reading("shaft", diameter_mm=11.5, pitch_mm=1.25).verdict is Verdict.CANNOT_TELL
    for wide in (Range(11.2, 11.8, 11.5), Range(11.4, 12.2, 11.5), Range(11.6, 12.0, 11.8)):
        assert thread_reading("shaft", diameter_mm=wide, pitch_mm=1.25).verdict is Verdict.CANNOT_TELL


def test_a_pitch_that_no_thread_has_is_not_mended_by_a_coarser_gauge() -> None:
    for error in (0.005, 0.02, 0.05, 0.1):
        answer = thread_reading("shaft", diameter_mm=11.9, pitch_mm=1.29, pitch_error_mm=error)
        assert answer.verdict is Verdict.CANNOT_TELL, error
