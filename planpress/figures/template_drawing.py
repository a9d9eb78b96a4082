"""Drawing one tile of a template: outline, waste, running dimensions, marks, join lines and crosses at true size."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction

from attrs import frozen

from planpress.base.display import (
    Anchor,
    Circle,
    Face,
    Item,
    Path,
    Point,
    Role,
    Text,
    TypeMeasure,
    line,
    polyline,
    rectangle,
)
from planpress.base.edition import Edition
from planpress.base.printing import write_angle
from planpress.figures import marks, style
from planpress.figures.extents import Bounds, fall, figure_height, rise
from planpress.figures.part_groups import is_through
from planpress.figures.polygon_cuts import Segment2
from planpress.figures.template_column import draw_column
from planpress.figures.template_marks import (
    Body,
    PlacedMarks,
    break_across,
    break_along,
    place_marks,
    reference_end_mark,
)
from planpress.figures.template_outlines import Cutout, end_line, end_points
from planpress.figures.template_sheet import (
    CROSS,
    STRIP_WORDS,
    Arrangement,
    Sheet,
    chains,
    clipped,
)
from planpress.figures.tiles import Window
from planpress.geometry.polygons import Polygon, cut
from planpress.model.records import Hole, Side

CROSS_RING = 2.2
_CAPTION_LEADING = 4.25
_ANGLE_LINE = 10.0  # of the square line beyond the wood
_END_MARK_AT = 0.27  # share of the reference end, from the left
_OPEN = style.HIDDEN


@frozen
class Cross:
    """A register cross: its number, the model point it stands on (even outside the wood), and its place on paper."""

    number: int
    u: Fraction
    second: Fraction
    at: Point


def draw_tile(sheet: Sheet, edition: Edition, measure: TypeMeasure) -> tuple[tuple[Item, ...], tuple[Cross, ...]]:
    """The items of one tile and its register crosses."""
    items: list[Item] = []
    crosses: list[Cross] = []
    for window in sheet.windows:
        if window.joined_above:
            y = float(window.y(window.high))
            strip = rectangle(0.0, y, sheet.area.width, float(window.overlap))
            items.append(Path(strip, None, style.TINT_1, Role.TINT))
    for window in sheet.windows:
        items += _wood(sheet, window, edition, measure)
    items += draw_column(sheet, measure)
    for window in sheet.windows:
        for u, below in ((window.low, True), (window.high, False)):
            if window.joined_below if below else window.joined_above:
                joined, here = _join(sheet, window, u, below)
                items += joined
                crosses += here
    lettered, grained = False, False
    for window in sheet.windows:
        placed = _marks(sheet, window, with_grain=not grained)
        items += placed.items
        lettered, grained = lettered or placed.letter, grained or placed.grain
    if not lettered:
        x = sheet.across.left - 6.0 if sheet.across.way > 0 else sheet.across.right + 6.0
        first = sheet.windows[0]
        items += marks.balloon((x, float(first.y((first.low + first.high) / 2))), sheet.part.letter)
    return tuple(items), tuple(crosses)


# --- the wood -----------------------------------------------------------------------------------------------


def _wood(sheet: Sheet, window: Window, edition: Edition, measure: TypeMeasure) -> Iterator[Item]:
    """Waste, open sides, outline, ends, holes and break lines of one window."""
    across, letter = sheet.across, sheet.part.letter
    outline, zone = across.outline, across.zone
    place = _placer(sheet, window)
    for cutout in outline.cutouts:
        area = _within(cutout.area, window, across)
        if area:
            yield Path(polyline(map(place, area), closed=True), None, style.TEMPLATE_WASTE, Role.HATCH, letter)
    for cutout in outline.cutouts:
        yield from _lines(cutout.mouth, sheet, window, _open_line)
    yield from _lines(outline.border_lines, sheet, window, _cut_line)
    yield from _lines(outline.wall_lines(), sheet, window, _cut_line)
    yield from _lines(outline.removed, sheet, window, _open_line)
    yield from _lines(outline.shaped, sheet, window, _cut_line)
    for hole in outline.holes:
        if zone.low <= hole.at[1] <= zone.high and window.low <= hole.at[0] <= window.top:
            yield from _hole(hole, place((hole.at[0], hole.at[1])), letter)
    for side, u in ((Side.NEAR_END, window.low), (Side.FAR_END, window.high)):
        at_end = u == 0 if side is Side.NEAR_END else u == outline.length
        if at_end:
            yield from _end(sheet, window, side)
    low, high = float(window.base), float(window.y(window.top))
    if window.broken_below:
        yield from break_across(across.left, across.right, low, letter)
    if window.broken_above:
        yield from break_across(across.left, across.right, high, letter)
    for level in (zone.low, zone.high):
        if 0 < level < outline.view.across:
            yield break_along(across.x(level), low, high, letter)
    for cutout in outline.cutouts:
        if cutout.kind == "band" and not is_through(cutout.notch, sheet.part):
            yield from _depth_words(cutout, sheet, window, edition, measure)


def _placer(sheet: Sheet, window: Window) -> Callable[[tuple[Fraction, Fraction]], Point]:
    """Model point to paper, in one window."""
    return lambda p: (sheet.across.x(p[1]), float(window.y(p[0])))


def _within(area: Polygon, window: Window, across: Arrangement) -> Polygon:
    """A convex area clipped to what a window shows."""
    us, seconds = [p[0] for p in area], [p[1] for p in area]
    if max(us) <= window.low or min(us) >= window.top:
        return ()
    zone = across.zone
    if min(us) >= window.low and max(us) <= window.top and min(seconds) >= zone.low and max(seconds) <= zone.high:
        return area
    zero, one = Fraction(0), Fraction(1)
    for normal, offset in (
        ((-one, zero), -window.low),
        ((one, zero), window.top),
        ((zero, -one), -across.zone.low),
        ((zero, one), across.zone.high),
    ):
        area = cut(area, normal, offset)
    return area if len(area) >= 3 else ()


def _lines(
    lines: Sequence[Segment2], sheet: Sheet, window: Window, draw: Callable[[Sequence[Point], str], Path]
) -> Iterator[Item]:
    """Lines clipped to a window, joined to chains where they meet."""
    zone = sheet.across.zone
    box = ((window.low, zone.low), (window.top, zone.high))
    shown = [part for part in (clipped(one, *box) for one in lines) if part is not None]
    place = _placer(sheet, window)
    for chain in chains(shown):
        yield draw([place(p) for p in chain], sheet.part.letter)


def _cut_line(points: Sequence[Point], letter: str) -> Path:
    closed = points[0] == points[-1]
    return Path(polyline(points[:-1] if closed else points, closed), style.TEMPLATE_OUTLINE, None, Role.CUT, letter)


def _open_line(points: Sequence[Point], letter: str) -> Path:
    return Path(polyline(points), _OPEN, None, Role.HIDDEN, letter)


def _hole(hole: Hole, at: Point, letter: str) -> Iterator[Item]:
    """The rim at true size, that of its sink, and centre lines to set the drill by."""
    (x, y), radius = at, float(max(hole.diameter, hole.sink_diameter)) / 2
    yield Circle(at, float(hole.diameter) / 2, style.TEMPLATE_OUTLINE, None, Role.CUT, letter)
    if hole.sink_diameter > hole.diameter:
        yield Circle(at, float(hole.sink_diameter) / 2, style.THIN, None, Role.CUT, letter)
    reach = radius + 2.0
    yield line((x - reach, y), (x + reach, y), style.THIN, Role.CENTRE, letter)
    yield line((x, y - reach), (x, y + reach), style.THIN, Role.CENTRE, letter)


def _end(sheet: Sheet, window: Window, side: Side) -> Iterator[Item]:
    """The mark of the reference end; at an end that is not square a square line and the angle between them."""
    across, letter = sheet.across, sheet.part.letter
    outline = across.outline
    end = end_line(outline, side)
    if side is Side.NEAR_END:
        shown = clipped(end_points(outline.outline, end), (window.low, across.zone.low), (window.top, across.zone.high))
        a, b = sorted(map(_placer(sheet, window), shown or end))
        tip = (a[0] + (b[0] - a[0]) * _END_MARK_AT, a[1] + (b[1] - a[1]) * _END_MARK_AT)
        yield from reference_end_mark(tip, letter)
        words = (tip[0] + 3.0, min(tip[1], float(window.base)) - 3.6)
        yield Text(words, "reference end", size=style.CAPTION_SIZE, colour=style.SECONDARY, source=letter)
    low, high = outline.end_reach(side)
    if low == high:
        return
    y = float(window.y(high if side is Side.NEAR_END else low))
    outside = across.left if across.way > 0 else across.right
    far = outside - across.way * _ANGLE_LINE
    yield line((across.column_edge, y), (far, y), style.CENTRE, Role.CENTRE, letter)
    lean = math.degrees(math.atan2(float(high - low), float(abs(end[0][1] - end[1][1]))))
    anchor = Anchor.END if across.way > 0 else Anchor.START
    at = (outside - across.way * 1.5, y + 1.2)
    yield Text(at, write_angle(Fraction(round(lean * 10**6), 10**6)), anchor=anchor, source=letter)


def _depth_words(
    cutout: Cutout, sheet: Sheet, window: Window, edition: Edition, measure: TypeMeasure
) -> Iterator[Item]:
    """How deep a notch is that opens on this side, on a white plate in its waste."""
    spot = _plate(cutout, sheet, window, edition, measure)
    if spot is None:
        return
    left, low, right, high = spot
    words = f"{edition.joint(cutout.notch.depth)} deep"
    yield Path(rectangle(left, low, right - left, high - low), None, style.TINT_0, Role.TINT, sheet.part.letter)
    base = (low + high) / 2 - figure_height(style.LETTER_SIZE) / 2
    yield Text(((left + right) / 2, base), words, anchor=Anchor.MIDDLE, source=sheet.part.letter)


def _plate(cutout: Cutout, sheet: Sheet, window: Window, edition: Edition, measure: TypeMeasure) -> Bounds | None:
    """The box of the depth's words, None if the notch is too small for it or not in this window."""
    area = _within(cutout.area, window, sheet.across)
    if not area or cutout.span[0] < window.low or cutout.span[0] >= window.high:
        return None
    words = f"{edition.joint(cutout.notch.depth)} deep"
    points = [_placer(sheet, window)(p) for p in area]
    x = sum(p[0] for p in points) / len(points)
    y = sum(p[1] for p in points) / len(points)
    half = measure.width(words, Face.REGULAR, style.LETTER_SIZE) / 2 + 1.0
    tall = (rise(words, style.LETTER_SIZE) + fall(words, style.LETTER_SIZE)) / 2 + 1.0
    room = min(p[0] for p in points) + 0.5 <= x - half and x + half <= max(p[0] for p in points) - 0.5
    near, far = cutout.crossing(sheet.across.second(x))
    return (x - half, y - tall, x + half, y + tall) if room and float(far - near) >= 2 * tall + 0.6 else None


