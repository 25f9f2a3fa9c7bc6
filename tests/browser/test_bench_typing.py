"""Hands are faster than the server: what is typed on the bench stands there as it was typed, on any network."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from compat.pages.stack_text import read_lines
from inventory.people.roles import Role
from tests.browser import slow
from tests.browser.conftest import Opens
from tests.browser.held import Held
from tests.browser.watch import Watch

EMPTY = "/bench?damper=QU-46-A"
# Eight sizes a side, no two alike, so that a key in a wrong field shows.
EIGHT = {
    "compression": "40 0.15 4,24 0.1 1,38 0.15 1,36 0.2 2,34 0.15 3,32 0.1 1,30 0.2 2,22 0.3 1",
    "rebound": "36 0.2 3,22 0.1 1,34 0.15 2,32 0.15 1,30 0.1 4,28 0.2 1,26 0.15 2,20 0.3 1",
}


def eight(side: str) -> list[list[str]]:
    """[[diameter, thickness, count], ...] of a side."""
    return [row.split() for row in EIGHT[side].split(",")]


def rows_of(page: Page, side: str) -> list[list[str]]:
    """What stands in the rows of a side, the empty one behind them left out."""
    read = """side => [...document.querySelectorAll(`[name^=main-${side}-][name$=-od]`)].map(od =>
        ["od", "thickness", "count"].map(cell => document.querySelector(`[name=${od.name.replace("od", cell)}]`).value)
    )"""
    rows: list[list[str]] = page.evaluate(read, side)
    assert rows[-1] == ["", "", ""], "an empty row stands behind the last one"
    return rows[:-1]


def type_rows(page: Page, side: str, rows: list[list[str]], delay_ms: int) -> None:
    """Types rows without a look at the page, as one reads a caliper: cell, Enter, cell, Enter."""
    page.locator(f"[name=main-{side}-0-od]").focus()
    for row in rows:
        for cell in row:
            page.keyboard.type(cell, delay=delay_ms)
            page.keyboard.press("Enter")


@pytest.mark.parametrize(("added_ms", "key_ms"), [(0, 60), (120, 60), (300, 60), (800, 60), (300, 20)])
def test_eight_rows_a_side_stand_there_as_they_were_typed(bench: Opens, added_ms: int, key_ms: int) -> None:
    page = bench(Role.TUNER)
    page.goto(EMPTY)
    with slow.added(added_ms):
        for side in EIGHT:
            type_rows(page, side, eight(side), key_ms)
        for side in EIGHT:
            assert rows_of(page, side) == eight(side)
        expect(page.locator("#answer .verdict-word")).to_be_visible()
        expect(page.locator("[data-old]")).to_have_count(0)
    for side in EIGHT:
        assert rows_of(page, side) == eight(side), "the answer changes nothing that was typed"


def test_eight_rows_a_side_stand_there_without_a_network(bench: Opens, console: Watch) -> None:
    page = bench(Role.TUNER)
    page.goto(EMPTY)
    page.context.set_offline(True)
    for side in EIGHT:
        type_rows(page, side, eight(side), 60)
    for side in EIGHT:
        assert rows_of(page, side) == eight(side)
    expect(page.locator("#answer")).to_contain_text("No connection")
    console.take()
    page.context.set_offline(False)
    expect(page.locator("#answer .verdict-word")).to_be_visible()
    console.take()


# What people type as a line, and what they may type by mistake. The page reads no line otherwise than the server.
LINES = """
34x0.15 x3|34 0,15 3|3 x 34 x 0.15|34x0.15x12 x3|34x0.15 x3 notched|34x0.15|34 x ,15|.5x.1
34×0.15 ×2|34*0.15*3|34x0.15x12|34x0.15x4|34x0.15x12x3|34x0.15x12 3|10 x 20 x 0.2|20 x 0.3|0.15x34
34x6|34|x|34x|34x0.15 x3 square|34mm x 0.15mm|2 pcs 34x0.15|34x0.15 2 pcs|3 of 34x0.15|Ø34 x 0.15
34x0.1555|3400x0.15|34x0.15 x1000|34x0.15 x0|0x0|34 x 0.15 mm x 3|34x0.15 round|34x0.15 x3 round
34;0.15|34x0.15 3 slotted|8x0.1x6 x2|8x0.1 x6|8x0.1x6|34  0.15   3|34x0.15 x 3|34x0.15 x3x
"""
# The same numbers in every place: a count that may be a bore, a thickness that is none, a diameter that is none.
WAYS = (
    "{od}x{t}",
    "{od}x{t} x{n}",
    "{od} {t} {n}",
    "{od} x {t} x {n}",
    "{od}x{t}x{n}",
    "{n} x {od} x {t}",
    "{n} x {od}x{t}",
    "{n} x {od}x{t}x8",
    "{od}x{t}x{n} x2",
    "{od}x{t} {n} notched",
)
ODS = ("2", "3", "6", "8", "10", "34", "200", "201")
THICKNESSES = (".01", "0.02", "0,15", "1", "2.5", "4", "6")
COUNTS = ("0", "1", "5", "6", "8", "12", "40")


def test_the_page_reads_a_line_as_the_server_does_or_leaves_it_to_the_server(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto(EMPTY)
    lines = [line for row in LINES.split("\n")[1:-1] for line in row.split("|")]
    lines += [way.format(od=od, t=t, n=n) for way in WAYS for od in ODS for t in THICKNESSES for n in COUNTS]
    read = page.evaluate(
        """async ([address, lines]) => {
            const { readLine } = await import(address);
            return lines.map(readLine);
        }""",
        ["/static/inventory/stack-lines.js", lines],
    )
    by_page = {line: found for line, found in zip(lines, read, strict=True) if found}
    assert by_page.keys() >= set(lines[:7]), "the page itself reads the usual ways"
    for line, found in by_page.items():
        cells = [found[name] for name in ("od", "thickness", "count", "bore", "form")]
        stack, faults = read_lines(line)
        assert len(stack) == 1 and not faults, (line, found, faults)
        (told,) = stack
        sizes = [told["od_mm"], told["thickness_mm"], told["quantity"], told.get("bore_mm", ""), told.get("form", "")]
        numbers = [float(cell.replace(",", ".")) if cell and cell[0] in "0123456789.," else cell for cell in cells]
        assert numbers == sizes, line


def paste(page: Page, text: str) -> None:
    """Pastes into the field that has the focus."""
    page.evaluate(
        """text => {
            const data = new DataTransfer();
            data.setData("text", text);
            const paste = {clipboardData: data, bubbles: true, cancelable: true};
            document.activeElement.dispatchEvent(new ClipboardEvent("paste", paste));
        }""",
        text,
    )


def test_nothing_of_what_is_pasted_is_lost_and_what_is_no_size_says_so(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto(EMPTY)
    with slow.added(800):
        page.locator("[name=main-rebound-0-od]").focus()
        paste(page, "36x0.2 x3 # face\n22 0,10\nsomething else\n3 x 20x0.3; 18x0.2x12 x2 notched\n")
        assert rows_of(page, "rebound") == [
            ["36", "0.2", "3"],
            ["22", "0,10", "1"],
            ["something else", "", ""],
            ["20", "0.3", "3"],
            ["18", "0.2", "2"],
        ]
        expect(page.locator("[name=main-rebound-5-od]")).to_be_focused()
        page.keyboard.type("16")
    more = page.locator("[name=main-rebound-4-bore]")
    expect(more).to_have_value("12")
    expect(page.locator(".shim-more:visible")).to_have_text("bore 12 mm notched")
    wrong = page.locator("[name=main-rebound-2-od]")
    page.keyboard.press("Tab")
    expect(wrong).to_have_attribute("aria-invalid", "true")
    expect(wrong).to_have_value("something else")


def test_lines_pasted_between_rows_leave_the_rows_that_stand_there(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto(EMPTY)
    type_rows(page, "rebound", eight("rebound")[:2], 0)
    page.locator("[name=main-rebound-1-od]").focus()
    paste(page, "30x0.1\n28x0.1")
    assert [row[0] for row in rows_of(page, "rebound")] == ["36", "30", "28", "22"]


def test_rows_are_moved_put_in_and_taken_away_while_the_server_is_slow(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto(EMPTY)
    with slow.added(800):
        type_rows(page, "rebound", eight("rebound")[:3], 0)
        page.locator("[name=main-rebound-2-thickness]").focus()
        page.keyboard.press("Alt+ArrowUp")
        page.keyboard.press("Alt+Insert")
        page.keyboard.type("30")
        page.keyboard.press("Enter")
        page.keyboard.type("0.1")
        assert [row[0] for row in rows_of(page, "rebound")] == ["36", "30", "34", "22"]
        page.locator("[name=main-rebound-3-od]").focus()
        page.keyboard.press("Alt+Delete")
        page.keyboard.press("Alt+Insert")
        page.keyboard.press("Alt+Delete")
        page.keyboard.press("Alt+ArrowDown")
        assert [row[0] for row in rows_of(page, "rebound")] == ["36", "30", "34"]
        labels = page.locator("[data-side=main-rebound] [name$=-od]").evaluate_all(
            "all => all.map(one => one.getAttribute('aria-label'))"
        )
        assert labels == [f"rebound line {number}: diameter, mm" for number in (1, 2, 3, 4)]


def test_the_last_row_is_moved_and_taken_away_like_any_other_and_lines_come_behind_it(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto(EMPTY)
    for cell, text in (("od", "40"), ("thickness", "0.15"), ("count", "3")):
        page.locator(f"[name=main-rebound-0-{cell}]").fill(text)
    page.locator("[data-side=main-rebound] summary").click()
    page.locator("#main-rebound-text").fill("22x0.1; 20x0.1")
    page.locator("[data-side=main-rebound]").get_by_role("button", name="Take these lines").click()
    assert [row[0] for row in rows_of(page, "rebound")] == ["40", "22", "20"]
    page.locator("[name=main-rebound-3-od]").fill("18")
    page.locator("[name=main-rebound-3-od]").press("Alt+Delete")
    assert [row[0] for row in rows_of(page, "rebound")] == ["40", "22", "20"]


def typed_through(page: Page, names: list[str], *, delay_ms: int) -> list[str]:
    """Types another number into each field and goes on by Tab; all must stand there. Gives them."""
    fields = [page.locator(f"main [name={name}]") for name in names]
    for number, field in enumerate(fields):
        field.focus()
        page.keyboard.press("Control+a")
        page.keyboard.type(f"1{number}.5", delay=delay_ms)
        page.keyboard.press("Tab")
    values = [field.input_value() for field in fields]
    assert values == [f"1{number}.5" for number in range(len(names))]
    return values


def test_the_fields_of_every_page_with_an_answer_keep_what_is_typed_while_it_comes(bench: Opens) -> None:
    page = bench(Role.TUNER)
    for added_ms in (150, 800):
        for question in ("nut-on-shaft", "oring", "bore", "inspection"):
            page.goto(f"/fit/{question}?damper=QU-46-A")
            fields = page.locator(".asked-form [data-row] input[type=text]:visible:not([data-passed-over])")
            names = fields.evaluate_all("all => all.slice(0, 6).map(one => one.name)")
            assert len(names) >= 2, question
            with slow.added(added_ms):
                values = typed_through(page, names, delay_ms=20)
                expect(page.locator("#answer[data-old]")).to_have_count(0)
            assert [page.locator(f"[name={name}]").input_value() for name in names] == values


@pytest.mark.parametrize(
    ("role", "address", "fields"),
    [
        (Role.TUNER, "/dampers/QU-46-A/edit", "input[type=text]:visible:enabled"),
        (Role.TUNER, "/dampers/QU-46-A/calibrate?stack=Long trail", "textarea, [name=thickness_error_mm], [name=note]"),
        (Role.TUNER, "/parts/by-size?q=ring 44 x 3.5", "#by-size"),
        (Role.CLERK, "/drawers/D-05-01?count", "input[type=text]:visible"),
    ],
)
def test_no_key_lands_elsewhere_while_the_server_is_slow(bench: Opens, role: Role, address: str, fields: str) -> None:
    page = bench(role)
    page.goto(address)
    names = page.locator(f"main :is({fields})").evaluate_all("all => all.slice(0, 6).map(one => one.name)")
    assert names
    with slow.added(800):
        typed_through(page, names, delay_ms=60)


def in_sight(page: Page, selector: str) -> bool:
    """Whether an element lies within what the screen shows."""
    box = page.locator(selector).first.bounding_box()
    size = page.viewport_size
    assert size is not None
    return box is not None and box["y"] >= 0 and box["y"] + box["height"] <= size["height"]


def test_the_verdict_stays_in_sight_beside_the_last_rebound_row(bench: Opens, phone: Opens) -> None:
    for opens in (bench, phone):
        page = opens(Role.TUNER)
        page.goto("/bench?damper=QU-46-A&stack=Long trail")
        last = page.locator("[data-side=main-rebound] [name$=-count]").last
        last.focus()
        last.evaluate("one => one.scrollIntoView({block: 'center'})")
        assert in_sight(page, ".verdict-word") and in_sight(page, ".plan-count")
        Held(page, "**/bench/answer")
        page.keyboard.type("7")
        assert in_sight(page, ".old-note")


def test_a_phone_shows_the_verdict_and_what_is_missing_before_rows_drawing_and_tables(phone: Opens) -> None:
    page = phone(Role.TUNER)
    page.goto("/bench?damper=QU-46-A&stack=Long trail")
    page.locator("[name=main-rebound-0-count]").fill("150")
    page.keyboard.press("Enter")
    expect(page.locator(".plan-missing")).to_contain_text("36 x 0.20 (rebound)")
    page.evaluate("scrollTo(0, 0)")
    assert in_sight(page, ".verdict-word") and in_sight(page, ".plan-missing")
    order = [".verdict", ".plan-missing", "#bench-form", ".positions", ".plan-section"]
    boxes = [page.locator(one).first.bounding_box() for one in order]
    heights = [box["y"] for box in boxes if box]
    assert len(heights) == len(order) and heights == sorted(heights)
