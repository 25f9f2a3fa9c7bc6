"""The people and programs of the tests: three of the workshop, its storefront, and a storefront that is an outsider.

Each function gives the same one however often it is called in a test.
"""

from __future__ import annotations

from inventory.common import clock
from inventory.common.transactions import use_case
from inventory.people import keys
from inventory.people.actors import Actor, acting_client, acting_person
from inventory.people.models import Client, Person
from inventory.people.roles import Role


def clerk() -> Actor:
    """Runa counts the drawers."""
    return _person("runa", "Runa", "Feldmark", Role.CLERK)


def tuner() -> Actor:
    """Ossian writes the stacks."""
    return _person("ossian", "Ossian", "Tarn", Role.TUNER)


def lead() -> Actor:
    """Maive signs for the bench."""
    return _person("maive", "Maive", "Orlund", Role.LEAD)


def storefront() -> Actor:
    """The workshop's own web shop."""
    return program("web shop", Role.STOREFRONT)


def outsider() -> Actor:
    """Another storefront, which must not see the first one's holds."""
    return program("other shop", Role.STOREFRONT)


def program(name: str, role: Role) -> Actor:
    """A client of the API."""
    made = {"role": role, "created_at": clock.now()}
    return acting_client(Client.objects.get_or_create(name=name, defaults=made)[0])


def key_of(actor: Actor) -> str:
    """A new key, in clear. A person has none, so it is that of a program with the person's name and role."""
    name = actor.client.name if actor.client else f"terminal of {actor.name}"
    return use_case(lambda: keys.issue(name=name, role=actor.role))[1]


def _person(username: str, first: str, last: str, role: Role) -> Actor:
    made = {"first_name": first, "last_name": last, "role": role}
    return acting_person(Person.objects.get_or_create(username=username, defaults=made)[0])
