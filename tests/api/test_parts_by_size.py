"""Parts by size over HTTP: what matches, what is nearly it, what a storefront does not see."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from compat.questions.parts_by_size.finding import by_text
from inventory.catalogue.models import Part
from inventory.catalogue.services import retire_part
from inventory.common import clock
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.stock.models import Condition
from tests import factories
from tests.api.conftest import Caller, Json, fields, problem, statements
from tests.api.fit import asked, codes

pytestmark = pytest.mark.django_db


def typed(program: Caller, text: str) -> Json:
    return asked(program, "parts-by-size", {"text": text})


def matches(answer: Json) -> dict[str, str]:
    """{part: `is` or what it misses}, in the order of the answer."""
    return {part["part"]: part["miss"] or part["match"] for part in answer["values"]["parts"]}


def nuts() -> None:
    factories.nut("M12x1.25", number="M125", across_flats_mm=19)
    factories.nut("M12x1.5", number="M15", across_flats_mm=19)
    factories.nut("1/2-20 UNF", number="HALF", across_flats_mm=19.05)
    factories.nut("M12x1.25", number="LEFT", across_flats_mm=19, hand="left")
    factories.nut("M16x1.5", number="FAR", across_flats_mm=24)


def test_a_nut_by_its_flats_and_pitch_is_not_told_from_the_inch_nut_until_its_bore_is_read(clerk: Caller) -> None:
    nuts()
    answer = typed(clerk, "nut 19 across flats, 1.25")
    assert answer["verdict"] == "cannot_tell"
    assert matches(answer) == {"M125": "is", "LEFT": "is", "HALF": "is", "M15": "pitch"}
    assert codes(answer, "measure") == {
        "size_hand_open",
        "size_measure",
        "size_one_reading",
        "size_threads_alike",
    }
    told = next(one for one in answer["findings"] if one["code"] == "size_measure")
    assert (told["data"]["what"], told["data"]["other"]) == ("bore", "HALF")
    assert "near_pitch" in codes(answer, "warn")
    bored = typed(clerk, "nut 19 across flats, 1.25, bore 10.8, 10 high, right hand")
    assert (bored["verdict"], matches(bored)) == (
        "fits",
        {"M125": "is", "HALF": "thread", "M15": "pitch", "LEFT": "hand"},
    )
    assert bored["summary"] == "It fits. Of this size: M125, and nothing else in the catalogue."
    assert {"near_pitch", "near_thread", "near_hand"} <= codes(bored, "warn")
    assert any("people get hurt" in caution for caution in bored["cautions"])


def test_a_nut_whose_pitch_nobody_read_is_not_told_although_it_is_the_only_one(clerk: Caller) -> None:
    factories.nut("M12x1.25", number="M125", across_flats_mm=19)
    answer = typed(clerk, "nut 19 across flats")
    assert (answer["verdict"], codes(answer, "measure")) == (
        "cannot_tell",
        {"size_pitch_unread", "size_one_reading", "size_hand_unsaid"},
    )
    answer = typed(clerk, "nut 19 across flats, 1.25, 10 high")
    assert codes(answer, "measure") == {"size_threads_alike", "size_hand_unsaid"}
    assert "1/2-20 UNF" in answer["summary"]
    assert typed(clerk, "nut M12x1.25 right hand")["verdict"] == "fits"


def test_a_size_that_is_not_on_file_leaves_the_answer_open(clerk: Caller) -> None:
    factories.nut("M12x1.25", number="BARE")
    answer = typed(clerk, "nut 19 across flats, 1.25, bore 10.8, 10 high")
    assert (answer["verdict"], codes(answer, "measure")) == ("cannot_tell", {"size_not_on_file", "size_hand_unsaid"})


def rings() -> None:
    factories.oring(37.69, 3.53, number="R222", size="222", compound="NBR")
    factories.oring(37.77, 2.62, number="R128", size="128")
    factories.oring(44.04, 3.53, number="R224", size="224")
    factories.oring(60.0, 3.5, number="R60")


def test_a_ring_is_looked_for_by_its_outer_and_its_inner_diameter(clerk: Caller) -> None:
    rings()
    answer = typed(clerk, "ring about 44 x 3.5")
    assert answer["verdict"] == "cannot_tell"
    read_as = {part["part"]: set(part["read_as"]) for part in answer["values"]["parts"]}
    assert read_as["R222"] == {"od_mm", "section_mm"} and read_as["R224"] == {"id_mm", "section_mm"}
    assert {"size_measure", "size_as568_also"} <= codes(answer, "measure") and "size_two_ways" in codes(answer, "note")


def test_a_ring_of_another_section_is_flagged(clerk: Caller) -> None:
    rings()
    answer = typed(clerk, "ring id 37.7, section 3.5")
    assert (answer["verdict"], matches(answer)) == ("fits", {"R222": "is", "R128": "section"})
    near = answer["values"]["parts"][1]
    assert near["why"] == ["section 2.62, read 3.50 mm"]
    assert "near_section" in codes(answer, "warn")


def test_metric_and_inch_rings_are_not_taken_for_each_other(clerk: Caller) -> None:
    rings()
    factories.oring(38, 3.5, number="M38", ring_id_tolerance_mm=0.1, section_tolerance_mm=0.05)
    answer = typed(clerk, "ring 222")
    assert (answer["verdict"], matches(answer)["M38"]) == ("fits", "standard")
    assert "near_standard" in codes(answer, "warn")
    # 38 x 3.5 is inside the tolerance of -222: no caliper decides.
    both = typed(clerk, "ring id 37.95, section 3.5")
    assert (both["verdict"], matches(both)["R222"], matches(both)["M38"]) == ("cannot_tell", "is", "is")
    assert "size_not_told" in codes(both, "measure")


def test_readings_of_an_as568_ring_that_nobody_has_are_said(clerk: Caller) -> None:
    factories.oring(38, 3.5, number="M38")
    answer = typed(clerk, "ring id 37.9, section 3.5")
    assert (answer["verdict"], codes(answer, "measure")) == ("cannot_tell", {"size_as568_also"})
    nothing = typed(clerk, "ring id 12.4, section 1.78")
    assert (nothing["verdict"], codes(nothing, "note")) == ("does_not_fit", {"size_as568_called"})


def test_a_caliper_does_not_tell_shims_and_a_micrometer_does(clerk: Caller) -> None:
    for thick in (0.10, 0.15, 0.20):
        factories.shim(34, thick, number=f"S{thick}")
    answer = typed(clerk, "shim 34 x 0.15")
    assert (answer["verdict"], next(iter(matches(answer)))) == ("cannot_tell", "S0.15")
    assert {one["data"].get("tool", "micrometer") for one in answer["findings"] if one["measure"]} == {"micrometer"}
    assert "size_read_closer" in codes(answer, "measure")
    fine = typed(clerk, "shim 34 x 0.15 bore 12 micrometer")
    assert (fine["verdict"], matches(fine)) == ("fits", {"S0.15": "is", "S0.1": "thickness", "S0.2": "thickness"})


def test_parts_of_one_size_are_one_size_and_what_no_caliper_reads_is_said(clerk: Caller) -> None:
    factories.oring(37.69, 3.53, number="A", size="222", compound="NBR")
    factories.oring(37.69, 3.53, number="B", size="222", compound="FKM")
    answer = typed(clerk, "ring 222")
    assert (answer["verdict"], answer["summary"]) == (
        "fits",
        "It fits. Of this size: A, B, and nothing else in the catalogue.",
    )
    same = next(one for one in answer["findings"] if one["code"] == "size_same_but")
    assert same["data"] == {"count": 2, "what": "compound"}


def test_nothing_of_the_size(clerk: Caller) -> None:
    rings()
    assert codes(typed(clerk, "ring 120 x 3.5"), "stop") == {"size_nothing"}
    near = typed(clerk, "ring id 37.7, section 3.0")
    assert (codes(near, "stop"), set(matches(near).values())) == ({"size_only_near"}, {"section"})
    assert typed(clerk, "seal head 12 x 46")["values"]["parts"] == []


@pytest.mark.parametrize(
    ("text", "make"),
    [
        ("washer 24 x 12 x 2.5", lambda: factories.washer(number="IT")),
        ("base plate 28 x 12 x 4", lambda: factories.washer(28, 12, 4, number="IT", role="base_plate")),
        ("sleeve 20 x 12, 30 long", lambda: factories.washer(20, 12, 30, number="IT", role="sleeve")),
        ("washer 20 x 12, 30 long", lambda: factories.washer(20, 12, 30, number="IT", role="sleeve")),
        ("piston 46 x 12 x 12", lambda: factories.piston(number="IT")),
        ("piston ring 46 x 9.8 x 1.5", lambda: factories.band(number="IT")),
        ("band id 43, 9.8 wide, 1.5 thick", lambda: factories.band(number="IT")),
        ("seal head shaft 12, body 46, 25 high", lambda: factories.seal_head(number="IT")),
        ("bush 12 x 14 x 10", lambda: factories.bush(number="IT")),
        ("bush id 12 thick 1, 10 long", lambda: factories.bush(number="IT")),
        ("46 x 12 x 12", lambda: factories.piston(number="IT")),
        ("bore 12, od 24, 2.5 high", lambda: factories.washer(number="IT")),
    ],
)
def test_every_kind_is_found_by_what_one_measures_of_it(clerk: Caller, text: str, make: Any) -> None:
    make()
    answer = typed(clerk, text)
    assert (answer["verdict"], matches(answer)) == ("fits", {"IT": "is"})


def test_a_role_that_is_named_leaves_the_others_out(clerk: Caller) -> None:
    factories.washer(number="W")
    assert matches(typed(clerk, "base plate 24 x 12 x 2.5")) == {}


def test_sizes_may_be_told_by_name(clerk: Caller) -> None:
    rings()
    nuts()
    answer = asked(clerk, "parts-by-size", {"kind": "oring", "sizes": {"od_mm": 44.7, "section_mm": 3.5}})
    assert (answer["verdict"], next(iter(matches(answer)))) == ("fits", "R222")
    bounds = {"od_mm": {"min": 42, "max": 53}, "section_mm": 3.5}
    wide = asked(clerk, "parts-by-size", {"kind": "oring", "sizes": bounds, "tolerance_mm": 0.1})
    assert {"R222", "R224"} <= set(matches(wide))
    inch = {"across_flats_mm": 19.05, "threads_per_inch": 20, "bore_mm": 11.4, "hand": "right"}
    assert matches(asked(clerk, "parts-by-size", {"sizes": inch}))["HALF"] == "is"
    assert matches(asked(clerk, "parts-by-size", {"sizes": {"size": "AS568-222"}}))["R222"] == "is"
    assert matches(asked(clerk, "parts-by-size", {"sizes": {"thread": "M12x1.5"}}))["M15"] == "is"
    read = answer["values"]["read"]
    assert read == [
        {
            "kind": "oring",
            "sizes": {
                "od_mm": {"min": 44.65, "max": 44.75, "nominal": 44.7},
                "section_mm": {"min": 3.45, "max": 3.55, "nominal": 3.5},
            },
        }
    ]


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({}, "text"),
        ({"text": 44}, "text"),
        ({"text": "a\x00b"}, "text"),
        ({"text": "x" * 400}, "text"),
        ({"text": "ring forty"}, "text"),
        ({"text": "M12x1.1"}, "text"),
        ({"text": "44 x 3.5", "kind": "oring"}, "text"),
        ({"kind": "oring"}, "text"),
        ({"kind": "fluid", "sizes": {"od_mm": 4}}, "kind"),
        ({"sizes": {}}, "sizes"),
        ({"sizes": {"hand": "left"}}, "sizes"),
        ({"sizes": {"od": 44}}, "sizes.od"),
        ({"sizes": {"od_mm": "44"}}, "sizes.od_mm"),
        ({"sizes": {"od_mm": 0}}, "sizes.od_mm"),
        ({"sizes": {"pitch_mm": 1.25, "threads_per_inch": 20}}, "sizes.threads_per_inch"),
        ({"sizes": {"size": "222", "od_mm": 44}}, "sizes.size"),
        ({"sizes": {"size": "999"}}, "sizes.size"),
        ({"sizes": {"thread": "M12x1.1"}}, "sizes.thread"),
        ({"kind": "shim", "sizes": {"section_mm": 3}}, "sizes"),
        ({"sizes": {"od_mm": 44}, "tolerance_mm": 0}, "tolerance_mm"),
    ],
)
def test_a_malformed_request_is_refused_at_its_field(clerk: Caller, body: Json, field: str) -> None:
    refused = problem(clerk.ask("/fit/parts-by-size", body), 400, "invalid")
    assert {name for name in fields(refused) if name.startswith(field)}, refused


def test_a_refused_text_has_a_code_of_its_own_and_says_how_to_write_it(clerk: Caller) -> None:
    (error,) = problem(clerk.ask("/fit/parts-by-size", {"text": "ring forty"}), 400, "invalid")["errors"]
    assert error["code"] == "text_not_understood" and "'forty'" in error["message"] and "44 x 3.5" in error["message"]


def test_where_it_lies_and_how_many_are_free(clerk: Caller, storefront: Caller) -> None:
    part = factories.shim(34, 0.15, number="S")
    factories.stocked(part, 40, drawer="D-01")
    factories.stocked(part, 5, drawer="D-02")
    factories.stocked(part, 3, drawer="T-09", condition=Condition.TAKE_OFF)
    body = {"text": "shim 34 x 0.15"}
    (mine,) = asked(clerk, "parts-by-size", body)["values"]["parts"]
    assert mine["drawers"] == ["D-01", "D-02", "T-09"]
    assert (mine["on_hand"], mine["available"], mine["take_offs"]["available"]) == (45, 45, 3)
    (shown,) = asked(storefront, "parts-by-size", body)["values"]["parts"]
    assert shown == {name: value for name, value in mine.items() if name != "drawers"}
    reply = storefront.ask("/fit/parts-by-size", body).content.decode()
    assert not any(word in reply for word in ("D-01", "T-09", "drawers", "LOT"))


def test_a_retired_part_may_still_be_the_one_in_the_hand(clerk: Caller) -> None:
    part = factories.shim(34, 0.15, number="OLD")
    factories.stocked(part, 4)
    use_case(lambda: retire_part(part=part))
    (old,) = typed(clerk, "shim 34 x 0.15")["values"]["parts"]
    assert (old["retired"], old["available"], old["on_hand"]) == (True, 0, 4)


def test_fifty_parts_are_the_most_and_the_nearest_come_first(clerk: Caller) -> None:
    for number in range(70):
        factories.shim(34, round(0.1 + number / 1000, 3), number=f"S{number:02}")
    answer = typed(clerk, "shim od 34")
    assert len(answer["values"]["parts"]) == 50 and "size_cut" in codes(answer, "note")
    ranked = typed(clerk, "shim 34 x 0.13")
    assert next(iter(matches(ranked))) == "S30"
    offs = [part["off"] for part in ranked["values"]["parts"] if part["match"] == "is"]
    assert offs == sorted(offs)


def test_the_number_of_statements_does_not_grow_with_the_parts(clerk: Caller) -> None:
    counts: list[int] = []
    for _ in range(2):
        nuts_and_rings = len(counts)
        factories.shim(34, 0.15, number=f"S{nuts_and_rings}")
        factories.nut("M12x1.25", number=f"N{nuts_and_rings}")
        factories.oring(number=f"R{nuts_and_rings}")
        for extra in range(10 * nuts_and_rings):
            factories.shim(34, 0.15, number=f"X{extra}")
        with statements() as sent:
            by_text("34 x 0.15")
        counts.append(len(sent))
        with statements() as sent:
            by_text("12 x 10")
        assert len(sent) <= 21
    assert counts[0] == counts[1]


@given(st.text(max_size=60))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_no_text_breaks_the_search(db: None, text: str) -> None:
    if not Part.objects.exists():
        rings()
        nuts()
    try:
        found = by_text(text)
    except DomainError as refused:
        named = [one.field for one in refused.errors]
    else:
        named = ["text"] if found.findings else []
    assert named == ["text"]


# What a sceptic found: nothing of it may come back.


def sized(program: Caller, **sizes: Any) -> Json:
    return asked(program, "parts-by-size", {"kind": "nut", "sizes": sizes})


def test_the_hand_of_a_named_thread_counts_and_one_that_is_not_told_is_asked_for(clerk: Caller) -> None:
    factories.nut("M12x1.25", number="M125", across_flats_mm=19)
    assert sized(clerk, thread="M12x1.25 LH")["verdict"] == "does_not_fit"
    assert "size_hand_unsaid" in codes(sized(clerk, thread="M12x1.25"), "measure")
    assert sized(clerk, thread="M12x1.25", hand="right")["verdict"] == "fits"
    body = {"kind": "nut", "sizes": {"thread": "M12x1.25 LH", "hand": "right"}}
    assert fields(problem(clerk.ask("/fit/parts-by-size", body), 400, "invalid")) == {"sizes.hand"}
    several = {"kind": "nut", "sizes": {"thread": "M16xPh3P1.5"}}
    assert fields(problem(clerk.ask("/fit/parts-by-size", several), 400, "invalid")) == {"sizes.thread"}
    assert sized(clerk, thread="M12", hand="right")["verdict"] != "fits"


def test_one_reading_or_a_rough_one_names_no_part(clerk: Caller) -> None:
    factories.oring(37.69, 3.53, number="R222", size="222")
    factories.shim(34, 0.15, number="S15")
    for text in ("ring section 3.5", "ring od 44.8", "shim 34"):
        assert "size_one_reading" in codes(typed(clerk, text), "measure"), text
    for text in ("shim 34 x 0.2", "shim 34 x 0.1"):
        assert typed(clerk, text)["verdict"] != "fits", text
    assert typed(clerk, "ring id 37.7, section 3.5")["verdict"] == "fits"


def test_nuts_of_every_other_pitch_stay_flagged_once_the_bore_is_read(clerk: Caller) -> None:
    for pitch in ("1", "1.25", "1.5", "1.75"):
        factories.nut(f"M12x{pitch}", number=f"M{pitch}", across_flats_mm=19)
    for bore in ("10.8", "10.9"):
        found = matches(typed(clerk, f"nut 19 af, 1.25, bore {bore}, right hand"))
        assert found == {"M1.25": "is", "M1": "pitch", "M1.5": "pitch", "M1.75": "pitch"}, bore


def test_a_bore_that_may_be_another_threads_leaves_the_answer_open(clerk: Caller) -> None:
    """A leaf gauge takes 20 per inch for 1.25 mm; the bore of 1/2-20 begins at 11.33 mm (ASME B1.1)."""
    factories.nut("M12x1.25", number="M125", across_flats_mm=19)
    for bore in ("11.2 ruler", "11.2 ±0.25"):
        answer = typed(clerk, f"nut 19 af, 1.25, right hand, bore {bore}")
        assert answer["verdict"] != "fits", bore


def test_mixed_fractions_are_read_whole(clerk: Caller) -> None:
    factories.washer(number="W", inner_mm=12, outer_mm=69.85, height_mm=3)
    for text in ("washer 1¼ od", '2 1/2" od washer'):
        assert matches(typed(clerk, text)) == {}, text


@pytest.mark.parametrize("text", ["sleeve or bush 12", "base plate or nut 19", "ring 1.5 in dial", "in diamond 5"])
def test_words_that_broke_the_server_are_answered_or_refused(clerk: Caller, text: str) -> None:
    assert clerk.ask("/fit/parts-by-size", {"text": text}).status_code in (200, 400)


def test_a_retired_part_is_said_to_be_retired(clerk: Caller) -> None:
    part = factories.oring(37.69, 3.53, number="R222", size="222")
    Part.objects.filter(pk=part.pk).update(retired_at=clock.now())
    assert "size_retired" in codes(typed(clerk, "ring 222"), "warn")
