"""What belongs to one bag - readings, condition, cure date - is never saved for another part than it was typed for."""

from __future__ import annotations

import pytest
from django.test import Client as Browser

from inventory.catalogue.models import Part
from inventory.receiving.models import Delivery, DeliveryLine
from tests import factories
from tests.counter.test_deliveries import clerk, delivery, errors, send, shim, taken

__all__ = ["clerk", "delivery", "shim"]  # the fixtures

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def other() -> Part:
    """A part of the same thickness, so that its readings would not betray another bag."""
    part = factories.shim(number="SH-36-015-12", od_mm=36)
    factories.stocked(part, 10, drawer="B-04")
    return part


def test_readings_typed_for_another_part_are_refused_and_told(clerk: Browser, delivery: Delivery, shim: Part) -> None:
    refused = send(clerk, delivery, part="SH-36-015-12", typed_for="SH-34-015-12", readings="0,151 0,149")
    said = errors(refused)["readings"]
    assert "Typed for SH-34-015-12, and the part is SH-36-015-12 now: readings, mm 0,151 0,149." in said
    html = refused.content.decode()
    assert 'value="0,151 0,149"' not in html and 'value="SH-34-015-12"' not in html and 'value="SH-36-015-12"' in html
    # Sent again as it stands there, it comes in without them.
    assert send(clerk, delivery, part="SH-36-015-12", once="k-2").status_code == 303
    assert (taken().lot.part.number, taken().lot.readings.count()) == ("SH-36-015-12", 0)


@pytest.mark.parametrize("typed", [{"cure_date": "2026-Q3"}, {"condition": "take_off"}])
def test_so_are_cure_date_and_condition(clerk: Browser, delivery: Delivery, shim: Part, typed: dict[str, str]) -> None:
    refused = send(clerk, delivery, part="SH-36-015-12", typed_for="SH-34-015-12", **typed)
    assert next(iter(typed.values())) in errors(refused)["readings"]
    assert f'value="{typed.get("cure_date")}"' not in refused.content.decode()


@pytest.mark.parametrize("typed", [{"lot": "MAKER-88"}, {"source": "off damper 12"}, {"unit_cost": "9,99"}])
def test_so_are_its_lot_its_source_and_its_cost(
    clerk: Browser, delivery: Delivery, shim: Part, typed: dict[str, str]
) -> None:
    refused = send(clerk, delivery, part="SH-36-015-12", typed_for="SH-34-015-12", **typed)
    assert next(iter(typed.values())) in errors(refused)["readings"]
    assert f'value="{next(iter(typed.values()))}"' not in refused.content.decode()


def test_a_large_count_that_was_agreed_to_for_one_part_is_asked_about_for_another(
    clerk: Browser, delivery: Delivery, shim: Part
) -> None:
    send(clerk, delivery, quantity="60000")
    again = send(clerk, delivery, part="SH-36-015-12", quantity="60000", sure_count="60000 of sh-34-015-12")
    assert "Are there 60000" in errors(again)["quantity"]


def test_without_script_a_refused_row_remembers_for_which_part_it_was_typed(
    clerk: Browser, delivery: Delivery, shim: Part
) -> None:
    html = send(clerk, delivery, readings="0,2 0,2").content.decode()
    assert 'name="typed_for" value="SH-34-015-12"' in html
    refused = send(clerk, delivery, part="SH-36-015-12", typed_for="SH-34-015-12", readings="0,2 0,2")
    assert "Typed for SH-34-015-12" in errors(refused)["readings"]


@pytest.mark.parametrize("typed_for", ["", "sh-34-015-12", "34x0.15x12"])
def test_the_same_part_typed_in_another_way_keeps_them(
    clerk: Browser, delivery: Delivery, shim: Part, typed_for: str
) -> None:
    assert send(clerk, delivery, typed_for=typed_for, readings="0,151 0,149").status_code == 303
    assert taken().lot.readings.count() == 2


def test_a_part_chosen_for_an_ambiguous_size_keeps_the_readings_of_its_bag(
    clerk: Browser, delivery: Delivery, shim: Part
) -> None:
    twin = factories.shim(number="SH-34-015-10", bore_mm=10)
    factories.stocked(twin, 5, drawer="B-05")
    asked = {"part": "34x0.15", "typed_for": "34x0.15", "readings": "0,151"}
    html = send(clerk, delivery, **asked).content.decode()
    assert 'name="offered_for" value="34x0.15"' in html
    assert not DeliveryLine.objects.exists()
    chosen = send(clerk, delivery, **asked, choose="SH-34-015-10", offered_for="34x0.15", once="k-2")
    assert chosen.status_code == 303
    assert (taken().lot.part, taken().lot.readings.count()) == (twin, 1)


def test_a_part_chosen_for_a_size_that_stands_there_no_more_is_refused(
    clerk: Browser, delivery: Delivery, shim: Part
) -> None:
    factories.stocked(factories.shim(number="SH-34-015-10", bore_mm=10), 5, drawer="B-05")
    refused = send(clerk, delivery, part="SH-36-015-12", choose="SH-34-015-10", offered_for="34x0.15")
    assert "offered for another part" in errors(refused)["part"]
