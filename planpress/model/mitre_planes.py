"""The plane of a mitre: it holds the outer and the inner line in which the members' faces meet.

For members of one size that plane halves the corner; for unlike ones it still lets outer meet outer and inner meet
inner face, at two different angles. Flat mitres (of a frame), upright ones (of a box) and those of leaning sides are
one case: only the pair of faces that meet along a line differs.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from fractions import Fraction

from attrs import evolve, frozen

from planpress.geometry.vectors import (
    SAME,
    Frame,
    Vec,
    add,
    cross,
    dot,
    neg,
    norm,
    scale,
    settled,
    settled_vec,
    sub,
    trimmed_vec,
    unit,
)
from planpress.model.blanks import Blank, EndPlane
from planpress.model.cutting import JointError, tidy
from planpress.model.laps import boxes_overlap
from planpress.model.records import Side

_AXES = ((2, 2), (2, 1), (1, 2), (1, 1))
_ENDS = tuple((a, b) for a in (Side.FAR_END, Side.NEAR_END) for b in (Side.FAR_END, Side.NEAR_END))
_ROUNDING = Fraction(1, 10**13)
#: A mitre plane that crosses a member at a smaller angle than this (sine) is no end cut.
_FLATTEST = Fraction(1, 20)


@frozen
class Mitre:
    """The plane of a mitre in the world.

    Attributes:
        inner, outer: points of the lines in which the inner and the outer faces meet.
        normal: unit, out of the first member's wood into the second's.
        line: unit, along those lines.
        ends: of the first and the second member. axes: which of their own axes (1 width, 2 thickness) runs from the
            inner to the outer face.
    """

    inner: Vec
    outer: Vec
    normal: Vec
    line: Vec
    ends: tuple[Side, Side]
    axes: tuple[int, int]


def find_mitre(first: Blank, second: Blank) -> Mitre | None:
    """The mitre of the two ends that lie nearest to each other, of those that one plane can cut."""
    if norm(cross(first.axes[0], second.axes[0])) < Fraction(1, 10**6):
        if boxes_overlap(first, second):
            raise JointError("they run along each other; a mitre needs a corner")
        return None
    best: Mitre | None = None
    least = None
    for mitre in _candidates(first, second):
        middles = [_end_middle(blank, end) for blank, end in zip((first, second), mitre.ends, strict=True)]
        away = sub(*middles)
        if least is None or dot(away, away) < least:
            best, least = mitre, dot(away, away)
    if best is None and boxes_overlap(first, second):
        raise JointError("their ends do not meet in a corner")
    return best


def _candidates(first: Blank, second: Blank) -> Iterator[Mitre]:
    axes = max(_AXES, key=lambda pair: _squareness(first, second, pair))
    for ends in _ENDS:
        mitre = _plane(first, second, axes, ends)
        if mitre is not None and all(
            _reaches(blank, end, mitre) for blank, end in zip((first, second), ends, strict=True)
        ):
            yield mitre


def _squareness(first: Blank, second: Blank, axes: tuple[int, int]) -> Fraction:
    """How nearly the line in which two faces meet runs along both members' other axes; 0 if they do not meet."""
    line = cross(first.axes[axes[0]], second.axes[axes[1]])
    if norm(line) < Fraction(1, 10**3):
        return Fraction(0)
    line = unit(line)
    return abs(dot(line, first.axes[3 - axes[0]])) + abs(dot(line, second.axes[3 - axes[1]]))


