"""Whether what clients were told of one part's stock can be explained by one order of their commands.

The check of linearizability by Wing and Gong (Journal of Parallel and Distributed Computing 17, 1993), walked along the
history as Lowe does (Concurrency and Computation 29, 2017, just-in-time linearization): commands are put in an order
that keeps every command which ended before another began in front of it; each answer must be what the shelf, as it was
at that place, gives. A command whose answer never came may stand anywhere after it began, or nowhere.

What is remembered at a place of the history are the commands that have begun and not ended and, for each set of them
that may have been done, the pieces that are free then. So the work grows with the length of the history, and only by
the number of commands that were under way at once with their power; those without an answer stay under way for ever.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
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


@dataclass(frozen=True, slots=True)
class Order:
    """The last call of an order, and the order before it."""

    call: int
    before: Order | None


# What may be at a place of the history: which of the calls under way are done (one bit each), how many pieces are free.
State = tuple[int, int]


def explained(calls: Sequence[Call], *, free: int, left: int | None = None) -> list[int] | None:
    """An order of the calls (places in `calls`) that explains every answer, or None where there is none.

    `free` pieces lie there at the beginning, and `left` at the end where that is known.
    """
    walk = Walk(calls, free)
    for _, ended, index in sorted(_events(calls)):
        if ended:
            walk.end(index)
        else:
            walk.begin(index)
        if not walk.states:
            return None
    for (_, now), order in walk.all_that_may_follow(dict(walk.states)).items():
        if left is None or now == left:
            return _listed(order)
    return None


class Walk:
    """The states that the history so far leaves possible, with an order of the calls for each."""

    def __init__(self, calls: Sequence[Call], free: int) -> None:
        self.calls = calls
        self.states: dict[State, Order | None] = {(0, free): None}
        self.under_way: dict[int, int] = {}
        self.bits: list[int] = []

    def begin(self, index: int) -> None:
        """From here on the call may be done."""
        if not self.bits:
            self.bits.append(1 << len(self.under_way))
        self.under_way[index] = self.bits.pop()

    def end(self, index: int) -> None:
        """By here the call is done: states in which it is not are led on until it is."""
        bit = self.under_way[index]
        ready = {state: order for state, order in self.states.items() if state[0] & bit}
        waiting = {state: order for state, order in self.states.items() if not state[0] & bit}
        for state, order in self.all_that_may_follow(waiting, until=bit).items():
            if state[0] & bit:
                ready.setdefault(state, order)
        del self.under_way[index]
        self.bits.append(bit)
        self.states = {(done & ~bit, now): order for (done, now), order in ready.items()}

    def all_that_may_follow(self, states: dict[State, Order | None], until: int = 0) -> dict[State, Order | None]:
        """The states, and those that come of them by calls under way; none goes on behind the call of bit `until`."""
        found, waiting = dict(states), list(states)
        while waiting:
            state = waiting.pop()
            done, now = state
            if done & until:
                continue
            order = found[state]
            for index, bit in self.under_way.items():
                if done & bit:
                    continue
                after = _after(self.calls[index], now)
                if after is None:
                    continue
                following = (done | bit, after)
                if following not in found:
                    found[following] = Order(index, order)
                    waiting.append(following)
                if after == now and self.calls[index].told == REFUSED:
                    # It changes nothing, so whatever else comes may as well come after it.
                    break
        return found


def _events(calls: Sequence[Call]) -> Iterator[tuple[float, bool, int]]:
    """Each beginning and each end; beginnings first where both are at one place."""
    for index, call in enumerate(calls):
        yield call.began, False, index
        if call.told != NOT_KNOWN:
            yield call.ended, True, index


def _after(call: Call, now: int) -> int | None:
    """What is free after a call is done at this place; None where its answer is not what the shelf gives here."""
    enough = call.pieces <= now
    if call.told == REFUSED:
        return None if enough else now
    # One whose answer never came and that finds too little is as if it never came.
    return now - call.pieces if enough else None


def _listed(order: Order | None) -> list[int]:
    found = []
    while order is not None:
        found.append(order.call)
        order = order.before
    return found[::-1]
