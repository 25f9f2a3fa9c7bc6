"""Shows what is wrong with the shelf and what would mend it; mends it when told to."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from inventory.common.errors import DomainError
from inventory.holds.repairing import Fault, faults, mend
from inventory.people.actors import acting_person
from inventory.people.commands import person_called

LONGEST_REASON = 190


class Command(BaseCommand):
    help = "Shows each fault of the shelf with what mends it. With --apply mends it, in the name of --person."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--apply", action="store_true", help="mend what is shown; without it nothing is changed")
        parser.add_argument("--person", help="in whose name the ledger records it")
        parser.add_argument("--reason", default="", help="why the shelf was not true, as far as it is known")

    def handle(self, *args: Any, **options: Any) -> None:
        if not options["apply"]:
            found = faults()
            for fault in found:
                self._say(fault)
            if found:
                raise CommandError(
                    f"{len(found)} faults; nothing was changed. Make a copy of the database, then run it again with"
                    " --apply --person NAME --reason WHY."
                )
            self.stdout.write("Nothing to mend.")
            return
        person, why = person_called(options["person"] or ""), options["reason"].strip()
        if person is None:
            raise CommandError(f"There is no person {options['person'] or ''!r}; say who mends it: --person NAME.")
        if not 1 <= len(why) <= LONGEST_REASON:
            raise CommandError(f"Say why, in at most {LONGEST_REASON} characters: --reason WHY.")
        try:
            left = mend(reason=f"repair: {why}", actor=acting_person(person), tell=self._say)
        except DomainError as error:
            raise CommandError(error.text) from None
        for fault in left:
            self._say(fault)
        if left:
            raise CommandError(f"{len(left)} faults are left.")
        self.stdout.write("Mended. Run check_ledger, and count the drawers that were named.")

    def _say(self, fault: Fault) -> None:
        self.stdout.write(f"{fault.text}: {fault.mend}")
