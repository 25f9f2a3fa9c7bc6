"""Damper models and saved stacks: every save is a revision, and nobody overwrites what they have not read."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.common import clock as the_clock
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.dampers.document import DamperDocument
from inventory.dampers.models import DamperModel, DamperRevision, SavedStack, StackRevision
from inventory.dampers.selectors import damper_called, damper_row, latest_stacks
from inventory.dampers.services import create_damper, edit_damper, save_stack
from inventory.documents.typed import read, written
from tests import people
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db

DOCUMENT: dict[str, Any] = {"valves": [{"code": "main"}], "shaft_end": {"thread": "M12x1.25"}}
STACKS = {"compression": [{"od_mm": 34, "thickness_mm": 0.15, "quantity": 3}], "rebound": []}


def create(code: str = "Larch 46", **changes: Any) -> DamperModel:
    document = read(DamperDocument, {**DOCUMENT, **changes})
    return use_case(lambda: create_damper(code=code, name=code, document=document, actor=people.tuner()))


def edit(revision: int, code: str = "Larch 46", name: str = "Larch 46 long", **changes: Any) -> DamperModel:
    document = read(DamperDocument, {**DOCUMENT, **changes})
    actor = people.lead()
    return use_case(lambda: edit_damper(code=code, name=name, document=document, revision=revision, actor=actor))


def save(damper: DamperModel, name: str = "winter", valve: str = "main", **words: Any) -> StackRevision:
    words = {"stacks": STACKS, "note": "", "actor": people.tuner(), **words}
    return use_case(lambda: save_stack(damper=damper, valve=valve, name=name, **words))


def test_a_new_model_has_its_first_revision(clock: HeldClock) -> None:
    create()
    found = damper_called("Larch 46")
    assert (found.revision, written(found.document)) == (1, DOCUMENT)
    revision = DamperRevision.objects.get()
    assert (revision.person, revision.client, revision.at) == (people.tuner().person, None, clock.time)


def test_a_code_is_used_once() -> None:
    create()
    with pytest.raises(DomainError) as raised:
        create(valves=[])
    assert raised.value.code == "conflict"
    assert written(damper_called("Larch 46").document) == DOCUMENT


def test_an_edit_is_a_new_revision_and_the_old_one_stays_readable() -> None:
    create()
    edit(1, shaft_end=None)
    found = damper_called("Larch 46")
    assert (found.revision, found.name, found.document.shaft_end) == (2, "Larch 46 long", None)
    first, second = DamperRevision.objects.order_by("number")
    assert (first.document, first.person) == (DOCUMENT, people.tuner().person)
    assert (second.document, second.person) == ({"valves": DOCUMENT["valves"]}, people.lead().person)


def test_limits_of_an_older_revision_stay_readable_as_they_were() -> None:
    before = [{"limit": "bore_max_mm", "value": 46.1, "source": "Larch sheet 2", "on": "2026-05-01"}]
    after = [{**before[0], "value": 46.08, "source": "Larch sheet 3", "on": "2026-06-01"}]
    create(limits=before)
    edit(1, limits=after)
    kept = [one.document["limits"] for one in DamperRevision.objects.order_by("number")]
    assert kept == [before, after] and written(damper_called("Larch 46").document)["limits"] == after


@pytest.mark.parametrize("read", [0, 1, 3])
def test_who_read_another_revision_is_told_and_nothing_is_saved(read: int) -> None:
    create()
    edit(1, shaft_end=None)
    with pytest.raises(DomainError) as raised:
        edit(read, valves=[], name="Mine")
    assert (raised.value.code, raised.value.status, raised.value.data) == ("edited_meanwhile", 412, {"revision": 2})
    found = damper_called("Larch 46")
    assert (found.revision, found.name, found.document.codes) == (2, "Larch 46 long", ["main"])


def test_a_model_that_is_not_there_is_not_found() -> None:
    create("Spruce 40")
    for work in (lambda: edit(1), lambda: damper_called("Larch 46"), lambda: damper_row("Larch 46")):
        with pytest.raises(DomainError, match="not_found"):
            work()


def test_a_retired_model_is_not_found_and_its_history_stays() -> None:
    DamperModel.objects.filter(pk=create().pk).update(retired_at=the_clock.now())
    for work in (lambda: damper_called("Larch 46"), lambda: damper_row("Larch 46"), lambda: edit(1)):
        with pytest.raises(DomainError, match="not_found"):
            work()
    assert DamperRevision.objects.count() == 1


def test_a_stack_saved_under_its_name_again_is_the_next_revision(clock: HeldClock) -> None:
    damper = create()
    save(damper, note="first try")
    clock.advance(days=1)
    again = save(damper, stacks={"compression": [], "rebound": []}, actor=people.lead())
    assert (again.number, again.person, again.at) == (2, people.lead().person, clock.time)
    assert SavedStack.objects.count() == 1
    first = StackRevision.objects.get(number=1)
    assert (first.stacks, first.note, first.person) == (STACKS, "first try", people.tuner().person)
    assert latest_stacks(damper) == [again]


def test_the_latest_of_each_name_is_listed_by_name() -> None:
    damper, other = create(), create("Spruce 40")
    save(damper, "winter")
    last = [save(damper, "sand"), save(damper, "winter")]
    save(other, "winter")
    assert latest_stacks(damper) == last


def test_a_name_belongs_to_one_valve_of_a_model() -> None:
    damper = create()
    save(damper)
    with pytest.raises(DomainError) as raised:
        save(damper, valve="base")
    assert raised.value.code == "conflict"
    assert StackRevision.objects.count() == 1
    assert save(create("Spruce 40"), valve="base").number == 1
