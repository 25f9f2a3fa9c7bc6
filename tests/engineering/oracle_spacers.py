"""The spacer question as a CP-SAT model, solved criterion by criterion: another method to the same optimum."""

from __future__ import annotations

from typing import Any

from ortools.sat.python import cp_model

from tests.engineering.cases_spacers import SpacerCase

Optimum = tuple[int, int, int, int]  # whole steps of 25 um off the target, pieces, drawers, sum of preferences


def best_spacer(case: SpacerCase) -> tuple[Optimum | None, float]:
    """The optimum (None: no choice of pieces ends in the window) and the seconds CP-SAT spent in its solves."""
    model = cp_model.CpModel()
    counts = [model.new_int_var(0, row.available, row.key) for row in case.rows]
    total = sum(count * row.thickness_um for count, row in zip(counts, case.rows, strict=True))
    model.add(total >= case.low_um)
    model.add(total <= case.high_um)
    # in half micrometres: a step is 50 of them, and the distance lies at most 49 above its steps
    steps = model.new_int_var(0, 10**6, "steps")
    model.add(50 * steps + 49 >= 2 * total - round(2 * case.target_um))
    model.add(50 * steps + 49 >= round(2 * case.target_um) - 2 * total)
    opened = []
    for drawer in sorted({row.drawer for row in case.rows}):
        is_open = model.new_bool_var(f"drawer {drawer}")
        for count, row in zip(counts, case.rows, strict=True):
            if row.drawer == drawer:
                model.add(count == 0).only_enforce_if(~is_open)
        opened.append(is_open)
    preferences = sum(count * row.preference for count, row in zip(counts, case.rows, strict=True))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    seconds, optimum = 0.0, list[int]()
    criteria: tuple[Any, ...] = (steps, sum(counts), sum(opened), preferences)
    for criterion in criteria:
        if isinstance(criterion, int):
            optimum.append(criterion)  # an empty shelf
            continue
        model.minimize(criterion)
        status = solver.solve(model)
        seconds += solver.wall_time
        if status == cp_model.INFEASIBLE:
            return None, seconds
        if status != cp_model.OPTIMAL:
            raise RuntimeError(f"the oracle did not finish: {solver.status_name(status)}")
        optimum.append(round(solver.objective_value))
        model.add(criterion == optimum[-1])
    return (optimum[0], optimum[1], optimum[2], optimum[3]), seconds
