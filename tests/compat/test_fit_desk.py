"""The fit desk: measured lengths as people write them, questions asked by form, sizes taken from models and parts."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.forms import ValidationError
from django.http import QueryDict
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from compat.asking.blanks import Blank
from compat.pages.blanks import BlankSheet, initial_of
from compat.pages.document_paths import blank_path, nested, with_lists
from compat.pages.fit.fit_forms import QUESTIONS
from compat.pages.measured import (
    Measured,
    Millimetre,
    Reading,
    read_figure,
    read_length,
    said_length,
    write_figure,
    write_length,
    write_number,
)
from compat.questions import asks
from compat.texts import rendering
from inventory.dampers.models import DamperRevision
from inventory.people.actors import Actor
from inventory.stock.models import Condition, Movement
from tests import factories, people
from tests.api.conftest import STACKS, damper_document, lay_in, saved_damper
from tests.compat.saved import saved_stack
from tests.visiting import signed_in

SWAP = {"HX-Request": "true"}


# Figures and lengths as people write them.


@pytest.mark.parametrize(
    ("typed", "figure"),
    [
        ("", None),
        ("2", 2.0),
        ("1,25", 1.25),
        ("0", 0.0),
        ("1.5..2.5", {"min": 1.5, "max": 2.5}),
        ("1,5 - 2,5", {"min": 1.5, "max": 2.5}),
        ("1.5 to 2.5", {"min": 1.5, "max": 2.5}),
        ("18000..22000 (19000)", {"min": 18000.0, "max": 22000.0, "nominal": 19000.0}),
        ("2 ±0.1", {"min": 1.9, "max": 2.1, "nominal": 2.0}),
        ("0.00012..0.00034", {"min": 0.00012, "max": 0.00034}),
    ],
)
def test_a_figure_takes_its_limits_as_a_length_does(typed: str, figure: Any) -> None:
    assert read_figure(typed) == figure
    written = write_figure(figure)
    again = read_figure(written)
    if isinstance(figure, dict) and "nominal" in figure and "(" not in written:
        figure = {name: figure[name] for name in ("min", "max")}
    assert again == figure


@pytest.mark.parametrize("typed", ["-1", "2..1", "1 ±2", "x", "1..", "1..2 (3)", "1 N.m", "nan", "1e3", "9" * 200])
def test_a_figure_that_cannot_be_read_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(ValueError, match=r"as in|measured"):
        read_figure(typed)


@pytest.mark.parametrize(("question", "path"), [("torque", "prevailing_n_m"), ("nut-on-shaft", "preload_n")])
def test_the_desk_takes_a_range_where_the_question_does(question: str, path: str) -> None:
    blanks = [blank for blank in QUESTIONS[question].blanks if blank.path == path]
    assert len(blanks) == 1
    sheet = BlankSheet(blanks, {path: "1,5..2,5"})
    assert sheet.is_valid(), sheet.errors
    assert sheet.request() == {path: {"min": 1.5, "max": 2.5}}
    assert dict(initial_of(blanks, {path: {"min": 1.5, "max": 2.5, "nominal": 2.0}})) == {path: "1.5..2.5"}


# Lengths


@pytest.mark.parametrize(
    ("typed", "length"),
    [
        ("12", 12.0),
        (" 12,5 ", 12.5),
        ("12.5 mm", 12.5),
        (",5", 0.5),
        ("0", 0.0),
        ("11.97..12.00", {"min": 11.97, "max": 12.0}),
        ("11,97..12,00", {"min": 11.97, "max": 12.0}),
        ("11.97-12.00", {"min": 11.97, "max": 12.0}),
        ("11.97 – 12", {"min": 11.97, "max": 12.0}),
        ("11.97 to 12", {"min": 11.97, "max": 12.0}),
        ("12±0.02", {"min": 11.98, "max": 12.02, "nominal": 12.0}),
        ("12 +-0,02", {"min": 11.98, "max": 12.02, "nominal": 12.0}),
        ("12 +/- 0.02 mm", {"min": 11.98, "max": 12.02, "nominal": 12.0}),
        ("11.97..12 (11.99)", {"min": 11.97, "max": 12.0, "nominal": 11.99}),
        ("", None),
        ("mm", None),
    ],
)
def test_a_length_is_read_as_people_write_it(typed: str, length: Any) -> None:
    assert read_length(typed) == length


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("twelve", "Type a length"),
        ("12 in", "Type a length"),
        ("-5", "Type a length"),
        ("11,97,12", "Type a length"),
        ("11..12..13", "Type a length"),
        ("1e3", "Type a length"),
        ("12.00..11.97", "The smaller limit comes first"),
        ("11.97..12 (12.01)", "within the limits"),
        ("1 ±2", "larger than the length"),
        ("12.0001", "at most 3 decimals"),
        ("11.9701..12", "at most 3 decimals"),
        ("999999", "is the unit right?"),
    ],
)
def test_what_is_no_length_is_refused_with_what_to_type(typed: str, said: str) -> None:
    with pytest.raises(ValidationError) as caught:
        Measured().clean(typed)
    assert said in caught.value.messages[0]


micrometres = st.integers(0, 900_000)


@given(micrometres)
def test_a_number_written_is_read_back_as_the_same_number(um: int) -> None:
    assert read_length(write_length(um / 1000)) == um / 1000


@given(st.floats(0.01, 999_999))
def test_a_number_that_is_no_length_is_read_back_with_all_of_its_decimals(value: float) -> None:
    assert Reading().clean(write_number(value)) == value


@given(st.lists(micrometres, min_size=3, max_size=3))
def test_a_range_written_is_read_back_as_the_same_range(ends: list[int]) -> None:
    """The form of the API is what counts: a range of no width is the number."""
    low, best, high = (um / 1000 for um in sorted(ends))
    read = read_length(write_length({"min": low, "max": high, "nominal": best}))
    whole = read if isinstance(read, dict) else {"min": read, "max": read, "nominal": read}
    assert whole == {"min": low, "max": high, "nominal": best} or (
        "nominal" not in whole and (low + high) / 2 == best and (whole["min"], whole["max"]) == (low, high)
    )


def test_a_middle_between_two_micrometres_is_kept_by_its_limits() -> None:
    limits = {"min": 11.975, "max": 12.0, "nominal": (11.975 + 12.0) / 2}
    assert write_length(limits) == "11.975..12"


def test_a_length_is_said_with_its_unit() -> None:
    assert said_length({"min": 11.97, "max": 12.0, "nominal": 12.0}) == "11.97 to 12 mm"
    assert said_length({"min": 28, "max": 28, "nominal": 28}) == said_length(28) == "28 mm"


@pytest.mark.parametrize(("field", "typed", "value"), [(Millimetre(), "0,5", 0.5), (Reading(), "1,25", 1.25)])
def test_a_plain_number_takes_a_comma(field: Any, typed: str, value: float) -> None:
    assert field.clean(typed) == value
    assert field.clean("") is None
    with pytest.raises(ValidationError):
        field.clean("1..2")


# Forms made from blanks.


def test_what_is_left_empty_is_left_out_and_lists_close_their_gaps() -> None:
    values = [("a.b", 1), ("a.c", None), ("w.0.place", "x"), ("w.2.place", "x"), ("w.2.name", "sleeve")]
    places: dict[str, str] = {}
    assert with_lists(nested(values), places) == {"a": {"b": 1}, "w": [{"place": "x", "name": "sleeve"}]}
    assert blank_path("w.0.name", places) == "w.2.name"
    assert blank_path("a.b", places) == "a.b"


def test_an_unknown_kind_of_blank_is_a_defect_that_shows() -> None:
    with pytest.raises(ValueError, match="no kind of blank"):
        BlankSheet([Blank("a", "A", "guess")])


@pytest.mark.parametrize("question", QUESTIONS.values(), ids=list(QUESTIONS))
def test_each_field_of_a_form_is_one_that_the_question_takes(question: Any) -> None:
    """What is typed in every field reaches the check of the API, which refuses fields that it does not know."""
    samples = {"flag": "on", "lines": "34x0.15 x3", "diameters": "20: 46.02 46.01"}
    data = QueryDict(mutable=True)
    form = BlankSheet(question.blanks)
    for name, blank in form.blanks.items():
        choices = getattr(form.fields[name], "choices", None)
        data[name] = (
            list(choices)[-1][0]
            if choices
            else samples.get(blank.kind, "M12x1.25"[: blank.most] if blank.kind == "text" else "12")
        )
    sent = BlankSheet(question.blanks, data)
    assert sent.is_valid(), sent.errors
    request = sent.request()
    serializer = asks.QUESTIONS[question.slug][0](data=request)
    serializer.is_valid()
    assert "unknown_field" not in repr(serializer.errors)


@pytest.mark.parametrize("question", QUESTIONS.values(), ids=list(QUESTIONS))
def test_each_letter_of_the_picture_stands_beside_a_field(question: Any) -> None:
    form = BlankSheet(question.blanks, letters=question.letters)
    beside = {row.letter for row in form.rows() if row.letter}
    beside |= {word for row in form.rows() for word in re.findall(r"\b[A-Z]\b", row.blank.help)}
    assert beside == set(question.letters.values())


# The pages.


@pytest.fixture
def clerk(client: Client, db: None) -> Client:
    return signed_in(client, people.clerk())


@pytest.fixture
def tuner(client: Client, db: None) -> Client:
    return signed_in(client, people.tuner())


def address(question: str) -> str:
    return reverse("fit-question", kwargs={"question": question})


def read(response: Any) -> str:
    """The page as a person reads it: no tags, blanks as one."""
    text = re.sub(r"<[^>]+>", " ", response.content.decode())
    return " ".join(html.unescape(text).split())


def value_of(response: Any, name: str) -> str:
    """What stands in an input, or the chosen option of a select, or a textarea."""
    page = response.content.decode()
    if found := re.search(rf'<textarea name="{name}"[^>]*>(.*?)</textarea>', page, re.DOTALL):
        return html.unescape(found[1]).strip()
    if found := re.search(rf'<select name="{name}".*?</select>', page, re.DOTALL):
        chosen = re.search(r'<option value="([^"]*)" selected', found[0])
        return html.unescape(chosen[1]) if chosen else ""
    found = re.search(rf'<input[^>]* name="{name}"[^>]*>', page)
    assert found, f"no field {name}"
    value = re.search(r' value="([^"]*)"', found[0])
    return html.unescape(value[1]) if value else ""


def beside(response: Any, name: str) -> str:
    """The error beside a field."""
    found = re.search(rf'id="id_{name}_error">(.*?)</p>', response.content.decode(), re.DOTALL)
    return html.unescape(found[1]).strip() if found else ""


def verdict(response: Any) -> str:
    found = re.search(r'<div class="verdict" data-verdict="(\w+)"', response.content.decode())
    return found[1] if found else ""


def origins(response: Any) -> dict[str, str]:
    """{field: what stands beside it about where its value comes from}."""
    return {name: html.unescape(text) for name, text in response.context["form"].origins.items()}


def send(client: Client, slug: str, page: Any, *, swap: Any = False, **changes: Any) -> Any:
    """Sends the form as the page shows it, with changes; an empty text empties the field."""
    fields = {name: value_of(page, name) for name in (*page.context["form"].fields, *page.context["taking"].fields)}
    hidden = {name: value_of(page, name) for name in ("was", "taken")}
    return client.post(address(slug), {**fields, **hidden, **changes}, headers=SWAP if swap else {})


# A nut and a shaft's end of which everything is known and everything fits.
GOOD_NUT = {
    "shaft_thread": "M12x1.25",
    "shaft_gauged_pitch_mm": "1,25",
    "shaft_hand": "right",
    "shaft_tolerance_class": "6g",
    "shaft_property_class": "10.9",
    "shaft_major_mm": "11.85..11.95",
    "shaft_end_condition": "plain",
    "shaft_full_thread_start_mm": "24",
    "shaft_shaft_end_mm": "42",
    "shaft_hole_mm": "5",
    "shaft_thread_relief": "yes",
    "shaft_relief_diameter_mm": "10",
    "nut_thread": "M12x1.25",
    "nut_gauged_pitch_mm": "1.25",
    "nut_hand": "right",
    "nut_tolerance_class": "6H",
    "nut_property_class": "10",
    "nut_minor_mm": "10.75 ±0.03",
    "nut_height_mm": "10",
    "nut_chamfer_mm": "0,5",
    "nut_underside_mm": "25",
    "nut_condition": "new",
    "nut_locking": "compound",
    "preload_n": "20000",
}
GOOD_FACE = {
    "shim_od_mm": "36",
    "shim_bore_mm": "12",
    "ports_inner_mm": "22",
    "ports_outer_mm": "34.2",
    "land_outer_mm": "36.8",
    "hub_mm": "20",
    "other_side_feed_inner_mm": "37.6",
    "overlap_mm": "0,5",
    "shaft_mm": "11.97..12",
    "body_bore_mm": "46",
}
# A window of 0.3 to 0.6 mm under the plate.
GOOD_SPACER = {
    "stack_height_mm": "19.5",
    "shoulder_to_lip_mm": "22",
    "base_plate_mm": "4",
    "on_straight_mm": "1.9",
    "past_lip_mm": "1.8",
    "clamp_od_mm": "20",
    "spacer_max_od_mm": "28",
    "shaft_mm": "12",
    "take_offs": "on",
}
LINES = {
    side: "\n".join(f"{line['od_mm']:g}x{line['thickness_mm']:g} x{line['quantity']}" for line in lines)
    for side, lines in STACKS.items()
}
GOOD_STACK = {"valve": "main", "stacks_compression": LINES["compression"], "stacks_rebound": LINES["rebound"]}


def test_the_desk_offers_each_question_in_plain_words_with_what_is_needed(clerk: Client) -> None:
    page = clerk.get(reverse("fit-desk"))
    text = read(page)
    for question in QUESTIONS.values():
        assert question.desk.title in text and question.desk.needs in text
        assert f'href="{address(question.slug)}"' in page.content.decode()


@pytest.mark.parametrize("slug", QUESTIONS)
def test_a_question_opens_without_an_answer_and_with_its_picture(clerk: Client, slug: str) -> None:
    page = clerk.get(address(slug))
    assert page.status_code == 200
    assert verdict(page) == ""
    assert "Type what was measured" in read(page)
    assert 'class="drawing' in page.content.decode()
    assert "autofocus" in page.content.decode()


def test_an_unknown_question_is_not_found(clerk: Client) -> None:
    assert clerk.get("/fit/anything").status_code == 404


@pytest.mark.parametrize("slug", QUESTIONS)
def test_nobody_asks_without_signing_in(client: Client, db: None, slug: str) -> None:
    assert client.get(address(slug))["Location"].startswith(reverse("sign-in"))
    sent = client.post(address(slug), {"typed": "text"})
    assert sent.status_code == 403 and verdict(sent) == ""


@pytest.mark.parametrize("actor", [people.clerk, people.tuner, people.lead])
def test_everybody_of_the_workshop_may_ask(client: Client, db: None, actor: Callable[[], Actor]) -> None:
    assert signed_in(client, actor()).post(address("face-shim"), GOOD_FACE).status_code == 200


@pytest.mark.parametrize(("slug", "typed"), [("nut-on-shaft", GOOD_NUT), ("face-shim", GOOD_FACE)])
def test_what_fits_is_said_in_a_word_and_a_shape(clerk: Client, slug: str, typed: dict[str, str]) -> None:
    page = clerk.post(address(slug), typed)
    assert (page.status_code, verdict(page)) == (200, "fits")
    assert "It fits" in read(page)
    closed_ring = '<circle cx="24" cy="24" r="13" stroke-width="12"/>'
    assert page.content.decode().count(closed_ring) == 1


@pytest.mark.parametrize(
    ("slug", "typed", "missing"),
    [
        *(
            ("nut-on-shaft", GOOD_NUT, name)
            for name in ("shaft_gauged_pitch_mm", "nut_gauged_pitch_mm", "nut_minor_mm")
        ),
        *(("face-shim", GOOD_FACE, name) for name in GOOD_FACE),
    ],
)
def test_a_size_that_is_not_measured_is_never_taken_to_fit(
    clerk: Client, slug: str, typed: dict[str, str], missing: str
) -> None:
    page = clerk.post(address(slug), {**typed, missing: ""})
    assert (page.status_code, verdict(page)) == (200, "cannot_tell")
    assert "Cannot tell yet" in read(page)


def test_nothing_typed_says_what_to_measure(clerk: Client) -> None:
    page = clerk.post(address("nut-on-shaft"), {})
    assert (page.status_code, verdict(page)) == (200, "cannot_tell")
    assert "Gauge the pitch of the nut" in read(page)


def test_the_wrong_pitch_stops_and_the_reason_comes_before_notes(clerk: Client) -> None:
    """M12x1.5 on M12x1.25: common practice, no published source."""
    page = clerk.post(address("nut-on-shaft"), {**GOOD_NUT, "nut_thread": "M12x1.5", "nut_gauged_pitch_mm": "1.5"})
    assert verdict(page) == "does_not_fit"
    assert "Does not fit" in read(page)
    kinds = re.findall(r'<li class="finding" data-kind="(\w+)"', page.content.decode())
    assert kinds[0] == "stop"
    order = ["stop", "measure", "warn", "note"]
    assert kinds == sorted(kinds, key=order.index) and len(set(kinds)) > 1


# By a wrong answer to these a damper comes apart; by one to others it lets oil out, or says its own caution.
COMES_APART = {"nut-on-shaft", "thread-reading", "torque", "stack", "spacer", "inspection", "rings-for-gland"}


@pytest.mark.parametrize("slug", QUESTIONS)
def test_cautions_stand_beside_every_answer_in_the_open(clerk: Client, slug: str) -> None:
    stack = GOOD_STACK | {"shaft_mm": "12"}
    joint = {"thread": "M12x1.25", "torque_n_m": "34"}
    by_slug = {"torque": joint, "thread-reading": {"part": "nut"}, "stack": stack, "spacer": GOOD_SPACER}
    typed = {**by_slug, "oring": {"gland_kind": "piston"}}.get(slug, {})
    page = clerk.post(address(slug), typed)
    assert page.status_code == 200
    assert "people get hurt" in read(page) or slug not in COMES_APART
    assert "The maker's instructions and local codes outrank this tool" in read(page)
    before = page.content.decode().split('class="cautions"')[0]
    assert before.count("<details") == before.count("</details>")


def test_the_form_asks_what_the_api_would_be_asked(clerk: Client) -> None:
    """Every value and finding on the page is that of the same request over the API."""
    asked = {
        "shim_od_mm": 36.0,
        "shim_bore_mm": 12.0,
        "ports_inner_mm": 22.0,
        "ports_outer_mm": 34.2,
        "land_outer_mm": 36.8,
        "hub_mm": 20.0,
        "other_side_feed_inner_mm": 37.6,
        "overlap_mm": 0.5,
        "shaft_mm": {"min": 11.97, "max": 12.0},
        "body_bore_mm": 46.0,
    }
    answer = asks.ask("face-shim", asked)
    text = read(clerk.post(address("face-shim"), GOOD_FACE))
    for finding in answer["findings"]:
        assert finding["text"] in text
    cover = answer["values"]["outer_cover_mm"]
    assert f"{cover['min']:.3f} to {cover['max']:.3f} mm" in text


@pytest.mark.parametrize(
    ("slug", "typed", "field", "said"),
    [
        ("nut-on-shaft", {"nut_height_mm": "ten"}, "nut_height_mm", "Type a length"),
        ("nut-on-shaft", {"nut_height_mm": "9999"}, "nut_height_mm", "is the unit right?"),
        ("nut-on-shaft", {"shaft_thread": "M twelve"}, "shaft_thread", "M twelve"),
        ("nut-on-shaft", {"shaft_gauged_pitch_mm": "99"}, "shaft_gauged_pitch_mm", "within 0.1 and 10"),
        (
            "nut-on-shaft",
            {"shaft_gauged_pitch_mm": "1.25", "shaft_gauged_threads_per_inch": "20"},
            "shaft_gauged_threads_per_inch",
            "not both",
        ),
        ("face-shim", {"overlap_mm": "0..1"}, "overlap_mm", "Type a number"),
        ("face-shim", {"shim_od_mm": "0"}, "shim_od_mm", "is the unit right?"),
        ("spacer", {**GOOD_SPACER, "clamp_od_mm": ""}, "clamp_od_mm", "required"),
        ("stack", {**GOOD_STACK, "stacks_rebound": "34 of something"}, "stacks_rebound", "Line 1"),
        ("stack", {"valve": "main"}, "stacks_compression", "has no shims"),
        ("stack", {"stacks_rebound": "34x0.15 x3\n12x0.15 x1", "shaft_mm": "12"}, "stacks_rebound", "Size 2, diameter"),
        ("stack", {**GOOD_STACK, "shaft_mm": ""}, "stacks_compression", "shaft's diameter"),
        ("stack", {**GOOD_STACK, "washers_1_height_mm": "2", "shaft_mm": "12"}, "washers_1_name", "required"),
    ],
)
def test_what_is_wrong_is_said_beside_its_field_and_the_typing_stays(
    clerk: Client, slug: str, typed: dict[str, str], field: str, said: str
) -> None:
    page = clerk.post(address(slug), typed)
    assert page.status_code == 422
    assert said in beside(page, field)
    assert verdict(page) == ""
    for name, text in typed.items():
        if name != "take_offs":
            assert value_of(page, name) == text
    assert re.search(rf'name="{field}"[^>]*autofocus', page.content.decode())


def test_a_swap_brings_the_answer_alone(clerk: Client) -> None:
    page = clerk.post(address("face-shim"), GOOD_FACE, headers=SWAP)
    assert (page.status_code, verdict(page)) == (200, "fits")
    assert "<form" not in page.content.decode() and "<html" not in page.content.decode()


def test_a_swap_with_something_wrong_names_the_field_and_leads_to_it(clerk: Client) -> None:
    page = clerk.post(address("face-shim"), {**GOOD_FACE, "hub_mm": "x"}, headers=SWAP)
    assert page.status_code == 422
    assert '<a href="#id_hub_mm">Hub</a>' in page.content.decode()


def test_asking_writes_nothing(tuner: Client, shelf: str) -> None:
    before = Movement.objects.count(), DamperRevision.objects.count()
    tuner.post(address("spacer"), GOOD_SPACER)
    tuner.post(address("stack"), {**GOOD_STACK, "damper": shelf})
    assert (Movement.objects.count(), DamperRevision.objects.count()) == before


# Sizes from models and parts.


def test_sizes_of_a_model_fill_the_form_and_are_marked_as_not_measured(clerk: Client, damper: str) -> None:
    page = clerk.get(address("nut-on-shaft"), {"damper": damper})
    assert value_of(page, "shaft_thread") == "M12x1.25"
    assert value_of(page, "shaft_shaft_end_mm") == "42"
    assert value_of(page, "shaft_gauged_pitch_mm") == "", "a pitch is gauged, never taken over"
    assert page.content.decode().count('<p class="origin">HA-46, not measured</p>') == 9
    assert verdict(page) == "cannot_tell"
    assert "9 sizes are taken over, not measured" in read(page)


def test_sizes_of_a_nut_on_the_shelf_fill_the_form(clerk: Client, damper: str) -> None:
    factories.nut("M12x1.5", number="NU-FINE", height_mm=9.5, tolerance_class="unknown")
    page = clerk.get(address("nut-on-shaft"), {"damper": damper, "part": "NU-FINE"})
    assert value_of(page, "nut_thread") == "M12x1.5"
    assert value_of(page, "nut_height_mm") == "9.5"
    assert value_of(page, "nut_tolerance_class") == "", "unknown is not known"
    assert verdict(page) == "does_not_fit"


def test_what_was_typed_is_no_longer_marked(clerk: Client, damper: str) -> None:
    opened = clerk.get(address("nut-on-shaft"), {"damper": damper})
    page = send(clerk, "nut-on-shaft", opened, shaft_shaft_end_mm="41.8")
    assert origins(page)["shaft_thread"] == "HA-46, not measured"
    assert "shaft_shaft_end_mm" not in origins(page) and len(origins(page)) == 8


def test_what_was_typed_before_a_model_was_chosen_is_a_reading_though_the_model_says_the_same(
    clerk: Client, damper: str
) -> None:
    page = clerk.post(address("nut-on-shaft"), {"damper": damper, "shaft_shaft_end_mm": "42"})
    assert "shaft_shaft_end_mm" not in origins(page) and "shaft_thread" in origins(page)


def test_the_ports_of_the_side_are_taken(clerk: Client, damper: str) -> None:
    factories.shim(34, 0.15, 12, number="SH-34")
    compression = clerk.get(address("face-shim"), {"damper": damper, "side": "compression", "part": "SH-34"})
    rebound = clerk.get(address("face-shim"), {"damper": damper, "side": "rebound", "part": "SH-34"})
    assert value_of(compression, "ports_outer_mm") == "34.2"
    assert value_of(rebound, "ports_outer_mm") == "32.2"
    assert value_of(rebound, "shaft_mm") == "11.97..12 (12)"
    # A 34 mm shim on the side of the 36 mm ports leaves them open. Common practice, no published source.
    assert (verdict(compression), verdict(rebound)) == ("does_not_fit", "fits")


def test_taking_keeps_what_was_typed_and_takes_out_what_the_last_model_put_in(clerk: Client, damper: str) -> None:
    saved_damper(damper_document("OTHER", shaft_end_mm=50.0, hole_mm=None, thread="M12x1.5"))
    first = clerk.get(address("nut-on-shaft"), {"damper": damper})
    typed = {"shaft_shaft_end_mm": "41.9", "nut_height_mm": "9,8"}
    page = send(clerk, "nut-on-shaft", first, damper="OTHER", take="yes", **typed)
    assert value_of(page, "shaft_thread") == "M12x1.5", "the first model had put it in"
    assert value_of(page, "shaft_hole_mm") == "", "the other model does not know it"
    assert value_of(page, "shaft_shaft_end_mm") == "41.9", "somebody measured it"
    assert value_of(page, "nut_height_mm") == "9,8"
    assert set(origins(page).values()) == {"OTHER, not measured"}


@pytest.fixture
def damper(db: None) -> str:
    """The model of the API's tests, with the seals that the questions of wear take."""
    return saved_damper({**damper_document(), "shaft": {"diameter_mm": 16}, "rod_gland": {"groove_mm": 22}})


