"""Housings, rabbets and grooves: an end, edge or face of one stick is let into a side of another.

Everything is reckoned in the coordinates (u, v, w) of the member that is cut. The way in is square to one of its
sides, to which an end, edge or face of the member let in lies parallel: that is what sits on the floor. Only an end may
come in leaning, along its own length; the walls of the cut lean with it. The cut's outline is what is seen of the
member let in along that way, within the side's borders. It is closed on both sides (housing, groove) or runs out at one
border (rabbet).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from typing import Literal

from attrs import frozen

from planpress.description.records import HousedJoint
from planpress.geometry.polygons import Point2, Polygon, cleaned, cut, hull, intersection, sides
from planpress.geometry.vectors import SAME, Frame, Vec, add, cross, dot, mean, neg, product, root, scale, settled, sub
from planpress.model.blanks import Blank, RawNotch
from planpress.model.cutting import Cut, JointError, Settings
from planpress.model.laps import boxes_overlap, snapped_degrees
from planpress.model.records import JointPlace, Side
from planpress.model.stick_sides import (
    all_keys,
    corner_keys,
    flat,
    height_of,
    is_flat,
    is_narrow,
    lifted,
    normal_of,
    outward,
    snapped,
)
from planpress.model.stops import Border, borders, cut_corner

_SQUARE = 1 - Fraction(1, 10**9)
_NONE = Fraction(0)
_SIZES: tuple[Literal["length", "width", "thickness"], ...] = ("length", "width", "thickness")


@frozen
class _Seat:
    """One way in.

    Attributes:
        first, second: the member let in and the one that is cut. inner: the first's frame in the second's coordinates.
        side: of the second, where the first enters; bottom: the side of the first that lies on the floor.
        way: unit vector into the second, its walls' direction. depth: mm, square to the side.
        border: the side's own outline; footprint: the cut's, without fit and stops.
    """

    first: Blank
    second: Blank
    inner: Frame
    side: Side
    bottom: Side
    way: Vec
    depth: Fraction
    border: Polygon
    footprint: Polygon

    @property
    def lies_in(self) -> tuple[int, int]:
        """The two axes of the first that lie in the side, its thickness first if it does."""
        one, two = (i for i in (2, 1, 0) if i != self.bottom.axis)
        return one, two


def cut_housed(first: Blank, second: Blank, joint: HousedJoint, settings: Settings) -> Cut | None:
    """Let the first member into the second; None if they do not meet.

    Raises:
        JointError: if nothing of the first lies flat on a floor, if it goes right through, or if the kind of joint
            is another one.
        FormulaError: if fit, room or a stop is no length.
    """
    fit, room = settings.length(joint.fit), settings.size(joint.room, _NONE)
    seats = sorted(_seats(first, second, joint.kind), key=lambda seat: _order(seat, joint.kind))
    if not seats:
        if boxes_overlap(first, second):
            raise JointError(_why_not(first, second))
        return None
    seat, across = _chosen(seats, joint.kind)
    if seat.depth + room >= second.sizes[seat.side.axis] - SAME:
        raise JointError(f"with its room the groove goes right through '{second.id}'")
    widened, floor = _widened(seat, across, fit if joint.kind == "rabbet" else fit / 2), _floor(seat)
    for stop in joint.stops:
        border = _border_towards(seat, stop.side)
        by = settings.size(stop.by, _NONE)
        widened = cut(widened, border.normal, border.offset - by)
        floor = cut(floor, border.normal, border.offset - by + _shift(seat, border.normal))
        if len(widened) < 3 or len(floor) < 3:
            raise JointError("the stop leaves nothing of the cut")
        beyond = cut(seat.footprint, (-border.normal[0], -border.normal[1]), by - border.offset)
        if len(beyond) >= 3 and not is_narrow(beyond):
            cut_corner(first, second, seat.inner, border.moved(by, seat.way), joint)
    second.notches.append(_notch(seat, across, widened, joint, fit, room))
    level = height_of(seat.side, second) - seat.depth
    patch = tuple(second.frame.point(lifted(seat.side, p, level)) for p in cleaned(floor))
    way = second.frame.direction(seat.way)
    return Cut(JointPlace(joint.name, joint.kind, first.id, second.id, way, patch, joint.glue))


# --- which way in ---------------------------------------------------------------------------------------------------


def _seats(first: Blank, second: Blank, kind: str) -> Iterator[_Seat]:
    """Every way in: an end, edge or face of the first parallel to a side of the second and below it."""
    inner = Frame(
        second.frame.local_point(first.frame.origin), *(second.frame.local_direction(axis) for axis in first.axes)
    )
    for side in Side:
        if not is_flat(second, side):
            continue
        out = outward(side)
        border = hull([flat(side, second.local_corner(*key)) for key in corner_keys(side)])
        level = height_of(side, second)
        heights = [dot(inner.point(first.local_corner(*key)), out) for key in all_keys()]
        outside = max(heights) - level
        depth = settled(level - min(heights))
        if not SAME < depth < second.sizes[side.axis] - SAME:
            continue
        for bottom in Side:
            if dot(inner.direction(normal_of(first, bottom)), out) > -_SQUARE:
                continue
            sunk = kind == "rabbet" and bottom.axis == 2 and outside >= -first.thickness
            if outside <= SAME and not sunk:
                continue
            way = neg(out) if bottom.axis else scale(inner.x, 1 if bottom.is_far else -1)
            seen = _seen(first, inner, side, bottom, level, depth)
            footprint = intersection(seen, border)
            if footprint and not is_narrow(footprint):
                yield _Seat(first, second, inner, side, bottom, way, depth, border, footprint)


def _order(seat: _Seat, kind: str) -> tuple[bool, bool, Fraction]:
    """Into a long side rather than an end; a panel's rabbet square to its faces, its groove in its own plane; and the
    way that goes less deep."""
    by_face = seat.bottom.axis == 2
    return seat.side.axis == 0, {"rabbet": not by_face, "groove": by_face}.get(kind, False), seat.depth


def _chosen(seats: list[_Seat], kind: str) -> tuple[_Seat, int]:
    """The first way in that makes the kind of joint asked for, and the axis of the first across its walls."""
    for seat in seats:
        walls = _walls(seat)
        if kind == "rabbet":
            open_ = [axis for axis in seat.lies_in if len(walls[axis]) == 1]
            if open_:
                return seat, min(open_, key=lambda axis: _extent(seat, seat.footprint, axis))
        else:
            across = next((axis for axis in seat.lies_in if walls[axis]), None)
            if across is not None and len(walls[across]) == 2:
                return seat, across
    seat, walls = seats[0], _walls(seats[0])
    where = f"the {seat.side.value} of '{seat.second.id}'"
    if not any(walls.values()):
        raise JointError(f"it would take away the whole of {where}, and nothing would hold '{seat.first.id}'")
    if kind == "rabbet":
        raise JointError(f"the cut does not run out at a border of {where}, so it is a housing or groove")
    raise JointError(f"the cut runs out at a border of {where}, so it is a rabbet")


def _why_not(first: Blank, second: Blank) -> str:
    """Why there is no way in, although they overlap."""
    through = False
    for side, normal, ring in first.faces():
        over = [n for _, n, _ in second.faces() if dot(normal, n) < -_SQUARE]
        points = [mean(ring), *(mean([ring[i - 1], ring[i]]) for i in range(4))]
        inside = any(_holds(second, p) for p in points)
        if inside and not over:
            part = f"the {side.value} of '{first.id}'"
            return f"{part} is not parallel to a side of '{second.id}' and could not lie on the floor of a cut"
        through = through or inside
    if through:
        return f"'{first.id}' does not come out of '{second.id}' square to one of its sides"
    return f"no end, edge or face of '{first.id}' ends inside '{second.id}': it goes right through, or leans"


def _holds(blank: Blank, point: Vec) -> bool:
    """True if a point (world) lies inside a stick."""
    return all(dot(normal, sub(point, ring[0])) < -SAME for _, normal, ring in blank.faces())


def _walls(seat: _Seat) -> dict[int, set[bool]]:
    """For both axes of the first that lie in the side: at which of its two sides (False: the near one) the cut has a
    wall, rather than running out at a border."""
    lines = sides(seat.border)
    found: dict[int, set[bool]] = {axis: set() for axis in seat.lies_in}
    middle = [p / 2 for p in seat.first.sizes]
    level = height_of(seat.side, seat.second)
    for (normal, _), a, b in _edges(seat.footprint):
        if any(_on_line(line, a) and _on_line(line, b) for line in lines):
            continue
        local = [seat.inner.local_point(lifted(seat.side, p, level)) for p in (a, b)]
        away = [abs(dot(lifted(seat.side, normal, _NONE), _axis_of(seat.inner, axis))) for axis in seat.lies_in]
        axis = seat.lies_in[0] if away[0] >= away[1] else seat.lies_in[1]
        found[axis].add((local[0][axis] + local[1][axis]) / 2 > middle[axis])
    return found


def _extent(seat: _Seat, polygon: Polygon, axis: int) -> Fraction:
    """Size (mm) of an outline along an axis of the first that lies in the side."""
    along = flat(seat.side, _axis_of(seat.inner, axis))
    length = root(along[0] ** 2 + along[1] ** 2)
    places = [(product(p[0], along[0]) + product(p[1], along[1])) / length for p in polygon]
    return max(places) - min(places)


# --- outlines -------------------------------------------------------------------------------------------------------


def _seen(
    first: Blank,
    inner: Frame,
    side: Side,
    bottom: Side,
    level: Fraction,
    depth: Fraction,
    axis: int = 2,
    margin: Fraction = _NONE,
) -> Polygon:
    """What is seen of the first member's sunk part along its way in, on the side; `margin` (mm) widens it at both ends
    of an axis of the first."""
    add_to = [margin if i == axis else _NONE for i in range(3)]
    ranges = [(-add_to[i], first.sizes[i] + add_to[i]) for i in range(3)]
    points: list[Vec] = []
    if bottom.axis == 0:
        out = outward(side)
        rise = dot(inner.x, out)
        for v in ranges[1]:
            for w in ranges[2]:
                start = inner.point((_NONE, v, w))
                points.append(add(start, scale(inner.x, (level - dot(start, out)) / rise)))
    else:
        size = first.sizes[bottom.axis]
        upper = min(depth, size)
        heights = (size, size - upper) if bottom.is_far else (_NONE, upper)
        for h in heights:
            for across in ranges[3 - bottom.axis]:
                v, w = (h, across) if bottom.axis == 1 else (across, h)
                points.append(inner.point((first.near.u_at(v, w) - add_to[0], v, w)))
                points.append(inner.point((first.far.u_at(v, w) + add_to[0], v, w)))
    return hull([flat(side, p) for p in points])


def _widened(seat: _Seat, across: int, margin: Fraction) -> Polygon:
    """The outline of the cut, with its clearance."""
    if not margin:
        return seat.footprint
    level = height_of(seat.side, seat.second)
    seen = _seen(seat.first, seat.inner, seat.side, seat.bottom, level, seat.depth, across, margin)
    return intersection(seen, seat.border)


def _floor(seat: _Seat) -> Polygon:
    """Where the first member's end, edge or face lies on the floor."""
    corners = [seat.inner.point(seat.first.local_corner(*key)) for key in corner_keys(seat.bottom)]
    return intersection(hull([flat(seat.side, p) for p in corners]), seat.border)


