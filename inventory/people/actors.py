"""The actor that every command names: a person or a program."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.people.models import Client, Person
from inventory.people.roles import Role


@dataclass(frozen=True, slots=True)
class Actor:
    """Who does it: a person or a client, never neither. Written into every movement."""

    role: Role
    person: Person | None = None
    client: Client | None = None

    def __post_init__(self) -> None:
        if (self.person is None) == (self.client is None):
            raise ValueError("an actor is either a person or a client")

    @property
    def is_authenticated(self) -> bool:
        """What the API framework asks of a user."""
        return True

    @property
    def name(self) -> str:
        return str(self.person or self.client)


def acting_person(person: Person) -> Actor:
    """The person as an actor."""
    return Actor(role=Role(person.role), person=person)


def acting_client(client: Client) -> Actor:
    """The client as an actor."""
    return Actor(role=Role(client.role), client=client)