# A second model, whose sizes differ from the first's in every question.
def other_damper() -> str:
    document = damper_document("OTHER", thread="M14x1.5", shoulder_to_lip_mm=30.0)
    document["valves"][0] |= {"body_bore_mm": 50.0, "piston_height_mm": 14.0}
    document["valves"][0]["base_plates"]["rebound"]["height_mm"] = 5.0
    document["valves"][0]["shaft_mm"] = 11.99
    return saved_damper({**document, "shaft": {"diameter_mm": 18}, "rod_gland": {"groove_mm": 24}})


# Of each question one size that both models know: (field, of the first, of the other).
BOTH_KNOW = {
    "nut-on-shaft": ("shaft_thread", "M12x1.25", "M14x1.5"),
    "face-shim": ("body_bore_mm", "46", "50"),
    "stack": ("piston_height_mm", "12", "14"),
    "spacer": ("base_plate_mm", "4", "5"),
    "torque": ("thread", "M12x1.25", "M14x1.5"),
    "oring": ("gland_groove_mm", "22", "24"),
    "band": ("bore_mm", "46", "50"),
    "bore": ("nominal_mm", "46", "50"),
    "shaft": ("nominal_mm", "16", "18"),
    "clearance": ("shaft_mm", "11.97..12 (12)", "11.99"),
    "inspection": ("bore_nominal_mm", "46", "50"),
}
assert {slug for slug, question in QUESTIONS.items() if question.of_model} == set(BOTH_KNOW)
NEEDED = {
    "stack": GOOD_STACK,
    "torque": {"torque_n_m": "34"},
    "spacer": {"stack_height_mm": "19.5", "clamp_od_mm": "20"},
}


