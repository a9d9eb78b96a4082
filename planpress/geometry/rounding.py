"""Round the corners of an outline: what a router bit leaves, and what is cut to fit it."""

from __future__ import annotations

import math
from collections.abc import Sequence

#: Straight pieces of a rounded corner.
ARC = 8
_SAME = 1e-8


def rounded(outline: Sequence[tuple[float, float]], radius: float) -> list[tuple[float, float]]:
    """A convex outline (mm) with its corners rounded; as round as the shortest side allows."""
    if not radius:
        return list(outline)
    points = [p for arc in corner_arcs(outline, radius) for p in arc]
    return [p for i, p in enumerate(points) if math.dist(p, points[i - 1]) > _SAME]


def corner_arcs(outline: Sequence[tuple[float, float]], radius: float) -> list[list[tuple[float, float]]]:
    """The points of each corner's arc (`ARC` + 1 of them), in the order of the outline's corners, either way round."""
    count = len(outline)
    steps = [_step(outline[i], outline[(i + 1) % count]) for i in range(count)]
    shortest = min(math.hypot(*step) for step in steps)
    arcs = []
    for i, (px, py) in enumerate(outline):
        to_a, to_b = _unit(-steps[i - 1][0], -steps[i - 1][1]), _unit(*steps[i])
        half = math.acos(max(-1.0, min(1.0, to_a[0] * to_b[0] + to_a[1] * to_b[1]))) / 2
        r = min(radius, shortest / 2 * math.tan(half))
        middle = _unit(to_a[0] + to_b[0], to_a[1] + to_b[1])
        away, reach = r / math.sin(half), r / math.tan(half)
        cx, cy = px + middle[0] * away, py + middle[1] * away
        start = (px + to_a[0] * reach - cx, py + to_a[1] * reach - cy)
        end = (px + to_b[0] * reach - cx, py + to_b[1] * reach - cy)
        turn = math.copysign(math.pi - 2 * half, start[0] * end[1] - start[1] * end[0])
        arc = []
        for k in range(ARC + 1):
            c, s = math.cos(turn * k / ARC), math.sin(turn * k / ARC)
            x, y = cx + c * start[0] - s * start[1], cy + s * start[0] + c * start[1]
            arc.append((round(x, 9), round(y, 9)))
        arcs.append(arc)
    return arcs


def _step(p: tuple[float, float], q: tuple[float, float]) -> tuple[float, float]:
    return q[0] - p[0], q[1] - p[1]


def _unit(x: float, y: float) -> tuple[float, float]:
    length = math.hypot(x, y)
    return x / length, y / length
