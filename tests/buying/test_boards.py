"""Layouts of boards: optimum where it is known, proof, limits, neatness; every layout is sawn by the checker."""

from __future__ import annotations

from functools import cache
from itertools import product

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from planpress.buying.boards.check import board_faults
from planpress.buying.boards.layout import lay_out_boards
from planpress.buying.boards.normal import NoLayoutError
from planpress.buying.boards.records import BoardLayout, BoardPart, BoardProblem, BoardStock, SawnBoard, offcut
from planpress.buying.effort import CUT_SHORT, Effort
from tests.buying.instances import filled_boards, furniture, triplets


def laid(problem: BoardProblem) -> BoardLayout:
    """A layout that the checker has sawn."""
    layout = lay_out_boards(problem)
    assert board_faults(problem, layout) == []
    return layout


@pytest.mark.parametrize(("boards", "kerf", "seed"), [(10, 0, 1), (10, 3, 2), (20, 0, 3), (20, 4, 4), (30, 2, 5)])
def test_triplets_fill_their_boards(boards: int, kerf: int, seed: int) -> None:
    layout = laid(triplets(boards, 1000, kerf, seed))
    assert (layout.cost, layout.bound) == (boards, boards)


@pytest.mark.parametrize(("boards", "kerf", "trim", "seed"), [(3, 3, 0, 1), (5, 2, 10, 2), (8, 3, 5, 3), (12, 0, 0, 4)])
def test_perfectly_packed_boards_of_several_lengths(boards: int, kerf: int, trim: int, seed: int) -> None:
    problem, least = filled_boards(boards, kerf, trim, seed)
    layout = laid(problem)
    assert layout.cost == least
    assert layout.bound == least


def test_furniture_like_plans_are_proven() -> None:
    layouts = [laid(furniture(seed)) for seed in range(12)]
    assert sum(layout.is_proven for layout in layouts) >= 11
    assert all(layout.cost <= 1.004 * layout.bound for layout in layouts)


def least_cost(problem: BoardProblem) -> int:
    """Of all plans, by trying every way to fill a board for every set of parts that is left (unlimited stock)."""
    lengths = [part.length for part in problem.parts]

    @cache
    def cost(left: tuple[int, ...]) -> int:
        if not any(left):
            return 0
        first = next(i for i, count in enumerate(left) if count)
        best = 1 << 60
        for taken in product(*(range(count + 1) for count in left)):
            if not taken[first]:
                continue
            need = sum(n * (length + problem.kerf) for n, length in zip(taken, lengths, strict=True)) - problem.kerf
            fits = [problem.cost(s) for s in range(len(problem.stock)) if need <= problem.usable(s)]
            if fits:
                rest = tuple(a - b for a, b in zip(left, taken, strict=True))
                best = min(best, min(fits) + cost(rest))
        return best

    return cost(tuple(part.count for part in problem.parts))


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    st.lists(st.tuples(st.integers(20, 95), st.integers(1, 3)), min_size=1, max_size=4),
    st.lists(st.tuples(st.integers(100, 260), st.integers(10, 99)), min_size=1, max_size=3),
    st.integers(0, 4),
    st.booleans(),
)
def test_small_plans_cost_what_trying_everything_finds(
    parts: list[tuple[int, int]], stock: list[tuple[int, int]], kerf: int, priced: bool
) -> None:
    boards = tuple(BoardStock(length, price if priced else None) for length, price in stock)
    problem = BoardProblem(boards, tuple(BoardPart(length, count) for length, count in parts), kerf, 2)
    layout = laid(problem)
    assert layout.cost == layout.bound == least_cost(problem)


@settings(max_examples=30, deadline=None, derandomize=True)
@given(
    st.lists(st.tuples(st.integers(30, 900), st.integers(0, 6)), min_size=1, max_size=8),
    st.lists(st.tuples(st.integers(300, 1200), st.integers(0, 3)), max_size=3),
    st.integers(0, 9),
    st.integers(0, 20),
)
def test_random_plans_with_leftovers_are_cut_in_full(
    parts: list[tuple[int, int]], leftovers: list[tuple[int, int]], kerf: int, trim: int
) -> None:
    stock = [BoardStock(1000, 300), BoardStock(1500, 440), *(BoardStock(size, 0, limit) for size, limit in leftovers)]
    problem = BoardProblem(tuple(stock), tuple(BoardPart(length, count) for length, count in parts), kerf, trim)
    layout = laid(problem)
    assert layout.bound <= layout.cost


