"""Intervals of many lines at once: cut them, unite them, find their gaps.

Each row is one line with a parameter from 0 to 1.
"""

from __future__ import annotations

import numpy as np

from planpress.geometry.mesh import Floats, Ints

# Rows are laid one after the other on one number line, this far apart, with a fence between them.
_PITCH = 4.0


def narrow(value: Floats, slope: Floats, low: Floats, high: Floats) -> None:
    """Cut each range [low, high] in place to where value + t * slope >= 0; an empty one gets high <= low."""
    slope = np.where(np.abs(slope) < 1e-12, 1e-300, slope)
    root = -value / slope
    rising = slope > 0
    np.maximum(low, root, out=low, where=rising)
    np.minimum(high, root, out=high, where=~rising)


def gaps(row: Ints, low: Floats, high: Floats, rows: int) -> tuple[Ints, Floats, Floats]:
    """What of [0, 1] the intervals of each row leave free.

    Args:
        row: (n,) the row (0 to rows - 1) of each interval.
        low, high: (n,) its ends; they may reach a little beyond [0, 1].
        rows: number of rows.

    Returns:
        row, low and high of each gap, in rising order.
    """
    every = np.arange(rows)
    starts = np.concatenate([row * _PITCH + low, every * _PITCH - 1.0, every * _PITCH + 1.0])
    ends = np.concatenate([row * _PITCH + high, every * _PITCH, every * _PITCH + 2.0])
    order = np.argsort(starts, kind="stable")
    starts, ends = starts[order], np.maximum.accumulate(ends[order])
    free = np.nonzero(starts[1:] > ends[:-1])[0]
    begin, end = ends[free], starts[free + 1]
    of_row = np.round((begin + end) / (2 * _PITCH) - 0.125).astype(np.intp)
    within = (begin >= of_row * _PITCH - 1e-12) & (end <= of_row * _PITCH + 1 + 1e-12)
    of_row = of_row[within]
    return of_row, begin[within] - of_row * _PITCH, end[within] - of_row * _PITCH


def union(row: Ints, low: Floats, high: Floats, rows: int) -> tuple[Ints, Floats, Floats]:
    """The intervals of each row joined where they overlap or touch, in rising order, within [0, 1]."""
    return gaps(*gaps(row, low, high, rows), rows)


def ragged(start: Ints, count: Ints) -> tuple[Ints, Ints]:
    """Indices of runs of unequal length: run k holds start[k], start[k] + 1, ... (count[k] of them).

    Returns:
        the run of each entry and its index.
    """
    run = np.repeat(np.arange(len(count)), count)
    return run, np.arange(len(run)) - np.repeat(np.cumsum(count) - count, count) + start[run]
