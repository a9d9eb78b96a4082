"""The shape of one piece for all that are like it: prepared once, then only moved."""

from __future__ import annotations

import copy

import numpy as np

from planpress.geometry.mesh import Floats
from planpress.geometry.shapes import Shape
from planpress.geometry.vectors import Frame, floats

#: The frame of parts before assembly.
WORLD = Frame()


def standing(shape: Shape, at: Frame, to: Frame) -> Shape:
    """The shape of a piece that stands like another one: `to` is to it what `at` is to the shape.

    Raises:
        ValueError: if one frame mirrors the other; patches and edges would run the wrong way round.
    """
    here, there = _axes(at), _axes(to)
    axes = np.linalg.inv(here) @ there  # rows: where x, y, z of the world go
    if np.linalg.det(axes) < 0:
        raise ValueError("a shape cannot be mirrored")
    origin = np.array(floats(to.origin)) - np.array(floats(at.origin)) @ axes
    out = copy.copy(shape)
    out.starts, out.ends = shape.starts @ axes + origin, shape.ends @ axes + origin
    out.patches = shape.patches @ axes + origin
    out.normals_left, out.normals_right = shape.normals_left @ axes, shape.normals_right @ axes
    out.patch_normal, out.face_normal = shape.patch_normal @ axes, shape.face_normal @ axes
    return out


def _axes(frame: Frame) -> Floats:
    """(3, 3) the axes of a frame as rows."""
    return np.array([floats(frame.x), floats(frame.y), floats(frame.z)])
