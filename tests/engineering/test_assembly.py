"""One assembly, one answer: the model's figures, and that no question says otherwise of the same figures."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from compat.engineering.answers import Answer, Severity, Verdict
from compat.engineering.assembly.joint import joint, on_assembly
from compat.engineering.assembly.labels import READ_AT_THE_BENCH, as_labelled
from compat.engineering.assembly.model import assemble, nut_underside
from compat.engineering.groups import Ply, height_of
from compat.engineering.lip import LipRule, window
from compat.engineering.nut_on_shaft import Nut, ShaftEnd, nut_on_shaft
from compat.engineering.shims import Line, Size
from compat.engineering.stacks import rule_for, stack, stack_height
from compat.engineering.units import Range
from compat.engineering.valves import BasePlate, Kind, Place, Spacing, Valve, ValveSide

VARIANTS = 5_000


def exact(mm: float) -> Range:
    return Range.exact(mm)


def ply(od_mm: float, thickness_mm: float, pieces: int = 1, spread_mm: float = 0.0) -> Ply:
    size = Size(round(od_mm * 1000), round(thickness_mm * 1000), 12_000)
    return Ply(Line(size, pieces), Range.around(thickness_mm, spread_mm))


def side(name: str, face: float) -> ValveSide:
    return ValveSide(name, exact(22), exact(face - 1.8), exact(face + 0.8), exact(20), exact(face + 1.6))


MAIN = Valve(
    Kind.MAIN,
    (side("compression", 38), side("rebound", 34)),
    exact(12.0),
    {"compression": BasePlate(exact(4.0), exact(28)), "rebound": BasePlate(Range(3.9, 4.1, 4.0), exact(28))},
    (Spacing("washer", exact(1.5)), Spacing("low", exact(0.5), Place.INNER), Spacing("high", exact(1.0), Place.OUTER)),
    exact(46.0),
    exact(12.0),
)
STACKS = {
    "compression": [ply(38, 0.2, 2, 0.01), ply(24, 0.1), ply(36, 0.2, 2), ply(20, 0.3)],
    "rebound": [ply(34, 0.2, 2, 0.01), ply(28, 0.2), ply(20, 0.3)],
}
RULE = LipRule(exact(22.0), None, 1.0, 1.0)
SHAFT = ShaftEnd(
    thread="M12x1.25",
    tolerance_class="6g",
    hand="right",
    hole_mm=5.0,
    full_thread_start_mm=24.0,
    shaft_end_mm=44.0,
    property_class="8.8",
    thread_relief=True,
    relief_diameter_mm=10.0,
)
NUT = Nut(
    thread="M12x1.25",
    tolerance_class="6H",
    hand="right",
    height_mm=10.8,
    chamfer_mm=0.6,
    property_class="10",
    locking="compound",
)


# --- the model


def test_every_part_has_its_place_from_the_shoulder_in_the_order_of_mounting() -> None:
    """1.5 washer, 4 plate, 0.5 sleeve, 1.2 shims, 12 piston, 0.9 shims, 1 sleeve: 21.1 mm; the plate makes it 25.1."""
    steps = stack(MAIN, STACKS, rule=RULE).values["assembly_order"]
    told = [(one.get("name", one["part"]), one["from_mm"].nominal) for one in steps if one["part"] != "shim"]
    assert told == [
        ("washer", 0.0),
        ("base_plate", 1.5),
        ("low", 5.5),
        ("piston", 7.2),
        ("high", 20.1),
        ("base_plate", 21.1),
        ("nut", 25.1),
    ]
    for before, after in pairwise(steps):
        assert before["to_mm"] == after["from_mm"], (before, after)
    # Two of 0.20 on each side may be 0.01 mm off, the plate 0.1 mm: 0.04 and 0.14 mm in all.
    assert steps[-1]["from_mm"] == Range(24.96, 25.24, 25.1)


def test_spacers_lift_plate_and_nut() -> None:
    answer = stack(MAIN, STACKS, rule=replace(RULE, shoulder_to_lip_mm=exact(24.0)), spacers_mm=Range(0.9, 1.1, 1.0))
    steps = {one["part"]: one for one in answer.values["assembly_order"]}
    assert steps["spacers"]["from_mm"].nominal == 21.1 and steps["spacers"]["to_mm"].nominal == 22.1
    assert answer.values["nut_underside_mm"].nominal == steps["nut"]["from_mm"].nominal == 26.1


def test_spacers_that_nobody_has_chosen_lift_the_nut_by_what_the_lip_allows() -> None:
    rule = replace(RULE, shoulder_to_lip_mm=exact(24.0))
    answer = stack(MAIN, STACKS, rule=rule)
    add = answer.values["add_mm"]
    assert add.low > 0
    under = answer.values["nut_underside_mm"]
    assert under == nut_underside(answer.values["height_mm"], add, MAIN.plate("rebound").height_mm)


@pytest.mark.parametrize(
    "valve",
    [
        replace(MAIN, piston_height_mm=None),
        replace(MAIN, spacings=(Spacing("sleeve"),)),
        replace(MAIN, base_plates={"compression": MAIN.plate("compression")}),
    ],
)
def test_above_a_part_of_unknown_height_nothing_has_a_place(valve: Valve) -> None:
    answer = stack(valve, STACKS, rule=RULE)
    assert answer.values["nut_underside_mm"] is None
    assert answer.values["assembly_order"][-1]["from_mm"] is None


def test_a_side_that_is_not_told_leaves_the_nut_without_a_place() -> None:
    assert stack(MAIN, {"rebound": STACKS["rebound"]}, rule=RULE).values["nut_underside_mm"] is None


def test_a_floating_stack_has_no_places() -> None:
    mid = Valve(Kind.MID, (side("compression", 38),), spacings=(Spacing("sleeve", exact(3.0)),))
    standing = assemble(mid, {"compression": STACKS["compression"]}, None)
    assert standing.nut_underside_mm is None
    assert all(step["to_mm"] is None for step in standing.steps if step["part"] == "nut")


# --- labels


def test_only_what_the_bench_reads_is_taken_from_a_label() -> None:
    shaft, nut, taken = as_labelled(SHAFT, NUT)
    assert set(taken) == {f"{part}.{name}" for part, name in READ_AT_THE_BENCH}
    assert (shaft.gauged_pitch_mm, nut.gauged_pitch_mm, shaft.end_condition, nut.condition) == (
        1.25,
        1.25,
        "plain",
        "new",
    )
    # ISO 965-1, M12x1.25: 6g outside 11.760 to 11.972, 6H bore 10.647 to 10.912; a caliper is 0.02 mm off.
    assert (shaft.major_mm, nut.minor_mm) == (Range(11.78, 11.952, 11.866), Range(10.667, 10.892, 10.779))
    bare_shaft, bare_nut, _ = as_labelled(ShaftEnd(), Nut())
    assert bare_shaft == ShaftEnd(end_condition="plain") and bare_nut == Nut(condition="new")


def test_a_reading_is_never_replaced_by_a_label() -> None:
    read = replace(SHAFT, gauged_pitch_mm=1.5, major_mm=11.8, end_condition="peened")
    shaft, _, taken = as_labelled(read, NUT)
    assert shaft == read and not [one for one in taken if one.startswith("shaft")]


@pytest.mark.parametrize(
    ("part", "name"),
    [
        *(("shaft", name) for name in ("thread", "hand", "hole_mm", "full_thread_start_mm", "shaft_end_mm")),
        *(("nut", name) for name in ("thread", "hand", "height_mm", "chamfer_mm", "locking")),
    ],
)
def test_what_no_label_says_stays_open(part: str, name: str) -> None:
    open_: Any = {name: None}
    shaft = replace(SHAFT, **open_) if part == "shaft" else SHAFT
    nut = replace(NUT, **open_) if part == "nut" else NUT
    shaft, nut, _ = as_labelled(shaft, nut)
    assert on_assembly(shaft, nut, exact(25.0)).verdict is Verdict.CANNOT_TELL


def test_an_assembly_of_unknown_height_is_asked_about() -> None:
    shaft, nut, _ = as_labelled(SHAFT, NUT)
    answer = on_assembly(shaft, nut, None)
    assert "nut_underside_unknown" in [one.code for one in answer.findings if one.severity is Severity.ASK]


# --- where the nut lies


def test_the_places_of_the_nut() -> None:
    shaft, nut, _ = as_labelled(SHAFT, NUT)
    values = on_assembly(shaft, nut, Range(24.96, 25.24, 25.1)).values
    assert values["nut_top_mm"] == Range(35.76, 36.04, 35.9)
    assert values["protrusion_mm"] == Range(7.96, 8.24, 8.1)
    assert values["past_thread_start_mm"] == Range(0.96, 1.24, 1.1)
    # The groove of 10 mm less the hole of 5 mm, halved: less than under the root.
    assert values["wall_mm"] == Range(2.5, 2.5, 2.5)
    # Root of M12x1.25: 12 - 1.226869 x 1.25 = 10.466 mm (ISO 68-1); less the hole of 5 mm, halved.
    plain = replace(shaft, thread_relief=False, relief_diameter_mm=None)
    assert on_assembly(plain, nut, None).values["wall_mm"] == Range(2.733, 2.733, 2.733)


# --- the plan and the single questions never disagree


def some(dice: random.Random, nominal: float, spread: float = 0.3, *, unknown: float = 0.01) -> Range | None:
    """A length near the nominal one, with a spread of its own; now and then unknown."""
    if dice.random() < unknown:
        return None
    middle = round(nominal + dice.uniform(-spread, spread), 3)
    half = dice.choice((0.0, 0.01, 0.01, 0.05, 0.2))
    return Range(round(middle - half, 3), round(middle + half, 3), middle)


def some_side(dice: random.Random, face: float) -> list[Ply]:
    ods = sorted({face, *(dice.randrange(20, round(face), 2) for _ in range(dice.randrange(1, 5)))}, reverse=True)
    return [ply(od, dice.choice((0.1, 0.15, 0.2, 0.3)), dice.randrange(1, 4), dice.choice((0.0, 0.004))) for od in ods]


def some_valve(dice: random.Random) -> Valve:
    plates = {
        "compression": BasePlate(some(dice, 4.0), exact(28)),
        "rebound": BasePlate(some(dice, 4.0), exact(28)),
    }
    spacings = tuple(
        Spacing(f"washer {number}", some(dice, 1.0), dice.choice(tuple(Place))) for number in range(dice.randrange(3))
    )
    return replace(MAIN, piston_height_mm=some(dice, 12.0), base_plates=plates, spacings=spacings)


def some_end(dice: random.Random, under: float) -> ShaftEnd:
    thread = dice.choice((*["M12x1.25"] * 8, "M12x1.5", "1/2-20 UNF", None))
    relief = dice.choice((True, True, True, False, None))
    return ShaftEnd(
        thread=thread,
        tolerance_class=dice.choice(("6g", "6g", "6g", None)) if thread and thread.startswith("M") else None,
        hand=dice.choice((*["right"] * 8, "left", None)),
        hole_mm=some(dice, dice.choice((5.0, 5.0, 5.0, 8.0, 10.3))),
        full_thread_start_mm=some(dice, under + dice.choice((-1.0, -0.5, 0.0, 3.0))),
        shaft_end_mm=some(dice, under + dice.choice((12.0, 16.0, 18.0, 18.0, 4.0))),
        property_class=dice.choice(("8.8", "8.8", "8.8", "10.9", None)),
        thread_relief=relief,
        relief_diameter_mm=None if relief is False else some(dice, dice.choice((10.0, 10.0, 9.0))),
        end_condition=dice.choice((None, None, "plain", "plain", "peened")),
    )


def some_nut(dice: random.Random) -> Nut:
    return Nut(
        thread=dice.choice((*["M12x1.25"] * 8, "M12x1.5", None)),
        tolerance_class=dice.choice(("6H", "6H", "6H", None)),
        hand=dice.choice((*["right"] * 8, "left")),
        height_mm=some(dice, dice.choice((10.8, 10.8, 6.0))),
        chamfer_mm=some(dice, 0.6, 0.1),
        property_class=dice.choice(("8", "10", "10", "10", None)),
        locking=dice.choice(("compound", "compound", "none", "prevailing")),
    )


def planned(
    valve: Valve, stacks: dict[str, list[Ply]], rule: LipRule, spacers: Range | None, ends: tuple[ShaftEnd, Nut]
) -> tuple[Answer, Answer]:
    """What a plan asks: the stack with its spacers, and the nut where that puts it."""
    of_stack = stack(valve, stacks, rule=rule, spacers_mm=spacers)
    return of_stack, on_assembly(*ends, of_stack.values["nut_underside_mm"])


@pytest.mark.parametrize("seed", range(10))
def test_plan_and_single_questions_never_disagree_on_the_same_figures(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each question by itself, with the figures that the plan's answer shows and nothing else of the plan."""
    # The list of other threads that would start takes most of the time and decides nothing.
    monkeypatch.setattr("compat.engineering.nut_on_shaft.near_misses", lambda *_: [])
    dice = random.Random(seed)
    seen: dict[Any, int] = {}
    for _ in range(VARIANTS // 10):
        valve, stacks = some_valve(dice), {"compression": some_side(dice, 38), "rebound": some_side(dice, 34)}
        before, _ = stack_height(valve, stacks)
        lip = (before.nominal if before else 20.0) + dice.choice((-1.5, 2.0, 2.5, 3.5))
        rule = LipRule(some(dice, lip, 0.0), None, dice.choice((1.0, 0.8, None)), 1.0)
        spacers = dice.choice((None, None, Range(0.0, 0.0, 0.0), Range(0.4, 0.44, 0.42)))
        shaft, nut, _ = as_labelled(some_end(dice, lip + 2.0), some_nut(dice))
        of_stack, of_nut = planned(valve, stacks, rule, spacers, (shaft, nut))
        figures = of_stack.values
        # spacer: the lip with the height as a figure
        alone = window(figures["height_mm"], rule_for(valve, rule))
        assert alone.add_mm == figures["add_mm"]
        for code in {one.code for one in alone.findings} - {"stack_height_unknown"}:
            assert code in {one.code for one in of_stack.findings}
        # nut-on-shaft: where it sits as a figure
        told = replace(nut, underside_mm=figures["nut_underside_mm"])
        asked = joint(shaft, told)
        assert (asked.verdict, asked.values) == (of_nut.verdict, of_nut.values)
        assert asked.findings == of_nut.findings
        # the places agree with the question's own rules
        plain = nut_on_shaft(shaft, told)
        assert plain.verdict is asked.verdict
        _places_agree(asked, shaft, told)
        # the sum by hand: two ways to one height
        if figures["nut_underside_mm"] is not None and spacers is not None:
            assert _by_hand(valve, stacks, spacers) == pytest.approx(figures["nut_underside_mm"].nominal, abs=1e-4)
        seen[of_stack.verdict, of_nut.verdict] = seen.get((of_stack.verdict, of_nut.verdict), 0) + 1
    # A test that only ever saw one verdict would say nothing.
    assert {one for pair in seen for one in pair} == set(Verdict)


def _by_hand(valve: Valve, stacks: dict[str, list[Ply]], spacers: Range) -> float:
    parts = [valve.piston_height_mm, *(valve.plate(name).height_mm for name in ("compression", "rebound"))]
    parts += [one.height_mm for one in valve.spacings] + [height_of(plies) for plies in stacks.values()] + [spacers]
    return sum(one.nominal for one in parts if one is not None)


def _places_agree(asked: Answer, shaft: ShaftEnd, nut: Nut) -> None:
    """The values and the findings of one answer: what stands past the nut is what the finding counts."""
    codes = {one.code for one in asked.findings}
    past = asked.values["protrusion_mm"]
    if past is not None and shaft.thread == "M12x1.25":
        assert ("too_little_protrusion" in codes) == (past.high < 1.25 - 1e-6)
        assert ("protrusion_not_proven" in codes) == (past.low < 1.25 - 1e-6 <= past.high)
    available = asked.values["engagement_mm"]["available"]
    start = asked.values["past_thread_start_mm"]
    if available is not None and past is not None and start is not None and past.low >= 0 and start.low >= 0:
        assert available <= nut.height_mm.low if isinstance(nut.height_mm, Range) else True
