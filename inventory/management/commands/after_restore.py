"""What is done once a copy was put back, before the service starts on it."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from inventory.common import numbering
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.holds.repairing import faults
from inventory.people.actors import Actor, acting_person
from inventory.people.commands import person_called
from inventory.stock import feed, following

LONGEST_REASON = 190


class Command(BaseCommand):
    help = "Says that this shelf was put back from a copy: the feed of changes goes on, and storefronts read anew."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--person", required=True, help="in whose name the ledger records it")
        parser.add_argument("--reason", required=True, help="which copy, and why")

    def handle(self, *args: Any, **options: Any) -> None:
        person, why = person_called(options["person"]), options["reason"].strip()
        if person is None:
            raise CommandError(f"There is no person {options['person']!r}; say who put it back: --person NAME.")
        if not 1 <= len(why) <= LONGEST_REASON:
            raise CommandError(f"Say why, in at most {LONGEST_REASON} characters: --reason WHY.")
        behind = feed.behind()
        if others := [fault for fault in faults() if fault.text != behind]:
            raise CommandError(
                f"The shelf that was put back is not true, first of all: {others[0].text}. See `repair_ledger`;"
                " nothing was changed."
            )
        if behind:
            feed.catch_up()
            self.stdout.write("The counter of transactions is past the ledger's last movement.")
        try:
            told = use_case(lambda: _tell(f"restore: {why}", acting_person(person)))
        except DomainError as error:
            raise CommandError(error.text) from None
        self.stdout.write("New rows are numbered a million higher: no number of what is lost is given again.")
        if not told:
            self.stdout.write("Nothing ever lay on this shelf, so there is nothing to tell storefronts.")
            return
        self.stdout.write("Storefronts are told to read anew. Start the service, and count the drawers that were busy.")


def _tell(reason: str, actor: Actor) -> bool:
    numbering.skip()
    return following.tell_restored(reason=reason, actor=actor)
