"""Which points of a part's outline its views dimension."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction

from planpress.base.display import Point
from planpress.geometry.strokes import Arc, Line, Outline
from planpress.model.records import Part, Side, SidePoint

_SAME = 1e-6


def outline_points(part: Part, side: Side) -> tuple[SidePoint, ...]:
    """The points of an outline to dimension on a view: its corners and what a curve goes through.

    Not those where a round corner begins and ends between sides that meet square: its radius tells them.
    """
    outline = None if part.shape is None else part.shape.face if side.axis == 2 else part.shape.edge
    if outline is None:
        return ()
    told = set(_round_corners(outline))
    size = (part.length, part.size_along(3 - side.axis))
    points: dict[SidePoint, None] = {}
    for stroke in outline.strokes:
        points[stroke.start] = None
        for piece in getattr(stroke, "pieces", ()):
            points[piece[0]] = None
    return tuple(p for p in points if p not in told and any(0 < c < s for c, s in zip(p, size, strict=True)))


def is_rounded(outline: Outline) -> bool:
    """True if all that is curved are round corners between straight sides that meet square."""
    corners = list(_round_corners(outline))
    bent = [stroke for stroke in outline.strokes if not isinstance(stroke, Line)]
    return bool(bent) and len(corners) == 2 * len(bent)


def _round_corners(outline: Outline) -> Iterator[SidePoint]:
    strokes = outline.strokes
    for before, arc, after in zip((strokes[-1], *strokes[:-1]), strokes, (*strokes[1:], strokes[0]), strict=True):
        if not (isinstance(arc, Arc) and isinstance(before, Line) and isinstance(after, Line)):
            continue
        lines = [_way(before.start, before.end), _way(after.start, after.end)]
        spokes = [_way(arc.centre, arc.start), _way(arc.centre, arc.end)]
        smooth = all(abs(_dot(line, spoke)) < _SAME for line, spoke in zip(lines, spokes, strict=True))
        if smooth and abs(_dot(*lines)) < _SAME:
            yield arc.start
            yield arc.end


def _way(a: SidePoint, b: SidePoint) -> Point:
    x, y = float(b[0] - a[0]), float(b[1] - a[1])
    length = math.hypot(x, y) or 1.0
    return x / length, y / length


def _dot(a: Point, b: Point) -> float:
    return a[0] * b[0] + a[1] * b[1]


def positions_along(points: Sequence[SidePoint], length: Fraction) -> tuple[SidePoint, ...]:
    """Of points of an outline those whose place along the part is dimensioned, each place once."""
    out: dict[Fraction, SidePoint] = {}
    for point in points:
        if 0 < point[0] < length:
            out.setdefault(point[0], point)
    return tuple(out[u] for u in sorted(out))
