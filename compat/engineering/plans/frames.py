"""How the missing pieces of one short size can fall on its positions."""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from itertools import combinations, islice

from compat.engineering.plans.problem import Position, Role
from compat.engineering.plans.shelf import Supply

_MOST_FRAMES = 3_000
MOST_JOINED = 2_000


@dataclass(frozen=True)
class Frame:
    """`short`: missing pieces by position key. `replaced`: the positions that get stand-ins for theirs.

    `missing` counts what stays missing.
    """

    missing: int
    replaced: tuple[tuple[str, int], ...]
    short: Mapping[str, int]


def frames_of(positions: Sequence[Position], supply: Supply, roles: Set[Role]) -> tuple[list[Frame], bool]:
    """All frames of one size, fewest missing pieces and then fewest replaced positions first; True: some left out.

    roles: the places that may have stand-ins. Positions without stand-ins differ only in whether they count in the
    height and whether they take take-offs, so of each such kind only the number of missing pieces is tried, not every
    spread over its positions.
    """
    frames = list(islice(_frames(positions, supply, roles), _MOST_FRAMES + 1))
    cut = len(frames) > _MOST_FRAMES
    return sorted(frames[:_MOST_FRAMES], key=lambda frame: (frame.missing, len(frame.replaced))), cut


def _frames(positions: Sequence[Position], supply: Supply, roles: Set[Role]) -> Iterator[Frame]:
    places = [position for position in positions if position.role in roles]
    for number in range(min(len(places), supply.short) + 1):
        for replaced in combinations(places, number):
            others = _kinds([position for position in positions if position not in replaced])
            rooms = [position.quantity for position in replaced]
            for missing in range(supply.short + 1):
                for numbers in _splits(supply.short - missing, rooms, 1):
                    for left in _splits(missing, [sum(p.quantity for p in kind) for kind in others], 0):
                        new_only = sum(n for n, kind in zip(left, others, strict=True) if kind[0].new_only)
                        new_only += sum(n for n, p in zip(numbers, replaced, strict=True) if p.new_only)
                        if supply.new_only - new_only <= supply.new:
                            pairs = tuple((p.key, n) for p, n in zip(replaced, numbers, strict=True))
                            yield Frame(missing, pairs, dict(pairs) | _spread(left, others))


def _kinds(positions: Sequence[Position]) -> list[list[Position]]:
    kinds: dict[tuple[bool, bool], list[Position]] = {}
    for position in positions:
        kinds.setdefault((position.new_only, position.in_height), []).append(position)
    return list(kinds.values())


def _splits(total: int, rooms: Sequence[int], least: int) -> Iterator[tuple[int, ...]]:
    """Every way to put `total` into the rooms, at least `least` and at most its size into each."""
    if not rooms:
        if total == 0:
            yield ()
        return
    after = sum(rooms[1:])
    for number in range(max(least, total - after), min(rooms[0], total) + 1):
        for rest in _splits(total - number, rooms[1:], least):
            yield (number, *rest)


def _spread(numbers: Sequence[int], kinds: Sequence[Sequence[Position]]) -> dict[str, int]:
    """Put the missing pieces of each kind on its last positions first: the face side is served first."""
    short: dict[str, int] = {}
    for number, kind in zip(numbers, kinds, strict=True):
        left = number
        for position in reversed(kind):
            here = min(left, position.quantity)
            if here:
                short[position.key] = here
                left -= here
    return short


def joined(frames: Sequence[Sequence[Frame]]) -> Iterator[tuple[int, int, tuple[Frame, ...]]]:
    """(missing, replaced positions, one frame of each size), smallest first; every size with its frames in order.

    At most MOST_JOINED of them.
    """

    def entry(places: tuple[int, ...]) -> tuple[int, int, tuple[int, ...]]:
        chosen = [own[place] for own, place in zip(frames, places, strict=True)]
        return sum(one.missing for one in chosen), sum(len(one.replaced) for one in chosen), places

    if not all(frames):
        return
    first = (0,) * len(frames)
    queue, seen = [entry(first)], {first}
    while queue:
        missing, replaced, places = heapq.heappop(queue)
        yield missing, replaced, tuple(own[place] for own, place in zip(frames, places, strict=True))
        for at, place in enumerate(places):
            following = (*places[:at], place + 1, *places[at + 1 :])
            if place + 1 < len(frames[at]) and following not in seen and len(seen) < MOST_JOINED:
                seen.add(following)
                heapq.heappush(queue, entry(following))
