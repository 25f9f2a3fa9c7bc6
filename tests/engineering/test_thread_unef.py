"""The extra fine unified series, and ISO 261 pitches that few tables hold. Sources as named beside each check."""

from __future__ import annotations

import pytest
from screw_thread_lib.data import ASME_UN_2A2B_dict

from compat.engineering.threads import tables
from compat.engineering.threads.designation import ThreadError, known_threads, parse, pitches_of
from compat.engineering.threads.limits import external_limits, internal_limits, widest_external, widest_internal
from compat.engineering.units import MM_PER_INCH

# Inches. Basic pitch and minor diameter: Machinery's Handbook, 31st edition, table 4c (UNEF, basic dimensions).
BASIC = {
    "1/4-32": (0.2297, 0.2162), "5/16-32": (0.2922, 0.2787), "3/8-32": (0.3547, 0.3412), "7/16-28": (0.4143, 0.3988),
    "1/2-28": (0.4768, 0.4613), "9/16-24": (0.5354, 0.5174), "5/8-24": (0.5979, 0.5799), "3/4-20": (0.7175, 0.6959),
    "7/8-20": (0.8425, 0.8209), "1-20": (0.9675, 0.9459),
}  # fmt: skip
# d2 of 2A, most and least: pitch diameter charts of two makers of thread gauges (Osborn, Westport) after ASME B1.1, as
# transcribed and compared row by row in an open collection of thread data.
PITCH_2A = {
    "1/4-32": (0.2287, 0.2255), "5/16-32": (0.2912, 0.2880), "3/8-32": (0.3537, 0.3503), "7/16-28": (0.4132, 0.4096),
    "1/2-28": (0.4757, 0.4720), "9/16-24": (0.5342, 0.5303), "5/8-24": (0.5967, 0.5927), "3/4-20": (0.7162, 0.7118),
    "7/8-20": (0.8412, 0.8368), "1-20": (0.9661, 0.9616),
}  # fmt: skip
# D2 of 2B, most: the chart of a third maker of gauges (Willrich), as far as transcribed.
PITCH_2B = {"1/4-32": 0.2339, "5/16-32": 0.2964, "1/2-28": 0.4816, "7/8-20": 0.8482, "1-20": 0.9734}
# d of 2A and D1 of 2B, most and least, and D2 of 2B, most: from memory of the table of limits of ASME B1.1.
FROM_MEMORY = {
    "1/4-32": (0.2490, 0.2430, 0.224, 0.216, 0.2339), "5/16-32": (0.3115, 0.3055, 0.286, 0.279, 0.2964),
    "3/8-32": (0.3740, 0.3680, 0.349, 0.341, 0.3591), "7/16-28": (0.4364, 0.4299, 0.407, 0.399, 0.4189),
    "1/2-28": (0.4989, 0.4924, 0.470, 0.461, 0.4816), "9/16-24": (0.5613, 0.5541, 0.527, 0.517, 0.5405),
    "5/8-24": (0.6238, 0.6166, 0.590, 0.580, 0.6031), "3/4-20": (0.7487, 0.7406, 0.707, 0.696, 0.7232),
    "7/8-20": (0.8737, 0.8656, 0.832, 0.821, 0.8482), "1-20": (0.9986, 0.9905, 0.957, 0.946, 0.9734),
}  # fmt: skip
LAST_DIGIT = 0.0001 * MM_PER_INCH + 0.001  # one unit of the tables' last digit, and ours of a micrometre


@pytest.mark.parametrize(
    "written", ["1/2-28 UNEF", "1/2 UNEF", "1/2-28", ".5-28 UNEF", "½-28 unef", "1/2-28 UNEF-2A LH"]
)
def test_every_way_of_writing_an_extra_fine_thread_is_one_thread(written: str) -> None:
    thread = parse(written)
    assert (thread.name, thread.series, thread.threads_per_inch) == ("1/2-28 UNEF", "UNEF", 28)


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("1/2-28 UNF", "series_contradicts_pitch"),
        ("1/2-20 UNEF", "series_contradicts_pitch"),
        ("1/2-32 UNEF", "pitch_not_standard"),
        ("1/4-28 UNEF", "series_contradicts_pitch"),
    ],
)
def test_a_series_that_the_pitch_contradicts_is_refused(written: str, code: str) -> None:
    with pytest.raises(ThreadError) as refused:
        parse(written)
    assert refused.value.code == code


def test_a_metric_thread_has_no_series() -> None:
    assert (parse("M12x1.25").series, parse("1/2-20").series, parse("1/2-13").series) == ("", "UNF", "UNC")


@pytest.mark.parametrize("size", BASIC)
def test_extra_fine_threads_have_the_published_basic_sizes(size: str) -> None:
    nut = internal_limits(parse(size), "2B")
    assert nut.pitch.low == pytest.approx(BASIC[size][0] * MM_PER_INCH, abs=0.00005 * MM_PER_INCH + 0.001)
    assert nut.minor.low == pytest.approx(BASIC[size][1] * MM_PER_INCH, abs=0.0005 * MM_PER_INCH + 0.001)


