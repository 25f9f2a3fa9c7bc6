"""The fit desk: the fit questions in plain words, answered from what was measured. Nothing is written here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render

from compat import asks, damper_values, drawings
from compat.asking.requests import told_of
from compat.asking.rooms import questions
from compat.pages.blanks import BlankSheet
from compat.pages.fit.carried import same
from compat.pages.fit.fit_forms import QUESTIONS, Question
from compat.pages.fit.prefill import blanks_of
from compat.pages.fit.taking import Taking
from compat.questions.told_service import Service
from inventory.common.errors import DomainError
from inventory.counter.pages import is_swap, page
from inventory.documents.typed import written
from inventory.people.roles import STAFF

MOST_WASHERS = 20
# A field of the torque question -> the nut question's field that holds it.
TO_TORQUE = {
    "thread": "shaft_thread",
    "hole_mm": "shaft_hole_mm",
    "thread_relief": "shaft_thread_relief",
    "relief_diameter_mm": "shaft_relief_diameter_mm",
    "property_class": "shaft_property_class",
    "nut_class": "nut_property_class",
}


@dataclass(slots=True)
class Sitting:
    """One look at a question: the form, what was taken from where, and the answer once there is one."""

    form: BlankSheet
    taking: Taking
    answer: dict[str, Any] | None = None
    needed: tuple[str, ...] = ()
    shelf: dict[str, Any] | None = None
    waiting: bool = False

    @property
    def wrong(self) -> bool:
        """Whether something must be mended before there is an answer."""
        return bool(self.form.errors or self.taking.errors)

    @property
    def rows(self) -> list[dict[str, Any]]:
        """The answer's figures that its question names."""
        room = questions().get(self.taking.asked.slug)
        if self.answer is None or room is None:
            return []
        known = self.answer["values"]
        return [{"label": one.label, "value": known[one.name], "unit": one.unit} for one in room.values]

    @property
    def onward(self) -> str:
        """What the torque question takes over from a nut on its shaft, as a query; empty where there is nothing."""
        if self.answer is None or self.taking.asked.slug != "nut-on-shaft":
            return ""
        typed = {name: str(self.form[field].value() or "") for name, field in TO_TORQUE.items()}
        engaged = (self.answer["values"]["engagement_mm"] or {}).get("available")
        found = QueryDict(mutable=True)
        found.update({name: text for name, text in typed.items() if text})
        if engaged is not None and engaged > 0:
            found["engagement_mm"] = f"{engaged:g}"
        return found.urlencode()

    @property
    def remark(self) -> str:
        """That some sizes are no readings of this damper."""
        count = len(self.form.origins)
        sizes = "1 size is" if count == 1 else f"{count} sizes are"
        said = [f"{sizes} taken over, not measured; they are marked. Measure what decides."] if count else []
        if self.taking.asked.slug == "stack":
            said.append("The shims' thicknesses are nominal, with the tolerance of rolled strip.")
        if self.taking.asked.slug == "oring" and self.taking.model is not None:
            said.append(self.taking.where_the_ring_goes())
        return " ".join(said)


@page(see=STAFF)
def fit_desk(request: HttpRequest) -> HttpResponse:
    """The questions, each with what one needs to have measured."""
    return render(request, "compat/fit_desk.html", {"questions": QUESTIONS.values()})


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
    shown = {**known, "sections": sections_of(asked, sitting.form)} if asked.sections else known
    if not asked.sections:
        shown["picture"], _ = drawings.question_picture(asked.slug, prefix="sizes")
    return render(request, "compat/fit_question.html", shown, status=status)


def sections_of(asked: Question, form: BlankSheet) -> list[dict[str, Any]]:
    """The parts of a long form, each with its picture and its groups of fields."""
    groups = {group["title"]: group for group in form.groups()}
    return [
        {
            "item": one.item,
            "title": one.title,
            "picture": drawings.question_picture(one.picture, prefix=f"sizes-{one.item}")[0],
            "groups": [groups[title] for title in one.groups],
        }
        for one in asked.sections
    ]


def opened(asked: Question) -> Sitting:
    """The question with nothing typed yet."""
    form = BlankSheet(asked.blanks, initial=asked.unless_said, letters=asked.letters)
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
    form = BlankSheet(blanks_of(asked, taking.taken, _washer_rows(data)), data, letters=asked.letters)
    sitting = Sitting(form, taking, waiting=waiting)
    for name, (text, source) in taking.carried.items():
        if name in form.blanks and same(str(form[name].value() or ""), text):
            form.origins[name] = source
    if not form.is_valid() or not taking.is_valid() or waiting:
        return sitting
    try:
        sitting.answer = _ask(asked, form, taking)
        if asked.slug == "oring":
            sitting.shelf = _rings_on_shelf(form.request())
    except DomainError as error:
        # A page that was only opened does not complain of what nobody has typed yet.
        if sent or any(one.code not in ("required", "empty") for one in error.errors):
            form.refuse_at_paths(error)
        else:
            sitting.needed = tuple(form.blanks[form.placed(one).field].label for one in error.errors)
    return sitting


def _rings_on_shelf(body: dict[str, Any]) -> dict[str, Any] | None:
    """Which rings in stock fit the same gland; None before it is known what the seal does."""
    if "motion" not in body:
        return None
    known = ("gland", "motion", *told_of(Service))
    answer = asks.ask("rings-for-gland", {name: body[name] for name in known if name in body})
    return dict(answer["values"])


def _opened_with(asked: Question, sizes: QueryDict) -> QueryDict:
    """Sizes of an address, with what holds unless it is said; what was taken only a form can say."""
    data = sizes.copy()
    for name in ("was", "taken"):
        data.pop(name, None)
    for name, text in asked.unless_said.items():
        data.setdefault(name, text)
    return data


def _washer_rows(data: QueryDict) -> int:
    """How many rows of washers were sent."""
    rows = 0
    while rows < MOST_WASHERS and f"washers_{rows}_name" in data:
        rows += 1
    return rows


def _ask(asked: Question, form: BlankSheet, taking: Taking) -> dict[str, Any]:
    """The answer to the request in the form of the API; a stack on a model is asked at the lip of its shaft."""
    body = {**asked.empty, **form.request()}
    if asked.slug != "stack" or taking.model is None:
        return asks.ask(asked.slug, body)
    valve = written(damper_values.valve_called(taking.model.document, body["valve"]))
    for name in ("sides", "base_plates"):
        # What the model says is there is there, though none of its sizes may be known.
        there: dict[str, Any] = {one: {} for one in valve.get(name) or {}}
        if there or name in body:
            body[name] = {**there, **body.get(name, {})}
    return asks.ask_stack(body, shaft_end=taking.model.document.shaft_end)
