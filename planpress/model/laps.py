"""Lap joints derived from the overlap of two placed sticks: notches on both members, straight or skewed.

Two sticks cross. The direction square to both their lengths is the way the joint closes; seen along it their outlines
overlap in a convex polygon, the footprint. The second member is notched from the side the first comes from down to the
dividing plane, the first from its other side up to it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from fractions import Fraction

from attrs import evolve, frozen

from planpress.description.records import LapJoint
from planpress.geometry.polygons import Point2, Polygon, area, cleaned, hull, intersection
from planpress.geometry.vectors import SAME, Vec, add, cross, dot, neg, norm, scale, settled, sub, trimmed, unit
from planpress.model.blanks import Blank, RawNotch
from planpress.model.cutting import JointError
from planpress.model.records import JointPlace, Side

_SQUARE = 1 - Fraction(1, 10**9)


@frozen
class _Plane:
    """Axes of the plane seen along the closing direction `n`."""

    n: Vec
    x: Vec
    y: Vec

    def flat(self, p: Vec) -> Point2:
        return (trimmed(dot(p, self.x)), trimmed(dot(p, self.y)))

    def lifted(self, p: Point2, height: Fraction) -> Vec:
        return add(add(scale(self.x, p[0]), scale(self.y, p[1])), scale(self.n, height))


def cut_lap(first: Blank, second: Blank, joint: LapJoint, depth: Fraction | None, fit: Fraction) -> JointPlace | None:
    """Cut the notches of one pair, if it overlaps; returns where they meet.

    Args:
        depth: of the notch in the first member, mm; None for half of the overlap.
        fit: clearance in each notch's width, mm.

    Raises:
        JointError: if the sticks overlap but do not cross with their sides in one plane.
    """
    crossing = cross(first.axes[0], second.axes[0])
    if norm(crossing) < Fraction(1, 10**6):
        if boxes_overlap(first, second):
            raise JointError("they run along each other; a lap needs parts that cross")
        return None
    n = _towards_first(unit(crossing), first, second)
    plane = _Plane(n, first.axes[0], cross(n, first.axes[0]))
    for blank in (first, second):
        if max(abs(dot(axis, n)) for axis in blank.axes[1:]) < _SQUARE:
            if boxes_overlap(first, second):
                raise JointError(f"'{blank.id}' does not lie square to the way the joint closes")
            return None
    low_1, high_1 = first.extent(n)
    low_2, high_2 = second.extent(n)
    low, high = max(low_1, low_2), min(high_1, high_2)
    if high - low <= SAME:
        return None
    outline_1 = _outline(first, plane)
    outline_2 = _outline(second, plane)
    footprint = intersection(outline_1, outline_2)
    if not footprint or _narrow(footprint):
        return None
    _check_word(first, second, joint.kind, n, [plane.lifted(p, low) for p in footprint])
    divide = _dividing_height(joint, depth, low, high)
    share = "half" if joint.let_into is None and joint.depth is None else "given"
    if joint.let_into is not None:
        share = "whole"
    if divide - low_1 > SAME:
        side = first.side_towards(neg(n))
        widened = intersection(outline_1, _outline(second, plane, fit / 2)) if fit else footprint
        _add_notch(first, second, side, plane, widened, divide - low_1, low_1, fit, joint, share)
    if high_2 - divide > SAME:
        side = second.side_towards(n)
        widened = intersection(outline_2, _outline(first, plane, fit / 2)) if fit else footprint
        _add_notch(second, first, side, plane, widened, high_2 - divide, high_2, fit, joint, share)
    patch = tuple(plane.lifted(p, divide) for p in footprint)
    return JointPlace(joint.name, joint.kind, first.id, second.id, neg(n), patch, joint.glue)


def _check_word(first: Blank, second: Blank, kind: str, n: Vec, footprint: Sequence[Vec]) -> None:
    """A cross lap may lie anywhere; the other words promise something of the members' ends or edges.

    Raises:
        JointError: if the joint is not what its kind says; names the kind that it is.
    """
    if kind == "cross lap":
        return
    ending = [blank for blank in (first, second) if _ends_in(blank, n, footprint)]
    fits = ("cross lap", "end lap", "corner lap")[len(ending)]
    if kind == "end lap" and not ending:
        raise JointError(f"neither of them ends there, so it is a {fits}")
    if kind == "corner lap" and len(ending) < 2:
        on = [f"'{blank.id}'" for blank in (first, second) if not any(blank is e for e in ending)]
        go = "goes on" if len(on) == 1 else "go on"
        raise JointError(f"{' and '.join(on)} {go} beyond it, so it is {_a(fits)}")
    if kind == "edge lap":
        for blank in (first, second):
            if abs(dot(blank.axes[1], n)) < _SQUARE and blank.width - blank.thickness > SAME:
                raise JointError(f"'{blank.id}' does not stand on edge there, so it is {_a(fits)}")


def _a(word: str) -> str:
    return ("an " if word[0] in "aeiou" else "a ") + word


def _ends_in(blank: Blank, n: Vec, footprint: Sequence[Vec]) -> bool:
    """True if the footprint (world) reaches along a whole edge to an end of the stick, seen along `n`."""
    for side in (Side.NEAR_END, Side.FAR_END):
        ring = blank.face(side)[1]
        outward = blank.axes[0] if side.is_far else neg(blank.axes[0])
        across = cross(n, max((sub(b, a) for a, b in itertools.combinations(ring, 2)), key=lambda d: norm(cross(d, n))))
        line = unit(across) if dot(across, outward) > 0 else neg(unit(across))
        level = max(dot(p, line) for p in ring)
        if sum(1 for p in footprint if level - dot(p, line) <= 10 * SAME) >= 2:
            return True
    return False


def _towards_first(n: Vec, first: Blank, second: Blank) -> Vec:
    """The closing direction, pointing to the side the first member comes from; from above or in front if it is
    level."""
    low_1, high_1 = first.extent(n)
    low_2, high_2 = second.extent(n)
    lead = (low_1 + high_1) - (low_2 + high_2)
    if lead > SAME:
        return n
    if lead < -SAME:
        return neg(n)
    for axis, wanted in ((2, 1), (1, -1), (0, 1)):
        if abs(n[axis]) > Fraction(1, 2):
            return n if n[axis] * wanted > 0 else neg(n)
    return n


def _outline(blank: Blank, plane: _Plane, margin: Fraction = Fraction(0)) -> Polygon:
    """What is seen of a stick along the closing direction, anticlockwise; `margin` (mm) widens it at both edges."""
    key = (plane.n, plane.x, margin)
    if key not in blank.outlines:
        blank.outlines[key] = _fresh_outline(blank, plane, margin)
    return blank.outlines[key]


def _fresh_outline(blank: Blank, plane: _Plane, margin: Fraction) -> Polygon:
    facing = 1 if abs(dot(blank.axes[1], plane.n)) > _SQUARE else 2
    across = 3 - facing
    levels = (Fraction(0), blank.sizes[facing])
    corners: list[Point2] = []
    for place in (-margin, blank.sizes[across] + margin):
        lines = [(level, place) if facing == 1 else (place, level) for level in levels]
        near = min(blank.near.u_at(v, w) for v, w in lines)
        far = max(blank.far.u_at(v, w) for v, w in lines)
        for u in (near, far):
            local = (u, levels[0], place) if facing == 1 else (u, place, levels[0])
            corners.append(plane.flat(blank.frame.point(local)))
    ring = (corners[0], corners[1], corners[3], corners[2])
    return ring if area(ring) > 0 else ring[::-1]


def _narrow(footprint: Polygon) -> bool:
    """True for a sliver that only rounding of leaning axes leaves where two sticks touch."""
    xs, ys = [p[0] for p in footprint], [p[1] for p in footprint]
    return min(max(xs) - min(xs), max(ys) - min(ys)) <= SAME


def _dividing_height(joint: LapJoint, depth: Fraction | None, low: Fraction, high: Fraction) -> Fraction:
    if joint.let_into is not None:
        return low if joint.let_into.text == joint.between[1].text else high
    return low + (depth if depth is not None else (high - low) / 2)


def boxes_overlap(first: Blank, second: Blank) -> bool:
    """True if two sticks share space along every axis of both (the usual sign that a lap was meant)."""
    for axis in (*first.axes, *second.axes):
        low_1, high_1 = first.extent(axis)
        low_2, high_2 = second.extent(axis)
        if min(high_1, high_2) - max(low_1, low_2) <= SAME:
            return False
    return True


def _add_notch(
    blank: Blank,
    mate: Blank,
    side: Side,
    plane: _Plane,
    footprint: Polygon,
    depth: Fraction,
    height: Fraction,
    fit: Fraction,
    joint: LapJoint,
    share: str,
) -> None:
    """Note a notch on `side` of a blank, which lies at `height` along the closing direction."""
    outline = tuple(set_on_side(blank, side, plane.lifted(p, height)) for p in cleaned(footprint))
    mate_axis = 1 if abs(dot(mate.axes[2], plane.n)) > _SQUARE else 2
    second = 2 if side.axis == 1 else 1
    along = blank.frame.local_direction(mate.axes[0])
    skew = Fraction(0)
    if abs(along[second]) > Fraction(1, 10**9):
        skew = snapped_degrees(math.degrees(math.atan(float(along[0] / along[second]))))
    blank.notches.append(
        RawNotch(
            side=side,
            outline=outline,
            depth=settled(depth),
            width=mate.sizes[mate_axis] + fit,
            fit=fit,
            skew=skew,
            mates=(mate.id,),
            mate_size="width" if mate_axis == 1 else "thickness",
            joint=joint.name,
            kind=joint.kind,
            depth_share=share,
        )
    )


def set_on_side(blank: Blank, side: Side, world: Vec) -> Vec:
    """A world point in the blank's coordinates, set exactly on the side it lies on."""
    point = list(blank.frame.local_point(world))
    point[side.axis] = blank.sizes[side.axis] if side.is_far else Fraction(0)
    for i, size in enumerate(blank.sizes):
        point[i] = settled(point[i])
        if abs(point[i]) < SAME:
            point[i] = Fraction(0)
        elif abs(point[i] - size) < SAME:
            point[i] = size
    return (point[0], point[1], point[2])


