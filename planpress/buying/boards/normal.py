"""The form in which boards are laid out: no kerf, no trim, equal lengths together, the coarsest whole unit.

Parts l1 .. ln fit on a board of usable length L if l1 + .. + ln + (n - 1) kerf <= L. So with every part one kerf longer
and the board one kerf longer, parts fit if they add up to no more than the board.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from attrs import frozen

from planpress.buying.boards.records import BoardProblem, SawnBoard


class NoLayoutError(ValueError):
    """There is no way to cut all parts; the message says why."""


@frozen
class Pattern:
    """One way to cut a board: the stock and the parts of each kind."""

    stock: int
    counts: tuple[int, ...]


@frozen
class Normal:
    """A problem in normal form.

    Attributes:
        weights: of the kinds of parts, greatest first. demand: parts of each kind, at least 1.
        sources: for each kind the parts of the problem that have this length, in order.
        capacities, prices, limits: of each stock; prices are divided by `coin`. Stock that holds no part has limit 0.
        scarce: stock whose limit can matter.
        lengths: of each stock as sold, for the second aim.
    """

    weights: tuple[int, ...]
    demand: tuple[int, ...]
    sources: tuple[tuple[int, ...], ...]
    capacities: tuple[int, ...]
    prices: tuple[int, ...]
    limits: tuple[int, ...]
    scarce: tuple[int, ...]
    lengths: tuple[int, ...]
    coin: int

    @property
    def kinds(self) -> int:
        """Number of different lengths."""
        return len(self.weights)

    @property
    def stocks(self) -> range:
        """Indexes of the stock."""
        return range(len(self.prices))

    @property
    def longest(self) -> int:
        """Greatest capacity of a board that can be used."""
        return max(capacity for capacity, limit in zip(self.capacities, self.limits, strict=True) if limit)

    def weight(self, counts: Sequence[int]) -> int:
        """Total of parts of each kind."""
        return sum(weight * count for weight, count in zip(self.weights, counts, strict=True))


def normal_form(problem: BoardProblem) -> Normal:
    """Bring a problem into normal form.

    Raises:
        NoLayoutError: if a part is longer than every board.
    """
    by_length: dict[int, list[int]] = {}
    for index, part in enumerate(problem.parts):
        if part.count:
            by_length.setdefault(part.length, []).append(index)
    order = sorted(by_length, reverse=True)
    sizes = [length + problem.kerf for length in order]
    unit = math.gcd(*sizes) if sizes else 1
    weights = tuple(size // unit for size in sizes)
    demand = tuple(sum(problem.parts[i].count for i in by_length[length]) for length in order)
    pieces = sum(demand)
    capacities = tuple(max(0, (problem.usable(stock) + problem.kerf) // unit) for stock in range(len(problem.stock)))
    costs = [problem.cost(stock) for stock in range(len(problem.stock))]
    coin = math.gcd(*costs) or 1
    limits = tuple(
        0 if not weights or capacity < weights[-1] else pieces if stock.limit is None else min(stock.limit, pieces)
        for stock, capacity in zip(problem.stock, capacities, strict=True)
    )
    reach = max((capacity for capacity, limit in zip(capacities, limits, strict=True) if limit), default=0)
    if weights and weights[0] > reach:
        raise NoLayoutError(f"a part of {order[0]} is longer than every board")
    return Normal(
        weights=weights,
        demand=demand,
        sources=tuple(tuple(by_length[length]) for length in order),
        capacities=capacities,
        prices=tuple(cost // coin for cost in costs),
        limits=limits,
        scarce=tuple(s for s, limit in enumerate(limits) if limit < pieces),
        lengths=tuple(stock.length for stock in problem.stock),
        coin=coin,
    )


def plan_cost(normal: Normal, plan: Sequence[Pattern]) -> int:
    """Cost of a plan in coins."""
    return sum(normal.prices[pattern.stock] for pattern in plan)


def trimmed(normal: Normal, plan: Sequence[Pattern]) -> list[Pattern]:
    """The plan without parts that nobody asked for, taken from the boards named last; empty boards are dropped."""
    left = list(normal.demand)
    out = []
    for pattern in plan:
        counts = tuple(min(count, rest) for count, rest in zip(pattern.counts, left, strict=True))
        left = [rest - count for rest, count in zip(left, counts, strict=True)]
        if any(counts):
            out.append(Pattern(pattern.stock, counts))
    if any(left):
        raise ValueError("the plan does not hold every part")
    return out


def named_boards(normal: Normal, problem: BoardProblem, plan: Sequence[Pattern]) -> tuple[SawnBoard, ...]:
    """Give the parts of a plan back their indexes: longest first on a board, parts of one index kept together."""
    waiting = [[i for i in kind for _ in range(problem.parts[i].count)] for kind in normal.sources]
    boards = []
    for pattern in plan:
        parts: list[int] = []
        for kind, count in enumerate(pattern.counts):
            parts += waiting[kind][:count]
            del waiting[kind][:count]
        boards.append(SawnBoard(pattern.stock, tuple(parts)))
    return tuple(boards)
