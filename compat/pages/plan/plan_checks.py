"""What is still to be confirmed at the bench, and what each check should read by the sizes of the damper."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from compat.engineering.threads.designation import ThreadError, parse
from compat.pages.measured import said_length
from compat.pages.plan import plan_words
from compat.plans.answered import AnsweredPlan, NutDrawn, ShimLot, SpacerDrawn
from inventory.dampers.document import DamperDocument
from inventory.documents.typed import written


@dataclass(frozen=True, slots=True)
class Check:
    """One check; `expected` is empty where the damper model says nothing of it."""

    text: str
    expected: str = ""


def checks_of(plan: AnsweredPlan, damper: DamperDocument, readings: Mapping[str, Any]) -> list[Check]:
    """The checks of a plan, with the lots drawn that were never measured.

    Expected values are those that the plan was computed with: a reading of this damper before the model's size.
    """
    expected = _expected(plan, damper, readings)
    found = [Check(one.text, expected.get(one.code, "")) for one in plan.to_confirm]
    return found + [
        Check(f"Measure lot {lot.lot} from {lot.drawer}: no reading yet.", f"about {plan_words.shim(lot)} mm")
        for lot in _unmeasured(plan)
    ]


def _expected(plan: AnsweredPlan, damper: DamperDocument, readings: Mapping[str, Any]) -> dict[str, str]:
    """{code of a check: what it should read}."""
    end = {**({} if damper.shaft_end is None else written(damper.shaft_end)), **readings}
    main = damper.valve("main")
    plate = None if main is None else main.plate("rebound")
    pitch = _pitch(end.get("thread") or "")
    on, past = end.get("on_straight_mm"), end.get("past_lip_mm")
    return {
        "gauge_shaft_pitch": pitch,
        "gauge_nut_pitch": pitch,
        **_of_nut(plan.nut),
        "measure_lip": said_length(end.get("shoulder_to_lip_mm")),
        "measure_base_plate": said_length(readings.get("base_plate_mm", None if plate is None else plate.height_mm)),
        "measure_spacer": _spacer(plan.spacer),
        "see_straddle": "" if on is None or past is None else f"{on:g} mm on it and {past:g} mm past it, at least",
    }


def _of_nut(nut: NutDrawn | None) -> dict[str, str]:
    """What the joint's readings should be, by the labels that the plan took."""
    sent = (nut and nut.question) or {"shaft": {}, "nut": {}}
    shaft, on_it = sent["shaft"], sent["nut"]
    height, chamfer = said_length(on_it.get("height_mm")), said_length(on_it.get("chamfer_mm"))
    return {
        "read_shaft_crest": said_length(shaft.get("major_mm")),
        "read_nut_crest": said_length(on_it.get("minor_mm")),
        "see_shaft_end": "plain" if shaft else "",
        "see_nut_new": "new" if on_it else "",
        "measure_nut": f"{height} high, chamfers {chamfer} deep" if height and chamfer else height,
    }


def _pitch(thread: str) -> str:
    """The pitch of a designated thread; empty where it cannot be read."""
    try:
        return f"{parse(thread).pitch_mm:.4g} mm"
    except ThreadError:
        return ""


def _spacer(found: SpacerDrawn | None) -> str:
    """What the spacers should add up to, with the window that is safe."""
    if not found or not found.lines:
        return ""
    window = found.add_mm
    room = f", {window.low:.3f} to {window.high:.3f} mm is safe" if window else ""
    return f"{found.total_mm:.3f} mm together{room}"


def _unmeasured(plan: AnsweredPlan) -> Iterator[ShimLot]:
    """Every lot of shims drawn that has no reading, once."""
    lots = [lot for line in plan.lines for lot in line.lots]
    lots += plan.spacer.lines if plan.spacer else ()
    yield from {lot.lot: lot for lot in lots if not lot.measured}.values()
