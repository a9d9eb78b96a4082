"""Signs drawn on parts and beside them, as items: used by drawings and by the page that explains them.

Sizes in mm on paper; y up. The marks of reference end, edge and face are what the maker pencils on the wood.
"""

from __future__ import annotations

import math

from planpress.base.display import (
    Anchor,
    Circle,
    Face,
    Item,
    Path,
    Pen,
    Point,
    Role,
    Segment,
    Text,
    TypeMeasure,
    line,
    polyline,
    rectangle,
)
from planpress.figures import style
from planpress.figures.extents import figure_height

BALLOON_RADIUS = 3.6
BALLOON_TEXT = 12.0
TABLE_BALLOON_TEXT = 10.5
CAPSULE_HEIGHT = 6.2
CAPSULE_TEXT = 11.0
TRIANGLE = 3.4  # reference end: width and height
EDGE_MARK = (3.0, 3.2)  # V: width, height
LOOP_HEIGHT = 6.8
_LOOP_WIDTH = 2.9
GRAIN_LENGTH = 22.0
SMALLEST_MARK = 0.72  # marks on parts shrink to this share, then go outside
BREAK_OVERRUN = 1.6
CAUTION_SIDE = 5.2
_MARK_PEN = style.BALLOON


def reference_end(tip: Point, pointing: int = 1, source: str = "") -> Path:
    """The filled triangle outside a part whose point touches the end that all positions are measured from.

    `pointing` is 1 if it points to the right, -1 to the left.
    """
    x, y = tip
    back, half = x - pointing * TRIANGLE, TRIANGLE / 2
    return Path(polyline((tip, (back, y + half), (back, y - half)), closed=True), None, style.INK, Role.MARK, source)


def edge_mark(point: Point, into: int, share: float = 1.0, source: str = "") -> Path:
    """The V of the reference edge, its point on the edge; `into` is 1 if the part lies above that edge, -1 below."""
    (x, y), (width, height) = point, EDGE_MARK
    top = y + into * height * share
    half = width / 2 * share
    return Path(polyline(((x - half, top), point, (x + half, top))), _MARK_PEN, None, Role.MARK, source)


def face_loop(tail: Point, into: int, share: float = 1.0, source: str = "") -> Path:
    """The single loop of the reference face, its tails by the reference edge; `tail` is where the left one ends.

    `into` is 1 if the part lies above that edge, -1 below: the sign is then turned half round, not mirrored.
    """
    h, w = LOOP_HEIGHT * share * into, share * into
    x, y = (tail[0] + (_LOOP_WIDTH * share if into < 0 else 0.0), tail[1])

    def at(dx: float, dy: float) -> Point:
        return (x + dx * w, y + dy * h)

    curves = (
        (at(1.3, 0.02), at(2.0, 0.45), at(2.6, 0.78)),
        (at(2.9, 0.95), at(2.5, 1.02), at(1.9, 1.0)),
        (at(1.1, 0.97), at(0.8, 0.8), at(0.95, 0.6)),
        (at(1.15, 0.34), at(1.9, 0.08), at(_LOOP_WIDTH, 0.0)),
    )
    segments: list[Segment] = [("m", x, y)]
    segments += [("c", *a, *b, *c) for a, b, c in curves]
    return Path(tuple(segments), _MARK_PEN, None, Role.MARK, source)


#: Widths of the marks with a little air, for placing them: V, loop.
EDGE_MARK_ROOM = 4.0
LOOP_ROOM = 4.0


def grain_arrow(centre: Point, length: float = GRAIN_LENGTH, source: str = "") -> tuple[Item, ...]:
    """The direction of the grain: a level line with a half barb at each end, on opposite sides."""
    x, y = centre
    half, barb = length / 2, (2.2, 1.1)
    left, right = (x - half, y), (x + half, y)
    points = ((left[0] + barb[0], y + barb[1]), left, right, (right[0] - barb[0], y - barb[1]))
    return (Path(polyline(points), style.EDGE, None, Role.MARK, source),)


def balloon(
    centre: Point, letter: str, radius: float = BALLOON_RADIUS, count: int | None = None, source: str = ""
) -> tuple[Item, ...]:
    """A circle with the letter of a part; `count` is written below it."""
    return _balloon(Circle(centre, radius, _balloon_pen(radius), style.TINT_0, Role.BALLOON, source), letter, count)


def square_balloon(
    centre: Point, letter: str, radius: float = BALLOON_RADIUS, count: int | None = None, source: str = ""
) -> tuple[Item, ...]:
    """A square as high as the circle, for bought things."""
    x, y = centre
    frame = Path(
        rectangle(x - radius, y - radius, 2 * radius, 2 * radius),
        _balloon_pen(radius),
        style.TINT_0,
        Role.BALLOON,
        source,
    )
    return _balloon(frame, letter, count, centre, radius)


def _balloon_pen(radius: float) -> Pen:
    return style.BALLOON if radius >= BALLOON_RADIUS else style.EDGE


def _balloon(
    frame: Path | Circle, letter: str, count: int | None, centre: Point = (0, 0), radius: float = 0.0
) -> tuple[Item, ...]:
    if isinstance(frame, Circle):
        centre, radius = frame.centre, frame.radius
    size = BALLOON_TEXT if radius >= BALLOON_RADIUS else TABLE_BALLOON_TEXT
    x, y = centre
    items: list[Item] = [
        frame,
        Text(
            (x, y - figure_height(size) / 2),
            letter,
            Face.SEMIBOLD,
            size,
            anchor=Anchor.MIDDLE,
            source=frame.source,
        ),
    ]
    if count is not None:
        below = (x, y - 7.9 * radius / BALLOON_RADIUS)
        items.append(Text(below, f"\u00d7\u00a0{count}", size=10.5, anchor=Anchor.MIDDLE, source=frame.source))
    return tuple(items)


