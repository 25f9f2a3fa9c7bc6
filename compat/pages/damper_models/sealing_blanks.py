"""The blanks of what a damper model tells of seals and wear, and of the limits from the maker's instructions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from compat.asking.blanks import Blank
from compat.pages.damper_models.valve_blanks import under
from inventory.dampers.document_sealing import Limit
from inventory.dampers.words import LIMITS
from inventory.documents.typed import Json, written

BAND, SHAFT, SEAL_HEAD, OIL = "The band", "The shaft", "Seal head", "Oil"
LIMIT_GROUP = "Limits from the maker's instructions"
OILS = (
    ("mineral_oil", "mineral oil"),
    ("synthetic_oil", "synthetic oil"),
    ("glycol_brake_fluid", "glycol brake fluid"),
    ("other", "another"),
)


@dataclass(frozen=True, slots=True)
class LimitWords:
    """What a limit is called, and its unit."""

    label: str
    unit: str


LIMIT_WORDS = {
    "bore_max_mm": LimitWords("Largest body bore", "mm"),
    "shaft_min_mm": LimitWords("Least shaft diameter", "mm"),
    "runout_max_mm": LimitWords("Most shaft run-out", "mm"),
    "nut_torque_n_m": LimitWords("Torque of the shaft's nut", "N.m"),
    "shim_play_max_mm": LimitWords("Most play of the shims", "mm"),
}


def _ring(path: str, called: str) -> tuple[Blank, ...]:
    return (
        Blank(f"{path}.size", f"{called}, size", "text", help="AS568, as in 222; or the two sizes.", most=3),
        Blank(f"{path}.id_mm", f"{called}, inner diameter", help="Free, where it has no size."),
        Blank(f"{path}.section_mm", f"{called}, section", help="Free, where it has no size."),
    )


def _limit(name: str) -> tuple[Blank, ...]:
    words = LIMIT_WORDS[name]
    return (
        Blank("value", words.label, "length" if words.unit == "mm" else "reading", unit=words.unit),
        Blank("source", "Source", "text", help="Which instructions, which page.", most=200),
        Blank("on", "Dated", "day", help="As in 2026-03-31."),
    )


def limit_group(name: str) -> str:
    """The group in which a limit's value, source and date stand."""
    return f"limit {name}"


SIZES = {
    BAND: (
        Blank("band.groove_mm", "Bottom of the groove", help="Its diameter on the piston."),
        Blank("band.band_thickness_mm", "Thickness of the band", help="Radial, new."),
        *_ring("band.energiser", "Energiser"),
    ),
    SHAFT: (Blank("shaft.diameter_mm", "Diameter", help="Nominal, where the seal runs."),),
    SEAL_HEAD: (
        Blank("rod_gland.groove_mm", "Outer diameter of the groove", help="In the seal head, round the shaft."),
        Blank("rod_gland.width_mm", "Width of the groove", help="Along the shaft."),
        *_ring("rod_gland.ring", "Ring"),
    ),
    OIL: (
        Blank("oil.fluid", "Oil", "word", choices=OILS),
        Blank("oil.hottest_c", "Hottest that it becomes", "reading", unit="\u00b0C"),
    ),
}
SEALING = (
    *(replace(blank, group=group) for group, blanks in SIZES.items() for blank in blanks),
    *(blank for name in LIMITS for blank in under(f"limits.{name}", _limit(name), limit_group(name))),
)


def by_name(limits: Iterable[Limit]) -> dict[str, Json]:
    """A document's limits as the form holds them, {name: limit}."""
    return {one.limit: written(one) for one in limits}


def as_list(told: Mapping[str, Json], places: dict[str, str]) -> list[Json]:
    """The form's limits as a document has them; `places` learns where among the blanks each of them stands."""
    places.update({f"limits.{number}": f"limits.{name}" for number, name in enumerate(told)})
    return [{"limit": name, **one} for name, one in told.items()]
