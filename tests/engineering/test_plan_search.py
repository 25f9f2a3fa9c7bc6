"""The plan search: every rule by hand, the same optimum as CP-SAT, and what holds for every plan."""

from __future__ import annotations

import math
import time
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compat.engineering.plans import draw, stand_ins
from compat.engineering.plans.offers import Offers
from compat.engineering.plans.order import ORDER, Score
from compat.engineering.plans.pick import Budget, Pick, picks
from compat.engineering.plans.problem import NEW_ONLY, SPACER, Lip, Position, Problem, Role, StockRow
from compat.engineering.plans.solution import Solution
from compat.engineering.plans.solve import solve
from compat.engineering.plans.stand_ins import StandIn, StandIns
from compat.engineering.shims import Form, Size
from tests.engineering.cases_plans import random_problem
from tests.engineering.oracle_plans import best_score

A = Size(30_000, 200, 12_000)
THIN = Size(30_000, 100, 12_000)
THINNER = Size(30_000, 80, 12_000)
SPACER_SIZE = Size(24_000, 200, 12_000)
LIP = Lip(floor_um=1_000, ceiling_um=1_200, od_over_um=20_000, od_upto_um=26_000, bore_um=12_000)


def row(key: str, size: Size = A, available: int = 10, **more: object) -> StockRow:
    values = {"mean_um": size.thickness_um, "drawer": f"drawer of {key}", **more}
    return StockRow(key, size, available, **values)  # type: ignore[arg-type]  # named by the test


def taper(quantity: int, key: str = "taper", size: Size = A) -> Position:
    return Position(key, size, quantity, Role.TAPER)


def drawn(solution: Solution, place: str, stand_in: bool = False) -> dict[str, int]:
    return {d.row: d.quantity for d in solution.draws if d.place == place and d.stand_in is stand_in}


# R1: like for like


def test_pieces_on_the_shelf_are_used_exactly() -> None:
    best = solve(Problem([row("a")], [taper(3)])).best
    assert drawn(best, "taper") == {"a": 3}
    assert best.score == Score(0, 0, 0, 0, 0, 0, 0, 0, 1, 0)


def test_a_short_size_is_used_up_before_anything_stands_in() -> None:
    best = solve(Problem([row("a", available=2), row("b", THIN)], [taper(3)], curve_limit_ppm=1_000_000)).best
    assert drawn(best, "taper") == {"a": 2}
    assert drawn(best, "taper", stand_in=True) == {"b": 4}


def test_of_two_positions_the_shortage_falls_on_the_one_that_may_have_stand_ins() -> None:
    face = Position("face", A, 2, Role.FACE)
    problem = Problem([row("a", available=3), row("b", THIN)], [taper(2), face], curve_limit_ppm=1_000_000)
    best = solve(problem).best
    assert drawn(best, "face") == {"a": 2}
    assert drawn(best, "taper", stand_in=True) == {"b": 4}
    assert best.missing == {}


@pytest.mark.parametrize("role", sorted(NEW_ONLY))
def test_take_offs_never_go_to_places_that_must_be_new(role: Role) -> None:
    problem = Problem([row("used", take_off=True)], [Position("p", A, 2, role)], allow_take_offs=True)
    assert solve(problem).best.missing == {"p": 2}


@pytest.mark.parametrize("role", [Role.TAPER, Role.CLAMP])
def test_take_offs_go_to_other_places_only_where_they_are_allowed(role: Role) -> None:
    problem = Problem([row("used", take_off=True)], [Position("p", A, 2, role)], allow_take_offs=True)
    assert drawn(solve(problem).best, "p") == {"used": 2}
    assert solve(replace(problem, allow_take_offs=False)).best.missing == {"p": 2}


def test_new_pieces_are_kept_for_the_places_that_need_them() -> None:
    rows = [row("new", available=2), row("used", available=2, take_off=True, newer_days=90)]
    positions = [taper(2), Position("face", A, 2, Role.FACE)]
    best = solve(Problem(rows, positions, allow_take_offs=True)).best
    assert (drawn(best, "face"), drawn(best, "taper")) == ({"new": 2}, {"used": 2})


# R2: stand-ins


