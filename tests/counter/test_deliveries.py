"""Taking lines in: what is scanned and typed, what the shelf knows of it, and every refusal with the typing kept."""

from __future__ import annotations

import re
from functools import partial
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from inventory.catalogue.models import Part
from inventory.catalogue.services import retire_part
from inventory.common import clock as the_clock
from inventory.common.transactions import use_case
from inventory.counter.browsing import typed_sizes
from inventory.counter.browsing.typed_sizes import shim_size
from inventory.counter.taking_in.deliveries import MOST_LINES
from inventory.counter.taking_in.part_choosing import MOST_CANDIDATES, meant
from inventory.receiving.models import Delivery, DeliveryLine
from inventory.receiving.services import add_delivery_line, start_delivery
from inventory.stock.models import Condition, Drawer, Lot, Movement, Reading
from inventory.stock.services import NewLot
from tests import factories, people
from tests.counter.test_take_in import hidden_key, signed_in
from tests.visiting import text_of

pytestmark = pytest.mark.django_db
SWAP = {"HX-Request": "true"}


@pytest.fixture
def delivery() -> Delivery:
    clerk = people.clerk()
    return use_case(
        lambda: start_delivery(
            number="D-1", supplier="Oxbeck Fine Strip", note="", received_on=factories.MONDAY, actor=clerk
        )
    )


@pytest.fixture
def clerk(client: Browser) -> Browser:
    return signed_in(client, people.clerk())


@pytest.fixture
def shim() -> Part:
    """A 34 x 0.15 of bore 12 that lies in B-03."""
    part = factories.shim(number="SH-34-015-12")
    factories.stocked(part, 10, drawer="B-03")
    return part


def send(browser: Browser, delivery: Delivery, *, headers: Any = None, **typed: str) -> Any:
    """The row as the browser sends it."""
    sent = {"part": "SH-34-015-12", "quantity": "40", "drawer": "", "readings": "", "condition": "new", "once": "k-1"}
    return browser.post(reverse("delivery", args=[delivery.pk]), {**sent, **typed}, headers=headers or {})


def taken() -> DeliveryLine:
    return DeliveryLine.objects.select_related("lot__part", "balance__drawer").latest("pk")


def errors(answer: Any) -> dict[str, str]:
    assert answer.status_code == 422
    assert not DeliveryLine.objects.exists()
    return {name: " ".join(texts) for name, texts in answer.context["form"].errors.items()}


# --- the line


def test_part_and_count_are_enough_where_the_part_lies_somewhere(
    clerk: Browser, delivery: Delivery, shim: Part
) -> None:
    sent = send(clerk, delivery)
    assert (sent.status_code, sent["Location"]) == (303, f"/deliveries/{delivery.pk}")
    line = taken()
    assert (line.lot.part, line.quantity, line.balance.drawer.code, line.lot.number) == (shim, 40, "B-03", "D-1-1")
    assert (line.lot.supplier, line.lot.received_on) == (delivery.supplier, factories.MONDAY)
    assert Movement.objects.latest("pk").person == people.clerk().person


def test_the_taken_line_stands_on_top_with_its_size_sample_and_hand(
    clerk: Browser, delivery: Delivery, shim: Part
) -> None:
    send(clerk, delivery)
    html = clerk.get(send(clerk, delivery, once="k-2", readings="0,149 0.150; 0,152")["Location"]).content.decode()
    newest, older = html.split("<tbody>")[1].split("</tr>")[:2]
    for text in ("34 x 0.15 mm, bore 12 mm", "SH-34-015-12", "<b>40</b>", "B-03", "D-1-2", "0.1503", "Runa Feldmark"):
        assert text in newest
    assert "D-1-1" in older and "not measured" in older
    assert "Taken in: 40 of SH-34-015-12 into drawer B-03, lot D-1-2." in html


