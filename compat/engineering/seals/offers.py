"""Rings in stock that a gland lets stand: each with its verdict, its margin and its lots, the best first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from typing import Any

from compat.engineering.answers import Finding, Value, Verdict, ask, verdict_of
from compat.engineering.seals.compounds import Service, service_findings
from compat.engineering.seals.extrusion import extrusion_findings
from compat.engineering.seals.gland import Gland, Rings
from compat.engineering.seals.gland_readings import inches, narrow, wall
from compat.engineering.seals.listed import Listed, Reading, readings, standard_ring
from compat.engineering.seals.search import Ranked, rank
from compat.engineering.seals.shelf_life import ShelfLife, State, life_by_label
from compat.engineering.units import Range

USABLE = (State.GOOD, State.SOON)
# Of one ring the lot that ends soonest is taken first; of several rings the one whose best lot lasts.
LOTS_ORDER = (State.SOON, State.GOOD, State.INSPECT, State.UNKNOWN, State.OVER)
RINGS_ORDER = (State.GOOD, State.SOON, State.INSPECT, State.UNKNOWN, State.OVER)
VERDICTS_ORDER = (Verdict.FITS, Verdict.CANNOT_TELL, Verdict.DOES_NOT_FIT)


@dataclass(frozen=True, slots=True)
class StockedLot:
    """What of a lot is free in one drawer; `cured` as in 2026-Q3, empty where nobody knows."""

    lot: str
    drawer: str
    available: int
    cured: str = ""


@dataclass(frozen=True, slots=True)
class StockedRing:
    """A ring of the catalogue and its lots with something free in them; compound and hardness, Shore A, None where
    nobody knows."""

    part: str
    name: str
    listed: Listed
    compound: str | None
    lots: tuple[StockedLot, ...]
    hardness: float | None = None


@dataclass(frozen=True, slots=True)
class Offer:
    """One reading of a ring that its sizes let stand, with everything found of it, and its lots, best first."""

    stocked: StockedRing
    reading: Reading
    ranked: Ranked
    findings: tuple[Finding, ...]
    lots: tuple[tuple[StockedLot, ShelfLife], ...]

    @property
    def verdict(self) -> Verdict:
        """Of the ring in the gland, with compound, fluid and temperature; of its age nothing."""
        return verdict_of(self.findings)

    @property
    def best_lot(self) -> tuple[StockedLot, ShelfLife]:
        """The lot whose age is best."""
        return min(self.lots, key=lambda one: RINGS_ORDER.index(one[1].state))

    @property
    def age(self) -> State:
        """Of the best lot."""
        return self.best_lot[1].state

    @property
    def sure(self) -> bool:
        """Whether it fits and some of it is within its shelf life."""
        return self.verdict is Verdict.FITS and self.age in USABLE

    def without_old(self) -> Offer | None:
        """The same without lots past their shelf life; None where nothing is left."""
        left = tuple(one for one in self.lots if one[1].state is not State.OVER)
        return replace(self, lots=left) if left else None


@dataclass(frozen=True, slots=True)
class Offers:
    """`standing` fit or may fit, best first; `refused` have the right size, and a compound that does not bear what it
    meets."""

    standing: tuple[Offer, ...]
    refused: tuple[StockedRing, ...]


def offers(
    rings: Iterable[StockedRing],
    gland: Gland,
    motion: str,
    service: Service,
    *,
    of_gland: Sequence[Finding],
    on: date,
    policy: str,
) -> Offers:
    """The rings that a gland lets stand.

    `of_gland` are findings of the gland itself, none a stop. Compound and hardness of `service` are not read: each ring
    has its own.

    Raises ValueError as rank() does. A contradictory entry is tried as each of its readings, and the better
    stays.
    """
    tried = [(stocked, reading) for stocked in rings for reading in readings(stocked.listed)]
    single = list(dict.fromkeys(reading.ring for _, reading in tried))
    found = rank(Rings.of(*single), gland, motion, len(single), coldest_c=service.coldest_c) if single else []
    ranked = {single[one.index]: one for one in found}

    @cache
    def of_compound(compound: str | None, hardness: float | None) -> tuple[Finding, ...]:
        hard = None if hardness is None else Range.exact(hardness)
        meets = replace(service, compound=compound, hardness_shore_a=hard)
        return (*extrusion_findings(gland, meets, {}), *service_findings(meets))

    standing: dict[str, Offer] = {}
    refused: dict[str, StockedRing] = {}
    for stocked, reading in tried:
        if (seat := ranked.get(reading.ring)) is None:
            continue
        doubt, wholly = inches(gland, reading.ring)
        if wholly:
            continue
        sizes = (
            *of_gland,
            *((doubt,) if doubt is not None else ()),
            *seat.findings,
            *narrow(gland, reading.ring.section_mm),
            *wall(gland, seat.stretch, seat.crush),
            *_doubt(stocked, reading),
        )
        if verdict_of(sizes) is Verdict.DOES_NOT_FIT:
            continue
        met = of_compound(stocked.compound, stocked.hardness)
        if verdict_of(met) is Verdict.DOES_NOT_FIT:
            refused[stocked.part] = stocked
            continue
        one = Offer(stocked, reading, seat, (*sizes, *met), _aged(stocked, on, policy))
        if (other := standing.get(stocked.part)) is None or _place(one) < _place(other):
            standing[stocked.part] = one
    return Offers(tuple(in_order(standing.values())), tuple(refused.values()))


def in_order(found: Iterable[Offer]) -> list[Offer]:
    """The best first: those that surely fit, then by verdict, age and margin."""
    return sorted(found, key=_place)


def _place(one: Offer) -> tuple[Any, ...]:
    order = (VERDICTS_ORDER.index(one.verdict), RINGS_ORDER.index(one.age))
    return (not one.sure, one.age is State.OVER, *order, -one.ranked.margin, one.stocked.part)


def _doubt(stocked: StockedRing, reading: Reading) -> list[Finding]:
    if not reading.doubt:
        return []
    listed, standard = stocked.listed, standard_ring(stocked.listed)
    data: dict[str, Value] = {"part": stocked.part}
    if standard is not None:
        data |= {"size": listed.size, "id_mm": listed.id_mm, "section_mm": listed.section_mm}
        data |= {"size_id_mm": standard.id_mm.nominal, "size_section_mm": standard.section_mm.nominal}
    return [ask(reading.doubt, "as568", **data)]


def _aged(stocked: StockedRing, on: date, policy: str) -> tuple[tuple[StockedLot, ShelfLife], ...]:
    aged = [(lot, life_by_label(stocked.compound, lot.cured, on, policy)) for lot in stocked.lots]
    return tuple(sorted(aged, key=lambda one: (LOTS_ORDER.index(one[1].state), one[1].until or date.max, one[0].lot)))