@pytest.mark.parametrize("role", [Role.FACE, Role.CROSSOVER, Role.CLAMP, Role.ALSO])
def test_only_a_taper_position_has_stand_ins(role: Role) -> None:
    problem = Problem([row("b", THIN)], [Position("p", A, 1, role)], curve_limit_ppm=1_000_000)
    assert solve(problem).best.missing == {"p": 1}


@pytest.mark.parametrize(
    "other",
    [Size(28_000, 100, 12_000), Size(30_000, 100, 10_000), Size(30_000, 100, 12_000, Form.NOTCHED)],
    ids=["diameter", "bore", "form"],
)
def test_a_stand_in_shares_diameter_bore_and_form(other: Size) -> None:
    problem = Problem([row("b", other)], [taper(1)], curve_limit_ppm=1_000_000)
    assert solve(problem).best.missing == {"taper": 1}


def test_at_most_four_pieces_stand_in_for_one() -> None:
    # 8 x 0.10 would have the same sum of t^3 as 0.20; four have half of it
    problem = Problem([row("b", THIN, 20)], [taper(1)], curve_limit_ppm=500_000)
    assert drawn(solve(problem).best, "taper", stand_in=True) == {"b": 4}
    assert solve(problem).best.score.worst_ppm == 500_000
    assert solve(replace(problem, curve_limit_ppm=499_999)).best.missing == {"taper": 1}


def test_the_change_is_that_of_the_whole_position() -> None:
    # one of four missing, half of its t^3 lost: an eighth of the position
    best = solve(Problem([row("a", available=3), row("b", THIN)], [taper(4)], curve_limit_ppm=125_000)).best
    assert best.stand_ins[0].sum_t3_change_percent == -12.5
    assert best.stand_ins[0].shims == ((THIN, 4),)
    assert best.score.worst_ppm == 125_000


def test_a_position_gets_stand_ins_for_all_its_missing_pieces_or_none() -> None:
    best = solve(Problem([row("b", THIN, 4)], [taper(2)], curve_limit_ppm=400_000)).best
    assert best.missing == {"taper": 2}
    assert best.stand_ins == ()


def test_stand_ins_can_be_forbidden() -> None:
    problem = Problem([row("b", THIN)], [taper(1)], curve_limit_ppm=1_000_000, allow_stand_ins=False)
    assert solve(problem).best.missing == {"taper": 1}


def test_the_height_change_of_stand_ins_is_by_measured_mean() -> None:
    problem = Problem([row("b", THIN, mean_um=103)], [taper(1)], curve_limit_ppm=1_000_000)
    best = solve(problem).best
    assert best.stand_ins[0].height_change_um == 4 * 103 - 200
    assert best.height_change_um == 212
    assert best.score.height_steps == 21


def test_alternatives_use_other_stand_ins_and_come_in_order() -> None:
    problem = Problem([row("b", THIN), row("c", THINNER)], [taper(1)], curve_limit_ppm=1_000_000)
    result = solve(problem, alternatives=3)
    plans = [result.best, *result.alternatives]
    assert len(plans) == 4
    assert len({plan.choice for plan in plans}) == 4
    assert [plan.score for plan in plans] == sorted(plan.score for plan in plans)
    assert solve(problem, alternatives=0).alternatives == ()


@pytest.mark.parametrize("seed", range(0, 200, 20))
def test_the_best_plan_is_the_same_without_alternatives(seed: int) -> None:
    for number in range(seed, seed + 20):
        problem = random_problem(number)
        alone, beside = solve(problem, alternatives=0), solve(problem, alternatives=5)
        assert alone.alternatives == ()
        assert (alone.best, alone.proven) == (beside.best, beside.proven)


# R3: no piece twice


def test_two_positions_do_not_share_a_stand_in() -> None:
    positions = [taper(1, "one"), taper(1, "two", Size(30_000, 210, 12_000))]
    best = solve(Problem([row("b", THIN, 6)], positions, curve_limit_ppm=600_000)).best
    assert sum(d.quantity for d in best.draws) <= 6
    assert best.score.missing == 1


