"""Dimension lines: level, upright, stacked outward from an outline.

Drawn as ISO 129-1:2018 has it (from memory): slim filled arrowheads, a gap before and an overrun after the extension
line, the value above its line and readable from the bottom or the right. Values come as finished text: whoever asks
for a dimension writes it with `Edition.length` or `Edition.joint`. Millimetres on paper, y up.
"""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from planpress.base.display import Anchor, Face, Item, Path, Point, Role, Text, TypeMeasure, line, polyline
from planpress.figures import style
from planpress.figures.extents import fall, figure_height, rise

FIRST = 9.0  # from the outline to the first dimension line
STEP = 8.5  # to the next one
GAP = 1.2  # between outline and extension line
OVERRUN = 1.5  # of the extension line beyond the dimension line
CLEAR = 1.6  # between a dimension line and its text
ARROW = (2.6, 0.85)
NARROW = 6.5  # below this the arrows come from outside
TAIL = 5.0
_BESIDE = OVERRUN + 0.8  # between an upright dimension line and a level value beside it
_TURNED = 6.5  # room that a turned value needs left of its line
_ROOM = 2.0  # between text along a line and the ends of that line


@frozen
class Label:
    """The text of a dimension; overall sizes are bold."""

    string: str
    bold: bool = False

    @property
    def face(self) -> Face:
        """The face of type."""
        return Face.SEMIBOLD if self.bold else Face.REGULAR

    def width(self, measure: TypeMeasure) -> float:
        """Width in mm on paper."""
        return measure.width(self.string, self.face, style.LETTER_SIZE)


@frozen
class Span:
    """A size to dimension, along x or y: from `low` to `high` on paper.

    Attributes:
        low_edge, high_edge: where, across, the outline is at each end: the extension lines start there (None: no
            extension line, the dimension line ends on an outline).
        source: id of the part or piece.
    """

    low: float
    high: float
    low_edge: float | None
    high_edge: float | None
    label: Label
    source: str = ""

    @property
    def length(self) -> float:
        """On paper."""
        return self.high - self.low


def arrowhead(tip: Point, direction: Point, size: tuple[float, float] = ARROW, source: str = "") -> Path:
    """A filled arrowhead with its point at `tip`, pointing along the unit vector `direction`."""
    (x, y), (dx, dy), (length, width) = tip, direction, size
    bx, by, half = x - dx * length, y - dy * length, width / 2
    points = (tip, (bx - dy * half, by + dx * half), (bx + dy * half, by - dx * half))
    return Path(polyline(points, closed=True), None, style.INK, Role.DIMENSION, source)


def extension(edge: float, line_at: float, along: float, upright: bool, source: str = "") -> Path:
    """An extension line from an outline across to a dimension line.

    Args:
        edge, line_at: where the outline and the dimension line are, across. along: where the extension line is.
        upright: the extension line is upright (for level dimensions).
    """
    way = 1.0 if line_at >= edge else -1.0
    start, end = edge + way * GAP, line_at + way * OVERRUN
    if upright:
        return line((along, start), (along, end), style.DIMENSION, Role.EXTENSION, source)
    return line((start, along), (end, along), style.DIMENSION, Role.EXTENSION, source)


def level(span: Span, y: float, measure: TypeMeasure) -> tuple[Item, ...]:
    """A level dimension with its line at height y; the value above it, or to the right where it is too narrow."""
    source = span.source
    items: list[Item] = [
        extension(edge, y, x, True, source)
        for x, edge in ((span.low, span.low_edge), (span.high, span.high_edge))
        if edge is not None
    ]
    width = span.label.width(measure)
    hangs = any(edge is not None and edge > y for edge in (span.low_edge, span.high_edge))
    narrow = span.length < NARROW or (hangs and width + _ROOM > span.length)
    items += _line_with_arrows((span.low, y), (span.high, y), (1.0, 0.0), narrow, source)
    if narrow:
        at = (span.high + TAIL + CLEAR, y - figure_height(style.LETTER_SIZE) / 2)
        items.append(_text(span.label, at, Anchor.START, 0.0, source))
    else:
        lift = CLEAR + fall(span.label.string, style.LETTER_SIZE)
        items.append(_text(span.label, ((span.low + span.high) / 2, y + lift), Anchor.MIDDLE, 0.0, source))
    return tuple(items)


