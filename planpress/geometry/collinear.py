"""Straight pieces of line on one line: unite them, take one from another, join them end to end."""

from __future__ import annotations

import numpy as np
from attrs import frozen

from planpress.geometry.intervals import gaps, union
from planpress.geometry.mesh import Flags, Floats, Ints


@frozen(eq=False)
class Lines:
    """Segments sorted to the straight lines they lie on.

    Attributes:
        of: (n,) line of each segment.
        low, high: (n,) its ends along the line, as a share of `span`.
        first: (g,) a segment of each line.
        direction: (g, 2) unit vector of each line.
        offset: (g,) distance of the line from the origin, to the left of its direction.
        zero, span: mm along the line at share 0, and mm per share.
        flipped: (n,) True if the segment runs against its line.
    """

    of: Ints
    low: Floats
    high: Floats
    first: Ints
    direction: Floats
    offset: Floats
    zero: float
    span: float
    flipped: Flags

    def segments(self, line: Ints, low: Floats, high: Floats) -> Floats:
        """(n, 2, 2) points in mm of intervals along the lines."""
        direction = self.direction[line]
        base = np.column_stack([-direction[:, 1], direction[:, 0]]) * self.offset[line][:, None]

        def at(share: Floats) -> Floats:
            return direction * (share * self.span + self.zero)[:, None] + base

        return np.stack([at(low), at(high)], axis=1)


def directed(segments: Floats) -> Flags:
    """(n,) True where a segment must be turned round to run to the right, or upward if upright."""
    run = segments[:, 1] - segments[:, 0]
    run = run / np.maximum(np.hypot(run[:, 0], run[:, 1]), 1e-300)[:, None]
    flags: Flags = (run[:, 0] < -1e-6) | ((np.abs(run[:, 0]) <= 1e-6) & (run[:, 1] < 0))
    return flags


def sort_to_lines(segments: Floats, keys: Ints, angle: float, offset: float) -> Lines:
    """Put segments (n, 2, 2) on common straight lines if their keys (n, k) agree too.

    Segments within `angle` (radians) of direction and `offset` (mm) sideways count as on one line. None may
    have length 0.
    """
    flipped = directed(segments)
    run = segments[:, 1] - segments[:, 0]
    run = np.where(flipped[:, None], -run, run) / np.hypot(run[:, 0], run[:, 1])[:, None]
    theta = np.arctan2(run[:, 1], run[:, 0])
    order = np.argsort(theta, kind="stable")
    theta[order] = _clusters(theta[order], angle)
    run = np.column_stack([np.cos(theta), np.sin(theta)])
    aside = segments[:, 0, 1] * run[:, 0] - segments[:, 0, 0] * run[:, 1]
    order = np.lexsort((aside, theta, *keys.T[::-1]))
    new = np.ones(len(order), dtype=np.bool_)
    new[1:] = (np.diff(keys[order], axis=0) != 0).any(axis=1)
    new[1:] |= (np.diff(theta[order]) > 0) | (np.diff(aside[order]) > offset)
    of = np.empty(len(order), dtype=np.intp)
    of[order] = np.cumsum(new) - 1
    along = np.sort(np.einsum("nkx,nx->nk", segments, run), axis=1)
    zero = float(along.min()) - 1
    span = float(along.max()) - zero + 1
    low, high = ((along - zero) / span).T
    first = order[new]
    return Lines(of, low, high, first, run[first], aside[first], zero, span, flipped)


def _clusters(values: Floats, tolerance: float) -> Floats:
    """Sorted values, each replaced by the mean of its run of neighbours no further than `tolerance` apart."""
    start = np.concatenate([[0], np.nonzero(np.diff(values) > tolerance)[0] + 1])
    count = np.diff(np.concatenate([start, [len(values)]]))
    means: Floats = np.repeat(np.add.reduceat(values, start) / count, count)
    return means


def unite(segments: Floats, keys: Ints, *, angle: float, offset: float, bridge: float) -> tuple[Floats, Ints, Lines]:
    """Unite collinear segments of equal keys that overlap or lie end to end, up to `bridge` (mm) apart.

    Returns:
        the united segments (m, 2, 2), all running to the right or upward, the line of each, and the lines.
    """
    lines = sort_to_lines(segments, keys, angle, offset)
    half = bridge / 2 / lines.span
    line, low, high = union(lines.of, lines.low - half, lines.high + half, len(lines.first))
    return lines.segments(line, low + half, high - half), line, lines


def without(
    segments: Floats, taken: Floats, *, angle: float = 1e-5, offset: float = 5e-3, margin: float = 2e-3
) -> Floats:
    """What of the segments (united where collinear) does not lie on `taken`, grown by `margin` mm."""
    if not len(segments):
        return segments
    both = np.concatenate([segments, taken])
    lines = sort_to_lines(both, np.zeros((len(both), 1), dtype=np.intp), angle, offset)
    half, count, n = margin / 2 / lines.span, len(lines.first), len(segments)
    line, low, high = union(lines.of[:n], lines.low[:n] - half, lines.high[:n] + half, count)
    # A without B is what neither the gaps of A nor B cover
    gap, gap_low, gap_high = gaps(line, low + half, high - half, count)
    line, low, high = gaps(
        np.concatenate([gap, lines.of[n:]]),
        np.concatenate([gap_low, lines.low[n:] - 2 * half]),
        np.concatenate([gap_high, lines.high[n:] + 2 * half]),
        count,
    )
    return lines.segments(line, low, high)


def lengths(segments: Floats) -> Floats:
    """(n,) lengths of segments (n, 2, 2)."""
    run = segments[:, 1] - segments[:, 0]
    result: Floats = np.hypot(run[:, 0], run[:, 1])
    return result