def capsule_width(text: str, measure: TypeMeasure) -> float:
    """Width in mm of the capsule around this text."""
    return max(10.0, measure.width(text, Face.SEMIBOLD, CAPSULE_TEXT) + 5.2)


def capsule(centre: Point, text: str, measure: TypeMeasure, source: str = "") -> tuple[Item, ...]:
    """The sign of a size that is not a number but fits a part: "= B"."""
    x, y = centre
    width, r = capsule_width(text, measure), CAPSULE_HEIGHT / 2
    left, right = x - width / 2 + r, x + width / 2 - r
    k = r * 4 * (math.sqrt(2) - 1) / 3
    segments: tuple[Segment, ...] = (
        ("m", left, y - r),
        ("l", right, y - r),
        ("c", right + k, y - r, right + r, y - k, right + r, y),
        ("c", right + r, y + k, right + k, y + r, right, y + r),
        ("l", left, y + r),
        ("c", left - k, y + r, left - r, y + k, left - r, y),
        ("c", left - r, y - k, left - k, y - r, left, y - r),
        ("z",),
    )
    label = Text(
        (x, y - figure_height(CAPSULE_TEXT) / 2),
        text,
        Face.SEMIBOLD,
        CAPSULE_TEXT,
        anchor=Anchor.MIDDLE,
        source=source,
    )
    return (Path(segments, style.BALLOON, style.TINT_0, Role.BALLOON, source), label)


def break_curve(x: float, low: float, high: float) -> tuple[Segment, ...]:
    """A free-hand line across a part that goes on, from (x, low) up to (x, high); it swings 1.2 to both sides."""
    h = high - low
    swing = min(1.2, h / 6)
    return (
        ("m", x, low),
        ("c", x + swing, low + 0.17 * h, x + swing, low + 0.3 * h, x, low + 0.5 * h),
        ("c", x - swing, low + 0.7 * h, x - swing, low + 0.83 * h, x, high),
    )


def break_line(x: float, low: float, high: float, source: str = "") -> Path:
    """The sign where a part is cut off for the drawing; it runs over the part by 1.6."""
    return Path(break_curve(x, low - BREAK_OVERRUN, high + BREAK_OVERRUN), style.BREAK, None, Role.BREAK, source)


def projection_symbol(third_angle: bool) -> tuple[Item, ...]:
    """A cut-off cone in two views (ISO 5456-2:1996, figures 2 and 4), lower left of its box at (0, 0), 17.4 x 7.6.

    The small end of the cone is to the left, so the view from the left shows both circles. Third angle puts that
    view to the left of the cone, first angle to the right.
    """
    large, small, length, gap, over = 3.3, 1.65, 6.6, 3.3, 0.5
    middle = large + over
    circles_x = large + over if third_angle else over + length + gap + large
    cone_x = over + 2 * large + gap if third_angle else over
    cone = (
        (cone_x, middle - small),
        (cone_x + length, middle - large),
        (cone_x + length, middle + large),
        (cone_x, middle + small),
    )
    reach = large + over
    return (
        Circle((circles_x, middle), large, style.BALLOON, None, Role.MARK),
        Circle((circles_x, middle), small, style.BALLOON, None, Role.MARK),
        Path(polyline(cone, closed=True), style.BALLOON, None, Role.MARK),
        line((circles_x - reach, middle), (circles_x + reach, middle), style.CENTRE, Role.CENTRE),
        line((circles_x, middle - reach), (circles_x, middle + reach), style.CENTRE, Role.CENTRE),
        line((cone_x - over, middle), (cone_x + length + over, middle), style.CENTRE, Role.CENTRE),
    )


#: Box of the projection symbol.
SYMBOL_SIZE = (17.5, 7.6)


def tick_box(corner: Point, side: float = 3.8) -> Path:
    """A box to tick off; `corner` is its lower left."""
    return Path(rectangle(*corner, side, side), style.WRITING_BOX, style.TINT_0, Role.MARK)


def writing_box(corner: Point, width: float = 30.0, height: float = 8.5) -> Path:
    """A box to write a measured value in; `corner` is its lower left."""
    return Path(rectangle(*corner, width, height), style.WRITING_BOX, style.TINT_0, Role.MARK)


def caution_triangle(corner: Point) -> tuple[Item, ...]:
    """The sign of a caution, side 5.2; `corner` is its lower left."""
    x, y = corner
    height = CAUTION_SIDE * math.sqrt(3) / 2
    points = ((x, y), (x + CAUTION_SIDE, y), (x + CAUTION_SIDE / 2, y + height))
    return (
        Path(polyline(points, closed=True), style.BALLOON, style.TINT_0, Role.MARK),
        Text((x + CAUTION_SIDE / 2, y + 0.55), "!", Face.SEMIBOLD, 9.0, anchor=Anchor.MIDDLE),
    )


def waste_sample(corner: Point, width: float = 8.0, height: float = 6.0) -> tuple[Item, ...]:
    """A hatched notch with its open side undrawn, for the legend; `corner` is its lower left."""
    x, y = corner
    return (
        Path(rectangle(x, y, width, height), None, style.WASTE, Role.HATCH),
        Path(
            polyline(((x, y + height), (x, y), (x + width, y), (x + width, y + height))),
            style.OUTLINE,
            None,
            Role.OUTLINE,
        ),
    )
