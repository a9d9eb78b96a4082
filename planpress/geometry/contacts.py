"""Where two meshes touch: faces in one plane that look at each other."""

from __future__ import annotations

import numpy as np

from planpress.geometry.mesh import Flags, Floats, Ints, Mesh, normals_and_areas

#: Two unit normals are opposite if their sum is shorter than this: 1e-4 mm over a 1 m board.
_SAME_DIRECTION = 1e-7


def mesh_contact_area(a: Mesh, b: Mesh, tolerance: float = 1e-4) -> float:
    """Area (mm2) over which faces of `a` and `b` look at each other within `tolerance` (mm) of one plane.

    Exact for flat faces: the triangles of each mesh do not overlap, so the overlaps of all pairs add up.
    """
    corners_a, corners_b = a.corners(), b.corners()
    near_a = _near(corners_a, corners_b, tolerance)
    corners_a = corners_a[near_a]
    corners_b = corners_b[_near(corners_b, corners_a, tolerance)]
    if not len(corners_a) or not len(corners_b):
        return 0.0
    normal_a, area_a = normals_and_areas(corners_a)
    normal_b, area_b = normals_and_areas(corners_b)
    middle = corners_a.reshape(-1, 3).mean(axis=0)  # distances from nearby, for full precision
    offset_a = np.einsum("ijk,ik->ij", corners_a - middle, normal_a).mean(axis=1)
    offset_b = np.einsum("ijk,ik->ij", corners_b - middle, normal_b).mean(axis=1)
    facing = np.abs(normal_a[:, None] + normal_b[None]).max(axis=2) < _SAME_DIRECTION
    facing &= np.abs(offset_a[:, None] + offset_b[None]) <= tolerance
    facing &= (area_a > 0)[:, None] & (area_b > 0)[None]
    low_a, high_a, low_b, high_b = corners_a.min(1), corners_a.max(1), corners_b.min(1), corners_b.max(1)
    for axis in range(3):
        facing &= low_a[:, None, axis] <= high_b[None, :, axis] + tolerance
        facing &= low_b[None, :, axis] <= high_a[:, None, axis] + tolerance
    i, j = np.nonzero(facing)
    if not len(i):
        return 0.0
    right, up = _plane_axes(normal_a[i])

    def on_plane(corners: Floats) -> Floats:
        return np.stack([np.einsum("ijk,ik->ij", corners, right), np.einsum("ijk,ik->ij", corners, up)], axis=2)

    first, second = on_plane(corners_a[i] - middle), on_plane(corners_b[j] - middle)
    return float(triangle_overlaps(first, second[:, ::-1]).sum())


def _near(corners: Floats, others: Floats, tolerance: float) -> Flags:
    """Which triangles reach into the box around all the others."""
    if not len(others):
        return np.zeros(len(corners), dtype=np.bool_)
    low, high = others.min(axis=(0, 1)) - tolerance, others.max(axis=(0, 1)) + tolerance
    reaches: Flags = ((corners.max(axis=1) >= low) & (corners.min(axis=1) <= high)).all(axis=1)
    return reaches


def _plane_axes(normal: Floats) -> tuple[Floats, Floats]:
    """Two unit directions across each normal (n, 3), right-handed with it."""
    least = np.argmin(np.abs(normal), axis=1)
    right = np.cross(np.eye(3)[least], normal)
    right /= np.linalg.norm(right, axis=1)[:, None]
    return right, np.cross(normal, right)


def triangle_overlaps(first: Floats, second: Floats) -> Floats:
    """Areas (n,) common to the triangles first[i] and second[i]; both (n, 3, 2), counter-clockwise.

    Each first triangle is cut by the three sides of the second in turn (Sutherland and Hodgman), all at once.
    """
    polygon, count = first, np.full(len(first), 3)
    for side in range(3):
        start, end = second[:, side], second[:, (side + 1) % 3]
        polygon, count = _cut(polygon, count, start, end - start)
    following = np.roll(polygon, -1, axis=1)
    twice = polygon[..., 0] * following[..., 1] - polygon[..., 1] * following[..., 0]
    areas: Floats = np.where(count >= 3, twice.sum(axis=1) / 2, 0.0)
    return np.maximum(areas, 0.0)


def _cut(polygon: Floats, count: Ints, start: Floats, along: Floats) -> tuple[Floats, Ints]:
    """Keep what lies left of a line. Polygons (n, k, 2) have `count` points, then repeat the first."""
    rows, width = polygon.shape[:2]
    relative = polygon - start[:, None]
    height = along[:, None, 0] * relative[..., 1] - along[:, None, 1] * relative[..., 0]
    after, height_after = np.roll(polygon, -1, axis=1), np.roll(height, -1, axis=1)
    real = np.arange(width)[None] < count[:, None]
    inside = height >= 0
    crosses = real & (inside != (height_after >= 0))
    share = height / np.where(crosses, height - height_after, 1.0)
    crossing = polygon + (after - polygon) * share[..., None]
    points = np.stack([polygon, crossing], axis=2).reshape(rows, 2 * width, 2)
    kept = np.stack([real & inside, crosses], axis=2).reshape(rows, 2 * width)
    order = np.argsort(~kept, axis=1, kind="stable")
    number: Ints = kept.sum(axis=1)
    wide = int(number.max(initial=1)) or 1
    places = np.arange(wide)[None]
    pick = np.where(places < number[:, None], places, 0)
    index = np.take_along_axis(order, pick, axis=1)
    return np.take_along_axis(points, index[..., None], axis=1), number
