"""Taking in by scanner and keyboard: ten lines, a wrong bag, an undone line, an opening shelf."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest
from django.http import HttpRequest
from playwright.sync_api import Dialog, Page, Route, expect

from inventory.catalogue.models import Part
from inventory.counter import session
from inventory.holds.selectors import held_faults
from inventory.people.roles import Role
from inventory.receiving.models import Delivery
from inventory.stock import replay
from inventory.stock.models import Lot
from tests.browser.conftest import Opens
from tests.browser.hands import Presses
from tests.browser.held import Held
from tests.browser.watch import Watch

Axe = Callable[[Page], None]
# What an experienced clerk may press besides the data itself, for ten lines.
MOST_PRESSES = 120
# Part, count, another drawer, a micrometer sample.
LINES = [
    ("SH-12-34-150", "40", "", ""),
    ("SH-12-34-200", "25", "", "0,201 0,199 0,200"),
    ("SH-12-36-150", "60", "", ""),
    ("SH-12-38-150", "60", "D-10-01", ""),
    ("SH-12-40-150", "100", "", "0.149 0.150 0.152 0.150"),
    ("SH-12-24-100", "12", "", ""),
    ("SH-12-22-300", "30", "D-05-04", "0.300 0.301 0.299"),
    ("NU-M12x1.25", "20", "", ""),
    ("NU-M12x1.5", "20", "", ""),
    ("SH-12-30-150", "50", "", ""),
]


def begin(page: Page) -> None:
    """A delivery with the number and the day that the page suggests."""
    page.goto("/take-in")
    page.get_by_role("button", name="Start").click()
    page.wait_for_url("**/deliveries/*")
    expect(page.locator("[name=part]")).to_be_focused()


def test_ten_lines_by_scanner_cost_few_presses_besides_the_data(bench: Opens) -> None:
    page = bench(Role.CLERK)
    page.goto("/take-in")
    presses = Presses(page)
    presses.press("Enter")
    page.wait_for_url("**/deliveries/*")
    for number, (part, count, drawer, readings) in enumerate(LINES, start=1):
        expect(page.locator("[name=part]")).to_be_focused()
        expect(page.locator("[name=part]")).to_have_value("")
        presses.scan(part)
        expect(page.locator("[name=quantity]")).to_be_focused()
        presses.type(count)
        if drawer or readings:
            presses.press("Tab")
            expect(page.locator("[name=drawer]")).to_be_focused()
            presses.type(drawer)
        if readings:
            presses.press("Tab")
            presses.type(readings)
        presses.press("Enter")
        expect(page.locator("#lines tbody tr")).to_have_count(number)
    delivery = Delivery.objects.get()
    taken = [
        (line.lot.part.number, str(line.quantity), line.balance.drawer.code, line.lot.readings.count())
        for line in delivery.lines.order_by("pk")
    ]
    assert [(part, count, samples) for part, count, _, samples in taken] == [
        (part, count, len(readings.split())) for part, count, _, readings in LINES
    ]
    assert [drawer for (_, _, drawer, _), (_, _, asked, _) in zip(taken, LINES, strict=True) if asked] == [
        "D-10-01",
        "D-05-04",
    ]
    assert presses.keys < MOST_PRESSES
    assert [*replay.faults(), *held_faults()] == []


def test_a_wrong_bag_is_stopped_and_taken_in_as_what_it_is(bench: Opens, axe: Axe) -> None:
    page = bench(Role.CLERK)
    begin(page)
    page.locator("[name=part]").fill("SH-12-34-200")
    page.keyboard.press("Enter")
    expect(page.locator("[name=quantity]")).to_be_focused()
    page.locator("[name=quantity]").fill("25")
    page.locator("[name=readings_mm], [name=readings]").fill("0,151 0,149 0,150")
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_contain_text("0.15")
    expect(page.locator("[name=quantity]")).to_have_value("25")
    assert Delivery.objects.get().lines.count() == 0
    axe(page)
    page.get_by_role("button", name="SH-12-34-150").click()
    expect(page.locator("main")).to_contain_text("25 of SH-12-34-150")
    assert Delivery.objects.get().lines.get().lot.part.number == "SH-12-34-150"


def test_a_line_is_undone_by_an_entry_that_reverses_it(bench: Opens, axe: Axe) -> None:
    page = bench(Role.CLERK)
    begin(page)
    page.keyboard.type("SH-12-34-150")
    page.keyboard.press("Enter")
    page.keyboard.type("400")
    expect(page.locator("[name=quantity]")).to_have_value("400")
    page.keyboard.press("Enter")
    page.locator("td.undo summary").first.click()
    page.locator("[name=reason]").first.fill("one nought too many")
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_contain_text("one nought too many")
    axe(page)
    line = Delivery.objects.get().lines.get()
    first, second = line.balance.movements.order_by("pk")
    assert (second.on_hand_delta, second.reverses_id, second.on_hand) == (-400, first.pk, 0)
    assert Lot.objects.get(pk=line.lot_id).retired_at is not None
    assert replay.faults() == []


def test_without_script_a_line_is_taken_in_too(no_script: Opens) -> None:
    page = no_script(Role.CLERK)
    page.goto("/take-in")
    page.get_by_role("button", name="Start").click()
    page.locator("[name=part]").fill("SH-12-34-150")
    page.locator("[name=quantity]").fill("40")
    page.locator("[name=drawer]").fill("D-10-03")
    page.get_by_role("button", name="Take in").click()
    expect(page.locator("main")).to_contain_text("40 of SH-12-34-150")
    assert Delivery.objects.get().lines.get().quantity == 40


@pytest.mark.parametrize("size", ["bench", "phone"])
def test_an_opening_shelf_shows_its_faults_and_then_comes_in(
    bench: Opens, phone: Opens, axe: Axe, tmp_path: Path, size: str
) -> None:
    page = (bench if size == "bench" else phone)(Role.CLERK)
    header = "part,kind,name,od_mm,thickness_mm,bore_mm,lot,drawer,quantity\n"
    file = tmp_path / "shelf.csv"
    file.write_text(header + "SH-X,shim,Shim,34,0.15,12,LX-1,Q-1,ten\nSH-Y,shim,Shim,34,0.15,40,LX-2,Q-1,5\n")
    page.goto("/take-in/opening")
    page.locator("input[type=file]").set_input_files(file)
    page.get_by_role("button", name="Check it").click()
    expect(page.locator("main")).to_contain_text("must be a whole number")
    expect(page.locator("main")).to_contain_text("must be smaller than")
    axe(page)
    assert not Lot.objects.filter(number__startswith="LX").exists()
    file.write_text(header + "SH-X,shim,Shim,34,0.15,12,LX-1,Q-1,10\nSH-Y,shim,Shim,34,0.15,10,LX-2,Q-1,5\n")
    page.locator("input[type=file]").set_input_files(file)
    page.get_by_role("button", name="Check it").click()
    expect(page.get_by_role("button", name="Put it on the shelf")).to_be_visible()
    axe(page)
    page.get_by_role("button", name="Put it on the shelf").click()
    expect(page.locator("main")).to_contain_text("15")
    assert Lot.objects.filter(number__startswith="LX").count() == 2
    assert replay.faults() == []


@pytest.fixture
def slowly(monkeypatch: pytest.MonkeyPatch) -> Callable[[float], None]:
    """Lets the server take its time with every line; the browser goes on meanwhile."""

    def late(seconds: float) -> None:
        original = session.touch

        def touch(request: HttpRequest) -> None:
            if request.method == "POST":
                time.sleep(seconds)
            original(request)

        monkeypatch.setattr(session, "touch", touch)

    return late


def test_scanning_on_while_the_server_is_slow_loses_nothing(bench: Opens, slowly: Callable[[float], None]) -> None:
    page = bench(Role.CLERK)
    begin(page)
    slowly(0.4)
    plain = [(part, count) for part, count, _, _ in LINES]
    for part, count in plain:
        page.keyboard.type(part)
        page.keyboard.press("Enter")
        page.keyboard.type(count)
        page.keyboard.press("Enter")
    expect(page.locator("#lines tbody tr")).to_have_count(len(plain))
    taken = [(line.lot.part.number, str(line.quantity)) for line in Delivery.objects.get().lines.order_by("pk")]
    assert taken == plain


def test_a_line_that_the_server_did_not_answer_comes_back_into_the_row(bench: Opens, console: Watch) -> None:
    page = bench(Role.CLERK)
    begin(page)
    page.route("**/deliveries/*", lambda route: route.abort() if route.request.method == "POST" else route.continue_())
    page.keyboard.type("SH-12-34-150")
    page.keyboard.press("Enter")
    page.keyboard.type("40")
    page.keyboard.press("Enter")
    expect(page.locator("[name=part]")).to_have_value("SH-12-34-150")
    expect(page.locator("[name=quantity]")).to_have_value("40")
    expect(page.locator("#trouble")).to_contain_text("not answer")
    assert Delivery.objects.get().lines.count() == 0
    console.take()
    page.unroute("**/deliveries/*")
    page.locator("[name=quantity]").press("Enter")
    expect(page.locator("#lines tbody tr")).to_have_count(1)
    assert Delivery.objects.get().lines.get().quantity == 40


def test_a_refused_line_stands_there_with_its_typing_and_the_lines_behind_it_wait(
    bench: Opens, slowly: Callable[[float], None]
) -> None:
    page = bench(Role.CLERK)
    begin(page)
    slowly(1.5)
    for part, count in (("SH-12-34-150", "40"), ("NO-SUCH-PART", "7"), ("SH-12-36-150", "60")):
        page.keyboard.type(part)
        page.keyboard.press("Enter")
        page.keyboard.type(count)
        page.keyboard.press("Enter")
    expect(page.locator(".field.wrong").first).to_be_visible(timeout=15_000)
    expect(page.locator("[name=quantity]")).to_have_value("7")
    page.keyboard.press("Enter")
    expect(page.locator("[name=part]")).to_be_focused()
    page.keyboard.type("SH-12-38-150")
    page.locator("[name=quantity]").press("Enter")
    expect(page.locator("#lines tbody tr")).to_have_count(3)
    taken = [(line.lot.part.number, line.quantity) for line in Delivery.objects.get().lines.order_by("pk")]
    assert taken == [("SH-12-34-150", 40), ("SH-12-38-150", 7), ("SH-12-36-150", 60)]


@pytest.mark.parametrize("came", [False, True], ids=["while the answer is under way", "after it came"])
def test_what_is_scanned_on_after_a_refusal_is_shown_and_mixed_with_nothing(
    bench: Opens, slowly: Callable[[float], None], came: bool
) -> None:
    page = bench(Role.CLERK)
    begin(page)
    slowly(0.3)
    for text in ("NO-SUCH-PART", "7"):
        page.keyboard.type(text)
        page.keyboard.press("Enter")
    if came:
        expect(page.locator(".field.wrong").first).to_be_visible()
    page.keyboard.type("SH-12-36-150", delay=60)
    page.keyboard.press("Enter")
    page.keyboard.type("60")
    page.keyboard.press("Enter")
    expect(page.locator("#trouble")).to_contain_text("SH-12-36-150, 60")
    expect(page.locator("[name=part]")).to_have_value("NO-SUCH-PART")
    expect(page.locator("[name=quantity]")).to_have_value("7")
    assert Delivery.objects.get().lines.count() == 0
    page.keyboard.press("ArrowDown")
    expect(page.locator("[name=part]")).to_be_focused()


def test_a_part_that_is_not_in_the_catalogue_is_made_on_the_way(bench: Opens, axe: Axe) -> None:
    page = bench(Role.CLERK)
    begin(page)
    page.keyboard.type("SH-12-33-150")
    page.keyboard.press("Enter")
    page.keyboard.type("7")
    page.keyboard.press("Enter")
    expect(page.locator(".field.wrong").first).to_be_visible()
    axe(page)
    page.get_by_role("button", name="make a part").or_(page.get_by_role("button", name="Make this part")).first.click()
    page.wait_for_url("**make=*")
    if page.locator("[name=od_mm]").count() == 0:
        page.locator("main").get_by_role("link", name="Shim").click()
    expect(page.locator("[name=number]")).to_have_value("SH-12-33-150")
    axe(page)
    for name, text in (("name", "Shim 33 x 0.15"), ("od_mm", "33"), ("thickness_mm", "0,15"), ("bore_mm", "12")):
        page.locator(f"main [name={name}]").fill(text)
    page.locator("main [name=bore_mm]").press("Enter")
    page.wait_for_url("**/deliveries/*")
    expect(page.locator("[name=part]")).to_have_value("SH-12-33-150")
    expect(page.locator("[name=quantity]")).to_have_value("7")
    assert Part.objects.get(number="SH-12-33-150").shim.od_um == 33_000


def wrong_bag(page: Page) -> None:
    """A line refused because its bag is of another size, which is offered."""
    begin(page)
    page.locator("[name=part]").fill("SH-12-34-200")
    page.keyboard.press("Enter")
    page.locator("[name=quantity]").fill("25")
    page.locator("[name=readings]").fill("0,151 0,149 0,150")
    page.keyboard.press("Enter")
    expect(page.locator(".other-size")).to_be_visible()


def test_the_offer_of_another_size_goes_when_the_part_is_changed(bench: Opens) -> None:
    page = bench(Role.CLERK)
    wrong_bag(page)
    page.locator("[name=part]").fill("SH-12-36-150")
    expect(page.locator(".other-size")).to_have_count(0)
    expect(page.locator("form.take-line .error")).to_have_count(0)
    expect(page.locator("form.take-line .wrong")).to_have_count(0)
    page.locator("[name=quantity]").press("Enter")
    expect(page.locator("#lines tbody tr")).to_have_count(1)
    assert Delivery.objects.get().lines.get().lot.part.number == "SH-12-36-150"


def test_after_an_undo_the_next_scan_replaces_what_was_refused(bench: Opens) -> None:
    page = bench(Role.CLERK)
    begin(page)
    for part, count in (("SH-12-34-150", "40"), ("NO-SUCH-PART", "7")):
        page.keyboard.type(part)
        page.keyboard.press("Enter")
        page.keyboard.type(count)
        page.keyboard.press("Enter")
    expect(page.locator(".field.wrong").first).to_be_visible()
    expect(page.locator("#desk")).to_contain_text("Nothing was changed")
    page.locator("td.undo summary").first.click()
    expect(page.locator("td.undo [name=reason]")).to_be_focused()
    page.keyboard.type("wrong bag")
    page.keyboard.press("Enter")
    expect(page.locator("#lines")).to_contain_text("Undone: 40")
    expect(page.locator("#desk")).not_to_contain_text("Nothing was changed")
    expect(page.locator("[name=part]")).to_be_focused()
    page.keyboard.type("SH-12-36-150")
    expect(page.locator("[name=part]")).to_have_value("SH-12-36-150")
    page.keyboard.press("Enter")
    expect(page.locator("[name=quantity]")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#lines tbody tr")).to_have_count(2)
    assert Delivery.objects.get().lines.latest("pk").lot.part.number == "SH-12-36-150"


@pytest.mark.parametrize(("status", "said"), [(403, "Reload the page"), (500, "Try again")])
def test_why_a_line_came_back_stays_in_sight(bench: Opens, console: Watch, status: int, said: str) -> None:
    page = bench(Role.CLERK)
    begin(page)

    def refuse(route: Route) -> None:
        if route.request.method == "POST":
            route.fulfill(status=status, body="no")
        else:
            route.continue_()

    page.route("**/deliveries/*", refuse)
    page.keyboard.type("SH-12-34-150")
    page.keyboard.press("Enter")
    page.keyboard.type("40")
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        page.keyboard.press("Enter")
    expect(page.locator("[name=quantity]")).to_have_value("40")
    # What is known of the part comes along with the typing, and takes nothing away.
    expect(page.locator("#known")).to_contain_text("SH-12-34-150")
    expect(page.locator("#trouble")).to_contain_text(said)
    console.take()


@pytest.mark.parametrize(
    "headers",
    [{"HX-Retarget": "#lock", "HX-Reswap": "innerHTML"}, {"HX-Redirect": "/sign-in"}],
    ids=["lock", "elsewhere"],
)
def test_a_session_that_is_over_has_taken_nothing_in(bench: Opens, headers: dict[str, str]) -> None:
    page = bench(Role.CLERK)
    begin(page)
    asked: list[str] = []

    def stay(dialog: Dialog) -> None:
        asked.append(dialog.type)
        dialog.dismiss()

    page.on("dialog", stay)

    def over(route: Route) -> None:
        if route.request.method == "POST":
            body = "<p>Sign in</p>" if "HX-Retarget" in headers else ""
            route.fulfill(status=200 if body else 204, headers=headers, body=body)
        else:
            route.continue_()

    page.route("**/deliveries/*", over)
    page.keyboard.type("SH-12-34-150")
    page.keyboard.press("Enter")
    page.keyboard.type("40")
    page.keyboard.press("Enter")
    expect(page.locator("[name=quantity]")).to_have_value("40")
    expect(page.locator("[name=part]")).to_have_value("SH-12-34-150")
    assert "/deliveries/" in page.url
    # Who is sent away is asked first.
    assert asked == ([] if "HX-Retarget" in headers else ["beforeunload"])
    assert Delivery.objects.get().lines.count() == 0


def test_without_script_the_enter_of_a_scanner_goes_on_to_the_count(no_script: Opens) -> None:
    page = no_script(Role.CLERK)
    begin(page)
    page.keyboard.type("SH-12-34-150")
    page.keyboard.press("Enter")
    expect(page.locator("[name=quantity]")).to_be_focused()
    expect(page.locator("main")).to_contain_text("Now the count.")
    expect(page.locator("main")).not_to_contain_text("Nothing was changed")
    page.keyboard.type("40")
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_contain_text("40 of SH-12-34-150")


def test_readings_of_a_refused_bag_are_not_those_of_the_next(bench: Opens) -> None:
    page = bench(Role.CLERK)
    wrong_bag(page)
    page.get_by_text("Lot number, condition").click()
    page.locator("[name=cure_date]").fill("2026-Q1")
    page.locator("[name=condition]").select_option("take_off")
    page.locator("[name=part]").select_text()
    page.keyboard.type("SH-12-36-200")
    expect(page.locator("[name=readings]")).to_have_value("")
    expect(page.locator("[name=cure_date]")).to_have_value("")
    expect(page.locator("[name=condition]")).to_have_value("new")
    # What was typed is told, so that it can be typed again where the part was only misread.
    expect(page.locator("#trouble")).to_contain_text("SH-12-34-200: 0,151 0,149 0,150")
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    expect(page.locator("#lines tbody tr")).to_have_count(1)
    lot = Delivery.objects.get().lines.get().lot
    assert (lot.part.number, lot.readings.count(), lot.cure_date, lot.condition) == ("SH-12-36-200", 0, "", "new")


def test_the_drawer_that_was_proposed_for_one_part_is_not_proposed_for_the_next(bench: Opens) -> None:
    page = bench(Role.CLERK)
    begin(page)
    page.keyboard.type("SH-12-34-150")
    page.keyboard.press("Enter")
    expect(page.locator("[name=drawer]")).not_to_have_value("")
    page.locator("[name=part]").fill("SH-12-3")
    expect(page.locator("[name=drawer]")).to_have_value("")
    expect(page.locator("#known .known")).to_have_count(0)


@pytest.mark.parametrize("readings", ["", "0.101 0.100"], ids=["count", "count and readings"])
@pytest.mark.parametrize("comes", ["before the count", "amid the count", "after the Enter"])
def test_an_ambiguous_size_is_said_before_anything_is_taken_in_for_it(bench: Opens, comes: str, readings: str) -> None:
    """10 x 0.10 mm are two parts, of bores 6 and 8 mm; the answer that says so comes when the test lets it."""
    page = bench(Role.CLERK)
    begin(page)
    held = Held(page, "**/deliveries/*", method="GET")
    choices = page.locator("#known .candidates button")

    def come() -> None:
        held.let_go()
        expect(choices).to_have_count(2)
        if comes != "after the Enter":
            expect(page.locator("#trouble")).to_contain_text("may be any of several parts")

    page.keyboard.type("10x0.10")
    page.keyboard.press("Enter")
    held.wait_for_one_with("part=10x0.10")
    if comes == "before the count":
        come()
    page.keyboard.type("4")
    if comes == "amid the count":
        come()
    page.keyboard.type("0")
    if readings:
        page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        page.keyboard.type(readings)
    page.keyboard.press("Enter")
    if comes == "after the Enter":
        expect(choices).to_have_count(2)
        come()
    expect(choices).to_have_count(2)
    assert Delivery.objects.get().lines.count() == 0
    # Everything typed on stands somewhere to be read, and no key of it has chosen a part.
    chosen = str(choices.nth(0).get_attribute("value"))
    page.keyboard.press("ArrowDown")
    expect(choices.nth(0)).to_be_focused()
    for name in ("quantity", "readings"):
        assert page.locator(f"[name={name}]").input_value() in ("", {"quantity": "40", "readings": readings}[name])
    page.keyboard.press("Enter")
    expect(choices).to_have_count(0)
    if comes != "after the Enter":
        expect(page.locator("[name=part]")).to_have_value(chosen)
        page.locator("[name=quantity]").fill("40")
        page.locator("[name=quantity]").press("Enter")
    expect(page.locator("#lines tbody tr")).to_have_count(1)
    line = Delivery.objects.get().lines.get()
    assert (line.lot.part.number, line.quantity) == (chosen, 40)
    assert [one.thickness_um for one in line.lot.readings.all()] in ([], [101, 100])
