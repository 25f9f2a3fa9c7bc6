"""The page of parts by size: one text box, and the parts that it may be."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from compat.engineering.answers import Verdict
from compat.questions.parts_by_size.answering import Row, answer_of
from compat.questions.parts_by_size.finding import by_text
from compat.texts import rendering
from inventory.common.errors import DomainError
from inventory.common.sizes.table import UNDERSTOOD
from inventory.counter.browsing.part_words import size_line
from inventory.counter.pages import page
from inventory.people.roles import STAFF

MOST_DRAWERS = 5
HEADLINES = {"fits": "One size has it", "cannot_tell": "Cannot tell yet", "does_not_fit": "No such size"}


@dataclass(frozen=True, slots=True)
class Line:
    """A part as the page lists it: with a word, and the shape of a verdict."""

    row: Row
    shape: str
    word: str

    @property
    def size(self) -> str:
        return size_line(self.row.size)

    @property
    def drawers(self) -> tuple[str, ...]:
        return self.row.drawers[:MOST_DRAWERS]

    @property
    def more_drawers(self) -> int:
        return max(0, len(self.row.drawers) - MOST_DRAWERS)


@page(see=STAFF)
def by_size(request: HttpRequest) -> HttpResponse:
    """What has the sizes that were typed; 422 with the typing kept where they are not understood."""
    typed = " ".join("".join(sign if sign.isprintable() else " " for sign in request.GET.get("q", "")).split())
    known: dict[str, object] = {"q": "", "typed": typed, "understood": UNDERSTOOD}
    if not typed:
        return render(request, "parts_by_size/page.html", known)
    try:
        found = by_text(typed)
    except DomainError as error:
        return render(request, "parts_by_size/page.html", {**known, "error": error.errors[0].message}, status=422)
    answer = rendering.answer(answer_of(found, drawers=False))
    lines = [_line(row, answer["verdict"]) for row in found.rows]
    known |= {
        "answer": answer,
        "read_as": answer["values"]["read_as"],
        "verdict_word": HEADLINES[answer["verdict"]],
        "said": answer["summary"].removeprefix(rendering.words_of(answer["question"])[answer["verdict"]]).strip(),
    }
    known["same"] = [line for line in lines if line.row.match == "is"]
    known["near"] = [line for line in lines if line.row.match == "near"]
    return render(request, "parts_by_size/page.html", known)


def _line(row: Row, verdict: str) -> Line:
    if row.match == "near":
        return Line(row, str(Verdict.DOES_NOT_FIT), "Not this one")
    return Line(row, verdict, "This size" if verdict == Verdict.FITS else "May be this")
