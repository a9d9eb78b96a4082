"""Edge glue-ups: members that touch along their sides, perhaps with a loose tongue in grooves of both."""

from __future__ import annotations

from fractions import Fraction

from attrs import evolve

from planpress.description.records import EdgeJoint
from planpress.geometry.polygons import Polygon, area, cleaned, cut
from planpress.geometry.vectors import SAME, Vec, add, dot, neg, scale, settled_vec, trimmed_vec
from planpress.model.blanks import Blank
from planpress.model.contacts import Patch, touching
from planpress.model.cutting import Cut, JointError, Settings, tidy
from planpress.model.laps import boxes_overlap
from planpress.model.loose import StripSizes, made_piece, seat, slot, strip_sizes
from planpress.model.records import JointPlace, Side

_KIND = "edge glue-up"
_PARALLEL = 1 - Fraction(1, 10**9)


def join_edges(first: Blank, second: Blank, joint: EdgeJoint, settings: Settings) -> Cut | None:
    """Join two members that touch along their sides; None if they do not touch.

    Solid wood is glued edge to edge or face to edge along the grain; the end of a sheet may get an edging, too.

    Raises:
        JointError: if they overlap, an end of solid wood is to be glued, solid members cross, or the tongue does not
            fit.
        FormulaError: if a setting makes no sense.
    """
    strip = strip_sizes(joint.tongue, joint.fit, settings) if joint.tongue else None
    if boxes_overlap(first, second):
        raise JointError("they overlap; place them edge to edge")
    patch = touching(first, second, {})
    if patch is None:
        return None
    solid = [blank for blank in (first, second) if blank.material.form != "sheet"]
    for blank in solid:
        if abs(dot(blank.axes[0], patch.direction)) > Fraction(1, 2):
            raise JointError(f"an end of '{blank.id}' would be glued; end grain holds no glue")
    if len(solid) == 2 and abs(dot(first.axes[0], second.axes[0])) < _PARALLEL:
        raise JointError("their grain does not run the same way")
    place = JointPlace(joint.name, _KIND, first.id, second.id, patch.direction, patch.outline, joint.glue)
    return Cut(place) if strip is None else _with_tongue(patch, joint, strip, place)


def _with_tongue(patch: Patch, joint: EdgeJoint, strip: StripSizes, place: JointPlace) -> Cut:
    """Grooves in the middle of the touching faces, and the tongue that fills them from end to end."""
    flat = patch.flat
    x, y = patch.axes
    if _reach(flat, 1)[1] - _reach(flat, 1)[0] > _reach(flat, 0)[1] - _reach(flat, 0)[0]:
        flat, x, y = tuple((b, -a) for a, b in flat), y, neg(x)
    low, high = _reach(flat, 1)
    middle, half = (low + high) / 2, strip.slot_width / 2
    if high - low <= strip.slot_width:
        raise JointError(
            f"a tongue {float(strip.thickness):.4g} mm thick leaves no wood beside it in edges that share"
            f" {float(high - low):.4g} mm"
        )
    groove = _band(flat, middle - half, middle + half)
    begin, end = _inner_reach(groove)
    if end - begin <= SAME:
        raise JointError("the edges touch over too short a length for a tongue")
    level = dot(patch.outline[0], patch.direction)

    def world(p: tuple[Fraction, Fraction], deep: Fraction = Fraction(0)) -> Vec:
        flat_point = add(scale(x, p[0]), scale(y, p[1]))
        return settled_vec(trimmed_vec(add(flat_point, scale(patch.direction, level + deep))))

    members = (patch.first, patch.second)
    centre = world(((begin + end) / 2, middle))
    piece = made_piece(
        "Tongue", joint, members, strip, centre, (x, patch.direction), (tidy(end - begin), 2 * strip.depth)
    )
    seats = []
    for member, way in zip(members, (neg(patch.direction), patch.direction), strict=True):
        side = max(Side, key=lambda s, m=member, w=way: -dot(m.face(s)[0], w))  # type: ignore[misc]
        size = member.sizes[side.axis]
        if strip.slot_depth >= size:
            raise JointError(f"a groove {float(strip.slot_depth):.4g} mm deep goes through '{member.id}'")
        slot(
            member,
            side,
            [world(p) for p in groove],
            piece=piece,
            strip=strip,
            depth=strip.slot_depth,
            start=Fraction(0),
            skew=Fraction(0),
            joint=joint.name,
            kind=_KIND,
            role="groove",
        )
        wall = middle + strip.thickness / 2
        deep = strip.depth if way == patch.direction else -strip.depth
        ring = [world((u, wall), d) for u, d in ((begin, 0 * deep), (end, 0 * deep), (end, deep), (begin, deep))]
        seats.append(seat(joint, piece, member, way, ring, y))
    lands = (_band(flat, low, middle - half), _band(flat, middle + half, high))
    land = max(lands, key=area)
    return Cut(evolve(place, patch=tuple(world(p) for p in land)), (piece,), tuple(seats))


def _band(flat: Polygon, low: Fraction, high: Fraction) -> Polygon:
    """What of a polygon lies between two heights."""
    one = Fraction(1)
    return cleaned(cut(cut(flat, (0 * one, one), high), (0 * one, -one), -low))


def _reach(flat: Polygon, axis: int) -> tuple[Fraction, Fraction]:
    values = [p[axis] for p in flat]
    return min(values), max(values)


def _inner_reach(band: Polygon) -> tuple[Fraction, Fraction]:
    """How far a square-ended strip reaches inside a band with slanting ends."""
    low, high = _reach(band, 1)
    rows = [[p[0] for p in band if abs(p[1] - level) <= SAME] for level in (low, high)]
    return max(min(row) for row in rows), min(max(row) for row in rows)
