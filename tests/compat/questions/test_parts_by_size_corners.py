"""A part's name by its sizes never becomes surer when a reading is left out or made vaguer."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace

import pytest

from compat.engineering.answers import Verdict, verdict_of
from compat.engineering.by_size.judging import Known, flats, judge, ring_sizes, thread_sizes
from compat.engineering.units import Range
from compat.questions.parts_by_size.findings import GIVES, Shown, findings_of
from compat.questions.parts_by_size.wanting import ways_of
from inventory.common.sizes.measures import Number
from inventory.common.sizes.wanted import Wanted, meanings

# What may be left out without the answer getting worse, with the reason.
CHOICES = {
    "thread": "written on the part or its bag: it names the thread in place of a gauge",
    "size": "written on the bag: it names both sizes of a ring in place of a caliper",
    "compound": "no size: every rubber of the size is named, with a warning that they differ",
    "od_mm": "of a ring inside, outside and section, of a band inside, bore and thickness, of a bush inside, outside "
    "and wall: two give the third, so the third is other evidence of the same",
    "kind": "narrows what is looked for; without it more kinds are compared",
}


def solid(key: int, kind: str, **sizes: float) -> Known:
    return Known(key, kind, {f"{name}_mm": Range.exact(mm) for name, mm in sizes.items()})


def nut(key: int, thread: str, width: float, height: float, hand: str = "right") -> Known:
    sizes = {**thread_sizes(thread), "across_flats_mm": flats(width), "height_mm": Range.exact(height)}
    return Known(key, "nut", sizes, thread, hand)


def ring(key: int, inner: float, section: float, dash: str = "none") -> Known:
    return Known(key, "oring", ring_sizes(inner, section, dash, (None, None)), dash=dash)


SHELF = [
    solid(1, "shim", od=34, thickness=0.15, id=12),
    solid(2, "shim", od=34, thickness=0.2, id=12),
    solid(3, "shim", od=30, thickness=0.3, id=10),
    solid(4, "washer", od=24, id=12, height=2.5),
    solid(5, "piston", od=46, id=12, height=12),
    solid(6, "band", bore=46, id=43, height=9.8, thickness=1.5),
    solid(7, "seal_head", od=46, id=12, height=25),
    solid(8, "bush", od=14, id=12, height=10, thickness=1),
    ring(9, 37.69, 3.53, "222"),
    ring(10, 44.04, 3.53, "224"),
    ring(11, 60, 3.5),
    nut(12, "M12x1.25", 19, 10),
    nut(13, "M12x1.5", 19, 10),
    nut(14, "M16x1.5", 24, 13),
    nut(15, "M12x1.25", 19, 10, hand="left"),
]
READINGS = 2_500
KINDS = ("shim", "washer", "piston", "band", "seal_head", "bush", "oring", "nut")


def verdict(wanted: Wanted) -> Verdict:
    judged = []
    for part in SHELF:
        if (found := judge(part, ways_of(part.kind, wanted), hand=wanted.hand)) is not None:
            judged.append(found)
    judged.sort(key=lambda one: (one.off, one.total, one.part.key))
    same, near = [one for one in judged if not one.miss], [one for one in judged if one.miss]
    shown = Shown(same, near, {part.key: str(part.key) for part in SHELF})
    return verdict_of(findings_of(wanted, shown, cut=None))


def wanted(kind: str, said: Mapping[str, Number], hand: str | None) -> Wanted:
    return Wanted(kinds=(kind,), said=dict(said), hand=hand if kind == "nut" else None)


def readings(dice: random.Random) -> Wanted:
    """Readings of a part of the shelf, some of them off by a little or by much, none finer than a caliper's."""
    part = dice.choice(SHELF)
    thin, third = part.kind == "shim", dice.choice(GIVES.get(part.kind, ("",)))
    said = {}
    for name, size in part.sizes.items():
        least = 0.01 if thin and name == "thickness_mm" else 0.03 * size.nominal if name == "pitch_mm" else 0.05
        off = dice.choice([0.0, 0.0, 0.0, 0.5, -0.8, 1.5, 2.5, -4.0, 12.0]) * least
        error = least * dice.choice([1.0, 1.0, 1.5, 3.0])
        if size.nominal + off > error and name not in ("thread_mm", third):
            said[name] = Number(size.nominal + off, error)
    return wanted(part.kind, said, dice.choice([None, "right", "left"]))


def test_left_out_or_widened_it_never_becomes_the_one() -> None:
    """Two variants of each: one or two readings left out, and one or two widened to hold what they held before."""
    left_out = widened = 0
    for seed in range(READINGS):
        dice = random.Random(seed)
        one = readings(dice)
        if not meanings(one) or verdict(one) is Verdict.FITS:
            continue
        names = sorted(one.said)
        chosen = set(dice.sample(names, min(len(names), dice.choice((1, 2)))))
        less = replace(one, said={name: number for name, number in one.said.items() if name not in chosen})
        unhanded = replace(less, hand=None) if dice.random() < 0.5 else less
        if unhanded.said and meanings(unhanded):
            left_out += 1
            assert verdict(unhanded) is not Verdict.FITS, seed
        wide = dict(one.said)
        for name in chosen:
            number, more = wide[name], dice.choice([0.01, 0.1, 0.5, 2.0, 8.0]) * (wide[name].error or 0)
            wide[name] = replace(
                number, mm=number.mm + dice.choice([-1, 0, 1]) * more, error=(number.error or 0) + more
            )
        if all(number.mm > 0 for number in wide.values()) and meanings(replace(one, said=wide)):
            widened += 1
            assert verdict(replace(one, said=wide)) is not Verdict.FITS, seed
    assert min(left_out, widened) > READINGS / 4


def test_the_property_can_fail() -> None:
    """Some readings name a part, so that leaving one out could."""
    for part in (SHELF[0], SHELF[3], SHELF[8]):
        names = [name for name in part.sizes if (part.kind, name) != ("oring", "od_mm")]
        least = {name: 0.01 if name == "thickness_mm" else 0.05 for name in names}
        said = {name: Number(part.sizes[name].nominal, least[name]) for name in names}
        assert verdict(wanted(part.kind, said, None)) is Verdict.FITS, part


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("shim", {"od_mm": 34, "thickness_mm": 0.3}),
        ("shim", {"od_mm": 30, "thickness_mm": 0.3}),
        ("washer", {"od_mm": 24, "id_mm": 12}),
        ("bush", {"id_mm": 12, "thickness_mm": 1}),
        ("band", {"id_mm": 43, "height_mm": 9.8}),
        ("seal_head", {"id_mm": 12, "od_mm": 46}),
    ],
)
def test_a_size_that_was_not_read_may_be_anything(kind: str, said: dict[str, float]) -> None:
    numbers = {name: Number(mm, 0.01 if name == "thickness_mm" else 0.05) for name, mm in said.items()}
    assert verdict(wanted(kind, numbers, None)) is not Verdict.FITS


def test_a_wide_reading_names_no_part() -> None:
    narrow = wanted("oring", {"id_mm": Number(61.9, 0.05), "section_mm": Number(3.5, 0.05)}, None)
    wide = wanted("oring", {"id_mm": Number(61.9, 1.9), "section_mm": Number(3.5, 0.05)}, None)
    assert verdict(narrow) is not Verdict.FITS and verdict(wide) is Verdict.CANNOT_TELL
