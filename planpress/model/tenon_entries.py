"""How the end of one stick enters a side of another: the shoulder plane.

T is the stick whose end is let in (tenon, tongue), M the one that takes it (mortise, open slot). T enters by a side of
M, the shoulder plane; everything is cut along T's length, straight, skewed, or leaning in two directions.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import TypeAlias

from attrs import frozen

from planpress.description.records import TenonJoint
from planpress.geometry.polygons import Point2, Polygon, area, cleaned, hull, intersection
from planpress.geometry.vectors import SAME, Vec, dot, neg, settled, sub
from planpress.model.blanks import Blank, EndPlane
from planpress.model.cutting import JointError
from planpress.model.laps import boxes_overlap
from planpress.model.records import Side

#: A range (low, high) across T, mm.
Range: TypeAlias = tuple[Fraction, Fraction]

#: An end that leans more than this (cosine) from square to the side it enters is no tenon.
_LEAST_ENTRY = Fraction(1, 4)
_SQUARE = 1 - Fraction(1, 10**9)
_LONG_SIDES = (Side.LOWER, Side.UPPER, Side.BACK, Side.FACE)


@frozen
class Entry:
    """The end of `tenon` (T) in `mortise` (M).

    Attributes:
        end: T's end. side: the side of M it enters by.
        shoulder: that side's plane in T's coordinates, its normal pointing into M.
        along: world direction of T's length at that end, into M.
    """

    joint: TenonJoint
    tenon: Blank
    mortise: Blank
    end: Side
    side: Side
    shoulder: EndPlane
    along: Vec

    def shoulder_u(self, v: Fraction, w: Fraction, below: Fraction = Fraction(0)) -> Fraction:
        """u (mm) where T's line (v, w) is `below` mm beneath M's side."""
        return settled(self.shoulder.u_at(v, w) + below / self.shoulder.normal[0])

    def end_u(self, v: Fraction, w: Fraction) -> Fraction:
        """u (mm) of T's end on its line (v, w)."""
        return (self.tenon.far if self.end.is_far else self.tenon.near).u_at(v, w)

    def depth(self, v: Fraction, w: Fraction) -> Fraction:
        """How deep (mm, square to M's side) T's end is beneath that side on T's line (v, w)."""
        at = (self.end_u(v, w), v, w)
        return settled(dot(self.shoulder.normal, sub(at, self.shoulder.point)))

    def depths(self, across: Range, thick: Range) -> Range:
        """Least and greatest `depth` of a part of T's section: ranges of v and w."""
        found = [self.depth(v, w) for v in across for w in thick]
        return min(found), max(found)

    @property
    def is_square(self) -> bool:
        """True if T stands square on M's side."""
        return abs(self.shoulder.normal[0]) > _SQUARE

    @property
    def shoulder_steepness(self) -> Fraction:
        """-1 if T stands square on M's side, more if it leans."""
        return -abs(self.shoulder.normal[0])

    @property
    def proud(self) -> Fraction:
        """How far (mm, square to M's side) all of T's end stands out at M's far side; negative if it does not."""
        return self.depths((Fraction(0), self.tenon.width), (Fraction(0), self.tenon.thickness))[0] - self.through_size

    @property
    def through_size(self) -> Fraction:
        """M's size (mm) square to the side."""
        return self.mortise.sizes[self.side.axis]

    def on_side(self, v: Fraction, w: Fraction) -> Point2:
        """Where T's line (v, w) meets M's side: the two coordinates on that side."""
        world = self.tenon.frame.point((self.shoulder.u_at(v, w), v, w))
        local = self.mortise.frame.local_point(world)
        first, second = (i for i in range(3) if i != self.side.axis)
        return settled(local[first]), settled(local[second])

    def section(self, across: Range, thick: Range) -> Polygon:
        """T's section (ranges of v and w) where it crosses M's side, on that side, anticlockwise, not clipped."""
        (v0, v1), (w0, w1) = across, thick
        ring = tuple(self.on_side(v, w) for v, w in ((v0, w0), (v1, w0), (v1, w1), (v0, w1)))
        return ring if area(ring) > 0 else ring[::-1]

    def clipped(self, outline: Polygon) -> Polygon:
        """What of an outline lies on M's side; empty if nothing does."""
        border = side_polygon(self.mortise, self.side)
        return tuple(snapped(p, border) for p in cleaned(intersection(outline, border)))

    def lifted(self, p: Point2) -> Vec:
        """A point of M's side in M's coordinates."""
        return on_level(self.mortise, self.side, p)

    def towards_end(self) -> tuple[bool, bool]:
        """(the edge of T with the greater v is the one nearer an end of M, that end is M's far end)."""
        across = self.mortise.frame.local_direction(self.tenon.axes[1])[0]
        if abs(across) < _LEAST_ENTRY:
            raise JointError(f"the width of '{self.tenon.id}' does not run along '{self.mortise.id}'")
        middle = self.tenon.thickness / 2
        gaps = []
        for upper in (False, True):
            at_far_end = (across > 0) == upper
            u, second = self.on_side(self.tenon.width if upper else Fraction(0), middle)
            v, w = (second, Fraction(0)) if self.side.axis == 2 else (Fraction(0), second)
            plane = self.mortise.far if at_far_end else self.mortise.near
            gaps.append((abs(plane.u_at(v, w) - u), upper, at_far_end))
        _, upper, at_far_end = min(gaps, key=lambda gap: gap[0])
        return upper, at_far_end


