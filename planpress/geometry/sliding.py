"""Whether a solid can be drawn away along a straight line: exact for all solids, not only for prisms.

Seen along the way, the standing solid is ahead of the moving one where its surface that looks along the way lies beyond
the moving one's surface that looks back. Both surfaces are flat pieces (triangles), so it is enough to find, for each
two triangles that cover each other in this view, the greatest lead, which is taken at a corner of what they share.
"""

from __future__ import annotations

import itertools
from typing import Final

import numpy as np

from planpress.geometry.mesh import Flags, Floats, Ints

#: What triangles share is narrowed by this (mm), so that neighbours that only touch do not count.
_SLACK: Final = 2e-3
#: A lead of less than this (mm) is the rounding of touching faces.
_LEAD: Final = 2e-3
#: Faces that look less than this along the way (sine of the angle) run along it.
_ALONG: Final = 1e-6
_BATCH: Final = 4096
_PAIRS: Final = tuple(itertools.combinations(range(6), 2))


def is_blocked(moving: Floats, standing: Floats, way: Floats) -> bool:
    """True if the moving solid would run into the standing one if it were drawn away along `way`.

    Solids that only touch, along the way or beside it, do not block each other.

    Args:
        moving, standing: (n, 3, 3) and (m, 3, 3): corners (mm) of the triangles of closed meshes, which share no space;
            those that cannot meet a triangle of the other along the way may be left out.
        way: (3,) direction, any length.
    """
    if not len(moving) or not len(standing):
        return False
    axes = _axes(way)
    moving, standing = _shared(moving @ axes.T, standing @ axes.T)
    backs, tops = _looking(moving, -1), _looking(standing, 1)
    first, second = _covering(backs, tops)
    for start in range(0, len(first), _BATCH):
        a, b = backs[first[start : start + _BATCH]], tops[second[start : start + _BATCH]]
        if _greatest_leads(a, b).max(initial=0.0) > _LEAD:
            return True
    return False


def _axes(way: Floats) -> Floats:
    """Rows x, y and the way itself as z; x, y, z are square to each other."""
    z = np.asarray(way, dtype=np.float64)
    z = z / np.linalg.norm(z)
    x = np.cross(np.eye(3)[int(np.argmin(np.round(np.abs(z), 6)))], z)
    x /= np.linalg.norm(x)
    axes: Floats = np.stack([x, np.cross(z, x), z])
    return axes


def _shared(moving: Floats, standing: Floats) -> tuple[Floats, Floats]:
    """The triangles that lie in the area where the two solids' boxes cover each other in the view."""
    extents = [(triangles.min(axis=1), triangles.max(axis=1)) for triangles in (moving, standing)]
    low = np.maximum(*(extent[0].min(axis=0) for extent in extents))
    high = np.minimum(*(extent[1].max(axis=0) for extent in extents))
    first, second = (_meets(*extent, low, high) for extent in extents)
    return moving[first], standing[second]


def _looking(triangles: Floats, sign: int) -> Floats:
    """Triangles that look along z (sign 1) or against it (-1), turned anticlockwise as seen against z."""
    across = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    size = np.linalg.norm(across, axis=1)
    kept: Floats = triangles[sign * across[:, 2] > _ALONG * size]
    return kept if sign > 0 else kept[:, ::-1]


def _covering(backs: Floats, tops: Floats) -> tuple[Ints, Ints]:
    """Indices of pairs whose boxes overlap in the view and of which the second may lie ahead of the first."""
    if not len(backs) or not len(tops):
        none = np.zeros(0, dtype=np.intp)
        return none, none
    low_a, high_a, low_b, high_b = backs.min(axis=1), backs.max(axis=1), tops.min(axis=1), tops.max(axis=1)
    a = np.flatnonzero(low_a[:, 2] < high_b[:, 2].max() - _LEAD)
    b = np.flatnonzero(high_b[:, 2] > low_a[:, 2].min() + _LEAD)
    pairs = _meets(low_a[a][:, None], high_a[a][:, None], low_b[b][None], high_b[b][None])
    pairs &= high_b[b, 2][None] > low_a[a, 2][:, None] + _LEAD
    first, second = np.nonzero(pairs)
    return a[first], b[second]


def _meets(low_a: Floats, high_a: Floats, low_b: Floats, high_b: Floats) -> Flags:
    across = (low_a[..., :2] < high_b[..., :2] - _SLACK) & (low_b[..., :2] < high_a[..., :2] - _SLACK)
    meets: Flags = np.logical_and(across[..., 0], across[..., 1])
    return meets


def _greatest_leads(a: Floats, b: Floats) -> Floats:
    """(n,): how far (mm) each triangle of `b` lies beyond that of `a` at most, over what they share in the view.

    The lead is linear, so it is greatest at a corner of the shared area; corners are crossings of two of the six sides
    that lie within the other four. 0 where nothing is shared.
    """
    normals, offsets = (np.concatenate(pair, axis=1) for pair in zip(_sides(a), _sides(b), strict=True))
    lead = _plane(b) - _plane(a)
    best = np.zeros(len(a))
    for i, j in _PAIRS:
        (x0, y0), (x1, y1) = normals[:, i].T, normals[:, j].T
        determinant = x0 * y1 - y0 * x1
        crosses = np.abs(determinant) > 1e-12
        safe = np.where(crosses, determinant, 1.0)
        x = (offsets[:, i] * y1 - offsets[:, j] * y0) / safe
        y = (x0 * offsets[:, j] - x1 * offsets[:, i]) / safe
        inside = (normals[:, :, 0] * x[:, None] + normals[:, :, 1] * y[:, None] <= offsets + 1e-7).all(axis=1)
        here = lead[:, 0] * x + lead[:, 1] * y + lead[:, 2]
        best = np.where(crosses & inside & (here > best), here, best)
    return best


def _sides(triangles: Floats) -> tuple[Floats, Floats]:
    """Outward unit normals (n, 3, 2), offsets (n, 3) of anticlockwise triangles in the view, narrowed by the slack."""
    flat = triangles[:, :, :2]
    edge = np.roll(flat, -1, axis=1) - flat
    length = np.maximum(np.linalg.norm(edge, axis=2, keepdims=True), 1e-12)
    normal = np.stack([edge[..., 1], -edge[..., 0]], axis=2) / length
    return normal, (normal * flat).sum(axis=2) - _SLACK


def _plane(triangles: Floats) -> Floats:
    """(n, 3): a, b, c of the planes z = a x + b y + c."""
    p, q, r = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    n = np.cross(q - p, r - p)
    a, b = -n[:, 0] / n[:, 2], -n[:, 1] / n[:, 2]
    planes: Floats = np.stack([a, b, p[:, 2] - a * p[:, 0] - b * p[:, 1]], axis=1)
    return planes
