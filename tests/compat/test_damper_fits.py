"""What fits a damper model, on its page: no more is judged or read with every thickness that the catalogue has."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client as Browser

from compat.dampers import fitting
from compat.pages.damper_models import damper_reads
from tests import people
from tests.api.conftest import lay_in, line, statements
from tests.visiting import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def judged(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    found: list[Any] = []
    real = fitting._shim

    def noted(outline: Any, seats: Any) -> Any:
        found.append(outline)
        return real(outline, seats)

    monkeypatch.setattr(fitting, "_shim", noted)
    return found


def test_more_thicknesses_are_neither_judged_nor_read(client: Browser, shelf: str, judged: list[Any]) -> None:
    browser = signed_in(client, people.tuner())
    address = f"/dampers/{shelf}"
    browser.get(address)
    judged.clear()
    with statements() as before:
        browser.get(address)
    outlines = len(judged)
    assert outlines == len(set(judged)) > 3
    lay_in(*[line(36, round(0.3 + number / 100, 2)) for number in range(damper_reads.PARTS_A_PAGE + 5)])
    judged.clear()
    with statements() as after:
        text = browser.get(address).content.decode()
    assert len(judged) == outlines, "36 mm on this bore was judged already"
    assert len(after) == len(before)
    assert "Page 1 of 2" in text


def test_those_that_surely_fit_come_first_on_whichever_page(client: Browser, damper: str) -> None:
    lay_in(*[line(36, round(0.1 + number / 100, 2)) for number in range(damper_reads.PARTS_A_PAGE + 2)])
    browser = signed_in(client, people.tuner())
    first, second = (browser.get(f"/dampers/{damper}", {"shims": page}).content.decode() for page in ("1", "2"))
    shims = [text[text.index('id="shims"') :] for text in (first, second)]
    assert [one.count("<tr><td><a") for one in shims] == [damper_reads.PARTS_A_PAGE, 2]
    assert "36 x 0.10" in shims[0] and "36 x 0.36" in shims[1]
