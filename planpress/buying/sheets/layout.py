"""A layout of sheets: fewest or cheapest sheets found, with a bound that no layout can beat."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np

from planpress.buying.boards.normal import NoLayoutError
from planpress.buying.effort import CUT_SHORT, Effort, Watch
from planpress.buying.sheets.bounds import Measures, measures
from planpress.buying.sheets.cells import Tree, new_tree, sawn
from planpress.buying.sheets.lift import deal
from planpress.buying.sheets.records import SheetLayout, SheetProblem
from planpress.buying.sheets.staged import lay_out_strips
from planpress.buying.sheets.starts import Sizes, many_starts


def lay_out_sheets(problem: SheetProblem, effort: Effort | None = None) -> SheetLayout:
    """Saw all parts from sheets, edge to edge.

    Aims, in this order: least cost; largest offcut; fewest cuts. The first is proven when cost = bound, the others are
    the best found.

    Raises:
        NoLayoutError: if a part fits on no sheet, or no way was found with the sheets there are.
    """
    effort = effort or Effort()
    watch = Watch(effort.seconds)
    kerf = problem.kerf
    sizes = [
        [(length + kerf, width + kerf, turned) for length, width, turned in problem.sizes(part)]
        for part in range(len(problem.parts))
    ]
    asked = [part for part, it in enumerate(problem.parts) if it.count]
    if not asked:
        return SheetLayout((), 0, 0)
    roots = [new_tree(problem, stock).root for stock in range(len(problem.stock))]
    for part in asked:
        if not any(size[0] <= root.length and size[1] <= root.width for root in roots for size in sizes[part]):
            it = problem.parts[part]
            raise NoLayoutError(f"a part of {it.length} x {it.width} is larger than every sheet")
    if problem.first_cuts is not None:
        return lay_out_strips(problem, effort, watch)
    if len(problem.stock) > 1:
        bound, ways = area_bound(problem, sizes), None
    else:
        ways = sheet_measures(problem, sizes)
        bound = ways.bound(np.array([it.count for it in problem.parts], dtype=np.int64)) * problem.cost(0)
    trees, _ = many_starts(problem, sizes, bound, effort.starts // 8, watch)
    if ways is not None and trees is not None:
        trees, bound = dealt(problem, sizes, ways, trees, bound, effort, watch)
    if trees is None or sum(problem.cost(tree.stock) for tree in trees) > bound:
        better, cost = many_starts(problem, sizes, bound, effort.starts, watch, seed=21)
        if trees is None or cost < sum(problem.cost(tree.stock) for tree in trees):
            trees = better
    if trees is None:
        raise NoLayoutError("no way was found to cut all parts from the sheets there are")
    cost = sum(problem.cost(tree.stock) for tree in trees)
    told = (CUT_SHORT,) if watch.rang else ()
    return SheetLayout(tuple(sawn(problem, tree) for tree in trees), cost, min(cost, bound), told)


def sheet_measures(problem: SheetProblem, sizes: Sizes) -> Measures:
    """Measures of the parts on sheets of the only size there is."""
    root = new_tree(problem, 0).root
    return measures(
        root.length,
        root.width,
        np.array([it[0][0] for it in sizes], dtype=np.int64),
        np.array([it[0][1] for it in sizes], dtype=np.int64),
        np.array([len(it) > 1 for it in sizes], dtype=np.bool_),
    )


def dealt(
    problem: SheetProblem,
    sizes: Sizes,
    ways: Measures,
    trees: list[Tree],
    bound: int,
    effort: Effort,
    watch: Watch,
) -> tuple[list[Tree], int]:
    """Sheets that are fewer, or a bound that is higher, as far as dealing the parts out to sheets decides it."""
    price = problem.cost(0)
    while price and bound < len(trees) * price:
        verdict = deal(problem, sizes, ways, max(1, bound // price), effort.nodes // 8, watch)
        if verdict.trees is not None:
            return verdict.trees, bound
        if not verdict.too_few:
            break
        bound += price
    return trees, bound


def area_bound(problem: SheetProblem, sizes: Sizes) -> int:
    """Cost of the parts' area at the rate of the sheet that is cheapest for its area, sheets at hand taken first."""
    costs = [problem.cost(stock) for stock in range(len(problem.stock))]
    if any(not cost and problem.stock[stock].limit is None for stock, cost in enumerate(costs)):
        return 0
    area = sum(sizes[part][0][0] * sizes[part][0][1] * it.count for part, it in enumerate(problem.parts))
    roots = [new_tree(problem, stock).root for stock in range(len(problem.stock))]
    spans = [max(0, root.length) * max(0, root.width) for root in roots]
    free = sum(spans[s] * (problem.stock[s].limit or 0) for s, cost in enumerate(costs) if not cost)
    rates = [Fraction(cost, spans[s]) for s, cost in enumerate(costs) if cost and spans[s]]
    coin = math.gcd(*costs) or 1
    return max(0, math.ceil((area - free) * min(rates, default=Fraction(0)) / coin) * coin)
