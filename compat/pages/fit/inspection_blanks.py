"""The blanks of the inspection sheet: every part of a stripped damper, as its own question asks for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from compat.asking.blanks import Blank
from compat.asking.requests import blanks_of, letters_of
from compat.engineering.drawing.letters import QUESTIONS as LETTERS_OF
from compat.engineering.seals.compounds import COMPOUNDS
from compat.engineering.seals.limits import MOTIONS
from compat.pages.fit.seal_blanks import AS_READ, BAND, BORE, HARDNESS, PRESSURE, SHAFT, SIZE, words
from compat.questions.nut_on_shaft import NutOnShaft
from inventory.api.damper_sealing import OILS

BORE_PART, BAND_PART, SHAFT_PART = "The body's bore", "The band and its O-ring", "The shaft"
SEAL_PART, OIL = "The ring in the seal head", "Oil and heat, for every seal"
SHAFT_THREAD, NUT_THREAD = "The shaft's thread", "The nut that was on it"


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a long form with a picture of its own: of which question, and the groups of blanks in it."""

    item: str
    title: str
    picture: str
    groups: tuple[str, ...]


def _of(item: str, blanks: Iterable[Blank], group: str) -> tuple[Blank, ...]:
    return tuple(
        replace(
            blank,
            path=f"{item}.{blank.path}",
            group=group,
            called=f"{item}_{blank.called}" if blank.called else "",
        )
        for blank in blanks
    )


def _first(blanks: Iterable[Blank], *names: str) -> tuple[Blank, ...]:
    """The same blanks, of which only those named must be known first."""
    return tuple(replace(blank, first=blank.path in names) for blank in blanks)


_BAND = [blank for blank in BAND if blank.path not in ("bore_mm", "bore_wear_diametral_mm", "coldest_c")]
BAND_WIDTH = Blank("width_mm", "Width along the piston", help="To find a new one.")
_SEAL = (
    Blank("section_mm", "Section as read", help="Where it is flattest.", first=True),
    Blank("ring.size", "Size it should be", "text", help=SIZE, first=True),
    Blank("ring.id_mm", "or inner diameter", help=AS_READ),
    Blank("ring.section_mm", "and section when new", called="ring_new_section_mm"),
    Blank("groove_mm", "Groove, outer diameter"),
    Blank("width_mm", "Groove, width"),
    Blank("land_mm", "Hole of the head beside it"),
    Blank("extrusion_gap_mm", "or the gap there", help="In diameter."),
    Blank("compound", "Made of", "word", choices=words(COMPOUNDS)),
    Blank("hardness_shore_a", "How hard", "reading", unit="Shore A", help=HARDNESS),
    Blank("motion", "The ring", "choice", choices=tuple(reversed(words(MOTIONS)))),
)
_JOINT = [blank for blank in blanks_of(NutOnShaft) if blank.path != "preload_n"]
_READ = ("gauged_pitch_mm", "hand", "end_condition", "major_mm", "minor_mm", "locking")
_THREADS = _first(_JOINT, *(f"{part}.{name}" for part in ("shaft", "nut") for name in _READ))

INSPECTION = (
    *_of("bore", BORE[:5], BORE_PART),
    *_of(
        "band",
        _first((*_BAND, BAND_WIDTH), "measured_od_mm", "energiser_section_mm", "band_wear_radial_mm"),
        BAND_PART,
    ),
    *_of("shaft", SHAFT, SHAFT_PART),
    *_of("seal", _SEAL, SEAL_PART),
    *_of("joint", [blank for blank in _THREADS if blank.path.startswith("shaft.")], SHAFT_THREAD),
    *_of("joint", [blank for blank in _THREADS if blank.path.startswith("nut.")], NUT_THREAD),
    *_of(
        "oil",
        (
            Blank("fluid", "Oil", "word", choices=words(OILS), first=True),
            Blank("temperature_c", "Hottest", "reading", unit="°C", first=True),
            Blank("coldest_c", "Coldest", "reading", unit="°C", first=True),
            Blank("pressure_bar", "Pressure", "reading", unit="bar", help=PRESSURE, first=True),
        ),
        OIL,
    ),
)
SECTIONS = (
    Section("bore", BORE_PART, "bore", (BORE_PART,)),
    Section("band", BAND_PART, "band", (BAND_PART,)),
    Section("shaft", SHAFT_PART, "shaft", (SHAFT_PART,)),
    Section("seal", SEAL_PART, "oring", (SEAL_PART, OIL)),
    Section("joint", "Nut and thread", "nut-on-shaft", (SHAFT_THREAD, NUT_THREAD)),
)
_SEAL_LETTERS = {"section_mm": "ring.section_mm"} | {
    name: f"gland.{name}" for name in ("groove_mm", "width_mm", "land_mm", "extrusion_gap_mm")
}


def _letters() -> Mapping[str, str]:
    found = {}
    for section in SECTIONS:
        known = letters_of(NutOnShaft) if section.picture == "nut-on-shaft" else LETTERS_OF[section.picture]
        for path, letter in known.items():
            found[f"{section.item}.{path}"] = letter
        if section.item == "seal":
            found |= {f"seal.{path}": known[there] for path, there in _SEAL_LETTERS.items()}
    return found


LETTERS = _letters()
