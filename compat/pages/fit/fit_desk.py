"""The fit desk: the fit questions in plain words, answered from what was measured. Nothing is written here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render

from compat.asking.requests import blanks_with, open_rows
from compat.pages import drawings
from compat.pages.blanks import BlankSheet
from compat.pages.fit.carried import same
from compat.pages.fit.fit_forms import OFFERED, QUESTIONS, Question
from compat.pages.fit.taking import Taking
from compat.questions import asks
from compat.texts import rendering
from inventory.common.errors import DomainError
from inventory.counter.pages import is_swap, page
from inventory.people.roles import STAFF

MOST_ROWS = 20  # of a list whose rows have fields of their own


@dataclass(slots=True)
class Sitting:
    """One look at a question: the form, what was taken from where, and the answer once there is one."""

    form: BlankSheet
    taking: Taking
    answer: dict[str, Any] | None = None
    needed: tuple[str, ...] = ()
    beside: Mapping[str, Any] | None = None
    waiting: bool = False

    @property
    def wrong(self) -> bool:
        """Whether something must be mended before there is an answer."""
        return bool(self.form.errors or self.taking.errors)

    @property
    def rows(self) -> list[dict[str, Any]]:
        """The answer's figures that its question names."""
        if self.answer is None:
            return []
        known = self.answer["values"]
        values = self.taking.asked.room.values
        return [{"label": one.label, "value": known[one.name], "unit": one.unit} for one in values]

    @property
    def headline(self) -> str:
        """The verdict, large."""
        return self.taking.asked.headline(self.answer["verdict"]) if self.answer else ""

    @property
    def said(self) -> str:
        """What decides the verdict, or what it holds with."""
        if self.answer is None:
            return ""
        words = rendering.words_of(self.taking.asked.slug)[self.answer["verdict"]]
        return str(self.answer["summary"]).removeprefix(words).strip()

    @property
    def onward(self) -> str:
        """What another question takes over from this one, as a query; empty where there is nothing."""
        way = self.taking.asked.desk.onward
        if self.answer is None or way is None:
            return ""
        typed = {name: str(self.form[field].value() or "") for name, field in way.fields.items()}
        found = QueryDict(mutable=True)
        found.update({name: text for name, text in typed.items() if text})
        found.update(way.figures(self.answer["values"]))
        return found.urlencode()

    @property
    def remark(self) -> str:
        """That some sizes are no readings of this damper."""
        count = len(self.form.origins)
        sizes = "1 size is" if count == 1 else f"{count} sizes are"
        said = [f"{sizes} taken over, not measured; they are marked. Measure what decides."] if count else []
        said += [self.taking.asked.desk.remark] if self.taking.asked.desk.remark else []
        said += [self.taking.where_it_goes] if self.taking.where_it_goes else []
        return " ".join(said)


@page(see=STAFF)
def fit_desk(request: HttpRequest) -> HttpResponse:
    """The questions, each with what one needs to have measured."""
    return render(request, "compat/fit_desk.html", {"questions": OFFERED})


@page(see=STAFF, send=STAFF)
def question(request: HttpRequest, question: str) -> HttpResponse:
    """One question. Sent or opened with sizes in its address, it is answered above its form."""
    asked = QUESTIONS.get(question)
    if asked is None:
        raise DomainError("not_found", what="fit question", which=question)
    sitting = answered(asked, request) if request.method == "POST" or request.GET else opened(asked)
    status = 422 if sitting.wrong and request.method == "POST" else 200
    known = {"question": asked, "form": sitting.form, "taking": sitting.taking, "sitting": sitting}
    if is_swap(request):
        return render(request, "compat/_fit_answer.html", known, status=status)
    if sitting.taking.errors:
        sitting.taking.focus()
    elif sitting.form.errors or sitting.answer is None:
        sitting.form.focus()
    shown = {**known, "sections": sections_of(asked, sitting.form)} if asked.desk.sections else known
    if not asked.desk.sections:
        shown["picture"], _ = drawings.question_picture(asked.slug, prefix="sizes")
    return render(request, "compat/fit_question.html", shown, status=status)


def sections_of(asked: Question, form: BlankSheet) -> list[dict[str, object]]:
    """The parts of a long form, each with its picture and its groups of fields."""
    groups = {group.title: group for group in form.groups()}
    return [
        {
            "item": one.item,
            "title": one.title,
            "picture": drawings.question_picture(one.picture, prefix=f"sizes-{one.item}")[0],
            "groups": [groups[title] for title in one.groups],
        }
        for one in asked.desk.sections
    ]


def opened(asked: Question) -> Sitting:
    """The question with nothing typed yet."""
    form = BlankSheet(asked.blanks, initial=asked.desk.unless_said, letters=asked.letters)
    return Sitting(form, Taking(asked, QueryDict()))


def answered(asked: Question, request: HttpRequest) -> Sitting:
    """The question with what was sent, and what is taken from a model or a part; the answer, or what is wrong.

    What is picked is taken before it is answered, so that the answer is about what is named above it. A swap cannot
    show what would be taken, so it waits for the whole page.
    """
    sent = request.method == "POST"
    data = request.POST if sent else _opened_with(asked, request.GET)
    taking = Taking(asked, data)
    waiting = taking.is_new and is_swap(request)
    if not sent or "take" in data or (taking.is_new and not waiting):
        data = taking.filled(data)
    blanks = blanks_with(asked.room.request, taking.rows_with(_rows_sent(asked, data)))
    form = BlankSheet(blanks, data, letters=asked.letters)
    sitting = Sitting(form, taking, waiting=waiting)
    for name, (text, source) in taking.carried.items():
        if name in form.blanks and same(str(form[name].value() or ""), text):
            form.origins[name] = source
    if not form.is_valid() or not taking.is_valid() or waiting:
        return sitting
    try:
        sitting.answer = _ask(asked, form, taking)
        if asked.desk.beside is not None and (body := asked.desk.beside.asked(form.request())) is not None:
            sitting.beside = asks.ask(asked.desk.beside.question, body)["values"]
    except DomainError as error:
        # A page that was only opened does not complain of what nobody has typed yet.
        if sent or any(one.code not in ("required", "empty") for one in error.errors):
            form.refuse_at_paths(error)
        else:
            sitting.needed = tuple(form.blanks[form.placed(one).field].label for one in error.errors)
    return sitting


def _opened_with(asked: Question, sizes: QueryDict) -> QueryDict:
    """Sizes of an address, with what holds unless it is said; what was taken only a form can say."""
    data = sizes.copy()
    for name in ("was", "taken"):
        data.pop(name, None)
    for name, text in asked.desk.unless_said.items():
        data.setdefault(name, text)
    return data


def _rows_sent(asked: Question, data: QueryDict) -> dict[str, int]:
    """{name of a list whose rows have fields of their own: how many were sent}."""
    found = {}
    for name, first in open_rows(asked.room.request).items():
        sent = (row for row in range(MOST_ROWS) if f"{name}_{row}_{first}" not in data)
        found[name] = next(sent, MOST_ROWS)
    return found


def _ask(asked: Question, form: BlankSheet, taking: Taking) -> dict[str, object]:
    """The answer to the request in the form of the API."""
    body = {**asked.desk.empty, **form.request()}
    return asks.ask(asked.slug, body) if taking.model is None else asks.ask_on(asked.slug, body, taking.model.document)
