"""Round things as polygons: meshes of revolution for holes, dowels and screws."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from planpress.geometry.mesh import Floats, Mesh

#: Segments round a hole or rod. Few are enough in pictures: true circles are drawn from the hole's own size.
SEGMENTS = 24


def across_axis(direction: Floats) -> Floats:
    """A unit vector (3,) square to `direction`, alike for both senses of the axis and its mirror image.

    It lies in the plane of the axis and of that coordinate axis from which it leans most.
    """
    axis = np.asarray(direction, dtype=np.float64)
    axis = axis / np.linalg.norm(axis)
    # rounding keeps float noise from choosing between equally good coordinate axes
    least = int(np.argmin(np.round(np.abs(axis), 6)))
    base = np.eye(3)[least]
    across: Floats = base - axis * axis[least]
    return across / np.linalg.norm(across)


def revolved(
    profile: Sequence[tuple[float, float]],
    point: Sequence[float] | Floats,
    direction: Sequence[float] | Floats,
    *,
    segments: int = SEGMENTS,
    across: Sequence[float] | Floats | None = None,
    name: str = "round",
) -> Mesh:
    """A solid of revolution whose corners lie on the true circles.

    Args:
        profile: (depth, radius) pairs in mm, depth along `direction` from `point`, never decreasing. Equal
            depths make a flat ring. The first and last radius may be 0 (a point); the others may not.
        point: where depth is 0, mm.
        direction: the way depth grows; any length.
        segments: corners of each circle; even, at least 4.
        across: the way from the axis to the first corner; default `across_axis`, so that what shares an axis
            and a number of segments fits corner to corner.
        name: face names are "name start", "name 1", "name 2"... (bands along the profile) and "name end".

    Raises:
        ValueError: if the profile or the number of segments is not of that kind.
    """
    depths = np.array([p[0] for p in profile], dtype=np.float64)
    radii = np.array([p[1] for p in profile], dtype=np.float64)
    if len(depths) < 2 or (np.diff(depths) < 0).any() or depths[0] == depths[-1]:
        raise ValueError("a profile needs two or more points, their depths in rising order")
    if (radii < 0).any() or (radii[1:-1] == 0).any() or not (radii > 0).any():
        raise ValueError("radii are positive; only the first or last may be 0")
    if ((np.diff(depths) == 0) & (np.diff(radii) == 0)).any():
        raise ValueError("two points of the profile are the same")
    if segments < 4 or segments % 2:
        raise ValueError("a circle needs an even number of segments, 4 or more")
    axis = np.asarray(direction, dtype=np.float64)
    axis = axis / np.linalg.norm(axis)
    first = across_axis(axis) if across is None else np.asarray(across, dtype=np.float64)
    first = first - axis * (first @ axis)
    first = first / np.linalg.norm(first)
    circle = _circle(segments) @ np.stack([first, np.cross(axis, first)])

    points: list[Floats] = []
    rings: list[list[int]] = []
    for depth, radius in zip(depths, radii, strict=True):
        centre = np.asarray(point, dtype=np.float64) + axis * depth
        base = sum(len(p) for p in points)
        ring = centre[None] if radius == 0 else centre + circle * radius
        points.append(ring)
        rings.append([base] * segments if radius == 0 else list(range(base, base + segments)))

    triangles: list[tuple[int, int, int]] = []
    labels: list[int] = []
    names: list[str] = []

    def face(new: list[tuple[int, int, int]], face_name: str) -> None:
        solid = [t for t in new if len(set(t)) == 3]
        triangles.extend(solid)
        labels.extend([len(names)] * len(solid))
        names.append(face_name)

    if radii[0] > 0:
        ring = rings[0]
        face([(ring[0], ring[k + 1], ring[k]) for k in range(1, segments - 1)], f"{name} start")
    for band, (near, far) in enumerate(pairwise(rings), start=1):
        wall: list[tuple[int, int, int]] = []
        for k in range(segments):
            n = (k + 1) % segments
            wall += [(near[k], near[n], far[n]), (near[k], far[n], far[k])]
        face(wall, f"{name} {band}")
    if radii[-1] > 0:
        ring = rings[-1]
        face([(ring[0], ring[k], ring[k + 1]) for k in range(1, segments - 1)], f"{name} end")
    return Mesh(
        np.concatenate(points),
        np.array(triangles, dtype=np.intp),
        np.array(labels, dtype=np.intp),
        tuple(names),
    )


def _circle(segments: int) -> Floats:
    """Corners (segments, 2) on the unit circle; opposite corners are exactly opposite."""
    half = np.arange(segments // 2) * (2 * np.pi / segments)
    corners = np.column_stack([np.cos(half), np.sin(half)])
    return np.concatenate([corners, -corners])
