"""Django's own, which here also puts the guards back when they are what is wrong."""

from __future__ import annotations

from typing import Any

from django.core.management.base import CommandError
from django.core.management.commands import migrate

from inventory.checks import while_migrating
from inventory.common.errors import DomainError


class Command(migrate.Command):
    def check(self, *args: Any, **options: Any) -> None:
        """The checks but for what migrating mends: tables of an older version, and guards that do not stand."""
        with while_migrating():
            super().check(*args, **options)

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            super().handle(*args, **options)
        except DomainError as error:
            raise CommandError(
                f"The guards are not in place: {error.text} Run migrate again when it is quiet."
            ) from None
