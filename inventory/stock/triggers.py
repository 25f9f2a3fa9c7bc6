"""The database's own guard of the ledger, on both engines.

- A movement is never updated, deleted or replaced, and its table never truncated.
- A movement is taken only as the next version of its balance, with results that equal the balance plus its deltas, and
  only where the balance is what its last movement says, so that a false balance never becomes history;
  the trigger then applies it to the balance in the same statement.
- A balance starts empty and is never deleted. Besides by a new movement it changes in one way: it may be made to say
  what its last movement says, should it ever say something else (inventory/stock/repairing.py).
- SQLite takes no half pieces; on PostgreSQL the columns' types refuse them.

How they come into the database and are compared with it: inventory/common/guarding.py.
"""

from __future__ import annotations

from inventory.common import guarding
from inventory.common.guarding import Function

BALANCE = "inventory_balance"
MOVEMENT = "inventory_movement"

SQLITE = {
    "ledger_movement_update": f"""BEFORE UPDATE ON {MOVEMENT}
        BEGIN SELECT RAISE(ABORT, 'ledger: movements are never changed'); END""",
    "ledger_movement_delete": f"""BEFORE DELETE ON {MOVEMENT}
        BEGIN SELECT RAISE(ABORT, 'ledger: movements are never removed'); END""",
    "ledger_movement_check": f"""BEFORE INSERT ON {MOVEMENT}
        BEGIN
            SELECT RAISE(ABORT, 'ledger: this movement exists') WHERE EXISTS
                (SELECT 1 FROM {MOVEMENT} WHERE id = NEW.id);
            SELECT RAISE(ABORT, 'ledger: not the next version, or not previous + delta') WHERE NOT EXISTS
                (SELECT 1 FROM {BALANCE} WHERE id = NEW.balance_id AND version = NEW.version - 1
                 AND on_hand = NEW.on_hand - NEW.on_hand_delta AND held = NEW.held - NEW.held_delta);
            SELECT RAISE(ABORT, 'ledger: the balance is not what its last movement says; see repair_ledger')
                WHERE NEW.version > 1 AND NOT EXISTS
                (SELECT 1 FROM {MOVEMENT} WHERE balance_id = NEW.balance_id AND version = NEW.version - 1
                 AND on_hand = NEW.on_hand - NEW.on_hand_delta AND held = NEW.held - NEW.held_delta);
            -- INSERT OR IGNORE would also ignore the balance's own CHECK when the movement is applied.
            SELECT RAISE(ABORT, 'ledger: held would leave 0..on hand')
                WHERE NEW.held < 0 OR NEW.held > NEW.on_hand;
        END""",
    "ledger_movement_apply": f"""AFTER INSERT ON {MOVEMENT}
        BEGIN
            UPDATE {BALANCE} SET on_hand = NEW.on_hand, held = NEW.held, version = NEW.version
                WHERE id = NEW.balance_id;
        END""",
    "ledger_balance_insert": f"""BEFORE INSERT ON {BALANCE}
        WHEN NEW.on_hand <> 0 OR NEW.held <> 0 OR NEW.version <> 0
        BEGIN SELECT RAISE(ABORT, 'ledger: a balance starts empty'); END""",
    "ledger_balance_update": f"""BEFORE UPDATE ON {BALANCE}
        WHEN NEW.id <> OLD.id OR NEW.lot_id <> OLD.lot_id OR NEW.drawer_id <> OLD.drawer_id
            OR (NEW.version = OLD.version AND NEW.on_hand = OLD.on_hand AND NEW.held = OLD.held)
            OR EXISTS (SELECT 1 FROM {MOVEMENT} WHERE balance_id = NEW.id AND version > NEW.version)
            OR NOT (EXISTS (SELECT 1 FROM {MOVEMENT} WHERE balance_id = NEW.id AND version = NEW.version
                AND on_hand = NEW.on_hand AND held = NEW.held)
                OR (NEW.version = 0 AND NEW.on_hand = 0 AND NEW.held = 0))
        BEGIN SELECT RAISE(ABORT, 'ledger: a balance changes only by a movement'); END""",
    "ledger_balance_delete": f"""BEFORE DELETE ON {BALANCE}
        BEGIN SELECT RAISE(ABORT, 'ledger: balances are never removed'); END""",
}

