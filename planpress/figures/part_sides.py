"""What a part looks like from one of its long sides, at true size: body, notches, holes, ends, from the exact model.

Paper coordinates of a side: x = u (along the length, reference end to the left); y across, upward. How y follows v or w
depends on the side and is chosen so that the view is what a viewer in front of that side sees:

- FACE: y = v. - LOWER (from below): y = w, the face on top. - UPPER (from above): y = T - w, the face at the bottom.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import TypeAlias

from attrs import frozen

from planpress.base.display import Point
from planpress.model.records import EndCut, Hole, Notch, Part, Side

Stretch: TypeAlias = tuple[Point, Point]
_NEAR = 1e-6


@frozen
class Waste:
    """The outline of a notch as seen: hatched; `shoulders` are its drawn sides, the open sides are left out."""

    notch: Notch
    polygon: tuple[Point, ...]
    shoulders: tuple[Stretch, ...]


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
        side, height, length: which side; its size across; the part's length.
        outline: the body's closed outline, notches that open across the line of sight cut out, anticlockwise.
        edges, hidden: visible and hidden edges inside it.
        wastes: notches, hatched: those opening towards the viewer and those cut through the outline.
        holes: seen as circles. bores: centre lines of holes that run across the line of sight, with their diameter.
        near, far: the slanted end lines (lower point, upper point).
    """

    side: Side
    height: float
    length: float
    outline: tuple[Point, ...]
    edges: tuple[Stretch, ...]
    hidden: tuple[Stretch, ...]
    wastes: tuple[Waste, ...]
    holes: tuple[SeenHole, ...]
    bores: tuple[tuple[Stretch, float], ...]
    near: Stretch
    far: Stretch


def end_u(cut: EndCut, v: Fraction, w: Fraction) -> Fraction:
    """Where the plane of an end cuts the line of given v and w, mm from the reference end."""
    n, p = cut.normal, cut.point
    return p[0] - (n[1] * (v - p[1]) + n[2] * (w - p[2])) / n[0]


def position(notch: Notch, part: Part) -> Fraction:
    """The u (mm) that a notch is measured to: its near side; of a notch open at the reference end its far side.

    Of a skewed notch it is taken where people mark it: on the reference edge for notches in the faces, on the reference
    face for notches in the edges; on the nearest line of the notch if it does not reach there.
    """
    low, high = notch.across
    line = reference_line(notch.side, part)
    near, far = notch.shoulders(min(max(line, low), high))
    return far if notch.open_end is Side.NEAR_END else near


def reference_line(side: Side, part: Part) -> Fraction:
    """The second coordinate on a side of the line that positions are marked on."""
    if side.axis == 2:
        return part.width if part.reference_edge is Side.UPPER else Fraction(0)
    return part.thickness


def across_size(side: Side, part: Part) -> Fraction:
    """Size of the part across a long side: width for the faces, thickness for the edges."""
    return part.width if side.axis == 2 else part.thickness


def to_y(side: Side, part: Part) -> Callable[[Fraction], float]:
    """How the second coordinate of a side becomes y (see the module's docstring)."""
    if side is Side.UPPER:
        return lambda second: float(part.thickness - second)
    if side is Side.BACK:
        return lambda second: float(part.width - second)
    return float


