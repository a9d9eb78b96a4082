"""Outlines of flat faces at true size, for full-scale templates."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import frozen

from planpress.geometry.mesh import Floats, Mesh, half_edge_pairs, normals_and_areas

#: Corners closer than this (mm) to the line through their neighbours are left out.
STRAIGHT = 1e-6


@frozen(eq=False)
class Outline:
    """A flat face as closed loops in its plane, seen from outside the wood.

    Attributes:
        loops: (k, 2) corners of each loop, mm: outer loops counter-clockwise, holes clockwise. Outer loops
            first, the largest first; then holes, the largest first.
        origin: (3,) the plane's origin in the solid's space, mm.
        right, up: (3,) unit vectors of the plane's x and y.
    """

    loops: list[Floats]
    origin: Floats
    right: Floats
    up: Floats

    @property
    def area(self) -> float:
        """Area of the face, mm2."""
        return sum(signed_area(loop) for loop in self.loops)

    @property
    def outer(self) -> list[Floats]:
        """The outer loops."""
        return [loop for loop in self.loops if signed_area(loop) > 0]

    @property
    def holes(self) -> list[Floats]:
        """The loops of holes."""
        return [loop for loop in self.loops if signed_area(loop) < 0]


def signed_area(loop: Floats) -> float:
    """Area (mm2) of a closed loop (k, 2): positive if it runs counter-clockwise."""
    after = np.roll(loop, -1, axis=0)
    return float((loop[:, 0] * after[:, 1] - after[:, 0] * loop[:, 1]).sum() / 2)


def face_outline(
    mesh: Mesh,
    point: Sequence[float] | Floats,
    normal: Sequence[float] | Floats,
    right: Sequence[float] | Floats | None = None,
    tolerance: float = 1e-4,
) -> Outline:
    """The outline of all of the surface that lies in one plane and looks one way.

    Args:
        mesh: the solid's surface.
        point: a point of the plane, mm; it becomes the origin.
        normal: the way the face looks, out of the wood; any length. (Floors of notches and of blind holes
            look the same way, but lie in other planes.)
        right: the way of the plane's x; what of it points out of the plane is left off. Default: level.
        tolerance: how far (mm) a corner may stand off the plane.

    Returns:
        the outline; without loops if no surface lies there.

    Raises:
        ValueError: if `normal` has no length, or `right` is along it.
    """
    origin, out = np.asarray(point, dtype=np.float64), np.asarray(normal, dtype=np.float64)
    x_axis, y_axis, out = plane_axes(out, right)
    height = (mesh.vertices - origin) @ out
    normals = normals_and_areas(mesh.corners())[0]
    chosen = (np.abs(height[mesh.triangles]) <= tolerance).all(axis=1) & (normals @ out > 0.5)
    pairs = half_edge_pairs(mesh.triangles, len(mesh.vertices))
    inside, other = chosen[pairs.first], chosen[pairs.second]
    begin = np.concatenate([pairs.start[inside & ~other], pairs.end[other & ~inside]])
    end = np.concatenate([pairs.end[inside & ~other], pairs.start[other & ~inside]])
    flat = np.column_stack([(mesh.vertices - origin) @ x_axis, (mesh.vertices - origin) @ y_axis])
    loops = [_without_straight_corners(flat[ring]) for ring in _rings(begin.tolist(), end.tolist(), flat)]
    loops = [_from_lowest(loop) for loop in loops if len(loop) >= 3]

    def rank(loop: Floats) -> tuple[bool, float, float, float]:
        area = signed_area(loop)
        return (area < 0, -abs(round(area, 6)), round(float(loop[0, 0]), 6), round(float(loop[0, 1]), 6))

    return Outline(sorted(loops, key=rank), origin, x_axis, y_axis)


def plane_axes(normal: Floats, right: Sequence[float] | Floats | None = None) -> tuple[Floats, Floats, Floats]:
    """Unit vectors right, up and out of a plane that looks along `normal`.

    Without a wish `right` is level (square to z) if the plane is not level itself, else it is x.

    Raises:
        ValueError: if `normal` has no length, or `right` is along it.
    """
    length = float(np.linalg.norm(normal))
    if length == 0:
        raise ValueError("a plane needs a normal")
    out = normal / length
    wish = np.cross([0.0, 0.0, 1.0], out) if right is None else np.asarray(right, dtype=np.float64)
    if right is None and float(np.linalg.norm(wish)) < 1e-9:
        wish = np.array([1.0, 0.0, 0.0])
    wish = wish - out * (wish @ out)
    size = float(np.linalg.norm(wish))
    if size < 1e-9:
        raise ValueError("the plane's right cannot point along its normal")
    return wish / size, np.cross(out, wish / size), out


def _rings(begin: list[int], end: list[int], flat: Floats) -> list[list[int]]:
    """Join directed border edges to rings of vertices.

    Rings may touch at a corner; none passes through a vertex twice.
    """
    ways: dict[int, list[int]] = {}
    for p, q in sorted(zip(begin, end, strict=True)):
        ways.setdefault(p, []).append(q)
    rings: list[list[int]] = []
    while ways:
        here, came = next(iter(ways)), None
        ring = [here]
        while here in ways:
            there = ways[here][0] if came is None else _leftmost(flat, came, here, ways[here])
            ways[here].remove(there)
            if not ways[here]:
                del ways[here]
            came, here = here, there
            if here in ring:  # closed: what went round since is a ring of its own
                back = ring.index(here)
                rings.append(ring[back:])
                del ring[back + 1 :]
                came = ring[-2] if len(ring) > 1 else None
            else:
                ring.append(here)
    return rings


def _leftmost(flat: Floats, came: int, here: int, choices: list[int]) -> int:
    """The way that turns most to the left."""
    if len(choices) == 1:
        return choices[0]
    back = flat[here] - flat[came]

    def turn(choice: int) -> float:
        ahead = flat[choice] - flat[here]
        return float(np.arctan2(back[0] * ahead[1] - back[1] * ahead[0], back @ ahead))

    return max(choices, key=turn)


def _without_straight_corners(loop: Floats) -> Floats:
    """The loop (k, 2) without corners on straight sides."""
    points = [loop[k] for k in range(len(loop))]
    k = 0
    while len(points) >= 3 and k < len(points):
        before, here, after = points[k - 1], points[k], points[(k + 1) % len(points)]
        side = after - before
        size = float(np.hypot(*side))
        off = abs(side[0] * (here - before)[1] - side[1] * (here - before)[0])
        if size > 0 and off <= STRAIGHT * size:
            points.pop(k)
            k = max(k - 1, 0)
        else:
            k += 1
    return np.array(points).reshape(-1, 2)


def _from_lowest(loop: Floats) -> Floats:
    """The same loop, begun at its lowest x, then lowest y."""
    rounded = np.round(loop, 6)  # or float noise would choose the corner
    first = int(np.lexsort((rounded[:, 1], rounded[:, 0]))[0])
    return np.roll(loop, -first, axis=0)
