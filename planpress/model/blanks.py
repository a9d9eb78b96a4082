"""Pieces as placed sticks: a long box whose two ends are cut by planes, exact, before any joint.

A blank is a hexahedron: four long edges along u, each with a near and a far end. Its coordinates (u, v, w) and world
frame are those of `records.Piece`, with u = 0 at the point that reaches furthest at the near end.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from fractions import Fraction

from attrs import define, field, frozen

from planpress.description import records as described
from planpress.geometry.polygons import Polygon
from planpress.geometry.vectors import Frame, Vec, add, cross, dot, floats, neg, scale, settled, settled_vec, sub
from planpress.model.records import Hole, Role, Shape, Side, SolvedMaterial
from planpress.model.shape_moves import flipped_in_w


@frozen
class EndPlane:
    """The plane of an end in the blank's own coordinates; the unit normal points away from the wood."""

    point: Vec
    normal: Vec
    target: str

    def u_at(self, v: Fraction, w: Fraction) -> Fraction:
        """u (mm) where the line (v, w) along the length meets the plane.

        Raises:
            ZeroDivisionError: if the plane runs along the length.
        """
        n, p = self.normal, self.point
        if not n[1] and not n[2]:
            return p[0]
        return settled(p[0] - (n[1] * (v - p[1]) + n[2] * (w - p[2])) / n[0])


@define
class RawNotch:
    """A notch while joints are being found: `outline` are points (u, v, w) on the side it opens on."""

    side: Side
    outline: tuple[Vec, ...]
    depth: Fraction
    width: Fraction
    fit: Fraction
    skew: Fraction
    mates: tuple[str, ...]  # piece ids
    mate_size: str
    joint: str
    kind: str
    depth_share: str
    role: Role = "lap"
    start: Fraction = Fraction(0)
    direction: Vec | None = None
    radius: Fraction = Fraction(0)


