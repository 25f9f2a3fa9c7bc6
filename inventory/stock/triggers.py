"""The database's own guard of the ledger, on both engines.

- A movement is never updated, deleted or replaced, and its table never truncated.
- A movement is taken only as the next version of its balance, with results that equal the balance plus its deltas;
  the trigger then applies it to the balance in the same statement.
- A balance starts empty and changes in no other way, and is never deleted.

They are installed after every migrate, because SQLite drops a table's triggers when it rebuilds the table.
"""

from __future__ import annotations

from django.db import connections

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
            OR NEW.version <> OLD.version + 1 OR NOT EXISTS
            (SELECT 1 FROM {MOVEMENT} WHERE balance_id = NEW.id AND version = NEW.version
             AND on_hand = NEW.on_hand AND held = NEW.held)
        BEGIN SELECT RAISE(ABORT, 'ledger: a balance changes only by a movement'); END""",
    "ledger_balance_delete": f"""BEFORE DELETE ON {BALANCE}
        BEGIN SELECT RAISE(ABORT, 'ledger: balances are never removed'); END""",
}

POSTGRESQL_FUNCTIONS = {
    "ledger_refuse": """
        BEGIN RAISE EXCEPTION 'ledger: % is never changed, removed or emptied', TG_TABLE_NAME
            USING ERRCODE = 'check_violation'; END""",
    "ledger_apply": f"""
        BEGIN
            -- ON CONFLICT DO NOTHING would pass over such a row after this trigger has applied it.
            IF EXISTS (SELECT 1 FROM {MOVEMENT} WHERE id = NEW.id OR reverses_id = NEW.reverses_id) THEN
                RAISE EXCEPTION 'ledger: this movement exists, or this reversal does'
                    USING ERRCODE = 'check_violation';
            END IF;
            UPDATE {BALANCE} SET on_hand = NEW.on_hand, held = NEW.held, version = NEW.version
                WHERE id = NEW.balance_id AND version = NEW.version - 1
                AND on_hand = NEW.on_hand - NEW.on_hand_delta AND held = NEW.held - NEW.held_delta;
            IF NOT FOUND THEN
                RAISE EXCEPTION 'ledger: not the next version, or not previous + delta'
                    USING ERRCODE = 'check_violation';
            END IF;
            NEW.transaction := pg_current_xact_id()::text::bigint;
            RETURN NEW;
        END""",
    "ledger_guard": """
        BEGIN
            IF TG_OP = 'INSERT' THEN
                IF NEW.on_hand = 0 AND NEW.held = 0 AND NEW.version = 0 THEN RETURN NEW; END IF;
            -- Depth 2: this update comes from the movement's own trigger, not from a statement.
            ELSIF pg_trigger_depth() > 1 AND NEW.id = OLD.id AND NEW.lot_id = OLD.lot_id
                AND NEW.drawer_id = OLD.drawer_id AND NEW.version = OLD.version + 1 THEN RETURN NEW;
            END IF;
            RAISE EXCEPTION 'ledger: a balance starts empty and changes only by a movement'
                USING ERRCODE = 'check_violation';
        END""",
}
POSTGRESQL = {
    "ledger_movement_refuse": f"BEFORE UPDATE OR DELETE ON {MOVEMENT} FOR EACH ROW EXECUTE FUNCTION ledger_refuse()",
    "ledger_movement_truncate": f"BEFORE TRUNCATE ON {MOVEMENT} FOR EACH STATEMENT EXECUTE FUNCTION ledger_refuse()",
    "ledger_movement_apply": f"BEFORE INSERT ON {MOVEMENT} FOR EACH ROW EXECUTE FUNCTION ledger_apply()",
    "ledger_balance_guard": f"BEFORE INSERT OR UPDATE ON {BALANCE} FOR EACH ROW EXECUTE FUNCTION ledger_guard()",
    "ledger_balance_refuse": f"BEFORE DELETE ON {BALANCE} FOR EACH ROW EXECUTE FUNCTION ledger_refuse()",
    "ledger_balance_truncate": f"BEFORE TRUNCATE ON {BALANCE} FOR EACH STATEMENT EXECUTE FUNCTION ledger_refuse()",
}


def install(using: str = "default") -> None:
    """Puts every trigger in place, replacing what is there; does nothing before the tables exist."""
    connection = connections[using]
    if not {BALANCE, MOVEMENT} <= set(connection.introspection.table_names()):
        return
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            for name, body in SQLITE.items():
                cursor.execute(f"DROP TRIGGER IF EXISTS {name}")
                cursor.execute(f"CREATE TRIGGER {name} {body}")
            return
        for name, body in POSTGRESQL_FUNCTIONS.items():
            cursor.execute(
                f"CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $body${body}$body$"
            )
        for name, body in POSTGRESQL.items():
            cursor.execute(f"CREATE OR REPLACE TRIGGER {name} {body}")


def remove(using: str = "default") -> None:
    """Takes every trigger away; only the tests' emptying of tables between cases has a use for it."""
    connection = connections[using]
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            for name in SQLITE:
                cursor.execute(f"DROP TRIGGER IF EXISTS {name}")
            return
        for name, body in POSTGRESQL.items():
            table = BALANCE if f" ON {BALANCE}" in body else MOVEMENT
            cursor.execute(f"DROP TRIGGER IF EXISTS {name} ON {table}")


def missing(using: str = "default") -> list[str]:
    """Names of triggers that should stand in the database and do not, or are switched off."""
    connection = connections[using]
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
            wanted = set(SQLITE)
        else:
            cursor.execute(
                "SELECT tgname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid"
                " WHERE tgenabled IN ('O', 'A') AND pg_class.relname IN (%s, %s) AND pg_table_is_visible(pg_class.oid)",
                [BALANCE, MOVEMENT],
            )
            wanted = set(POSTGRESQL)
        return sorted(wanted - {row[0] for row in cursor.fetchall()})