def upright(span: Span, x: float, measure: TypeMeasure, avoid: Sequence[float] = ()) -> tuple[Item, ...]:
    """An upright dimension with its line at x; the value turned, left of the line, or level where it is too short.

    `avoid`: heights of extension lines that pass; a level value beside the line gives way to them, to its end.
    """
    source = span.source
    items: list[Item] = [
        extension(edge, x, y, False, source)
        for y, edge in ((span.low, span.low_edge), (span.high, span.high_edge))
        if edge is not None
    ]
    narrow = span.length < NARROW
    items += _line_with_arrows((x, span.low), (x, span.high), (0.0, 1.0), narrow, source)
    middle = (span.low + span.high) / 2
    text = span.label.string
    if _reads_upright(span, measure):
        lift = CLEAR + fall(text, style.LETTER_SIZE)
        items.append(_text(span.label, (x - lift, middle), Anchor.MIDDLE, 90.0, source))
    elif any(abs(y - middle) < figure_height(style.LETTER_SIZE) for y in avoid):
        beyond = (TAIL if narrow else 0.0) + OVERRUN
        above = span.high + beyond + fall(text, style.LETTER_SIZE)
        below = span.low - beyond - rise(text, style.LETTER_SIZE)
        tall = (-fall(text, style.LETTER_SIZE) - 0.5, rise(text, style.LETTER_SIZE) + 0.5)
        is_met = any(above + tall[0] < y < above + tall[1] for y in avoid)
        is_free = not any(below + tall[0] < y < below + tall[1] for y in avoid)
        at = (x, below if is_met and is_free else above)
        items.append(_text(span.label, at, Anchor.MIDDLE, 0.0, source))
    elif _is_left_of_outline(span, x):
        at = (x - _BESIDE, middle - figure_height(style.LETTER_SIZE) / 2)
        items.append(_text(span.label, at, Anchor.END, 0.0, source))
    else:
        at = (x + _BESIDE, middle - figure_height(style.LETTER_SIZE) / 2)
        items.append(_text(span.label, at, Anchor.START, 0.0, source))
    return tuple(items)


def _reads_upright(span: Span, measure: TypeMeasure) -> bool:
    """True if the value of an upright dimension is turned and stands left of its line."""
    return span.length >= NARROW and span.label.width(measure) + _ROOM <= span.length


def _is_left_of_outline(span: Span, x: float) -> bool:
    return any(edge is not None and edge > x for edge in (span.low_edge, span.high_edge))


def _line_with_arrows(a: Point, b: Point, way: Point, narrow: bool, source: str) -> list[Item]:
    back = (-way[0], -way[1])
    if not narrow:
        return [
            line(a, b, style.DIMENSION, Role.DIMENSION, source),
            arrowhead(a, back, source=source),
            arrowhead(b, way, source=source),
        ]
    start = (a[0] - way[0] * TAIL, a[1] - way[1] * TAIL)
    end = (b[0] + way[0] * TAIL, b[1] + way[1] * TAIL)
    return [
        line(start, end, style.DIMENSION, Role.DIMENSION, source),
        arrowhead(a, way, source=source),
        arrowhead(b, back, source=source),
    ]


def _text(label: Label, at: Point, anchor: Anchor, angle: float, source: str) -> Text:
    return Text(at, label.string, label.face, style.LETTER_SIZE, anchor=anchor, angle=angle, source=source)


def levels(spans: Sequence[Span], room: float = 3.0) -> list[int]:
    """On which line each span goes, 0 nearest the outline: shortest first, no two on one line closer than `room`.

    A span goes beyond every span that it shares paper with and that is placed before it, so that no extension line
    crosses the dimension line of a shorter one.
    """
    order = sorted(range(len(spans)), key=lambda i: (round(spans[i].length, 6), i))
    placed: dict[int, int] = {}
    for i in order:
        a = spans[i]
        under = [
            number for j, number in placed.items() if a.low < spans[j].high + room and spans[j].low < a.high + room
        ]
        placed[i] = max(under, default=-1) + 1
    return [placed[i] for i in range(len(spans))]


def stack_levels(
    spans: Sequence[Span], outline: float, way: int, measure: TypeMeasure, first: float = FIRST
) -> tuple[Item, ...]:
    """Level dimensions stacked outward from an outline at height `outline`; `way` 1 upwards, -1 downwards."""
    items: list[Item] = []
    for span, number in zip(spans, levels(spans), strict=True):
        items += level(span, outline + way * (first + STEP * number), measure)
    return tuple(items)


def stack_uprights(
    spans: Sequence[Span], outline: float, way: int, measure: TypeMeasure, first: float = FIRST
) -> tuple[Item, ...]:
    """Upright dimensions stacked outward from an outline at x = `outline`; `way` 1 to the right, -1 to the left."""
    items: list[Item] = []
    offsets = upright_offsets(spans, measure, first)
    numbers = levels(spans)
    for span, number in zip(spans, numbers, strict=True):
        outer = [y for s, n in zip(spans, numbers, strict=True) if n > number for y in (s.low, s.high)]
        items += upright(span, outline + way * offsets[number], measure, outer)
    return tuple(items)


def upright_offsets(spans: Sequence[Span], measure: TypeMeasure, first: float = FIRST) -> list[float]:
    """How far from the outline the lines of each level stand, and last how far the outermost reaches, text included."""
    numbers = levels(spans)
    offsets = [first]
    for number in range(max(numbers, default=-1) + 1):
        beside = [
            _BESIDE + s.label.width(measure)
            for s, n in zip(spans, numbers, strict=True)
            if n == number and not _reads_upright(s, measure)
        ]
        offsets.append(offsets[-1] + max([STEP, *(b + _TURNED for b in beside)]))
        reach = offsets[-2] + max([OVERRUN, *beside])
    return [*offsets[:-1], reach] if spans else [0.0]
