"""Saved stacks for tests of pages."""

from __future__ import annotations

from typing import Any

from inventory.common.transactions import use_case
from inventory.dampers.models import StackRevision
from inventory.dampers.selectors import damper_row
from inventory.dampers.services import save_stack
from tests import people


def saved_stack(
    damper: str, name: str, stacks: dict[str, Any], *, valve: str = "main", note: str = ""
) -> StackRevision:
    """Stacks saved for a valve of a damper model by the tuner."""
    return use_case(
        lambda: save_stack(
            damper=damper_row(damper), valve=valve, name=name, stacks=stacks, note=note, actor=people.tuner()
        )
    )
