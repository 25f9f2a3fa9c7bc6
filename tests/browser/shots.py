"""Which pages are taken, by whom, and in which state."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from playwright.sync_api import Page


@dataclass(frozen=True)
class Shot:
    """A page to take: its name, who looks at it, where, and what is done there first."""

    name: str
    role: str | None
    path: str
    steps: Callable[[Page], None] | None = None


def press(page: Page, name: str) -> None:
    """Presses the first button of that name and waits for what comes."""
    page.get_by_role("button", name=name).first.click()
    page.wait_for_load_state("networkidle")


def keep_the_plan(page: Page) -> None:
    press(page, "Keep this plan")


def show_other_ways(page: Page) -> None:
    page.get_by_role("button", name="Show other ways").click()
    page.locator("#bench-others li").first.wait_for()
    page.locator("#others").scroll_into_view_if_needed()


def show_the_curves(page: Page) -> None:
    page.get_by_role("button", name="Show the curves").click()
    page.locator("figure.curve").first.wait_for()


def hold_the_plan(page: Page) -> None:
    keep_the_plan(page)
    press(page, "Hold")


def hold_for_nothing_known(page: Page) -> None:
    keep_the_plan(page)
    page.locator("[name=job]").fill("J-NEW")
    press(page, "Hold")


def open_the_hold(page: Page) -> None:
    hold_the_plan(page)
    page.locator(".held-note a").click()


def type_rubbish(page: Page) -> None:
    page.locator("[name=main-rebound-1-thickness]").fill("thin")
    keep_the_plan(page)


def type_what_nobody_knows(page: Page) -> None:
    page.locator("#by-size").fill("ring about fourty-four")
    press(page, "Search")


def explain_points(page: Page) -> None:
    page.locator("[name=points]").fill("0.03 10.3\n0.06 20.4\n0.09 30.9\n0.12 41.0")
    press(page, "See what it tells")


def keep_the_fit(page: Page) -> None:
    explain_points(page)
    press(page, "Keep it")


def wrong_password(page: Page) -> None:
    page.locator("[name=username]").fill("pim")
    page.locator("[name=password]").fill("not this")
    press(page, "Sign in")


def share_and_lock(page: Page) -> None:
    page.locator("[name=username]").fill("pim")
    page.locator("[name=password]").fill("oily-hands-2026")
    page.locator("[name=shared]").check()
    press(page, "Sign in")
    press(page, "Change person")


def start_a_delivery(page: Page) -> None:
    page.locator("main form button[type=submit]").first.click()
    page.wait_for_url("**/deliveries/*")


def take_a_line(page: Page) -> None:
    start_a_delivery(page)
    page.keyboard.type("SH-12-34-150")
    page.keyboard.press("Enter")
    page.keyboard.type("40")
    page.keyboard.press("Enter")
    page.locator("#lines tbody tr").first.wait_for()


def an_unknown_part(page: Page) -> None:
    start_a_delivery(page)
    page.keyboard.type("34x0.33")
    page.keyboard.press("Enter")
    page.locator("#known .known").wait_for()


def correct(page: Page) -> None:
    page.get_by_text("Correct this").first.click()


LONG_TRAIL = "/bench?damper=QU-46-A&stack=Long trail"
SHOTS = [
    Shot("sign-in", None, "/sign-in"),
    Shot("sign-in-wrong", None, "/sign-in", wrong_password),
    Shot("locked", None, "/sign-in", share_and_lock),
    Shot("my-pin", "clerk", "/my-pin"),
    Shot("start-clerk", "clerk", "/"),
    Shot("start-tuner", "tuner", "/"),
    Shot("start-lead", "lead", "/"),
    Shot("bench-empty", "tuner", "/bench"),
    Shot("bench-typing", "tuner", "/bench?damper=QU-46-A"),
    Shot("bench", "tuner", LONG_TRAIL),
    Shot("bench-does-not-fit", "tuner", "/bench?damper=QU-46-A&stack=Sides swapped"),
    Shot("bench-cannot-tell", "tuner", "/bench?damper=LE-46-X&stack=As found"),
    Shot("bench-fork", "tuner", "/bench?damper=ZE-43-F&stack=Base, stock"),
    Shot("bench-wrong", "tuner", LONG_TRAIL, type_rubbish),
    Shot("bench-others", "tuner", LONG_TRAIL, show_other_ways),
    Shot("bench-curves", "tuner", LONG_TRAIL, show_the_curves),
    Shot("buildable", "tuner", "/buildable"),
    Shot("plan", "tuner", LONG_TRAIL, keep_the_plan),
    Shot("plan-refused", "tuner", LONG_TRAIL, hold_for_nothing_known),
    Shot("plan-held", "tuner", LONG_TRAIL, hold_the_plan),
    Shot("hold", "tuner", LONG_TRAIL, open_the_hold),
    Shot("shelf", "clerk", "/shelf?bore=12"),
    Shot("shelf-take-offs", "clerk", "/shelf?bore=12&condition=take_off"),
    Shot("shelf-nuts", "clerk", "/shelf?kind=nut"),
    Shot("shelf-orings", "clerk", "/shelf?kind=oring"),
    Shot("shelf-fluids", "clerk", "/shelf?kind=fluid"),
    Shot("find", "clerk", "/find?q=34x0.15"),
    Shot("find-ring", "clerk", "/find?q=222"),
    Shot("find-near", "clerk", "/find?q=33x0.15x12"),
    Shot("find-nothing", "clerk", "/find?q=nothing like it"),
    Shot("by-size-empty", "clerk", "/parts/by-size"),
    Shot("by-size-ring", "clerk", "/parts/by-size?q=ring about 44 x 3.5"),
    Shot("by-size-nut", "tuner", "/parts/by-size?q=nut 18 across flats, 1.25, bore 10.8"),
    Shot("by-size-shim", "clerk", "/parts/by-size?q=shim 34 x 0.15 bore 12 micrometer"),
    Shot("by-size-nothing", "clerk", "/parts/by-size?q=ring 45 x 3.0"),
    Shot("by-size-refused", "clerk", "/parts/by-size", type_what_nobody_knows),
    Shot("drawer", "clerk", "/drawers/D-10-03"),
    Shot("drawer-count", "clerk", "/drawers/D-05-01?count"),
    Shot("lot", "clerk", "/lots/L00838"),
    Shot("lot-correct", "clerk", "/lots/L00838", correct),
    Shot("part", "clerk", "/parts/SH-12-34-150"),
    Shot("part-nut", "tuner", "/parts/NU-M12x1.25"),
    Shot("part-oring", "clerk", "/parts/OR-222-NBR"),
    Shot("part-fluid", "clerk", "/parts/OIL-M10"),
    Shot("part-correct", "clerk", "/parts/SH-12-34-150", correct),
    Shot("take-in", "clerk", "/take-in"),
    Shot("delivery", "clerk", "/take-in", take_a_line),
    Shot("delivery-empty", "clerk", "/take-in", start_a_delivery),
    Shot("delivery-unknown", "clerk", "/take-in", an_unknown_part),
    Shot("opening", "clerk", "/take-in/opening"),
    Shot("dampers", "tuner", "/dampers"),
    Shot("damper", "tuner", "/dampers/QU-46-A"),
    Shot("damper-unknown", "tuner", "/dampers/UN-40-X"),
    Shot("damper-edit", "tuner", "/dampers/QU-46-A/edit"),
    Shot("damper-new", "tuner", "/dampers/new"),
    Shot("calibrate", "tuner", "/dampers/QU-46-A/calibrate?stack=Long trail", explain_points),
    Shot("damper-calibrated", "tuner", "/dampers/QU-46-A/calibrate?stack=Long trail", keep_the_fit),
    Shot("fit-desk", "tuner", "/fit"),
    Shot("fit-nut", "tuner", "/fit/nut-on-shaft?damper=QU-46-A&part=NU-M12x1.5"),
    Shot("fit-thread", "tuner", "/fit/thread-reading?part=nut&diameter_mm=10.66"),
    Shot("fit-torque", "tuner", "/fit/torque?thread=M12x1.25&torque_lbf_ft=25&property_class=8.8&hole_mm=6"),
    Shot(
        "fit-oring",
        "tuner",
        "/fit/oring?ring_size=222&gland_bore_mm=44..44.039&gland_groove_mm=38.238..38.3&gland_width_mm=4.75"
        "&gland_land_mm=43.9&hardness_shore_a=70&coldest_c=-10&pressure_bar=20&ring_cure_date=2026-Q1"
        "&motion=static&compound=NBR&fluid=mineral_oil&temperature_c=80&reused=no",
    ),
    Shot("fit-oring-shelf", "tuner", "/fit/oring?damper=QU-46-A&part=OR-222-NBR"),
    Shot("inspection-model", "tuner", "/fit/inspection?damper=QU-46-A"),
    Shot("fit-bore-model", "tuner", "/fit/bore?damper=QU-46-A&readings=20: 46.02 46.01%0A80: 46.05 46.02"),
    Shot(
        "fit-band",
        "tuner",
        "/fit/band?bore_mm=46&groove_mm=38.6&band_thickness_mm=0.95&energiser_size=222&measured_od_mm=46.05"
        "&bore_wear_diametral_mm=0",
    ),
    Shot(
        "fit-bore",
        "tuner",
        "/fit/bore?nominal_mm=46&max_diameter_mm=46.08&travel_from_mm=15&travel_to_mm=118"
        "&readings=20: 46.02 46.01 46.015%0A65: 46.05 46.02 46.02%0A110: 46.03 46.02 46.02",
    ),
    Shot(
        "inspection",
        "tuner",
        "/fit/inspection?bore_nominal_mm=46&bore_max_diameter_mm=46.08"
        "&bore_travel_from_mm=15&bore_travel_to_mm=118"
        "&bore_readings=20: 46.02 46.01 46.015%0A65: 46.05 46.02 46.02%0A110: 46.03 46.02 46.02"
        "&band_groove_mm=38.6&band_band_thickness_mm=0.95&band_energiser_size=222"
        "&band_measured_od_mm=45.98&band_band_wear_radial_mm=0.02&shaft_nominal_mm=12&shaft_surface=ok"
        "&joint_shaft_thread=M12x1.25&joint_nut_thread=M12x1.25&joint_nut_gauged_pitch_mm=1.5",
    ),
    Shot("fit-shaft", "tuner", "/fit/shaft?nominal_mm=16&readings=20: 15.98 15.97&surface=pitted"),
    Shot("fit-clearance", "tuner", "/fit/clearance?nominal_mm=12&bore_class=H9&shaft_class=g6"),
    Shot("fit-face-shim", "tuner", "/fit/face-shim?damper=QU-46-A"),
    Shot("fit-stack", "tuner", "/fit/stack?damper=QU-46-A"),
    Shot("fit-spacer", "tuner", "/fit/spacer?damper=QU-46-A"),
    Shot("admin", "lead", "/admin/"),
]
