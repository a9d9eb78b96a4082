"""Angles, and words with a leader: holes and other features that a number alone does not tell.

Millimetres on paper; angles in degrees anticlockwise from the x axis.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from planpress.base.display import (
    Anchor,
    Face,
    Item,
    Path,
    Point,
    Role,
    Segment,
    Text,
    TypeMeasure,
    line,
)
from planpress.base.edition import Edition
from planpress.base.printing import LengthGrid, write_angle, write_length
from planpress.base.quantities import INCH
from planpress.figures import style
from planpress.figures.dimensions import arrowhead
from planpress.figures.extents import figure_height
from planpress.figures.running import ARROW
from planpress.model.records import Hole

ANGLE_RADIUS = 29.0
CALLOUT_LEADING = 4.9
_OUTSIDE = 4.0  # how far the arc of an angle starts beyond the reference line
_SHELF = 3.0
_COUNTS = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]


def arc(centre: Point, radius: float, start: float, end: float) -> tuple[Segment, ...]:
    """A circular arc from angle `start` to `end` (degrees), as Bezier curves of at most 45 degrees."""
    pieces = max(1, math.ceil(abs(end - start) / 45))
    step = math.radians(end - start) / pieces
    reach = radius * 4 / 3 * math.tan(step / 4)
    (x, y), turn = centre, math.radians(start)
    segments: list[Segment] = [("m", x + radius * math.cos(turn), y + radius * math.sin(turn))]
    for _ in range(pieces):
        after = turn + step
        c0, s0, c1, s1 = math.cos(turn), math.sin(turn), math.cos(after), math.sin(after)
        segments.append(
            (
                "c",
                x + radius * c0 - reach * s0,
                y + radius * s0 + reach * c0,
                x + radius * c1 + reach * s1,
                y + radius * s1 - reach * c1,
                x + radius * c1,
                y + radius * s1,
            )
        )
        turn = after
    return tuple(segments)


def angle(
    vertex: Point,
    reference: float,
    leg: float,
    text: str,
    measure: TypeMeasure,
    radius: float = ANGLE_RADIUS,
    reference_length: float | None = None,
    source: str = "",
) -> tuple[Item, ...]:
    """The angle between a dash-dot reference line and a leg that is drawn already.

    The arc comes from outside the wedge, crosses the reference line and ends with one arrow at the leg; the value
    stands where the arc begins.

    Args:
        reference, leg: directions from the vertex, at most 90 degrees apart.
        reference_length: of the dash-dot line; it runs over the arc by 5 if not given.
    """
    x, y = vertex
    length = radius + 5.0 if reference_length is None else reference_length
    way = 1.0 if leg >= reference else -1.0
    start = reference - way * math.degrees(_OUTSIDE / radius)
    turn = math.radians(reference)
    far = (x + length * math.cos(turn), y + length * math.sin(turn))
    end = math.radians(leg)
    tip = (x + radius * math.cos(end), y + radius * math.sin(end))
    items: list[Item] = [
        line(vertex, far, style.CENTRE, Role.CENTRE, source),
        Path(arc(vertex, radius, start, leg), style.DIMENSION, None, Role.DIMENSION, source),
        arrowhead(tip, (-way * math.sin(end), way * math.cos(end)), ARROW, source),
    ]
    items.append(_beside(_around(vertex, radius, start), (start - way * 90.0), text, measure, source))
    return tuple(items)


def _around(centre: Point, radius: float, degrees: float) -> Point:
    turn = math.radians(degrees)
    return (centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn))


def _beside(at: Point, heading: float, text: str, measure: TypeMeasure, source: str) -> Text:
    """Level text whose box touches `at` and lies off in the direction `heading`, 1.2 clear."""
    height = figure_height(style.LETTER_SIZE)
    half = measure.width(text, Face.REGULAR, style.LETTER_SIZE) / 2
    dx, dy = math.cos(math.radians(heading)), math.sin(math.radians(heading))
    reach = min(half / abs(dx) if abs(dx) > 1e-9 else 1e9, height / 2 / abs(dy) if abs(dy) > 1e-9 else 1e9)
    reach += 1.2
    middle = (at[0] + dx * reach, at[1] + dy * reach)
    return Text((middle[0], middle[1] - height / 2), text, size=style.LETTER_SIZE, anchor=Anchor.MIDDLE, source=source)


def callout(target: Point, elbow: Point, lines: Sequence[str], source: str = "") -> tuple[Item, ...]:
    """Words with a leader: from the arrow on `target` slanting to `elbow`, then a level shelf under the first line.

    The words stand on the side of the elbow away from the target, the first line beside the shelf.
    """
    way = 1.0 if elbow[0] >= target[0] else -1.0
    length = math.hypot(target[0] - elbow[0], target[1] - elbow[1])
    direction = ((target[0] - elbow[0]) / length, (target[1] - elbow[1]) / length)
    shelf = (elbow[0] + way * _SHELF, elbow[1])
    items: list[Item] = [
        line(target, elbow, style.LEADER, Role.LEADER, source),
        line(elbow, shelf, style.LEADER, Role.LEADER, source),
        arrowhead(target, direction, ARROW, source),
    ]
    x = shelf[0] + way * 1.2
    anchor = Anchor.START if way > 0 else Anchor.END
    y = elbow[1] - figure_height(style.LETTER_SIZE) / 2
    for i, text in enumerate(lines):
        items.append(Text((x, y - i * CALLOUT_LEADING), text, size=style.LETTER_SIZE, anchor=anchor, source=source))
    return tuple(items)


def drill_grid(edition: Edition) -> LengthGrid:
    """What drill sizes are written to: 64ths of an inch, or tenths of a mm (ISO 235, from memory)."""
    return LengthGrid(edition.units, Fraction(1, 10) if edition.is_metric else INCH / 64)


def drill_size(mm: Fraction, edition: Edition, mark_off_grid: bool = True) -> str:
    """A hole's diameter with its sign."""
    return f"\u00d8\u00a0{write_length(mm, drill_grid(edition), mark_off_grid=mark_off_grid)}"


def hole_words(hole: Hole, count: int, edition: Edition) -> tuple[str, ...]:
    """A hole callout: number, diameter, depth; a second line for the countersink or counterbore."""
    times = f"{count}\u00a0\u00d7\u00a0" if count > 1 else ""
    depth = "through" if hole.depth is None else f"{edition.joint(hole.depth)} deep"
    lines = [f"{times}{drill_size(hole.diameter, edition)}, {depth}"]
    if hole.sink_diameter > 0:
        wide = drill_size(hole.sink_diameter, edition, mark_off_grid=False)  # made to the screw's head
        if hole.sink_angle is not None:
            lines.append(f"countersunk {wide}, {write_angle(hole.sink_angle)}")
        else:
            lines.append(f"counterbored {wide}, {edition.joint(hole.sink_depth)} deep")
    return tuple(lines)


def count_word(number: int) -> str:
    """ "three"; figures above twelve."""
    return _COUNTS[number] if number < len(_COUNTS) else str(number)
