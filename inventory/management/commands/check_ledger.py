"""Replays the whole ledger and compares it with the shelf."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inventory.common import guarding
from inventory.holds.selectors import held_faults
from inventory.stock import feed, replay


class Command(BaseCommand):
    help = (
        "Replays every movement, compares it with the balances and the holds, and the guards with what they should be."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        faults = [f"guard {name} {what}" for name, what in guarding.wrong().items()]
        faults += [*replay.faults(), *held_faults(), *filter(None, [feed.behind()])]
        for fault in faults:
            self.stdout.write(fault)
        movements, balances = replay.counted()
        if faults:
            raise CommandError(f"The shelf is not true: {len(faults)} faults in {balances} balances.")
        self.stdout.write(f"The shelf is true: {movements} movements explain {balances} balances and every hold.")
