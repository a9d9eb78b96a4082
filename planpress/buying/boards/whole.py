"""Whole boards of given patterns at least cost, then neater at equal cost: whole-number programs."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from attrs import frozen

from planpress.buying.boards.normal import Normal, Pattern
from planpress.buying.effort import Watch
from planpress.buying.highs import Ints, Row, WholeAnswer, solve_whole


@frozen(eq=False)
class Programme:
    """The rows that every plan from some patterns keeps.

    Variables: how often each pattern is used, then how many boards of each stock. The board counts are tied to the
    patterns by a row each; a row of cost and one of total length over them help the search more than anything else.
    """

    patterns: Sequence[Pattern]
    rows: list[Row]
    highs: Ints


def programme(normal: Normal, patterns: Sequence[Pattern], low: int, high: int) -> Programme:
    """Rows for plans that cost from `low` to `high` coins."""
    count = len(patterns)
    table = np.array([pattern.counts for pattern in patterns], dtype=np.float64).reshape(count, normal.kinds)
    stock = np.array([pattern.stock for pattern in patterns], dtype=np.int64)
    boards = np.arange(count, count + len(normal.prices), dtype=np.int64)
    rows = []
    for kind, demand in enumerate(normal.demand):
        columns = np.flatnonzero(table[:, kind])
        rows.append(Row(columns, table[columns, kind], demand, math.inf))
    for s in normal.stocks:
        columns = np.flatnonzero(stock == s)
        values = np.append(np.ones(len(columns)), -1.0)
        rows.append(Row(np.append(columns, boards[s]), values, 0.0, 0.0))
    rows.append(Row(boards, np.array(normal.prices, dtype=np.float64), low, high))
    total = float(normal.weight(normal.demand))
    rows.append(Row(boards, np.array(normal.capacities, dtype=np.float64), total, math.inf))
    most = [
        max((-(-d // c) for d, c in zip(normal.demand, pattern.counts, strict=True) if c), default=0)
        for pattern in patterns
    ]
    return Programme(patterns, rows, np.array(most + list(normal.limits), dtype=np.int64))


def cheapest(
    normal: Normal, patterns: Sequence[Pattern], low: int, high: int, nodes: int, watch: Watch
) -> tuple[WholeAnswer, list[Pattern] | None]:
    """The cheapest plan from `low` to `high` coins made of the patterns.

    Returns:
        What the search came to, and the plan if one was found (it may hold more parts than asked for).
    """
    if not patterns:
        return WholeAnswer("none", np.zeros(0, dtype=np.int64), math.inf), None
    program = programme(normal, patterns, low, high)
    costs = np.array([0.0] * len(patterns) + list(normal.prices))
    answer = solve_whole(costs, program.highs.astype(np.float64), program.rows, nodes, watch)
    return answer, plan_of(normal, patterns, answer.values) if len(answer.values) else None


def plan_of(normal: Normal, patterns: Sequence[Pattern], values: Ints) -> list[Pattern] | None:
    """The boards of an answer, equal ones together; None if, counted in whole numbers, it does not hold every part."""
    plan = [pattern for pattern, times in zip(patterns, values.tolist(), strict=False) for _ in range(times)]
    held = [sum(pattern.counts[kind] for pattern in plan) for kind in range(normal.kinds)]
    used = [sum(pattern.stock == s for pattern in plan) for s in normal.stocks]
    if any(h < d for h, d in zip(held, normal.demand, strict=True)):
        return None
    if any(u > limit for u, limit in zip(used, normal.limits, strict=True)):
        return None
    return plan


def mix_bound(normal: Normal, nodes: int, watch: Watch) -> int:
    """Cost of the cheapest boards with enough total length (in coins), rounded down to what is sure."""
    rows = [
        Row(
            np.arange(len(normal.prices), dtype=np.int64),
            np.array(normal.capacities, dtype=np.float64),
            float(normal.weight(normal.demand)),
            math.inf,
        )
    ]
    answer = solve_whole(np.array(normal.prices, float), np.array(normal.limits, float), rows, nodes, watch)
    if answer.state != "best":
        return 0
    return sum(price * int(count) for price, count in zip(normal.prices, answer.values, strict=True))
