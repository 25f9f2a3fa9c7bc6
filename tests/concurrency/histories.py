"""Whether what clients were told of one part's stock can be explained by one order of their commands.

The check of linearizability by Wing and Gong (Journal of Parallel and Distributed Computing 17, 1993) with the memory
of Lowe (Concurrency and Computation 29, 2017): commands are put in an order that keeps every command which ended before
another began in front of it; each answer must be what the shelf, as it was at that place, gives. A command whose answer
never came may stand anywhere after it began, or nowhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

TAKEN, REFUSED, GIVEN_BACK, NOT_KNOWN = "taken", "refused", "given back", "not known"


@dataclass(frozen=True, slots=True)
class Call:
    """One command under one key: what it asks of the free pieces, when it was first sent, what was told at last.

    `pieces` above 0 are held, below 0 given back. `began` and `ended` are places in one order of all that was seen;
    `ended` is infinite for a command whose answer never came.
    """

    pieces: int
    began: float
    told: str
    ended: float = inf


def explained(calls: Sequence[Call], *, free: int, left: int | None = None) -> list[int] | None:
    """An order of the calls (places in `calls`) that explains every answer, or None where there is none.

    `free` pieces lie there at the beginning, and `left` at the end where that is known.
    """
    seen: set[tuple[frozenset[int], int]] = set()
    everything = frozenset(index for index, call in enumerate(calls) if call.told != NOT_KNOWN)

    def search(done: frozenset[int], now: int, order: list[int]) -> list[int] | None:
        if everything <= done and (left is None or now == left):
            return order
        if (done, now) in seen:
            return None
        seen.add((done, now))
        waiting = [index for index in range(len(calls)) if index not in done]
        first_end = min((calls[index].ended for index in waiting), default=inf)
        for index in waiting:
            call = calls[index]
            if call.began > first_end:
                continue
            for after in _after(call, now):
                if found := search(done | {index}, after, [*order, index]):
                    return found
        return None

    return search(frozenset(), free, [])


def _after(call: Call, now: int) -> list[int]:
    """What may be free after a call at this place; empty where its answer is not what the shelf gives here."""
    enough = call.pieces <= now
    match call.told:
        case "taken" | "given back":
            return [now - call.pieces] if enough else []
        case "refused":
            return [] if enough else [now]
        case _:
            return [now - call.pieces] if enough else [now]
