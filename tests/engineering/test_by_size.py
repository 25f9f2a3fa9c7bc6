"""Parts by size without a database: texts as people type them, and parts judged against standards' tables."""

from __future__ import annotations

import csv
from importlib import resources
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat import texts
from compat.engineering.by_size import measures as engine
from compat.engineering.by_size.judging import (
    Judged,
    Known,
    bore_of,
    flats,
    judge,
    ring_sizes,
    thread_sizes,
)
from compat.engineering.by_size.measures import Reading
from compat.engineering.by_size.telling import alike, rings_of, telling
from compat.engineering.seals.sizes import known
from compat.engineering.threads.designation import Form, ThreadError, known_threads, parse
from compat.engineering.threads.pairing import LEAF_GAUGE
from compat.engineering.units import Range
from compat.questions.parts_by_size.wanting import check_threads, ways_of
from inventory.common.sizes import measures as common
from inventory.common.sizes.measures import KINDS, MEASURES, Number
from inventory.common.sizes.numbers import LONGEST
from inventory.common.sizes.reading import read
from inventory.common.sizes.refusals import TextError
from inventory.common.sizes.rings import is_dash
from inventory.common.sizes.wanted import Wanted, ways

exact = Range.exact


def said(text: str) -> tuple[tuple[str, ...], dict[str, float], list[float]]:
    """(kinds, named sizes, numbers without a name) of a text."""
    wanted = read(text)
    named = {name: round(one.mm, 4) for name, one in wanted.said.items()}
    return wanted.kinds, named, [round(one.mm, 4) for one in wanted.loose]


# --- reading a text


@pytest.mark.parametrize(
    ("text", "kinds", "named", "loose"),
    [
        ("ring about 44 x 3.5", ("oring",), {}, [44, 3.5]),
        ("O-ring 44x3,5 mm", ("oring",), {}, [44, 3.5]),
        ("ring Ø44 × 3.5", ("oring",), {}, [44, 3.5]),
        ("id 37.7", (), {"id_mm": 37.7}, []),
        ("ring id: 37.7 cs: 3.53", ("oring",), {"id_mm": 37.7, "section_mm": 3.53}, []),
        ("ring 44 across, 3.5 thick", ("oring",), {"thickness_mm": 3.5}, [44]),
        ("inner diameter 37,7", (), {"id_mm": 37.7}, []),
        ("37.7 inside", (), {"id_mm": 37.7}, []),
        ("od 44", (), {"od_mm": 44}, []),
        ("44 o.d. x 3.5", (), {"od_mm": 44}, [3.5]),
        ("od 44 x 3.5", (), {"od_mm": 44}, [3.5]),
        ("44 od, 37 id", (), {"od_mm": 44, "id_mm": 37}, []),
        ("ring id 37.7 od 44.8 section 3.5", ("oring",), {"id_mm": 37.7, "od_mm": 44.8, "section_mm": 3.5}, []),
        ("nut 19 across flats, 1.25", ("nut",), {"across_flats_mm": 19}, [1.25]),
        ("across flats 19", (), {"across_flats_mm": 19}, []),
        ("19 AF 1.25", (), {"across_flats_mm": 19}, [1.25]),
        ("19AF, pitch 1.25", (), {"across_flats_mm": 19, "pitch_mm": 1.25}, []),
        ('nut 3/4" A/F 20 tpi', ("nut",), {"across_flats_mm": 19.05, "pitch_mm": 1.27}, []),
        ("nut 3/4 af, 20 threads per inch", ("nut",), {"across_flats_mm": 19.05, "pitch_mm": 1.27}, []),
        ("nut 12 x 1.25", ("nut",), {}, [12, 1.25]),
        ("nut m12 18 af 10 high", ("nut",), {"thread_mm": 12, "across_flats_mm": 18, "height_mm": 10}, []),
        ("shim 34 x 0.15", ("shim",), {}, [34, 0.15]),
        ("shim 34x.15 bore 12", ("shim",), {"bore_mm": 12}, [34, 0.15]),
        ("34 bore 12", (), {"bore_mm": 12}, [34]),
        ("12 bore 34", (), {"bore_mm": 12}, [34]),
        ("bore 12 thick 0.15", (), {"bore_mm": 12, "thickness_mm": 0.15}, []),
        ("12 bore 34 od 0.15 thick", (), {"bore_mm": 12, "od_mm": 34, "thickness_mm": 0.15}, []),
        ("thick 0.15", (), {"thickness_mm": 0.15}, []),
        ("shim 6 thou, 34", ("shim",), {}, [0.1524, 34]),
        ("height 10", (), {"height_mm": 10}, []),
        ("washer od 24 id 12 2.5 high", ("washer",), {"od_mm": 24, "id_mm": 12, "height_mm": 2.5}, []),
        ("base plate 28 x 12 x 4", ("base_plate",), {}, [28, 12, 4]),
        ("sleeve, 20 long", ("sleeve",), {"height_mm": 20}, []),
        ("piston 46 x 12 x 18", ("piston",), {}, [46, 12, 18]),
        ("piston ring 46 x 9.8 x 1.5", ("band",), {}, [46, 9.8, 1.5]),
        ("seal head for shaft 12, body 46", ("seal_head",), {"id_mm": 12, "od_mm": 46}, []),
        ("bush 12 14 10", ("bush",), {}, [12, 14, 10]),
        ("washer or shim 24 x 12", ("washer", "shim"), {}, [24, 12]),
        ("1/2 inch bore", (), {"bore_mm": 12.7}, []),
        ("ring 222 mm", ("oring",), {}, [222]),
    ],
)  # fmt: skip
def test_people_write_sizes_in_many_ways(
    text: str, kinds: tuple[str, ...], named: dict[str, float], loose: list[float]
) -> None:
    assert said(text) == (kinds, named, loose)