def test_the_spacer_leaves_what_the_stack_needs() -> None:
    problem = Problem(
        [row("a", available=4), row("s", SPACER_SIZE, 1)], [taper(4)], {A: 0}, replace(LIP, od_upto_um=30_000)
    )
    best = solve(problem).best
    assert drawn(best, "taper") == {"a": 4}
    assert best.no_spacer == ""
    assert drawn(best, SPACER) == {"s": 1}
    gone = solve(replace(problem, rows=[row("a", available=4)])).best
    assert (gone.no_spacer, gone.score.missing) == ("no_such_shims", 1)


# R4: the lip


def test_nothing_is_added_where_nothing_has_to_be() -> None:
    best = solve(Problem([row("a"), row("s", SPACER_SIZE)], [taper(5)], {A: 0}, LIP)).best
    assert best.add_window_um == (0, 200)
    assert best.spacer_total_um == 0
    assert drawn(best, SPACER) == {}


def test_the_spread_of_the_pieces_narrows_the_window_from_both_sides() -> None:
    best = solve(Problem([row("a"), row("s", SPACER_SIZE)], [taper(4)], {A: 3}, LIP)).best
    assert best.add_window_um == (1_000 - (800 - 12), 1_200 - (800 + 12))
    assert best.no_spacer == "no_such_shims"  # 200 is below 212


def test_missing_pieces_count_at_nominal_with_the_tolerance_of_their_strip() -> None:
    # ISO 9445-1, normal class: 0.20 +- 0.015
    best = solve(Problem([row("a", available=3)], [taper(4)], {A: 0}, LIP, allow_stand_ins=False)).best
    assert best.add_window_um == (1_000 - (800 - 15), 1_200 - (800 + 15))


def test_the_spacer_nearest_mid_window_wins() -> None:
    near = Size(24_000, 300, 12_000)
    rows = [row("a"), row("edge", SPACER_SIZE), row("near", near, mean_um=297)]
    best = solve(Problem(rows, [taper(4)], {A: 0}, LIP)).best
    assert drawn(best, SPACER) == {"near": 1}
    assert best.score.spacer_steps == 0
    # 25 um off is a whole step
    assert (
        solve(Problem([row("a"), row("near", near, mean_um=275)], [taper(4)], {A: 0}, LIP)).best.score.spacer_steps == 1
    )


@pytest.mark.parametrize(
    ("od_um", "usable"), [(20_000, False), (20_001, True), (26_000, True), (26_001, False)], ids=str
)
def test_a_spacer_is_larger_than_the_clamp_and_at_most_as_large_as_the_plate(od_um: int, usable: bool) -> None:
    rows = [row("a"), row("s", Size(od_um, 300, 12_000))]
    assert (solve(Problem(rows, [taper(4)], {A: 0}, LIP)).best.no_spacer == "") is usable


def test_a_spacer_is_round_and_has_the_bore_asked_for() -> None:
    for size in (Size(24_000, 300, 10_000), Size(24_000, 300, 12_000, Form.NOTCHED)):
        assert solve(Problem([row("a"), row("s", size)], [taper(4)], {A: 0}, LIP)).best.no_spacer == "no_such_shims"


def test_a_stack_that_is_too_tall_has_no_spacer_and_says_so() -> None:
    best = solve(Problem([row("a")], [taper(7)], {A: 0}, LIP)).best
    assert (best.no_spacer, best.score.missing) == ("too_tall", 1)


def test_a_spread_wider_than_the_window_is_told_from_missing_shims() -> None:
    best = solve(Problem([row("a"), row("s", SPACER_SIZE)], [taper(4)], {A: 40}, LIP)).best
    assert (best.no_spacer, best.score.missing) == ("spread", 1)


def test_rows_are_chosen_so_that_the_lip_is_met_before_the_height_is_nearest() -> None:
    rows = [row("nominal", available=4), row("thick", available=4, mean_um=205)]
    lip = replace(LIP, floor_um=1_001, ceiling_um=1_400)
    best = solve(Problem(rows, [taper(5)], {A: 0}, lip)).best
    assert best.no_spacer == ""
    assert best.height_change_um == 5
    assert best.spacer_total_um == 0


