"""A drawn plan in full, with its score counted from the pieces themselves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from compat.engineering.plans.draw import Drawn
from compat.engineering.plans.needs import exact_number
from compat.engineering.plans.order import Score, height_steps
from compat.engineering.plans.problem import SPACER, Position, StockRow
from compat.engineering.plans.shelf import Shelf
from compat.engineering.plans.stand_ins import StandIn
from compat.engineering.plans.window import NO_SUCH_SHIMS, Window
from compat.engineering.shims import Size


@dataclass(frozen=True)
class Draw:
    """`quantity` pieces of one row for a place: a position's key, or SPACER."""

    place: str
    row: str
    quantity: int
    stand_in: bool = False


@dataclass(frozen=True)
class StoodIn:
    """What stands in at a position: sizes and numbers, the change of its sum t^3 in percent (None where diameters
    differ, since sums of cubes then say nothing), and the change of its height, measured mean of the stand-ins less
    nominal of what they replace."""

    position: str
    missing: int
    shims: tuple[tuple[Size, int], ...]
    sum_t3_change_percent: float | None
    height_change_um: int


@dataclass(frozen=True)
class Solution:
    """A plan. `missing` by position key; `height_change_um` of the in-height pieces against nominal; `add_window_um`
    (least, most) that the lip rule asks for, None without a rule; `no_spacer` is `too_tall`, `spread` or
    `no_such_shims` where a spacer is needed and cannot be made, else empty."""

    score: Score
    draws: tuple[Draw, ...]
    missing: Mapping[str, int]
    stand_ins: tuple[StoodIn, ...]
    height_change_um: int
    spacer_total_um: int
    add_window_um: tuple[int, int] | None
    no_spacer: str

    @property
    def figures(self) -> dict[str, int]:
        """The score by name, then what its steps count: the change of height and the distance from mid-window."""
        off = 0
        if self.add_window_um is not None and not self.no_spacer and self.add_window_um[0] > 0:
            off = abs(2 * self.spacer_total_um - sum(self.add_window_um))
        return {**self.score._asdict(), "height_um": abs(self.height_change_um), "spacer_off_half_um": off}

    @property
    def choice(self) -> tuple[tuple[str, tuple[tuple[Size, int], ...]], ...]:
        """Which stand-ins are used where: what alternatives differ in."""
        return tuple((stood_in.position, stood_in.shims) for stood_in in self.stand_ins)


def solution_of(shelf: Shelf, drawn: Drawn) -> Solution:
    """The plan for a drawn allocation."""
    problem, allocation, needs = shelf.problem, drawn.allocation, drawn.needs
    rows = shelf.by_key
    draws = _draws(shelf, drawn, rows)
    over = needs.height_um + drawn.chosen.over - needs.asked_um
    window, no_spacer = None, ""
    if problem.lip is not None:
        window = Window.at(problem.lip, needs.height_um + drawn.chosen.over, needs.spread_um)
        if drawn.no_spacer:
            no_spacer = window.closed or NO_SUCH_SHIMS
    spacer = sum(draw.quantity for draw in draws if draw.place == SPACER)
    score = Score(
        missing=allocation.tier.missing + bool(no_spacer),
        stand_ins=allocation.tier.stand_ins,
        worst_ppm=allocation.tier.worst_ppm,
        sum_ppm=allocation.tier.sum_ppm,
        other_diameter=sum(
            number
            for position in problem.positions
            if position.key in allocation.stand_ins
            for size, number in allocation.stand_ins[position.key].shims
            if size.od_um != position.size.od_um
        ),
        height_steps=height_steps(over),
        spacer_steps=0 if window is None or no_spacer else window.off(drawn.chosen.total_um),
        spacer_pieces=spacer,
        drawers=len({rows[draw.row].drawer for draw in draws}),
        newer_days=sum(draw.quantity * rows[draw.row].newer_days for draw in draws),
    )
    return Solution(
        score=score,
        draws=draws,
        missing={key: n for key, n in allocation.missing.items() if key not in allocation.stand_ins},
        stand_ins=tuple(
            _stood_in(position, allocation.missing[position.key], allocation.stand_ins[position.key], draws, rows)
            for position in problem.positions
            if position.key in allocation.stand_ins
        ),
        height_change_um=over,
        spacer_total_um=drawn.chosen.total_um,
        add_window_um=None if window is None else (window.add_min, window.add_max),
        no_spacer=no_spacer,
    )


def _draws(shelf: Shelf, drawn: Drawn, rows: Mapping[str, StockRow]) -> tuple[Draw, ...]:
    """Hand the pieces taken to the places that asked for them; places that must be new are served first."""
    left: dict[tuple[Size, bool], dict[str, int]] = {}
    for key, height, other in drawn.chosen.picks:
        for in_height, number in ((True, height), (False, other)):
            if number:
                pool = left.setdefault((rows[key].size, in_height), {})
                pool[key] = pool.get(key, 0) + number
    draws: list[Draw] = []
    positions = shelf.problem.positions
    for position in sorted(positions, key=lambda position: not position.new_only):
        wanted = [(position.size, exact_number(position, drawn.allocation), False)]
        stand_in = drawn.allocation.stand_ins.get(position.key)
        wanted += [(size, number, True) for size, number in (stand_in.shims if stand_in else ())]
        for size, number, stands_in in wanted:
            lacking = number
            pool = left.get((size, position.in_height), {})
            in_order = sorted(pool, key=lambda key: (rows[key].take_off, rows[key].newer_days, key))
            for key in in_order if position.new_only else reversed(in_order):
                here = min(lacking, pool[key])
                if here:
                    draws.append(Draw(position.key, key, here, stands_in))
                    pool[key] -= here
                    lacking -= here
    order = {position.key: index for index, position in enumerate(positions)}
    draws.sort(key=lambda draw: (order[draw.place], draw.stand_in, draw.row))
    draws.extend(Draw(SPACER, key, number) for key, number in sorted(drawn.chosen.spacer.items()))
    return tuple(draws)


def _stood_in(
    position: Position, missing: int, stand_in: StandIn, draws: Sequence[Draw], rows: Mapping[str, StockRow]
) -> StoodIn:
    nominal = position.size.thickness_um
    change = sum(number * size.thickness_um**3 for size, number in stand_in.shims) - missing * nominal**3
    mean = sum(d.quantity * rows[d.row].mean_um for d in draws if d.place == position.key and d.stand_in)
    alike = all(size.od_um == position.size.od_um for size, _ in stand_in.shims)
    percent = round(100 * change / (position.quantity * nominal**3), 4) if alike else None
    return StoodIn(position.key, missing, stand_in.shims, percent, mean - missing * nominal)
