"""Try a measured curve on a damper model, keep what it tells of the piston, and withdraw it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from compat.dampers.engine_values import usual_bore_mm
from compat.engineering.answers import Answer
from compat.engineering.drawing.curve_plot import Curves, curve_plot
from compat.pages.calibration.calibration_sheet import CalibrationSheet, typed_again
from compat.pages.drawings import Shown, shown
from compat.pages.shown import has_changed, mark_of
from compat.pages.stack_text import write_lines
from compat.questions.curve_calibration import calibrations
from compat.questions.curve_calibration.calibrations import IN_USE, Tried
from compat.texts import rendering
from inventory.common import clock
from inventory.common.errors import DomainError
from inventory.common.quantities import whole_number
from inventory.counter.commands import carry_out
from inventory.counter.pages import actor_of, page
from inventory.dampers.selectors import Damper, calibrations_of, damper_called, saved_stack
from inventory.dampers.services import withdraw_calibration
from inventory.dampers.words import SIDES
from inventory.people.roles import BENCH

WORDS = {
    "lift": "lift at the rim, mm",
    "pressure": "force on the ports' ring, N",
    "difference": "as computed less as measured, %",
    "asked": "as measured",
    "built": "as computed with this fit",
}

CHANGED = "Not kept: what is typed, or the model, has changed since. This is the new answer; keep it if it is right."


@page(see=BENCH, send=BENCH)
def calibrate(request: HttpRequest, code: str) -> HttpResponse:
    """A measured curve: how well it is explained, and, once asked for, kept for its piston."""
    damper = damper_called(code)
    valves = [code for code in damper.document.codes if code != "mid"]
    if request.method != "POST":
        form = CalibrationSheet(valves=valves, initial=_initial(request, damper))
        form.focus()
        return _show(request, damper, form, None)
    form = CalibrationSheet(request.POST, valves=valves)
    answer: Answer | None = None
    if form.is_valid():
        tried = calibrations.try_on(code, form.sent())
        try:
            answer = tried.found.answer
            if request.POST.get("do") == "keep":
                if not has_changed(request.POST, rendering.answer(answer)):
                    return _kept(request, tried)
                messages.warning(request, CHANGED)
        except DomainError as error:
            form.refuse(error)
    if form.errors:
        form.focus()
    return _show(request, damper, form, answer)


@page(see=(), send=BENCH)
def withdraw(request: HttpRequest, code: str, calibration: int) -> HttpResponse:
    """Takes a calibration out of use."""
    actor = actor_of(request)

    def work() -> str:
        withdraw_calibration(code=code, number=calibration, actor=actor)
        return f"{reverse('damper', kwargs={'code': code})}#calibrations"

    response = carry_out(request, work)
    valve = calibrations_of(code, calibration)[0].valve
    states = calibrations.with_states(damper_called(code))
    now = [row for row, state in states if state == IN_USE and row.valve == valve]
    what = f"use the one of {clock.day_of(now[0].at)}" if now else "leave the clamp's edge open"
    messages.success(request, f"Withdrawn; it stays readable. Curves of the {valve} valve now {what}.")
    return response


def _kept(request: HttpRequest, tried: Tried) -> HttpResponse:
    actor = actor_of(request)

    def work() -> str:
        calibrations.keep(tried, actor)
        return f"{reverse('damper', kwargs={'code': tried.damper})}#calibrations"

    response = carry_out(request, work)
    messages.success(request, f"Kept: curves of the {tried.sent['valve']} valve use this fit from now on.")
    return response


def _initial(request: HttpRequest, damper: Damper) -> dict[str, str]:
    """A calibration to be fitted again, or a saved stack of the model."""
    number = whole_number(request.GET.get("again", ""))
    before = None if number is None else next(iter(calibrations_of(damper.code, number)), None)
    if before is not None:
        return typed_again(before)
    name = request.GET.get("stack", "")
    if not name:
        return {}
    saved = saved_stack(damper.code, name)
    side = next((one for one in SIDES if saved.stacks.get(one)), "compression")
    bore = usual_bore_mm(damper.document, saved.stack.valve)
    stack = write_lines(saved.stacks.get(side, ()), usual_bore_mm=bore)
    return {"valve": saved.stack.valve, "side": side, "stack": stack}


def _show(request: HttpRequest, damper: Damper, form: CalibrationSheet, answer: Answer | None) -> HttpResponse:
    known: dict[str, object] = {"damper": damper, "form": form}
    if answer is not None:
        shown, points = rendering.answer(answer), answer.values.get("points")
        known |= {"answer": shown, "values": shown["values"], "picture": points_picture(points) if points else None}
        known |= {"may_keep": shown["verdict"] == "fits", "mark": mark_of(shown)}
    return render(request, "compat/calibrate.html", known, status=422 if form.errors else 200)


def points_picture(points: Sequence[Mapping[str, float]]) -> Shown:
    """What was measured as points, above the line of what is computed."""
    nothing = [None] * len(points)
    curves = Curves(
        lifts_mm=[point["lift_mm"] for point in points],
        asked=[point["force_n"] for point in points],
        built=[point["computed_n"] for point in points],
        low=nothing,
        high=nothing,
        closings={},
        difference=[point["difference_percent"] for point in points],
        as_points=True,
    )
    drawing = curve_plot(curves, WORDS, lambda value: f"{value:g}")
    desc = "A plot: a mark for each measured point, with its number in the table, on the line of the computed forces. "
    desc += "Below: the difference."
    return shown(drawing, prefix="measured", title="Measured and computed force against lift", desc=desc)
