"""Running dimensions: one line from a reference end, an arrow and a value at each feature, the overall size last.

Values are positions rounded from the reference end, never gaps, so the row closes by itself. Millimetres on paper.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from typing import TypeAlias

from attrs import field, frozen

from planpress.base.display import Anchor, Circle, Face, Item, Point, Role, Text, TypeMeasure, line
from planpress.base.lettering import has_fraction
from planpress.figures import style
from planpress.figures.dimensions import GAP, OVERRUN, Label, arrowhead
from planpress.figures.extents import fall, figure_height, rise

ARROW = (2.2, 0.75)
RING = 0.8  # radius of the open circle on the reference end
FIRST = 7.0  # from the outline to the line, where values stand above notches
LEVEL_ROOM = 1.5  # between neighbouring level values
TURNED_STEP = 5.2  # between turned values
JOG = 3.0
MOST_VALUES = 24
_Place: TypeAlias = Callable[[float], Point]
_CLEAR = 1.1  # between the end of an extension line and its value


@frozen
class Value:
    """One position of a running row.

    Attributes:
        at: where on paper, along the row. edge: where the outline is, across (the extension line starts there).
    """

    at: float
    edge: float
    label: Label
    source: str = ""


@frozen
class Row:
    """A finished row.

    Attributes:
        items: in drawing order. depth: how far it reaches from its line, across, text included.
        numbered: (number, value) of each feature where the row has room for numbers only; put them in a table.
    """

    items: tuple[Item, ...]
    depth: float
    numbered: tuple[tuple[int, str], ...] = field(default=())


def spread(wanted: Sequence[float], step: float) -> list[float]:
    """Places at least `step` apart, in order, as near to the wanted ones as can be (least squares).

    Neighbours that want to be too close share their mean (pooling of adjacent violators).
    """
    blocks: list[list[float]] = []  # sum of wanted - i * step, count
    for i, place in enumerate(wanted):
        blocks.append([place - i * step, 1.0])
        while len(blocks) > 1 and blocks[-2][0] / blocks[-2][1] > blocks[-1][0] / blocks[-1][1]:
            total, count = blocks.pop()
            blocks[-1][0] += total
            blocks[-1][1] += count
    means = [total / count for total, count in blocks for _ in range(int(count))]
    return [mean + i * step for i, mean in enumerate(means)]


def running_row(zero: Value, values: Sequence[Value], y: float, way: int, measure: TypeMeasure) -> Row:
    """A level row with its line at height y.

    Args:
        zero: the reference end; its label is "0".
        values: in ascending order; the last is the overall size if its label is bold.
        way: 1 if the row lies above the part (values above it), -1 below.
    """
    stops = [zero, *values]
    items: list[Item] = []
    last = stops[-1].at
    items.append(line((zero.at + RING, y), (last, y), style.DIMENSION, Role.DIMENSION, zero.source))
    items += _arrows(stops, lambda at: (at, y), (1.0, 0.0))
    shown = stops if len(values) <= MOST_VALUES else [zero, *_numbers(values)]
    turned = not stand_level(shown, measure)
    step = TURNED_STEP
    places = spread([s.at for s in shown], step) if turned else [s.at for s in shown]
    deep = 0.0
    jog = JOG if any(abs(p - s.at) > 0.05 for p, s in zip(places, shown, strict=True)) else 0.0
    tip = OVERRUN + jog + _CLEAR
    for stop, place in zip(shown, places, strict=True):
        items += _level_extension(stop, place, y, way, jog)
        if turned:
            text = _turned_text(stop, place, y + way * tip, way)
            reach = stop.label.width(measure)
        else:
            low = max(fall(s.label.string, style.LETTER_SIZE) for s in shown)
            high = max(rise(s.label.string, style.LETTER_SIZE) for s in shown)
            base = y + tip + low if way > 0 else y - tip - high
            text = _level_text(stop, (place, base))
            reach = low + high
        items.append(text)
        deep = max(deep, tip + reach)
    items.append(_ring((zero.at, y), zero.source))
    if len(values) > MOST_VALUES:
        table = tuple((i + 1, v.label.string) for i, v in enumerate(values) if not v.label.bold)
        return Row(tuple(items), deep, table)
    return Row(tuple(items), deep)


def running_column(zero: Value, values: Sequence[Value], x: float, way: int, measure: TypeMeasure) -> Row:
    """An upright row with its line at x, from the lower end up; `way` 1 if values stand to its right, -1 left."""
    stops = [zero, *values]
    items: list[Item] = []
    items.append(line((x, zero.at + RING), (x, stops[-1].at), style.DIMENSION, Role.DIMENSION, zero.source))
    items += _arrows(stops, lambda at: (x, at), (0.0, 1.0))
    places = spread([s.at for s in stops], TURNED_STEP)
    jogged = any(abs(p - s.at) > 0.05 for p, s in zip(places, stops, strict=True))
    tip = OVERRUN + (JOG if jogged else 0.0) + _CLEAR
    for stop, place in zip(stops, places, strict=True):
        start = stop.edge + (GAP if x >= stop.edge else -GAP)
        items.append(line((start, stop.at), (x + way * OVERRUN, stop.at), style.DIMENSION, Role.EXTENSION, stop.source))
        if jogged:
            bent = (x + way * (OVERRUN + JOG), place)
            items.append(line((x + way * OVERRUN, stop.at), bent, style.DIMENSION, Role.EXTENSION, stop.source))
        anchor = Anchor.START if way > 0 else Anchor.END
        at = (x + way * tip, place - figure_height(style.LETTER_SIZE) / 2)
        items.append(Text(at, stop.label.string, stop.label.face, style.LETTER_SIZE, anchor=anchor, source=stop.source))
    items.append(_ring((x, zero.at), zero.source))
    return Row(tuple(items), tip + max(s.label.width(measure) for s in stops))


def _arrows(stops: Sequence[Value], place: _Place, way: Point) -> list[Item]:
    """An arrowhead at each value; a dot where two values are closer than an arrowhead is long."""
    items: list[Item] = []
    for before, stop in itertools.pairwise(stops):
        if stop.at - before.at >= ARROW[0]:
            items.append(arrowhead(place(stop.at), way, ARROW, stop.source))
        else:
            items.append(Circle(place(stop.at), 0.45, None, style.INK, Role.DIMENSION, stop.source))
    return items


def _ring(at: Point, source: str) -> Circle:
    return Circle(at, RING, style.DIMENSION, style.TINT_0, Role.DIMENSION, source)


def stand_level(stops: Sequence[Value], measure: TypeMeasure) -> bool:
    """True if the values of a row, the zero included, can stand side by side."""
    for a, b in itertools.pairwise(stops):
        apart = b.at - a.at
        room = (a.label.width(measure) + b.label.width(measure)) / 2 + LEVEL_ROOM
        if apart < room:
            return False
    return True


def _numbers(values: Sequence[Value]) -> list[Value]:
    """Numbers in place of values: the first, every fifth, and the overall size as it is."""
    shown = []
    for i, value in enumerate(values):
        if value.label.bold:
            shown.append(value)
        elif i == 0 or (i + 1) % 5 == 0:
            shown.append(Value(value.at, value.edge, Label(f"No.\u00a0{i + 1}"), value.source))
    return shown


def _level_extension(stop: Value, place: float, y: float, way: int, jog: float) -> list[Item]:
    start = stop.edge + (GAP if y >= stop.edge else -GAP)
    end = (stop.at, y + way * OVERRUN)
    items: list[Item] = [line((stop.at, start), end, style.DIMENSION, Role.EXTENSION, stop.source)]
    if jog:
        bent = (place, y + way * (OVERRUN + jog))
        items.append(line(end, bent, style.DIMENSION, Role.EXTENSION, stop.source))
    return items


def _level_text(stop: Value, at: Point) -> Text:
    return Text(at, stop.label.string, stop.label.face, style.LETTER_SIZE, anchor=Anchor.MIDDLE, source=stop.source)


def _turned_text(stop: Value, place: float, y: float, way: int) -> Text:
    low, high = fall(stop.label.string, style.LETTER_SIZE), rise(stop.label.string, style.LETTER_SIZE)
    if not has_fraction(stop.label.string):
        low, high = 0.0, figure_height(style.LETTER_SIZE)
    base = place + (high - low) / 2
    anchor = Anchor.START if way > 0 else Anchor.END
    return Text(
        (base, y),
        stop.label.string,
        stop.label.face,
        style.LETTER_SIZE,
        anchor=anchor,
        angle=90.0,
        source=stop.source,
    )


def positions_table(
    numbered: Sequence[tuple[int, str]], measure: TypeMeasure, width: float = 180.0
) -> tuple[Item, ...]:
    """The values of a numbered row in columns read downwards; the upper left corner at (0, 0)."""
    column, leading = 30.0, 5.4
    columns = max(1, min(int(width / column), -(-len(numbered) // 4)))
    rows = -(-len(numbered) // columns)
    items: list[Item] = []
    for i, (number, value) in enumerate(numbered):
        x, y = (i // rows) * column, -leading * (i % rows + 1)
        name = f"No.\u00a0{number}"
        items.append(Text((x, y), name, Face.REGULAR, style.CAPTION_SIZE, style.SECONDARY))
        items.append(Text((x + 13.0, y), value, Face.REGULAR, style.LETTER_SIZE))
    return tuple(items)
