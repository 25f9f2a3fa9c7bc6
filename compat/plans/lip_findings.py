"""What a plan finds beyond its stacks: the spacer, where the lip's sizes come from, what is missing."""

from __future__ import annotations

from compat.engineering.answers import Finding, ask, note, stop, warn
from compat.engineering.lip import spread_of_spacer
from compat.engineering.plans.problem import Role
from compat.engineering.plans.solution import Solution
from compat.engineering.units import Range, um_to_mm
from compat.plans import drawn
from compat.plans.curves import Scores
from compat.plans.drawn import Figures
from compat.plans.problem import Posed
from compat.plans.request import LIP_READINGS, PlanRequest
from compat.plans.searched import Searched


def of_plan(wanted: PlanRequest, best: Solution, posed: Posed, *, needed: bool, add_mm: Range | None) -> list[Finding]:
    """The spacer inside its window with the spread of its own pieces; the lip's sizes from the model.

    `needed`: whether the stacks as drawn leave the base plate too low; `add_mm`: what the lip rule allows under them.
    """
    findings = [
        ask("reading_far_off", "trade", name=name, reading_mm=reading, model_mm=size)
        for name, reading, size in wanted.far_off
    ]
    if wanted.main is None:
        return findings
    if wanted.not_read:
        sizes = ", ".join(LIP_READINGS[name] for name in wanted.not_read)
        findings.append(warn("lip_from_model", "trade", sizes=sizes))
    if posed.lip is None:
        if needed and not wanted.spacer:
            findings.append(ask("spacer_not_asked", "trade"))
        elif needed and wanted.contact_mm() is None:
            findings.append(ask("contact_diameter_unknown", "trade"))
        return findings
    window = drawn.window_of(best, add_mm)
    if window is None:
        return findings
    low, high = window
    if best.no_spacer and low > 0:
        # The lots drawn may be better known than the least known of their sizes, which the search has to count.
        code = "spacer_not_found" if best.no_spacer == "no_such_shims" else "spacer_not_chosen"
        no_room = _no_room(wanted, posed)
        findings += no_room or [ask(code, "trade", add_min_mm=low, add_max_mm=high)]
    spread = drawn.spacer_range(best, posed.rows)
    if spread is not None:
        findings += spread_of_spacer(spread, Range.between(low, high))
    return findings


def _no_room(wanted: PlanRequest, posed: Posed) -> list[Finding]:
    """A clamp shim that leaves no diameter for a spacer: whatever is taken in, none can serve."""
    contact = wanted.contact_mm()
    if posed.lip is None or contact is None or posed.lip.od_over_um < posed.lip.od_upto_um:
        return []
    sizes = {"clamp_od_mm": um_to_mm(posed.lip.od_over_um), "contact_mm": contact.low}
    certain = posed.lip.od_over_um >= round(contact.high * 1000)
    return [(stop if certain else ask)("clamp_reaches_contact", "trade", **sizes)]


def of_search(wanted: PlanRequest, result: Searched, posed: Posed) -> list[Finding]:
    """What is missing, which stand-ins were taken, and whether the search came to its end."""
    best = result.best
    findings = []
    for valve in wanted.valves:
        for side, lines in valve.lines.items():
            for index, line in enumerate(lines):
                missing = best.missing.get(f"{valve.code}.{side}.{index + 1}", 0)
                if missing:
                    where = {"valve": valve.code, "side": side, "line": index + 1}
                    counts = {"missing": missing, "quantity": line.quantity}
                    findings.append(warn("pieces_missing", "", **where, **counts, **drawn.size_of(line.size)))
    if best.stand_ins:
        findings += _stand_ins(result, posed)
    if not result.proven and result.solved is not None:
        findings.append(note("best_of_curves_solved", "contact_model", solved=result.solved))
    elif not result.proven:
        findings.append(warn("search_cut_short"))
    return findings


def _stand_ins(result: Searched, posed: Posed) -> list[Finding]:
    """How near the stand-ins come: by the curves of the sides, or by sums of t^3 with what a curve still needs."""
    best, scores, count = result.best, result.scores, len(result.best.stand_ins)
    if result.solved is None:
        worst = max(abs(one.sum_t3_change_percent or 0.0) for one in best.stand_ins)
        used = note("stand_ins_used", "contact_model", count=count, worst_percent=round(worst, 2))
        return [used, *(note(f"{one.code}_for_plan", one.source, **one.data) for one in posed.unknown)]
    far = _farthest(scores)
    if far is None or set(scores) != {one.position for one in best.stand_ins}:
        findings = [note("stand_ins_curve_open", "contact_model", count=count)]
    else:
        data = {"worst_percent": max(one.nominal for one in scores.values()), "drawn_percent": far}
        findings = [note("stand_ins_by_curve", "contact_model", count=count, **data)]
    findings += posed.told
    positions = {position.key: position for position in posed.problem.positions}
    for one in best.stand_ins:
        position = positions[one.position]
        if position.role is not Role.TAPER:
            shims = " + ".join(
                f"{number} x {um_to_mm(s.od_um):g} x {um_to_mm(s.thickness_um):g}" for s, number in one.shims
            )
            asked = {"position": one.position, "role": position.role.value, "shims": shims}
            figures: Figures | None = scores.get(one.position)
            if figures is None or figures.drawn is None:
                findings.append(warn("role_replaced_curve_open", "contact_model", **asked))
            else:
                told = {"percent": figures.nominal, "drawn_percent": figures.drawn}
                findings.append(warn("role_replaced", "contact_model", **asked, **told))
    return findings


def _farthest(scores: Scores) -> float | None:
    """The largest change with the lots drawn, with its sign; None where one is not known."""
    drawn_ = [one.drawn for one in scores.values() if one.drawn is not None]
    return max(drawn_, key=abs) if drawn_ and len(drawn_) == len(scores) else None
