"""Solids: boxes, trims, notches and holes on the kernel manifold3d, with a name for every face.

The kernel numbers surfaces by the solid they were made with and the face there; both survive cutting. A
`Solid` keeps the table from these numbers to names, in the order of the cuts, so that equal input gives an
equal mesh. Only this module knows the kernel.
"""

from __future__ import annotations

import weakref
from collections.abc import Sequence
from functools import cached_property
from typing import Any, TypeAlias

import manifold3d
import numpy as np
from attrs import frozen

from planpress.geometry.contacts import mesh_contact_area
from planpress.geometry.mesh import Floats, Ints, Mesh
from planpress.geometry.revolve import SEGMENTS, revolved

#: Names of the six faces of a box: across x, y and z, the one at 0 first.
BOX_FACES = ("start", "end", "near edge", "far edge", "bottom", "top")
#: Cutters reach this far (mm) beyond an open side, or a film of wood could stay there.
OVERSHOOT = 1.0
_BATCH = 16

Point: TypeAlias = Sequence[float] | Floats
Axes: TypeAlias = Sequence[Sequence[float]] | Floats
_IDENTITY = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


@frozen(eq=False)
class Solid:
    """A closed solid that is never changed: each cut gives a new one. Lengths in mm.

    Attributes:
        names: what each face label of `mesh()` is called.
    """

    _cell: list[Any]  # holds the kernel's solid
    _origins: tuple[tuple[int, int], ...]  # the kernel's number of each ancestor, and its first label
    names: tuple[str, ...]

    def __attrs_post_init__(self) -> None:
        # The kernel complains about solids that outlive it: let go of them before the interpreter ends.
        weakref.finalize(self, self._cell.clear)

    @property
    def _kernel(self) -> Any:
        return self._cell[0]

    def minus(self, cutter: Solid) -> Solid:
        """This solid without what lies in `cutter`; the new faces carry the cutter's names."""
        return self._with(cutter, "-")

    def plus(self, other: Solid) -> Solid:
        """This solid and `other` as one."""
        return self._with(other, "+")

    def common(self, other: Solid) -> Solid:
        """What lies in both solids; may be empty."""
        return self._with(other, "^")

    def trimmed(self, point: Point, normal: Point, name: str = "cut") -> Solid:
        """This solid without what lies beyond the plane through `point`, on the side `normal` points to.

        The new face is called `name`.

        Raises:
            ValueError: if the normal has no length.
        """
        if self.is_empty:
            return self
        low, high = self.bounds
        z = _unit(normal)
        least = int(np.argmin(np.round(np.abs(z), 6)))
        x = _unit(np.cross(np.eye(3)[least], z))
        y = np.cross(z, x)
        away = (low + high) / 2 - np.asarray(point, dtype=np.float64)
        foot = np.asarray(point, dtype=np.float64) + x * (away @ x) + y * (away @ y)
        reach = float(np.linalg.norm(high - low))
        height = max(reach, float(away @ z) + reach) + OVERSHOOT
        wide = 2 * (reach + OVERSHOOT)
        corner = foot - (x + y) * (wide / 2)
        names = ("beyond", "beyond", "beyond", "beyond", name, "beyond")
        return self.minus(_box(wide, wide, height, names).moved(corner, np.stack([x, y, z])))

    def moved(self, origin: Point = (0.0, 0.0, 0.0), axes: Axes = _IDENTITY) -> Solid:
        """The solid in the space around a frame: p goes to origin + p.x axes[0] + p.y axes[1] + p.z axes[2].

        Axes may mirror (negative determinant); the faces of a mirrored solid still look outward.
        """
        matrix = np.column_stack([np.asarray(axes, dtype=np.float64).T, np.asarray(origin, dtype=np.float64)])
        return Solid([self._kernel.transform(matrix)], self._origins, self.names)

    @cached_property
    def volume(self) -> float:
        """Volume in mm3."""
        return float(self._kernel.volume())

    @property
    def is_empty(self) -> bool:
        """True if nothing is left."""
        return bool(self._kernel.is_empty())

    @cached_property
    def bounds(self) -> tuple[Floats, Floats]:
        """Lowest and highest corner (3,) of the box around it, mm.

        Raises:
            ValueError: if the solid is empty.
        """
        if self.is_empty:
            raise ValueError("an empty solid has no bounds")
        six = np.array(self._kernel.bounding_box(), dtype=np.float64)
        return six[:3], six[3:]

    def parts(self) -> list[Solid]:
        """The bodies that do not hang together, by their lowest corner (x, then y, then z)."""
        bodies = [Solid([k], self._origins, self.names) for k in self._kernel.decompose()]
        return sorted(bodies, key=lambda body: (tuple(body.bounds[0]), tuple(body.bounds[1]), body.volume))

    def mesh(self) -> Mesh:
        """Its surface; the same steps always give the same numbers in the same order."""
        return self._mesh

    @cached_property
    def _mesh(self) -> Mesh:
        raw = self._kernel.to_mesh64()
        vertices = np.array(raw.vert_properties, dtype=np.float64)[:, :3]
        triangles = np.array(raw.tri_verts, dtype=np.intp).reshape(-1, 3)
        first_label = dict(self._origins)
        index = np.array(raw.run_index, dtype=np.intp)
        runs = (index[1:] - index[:-1]) // 3
        bases = [first_label[i] for i in raw.run_original_id[: len(runs)]]
        labels = np.repeat(np.array(bases, dtype=np.intp), runs) + np.array(raw.face_id, dtype=np.intp)
        return _in_order(vertices, triangles, labels, self.names)

    def _with(self, other: Solid, operation: str) -> Solid:
        known = {number for number, _ in self._origins}
        if any(number in known for number, _ in other._origins):
            other = _fresh(other.mesh())  # cut twice by one cutter: its faces need labels of their own
        if operation == "-":
            kernel = self._kernel - other._kernel
        elif operation == "+":
            kernel = self._kernel + other._kernel
        else:
            kernel = self._kernel ^ other._kernel
        shifted = tuple((number, first + len(self.names)) for number, first in other._origins)
        return Solid([kernel], self._origins + shifted, self.names + other.names)