@pytest.mark.parametrize(
    ("text", "thread", "hand"),
    [
        ("M12x1.25", "M12x1.25", None),
        ("nut m12 x 1,25 LH", "M12x1.25", "left"),
        ("left-hand nut M12 1.25", "M12x1.25", "left"),
        ("M12x1.25-6H right hand", "M12x1.25", "right"),
        ("1/2-20", "1/2-20 UNF", None),
        ("nut 1/2 - 20 unf-2B", "1/2-20 UNF", None),
        ("7/16 UNF", "7/16-20 UNF", None),
    ],
)
def test_a_thread_is_read_as_it_is_designated(text: str, thread: str, hand: str | None) -> None:
    wanted = read(text)
    assert wanted.thread is not None
    assert (parse(wanted.thread.text).name, wanted.hand, wanted.loose) == (thread, hand, ())


@pytest.mark.parametrize("text", ["ring 222", "o-ring -222", "AS568-222", "AS 568A 222", "as568 -222"])
def test_a_size_of_as568_says_both_sizes_of_a_ring(text: str) -> None:
    assert (read(text).dash, read(text).loose) == ("222", ())


def test_three_bare_digits_may_be_a_ring_or_a_length() -> None:
    assert (read("222").dash, [one.mm for one in read("222").loose]) == ("222", [222])
    assert (read("shim 150").dash, [one.mm for one in read("shim 150").loose]) == ("", [150])


@pytest.mark.parametrize(
    ("text", "spreads"),
    [
        ("44 x 3.5", [0.05, 0.05]),
        ("about 44 x 3.5", [0.44, 0.2]),
        ("~10", [0.2]),
        ("about 0.15", [0.05]),
        ("44 x 3.5 ±0,1", [0.1, 0.1]),
        ("44 +-0.2 x 3.5 +/- 0.1", [0.2, 0.1]),
        ("37.5..37.9 x 3.5", [0.2, 0.05]),
        ("37.5 to 37.9", [0.2]),
        ("34 x 0.15 micrometer", [0.05, 0.01]),
        ("44 ruler", [0.5]),
        ("44 with the caliper", [0.05]),
    ],
)
def test_how_far_a_reading_may_be_off(text: str, spreads: list[float]) -> None:
    assert [one.spread("od_mm") for one in read(text).loose] == pytest.approx(spreads)


