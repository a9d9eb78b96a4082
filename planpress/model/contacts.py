"""Where two sticks touch, and the screws and dowels that go there."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import cached_property

from attrs import frozen

from planpress.base.reference.fasteners import Screw
from planpress.geometry.polygons import Point2, Polygon, centroid, cleaned, holds, hull, intersection
from planpress.geometry.vectors import SAME, Vec, add, cross, dot, floats, neg, scale, settled, sub, trimmed, unit
from planpress.model.blanks import Blank
from planpress.model.records import FastenerPlace, Hole, JointPlace, Purpose, Side

_OPPOSED = -1 + Fraction(1, 10**9)
_SLIDING = Fraction(1, 10**6)


@frozen
class Patch:
    """A flat area where `first` lies on `second`: corners in the world, and the direction from first into second."""

    first: Blank
    second: Blank
    outline: tuple[Vec, ...]
    direction: Vec

    @cached_property
    def axes(self) -> tuple[Vec, Vec]:
        """Axes of the plane: along the first member, and across it."""
        along = self.first.axes[0]
        if abs(dot(along, self.direction)) > Fraction(1, 2):
            along = self.first.axes[1]
        along = unit(add(along, scale(self.direction, -dot(along, self.direction))))
        return along, cross(self.direction, along)

    @cached_property
    def flat(self) -> Polygon:
        """The outline in those axes."""
        x, y = self.axes
        return cleaned(hull([(trimmed(dot(p, x)), trimmed(dot(p, y))) for p in self.outline]))

    def lifted(self, p: Point2) -> Vec:
        """A point of the plane in the world."""
        x, y = self.axes
        height = dot(self.outline[0], self.direction)
        return add(add(scale(x, p[0]), scale(y, p[1])), scale(self.direction, height))

    @cached_property
    def least_extent(self) -> Fraction:
        """The smaller side (mm) of the box around the outline, 0 if it has no area."""
        flat = self.flat
        if len(flat) < 3:
            return Fraction(0)
        extents = [max(p[i] for p in flat) - min(p[i] for p in flat) for i in (0, 1)]
        return min(extents)


def touching(first: Blank, second: Blank, laps: dict[tuple[str, str], JointPlace]) -> Patch | None:
    """Where two sticks touch: at the floor of their lap if there is one, else where two of their sides meet.

    The largest area counts if they touch in several places.
    """
    for key, sign in (((first.id, second.id), 1), ((second.id, first.id), -1)):
        if key in laps:
            place = laps[key]
            way = square_to(place.patch, place.direction)
            return Patch(first, second, place.patch, way if sign > 0 else neg(way))
    best: Patch | None = None
    size = Fraction(0)
    for _, normal_1, ring_1 in first.faces():
        for _, normal_2, ring_2 in second.faces():
            if dot(normal_1, normal_2) > _OPPOSED:
                continue
            height = dot(ring_1[0], normal_1)
            if abs(height - dot(ring_2[0], normal_1)) > SAME:
                continue
            x = unit(add(ring_1[1], neg(ring_1[0])))
            y = cross(normal_1, x)
            flats = [hull([(trimmed(dot(p, x)), trimmed(dot(p, y))) for p in ring]) for ring in (ring_1, ring_2)]
            common = cleaned(intersection(flats[0], flats[1]))
            if len(common) < 3:
                continue
            outline = tuple(add(add(scale(x, a), scale(y, b)), scale(normal_1, height)) for a, b in common)
            patch = Patch(first, second, outline, normal_1)
            if patch.least_extent > max(size, SAME):
                best, size = patch, patch.least_extent
    return best


def square_to(outline: Sequence[Vec], way: Vec) -> Vec:
    """The unit normal of a flat outline, pointing as `way` does: `way` itself unless the joint closes leaning.

    If the joint closes by sliding along the outline, the normal from which the corners run anticlockwise.
    """
    a, b, c = outline[:3]
    normal = unit(cross(unit(add(b, neg(a))), unit(add(c, neg(b)))))
    if abs(dot(normal, way)) > -_OPPOSED:
        return way
    if abs(dot(normal, way)) < _SLIDING:
        return normal
    return normal if dot(normal, way) > 0 else neg(normal)


def spots(patch: Patch, count: int) -> list[Vec]:
    """`count` points (world) evenly along the longer way of a patch, on its middle line."""
    flat = patch.flat
    middle = centroid(flat)
    if count == 1:
        return [patch.lifted(middle)]
    spans = [(max(p[i] for p in flat) - min(p[i] for p in flat), min(p[i] for p in flat)) for i in (0, 1)]
    axis = 0 if spans[0][0] >= spans[1][0] else 1
    out = []
    for k in range(count):
        place = spans[axis][1] + spans[axis][0] * Fraction(2 * k + 1, 2 * count)
        point = (place, middle[1]) if axis == 0 else (middle[0], place)
        out.append(patch.lifted(point))
    return out


def spread(total: int, chosen: int) -> list[int]:
    """Which of `total` places in a row to use for `chosen` fasteners: evenly spread and the same from both ends.

    >>> spread(7, 3)
    [1, 3, 5]
    """
    out = []
    for i in range(chosen):
        exact = Fraction((2 * i + 1) * total, 2 * chosen) - Fraction(1, 2)
        mirrored = i >= chosen / 2  # round the two halves towards their own ends, so that the row is symmetric
        out.append(_round_half(exact, up=mirrored))
    return out


def _round_half(value: Fraction, up: bool) -> int:
    base = value.numerator // value.denominator
    rest = value - base
    if rest == Fraction(1, 2):
        return base + 1 if up else base
    return base + 1 if rest > Fraction(1, 2) else base


def in_notch(blank: Blank, world: Vec, side: Side) -> bool:
    """True if the point on that side of a blank has been cut away by a notch."""
    point = blank.frame.local_point(world)
    second = 2 if side.axis == 1 else 1
    for notch in blank.notches:
        if notch.side is side and holds([(p[0], p[second]) for p in notch.outline], (point[0], point[second])):
            return True
    return False


def in_the_way(blank: Blank, head: Vec, outward: Vec, radius: Fraction, reach: Fraction) -> bool:
    """True if a stick stands in the way of a driver that comes to a head from `outward`, `reach` mm long.

    The driver is taken as a square bar of twice the head's `radius`, the stick as its whole box: where an end is cut at
    an angle the answer is on the safe side.
    """
    tip = add(head, scale(outward, reach))
    room = 2 * float(radius) + 1  # more than the bar's corners stand off its axis
    if any(
        max(a, b) + room < low or min(a, b) - room > high
        for a, b, low, high in zip(floats(head), floats(tip), *blank.box, strict=True)
    ):
        return False  # far off: no need for exact arithmetic
    start = blank.frame.local_point(head)
    way = blank.frame.local_direction(outward)
    low, high = 1e-3, float(reach)  # what touches at the head itself is the wood it sits in
    for place, slope, size in zip(start, way, blank.sizes, strict=True):
        near, far = float(-radius - place), float(size + radius - place)
        if abs(slope) < Fraction(1, 10**9):
            if near >= 0 or far <= 0:
                return False
            continue
        ends = sorted((near / float(slope), far / float(slope)))
        low, high = max(low, ends[0]), min(high, ends[1])
    return high - low > 1e-3


def drill(
    blank: Blank,
    world: Vec,
    direction: Vec,
    *,
    purpose: Purpose,
    diameter: Fraction,
    depth: Fraction | None,
    joint: str,
    in_place: bool,
    sink: tuple[Fraction, Fraction, Fraction | None] = (Fraction(0), Fraction(0), None),
) -> Hole:
    """Note a hole in a blank that starts at a world point and runs along a world direction.

    Args:
        depth: mm from that point; None: through the blank.
        sink: diameter, depth and cone angle (None: counterbore) of the countersink at the start; zeros for none.
    """
    side = blank.side_towards(neg(direction))
    if abs(dot(direction, blank.axes[0])) > Fraction(9, 10):
        side = Side.NEAR_END if dot(direction, blank.axes[0]) > 0 else Side.FAR_END
    point = blank.frame.local_point(world)
    level = blank.sizes[side.axis] if side.is_far else Fraction(0)
    first, second = ((0, 2) if side.axis == 1 else (0, 1)) if side.axis else (1, 2)
    way = blank.frame.local_direction(direction)
    start = Fraction(0)
    if side.axis:  # from the floor of a notch or a slanting end back along the drill to the side
        start = abs(point[side.axis] - level) / abs(way[side.axis])
        point = sub(point, scale(way, start))
    hole = Hole(
        side=side,
        at=(settled(point[first]), settled(point[second])),
        direction=way,
        purpose=purpose,
        diameter=diameter,
        depth=depth,
        sink_diameter=sink[0],
        sink_depth=sink[1],
        sink_angle=sink[2],
        through_length=blank.sizes[side.axis],
        joint=joint,
        in_place=in_place,
        start=settled(start),
    )
    blank.holes.append(hole)
    return hole


def wood_before(blank: Blank, at: Vec, direction: Vec) -> Fraction:
    """Wood (mm) of a blank from its outer side to a point in it, along a direction: its thickness unless the point is
    on the floor of a notch."""
    side = max(blank.faces(), key=lambda face: -dot(face[1], direction))
    _, normal, ring = side
    return settled(dot(add(ring[0], neg(at)), normal) / -dot(direction, normal))


def screw_through(
    patch: Patch,
    at: Vec,
    screw: Screw,
    length: Fraction,
    sunk: Fraction,
    head: str,
    dense: bool,
    joint: str,
) -> FastenerPlace:
    """Drill for one screw at a point of a patch: clearance and sink in the first member, pilot hole in the second.

    Args:
        length: of the screw, mm. sunk: how far the head lies below the surface, mm (0 for a flush countersink).
        head: "countersunk", "counterbored" or "plugged". dense: whether the second member is dense wood.
    """
    direction = patch.direction
    thick = wood_before(patch.first, at, direction)
    start = add(at, scale(direction, -thick))
    if head == "countersunk":
        sink: tuple[Fraction, Fraction, Fraction | None] = (screw.head, screw.countersink_depth(), screw.head_angle)
    else:
        sink = (screw.counterbore, sunk, None)
    drill(
        patch.first,
        start,
        direction,
        purpose=Purpose.CLEARANCE,
        diameter=screw.clearance,
        depth=None,
        joint=joint,
        in_place=False,
        sink=sink,
    )
    drill(
        patch.second,
        at,
        direction,
        purpose=Purpose.PILOT,
        diameter=screw.pilot(dense),
        depth=length + sunk - thick,
        joint=joint,
        in_place=True,
    )
    return FastenerPlace(add(start, scale(direction, sunk)), direction, patch.first.id, patch.second.id)


def dowel_at(
    patch: Patch,
    at: Vec,
    diameter: Fraction,
    depth_first: Fraction | None,
    depth_second: Fraction,
    proud: Fraction,
    joint: str,
) -> tuple[FastenerPlace, Fraction]:
    """Drill for one dowel; returns it and the total depth of its hole (mm).

    `depth_first` None: through the first member, drilled with both members together; such a dowel is `proud` mm longer
    than its hole and stands out until it is trimmed.
    """
    direction = patch.direction
    thick = wood_before(patch.first, at, direction)
    if depth_first is None:
        start = add(at, scale(direction, -thick))
        drill(
            patch.first,
            start,
            direction,
            purpose=Purpose.DOWEL,
            diameter=diameter,
            depth=None,
            joint=joint,
            in_place=True,
        )
        first_depth = thick
    else:
        first_depth = depth_first
        start = add(at, scale(direction, -first_depth))
        drill(
            patch.first,
            at,
            neg(direction),
            purpose=Purpose.DOWEL,
            diameter=diameter,
            depth=first_depth,
            joint=joint,
            in_place=False,
        )
    drill(
        patch.second,
        at,
        direction,
        purpose=Purpose.DOWEL,
        diameter=diameter,
        depth=depth_second,
        joint=joint,
        in_place=depth_first is None,
    )
    outer = add(start, scale(direction, -proud)) if depth_first is None else start
    return FastenerPlace(outer, direction, patch.first.id, patch.second.id), first_depth + depth_second


def row_order(patches: Sequence[Patch]) -> list[Patch]:
    """Patches of one first member, sorted along it."""
    return sorted(patches, key=lambda p: dot(p.lifted(centroid(p.flat)), p.first.axes[0]))
