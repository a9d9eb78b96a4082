"""Where lines of a picture run close beside each other, so that they can be drawn thinner there."""

from __future__ import annotations

import numpy as np

from planpress.geometry.collinear import lengths
from planpress.geometry.intervals import gaps, union
from planpress.geometry.mesh import Flags, Floats, Ints

#: Lines within this sine of each other's direction run side by side.
_BESIDE = 0.15
#: Nearer than this (mm) they are one line.
_SAME = 0.02
#: Shorter stretches (mm) than this do not matter.
_SHORT = 0.4
_CHUNK = 200_000


def close_stretches(lines: Floats, watched: Flags, limit: float) -> tuple[Floats, Ints, Ints]:
    """Cut lines where others begin or cease to run beside them.

    Args:
        lines: (n, 2, 2) mm on paper. watched: (n,) which lines count, on both sides.
        limit: distance in mm below which lines are close; below half of it they are very close.

    Returns:
        the stretches (m, 2, 2), the line of each (m,), and 0 if it is free, 1 if close, 2 if very close (m,).
    """
    size = lengths(lines)
    rows = np.flatnonzero(watched & (size > _SHORT))
    row, low, high, apart = _beside(lines[rows], size[rows], limit)
    bounds = []
    near, near_low, near_high = union(row, low, high, len(rows))
    tight = apart < limit / 2
    dense, dense_low, dense_high = union(row[tight], low[tight], high[tight], len(rows))
    # what is close but not very close: the gaps of "not close or very close"
    free, free_low, free_high = gaps(near, near_low, near_high, len(rows))
    some, some_low, some_high = gaps(
        np.concatenate([free, dense]),
        np.concatenate([free_low, dense_low]),
        np.concatenate([free_high, dense_high]),
        len(rows),
    )
    for step, (line, a, b) in enumerate(
        ((free, free_low, free_high), (some, some_low, some_high), (dense, dense_low, dense_high))
    ):
        bounds.append((rows[line], a, b, np.full(len(line), step)))
    is_other = np.ones(len(lines), dtype=np.bool_)
    is_other[rows] = False
    rest = np.flatnonzero(is_other)
    bounds.append((rest, np.zeros(len(rest)), np.ones(len(rest)), np.zeros(len(rest), dtype=np.intp)))
    line, a, b, step_of = (np.concatenate(column) for column in zip(*bounds, strict=True))
    keep = (b - a) * size[line] > 1e-4
    line, a, b, step_of = line[keep], a[keep], b[keep], step_of[keep]
    order = np.lexsort((a, line))
    line, a, b, step_of = line[order], a[order], b[order], step_of[order]
    start, run = lines[line, 0], lines[line, 1] - lines[line, 0]
    cut = np.stack([start + run * a[:, None], start + run * b[:, None]], axis=1)
    return cut, line, step_of


def _beside(lines: Floats, size: Floats, limit: float) -> tuple[Ints, Floats, Floats, Floats]:
    """Pairs that run side by side: line, low and high share of it where the other runs, distance (mm)."""
    run = (lines[:, 1] - lines[:, 0]) / np.maximum(size, 1e-300)[:, None]
    low, high = lines.min(axis=1) - limit, lines.max(axis=1) + limit
    found: list[tuple[Ints, Floats, Floats, Floats]] = []
    step = max(1, _CHUNK // max(1, len(lines)))
    for begin in range(0, len(lines), step):
        i, j = np.nonzero(
            (low[begin : begin + step, None] <= lines.max(axis=1)[None]).all(axis=2)
            & (lines.min(axis=1)[None] <= high[begin : begin + step, None]).all(axis=2)
        )
        i = i + begin
        other = i != j
        i, j = i[other], j[other]
        across = np.abs(run[i, 0] * run[j, 1] - run[i, 1] * run[j, 0])
        i, j = i[across < _BESIDE], j[across < _BESIDE]
        ends = lines[j] - lines[i, 0][:, None]
        along = np.einsum("nkx,nx->nk", ends, run[i])
        aside = np.abs(ends[..., 0] * -run[i, 1][:, None] + ends[..., 1] * run[i, 0][:, None])
        from_, to = np.maximum(along.min(axis=1), 0), np.minimum(along.max(axis=1), size[i])
        apart = aside.mean(axis=1)
        keep = (to - from_ > _SHORT) & (apart < limit) & (apart > _SAME)
        found.append((i[keep], (from_ / size[i])[keep], (to / size[i])[keep], apart[keep]))
    if not found:
        return np.zeros(0, dtype=np.intp), np.zeros(0), np.zeros(0), np.zeros(0)
    row, a, b, apart = (np.concatenate(column) for column in zip(*found, strict=True))
    return row, a, b, apart
