"""Best fillings of a length with parts that each come a limited number of times, in whole numbers.

One table answers for every length up to the longest at once.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]


class Fillings:
    """Best total value of parts whose lengths add up to no more than a capacity.

    `best` holds it for every length up to the capacity; `best_of_first`, for the capacity, with the first kind, the
    first two, and so on.

    Args:
        capacity: longest length asked for.
        lengths: of each kind of part, at least 1.
        values: of one part of each kind; kinds with no value are left out of fillings.
        most: parts there are of each kind.
    """

    def __init__(self, capacity: int, lengths: Sequence[int], values: Sequence[int], most: Sequence[int]) -> None:
        self.best: Ints = np.zeros(capacity + 1, dtype=np.int64)
        self._kinds = len(lengths)
        self.best_of_first: list[int] = []
        self._taken: list[tuple[int, int, int, NDArray[np.bool_]]] = []  # kind, parts, their length, where it pays
        for kind in range(self._kinds):
            left = min(most[kind], capacity // lengths[kind]) if values[kind] > 0 else 0
            bundle = 1
            while left > 0:  # 1, 2, 4 ... parts at a time
                parts = min(bundle, left)
                length = parts * lengths[kind]
                with_it = self.best[:-length] + parts * values[kind]
                pays = with_it > self.best[length:]
                self.best[length:] = np.where(pays, with_it, self.best[length:])
                self._taken.append((kind, parts, length, pays))
                left -= parts
                bundle *= 2
            self.best_of_first.append(int(self.best[capacity]))

    def filling(self, capacity: int, kinds: int | None = None) -> list[int]:
        """Parts of each kind in the best filling of a length, of all kinds or of the first so many."""
        counts = [0] * self._kinds
        room = capacity
        for kind, parts, length, pays in reversed(self._taken):
            if kinds is not None and kind >= kinds:
                continue
            if room >= length and pays[room - length]:
                counts[kind] += parts
                room -= length
        return counts


def completions(capacity: int, lengths: Sequence[int], values: Sequence[int], most: Sequence[int]) -> list[Ints]:
    """Best value of a capacity with the kinds from index j on, for every j from 0 to the number of kinds.

    Returns:
        Arrays of capacity + 1 values; entry j does without the kinds before j.
    """
    tables: list[Ints] = [np.zeros(capacity + 1, dtype=np.int64)]
    for kind in range(len(lengths) - 1, -1, -1):
        table = tables[-1].copy()
        left = min(most[kind], capacity // lengths[kind]) if values[kind] > 0 else 0
        bundle = 1
        while left > 0:
            parts = min(bundle, left)
            length = parts * lengths[kind]
            table[length:] = np.maximum(table[length:], table[:-length] + parts * values[kind])
            left -= parts
            bundle *= 2
        tables.append(table)
    tables.reverse()
    return tables
