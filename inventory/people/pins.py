"""PINs: short secrets by which people change on a computer that a password has opened. Hashed like passwords."""

from __future__ import annotations

from django.contrib.auth.hashers import check_password, make_password

from inventory.common.errors import invalid
from inventory.people.models import Person

SHORTEST, LONGEST = 4, 8


def set_pin(*, person: Person, pin: str) -> None:
    """Gives the person a PIN. Raises DomainError `invalid` for what is not 4 to 8 digits or is one digit repeated."""
    if not (pin.isascii() and pin.isdigit() and SHORTEST <= len(pin) <= LONGEST):
        raise invalid("pin", f"has {SHORTEST} to {LONGEST} digits and nothing else")
    if len(set(pin)) == 1:
        raise invalid("pin", "must not be one digit repeated")
    person.pin = make_password(pin)
    person.save(update_fields=["pin"])


def is_right(person: Person, pin: str) -> bool:
    """Whether this is the person's PIN; never for somebody without one or who is not active."""
    return bool(person.pin) and person.is_active and check_password(pin, person.pin)


def people_with_pin() -> list[Person]:
    """Who can change on a shared computer, by name."""
    return list(Person.objects.filter(is_active=True).exclude(pin="").order_by("first_name", "username"))
