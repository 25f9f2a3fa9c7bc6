"""What a hold asked for is guarded by the database; how much of it is set aside now changes with the ledger."""

from __future__ import annotations

from inventory.common import frozen, guarding
from inventory.common.guarding import Guards

LINE = "inventory_holdline"

guarding.register(frozen.fixed(LINE, "id", "hold_id", "balance_id", "asked"))
guarding.register(frozen.kept(LINE))
guarding.register(Guards(whole=(LINE,)))
