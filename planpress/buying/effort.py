"""How hard a search tries: counts of rounds, nodes and patterns end it, so that equal input gives equal layouts.

A clock is a safety net only; a layout that it has cut short says so (`Watch.rang`).
"""

from __future__ import annotations

import time
from collections.abc import Callable

from attrs import frozen

#: What a layout tells when its search did not end by counts.
CUT_SHORT = "The search was cut short by the clock; another machine may find another layout."


@frozen
class Effort:
    """Limits of one search.

    Attributes:
        rounds: of column generation, for each linear program.
        dives: times the linear program is rounded to a plan, each time otherwise.
        patterns: most ways to cut one board (or strip) that are listed for a proof.
        nodes: of a branch-and-bound search that looks for a cheaper plan; finishing_nodes: of one that only makes an
            equally cheap plan neater.
        starts: orders of the parts that are tried on sheets.
        seconds: safety net, on the wall clock.
    """

    rounds: int = 2000
    dives: int = 12
    patterns: int = 60_000
    nodes: int = 2_000
    finishing_nodes: int = 20
    starts: int = 4_000
    seconds: float = 60.0


class Watch:
    """The safety net: tells when its time is up, and remembers that it did.

    Args:
        seconds: until it rings. clock: for tests; gives seconds.
    """

    def __init__(self, seconds: float, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._end = clock() + seconds
        self.rang = False

    def is_up(self) -> bool:
        """True once the time is over."""
        if not self.rang and self._clock() >= self._end:
            self.rang = True
        return self.rang

    def left(self) -> float:
        """Seconds that are left, at least a hundredth."""
        return max(0.01, self._end - self._clock())
