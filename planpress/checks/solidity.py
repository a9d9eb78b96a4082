"""Rules on the assembled solids: no two pieces share wood, glued joints touch, the overall size is the true one.

Pairs are found by their boxes and measured once for each way two parts lie to each other, so that a lattice of equal
crossings costs little.
"""

from __future__ import annotations

import collections
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Final, TypeAlias

import numpy as np
from attrs import define, field

from planpress.base.diagnostics import Diagnostic
from planpress.checks.checking import Checking, Found, error, listed_once
from planpress.geometry.contacts import mesh_contact_area
from planpress.geometry.mesh import Floats, Mesh, normals_and_areas, rounded_key
from planpress.geometry.solids import Solid, overlap_volume, overlap_with_any, prism
from planpress.geometry.vectors import Vec, dot, floats
from planpress.model.contacts import square_to
from planpress.model.records import JointPlace
from planpress.model.solids import notch_solid

#: Two pieces may share this much (mm3): rounding of leaning axes, far below a shaving.
MOST_OVERLAP: Final = 1.0
#: Share of a glued joint's area that must touch; holes for pins and screws take some of it.
LEAST_TOUCH: Final = 0.85
#: How far apart (mm) touching faces may be and still be glued, and how exact the overall size must be.
NEAR: Final = 0.01

#: How deep (mm) below a joint's patch its pieces are looked at for cuts of other joints.
_SKIN: Final = 0.05

#: A piece with at least this many neighbours is tried against all of them at once.
_MANY: Final = 8

_Pose: TypeAlias = tuple[str, str, bytes]


def _relative(checking: Checking, a: str, b: str) -> tuple[Floats, Floats]:
    """Origin (3,) and axes (3, 3) of piece b in the coordinates of piece a."""
    origin, axes = checking.frame(b)
    return checking.local(a, origin[None])[0], axes @ checking.frame(a)[1].T


def _pose(checking: Checking, a: str, b: str, origin: Floats, axes: Floats) -> _Pose:
    """Equal for pairs of equal parts that lie to each other alike."""
    pieces = checking.plan.pieces
    return pieces[a].letter, pieces[b].letter, rounded_key(origin) + rounded_key(axes * 1000)


def near_pairs(checking: Checking) -> Iterator[tuple[str, str]]:
    """Pairs of pieces whose boxes meet, in order of declaration."""
    names = list(checking.plan.pieces)
    low, high = _boxes(checking, names)
    for i in range(len(names) - 1):
        meets = ((low[i] < high[i + 1 :]) & (low[i + 1 :] < high[i])).all(axis=1)
        for j in np.flatnonzero(meets).tolist():
            yield names[i], names[i + 1 + j]


def _boxes(checking: Checking, names: Sequence[str]) -> tuple[Floats, Floats]:
    """Least and greatest corner (n, 3) of each piece's solid in the world."""
    low, high = np.empty((len(names), 3)), np.empty((len(names), 3))
    for i, name in enumerate(names):
        piece = checking.plan.pieces[name]
        origin, axes = checking.frame(name)
        vertices = checking.solids.part(piece.letter).mesh().vertices @ axes + origin
        low[i], high[i] = vertices.min(axis=0), vertices.max(axis=0)
    return low, high


def overlaps(checking: Checking) -> Found:
    """P15: no two pieces of the assembled work take up the same space."""
    plan = checking.plan
    poses: dict[_Pose, tuple[str, str]] = {}
    pairs: list[tuple[str, str, _Pose]] = []
    for a, b in near_pairs(checking):
        pose = _pose(checking, a, b, *_relative(checking, a, b))
        poses.setdefault(pose, (a, b))
        pairs.append((a, b, pose))
    measured = _measured(checking, poses)
    found: list[tuple[str, Diagnostic]] = []
    for a, b, pose in pairs:
        if measured[pose] > MOST_OVERLAP:
            first, second = plan.pieces[a], plan.pieces[b]
            joint = next((j.joint for j in plan.joints if {j.first, j.second} == {a, b}), "")
            place = checking.joint_place(joint) if joint else checking.part_place(second.name)
            item = error(
                "P15",
                f"'{a}' and '{b}' take up the same space: {measured[pose]:.0f} mm³ of wood is in both",
                place,
                hint="move one of them, or join them by a lap" if not joint else "check the joint's depth and fit",
            )
            found.append((f"{first.name} {second.name} {joint}", item))
    return listed_once(found)


def _measured(checking: Checking, poses: Mapping[_Pose, tuple[str, str]]) -> dict[_Pose, float]:
    """Shared volume (mm3) of each pose.

    A piece with many neighbours is tried against all of them in one step first: a row of a hundred laps on one part
    then costs one step, not a hundred on a part of a hundred notches.
    """
    left = dict(poses)
    out: dict[_Pose, float] = {}
    counts = collections.Counter(name for pair in poses.values() for name in pair)
    for hub, count in counts.most_common():
        mine = {pose: pair for pose, pair in left.items() if hub in pair}
        if count < _MANY or len(mine) < _MANY:
            continue
        others = [b if a == hub else a for a, b in mine.values()]
        if (
            overlap_with_any(_solid(checking, hub, hub), [_solid(checking, hub, name) for name in others])
            <= MOST_OVERLAP
        ):
            out.update(dict.fromkeys(mine, 0.0))
            left = {pose: pair for pose, pair in left.items() if pose not in mine}
    for pose, (a, b) in left.items():
        out[pose] = overlap_volume(_solid(checking, a, a), _solid(checking, a, b))
    return out


