"""Layouts of sheets: optimum where it is known, bounds, grain, kerf, cuts; every layout is sawn by the checker."""

from __future__ import annotations

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from planpress.buying.boards.normal import NoLayoutError
from planpress.buying.effort import Effort, Watch
from planpress.buying.sheets.bounds import _functions
from planpress.buying.sheets.cells import sawn
from planpress.buying.sheets.check import sheet_faults
from planpress.buying.sheets.layout import lay_out_sheets, sheet_measures
from planpress.buying.sheets.lift import deal
from planpress.buying.sheets.records import (
    Cut,
    Direction,
    Placed,
    Rectangle,
    SawnSheet,
    SheetLayout,
    SheetPart,
    SheetProblem,
    SheetStock,
)
from tests.buying.instances import split_sheets


def laid(problem: SheetProblem, effort: Effort | None = None) -> SheetLayout:
    """A layout that the checker has sawn."""
    layout = lay_out_sheets(problem, effort)
    assert sheet_faults(problem, layout) == []
    return layout


@pytest.mark.parametrize(
    ("sheets", "pieces", "kerf", "trim", "may_turn"),
    [(1, 6, 3, 5, False), (2, 5, 0, 0, False), (2, 6, 3, 5, True), (3, 5, 3, 0, False), (4, 4, 2, 10, False)],
)
def test_sheets_split_edge_to_edge_are_put_together_again(
    sheets: int, pieces: int, kerf: int, trim: int, may_turn: bool
) -> None:
    layout = laid(split_sheets(sheets, pieces, kerf, trim, may_turn, seed=sheets))
    assert (layout.cost, layout.bound) == (sheets, sheets)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(st.integers(1, 3), st.integers(2, 9), st.integers(0, 4), st.booleans(), st.integers(0, 99))
def test_the_bound_is_never_above_a_layout_that_is_known(
    sheets: int, pieces: int, kerf: int, may_turn: bool, seed: int
) -> None:
    layout = laid(split_sheets(sheets, pieces, kerf, 5, may_turn, seed), Effort(starts=40))
    assert layout.bound <= sheets <= layout.cost


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    st.lists(
        st.tuples(st.integers(20, 900), st.integers(20, 580), st.integers(0, 4), st.booleans()), min_size=1, max_size=8
    ),
    st.integers(0, 8),
    st.integers(0, 12),
    st.sampled_from([None, "across", "along"]),
)
def test_random_plans_come_off_the_saw(
    parts: list[tuple[int, int, int, bool]], kerf: int, trim: int, first_cuts: Direction | None
) -> None:
    stock = (SheetStock(1250, 625, 40), SheetStock(2440, 1220, 150), SheetStock(930, 610, 0, 1))
    pieces = tuple(SheetPart(*part) for part in parts)
    problem = SheetProblem(stock, pieces, kerf, trim, first_cuts)
    layout = laid(problem, Effort(starts=60))
    assert layout.bound <= layout.cost


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.integers(4, 60).flatmap(lambda size: st.tuples(st.just(size), st.lists(st.integers(1, size), max_size=8))))
def test_dual_feasible_functions_keep_what_fits(case: tuple[int, list[int]]) -> None:
    size, lengths = case
    functions = _functions(size, np.array(lengths or [size], dtype=np.int64))
    while sum(lengths) > size:
        lengths.pop()
    for function in functions:
        assert sum(int(function[length]) for length in lengths) <= int(function[size])


def test_big_parts_need_a_sheet_each_though_their_area_is_small() -> None:
    layout = laid(SheetProblem((SheetStock(100, 100, 1),), (SheetPart(60, 51, 3), SheetPart(51, 60, 2)), 0))
    assert (layout.cost, layout.bound) == (5, 5)


def test_grain_decides_how_many_sheets() -> None:
    part = SheetPart(600, 1200, 2)
    along = SheetProblem((SheetStock(1220, 610, 1),), (part,), 3)
    with pytest.raises(NoLayoutError, match="600 x 1200 is larger than every sheet"):
        lay_out_sheets(along)
    layout = laid(evolve(along, parts=(evolve(part, may_turn=True),)))
    assert layout.cost == 2
    assert all(placed.turned for sheet in layout.sheets for placed in sheet.placed)


