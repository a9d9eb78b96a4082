"""Slow and simple ways to find what the pictures should show, independent of the code under test."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import NDArray

from planpress.geometry.mesh import Flags, Floats, Ints
from planpress.geometry.solids import Solid


@frozen(eq=False)
class Triangles:
    """All triangles of some solids that look toward the viewer, on paper (x, y, depth toward the viewer)."""

    corners: Floats
    piece: Ints
    label: Ints

    def heights(self, points: Floats, margin: float) -> tuple[Flags, Floats]:
        """Which triangles hold which points (n, 2) by `margin` mm (negative: nearly hold), and their depth there."""
        a, b, c = (self.corners[:, k] for k in range(3))
        holds = np.ones((len(points), len(self.corners)), dtype=np.bool_)
        for p, q in ((a, b), (b, c), (c, a)):
            run = (q - p)[:, :2]
            size = np.hypot(run[:, 0], run[:, 1])
            off = points[:, None] - p[None, :, :2]
            holds &= (run[:, 0] * off[..., 1] - run[:, 1] * off[..., 0]) / size >= margin
        normal = np.cross(b - a, c - a)
        off = points[:, None] - a[None, :, :2]
        depth = a[:, 2] - (off @ np.zeros(2) + off[..., 0] * normal[:, 0] + off[..., 1] * normal[:, 1]) / normal[:, 2]
        return holds, depth


def triangles(solids: Sequence[Solid], view: Floats) -> Triangles:
    """See solids along a view matrix; triangles seen edge-on are left out."""
    corners, piece, label = [], [], []
    for number, solid in enumerate(solids):
        mesh = solid.mesh()
        seen = mesh.corners() @ view.T
        normal = np.cross(seen[:, 1] - seen[:, 0], seen[:, 2] - seen[:, 0])
        front = normal[:, 2] > 1e-5 * np.linalg.norm(normal, axis=1)
        corners.append(seen[front])
        piece.append(np.full(int(front.sum()), number))
        label.append(mesh.labels[front])
    return Triangles(np.concatenate(corners), np.concatenate(piece), np.concatenate(label))


def nearest(seen: Triangles, points: Floats) -> tuple[NDArray[np.intp], Flags]:
    """The nearest triangle at each point (-1: none), and whether the point is clear of all triangles' borders."""
    holds, depth = seen.heights(points, 0.0)
    clear = (seen.heights(points, 1e-3)[0] == seen.heights(points, -1e-3)[0]).all(axis=1)
    near = np.where(holds, depth, -np.inf)
    best = near.argmax(axis=1)
    return np.where(np.isfinite(near[np.arange(len(points)), best]), best, -1), clear


def feature_edges(solid: Solid, view: Floats) -> Floats:
    """Edges between two labels of a solid with a side toward the viewer, on paper (n, 2, 3); by plain loops."""
    mesh = solid.mesh()
    corners = mesh.corners()
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    sides: dict[tuple[int, int], list[int]] = {}
    for number, (a, b, c) in enumerate(mesh.triangles.tolist()):
        for p, q in ((a, b), (b, c), (c, a)):
            sides.setdefault((min(p, q), max(p, q)), []).append(number)
    edges = []
    for (p, q), (one, two) in sides.items():
        bent = float(normals[one] @ normals[two]) < np.cos(np.radians(0.5))
        faces = max(float(normals[one] @ view[2]), float(normals[two] @ view[2])) > 1e-5
        if bent and faces and mesh.labels[one] != mesh.labels[two]:
            edges.append(mesh.vertices[[p, q]] @ view.T)
    return np.array(edges).reshape(-1, 2, 3)


def visible_by_polygons(solids: Sequence[Solid], view: Floats) -> shapely.Geometry:
    """What of all feature edges is visible: each edge minus every triangle where that is nearer, with shapely."""
    seen = triangles(solids, view)
    polygons = shapely.polygons(seen.corners[:, :, :2])
    tree = shapely.STRtree(polygons)
    normal = np.cross(seen.corners[:, 1] - seen.corners[:, 0], seen.corners[:, 2] - seen.corners[:, 0])
    lines = []
    for solid in solids:
        for start, end in feature_edges(solid, view):
            line = shapely.LineString([start[:2], end[:2]])
            hidden = []
            for number in sorted(tree.query(line).tolist()):
                # depth of the triangle above each end of the edge; it changes evenly between them
                gaps = [
                    float((seen.corners[number, 0] - p) @ normal[number]) / normal[number, 2] - 2e-3
                    for p in (start, end)
                ]
                if max(gaps) <= 0:
                    continue
                share = [0.0, 1.0]
                if min(gaps) < 0:
                    share[0 if gaps[0] < 0 else 1] = gaps[0] / (gaps[0] - gaps[1])
                ends = [start[:2] + (end - start)[:2] * s for s in share]
                part = shapely.LineString(ends).intersection(polygons[number])
                if part.length > 0:
                    hidden.append(part)
            # a hair of width, or seams between triangles leak
            lines.append(line.difference(shapely.union_all(hidden).buffer(1e-6)) if hidden else line)
    return shapely.union_all(lines, grid_size=1e-4)
