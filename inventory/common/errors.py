"""One shape for everything that can be refused: a code, a status and data. Text is made from the code at the edge."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class ErrorKind:
    """What a code means: its HTTP status, a title that never changes, and a sentence with `{fields}` of the data."""

    status: int
    title: str
    text: str


ERRORS: dict[str, ErrorKind] = {
    "invalid": ErrorKind(400, "The request is not valid", "Correct the fields named in errors and send it again."),
    "not_json": ErrorKind(400, "Not JSON", "The body is not valid JSON: {reason}"),
    "unknown_parameter": ErrorKind(
        400, "Unknown query parameter", "There is no parameter {names} here; the ones there are: {known}."
    ),
    "bad_cursor": ErrorKind(400, "Not a cursor", "Use a cursor as an earlier answer gave it, or none to start anew."),
    "idempotency_key_missing": ErrorKind(
        400,
        "Idempotency-Key is missing",
        "Send the header Idempotency-Key with a text of your own of 1 to 200 characters, new for every command.",
    ),
    "bad_file": ErrorKind(400, "The file cannot be read", "{reason}"),
    "key_missing": ErrorKind(401, "No key", "Send the header Authorization: Bearer KEY."),
    "key_invalid": ErrorKind(
        401, "The key is not valid", "This key is unknown or revoked; ask the lead for a new one."
    ),
    "role_not_allowed": ErrorKind(403, "Not for this role", "The role {role} may not do this; it is for: {allowed}."),
    "shared_computer": ErrorKind(
        403,
        "Not on a shared computer",
        "People change by PIN here. Sign out, sign in with the password without sharing the computer, and come back.",
    ),
    "not_found": ErrorKind(404, "Not found", "There is no {what} {which}."),
    "method_not_allowed": ErrorKind(405, "Method not allowed", "This address takes: {allowed}."),
    "not_acceptable": ErrorKind(406, "Only JSON is served", "Send Accept: application/json, or no Accept header."),
    "conflict": ErrorKind(409, "It already exists", "{what} {which} is already there; choose another name or use it."),
    "out_of_stock": ErrorKind(
        409, "Not enough on the shelf", "Some lines ask for more than is free; errors says which."
    ),
    "not_given_out": ErrorKind(
        409,
        "Not given out",
        "Some lines name what is retired, over-age, or not for this role; errors says which and why.",
    ),
    "shelf_changed": ErrorKind(
        409, "The shelf has changed", "Pieces of this plan are no longer free; data holds a new plan to look at."
    ),
    "plan_does_not_fit": ErrorKind(
        409, "The plan does not fit", "Nothing is held for a plan that does not fit; see its findings."
    ),
    "plan_empty": ErrorKind(
        409, "Nothing to hold", "The plan found no piece on the shelf, so there is nothing to hold."
    ),
    "plan_already_held": ErrorKind(409, "Already held", "Hold {hold} already holds this plan; release it first."),
    "hold_lapsed": ErrorKind(
        409, "The hold has lapsed", "Hold {hold} has lapsed and its pieces are no longer all free; make a new one."
    ),
    "hold_too_long": ErrorKind(
        409, "Held long enough", "Hold {hold} stands until {until} and no longer, unless the workshop extends it."
    ),
    "hold_paid": ErrorKind(
        409,
        "The buyer has paid",
        "Hold {hold} is confirmed: its pieces are sold. Say that you know it (paid) to release it all the same.",
    ),
    "hold_state": ErrorKind(409, "Not in this state", "Hold {hold} is {state}; this needs one that is {needed}."),
    "sizes_frozen": ErrorKind(
        409,
        "The sizes are fixed",
        "Lots of part {which} exist, so its sizes stay as they are: make another part for another size.",
    ),
    "drawer_not_empty": ErrorKind(
        409, "The drawer is not empty", "Drawer {which} still holds pieces; only an empty drawer can be retired."
    ),
    "line_undone": ErrorKind(409, "The line is undone already", "{who} has undone the line of lot {lot}."),
    "line_not_whole": ErrorKind(
        409,
        "Not all of the line is there",
        "The line brought {brought} in and drawer {drawer} holds {there} of lot {lot}: some were used, moved or "
        "counted away. Count the drawer instead.",
    ),
    "reading_withdrawn": ErrorKind(
        409, "The reading is withdrawn already", "{who} has withdrawn reading {reading} of lot {lot}."
    ),
    "calibration_refused": ErrorKind(409, "The points are not explained", "Nothing was kept. {why}"),
    "part_retired": ErrorKind(409, "Retired", "{what} {which} is retired; take its successor."),
    "other_nominal_size": ErrorKind(
        409,
        "The readings belong to another size",
        "The readings' mean of {mean_mm} mm lies nearer to {nearest_mm} mm than to this part's {nominal_mm} mm. "
        "Check the bag; then take it in as the part it is.",
    ),
    "mixed_sizes": ErrorKind(
        409,
        "The readings are of more than one size",
        "The readings {readings_mm} mm belong to {sizes_mm} mm, and the part is {nominal_mm} mm. Sort the bag by "
        "thickness, then measure each size by itself.",
    ),
    "count_again": ErrorKind(
        409,
        "Look again before this count is kept",
        "Look at what is marked and count once more. Sent again with the same number it is kept.",
    ),
    "ledger_refused": ErrorKind(409, "The ledger refused this", "Balance {balance} would become {result}."),
    "not_applied": ErrorKind(
        503,
        "The shelf is being worked on",
        "The database did not apply {what}, so nothing was changed. Try again in a minute; if it stays so, whoever "
        "looks after this server runs check_ledger.",
    ),
    "shelf_restored": ErrorKind(
        410,
        "The shelf was put back from a copy",
        "What was read up to this cursor is not what happened here. Read all parts anew, then go on with the cursor in "
        "data.next.",
    ),
    "edited_meanwhile": ErrorKind(
        412, "Somebody else edited this", "Read it again, then send your edit with the new ETag in If-Match."
    ),
    "too_large": ErrorKind(413, "Too large", "A request may have {most} bytes at most. Send it in smaller parts."),
    "too_many_values": ErrorKind(
        413, "Too many values", "A request may hold {most} values at most. Send it in several requests."
    ),
    "unsupported_media": ErrorKind(415, "Only JSON is taken", "Send Content-Type: application/json."),
    "idempotency_key_reused": ErrorKind(
        422, "Key used for another request", "This Idempotency-Key already stands for another body; take a new one."
    ),
    "if_match_missing": ErrorKind(428, "If-Match is missing", "Send the ETag that you read in the header If-Match."),
    "too_many_requests": ErrorKind(429, "Too many requests", "Wait {seconds} s, then go on."),
    "server_error": ErrorKind(
        500,
        "Something broke here",
        "It is logged as request {request_id}; tell that number to who looks after this server. Look whether what you "
        "sent was done before you do it again; a program sends it again under the same Idempotency-Key.",
    ),
    "too_busy": ErrorKind(503, "Too busy", "The shelf was busy for {seconds} s; nothing was changed. Try again."),
    "no_database": ErrorKind(
        503, "The database does not answer", "The database {why}; nothing was changed. Try again in a moment."
    ),
    "not_known": ErrorKind(
        503,
        "Not known whether it was done",
        "The connection to the database broke while it was being written: all of it was done, or nothing. Send the "
        "same again (a program under the same Idempotency-Key): what was done is not done twice.",
    ),
}


@dataclass(frozen=True, slots=True)
class FieldError:
    """One thing wrong: where (a dotted path such as `lines.0.quantity`), a code, and what to do about it."""

    field: str
    code: str
    message: str


class DomainError(Exception):
    """A refusal. `code` is a key of ERRORS; `data` fills its text and goes to the caller; nothing was changed.

    `repeated` where it is the remembered answer to an earlier try of the same command.
    """

    def __init__(self, code: str, *, errors: Sequence[FieldError] = (), repeated: bool = False, **data: Any) -> None:
        self.repeated = repeated
        self.code = code
        self.kind = ERRORS[code]
        self.errors = tuple(errors)
        self.data: Mapping[str, Any] = data
        super().__init__(f"{code}: {self.text}")

    @property
    def status(self) -> int:
        return self.kind.status

    @property
    def text(self) -> str:
        """The sentence for people."""
        return self.kind.text.format(**self.data)


def invalid(field: str, message: str, code: str = "invalid") -> DomainError:
    """A request that is wrong in one field."""
    return DomainError("invalid", errors=[FieldError(field, code, message)])
