"""Every page at the bench and on a phone: usable by everybody, inside the screen, without a complaint."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from inventory.people.roles import Role
from tests.browser import desk
from tests.browser.conftest import Opens

Axe = Callable[[Page], None]
PAGES: list[tuple[Role | None, str]] = [
    (None, "/sign-in"),
    (Role.CLERK, "/"),
    (Role.TUNER, "/"),
    (Role.LEAD, "/"),
    (Role.CLERK, "/my-pin"),
    (Role.CLERK, "/nowhere"),
    (Role.TUNER, "/take-in"),
    (Role.CLERK, "/shelf"),
    (Role.CLERK, "/shelf?bore=12&condition=both"),
    (Role.CLERK, "/shelf?bore=12&condition=take_off"),
    (Role.CLERK, "/shelf?kind=nut"),
    (Role.CLERK, "/shelf?kind=oring"),
    (Role.CLERK, "/shelf?kind=fluid"),
    (Role.CLERK, "/find?q=34x0.15"),
    (Role.CLERK, "/find?q=33x0.15"),
    (Role.CLERK, "/find?q=nothing like it"),
    (Role.CLERK, "/find"),
    (Role.CLERK, "/parts/by-size"),
    (Role.CLERK, "/parts/by-size?q=ring about 44 x 3.5"),
    (Role.TUNER, "/parts/by-size?q=nut 18 across flats, 1.25, bore 10.8"),
    (Role.CLERK, "/parts/by-size?q=ring 45 x 3.0"),
    (Role.CLERK, "/drawers/D-10-03"),
    (Role.CLERK, "/drawers/D-10-03?count"),
    (Role.TUNER, "/drawers/D-10-03"),
    (Role.CLERK, "/lots/L00838"),
    (Role.TUNER, "/lots/L00838"),
    (Role.CLERK, "/parts/SH-12-34-150"),
    (Role.CLERK, "/parts/NU-M12x1.25"),
    (Role.CLERK, "/parts/OR-222-NBR"),
    (Role.TUNER, "/parts/OIL-M10"),
    (Role.TUNER, "/parts/SH-12-34-150"),
    (Role.CLERK, "/take-in"),
    (Role.CLERK, "/take-in/opening"),
    (Role.TUNER, "/dampers"),
    (Role.TUNER, "/dampers/QU-46-A"),
    (Role.TUNER, "/dampers/UN-40-X"),
    (Role.TUNER, "/dampers/NU-48-F"),
    (Role.TUNER, "/dampers/QU-46-A?stack=Long trail"),
    (Role.TUNER, "/dampers/QU-46-A/edit"),
    (Role.TUNER, "/dampers/new"),
    (Role.TUNER, "/dampers/QU-46-A/calibrate?stack=Long trail"),
    (Role.TUNER, "/buildable"),
    (Role.CLERK, "/buildable?damper=QU-46-A"),
    (Role.TUNER, "/fit"),
    (Role.TUNER, "/fit/nut-on-shaft"),
    (Role.TUNER, "/fit/nut-on-shaft?damper=QU-46-A&part=NU-M12x1.25"),
    (Role.TUNER, "/fit/thread-reading?part=nut&diameter_mm=10.66"),
    (Role.TUNER, "/fit/torque?thread=M12x1.25&torque_lbf_ft=25&property_class=8.8&hole_mm=6"),
    (Role.TUNER, "/fit/inspection"),
    (Role.TUNER, "/fit/inspection?bore_nominal_mm=46&band_measured_od_mm=45.98&band_energiser_size=222"),
    (Role.TUNER, "/fit/oring?ring_size=222&gland_bore_mm=44&gland_groove_mm=38.3&gland_width_mm=4.75&motion=static"),
    (Role.TUNER, "/fit/band?bore_mm=46&groove_mm=38.6&band_thickness_mm=0.95&energiser_size=222&measured_od_mm=46.05"),
    (Role.TUNER, "/fit/bore?nominal_mm=46&max_diameter_mm=46.08&readings=20: 46.02 46.01%0A80: 46.05 46.02"),
    (Role.TUNER, "/fit/shaft?nominal_mm=16&readings=20: 15.98 15.97&surface=pitted"),
    (Role.TUNER, "/fit/clearance?nominal_mm=12&bore_class=H9&shaft_class=g6"),
    (Role.TUNER, "/fit/face-shim?damper=QU-46-A"),
    (Role.TUNER, "/fit/spacer?damper=QU-46-A"),
    (Role.TUNER, "/fit/stack"),
]


def fits_the_screen(page: Page) -> None:
    """Nothing sticks out to the right, so that nobody has to push the page about."""
    assert page.viewport_size is not None
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]


def unfold(page: Page) -> None:
    """Opens whatever is folded: it is part of the page too."""
    page.evaluate("document.querySelectorAll('main details').forEach(one => one.open = true)")


@pytest.mark.parametrize(("role", "address"), PAGES, ids=[f"{role}-{address}" for role, address in PAGES])
def test_a_page_has_nothing_that_somebody_cannot_use(bench: Opens, axe: Axe, role: Role | None, address: str) -> None:
    page = bench(role)
    page.goto(address)
    assert page.title().endswith("- shimshelf")
    assert page.locator("h1").count() == 1
    unfold(page)
    for size in (desk.BENCH, desk.PHONE):
        page.set_viewport_size(size["viewport"])
        axe(page)
        fits_the_screen(page)


def test_the_first_tab_leads_past_the_head(bench: Opens) -> None:
    page = bench(Role.CLERK)
    page.goto("/shelf?bore=12")
    page.keyboard.press("Tab")
    expect(page.locator(".skip")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#main")).to_be_focused()


def test_a_scan_finds_its_page_from_anywhere(bench: Opens, scanner: Callable[[Page, str], int]) -> None:
    page = bench(Role.CLERK)
    page.goto("/")
    for code, address in (
        ("L00838", "/lots/L00838"),
        ("d-10-03", "/drawers/D-10-03"),
        ("SH-12-34-150", "/parts/SH-12-34-150"),
    ):
        page.locator("h1").click()
        page.keyboard.press("/")
        scanner(page, code)
        page.wait_for_url(f"**{address}")