def test_a_pitch_is_read_by_leaf_gauge() -> None:
    assert read("nut pitch 1.25").said["pitch_mm"].spread("pitch_mm") == pytest.approx(0.0375)
    assert read("nut about pitch 1.25").said["pitch_mm"].spread("pitch_mm") == pytest.approx(0.0625)
    assert read("nut 20 tpi").said["pitch_mm"].spread("pitch_mm") == pytest.approx(0.0381)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "text_empty"),
        ("   ", "text_empty"),
        ("4" * 200, "text_too_long"),
        ("ring fourty", "text_not_understood"),
        ("44,3.5", "text_not_understood"),
        ("ring", "text_no_size"),
        ("bore", "text_no_size"),
        ("left hand nut", "text_no_size"),
        ("1 2 3 4 5 6 7", "text_too_many"),
        ("od 44 od 45", "text_said_twice"),
        ("M12x1.25 M12x1.5", "text_said_twice"),
        ("lh rh nut m12x1.25", "text_said_twice"),
        ("34 x bore", "text_name_without_number"),
        ("±0.1", "text_tolerance_alone"),
        ("±0.1 44", "text_tolerance_alone"),
        ("44-3.5", "text_range_or_two"),
        ("12-34", "text_range_or_two"),
        ("across flats 1.25", "text_size_impossible"),
        ("shim section 3.5", "text_size_impossible"),
        ("bore 34 od 12", "text_size_impossible"),
        ("od 0", "text_size_impossible"),
        ("AS568-222 section 3.5", "text_dash_alone"),
        ("AS568-999", "text_no_such_ring"),
        ("shim -222", "text_size_impossible"),
        ("3/0 af", "text_not_understood"),
    ],
)
def test_what_is_not_understood_is_refused_with_a_sentence(text: str, code: str) -> None:
    with pytest.raises(TextError) as refused:
        read(text)
    assert refused.value.code == code
    sentence = texts.TEXTS[code].format(**refused.value.data)
    assert "{" not in sentence and sentence.endswith(".")


def test_a_thread_that_is_none_is_refused_as_one() -> None:
    with pytest.raises(ThreadError):
        check_threads(read("M12x1.1"))


WORDS = ["ring", "nut", "shim", "bore", "od", "x", "±", "-", "44", "3,5", "0.15", "1/2", "M12", "about", "20 tpi", '"']


@given(st.one_of(st.text(max_size=140), st.lists(st.sampled_from(WORDS), max_size=12).map(" ".join)))
def test_no_text_breaks_the_reader(text: str) -> None:
    """It is refused with a code that has a sentence, or some kind of part can have it."""
    try:
        wanted = read(text)
        check_threads(wanted)
    except (TextError, ThreadError) as refused:
        data = {"part": "nut", **refused.data}
        code = refused.code
        wanted = None
    if wanted is None:
        assert texts.TEXTS[code].format(**data)
        return
    assert len(text) <= LONGEST
    assert any(ways_of(kind, wanted) for kind in wanted.kinds or KINDS)
    assert set(wanted.said) <= set(MEASURES)
    for kind in wanted.kinds or KINDS:
        for way in ways_of(kind, wanted):
            assert all(one.mm > 0 and one.error >= 0 for one in way.values())


@given(st.floats(4, 100), st.floats(0.6, 6))
def test_a_ring_is_looked_for_by_both_diameters(diameter: float, section: float) -> None:
    found = ways("oring", Wanted(("oring",), loose=(Number(diameter), Number(section))))
    if section < diameter / 2:
        assert {"od_mm", "id_mm"} <= {name for way in found for name in way}


def test_the_words_and_the_engine_know_the_same_tools_and_the_same_rings() -> None:
    assert (common.TOOLS, common.MICROMETER_MOST) == (engine.TOOLS, engine.MICROMETER_MOST)
    assert (common.BY_LABEL, common.LEAF_GAUGE, common.MEASURES) == (engine.BY_LABEL, LEAF_GAUGE, engine.MEASURES)
    assert {number for number in range(1000) if is_dash(number)} == set(known())


# --- judging


def ring(inner: float, section: float, dash: str = "none") -> Known:
    return Known(1, "oring", ring_sizes(inner, section, dash, (None, None)), dash=dash)


def nut(thread: str, width: float, height: float = 10, hand: str = "right") -> Known:
    sizes = {**thread_sizes(thread), "across_flats_mm": flats(width), "height_mm": exact(height)}
    return Known(2, "nut", sizes, thread, hand)


def shim(od: float, thickness: float, bore: float = 12) -> Known:
    return Known(3, "shim", {"od_mm": exact(od), "thickness_mm": exact(thickness), "id_mm": exact(bore)})


