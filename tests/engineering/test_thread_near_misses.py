"""Which other threads would start on a part. Figures from the limits of ISO 965-1 and ASME B1.1, by the model below."""

from __future__ import annotations

import math
import timeit
from dataclasses import replace

import pytest
from screw_thread_lib.data import ASME_M_6g6H_dict, ASME_UN_2A2B_dict

from compat.engineering.answers import Answer, Severity, Verdict
from compat.engineering.nut_on_shaft import Nut, ShaftEnd, nut_on_shaft
from compat.engineering.threads.designation import Form, Thread, known_threads, parse
from compat.engineering.threads.limits import external_limits, internal_limits
from compat.engineering.threads.near_misses import ROOT_DEPTH, NearMiss, deepest_root, near_misses
from compat.engineering.units import MM_PER_INCH
from compat.questions.nut_on_shaft import texts as texts

OUTSIDE = {False: "6g", True: "2A"}
INSIDE = {False: "6H", True: "2B"}


def on_shaft(name: str) -> dict[str, NearMiss]:
    thread = parse(name)
    return {one.thread.name: one for one in near_misses("shaft", thread, OUTSIDE[bool(thread.size)])}


def on_nut(name: str) -> dict[str, NearMiss]:
    thread = parse(name)
    return {one.thread.name: one for one in near_misses("nut", thread, INSIDE[bool(thread.size)])}


def turns(one: NearMiss, places: int = 2) -> tuple[float, float]:
    assert one.turns is not None
    return round(one.turns.low, places), round(one.turns.high, places)


# 6g: d2 of M12x1.25 11.028 to 11.160, of M12x1.5 10.854 to 10.994; 6H: D2 of M12x1.25 11.188 to 11.368, of M12x1.5
# 11.026 to 11.216 (published limits, see test_thread_limits.py): play = (P_nut - P_shaft)/2 + (D2 - d2) tan 30.
def test_the_two_common_pitches_of_a_damper_shaft_start_on_each_other() -> None:
    assert turns(on_shaft("M12x1.25")["M12x1.5"]) == (0.19, 0.93)
    assert turns(on_shaft("M12x1.5")["M12x1.25"]) == (-0.05, 0.69)
    assert turns(on_nut("M12x1.25")["M12x1.5"]) == (-0.05, 0.69)
    assert turns(on_nut("M12x1.5")["M12x1.25"]) == (0.19, 0.93)


def test_the_half_inch_nut_is_the_first_false_friend_of_an_m12_shaft() -> None:
    first = near_misses("shaft", parse("M12x1.25"), "6g")[0]
    assert (first.thread.name, first.spins_freely, turns(first, 0)) == ("1/2-20 UNF", True, (21, 29))
    assert (round(first.overlap.low), round(first.overlap.high)) == (11, 48)
    assert [name for name, one in on_shaft("M12x1.25").items() if one.spins_freely] == ["1/2-20 UNF"]


def test_an_extra_fine_nut_spins_on_a_metric_shaft() -> None:
    """1/2-28 has 0.907 mm, M12x1 has 1 mm: 0.093 mm apart use up 0.4 to 0.5 mm of play in four turns and more."""
    assert on_shaft("M12x1")["1/2-28 UNEF"].spins_freely
    assert on_shaft("1/4-32")["M7x0.75"].spins_freely
    assert not on_shaft("M12x1.25")["1/2-28 UNEF"].spins_freely


def test_an_equal_pitch_never_binds() -> None:
    """M17x1.5 6g: d 16.732 to 16.968. M18x1.5 6H: D1 16.376 to 16.676. Depth 5H/8 of 1.5 mm: 0.812 mm."""
    one = on_shaft("M17x1.5")["M18x1.5"]
    assert (one.turns, one.spins_freely) == (None, True)
    percent = [50 * (16.732 - 16.676) / 0.81190, 50 * (16.968 - 16.376) / 0.81190]
    assert [one.overlap.low, one.overlap.high] == pytest.approx(percent, abs=0.05)