@define
class Blank:
    """One piece before joints. Lengths exact, mm; sizes index as (length, width, thickness)."""

    id: str
    record: described.Part
    assembly: tuple[str, int]
    repeat: Mapping[str, Fraction]
    material: SolvedMaterial
    frame: Frame
    length: Fraction
    width: Fraction
    thickness: Fraction
    near: EndPlane
    far: EndPlane
    notches: list[RawNotch] = field(factory=list)
    holes: list[Hole] = field(factory=list)
    mirrored: bool = False  # stands in a mirrored assembly: its w runs against the described one
    outlines: dict[tuple[Vec, Vec, Fraction], Polygon] = field(factory=dict)  # seen along a direction, kept by `laps`
    _local_points: dict[tuple[int, int, int], Vec] = field(factory=dict)
    shape: Shape | None = None
    _points: dict[tuple[int, int, int], Vec] = field(factory=dict)
    _extents: dict[Vec, tuple[Fraction, Fraction]] = field(factory=dict)
    _faces: list[tuple[Side, Vec, list[Vec]]] = field(factory=list)
    _box: list[tuple[tuple[float, ...], tuple[float, ...]]] = field(factory=list)

    @property
    def sizes(self) -> tuple[Fraction, Fraction, Fraction]:
        """Length, width, thickness."""
        return (self.length, self.width, self.thickness)

    @property
    def axes(self) -> tuple[Vec, Vec, Vec]:
        """World directions of length, width, thickness."""
        return (self.frame.x, self.frame.y, self.frame.z)

    def local_corner(self, iu: int, iv: int, iw: int) -> Vec:
        """Corner in own coordinates: iu 0 near, 1 far end; iv, iw 0 or 1 across width and thickness."""
        key = (iu, iv, iw)
        if key not in self._local_points:
            v, w = self.width * iv, self.thickness * iw
            plane = self.far if iu else self.near
            self._local_points[key] = (plane.u_at(v, w), v, w)
        return self._local_points[key]

    def corner(self, iu: int, iv: int, iw: int) -> Vec:
        """The same in the world."""
        key = (iu, iv, iw)
        if key not in self._points:
            self._points[key] = settled_vec(self.frame.point(self.local_corner(iu, iv, iw)))
        return self._points[key]

    def forget_corners(self) -> None:
        """To be called when frame, sizes or ends have changed."""
        self.outlines.clear()
        self._local_points.clear()
        self._points.clear()
        self._extents.clear()
        self._faces.clear()
        self._box.clear()

    def extent(self, n: Vec) -> tuple[Fraction, Fraction]:
        """Least and greatest height (mm) of the stick along a unit direction."""
        if n not in self._extents:
            heights = [settled(dot(p, n)) for p in self.corners()]
            self._extents[n] = (min(heights), max(heights))
        return self._extents[n]

    def corners(self) -> list[Vec]:
        """All eight corners in the world."""
        return [self.corner(*key) for key in itertools.product((0, 1), repeat=3)]

    def face(self, side: Side) -> tuple[Vec, list[Vec]]:
        """Outward unit normal and the four corners (world, in ring order) of a side."""
        ring = ((0, 0), (1, 0), (1, 1), (0, 1))
        k = 1 if side.is_far else 0
        if side.axis == 0:
            plane = self.far if k else self.near
            return self.frame.direction(plane.normal), [self.corner(k, a, b) for a, b in ring]
        normal = self.axes[side.axis] if k else neg(self.axes[side.axis])
        if side.axis == 1:
            return normal, [self.corner(a, k, b) for a, b in ring]
        return normal, [self.corner(a, b, k) for a, b in ring]

    def faces(self) -> Sequence[tuple[Side, Vec, list[Vec]]]:
        """Side, outward normal and corners of the six sides."""
        if not self._faces:
            self._faces += [(side, *self.face(side)) for side in Side]
        return self._faces

    def side_towards(self, direction: Vec) -> Side:
        """The long side whose outward normal is nearest to a world direction."""
        long_sides = (Side.LOWER, Side.UPPER, Side.BACK, Side.FACE)
        return max(long_sides, key=lambda side: dot(self.face(side)[0], direction))

    def bounds(self) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
        """Least and greatest corner of the box around it in the world, as ordinary numbers."""
        points = [floats(p) for p in self.corners()]
        low = tuple(min(p[i] for p in points) for i in range(3))
        high = tuple(max(p[i] for p in points) for i in range(3))
        return (low[0], low[1], low[2]), (high[0], high[1], high[2])

    @property
    def box(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """The same for the whole box of its sizes, as it was before its ends were cut."""
        if not self._box:
            ends = list(itertools.product(*((0, float(size)) for size in self.sizes)))
            axes = [floats(axis) for axis in self.axes]
            reach = [[sum(t * axis[i] for t, axis in zip(end, axes, strict=True)) for end in ends] for i in range(3)]
            origin = floats(self.frame.origin)
            low, high = (tuple(o + f(r) for o, r in zip(origin, reach, strict=True)) for f in (min, max))
            self._box.append((low, high))
        return self._box[0]

    def placed(self, outer: Frame, new_id: str, assembly: tuple[str, int]) -> Blank:
        """The same stick where an assembly stands; a mirroring frame gives the mirrored stick in a right-handed
        frame."""
        frame = self.frame.within(outer)
        near, far, shape = self.near, self.far, self.shape
        mirrored = not frame.is_right_handed
        if mirrored:
            frame = Frame(add(frame.origin, scale(frame.z, self.thickness)), frame.x, frame.y, neg(frame.z))
            near, far = (self._flipped(plane) for plane in (near, far))
            shape = flipped_in_w(shape, self.thickness) if shape else None
        return Blank(
            new_id,
            self.record,
            assembly,
            self.repeat,
            self.material,
            frame,
            self.length,
            self.width,
            self.thickness,
            near,
            far,
            mirrored=mirrored,
            shape=shape,
        )

    def _flipped(self, plane: EndPlane) -> EndPlane:
        p, n = plane.point, plane.normal
        return EndPlane((p[0], p[1], self.thickness - p[2]), (n[0], n[1], -n[2]), plane.target)


def stick(
    *,
    record: described.Part,
    piece_id: str,
    repeat: Mapping[str, Fraction],
    material: SolvedMaterial,
    frame: Frame,
    length: Fraction,
    width: Fraction,
    thickness: Fraction,
    near: EndPlane | None,
    far: EndPlane | None,
) -> Blank:
    """A blank from a frame at its untrimmed near end; `near` and `far` are planes in that frame, None for square ends.

    The coordinates are shifted along u so that the furthest point of the near end is u = 0, and the length is that of
    the longest edge.
    """
    zero = Fraction(0)
    near = near or EndPlane((zero, zero, zero), (Fraction(-1), zero, zero), "")
    far = far or EndPlane((length, zero, zero), (Fraction(1), zero, zero), "")
    edges = [(width * a, thickness * b) for a, b in itertools.product((0, 1), repeat=2)]
    start = min(near.u_at(v, w) for v, w in edges)
    stop = max(far.u_at(v, w) for v, w in edges)
    move: Vec = (start, zero, zero)
    return Blank(
        piece_id,
        record,
        ("", 0),
        repeat,
        material,
        Frame(frame.point(move), frame.x, frame.y, frame.z),
        settled(stop - start),
        width,
        thickness,
        EndPlane(sub(near.point, move), near.normal, near.target),
        EndPlane(sub(far.point, move), far.normal, far.target),
    )


def corner_frame(corner: Vec, length_axis: Vec, width_axis: Vec, sizes: tuple[Fraction, Fraction, Fraction]) -> Frame:
    """Frame of a stick whose box has its least corner at `corner`; axes are signed world axes, sizes (length, width,
    thickness)."""
    axes = (length_axis, width_axis, cross(length_axis, width_axis))
    origin = corner
    for axis, size in zip(axes, sizes, strict=True):
        if sum(axis) < 0:  # the part starts at the far side of its box
            origin = sub(origin, scale(axis, size))
    return Frame(origin, *axes)