def match(text: str, part: Known) -> str:
    """`is`, what a near miss differs in, or nothing."""
    wanted = read(text)
    judged = judge(part, ways_of(part.kind, wanted), hand=wanted.hand)
    return "" if judged is None else judged.miss or "is"


@pytest.mark.parametrize(
    ("text", "part", "expected"),
    [
        ("ring 37.7 x 3.5", ring(37.69, 3.53, "222"), "is"),
        ("ring 37.7 x 3.5", ring(37.77, 2.62, "128"), "section"),
        ("ring 37.7 x 3.5", ring(37.47, 5.33, "325"), "section"),
        ("ring 37.7 x 3.5", ring(40.87, 3.53, "223"), ""),
        ("ring 37.7 ±0.02 x 3.5 ±0.02", ring(38.4, 3.5), "bore"),
        ("ring 37.7 x 2.65", ring(37.5, 3.0), "section"),
        ("ring 222", ring(37.69, 3.53, "222"), "is"),
        ("ring 222", ring(37.77, 2.62, "128"), "section"),
        ("ring about 44 x 3.5", ring(37.69, 3.53, "222"), "is"),
        ("ring about 44 x 3.5", ring(44.04, 3.53, "224"), "is"),
        ("nut 19 across flats, 1.25", nut("M12x1.25", 19), "is"),
        ("nut 19 across flats, 1.25", nut("M12x1.5", 19), "pitch"),
        ("nut 19 across flats, 1.25", nut("M12x1.75", 19), "pitch"),
        ("nut 19 across flats, 1.25", nut("M12x1.25", 18), "flats"),
        ("nut 19 across flats, 1.25", nut("1/2-20 UNF", 19.05), "is"),
        ("nut 18.75 across flats, 1.25", nut("M12x1.25", 19), "is"),
        ("nut bore 10.8, 1.25", nut("1/2-20 UNF", 19.05), "thread"),
        ("nut M12x1.25", nut("1/2-20 UNF", 19.05), "thread"),
        ("nut M12x1.25", nut("M12x1.5", 19), "pitch"),
        ("nut M12x1.25", nut("M14x1.5", 22), ""),
        ("nut M12x1.25 right hand", nut("M12x1.25", 19, hand="left"), "hand"),
        ("nut M12x1.25 left hand", nut("M12x1.25", 19, hand="left"), "is"),
        ("nut M12x1.25, 10 high", nut("M12x1.25", 19, height=9), "height"),
        ("shim 34 x 0.15 micrometer", shim(34, 0.15), "is"),
        ("shim 34 x 0.15 micrometer", shim(34, 0.20), "thickness"),
        ("shim 34 x 0.15", shim(34, 0.20), "is"),
        ("shim 34 x 0.15 bore 12 micrometer", shim(34, 0.15, 12.7), "bore"),
        ("shim 34 x 0.15 bore 12 micrometer", shim(33, 0.15), "diameter"),
        ("shim 34 x 0.15 bore 12 micrometer", shim(33, 0.20), ""),
        ("shim od 34", shim(33, 0.15), ""),
    ],
)  # fmt: skip
def test_what_is_it_and_what_is_nearly_it(text: str, part: Known, expected: str) -> None:
    assert match(text, part) == expected


