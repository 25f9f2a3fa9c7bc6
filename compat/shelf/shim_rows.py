"""The only reader of the shelf: from inventory rows to the engine's values, in a fixed number of queries."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import reduce
from math import ceil, floor, isfinite
from operator import or_
from typing import Any, TypedDict

from django.db.models import F, Q
from django.db.models.expressions import Combinable
from django.db.models.functions import Coalesce

from compat.engineering.groups import Ply, unmeasured
from compat.engineering.plans.problem import MAX_DAYS, StockRow
from compat.engineering.seals.listed import ID_UNTOLD, ROUNDED_MM, SECTION_UNTOLD, Listed
from compat.engineering.seals.offers import StockedLot, StockedRing
from compat.engineering.seals.search import Reach
from compat.engineering.shims import Form, Line, Size, thickness_of
from compat.engineering.units import Range, um_to_mm
from compat.shelf.shim_wants import Family, Spacers
from inventory.catalogue.kinds.orings import ORing
from inventory.common.errors import invalid
from inventory.holds.selectors import lapsed_by_balance
from inventory.stock.models import Balance, Condition, Lot, Reading
from inventory.stock.selectors import Measured, readings_of, summed_up

COLUMNS = (
    "pk",
    "on_hand",
    "held",
    "lot_id",
    "lot__number",
    "lot__condition",
    "lot__received_on",
    "lot__part__number",
    "drawer__code",
    "lot__part__shim__od_um",
    "lot__part__shim__thickness_um",
    "lot__part__shim__bore_um",
    "lot__part__shim__form",
)
SHIM = "lot__part__shim__"
RING = "lot__part__oring__"
RING_COLUMNS = (
    "pk",
    "on_hand",
    "held",
    "lot__number",
    "lot__cure_date",
    "drawer__code",
    "lot__part__number",
    "lot__part__name",
    RING + "compound",
    RING + "size",
    RING + "ring_id_um",
    RING + "section_um",
    RING + "ring_id_tolerance_um",
    RING + "section_tolerance_um",
    RING + "hardness",
)
NOT_KNOWN = "unknown"
# A length without a tolerance lies no further from where it is listed: the standard's limits of a size that is listed
# with it lie round another middle.
UNTOLD_UM = ceil(1000 * (max(ID_UNTOLD[0], SECTION_UNTOLD[0]) + ROUNDED_MM)) + 1


@dataclass(frozen=True, slots=True)
class Place:
    """Where the pieces of a row lie, in the words of the drawer's front and the bag's label."""

    lot: str
    part: str
    drawer: str
    condition: str
    size: Size
    mean_um: int
    spread_um: int
    measured: bool


class LotLine(TypedDict):
    """Some pieces of one lot as a line of an answer: its nominal size and the mean of what was measured, mm."""

    lot: str
    part: str
    drawer: str
    condition: str
    od_mm: float
    thickness_mm: float
    mean_mm: float
    measured: bool
    quantity: int


@dataclass(frozen=True, slots=True)
class ShimRows:
    """Free shims as the engine takes them, keyed by the id of their balance, and the words for each row."""

    rows: list[StockRow]
    places: dict[str, Place]

    def lines(self, taken: Iterable[tuple[str, int]]) -> list[LotLine]:
        """(row key, quantity) pairs as lines of an answer."""
        return [self.line(key, quantity) for key, quantity in taken]

    def line(self, key: str, quantity: int) -> LotLine:
        """Some pieces of one row as a line of an answer."""
        place = self.places[key]
        return {
            "lot": place.lot,
            "part": place.part,
            "drawer": place.drawer,
            "condition": place.condition,
            "od_mm": um_to_mm(place.size.od_um),
            "thickness_mm": um_to_mm(place.size.thickness_um),
            "mean_mm": um_to_mm(place.mean_um),
            "measured": place.measured,
            "quantity": quantity,
        }

    def total_mm(self, taken: Iterable[tuple[str, int]]) -> Range:
        """The thickness of some pieces together, each at the same end of its spread: the widest case."""
        pairs = [(self.places[key], quantity) for key, quantity in taken]
        mean = sum(place.mean_um * quantity for place, quantity in pairs)
        spread = sum(place.spread_um * quantity for place, quantity in pairs)
        return Range(um_to_mm(mean - spread), um_to_mm(mean + spread), um_to_mm(mean))

    def widest_spreads(self) -> dict[Size, int]:
        """For each size the widest spread among its rows, micrometres."""
        found: dict[Size, int] = {}
        for place in self.places.values():
            found[place.size] = max(found.get(place.size, 0), place.spread_um)
        return found


@dataclass(frozen=True, slots=True)
class Read:
    """What was read of the shelf: `found` by balance, in the order of their ids; `measured` by lot; `lapsed` by
    balance."""

    found: dict[int, tuple[Any, ...]]
    measured: dict[int, Measured]
    lapsed: Mapping[int, int]
    take_offs: bool

    def rows(self) -> ShimRows:
        """The free shims among them."""
        oldest = min((row[6] for row in self.found.values()), default=date.min)
        rows: list[StockRow] = []
        places: dict[str, Place] = {}
        for row in self.found.values():
            free = row[1] - row[2] + self.lapsed.get(row[0], 0)
            if free > 0:
                stock_row, place = _row(row, free, self.measured.get(row[3]), oldest)
                rows.append(stock_row)
                places[stock_row.key] = place
        return ShimRows(rows, places)

    def with_more(self, wanted: Sequence[Family]) -> Read:
        """The same with shims that match any of `wanted` as well; two queries."""
        found, measured = _read(wanted, self.take_offs)
        both = dict(sorted((self.found | found).items()))
        return Read(both, self.measured | measured, self.lapsed, self.take_offs)


def shim_rows(
    wanted: Sequence[Family | Spacers], *, take_offs: bool, lapsed: Mapping[int, int] | None = None
) -> ShimRows:
    """Free shims that match any of `wanted`; two queries however large the shelf, a third where `lapsed`, which is
    lapsed_by_balance(), was not read already."""
    return read_shims(wanted, take_offs=take_offs, lapsed=lapsed).rows()


def read_shims(wanted: Sequence[Family | Spacers], *, take_offs: bool, lapsed: Mapping[int, int] | None = None) -> Read:
    """What shim_rows() makes its rows of, to which more can be read."""
    return Read(*_read(wanted, take_offs), lapsed_by_balance() if lapsed is None else lapsed, take_offs)


def _read(
    wanted: Sequence[Family | Spacers], take_offs: bool
) -> tuple[dict[int, tuple[Any, ...]], dict[int, Measured]]:
    """Balances of shims by their ids, in order, and what was read of their lots."""
    matching = reduce(or_, (one.at(SHIM) for one in wanted), Q(pk__in=[]))
    rows_of_shelf = matching & Q(on_hand__gt=0, lot__retired_at=None, lot__part__retired_at=None)
    if not take_offs:
        rows_of_shelf &= Q(lot__condition=Condition.NEW)
    found = Balance.objects.filter(rows_of_shelf).order_by("pk").values_list(*COLUMNS)
    return {row[0]: row for row in found}, summed_up(Reading.objects.filter(matching))


@dataclass(frozen=True, slots=True)
class RingStock:
    """Free rings, and how many of the catalogue they were chosen from."""

    rings: list[StockedRing]
    searched: int


def rings_within(reach: Reach | None, *, compound: str | None) -> RingStock:
    """New rings with something free that may lie within reach, of one compound or of all; three queries however large
    the shelf, none without a reach.

    Rings of a size within reach are among them whatever their lengths say, since either may be the slip of a pen.
    """
    if reach is None:
        return RingStock([], 0)
    of_it = {} if compound is None else {"compound": compound}
    near = _near(reach) | Q(**{RING + "size__in": reach.sizes()})
    here = Balance.objects.filter(
        near, on_hand__gt=0, lot__retired_at=None, lot__part__retired_at=None, lot__condition=Condition.NEW
    )
    here = here.filter(**{RING + name: value for name, value in of_it.items()})
    lapsed = lapsed_by_balance()
    entries: dict[str, tuple[Any, ...]] = {}
    lots: dict[str, list[StockedLot]] = {}
    for key, on_hand, held, lot, cured, drawer, part, *entry in here.order_by("pk").values_list(*RING_COLUMNS):
        free = on_hand - held + lapsed.get(key, 0)
        if free > 0:
            entries[part] = tuple(entry)
            lots.setdefault(part, []).append(StockedLot(lot, drawer, free, cured))
    rings = [_ring(part, entry, lots[part]) for part, entry in entries.items()]
    return RingStock(rings, ORing.objects.filter(**of_it).count())


def thickness_of_lots(numbers: Iterable[str]) -> dict[str, tuple[Size, Range]]:
    """{lot number: (size, thickness of one piece in millimetres)} of the lots of shims among these; two queries."""
    columns = ("od_um", "thickness_um", "bore_um", "form")
    lots = Lot.objects.filter(number__in=list(numbers), part__kind="shim")
    rows = list(lots.values_list("pk", "number", *(f"part__shim__{column}" for column in columns)))
    measured = readings_of(row[0] for row in rows)
    found = {}
    for key, number, od, thickness, bore, form in rows:
        mean, spread = _thickness(thickness, measured.get(key))
        found[number] = Size(od, thickness, bore, Form(form)), Range.around(um_to_mm(mean), um_to_mm(spread))
    return found


def with_lots(
    lines: Sequence[Line], named: Sequence[str | None], path: str, lots: Mapping[str, tuple[Size, Range]]
) -> list[Ply]:
    """Plies: a line that names its lot takes the lot's readings, another the strip's tolerance.

    `named`: the lot of each line; `lots` as thickness_of_lots() gives them. Raises DomainError `invalid` for a lot that
    does not exist or is of another size than its line.
    """
    found = []
    for index, (line, lot) in enumerate(zip(lines, named, strict=True)):
        if lot is None:
            found.append(unmeasured(line))
            continue
        size, thickness = lots.get(lot, (None, None))
        if thickness is None:
            raise invalid(f"{path}.{index}.lot", f"there is no lot {lot} of shims")
        if size != line.size:
            raise invalid(f"{path}.{index}.lot", f"lot {lot} is of another size than this line")
        found.append(Ply(line, thickness))
    return found


def _thickness(nominal_um: int, readings: Measured | None) -> tuple[int, int]:
    """(mean, spread) of one piece, micrometres."""
    if readings is None:
        return thickness_of(nominal_um, 0, 0, 0, 0)
    return thickness_of(nominal_um, readings.readings, readings.mean_um, readings.low_um, readings.high_um)


def _near(reach: Reach) -> Q:
    """The condition that some value of a ring's sizes, as its tolerances let them lie, is within reach."""
    section = F(f"{RING}section_um")
    about, thick = (_tolerance(name) for name in ("ring_id", "section"))
    near = Q(**{f"{RING}ring_id_um__gte": floor(reach.id_low * 1000) - about})
    near &= Q(**{f"{RING}section_um__gte": floor(reach.section_low * 1000) - thick})
    near &= Q(**{f"{RING}section_um__lte": ceil(reach.section_high * 1000) + thick})
    if isfinite(reach.id_high):
        near &= Q(**{f"{RING}ring_id_um__lte": ceil(reach.id_high * 1000) + about})
    if isfinite(reach.outer_high):
        near &= Q(**{f"{RING}ring_id_um__lte": ceil(reach.outer_high * 1000) + about + 2 * thick - 2 * section})
    return near