# --- joins and marks ----------------------------------------------------------------------------------------


def _join(sheet: Sheet, window: Window, u: Fraction, below: bool) -> tuple[list[Item], list[Cross]]:
    """A join line with its two crosses: the same numbers at the same model points on both tiles."""
    across, y = sheet.across, float(window.y(u))
    items: list[Item] = [line((0.0, y), (sheet.area.width, y), style.JOIN_LINE, Role.RULE)]
    first = 2 * sheet.seams.index(u) + 1
    crosses = []
    for number, x in enumerate(across.crosses, start=first):
        crosses.append(Cross(number, u, across.second(x), (x, y)))
        items += [
            Circle((x, y), CROSS_RING, style.THIN, None, Role.MARK),
            line((x - CROSS, y), (x + CROSS, y), style.THIN, Role.MARK),
            line((x, y - CROSS), (x, y + CROSS), style.THIN, Role.MARK),
            Text((x + 2.4, y + 2.4), str(number), size=style.CAPTION_SIZE, colour=style.SECONDARY),
        ]
    words = across.words
    if words is not None:
        items += _join_words(sheet, words, y, below)
    return items, crosses


def _join_words(sheet: Sheet, x: float, y: float, below: bool) -> list[Item]:
    size = style.CAPTION_SIZE
    if below:
        above = y + 2.2 + _CAPTION_LEADING
        return [Text((x, above), "Join line:", Face.SEMIBOLD, size), Text((x, y + 2.2), "trim on it", size=size)]
    return [
        Text((x, y + 2.6 + _CAPTION_LEADING), STRIP_WORDS[0], size=size),
        Text((x, y + 2.6), STRIP_WORDS[1].format(sheet.index + 1), size=size),
        Text((x, y - 4.2), "Join line", Face.SEMIBOLD, size),
    ]


