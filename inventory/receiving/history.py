"""What came in and what was counted are guarded by the database: a count is a witness."""

from __future__ import annotations

from inventory.common import frozen, guarding
from inventory.common.guarding import Guards

for _table in ("inventory_count", "inventory_deliveryline"):
    guarding.register(frozen.written_once(_table))
    guarding.register(frozen.kept(_table))
    guarding.register(Guards(whole=(_table,)))
