"""The two pieces of a joint, sawn off near it; where they touch; the plane of its section."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import Final, TypeAlias

import numpy as np
from attrs import frozen

from planpress.figures.joint_groups import Meeting
from planpress.figures.scenes import Scenes
from planpress.geometry.mesh import Flags, Floats, Mesh, normals_and_areas
from planpress.geometry.shapes import Shape
from planpress.geometry.solids import Solid
from planpress.geometry.vectors import floats
from planpress.model.records import Part

#: Names of the faces that are there for the picture only.
SAWN: Final = "sawn off"
CUT: Final = "section"
#: Faces that are to be glued touch within this (mm): a notch may have some clearance.
GLUE_GAP: Final = 0.6
Saw: TypeAlias = tuple[Floats, Floats]  # a point and the normal that points to what is taken away

# Wood left beside the joint: this share of the smaller of a part's width and three times its thickness.
_BESIDE = 0.75
# A joint longer than this many times the thicker member is shown at one of its ends, this many thicknesses of it.
_LONG, _KEPT = 7.0, 4.0
# Wood that would be sawn off is kept if it is shorter than this share of what is left beside the joint.
_WORTH = 0.6
# mm: on the plane of a saw; a fastener's head may stand out as far.
_EDGE, _OUTSIDE = 1e-6, 10.0


@frozen(eq=False)
class Stub:
    """A piece sawn off near its joint, in the world. `shape` is ready for pictures; `saws`: where it was sawn off."""

    piece: str
    solid: Solid
    mesh: Mesh
    shape: Shape
    saws: tuple[Saw, ...] = ()

    @cached_property
    def surface(self) -> Surface:
        """What others may touch."""
        return Surface.of(self.mesh)


@frozen(eq=False)
class Surface:
    """Triangles of a surface: corners (m, 3, 3), outward normals (m, 3), and of each side the way in (m, 3, 3)."""

    corners: Floats
    normals: Floats
    inward: Floats

    @classmethod
    def of(cls, mesh: Mesh) -> Surface:
        """The surface of a mesh."""
        corners = mesh.corners()
        normals = normals_and_areas(corners)[0]
        inward = np.cross(normals[:, None], np.roll(corners, -1, axis=1) - corners)
        inward /= np.maximum(np.linalg.norm(inward, axis=2), 1e-12)[:, :, None]
        return cls(corners, normals, inward)

    def is_met(self, point: Floats, normal: Floats) -> bool:
        """True if any of the surface lies in the plane of a flat face, given by a point (3,) and its outward normal."""
        return bool(self._facing(point, normal).any())

    def _facing(self, point: Floats, normal: Floats) -> Flags:
        off = self.corners[:, 0] @ normal - float(point @ normal)
        facing: Flags = (self.normals @ normal < -0.999) & (np.abs(off) < GLUE_GAP)
        return facing

    def touches(self, points: Floats, normal: Floats) -> Flags:
        """(n,) which points (n, 3) of a flat face with this outward normal lie against the surface."""
        near = self._facing(points[0], normal)
        corners, inward = self.corners[near], self.inward[near]
        depth = np.einsum("mki,ni->nmk", inward, points) - np.einsum("mki,mki->mk", inward, corners)
        inside: Flags = (depth >= -1e-6).all(axis=2).any(axis=1)
        return inside


def stub(piece: str, solid: Solid, saws: Sequence[Saw] = ()) -> Stub:
    """A solid made ready for pictures."""
    mesh = solid.mesh()
    return Stub(piece, solid, mesh, Shape(mesh), tuple(saws))


def beside(meeting: Meeting) -> float:
    """How much wood (mm) is left beside the joint."""

    def own(part: Part) -> float:
        return min(float(part.width), 3 * float(part.thickness))

    return _BESIDE * max(own(member.part) for member in meeting.members)


def stubs(
    scenes: Scenes, meeting: Meeting, viewer: Floats, share: float = 1.0, edge_on: bool = False
) -> tuple[Stub, ...]:
    """Both pieces of a meeting, and what sits loose in both, sawn off square to themselves where they reach far beyond.

    Cuts for other pieces are left out: the detail shows one joint.

    Args:
        viewer: direction (3,) towards the viewer; of a long joint the end nearer to the viewer is kept.
        share: of the wood that pictures leave beside the joint.
        edge_on: the saw passes along the viewer's sight, not square to leaning pieces.
    """
    points = np.array([floats(point) for point in meeting.outer_points(scenes.plan)])
    margin = share * beside(meeting)
    shared = _shared_saws(meeting, points, viewer, edge_on)
    for point, normal in shared:
        points = points - np.outer(np.maximum((points - point) @ normal, 0.0), normal)
    found = []
    for member in (*meeting.members, *meeting.loose):
        frame = scenes.plan.pieces[member.piece].frame
        solid = member.solid.moved(floats(frame.origin), (floats(frame.x), floats(frame.y), floats(frame.z)))
        saws = list(shared)
        for axis in (frame.x, frame.y, frame.z):
            way = np.array(floats(axis))
            if edge_on and abs(float(way @ viewer)) < 0.7:
                way = way - viewer * float(way @ viewer)
                way = way / np.linalg.norm(way)
            along = points @ way
            own = solid.mesh().vertices @ way
            least = margin if axis is frame.x else beside(meeting)
            for sign in (1.0, -1.0) if axis is not frame.z else ():
                end = float((sign * along).max()) + least
                if float((sign * own).max()) - end > _WORTH * least:
                    saws.append((sign * end * way, sign * way))
        for point, normal in saws:
            solid = solid.trimmed(point, normal, SAWN)
        found.append(stub(member.piece, solid, saws))
    return tuple(found)


def _thick(meeting: Meeting) -> float:
    return max(float(member.part.thickness) for member in meeting.members)


def is_long(meeting: Meeting) -> bool:
    """True for a joint that runs on so far that only an end of it is shown."""
    _, length = long_way(np.array([floats(corner) for corner in meeting.main.patch]))
    return length > _LONG * _thick(meeting)


def _shared_saws(meeting: Meeting, points: Floats, viewer: Floats, edge_on: bool) -> list[Saw]:
    """Of a joint that runs on for long only an end is shown; the plane there cuts both pieces.

    A section across it shows no end, and needs none.
    """
    long, _ = long_way(np.array([floats(corner) for corner in meeting.main.patch]))
    thick = _thick(meeting)
    if not is_long(meeting) or (edge_on and abs(float(long @ viewer)) > 0.7):
        return []
    if float(long @ viewer) > 0:
        long = -long  # away from the viewer
    start = float((points @ long).min())
    return [(long * (start + _KEPT * thick), long)]


def long_way(patch: Floats) -> tuple[Floats, float]:
    """The direction (3,) of the longest side of a flat polygon (n, 3), and how far the polygon reaches along it."""
    sides = np.roll(patch, -1, axis=0) - patch
    lengths = np.round(np.linalg.norm(sides, axis=1), 6)
    longest = int(np.argmax(lengths))
    if lengths[longest] == 0:
        return np.array([1.0, 0.0, 0.0]), 0.0
    way: Floats = sides[longest] / np.linalg.norm(sides[longest])
    along = patch @ way
    return way, float(along.max() - along.min())


def moves_back(first: Stub, second: Stub, way: Floats) -> float:
    """How far (mm) the first piece goes back against `way` until it is clear of the second."""
    ahead = float((first.mesh.vertices @ way).max())
    behind = float((second.mesh.vertices @ way).min())
    return max(ahead - behind, 0.0)


def kept_part(polygon: Sequence[tuple[float, float, float]], parts: Sequence[Stub]) -> list[tuple[float, float, float]]:
    """What is left of a convex polygon where both pieces are sawn off; all of it if nothing would be."""
    points = [np.array(corner) for corner in polygon]
    for point, normal in [saw for part in parts for saw in part.saws]:
        kept: list[Floats] = []
        for a, b in zip(points, [*points[1:], *points[:1]], strict=True):
            out_a, out_b = float((a - point) @ normal), float((b - point) @ normal)
            if out_a <= _EDGE:
                kept.append(a)
            if (out_a > _EDGE) != (out_b > _EDGE):
                kept.append(a + (b - a) * (out_a / (out_a - out_b)))
        points = kept
    found = [(float(x), float(y), float(z)) for x, y, z in points]
    return found or list(polygon)


def is_kept(point: tuple[float, float, float], *parts: Stub) -> bool:
    """True if no saw takes away the wood at a point; it may lie outside of the pieces by a screw's head."""
    return all(float((np.array(point) - at) @ normal) <= _OUTSIDE for part in parts for at, normal in part.saws)


def faces_named(part: Stub, names: Sequence[str]) -> set[int]:
    """Labels of the faces with one of these names."""
    return {label for label, name in enumerate(part.mesh.names) if name in names}