def _shift(seat: _Seat, normal: Point2) -> Fraction:
    """How far a leaning wall has moved (mm, along a unit normal in the side) where it meets the floor."""
    along = flat(seat.side, seat.way)
    down = abs(seat.way[seat.side.axis])
    return (product(normal[0], along[0]) + product(normal[1], along[1])) * seat.depth / down


def _border_towards(seat: _Seat, direction: str) -> Border:
    """The border of the side that lies towards a world direction.

    Raises:
        JointError: if none does.
    """
    world = [_NONE] * 3
    world["xyz".index(direction[1])] = Fraction(1 if direction[0] == "+" else -1)
    wanted = flat(seat.side, seat.second.frame.local_direction((world[0], world[1], world[2])))
    level = height_of(seat.side, seat.second)
    best = max(borders(seat.side, level, seat.border), key=lambda b: b.normal[0] * wanted[0] + b.normal[1] * wanted[1])
    if best.normal[0] * wanted[0] + best.normal[1] * wanted[1] < Fraction(7, 10):
        raise JointError(f"no border of the {seat.side.value} of '{seat.second.id}' lies towards {direction}")
    return best


# --- the cut --------------------------------------------------------------------------------------------------------


def _notch(seat: _Seat, across: int, outline: Polygon, joint: HousedJoint, fit: Fraction, room: Fraction) -> RawNotch:
    level = height_of(seat.side, seat.second)
    mate = seat.first.sizes[across] + fit
    return RawNotch(
        side=seat.side,
        outline=tuple(_on_blank(seat.second, lifted(seat.side, p, level)) for p in cleaned(outline)),
        depth=settled(seat.depth + room),
        width=settled(_extent(seat, outline, across)) if joint.kind == "rabbet" else mate,
        fit=fit,
        skew=_skew(seat, across),
        mates=(seat.first.id,),
        mate_size=_SIZES[across],
        joint=joint.name,
        kind=joint.kind,
        depth_share="whole",
        role=joint.kind,
        direction=None if abs(seat.way[seat.side.axis]) > _SQUARE else seat.way,
    )