def side_view(part: Part, side: Side) -> SideView:
    """The view of a long side: FACE, LOWER or UPPER.

    Raises:
        ValueError: for other sides.
    """
    if side not in (Side.FACE, Side.LOWER, Side.UPPER):
        raise ValueError(f"a part is not drawn from its {side.value}")
    size = across_size(side, part)
    y = to_y(side, part)
    near, near_inner, near_hidden = _end_lines(part, side, part.ends[0], outward=-1)
    far, far_inner, far_hidden = _end_lines(part, side, part.ends[1], outward=1)
    edges: list[Stretch] = []
    hidden: list[Stretch] = []
    wastes: list[Waste] = []
    profiles: dict[bool, list[tuple[float, float, float]]] = {False: [], True: []}
    for notch in part.notches:
        if notch.side.axis == side.axis:
            polygon = tuple((float(u), y(s)) for u, s in notch.outline)
            drawn = tuple(_inner_sides(notch, size, part, y))
            if notch.side is side:
                wastes.append(Waste(notch, polygon, drawn))
            else:
                hidden += drawn
        elif notch.side.axis != 0:
            _profile(part, side, notch, (near, far), profiles, wastes, edges, hidden)
    for end, seen, covered in ((Side.NEAR_END, near_inner, near_hidden), (Side.FAR_END, far_inner, far_hidden)):
        edges += [_left_by_notches(line, end, part, side) for line in seen]
        hidden += [_left_by_notches(line, end, part, side) for line in covered]
    outline = _outline(near, far, float(size), profiles)
    holes = [h for h in part.holes if h.side.axis != 0]
    circles = tuple(
        SeenHole(h, (float(h.at[0]), y(h.at[1])), h.side is not side and h.depth is not None)
        for h in holes
        if h.side.axis == side.axis
    )
    bores = tuple(_bore(part, side, h) for h in holes if h.side.axis != side.axis)
    return SideView(
        side,
        float(size),
        float(part.length),
        outline,
        tuple(edges),
        tuple(hidden),
        tuple(wastes),
        circles,
        bores,
        near,
        far,
    )


def depth_axis_value(side: Side, part: Part) -> Fraction:
    """The coordinate (v or w) of the plane that a side lies in."""
    return part.size_along(side.axis) if side.is_far else Fraction(0)


def _end_lines(part: Part, side: Side, cut: EndCut, outward: int) -> tuple[Stretch, list[Stretch], list[Stretch]]:
    """The end's outer line, and its inner one as visible or hidden edge."""
    size = across_size(side, part)
    here = depth_axis_value(side, part)
    there = depth_axis_value(side.opposite, part)
    y = to_y(side, part)

    def at(second: Fraction, deep: Fraction) -> Point:
        v, w = (second, deep) if side.axis == 2 else (deep, second)
        return (float(end_u(cut, v, w)), y(second))

    lines = []
    for deep in (here, there):
        a, b = at(Fraction(0), deep), at(size, deep)
        lines.append((a, b) if a[1] < b[1] else (b, a))
    front, back = lines
    ahead = (front[0][0] - back[0][0]) * outward
    if abs(ahead) < _NEAR:
        return front, [], []
    return (front, [], [back]) if ahead > 0 else (back, [front], [])


def _left_by_notches(line: Stretch, end: Side, part: Part, side: Side) -> Stretch:
    """An end line without what the notches that run out of that end take away."""
    y = to_y(side, part)
    low, high = line
    for notch in part.notches:
        if notch.open_end is not end or notch.side.axis in (0, side.axis):
            continue
        opens_at = depth_axis_value(notch.side, part)
        floor = y(opens_at - notch.depth if notch.side.is_far else notch.depth)
        if y(opens_at) > floor:
            high = slanted((low, high), min(floor, high[1]))
        else:
            low = slanted((low, high), max(floor, low[1]))
    return low, high


def _inner_sides(notch: Notch, size: Fraction, part: Part, y: Callable[[Fraction], float]) -> Iterator[Stretch]:
    """Sides of a notch's outline that do not lie on the border of the part."""
    n = len(notch.outline)
    for i in range(n):
        (u0, s0), (u1, s1) = notch.outline[i], notch.outline[(i + 1) % n]
        if s0 == s1 and s0 in (0, size):
            continue
        if notch.open_end is not None and _on_end(notch, part, (u0, s0)) and _on_end(notch, part, (u1, s1)):
            continue
        yield (float(u0), y(s0)), (float(u1), y(s1))


def _on_end(notch: Notch, part: Part, corner: tuple[Fraction, Fraction]) -> bool:
    cut = part.ends[0] if notch.open_end is Side.NEAR_END else part.ends[1]
    deep = depth_axis_value(notch.side, part)
    v, w = (corner[1], deep) if notch.side.axis == 2 else (deep, corner[1])
    return abs(float(end_u(cut, v, w) - corner[0])) < 1e-4


