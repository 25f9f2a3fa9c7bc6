"""The question to the shelf: which rings in stock fit this gland?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from typing import Any

from compat.engineering.answers import Answer, Finding, Severity, Value, Verdict, ask, stop, verdict_of, warn
from compat.engineering.oring import CAUTIONS, SOURCES
from compat.engineering.seals.compounds import Service
from compat.engineering.seals.gland import Gland, Rings, nominal_seat
from compat.engineering.seals.gland_readings import check, missing, shut, with_width
from compat.engineering.seals.offers import Offer, StockedRing, in_order, offers
from compat.engineering.seals.search import rank
from compat.engineering.seals.shelf_life import POLICIES, State, shelf_life_findings
from compat.engineering.seals.sizes import known
from compat.engineering.units import MM_PER_INCH, Range

QUESTION = "rings-for-gland"
MOST_LOTS = 50  # of a ring, that are listed
DOUBTS = ("ring_tolerances_unknown", "ring_size_contradicts")


@dataclass(frozen=True, slots=True)
class Search:
    """What is looked for. Compound and hardness of `service` are not read: each ring has its own. `on` and `policy`
    decide shelf life; with `over_age` lots past theirs are listed too, and still fit nothing."""

    gland: Gland
    motion: str
    service: Service
    on: date
    policy: str
    most: int = 10
    over_age: bool = False


def rings_for_gland(rings: Iterable[StockedRing], search: Search, *, searched: int) -> Answer:
    """Which of these rings fit this gland, best first?

    `fits` means: at least one ring fits as the O-ring question says, its compound and hardness bear what it meets, and
    a lot of it is within its shelf life. Values: `rings`, at most `search.most`, and `searched`, how many rings of the
    catalogue were looked at (0 where the gland cannot be searched). A ring whose tolerances nobody knows, or whose
    size contradicts its lengths, may fit and never surely does. What is said of the best ring stands among the
    findings, with its `part`. Raises ValueError for a gland or a policy that is none.
    """
    check(search.gland, search.motion)
    if search.policy not in POLICIES:
        raise ValueError(f"a shelf life policy is one of {', '.join(POLICIES)}; not {search.policy!r}")
    gland, contrary = with_width(search.gland)
    of_gland = [*missing(gland, search.motion), *contrary]
    no_room = None if gland.missing else shut(gland)
    if no_room is not None:
        of_gland.append(no_room)
    if gland.missing or no_room is not None or verdict_of(of_gland) is Verdict.DOES_NOT_FIT:
        return _answer(of_gland, [], 0)
    found = offers(
        rings,
        gland,
        search.motion,
        search.service,
        of_gland=of_gland,
        on=search.on,
        policy=search.policy,
    )
    left = in_order(fresh for one in found.standing if (fresh := one.without_old()) is not None)
    findings = _of_best(left[0], len(left), search) if left else []
    if not left:
        inches = None if found.standing or found.refused else _inches(gland, search.motion)
        findings = [*of_gland, inches or stop("no_ring_fits", "iso_3601_2", searched=searched)]
    shown = (list(found.standing) if search.over_age else left)[: search.most]
    findings += _doubts(shown, sure=bool(left) and left[0].sure)
    findings += _left_out(found.standing, found.refused, search)
    return _answer(findings, [_shown(one) for one in shown], searched)


def _of_best(best: Offer, count: int, search: Search) -> list[Finding]:
    """What is said of the best ring; first, where not even that one surely fits, that none does."""
    lot, life = best.best_lot
    cured = None if life.state is State.UNKNOWN else lot.cured
    aged = shelf_life_findings(best.stocked.compound, cured, search.on, search.policy)
    named = [replace(one, data={**one.data, "lot": lot.lot}) for one in aged]
    said = [
        replace(one, data={**one.data, "part": best.stocked.part})
        for one in (*best.findings, *named)
        if one.severity in (Severity.ASK, Severity.WARN) and one.code not in DOUBTS
    ]
    if best.sure:
        return said
    return [ask("rings_may_fit", "iso_3601_2", count=count, part=best.stocked.part), *said]


def _doubts(shown: Sequence[Offer], *, sure: bool) -> list[Finding]:
    """What is doubtful of the rings shown: to be measured where none surely fits, else only said."""
    raised = warn if sure else ask
    doubtful = [one for offer in shown for one in offer.findings if one.code in DOUBTS]
    unknown = [one.data["part"] for one in doubtful if one.code == "ring_tolerances_unknown"]
    found = [raised(one.code, one.source, **one.data) for one in doubtful if one.code == "ring_size_contradicts"]
    if unknown:
        found.insert(0, raised("ring_tolerances_unknown", "as568", parts=", ".join(unknown)))
    return found


def _left_out(standing: Sequence[Offer], refused: Sequence[StockedRing], search: Search) -> list[Finding]:
    """Rings of the right size that are not for this gland: too old, or of the wrong compound."""
    found = []
    old = [lot for one in standing for lot, life in one.lots if life.state is State.OVER]
    if old:
        found.append(
            warn(
                "rings_over_age",
                search.policy,
                pieces=sum(lot.available for lot in old),
                lots=len({o.lot for o in old}),
            )
        )
    if refused:
        compounds = ", ".join(sorted({one.compound or "" for one in refused}))
        pieces = sum(lot.available for one in refused for lot in one.lots)
        found.append(warn("rings_do_not_bear", "seal_makers", pieces=pieces, compounds=compounds))
    return found


def _inches(gland: Gland, motion: str) -> Finding | None:
    """A gland that takes no ring of AS568 as it is told, and takes one if it was measured in inches."""
    rings = list(known().values())
    sizes = Rings.of(*rings)
    told: dict[str, Any] = {
        one.name: size.times(MM_PER_INCH)
        for one in fields(gland)
        if isinstance(size := getattr(gland, one.name), Range)
    }
    scaled = replace(gland, **told)
    if rank(sizes, gland, motion, 1) or not (best := rank(sizes, scaled, motion, 1)):
        return None
    data = {"seat_mm": nominal_seat(gland)[0], "id_mm": rings[best[0].index].id_mm.nominal}
    return ask("gland_looks_like_inches", "", **data)


def _answer(findings: Iterable[Finding], rings: list[dict[str, Value]], searched: int) -> Answer:
    return Answer(QUESTION, tuple(findings), {"rings": rings, "searched": searched}, SOURCES, CAUTIONS)


def _shown(one: Offer) -> dict[str, Value]:
    """One ring of the answer; `codes` are those of what is found of it, its age apart, `measure` those of them that
    leave it open."""
    stocked, ring = one.stocked, one.reading.ring
    return {
        "part": stocked.part,
        "name": stocked.name,
        "size": stocked.listed.size or None,
        "compound": stocked.compound,
        "id_mm": ring.id_mm,
        "section_mm": ring.section_mm,
        "stretch_percent": one.ranked.stretch,
        "squeeze_percent": one.ranked.squeeze,
        "fill_percent": one.ranked.fill,
        "margin": one.ranked.margin,
        "available": sum(lot.available for lot, _ in one.lots),
        "verdict": str(one.verdict),
        "codes": [found.code for found in one.findings],
        "measure": [found.code for found in one.findings if found.severity is Severity.ASK],
        "lots": [
            {
                "lot": lot.lot,
                "drawer": lot.drawer,
                "available": lot.available,
                "cure_date": lot.cured or None,
                "shelf_life": str(life.state),
                "until": None if life.until is None else life.until.isoformat(),
            }
            for lot, life in one.lots[:MOST_LOTS]
        ],
        "lots_in_all": len(one.lots),
    }