def _tolerance(length: str) -> Combinable:
    """Plus or minus of a ring's length in the database, micrometres; where none is listed no less than what readings()
    lets it be."""
    untold = F(f"{RING}{length}_um") / 80 + UNTOLD_UM
    return Coalesce(F(f"{RING}{length}_tolerance_um"), untold)


def _ring(part: str, entry: Sequence[Any], lots: Sequence[StockedLot]) -> StockedRing:
    name, compound, size, *lengths, hardness = entry
    inner, section, inner_spread, section_spread = (None if um is None else um_to_mm(um) for um in lengths)
    assert inner is not None and section is not None
    listed = Listed(inner, section, inner_spread, section_spread, size if size.isdecimal() else "")
    hard = float(hardness) if hardness.isdecimal() else None
    return StockedRing(part, name, listed, None if compound == NOT_KNOWN else compound, tuple(lots), hard)


def _row(row: Sequence[Any], free: int, readings: Measured | None, oldest: date) -> tuple[StockRow, Place]:
    size = Size(row[9], row[10], row[11], Form(row[12]))
    mean, spread = _thickness(size.thickness_um, readings)
    stock_row = StockRow(
        key=str(row[0]),
        size=size,
        available=free,
        mean_um=mean,
        drawer=row[8],
        # Beyond a lifetime one day more or less decides nothing.
        newer_days=min((row[6] - oldest).days, MAX_DAYS),
        take_off=row[5] == Condition.TAKE_OFF,
    )
    place = Place(row[4], row[7], row[8], row[5], size, mean, spread, readings is not None)
    return stock_row, place