def _profile(
    part: Part,
    side: Side,
    notch: Notch,
    ends: tuple[Stretch, Stretch],
    profiles: dict[bool, list[tuple[float, float, float]]],
    wastes: list[Waste],
    edges: list[Stretch],
    hidden: list[Stretch],
) -> None:
    """A notch that opens across the line of sight: cut out of the outline if it reaches the side seen."""
    here = depth_axis_value(side, part)
    there = depth_axis_value(side.opposite, part)
    low, high = notch.across
    y = to_y(side, part)
    opens_at = depth_axis_value(notch.side, part)
    floor = opens_at - notch.depth if notch.side.is_far else notch.depth
    y_open, y_floor = y(opens_at), y(floor)
    if not low <= here <= high:
        near, far = (float(u) for u in notch.span)
        hidden += [
            ((near, y_open), (near, y_floor)),
            ((near, y_floor), (far, y_floor)),
            ((far, y_floor), (far, y_open)),
        ]
        return
    near, far = (float(u) for u in notch.shoulders(here))
    if low <= there <= high:
        back_near, back_far = (float(u) for u in notch.shoulders(there))
        void = (
            -math.inf if notch.open_end is Side.NEAR_END else max(near, back_near),
            math.inf if notch.open_end is Side.FAR_END else min(far, back_far),
        )
        profiles[y_open > y_floor].append((*void, y_floor))
        for u, front in ((near, True), (far, True), (back_near, False), (back_far, False)):
            if not any(abs(u - edge) < _NEAR for edge in void) and not _at_open_end(
                notch, u, near, far, back_near, back_far
            ):
                (edges if front else hidden).append(((u, y_open), (u, y_floor)))
    near_line: Stretch = ((near, y_open), (near, y_floor))
    far_line: Stretch = ((far, y_open), (far, y_floor))
    if notch.open_end is Side.NEAR_END:
        near_line = (slanted(ends[0], y_open), slanted(ends[0], y_floor))
    if notch.open_end is Side.FAR_END:
        far_line = (slanted(ends[1], y_open), slanted(ends[1], y_floor))
    sides: list[Stretch] = [(near_line[1], far_line[1])]
    if notch.open_end is not Side.NEAR_END:
        sides.insert(0, near_line)
    if notch.open_end is not Side.FAR_END:
        sides.append((far_line[1], far_line[0]))
    polygon = (near_line[0], far_line[0], far_line[1], near_line[1])
    wastes.append(Waste(notch, polygon, tuple(sides)))


def _at_open_end(notch: Notch, u: float, *shoulders: float) -> bool:
    """True for the shoulder that is not cut because the notch runs out of the end."""
    near, far, back_near, back_far = shoulders
    if notch.open_end is Side.NEAR_END:
        return u in (near, back_near)
    return notch.open_end is Side.FAR_END and u in (far, back_far)


def slanted(end: Stretch, level: float) -> Point:
    """Where an end line is at height `level`."""
    (x0, y0), (x1, y1) = end
    return (x0 + (x1 - x0) * (level - y0) / (y1 - y0), level)


def _outline(
    near: Stretch, far: Stretch, height: float, profiles: dict[bool, list[tuple[float, float, float]]]
) -> tuple[Point, ...]:
    """Once around: along y = 0 to the right, up the far end, back along the top, down the near end."""

    chains = []
    for top in (False, True):
        level = height if top else 0.0
        first, last = slanted(near, level), slanted(far, level)
        chain = [first]
        for left, right, floor in sorted(profiles[top]):
            if left <= first[0] + 1e-4:
                chain = [slanted(near, floor)]
            else:
                chain += [(left, level), (left, floor)]
            if right >= last[0] - 1e-4:
                chain.append(slanted(far, floor))
            else:
                chain += [(right, floor), (right, level)]
        if not profiles[top] or max(p[1] for p in profiles[top]) < last[0] - 1e-4:
            chain.append(last)
        chains.append(chain)
    return tuple(chains[0] + chains[1][::-1])


def _bore(part: Part, side: Side, hole: Hole) -> tuple[Stretch, float]:
    """The centre line of a hole that runs across the line of sight."""
    y = to_y(side, part)
    opens_at = depth_axis_value(hole.side, part)
    length = hole.depth if hole.depth is not None else hole.through_length
    along = hole.direction[hole.side.axis] * length
    u = hole.at[0]
    return (
        ((float(u), y(opens_at)), (float(u + hole.direction[0] * length), y(opens_at + along))),
        float(hole.diameter),
    )