def _solid(checking: Checking, base: str, name: str) -> Solid:
    """The part of a piece, where it stands as seen from the piece `base`."""
    solid = checking.solids.part(checking.plan.pieces[name].letter)
    return solid if name == base else solid.moved(*_relative(checking, base, name))


def touching(checking: Checking) -> Found:
    """P15: where two pieces are glued, their faces touch over the whole of the joint."""
    measured: dict[bytes, float] = {}
    found: list[tuple[str, Diagnostic]] = []
    facing = _Facing(checking)
    for place in checking.plan.joints:
        if not place.glue:
            continue
        patch = np.array([floats(p) for p in place.patch])
        normal = square_to(place.patch, place.direction)
        way, near = np.array(floats(normal)), NEAR + _clearance(checking, place, normal)
        mesh_a, mesh_b = facing.mesh(place.first, patch, way, near), facing.mesh(place.second, patch, -way, near)
        key = b"".join(rounded_key(m.corners()) + b"/" for m in (mesh_a, mesh_b))
        if key not in measured:
            measured[key] = mesh_contact_area(mesh_a, mesh_b, near)
        wanted = patch_area(patch)
        if measured[key] < LEAST_TOUCH * wanted:
            wanted -= _cut_by_others(checking, place, patch, way)
        if measured[key] < LEAST_TOUCH * wanted:
            item = error(
                "P15",
                f"joint '{place.joint}': '{place.first}' and '{place.second}' touch over {measured[key]:.0f} of"
                f" {wanted:.0f} mm²; the rest is a gap",
                checking.joint_place(place.joint),
                hint="move the parts together, or give the joint no 'depth' of its own",
            )
            found.append((place.joint, item))
    return listed_once(found)


def _cut_by_others(checking: Checking, place: JointPlace, patch: Floats, way: Floats) -> float:
    """How much (mm2) of a joint's patch the cuts of other joints take from its two pieces; what both lose counts
    twice."""
    along = patch[1] - patch[0]
    along /= np.linalg.norm(along)
    across = np.cross(way, along)
    flat = [(float(p @ along), float(p @ across)) for p in patch - patch[0]]
    out = 0.0
    for piece, side in ((place.first, -1.0), (place.second, 1.0)):
        part = checking.plan.part_of(piece)
        origin, axes = checking.local(piece, patch[:1])[0], checking.frame(piece)[1] @ np.array([along, across, way]).T
        local = tuple(tuple(float(c) for c in axes[:, i] * (side if i == 2 else 1.0)) for i in range(3))
        skin = prism(flat, tuple(float(c) for c in origin), local, 0.0, overshoot=_SKIN)
        left = skin
        for notch in part.notches:
            if notch.joint != place.joint:
                left = left.minus(notch_solid(notch, part))
        out += (skin.volume - left.volume) / _SKIN
    return out


def _clearance(checking: Checking, place: JointPlace, normal: Vec) -> float:
    """How far apart (mm) the described fit holds glue faces that slide along each other; 0 for others."""
    if abs(dot(normal, place.direction)) > Fraction(1, 10**6):
        return 0.0
    fits = [n.fit for n in checking.plan.part_of(place.second).notches if n.joint == place.joint]
    return float(max(fits, default=Fraction(0)))


@define
class _Facing:
    """Finds the triangles of pieces that look one way in one plane; normals are worked out once a part."""

    checking: Checking
    _normals: dict[str, Floats] = field(factory=dict)

    def mesh(self, piece: str, patch: Floats, way: Floats, near: float) -> Mesh:
        """Triangles of a piece in the plane of a patch (n, 3) within `near` mm, that look the way `way`.

        Their corners are told from the patch's first corner, so that equal joints give equal meshes.
        """
        letter = self.checking.plan.pieces[piece].letter
        mesh = self.checking.solids.part(letter).mesh()
        if letter not in self._normals:
            self._normals[letter] = normals_and_areas(mesh.corners())[0]
        local = self.checking.local(piece, patch)
        axes = self.checking.frame(piece)[1]
        local_way = axes @ way
        looking = self._normals[letter] @ local_way > 1 - 1e-9
        corners = mesh.vertices[mesh.triangles[looking]]
        level = np.abs(corners @ local_way - local[0] @ local_way).max(axis=1) < near
        low, high = local.min(axis=0) - near, local.max(axis=0) + near
        close = level & (corners.min(axis=1) <= high).all(axis=1) & (corners.max(axis=1) >= low).all(axis=1)
        vertices = (corners[close].reshape(-1, 3) - local[0]) @ axes
        count = int(close.sum())
        return Mesh(vertices, np.arange(3 * count).reshape(-1, 3), np.zeros(count, dtype=np.intp), mesh.names)


def patch_area(patch: Floats) -> float:
    """Area (mm2) of a flat polygon (n, 3) in space."""
    spokes = patch[1:] - patch[0]
    return float(np.linalg.norm(np.cross(spokes[:-1], spokes[1:]).sum(axis=0))) / 2


def overall(checking: Checking) -> Found:
    """P30: the printed overall size is that of the box around the assembled solids."""
    names = list(checking.plan.pieces)
    low, high = _boxes(checking, names)
    true = high.max(axis=0) - low.min(axis=0)
    for axis, word in enumerate(("length (x)", "depth (y)", "height (z)")):
        told = float(checking.plan.overall[axis])
        if abs(told - true[axis]) > NEAR:
            yield error(
                "P30",
                f"the overall {word} is given as {told:.2f} mm, the assembled pieces measure {true[axis]:.2f} mm",
                hint="this is a fault of the program, not of the plan; please report it",
            )
