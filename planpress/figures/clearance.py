"""A layout check on finished figures: what a drawing teacher marks red because it cannot be read.

Looks at the display list only, so it also finds what the code that made the figure did not think of.
"""

from __future__ import annotations

import enum
import itertools
import math
from collections.abc import Iterator, Sequence
from typing import TypeAlias

from attrs import frozen

from planpress.base.display import Figure, Hatch, Item, Path, Point, Role, Text, TypeMeasure
from planpress.base.lettering import plain
from planpress.figures.extents import bounds, chains_of, text_corners
from planpress.figures.style import SMALLEST_TEXT

#: How near (mm) a line may come to a text's box, and texts to each other.
TEXT_TO_LINE = 0.3
TEXT_TO_TEXT = 0.4
_FRAME_SLACK = 0.3
_TOUCH = 0.05  # leaders that share an end or only touch do not cross

_Stretch: TypeAlias = tuple[Point, Point]


class Fault(enum.Enum):
    """What is wrong."""

    TEXT_ON_TEXT = "text on text"
    TEXT_ON_LINE = "text across a line"
    TEXT_ON_HATCH = "text on hatching"
    LEADERS_CROSS = "leaders cross"
    OUTSIDE = "outside the frame"
    SMALL_TEXT = "text too small"


@frozen
class Finding:
    """A fault, where it is (mm in the figure), and what it is about in words."""

    fault: Fault
    at: Point
    about: str


def findings(figure: Figure, measure: TypeMeasure) -> list[Finding]:
    """All faults of a figure, in drawing order; empty if it reads well."""
    texts = [(i, item) for i, item in enumerate(figure.items) if isinstance(item, Text) and item.string.strip()]
    boxes = [(i, text, text_corners(text, measure)) for i, text in texts]
    found: list[Finding] = []
    for _, text in texts:
        if text.size < SMALLEST_TEXT:
            found.append(Finding(Fault.SMALL_TEXT, text.at, f"{plain(text.string)!r}, {text.size:g} pt"))
    found += _outside(figure, measure)
    for (_, a, box_a), (_, b, box_b) in itertools.combinations(boxes, 2):
        if _gap(box_a, box_b) < TEXT_TO_TEXT:
            about = f"{plain(a.string)!r} and {plain(b.string)!r}"
            found.append(Finding(Fault.TEXT_ON_TEXT, a.at, about))
    for index, text, box in boxes:
        found += _text_on_ink(figure.items, index, text, box)
    found += _crossing_leaders(figure.items)
    return found


def _outside(figure: Figure, measure: TypeMeasure) -> Iterator[Finding]:
    for item in figure.items:
        if isinstance(item, Path) and not item.segments:
            continue
        left, low, right, high = bounds([item], measure)
        if (
            left < -_FRAME_SLACK
            or low < -_FRAME_SLACK
            or right > figure.width + _FRAME_SLACK
            or high > figure.height + _FRAME_SLACK
        ):
            about = plain(item.string) if isinstance(item, Text) else item.role.value
            yield Finding(Fault.OUTSIDE, (left, low), repr(about))


def _text_on_ink(items: Sequence[Item], index: int, text: Text, box: Sequence[Point]) -> Iterator[Finding]:
    """Lines through a text's box, but for those which a balloon or other opaque face under the text covers."""
    first = _covered_up_to(items, index, box)
    left, low = min(p[0] for p in box), min(p[1] for p in box)
    right, high = max(p[0] for p in box), max(p[1] for p in box)
    for item in items[first:]:
        if isinstance(item, Text):
            continue
        for chain in chains_of(item):
            if (
                min(p[0] for p in chain) > right + TEXT_TO_LINE
                or max(p[0] for p in chain) < left - TEXT_TO_LINE
                or min(p[1] for p in chain) > high + TEXT_TO_LINE
                or max(p[1] for p in chain) < low - TEXT_TO_LINE
            ):
                continue
            inked = item.pen is not None or item.role is Role.DIMENSION
            if inked and any(_stretch_near_box(s, box) for s in itertools.pairwise(chain)):
                about = f"{plain(text.string)!r} and {item.role.value} line"
                yield Finding(Fault.TEXT_ON_LINE, text.at, about)
                break
            if isinstance(item.fill, Hatch) and _inside(_middle(box), chain):
                yield Finding(Fault.TEXT_ON_HATCH, text.at, repr(plain(text.string)))
                break


