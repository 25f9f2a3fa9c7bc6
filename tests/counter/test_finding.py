"""The search: sizes as people type them, numbers and scans, what is near, and texts that mean nothing."""

from __future__ import annotations

import re
from functools import partial

import pytest
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.catalogue.models import Part
from inventory.catalogue.services import retire_part
from inventory.common.transactions import use_case
from inventory.counter.browsing import typed_sizes
from inventory.dampers.models import DamperModel
from inventory.holds.requests import Wanted
from inventory.jobs.services import hold_for, open_job
from inventory.receiving.models import Delivery
from inventory.receiving.services import start_delivery
from inventory.stock.models import Condition
from tests import factories, people
from tests.visiting import signed_in, text_of


@pytest.fixture
def desk(client: Browser, db: None) -> Browser:
    return signed_in(client, people.tuner())


def find(client: Browser, text: str) -> str:
    """What the page says for a text that leads to no single page."""
    found = client.get("/find", {"q": text})
    assert found.status_code == 200, text
    return text_of(found).partition("Found for")[2]


def went_to(client: Browser, text: str) -> str:
    found = client.get("/find", {"q": text})
    assert found.status_code == 302, text
    return str(found["Location"])


def delivery(number: str, note: str = "") -> Delivery:
    return use_case(
        lambda: start_delivery(number=number, supplier="", note=note, received_on=None, actor=people.clerk())
    )


# --- reading a size, without a database


@pytest.mark.parametrize(
    "text",
    ["34x0.15", "34 x 0.15", "34 x 0,15", "34 0.15", "34X.15", "34×0.150", "34*0.15", "Ø34 x 0.15 mm", "34mm x 0.15mm"],
)
def test_one_size_is_typed_in_many_ways(text: str) -> None:
    found = typed_sizes.read(text)
    assert found is not None
    assert found.shim == (34_000, 150)


@pytest.mark.parametrize("text", ["34x0.15x12", "34 0.15 12", "34 x 0,15 x 12", "34x.15 12mm"])
def test_a_third_length_is_the_bore(text: str) -> None:
    found = typed_sizes.read(text)
    assert found is not None
    assert found.shim == (34_000, 150, 12_000)


def test_a_number_alone_is_a_diameter() -> None:
    found = typed_sizes.read("34")
    assert found is not None and found.is_diameter and not found.names_one


@pytest.mark.parametrize("text", ["M12x1.25", "m12 x 1,25", "M12 1.25", "M12.0x1.250", "m 12×1.25"])
def test_a_thread_is_written_in_one_way(text: str) -> None:
    found = typed_sizes.read(text)
    assert found is not None and found.read_as == ["nut, thread M12x1.25"]


def test_two_lengths_may_be_a_thread_without_its_letter() -> None:
    found = typed_sizes.read("12x1.25")
    assert found is not None and found.shim == (12_000, 1_250)
    assert "nut, thread diameter 12 mm, pitch 1.25 mm" in found.read_as


@pytest.mark.parametrize(
    "text", ["", "x", "0x0.15", "999999", "A-01", "34x-1", "\N{ARABIC-INDIC DIGIT ONE}x1", "34 x bore", "SH-34-015"]
)
def test_what_is_no_size_is_none(text: str) -> None:
    assert typed_sizes.read(text) is None


def test_no_part_has_a_size_with_more_than_three_decimals() -> None:
    found = typed_sizes.read("34x0.1555")
    assert found is not None and found.shim == ()


# --- sizes on the page


def test_a_size_shows_every_bore_with_what_is_available_and_where(desk: Browser) -> None:
    twelve, fourteen = factories.shim(34, 0.15, 12, number="S-12"), factories.shim(34, 0.15, 14, number="S-14")
    factories.stocked(twelve, 40, drawer="A-01", lot="L-1")
    factories.stocked(twelve, 3, drawer="A-07", condition=Condition.TAKE_OFF)
    factories.stocked(fourteen, 5, drawer="B-01")
    factories.held(Wanted(quantity=4, lot="L-1"))
    said = find(desk, "34 x 0,15")
    assert "34 x 0.15 mm, bore 12 mm S-12 36 A-01 A-07 3" in said
    assert "34 x 0.15 mm, bore 14 mm S-14 5 B-01 0" in said
    assert "Nearest" not in said


def test_the_bore_narrows_the_size(desk: Browser) -> None:
    factories.stocked(factories.shim(34, 0.15, 12, number="S-12"), 1)
    factories.stocked(factories.shim(34, 0.15, 14, number="S-14"), 1)
    said = find(desk, "34x0.15x14")
    assert "S-14" in said
    assert "S-12" not in said