def test_stand_ins_that_break_the_lip_are_not_used() -> None:
    rows = [row("a", available=4), row("b", THIN)]
    lip = replace(LIP, floor_um=900, ceiling_um=1_100)
    problem = Problem(rows, [taper(5)], {A: 0, THIN: 0}, lip, curve_limit_ppm=1_000_000)
    # four thin ones change the sum least but stand 200 too tall; three would be 1100 in all
    assert solve(problem).best.stand_ins[0].shims == ((THIN, 3),)
    assert solve(replace(problem, lip=replace(lip, ceiling_um=890))).best.missing == {"taper": 1}


# R5: the height limit


def test_a_plan_with_stand_ins_stays_within_the_height_limit() -> None:
    problem = Problem([row("b", THIN)], [taper(1)], curve_limit_ppm=1_000_000, height_limit_um=100)
    assert solve(problem).best.stand_ins[0].shims == ((THIN, 3),)
    assert solve(replace(problem, height_limit_um=99)).best.stand_ins[0].shims == ((THIN, 2),)


def test_the_height_limit_does_not_touch_a_plan_without_stand_ins() -> None:
    best = solve(Problem([row("a", mean_um=210)], [taper(3)], height_limit_um=5)).best
    assert (best.height_change_um, best.missing) == (30, {})


# The order below the sizes


def test_a_step_of_height_nearer_nominal_wins_before_fewer_drawers() -> None:
    """10 um are a whole step, 8 um are none. Common practice, no published source."""
    rows = [row("thick", mean_um=205), row("thin", mean_um=195)]
    assert drawn(solve(Problem(rows, [taper(2)])).best, "taper") == {"thick": 1, "thin": 1}
    rows = [row("thick", mean_um=204), row("thin", mean_um=196)]
    best = solve(Problem(rows, [taper(2)])).best
    assert len(drawn(best, "taper")) == best.score.drawers == 1
    assert best.score.height_steps == 0


def test_a_spacer_of_fewer_pieces_wins_within_a_step_of_distance_and_before_fewer_drawers() -> None:
    thin, thick = Size(24_000, 100, 12_000), Size(24_000, 280, 12_000)
    rows = [row("a", drawer="open"), row("thin", thin, drawer="open"), row("thick", thick)]
    best = solve(Problem(rows, [taper(4)], {A: 0}, LIP)).best  # between 200 and 400 are to be added
    assert drawn(best, SPACER) == {"thick": 1}
    assert best.score[6:] == (0, 1, 2, 0)
    further = [row("a", drawer="open"), row("thin", thin, drawer="open"), row("thick", thick, mean_um=275)]
    assert drawn(solve(Problem(further, [taper(4)], {A: 0}, LIP)).best, SPACER) == {"thin": 3}


def test_thick_spacers_are_taken_where_thin_ones_meet_the_middle_exactly() -> None:
    """2.2 mm to add: 27 of 0.08 with one of 0.04 would be exact."""
    rows = [row("a")] + [
        row(f"s{t}", Size(24_000, t, 12_000), number) for t, number in ((40, 5), (80, 40), (200, 5), (430, 5), (445, 5))
    ]
    best = solve(Problem(rows, [taper(4)], {A: 0}, replace(LIP, floor_um=2_860, ceiling_um=3_140))).best
    assert best.score.spacer_pieces <= 6
    assert best.score.spacer_steps == 0


def test_fewer_drawers_win_before_older_stock() -> None:
    rows = [row("old", available=1, drawer="x"), row("new", newer_days=50, drawer="y")]
    best = solve(Problem(rows, [taper(2)])).best
    assert drawn(best, "taper") == {"new": 2}


def test_older_stock_goes_first_in_like_drawers() -> None:
    rows = [row("new", newer_days=50), row("old")]
    assert drawn(solve(Problem(rows, [taper(2)])).best, "taper") == {"old": 2}


def test_a_drawer_that_is_open_anyway_serves_the_spacer_too() -> None:
    rows = [
        row("a", drawer="open"),
        row("far", Size(24_000, 300, 12_000), newer_days=0),
        row("same", Size(25_000, 300, 12_000), newer_days=80, drawer="open"),
    ]
    best = solve(Problem(rows, [taper(4)], {A: 0}, LIP)).best
    assert drawn(best, SPACER) == {"same": 1}
    assert best.score.drawers == 1


def test_the_written_order_names_every_criterion_of_the_score() -> None:
    assert [line.split(".")[0] for line in ORDER.splitlines()] == [str(n + 1) for n in range(len(Score._fields))]