@pytest.mark.parametrize("size", PITCH_2A)
def test_extra_fine_pitch_diameters_agree_with_charts_of_gauge_makers(size: str) -> None:
    shaft = external_limits(parse(size), "2A").pitch
    assert (shaft.high, shaft.low) == pytest.approx([inch * MM_PER_INCH for inch in PITCH_2A[size]], abs=LAST_DIGIT)
    if size in PITCH_2B:
        nut = internal_limits(parse(size), "2B").pitch
        assert nut.high == pytest.approx(PITCH_2B[size] * MM_PER_INCH, abs=LAST_DIGIT)


@pytest.mark.parametrize("size", FROM_MEMORY)
def test_extra_fine_crests_agree_with_the_standards_table_as_remembered(size: str) -> None:
    """Within one unit of the last digit; D1 is tabulated to 0.001 inch and agrees to it."""
    shaft, nut = external_limits(parse(size), "2A"), internal_limits(parse(size), "2B")
    theirs = [inch * MM_PER_INCH for inch in FROM_MEMORY[size]]
    assert (shaft.major.high, shaft.major.low) == pytest.approx(theirs[:2], abs=LAST_DIGIT)
    assert (nut.minor.high, nut.minor.low) == pytest.approx(theirs[2:4], abs=0.0006)
    assert nut.pitch.high == pytest.approx(theirs[4], abs=LAST_DIGIT)


def test_the_worked_example_of_half_inch_28() -> None:
    """Machinery's Handbook, 31st edition, tables 3 and 4 of thread calculations: 1/2-28 UNEF, 2A and 2B."""
    shaft, nut = external_limits(parse("1/2-28"), "2A"), internal_limits(parse("1/2-28"), "2B")
    ours = (shaft.major.high, shaft.major.low, shaft.pitch.high, shaft.pitch.low, nut.minor.low)
    theirs = [inch * MM_PER_INCH for inch in (0.4989, 0.4924, 0.4757, 0.4720, 0.461)]
    assert ours == pytest.approx(theirs, abs=0.0006)


def test_nine_pitches_of_engagement_are_what_the_extra_fine_series_has() -> None:
    """ASME B1.1: 0.0015 (D^1/3 + LE^1/2) + 0.015 P^2/3. With LE = D, 1-20 would reach 0.9612 and miss the charts."""
    shaft = external_limits(parse("1-20"), "2A").pitch
    by_diameter = 0.0015 + 0.0015 + 0.015 * 0.05 ** (2 / 3)
    assert (shaft.high - shaft.low) / MM_PER_INCH < by_diameter - 0.0003


def test_the_library_of_limits_knows_no_extra_fine_thread() -> None:
    """screw-thread-lib tabulates UNC, UNF and 1-14 UNS: if it learns UNEF, it becomes the first source here."""
    ours = {(size, count) for size, (_, series) in tables.UNIFIED.items() for count in [series["UNEF"]]}
    theirs = {(size.partition("-")[0], row["n"]) for size, row in ASME_UN_2A2B_dict.items()}
    assert not ours & theirs


def test_tolerances_shrink_from_coarse_to_extra_fine() -> None:
    for size, (_, series) in tables.UNIFIED.items():
        threads = [parse(f"{size}-{count} {name}") for name, count in series.items()]
        for read in (external_limits, internal_limits):
            spans = [read(thread, "2A" if read is external_limits else "2B").pitch for thread in threads]
            widths = [span.high - span.low for span in spans]
            assert widths == sorted(widths, reverse=True), size
            assert [span.high for span in spans] == sorted(span.high for span in spans), size


# ISO 261 from memory. Open lists of threads agree: an OpenSCAD library names each of these (and pitches beyond the
# standard), the hole tool of FreeCAD each but M26 (and M35x2 besides).
LISTED = {
    3: (0.5, 0.35), 3.5: (0.6, 0.35), 4.5: (0.75, 0.5), 5.5: (0.5,), 25: (2, 1.5, 1), 26: (1.5,), 28: (2, 1.5, 1),
    30: (3.5, 3, 2, 1.5, 1), 32: (2, 1.5), 33: (3.5, 3, 2, 1.5), 35: (1.5,), 36: (4, 3, 2, 1.5),
}  # fmt: skip


@pytest.mark.parametrize("nominal", LISTED)
def test_the_pitches_of_a_diameter_are_those_of_iso_261(nominal: float) -> None:
    assert pitches_of(nominal) == LISTED[nominal]


def test_the_finest_pitch_has_only_the_grades_that_the_standard_gives_it() -> None:
    """ISO 965-1: no grade 7 nut, no grade 8 bolt and no position e at a pitch of 0.35 mm."""
    fine = parse("M3x0.35")
    assert (widest_external(fine), widest_internal(fine)) == ("6g", "6H")
    for read, written in ((internal_limits, "7H"), (external_limits, "8g"), (external_limits, "6e")):
        with pytest.raises(ThreadError) as refused:
            read(fine, written)
        assert refused.value.code == "class_outside_tables"
    nut = internal_limits(fine, "6H")
    # Basic sizes of M3x0.35 in an open data sheet: pitch diameter 2.773, minor diameter of the nut 2.621 mm.
    assert (nut.pitch.low, nut.minor.low) == (2.773, 2.621)


def test_a_thread_of_every_diameter_and_series_is_known() -> None:
    names = {thread.name for thread in known_threads()}
    assert {"M3x0.35", "M4.5x0.5", "M26x1.5", "M33x3", "M35x1.5", "1/4-32 UNEF", "1-20 UNEF"} <= names
    assert len(names) == len(known_threads()) == 116