def table(name: str) -> list[dict[str, str]]:
    """A table of bd-warehouse (PyPI, Apache-2.0), which is read and not imported."""
    text = (resources.files("bd_warehouse") / "data" / name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def test_every_ring_of_an_open_table_is_found_by_its_own_sizes_either_way() -> None:
    """349 sizes of bd-warehouse's ISO 3601-1: read at the ends of the tolerances, by inside and by outside."""
    for row in table("o-ring_parameters.csv"):
        inner, about = float(row["iso3601:id"]), float(row["iso3601:id_tol"])
        section, thick = float(row["iso3601:w"]), float(row["iso3601:w_tol"])
        part = ring(inner, section, f"{int(row['Size'].lstrip('-')):03}")
        for end in (-0.999, 0.0, 0.999):
            small, round_ = inner + end * about, section + end * thick
            inside = {"id_mm": Reading(small), "section_mm": Reading(round_)}
            outside = {"od_mm": Reading(small + 2 * round_), "section_mm": Reading(round_)}
            for way in (inside, outside):
                judged = judge(part, [way])
                assert judged is not None and not judged.miss, (row, end)
        assert part.dash in rings_of([{"id_mm": Reading(inner), "section_mm": Reading(section)}])


def test_no_ring_of_another_section_is_taken_for_the_one_that_was_read() -> None:
    rings = {row["Size"]: (float(row["iso3601:id"]), float(row["iso3601:w"])) for row in table("o-ring_parameters.csv")}
    wanted = [{"id_mm": Reading(37.69), "section_mm": Reading(3.53)}]
    for size, (inner, section) in rings.items():
        judged = judge(ring(inner, section, f"{int(size.lstrip('-')):03}"), wanted)
        if judged is not None and not judged.miss:
            assert section == 3.53, size


def test_every_thread_of_iso_261_and_b1_1_is_found_by_its_bore_and_pitch_and_no_other_pitch_is() -> None:
    for thread in known_threads():
        if (bore := bore_of(thread)) is None or bore.low < 2.5:
            continue
        way = {"id_mm": Reading(bore.nominal), "pitch_mm": Reading(thread.pitch_mm, LEAF_GAUGE * thread.pitch_mm)}
        for other in known_threads():
            part = nut(other.name, 19)
            judged = judge(part, [way])
            if other.name == thread.name:
                assert judged is not None and not judged.miss, thread.name
            elif judged is not None and not judged.miss:
                assert abs(other.pitch_mm - thread.pitch_mm) <= 0.0301 * thread.pitch_mm, (thread.name, other.name)


def test_the_bore_of_a_nut_is_that_of_the_standard() -> None:
    """ISO 965-1: the minor diameter of M12x1.25 is 10.647 mm at least, 10.912 at most in class 6H."""
    bore = bore_of(parse("M12x1.25"))
    assert bore is not None
    assert bore.low == pytest.approx(10.647, abs=0.001) and bore.high >= 10.912


def test_inch_nuts_stand_beside_metric_ones() -> None:
    assert "1/2-20 UNF" in {thread.name for thread, _ in alike("M12x1.25")}
    assert "M12x1.25" in {thread.name for thread, _ in alike("1/2-20 UNF")}
    assert all(other.form is not Form.METRIC or other.nominal_mm != 12 for other, _ in alike("M12x1.25"))


# --- which reading tells


def told(text: str, best: Known, other: Known) -> tuple[str, str, bool] | None:
    wanted = read(text)
    judged = judge(best, ways_of(best.kind, wanted))
    assert judged is not None
    found = telling(judged, other)
    return None if found is None else (found.measure, found.tool, found.again)


def test_which_reading_tells_two_parts_apart() -> None:
    m12, half = nut("M12x1.25", 19), nut("1/2-20 UNF", 19.05, 11)
    assert told("nut 19 across flats, 1.25", m12, half) == ("height_mm", "caliper", False)
    assert told("nut 19 across flats, 1.25, 10 high", m12, nut("1/2-20 UNF", 19.05)) == ("id_mm", "caliper", False)
    assert told("nut 19 af", m12, nut("M12x1.5", 19)) == ("pitch_mm", "pitch gauge", False)
    assert told("shim 34 x 0.15", shim(34, 0.15), shim(34, 0.2)) == ("thickness_mm", "micrometer", True)
    assert told("shim 34", shim(34, 0.15), shim(34, 0.3)) == ("thickness_mm", "caliper", False)
    assert told("ring 44 x 3.5 ±0.1", ring(44.04, 3.53, "224"), ring(44.0, 3.5)) is None


def test_of_readings_that_tell_equally_well_the_same_one_is_always_named() -> None:
    """Sizes in the order of a set change from one process to the next, and with them what somebody is told to do."""
    lengths = [name for name in engine.MEASURES if name not in ("pitch_mm", "thread_mm")]
    named = []
    for first, later in combinations(lengths, 2):
        one, other = (
            Known(key, "washer", dict.fromkeys((later, first), Range.exact(mm))) for key, mm in ((1, 12), (2, 14))
        )
        found = telling(Judged(one, {}, 0.0, 0.0), other)
        assert found is not None
        named.append(found.measure == first)
    assert all(named)
