"""Cutting outlines exactly: a polygon less a convex one, a line less a stretch of it. Lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TypeAlias

from planpress.geometry.polygons import Point2, Polygon, cleaned, sides
from planpress.geometry.vectors import SAME

Segment2: TypeAlias = tuple[Point2, Point2]

#: What ordinary numbers may be off by, generously, in mm.
_ROUGH = 1e-3


class OutlineError(ValueError):
    """A side that no template can be drawn of: its notches cut it in two."""


def without_convex(polygon: Polygon, hole: Polygon) -> Polygon:
    """A simple polygon less a convex one that reaches over its border; both anticlockwise, exact.

    Raises:
        OutlineError: if the cut goes across, so that more than one polygon would be left.
    """
    n = len(polygon)
    hole_sides, box = sides(hole), _rough_box(hole)
    rough = [(float(x), float(y)) for x, y in polygon]
    runs = [
        _inside(polygon[i], polygon[(i + 1) % n], hole_sides) if _may_meet(rough[i], rough[(i + 1) % n], box) else ()
        for i in range(n)
    ]
    starts = [i for i in range(n) if runs[i] and not (runs[i - 1] and runs[i - 1][1] == 1 and runs[i][0] == 0)]
    if not any(runs):
        return polygon
    if len(starts) != 1:
        raise OutlineError("a notch cuts the side in two")
    first = last = starts[0]
    while runs[last] and runs[last][1] == 1 and runs[(last + 1) % n] and runs[(last + 1) % n][0] == 0:
        last = (last + 1) % n
        if last == first:
            raise OutlineError("a notch takes the whole side away")
    entry = _along(polygon[first], polygon[(first + 1) % n], runs[first][0])
    leave = _along(polygon[last], polygon[(last + 1) % n], runs[last][1])
    kept: list[Point2] = [leave]
    i = (last + 1) % n
    while True:
        kept.append(polygon[i])
        if i == first:
            break
        i = (i + 1) % n
    kept.append(entry)
    return cleaned([*kept, *_backwards(hole, entry, leave)])


def _inside(a: Point2, b: Point2, convex: Sequence[tuple[Point2, Fraction]]) -> tuple[Fraction, ...]:
    """The stretch (start, end) of a line, as shares of its length, strictly inside a convex polygon; () if none.

    The polygon is given by its sides.
    """
    start, end = Fraction(0), Fraction(1)
    for normal, offset in convex:
        at_a = normal[0] * a[0] + normal[1] * a[1] - offset
        at_b = normal[0] * b[0] + normal[1] * b[1] - offset
        if at_a >= 0 and at_b >= 0:
            return ()
        if at_a > 0:
            start = max(start, at_a / (at_a - at_b))
        elif at_b > 0:
            end = min(end, at_a / (at_a - at_b))
    return (start, end) if start < end else ()


def _rough_box(polygon: Sequence[Point2]) -> tuple[float, float, float, float]:
    """Left, lower, right, upper, a little grown."""
    xs, ys = [float(x) for x, _ in polygon], [float(y) for _, y in polygon]
    return min(xs) - _ROUGH, min(ys) - _ROUGH, max(xs) + _ROUGH, max(ys) + _ROUGH


def _may_meet(a: tuple[float, float], b: tuple[float, float], box: tuple[float, float, float, float]) -> bool:
    """False if a line certainly lies outside a box: spares the exact arithmetic."""
    left, low, right, high = box
    (ax, ay), (bx, by) = a, b
    return not ((ax < left and bx < left) or (ax > right and bx > right) or (ay < low and by < low) or (ay > high < by))


def _along(a: Point2, b: Point2, share: Fraction) -> Point2:
    return (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)


def _backwards(convex: Polygon, entry: Point2, leave: Point2) -> list[Point2]:
    """Corners of a convex polygon met clockwise on the way from one point of its border to another."""
    n = len(convex)
    here, goal = _side_holding(convex, entry), _side_holding(convex, leave)
    corners = []
    while here != goal:
        corners.append(convex[here])
        here = (here - 1) % n
    return corners


def _side_holding(convex: Polygon, point: Point2) -> int:
    gaps = [abs(n[0] * point[0] + n[1] * point[1] - offset) for n, offset in sides(convex)]
    return gaps.index(min(gaps))


def border(polygon: Sequence[Point2]) -> list[Segment2]:
    """The sides of a polygon."""
    return [(polygon[i], polygon[(i + 1) % len(polygon)]) for i in range(len(polygon))]


def on_line(p: Point2, line: Segment2) -> bool:
    """True if a point lies within 1e-5 mm of a line (leaning cuts are rounded)."""
    (ax, ay), (bx, by) = line
    x, y, rx, ry, qx, qy = map(float, (p[0], p[1], ax, ay, bx, by))
    if abs((x - rx) * (qy - ry) - (y - ry) * (qx - rx)) > _ROUGH * (abs(qx - rx) + abs(qy - ry)):
        return False  # plainly off: spares the exact arithmetic
    dx, dy = bx - ax, by - ay
    off = (p[0] - ax) * dy - (p[1] - ay) * dx
    return off * off <= (10 * SAME) ** 2 * (dx * dx + dy * dy)


def line_without(line: Segment2, opening: Segment2) -> list[Segment2]:
    """What is left of a line where another one on it is taken out."""
    a, b = line
    if not (on_line(opening[0], line) and on_line(opening[1], line)):
        return [line]
    dx, dy = b[0] - a[0], b[1] - a[1]
    size = dx * dx + dy * dy
    shares = sorted(((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / size for p in opening)
    low, high = max(shares[0], Fraction(0)), min(shares[1], Fraction(1))
    if low >= high:
        return [line]
    parts = [(Fraction(0), low), (high, Fraction(1))]
    return [(_along(a, b, s), _along(a, b, e)) for s, e in parts if e - s > Fraction(1, 10**6)]
