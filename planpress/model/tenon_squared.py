"""A tenon square to the side it enters, on a stick that leans there.

Such tenons of several leaning legs are parallel, so that a seat drops onto all of them at once. The tenon is a prism
square to M's side, cut out of a stick T that leans; its cheeks lean within the stick. It is laid out on a stand-in: a
stick as wide and thick as T that stands square on M's side and meets T's middle line half way along the tenon.
"""

from __future__ import annotations

from fractions import Fraction

from attrs import evolve, frozen

from planpress.geometry.polygons import Polygon, area, cleaned, cut
from planpress.geometry.vectors import SAME, Frame, Vec, add, cross, dot, neg, norm, scale, settled, sub, unit
from planpress.model.blanks import Blank, EndPlane, RawNotch
from planpress.model.cutting import JointError
from planpress.model.records import Role, Side
from planpress.model.tenon_entries import Entry, Range, on_level, side_polygon, snapped
from planpress.model.tenon_sections import degrees

_SQUARE = 1 - Fraction(1, 10**9)
#: Waste narrower than this (mm) is rounding.
_LEAST_WASTE = 10 * SAME


@frozen
class Plane:
    """A plane in a stick's coordinates: wood to be cut lies where normal . p <= offset."""

    normal: Vec
    offset: Fraction


def squared(entry: Entry) -> Entry:
    """The entry of the stand-in: T's coordinates become those of a stick square to M's side.

    Its thickness and width run along and across whichever sides of T lie nearest to M's own directions, so that the
    mortise is a rectangle along M where T's sides allow it.
    """
    t, m = entry.tenon, entry.mortise
    inward = t.frame.direction(entry.shoulder.normal)
    along = inward if entry.end.is_far else neg(inward)
    across = _width_direction(entry, inward)
    frame = Frame(t.frame.origin, along, across, cross(along, across))
    middle = (t.width / 2, t.thickness / 2)
    within = min(entry.through_size, entry.depth(*middle)) / 2
    centre = t.frame.point((entry.shoulder_u(*middle, within), *middle))
    off = frame.local_point(centre)
    frame = evolve(frame, origin=frame.point((Fraction(0), off[1] - middle[0], off[2] - middle[1])))

    def plane(end: EndPlane) -> EndPlane:
        point = frame.local_point(t.frame.point(end.point))
        return EndPlane(point, frame.local_direction(t.frame.direction(end.normal)), end.target)

    stand_in = Blank(
        t.id,
        t.record,
        t.assembly,
        t.repeat,
        t.material,
        frame,
        t.length,
        t.width,
        t.thickness,
        plane(t.near),
        plane(t.far),
        mirrored=t.mirrored,
    )
    normal, ring = m.face(entry.side)
    way: Vec = (Fraction(1 if entry.end.is_far else -1), Fraction(0), Fraction(0))
    shoulder = EndPlane(frame.local_point(ring[0]), way, m.id)
    return evolve(entry, tenon=stand_in, shoulder=shoulder, along=neg(normal))


def _width_direction(entry: Entry, inward: Vec) -> Vec:
    """World direction of the tenon's width on M's side."""
    t, m = entry.tenon, entry.mortise
    flat = [axis for i, axis in enumerate(m.axes) if i != entry.side.axis]
    # T's sides square to its thickness leave a line along the width, those square to its width one along the thickness
    lines = [unit(cross(inward, axis)) for axis in (t.axes[2], t.axes[1])]
    nearest = [max(abs(dot(line, axis)) for axis in flat) for line in lines]
    line = lines[0] if nearest[0] >= nearest[1] - SAME else cross(lines[1], inward)
    return line if dot(line, t.axes[1]) > 0 else neg(line)


def check_within(stick: Blank, entry: Entry, across: Range, thick: Range) -> None:
    """The whole tenon must lie in the stick that leans away from it.

    Args:
        entry: of the stand-in. across, thick: the tenon's ranges of the stand-in's v and w.

    Raises:
        JointError: if it does not.
    """
    stand_in, worst = entry.tenon, Fraction(0)
    for v in across:
        for w in thick:
            for u in (entry.shoulder_u(v, w), entry.end_u(v, w)):
                p = stick.frame.local_point(stand_in.frame.point((u, v, w)))
                worst = max(worst, *(max(-p[i], p[i] - stick.sizes[i]) for i in (1, 2)))
    if worst > SAME:
        raise JointError(
            f"a tenon square to '{entry.mortise.id}' leaves '{stick.id}', which leans, by {float(worst):.3g} mm; make"
            " the tenon thinner, narrower or shorter"
        )


