"""What the ledger rests on besides movements, guarded by the database: which part a lot is, how large it is, and what
was read of it. A ledger whose lot could be given another part, or whose shim another size, would be true of nothing.

A part's number, kind and unit, and its sizes in the table of its kind, are fixed once a lot of it exists, but for what
it is made of as long as that is unknown: the same rules as inventory/stock/amending.py keeps. A migration that has to
fill a new column of such a table takes the guard away and puts it back in its own transaction (DEVELOPERS.md).
"""

from __future__ import annotations

from collections.abc import Sequence

from inventory.catalogue.kinds.registry import KINDS, Kind
from inventory.common import frozen, guarding
from inventory.common.guarding import Function, Guards
from inventory.stock.models import Reading

READING = Reading._meta.db_table
LOT, PART = "inventory_lot", "inventory_part"
SIZES = {kind.table._meta.db_table: kind for kind in sorted(KINDS.values(), key=lambda kind: kind.code)}
NOT_KNOWN = "unknown"

PART_COLUMNS = ("id", "number", "kind", "unit")
REFUSED = "what a part is stays as it is once lots of it exist"


def _once_a_lot_exists(
    table: str, part: str, function: str, columns: tuple[str, ...] = (), *, told: str = "", others: Sequence[str] = ()
) -> Guards:
    """A row, or some of its columns, that neither changes nor goes once there is a lot of the part in its column.

    The column `told` may be told while it is unknown, as long as the `others` of the row stay as they are.
    """
    name, lots = f"sizes_{table}", f"EXISTS (SELECT 1 FROM {LOT} WHERE part_id = OLD.{part})"
    of = f" OF {', '.join(columns)}" if columns else ""
    changed = f"({frozen.differing(columns)}) AND " if columns else ""
    same = " AND ".join(f"NEW.{column} = OLD.{column}" for column in columns) or "false"
    if told:
        changed = f"(OLD.{told} <> '{NOT_KNOWN}' OR {frozen.differing(others)}) AND "
        same = f"OLD.{told} = '{NOT_KNOWN}' AND to_jsonb(NEW) - '{told}' = to_jsonb(OLD) - '{told}'"
    ending = f"BEGIN SELECT RAISE(ABORT, 'frozen: {REFUSED}'); END"
    body = f"""
        BEGIN
            IF TG_OP = 'UPDATE' THEN
                IF {same} THEN RETURN NEW; END IF;
            END IF;
            IF {lots} THEN
                RAISE EXCEPTION 'frozen: {REFUSED}' USING ERRCODE = 'check_violation';
            END IF;
            IF TG_OP = 'UPDATE' THEN RETURN NEW; END IF;
            RETURN OLD;
        END"""
    return Guards(
        sqlite={
            f"{name}_update": f"BEFORE UPDATE{of} ON {table}\n        WHEN {changed}{lots}\n        {ending}",
            f"{name}_delete": f"BEFORE DELETE ON {table}\n        WHEN {lots}\n        {ending}",
        },
        functions={function: Function(body)},
        postgresql={name: f"BEFORE DELETE OR UPDATE{of} ON {table} FOR EACH ROW EXECUTE FUNCTION {function}()"},
    )


def _of_sizes(table: str, kind: Kind) -> Guards:
    """The guard of the sizes of a kind."""
    told = kind.ages_by
    others = [str(field.column) for field in kind.table._meta.concrete_fields if field.column != told]
    function = f"frozen_sizes_{kind.code}" if told else "frozen_sizes"
    return _once_a_lot_exists(table, "part_id", function, told=told, others=others if told else ())


for _guards in (
    frozen.fixed(LOT, "id", "number", "part_id", "condition"),
    frozen.kept(LOT),
    frozen.written_once(READING),
    frozen.kept(READING),
    frozen.written_once("inventory_readingwithdrawal"),
    frozen.kept("inventory_readingwithdrawal"),
    _once_a_lot_exists(PART, "id", "frozen_part", PART_COLUMNS),
    *(_of_sizes(table, kind) for table, kind in SIZES.items()),
    Guards(whole=(READING, *SIZES)),
):
    guarding.register(_guards)
