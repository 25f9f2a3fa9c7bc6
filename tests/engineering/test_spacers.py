"""The spacer search: hand-made cases, the same optimum as CP-SAT, and properties that hold for every shelf."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compat.engineering.spacers import MAX_HEIGHT_UM, Piece, SpacerChoice, alternatives, find_spacer
from tests.engineering.cases_spacers import SpacerCase, random_case
from tests.engineering.oracle_spacers import best_spacer


def test_the_total_nearest_the_target_wins_before_fewer_pieces() -> None:
    rows = [Piece("a", 100, 5), Piece("b", 290, 5)]
    assert find_spacer(rows, 250, 350, 300) == SpacerChoice(300, 3, 0, (("a", 3),))


def test_fewer_pieces_win_before_older_stock() -> None:
    rows = [Piece("old thin", 100, 5, 0), Piece("new thick", 300, 5, 900)]
    assert find_spacer(rows, 300, 300, 300) == SpacerChoice(300, 1, 900, (("new thick", 1),))


def test_older_stock_goes_first_among_like_pieces() -> None:
    rows = [Piece("newer", 100, 5, 7), Piece("oldest", 100, 2, 0)]
    assert find_spacer(rows, 300, 300, 300) == SpacerChoice(300, 3, 7, (("newer", 1), ("oldest", 2)))


def test_of_two_equally_near_totals_the_one_with_fewer_pieces_wins() -> None:
    rows = [Piece("thin", 95, 2), Piece("single", 210, 1)]
    assert find_spacer(rows, 150, 250, 200) == SpacerChoice(210, 1, 0, (("single", 1),))


def test_a_half_micrometre_target_is_between_two_totals() -> None:
    rows = [Piece("under", 150, 1, 3), Piece("over", 151, 1, 2)]
    choice = find_spacer(rows, 100, 201, 150.5)
    assert choice is not None
    assert choice.taken == (("over", 1),)


def test_both_ends_of_the_window_count_as_inside() -> None:
    rows = [Piece("a", 150, 1)]
    assert find_spacer(rows, 150, 160, 155) is not None
    assert find_spacer(rows, 140, 150, 145) is not None
    assert find_spacer(rows, 151, 160, 155) is None
    assert find_spacer(rows, 140, 149, 145) is None


def test_nothing_is_a_spacer_where_the_window_holds_zero() -> None:
    assert find_spacer([Piece("a", 150, 1)], 0, 100, 50) == SpacerChoice(0, 0, 0, ())
    assert find_spacer([], -20, 100, 40) == SpacerChoice(0, 0, 0, ())


def test_an_empty_shelf_and_an_empty_window_have_no_spacer() -> None:
    assert find_spacer([], 10, 100, 55) is None
    assert find_spacer([Piece("a", 50, 1)], 60, 40, 50) is None
    assert find_spacer([Piece("a", 50, 1)], -60, -40, -50) is None
    assert find_spacer([Piece("a", 50, 0)], 50, 50, 50) is None


def test_a_target_outside_the_window_asks_for_the_nearest_end() -> None:
    rows = [Piece("a", 10, 100)]
    low, high = find_spacer(rows, 200, 300, -5), find_spacer(rows, 200, 300, 90_000)
    assert low is not None and low.total_um == 200
    assert high is not None and high.total_um == 300


def test_pieces_run_out() -> None:
    rows = [Piece("a", 100, 2), Piece("b", 70, 1)]
    assert find_spacer(rows, 300, 400, 350) is None
    assert find_spacer(rows, 270, 400, 350) == SpacerChoice(270, 3, 0, (("a", 2), ("b", 1)))


def test_refused_inputs_say_what_is_wrong() -> None:
    with pytest.raises(ValueError, match="above zero"):
        Piece("a", 0, 1)
    with pytest.raises(ValueError, match="available"):
        Piece("a", 100, -1)
    with pytest.raises(ValueError, match="preference"):
        Piece("a", 100, 1, -1)
    with pytest.raises(ValueError, match="twice"):
        find_spacer([Piece("a", 100, 1), Piece("a", 110, 1)], 0, 100, 50)
    with pytest.raises(ValueError, match="window"):
        find_spacer([], 0, MAX_HEIGHT_UM + 1, 50)


def test_alternatives_are_the_next_nearest_totals() -> None:
    rows = [Piece("a", 100, 3), Piece("b", 150, 1), Piece("c", 160, 1)]
    assert find_spacer(rows, 200, 300, 250) == SpacerChoice(250, 2, 0, (("a", 1), ("b", 1)))
    assert [choice.total_um for choice in alternatives(rows, 200, 300, 250)] == [260, 200, 300]
    assert alternatives(rows, 200, 300, 250, count=0) == []
    assert alternatives([], 200, 300, 250) == []


@pytest.mark.parametrize("seed", range(40))
def test_the_optimum_is_that_of_an_independent_solver(seed: int) -> None:
    case = random_case(seed, 60)
    optimum, _ = best_spacer(case)
    choice = find_spacer(case.rows, case.low_um, case.high_um, case.target_um)
    assert optimum == (None if choice is None else _criteria(case, choice))


def test_the_random_cases_hold_possible_and_impossible_ones() -> None:
    outcomes = [find_spacer(c.rows, c.low_um, c.high_um, c.target_um) for c in (random_case(s, 60) for s in range(40))]
    assert 3 <= outcomes.count(None) <= 37


pieces = st.builds(
    lambda thickness, available, preference: (thickness, available, preference),
    st.integers(1, 400),
    st.integers(0, 6),
    st.integers(0, 50),
)


@settings(max_examples=150, deadline=None)
@given(st.lists(pieces, max_size=25), st.integers(-100, 1500), st.integers(0, 300), st.integers(-100, 4000))
def test_every_choice_adds_up_and_takes_only_what_is_there(
    shelf: list[tuple[int, int, int]], low: int, width: int, doubled_target: int
) -> None:
    rows = [Piece(f"row {number}", *values) for number, values in enumerate(shelf)]
    best = find_spacer(rows, low, low + width, doubled_target / 2)
    others = alternatives(rows, low, low + width, doubled_target / 2)
    by_key = {row.key: row for row in rows}
    totals = [choice.total_um for choice in ([best] if best else []) + others]
    assert len(set(totals)) == len(totals)
    assert totals == sorted(totals, key=lambda total: abs(2 * total - doubled_target))
    for choice in ([best] if best else []) + others:
        assert low <= choice.total_um <= low + width
        assert choice.total_um == sum(by_key[key].thickness_um * number for key, number in choice.taken)
        assert choice.pieces == sum(number for _, number in choice.taken)
        assert choice.preference == sum(by_key[key].preference * number for key, number in choice.taken)
        assert all(1 <= number <= by_key[key].available for key, number in choice.taken)


@settings(max_examples=60, deadline=None)
@given(st.lists(pieces, min_size=1, max_size=5), st.integers(0, 600), st.integers(0, 200))
def test_no_choice_of_a_small_shelf_is_better(shelf: list[tuple[int, int, int]], low: int, width: int) -> None:
    rows = [
        Piece(f"row {number}", thickness, min(available, 3), cost)
        for number, (thickness, available, cost) in enumerate(shelf)
    ]
    case = SpacerCase(tuple(rows), low, low + width, low + width / 2)
    best = find_spacer(case.rows, case.low_um, case.high_um, case.target_um)
    every = [(0, 0, 0)]
    for row in rows:
        every = [
            (total + n * row.thickness_um, number + n, cost + n * row.preference)
            for total, number, cost in every
            for n in range(row.available + 1)
        ]
    inside = [(abs(2 * t - round(2 * case.target_um)), n, c) for t, n, c in every if low <= t <= low + width]
    assert min(inside, default=None) == (None if best is None else _criteria(case, best))


def _criteria(case: SpacerCase, choice: SpacerChoice) -> tuple[int, int, int]:
    return abs(2 * choice.total_um - round(2 * case.target_um)), choice.pieces, choice.preference
