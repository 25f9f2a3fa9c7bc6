"""A nut's readings beside what the catalogue says of its part."""

from __future__ import annotations

from typing import Any

import pytest

from compat.engineering.assembly.catalogued import LENGTH_MM, beside, joint_of
from compat.engineering.assembly.joint import joint
from compat.engineering.nut_on_shaft import Nut, ShaftEnd
from compat.engineering.units import Range

LABEL = Nut(
    thread="M12x1.25",
    tolerance_class="6H",
    hand="right",
    height_mm=10.0,
    chamfer_mm=0.6,
    unthreaded_mm=0.0,
    property_class="10",
    locking="compound",
)
END = ShaftEnd(
    thread="M12x1.25",
    tolerance_class="6g",
    hand="right",
    gauged_pitch_mm=1.25,
    major_mm=11.9,
    hole_mm=6.0,
    end_condition="plain",
    full_thread_start_mm=28.0,
    shaft_end_mm=48.0,
    property_class="8.8",
    thread_relief=False,
)


def nut(**read: Any) -> Nut:
    told = {name: getattr(LABEL, name) for name in ("thread", "tolerance_class", "hand", "property_class", "locking")}
    lengths = {"height_mm": 10.0, "chamfer_mm": 0.6, "unthreaded_mm": 0.0}
    at_bench = {"gauged_pitch_mm": 1.25, "minor_mm": 10.75, "condition": "new", "underside_mm": 31.0}
    return Nut(**{**told, **lengths, **at_bench, **read})


def codes(label: Nut, **read: Any) -> list[str]:
    return [one.code for one in beside(label, nut(**read), number="NU-1")[1]]


@pytest.mark.parametrize(("nominal", "most", "least"), [(10.8, 10.8, 10.37), (8.4, 8.4, 8.04), (14.8, 14.8, 14.1)])
def test_every_nut_within_its_standard_agrees_with_either_limit(nominal: float, most: float, least: float) -> None:
    """ISO 4032's limits of height of M12, M10 and M16, from memory; of the last a catalogue states the larger, and the
    smallest of them is told to be measured again."""
    label = Nut(thread="M12x1.25", height_mm=nominal)
    assert codes(label, height_mm=most) == []
    assert (codes(label, height_mm=least) == []) is (nominal - least <= LENGTH_MM)


@pytest.mark.parametrize(
    ("read", "expected"),
    [
        ({}, []),
        ({"height_mm": 9.4}, []),
        ({"height_mm": 9.39}, ["nut_reading_contradicts"]),
        ({"height_mm": Range(6, 9.39, 9)}, ["nut_reading_contradicts"]),
        ({"height_mm": Range(6, 9.5, 9)}, ["nut_reading_may_contradict"]),
        ({"height_mm": Range(9.4, 10.6, 10)}, []),
        ({"height_mm": None}, []),
        ({"chamfer_mm": 0.0}, []),
        ({"chamfer_mm": 1.3}, ["nut_reading_contradicts"]),
        ({"unthreaded_mm": 2.5}, ["nut_reading_contradicts"]),
        ({"thread": "M12x1.5"}, ["nut_marking_contradicts"]),
        ({"thread": "M12x1.25-6H"}, []),
        ({"thread": "twelve"}, []),
        ({"hand": "left"}, ["nut_marking_contradicts"]),
        ({"locking": "prevailing"}, ["nut_marking_contradicts"]),
        ({"property_class": None, "hand": None}, []),
    ],
)
def test_what_is_read_is_compared_with_what_the_catalogue_says(read: dict[str, Any], expected: list[str]) -> None:
    assert codes(LABEL, **read) == expected


def test_what_contradicts_is_judged_at_both_and_never_fits() -> None:
    """The shaft ends inside a nut of 20 mm, and stands 7 mm past one of 10: one of the two heights is wrong."""
    assert str(joint(END, nut(height_mm=20.0)).verdict) == "does_not_fit"
    answer = joint_of(END, nut(height_mm=20.0), LABEL, number="NU-1")
    assert str(answer.verdict) == "cannot_tell"
    assert answer.values["nut_top_mm"] == Range(40.4, 51.0, 51.0)
    assert "iso_4759_1" in answer.sources


def test_making_a_contradicting_reading_vaguer_never_makes_it_fit() -> None:
    assert str(joint_of(END, nut(), LABEL, number="NU-1").verdict) == "fits"
    for high in (14.0, 13.0, 11.0):
        for low in (11.0, 10.0, 9.5):
            told = nut(height_mm=Range(low, high, high))
            assert str(joint_of(END, told, LABEL, number="NU-1").verdict) != "fits"


def test_a_nut_that_is_in_no_catalogue_is_judged_as_it_is_told() -> None:
    told = nut(height_mm=14.0)
    assert joint_of(END, told, None) == joint(END, told)
