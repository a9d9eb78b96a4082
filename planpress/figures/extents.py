"""How much paper items cover: flattened curves, boxes around text, bounds; and figures cut to their items."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import TypeAlias

from planpress.base.display import (
    Anchor,
    Circle,
    Figure,
    Item,
    Path,
    Point,
    Segment,
    Text,
    TypeMeasure,
    shifted,
)
from planpress.base.lettering import has_fraction
from planpress.figures.style import POINT

#: Left, lower, right, upper in mm.
Bounds: TypeAlias = tuple[float, float, float, float]
#: Shares of the type size. Capitals and figures rise alike; measured on the type family of the pages.
FIGURE_RISE = 0.66
ASCENT = 0.72
DESCENT = 0.2
FRACTION_RISE = 0.89
FRACTION_FALL = 0.24
_CURVE_STEPS = 8
_CIRCLE_STEPS = 24


def figure_height(size: float) -> float:
    """Height in mm of figures and capitals set at `size` points."""
    return FIGURE_RISE * size * POINT


def rise(text: str, size: float) -> float:
    """How far (mm) a line of figures reaches above its baseline."""
    return (FRACTION_RISE if has_fraction(text) else FIGURE_RISE) * size * POINT


def fall(text: str, size: float) -> float:
    """How far (mm) a line of figures reaches below its baseline."""
    return FRACTION_FALL * size * POINT if has_fraction(text) else 0.0


def text_corners(text: Text, measure: TypeMeasure) -> tuple[Point, Point, Point, Point]:
    """The corners of the box around a line of text, anticlockwise as read; turned with the text.

    The box reaches from the baseline (below it where letters or fractions do) to the top of the figures or ascenders.
    """
    width = measure.width(text.string, text.face, text.size)
    start = {Anchor.START: 0.0, Anchor.MIDDLE: -width / 2, Anchor.END: -width}[text.anchor]
    low, high = _reach(text.string, text.size)
    c, s = math.cos(math.radians(text.angle)), math.sin(math.radians(text.angle))
    x, y = text.at

    def corner(along: float, up: float) -> Point:
        return (x + along * c - up * s, y + along * s + up * c)

    return (
        corner(start, low),
        corner(start + width, low),
        corner(start + width, high),
        corner(start, high),
    )


def _reach(string: str, size: float) -> tuple[float, float]:
    em = size * POINT
    descends = any(c in "gjpqy,;()" for c in string)
    ascends = any(c in "bdfhkl()" for c in string)
    low = max(DESCENT if descends else 0.0, FRACTION_FALL if has_fraction(string) else 0.0)
    high = max(ASCENT if ascends else FIGURE_RISE, FRACTION_RISE if has_fraction(string) else 0.0)
    return -low * em, high * em


def flattened(segments: Sequence[Segment]) -> list[list[Point]]:
    """The lines and curves as chains of points; a closed chain ends with its first point."""
    chains: list[list[Point]] = []
    for segment in segments:
        if segment[0] == "m":
            chains.append([(segment[1], segment[2])])
        elif segment[0] == "l":
            chains[-1].append((segment[1], segment[2]))
        elif segment[0] == "c":
            chains[-1] += _curve(chains[-1][-1], segment[1:])
        else:
            chains[-1].append(chains[-1][0])
    return chains


_CURVE_WEIGHTS = [
    ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
    for t in (i / _CURVE_STEPS for i in range(1, _CURVE_STEPS + 1))
]


def _curve(start: Point, controls: tuple[float, float, float, float, float, float]) -> list[Point]:
    x1, y1, x2, y2, x3, y3 = controls
    x0, y0 = start
    return [(a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3) for a, b, c, d in _CURVE_WEIGHTS]


def circle_points(circle: Circle) -> list[Point]:
    """Points around a circle, the first one again at the end."""
    x, y = circle.centre
    turns = [2 * math.pi * i / _CIRCLE_STEPS for i in range(_CIRCLE_STEPS + 1)]
    return [(x + circle.radius * math.cos(t), y + circle.radius * math.sin(t)) for t in turns]


def chains_of(item: Path | Circle) -> list[list[Point]]:
    """The outlines of an item that is not text."""
    return [circle_points(item)] if isinstance(item, Circle) else flattened(item.segments)


def bounds(items: Iterable[Item], measure: TypeMeasure) -> Bounds:
    """The box around all items, half the pens' widths included.

    Raises:
        ValueError: if there are none.
    """
    left = low = math.inf
    right = high = -math.inf
    for item in items:
        if isinstance(item, Circle):
            x, y = item.centre
            half = item.radius + (item.pen.width / 2 if item.pen else 0.0)
            box = (x - half, y - half, x + half, y + half)
        else:
            points: Sequence[Point]
            if isinstance(item, Text):
                points, half = text_corners(item, measure), 0.0
            else:
                points = [p for chain in flattened(item.segments) for p in chain]
                half = item.pen.width / 2 if item.pen else 0.0
            xs, ys = zip(*points, strict=True)
            box = (min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half)
        left, low, right, high = min(left, box[0]), min(low, box[1]), max(right, box[2]), max(high, box[3])
    if left > right:
        raise ValueError("nothing is drawn")
    return left, low, right, high


def moved(items: Iterable[Item], dx: float, dy: float) -> list[Item]:
    """The items shifted by (dx, dy) mm."""
    return [shifted(item, dx, dy) for item in items]


def fitted_figure(
    items: Sequence[Item], measure: TypeMeasure, alt: str, scale: Fraction | None = None, width: float | None = None
) -> Figure:
    """A figure as high as its items; as wide, too, or with `width` given, x stays and the frame is [0, width]."""
    left, low, right, high = bounds(items, measure)
    dx = -left if width is None else 0.0
    return Figure(right - left if width is None else width, high - low, tuple(moved(items, dx, -low)), alt, scale)
