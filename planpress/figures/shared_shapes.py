"""The shape of one piece for all that are like it: prepared once, then only moved."""

from __future__ import annotations

import copy

import numpy as np
from attrs import frozen

from planpress.geometry.mesh import Floats, Mesh
from planpress.geometry.shapes import Shape
from planpress.geometry.vectors import Frame, floats

#: The frame of parts before assembly.
WORLD = Frame()


#: Corners that differ less than this (mm) are the same.
_SAME = 1e-7


@frozen(eq=False)
class Made:
    """The shape of a piece, the mesh it was made from, and where the piece stands."""

    shape: Shape
    mesh: Mesh
    frame: Frame

    def is_like(self, mesh: Mesh, frame: Frame) -> bool:
        """True if a mesh is this one moved from this piece's frame to another one."""
        mine = self.mesh
        if len(mine.vertices) != len(mesh.vertices) or not np.array_equal(mine.labels, mesh.labels):
            return False
        axes, origin = _way(self.frame, frame)
        alike = mine.triangles.shape == mesh.triangles.shape and np.linalg.det(axes) > 0
        alike = alike and np.array_equal(mine.triangles, mesh.triangles)
        return alike and bool((np.abs(mine.vertices @ axes + origin - mesh.vertices) < _SAME).all())

    def standing(self, frame: Frame) -> Shape:
        """The shape of the like piece that stands there."""
        return standing(self.shape, self.frame, frame)


def standing(shape: Shape, at: Frame, to: Frame) -> Shape:
    """The shape of a piece that stands like another one: `to` is to it what `at` is to the shape; it may mirror."""
    axes, origin = _way(at, to)
    out = copy.copy(shape)
    out.starts, out.ends = shape.starts @ axes + origin, shape.ends @ axes + origin
    out.patches = shape.patches @ axes + origin
    out.normals_left, out.normals_right = shape.normals_left @ axes, shape.normals_right @ axes
    out.patch_normal, out.face_normal = shape.patch_normal @ axes, shape.face_normal @ axes
    if np.linalg.det(axes) < 0:  # keep patches anticlockwise, and the left of edges on their left
        out.patches = out.patches[:, ::-1]
        out.starts, out.ends = out.ends, out.starts
    return out


def _way(at: Frame, to: Frame) -> tuple[Floats, Floats]:
    """(3, 3) where the axes x, y, z of the world go, as rows, and (3,) where its origin goes."""
    axes = np.linalg.inv(_axes(at)) @ _axes(to)
    return axes, np.array(floats(to.origin)) - np.array(floats(at.origin)) @ axes


def _axes(frame: Frame) -> Floats:
    """(3, 3) the axes of a frame as rows."""
    return np.array([floats(frame.x), floats(frame.y), floats(frame.z)])
