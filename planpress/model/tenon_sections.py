"""How the end of one stick enters a side of another: the shoulder plane, and what is cut on both along it.

T is the stick whose end is let in (tenon, tongue), M the one that takes it (mortise, open slot). T enters by a side of
M, the shoulder plane; everything is cut along T's length, straight, skewed, or leaning in two directions.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from typing import TypeAlias

from attrs import frozen

from planpress.description.records import TenonJoint
from planpress.geometry.polygons import Point2, Polygon, area, cleaned, hull, intersection
from planpress.geometry.rounding import corner_arcs
from planpress.geometry.vectors import SAME, Vec, dot, neg, settled, sub, unit
from planpress.model.blanks import Blank, EndPlane, RawNotch
from planpress.model.cutting import JointError
from planpress.model.laps import snapped_degrees
from planpress.model.records import Role, Side

#: A range (low, high) across T, mm.
Range: TypeAlias = tuple[Fraction, Fraction]

#: An end that leans more than this (cosine) from square to the side it enters is no tenon.
_LEAST_ENTRY = Fraction(1, 4)
_SQUARE = 1 - Fraction(1, 10**9)
_FINE = Fraction(1, 10**9)
_LONG_SIDES = (Side.LOWER, Side.UPPER, Side.BACK, Side.FACE)
#: A rounding cut reaches this far (mm) into wood that is gone already, so that no film stays.
_OVER = Fraction(1, 20)


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
        return tuple(_snapped(p, border) for p in cleaned(intersection(outline, border)))

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
        if share_space(tenon, mortise):
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


def share_space(a: Blank, b: Blank) -> bool:
    """True if two sticks overlap along every axis of both."""
    for axis in (*a.axes, *b.axes):
        (low_a, high_a), (low_b, high_b) = a.extent(axis), b.extent(axis)
        if min(high_a, high_b) - max(low_a, low_b) <= SAME:
            return False
    return True


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


def _snapped(p: Point2, border: Polygon) -> Point2:
    """The point set exactly on the levels of a border that it lies on but for rounding."""
    u, second = settled(p[0]), settled(p[1])
    for x, y in border:
        if abs(u - x) <= SAME:
            u = x
        if abs(second - y) <= SAME:
            second = y
    return u, second


def cut_end(
    entry: Entry,
    side: Side,
    depth: Fraction,
    role: Role,
    *,
    below: Fraction = Fraction(0),
    across: Range | None = None,
) -> RawNotch:
    """A cut on a long side of T from `below` mm beneath M's side to T's end, its end wall parallel to M's side.

    Args:
        depth: square to T's side, mm. across: range of the side's second coordinate, None for all of it.
    """
    t = entry.tenon
    second = 2 if side.axis == 1 else 1
    low, high = across or (Fraction(0), t.sizes[second])
    level = t.sizes[side.axis] if side.is_far else Fraction(0)

    def u_at(s: Fraction) -> tuple[Fraction, Fraction]:
        v, w = (level, s) if side.axis == 1 else (s, level)
        return entry.shoulder_u(v, w, below), entry.end_u(v, w)

    (start_0, end_0), (start_1, end_1) = u_at(low), u_at(high)
    ring = ((start_0, low), (end_0, low), (end_1, high), (start_1, high))
    normal = entry.shoulder.normal
    inward = Fraction(-1 if side.is_far else 1)
    lean = -normal[side.axis] * inward / normal[0]
    direction: Vec | None = None
    if abs(lean) > _FINE:
        steps = [lean, Fraction(0), Fraction(0)]
        steps[side.axis] = inward
        direction = unit((steps[0], steps[1], steps[2]))
    return RawNotch(
        side=side,
        outline=tuple(on_level(t, side, p) for p in ring),
        depth=settled(depth),
        width=max(abs(end_0 - start_0), abs(end_1 - start_1)),
        fit=Fraction(0),
        skew=degrees(start_1 - start_0, high - low),
        mates=(entry.mortise.id,),
        mate_size="width" if entry.side.axis == 1 else "thickness",
        joint=entry.joint.name,
        kind=entry.joint.kind,
        depth_share="given",
        role=role,
        direction=direction,
    )


def cut_side(
    entry: Entry,
    across: Range,
    thick: Range,
    depth: Fraction,
    role: Role,
    *,
    fit: Fraction = Fraction(0),
    radius: Fraction = Fraction(0),
) -> RawNotch:
    """A cut in M for a part of T's section (ranges of v and w), its walls along T's length.

    Args:
        depth: square to M's side, mm. fit: added to the thickness, half on each side.

    Raises:
        JointError: if that part of T does not come to M's side.
    """
    wide = (thick[0] - fit / 2, thick[1] + fit / 2)
    outline = entry.clipped(entry.section(across, wide))
    if not outline:
        raise JointError(f"the tenon of '{entry.tenon.id}' misses '{entry.mortise.id}'")
    corner = entry.on_side(across[0], thick[0])
    arms = [entry.on_side(across[1], thick[0]), entry.on_side(across[0], thick[1])]
    steps = [(arm[0] - corner[0], arm[1] - corner[1]) for arm in arms]
    shoulder = max(steps, key=lambda step: abs(step[1]) / (abs(step[0]) + abs(step[1])))
    return RawNotch(
        side=entry.side,
        outline=tuple(entry.lifted(p) for p in outline),
        depth=settled(depth),
        width=thick[1] - thick[0] + fit,
        fit=fit,
        skew=degrees(*shoulder),
        mates=(entry.tenon.id,),
        mate_size="thickness",
        joint=entry.joint.name,
        kind=entry.joint.kind,
        depth_share="given",
        role=role,
        direction=None if entry.is_square else entry.mortise.frame.local_direction(entry.along),
        radius=radius,
    )


def rounded_corners(
    entry: Entry, across: Range, thick: Range, radius: Fraction, below: Range, open_at: tuple[bool, bool]
) -> Iterator[RawNotch]:
    """What is cut from the corners of a tenon so that it fits a mortise with round corners.

    The arcs are those of the mortise, seen along T's length. Each cut goes in from T's end until all of it has come to
    the shoulder; where that leans it takes a shaving more.

    Args:
        across, thick: the tenon's ranges of v and w.
        below: how deep beneath M's side the cuts at the lower and the upper edge end, mm.
        open_at: whether wood was taken off beside the lower and the upper edge.
    """
    t = entry.tenon
    section = entry.section(across, thick)
    arcs = corner_arcs([(float(a), float(b)) for a, b in section], float(radius))
    for corner, arc in zip(section, arcs, strict=True):
        v, w = _across_t(entry, corner)
        ring = [_across_t(entry, (_exact(a), _exact(b))) for a, b in arc]
        upper, face = abs(v - across[1]) < abs(v - across[0]), abs(w - thick[1]) < abs(w - thick[0])
        v, w = across[upper], thick[face]
        out_v = v + (_OVER if upper else -_OVER) * open_at[upper]
        out_w = w + ((_OVER if face else -_OVER) if 0 < w < t.thickness else 0)
        first, last = ring[0], ring[-1]
        if abs(first[0] - v) < abs(first[1] - w):  # the arc begins at the edge v and ends at the cheek w
            ring += [(last[0], out_w), (out_v, out_w), (out_v, first[1])]
        else:
            ring += [(out_v, last[1]), (out_v, out_w), (first[0], out_w)]
        ring = [p for i, p in enumerate(ring) if p != ring[i - 1]]
        us = [entry.shoulder_u(a, b, below[upper]) for a, b in ring]
        depth = t.length - min(us) if entry.end.is_far else max(us)
        yield RawNotch(
            side=entry.end,
            outline=tuple(on_level(t, entry.end, p) for p in ring),
            depth=settled(depth),
            width=radius,
            fit=Fraction(0),
            skew=Fraction(0),
            mates=(entry.mortise.id,),
            mate_size="thickness",
            joint=entry.joint.name,
            kind=entry.joint.kind,
            depth_share="given",
            role="corner",
        )


def _across_t(entry: Entry, p: Point2) -> Point2:
    """T's line (v, w) that meets M's side at a point of that side."""
    local = entry.tenon.frame.local_point(entry.mortise.frame.point(entry.lifted(p)))
    return settled(local[1]), settled(local[2])


def _exact(value: float) -> Fraction:
    return Fraction(round(value * 10**9), 10**9)


def degrees(run: Fraction, rise: Fraction) -> Fraction:
    """Skew of a shoulder from square: how u runs as the second coordinate rises."""
    if not rise:
        return Fraction(0)
    return snapped_degrees(math.degrees(math.atan(float(run / rise))))


def widest_shoulder(entry: Entry, across: Range, thick: Range) -> tuple[Vec, ...]:
    """The largest of the strips (world corners) of T's shoulders around a tenon that lie on M's side; () for none."""
    t = entry.tenon
    whole_v, whole_w = (Fraction(0), t.width), (Fraction(0), t.thickness)
    strips = [
        (whole_v, (thick[1], t.thickness)),
        (whole_v, (Fraction(0), thick[0])),
        ((across[1], t.width), whole_w),
        ((Fraction(0), across[0]), whole_w),
    ]
    best: Polygon = ()
    for strip in strips:
        if min(strip[0][1] - strip[0][0], strip[1][1] - strip[1][0]) > SAME:
            outline = entry.clipped(entry.section(*strip))
            if outline and (not best or area(outline) > area(best) + SAME):
                best = outline
    return tuple(entry.mortise.frame.point(entry.lifted(p)) for p in best)


def tenon_face(entry: Entry, across: Range, thick: Range) -> tuple[Vec, ...]:
    """The face (world corners) of a tenon within M, anticlockwise seen from outside T: the glue face of one that has no
    shoulders."""
    w = thick[1]
    ring = []
    for v in across:
        reached = entry.shoulder_u(v, w, min(entry.depth(v, w), entry.through_size))
        ring.append([entry.shoulder_u(v, w), reached])
    (low_0, high_0), (low_1, high_1) = ring if entry.end.is_far else [pair[::-1] for pair in ring]
    corners = ((low_0, across[0]), (high_0, across[0]), (high_1, across[1]), (low_1, across[1]))
    return tuple(entry.tenon.frame.point((u, v, w)) for u, v in corners)
