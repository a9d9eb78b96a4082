"""Quick plans to begin with: boards filled as full as can be, and the longest part first."""

from __future__ import annotations

from collections.abc import Sequence

from planpress.buying.boards.normal import Normal, Pattern
from planpress.buying.knapsack import Fillings


def best_quick_plan(normal: Normal, demand: Sequence[int], limits: Sequence[int]) -> list[Pattern] | None:
    """The cheaper of the quick plans for some parts; None if neither holds every part within the limits."""
    plans = [filled_boards(normal, demand, limits), longest_first(normal, demand, limits)]
    found = [plan for plan in plans if plan is not None]
    return min(found, key=lambda plan: sum(normal.prices[p.stock] for p in plan), default=None)


def filled_boards(normal: Normal, demand: Sequence[int], limits: Sequence[int]) -> list[Pattern] | None:
    """Fill one board after another with the longest part left and what fills it best; the stock with the least cost for
    the length it yields is taken, as often as the parts allow."""
    left, boards = list(demand), list(limits)
    plan: list[Pattern] = []
    while any(left):
        first = next(kind for kind, count in enumerate(left) if count)
        rest = [count - (kind == first) for kind, count in enumerate(left)]
        stocks = [s for s in normal.stocks if boards[s] and normal.capacities[s] >= normal.weights[first]]
        if not stocks:
            return None
        reach = max(normal.capacities[s] for s in stocks) - normal.weights[first]
        table = Fillings(reach, normal.weights, normal.weights, rest)
        best: tuple[float, int, int] | None = None
        for stock in stocks:
            used = normal.weights[first] + int(table.best[normal.capacities[stock] - normal.weights[first]])
            rating = (normal.prices[stock] / used, -used, stock)
            if best is None or rating < best:
                best = rating
        assert best is not None
        stock = best[2]
        counts = table.filling(normal.capacities[stock] - normal.weights[first])
        counts[first] += 1
        times = min([boards[stock], *(left[k] // count for k, count in enumerate(counts) if count)])
        plan += [Pattern(stock, tuple(counts))] * times
        boards[stock] -= times
        left = [rest - times * count for rest, count in zip(left, counts, strict=True)]
    return plan


def longest_first(normal: Normal, demand: Sequence[int], limits: Sequence[int]) -> list[Pattern] | None:
    """Each part, longest first, goes on the first open board that holds it; a new board is the cheapest for its length
    among those that hold the part. At last each board is changed for the cheapest that holds its parts."""
    boards: list[list[int]] = []  # stock, room, counts ...
    left = list(limits)
    for kind, count in enumerate(demand):
        weight = normal.weights[kind]
        for _ in range(count):
            home = next((board for board in boards if board[1] >= weight), None)
            if home is None:
                stocks = [s for s in normal.stocks if left[s] and normal.capacities[s] >= weight]
                if not stocks:
                    return None
                stock = min(stocks, key=lambda s: (normal.prices[s] / normal.capacities[s], s))
                left[stock] -= 1
                home = [stock, normal.capacities[stock], *([0] * normal.kinds)]
                boards.append(home)
            home[1] -= weight
            home[2 + kind] += 1
    plan = []
    for stock, _, *counts in boards:
        weight = normal.weight(counts)
        left[stock] += 1
        fits = [s for s in normal.stocks if left[s] and normal.capacities[s] >= weight]
        cheapest = min(fits, key=lambda s: (normal.prices[s], s))
        left[cheapest] -= 1
        plan.append(Pattern(cheapest, tuple(counts)))
    return plan