def _on_blank(blank: Blank, p: Vec) -> Vec:
    u, v, w = (snapped(value, size) for value, size in zip(p, blank.sizes, strict=True))
    return (u, v, w)


def _skew(seat: _Seat, across: int) -> Fraction:
    """Degrees between the walls and a line square to the length; 0 too for walls that run along it."""
    if seat.side.axis == 0:
        return _NONE
    along = cross(_axis_of(seat.inner, across), outward(seat.side))
    second = along[2 if seat.side.axis == 1 else 1]
    if abs(second) < Fraction(1, 10**9) or abs(along[0]) < Fraction(1, 10**9):
        return _NONE
    return snapped_degrees(math.degrees(math.atan(float(along[0] / second))))


def _edges(polygon: Polygon) -> Iterator[tuple[tuple[Point2, Fraction], Point2, Point2]]:
    for i, line in enumerate(sides(polygon)):
        yield line, polygon[i], polygon[(i + 1) % len(polygon)]


def _on_line(line: tuple[Point2, Fraction], p: Point2) -> bool:
    (a, b), offset = line
    return abs(a * p[0] + b * p[1] - offset) <= 10 * SAME * root(a * a + b * b)


def _axis_of(frame: Frame, axis: int) -> Vec:
    return (frame.x, frame.y, frame.z)[axis]
