"""Least cost when boards may be cut in fractions of a pattern: column generation.

Method: P. C. Gilmore and R. E. Gomory, "A linear programming approach to the cutting-stock problem" (1961); bound of a
program that has not converged: A. A. Farley, "A note on bounding a class of linear programming problems" (1990).
The bound is computed in whole numbers from the rounded prices of the rows, so that no rounding can put it too high.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Protocol

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from planpress.buying.boards.normal import Normal, Pattern
from planpress.buying.effort import Watch
from planpress.buying.highs import Floats, LinearProgram
from planpress.buying.knapsack import Fillings

_TOLERANCE = 1e-7


@frozen
class Duals:
    """Prices of parts that prove a bound, as whole multiples of 1 / `scale` coins.

    For every pattern p: price(p) + rent[stock] - sum of part prices >= 0. So a plan costs at least `bound` / `scale`,
    and more by what any one of its patterns has left over.

    Attributes:
        parts: price of one part of each kind. rent: of one board of each stock, above 0 only where the stock is scarce.
        bound: sum over the parts asked for, less the rent of all scarce boards.
    """

    scale: int
    parts: tuple[int, ...]
    rent: tuple[int, ...]
    bound: int

    @property
    def whole_bound(self) -> int:
        """No plan costs less, in coins."""
        return max(0, -(-self.bound // self.scale))


class Filled(Protocol):
    """The most valuable pattern of each stock at some values of the parts."""

    def value(self, stock: int) -> int:
        """What its parts are worth, or more than any pattern's parts are."""

    def counts(self, stock: int) -> tuple[int, ...]:
        """Parts of each kind in it."""


#: Finds those patterns: values of one part of each kind, parts there are of each kind.
Filler = Callable[[Sequence[int], Sequence[int]], Filled]


@frozen(eq=False)
class BoardFilled:
    """Boards at their most valuable."""

    normal: Normal
    table: Fillings

    def value(self, stock: int) -> int:
        """What the parts of the best pattern are worth."""
        return int(self.table.best[self.normal.capacities[stock]])

    def counts(self, stock: int) -> tuple[int, ...]:
        """Parts of each kind in the best pattern."""
        return tuple(self.table.filling(self.normal.capacities[stock]))


def board_filler(normal: Normal) -> Filler:
    """Fills boards: only the total length counts."""
    return lambda values, most: BoardFilled(normal, Fillings(normal.longest, normal.weights, values, most))