@pytest.mark.parametrize("slug", BOTH_KNOW)
def test_an_answer_is_about_the_model_that_is_chosen_above_it(clerk: Client, damper: str, slug: str) -> None:
    """Chosen and answered without taking first: no size of the model before stays under the new name."""
    other_damper()
    field, first, second = BOTH_KNOW[slug]
    opened = clerk.get(address(slug), {"damper": damper})
    assert (value_of(opened, field), origins(opened)[field]) == (first, "HA-46, not measured")
    page = send(clerk, slug, opened, damper="OTHER", **NEEDED.get(slug, {}))
    assert page.status_code == 200 and verdict(page) != ""
    assert (value_of(page, field), origins(page)[field]) == (second, "OTHER, not measured")
    assert "HA-46, not measured" not in read(page)


@pytest.mark.parametrize("slug", BOTH_KNOW)
def test_a_change_of_the_choice_brings_no_answer_about_the_one_before(clerk: Client, damper: str, slug: str) -> None:
    """With script a change asks for the answer alone, which cannot fill the form."""
    other_damper()
    opened = clerk.get(address(slug), {"damper": damper})
    page = send(clerk, slug, opened, swap=True, damper="OTHER", **NEEDED.get(slug, {}))
    assert page.status_code == 200 and verdict(page) == ""
    assert "the sizes of OTHER are not in the form. Press Answer" in read(page)
    kept = send(clerk, slug, opened, swap=True, **NEEDED.get(slug, {}))
    assert verdict(kept) != ""