def test_the_kerf_decides_how_many_sheets() -> None:
    problem = SheetProblem((SheetStock(1200, 600, 1),), (SheetPart(600, 600, 2),), 0)
    assert laid(problem).cost == 1
    assert laid(evolve(problem, kerf=1)).cost == 2
    assert laid(evolve(problem, stock=(SheetStock(1201, 600, 1),), kerf=1)).cost == 1


def test_trimming_takes_from_every_edge() -> None:
    problem = SheetProblem((SheetStock(1220, 620, 1),), (SheetPart(1200, 600, 1),), 3, 10)
    sheet = laid(problem).sheets[0]
    assert sheet.placed == (Placed(0, 10, 10, False),)
    assert len(sheet.cuts) == 4
    with pytest.raises(NoLayoutError):
        lay_out_sheets(evolve(problem, trim=11))


def test_two_stage_layouts_of_equal_parts() -> None:
    problem = SheetProblem((SheetStock(1000, 500, 1),), (SheetPart(250, 100, 40),), 0, 0, "across")
    layout = laid(problem)
    assert (layout.cost, layout.bound) == (2, 2)


def test_parts_that_lie_like_a_pinwheel_cannot_be_sawn_edge_to_edge() -> None:
    parts = (SheetPart(20, 10, 2), SheetPart(10, 20, 2), SheetPart(10, 10, 1))  # fill 30 x 30, but no cut runs through
    layout = laid(SheetProblem((SheetStock(30, 30, 1),), parts, 0), Effort(starts=200))
    assert (layout.cost, layout.bound) == (2, 2)


def test_dealing_finds_sheets_that_no_start_was_allowed_to_find() -> None:
    problem = split_sheets(2, 7, 3, 5, False, 11)
    sizes = [[(x + 3, y + 3, turned) for x, y, turned in problem.sizes(part)] for part in range(len(problem.parts))]
    verdict = deal(problem, sizes, sheet_measures(problem, sizes), 2, 250, Watch(60.0))
    assert verdict.trees is not None
    sheets = tuple(sawn(problem, tree) for tree in verdict.trees)
    assert sheet_faults(problem, SheetLayout(sheets, 2, 2)) == []
    assert deal(problem, sizes, sheet_measures(problem, sizes), 1, 250, Watch(60.0)).too_few


def test_of_equal_layouts_the_one_with_a_large_offcut() -> None:
    layout = laid(SheetProblem((SheetStock(2000, 1000, 1),), (SheetPart(500, 500, 3),), 0))
    assert layout.cost == 1
    x, y = max(p.x + 500 for p in layout.sheets[0].placed), max(p.y + 500 for p in layout.sheets[0].placed)
    assert (x, y) in ((1500, 500), (1000, 1000))  # leaves 2000 x 500 or 1000 x 1000


def test_stock_that_runs_out_is_told() -> None:
    with pytest.raises(NoLayoutError, match="no way was found"):
        lay_out_sheets(SheetProblem((SheetStock(1000, 500, 1, 1),), (SheetPart(600, 400, 2),), 0), Effort(starts=20))


def test_equal_input_gives_equal_layouts() -> None:
    problem = split_sheets(2, 8, 3, 5, True, 4)
    effort = Effort(starts=100)
    assert lay_out_sheets(problem, effort) == lay_out_sheets(problem, effort)


def test_the_checker_finds_what_is_wrong() -> None:
    problem = SheetProblem((SheetStock(100, 50, 1),), (SheetPart(50, 48, 2),), 0)
    layout = laid(problem)
    sheet = layout.sheets[0]

    def faults(changed: SawnSheet, under: SheetProblem = problem) -> str:
        return "; ".join(sheet_faults(under, evolve(layout, sheets=(changed,))))

    assert "no kerf" in faults(sheet, evolve(problem, kerf=2))
    assert "trimmed edge" in faults(sheet, evolve(problem, trim=1))
    assert "across the grain" in faults(evolve(sheet, placed=(evolve(sheet.placed[0], turned=True), sheet.placed[1])))
    assert "not 2" in faults(evolve(sheet, placed=sheet.placed[:1]))
    assert "no piece comes off" in faults(evolve(sheet, cuts=sheet.cuts[:1]))
    assert "not there" in faults(evolve(sheet, cuts=(*sheet.cuts, Cut(Rectangle(1, 1, 9, 9), "across", 5))))
    other: Direction = "along" if sheet.cuts[0].direction == "across" else "across"
    assert f"must run {other}" in faults(sheet, evolve(problem, first_cuts=other))