def snapped_degrees(angle: float) -> Fraction:
    """An angle to a thousand-millionth of a degree, so that every machine finds the same number; -0 becomes 0."""
    return Fraction(round(angle * 10**9), 10**9)


def merge_neighbours(blank: Blank) -> None:
    """Join notches that share a shoulder into one wide notch (two strips side by side need no wall of nothing
    between)."""
    merged: list[RawNotch] = []
    order = sorted(
        range(len(blank.notches)),
        key=lambda i: (list(Side).index(blank.notches[i].side), min(p[0] for p in blank.notches[i].outline), i),
    )
    for i in order:
        notch = blank.notches[i]
        if merged and _abut(merged[-1], notch):
            last = merged[-1]
            merged[-1] = _united(last, notch)
        else:
            merged.append(notch)
    blank.notches[:] = merged


def _abut(a: RawNotch, b: RawNotch) -> bool:
    if a.role != b.role or a.side is not b.side or a.side.axis == 0 or not _alike(a, b):
        return False
    if abs(a.depth - b.depth) > SAME or abs(a.skew - b.skew) > SAME:
        return False
    second = 2 if a.side.axis == 1 else 1
    rows_a, rows_b = _reach(a, second), _reach(b, second)
    for (level_a, _, far_a), (level_b, near_b, _) in zip(rows_a, rows_b, strict=True):
        if abs(level_a - level_b) > SAME or near_b - far_a > SAME:
            return False
    return True


