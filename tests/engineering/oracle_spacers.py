"""The spacer question as a CP-SAT model, solved criterion by criterion: another method to the same optimum."""

from __future__ import annotations

from ortools.sat.python import cp_model

from tests.engineering.cases_spacers import SpacerCase

Optimum = tuple[int, int, int]  # distance in half micrometres, pieces, sum of preferences


def best_spacer(case: SpacerCase) -> tuple[Optimum | None, float]:
    """The optimum (None: no choice of pieces ends in the window) and the seconds CP-SAT spent in its solves."""
    model = cp_model.CpModel()
    counts = [model.new_int_var(0, row.available, row.key) for row in case.rows]
    total = sum(count * row.thickness_um for count, row in zip(counts, case.rows, strict=True))
    model.add(total >= case.low_um)
    model.add(total <= case.high_um)
    distance = model.new_int_var(0, 10**7, "distance")
    model.add(distance >= 2 * total - round(2 * case.target_um))
    model.add(distance >= round(2 * case.target_um) - 2 * total)
    preferences = sum(count * row.preference for count, row in zip(counts, case.rows, strict=True))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    optimum, seconds = [], 0.0
    for criterion in (distance, sum(counts), preferences):
        model.minimize(criterion)
        status = solver.solve(model)
        seconds += solver.wall_time
        if status == cp_model.INFEASIBLE:
            return None, seconds
        if status != cp_model.OPTIMAL:
            raise RuntimeError(f"the oracle did not finish: {solver.status_name(status)}")
        optimum.append(round(solver.objective_value))
        model.add(criterion == optimum[-1])
    return (optimum[0], optimum[1], optimum[2]), seconds
