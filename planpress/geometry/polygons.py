"""Convex polygons with exact corners: clipping and area. Corners anticlockwise; lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import TypeAlias

from planpress.geometry.vectors import product, root, trimmed

Point2: TypeAlias = tuple[Fraction, Fraction]
Polygon: TypeAlias = tuple[Point2, ...]


def _turn(a: Point2, b: Point2, c: Point2) -> Fraction:
    """Twice the area of the triangle a, b, c; positive if it turns left."""
    return product(b[0] - a[0], c[1] - a[1]) - product(b[1] - a[1], c[0] - a[0])


def area(polygon: Sequence[Point2]) -> Fraction:
    """Signed area (mm2); positive if anticlockwise."""
    total = Fraction(0)
    for i, (x0, y0) in enumerate(polygon):
        x1, y1 = polygon[(i + 1) % len(polygon)]
        total += x0 * y1 - x1 * y0
    return total / 2


def hull(points: Sequence[Point2]) -> Polygon:
    """Convex hull, anticlockwise, without corners on straight sides."""
    rough = sorted(points, key=lambda p: (float(p[0]), float(p[1])))
    ordered = [p for i, p in enumerate(rough) if i == 0 or p != rough[i - 1]]
    if len(ordered) < 3:
        return tuple(ordered)

    def half(chain: Sequence[Point2]) -> list[Point2]:
        out: list[Point2] = []
        for p in chain:
            while len(out) >= 2 and _turn(out[-2], out[-1], p) <= 0:
                out.pop()
            out.append(p)
        return out

    lower, upper = half(ordered), half(ordered[::-1])
    return tuple(lower[:-1] + upper[:-1])


def cut(polygon: Sequence[Point2], normal: Point2, offset: Fraction) -> Polygon:
    """The part of a convex polygon where normal . p <= offset."""
    out: list[Point2] = []
    n = len(polygon)
    heights = [product(normal[0], p[0]) + product(normal[1], p[1]) - offset for p in polygon]
    if all(height <= 0 for height in heights):
        return tuple(polygon)
    for i in range(n):
        p, q = polygon[i], polygon[(i + 1) % n]
        a, b = heights[i], heights[(i + 1) % n]
        if a <= 0:
            out.append(p)
        if (a < 0 < b) or (b < 0 < a):
            t = a / (a - b)
            out.append((trimmed(p[0] + (q[0] - p[0]) * t), trimmed(p[1] + (q[1] - p[1]) * t)))
    return tuple(out)


def sides(polygon: Sequence[Point2]) -> list[tuple[Point2, Fraction]]:
    """Outward normals (not unit) and offsets of the sides of an anticlockwise polygon."""
    out = []
    for i, (x0, y0) in enumerate(polygon):
        x1, y1 = polygon[(i + 1) % len(polygon)]
        normal = (y1 - y0, x0 - x1)
        out.append((normal, product(normal[0], x0) + product(normal[1], y0)))
    return out


def intersection(a: Sequence[Point2], b: Sequence[Point2]) -> Polygon:
    """The common part of two convex anticlockwise polygons; empty if they only touch or miss."""
    result = tuple(a)
    for normal, offset in sides(b):
        result = cut(result, normal, offset)
        if len(result) < 3:
            return ()
    return result if area(result) > 0 else ()


def centroid(polygon: Sequence[Point2]) -> Point2:
    """Centre of area.

    Raises:
        ValueError: if the polygon has no area.
    """
    total = area(polygon)
    if total == 0:
        raise ValueError("a polygon of no area has no centre of area")
    x = y = Fraction(0)
    for i, (x0, y0) in enumerate(polygon):
        x1, y1 = polygon[(i + 1) % len(polygon)]
        w = x0 * y1 - x1 * y0
        x += (x0 + x1) * w
        y += (y0 + y1) * w
    return trimmed(x / (6 * total)), trimmed(y / (6 * total))


def cleaned(polygon: Sequence[Point2], tolerance: float = 1e-7) -> Polygon:
    """The polygon without corners that repeat or lie on a straight side, within `tolerance` mm."""
    points = list(polygon)
    rough = [(float(x), float(y)) for x, y in points]
    i = 0
    while i < len(points) >= 3:
        (ax, ay), (bx, by), (cx, cy) = rough[i - 1], rough[i], rough[(i + 1) % len(rough)]
        base = math.hypot(cx - ax, cy - ay)
        off = abs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax))
        if math.hypot(bx - ax, by - ay) <= tolerance or off <= tolerance * base:
            points.pop(i)
            rough.pop(i)
            i = 0
        else:
            i += 1
    return tuple(points)


def holds(polygon: Sequence[Point2], point: Point2, slack: Fraction = Fraction(0)) -> bool:
    """True if the point lies in the convex polygon or within `slack` mm of it."""
    for normal, offset in sides(polygon):
        length = root(normal[0] ** 2 + normal[1] ** 2)
        if normal[0] * point[0] + normal[1] * point[1] - offset > slack * length:
            return False
    return True
