"""From fractions of patterns to whole boards: fix what is nearly whole, solve again for the parts left, and so on."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from planpress.buying.boards.columns import Fractions, Master
from planpress.buying.boards.normal import Normal, Pattern, plan_cost
from planpress.buying.effort import Watch

#: A plan for some parts with some boards of each stock, without much search; None if it fails.
QuickPlan = Callable[[Normal, Sequence[int], Sequence[int]], list[Pattern] | None]

_ROUNDS_A_STEP = 60


def dive(
    master: Master, top: Fractions, quick_plan: QuickPlan, turn: int, below: int, watch: Watch
) -> list[Pattern] | None:
    """One plan that costs less than `below` coins, or None.

    At every depth the parts left are also laid out by the quick plans, so that a dive seldom comes back with nothing.

    Args:
        top: the answer for all parts, where the dive begins. quick_plan: lays out the parts left.
        turn: number of the dive; at one step it takes another pattern than the dive before.
        below: a plan must be cheaper.
    """
    normal = master.normal
    left, boards = list(normal.demand), list(normal.limits)
    plan: list[Pattern] = []
    best: list[Pattern] | None = None
    answer, depth = top, 0
    while any(left):
        spent = plan_cost(normal, plan)
        if answer.converged and not answer.missing and spent + math.ceil(answer.cost - 1e-6) >= below:
            break
        if answer.missing and not answer.uses.any():
            break
        quick = quick_plan(normal, left, boards)
        if quick is not None and spent + plan_cost(normal, quick) < below:
            best = plan + quick
            below = plan_cost(normal, best)
        chosen = _whole_parts(answer, depth, turn)
        if not chosen:
            break
        for index, times in chosen:
            pattern = master.patterns[index]
            for _ in range(times):
                if boards[pattern.stock] == 0 or not any(
                    min(count, rest) for count, rest in zip(pattern.counts, left, strict=True)
                ):
                    break
                boards[pattern.stock] -= 1
                plan.append(pattern)
                left = [max(0, rest - count) for rest, count in zip(left, pattern.counts, strict=True)]
        depth += 1
        if watch.is_up():
            break
        if any(left):
            master.ask_for(left, boards)
            answer = master.converge(left, boards, _ROUNDS_A_STEP, watch)
    if not any(left) and plan_cost(normal, plan) < below:
        best = plan
    master.ask_for(normal.demand, normal.limits)
    return best


def _whole_parts(answer: Fractions, depth: int, turn: int) -> list[tuple[int, int]]:
    """Patterns (index, times) to fix: the whole part of each, or else the one that is nearest to whole. Dive `turn`
    takes the second or third nearest at depth turn / 2."""
    whole = np.floor(answer.uses + 1e-6).astype(int)
    if turn and depth == 0:  # leave some of what is nearly sure to the steps below
        whole = whole - (np.arange(len(whole)) % (turn + 1) == turn) * (whole > 0)
    if whole.any():
        return [(int(i), int(whole[i])) for i in np.flatnonzero(whole)]
    order = sorted(np.flatnonzero(answer.uses > 1e-6).tolist(), key=lambda i: (-float(np.round(answer.uses[i], 6)), i))
    if not order:
        return []
    rank = 1 + turn % 2 if turn and depth == 1 + turn // 2 else 0
    return [(order[min(rank, len(order) - 1)], 1)]
