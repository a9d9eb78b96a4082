"""Sheets cut in two stages: strips from edge to edge, then parts from each strip; a last cut may trim a part to size.

Column generation as for boards, with patterns found by two knapsacks: what fills a strip of each thickness best, then
which strips fill the sheet best (P. C. Gilmore and R. E. Gomory, "Multistage cutting stock problems of two and more
dimensions", 1965). Its bound holds for layouts of this class only.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from attrs import frozen

from planpress.buying.boards.columns import Master, proving_duals
from planpress.buying.boards.diving import dive
from planpress.buying.boards.normal import NoLayoutError, Normal, Pattern, plan_cost
from planpress.buying.boards.whole import cheapest
from planpress.buying.effort import CUT_SHORT, Effort, Watch
from planpress.buying.knapsack import Fillings
from planpress.buying.sheets.cells import Tree, new_tree, sawn
from planpress.buying.sheets.records import SheetLayout, SheetProblem

#: Dives are slow here, and the first few find most of what there is to find.
_DIVES = 5


@frozen
class Way:
    """A part of a kind as it may lie in a strip (enlarged sizes): the strip must be at least `thick`, the part takes
    `along` of it. `turned`: not as described."""

    kind: int
    thick: int
    along: int
    turned: bool


@frozen
class Strip:
    """A strip: its thickness, and how many parts lie in it each way."""

    thick: int
    ways: tuple[tuple[Way, int], ...]


class StripFiller:
    """Fills sheets with strips. `strips` remembers how each pattern that was asked for is cut."""

    def __init__(self, problem: SheetProblem, normal: Normal) -> None:
        kerf, self._across = problem.kerf, problem.first_cuts == "across"
        ways = []
        for kind, sources in enumerate(normal.sources):
            for x, y, turned in problem.sizes(sources[0]):
                thick, along = (x, y) if self._across else (y, x)
                ways.append(Way(kind, thick + kerf, along + kerf, turned))
        self.ways = sorted(ways, key=lambda way: (way.thick, -way.along, way.kind))
        roots = [new_tree(problem, stock).root for stock in range(len(problem.stock))]
        self.spans = [(r.length, r.width) if self._across else (r.width, r.length) for r in roots]
        self.kinds = normal.kinds
        self.strips: dict[Pattern, tuple[Strip, ...]] = {}

    def __call__(self, values: Sequence[int], most: Sequence[int]) -> FilledSheets:
        """The best sheets at some values of the parts."""
        return FilledSheets(self, values, most)


class FilledSheets:
    """Sheets of each stock filled with strips at their most valuable; no more of a kind in one strip than there are."""

    def __init__(self, filler: StripFiller, values: Sequence[int], most: Sequence[int]) -> None:
        self._filler = filler
        ways = filler.ways
        self._inside: list[Fillings] = []
        self._outside: list[Fillings] = []
        for span, reach in filler.spans:
            worth = [values[way.kind] if way.thick <= span else 0 for way in ways]
            inside = Fillings(max(0, reach), [w.along for w in ways], worth, [most[w.kind] for w in ways])
            best = [
                value if i + 1 == len(ways) or ways[i + 1].thick > ways[i].thick else 0
                for i, value in enumerate(inside.best_of_first)
            ]
            many = [max(0, span) // way.thick for way in ways]
            self._inside.append(inside)
            self._outside.append(Fillings(max(0, span), [way.thick for way in ways], best, many))

    def value(self, stock: int) -> int:
        """What the parts of the best pattern are worth."""
        return int(self._outside[stock].best[-1])

    def counts(self, stock: int) -> tuple[int, ...]:
        """Parts of each kind in the best pattern; how it is cut is remembered."""
        filler, (span, reach) = self._filler, self._filler.spans[stock]
        counts = [0] * filler.kinds
        strips = []
        for last, times in enumerate(self._outside[stock].filling(max(0, span))):
            if not times:
                continue
            inside = self._inside[stock].filling(max(0, reach), last + 1)
            ways = tuple((filler.ways[i], count) for i, count in enumerate(inside) if count)
            strips += [Strip(filler.ways[last].thick, ways)] * times
            for way, count in ways:
                counts[way.kind] += count * times
        filler.strips.setdefault(Pattern(stock, tuple(counts)), tuple(strips))
        return tuple(counts)


def strip_normal_form(problem: SheetProblem) -> Normal:
    """The problem as for boards, with areas for lengths; parts of one size that may be turned alike are one kind."""
    kerf = problem.kerf
    by_size: dict[tuple[int, int, bool], list[int]] = {}
    for index, part in enumerate(problem.parts):
        if part.count:
            by_size.setdefault((part.length + kerf, part.width + kerf, part.may_turn), []).append(index)
    order = sorted(by_size, key=lambda size: (-size[0] * size[1], size))
    demand = tuple(sum(problem.parts[i].count for i in by_size[size]) for size in order)
    costs = [problem.cost(stock) for stock in range(len(problem.stock))]
    coin, pieces = math.gcd(*costs) or 1, sum(demand)
    roots = [new_tree(problem, stock).root for stock in range(len(problem.stock))]
    limits = tuple(pieces if it.limit is None else min(it.limit, pieces) for it in problem.stock)
    return Normal(
        weights=tuple(size[0] * size[1] for size in order),
        demand=demand,
        sources=tuple(tuple(by_size[size]) for size in order),
        capacities=tuple(max(0, root.length) * max(0, root.width) for root in roots),
        prices=tuple(cost // coin for cost in costs),
        limits=limits,
        scarce=tuple(s for s, limit in enumerate(limits) if limit < pieces),
        lengths=tuple(max(0, root.length) * max(0, root.width) for root in roots),
        coin=coin,
    )


def lay_out_strips(problem: SheetProblem, effort: Effort, watch: Watch) -> SheetLayout:
    """Least cost of sheets cut in two stages.

    Raises:
        NoLayoutError: if no way was found with the sheets there are.
    """
    normal = strip_normal_form(problem)
    fill = StripFiller(problem, normal)
    master = Master(normal, fill)

    def quick(normal: Normal, demand: Sequence[int], limits: Sequence[int]) -> list[Pattern] | None:
        return filled_sheets(normal, fill, demand, limits)

    best = quick(normal, normal.demand, normal.limits)
    master.add(best or [])
    top = master.converge(normal.demand, normal.limits, effort.rounds, watch)
    bound = proving_duals(normal, top.prices, fill).whole_bound
    ceiling = 1 + sum(price * limit for price, limit in zip(normal.prices, normal.limits, strict=True))
    for turn in range(min(_DIVES, effort.dives)):
        below = plan_cost(normal, best) if best is not None else ceiling
        if below <= bound or watch.is_up():
            break
        best = dive(master, top, quick, turn, below, watch) or best
    if best is None or plan_cost(normal, best) > bound:
        high = plan_cost(normal, best) - 1 if best is not None else ceiling
        _, plan = cheapest(normal, master.patterns, bound, high, effort.nodes // 40, watch)
        best = plan or best
    if best is None:
        raise NoLayoutError("no way was found to cut all parts from the sheets there are")
    trees = strip_trees(problem, normal, fill, best)
    cost = sum(problem.cost(tree.stock) for tree in trees)
    told = (CUT_SHORT,) if watch.rang else ()
    return SheetLayout(tuple(sawn(problem, tree) for tree in trees), cost, min(cost, bound * normal.coin), told)


def filled_sheets(
    normal: Normal, fill: StripFiller, demand: Sequence[int], limits: Sequence[int]
) -> list[Pattern] | None:
    """Fill one sheet after another with the most area of the parts left; None if the sheets run out. Sheets may hold
    more of a part than is asked for."""
    left, sheets = list(demand), list(limits)
    plan: list[Pattern] = []
    while any(left):
        table = fill([w if rest else 0 for w, rest in zip(normal.weights, left, strict=True)], left)
        ratings = []
        for stock in normal.stocks:
            if not sheets[stock] or not table.value(stock):
                continue
            counts = table.counts(stock)
            got = normal.weight([min(count, rest) for count, rest in zip(counts, left, strict=True)])
            ratings.append((normal.prices[stock] / got, -got, stock, counts))
        if not ratings:
            return None
        _, _, stock, counts = min(ratings)
        times = max(1, min([sheets[stock], *(left[k] // count for k, count in enumerate(counts) if count)]))
        plan += [Pattern(stock, counts)] * times
        sheets[stock] -= times
        left = [max(0, rest - times * count) for rest, count in zip(left, counts, strict=True)]
    return plan


def strip_trees(problem: SheetProblem, normal: Normal, fill: StripFiller, plan: Sequence[Pattern]) -> list[Tree]:
    """The sheets of a plan as trees of cuts, without the parts that nobody asked for."""
    waiting = [[i for i in kind for _ in range(problem.parts[i].count)] for kind in normal.sources]
    across = problem.first_cuts == "across"
    trees = []
    for pattern in plan:
        tree = new_tree(problem, pattern.stock)
        rest = tree.root
        used = False
        for strip in fill.strips[pattern]:
            lying = [way for way, count in strip.ways for _ in range(count) if waiting[way.kind]]
            parts = []
            for way in lying:
                if waiting[way.kind]:
                    parts.append((way, waiting[way.kind].pop(0)))
            if not parts:
                continue
            used = True
            thick = max(way.thick for way, _ in parts)
            cell = rest
            if thick < (rest.length if across else rest.width):
                cell, rest = rest.cut("across" if across else "along", thick)
            for way, part in parts:
                length, width = (way.thick, way.along) if across else (way.along, way.thick)
                left = cell.place(part, way.turned, length, width, across_first=not across)
                cell = left[0] if left else cell
        if used:
            trees.append(tree)
    return trees
