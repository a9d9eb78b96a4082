"""What a part looks like from one of its sides, at true size: the body from its solid, notches, holes, ends.

Paper coordinates of a long side: x = u (along the length, reference end to the left); y across, upward. How y follows v
or w depends on the side and is chosen so that the view is what a viewer in front of that side sees:

- FACE: y = v. - LOWER (from below): y = w, the face on top. - UPPER (from above): y = T - w, the face at the bottom.
- BACK: y = W - v, the upper edge at the bottom. An end is seen with y = v; the near one with x = w, the far one with
  x = T - w.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import numpy as np
from attrs import frozen

from planpress.base.display import Point
from planpress.figures.part_bodies import PartBodies, Stretch, seen_from
from planpress.figures.part_groups import is_end_cut, lie_of
from planpress.geometry.mesh import Floats
from planpress.geometry.vectors import floats
from planpress.model.congruence import hole_point
from planpress.model.records import EndCut, Hole, Notch, Part, Side


@frozen
class Waste:
    """Where a notch opens on the side seen: hatched."""

    notch: Notch
    polygon: tuple[Point, ...]


@frozen
class SeenHole:
    """A hole that is seen as a circle."""

    hole: Hole
    centre: Point
    hidden: bool


@frozen
class SideView:
    """A part from one side, mm, true size.

    Attributes:
        side, height, length: which side; its size across and along (of an end: the part's thickness).
        loops: closed outlines of the body, outer ones first and anticlockwise, through openings clockwise.
        edges, hidden: visible and hidden edges inside it.
        wastes: notches, hatched: those opening towards the viewer and those cut through the outline.
        holes: seen as circles. bores: centre lines of holes that run across the line of sight, with their diameter.
        near, far: the slanted end lines (lower point, upper point).
    """

    side: Side
    height: float
    length: float
    loops: tuple[tuple[Point, ...], ...]
    edges: tuple[Stretch, ...]
    hidden: tuple[Stretch, ...]
    wastes: tuple[Waste, ...]
    holes: tuple[SeenHole, ...]
    bores: tuple[tuple[Stretch, float], ...]
    near: Stretch
    far: Stretch

    @property
    def outline(self) -> tuple[Point, ...]:
        """The outermost outline of the body."""
        return self.loops[0]


def end_u(cut: EndCut, v: Fraction, w: Fraction) -> Fraction:
    """Where the plane of an end cuts the line of given v and w, mm from the reference end."""
    return cut.u_at(v, w)


def position(notch: Notch, part: Part) -> Fraction:
    """The u (mm) that a notch is measured to: its near side; of a notch open at the reference end its far side.

    Of a skewed notch it is taken where people mark it: on the reference edge for notches in the faces, on the reference
    face for notches in the edges; on the nearest line of the notch if it does not reach there. Of a cut in an end it is
    where its floor is.
    """
    if notch.side.axis == 0:
        return part.length - notch.depth if notch.side.is_far else notch.depth
    low, high = notch.across
    line = reference_line(notch.side, part)
    near, far = notch.shoulders(min(max(line, low), high))
    return far if notch.open_end is Side.NEAR_END else near


def positions(notch: Notch, part: Part) -> tuple[Fraction, ...]:
    """The u (mm) of all that is dimensioned of a notch along the part: both ends of a mortise, of a cut along the part.

    A saw cut for a wedge, a cleared corner and a slot inside the wood have none.
    """
    if notch.role in ("kerf", "corner") or (notch.role == "slot" and notch.start > 0):
        return ()
    if notch.side.axis != 0 and lie_of(notch, part) != "across" and not is_end_cut(notch):
        return tuple(u for u in notch.span if 0 < u < part.length)
    return (position(notch, part),)


def reference_line(side: Side, part: Part) -> Fraction:
    """The second coordinate on a side of the line that positions are marked on."""
    if side.axis == 2:
        return part.width if part.reference_edge is Side.UPPER else Fraction(0)
    return part.thickness


def across_size(side: Side, part: Part) -> Fraction:
    """Size of the part upward in a view: thickness for the edges, else width."""
    return part.thickness if side.axis == 1 else part.width


def to_y(side: Side, part: Part) -> Callable[[Fraction], float]:
    """How the second coordinate of a side becomes y (see the module's docstring)."""
    if side is Side.UPPER:
        return lambda second: float(part.thickness - second)
    if side is Side.BACK:
        return lambda second: float(part.width - second)
    return float


def side_view(bodies: PartBodies, side: Side) -> SideView:
    """The view of a side of a part."""
    part = bodies.part
    size = across_size(side, part)
    body = bodies.body(side)
    wastes = [
        Waste(notch, polygon)
        for notch in part.notches
        if _is_hatched(notch, side)
        for polygon in bodies.openings(notch, side)
    ]
    place = seen_from(part, side)
    circles, bores = [], []
    for hole in part.holes:
        if hole.side.axis == side.axis:
            (centre,) = place(np.array([floats(hole_point(hole, _sizes(part)))]))
            hidden = hole.side is not side and hole.depth is not None
            circles.append(SeenHole(hole, (float(centre[0]), float(centre[1])), hidden))
        else:
            bores.append(_bore(part, hole, place))
    if side.axis == 0:
        wide = float(part.thickness)
        near, far = (((x, 0.0), (x, float(size))) for x in (0.0, wide))
    else:
        wide = float(part.length)
        near, far = (_end_line(part, side, end) for end in part.ends)
    return SideView(
        side,
        float(size),
        wide,
        body.loops,
        body.edges,
        body.hidden,
        tuple(wastes),
        tuple(circles),
        tuple(bores),
        near,
        far,
    )


def _sizes(part: Part) -> tuple[Fraction, Fraction, Fraction]:
    return part.length, part.width, part.thickness


def _is_hatched(notch: Notch, side: Side) -> bool:
    """Waste is hatched wherever a cut opens on the side seen; not over the tenon that is left between cheeks."""
    if notch.role in ("cheek", "corner"):
        return notch.side.axis != side.axis
    return True


def depth_axis_value(side: Side, part: Part) -> Fraction:
    """The coordinate (v or w) of the plane that a side lies in."""
    return part.size_along(side.axis) if side.is_far else Fraction(0)


def _end_line(part: Part, side: Side, cut: EndCut) -> Stretch:
    """The line in which an end meets the side seen."""
    here, size, y = depth_axis_value(side, part), across_size(side, part), to_y(side, part)
    ends = []
    for second in (Fraction(0), size):
        v, w = (second, here) if side.axis == 2 else (here, second)
        ends.append((float(end_u(cut, v, w)), y(second)))
    low, high = sorted(ends, key=lambda p: p[1])
    return low, high


def _bore(part: Part, hole: Hole, place: Callable[[Floats], Floats]) -> tuple[Stretch, float]:
    """The centre line of a hole that runs across the line of sight, and its diameter."""
    start = np.array(floats(hole_point(hole, _sizes(part))))
    length = hole.depth if hole.depth is not None else hole.through_length
    end = start + np.array(floats(hole.direction)) * float(length)
    (a, b), (c, d) = place(np.stack([start, end]))
    return ((float(a), float(b)), (float(c), float(d))), float(hole.diameter)