@pytest.mark.parametrize("slug", BOTH_KNOW)
def test_taking_no_model_after_all_makes_no_reading_of_what_was_taken(clerk: Client, damper: str, slug: str) -> None:
    field, first, _ = BOTH_KNOW[slug]
    opened = clerk.get(address(slug), {"damper": damper})
    page = send(clerk, slug, opened, damper="", **NEEDED.get(slug, {}))
    assert (value_of(page, field), origins(page)[field]) == (first, "HA-46, not measured")
    assert "taken over, not measured" in read(page)


def test_a_size_that_was_taken_and_emptied_on_purpose_stays_empty(clerk: Client, damper: str) -> None:
    opened = clerk.get(address("nut-on-shaft"), {"damper": damper})
    page = send(clerk, "nut-on-shaft", opened, shaft_hole_mm="")
    assert value_of(page, "shaft_hole_mm") == "" and value_of(page, "shaft_thread") == "M12x1.25"


def test_a_part_that_is_chosen_and_not_taken_is_taken_before_it_is_judged(clerk: Client, damper: str) -> None:
    factories.nut("M12x1.25", number="NU-1", height_mm=10)
    factories.nut("M12x1.5", number="NU-2", height_mm=9)
    opened = clerk.get(address("nut-on-shaft"), {"damper": damper, "part": "NU-1"})
    assert origins(opened)["nut_thread"] == "NU-1, not measured"
    page = send(clerk, "nut-on-shaft", opened, part="NU-2")
    assert (value_of(page, "nut_thread"), origins(page)["nut_thread"]) == ("M12x1.5", "NU-2, not measured")
    assert origins(page)["shaft_thread"] == "HA-46, not measured"
    assert verdict(page) == "does_not_fit"


