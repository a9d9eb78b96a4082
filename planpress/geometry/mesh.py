"""Closed triangle meshes with a label for every face, and how their triangles hang together."""

from __future__ import annotations

from typing import TypeAlias, TypeVar

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.intp]
Flags: TypeAlias = NDArray[np.bool_]
Numbers = TypeVar("Numbers", Floats, Ints)


@frozen(eq=False)
class Mesh:
    """The surface of a solid as triangles, seen from outside counter-clockwise.

    Attributes:
        vertices: (n, 3) corner points in mm.
        triangles: (m, 3) indices of vertices.
        labels: (m,) number of the face each triangle belongs to: an index of `names`.
        names: what each face is called, for example "top" or "notch floor". Names may repeat; labels tell
            faces apart.
    """

    vertices: Floats
    triangles: Ints
    labels: Ints
    names: tuple[str, ...] = ()

    def moved(self, origin: Floats, axes: Floats) -> Mesh:
        """The mesh in the space around a frame: its origin (3,), its axes the rows x, y, z of (3, 3).

        Axes that mirror (negative determinant) turn the triangles over, so that they still look outward.
        """
        axes = np.asarray(axes, dtype=np.float64)
        vertices = self.vertices @ axes + np.asarray(origin, dtype=np.float64)
        triangles = self.triangles[:, ::-1] if np.linalg.det(axes) < 0 else self.triangles
        return Mesh(vertices, np.ascontiguousarray(triangles), self.labels, self.names)

    def corners(self) -> Floats:
        """(m, 3, 3): the three corner points of each triangle, mm."""
        corners: Floats = self.vertices[self.triangles]
        return corners


@frozen(eq=False)
class HalfEdgePairs:
    """Every edge of a closed mesh once, with the two triangles that share it.

    Attributes:
        start, end: (e,) vertices of the edge as the first triangle runs along it.
        first, second: (e,) the two triangles.
        apex_first, apex_second: (e,) the corner of each triangle off the edge.
    """

    start: Ints
    end: Ints
    first: Ints
    second: Ints
    apex_first: Ints
    apex_second: Ints


def half_edge_pairs(triangles: Ints, vertex_count: int) -> HalfEdgePairs:
    """Pair the triangles of a closed mesh over their edges.

    Raises:
        ValueError: if an edge does not belong to exactly two triangles.
    """
    edges = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    apexes = np.concatenate([triangles[:, 2], triangles[:, 0], triangles[:, 1]])
    owners = np.tile(np.arange(len(triangles)), 3)
    key = edges.min(axis=1) * vertex_count + edges.max(axis=1)
    order = np.argsort(key, kind="stable")
    key = key[order]
    if len(key) % 2 or (key[::2] != key[1::2]).any() or (key[2::2] == key[1:-1:2]).any():
        raise ValueError("the mesh is not closed, or more than two triangles meet at an edge")
    i, j = order[::2], order[1::2]
    return HalfEdgePairs(edges[i, 0], edges[i, 1], owners[i], owners[j], apexes[i], apexes[j])


def normals_and_areas(corners: Floats) -> tuple[Floats, Floats]:
    """Outward unit normals (m, 3) and areas (m,) in mm2 of triangles given by their corners (m, 3, 3)."""
    doubled = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(doubled, axis=1)
    return doubled / np.maximum(length, 1e-300)[:, None], length / 2


def distinct(numbers: Numbers) -> Numbers:
    """(k,) each of some numbers (n,) once, rising. numpy's `unique` loads its masked arrays, which are slow to load."""
    rising: Numbers = np.sort(numbers)
    once: Numbers = rising[np.append(True, rising[1:] != rising[:-1])[: len(rising)]]
    return once


def joined(count: int, first: Ints, second: Ints) -> Ints:
    """Connected groups of `count` things, given pairs that belong together: (count,) group numbers from 0.

    Groups are numbered by the order of their lowest member.
    """
    head = np.arange(count)
    while True:
        lowest = np.minimum(head[first], head[second])
        new = head.copy()
        np.minimum.at(new, first, lowest)
        np.minimum.at(new, second, lowest)
        new = new[new]
        if (new == head).all():
            break
        head = new
    groups: Ints = np.searchsorted(distinct(head), head)
    return groups


def rounded_key(numbers: Floats) -> bytes:
    """Equal for arrays whose numbers are equal to three decimals, of either sign of zero."""
    return bytes((np.round(numbers, 3) + 0.0).tobytes())  # + 0.0: no negative zeros
