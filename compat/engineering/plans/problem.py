"""What a plan is asked for and what the shelf holds. All lengths are whole micrometres."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from compat.engineering.bending.stack import Mount
from compat.engineering.shims import Size, strip_tolerance_um

SPACER = "spacer"  # the place of a draw that goes under the base plate
MAX_PIECES = 10_000
MAX_DAYS = 100_000
MAX_LENGTH_UM = 1_000_000


class Role(StrEnum):
    """What a position is for. Only a taper position may have stand-ins unless more is allowed."""

    FACE = "face"
    CROSSOVER = "crossover"
    CLAMP = "clamp"
    TAPER = "taper"
    ALSO = "also"


STOOD_IN = frozenset({Role.TAPER})  # places that may have stand-ins unless more is allowed
SOLVES = 60  # curves of a hundred contacts, about a tenth of a second
MOST_SOLVES = 100_000
NEW_ONLY = frozenset({Role.FACE, Role.CROSSOVER, Role.ALSO})  # places that take no take-offs


@dataclass(frozen=True, slots=True)
class StockRow:
    """One lot in one drawer: `available` pieces of `size`, `mean_um` thick as measured.

    `newer_days` counts the days after the oldest row considered; `take_off` marks parts taken off a damper.
    """

    key: str
    size: Size
    available: int
    mean_um: int
    drawer: str
    newer_days: int = 0
    take_off: bool = False


@dataclass(frozen=True, slots=True)
class Position:
    """`quantity` shims of `size` at one place; `in_height` where they count in the height of the lip rule."""

    key: str
    size: Size
    quantity: int
    role: Role
    in_height: bool = True

    @property
    def new_only(self) -> bool:
        return self.role in NEW_ONLY


@dataclass(frozen=True, slots=True)
class BentSide:
    """One side of a valve, by the keys of its positions face first, and what holds it: then its curve is known."""

    positions: tuple[str, ...]
    mount: Mount


@dataclass(frozen=True, slots=True)
class Lip:
    """The lip rule as limits on the in-height pieces and the spacer together, and what a spacer may be made of.

    Spacer shims are round, have the bore `bore_um` and a diameter above `od_over_um` and up to `od_upto_um`.
    """

    floor_um: int
    ceiling_um: int
    od_over_um: int
    od_upto_um: int
    bore_um: int


@dataclass(frozen=True, slots=True)
class Problem:
    """One question to the plan search.

    rows, positions: keys all different among themselves. spread_um: the widest plus or minus on a piece's thickness
    among the drawable lots of a size; a size left out has its strip's tolerance. lip: None where there is no rule or
    it is unknown. curve_limit_ppm: the largest change of a position's sum t^3 by stand-ins, 0 or more.
    height_limit_um: the largest change of stack height of a plan with stand-ins; None is no limit.

    sides: where every position that may have stand-ins lies in one of them, plans are ranked by curves of force
    against lift, and curve_limit_ppm is the largest score of a side; see `bent`. Only then: reach_um, how far from the
    asked diameter a stand-in's may be; roles: which places may have stand-ins; solves: how many curves of a usual
    stack may be solved, small ones for less.
    Raises ValueError for doubled keys, an unknown place or a number outside its range.
    """

    rows: Sequence[StockRow]
    positions: Sequence[Position]
    spread_um: Mapping[Size, int] = field(default_factory=dict)
    lip: Lip | None = None
    allow_stand_ins: bool = True
    allow_take_offs: bool = False
    curve_limit_ppm: int = 100_000
    height_limit_um: int | None = None
    sides: Sequence[BentSide] = ()
    reach_um: int = 0
    roles: frozenset[Role] = STOOD_IN
    solves: int = SOLVES

    def __post_init__(self) -> None:
        for name, keys in (("row", [row.key for row in self.rows]), ("position", [p.key for p in self.positions])):
            if len(set(keys)) != len(keys):
                raise ValueError(f"a {name} key occurs twice")
        if any(position.key == SPACER for position in self.positions):
            raise ValueError(f"a position cannot be called {SPACER}")
        for row in self.rows:
            _within(f"available of {row.key}", row.available, 0, MAX_PIECES * 100)
            _within(f"mean_um of {row.key}", row.mean_um, 1, MAX_LENGTH_UM)
            _within(f"newer_days of {row.key}", row.newer_days, 0, MAX_DAYS)
        for position in self.positions:
            _within(f"quantity of {position.key}", position.quantity, 0, MAX_PIECES)
            _within(f"thickness of {position.key}", position.size.thickness_um, 1, MAX_LENGTH_UM)
        for size, spread in self.spread_um.items():
            _within(f"spread of {size}", spread, 0, MAX_LENGTH_UM)
        _within("curve_limit_ppm", self.curve_limit_ppm, 0, 1_000_000)
        _within("reach_um", self.reach_um, 0, MAX_LENGTH_UM)
        _within("solves", self.solves, 0, MOST_SOLVES)
        if Role.ALSO in self.roles:
            raise ValueError("a part asked for by number has no stand-in")
        if self.height_limit_um is not None:
            _within("height_limit_um", self.height_limit_um, 0, MAX_LENGTH_UM)

    def spread_of(self, size: Size) -> int:
        """Plus or minus on the thickness of a drawn piece of this size."""
        spread = self.spread_um.get(size)
        return strip_tolerance_um(size.thickness_um) if spread is None else spread


def _within(name: str, value: int, low: int, high: int) -> None:
    if not low <= value <= high:
        raise ValueError(f"{name} is {low}..{high}, not {value}")