def _unit(direction: Point) -> Floats:
    vector = np.asarray(direction, dtype=np.float64)
    length = float(np.linalg.norm(vector))
    if length == 0:
        raise ValueError("a direction needs a length")
    return vector / length


def _in_order(vertices: Floats, triangles: Ints, labels: Ints, names: tuple[str, ...]) -> Mesh:
    """The mesh with vertices by x, y, z and triangles by label: the kernel's own order does not matter."""
    order = np.lexsort(vertices.T[::-1])
    place = np.empty(len(order), dtype=np.intp)
    place[order] = np.arange(len(order))
    triangles = place[triangles]
    turn = (np.argmin(triangles, axis=1)[:, None] + np.arange(3)) % 3
    triangles = np.take_along_axis(triangles, turn, axis=1)
    rows = np.lexsort((triangles[:, 2], triangles[:, 1], triangles[:, 0], labels))
    return Mesh(vertices[order], triangles[rows], labels[rows], names)


def _fresh(mesh: Mesh) -> Solid:
    """A solid of its own from a closed mesh, its labels in order."""
    order = np.argsort(mesh.labels, kind="stable")
    number = int(manifold3d.Manifold.reserve_ids(1))
    raw = manifold3d.Mesh64(
        vert_properties=np.ascontiguousarray(mesh.vertices),
        tri_verts=np.ascontiguousarray(mesh.triangles[order].astype(np.uint64)),
        run_index=np.array([0, 3 * len(mesh.triangles)], dtype=np.uint64),
        run_original_id=np.array([number], dtype=np.uint32),
        face_id=np.ascontiguousarray(mesh.labels[order].astype(np.uint64)),
    )
    kernel = manifold3d.Manifold(raw)
    status = kernel.status()
    if status != manifold3d.Error.NoError:
        raise ValueError(f"not a closed solid: {status}")
    return Solid([kernel], ((number, 0),), mesh.names)