@pytest.mark.parametrize("text", ["[]", "{", '{"hub_mm": 3}', '{"hub_mm": ["20"]}', "9" * 50_000])
def test_what_a_form_never_wrote_marks_nothing(clerk: Client, text: str) -> None:
    page = clerk.post(address("face-shim"), {**GOOD_FACE, "taken": text, "was": text})
    assert (page.status_code, verdict(page), origins(page)) == (200, "fits", {})


def test_an_address_cannot_say_what_was_taken(clerk: Client) -> None:
    page = clerk.get(address("face-shim"), {**GOOD_FACE, "taken": '{"hub_mm": ["20", "somewhere"]}'})
    assert origins(page) == {}


def test_enter_in_a_choice_sends_the_form_as_anywhere_else(clerk: Client, damper: str) -> None:
    page = clerk.get(address("face-shim")).content.decode()
    assert all("data-enter-presses" in tag for tag in re.findall(r'<select name="(?:damper|valve|side)"[^>]*>', page))


def test_sizes_in_the_address_come_before_those_of_the_model(clerk: Client, damper: str) -> None:
    page = clerk.get(address("nut-on-shaft"), {"damper": damper, "shaft_thread": "M12x1.75"})
    assert value_of(page, "shaft_thread") == "M12x1.75"


@pytest.mark.parametrize(
    ("query", "field", "said"),
    [
        ({"part": "NONE"}, "part", "There is no part NONE"),
        ({"part": "SH-1"}, "part", "is a shim"),
        ({"damper": "NONE"}, "damper", "NONE is not one of the available choices"),
    ],
)
def test_a_model_or_part_that_cannot_be_taken_is_said_beside_its_field(
    clerk: Client, query: dict[str, str], field: str, said: str
) -> None:
    factories.shim(number="SH-1")
    opened = clerk.get(address("nut-on-shaft"), query)
    assert opened.status_code == 200
    assert said in beside(opened, field)
    sent = clerk.post(address("nut-on-shaft"), {**query, "nut_height_mm": "9,8"})
    assert sent.status_code == 422
    assert said in beside(sent, field)
    assert value_of(sent, "nut_height_mm") == "9,8"


