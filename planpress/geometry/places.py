"""Good places inside a region: where the dot of a leader is clear of all borders."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import frozen

from planpress.geometry.mesh import Flags, Floats
from planpress.geometry.regions import Loop

# Points measured at a time against all sides of the loops.
_CHUNK = 400_000
# Squares kept at each halving.
_KEPT = 64


@frozen
class Place:
    """A point inside a region, mm on paper, and its distance to the nearest border."""

    x: float
    y: float
    clearance: float


def clearances(loops: Sequence[Loop], points: Floats) -> Floats:
    """Distance (n,) in mm of points (n, 2) to the nearest border, negative outside the region (even-odd)."""
    start = np.concatenate([np.array(loop) for loop in loops])
    end = np.concatenate([np.roll(np.array(loop), -1, axis=0) for loop in loops])
    run = end - start
    square = np.maximum((run**2).sum(axis=1), 1e-300)
    out = np.empty(len(points))
    step = max(1, _CHUNK // len(start))
    for begin in range(0, len(points), step):
        p = points[begin : begin + step]
        off = p[:, None] - start[None]
        share = np.clip((off * run).sum(axis=2) / square, 0.0, 1.0)
        gap = off - share[..., None] * run[None]
        distance = np.sqrt((gap**2).sum(axis=2).min(axis=1))
        out[begin : begin + step] = np.where(_inside(start, end, p), distance, -distance)
    return out


def _inside(start: Floats, end: Floats, points: Floats) -> Flags:
    """Whether an even or odd number of sides lies to the right of each point."""
    x, y = points[:, 0, None], points[:, 1, None]
    spans = (start[None, :, 1] > y) != (end[None, :, 1] > y)
    rise = np.where(end[:, 1] == start[:, 1], 1.0, end[:, 1] - start[:, 1])
    at = start[None, :, 0] + (y - start[None, :, 1]) / rise[None] * (end - start)[None, :, 0]
    odd: Flags = ((spans & (at > x)).sum(axis=1) % 2).astype(np.bool_)
    return odd


def point_inside(loops: Sequence[Loop], precision: float = 0.05) -> Place:
    """The point of a region furthest from its borders, or nearly.

    Squares that may hold a better point are halved, until none kept promises more than the share `precision`
    above the best. Among equals the point nearest the middle of the region's box wins, then the leftmost, then
    the lowest.

    Raises:
        ValueError: if there is no region.
    """
    corners = np.array([point for loop in loops for point in loop]).reshape(-1, 2)
    size = np.ptp(corners, axis=0) if len(corners) else np.zeros(2)
    if size.min() <= 0:
        raise ValueError("no region to find a point in")
    low, middle = corners.min(axis=0), corners.min(axis=0) + size / 2
    half = max(float(size.min()), float(size.max()) / _KEPT) / 2
    counts = np.maximum(1, np.ceil(size / (2 * half) - 1e-9)).astype(int)
    if counts.max() > 1:  # an odd number of squares has one in the middle
        counts += (counts + 1) % 2
    cells = middle + (np.indices(tuple(counts.tolist())).reshape(2, -1).T - (counts - 1) / 2) * 2 * half
    grain = float(size.min()) * 1e-6
    best = Place(float(low[0]), float(low[1]), -np.inf)
    while len(cells):
        clear = clearances(loops, cells)
        distance = np.hypot(*(cells - middle).T)
        order = np.lexsort((cells[:, 1], cells[:, 0], np.round(distance / grain), -np.round(clear / grain)))
        leader = order[0]
        if clear[leader] > best.clearance + grain:
            best = Place(float(cells[leader, 0]), float(cells[leader, 1]), float(clear[leader]))
        enough = max(best.clearance, grain) * (1 + precision)
        order = order[clear[order] + half * np.sqrt(2.0) > enough][:_KEPT]
        half /= 2
        corner = np.array([(-half, -half), (-half, half), (half, -half), (half, half)])
        cells = (cells[order, None] + corner[None]).reshape(-1, 2)
    return best


def places_inside(loops: Sequence[Loop], clearance: float, spacing: float) -> list[Place]:
    """Points of a square grid, `spacing` mm apart, that are at least `clearance` mm inside; by y, then x.

    A choice of targets for leaders; may be empty.
    """
    if not loops:
        return []
    corners = np.concatenate([np.array(loop) for loop in loops])
    low, high = corners.min(axis=0), corners.max(axis=0)
    counts = np.maximum(1, np.floor((high - low) / spacing)).astype(int)
    first = (low + high) / 2 - (counts - 1) * spacing / 2
    grid = first + np.indices(tuple(counts[::-1].tolist())).reshape(2, -1)[::-1].T * spacing
    clear = clearances(loops, grid)
    return [Place(x, y, c) for (x, y), c in zip(grid.tolist(), clear.tolist(), strict=True) if c >= clearance]