def test_a_leftover_is_used_before_a_board_is_bought() -> None:
    problem = BoardProblem((BoardStock(2400, 700), BoardStock(900, 0, 1)), (BoardPart(1100, 2), BoardPart(800, 1)), 3)
    layout = laid(problem)
    assert layout.cost == 700
    assert SawnBoard(1, (1,)) in layout.boards


def test_without_prices_the_least_length_then_the_fewest_boards() -> None:
    stock = (BoardStock(1200), BoardStock(2400), BoardStock(3000))
    layout = laid(BoardProblem(stock, (BoardPart(590, 4),), 3))
    assert layout.cost == 2400 == layout.bound
    assert [board.stock for board in layout.boards] == [1]  # two of 1200 have the same length


def test_with_the_cost_fixed_boards_are_alike_and_an_offcut_is_long() -> None:
    layout = laid(BoardProblem((BoardStock(2000, 1),), (BoardPart(900, 4), BoardPart(300, 3)), 0))
    assert layout.cost == 3
    assert len(set(layout.boards)) == 2
    # two boards in any case: 500 + 400 leaves 400 of the other, 500 + 300 only 300, 400 + 300 + 300 leaves 500
    problem = BoardProblem((BoardStock(1000, 1),), (BoardPart(500, 1), BoardPart(400, 1), BoardPart(300, 2)), 0)
    assert max(offcut(problem, board) for board in laid(problem).boards) == 500


def test_parts_of_equal_length_keep_their_kind_together() -> None:
    problem = BoardProblem((BoardStock(1000, 1),), (BoardPart(500, 2, "A"), BoardPart(500, 2, "B")), 0)
    assert sorted(board.parts for board in laid(problem).boards) == [(0, 0), (1, 1)]


def test_nothing_asked_for_costs_nothing() -> None:
    assert laid(BoardProblem((BoardStock(1000, 1),), (BoardPart(5000, 0),), 3)) == BoardLayout((), 0, 0)


def test_what_cannot_be_cut_is_told() -> None:
    with pytest.raises(NoLayoutError, match="1200 is longer than every board"):
        lay_out_boards(BoardProblem((BoardStock(1200, 1),), (BoardPart(1200, 1),), 3, 1))
    with pytest.raises(NoLayoutError, match="no way was found"):
        lay_out_boards(BoardProblem((BoardStock(1000, 1, 2),), (BoardPart(600, 3),), 3))
    with pytest.raises(ValueError, match="a price for every kind of board"):
        BoardProblem((BoardStock(1000, 1), BoardStock(2000)), (), 0)


def test_limited_boards_are_enough_only_if_filled_well() -> None:
    problem = triplets(12, 1000, 3, 7)
    problem = evolve(problem, stock=(evolve(problem.stock[0], limit=12),))
    assert laid(problem).cost == 12


def test_equal_input_gives_equal_layouts() -> None:
    problem = furniture(3)
    assert lay_out_boards(problem) == lay_out_boards(problem)


def test_a_search_cut_short_by_the_clock_says_so() -> None:
    layout = lay_out_boards(triplets(12, 1000, 0, 9), Effort(seconds=0.0))
    assert layout.told == (CUT_SHORT,)
    assert layout.bound <= 12 <= layout.cost


def test_few_rounds_still_give_a_true_bound() -> None:
    problem = triplets(20, 1000, 0, 3)
    for rounds in (0, 3, 10):
        layout = lay_out_boards(problem, Effort(rounds=rounds, dives=0, patterns=0, nodes=1))
        assert board_faults(problem, layout) == []
        assert layout.bound <= 20 <= layout.cost


def test_the_checker_finds_what_is_wrong() -> None:
    problem = BoardProblem((BoardStock(1000, 5, 1),), (BoardPart(480, 2),), 30, 10)
    good = BoardProblem((BoardStock(1000, 5, 1),), (BoardPart(480, 2),), 20, 0)
    layout = BoardLayout((SawnBoard(0, (0, 0)),), 5, 5)
    assert board_faults(good, layout) == []
    assert any("beyond the board" in fault for fault in board_faults(problem, layout))
    assert any("not 2" in fault for fault in board_faults(good, BoardLayout((SawnBoard(0, (0,)),), 5, 5)))
    two = (SawnBoard(0, (0,)), SawnBoard(0, (0,)))
    assert any("there are 1" in fault for fault in board_faults(good, BoardLayout(two, 10, 5)))
    assert any("cost 5, not 4" in fault for fault in board_faults(good, evolve(layout, cost=4)))
    assert any("above the cost" in fault for fault in board_faults(good, evolve(layout, bound=6)))