def test_a_row_that_went_on_by_itself_gets_the_lines_alone(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    taken_in = send(clerk, delivery, headers=SWAP, goes_on="1")
    html = taken_in.content.decode()
    assert (taken_in["HX-Retarget"], taken_in["HX-Reswap"]) == ("#lines", "outerHTML")
    assert html.strip().startswith('<section id="lines"') and 'name="part"' not in html and "D-1-1" in html
    refused = send(clerk, delivery, headers=SWAP, goes_on="1", quantity="0", once="k-2")
    html = refused.content.decode()
    assert (refused.status_code, refused["HX-Retarget"]) == (422, "#desk")
    # What is wrong is mended in place: this row is not emptied when it is sent.
    assert "data-goes-on" not in html and 'name="goes_on"' not in html
    assert "data-goes-on" in clerk.get(reverse("delivery", args=[delivery.pk])).content.decode()


def test_with_htmx_the_desk_is_swapped_with_an_empty_row_and_the_focus_on_part(
    clerk: Browser, delivery: Delivery, shim: Part
) -> None:
    html = send(clerk, delivery, headers=SWAP).content.decode()
    assert html.strip().startswith('<div id="desk">') and "<html" not in html
    row, lines = html.split('<section id="lines"')
    assert re.search(r'<input[^>]*name="part"[^>]*autofocus', row)
    assert "SH-34-015-12" not in row and 'value="40"' not in row
    assert hidden_key(row) != "k-1"
    assert "D-1-1" in lines


@pytest.mark.parametrize("headers", [{}, SWAP])
def test_sent_twice_it_is_taken_in_once(
    clerk: Browser, delivery: Delivery, shim: Part, headers: dict[str, str]
) -> None:
    answers = [send(clerk, delivery, headers=headers).status_code for _ in range(2)]
    assert answers == ([200, 200] if headers else [303, 303])
    assert DeliveryLine.objects.count() == 1


def test_a_row_that_was_sent_and_changed_is_asked_about_first(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    send(clerk, delivery)
    refused = send(clerk, delivery, quantity="41")
    html = refused.content.decode()
    assert refused.status_code == 422 and "sent already, and changed since" in html and 'value="41"' in html
    assert send(clerk, delivery, quantity="41", once=hidden_key(html)).status_code == 303
    assert DeliveryLine.objects.count() == 2


def test_everything_behind_the_details_is_kept(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    sent = send(
        clerk,
        delivery,
        lot="BAG-7",
        drawer="b-03",
        condition="take_off",
        cure_date="2029-q4",
        source="off a fork",
        unit_cost="0,85",
    )
    assert sent.status_code == 303
    lot = taken().lot
    assert (lot.number, lot.condition, lot.cure_date, lot.source) == ("BAG-7", "take_off", "2029-Q4", "off a fork")
    movement = Movement.objects.latest("pk")
    assert (movement.unit_cost_minor, movement.currency) == (85, "EUR")


@pytest.mark.parametrize(("text", "minor"), [("3", 300), ("3,5", 350), ("0.05", 5), ("", None)])
def test_a_cost_is_taken_with_point_and_comma(
    clerk: Browser, delivery: Delivery, shim: Part, text: str, minor: int | None
) -> None:
    send(clerk, delivery, unit_cost=text)
    assert Movement.objects.latest("pk").unit_cost_minor == minor


def test_a_made_lot_number_passes_over_one_that_is_used(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    factories.stocked(shim, 1, lot="D-1-1")
    send(clerk, delivery)
    assert taken().lot.number == "D-1-2"


@pytest.mark.django_db(transaction=True)
def test_a_delivery_number_too_long_for_a_lot_asks_for_one(clerk: Browser, shim: Part) -> None:
    lead = people.lead()
    long = use_case(lambda: start_delivery(number="D" * 40, supplier="", note="", received_on=None, actor=lead))
    assert "too long to make one of it" in errors(send(clerk, long))["lot"]
    assert send(clerk, long, lot="L-9", once="k-2").status_code == 303


@pytest.mark.parametrize("ask", ["ask_drawer", "ask_readings"])
def test_enter_passes_over_drawer_and_readings_until_they_are_asked_for(
    clerk: Browser, delivery: Delivery, shim: Part, ask: str
) -> None:
    def passed_over(html: str) -> set[str]:
        return set(re.findall(r'name="(\w+)"[^>]*data-passed-over', html))

    html = clerk.get(reverse("delivery", args=[delivery.pk])).content.decode()
    assert passed_over(html) == {"drawer", "readings"}
    wanted = {"drawer", "readings"} - {ask.removeprefix("ask_")}
    assert passed_over(send(clerk, delivery, headers=SWAP, **{ask: "on"}).content.decode()) == wanted
    sent = send(clerk, delivery, once="k-2", **{ask: "on"})
    assert sent["Location"].endswith(f"?{ask}=on")
    assert passed_over(clerk.get(sent["Location"]).content.decode()) == wanted


# --- which part is meant


@pytest.mark.parametrize("text", ["sh-34-015-12", "34x0.15x12", "34 0,15", "34×0.15 mm", "34 X 0,150 x 12", "34/0.15"])
def test_a_part_is_meant_by_its_number_in_any_case_or_its_size(shim: Part, text: str) -> None:
    assert meant(text).part == shim


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("34x0,15x12", (34000, 150, 12000)),
        ("\u00f834x0.15", (34000, 150)),
        ("34;0,15", (34000, 150)),
        ("34x0.1500", (34000, 150)),
        ("3e1x0.15", ()),
        ("M12x1.25", ()),
        ("34 0.15", (34000, 150)),
        ("34", ()),
        ("34x0.15x12x1", (34000, 150, 12000)),
        ("34x-1", ()),
        ("34x0.1234", ()),
        ("SH 34", ()),
        ("", ()),
    ],
)
def test_a_size_is_outer_diameter_thickness_and_bore(text: str, size: tuple[int, ...]) -> None:
    assert shim_size(text) == size


@pytest.mark.parametrize("text", ["\u00f834x0.15", "34;0.15", "34x0.1500", "3e1x0.15", "34 0,15 12", "m12x1.25"])
def test_the_row_and_the_search_read_a_size_alike(shim: Part, text: str) -> None:
    read = typed_sizes.read(text)
    assert shim_size(text) == (read.shim if read is not None else ())
    assert meant(text).part == (shim if shim_size(text)[:2] == (34_000, 150) else None)


def test_a_choice_that_is_cut_short_says_that_there_are_more(clerk: Browser, delivery: Delivery) -> None:
    """Whoever does not find the part among those listed would make it a second time."""
    for od_mm in range(20, 28):
        factories.shim(od_mm, 0.15)
    whole = text_of(send(clerk, delivery, part="0.15"))
    assert "0.15 may be one of these:" in whole and "27 x 0.15 mm" in whole
    factories.shim(28, 0.15)
    cut = text_of(send(clerk, delivery, part="0.15"))
    assert "0.15 may be one of these, and of more that are not listed: type more of the size:" in cut
    assert "28 x 0.15 mm" not in cut


def test_a_size_that_several_have_is_a_choice(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    factories.shim(number="SH-34-015-10", bore_mm=10)
    refused = send(clerk, delivery, part="34 0,15")
    html = refused.content.decode()
    assert errors(refused)["part"] == "34 0,15 may be any of these; choose one."
    assert re.findall(r'name="choose" value="([^"]+)"', html) == ["SH-34-015-10", "SH-34-015-12"]
    assert 'value="34 0,15"' in html and 'value="40"' in html
    # Enter presses a form's first button, which must stay the one that takes in.
    form = html[html.index('<form class="sheet take-line"') :]
    assert re.findall(r"<button[^>]*>", form)[0] == '<button type="submit" data-default>'
    assert send(clerk, delivery, part="34 0,15", choose="SH-34-015-12").status_code == 303
    assert taken().lot.part == shim


def test_choosing_before_counting_only_fills_the_part_in(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    chosen = send(clerk, delivery, part="34 0,15", quantity="", choose="SH-34-015-12")
    html = chosen.content.decode()
    assert chosen.status_code == 200 and not DeliveryLine.objects.exists()
    assert re.search(r'<input[^>]*value="SH-34-015-12"', html)
    assert re.search(r'<input[^>]*name="quantity"[^>]*autofocus', html)


def test_the_beginning_of_a_number_offers_what_begins_so(shim: Part) -> None:
    for number in range(MOST_CANDIDATES + 2):
        factories.shim(number=f"SX-{number:02}", thickness_mm=0.2)
    found = meant("sx")
    assert found.part is None
    assert [one.part.number for one in found.candidates] == [f"SX-{number:02}" for number in range(MOST_CANDIDATES)]


def test_numbers_that_differ_in_case_alone_are_told_apart() -> None:
    upper, lower = factories.shim(number="S-A"), factories.shim(number="S-a")
    assert (meant("S-A").part, meant("S-a").part) == (upper, lower)
    assert {one.part for one in meant("s-a").candidates} == {upper, lower}


def test_a_retired_part_is_refused_by_number_and_not_meant_by_size(
    clerk: Browser, delivery: Delivery, shim: Part
) -> None:
    use_case(lambda: retire_part(part=shim))
    assert errors(send(clerk, delivery))["part"] == "SH-34-015-12 is retired; take its successor."
    assert meant("34x0.15x12").part is None


def test_what_the_shelf_knows_of_a_part_is_a_fragment(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    address = reverse("delivery", args=[delivery.pk])
    html = clerk.get(address, {"part": "sh-34-015-12", "condition": "new"}, headers=SWAP).content.decode()
    assert "<html" not in html and "<form" not in html
    assert "34 x 0.15 mm, bore 12 mm" in html and "10 on hand" in html
    assert 'data-fills="id_drawer" data-value="B-03"' in html
    assert '<input type="hidden" name="filled" value="B-03">' in html
    none = clerk.get(address, {"part": "SH-34-015-12", "condition": "take_off"}, headers=SWAP).content.decode()
    assert 'data-value=""' in none
    assert "is not in the catalogue" in clerk.get(address, {"part": "ZZ"}, headers=SWAP).content.decode()
    empty = clerk.get(address, {"part": ""}, headers=SWAP).content.decode().strip()
    assert empty == '<span data-fills="id_drawer" data-value=""></span>'


def test_without_script_the_address_fills_part_and_drawer_in(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    html = clerk.get(reverse("delivery", args=[delivery.pk]), {"part": "SH-34-015-12"}).content.decode()
    assert re.search(r'name="drawer" value="B-03"[^>]*data-filled="B-03"', html)
    assert re.search(r'<input[^>]*name="quantity"[^>]*autofocus', html)


# --- the drawer


def test_a_drawer_that_the_page_filled_in_belongs_to_the_part_it_was_filled_for(
    clerk: Browser, delivery: Delivery, shim: Part
) -> None:
    factories.stocked(factories.shim(number="SH-34-020-12", thickness_mm=0.2), 5, drawer="B-04")
    send(clerk, delivery, part="SH-34-020-12", drawer="B-03", filled="B-03")
    assert taken().balance.drawer.code == "B-04"


def test_a_drawer_typed_by_hand_is_kept(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    factories.drawer("C-01")
    send(clerk, delivery, drawer="c-01", filled="B-03")
    assert taken().balance.drawer.code == "C-01"


def test_a_part_that_lies_nowhere_asks_for_its_drawer(clerk: Browser, delivery: Delivery) -> None:
    factories.shim(number="SH-34-015-12")
    refused = send(clerk, delivery)
    assert errors(refused) == {"drawer": "Where does it go? None of it lies in a drawer yet."}
    assert re.search(r'<input[^>]*name="drawer"[^>]*autofocus', refused.content.decode())


def test_a_take_off_is_not_put_among_the_new_ones_unasked(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    assert "Where does it go?" in errors(send(clerk, delivery, condition="take_off"))["drawer"]
    factories.stocked(shim, 1, drawer="T-01", condition=Condition.TAKE_OFF)
    send(clerk, delivery, condition="take_off")
    assert taken().balance.drawer.code == "T-01"


def test_a_new_drawer_is_made_when_the_row_is_sent_again(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    refused = send(clerk, delivery, drawer="X-9")
    html = refused.content.decode()
    assert "There is no drawer X-9 yet. Send again to make it" in errors(refused)["drawer"]
    assert not Drawer.objects.filter(code="X-9").exists()
    assert 'name="make_drawer" value="X-9"' in html and 'name="drawer" value="X-9"' in html
    # Corrected to yet another new one, it is asked about anew.
    assert "no drawer X-8 yet" in errors(send(clerk, delivery, drawer="X-8", make_drawer="X-9"))["drawer"]
    assert send(clerk, delivery, drawer="X-9", make_drawer="X-9").status_code == 303
    assert taken().balance.drawer.code == "X-9"


def test_a_part_scanned_into_the_drawer_makes_no_drawer(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    assert "is the number of a part" in errors(send(clerk, delivery, drawer="sh-34-015-12"))["drawer"]


def test_a_retired_drawer_is_refused_beside_its_field(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    Drawer.objects.filter(code="B-03").update(retired_at=the_clock.now())
    assert errors(send(clerk, delivery, drawer="B-03")) == {"drawer": "B-03 is retired; choose another."}


# --- refusals


@pytest.mark.parametrize(
    ("typed", "text"),
    [
        ({"part": ""}, "This field is required."),
        ({"part": "ZZ-1"}, "There is no part ZZ-1."),
        ({"part": "50x0.4x16"}, "There is no part of this size."),
        ({"quantity": ""}, "Now the count."),
        ({"quantity": "0"}, "whole number from 1"),
        ({"quantity": "SH-34-015-12"}, "whole number from 1"),
        ({"quantity": "4006381333931"}, "whole number from 1"),
        ({"drawer": "=A1"}, "would run as a formula"),
        ({"readings": "0,15 0,1a"}, "0,1a: must be a plain number"),
        ({"readings": "0.15,0.16"}, "separate the readings by blanks"),
        ({"readings": "150"}, "is the unit right?"),
        ({"lot": "LOT-0"}, "Lot LOT-0 is there already"),
        ({"cure_date": "2026-5"}, "a quarter, as in 2026-Q3"),
        ({"unit_cost": "1,234"}, "at most two decimals"),
        ({"unit_cost": "-1"}, "at most two decimals"),
        ({"condition": "old"}, "Select a valid choice"),
    ],
)
@pytest.mark.parametrize("headers", [{}, SWAP])
def test_what_is_wrong_stands_beside_its_field_with_the_typing_kept(
    clerk: Browser, delivery: Delivery, shim: Part, typed: dict[str, str], text: str, headers: dict[str, str]
) -> None:
    factories.stocked(shim, 1, lot="LOT-0")
    sent = {"source": "kept as typed", **typed}
    refused = send(clerk, delivery, headers=headers, **sent)
    html, name = refused.content.decode(), next(iter(typed))
    assert text in errors(refused)[name]
    assert f'id="id_{name}_error"' in html and 'value="kept as typed"' in html
    assert re.search(rf'<(input|select)[^>]*name="{name}"[^>]*autofocus', html)
    behind = name in {"lot", "cure_date", "unit_cost", "condition"}
    assert ("<details open>" in html) == behind


def test_a_scan_without_script_goes_on_with_the_count_and_scolds_nobody(
    clerk: Browser, delivery: Delivery, shim: Part
) -> None:
    refused = send(clerk, delivery, quantity="")
    html = refused.content.decode()
    assert errors(refused) == {"quantity": "Now the count."}
    assert "Nothing was changed" not in html and 'value="SH-34-015-12"' in html
    assert re.search(r'<input[^>]*name="quantity"[^>]*autofocus', html)
    # The drawer that the part still lacks comes after the count.
    factories.shim(number="S-NEW", thickness_mm=0.2)
    html = send(clerk, delivery, part="S-NEW", quantity="").content.decode()
    assert "Nothing was changed" not in html and re.search(r'<input[^>]*name="quantity"[^>]*autofocus', html)


@pytest.mark.parametrize("typed", [{"part": "ZZ"}, {"drawer": "NO-1"}, {"readings": "x"}, {"part": ""}])
def test_a_row_with_something_wrong_in_it_is_to_be_corrected(
    clerk: Browser, delivery: Delivery, shim: Part, typed: dict[str, str]
) -> None:
    assert "Nothing was changed" in send(clerk, delivery, quantity="", **typed).content.decode()


@pytest.mark.parametrize("headers", [{}, SWAP])
def test_a_count_like_a_scanned_number_is_asked_about(
    clerk: Browser, delivery: Delivery, shim: Part, headers: dict[str, str]
) -> None:
    refused = send(clerk, delivery, quantity="2001", headers=headers)
    assert errors(refused) == {"quantity": "Are there 2001 in this one line? Send again if it is so, or correct it."}
    sure = "2001 of sh-34-015-12"
    assert f'name="sure_count" value="{sure}"' in refused.content.decode()
    # Another large count is asked about anew.
    again = send(clerk, delivery, quantity="20010", sure_count=sure)
    assert "Are there 20010 in this one line?" in errors(again)["quantity"]
    assert send(clerk, delivery, quantity="2001", sure_count=sure).status_code == 303
    assert taken().quantity == 2001


def test_two_thousand_pieces_are_not_asked_about(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    assert send(clerk, delivery, quantity="2000").status_code == 303


# --- a bag of another size


def test_a_bag_of_two_sizes_is_to_be_sorted_and_offered_as_none(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    factories.shim(number="SH-34-020-12", thickness_mm=0.2)
    refused = send(clerk, delivery, readings="0,15 0,30")
    said = errors(refused)["readings"]
    assert said.startswith("More than one size is in this bag: The readings 0.15, 0.30 mm belong to 0.15, 0.30 mm")
    assert "Sort the bag" in said
    assert "Take it in as" not in refused.content.decode()


@pytest.mark.parametrize("deed", [{"choose": "SH-34-020-12"}, {"make": "0.20"}])
def test_an_offer_ends_when_the_part_is_changed(
    clerk: Browser, delivery: Delivery, shim: Part, deed: dict[str, str]
) -> None:
    other = factories.shim(number="SH-34-020-12", thickness_mm=0.2)
    factories.stocked(other, 5, drawer="B-04")
    factories.stocked(factories.shim(number="SH-40-015-12", od_mm=40), 5, drawer="B-05")
    html = send(clerk, delivery, readings="0,2 0,2").content.decode()
    assert 'name="offered_for" value="SH-34-015-12"' in html
    typed = {"part": "SH-40-015-12", "offered_for": "SH-34-015-12", "readings": "0,2 0,2"}
    refused = send(clerk, delivery, **typed, **deed)
    assert "was offered for another part" in errors(refused)["part"]
    assert 'value="SH-40-015-12"' in refused.content.decode()


@pytest.mark.django_db(transaction=True)
def test_a_bag_of_another_size_is_stopped_and_offered_as_what_it_is(
    clerk: Browser, delivery: Delivery, shim: Part
) -> None:
    other = factories.shim(number="SH-34-020-12", thickness_mm=0.2)
    factories.stocked(other, 5, drawer="B-04")
    factories.shim(number="SH-34-020-10", thickness_mm=0.2, bore_mm=10)
    typed = {"drawer": "B-03", "filled": "B-03", "readings": "0,201 0.199 0,2", "source": "kept as typed"}
    refused = send(clerk, delivery, **typed)
    html = refused.content.decode()
    assert errors(refused) == {"readings": "The mean is 0.20 mm: that is 0.20 mm, not 0.15 mm."}
    assert "Take it in as SH-34-020-12, 34 x 0.20 mm, bore 12 mm, into B-04" in html
    assert "SH-34-020-10" not in html and 'value="0,201 0.199 0,2"' in html
    assert not Reading.objects.exists()
    assert send(clerk, delivery, choose="SH-34-020-12", once=hidden_key(html), **typed).status_code == 303
    line = taken()
    assert (line.lot.part, line.balance.drawer.code, line.lot.source) == (other, "B-04", "kept as typed")
    assert Reading.objects.count() == 3


def test_a_size_that_the_catalogue_lacks_can_be_made_from_the_measured_bag(
    clerk: Browser, delivery: Delivery, shim: Part
) -> None:
    typed = {"drawer": "B-03", "filled": "B-03", "readings": "0,2 0,2"}
    html = send(clerk, delivery, **typed).content.decode()
    assert 'name="make" value="0.20"' in html
    sent = send(clerk, delivery, make="0.20", **typed)
    page = clerk.get(sent["Location"]).content.decode()
    for name, value in {"od_mm": "34", "thickness_mm": "0.20", "bore_mm": "12"}.items():
        assert re.search(rf'name="{name}" value="{value}"', page)
    # The drawer was that of the other size, so it does not come along; what was typed does.
    assert "drawer=" not in sent["Location"] and "readings=0%2C2+0%2C2" in sent["Location"]


def test_readings_of_no_size_at_all_ask_for_the_unit(clerk: Browser, delivery: Delivery) -> None:
    factories.stocked(factories.shim(number="SH-34-015-12", thickness_mm=2), 1, drawer="B-03")
    refused = send(clerk, delivery, readings="3,1")
    assert "far from 2.00 mm. Is the unit right" in errors(refused)["readings"]
    assert "Take it in as" not in refused.content.decode()


# --- a part that is not in the catalogue


def made(browser: Browser, address: str, **typed: str) -> Any:
    return browser.post(address, {"once": "m-1", "unit": "piece", "name": "", **typed})


@pytest.mark.parametrize("headers", [{}, SWAP])
def test_an_unknown_part_is_made_by_kind_and_comes_back_with_the_typing(
    clerk: Browser, delivery: Delivery, headers: dict[str, str]
) -> None:
    html = send(clerk, delivery, part="NU-1").content.decode()
    assert 'name="make" value=""' in html
    sent = send(clerk, delivery, part="NU-1", make="", drawer="C-01", readings="", headers=headers)
    address = sent["HX-Redirect"] if headers else sent["Location"]
    kinds = clerk.get(address).content.decode()
    assert "What is NU-1?" in kinds
    nut = next(link for link in re.findall(r'href="(\?[^"]+)"', kinds) if "make=nut" in link).replace("&amp;", "&")
    address = reverse("delivery", args=[delivery.pk]) + nut
    assert re.search(r'name="number" value="NU-1"', clerk.get(address).content.decode())
    back = made(clerk, address, number="NU-1", thread="M12x1.25", height_mm="10,5")
    assert back.status_code == 303
    part = Part.objects.get(number="NU-1")
    assert (part.kind, part.name) == ("nut", "Nut M12x1.25, 10.5 mm high")
    row = clerk.get(back["Location"]).content.decode()
    assert re.search(r'name="part" value="NU-1"', row) and re.search(r'name="quantity" value="40"', row)
    assert re.search(r'name="drawer" value="C-01"', row)


def test_a_size_that_is_not_there_becomes_the_sizes_of_a_new_shim(clerk: Browser, delivery: Delivery) -> None:
    sent = send(clerk, delivery, part="34x0,15x12", make="")
    page = clerk.get(sent["Location"]).content.decode()
    for name, value in {"od_mm": "34", "thickness_mm": "0.15", "bore_mm": "12"}.items():
        assert re.search(rf'name="{name}" value="{value}"', page)
    back = made(clerk, sent["Location"], number="S-1", od_mm="34", thickness_mm="0,15", bore_mm="12", form="round")
    assert "part=S-1" in back["Location"] and "quantity=40" in back["Location"]
    assert meant("34x0.15x12").part == Part.objects.get(number="S-1")


def test_a_new_part_sent_twice_is_made_once(clerk: Browser, delivery: Delivery) -> None:
    address = reverse("delivery", args=[delivery.pk]) + "?make=shim"
    sizes = {"number": "S-1", "od_mm": "34", "thickness_mm": "0,15", "bore_mm": "12", "form": "round"}
    answers = [made(clerk, address, **sizes) for _ in range(2)]
    assert [one.status_code for one in answers] == [303, 303]
    assert Part.objects.count() == 1
    assert made(clerk, address, **{**sizes, "number": "S-2"}).status_code == 422


@pytest.mark.parametrize(
    ("typed", "field", "text"),
    [
        ({"number": ""}, "number", "This field is required."),
        ({"number": "SH-34-015-12"}, "number", "Part SH-34-015-12 is there already"),
        ({"od_mm": ""}, "od_mm", "It is required, in millimetres."),
        ({"od_mm": "34mm"}, "od_mm", "without a unit"),
        ({"bore_mm": "40"}, "bore_mm", "It must be smaller than the outer diameter."),
        ({"thickness_mm": "15"}, "thickness_mm", "is the unit right?"),
    ],
)
def test_what_is_wrong_with_a_new_part_stands_beside_its_field(
    clerk: Browser, delivery: Delivery, shim: Part, typed: dict[str, str], field: str, text: str
) -> None:
    sizes = {"number": "S-1", "od_mm": "34", "thickness_mm": "0,15", "bore_mm": "12", "form": "round", "name": "kept"}
    refused = made(clerk, reverse("delivery", args=[delivery.pk]) + "?make=shim", **{**sizes, **typed})
    assert refused.status_code == 422
    assert text in " ".join(refused.context["form"].errors[field])
    assert 'name="name" value="kept"' in refused.content.decode()
    assert Part.objects.count() == 1


# --- the page


def test_many_lines_come_in_pages_and_a_page_stays_when_a_line_is_undone(
    clerk: Browser, delivery: Delivery, shim: Part
) -> None:
    address = reverse("delivery", args=[delivery.pk])
    actor = people.clerk()
    for number in range(1, 2 * MOST_LINES + 4):
        new = NewLot(shim, factories.drawer("B-03"), 1, factories.MONDAY, f"X-{number}")
        use_case(partial(add_delivery_line, delivery=delivery, new=new, actor=actor))
    html = clerk.get(address).content.decode()
    assert html.count("Undo line") == MOST_LINES
    assert f"Undo line {2 * MOST_LINES + 3}<" in html and f"Undo line {MOST_LINES + 4}<" in html
    assert f"Undo line {MOST_LINES + 3}<" not in html and f"{2 * MOST_LINES + 3} lines in all" in html
    assert f'href="{address}?page=2#lines">Older</a>' in html and ">Newer</a>" not in html
    second = clerk.get(f"{address}?page=2").content.decode()
    assert second.count("Undo line") == MOST_LINES and f"Undo line {MOST_LINES + 3}<" in second
    assert f'action="{reverse("undo-line", args=[delivery.pk])}?page=2"' in second
    for last in ("3", "999999"):
        end = clerk.get(f"{address}?page={last}").content.decode()
        assert end.count("Undo line") == 3 and "Undo line 1<" in end and ">Older</a>" not in end


def test_a_delivery_of_few_lines_has_no_pages(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    send(clerk, delivery)
    assert "lines in all" not in clerk.get(reverse("delivery", args=[delivery.pk])).content.decode()


def test_the_page_costs_the_same_for_few_lines_and_many(
    clerk: Browser, delivery: Delivery, shim: Part, django_assert_max_num_queries: Any
) -> None:
    send(clerk, delivery)
    address = reverse("delivery", args=[delivery.pk])
    with django_assert_max_num_queries(8):
        clerk.get(address)
    for number in range(2, 12):
        send(clerk, delivery, once=f"k-{number}", readings="0,15")
    with django_assert_max_num_queries(8):
        html = clerk.get(address).content.decode()
    assert html.count("Undo line") == 11


def test_an_empty_delivery_says_what_to_do(clerk: Browser, delivery: Delivery) -> None:
    html = clerk.get(reverse("delivery", args=[delivery.pk])).content.decode()
    assert "Nothing is taken in yet. Scan the first part" in html


def test_a_tuner_reads_a_delivery_and_sends_nothing(client: Browser, delivery: Delivery, shim: Part) -> None:
    browser = signed_in(client, people.tuner())
    html = browser.get(reverse("delivery", args=[delivery.pk])).content.decode()
    assert "Nothing was taken in with this delivery." in html and 'name="part"' not in html
    assert "Part number" not in browser.get(reverse("delivery", args=[delivery.pk]), {"make": "shim"}).content.decode()
    assert send(browser, delivery).status_code == 403
    assert made(browser, reverse("delivery", args=[delivery.pk]) + "?make=shim", number="S-1").status_code == 403
    assert not Lot.objects.filter(number="D-1-1").exists()


def test_a_delivery_that_is_not_there_is_not_found(clerk: Browser) -> None:
    assert clerk.get(reverse("delivery", args=[999])).status_code == 404
