"""The six sides of a stick in its own coordinates: normals, corners, points on a side and over it."""

from __future__ import annotations

from fractions import Fraction

from planpress.geometry.polygons import Point2, Polygon, area
from planpress.geometry.vectors import SAME, Vec, dot, settled
from planpress.model.blanks import Blank
from planpress.model.records import Side

_SQUARE = 1 - Fraction(1, 10**9)
_NONE = Fraction(0)


def outward(side: Side) -> Vec:
    """The unit vector that points off a side; of an end, as if it were cut square."""
    unit = [_NONE] * 3
    unit[side.axis] = Fraction(1 if side.is_far else -1)
    return (unit[0], unit[1], unit[2])


def normal_of(blank: Blank, side: Side) -> Vec:
    """The outward unit normal of a side, of an end as it is cut."""
    if side.axis:
        return outward(side)
    return (blank.far if side.is_far else blank.near).normal


def is_flat(blank: Blank, side: Side) -> bool:
    """False for an end that is not cut square."""
    return dot(normal_of(blank, side), outward(side)) > _SQUARE


def height_of(side: Side, blank: Blank) -> Fraction:
    """How far (mm) a side lies off the coordinates' origin, along its outward normal."""
    return blank.sizes[side.axis] if side.is_far else _NONE


def flat(side: Side, p: Vec) -> Point2:
    """The two coordinates of a point or vector that place it on a side."""
    one, two = (p[i] for i in range(3) if i != side.axis)
    return (one, two)


def lifted(side: Side, p: Point2, height: Fraction) -> Vec:
    """A point over a side, at a height (mm) along its outward normal from the coordinates' origin."""
    coordinates = list(p)
    coordinates.insert(side.axis, height if side.is_far else -height)
    return (coordinates[0], coordinates[1], coordinates[2])


def all_keys() -> list[tuple[int, int, int]]:
    """Keys of the eight corners, see `Blank.local_corner`, in binary order."""
    return [(a, b, c) for a in (0, 1) for b in (0, 1) for c in (0, 1)]


def corner_keys(side: Side) -> list[tuple[int, int, int]]:
    """Keys of the four corners of a side."""
    return [key for key in all_keys() if key[side.axis] == side.is_far]


def snapped(value: Fraction, size: Fraction) -> Fraction:
    """A coordinate, set exactly on the side of a stick (0 or its size there) if it lies there."""
    short = settled(value)
    return _NONE if abs(short) < SAME else size if abs(short - size) < SAME else short


def is_narrow(polygon: Polygon) -> bool:
    """True for a sliver that only rounding of leaning axes leaves."""
    spans = [max(p[i] for p in polygon) - min(p[i] for p in polygon) for i in (0, 1)]
    return min(spans) <= SAME or abs(area(polygon)) <= SAME * max(spans)