def test_a_coarse_nut_does_not_pass_the_root_of_a_fine_shaft() -> None:
    """M30x3 6H: D1 to 27.252 mm. M30x1 6g: d2 from 29.199 mm and its root from 28.583 mm: the nut stands before it."""
    assert "M30x3" not in on_shaft("M30x1")
    assert "M30x1" not in on_nut("M30x3")
    assert "M30x1" in on_nut("M30x1.5") or "M30x1.5" in on_shaft("M30x1")


@pytest.mark.parametrize("size", ASME_M_6g6H_dict)
def test_the_deepest_root_of_a_metric_shaft_is_the_one_of_the_tables(size: str) -> None:
    """`d1min` of ASME B1.13M-2005 in screw-thread-lib."""
    thread = parse(size)
    root = deepest_root(thread, external_limits(thread, "6g"))
    assert root == pytest.approx(ASME_M_6g6H_dict[size]["d1min"] * MM_PER_INCH, abs=0.001)


@pytest.mark.parametrize("size", ASME_UN_2A2B_dict)
def test_the_root_of_a_unified_shaft_is_as_deep_as_in_the_tables(size: str) -> None:
    """`d2min` less `d1min` of ASME B1.1-2019 in screw-thread-lib, each rounded to 0.0001 inch."""
    row = ASME_UN_2A2B_dict[size]
    assert ROOT_DEPTH[Form.UNIFIED] / row["n"] == pytest.approx(row["d2min"] - row["d1min"], abs=0.0001)


def test_no_thread_that_starts_is_left_out_and_none_is_named_that_does_not() -> None:
    """Every pair of the tables, reckoned plainly from its limits, against the list that looks only at what is near."""
    for shaft in known_threads():
        outer = external_limits(shaft, OUTSIDE[bool(shaft.size)])
        starting = set()
        for nut in known_threads():
            inner = internal_limits(nut, INSIDE[bool(nut.size)])
            play = (nut.pitch_mm - shaft.pitch_mm) / 2 + (inner.pitch.high - outer.pitch.low) / math.sqrt(3)
            root = outer.pitch.low - (0.649519 if shaft.size else 0.616025) * shaft.pitch_mm
            if nut is not shaft and play > 1e-6 and outer.major.high > inner.minor.low and inner.minor.high > root:
                starting.add(nut.name)
        assert set(on_shaft(shaft.name)) == starting, shaft.name


def test_what_starts_on_a_shaft_is_found_from_the_nut_too() -> None:
    for thread in known_threads():
        for name, one in on_shaft(thread.name).items():
            back = on_nut(name)[thread.name]
            assert (back.turns, back.overlap, back.play) == (one.turns, one.overlap, one.play)
        assert thread.name not in on_shaft(thread.name)
        assert thread.name not in on_nut(thread.name)


def test_false_friends_come_first_and_then_what_holds_most() -> None:
    for thread in known_threads():
        for found in (on_shaft(thread.name), on_nut(thread.name)):
            order = [(not one.spins_freely, -one.overlap.high) for one in found.values()]
            assert order == sorted(order)
            assert all(one.play.high > 0 and one.overlap.low >= 0 and one.overlap.high > 0 for one in found.values())


def test_a_wider_class_lets_no_thread_go() -> None:
    wide = {one.thread.name for one in near_misses("shaft", parse("M12x1.25"), "8g")}
    assert set(on_shaft("M12x1.25")) <= wide


def test_hand_and_class_of_the_label_change_nothing_and_several_starts_are_left_out() -> None:
    plain = near_misses("shaft", parse("M12x1.25"), "6g")
    assert near_misses("shaft", parse("M12x1.25-6g LH"), "6g") == plain
    assert near_misses("shaft", parse("M12xPh2.5P1.25"), "6g") == ()


# In the answer.

