"""The inspection sheet: every verdict of a stripped damper at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from compat.engineering.answers import Answer, Finding, Verdict, ask, note, stop
from compat.questions.inspection.items import MAKERS, Item
from compat.questions.inspection.of_model import with_model
from compat.questions.inspection.request import Inspection
from compat.questions.inspection.texts import FIRST, ITEMS, REUSED
from compat.texts import rendering
from inventory.common.errors import DomainError, FieldError

QUESTION = "inspection"
WORDS = {Verdict.FITS: "reuse", Verdict.DOES_NOT_FIT: "replace", Verdict.CANNOT_TELL: "cannot_tell"}
CODES: dict[Verdict, tuple[Callable[..., Finding], str]] = {
    Verdict.FITS: (note, "inspected_reuse"),
    Verdict.DOES_NOT_FIT: (stop, "inspected_replace"),
    Verdict.CANNOT_TELL: (ask, "inspected_unsure"),
}


def answer(asked: Inspection) -> Answer:
    """Every verdict of a stripped damper at once. Raises DomainError `invalid` with the paths of what cannot be read.

    Values: `items`, one a part: `item`, `title`, `verdict` (reuse, replace, cannot_tell), `inspected`, `why`, `next`
    (what to measure), `answer` (the whole answer to its question), `mend` (what would make a band seal again, or
    None), `replacements` (new parts on the shelf, with what is free and where), `needs` (`oil` or `thread`, where that
    must be told before anything is offered; else empty).
    """
    asked = with_model(asked)
    items = [_at(name, make, asked) for name, make in MAKERS.items()]
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
                "replacements": item.offered() if item.read and item.verdict is not Verdict.FITS else [],
                "needs": item.needs,
            }
        )
    sources = tuple(dict.fromkeys(key for item in items for key in item.answer.sources))
    cautions = tuple(dict.fromkeys(key for item in items for key in item.answer.cautions))
    return Answer(QUESTION, tuple(findings), {"items": shown}, sources, cautions)


def _at(name: str, make: Callable[[Inspection], Item], asked: Inspection) -> Item:
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
        warned = [one["text"] for one in answered["findings"] if one["severity"] == "warn"]
        return " ".join([REUSED.get(item.name, "By the readings nothing speaks against it."), *warned]), []
    deciding = "stop" if item.verdict is Verdict.DOES_NOT_FIT else "warn"
    found = [
        one["text"]
        for one in answered["findings"]
        if one["severity"] == deciding and (deciding == "stop" or one["measure"])
    ]
    return found[0], [text for text in following if text != found[0]]
