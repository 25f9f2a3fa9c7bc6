"""Does this O-ring fit this gland?"""

from __future__ import annotations

from dataclasses import replace

from django.conf import settings

from compat.asking.fields import refuse_value, request, spread, text, within, word, yes_no
from compat.asking.question import Beside, Desk, Document, Model, OfPart, Places, Question
from compat.asking.requests import told_of
from compat.asking.words import SEALS
from compat.dampers import sealing_requests
from compat.engineering.answers import Answer
from compat.engineering.oring import RingInGland, oring
from compat.engineering.seals.listed import Listed, readings, standard_ring
from compat.engineering.seals.shelf_life import POLICIES, age_findings, end_of_quarter
from compat.engineering.units import Range
from compat.questions.oring.picture import oring_shapes
from compat.questions.told_glands import Gland
from compat.questions.told_rings import FreeRing, ring_of
from compat.questions.told_service import COMPOUNDS, DUTY, HARDNESS, MOTIONS, Service
from compat.texts.refusals import engine_errors
from inventory.common.clock import today
from inventory.dampers.document import DamperDocument, Valve
from inventory.stock.cure_dates import CURE_DATE, WANTED

RING = "The ring"


def quarter(written: str) -> None:
    """Refuses what is no quarter of a year that a seal can be of."""
    try:
        known = bool(CURE_DATE.fullmatch(written)) and end_of_quarter(written)
    except ValueError:
        known = False
    if not known:
        refuse_value("not_a_quarter", WANTED)


@request
class Ring(FreeRing):
    """An O-ring and when it was cured."""

    cure_date: str | None = text("Cured in", most=7, accepts=quarter, help="As in 2026-Q3.", group=RING)


@request
class RingToSeal:
    """A ring, its gland, and what is known of it."""

    ring: Ring | None = within(Ring, group=RING, letters={"id_mm": "A", "section_mm": "B"})
    reused: bool | None = yes_no("It is a used one", group=RING)
    compound: str | None = text("Made of", most=40, words=COMPOUNDS, help="It stands on the bag.", group=RING)
    hardness_shore_a: Range | None = spread("How hard", least=10, most=100, unit="Shore A", help=HARDNESS, group=RING)
    gland: Gland = within(Gland, needed=True)
    motion: str | None = word(MOTIONS, "The seal", group=DUTY)
    shelf_life_policy: str | None = word(POLICIES)


@request
class ORing(Service, RingToSeal):
    """Does this O-ring fit this gland? The ring is new unless `reused`."""


def answer(asked: ORing) -> Answer:
    """Raises DomainError `invalid` for what cannot be read."""
    ring, cured = ring_of(asked.ring, "ring"), None if asked.ring is None else asked.ring.cure_date
    with engine_errors("gland"):
        found = oring(
            RingInGland(
                ring=ring,
                gland=asked.gland.as_told(),
                motion=asked.motion,
                service=asked.service(asked.compound, asked.hardness_shore_a),
                reused=asked.reused,
                by_size=bool(asked.ring and asked.ring.size),
            )
        )
    policy = asked.shelf_life_policy or settings.SHELF_LIFE
    aged = age_findings(asked.compound, cured, today(), policy, reused=asked.reused)
    return replace(found, findings=(*found.findings, *aged))


def told(document: DamperDocument, valve: Valve, side: str) -> Document:
    """The seal head's ring, which slides on the shaft."""
    return sealing_requests.rod_gland_request(document)


def of_ring(sizes: Document) -> Document:
    """The ring as the catalogue surely means it; one that contradicts itself, or whose tolerances nobody knows, is left
    to be read."""
    listed = Listed(
        sizes["ring_id_mm"],
        sizes["section_mm"],
        sizes.get("ring_id_tolerance_mm"),
        sizes.get("section_tolerance_mm"),
        sizes.get("size", ""),
    )
    found: dict[str, object] = {"compound": sizes.get("compound"), "reused": False}
    if str(sizes.get("hardness", "")).isdecimal():
        found["hardness_shore_a"] = float(sizes["hardness"])
    meant = readings(listed)
    if len(meant) > 1 or meant[0].doubt:
        return found
    ring = meant[0].ring
    if standard_ring(listed) == ring:
        return {**found, "ring": {"size": ring.size}}
    return {**found, "ring": {"id_mm": _written(ring.id_mm), "section_mm": _written(ring.section_mm)}}


def _written(size: Range) -> Document:
    return {name: round(end, 3) for name, end in (("min", size.low), ("max", size.high), ("nominal", size.nominal))}


def on_shelf(body: Document) -> Document | None:
    """Which rings in stock fit the same gland, once it is known what the seal does."""
    known = ("gland", "motion", *told_of(Service))
    return {name: body[name] for name in known if name in body} if "motion" in body else None


def where_it_goes(model: str, under_band: bool) -> str:
    """Which of a model's two rings this is: a ring is judged in the gland of its place, and in no other."""
    if under_band:
        return (
            f"This is the ring under the band of {model}, which lies in no gland of its own: ask about the band. The "
            "seal head's gland is taken where you say that it goes there."
        )
    return f"The gland is that of the seal head of {model}; of its band ask by itself."


QUESTION = Question(
    "oring",
    "Does this O-ring fit this gland?",
    ORing,
    answer,
    desk=Desk(
        about=SEALS,
        place=1,
        title="Does this O-ring fit this gland?",
        needs="The ring's size or a caliper, bore or rod, the groove's diameter and width, and what the bag says.",
        picture=oring_shapes,
        picture_title="What to measure on an O-ring and its gland",
        unless_said={"gland_kind": "piston"},
        beside=Beside("rings-for-gland", on_shelf),
    ),
    model=Model(
        told,
        places=Places(
            "The ring goes",
            choices=(("seal_head", "in the seal head"),),
            here=lambda document: {"ring": sealing_requests.seal_head_ring(document)},
            elsewhere=lambda document: {"ring": sealing_requests.band_ring(document)},
            by=("ring.size", "ring.id_mm", "ring.section_mm"),
            said=where_it_goes,
        ),
    ),
    part=OfPart("oring", of_ring),
)
