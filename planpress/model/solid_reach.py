"""How far pieces reach whose sticks alone do not tell: shaped ones, and tenons that lean in their sticks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

import numpy as np

from planpress.geometry.solids import Solid
from planpress.geometry.vectors import Frame, Vec, floats
from planpress.model.records import Part, Piece
from planpress.model.shape_solids import blank_solid
from planpress.model.solids import part_solid


def solid_corners(parts: Sequence[Part], pieces: Mapping[str, Piece]) -> list[Vec]:
    """Least and greatest corner (world, mm, to a millionth) of all pieces of some parts: shaped ones before joints."""
    out = []
    for part in parts:
        solid = part_solid(part) if part.shape is None else blank_solid(part)
        out += _reach(solid, [pieces[name].frame for name in part.pieces])
    return out


def _reach(solid: Solid, frames: Sequence[Frame]) -> list[Vec]:
    vertices = solid.mesh().vertices
    out = []
    for frame in frames:
        placed = vertices @ np.array([floats(a) for a in (frame.x, frame.y, frame.z)]) + np.array(floats(frame.origin))
        for values in (placed.min(axis=0), placed.max(axis=0)):
            x, y, z = (Fraction(round(float(c) * 10**6), 10**6) for c in values)
            out.append((x, y, z))
    return out