def proving_duals(normal: Normal, prices: Floats, fill: Filler) -> Duals:
    """Whole-number prices near the given ones (floating point, one for each kind) that prove a bound."""
    scale = 1 << max(8, 40 - max(normal.prices).bit_length())
    parts = [max(0, math.floor(price * scale)) for price in prices]
    table = fill(parts, normal.demand)
    plenty = [s for s in normal.stocks if normal.limits[s] and s not in normal.scarce]
    over = [(table.value(s), normal.prices[s] * scale) for s in plenty]
    worst = max(
        ((best, price) for best, price in over if best > price),
        key=lambda pair: pair[0] / max(1, pair[1]),
        default=None,
    )
    if worst is not None:  # too dear for a board that can be bought at will: all prices down
        best, price = worst
        parts = [part * price // best for part in parts]
        table = fill(parts, normal.demand)
        if any(table.value(s) > normal.prices[s] * scale for s in plenty):
            parts = [0] * normal.kinds  # cannot happen but for ratios that differ beyond floating point
            table = fill(parts, normal.demand)
    rent = [0] * len(normal.prices)
    for s in normal.scarce:
        if normal.limits[s]:
            rent[s] = max(0, table.value(s) - normal.prices[s] * scale)
    bound = sum(p * d for p, d in zip(parts, normal.demand, strict=True))
    bound -= sum(r * limit for r, limit in zip(rent, normal.limits, strict=True))
    return Duals(scale, tuple(parts), tuple(rent), bound)


@frozen(eq=False)
class Fractions:
    """An answer of the program: its cost in coins, how often each pattern is used, the prices of the parts, and
    whether no further pattern could make it cheaper. `missing`: parts that no pattern holds are left."""

    cost: float
    uses: Floats
    prices: Floats
    converged: bool
    missing: bool


class Master:
    """The program over all patterns found so far; it can be asked about the parts that are left as a plan fills."""

    def __init__(self, normal: Normal, fill: Filler) -> None:
        self.normal = normal
        self._fill = fill
        self.patterns: list[Pattern] = []
        self._known: set[Pattern] = set()
        self._program = LinearProgram()
        for demand in normal.demand:
            self._program.add_row(demand, math.inf)
        self._stock_row = {}
        for row, stock in enumerate(normal.scarce):
            self._program.add_row(-math.inf, normal.limits[stock])
            self._stock_row[stock] = normal.kinds + row
        dear = 10.0 * max(1, *normal.prices)
        for kind in range(normal.kinds):  # so that there always is an answer
            self._program.add_column(dear, [kind], [1.0])
        self._columns: list[int] = []
        self._counts: NDArray[np.int64] = np.zeros((0, normal.kinds), dtype=np.int64)
        self._free: NDArray[np.bool_] = np.zeros(0, dtype=np.bool_)  # patterns that are not barred

    def add(self, patterns: Iterable[Pattern]) -> None:
        """Take in patterns that are not known yet."""
        for pattern in patterns:
            if pattern in self._known:
                continue
            self._known.add(pattern)
            self.patterns.append(pattern)
            rows = [kind for kind, count in enumerate(pattern.counts) if count]
            values = [float(pattern.counts[kind]) for kind in rows]
            if pattern.stock in self._stock_row:
                rows.append(self._stock_row[pattern.stock])
                values.append(1.0)
            self._columns.append(self._program.add_column(self.normal.prices[pattern.stock], rows, values))

    def ask_for(self, demand: Sequence[int], limits: Sequence[int]) -> None:
        """Set the parts and the boards that are left. Patterns with more parts than are left are barred."""
        for kind, count in enumerate(demand):
            self._program.bound_row(kind, count, math.inf)
        for stock, row in self._stock_row.items():
            self._program.bound_row(row, -math.inf, limits[stock])
        fits: NDArray[np.bool_] = np.asarray((self.counts() <= np.asarray(demand)).all(axis=1))
        for index in np.flatnonzero(fits != self._free[: len(fits)]).tolist():
            self._program.bound_column(self._columns[index], math.inf if fits[index] else 0.0)
        self._free = fits

    def counts(self) -> NDArray[np.int64]:
        """Parts of each kind in each pattern."""
        fresh = [pattern.counts for pattern in self.patterns[len(self._counts) :]]
        if fresh:
            self._counts = np.concatenate((self._counts, np.array(fresh, dtype=np.int64)))
            self._free = np.concatenate((self._free, np.ones(len(self._counts) - len(self._free), dtype=np.bool_)))
        return self._counts

    def converge(self, demand: Sequence[int], limits: Sequence[int], rounds: int, watch: Watch) -> Fractions:
        """Add the patterns that pay until there are none, or the rounds or the time are over."""
        normal = self.normal
        converged = False
        scale = float(1 << max(8, 40 - max(normal.prices).bit_length()))
        while True:
            if not self._program.solve():
                raise ArithmeticError("the linear program of the boards could not be solved")
            duals = self._program.duals()
            if rounds <= 0 or watch.is_up():
                break
            rounds -= 1
            values = [max(0, math.floor(price * scale)) for price in duals[: normal.kinds]]
            table = self._fill(values, demand)
            fresh = []
            for stock in normal.stocks:
                if not limits[stock]:
                    continue
                rent = -duals[self._stock_row[stock]] if stock in self._stock_row else 0.0
                cost = normal.prices[stock] + rent
                if table.value(stock) / scale > cost + _TOLERANCE * max(1.0, cost):
                    pattern = Pattern(stock, table.counts(stock))
                    if pattern not in self._known:
                        fresh.append(pattern)
            if not fresh:
                converged = True
                break
            self.add(fresh)
        values_ = self._program.values()
        uses = values_[self._columns] if self._columns else np.zeros(0)
        missing = bool(values_[: normal.kinds].max(initial=0.0) > 1e-6)
        return Fractions(self._program.cost(), uses, duals[: normal.kinds], converged, missing)
