"""Where a cut stops short of a border, the corner of the member let in is cut away so that it fits."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from fractions import Fraction

from attrs import frozen

from planpress.description.records import HousedJoint
from planpress.geometry.polygons import Point2, Polygon, cleaned, cut, hull, sides
from planpress.geometry.vectors import SAME, Frame, Vec, add, cross, dot, neg, root, scale, settled, sub, unit
from planpress.model.blanks import Blank, RawNotch
from planpress.model.cutting import JointError
from planpress.model.records import Side
from planpress.model.stick_sides import all_keys, corner_keys, height_of, snapped

_SQUARE = 1 - Fraction(1, 10**9)
_LEVEL = Fraction(1, 10**9)


@frozen
class Plane:
    """A plane in a stick's coordinates: normal . p = offset, unit normal."""

    normal: Vec
    offset: Fraction

    def beyond(self, p: Vec) -> Fraction:
        """How far (mm) a point lies beyond the plane."""
        return dot(self.normal, p) - self.offset


@frozen
class Border:
    """A border of a side, in the side's two coordinates: unit normal that points off the side, and its offset.

    `level`: the side's own coordinate.
    """

    side: Side
    level: Fraction
    normal: Point2
    offset: Fraction

    def moved(self, by: Fraction, way: Vec) -> Plane:
        """The plane of the end of a cut `by` mm short of the border, with walls in the direction `way`."""
        a, b = self.normal
        off_side = self._in_space((a, b), Fraction(0))
        normal = unit(cross(self._in_space((-b, a), Fraction(0)), way))
        if dot(normal, off_side) < 0:
            normal = neg(normal)
        short = self.offset - by
        return Plane(normal, dot(normal, self._in_space((a * short, b * short), self.level)))

    def _in_space(self, p: Point2, level: Fraction) -> Vec:
        coordinates = list(p)
        coordinates.insert(self.side.axis, level)
        return (coordinates[0], coordinates[1], coordinates[2])


def borders(side: Side, level: Fraction, outline: Polygon) -> Iterator[Border]:
    """The borders of a side, from its outline."""
    for (a, b), offset in sides(outline):
        length = root(a * a + b * b)
        yield Border(side, level, (a / length, b / length), offset / length)


def cut_corner(first: Blank, second: Blank, inner: Frame, stop: Plane, joint: HousedJoint) -> None:
    """Cut from the first member what reaches into the second beyond a stop.

    Args:
        inner: the first's frame in the second's coordinates.
        stop: where the cut ends, in the second's coordinates; its normal points to the border.

    Raises:
        JointError: if no cut square to a side of the first takes that corner away.
    """
    planes = list(_limits(first, second, inner, stop))
    for axis in (2, 1, 0):
        tilts = [abs(plane.normal[axis]) for plane in planes]
        if all(tilt < _LEVEL or tilt > _SQUARE for tilt in tilts):
            floors = [plane for plane, tilt in zip(planes, tilts, strict=True) if tilt > _SQUARE]
            if len(floors) <= 1 and (floors or axis):
                walls = [plane for plane in planes if plane not in floors]
                first.notches.append(_corner(first, second, axis, floors, walls, joint))
                return
    raise JointError(f"a stop needs a corner cut from '{first.id}', which leans in two ways there")


def _limits(first: Blank, second: Blank, inner: Frame, stop: Plane) -> Iterator[Plane]:
    """The planes, in the first's coordinates, that part what must go (on their inner side) from what stays."""

    def local(plane: Plane) -> Plane:
        normal = inner.local_direction(plane.normal)
        return Plane(normal, settled(plane.offset - dot(plane.normal, inner.origin)))

    kept = local(Plane(neg(stop.normal), -stop.offset))
    yield kept
    ring = [first.local_corner(*key) for key in all_keys()]
    reach = _clipped(ring, kept)
    for _, normal, corners in second.faces():
        own = second.frame.local_direction(normal)
        plane = local(Plane(own, dot(second.frame.local_point(corners[0]), own)))
        if any(plane.beyond(p) > 10 * SAME for p in reach):
            yield plane


def _clipped(corners: list[Vec], plane: Plane) -> list[Vec]:
    """Corners of the part of a hexahedron (corners in binary order) on the inner side of a plane."""
    out = [p for p in corners if plane.beyond(p) <= SAME]
    for i, j in itertools.combinations(range(8), 2):
        if (i ^ j).bit_count() == 1:
            a, b = plane.beyond(corners[i]), plane.beyond(corners[j])
            if (a < 0) != (b < 0):
                out.append(add(corners[i], scale(sub(corners[j], corners[i]), a / (a - b))))
    return out


def _corner(
    first: Blank, second: Blank, axis: int, floors: list[Plane], walls: list[Plane], joint: HousedJoint
) -> RawNotch:
    depth = first.sizes[axis]
    is_far = True
    if floors:
        is_far = floors[0].normal[axis] < 0
        level = floors[0].offset * floors[0].normal[axis]
        depth = settled(first.sizes[axis] - level if is_far else level)
    notched = next(s for s in Side if s.axis == axis and s.is_far == is_far)
    one, two = (i for i in range(3) if i != axis)
    height = height_of(notched, first)
    ring = hull([(p[one], p[two]) for p in (first.local_corner(*key) for key in corner_keys(notched))])
    for plane in walls:
        ring = cut(ring, (plane.normal[one], plane.normal[two]), plane.offset)
    points = []
    for a, b in cleaned(ring):
        coordinates = [snapped(a, first.sizes[one]), snapped(b, first.sizes[two])]
        coordinates.insert(axis, height)
        points.append((coordinates[0], coordinates[1], coordinates[2]))
    if len(points) < 3:
        raise JointError(f"the stop takes no corner from '{first.id}'")
    spans = [max(p[i] for p in points) - min(p[i] for p in points) for i in (one, two)]
    return RawNotch(
        side=notched,
        outline=tuple(points),
        depth=depth,
        width=spans[0],
        fit=Fraction(0),
        skew=Fraction(0),
        mates=(second.id,),
        mate_size="thickness",
        joint=joint.name,
        kind=joint.kind,
        depth_share="whole",
        role="corner",
    )
