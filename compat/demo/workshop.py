"""Loading the invented workshop, once, into a database that is empty or already the demo's own."""

from __future__ import annotations

import json
import secrets
from functools import partial
from pathlib import Path
from typing import Any

from django.conf import settings
from rest_framework.serializers import Serializer

from inventory.catalogue.models import Part
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.dampers.checked import DamperIn, StacksIn
from inventory.dampers.document import stacks_told, told
from inventory.dampers.models import DamperModel
from inventory.dampers.services import create_damper, save_stack
from inventory.documents.typed import written
from inventory.holds.models import HOLDING, Hold
from inventory.holds.services import release_hold
from inventory.jobs.models import Job
from inventory.jobs.services import open_job
from inventory.people import pins
from inventory.people.actors import Actor, acting_person
from inventory.people.keys import restore
from inventory.people.models import Person
from inventory.people.roles import Role
from inventory.receiving.opening.loading import load_shelf
from inventory.receiving.opening.rows import Progress
from inventory.stock.models import Site

FIXTURES = settings.ROOT / "fixtures" / "demo"
# The row by which the demo knows a database as its own.
MARK = "demo"
# Only ever valid on this machine: the demo listens on the loopback address.
PASSWORD = "oily-hands-2026"
PIN = "4826"


def fixture(name: str) -> Any:
    """A file of the invented workshop."""
    return json.loads((FIXTURES / name).read_text())


def is_foreign() -> bool:
    """Whether the database holds somebody else's data."""
    used = Person.objects.exists() or Part.objects.exists()
    return used and not Site.objects.filter(code=MARK).exists()


def load(progress: Progress) -> bool:
    """Loads people, shelf, damper models and saved stacks; False when they were there already."""
    if Site.objects.filter(code=MARK).exists():
        return False
    people = use_case(_people)
    loaded = load_shelf(content=(FIXTURES / "shelf.csv").read_bytes(), actor=people[Role.CLERK], progress=progress)
    if loaded.faults:
        raise RuntimeError(f"the demo's shelf has faults: {loaded.faults[:3]}")
    use_case(lambda: _dampers(people[Role.TUNER]))
    # The mark comes last: a load that was interrupted is not taken for a whole one.
    use_case(lambda: Site.objects.create(code=MARK, name="Demo workshop"))
    return True


def actor(role: Role) -> Actor:
    """The demo's person of that role."""
    return acting_person(Person.objects.filter(role=role).order_by("pk")[0])


def start_over(number: str, title: str) -> None:
    """Opens the demo's job, and gives back what an earlier run of the demo holds for it."""
    if not Job.objects.filter(number=number).exists():
        use_case(lambda: open_job(number=number, title=title))
    for hold in Hold.objects.filter(jobhold__job__number=number, state__in=HOLDING).values_list("pk", flat=True):
        use_case(partial(release_hold, hold=hold, actor=actor(Role.TUNER)))


def api_key(folder: Path, role: Role) -> str:
    """The demo's API key for that role: made once, kept in an ignored file, the same on every run."""
    file = folder / f"key-{role.value}"
    if not file.exists():
        file.touch(mode=0o600)
        file.write_text(secrets.token_urlsafe(32))
    key = file.read_text()
    use_case(lambda: restore(name=f"demo {role.value}", role=role, key=key))
    return key


def checked(serializer: type[Serializer[Any]], data: Any) -> dict[str, Any]:
    """Data of a fixture through the same checks as a request."""
    found = serializer(data=data)
    found.is_valid(raise_exception=True)
    values: dict[str, Any] = found.validated_data
    return values


def _people() -> dict[Role, Actor]:
    found = {}
    for one in fixture("people.json"):
        role = Role(one["role"])
        names = {name: one[name] for name in ("first_name", "last_name")}
        lead = role == Role.LEAD
        person = Person.objects.create_user(
            one["username"], password=PASSWORD, role=role, is_staff=lead, is_superuser=lead, **names
        )
        pins.set_pin(person=person, pin=PIN)
        found[role] = acting_person(person)
    return found


def _dampers(tuner: Actor) -> None:
    for document in fixture("dampers.json"):
        model = told(checked(DamperIn, document))
        create_damper(code=model.code, name=model.name, document=model.document, actor=tuner)
    dampers = {damper.code: damper for damper in DamperModel.objects.all()}
    for one in fixture("stacks.json"):
        damper = dampers.get(one["damper"])
        if damper is None:
            raise DomainError("not_found", what="damper", which=one["damper"])
        stacks = written(stacks_told(checked(StacksIn, one["stacks"])))
        save_stack(
            damper=damper, valve=one["valve"], name=one["name"], stacks=stacks, note=one.get("note", ""), actor=tuner
        )
