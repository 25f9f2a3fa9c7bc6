"""What the ledger rests on besides movements, guarded by the database: which part a lot is, how large it is, and what
was read of it. A ledger whose lot could be given another part, or whose shim another size, would be true of nothing.

A part's number, kind and unit, and its sizes in the table of its kind, are fixed once a lot of it exists: the same rule
as inventory/stock/amending.py keeps. A migration that has to fill a new column of such a table takes the guard away and
puts it back in its own transaction (DEVELOPERS.md).
"""

from __future__ import annotations

from inventory.catalogue.kinds.registry import KINDS
from inventory.common import frozen, guarding
from inventory.common.guarding import Function, Guards

LOT, PART = "inventory_lot", "inventory_part"
SIZES = tuple(sorted(kind.table._meta.db_table for kind in KINDS.values()))


def _once_a_lot_exists(name: str, when: str, part: str, function: str) -> Guards:
    """A change that is refused once there is a lot of the part whose id stands in the column `part`."""
    lots = f"SELECT 1 FROM {LOT} WHERE part_id = OLD.{part}"
    refused = "the sizes of a part of which lots exist stay as they are"
    body = f"""
        BEGIN
            IF EXISTS ({lots}) THEN
                RAISE EXCEPTION 'frozen: {refused}' USING ERRCODE = 'check_violation';
            END IF;
            IF TG_OP = 'DELETE' THEN RETURN OLD; END IF;
            RETURN NEW;
        END"""
    return Guards(
        sqlite={
            f"{name}_{verb.split()[0].lower()}": f"BEFORE {verb}\n        WHEN EXISTS ({lots})\n"
            f"        BEGIN SELECT RAISE(ABORT, 'frozen: {refused}'); END"
            for verb in (when, f"DELETE ON {when.rpartition(' ')[2]}")
        },
        functions={function: Function(body)},
        postgresql={
            name: f"BEFORE DELETE OR {when} FOR EACH ROW EXECUTE FUNCTION {function}()",
        },
    )


for _guards in (
    frozen.fixed(LOT, "id", "number", "part_id", "condition"),
    frozen.kept(LOT),
    frozen.written_once("inventory_reading"),
    frozen.kept("inventory_reading"),
    frozen.written_once("inventory_readingwithdrawal"),
    frozen.kept("inventory_readingwithdrawal"),
    _once_a_lot_exists(f"sizes_{PART}", f"UPDATE OF id, number, kind, unit ON {PART}", "id", "frozen_part"),
    *(_once_a_lot_exists(f"sizes_{table}", f"UPDATE ON {table}", "part_id", "frozen_sizes") for table in SIZES),
    Guards(whole=("inventory_reading", *SIZES)),
):
    guarding.register(_guards)