def test_a_valve_that_the_model_lacks_is_said_beside_its_field(clerk: Client, damper: str) -> None:
    page = clerk.post(address("face-shim"), {"damper": damper, "valve": "base", "shim_od_mm": "30"})
    assert page.status_code == 422
    assert "has no valve base" in beside(page, "valve")


def test_a_model_without_a_shaft_end_fills_nothing(clerk: Client) -> None:
    saved_damper({"code": "BARE", "name": "bare", "valves": [{"code": "base"}]})
    page = clerk.get(address("nut-on-shaft"), {"damper": "BARE"})
    assert value_of(page, "shaft_thread") == ""
    assert verdict(page) == "cannot_tell"


def test_the_spacer_question_takes_plate_and_lip_and_says_what_is_still_needed(clerk: Client, damper: str) -> None:
    page = clerk.get(address("spacer"), {"damper": damper})
    assert page.status_code == 200
    assert value_of(page, "base_plate_mm") == "4"
    assert value_of(page, "spacer_max_od_mm") == "28"
    assert value_of(page, "shoulder_to_lip_mm") == "22"
    assert "Needed before there is an answer: Diameter of the clamp shim." in read(page)
    assert beside(page, "clamp_od_mm") == ""


def test_a_saved_stack_gives_the_height_and_the_clamp_shim(clerk: Client, damper: str) -> None:
    """17.5 mm are fixed and 2.4 mm are shims."""
    saved_stack(damper, "Trail", STACKS)
    page = clerk.get(address("spacer"), {"damper": damper, "stack": "Trail"})
    assert value_of(page, "stack_height_mm").startswith("19.9 ±")
    assert value_of(page, "clamp_od_mm") == "20"
    assert verdict(page) != ""


def test_spacers_on_the_shelf_are_named_with_drawer_and_count(clerk: Client) -> None:
    lay_in({"od_mm": 24, "thickness_mm": 0.4, "quantity": 1})
    page = clerk.post(address("spacer"), GOOD_SPACER)
    assert (page.status_code, verdict(page)) == (200, "fits")
    assert 'href="/drawers/D-24-400"' in page.content.decode()
    assert "Ø24 x 0.400 mm" in read(page)


def test_take_offs_are_used_unless_that_is_unticked(clerk: Client) -> None:
    assert re.search(r'name="take_offs"[^>]* checked', clerk.get(address("spacer")).content.decode())
    lay_in({"od_mm": 24, "thickness_mm": 0.4, "quantity": 1}, condition=Condition.TAKE_OFF)
    assert verdict(clerk.post(address("spacer"), GOOD_SPACER)) == "fits"
    without = {name: text for name, text in GOOD_SPACER.items() if name != "take_offs"}
    assert verdict(clerk.post(address("spacer"), without)) == "does_not_fit"


def test_a_stack_is_judged_on_a_model_with_its_lip(clerk: Client) -> None:
    """17.5 mm are fixed and 2.4 mm are shims; unmeasured strip needs a wide window."""
    saved_damper(damper_document("WIDE", on_straight_mm=1.2, past_lip_mm=1.2))
    page = clerk.post(address("stack"), {**GOOD_STACK, "damper": "WIDE"})
    assert (page.status_code, verdict(page)) == (200, "fits")
    assert "taken over, not measured; they are marked" in read(page)
    assert "The shims' thicknesses are nominal" in read(page)
    answer = asks.ask("stack", {"damper": "WIDE", "stacks": STACKS})
    assert page.context["answer"]["values"] == answer["values"]


def test_sizes_of_a_valve_that_were_typed_stay_and_count_before_the_models(clerk: Client, damper: str) -> None:
    typed = {"piston_height_mm": "12.4", "washers_0_name": "Thin washer", "washers_0_height_mm": "0,5"}
    page = clerk.post(address("stack"), {**GOOD_STACK, **typed, "damper": damper})
    for name, text in typed.items():
        assert value_of(page, name) == text and name not in origins(page)
    assert origins(page)["body_bore_mm"] == "HA-46, not measured"
    # 12.4 of piston, 0.5 of washer and 4 of plate in place of the model's 12, 1.5 and 4.
    assert page.context["answer"]["values"]["fixed_mm"]["nominal"] == 16.9


