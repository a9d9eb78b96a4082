"""What is cut for a tenon along its shoulder plane: the wood beside it, round corners, the mortise; its glue faces."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction

from planpress.geometry.polygons import Point2, Polygon, area
from planpress.geometry.rounding import corner_arcs
from planpress.geometry.vectors import SAME, Vec, settled, unit
from planpress.model.blanks import RawNotch
from planpress.model.cutting import JointError
from planpress.model.laps import snapped_degrees
from planpress.model.records import Role, Side
from planpress.model.tenon_entries import Entry, Range, on_level

_FINE = Fraction(1, 10**9)
#: A rounding cut reaches this far (mm) into wood that is gone already, so that no film stays.
_OVER = Fraction(1, 20)


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
        depth: square to T's side, mm.
        across: range of the side's second coordinate, which is the cut's width; None for all of it, a cheek: its width
            is the tenon's length.
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
        width=across[1] - across[0] if across else max(abs(end_0 - start_0), abs(end_1 - start_1)),
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
        upper, face = abs(v - across[1]) < abs(v - across[0]), abs(w - thick[1]) < abs(w - thick[0])
        v, w = across[upper], thick[face]
        ring = [_on_borders(_across_t(entry, (_exact(a), _exact(b))), v, w) for a, b in arc]
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


def _on_borders(p: Point2, v: Fraction, w: Fraction) -> Point2:
    """The point set exactly on the levels v and w that it lies on but for rounding."""
    return v if abs(p[0] - v) <= SAME else p[0], w if abs(p[1] - w) <= SAME else p[1]


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