def _plane(first: Blank, second: Blank, axes: tuple[int, int], ends: tuple[Side, Side]) -> Mitre | None:
    outward = [b.axes[0] if e is Side.FAR_END else neg(b.axes[0]) for b, e in zip((first, second), ends, strict=True)]
    normals, outer, inner = [], [], []
    for blank, axis, mate_way in ((first, axes[0], outward[1]), (second, axes[1], outward[0])):
        normal = blank.axes[axis]
        lean = dot(normal, mate_way)
        if abs(lean) < _FLATTEST:
            return None
        base = dot(blank.frame.origin, normal)
        levels = [base, base + blank.sizes[axis]]
        if lean < 0:
            normal, levels = neg(normal), [-level for level in reversed(levels)]
        normals.append(normal)
        inner.append(levels[0])
        outer.append(levels[1])
    line = cross(normals[0], normals[1])
    if norm(line) < Fraction(1, 10**3):
        return None
    corners = [_foot(normals[0], normals[1], a, b) for a, b in ((inner[0], inner[1]), (outer[0], outer[1]))]
    normal = unit(cross(line, sub(corners[1], corners[0])))
    if dot(normal, outward[0]) < 0:
        normal = neg(normal)
    if dot(normal, outward[0]) < _FLATTEST or dot(normal, outward[1]) > -_FLATTEST:
        return None
    return Mitre(corners[0], corners[1], normal, unit(line), ends, axes)


def _foot(a: Vec, b: Vec, level_a: Fraction, level_b: Fraction) -> Vec:
    """A point of the line in which two planes of unit normals a and b meet."""
    c = dot(a, b)
    down = 1 - c * c
    x, y = (level_a - c * level_b) / down, (level_b - c * level_a) / down
    return settled_vec(trimmed_vec(add(scale(a, x), scale(b, y))))


def _reaches(blank: Blank, end: Side, mitre: Mitre) -> bool:
    """True if the mitre crosses the member where it ends now, or begins there."""
    edges = list(itertools.product((Fraction(0), blank.width), (Fraction(0), blank.thickness)))
    plane = end_plane(blank, mitre, mitre.normal, "")
    now = blank.far if end is Side.FAR_END else blank.near
    new_us, old_us = [plane.u_at(v, w) for v, w in edges], [now.u_at(v, w) for v, w in edges]
    return max(new_us) >= min(old_us) - SAME and min(new_us) <= max(old_us) + SAME


def _end_middle(blank: Blank, end: Side) -> Vec:
    v, w = blank.width / 2, blank.thickness / 2
    plane = blank.far if end is Side.FAR_END else blank.near
    return blank.frame.point((plane.u_at(v, w), v, w))


def end_plane(blank: Blank, mitre: Mitre, normal: Vec, target: str) -> EndPlane:
    """The mitre's plane in a member's own coordinates; `normal` as it points out of that member's wood."""
    return EndPlane(
        settled_vec(blank.frame.local_point(mitre.outer)), clean(blank.frame.local_direction(normal)), target
    )


def clean(direction: Vec) -> Vec:
    """Components that are only rounding become 0, so that a square cut stays square."""
    u, v, w = (c if abs(c) > _ROUNDING else Fraction(0) for c in direction)
    return (u, v, w)


def recut(blank: Blank, end: Side, plane: EndPlane) -> None:
    """Cut one end of a blank anew; its coordinates begin at the furthest point of the near end again.

    Raises:
        JointError: if nothing is left of its shortest edge.
    """
    near, far = (plane, blank.far) if end is Side.NEAR_END else (blank.near, plane)
    edges = list(itertools.product((Fraction(0), blank.width), (Fraction(0), blank.thickness)))
    if min(far.u_at(v, w) - near.u_at(v, w) for v, w in edges) <= SAME:
        raise JointError(f"nothing is left of '{blank.id}' between its ends")
    start, stop = min(near.u_at(v, w) for v, w in edges), max(far.u_at(v, w) for v, w in edges)
    move: Vec = (settled(start), Fraction(0), Fraction(0))
    frame = blank.frame
    blank.frame = Frame(settled_vec(frame.point(move)), frame.x, frame.y, frame.z)
    blank.length = tidy(stop - start)
    blank.near = evolve(near, point=sub(near.point, move))
    blank.far = evolve(far, point=sub(far.point, move))
    for notch in blank.notches:
        notch.outline = tuple(sub(p, move) for p in notch.outline)
    blank.forget_corners()