def find_entry(tenon: Blank, mortise: Blank, joint: TenonJoint) -> Entry | None:
    """How an end of the first stick enters the second; None if they share no space.

    Raises:
        JointError: if they share space, but no end of the first lies in the second.
    """
    found = entries(tenon, mortise, joint)
    if not found:
        if boxes_overlap(tenon, mortise):
            raise JointError(f"no end of '{tenon.id}' lies in '{mortise.id}'")
        return None
    return found[0]


def entries(tenon: Blank, mortise: Blank, joint: TenonJoint) -> list[Entry]:
    """All ways an end of the first stick enters a side of the second: that which stands out least at the far side
    first, then the squarest."""
    found: list[tuple[tuple[Fraction, Fraction], Entry]] = []
    for end in (Side.NEAR_END, Side.FAR_END):
        for entry in crossings(tenon, mortise, joint, end):
            whole = ((Fraction(0), tenon.width), (Fraction(0), tenon.thickness))
            _, most = entry.depths(*whole)
            if most > SAME and _reaches_back(entry) and entry.clipped(entry.section(*whole)):
                found.append(((max(entry.proud, Fraction(0)), entry.shoulder_steepness), entry))
    return [entry for _, entry in sorted(found, key=lambda item: item[0])]


def crossings(tenon: Blank, mortise: Blank, joint: TenonJoint, end: Side) -> Iterator[Entry]:
    """The sides of the second stick that the first, going towards an end, could enter."""
    along = tenon.axes[0] if end.is_far else neg(tenon.axes[0])
    for side in _LONG_SIDES:
        normal, ring = mortise.face(side)
        if -dot(normal, along) >= _LEAST_ENTRY:
            plane = EndPlane(tenon.frame.local_point(ring[0]), tenon.frame.local_direction(neg(normal)), mortise.id)
            yield Entry(joint, tenon, mortise, end, side, plane, along)


def _reaches_back(entry: Entry) -> bool:
    """True if T's other end stays outside M's side."""
    t = entry.tenon
    other = t.near if entry.end.is_far else t.far
    heights = []
    for v in (Fraction(0), t.width):
        for w in (Fraction(0), t.thickness):
            heights.append(dot(entry.shoulder.normal, sub((other.u_at(v, w), v, w), entry.shoulder.point)))
    return max(heights) < -SAME


def side_polygon(blank: Blank, side: Side) -> Polygon:
    """A long side of a stick, with its cut ends, in the coordinates of that side, anticlockwise."""
    second = 2 if side.axis == 1 else 1
    at = 1 if side.is_far else 0
    corners = []
    for iu in (0, 1):
        for k in (0, 1):
            p = blank.local_corner(iu, at, k) if side.axis == 1 else blank.local_corner(iu, k, at)
            corners.append((p[0], p[second]))
    return hull(corners)


def on_level(blank: Blank, side: Side, p: Point2) -> Vec:
    """A point of a side as (u, v, w)."""
    level = blank.sizes[side.axis] if side.is_far else Fraction(0)
    if side.axis == 0:
        return (level, p[0], p[1])
    return (p[0], level, p[1]) if side.axis == 1 else (p[0], p[1], level)


def snapped(p: Point2, border: Polygon) -> Point2:
    """The point set exactly on the levels of a border that it lies on but for rounding."""
    u, second = settled(p[0]), settled(p[1])
    for x, y in border:
        if abs(u - x) <= SAME:
            u = x
        if abs(second - y) <= SAME:
            second = y
    return u, second