# Inputs at the edge


def test_no_positions_and_an_empty_shelf_are_answered() -> None:
    nothing = solve(Problem([], []))
    assert nothing.best.score == Score(0, 0, 0, 0, 0, 0, 0, 0, 0, 0)
    assert nothing.proven
    assert solve(Problem([], [taper(3)])).best.missing == {"taper": 3}
    assert solve(Problem([row("a")], [taper(0)])).best.draws == ()


def test_one_drawer_for_everything_opens_one_drawer() -> None:
    problem = random_problem(1)
    rows = [replace(r, drawer="all") for r in problem.rows]
    result = solve(replace(problem, rows=rows))
    assert result.best.score.drawers == 1
    assert result.proven


def test_huge_quantities_end_within_seconds() -> None:
    rows = [row(f"r{n}", available=60, mean_um=196 + n, newer_days=n * 7) for n in range(3)]
    rows += [row(f"t{n}", Size(30_000, t, 12_000), 400, mean_um=t + 1) for n, t in enumerate((80, 100, 110, 150, 250))]
    lip = replace(LIP, floor_um=40_000, ceiling_um=60_000, od_upto_um=30_000)
    positions = [taper(200), taper(200, "other", Size(30_000, 150, 12_000))]
    start = time.process_time()
    best = solve(Problem(rows, positions, lip=lip, curve_limit_ppm=300_000)).best
    assert time.process_time() - start < 20
    assert sum(d.quantity for d in best.draws if d.place == "taper" and not d.stand_in) == 180


def test_many_drawers_that_hang_together_end_within_seconds_and_stay_right() -> None:
    sizes = [Size(od, 200, 12_000) for od in range(20_000, 40_000, 2_000)]
    rows = [
        row(f"{n}-{k}", size, 3, drawer=f"d{(n * 3 + k * 5) % 17}", mean_um=198 + k, newer_days=n * k)
        for n, size in enumerate(sizes)
        for k in range(5)
    ]
    positions = [taper(2, f"p{n}", size) for n, size in enumerate(sizes)]
    start = time.process_time()
    problem = Problem(rows, positions)
    best = solve(problem).best
    assert time.process_time() - start < 20
    check(problem, best)


def test_refused_problems_say_what_is_wrong() -> None:
    with pytest.raises(ValueError, match="row key"):
        Problem([row("a"), row("a")], [])
    with pytest.raises(ValueError, match="position key"):
        Problem([], [taper(1), taper(2)])
    with pytest.raises(ValueError, match="spacer"):
        Problem([], [taper(1, SPACER)])
    with pytest.raises(ValueError, match="available"):
        Problem([row("a", available=-1)], [])
    with pytest.raises(ValueError, match="quantity"):
        Problem([], [taper(-1)])
    with pytest.raises(ValueError, match="mean_um"):
        Problem([row("a", mean_um=0)], [])
    with pytest.raises(ValueError, match="curve_limit"):
        Problem([], [], curve_limit_ppm=-1)


# The lists that the search reads, against plain enumeration


def every_stand_in(size: Size, missing: int, quantity: int, left: dict[Size, int], limit_ppm: int) -> list[StandIn]:
    sizes = sorted(left, key=lambda other: -other.thickness_um)
    nominal, goal = quantity * size.thickness_um**3, missing * size.thickness_um**3
    found = []
    for counts in product(*(range(min(left[other], 4 * missing) + 1) for other in sizes)):
        change = abs(sum(n * other.thickness_um**3 for n, other in zip(counts, sizes, strict=True)) - goal)
        ppm = math.floor(Fraction(1_000_000 * change, nominal) + Fraction(1, 2))
        if 0 < sum(counts) <= 4 * missing and ppm <= limit_ppm:
            found.append(StandIn(ppm, tuple((o, n) for o, n in zip(sizes, counts, strict=True) if n)))
    return sorted(found)