def from_mesh(mesh: Mesh) -> Solid:
    """A solid from a closed mesh whose triangles look outward.

    Raises:
        ValueError: if it is not closed.
    """
    return _fresh(mesh)


def box(length: float, width: float, thickness: float) -> Solid:
    """A box with a corner at the origin: length along x, width along y, thickness along z (`BOX_FACES`).

    Raises:
        ValueError: if a size is not positive.
    """
    return _box(length, width, thickness, BOX_FACES)


def _box(length: float, width: float, thickness: float, names: tuple[str, ...]) -> Solid:
    if min(length, width, thickness) <= 0:
        raise ValueError(f"a box needs positive sizes, not {length} x {width} x {thickness}")
    corners = np.array(
        [(x, y, z) for x in (0.0, length) for y in (0.0, width) for z in (0.0, thickness)]
    )  # index 4 x + 2 y + z
    quads = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
    triangles = [t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))]
    return _fresh(Mesh(corners, np.array(triangles, dtype=np.intp), np.repeat(np.arange(6), 2), names))


def prism(
    outline: Sequence[tuple[float, float]],
    origin: Point,
    axes: Axes,
    depth: float,
    overshoot: float = 0.0,
    *,
    name: str = "notch",
    walls: Sequence[str] | None = None,
) -> Solid:
    """A straight-walled body over an outline: the cutter of a notch, or a piece cut to an outline.

    Args:
        outline: corners in mm, in the plane of the first two axes, either way round, not crossing itself.
        origin: the plane's origin, mm.
        axes: three perpendicular unit vectors; the third points out of the wood. They may mirror.
        depth: how far the body goes below the plane (against the third axis).
        overshoot: how far it stands above the plane.
        name: the floor is called "name floor", the upper side "name mouth", the walls "name wall 1" ... in
            the order of the outline's sides.
        walls: names of the walls instead, one a side; neighbours of equal name are one smooth face.

    Raises:
        ValueError: if the outline has under 3 corners or no area, or depth + overshoot is not positive.
    """
    points = np.asarray(outline, dtype=np.float64).reshape(-1, 2)
    if len(points) < 3 or depth + overshoot <= 0:
        raise ValueError("a prism needs an outline of three or more corners and a depth")
    count = len(points)
    wall_names = [f"{name} wall {k}" for k in range(1, count + 1)] if walls is None else list(walls)
    if len(wall_names) != count:
        raise ValueError(f"{len(wall_names)} names for {count} walls")
    after = np.roll(points, -1, axis=0)
    area = float((points[:, 0] * after[:, 1] - points[:, 1] * after[:, 0]).sum() / 2)
    if abs(area) < 1e-9:
        raise ValueError("the outline has no area")
    if area < 0:  # reversed: side k runs from corner k to k + 1, so the sides shift by one
        points = points[::-1]
        wall_names = [*wall_names[-2::-1], wall_names[-1]]
    cap = cap_triangles(points)
    side = np.arange(count)
    after_side = np.roll(side, -1)
    lower, upper = side, side + count
    vertices = np.concatenate(
        [
            np.column_stack([points, np.full(count, -depth)]),
            np.column_stack([points, np.full(count, overshoot)]),
        ]
    )
    ring = np.stack([lower, after_side, after_side + count, lower, after_side + count, upper], axis=1).reshape(-1, 3)
    triangles = np.concatenate([cap[:, ::-1], cap + count, ring])
    label_of_wall: dict[str, int] = {}
    for wall in wall_names:
        label_of_wall.setdefault(wall, 2 + len(label_of_wall))
    labels = np.concatenate(
        [
            np.zeros(len(cap), dtype=np.intp),
            np.ones(len(cap), dtype=np.intp),
            np.repeat([label_of_wall[wall] for wall in wall_names], 2),
        ]
    )
    names = (f"{name} floor", f"{name} mouth", *label_of_wall)
    return _fresh(Mesh(vertices, triangles, labels, names)).moved(origin, axes)


