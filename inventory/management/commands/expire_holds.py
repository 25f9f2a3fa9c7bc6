"""The sweeper; run it every minute or so."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from inventory.common.transactions import use_case
from inventory.holds.expiry import sweep
from inventory.idempotency.services import forget_old
from inventory.people.actors import acting_person
from inventory.people.commands import person_called


class Command(BaseCommand):
    help = "Gives back what lapsed holds keep, and forgets remembered answers older than a day."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--person", required=True, help="in whose name the ledger records it")

    def handle(self, *args: Any, **options: Any) -> None:
        person = person_called(options["person"])
        if person is None:
            raise CommandError(f"There is no person {options['person']!r}.")
        lines = sweep(actor=acting_person(person))
        answers = use_case(forget_old)
        self.stdout.write(f"{lines} lines given back, {answers} remembered answers forgotten.")