def _covered_up_to(items: Sequence[Item], index: int, box: Sequence[Point]) -> int:
    """Index of the last opaque face drawn before a text that holds its whole box; its own border counts."""
    for i in range(index - 1, -1, -1):
        item = items[i]
        if isinstance(item, Text) or not isinstance(item.fill, str):
            continue
        if any(all(_inside(corner, chain) for corner in box) for chain in chains_of(item)):
            return i
    return 0


def _crossing_leaders(items: Sequence[Item]) -> Iterator[Finding]:
    leaders = [
        (i, stretch)
        for i, item in enumerate(items)
        if isinstance(item, Path) and item.role is Role.LEADER and item.pen is not None
        for chain in chains_of(item)
        for stretch in itertools.pairwise(chain)
    ]
    for (i, a), (j, b) in itertools.combinations(leaders, 2):
        if i != j and _cross(a, b):
            yield Finding(Fault.LEADERS_CROSS, a[0], f"at ({b[0][0]:.1f}, {b[0][1]:.1f})")


def _cross(a: _Stretch, b: _Stretch) -> bool:
    """True if two stretches cross away from their ends."""
    return _sides(a, b) and _sides(b, a)


def _sides(a: _Stretch, b: _Stretch) -> bool:
    (x0, y0), (x1, y1) = a
    length = math.hypot(x1 - x0, y1 - y0)
    if length == 0:
        return False
    off = [((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) / length for x, y in b]
    return min(off) < -_TOUCH and max(off) > _TOUCH


def _middle(box: Sequence[Point]) -> Point:
    return (sum(p[0] for p in box) / len(box), sum(p[1] for p in box) / len(box))


def _inside(point: Point, chain: Sequence[Point]) -> bool:
    """True if a point lies inside a closed chain (even-odd rule)."""
    x, y = point
    inside = False
    for i in range(len(chain)):
        (x0, y0), (x1, y1) = chain[i - 1], chain[i]
        if (y0 > y) != (y1 > y) and x < x0 + (x1 - x0) * (y - y0) / (y1 - y0):
            inside = not inside
    return inside


def _gap(a: Sequence[Point], b: Sequence[Point]) -> float:
    """Distance between two boxes along the axis that parts them most; negative if they overlap."""
    widest = -math.inf
    for box in (a, b):
        for i in range(2):
            (x0, y0), (x1, y1) = box[i], box[i + 1]
            length = math.hypot(x1 - x0, y1 - y0) or 1.0
            axis = ((x1 - x0) / length, (y1 - y0) / length)
            on_a = [p[0] * axis[0] + p[1] * axis[1] for p in a]
            on_b = [p[0] * axis[0] + p[1] * axis[1] for p in b]
            widest = max(widest, min(on_b) - max(on_a), min(on_a) - max(on_b))
    return widest


def _stretch_near_box(stretch: _Stretch, box: Sequence[Point]) -> bool:
    """True if a stretch passes through a box grown by TEXT_TO_LINE; cut by the box's sides in its own axes."""
    (x0, y0), (x1, y1) = box[0], box[1]
    width = math.hypot(x1 - x0, y1 - y0)
    if width == 0:
        return False
    axis = ((x1 - x0) / width, (y1 - y0) / width)
    up = (-axis[1], axis[0])
    height = (box[3][0] - x0) * up[0] + (box[3][1] - y0) * up[1]
    (ax, ay), (bx, by) = (
        ((px - x0) * axis[0] + (py - y0) * axis[1], (px - x0) * up[0] + (py - y0) * up[1]) for px, py in stretch
    )
    start, end = 0.0, 1.0
    for a, b, high in ((ax, bx, width), (ay, by, height)):
        low, high = -TEXT_TO_LINE, high + TEXT_TO_LINE
        if abs(b - a) < 1e-12:
            if not low < a < high:
                return False
            continue
        t0, t1 = sorted(((low - a) / (b - a), (high - a) / (b - a)))
        start, end = max(start, t0), min(end, t1)
    return start < end