# A function of PL/pgSQL keeps the plans that it first made, maybe of a table that was empty then; an opening shelf
# would read all of it again for every row. So these plans never read a whole table where there is an index.
BY_INDEX = "enable_seqscan TO 'off'"
POSTGRESQL_FUNCTIONS = {
    "ledger_refuse": Function("""
        BEGIN RAISE EXCEPTION 'ledger: % is never changed, removed or emptied', TG_TABLE_NAME
            USING ERRCODE = 'check_violation'; END"""),
    "ledger_apply": Function(
        f"""
        BEGIN
            -- ON CONFLICT DO NOTHING would pass over such a row after this trigger has applied it. One question for
            -- each index: a plan for both in one, made when the table was empty, reads the whole table.
            IF EXISTS (SELECT 1 FROM {MOVEMENT} WHERE id = NEW.id) THEN
                RAISE EXCEPTION 'ledger: this movement exists' USING ERRCODE = 'check_violation';
            END IF;
            IF NEW.reverses_id IS NOT NULL
                AND EXISTS (SELECT 1 FROM {MOVEMENT} WHERE reverses_id = NEW.reverses_id) THEN
                RAISE EXCEPTION 'ledger: this reversal exists' USING ERRCODE = 'check_violation';
            END IF;
            UPDATE {BALANCE} SET on_hand = NEW.on_hand, held = NEW.held, version = NEW.version
                WHERE id = NEW.balance_id AND version = NEW.version - 1
                AND on_hand = NEW.on_hand - NEW.on_hand_delta AND held = NEW.held - NEW.held_delta;
            IF NOT FOUND THEN
                RAISE EXCEPTION 'ledger: not the next version, or not previous + delta'
                    USING ERRCODE = 'check_violation';
            END IF;
            IF NEW.version > 1 AND NOT EXISTS (SELECT 1 FROM {MOVEMENT}
                WHERE balance_id = NEW.balance_id AND version = NEW.version - 1
                AND on_hand = NEW.on_hand - NEW.on_hand_delta AND held = NEW.held - NEW.held_delta) THEN
                RAISE EXCEPTION 'ledger: the balance is not what its last movement says; see repair_ledger'
                    USING ERRCODE = 'check_violation';
            END IF;
            NEW.transaction := pg_current_xact_id()::text::bigint;
            RETURN NEW;
        END""",
        setting=BY_INDEX,
    ),
    "ledger_guard": Function(
        f"""
        BEGIN
            IF TG_OP = 'INSERT' THEN
                IF NEW.on_hand = 0 AND NEW.held = 0 AND NEW.version = 0 THEN RETURN NEW; END IF;
            ELSIF NEW.id = OLD.id AND NEW.lot_id = OLD.lot_id AND NEW.drawer_id = OLD.drawer_id THEN
                -- Depth 2: this update comes from the movement's own trigger, not from a statement.
                IF pg_trigger_depth() > 1 AND NEW.version = OLD.version + 1 THEN RETURN NEW; END IF;
                IF (NEW.version, NEW.on_hand, NEW.held) <> (OLD.version, OLD.on_hand, OLD.held)
                    AND NOT EXISTS (SELECT 1 FROM {MOVEMENT} WHERE balance_id = NEW.id AND version > NEW.version)
                    AND (EXISTS (SELECT 1 FROM {MOVEMENT} WHERE balance_id = NEW.id AND version = NEW.version
                            AND on_hand = NEW.on_hand AND held = NEW.held)
                        OR (NEW.version = 0 AND NEW.on_hand = 0 AND NEW.held = 0)) THEN RETURN NEW; END IF;
            END IF;
            RAISE EXCEPTION 'ledger: a balance starts empty and changes only by a movement'
                USING ERRCODE = 'check_violation';
        END""",
        setting=BY_INDEX,
    ),
}
POSTGRESQL = {
    "ledger_movement_refuse": f"BEFORE DELETE OR UPDATE ON {MOVEMENT} FOR EACH ROW EXECUTE FUNCTION ledger_refuse()",
    "ledger_movement_truncate": f"BEFORE TRUNCATE ON {MOVEMENT} FOR EACH STATEMENT EXECUTE FUNCTION ledger_refuse()",
    "ledger_movement_apply": f"BEFORE INSERT ON {MOVEMENT} FOR EACH ROW EXECUTE FUNCTION ledger_apply()",
    "ledger_balance_guard": f"BEFORE INSERT OR UPDATE ON {BALANCE} FOR EACH ROW EXECUTE FUNCTION ledger_guard()",
    "ledger_balance_refuse": f"BEFORE DELETE ON {BALANCE} FOR EACH ROW EXECUTE FUNCTION ledger_refuse()",
    "ledger_balance_truncate": f"BEFORE TRUNCATE ON {BALANCE} FOR EACH STATEMENT EXECUTE FUNCTION ledger_refuse()",
}

guarding.register(
    guarding.Guards(sqlite=SQLITE, functions=POSTGRESQL_FUNCTIONS, postgresql=POSTGRESQL, whole=(BALANCE, MOVEMENT))
)


def install(using: str = "default") -> None:
    """Puts every guard of the shelf in place, these and those of the other rooms; see guarding.install()."""
    guarding.install(using)


def remove(using: str = "default") -> None:
    """Takes every guard away, these and those of the other rooms; see guarding.remove()."""
    guarding.remove(using)