@pytest.mark.parametrize("scale", [1, 7, 4_000], ids=["shims", "awkward sums", "beyond 64 bits"])
@pytest.mark.parametrize(("missing", "quantity", "limit_ppm"), [(1, 1, 1_000_000), (1, 3, 60_000), (2, 2, 400_000)])
def test_stand_ins_are_all_there_in_the_order_of_change(
    scale: int, missing: int, quantity: int, limit_ppm: int
) -> None:
    size = Size(30_000, 200 * scale, 12_000)
    left = {Size(30_000, t * scale, 12_000): n for t, n in ((80, 9), (100, 3), (110, 5), (150, 2), (250, 4))}
    expected = every_stand_in(size, missing, quantity, left, limit_ppm)
    made = StandIns(size, missing, quantity, left, limit_ppm)
    number = sum(len(made.band(level).ppm) for level in range(len(made.ceilings)))
    assert expected
    assert [made.stand_in(rank) for rank in range(number)] == expected
    assert not made.cut
    with pytest.raises(IndexError):
        made.stand_in(number)


def test_stand_ins_cut_short_say_so_and_hold_no_wrong_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stand_ins, "_MOST_STEPS", 60)
    left = {Size(30_000, t, 12_000): 8 for t in (80, 100, 110, 120, 150, 250)}
    made = StandIns(A, 2, 2, left, 400_000)
    number = sum(len(made.band(level).ppm) for level in range(len(made.ceilings)))
    expected = every_stand_in(A, 2, 2, left, 400_000)
    assert made.cut
    assert 0 < number < len(expected)
    assert {made.stand_in(rank) for rank in range(number)} <= set(expected)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(-60, 60), min_size=8, max_size=8), st.lists(st.integers(-150, 250), max_size=2))
def test_picks_are_all_that_fit_their_rooms_in_order(weights: list[int], rooms: list[int]) -> None:
    left = {Size(30_000, t, 12_000): 4 for t in (80, 100, 150, 250)}
    kinds = [StandIns(Size(30_000, t, 12_000), 1, 1, left, 400_000) for t in (200, 120, 180)]
    load_of = np.array(weights).reshape(4, 2)[:, : len(rooms)]
    offers = [Offers(kind, lambda counts: counts @ load_of) for kind in kinds]
    ends = [offer.end(len(kinds[0].ceilings) - 1) for offer in offers]
    expected = []
    for ranks in product(*(range(end) for end in ends)):
        loads = [offer.loads[rank] for offer, rank in zip(offers, ranks, strict=True)]
        if all(sum(load) <= room for load, room in zip(zip(*loads, strict=True), rooms, strict=False)):
            changes = [offer.ppm[rank] for offer, rank in zip(offers, ranks, strict=True)]
            expected.append(Pick(max(changes), sum(changes), ranks))
    fresh = [Offers(kind, lambda counts: counts @ load_of) for kind in kinds]
    assert list(picks(fresh, tuple(rooms), kinds[0].ceilings, Budget(10**6))) == sorted(expected)


# Against an independent solver


@pytest.mark.parametrize("seed", range(60))
def test_the_optimum_is_that_of_an_independent_solver(seed: int) -> None:
    problem = random_problem(seed)
    result = solve(problem)
    score, _ = best_score(problem)
    assert tuple(result.best.score) == score
    assert result.proven


