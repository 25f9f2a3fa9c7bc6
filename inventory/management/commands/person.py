"""Makes a person of the workshop."""

from __future__ import annotations

import getpass
import sys
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from inventory.common import writing
from inventory.people.models import Person
from inventory.people.roles import STAFF, Role


class Command(BaseCommand):
    help = "Makes a person who can sign in and in whose name the ledger records; asks for the password."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("username")
        parser.add_argument("--role", choices=[role.value for role in STAFF], required=True)
        parser.add_argument("--no-password", action="store_true", help="somebody who never signs in")

    def handle(self, *args: Any, **options: Any) -> None:
        name, role = writing.tidy(options["username"]), Role(options["role"])
        if refused := writing.refusal(name):
            raise CommandError(f"The name {refused}.")
        if Person.objects.filter(username=name).exists():
            raise CommandError(f"There is a person {name!r} already.")
        password = None
        if not options["no_password"]:
            password = getpass.getpass("Password: ") if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")
            try:
                validate_password(password)
            except ValidationError as error:
                raise CommandError(" ".join(error.messages)) from None
        lead = role == Role.LEAD
        Person.objects.create_user(name, password=password, role=role, is_staff=lead, is_superuser=lead)
        self.stdout.write(f"{name} is a {role.value}.")
