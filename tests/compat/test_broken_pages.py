"""A page on which a rule of the program breaks: a plain 500 page that says the request's id, and nothing else."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client

from tests import factories, people
from tests.visiting import signed_in, text_of

pytestmark = pytest.mark.django_db


def test_a_fault_inside_a_rule_is_a_500_page_with_the_request_id(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_: Any, **__: Any) -> None:
        raise ValueError("the secret of the house")

    monkeypatch.setattr("compat.engineering.face._land", broken)
    client = signed_in(Client(raise_request_exception=False), people.tuner())
    answer = client.post("/fit/face-shim", {"shim_od_mm": "30"})
    assert answer.status_code == 500
    said = text_of(answer)
    number = answer["X-Request-Id"]
    assert re.fullmatch("[0-9a-f]{32}", number) and number in said
    assert "Something broke here" in said and "secret" not in said
    traced = [one for one in caplog.records if one.exc_info]
    assert len(traced) == 1 and number in traced[0].getMessage()


def test_a_fault_in_a_drawing_is_a_500_and_no_missing_picture(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sizes that contradict each other leave a picture out; a fault of the program does not hide behind that."""

    def broken(*_: Any, **__: Any) -> None:
        raise ValueError("a fault")

    part = factories.shim(24, 0.2)
    client = signed_in(Client(raise_request_exception=False), people.tuner())
    assert client.get(f"/parts/{part.number}").status_code == 200
    monkeypatch.setattr("compat.pages.drawings.part_drawing", broken)
    assert client.get(f"/parts/{part.number}").status_code == 500
