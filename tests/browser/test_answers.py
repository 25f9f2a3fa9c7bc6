"""A verdict belongs to what it judged: from the first changed key it is marked as old, and nothing goes on from it."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import Page, expect

from inventory.holds.requests import Wanted
from inventory.jobs.models import Plan
from inventory.people.roles import Role
from inventory.stock.models import Balance
from tests import factories
from tests.browser.conftest import Opens
from tests.browser.held import Held
from tests.browser.watch import Watch

Axe = Callable[[Page], None]
LONG_TRAIL = "/bench?damper=QU-46-A&stack=Long trail"
NUT = "/fit/nut-on-shaft?damper=QU-46-A&part=NU-M12x1.25"
CALIBRATE = "/dampers/QU-46-A/calibrate?stack=Long trail"
POINTS = "0.03 10.3\n0.06 20.4\n0.09 30.9\n0.12 41.0"


def current(page: Page) -> None:
    """Waits until every answer on the page is the one for what stands in its fields."""
    expect(page.locator("[data-old], [data-half]")).to_have_count(0)


def opened(page: Page) -> None:
    """The bench with a saved stack, of which some pieces need stand-ins, and its whole answer."""
    page.goto(LONG_TRAIL)
    current(page)


def old(page: Page, words: str) -> None:
    expect(page.locator("#answer[data-old] .old-note")).to_contain_text(words)


def test_an_answer_is_old_from_the_first_key_and_right_again_when_the_key_is_taken_back(bench: Opens, axe: Axe) -> None:
    page = bench(Role.TUNER)
    opened(page)
    expect(page.locator(".old-note")).to_have_count(0)
    Held(page, "**/bench/answer", but="whole")
    page.locator("[name=main-rebound-2-count]").focus()
    page.keyboard.press("End")
    page.keyboard.type("0")
    old(page, "Out of date")
    assert page.locator(".verdict-word").evaluate("one => getComputedStyle(one).textDecorationLine") == "line-through"
    # What it says of the shelf belongs to the same answer.
    said = page.locator(".verdict-word ~ p").evaluate_all(
        "all => all.map(one => getComputedStyle(one).textDecorationLine)"
    )
    assert said and set(said) == {"line-through"}
    assert page.locator(".old-note").evaluate("one => getComputedStyle(one).textDecorationLine") == "none"
    axe(page)
    page.keyboard.press("Backspace")
    expect(page.locator(".old-note")).to_have_count(0)


def test_an_answer_that_comes_too_late_is_dropped(bench: Opens) -> None:
    page = bench(Role.TUNER)
    opened(page)
    expect(page.locator(".verdict-word")).to_have_text("It fits")
    held = Held(page, "**/bench/answer", but="whole")
    page.locator("[name=main-rebound-0-od]").fill("30")
    page.keyboard.press("Enter")
    held.wait_for(1)
    page.locator("[name=main-rebound-0-od]").fill("36")
    page.locator("[name=main-rebound-0-count]").fill("4")
    page.keyboard.press("Enter")
    held.routes[0].continue_()
    held.wait_for(2)
    expect(page.locator(".verdict-word")).to_have_text("It fits")
    old(page, "on its way")
    held.routes[1].continue_()
    current(page)
    expect(page.locator(".verdict-word")).to_have_text("It fits")
    expect(page.locator(".positions")).to_contain_text("36 x 0.20")
    assert len(held.routes) == 2, "one is under way at a time, and the last one decides"


def test_keeping_waits_for_the_answer_and_keeps_what_stands_in_the_rows(bench: Opens) -> None:
    page = bench(Role.TUNER)
    opened(page)
    held = Held(page, "**/bench/answer", but="whole")
    page.locator("[name=main-rebound-0-count]").fill("4")
    keep = page.get_by_role("button", name="Keep this plan")
    keep.click()
    held.wait_for(1)
    expect(page.locator(".waits")).to_contain_text("This waits for the answer")
    assert not Plan.objects.exists()
    held.routes[0].continue_()
    page.wait_for_url("**/plans/*")
    assert Plan.objects.get().request["valves"][0]["stacks"]["rebound"][0]["quantity"] == 4
    expect(page.get_by_text("The bench showed another answer")).to_have_count(0)


def test_a_key_takes_a_press_back_that_waits(bench: Opens) -> None:
    page = bench(Role.TUNER)
    opened(page)
    held = Held(page, "**/bench/answer", but="whole")
    page.locator("[name=main-rebound-0-count]").fill("4")
    page.get_by_role("button", name="Keep this plan").click()
    held.wait_for(1)
    page.locator("[name=main-rebound-0-count]").fill("3")
    expect(page.locator(".waits")).to_have_count(0)
    held.routes[0].continue_()
    current(page)
    assert page.url.endswith("trail") and not Plan.objects.exists()


def test_without_an_answer_nothing_is_kept_and_it_is_said(bench: Opens, console: Watch, axe: Axe) -> None:
    page = bench(Role.TUNER)
    opened(page)
    page.context.set_offline(True)
    page.locator("[name=main-rebound-0-count]").fill("4")
    page.get_by_role("button", name="Keep this plan").click()
    expect(page.locator(".waits")).to_contain_text("Nothing was kept")
    old(page, "Out of date. No connection.")
    axe(page)
    page.context.set_offline(False)
    current(page)
    page.route("**/bench/answer", lambda route: route.fulfill(status=500))
    page.locator("[name=main-rebound-0-count]").fill("2")
    page.keyboard.press("Enter")
    old(page, "The server did not answer.")
    page.unroute("**/bench/answer")
    page.get_by_role("button", name="Ask again").click()
    current(page)
    assert not Plan.objects.exists()
    console.take()


def test_a_shelf_that_changed_since_the_answer_is_said_on_the_plan(bench: Opens, axe: Axe) -> None:
    page = bench(Role.TUNER)
    opened(page)
    lot = page.locator(".positions .from small a").first.inner_text()
    factories.held(Wanted(quantity=Balance.objects.get(lot__number=lot).on_hand, lot=lot))
    page.get_by_role("button", name="Keep this plan").click()
    page.wait_for_url("**/plans/*")
    expect(page.locator(".messages")).to_contain_text("The bench showed another answer")
    axe(page)


def test_what_is_printed_while_it_is_old_says_so(bench: Opens) -> None:
    page = bench(Role.TUNER)
    opened(page)
    # The next answer stays away, or it could take the note from under the test.
    Held(page, "**/bench/answer", but="whole")
    page.locator("[name=main-rebound-0-count]").fill("4")
    page.emulate_media(media="print")
    note = page.locator(".old-note")
    expect(note).to_be_visible()
    assert note.evaluate("one => getComputedStyle(one).borderTopStyle") == "double"
    assert page.locator(".verdict-word").evaluate("one => getComputedStyle(one).textDecorationLine") == "line-through"


def test_the_curves_are_marked_as_old_with_the_rows(bench: Opens) -> None:
    page = bench(Role.TUNER)
    opened(page)
    page.get_by_role("button", name="Show the curves").click()
    expect(page.locator("figure.curve")).to_have_count(2)
    held = Held(page, "**/bench/**")
    page.locator("[name=main-rebound-0-count]").fill("4")
    expect(page.locator("#bench-curves[data-old] .old-note")).to_be_visible()
    page.keyboard.press("Enter")
    held.wait_for(1)
    held.let_go()
    current(page)
    expect(page.locator("figure.curve")).to_have_count(2)
    page.locator("[name=main-rebound-0-count]").fill("many")
    page.keyboard.press("Enter")
    expect(page.locator("#bench-curves")).to_contain_text("No curve yet")
    current(page)
    expect(page.locator("[name=main-rebound-0-count]")).to_have_attribute("aria-invalid", "true")


def test_other_ways_come_when_asked_and_are_marked_as_old_with_the_rows(bench: Opens, axe: Axe) -> None:
    page = bench(Role.TUNER)
    opened(page)
    page.get_by_role("button", name="Show other ways").click()
    ways = page.locator("#bench-others li")
    expect(ways.first).to_be_visible()
    before = ways.all_text_contents()
    axe(page)
    held = Held(page, "**/bench/**")
    page.locator("[name=main-compression-4-count]").fill("5")
    expect(page.locator("#bench-others[data-old] .old-note")).to_contain_text("Out of date.")
    page.keyboard.press("Enter")
    held.wait_for(1)
    held.let_go()
    current(page)
    expect(page.locator("#bench-others[data-old]")).to_have_count(0)
    expect(ways.first).not_to_have_text(before[0])
    page.locator("[name=main-compression-4-count]").fill("many")
    page.keyboard.press("Enter")
    expect(page.locator("#bench-others")).to_contain_text("correct what is marked above")


def test_the_fit_desk_marks_its_answer_and_drops_one_that_comes_too_late(bench: Opens, axe: Axe) -> None:
    page = bench(Role.TUNER)
    page.goto(NUT)
    expect(page.locator(".verdict-word")).to_be_visible()
    held = Held(page, "**/fit/nut-on-shaft")
    pitch = page.locator("[name=nut_thread]")
    pitch.fill("M12x1.5")
    old(page, "Out of date")
    axe(page)
    pitch.blur()
    held.wait_for(1)
    pitch.fill("M12x1.25")
    pitch.blur()
    held.routes[0].continue_()
    current(page)
    expect(page.locator(".verdict-word")).not_to_have_text("Does not fit")


def test_a_search_by_size_says_that_the_parts_are_those_of_another_question(bench: Opens, axe: Axe) -> None:
    page = bench(Role.TUNER)
    page.goto("/parts/by-size?q=nut 19 across flats, 1.25")
    page.locator("#by-size").press_sequentially("0")
    expect(page.locator(".answer[data-old] .old-note")).to_contain_text("Press Enter in the field")
    axe(page)


def test_a_list_of_what_can_be_built_says_that_it_is_of_another_choice(bench: Opens, axe: Axe) -> None:
    page = bench(Role.TUNER)
    page.goto("/buildable")
    expect(page.locator(".old-note")).to_have_count(0)
    page.locator("#damper").select_option("QU-46-A")
    expect(page.locator(".old-note")).to_contain_text("Press Show for the new one")
    axe(page)
    page.get_by_role("button", name="Show").click()
    expect(page.locator(".old-note")).to_have_count(0)


def test_a_fit_of_other_points_is_not_kept(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto(CALIBRATE)
    page.locator("[name=points]").fill(POINTS)
    page.get_by_role("button", name="See what it tells").click()
    keep = page.get_by_role("button", name="Keep it for this piston")
    expect(keep).to_be_visible()
    expect(page.locator(".old-note")).to_have_count(0)
    page.locator("[name=points]").fill(POINTS.replace("41.0", "40.0"))
    keep.click()
    expect(page.locator(".waits")).to_contain_text("Not yet: the answer shown is old")
    assert page.url.split("?")[0].endswith("/calibrate")


def test_a_server_that_never_answers_is_given_up_after_a_while(bench: Opens, console: Watch) -> None:
    page = bench(Role.TUNER)
    opened(page)
    assert page.locator("[data-ask]").first.get_attribute("hx-request") == '{"timeout":30000}'
    page.locator("#answer").evaluate("""one => one.setAttribute("hx-request", '{"timeout":300}')""")
    held = Held(page, "**/bench/answer")
    page.locator("[name=main-rebound-0-count]").fill("4")
    page.keyboard.press("Enter")
    held.wait_for(1)
    old(page, "The server did not answer.")
    for route in held.routes:
        route.abort()
    console.take()


# The shelf has too few of this size, and others that may stand in for it.
LACKING = {"main-compression-3-count": "9"}


def lack(page: Page) -> None:
    """Asks for more than lies there; the field is left, so the page asks."""
    for name, text in LACKING.items():
        page.locator(f"[name={name}]").fill(text)
        page.locator(f"[name={name}]").press("Enter")


def whole(held: Held) -> list[bool]:
    """Of each request held, whether it asks for the whole answer."""
    return ["whole" in (route.request.post_data or "") for route in held.routes]


def test_a_first_word_says_that_stand_ins_are_still_looked_for_until_the_whole_answer_is_there(
    bench: Opens, axe: Axe
) -> None:
    page = bench(Role.TUNER)
    opened(page)
    held = Held(page, "**/bench/answer")
    lack(page)
    held.wait_for(1)
    held.routes[0].continue_()
    held.wait_for(2)
    assert whole(held) == [False, True], "asked for straight after, by the page itself"
    note = page.locator("#answer .half-note")
    expect(note).to_have_text("Stand-ins are still being looked for. This is not the answer yet.")
    expect(page.locator("#answer .verdict-word")).to_have_text("Not all of it is there as written")
    axe(page)
    page.emulate_media(media="print")
    expect(note).to_be_visible()
    page.emulate_media(media="screen")
    held.routes[1].continue_()
    expect(note).to_have_count(0)
    expect(page.locator("#answer .stand-in, #answer .lack").first).to_be_visible()
    assert len(held.routes) == 2


def test_keeping_waits_for_the_whole_answer(bench: Opens) -> None:
    page = bench(Role.TUNER)
    opened(page)
    held = Held(page, "**/bench/answer")
    lack(page)
    held.wait_for(1)
    held.routes[0].continue_()
    held.wait_for(2)
    expect(page.locator("#answer .half-note")).to_be_visible()
    page.get_by_role("button", name="Keep this plan").click()
    expect(page.locator(".waits")).to_contain_text("This waits for the answer")
    assert not Plan.objects.exists()
    held.routes[1].continue_()
    page.wait_for_url("**/plans/*")
    expect(page.get_by_text("The bench showed another answer")).to_have_count(0)
    expect(page.get_by_text("Nothing was kept")).to_have_count(0)
    assert Plan.objects.count() == 1


def test_rows_that_change_before_the_whole_answer_drop_it(bench: Opens) -> None:
    page = bench(Role.TUNER)
    opened(page)
    count = page.locator("[name=main-compression-3-count]")
    before = count.input_value()
    held = Held(page, "**/bench/answer")
    lack(page)
    held.wait_for(1)
    held.routes[0].continue_()
    held.wait_for(2)
    count.fill(before)
    old(page, "Out of date")
    expect(page.locator("#answer .half-note")).to_be_hidden()
    count.press("Enter")
    held.routes[1].continue_()
    held.wait_for(3)
    assert whole(held) == [False, True, False], "other rows begin with a first word again"
    old(page, "Out of date")
    expect(page.locator("#answer [data-half]")).to_have_count(1)
    held.routes[2].continue_()
    held.wait_for(4)
    held.routes[3].continue_()
    current(page)
    expect(page.locator(".verdict-word")).to_have_text("It fits")
    assert whole(held) == [False, True, False, True]


def test_a_key_taken_back_goes_on_from_the_first_word(bench: Opens) -> None:
    page = bench(Role.TUNER)
    opened(page)
    held = Held(page, "**/bench/answer")
    lack(page)
    held.wait_for(1)
    held.routes[0].continue_()
    held.wait_for(2)
    count = page.locator("[name=main-compression-3-count]")
    count.focus()
    page.keyboard.press("End")
    page.keyboard.type("0")
    held.routes[1].continue_()
    held.routes[1].request.response()
    old(page, "Out of date. The answer comes as soon as you go on.")
    page.keyboard.press("Backspace")
    held.wait_for(3)
    assert whole(held) == [False, True, True]
    held.routes[2].continue_()
    expect(page.locator("#answer [data-half]")).to_have_count(0)
    current(page)


def test_a_whole_answer_that_stays_away_is_said_and_nothing_is_kept(bench: Opens, console: Watch) -> None:
    page = bench(Role.TUNER)
    opened(page)
    page.route(
        "**/bench/answer",
        lambda route: route.fulfill(status=500) if "whole" in (route.request.post_data or "") else route.continue_(),
    )
    lack(page)
    old(page, "The server did not answer.")
    expect(page.locator("#answer .half-note")).to_be_hidden()
    page.get_by_role("button", name="Keep this plan").click()
    expect(page.locator(".waits")).to_contain_text("Nothing was kept")
    assert not Plan.objects.exists()
    page.unroute("**/bench/answer")
    page.get_by_role("button", name="Ask again").click()
    expect(page.locator("#answer [data-half]")).to_have_count(0)
    current(page)
    console.take()


def test_a_bench_opened_anew_asks_for_what_stands_in_by_itself_and_without_script_too(
    bench: Opens, no_script: Opens
) -> None:
    page = bench(Role.TUNER)
    opened(page)
    lack(page)
    current(page)
    expect(page.locator("#answer [data-half]")).to_have_count(0)
    page.get_by_role("button", name="Keep this plan").click()
    page.wait_for_url("**/plans/*")
    kept = Plan.objects.get().pk
    held = Held(page, "**/bench/answer")
    page.goto(f"/bench?plan={kept}")
    held.wait_for(1)
    assert whole(held) == [True], "the page came with the first word"
    expect(page.locator("#answer .half-note")).to_be_visible()
    held.let_go()
    expect(page.locator("#answer [data-half]")).to_have_count(0)
    plain = no_script(Role.TUNER)
    plain.goto(f"/bench?plan={kept}")
    plain.wait_for_url("**whole=yes")
    expect(plain.locator("#answer .positions")).to_be_visible()
    expect(plain.locator("#answer [data-half]")).to_have_count(0)
