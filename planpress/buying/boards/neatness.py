"""Of the plans of least cost the one that is handiest: least length, fewest boards, fewest different layouts, longest
offcut, parts of one kind together. Each is the best found, none is proven."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from planpress.buying.boards.enumeration import patterns_within
from planpress.buying.boards.normal import Normal, Pattern, plan_cost, trimmed
from planpress.buying.boards.search import Search
from planpress.buying.boards.whole import plan_of, programme
from planpress.buying.effort import Effort, Watch
from planpress.buying.highs import Floats, Row, solve_whole

#: Patterns from which neater plans are made, and the most for fewest layouts, where the search is slower.
_POOL = 500
_SMALL_POOL = 24
#: Pieces up to which parts are moved and exchanged one by one, and the most exchanges that are tried.
_PIECES = 80
_TRIES = 600

Rating = tuple[int, int, int, int, int, int]


def rating(normal: Normal, plan: Sequence[Pattern]) -> Rating:
    """What is compared, less is better: cost, length, boards, layouts, longest offcut (negative), boards of a kind."""
    layouts = list(dict.fromkeys(plan))
    longest = max((normal.capacities[p.stock] - normal.weight(p.counts) for p in layouts), default=0)
    return (
        plan_cost(normal, plan),
        sum(normal.lengths[pattern.stock] for pattern in plan),
        len(plan),
        len(layouts),
        -longest,
        sum(1 for pattern in plan for count in pattern.counts if count),
    )


def neatest(state: Search, effort: Effort, watch: Watch) -> list[Pattern]:
    """The handiest plan found that costs no more than the cheapest; equal boards next to each other."""
    normal = state.normal
    assert state.plan is not None
    best = trimmed(normal, state.plan)
    if normal.kinds and effort.finishing_nodes and not watch.is_up():
        pool = _pool(state, best)
        best = _better(normal, best, _fewest_boards(normal, pool, best, effort.finishing_nodes, watch))
        if sum(normal.demand) <= _PIECES:
            best = _better(normal, best, _fewest_layouts(state, pool, best, effort.finishing_nodes, watch))
            best = _exchanged(normal, best)
    order = {pattern: i for i, pattern in enumerate(dict.fromkeys(best))}
    largest_first = sorted(order, key=lambda p: (-best.count(p), -normal.lengths[p.stock], order[p]))
    return [pattern for pattern in largest_first for _ in range(best.count(pattern))]


def _better(normal: Normal, old: list[Pattern], new: list[Pattern] | None) -> list[Pattern]:
    """The better of two plans."""
    if new is None:
        return old
    new = trimmed(normal, new)
    return new if rating(normal, new) < rating(normal, old) else old


def _pool(state: Search, plan: Sequence[Pattern]) -> list[Pattern]:
    """All patterns of plans of least cost if they are few, else those found in the search; those of the plan first."""
    listed = patterns_within(state.normal, state.duals, state.cost, _POOL)
    own = list(dict.fromkeys(plan))
    known = set(own)
    return own + [p for p in (state.patterns if listed is None else listed) if p not in known][:_POOL]


def _mix_rows(normal: Normal, plan: Sequence[Pattern], columns: int) -> list[Row]:
    """Rows that let a plan have no more length and boards than the given one; board counts follow `columns`."""
    boards = np.arange(columns, columns + len(normal.prices), dtype=np.int64)
    _, length, count, *_ = rating(normal, plan)
    return [
        Row(boards, np.array(normal.lengths, dtype=np.float64), 0.0, length),
        Row(boards, np.ones(len(boards)), 0.0, count),
    ]


def _fewest_boards(
    normal: Normal, pool: Sequence[Pattern], plan: list[Pattern], nodes: int, watch: Watch
) -> list[Pattern] | None:
    """A plan of less length, or equal length and fewer boards; None if there is none or none was found."""
    cost, length, count, *_ = rating(normal, plan)
    weights = np.array([size * (count + 1) + 1 for size in normal.lengths], dtype=np.float64)
    mix = np.arange(len(normal.prices), dtype=np.int64)
    rows = [
        Row(mix, np.array(normal.prices, dtype=np.float64), cost, cost),
        Row(mix, np.array(normal.capacities, dtype=np.float64), float(normal.weight(normal.demand)), math.inf),
    ]
    least = solve_whole(weights, np.array(normal.limits, dtype=np.float64), rows, nodes, watch)
    have = length * (count + 1) + count
    if least.state == "best" and round(float(weights @ least.values)) >= have:
        return None
    program = programme(normal, pool, cost, cost)
    boards = np.arange(len(pool), len(pool) + len(normal.prices), dtype=np.int64)
    goal = Row(boards, weights, 0.0, have - 1)
    costs = np.concatenate((np.zeros(len(pool)), weights))
    answer = solve_whole(costs, program.highs.astype(np.float64), [*program.rows, goal], nodes, watch)
    return plan_of(normal, pool, answer.values) if len(answer.values) else None


def _fewest_layouts(
    state: Search, pool: Sequence[Pattern], plan: list[Pattern], nodes: int, watch: Watch
) -> list[Pattern] | None:
    """A plan of fewer different boards: a switch for each pattern; None if none was found."""
    normal = state.normal
    cost, _, count, layouts, *_ = rating(normal, plan)
    if layouts <= len({pattern.stock for pattern in plan}) or layouts == 1:
        return None
    pool = pool[:_SMALL_POOL]
    program = programme(normal, pool, cost, cost)
    size, stocks = len(pool), len(normal.prices)
    switches = np.arange(size + stocks, 2 * size + stocks, dtype=np.int64)
    highs = np.minimum(program.highs, count)
    rows = [*program.rows, *_mix_rows(normal, plan, size), Row(switches, np.ones(size), 1.0, layouts - 1)]
    rows += [
        Row(np.array([i, switches[i]], dtype=np.int64), np.array([1.0, -float(highs[i])]), -math.inf, 0.0)
        for i in range(size)
    ]
    costs: Floats = np.concatenate((np.zeros(size + stocks), np.ones(size)))
    tops = np.concatenate((highs, np.ones(size, dtype=np.int64))).astype(np.float64)
    answer = solve_whole(costs, tops, rows, nodes, watch)
    return plan_of(normal, pool, answer.values) if len(answer.values) else None


def _exchanged(normal: Normal, plan: list[Pattern]) -> list[Pattern]:
    """Move a part to another board, or exchange two parts, as long as the plan gets better by it."""
    boards = list(plan)
    best = rating(normal, boards)
    tries, changed = 0, True
    while changed:
        changed = False
        for one, other in ((i, j) for i in range(len(boards)) for j in range(len(boards)) if i != j):
            for swapped in _swaps(normal, boards[one], boards[other]):
                tries += 1
                if tries > _TRIES:
                    return boards
                trial = list(boards)
                trial[one], trial[other] = swapped
                new = rating(normal, trial)
                if new < best:
                    boards, best, changed = trial, new, True
                    break
    return boards


def _swaps(normal: Normal, one: Pattern, other: Pattern) -> Iterator[tuple[Pattern, Pattern]]:
    """Both boards after a part has gone from the first to the other and perhaps a shorter one come back, if it fits."""
    room = normal.capacities[other.stock] - normal.weight(other.counts)
    for give, count in enumerate(one.counts):
        if not count:
            continue
        weight = normal.weights[give]
        if weight <= room and sum(one.counts) > 1:
            yield _changed(one, give, None), _changed(other, None, give)
        for take in range(give + 1, normal.kinds):
            if other.counts[take] and weight - normal.weights[take] <= room:
                yield _changed(one, give, take), _changed(other, take, give)


def _changed(pattern: Pattern, less: int | None, more: int | None) -> Pattern:
    """A pattern with one part less of a kind and one more of another."""
    counts = tuple(count - (kind == less) + (kind == more) for kind, count in enumerate(pattern.counts))
    return Pattern(pattern.stock, counts)
