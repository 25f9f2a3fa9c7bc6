"""Shelf life of seals by two standards that differ."""

from __future__ import annotations

from datetime import date

import pytest

from compat.engineering.seals.shelf_life import State, end_of_quarter, shelf_life, shelf_life_findings


@pytest.mark.parametrize(
    ("quarter", "day"),
    [("2026-Q1", date(2026, 3, 31)), ("2026-Q2", date(2026, 6, 30)), ("2026-Q4", date(2026, 12, 31))],
)
def test_a_quarter_ends_with_its_third_month(quarter: str, day: date) -> None:
    assert end_of_quarter(quarter) == day


@pytest.mark.parametrize("text", ["2026-Q5", "2026-Q0", "Q1-2026", "2026", "", "0000-Q1"])
def test_what_is_no_quarter_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="quarter"):
        end_of_quarter(text)


@pytest.mark.parametrize(
    ("policy", "compound", "on", "state"),
    [
        ("iso_2230", "NBR", date(2025, 9, 30), State.SOON),
        ("iso_2230", "NBR", date(2025, 4, 3), State.SOON),
        ("iso_2230", "NBR", date(2025, 4, 2), State.GOOD),
        ("iso_2230", "NBR", date(2025, 10, 1), State.INSPECT),
        ("iso_2230", "NBR", date(2028, 9, 30), State.INSPECT),
        ("iso_2230", "NBR", date(2028, 10, 1), State.OVER),
        ("iso_2230", "FKM", date(2028, 10, 1), State.INSPECT),
        ("iso_2230", "FKM", date(2033, 10, 1), State.OVER),
        ("iso_2230", "PU", date(2025, 10, 1), State.OVER),
        ("arp5316d", "NBR", date(2033, 9, 30), State.SOON),
        ("arp5316d", "NBR", date(2033, 10, 1), State.OVER),
        ("arp5316d", "FKM", date(2099, 1, 1), State.GOOD),
        ("arp5316d", "PU", date(2019, 1, 1), State.UNKNOWN),
        ("iso_2230", "XYZ", date(2019, 1, 1), State.UNKNOWN),
        ("iso_2230", None, date(2019, 1, 1), State.UNKNOWN),
    ],
)
def test_years_by_standard_and_compound(policy: str, compound: str | None, on: date, state: State) -> None:
    """Cured in 2018-Q3. ISO 2230: NBR 7 + 3 years, FKM 10 + 5, PU 5 + 2; SAE ARP5316D: NBR 15, FKM without end; as
    tabulated openly, the standards' texts were not at hand."""
    assert shelf_life(compound, "2018-Q3", on, policy).state is state


def test_an_unknown_age_is_asked_for_and_an_old_seal_is_stopped() -> None:
    on = date(2026, 11, 1)
    assert [one.code for one in shelf_life_findings("NBR", None, on, "iso_2230")] == ["shelf_life_unknown"]
    assert [one.severity for one in shelf_life_findings("NBR", "2015-Q2", on, "iso_2230")] == ["stop"]
    assert [one.severity for one in shelf_life_findings("NBR", "2018-Q2", on, "iso_2230")] == ["ask"]
    assert [one.code for one in shelf_life_findings("FKM", "2010-Q1", on, "arp5316d")] == []
    with pytest.raises(ValueError, match="policy"):
        shelf_life("NBR", "2018-Q2", on, "mine")


def test_a_quarter_that_is_yet_to_come_was_misread() -> None:
    on = date(2026, 11, 1)
    assert [one.code for one in shelf_life_findings("NBR", "2027-Q1", on, "iso_2230")] == ["cured_in_future"]
    assert shelf_life("NBR", "2090-Q1", on, "iso_2230").state is State.UNKNOWN
    assert shelf_life("NBR", "2026-Q4", on, "iso_2230").state is State.GOOD
