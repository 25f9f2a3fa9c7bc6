"""A plan by its address, holding it, two people on one plan, and giving it back."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client as Browser

from compat.api.plans import show
from inventory.common.transactions import use_case
from inventory.dampers.services import edit_damper
from inventory.holds.models import Hold, State
from inventory.holds.selectors import held_faults
from inventory.jobs.models import Job, Plan
from inventory.jobs.services import open_job
from inventory.receiving.services import count_balance
from inventory.stock.models import Balance
from tests import people
from tests.api.conftest import STACKS, damper_document, job, lay_in, saved_damper, statements, stored
from tests.compat.test_reserve import held, made
from tests.conftest import HeldClock
from tests.visiting import once_in, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def tuner(db: None) -> Browser:
    return signed_in(Browser(), people.tuner())


@pytest.fixture
def lead(db: None) -> Browser:
    return signed_in(Browser(), people.lead())


def page_of(browser: Browser, plan: Plan) -> str:
    return str(browser.get(f"/plans/{plan.pk}").content.decode())


def test_a_plan_shows_where_every_piece_lies_drawer_by_drawer(tuner: Browser, shelf: str) -> None:
    text = page_of(tuner, made())
    assert 'data-verdict="fits"' in text
    picks = text[text.index("Pick list") :]
    assert re.search(r'href="/drawers/[^"]+">', picks)
    taken = re.findall(r'<td class="number big">(\d+)</td>', picks)
    assert sum(map(int, taken)) == 14
    order = text[text.index("Build order, from the shoulder outward") : text.index("Pick list")]
    steps = re.findall(r"<td>([A-Z][a-z -]*[a-z])", order)
    assert steps[0] == "Shoulder washer" and steps[-1] == "Nut" and "Piston" in steps
    assert "<details" not in order, "what is built from is not folded away"
    assert "To confirm at the bench before signing" in text
    assert "back off and let the damper come apart" in text, "the cautions stand on the plan"


def test_holding_a_plan_keeps_its_pieces_for_the_job(tuner: Browser, shelf: str) -> None:
    plan = made(job=job("J-5"))
    text = page_of(tuner, plan)
    assert 'value="J-5"' in text and "Hold 14 pieces" in text
    done = tuner.post(f"/plans/{plan.pk}/hold", {"once": once_in(text), "job": "J-5", "title": ""})
    assert (done.status_code, done["Location"]) == (303, f"/plans/{plan.pk}")
    held = Hold.objects.get()
    assert held.jobhold.job.number == "J-5" and held.person == people.tuner().person
    text = page_of(tuner, plan)
    assert f"hold {held.pk}</a> for job <b>J-5</b>" in text
    assert "Hold 14 pieces" not in text
    assert held_faults() == []


def test_without_a_job_the_hold_lapses_and_says_when(tuner: Browser, shelf: str, clock: HeldClock) -> None:
    plan = made()
    tuner.post(f"/plans/{plan.pk}/hold", {"once": "K", "job": "", "title": ""})
    assert "until 09:15" in page_of(tuner, plan)
    clock.advance(minutes=16)
    assert "Hold 14 pieces" in page_of(tuner, plan)
    assert "Lapsed" in tuner.get(f"/holds/{Hold.objects.get().pk}").content.decode()


def test_a_new_job_is_opened_with_its_title_and_never_without_one(tuner: Browser, shelf: str) -> None:
    plan = made()
    refused = tuner.post(f"/plans/{plan.pk}/hold", {"once": "K", "job": "J-NEW", "title": ""})
    text = refused.content.decode()
    assert refused.status_code == 422
    assert "There is no job J-NEW yet" in text and 'value="J-NEW"' in text
    assert not Job.objects.exists() and not Hold.objects.exists()
    done = tuner.post(f"/plans/{plan.pk}/hold", {"once": once_in(text), "job": "J-NEW", "title": "Rear, serial 9"})
    assert done.status_code == 303
    assert Job.objects.get().title == "Rear, serial 9"


def test_an_emptied_job_holds_for_a_short_while_although_the_plan_has_a_job(
    tuner: Browser, shelf: str, clock: HeldClock
) -> None:
    plan = made(job=job("J-5"))
    assert "Empty: held for 15 minutes only." in page_of(tuner, plan)
    tuner.post(f"/plans/{plan.pk}/hold", {"once": "K", "job": "", "title": ""})
    assert (Hold.objects.get().purpose, hasattr(Hold.objects.get(), "jobhold")) == ("web", False)
    assert "until 09:15" in page_of(tuner, plan)
    text = tuner.get(f"/holds/{Hold.objects.get().pk}").content.decode()
    assert f'<dd>no job, <a href="/plans/{plan.pk}">' in text


def test_the_button_says_what_happens_and_has_the_focus_only_where_nothing_is_left_to_type(
    tuner: Browser, shelf: str, settings: Any
) -> None:
    settings.HOLD_MINUTES = 1
    text = page_of(tuner, made())
    assert "Hold 14 pieces for 1 minute</button>" in text and "Empty: held for 1 minute only." in text
    assert focused_fields(text) == ["job"] and not re.search(r"<button[^>]*autofocus", text)
    text = page_of(tuner, made(job=job("J-5")))
    assert "Hold 14 pieces for J-5</button>" in text
    assert focused_fields(text) == [] and re.search(r'<button type="submit" autofocus', text)


def test_a_title_for_a_job_that_is_there_is_refused_with_the_title_it_has(tuner: Browser, shelf: str) -> None:
    plan = made()
    use_case(lambda: open_job(number="J-5", title="Fork, serial 4"))
    sent = {"once": "K", "job": "J-5", "title": "Rear, serial 9"}
    refused = tuner.post(f"/plans/{plan.pk}/hold", sent)
    text = refused.content.decode()
    assert refused.status_code == 422 and not Hold.objects.exists()
    assert '<p class="error" id="id_title_error">Job J-5 is there already, “Fork, serial 4”' in text
    assert 'value="Rear, serial 9"' in text and focused_fields(text) == ["title"]
    again = {**sent, "once": once_in(text), "title": "Fork, serial 4"}
    assert tuner.post(f"/plans/{plan.pk}/hold", again).status_code == 303, "its own title is no mistake"


def test_a_title_without_a_job_is_refused_beside_the_job(tuner: Browser, shelf: str) -> None:
    plan = made()
    refused = tuner.post(f"/plans/{plan.pk}/hold", {"once": "K", "job": "", "title": "Rear, serial 9"})
    text = refused.content.decode()
    assert refused.status_code == 422 and not Hold.objects.exists()
    assert '<p class="error" id="id_job_error">A title needs a job' in text
    assert 'value="Rear, serial 9"' in text
    assert focused_fields(text) == ["job"]


def focused_fields(text: str) -> list[str]:
    """The names of the fields that ask for the focus."""
    return re.findall(r'<input[^>]*name="([^"]*)"[^>]*autofocus', text)


def test_a_changed_form_is_not_carried_out_and_goes_on_with_a_new_key(tuner: Browser, shelf: str) -> None:
    plan = made()
    sent = {"once": "K", "job": "", "title": ""}
    assert tuner.post(f"/plans/{plan.pk}/hold", sent).status_code == 303
    refused = tuner.post(f"/plans/{plan.pk}/hold", sent | {"job": job("J-5")})
    text = refused.content.decode()
    assert refused.status_code == 422 and Hold.objects.count() == 1
    assert "This was sent already, and changed since." in text and "Idempotency" not in text
    assert once_in(text) != "K"


def test_a_hold_that_a_count_made_short_says_so_and_what_to_do(tuner: Browser, shelf: str) -> None:
    plan = made(job=job("J-5"))
    locked = held(plan)
    line = locked.lines[0]
    balance = locked.by_id[line.balance_id]
    named = {"lot": balance.lot.number, "drawer": balance.drawer.code}
    use_case(lambda: count_balance(**named, counted=line.quantity - 1, actor=people.clerk()))
    text = page_of(tuner, plan)
    assert "Held, but short:" in text and f'href="/holds/{locked.hold.pk}"' in text
    assert "Release the hold, and plan again on the shelf as it is." in text
    assert "Nobody else can take these pieces" not in text
    text = tuner.get(f"/holds/{locked.hold.pk}").content.decode()
    assert "Release the hold, and plan again" in text and f'href="/bench?plan={plan.pk}"' in text


def test_the_form_sent_twice_holds_once(tuner: Browser, shelf: str) -> None:
    plan = made()
    fields = {"once": "K", "job": "", "title": ""}
    first, second = (tuner.post(f"/plans/{plan.pk}/hold", fields) for _ in range(2))
    assert (
        (first.status_code, first["Location"]) == (second.status_code, second["Location"]) == (303, f"/plans/{plan.pk}")
    )
    assert Hold.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_the_second_of_two_people_on_one_plan_is_told_who_holds_it(tuner: Browser, lead: Browser, shelf: str) -> None:
    plan = made()
    mine, other = page_of(tuner, plan), page_of(lead, plan)
    assert tuner.post(f"/plans/{plan.pk}/hold", {"once": once_in(mine), "job": "", "title": ""}).status_code == 303
    refused = lead.post(f"/plans/{plan.pk}/hold", {"once": once_in(other), "job": "", "title": ""})
    text = refused.content.decode()
    assert refused.status_code == 422
    assert re.search(
        r'<div class="refused" role="alert" tabindex="-1" autofocus><p>Hold \d+ already holds this plan', text
    )
    assert focused_fields(text) == []
    assert "by Ossian Tarn" in text
    assert Hold.objects.count() == 1


def test_where_the_shelf_has_changed_nothing_is_held_and_the_new_plan_says_what_is_otherwise(
    tuner: Browser, damper: str
) -> None:
    lay_in(*STACKS["compression"], *STACKS["rebound"], pieces=2)
    first, second = made(), made()
    assert tuner.post(f"/plans/{second.pk}/hold", {"once": "A", "job": "", "title": ""}).status_code == 303
    done = tuner.post(f"/plans/{first.pk}/hold", {"once": "B", "job": "", "title": ""})
    new = Plan.objects.order_by("pk").last()
    assert new is not None and new.pk != second.pk
    assert done["Location"] == f"/plans/{new.pk}?instead_of={first.pk}&job=&title="
    text = tuner.get(done["Location"]).content.decode()
    assert "The shelf has changed meanwhile, so nothing was held." in text
    assert re.search(r"compression 1, 36 x 0.20: 2 of 0.20 from \S+ lot LOT-\d+ before, ", text)
    assert Hold.objects.count() == 1 and held_faults() == []


@pytest.mark.django_db(transaction=True)
def test_where_the_shelf_has_changed_the_same_form_makes_one_new_plan_for_what_was_typed(
    tuner: Browser, damper: str
) -> None:
    lay_in(*STACKS["compression"], *STACKS["rebound"], pieces=2)
    first, second = made(job=job("J-5")), made()
    assert tuner.post(f"/plans/{second.pk}/hold", {"once": "A", "job": "", "title": ""}).status_code == 303
    for typed, says in (({"job": "", "title": ""}, ("", "")), ({"job": "J-9", "title": "Rear"}, ("J-9", "Rear"))):
        fields = {"once": f"B{typed['job']}", **typed}
        before = Plan.objects.count()
        done, again = (tuner.post(f"/plans/{first.pk}/hold", fields) for _ in range(2))
        assert (done.status_code, again.status_code) == (303, 303)
        assert done["Location"] == again["Location"]
        assert Plan.objects.count() == before + 1
        text = tuner.get(done["Location"]).content.decode()
        shown = {name: re.findall(rf'name="{name}"(?: value="([^"]*)")?', text) for name in typed}
        assert shown == {"job": [says[0]], "title": [says[1]]}
    assert not Job.objects.filter(number="J-9").exists() and Hold.objects.count() == 1


def test_a_plan_that_does_not_fit_offers_no_hold_and_takes_none(tuner: Browser, shelf: str) -> None:
    small = {**STACKS, "rebound": [{**STACKS["rebound"][0], "od_mm": 28}, *STACKS["rebound"][1:]]}
    plan = made(stacks=small)
    assert plan.verdict == "does_not_fit"
    text = page_of(tuner, plan)
    assert 'data-verdict="does_not_fit"' in text and "pieces</button>" not in text
    refused = tuner.post(f"/plans/{plan.pk}/hold", {"once": "K", "job": "", "title": ""})
    assert refused.status_code == 422 and "Nothing is held for a plan that does not fit" in refused.content.decode()
    assert not Hold.objects.exists()


def test_a_printed_page_is_headed_by_plan_damper_and_job(tuner: Browser, shelf: str) -> None:
    plan = made(job=job("J-5"))
    head = re.search(r'<p class="running">(.*?)</p>', page_of(tuner, plan))
    assert head is not None
    for what in (f"Plan {plan.pk}", "HA-46", "J-5", Job.objects.get().title):
        assert what in head[1]
    other = made()
    empty = re.search(r'<p class="running">(.*?)</p>', page_of(tuner, other))
    assert empty is not None and "job ____" in empty[1]
    tuner.post(f"/plans/{other.pk}/hold", {"once": "K", "job": "J-5", "title": ""})
    held = re.search(r'<p class="running">(.*?)</p>', page_of(tuner, other))
    assert held is not None and "<b>J-5</b>" in held[1]


def test_what_is_to_be_confirmed_stands_beside_what_it_should_be_with_room_to_write(tuner: Browser, shelf: str) -> None:
    text = page_of(tuner, made())
    table = text[text.index('<table class="confirm">') :]
    table = table[: table.index("</table>")]
    pitch = re.search(r"pitch of the shaft&#x27;s thread.</td><td>([^<]*)</td>(.*?)</tr>", table)
    assert pitch is not None and pitch[1] == "1.25 mm"
    assert pitch[2].count('<td class="printed write"></td>') == 2
    assert "Picked by ____" in text and "date ____" in text


def test_a_clerk_sees_the_plan_and_cannot_hold_it(shelf: str) -> None:
    plan, clerk = made(), signed_in(Browser(), people.clerk())
    assert "pieces</button>" not in page_of(clerk, plan)
    assert clerk.post(f"/plans/{plan.pk}/hold", {"once": "K", "job": "", "title": ""}).status_code == 403
    assert not Hold.objects.exists()


def test_a_hold_is_released_from_its_page_and_everything_is_free_again(tuner: Browser, shelf: str) -> None:
    plan = made()
    before = list(Balance.objects.order_by("pk").values_list("pk", "on_hand", "held"))
    tuner.post(f"/plans/{plan.pk}/hold", {"once": "K", "job": "", "title": ""})
    hold = Hold.objects.get()
    text = tuner.get(f"/holds/{hold.pk}").content.decode()
    assert f"plan {plan.pk}" in text
    done = tuner.post(f"/holds/{hold.pk}/release", {"once": once_in(text)})
    assert (done.status_code, done["Location"]) == (303, f"/holds/{hold.pk}")
    assert list(Balance.objects.order_by("pk").values_list("pk", "on_hand", "held")) == before
    hold.refresh_from_db()
    assert hold.state == State.RELEASED
    text = tuner.get(f"/holds/{hold.pk}").content.decode()
    assert "give everything back" not in text
    assert "<caption>Kept until released</caption>" in text and '<td class="number">0</td>' not in text
    assert "36 x 0.20 mm, bore 12 mm" in text, "the sizes are told"


def test_an_old_plan_is_drawn_on_the_damper_as_it_was_then(tuner: Browser, shelf: str, clock: HeldClock) -> None:
    # The shelf fixture saved the damper under the real clock; this edit stands before the held one.
    plan = made()
    document = damper_document()
    name = document["name"]
    document["valves"] = [{"code": "base", "shaft_mm": 12.0}]
    clock.advance(days=1)
    use_case(lambda: edit_damper(code="HA-46", name=name, document=stored(document), revision=1, actor=people.tuner()))
    assert "Main valve" in page_of(tuner, plan)


@pytest.mark.parametrize("address", ["/plans/999", "/holds/999", "/plans/999/hold"])
def test_what_does_not_exist_is_a_page_that_says_so(tuner: Browser, address: str) -> None:
    reply = tuner.post(address, {"once": "K"}) if address.endswith("hold") else tuner.get(address)
    assert reply.status_code == 404
    assert "999" in reply.content.decode()


def test_the_queries_of_a_plan_do_not_grow_with_it(tuner: Browser, shelf: str) -> None:
    small, large = made(stacks={"rebound": STACKS["rebound"][:1]}), made()
    with statements() as few:
        page_of(tuner, small)
    with statements() as many:
        page_of(tuner, large)
    assert len(few) == len(many) <= 8


def test_it_fits_never_stands_above_missing_pieces(tuner: Browser, shelf: str) -> None:
    """The stack is on a model where it fits whatever is missing of it; four face shims are."""
    saved_damper(damper_document("LONG", shoulder_to_lip_mm=24.4, full_thread_start_mm=26.4, shaft_end_mm=44.4))
    many = [{**STACKS["compression"][0], "quantity": 14}, *STACKS["compression"][1:]]
    plan = made(damper="LONG", stacks={**STACKS, "compression": many}, allow={"stand_ins": False})
    assert (plan.verdict, plan.complete) == ("fits", False)
    text = page_of(tuner, plan)
    assert 'data-verdict="missing"' in text
    assert re.search(r'<p class="verdict-word">4 pieces are missing</p>', text)
    assert "It cannot be built from the shelf as it is. By the sizes it fits." in text
    assert "It fits" not in text.split("By the sizes it fits.")[0]


def test_the_nut_stands_on_the_page_and_on_the_pick_list(tuner: Browser, shelf: str) -> None:
    text = page_of(tuner, made())
    assert re.search(r"M12x1.25: it fits, its underside lies 23.8\d to 23.9\d mm from the shoulder", text)
    picks = text[text.index("Pick list") : text.index("Positions, face first")]
    assert re.search(r"N-00.*?OWN-NUT.*?L-OWN-NUT.*?<td>nut</td>", picks)
    assert "Should be" in text and "10 mm high, chamfers 0.6 mm deep" in text


def test_a_plan_recorded_before_plans_had_a_nut_is_still_shown(tuner: Browser, shelf: str) -> None:
    new = made()
    old = {
        name: value
        for name, value in new.answer.items()
        if name not in ("nut", "can_be_built", "leads", "headline", "shelf")
    }
    kept = Plan.objects.create(
        request=new.request,
        answer=old,
        claims=new.claims,
        verdict=new.verdict,
        complete=new.complete,
        engine_version="1",
        person=new.person,
        created_at=new.created_at,
    )
    text = page_of(tuner, kept)
    assert 'data-verdict="fits"' in text and "All of it is on the shelf." in text
    assert "<h3>Nut</h3>" not in text
    shown = show(kept)
    assert (shown["nut"], shown["can_be_built"], shown["leads"]) == (None, True, "fits")
    changed = tuner.get(f"/plans/{new.pk}?instead_of={kept.pk}").content.decode()
    assert "nut: none of its own before, OWN-NUT, 1 from N-00 lot L-OWN-NUT now" in changed
