"""The one place that looks at a person's password, with the brake on guessing before it.

Signing in, setting a PIN, sending what was kept, changing the password, the admin pages: whoever takes a password asks
here, so that wrong ones count together wherever they are typed (tests/house/test_rules.py keeps it the only one).
"""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import auth
from django.views.decorators.debug import sensitive_variables

from inventory.people import brakes
from inventory.people.models import Person


@dataclass(frozen=True, slots=True)
class Tried:
    """What a password came to: the person whose it is; or None, with the seconds to wait where it was not looked at."""

    person: Person | None
    wait: int = 0

    @property
    def wait_text(self) -> str:
        """What to do where one has to wait; empty where the password was looked at."""
        return f"Too many wrong passwords in a row: wait {self.wait} s, then try again." if self.wait else ""


@sensitive_variables("password")
def check(username: str, password: str) -> Tried:
    """Whose password this is. A wrong one counts against the name; a right one forgets what was counted, PINs too."""
    wait = brakes.take_slow_try(brakes.of_password(username))
    if wait:
        return Tried(None, wait)
    # Takes as long for a name that nobody has; never somebody who has left.
    person = auth.authenticate(username=username, password=password)
    if person is not None:
        brakes.release(brakes.of_pin(person.pk), brakes.of_password(person.username))
    return Tried(person)