def test_the_nearest_on_the_shelf_stand_in_the_list_when_no_part_has_the_size(desk: Browser) -> None:
    for thickness, number in ((0.1, "S-10"), (0.2, "S-20"), (0.4, "S-40")):
        factories.stocked(factories.shim(34, thickness, number=number), 5)
    factories.stocked(factories.shim(35, 0.15, number="S-35"), 5)
    factories.shim(34, 0.16, number="S-EMPTY")
    factories.stocked(factories.shim(34, 0.15, 14, number="S-OTHER-BORE"), 5)
    said = find(desk, "34x0.15x12")
    assert "no part has exactly this size" in said
    places = [said.index(f" {number} ") for number in ("S-10", "S-40")]
    assert places == sorted(places)
    assert said.index(" S-35 ") < said.index(" S-40 ")
    assert "S-EMPTY" not in said
    assert "S-OTHER-BORE" not in said


def test_the_nearest_are_shown_too_when_of_the_size_nothing_is_available(desk: Browser) -> None:
    factories.shim(34, 0.15, number="S-15")
    factories.stocked(factories.shim(34, 0.2, number="S-20"), 5)
    said = find(desk, "34x0.15")
    assert said.index("S-15") < said.index("of the size itself nothing is available") < said.index("S-20")


def test_a_retired_shim_is_never_near(desk: Browser) -> None:
    part = factories.shim(34, 0.2, number="S-20")
    factories.stocked(part, 5)
    use_case(lambda: retire_part(part=part))
    assert "S-20" not in find(desk, "34x0.15")


@pytest.mark.parametrize(
    ("text", "number"),
    [("M12x1.25", "NU-1"), ("m12 1,25", "NU-1"), ("12x1.25", "NU-1"), ("24x12x2.5", "WA-1"), ("46x12", "PI-1")],
)
def test_other_kinds_are_found_by_their_sizes(desk: Browser, text: str, number: str) -> None:
    factories.stocked(factories.nut("M12x1.25", number="NU-1"), 3)
    factories.stocked(factories.nut("M12x1.5", number="NU-2"), 3)
    factories.stocked(factories.washer(24, 12, 2.5, number="WA-1"), 3)
    factories.stocked(factories.piston(46, 12, 12, number="PI-1"), 3)
    said = find(desk, text)
    assert number in said
    assert "NU-2" not in said


def test_a_nut_in_inches_is_found_by_its_thread(desk: Browser) -> None:
    factories.stocked(factories.nut("1/2-20 UNF", number="NU-1"), 3)
    assert "NU-1" in find(desk, "1/2-20")


# --- numbers, codes and scans


def test_an_exact_number_goes_straight_to_its_page_in_any_case(desk: Browser) -> None:
    part = factories.shim(number="Sh-34-A")
    factories.stocked(part, 5, lot="Lot-77", drawer="C-09")
    came = delivery("De-014")
    for text, address in (
        ("SH-34-a", reverse("part", args=["Sh-34-A"])),
        ("lot-77", reverse("lot", args=["Lot-77"])),
        ("c-09", reverse("drawer", args=["C-09"])),
        ("DE-014", reverse("delivery", args=[came.pk])),
        ("  lot-77\r\n", reverse("lot", args=["Lot-77"])),
    ):
        assert went_to(desk, text) == address


def test_a_number_that_only_begins_another_one_goes_straight_too(desk: Browser) -> None:
    for number in ("S-1", "S-10", "S-100"):
        factories.shim(number=number)
    assert went_to(desk, "s-1") == "/parts/S-1"


def test_an_exact_match_is_found_among_very_many_that_contain_it(desk: Browser) -> None:
    for index in range(60):
        factories.shim(number=f"A-9-{index:02d}")
    factories.shim(number="Z-A-9")
    factories.shim(number="A-9")
    assert went_to(desk, "a-9") == "/parts/A-9"


def test_one_code_of_two_things_shows_both(desk: Browser) -> None:
    factories.stocked(factories.shim(number="S-1"), 5, lot="A-01", drawer="A-01")
    said = find(desk, "a-01")
    assert "Drawers A-01" in said
    assert "Lots A-01" in said


def test_a_job_goes_to_what_is_held_for_it_or_is_listed(desk: Browser) -> None:
    factories.stocked(factories.shim(), 5, lot="L-1")
    for number in ("J-1", "J-2"):
        use_case(partial(open_job, number=number, title="Rear, long trail"))
    lines = [Wanted(quantity=1, lot="L-1")]
    held = use_case(lambda: hold_for(lines=lines, job="J-1", minutes=None, actor=people.tuner())).hold
    assert went_to(desk, "j-1") == f"/holds/{held.pk}"
    assert "J-2 Rear, long trail" in find(desk, "J-2")
    assert f"J-1 Rear, long trail hold {held.pk}" in find(desk, "long trail")


def test_a_piece_of_a_number_or_words_of_a_name_give_a_list(desk: Browser) -> None:
    factories.stocked(factories.shim(number="SH-34-150"), 5, lot="L-1", drawer="B-07")
    delivery("D-1", note="the late one")
    assert "SH-34-150 5 B-07 0" in find(desk, "34-15")
    assert "SH-34-150" in find(desk, "150 shim")
    assert "Drawers B-07" in find(desk, "b-0")
    assert "D-1" in find(desk, "late")


def test_a_list_that_is_cut_says_so(desk: Browser) -> None:
    for index in range(25):
        factories.shim(number=f"QQ-{index}")
    said = find(desk, "qq")
    assert len(set(re.findall(r"QQ-\d+", said))) == 20
    assert "There are more" in said