def test_every_washer_of_a_model_counts_and_stands_where_it_does(clerk: Client) -> None:
    document = damper_document("MANY")
    document["valves"][0]["washers"] = [
        {"name": f"W{n}", "height_mm": 0.5, "place": place} for n, place in enumerate(("inner", "outer", "shoulder"))
    ]
    saved_damper(document)
    opened = clerk.get(address("stack"), {"damper": "MANY"})
    assert [value_of(opened, f"washers_{n}_place") for n in range(3)] == ["inner", "outer", "shoulder"]
    page = send(clerk, "stack", opened, **GOOD_STACK)
    assert page.context["answer"]["values"] == asks.ask("stack", {"damper": "MANY", "stacks": STACKS})["values"]


def test_another_valve_of_the_model_brings_its_own_sizes(clerk: Client) -> None:
    base = {"code": "base", "shaft_mm": 8.0, "body_bore_mm": 30.0, "sides": {"compression": {}}}
    document = damper_document("TWO")
    document["valves"].append(base)
    saved_damper(document)
    opened = clerk.get(address("stack"), {"damper": "TWO"})
    lines = "20x0.15 x3"
    page = send(clerk, "stack", opened, valve="base", stacks_compression=lines)
    assert (value_of(page, "shaft_mm"), value_of(page, "valve"), value_of(page, "piston_height_mm")) == (
        "8",
        "base",
        "",
    )
    told = {"compression": [{"od_mm": 20, "thickness_mm": 0.15, "quantity": 3}]}
    answer = asks.ask("stack", {"damper": "TWO", "valve": "base", "stacks": told})
    assert page.context["answer"]["findings"] == answer["findings"]


def test_a_saved_stack_of_another_model_is_left_behind_with_it(clerk: Client, damper: str) -> None:
    other_damper()
    saved_stack(damper, "Trail", STACKS)
    saved_stack("OTHER", "Road", STACKS)
    opened = clerk.get(address("stack"), {"damper": damper, "stack": "Trail"})
    assert origins(opened)["stacks_rebound"] == "Trail of HA-46, nominal"
    page = send(clerk, "stack", opened, damper="OTHER")
    assert value_of(page, "stacks_rebound") == "" and value_of(page, "stack") == ""
    assert beside(page, "stack") == "" and "Trail of HA-46" not in read(page)


def test_a_change_of_the_saved_stack_waits_too_and_names_it(clerk: Client, damper: str) -> None:
    saved_stack(damper, "Trail", STACKS)
    opened = clerk.get(address("stack"), {"damper": damper})
    waiting = send(clerk, "stack", opened, swap=True, stack="Trail", **GOOD_STACK)
    assert "the sizes of HA-46 with its stack Trail are not in the form" in read(waiting)
    assert verdict(waiting) == ""


def test_a_stack_that_reaches_no_lip_is_said_beside_its_field(clerk: Client, damper: str) -> None:
    saved_stack(damper, "Half", {"compression": STACKS["compression"]})
    page = clerk.post(address("spacer"), {**GOOD_SPACER, "damper": damper, "stack": "Half"})
    assert page.status_code == 422
    assert "“Half” cannot be taken" in beside(page, "stack") and "no rebound stack" in beside(page, "stack")


@pytest.mark.parametrize("code", ["mid", "base"])
def test_a_model_without_a_main_valve_is_said_beside_the_model(clerk: Client, code: str) -> None:
    """No address of the question is a list of errors without an error."""
    saved_damper({"code": "SMALL", "name": "small", "valves": [{"code": code}]})
    for page in (clerk.get(address("spacer"), {"damper": "SMALL"}), clerk.post(address("spacer"), {"damper": "SMALL"})):
        assert f"SMALL has no valve main; it has: {code}" in beside(page, "damper")
        answer = re.search(r'id="answer".*?</section>', page.content.decode(), re.DOTALL)
        assert answer is not None and "has no valve main" in answer[0]


def test_a_saved_stack_is_laid_into_the_lines_with_its_usual_bore_left_out(clerk: Client, damper: str) -> None:
    with_bores = {side: [{**line, "bore_mm": 12} for line in lines] for side, lines in STACKS.items()}
    saved_stack(damper, "Trail", with_bores)
    page = clerk.get(address("stack"), {"damper": damper, "stack": "Trail"})
    assert value_of(page, "stacks_rebound").splitlines()[0] == "34x0.20 x2"
    assert verdict(page) == "fits"


def test_a_stack_is_judged_on_sizes_typed_by_hand(clerk: Client) -> None:
    typed = {**GOOD_STACK, "shaft_mm": "12", "piston_height_mm": "12", "washers_0_name": "Shoulder washer"}
    page = clerk.post(address("stack"), {**typed, "washers_0_height_mm": "1,5", "sides_rebound_hub_mm": "20"})
    assert (page.status_code, verdict(page)) == (200, "cannot_tell")
    assert "Measure the height of the compression base plate" in read(page)


# The look of an answer.


def test_each_value_of_each_answer_is_shown(clerk: Client, shelf: str) -> None:
    """A value that an answer gains has to get its row on the page."""
    shown = {
        "nut-on-shaft": {
            "turns_before_binding": "Turns before the nut binds",
            "axial_play_mm": "Axial play of the thread",
            "overlap_percent": "Overlap of the threads",
            "engagement_mm": "Full thread engaged, at least 9 mm",
            "near_misses": "Nuts that would start on this shaft",
            "nut_top_mm": "Top of the nut, from the shoulder 35 mm",
            "protrusion_mm": "Shaft past the nut 7 mm",
            "past_thread_start_mm": "Underside past the start of full thread 1 mm",
            "wall_mm": "Wall between thread and hole",
        },
        "face-shim": {
            "outer_cover_mm": "Cover past the ports' outer edge",
            "inner_cover_mm": "Cover past the ports' inner edge",
            "hub_seat_mm": "Seat on the hub",
            "radial_play_mm": "Radial play on the shaft",
        },
        "spacer": {
            "add_mm": "May be added under the base plate 0.300 to 0.600 mm",
            "lines": "Take these from the shelf",
            "total_mm": "The spacers below come to",
            "alternatives": "Other spacers that lie within it",
            "nut_underside_mm": "Underside of the nut, from the shoulder",
        },
        "stack": {
            "height_mm": "Stack height, without spacers",
            "fixed_mm": "Of it piston, plate and washers 17.500 mm",
            "add_mm": "May be added under the base plate",
            "cover": "Face shim of the rebound side",
            "groups": "Rebound Ø34 mm 2",
            "crossovers": "Rebound Ø34 and Ø30 mm 0.090 to 0.110 mm",
            "assembly_order": "Order on the shaft, from the shoulder outward Shoulder washer",
            "nut_underside_mm": "Underside of the nut, from the shoulder",
        },
    }
    for slug, typed in {
        "nut-on-shaft": GOOD_NUT,
        "face-shim": GOOD_FACE,
        "spacer": GOOD_SPACER,
        "stack": {**GOOD_STACK, "damper": shelf},
    }.items():
        page = clerk.post(address(slug), typed)
        answer = page.context["answer"]
        assert set(answer["values"]) == set(shown[slug])
        for name, label in shown[slug].items():
            assert label in read(page), f"{slug}: {name}"


