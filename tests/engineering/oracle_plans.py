"""The plan search as a CP-SAT model written from the rules and the order alone, solved criterion by criterion."""

from __future__ import annotations

import math
from typing import Any

from ortools.sat.python import cp_model

from compat.engineering.plans.problem import Problem, Role
from compat.engineering.shims import Form, Size, strip_tolerance_um

NEW_PLACES = (Role.FACE, Role.CROSSOVER, Role.ALSO)
BIG = 20_000  # half micrometres; the cases stay below it
MOST_SPACER_UM = 2_000  # no window of the cases ends higher


def best_score(problem: Problem) -> tuple[tuple[int, ...], float]:
    """The ten criteria of the best plan, and the seconds CP-SAT spent in its solves (one worker)."""
    rows = [row for row in problem.rows if problem.allow_take_offs or not row.take_off]
    model = cp_model.CpModel()
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2
    seconds = 0.0

    exact, stand = {}, {}
    for p, position in enumerate(problem.positions):
        for r, row in enumerate(rows):
            most = min(position.quantity, row.available)
            if row.size == position.size and not (row.take_off and position.role in NEW_PLACES):
                exact[p, r] = model.new_int_var(0, most, f"exact {p} {r}")
            alike = (row.size.od_um, row.size.bore_um, row.size.form) == (
                position.size.od_um,
                position.size.bore_um,
                position.size.form,
            )
            other = row.size.thickness_um != position.size.thickness_um
            if problem.allow_stand_ins and position.role == Role.TAPER and alike and other:
                stand[p, r] = model.new_int_var(0, min(4 * position.quantity, row.available), f"stand {p} {r}")
    spacer = {}
    if problem.lip is not None:
        for r, row in enumerate(rows):
            wide_enough = problem.lip.od_over_um < row.size.od_um <= problem.lip.od_upto_um
            if row.size.form == Form.ROUND and row.size.bore_um == problem.lip.bore_um and wide_enough:
                spacer[r] = model.new_int_var(0, min(row.available, MOST_SPACER_UM // row.mean_um), f"spacer {r}")

    # R3
    for r, row in enumerate(rows):
        drawn = [v for (_, s), v in exact.items() if s == r] + [v for (_, s), v in stand.items() if s == r]
        model.add(sum(drawn) + spacer.get(r, 0) <= row.available)

    # R1: the largest exact number of every size, found by a solve of its own
    per_size: dict[Size, list[cp_model.IntVar]] = {}
    for (p, _), variable in exact.items():
        per_size.setdefault(problem.positions[p].size, []).append(variable)
    missing = [model.new_int_var(0, position.quantity, f"missing {p}") for p, position in enumerate(problem.positions)]
    for p, position in enumerate(problem.positions):
        model.add(sum(v for (q, _), v in exact.items() if q == p) + missing[p] == position.quantity)
    model.maximize(sum(exact.values()))
    first = cp_model.CpSolver()
    first.parameters.num_workers = 1
    if first.solve(model) != cp_model.OPTIMAL:
        raise RuntimeError("the oracle found no largest exact use")
    for variables in per_size.values():
        model.add(sum(variables) == sum(first.value(v) for v in variables))
    model.clear_objective()  # type: ignore[no-untyped-call]  # the library has no types

    # R2; t^3 in units of the greatest common divisor, which keeps the solver's numbers small
    sizes = {row.size for row in rows} | {position.size for position in problem.positions}
    unit = math.gcd(*(size.thickness_um**3 for size in sizes))
    replaced, left_missing, changes, ppms = [], [], [], []
    for p, position in enumerate(problem.positions):
        uses = model.new_bool_var(f"replaced {p}")
        own = [(v, rows[r]) for (q, r), v in stand.items() if q == p]
        pieces = sum(v for v, _ in own)
        model.add(pieces <= 4 * missing[p])
        model.add(pieces >= 1).only_enforce_if(uses)
        model.add(pieces == 0).only_enforce_if(~uses)
        remains = model.new_int_var(0, position.quantity, f"remains {p}")
        model.add(remains == missing[p]).only_enforce_if(~uses)
        model.add(remains == 0).only_enforce_if(uses)
        nominal = position.quantity * position.size.thickness_um**3 // unit
        # change of sum t^3, of what is replaced only
        change = sum(v * (row.size.thickness_um**3 // unit) for v, row in own) - missing[p] * (
            position.size.thickness_um**3 // unit
        )
        ppm = model.new_int_var(0, 5_000_000, f"ppm {p}")
        size_of_change = model.new_int_var(0, BIG, f"change {p}")
        model.add(size_of_change >= change).only_enforce_if(uses)
        model.add(size_of_change >= -change).only_enforce_if(uses)
        # rounded, halves up: 2 nominal ppm <= 2e6 |change| + nominal < 2 nominal (ppm + 1); minimised, so from above
        model.add(2 * nominal * ppm + nominal >= 2_000_000 * size_of_change + 1)
        model.add(ppm <= problem.curve_limit_ppm)
        model.add(ppm == 0).only_enforce_if(~uses)
        replaced.append(uses)
        left_missing.append(remains)
        changes.append(change)
        ppms.append(ppm)
    any_stand_in = model.new_bool_var("any stand-in")
    model.add_max_equality(any_stand_in, [*replaced, 0])

    # H and U of R4
    asked = 0
    height: Any = 0
    spread: Any = 0
    for p, position in enumerate(problem.positions):
        if not position.in_height:
            continue
        nominal = position.size.thickness_um
        asked += position.quantity * nominal
        height += sum(v * rows[r].mean_um for (q, r), v in [*exact.items(), *stand.items()] if q == p)
        height += left_missing[p] * nominal
        for (q, r), v in [*exact.items(), *stand.items()]:
            if q == p:
                size = rows[r].size
                spread += v * problem.spread_um.get(size, strip_tolerance_um(size.thickness_um))
        spread += left_missing[p] * strip_tolerance_um(nominal)
    off_height = model.new_int_var(0, BIG, "height")
    model.add(off_height >= height - asked)
    model.add(off_height >= asked - height)
    height_steps = model.new_int_var(0, BIG, "whole steps of 10 um of height")
    model.add(10 * height_steps + 9 >= off_height)
    if problem.height_limit_um is not None:
        model.add(off_height <= problem.height_limit_um).only_enforce_if(any_stand_in)

    no_spacer = model.new_bool_var("no spacer")
    spacer_steps = model.new_int_var(0, BIG, "whole steps of 25 um off mid-window")
    total: Any = sum(v * rows[r].mean_um for r, v in spacer.items())
    if problem.lip is None:
        model.add(no_spacer == 0)
    else:
        needed = model.new_bool_var("needed")
        lack = problem.lip.floor_um - height + spread
        most = problem.lip.ceiling_um - height - spread
        model.add(lack >= 1).only_enforce_if(needed)
        model.add(lack <= 0).only_enforce_if(~needed)
        made = model.new_bool_var("spacer made")
        model.add_bool_and([needed, ~no_spacer]).only_enforce_if(made)
        model.add_bool_or([~needed, no_spacer]).only_enforce_if(~made)
        model.add(total >= lack).only_enforce_if(made)
        model.add(total <= most).only_enforce_if(made)
        model.add(total == 0).only_enforce_if(~made)
        model.add(most >= 0).only_enforce_if(~no_spacer)
        # in half micrometres: a step is 50 of them, and the distance lies at most 49 above its steps
        model.add(50 * spacer_steps + 49 >= 2 * total - lack - most).only_enforce_if(made)
        model.add(50 * spacer_steps + 49 >= lack + most - 2 * total).only_enforce_if(made)
        model.add(no_spacer == 0).only_enforce_if(any_stand_in)

    opened = []
    for drawer in sorted({row.drawer for row in rows}):
        is_open = model.new_bool_var(drawer)
        inside = [r for r, row in enumerate(rows) if row.drawer == drawer]
        for r in inside:
            for variable in [v for (_, s), v in [*exact.items(), *stand.items()] if s == r]:
                model.add(variable == 0).only_enforce_if(~is_open)
            if r in spacer:
                model.add(spacer[r] == 0).only_enforce_if(~is_open)
        opened.append(is_open)
    taken = [(v, rows[r]) for (_, r), v in [*exact.items(), *stand.items()]]
    taken += [(v, rows[r]) for r, v in spacer.items()]
    worst = model.new_int_var(0, 5_000_000, "worst")
    for ppm in ppms:
        model.add(worst >= ppm)

    criteria: list[Any] = [
        sum(left_missing) + no_spacer,
        sum(replaced),
        worst,
        sum(ppms),
        0,  # without curves no other diameter stands in
        height_steps,
        spacer_steps,
        sum(spacer.values()),
        sum(opened),
        sum(v * row.newer_days for v, row in taken),
    ]
    variables_of_plan = [*exact.values(), *stand.values(), *spacer.values()]
    score = []
    for criterion in criteria:
        if isinstance(criterion, int):
            score.append(criterion)
            continue
        model.minimize(criterion)
        status = solver.solve(model)
        seconds += solver.wall_time
        if status != cp_model.OPTIMAL:
            raise RuntimeError(f"the oracle did not finish: {solver.status_name(status)}")
        score.append(round(solver.objective_value))
        model.clear_hints()  # type: ignore[no-untyped-call]  # the library has no types
        for variable in variables_of_plan:
            model.add_hint(variable, solver.value(variable))
        model.add(criterion == score[-1])
    return tuple(score), seconds
