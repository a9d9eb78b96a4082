"""Every pattern that a plan within a given cost can contain.

By `Duals`, a pattern that costs more than its parts by over cost - bound is in no plan of that cost. Only maximal
patterns are listed (no further part fits): a plan may hold more parts than asked for, and is trimmed later.
"""

from __future__ import annotations

import numpy as np

from planpress.buying.boards.columns import Duals
from planpress.buying.boards.normal import Normal, Pattern
from planpress.buying.knapsack import completions


def patterns_within(normal: Normal, duals: Duals, cost: int, most: int) -> list[Pattern] | None:
    """All maximal patterns that a plan of at most `cost` coins can contain; None if there are more than `most`.

    The patterns grow kind by kind, all at once; a beginning is kept if its best ending is still within the cost.
    """
    spare = cost * duals.scale - duals.bound
    if spare < 0:
        return []
    usable = [s for s in normal.stocks if normal.limits[s]]
    ends = completions(normal.longest, normal.weights, duals.parts, normal.demand)
    stock = np.array(usable, dtype=np.int64)
    room = np.array([normal.capacities[s] for s in usable], dtype=np.int64)
    need = np.array([normal.prices[s] * duals.scale + duals.rent[s] - spare for s in usable], dtype=np.int64)
    skipped = np.full(len(usable), normal.longest + 1, dtype=np.int64)  # least weight left out though there were more
    counts = np.zeros((len(usable), normal.kinds), dtype=np.int32)
    rest = normal.weight(normal.demand)
    keep = ends[0][room] >= need
    stock, room, need, skipped, counts = stock[keep], room[keep], need[keep], skipped[keep], counts[keep]
    for kind, (weight, demand, price) in enumerate(zip(normal.weights, normal.demand, duals.parts, strict=True)):
        rest -= weight * demand
        most_here = np.minimum(room // weight, demand)
        grown = []
        for count in range(int(most_here.max(initial=0)) + 1):
            able = np.flatnonzero(most_here >= count)
            room_left = room[able] - count * weight
            need_left = need[able] - count * price
            least = np.minimum(skipped[able], weight) if count < demand else skipped[able]
            good = (ends[kind + 1][room_left] >= need_left) & (room_left - rest < least)
            grown.append((able[good], room_left[good], need_left[good], least[good], count))
        if sum(len(part[0]) for part in grown) > most:
            return None
        source = np.concatenate([part[0] for part in grown])
        stock = stock[source]
        room = np.concatenate([part[1] for part in grown])
        need = np.concatenate([part[2] for part in grown])
        skipped = np.concatenate([part[3] for part in grown])
        counts = counts[source]
        counts[:, kind] = np.concatenate([np.full(len(part[0]), part[4], dtype=np.int32) for part in grown])
    maximal = room < skipped
    return [
        Pattern(int(s), tuple(row)) for s, row in zip(stock[maximal].tolist(), counts[maximal].tolist(), strict=True)
    ]