def test_equal_pitches_never_bind_and_an_unknown_one_is_not_known(clerk: Client) -> None:
    assert "never: the pitches are equal" in read(clerk.post(address("nut-on-shaft"), GOOD_NUT))
    assert "never: the pitches" not in read(clerk.post(address("nut-on-shaft"), {}))


def test_other_threads_that_would_start_are_listed_for_both_parts(clerk: Client) -> None:
    """Figures: tests/engineering/test_thread_near_misses.py. Each number says on a phone what it is."""
    page = clerk.post(address("nut-on-shaft"), GOOD_NUT)
    assert "1/2-20 UNF spins freely: a false friend 21.1 to 29.1 11 to 48" in read(page)
    assert "Shafts on which this nut would start" in read(page)
    table = page.content.decode().split('<details class="near-misses">')[1].split("</details>")[0]
    assert table.count("<td") == table.count("data-label=") == 3 * len(page.context["answer"]["values"]["near_misses"])
    same_pitch = {**GOOD_NUT, "shaft_thread": "M17x1.5", "shaft_gauged_pitch_mm": "1.5", "shaft_major_mm": "16.9"}
    assert "M18x1.5 spins freely: a false friend never binds" in read(clerk.post(address("nut-on-shaft"), same_pitch))
    assert "Other threads that would start here" not in read(clerk.post(address("nut-on-shaft"), {}))


def test_the_three_verdicts_have_three_shapes_and_three_words() -> None:
    shapes = {name: render_to_string("compat/_ring.html", {"verdict": name}) for name in rendering.VERDICT_WORDS}
    said = {name: render_to_string("compat/_verdict_word.html", {"verdict": name}) for name in rendering.VERDICT_WORDS}
    assert len(set(shapes.values())) == len(set(said.values())) == 3
    assert all('aria-hidden="true"' in shape and "style=" not in shape for shape in shapes.values())


def test_no_page_of_the_desk_needs_what_the_policy_forbids(clerk: Client, shelf: str) -> None:
    for slug in QUESTIONS:
        page = clerk.get(address(slug), {"damper": shelf}).content.decode()
        assert not re.search(r"\sstyle=|\son[a-z]+=\"", page)


def test_the_number_of_queries_does_not_grow_with_models_and_parts(
    clerk: Client, damper: str, django_assert_max_num_queries: Any
) -> None:
    factories.nut(number="NU-0")
    query = {"damper": damper, "part": "NU-0"}
    with django_assert_max_num_queries(40) as few:
        clerk.get(address("nut-on-shaft"), query)
    for number in range(1, 20):
        factories.nut(number=f"NU-{number}")
        saved_damper(damper_document(f"D-{number}"))
    with django_assert_max_num_queries(len(few)):
        clerk.get(address("nut-on-shaft"), query)


def test_a_thread_is_named_with_what_tells_it_apart_and_no_model_is_offered(clerk: Client) -> None:
    page = clerk.get(address("thread-reading"), {"part": "nut", "diameter_mm": "10.66", "damper": "HA-46"})
    assert verdict(page) == "cannot_tell"
    assert "M12x1.25" in read(page) and "measure over 10 threads" in read(page)
    assert "Take sizes from" not in read(page)
    named = clerk.post(address("thread-reading"), {"part": "shaft", "diameter_mm": "11,9", "pitch_mm": "1,25"})
    assert verdict(named) == "fits"
    assert "only M12x1.25 has these readings" in read(named)


def test_a_torque_in_pound_feet_is_reckoned_and_what_is_open_is_asked_for(clerk: Client) -> None:
    joint = {"thread": "M12x1.25", "torque_lbf_ft": "25", "property_class": "8.8", "hole_mm": "6"}
    joint |= {"wrench_error_percent": "0", "thread_relief": "no"}
    page = clerk.post(address("torque"), joint)
    assert verdict(page) == "cannot_tell"
    assert "Say where the torque comes from" in read(page)
    # 25 lbf.ft on a hollow M12x1.25 of class 8.8, K 0.12 to 0.20: 38 to 64 % of the proof load
    assert "Of the proof load 38 to 64 %" in read(page)
    both = clerk.post(address("torque"), {**joint, "torque_n_m": "34"})
    assert both.status_code == 422
    assert "Give one torque" in read(both)


def test_a_torque_takes_over_what_the_nut_question_reckoned(clerk: Client) -> None:
    page = clerk.post(address("nut-on-shaft"), GOOD_NUT).content.decode()
    found = re.search(r'href="/fit/torque\?([^"]+)"', page)
    assert found is not None
    told = QueryDict(html.unescape(found[1]))
    assert told["thread"] == GOOD_NUT["shaft_thread"]
    assert (told["thread_relief"], told["relief_diameter_mm"]) == ("yes", "10")
    assert told["nut_class"] == GOOD_NUT["nut_property_class"]
    # Height 10 less a chamfer of 0.5 on each end: all of the nut lies on full thread, 25 to 35 of 24 to 42 mm.
    assert float(told["engagement_mm"]) == 9.0
    torque = clerk.get(f"{address('torque')}?{html.unescape(found[1])}")
    assert f'value="{told["engagement_mm"]}"' in torque.content.decode()