def _alike(a: RawNotch, b: RawNotch) -> bool:
    """True if both begin equally deep, with equally leaning walls and equal corners."""
    same_start = abs(a.start - b.start) <= SAME and abs(a.radius - b.radius) <= SAME
    if a.direction is None or b.direction is None:
        return same_start and a.direction is b.direction
    return same_start and dot(a.direction, b.direction) > _SQUARE


def _runs_along(notch: RawNotch, axis: int) -> bool:
    """True for a groove or rabbet along the length: what its width is taken from lies across the side."""
    spans = [max(p[i] for p in notch.outline) - min(p[i] for p in notch.outline) for i in (0, axis)]
    return abs(spans[1] - notch.width) <= SAME < abs(spans[0] - notch.width)


def _reach(notch: RawNotch, axis: int) -> list[tuple[Fraction, Fraction, Fraction]]:
    """Level, near u and far u of a notch at its least and greatest coordinate across the side."""
    levels = [p[axis] for p in notch.outline]
    out = []
    for level in (min(levels), max(levels)):
        us = [p[0] for p in notch.outline if abs(p[axis] - level) <= SAME]
        out.append((level, min(us), max(us)))
    return out


def _united(a: RawNotch, b: RawNotch) -> RawNotch:
    second = 2 if a.side.axis == 1 else 1
    flat = cleaned(hull([(p[0], p[second]) for p in (*a.outline, *b.outline)]))
    fixed = a.outline[0]
    outline: tuple[Vec, ...]
    if second == 2:
        outline = tuple((u, fixed[1], s) for u, s in flat)
    else:
        outline = tuple((u, s, fixed[2]) for u, s in flat)
    if _runs_along(a, second) and _runs_along(b, second):  # end to end, not side by side
        return evolve(a, outline=outline)
    return evolve(a, outline=outline, width=a.width + b.width - a.fit, mates=a.mates + b.mates)