def cut_stick(
    stick: Blank,
    entry: Entry,
    axis: int,
    role: Role,
    *,
    low: Fraction | None = None,
    high: Fraction | None = None,
    below: Fraction = Fraction(0),
) -> RawNotch | None:
    """A cut through the stick, from `below` mm beneath M's side to T's end, its walls square to M's side.

    Args:
        entry: of the stand-in. axis: 1 if the walls bound the stand-in's v, 2 if its w.
        low, high: where the walls stand, mm; None: the cut is open there.

    Returns:
        None if no wood is there.

    Raises:
        JointError: if a wall leaves the stick before the shoulder.
    """
    frame, through = entry.tenon.frame, 3 - axis
    normal = entry.tenon.axes[axis]
    bounds = [_behind(stick, neg(entry.along), dot(neg(entry.along), _point(entry, below)))]
    if low is not None:
        bounds.append(_behind(stick, neg(normal), -(dot(normal, frame.origin) + low)))
    if high is not None:
        bounds.append(_behind(stick, normal, dot(normal, frame.origin) + high))
    sides = (Side.UPPER, Side.LOWER) if through == 1 else (Side.FACE, Side.BACK)
    end = stick.far if entry.end.is_far else stick.near
    tip = Plane(end.normal, dot(end.normal, end.point))
    found = [(side, outline) for side in sides if (outline := _waste(stick, side, bounds))]
    if not found:
        return None
    side, outline = max(  # mirror images choose alike by the area
        found, key=lambda f: (*(_reaches(stick, f[0], f[1], plane) for plane in (bounds[0], tip)), area(f[1]))
    )
    flat = [i for i in range(3) if i != side.axis]
    line = tuple(bounds[0].normal[i] for i in flat)
    if not _reaches(stick, side, outline, bounds[0]):
        raise JointError(
            f"a tenon square to '{entry.mortise.id}' comes too near to a side of '{stick.id}', which leans; make the"
            " tenon thinner, narrower or shorter"
        )
    way = stick.frame.local_direction(entry.tenon.axes[through])
    inward = way if (way[side.axis] < 0) == side.is_far else neg(way)
    whole = entry.depths((Fraction(0), entry.tenon.width), (Fraction(0), entry.tenon.thickness))
    return RawNotch(
        side=side,
        outline=tuple(on_level(stick, side, p) for p in outline),
        depth=stick.sizes[side.axis],
        width=high - low if high is not None and low is not None else whole[1],
        fit=Fraction(0),
        skew=degrees(-line[1], line[0]),
        mates=(entry.mortise.id,),
        mate_size="width" if entry.side.axis == 1 else "thickness",
        joint=entry.joint.name,
        kind=entry.joint.kind,
        depth_share="given",
        role=role,
        direction=None if abs(inward[side.axis]) > _SQUARE else inward,
    )


def _point(entry: Entry, below: Fraction) -> Vec:
    """A point (world) `below` mm beneath M's side."""
    _, ring = entry.mortise.face(entry.side)
    return add(ring[0], scale(entry.along, below))


def _behind(stick: Blank, normal: Vec, offset: Fraction) -> Plane:
    """A world plane in the stick's coordinates."""
    return Plane(stick.frame.local_direction(normal), offset - dot(normal, stick.frame.origin))


def _level(stick: Blank, side: Side) -> Fraction:
    return stick.sizes[side.axis] if side.is_far else Fraction(0)


def _reaches(stick: Blank, side: Side, outline: Polygon, plane: Plane) -> bool:
    """True if an edge of an outline on a side lies in a plane."""
    first, second = (plane.normal[i] for i in range(3) if i != side.axis)
    level = plane.offset - plane.normal[side.axis] * _level(stick, side)
    return sum(abs(first * p[0] + second * p[1] - level) <= 10 * SAME for p in outline) > 1


def _waste(stick: Blank, side: Side, bounds: list[Plane]) -> Polygon:
    """What of a side lies behind all planes; empty if it is narrower than rounding."""
    border = outline = side_polygon(stick, side)
    first, second = (i for i in range(3) if i != side.axis)
    for plane in bounds:
        offset = plane.offset - plane.normal[side.axis] * _level(stick, side)
        outline = cut(outline, (plane.normal[first], plane.normal[second]), offset)
    outline = cleaned(tuple((settled(u), settled(s)) for u, s in outline))
    if len(outline) < 3:
        return ()
    outline = cleaned(tuple(snapped(p, border) for p in outline))
    if len(outline) < 3 or min(max(p[i] for p in outline) - min(p[i] for p in outline) for i in (0, 1)) < _LEAST_WASTE:
        return ()
    return outline


def cut_corner(stick: Blank, entry: Entry, corner: RawNotch, below: Fraction) -> RawNotch:
    """What rounds a corner of the stand-in's tenon, cut into the stick's end: it leans, and goes in until all of it
    has come to the shoulder."""
    frame, end = entry.tenon.frame, entry.end
    level = stick.length if end.is_far else Fraction(0)
    way = stick.frame.local_direction(entry.along)
    outline, depths = [], []
    for p in corner.outline:
        local = stick.frame.local_point(frame.point(p))
        at_end = add(local, scale(way, (level - local[0]) / way[0]))
        gap = dot(sub(_point(entry, below), stick.frame.point(at_end)), entry.along)
        outline.append((level, settled(at_end[1]), settled(at_end[2])))
        depths.append(abs(gap * way[0]))
    return evolve(corner, outline=tuple(outline), depth=settled(max(depths)), direction=neg(scale(way, 1 / norm(way))))
