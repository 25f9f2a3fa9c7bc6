"""Replays the whole ledger and compares it with the shelf."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inventory.holds.selectors import held_faults
from inventory.stock import replay, triggers


class Command(BaseCommand):
    help = "Replays every movement, compares it with the balances and the holds, and looks for the triggers."

    def handle(self, *args: Any, **options: Any) -> None:
        gone = triggers.missing()
        faults = [*(f"trigger {name} is missing" for name in gone), *replay.faults(), *held_faults()]
        for fault in faults:
            self.stdout.write(fault)
        movements, balances = replay.counted()
        if faults:
            raise CommandError(f"The shelf is not true: {len(faults)} faults in {balances} balances.")
        self.stdout.write(f"The shelf is true: {movements} movements explain {balances} balances and every hold.")