def _marks(sheet: Sheet, window: Window, with_grain: bool) -> PlacedMarks:
    """Letter, reference edge and face, grain, where the wood of a window has room for them."""
    across, part = sheet.across, sheet.part
    outline, view, zone = across.outline, across.outline.view, across.zone
    reference = None
    if part.reference_edge in view.borders and zone.low <= view.level(part.reference_edge) <= zone.high:
        reference = across.x(view.level(part.reference_edge))
    left, right = _body(sheet, window)
    low, high = float(window.base), float(window.y(window.high))
    if window.low == 0:
        low = float(window.y(outline.end_reach(Side.NEAR_END)[1]))
    if window.high == outline.length:
        high = float(window.y(outline.end_reach(Side.FAR_END)[0]))
    body = Body(left, right, low, high, tuple(_taken(sheet, window)))
    return place_marks(body, part.letter, reference, view.side is Side.FACE, with_grain, part.letter)


def _body(sheet: Sheet, window: Window) -> tuple[float, float]:
    """Left and right of the wood that no notch in profile takes, in one window."""
    across = sheet.across
    low, high = across.zone.low, across.zone.high
    for cutout in across.outline.cutouts:
        if cutout.border is not None and cutout.span[0] < window.top and cutout.span[1] > window.low:
            seconds = [p[1] for p in cutout.area]
            if cutout.border.is_far:
                high = min(high, min(seconds))
            else:
                low = max(low, max(seconds))
    left, right = sorted((across.x(low), across.x(high)))
    return left, right


def _taken(sheet: Sheet, window: Window) -> Iterator[Bounds]:
    """Boxes of notches, holes, and extension lines across the wood."""
    across = sheet.across
    place = _placer(sheet, window)
    for cutout in across.outline.cutouts:
        area = _within(cutout.area, window, across)
        if area:
            points = [place(p) for p in area]
            xs, ys = [p[0] for p in points], [p[1] for p in points]
            yield min(xs), min(ys), max(xs), max(ys)
    for run in across.outline.shaped_runs:
        points = [place(p) for one in run for p in one if window.low <= p[0] <= window.top]
        if points:
            xs, ys = [p[0] for p in points], [p[1] for p in points]
            yield min(xs), min(ys), max(xs), max(ys)
    for hole in across.outline.holes:
        (x, y), reach = place(hole.at), float(max(hole.diameter, hole.sink_diameter)) / 2 + 2.0
        yield x - reach, y - reach, x + reach, y + reach
    for reading in across.readings:
        if window.low < reading.u < window.high:
            start, edge = sorted((across.x(reading.second), across.column_edge))
            if edge - start > 0.1:
                y = float(window.y(reading.u))
                yield start, y - 0.2, edge, y + 0.2
