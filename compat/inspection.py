"""The inspection sheet: every part of a stripped damper by its own question, and what could replace it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from compat import questions, rendering, replacements, seal_questions
from compat.asked.fit import ranges
from compat.engineering.answers import Answer, Finding, Verdict, ask, note, stop
from compat.engineering.band import mending
from compat.engineering.roundness import shape_of
from compat.engineering.seals.ring import Ring
from compat.engineering.units import Range
from compat.texts.inspection import FIRST, ITEMS
from inventory.common.errors import DomainError, FieldError

Asked = Mapping[str, Any]
Wanted = replacements.Wanted | None
QUESTION = "inspection"
WORDS = {Verdict.FITS: "reuse", Verdict.DOES_NOT_FIT: "replace", Verdict.CANNOT_TELL: "cannot_tell"}
CODES: dict[Verdict, tuple[Callable[..., Finding], str]] = {
    Verdict.FITS: (note, "inspected_reuse"),
    Verdict.DOES_NOT_FIT: (stop, "inspected_replace"),
    Verdict.CANNOT_TELL: (ask, "inspected_unsure"),
}
MENDED = {("energiser",): "mend_by_energiser", ("energiser", "band"): "mend_by_energiser_and_band", (): "mend_by_body"}
# Of these something must have been read on this damper; all else may come from its model.
READ = {
    "bore": ("readings",),
    "band": ("measured_od_mm", "energiser_section_mm"),
    "shaft": ("readings", "runout_mm", "surface"),
    "seal": ("section_mm",),
}
READ_OF_JOINT = ("gauged_pitch_mm", "gauged_threads_per_inch", "major_mm", "minor_mm", "end_condition")


@dataclass(frozen=True, slots=True)
class Item:
    """One part: its answer, whether anything of it was read, and what would take its place."""

    name: str
    answer: Answer
    read: bool
    wanted: list[Wanted] = field(default_factory=list)
    mend: Finding | None = None

    @property
    def verdict(self) -> Verdict:
        """Of the question; a part of which nothing was read is never reused, and not condemned by its model."""
        return self.answer.verdict if self.read else Verdict.CANNOT_TELL


def ask_inspection(asked: Asked) -> Answer:
    """Every verdict of a stripped damper at once. Raises DomainError `invalid` with the paths of what cannot be read.

    Values: `items`, one a part: `item`, `title`, `verdict` (reuse, replace, cannot_tell), `inspected`, `why`, `next`
    (what to measure), `answer` (the whole answer to its question), `mend` (what would make a band seal again, or
    None), `replacements` (new parts on the shelf, with what is free and where).
    """
    items = [_at(name, make, asked) for name, make in ITEMS_BY_NAME.items()]
    findings: list[Finding] = []
    shown = []
    for item in items:
        answered = rendering.answer(item.answer)
        why, following = _why(item, answered)
        make, code = CODES[item.verdict] if item.read else (ask, "not_inspected")
        findings.append(make(code, item=item.name, title=ITEMS[item.name], why=why))
        if item.mend is not None:
            findings.append(item.mend)
        shown.append(
            {
                "item": item.name,
                "title": ITEMS[item.name],
                "verdict": WORDS[item.verdict],
                "inspected": item.read,
                "why": why,
                "next": following,
                "mend": None if item.mend is None else rendering.sentence(item.mend),
                "answer": answered,
                "replacements": _replacements(item),
            }
        )
    sources = tuple(dict.fromkeys(key for item in items for key in item.answer.sources))
    cautions = tuple(dict.fromkeys(key for item in items for key in item.answer.cautions))
    return Answer(QUESTION, tuple(findings), {"items": shown}, sources, cautions)


def _at(name: str, make: Callable[[Asked], Item], asked: Asked) -> Item:
    """An item; what its question refuses stands at its own path."""
    try:
        return make(asked)
    except DomainError as error:
        errors = [FieldError(_path(name, one.field), one.code, one.message) for one in error.errors]
        raise DomainError(error.code, errors=errors, **error.data) from None


def _path(name: str, field: str) -> str:
    """The path of a refused field in the sheet; the band is told once, also where the bore is judged by it."""
    return field if field.startswith("band.") else f"{name}.{field}".rstrip(".")


def _why(item: Item, answered: Mapping[str, Any]) -> tuple[str, list[str]]:
    """The sentence that decides, and what to measure next."""
    following = [one["text"] for one in answered["findings"] if one["measure"]]
    if not item.read:
        return FIRST[item.name], [FIRST[item.name]]
    if item.verdict is Verdict.FITS:
        return "By the readings nothing speaks against it.", []
    deciding = "stop" if item.verdict is Verdict.DOES_NOT_FIT else "warn"
    found = [
        one["text"]
        for one in answered["findings"]
        if one["severity"] == deciding and (deciding == "stop" or one["measure"])
    ]
    return found[0], following


def _replacements(item: Item) -> list[dict[str, Any]]:
    if item.verdict is Verdict.FITS or not item.read:
        return []
    return [part for wanted in item.wanted if wanted is not None for part in replacements.on_shelf(wanted)]


def _bore(asked: Asked) -> Item:
    told = _part(asked, "bore")
    on_it = _part(asked, "band")
    body = {**told, "band": on_it} if told.get("max_diameter_mm") is None and _was_read("band", on_it) else told
    return Item("bore", seal_questions.ask_bore(body), _was_read("bore", told))


def _band(asked: Asked) -> Item:
    bore, told = ranges(_part(asked, "bore")), _part(asked, "band")
    shape = shape_of(seal_questions.readings_of(bore.get("readings") or ()))
    sizes = dict(told)
    if shape is not None:
        sizes |= {"bore_mm": shape.largest, "bore_wear_diametral_mm": Range.exact(0.0)}
    elif bore.get("nominal_mm") is not None:
        sizes |= {"bore_mm": bore["nominal_mm"]}
    band = seal_questions.band_told(sizes, "energiser")
    read = _was_read("band", told)
    mend = mending(band) if read else None
    free = band.energiser
    wanted: list[Wanted] = [None if free is None else replacements.ring(free.size, free.id_mm, free.section_mm, None)]
    if bore.get("nominal_mm") is not None:
        wanted.append(replacements.band(bore["nominal_mm"]))
    answer = seal_questions.ask_band(sizes)
    return Item("band", answer, read, wanted, None if mend is None else note(MENDED[mend], "trade", item="band"))


def _shaft(asked: Asked) -> Item:
    told = _part(asked, "shaft")
    return Item("shaft", seal_questions.ask_shaft(told), _was_read("shaft", told))


def _seal(asked: Asked) -> Item:
    told, shaft, oil = ranges(_part(asked, "seal")), ranges(_part(asked, "shaft")), _part(asked, "oil")
    free = seal_questions.free_ring(told.get("ring") or {}, "ring")
    section = told.get("section_mm")
    as_read = None if free is None else Ring(free.id_mm, section or free.section_mm, free.size)
    shape = shape_of(seal_questions.readings_of(shaft.get("readings") or ()))
    rod = shaft.get("nominal_mm")
    if shape is not None:
        rod = Range(shape.smallest.low, shape.largest.high, shape.largest.nominal)
    body = {
        **oil,
        "gland": {"kind": "rod", "rod_mm": rod, "groove_mm": told.get("groove_mm"), "width_mm": told.get("width_mm")},
        "motion": told.get("motion"),
        "compound": told.get("compound"),
        # Whatever lies in a stripped damper has been used.
        "reused": True,
    }
    answer = seal_questions.oring_told(body, as_read, by_size=section is None)
    wanted: list[Wanted] = []
    if free is not None:
        wanted.append(replacements.ring(free.size, free.id_mm, free.section_mm, told.get("compound")))
    if shaft.get("nominal_mm") is not None:
        wanted.append(replacements.seal_head(shaft["nominal_mm"]))
    return Item("seal", answer, _was_read("seal", told), wanted)


def _joint(asked: Asked) -> Item:
    told = _part(asked, "joint")
    shaft, nut = ranges(_part(told, "shaft")), ranges(_part(told, "nut"))
    # Whatever lies in a stripped damper has been used.
    answer = questions.ask_nut_on_shaft(shaft, {"condition": "used", **nut}, None)
    read = any(part.get(name) is not None for part in (shaft, nut) for name in READ_OF_JOINT)
    # A nut is only offered for a thread whose hand is known.
    known = shaft.get("thread") and shaft.get("hand")
    wanted = replacements.nut(shaft["thread"], shaft["hand"]) if known else None
    return Item("joint", answer, read, [wanted])


def _part(asked: Asked, name: str) -> dict[str, Any]:
    return {key: value for key, value in (asked.get(name) or {}).items() if value is not None}


def _was_read(name: str, told: Asked) -> bool:
    return any(told.get(key) for key in READ[name])


ITEMS_BY_NAME: dict[str, Callable[[Asked], Item]] = {
    "bore": _bore,
    "band": _band,
    "shaft": _shaft,
    "seal": _seal,
    "joint": _joint,
}