@pytest.mark.parametrize("wild", ["%", "_", "S%1", "S_1", "\\", "%%%"])
def test_signs_with_a_meaning_to_the_database_mean_themselves(desk: Browser, wild: str) -> None:
    factories.stocked(factories.shim(number="S-1"), 5, lot="L-1")
    assert "Nothing is called so" in find(desk, wild)


def test_a_number_with_such_a_sign_is_found_by_it(desk: Browser) -> None:
    factories.shim(number="S_1")
    factories.shim(number="S-1")
    assert went_to(desk, "s_1") == "/parts/S_1"


@pytest.mark.parametrize(
    "odd",
    ["'; drop table", "<script>alert(1)</script>", "🔩", "\u202e34", "-", "..", "x" * 5000, "1e309", "٣٤"],
)
def test_odd_input_says_what_can_be_typed_and_breaks_nothing(desk: Browser, odd: str) -> None:
    page = desk.get("/find", {"q": odd})
    assert page.status_code == 200
    assert "What can be typed or scanned" in text_of(page) or "Of this size" in text_of(page)
    assert "<script>alert" not in page.content.decode()


@pytest.mark.parametrize("typed", ["d1003", "D1003", "d 10 03", "D-10-03", "d-1003"])
def test_hyphens_and_case_of_a_drawer_may_be_left_out(desk: Browser, typed: str) -> None:
    factories.drawer("D-10-03")
    factories.drawer("D-10-04")
    assert went_to(desk, typed) == "/drawers/D-10-03"


def test_hyphens_of_numbers_may_be_left_out(desk: Browser) -> None:
    factories.stocked(factories.shim(number="SH-12-34-150"), 5, lot="D300304-2")
    assert went_to(desk, "sh1234150") == "/parts/SH-12-34-150"
    assert went_to(desk, "d3003042") == "/lots/D300304-2"
    assert "SH-12-34-150" in find(desk, "1234")


def test_a_number_that_two_share_without_their_hyphens_is_a_list(desk: Browser) -> None:
    factories.drawer("D-10-03")
    factories.drawer("D-1003")
    assert went_to(desk, "D-1003") == "/drawers/D-1003"
    said = find(desk, "d1003")
    assert "D-10-03" in said and "D-1003" in said


def test_two_signs_are_not_looked_for_across_hyphens(desk: Browser) -> None:
    factories.drawer("D-10-03")
    assert "Nothing is called so" in find(desk, "d1")


def model(code: str, name: str) -> DamperModel:
    return DamperModel.objects.create(code=code, name=name)


def test_a_damper_model_is_found_by_its_code_and_by_words_of_its_name(desk: Browser) -> None:
    model("RL-46", "Rear, long shaft")
    model("FO-30", "Fork, short")
    assert went_to(desk, "rl46") == "/dampers/RL-46"
    page = desk.get("/find", {"q": "shaft rear"})
    assert "Damper models RL-46 Rear, long shaft" in text_of(page)
    assert 'href="/dampers/RL-46"' in page.content.decode()
    assert "FO-30" not in text_of(page)


def test_words_of_a_part_s_name_find_it_in_any_order(desk: Browser) -> None:
    part = factories.part("washer", "WA-77", {"outer_mm": 24, "inner_mm": 12, "height_mm": 2.5})
    Part.objects.filter(pk=part.pk).update(name="Base plate, rebound side")
    assert "WA-77" in find(desk, "rebound plate")
    assert "Nothing is called so" in find(desk, "rebound nut")


def test_a_long_text_is_cut_and_the_page_says_so(desk: Browser) -> None:
    assert "only its first 100 signs were looked for" in find(desk, "x" * 101)


def test_an_empty_search_says_what_can_be_typed(desk: Browser) -> None:
    for address in ("/find", "/find?q=", "/find?q=+++"):
        assert "What can be typed or scanned" in text_of(desk.get(address))


def test_what_was_typed_stays_in_the_search_field(desk: Browser) -> None:
    assert 'value="34x0.15 &quot;"' in desk.get("/find", {"q": '34x0.15 "'}).content.decode()


def test_the_search_asks_no_more_queries_on_a_fuller_shelf(desk: Browser) -> None:
    def asked(text: str) -> int:
        with CaptureQueriesContext(connection) as queries:
            desk.get("/find", {"q": text})
        return len(queries)

    def fill(times: int) -> None:
        for _ in range(times):
            factories.stocked(factories.shim(34, 0.15), 5)
            factories.stocked(factories.shim(34, 0.2), 5)
            factories.stocked(factories.nut("M34x0.15"), 5)
            use_case(lambda: open_job(number=f"J-34x0.15-{Delivery.objects.count()}", title="x"))
            delivery(f"D-34x0.15-{Delivery.objects.count()}")

    fill(1)
    before = asked("34x0.15"), asked("34")
    fill(8)
    after = asked("34x0.15"), asked("34")
    assert after == before
    assert max(after) <= 22
