"""PINs: short secrets by which people change on a computer that a password has opened. Hashed like passwords."""

from __future__ import annotations

from itertools import pairwise

from django.contrib.auth.hashers import check_password, make_password

from inventory.common.errors import invalid
from inventory.people.models import Person

SHORTEST, LONGEST = 4, 8
# By one or two, up or down, past 9 on with 0.
EVEN_STEPS = ({1}, {2}, {8}, {9})


def set_pin(*, person: Person, pin: str) -> None:
    """Gives the person a PIN. Raises DomainError `invalid` for what is not 4 to 8 digits, or is tried first."""
    if not (pin.isascii() and pin.isdigit() and SHORTEST <= len(pin) <= LONGEST):
        raise invalid("pin", f"has {SHORTEST} to {LONGEST} digits and nothing else")
    if is_common(pin):
        raise invalid("pin", "must not be a year, digits repeated or digits in a row: those are tried first")
    person.pin = make_password(pin)
    person.save(update_fields=["pin"])


def is_common(pin: str) -> bool:
    """Whether a PIN is one that is tried first: a few digits repeated (1111, 1212, 123123), digits in even steps (1234,
    4321, 2468, 7890), a year of four digits (1900 to 2099)."""
    repeated = any(pin == pin[:length] * (len(pin) // length) for length in range(1, len(pin) // 2 + 1))
    steps = {(int(after) - int(before)) % 10 for before, after in pairwise(pin)}
    return repeated or steps in EVEN_STEPS or (len(pin) == 4 and pin[:2] in {"19", "20"})


def is_right(person: Person, pin: str) -> bool:
    """Whether this is the person's PIN; never for somebody without one or who is not active."""
    return bool(person.pin) and person.is_active and check_password(pin, person.pin)


def people_with_pin() -> list[Person]:
    """Who can change on a shared computer, by name."""
    return list(Person.objects.filter(is_active=True).exclude(pin="").order_by("first_name", "username"))
