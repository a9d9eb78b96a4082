"""A layout of sheets: fewest or cheapest sheets found, with a bound that no layout can beat."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np

from planpress.buying.boards.normal import NoLayoutError
from planpress.buying.effort import CUT_SHORT, Effort, Watch
from planpress.buying.sheets.bounds import measures
from planpress.buying.sheets.cells import new_tree, sawn
from planpress.buying.sheets.records import SheetLayout, SheetProblem
from planpress.buying.sheets.staged import lay_out_strips
from planpress.buying.sheets.starts import many_starts


def lay_out_sheets(problem: SheetProblem, effort: Effort | None = None) -> SheetLayout:
    """Saw all parts from sheets, edge to edge.

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
    bound = lower_bound(problem, sizes)
    trees, _ = many_starts(problem, sizes, bound, effort.starts, watch)
    if trees is None:
        raise NoLayoutError("no way was found to cut all parts from the sheets there are")
    cost = sum(problem.cost(tree.stock) for tree in trees)
    told = (CUT_SHORT,) if watch.rang else ()
    return SheetLayout(tuple(sawn(problem, tree) for tree in trees), cost, min(cost, bound), told)


def lower_bound(problem: SheetProblem, sizes: list[list[tuple[int, int, bool]]]) -> int:
    """Cost that no layout can beat."""
    roots = [new_tree(problem, stock).root for stock in range(len(problem.stock))]
    costs = [problem.cost(stock) for stock in range(len(problem.stock))]
    if len(roots) > 1:
        area = sum(sizes[p][0][0] * sizes[p][0][1] * it.count for p, it in enumerate(problem.parts))
        if any(not costs[s] and problem.stock[s].limit is None for s in range(len(roots))):
            return 0
        free = sum(r.length * r.width * (problem.stock[s].limit or 0) for s, r in enumerate(roots) if not costs[s])
        rates = [Fraction(costs[s], r.length * r.width) for s, r in enumerate(roots) if costs[s]]
        coin = math.gcd(*costs) or 1
        return max(0, math.ceil((area - free) * min(rates, default=Fraction(0)) / coin) * coin)
    ways = measures(
        roots[0].length,
        roots[0].width,
        np.array([it[0][0] for it in sizes], dtype=np.int64),
        np.array([it[0][1] for it in sizes], dtype=np.int64),
        np.array([len(it) > 1 for it in sizes], dtype=np.bool_),
    )
    return ways.bound(np.array([it.count for it in problem.parts], dtype=np.int64)) * costs[0]