SHAFT = ShaftEnd(thread="M12x1.25", tolerance_class="6g", gauged_pitch_mm=1.25)
NUT = Nut(thread="M12x1.25", tolerance_class="6H", gauged_pitch_mm=1.25)


def ask(shaft: ShaftEnd = SHAFT, nut: Nut = NUT) -> Answer:
    return nut_on_shaft(shaft, nut)


def test_the_answer_names_the_near_misses_of_both_parts() -> None:
    found = ask().values["near_misses"]
    assert {one["on"] for one in found} == {"shaft", "nut"}
    assert [one["thread"] for one in found if one["spins_freely"]] == ["1/2-20 UNF", "7/16-20 UNF"]
    half = found[0]
    assert (half["turns_before_binding"].low, half["axial_play_mm"].low) == (21.11, 0.422)
    assert (half["overlap_percent"].low, half["overlap_percent"].high) == (11, 48)


def test_near_misses_need_one_thread_only_and_none_where_none_is_understood() -> None:
    assert {one["on"] for one in ask(nut=Nut()).values["near_misses"]} == {"shaft"}
    assert {one["on"] for one in ask(ShaftEnd()).values["near_misses"]} == {"nut"}
    assert nut_on_shaft(ShaftEnd(thread="M12 fine"), Nut()).values["near_misses"] == []


def test_near_misses_take_no_part_in_the_verdict() -> None:
    """They are values: nothing stops a right pair although seven other nuts would start on its shaft."""
    answer = ask()
    assert sum(one["on"] == "shaft" for one in answer.values["near_misses"]) == 7
    assert [finding.code for finding in answer.findings if finding.severity is Severity.STOP] == []


def test_a_nut_of_the_same_pitch_and_another_diameter_is_named_a_false_friend() -> None:
    shaft = replace(SHAFT, thread="M17x1.5", gauged_pitch_mm=1.5)
    answer = ask(shaft, replace(NUT, thread="M18x1.5", gauged_pitch_mm=1.5))
    named = [finding for finding in answer.findings if finding.code == "false_friend_never_binds"]
    assert answer.verdict is Verdict.DOES_NOT_FIT
    assert dict(named[0].data) == {"shaft": "M17x1.5", "nut": "M18x1.5", "percent_low": 3, "percent_high": 36}
    assert texts.TEXTS["false_friend_never_binds"].format(**named[0].data)
    two_starts = ask(replace(SHAFT, thread="M16xPh3P1.5"), replace(NUT, thread="M16x1.5"))
    assert "false_friend_never_binds" not in {finding.code for finding in two_starts.findings}


def test_every_thread_of_the_tables_costs_the_question_little() -> None:
    """A storefront asks many: the lists are kept, and a question with them takes milliseconds on a slow machine too."""

    def everything() -> None:
        for thread in known_threads():
            classes = OUTSIDE[bool(thread.size)], INSIDE[bool(thread.size)]
            near_misses("shaft", thread, classes[0]), near_misses("nut", thread, classes[1])

    everything()
    assert min(timeit.repeat(everything, number=1, repeat=3)) / len(known_threads()) < 0.003


def test_a_thread_is_its_own_and_never_a_near_miss_of_itself_however_it_is_written() -> None:
    written: list[Thread] = [parse(name) for name in ("1/2 UNF", "1/2-20", '1/2"-20 UNF-2A')]
    for thread in written:
        assert "1/2-20 UNF" not in {one.thread.name for one in near_misses("shaft", thread, "2A")}


def test_without_near_misses_the_answer_is_otherwise_the_same() -> None:
    shaft, nut = ShaftEnd(thread="M12x1.25", major_mm=11.9), Nut(thread="M12x1.25")
    whole, bare = nut_on_shaft(shaft, nut), nut_on_shaft(shaft, nut, near_misses_too=False)
    assert whole.values["near_misses"]
    assert bare == replace(whole, values={name: one for name, one in whole.values.items() if name != "near_misses"})
