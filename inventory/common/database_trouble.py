"""What a database's error means for whoever waits: try again, come back later, nobody knows, or a fault of the program.

SQLSTATE classes and codes are those of PostgreSQL's manual, appendix A; SQLite's are the names of its result codes.
"""

from __future__ import annotations

from django.db import Error, IntegrityError

# Trying again can help: serialization failure, deadlock, lock not available.
BUSY_STATES = {"40001", "40P01", "55P03"}
UNIQUE_VIOLATION = "23505"
AWAY = "cannot be reached"
READ_ONLY = "takes no changes at the moment"
FULL = "has no room left"
NO_CONNECTION = "has no connection free"
NO_TABLES = "has no tables, as while a copy is put back"
# Shut down, crashed, starting up.
AWAY_STATES = {"57P01", "57P02", "57P03"}
WORDS_OF_STATE = {"25006": READ_ONLY, "53100": FULL, "53200": FULL, "53300": NO_CONNECTION, "42P01": NO_TABLES}
CONNECTION_EXCEPTION = "08"
WORDS_OF_SQLITE = {
    "SQLITE_CANTOPEN": AWAY,
    "SQLITE_IOERR": AWAY,
    "SQLITE_PROTOCOL": AWAY,
    "SQLITE_READONLY": READ_ONLY,
    "SQLITE_FULL": FULL,
}


def is_busy(error: BaseException) -> bool:
    """Whether trying again at once can help: a deadlock, a lock that did not come in time, a locked SQLite file."""
    state = state_of(error)
    return state in BUSY_STATES if state is not None else "is locked" in str(error)


def is_name_taken(error: IntegrityError) -> bool:
    """Whether a unique constraint was violated: two transactions took the same name at once."""
    state = state_of(error)
    return state == UNIQUE_VIOLATION if state is not None else "UNIQUE constraint failed" in str(error)


def is_cut_off(error: BaseException) -> bool:
    """Whether the database may have gone on without us: the reply to the last statement did not come.

    A statement that was refused has an SQLSTATE that says why; a connection that broke has none or one of its own, and
    an SQLite file that could not be written may have been written in part.
    """
    if not isinstance(error, Error):
        return False
    state = state_of(error)
    if state is not None:
        return state in AWAY_STATES or state.startswith(CONNECTION_EXCEPTION)
    name = _sqlite_name(error)
    return name.startswith("SQLITE_IOERR") if name else not is_busy(error) and not isinstance(error, IntegrityError)


def what_ails(error: BaseException) -> str | None:
    """In words what keeps the database from serving anybody ("cannot be reached", ...); None for other errors."""
    if not isinstance(error, Error) or isinstance(error, IntegrityError):
        return None
    state = state_of(error)
    if state is not None:
        gone = state in AWAY_STATES or state.startswith(CONNECTION_EXCEPTION)
        return AWAY if gone else WORDS_OF_STATE.get(state)
    if name := _sqlite_name(error):
        if str(error).startswith("no such table"):
            return NO_TABLES
        return next((words for code, words in WORDS_OF_SQLITE.items() if name.startswith(code)), None)
    # The driver's own errors without a state: refused, broken, timed out, none free in the pool.
    cause = error.__cause__
    return AWAY if cause and "OperationalError" in {kind.__name__ for kind in type(cause).__mro__} else None


def state_of(error: BaseException) -> str | None:
    """The SQLSTATE of an error of PostgreSQL, or None."""
    found = getattr(error.__cause__, "sqlstate", None)
    return str(found) if found is not None else None


def _sqlite_name(error: BaseException) -> str:
    return str(getattr(error.__cause__, "sqlite_errorname", None) or "")
