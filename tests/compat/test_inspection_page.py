"""The inspection sheet as a page: every verdict at once, with the parts that would replace what is worn."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client

from tests import factories, people
from tests.compat.test_fit_desk import address, read, verdict
from tests.visiting import signed_in

BORE = {
    "bore_nominal_mm": "46",
    "bore_max_diameter_mm": "46.08",
    "bore_readings": "20: 46.02 46.01 46.015\n65 46.05 46.03 46.03\n110 46.03 46.02 46.02",
    "bore_travel_from_mm": "15",
    "bore_travel_to_mm": "118",
}
BAND = {
    "band_groove_mm": "38.6",
    "band_band_thickness_mm": "0.95",
    "band_energiser_size": "222",
    "band_measured_od_mm": "45,98",
    "band_band_wear_radial_mm": "0",
}


@pytest.fixture
def tuner(client: Client, db: Any) -> Client:
    return signed_in(client, people.tuner())


def verdicts(response: Any) -> list[tuple[str, str]]:
    """(word, part) of what was inspected, in the order of the page."""
    found = re.findall(r"</svg>\s*(Reuse|Replace|Cannot tell): ([^<]+)</h2>", response.content.decode())
    return [(word, part.strip()) for word, part in found]


def test_an_empty_sheet_says_what_to_read_of_each_part(tuner: Client) -> None:
    page = tuner.post(address("inspection"), {"seal_motion": "dynamic"})
    assert verdict(page) == "cannot_tell"
    text = read(page)
    assert text.count("Not inspected:") == 5 and "Cannot tell of all of it yet" in text
    assert "Gauge the pitch of shaft and nut." in text


def test_a_worn_energiser_is_replaced_from_its_drawer_and_the_bore_is_reused(tuner: Client) -> None:
    ring = factories.oring(number="OR-222", size="222", ring_id_mm=37.69, section_mm=3.53, compound="NBR")
    factories.stocked(ring, 12, lot="L-222", drawer="R-06")
    page = tuner.post(address("inspection"), {**BORE, **BAND, "oil_fluid": "mineral_oil"})
    assert verdict(page) == "does_not_fit"
    assert verdicts(page) == [
        ("Reuse", "The body's bore".replace("'", "&#x27;")),
        ("Replace", "The band and its O-ring"),
    ]
    text = read(page)
    assert "Not all of it can be reused" in text
    assert "worn flat" in text and "A new O-ring under the same band would seal in this bore." in text
    assert "OR-222" in text and 'href="/drawers/R-06"' in page.content.decode()
    assert text.count("Not inspected:") == 3


def test_a_left_hand_nut_is_only_offered_where_the_hand_is_known(tuner: Client) -> None:
    """The wrong nut lets the damper come apart: a nut is offered for the very thread and hand."""
    factories.stocked(factories.nut("M12x1.25", number="NU-R"), 5, lot="L-R")
    factories.stocked(factories.nut("M12x1.25", number="NU-L", hand="left"), 5, lot="L-L")
    joint = {
        "joint_shaft_thread": "M12x1.25",
        "joint_shaft_gauged_pitch_mm": "1.25",
        "joint_shaft_end_condition": "plain",
        "joint_nut_thread": "M12x1.25",
        "joint_nut_gauged_pitch_mm": "1.5",
    }
    page = tuner.post(address("inspection"), joint)
    assert verdicts(page) == [("Replace", "The nut")]
    assert "NU-R" not in read(page) and "say its hand" in read(page)
    known = read(tuner.post(address("inspection"), {**joint, "joint_shaft_hand": "right"}))
    assert "NU-R" in known and "NU-L" not in known


def test_what_is_wrong_stands_beside_its_field_and_the_typing_stays(tuner: Client) -> None:
    page = tuner.post(address("inspection"), {**BAND, "band_energiser_size": "P22", "seal_motion": "dynamic"})
    assert page.status_code == 422
    assert "no O-ring size P22 in AS568" in read(page)
    assert 'value="45,98"' in page.content.decode()


def test_the_parts_of_the_sheet_have_their_pictures_and_no_id_stands_twice(tuner: Client) -> None:
    page = tuner.get(address("inspection")).content.decode()
    assert page.count('<figure class="sizes">') == 5
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert sorted(set(ids)) == sorted(ids)