@pytest.mark.parametrize("seed", range(300, 315))
def test_drawers_settled_beforehand_do_not_change_the_optimum(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(draw, "_MOST_SHARED", 1)
    monkeypatch.setattr(draw, "_MOST_HUBS", 7)
    problem = random_problem(seed)
    result = solve(problem)
    assert tuple(result.best.score) == best_score(problem)[0]
    assert result.proven


@pytest.mark.parametrize("seed", range(300, 315))
def test_a_search_cut_short_gives_a_right_plan_and_never_claims_a_wrong_proof(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(draw, "_MOST_SHARED", 0)
    monkeypatch.setattr(draw, "_MOST_HUBS", 1)
    problem = random_problem(seed)
    result = solve(problem)
    check(problem, result.best)
    optimum = best_score(problem)[0]
    assert tuple(result.best.score) >= optimum
    assert not result.proven or tuple(result.best.score) == optimum


def test_the_random_problems_reach_every_kind_of_outcome() -> None:
    outcomes: Counter[str] = Counter()
    for seed in range(60):
        best = solve(random_problem(seed)).best
        outcomes["missing"] += bool(best.missing)
        outcomes["complete"] += best.score.missing == 0
        outcomes["stand-ins"] += bool(best.stand_ins)
        outcomes["spacer"] += best.score.spacer_pieces > 0
        outcomes["stand-ins and spacer"] += bool(best.stand_ins) and best.score.spacer_pieces > 0
        outcomes["no spacer"] += bool(best.no_spacer)
    assert all(
        outcomes[kind] >= 3
        for kind in ("missing", "complete", "stand-ins", "spacer", "stand-ins and spacer", "no spacer")
    ), outcomes


# What holds for every plan


@settings(max_examples=120, deadline=None)
@given(st.integers(1_000, 10**6))
def test_every_plan_keeps_the_rules(seed: int) -> None:
    problem = random_problem(seed)
    result = solve(problem)
    for solution in (result.best, *result.alternatives):
        check(problem, solution)


@settings(max_examples=25, deadline=None)
@given(st.integers(1_000, 10**6), st.randoms(use_true_random=False))
def test_the_order_of_rows_does_not_change_the_plan(seed: int, random_: object) -> None:
    problem = random_problem(seed)
    rows = list(problem.rows)
    random_.shuffle(rows)  # type: ignore[attr-defined]  # a list there
    assert solve(replace(problem, rows=rows)) == solve(problem)


def check(problem: Problem, solution: Solution) -> None:
    """The rules R1-R5 and the score, counted again from the draws."""
    rows = {r.key: r for r in problem.rows}
    total: Counter[str] = Counter()
    for taken in solution.draws:
        assert taken.quantity > 0
        total[taken.row] += taken.quantity
    assert all(number <= rows[key].available for key, number in total.items())
    stood_in = {s.position: s for s in solution.stand_ins}
    height = asked = spread = 0
    for position in problem.positions:
        exact = [d for d in solution.draws if d.place == position.key and not d.stand_in]
        other = [d for d in solution.draws if d.place == position.key and d.stand_in]
        assert all(rows[d.row].size == position.size for d in exact)
        if position.role in NEW_ONLY:
            assert not any(rows[d.row].take_off for d in exact)
        replaced = stood_in[position.key].missing if position.key in stood_in else 0
        missing = solution.missing.get(position.key, 0)
        assert sum(d.quantity for d in exact) + replaced + missing == position.quantity
        if other:
            assert position.role is Role.TAPER
            assert missing == 0
            assert sum(d.quantity for d in other) <= 4 * replaced
            change = sum(d.quantity * rows[d.row].size.thickness_um ** 3 for d in other)
            change -= replaced * position.size.thickness_um**3
            ppm = abs(change) * 1e6 / (position.quantity * position.size.thickness_um**3)
            assert ppm <= problem.curve_limit_ppm + 0.5
        if position.in_height:
            asked += position.quantity * position.size.thickness_um
            height += sum(d.quantity * rows[d.row].mean_um for d in [*exact, *other])
            height += missing * position.size.thickness_um
            spread += sum(d.quantity * problem.spread_of(rows[d.row].size) for d in [*exact, *other])
            spread += missing * Problem([], []).spread_of(position.size)
    assert solution.height_change_um == height - asked
    if solution.stand_ins and problem.height_limit_um is not None:
        assert abs(height - asked) <= problem.height_limit_um
    spacer = [d for d in solution.draws if d.place == SPACER]
    spacer_um = sum(d.quantity * rows[d.row].mean_um for d in spacer)
    assert spacer_um == solution.spacer_total_um
    if problem.lip is not None:
        low = max(0, problem.lip.floor_um - height + spread)
        high = problem.lip.ceiling_um - height - spread
        assert solution.add_window_um == (low, high)
        assert (low <= spacer_um <= high) is (solution.no_spacer == "")
        assert not (solution.stand_ins and solution.no_spacer)
    score = solution.score
    assert score.missing == sum(solution.missing.values()) + bool(solution.no_spacer)
    assert score.height_steps == abs(height - asked) // 10
    if problem.lip is not None and not solution.no_spacer and low:
        assert score.spacer_steps == abs(2 * spacer_um - low - high) // 50
    assert score.drawers == len({rows[d.row].drawer for d in solution.draws})
    assert score.newer_days == sum(d.quantity * rows[d.row].newer_days for d in solution.draws)
    assert score.spacer_pieces == sum(d.quantity for d in spacer)