def cap_triangles(points: Floats) -> Ints:
    """Triangles (m, 3), as indices of the corners (n, 2), that fill an anticlockwise polygon."""
    return np.array(manifold3d.triangulate([np.ascontiguousarray(points)]), dtype=np.intp)


def hole(
    profile: Sequence[tuple[float, float]],
    point: Point,
    direction: Point,
    *,
    segments: int = SEGMENTS,
    overshoot: float = OVERSHOOT,
    across: Point | None = None,
    name: str = "hole",
) -> Solid:
    """The cutter of a round hole: clearance hole, countersink, pilot or several in one.

    Args:
        profile: (depth, radius) pairs, mm, from the mouth inward (see `revolved`). The first must be at
            depth 0; a cylinder of its radius reaches `overshoot` out of the wood.
        point: the centre of the mouth, mm.
        direction: the way the drill goes, any length.
        segments, across, name: see `revolved`; the bottom is called "name end".
    """
    if not profile or profile[0][0] != 0:
        raise ValueError("the profile of a hole begins at depth 0")
    full = [(-overshoot, profile[0][1]), *profile] if overshoot > 0 else list(profile)
    return rod(full, point, direction, segments=segments, across=across, name=name)


def rod(
    profile: Sequence[tuple[float, float]],
    point: Point,
    direction: Point,
    *,
    segments: int = SEGMENTS,
    across: Point | None = None,
    name: str = "rod",
) -> Solid:
    """A dowel, pin or screw: a solid of revolution. It fits a `hole` of equal axis and segments."""
    return _fresh(revolved(profile, point, direction, segments=segments, across=across, name=name))


def overlap_volume(a: Solid, b: Solid) -> float:
    """Volume (mm3) that lies in both solids; 0 for solids that only touch."""
    if a.is_empty or b.is_empty or not _boxes_meet(a, b, 0.0):
        return 0.0
    return float((a._kernel ^ b._kernel).volume())


def overlap_with_any(a: Solid, others: Sequence[Solid]) -> float:
    """Volume (mm3) of `a` that lies in any of the others, in one step; they may touch, but not share space themselves.

    Where they do share space, the volume may be counted more than once: it is 0 only if `a` is clear of all of them.
    """
    met = [other for other in others if not other.is_empty and not a.is_empty and _boxes_meet(a, other, 0.0)]
    if not met:
        return 0.0
    low, high = a.bounds
    total = 0.0
    for start in range(0, len(met), _BATCH):
        batch = met[start : start + _BATCH]
        # only what lies near counts: a step costs about the product of the two numbers of faces
        least = np.maximum(low, np.min([other.bounds[0] for other in batch], axis=0)) - OVERSHOOT
        most = np.minimum(high, np.max([other.bounds[1] for other in batch], axis=0)) + OVERSHOOT
        around = manifold3d.Manifold.cube((most - least).tolist()).translate(least.tolist())
        # the kernel works lazily and would join unnamed steps into one, in an order that costs four times as much
        own = a._kernel ^ around
        near = manifold3d.Manifold.compose([other._kernel ^ around for other in batch])
        total += float((own ^ near).volume())
    return total


def contact_area(a: Solid, b: Solid, tolerance: float = 1e-4) -> float:
    """Area (mm2) over which faces of the solids touch within `tolerance` (mm), looking at each other."""
    if a.is_empty or b.is_empty or not _boxes_meet(a, b, tolerance):
        return 0.0
    return mesh_contact_area(a.mesh(), b.mesh(), tolerance)


def _boxes_meet(a: Solid, b: Solid, tolerance: float) -> bool:
    (low_a, high_a), (low_b, high_b) = a.bounds, b.bounds
    return bool((low_a <= high_b + tolerance).all() and (low_b <= high_a + tolerance).all())
