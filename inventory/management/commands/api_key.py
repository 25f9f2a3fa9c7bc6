"""Makes, or revokes, the keys of an API client."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.people.keys import issue, revoke
from inventory.people.models import Client
from inventory.people.roles import Role


class Command(BaseCommand):
    help = "Makes an API key for the client NAME and prints it, alone, on the last line. It is shown only this once."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name")
        parser.add_argument("--role", choices=[role.value for role in Role], help="what the client may do")
        parser.add_argument("--revoke", action="store_true", help="revoke every key of the client instead")

    def handle(self, *args: Any, **options: Any) -> None:
        name = options["name"]
        if options["revoke"]:
            client = Client.objects.filter(name=name).first()
            if client is None:
                raise CommandError(f"There is no client {name!r}.")
            self.stdout.write(f"{revoke(client=client)} keys of {name} are revoked.")
            return
        if not options["role"]:
            raise CommandError(f"Say what the client may do: --role {'|'.join(Role)}.")
        try:
            _, key = use_case(lambda: issue(name=name, role=Role(options["role"])))
        except DomainError as error:
            why = " ".join(f"The {one.field} {one.message}." for one in error.errors)
            raise CommandError(why or error.text) from None
        self.stderr.write(f"Key of {name} ({options['role']}); keep it safe, it is not shown again:")
        self.stdout.write(key)
