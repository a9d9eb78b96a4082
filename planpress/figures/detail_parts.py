"""What details of joints are put together from: views side by side, rows of levels, words for their titles."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from attrs import evolve, frozen

from planpress.base.display import Face, Figure, Item, Path, Point, Segment, Text, TypeMeasure
from planpress.base.edition import Edition
from planpress.figures.dimensions import Label, Span, stack_uprights
from planpress.figures.extents import bounds, figure_height, fitted_figure, moved
from planpress.figures.part_bodies import PartBodies
from planpress.figures.part_paint import Window, painted
from planpress.figures.part_sides import SideView, side_view, to_y
from planpress.figures.running import Value, running_column
from planpress.figures.scales import scale_words
from planpress.figures.style import LETTER_SIZE
from planpress.model.records import Notch, Part, Side

FRAME = 98.0  # width of a detail, notes stand right of it
LEFT = 12.0  # from the frame to the wood: one upright dimension
SHOULDER = 16.0  # drawn beside a cut, on paper
TALLEST = 84.0
VIEW_GAP = 9.0
_TITLE_CLEAR = 2.0
_COLUMN = 9.0
_KEPT = 4.0


@frozen
class Placed:
    """A view and the window in which a stretch of it is drawn."""

    view: SideView
    window: Window

    @property
    def top(self) -> float:
        """Paper y of its upper border."""
        return self.window.y + self.view.height * self.window.scale

    @property
    def left(self) -> float:
        """Paper x of where it begins."""
        return self.window.at((self.window.start, 0.0))[0]

    @property
    def right(self) -> float:
        """Paper x of where it ends."""
        return self.window.at((self.window.end, 0.0))[0]

    def x(self, along: Fraction | float) -> float:
        """Paper x of a place along the view."""
        return self.window.at((float(along), 0.0))[0]

    def y(self, up: float) -> float:
        """Paper y of a height in the view."""
        return self.window.at((0.0, up))[1]

    def items(self, source: str) -> list[Item]:
        """The drawn view."""
        return painted(self.view, self.window, source)


def turned_end(bodies: PartBodies, end: Side) -> SideView:
    """An end lying on its side: x runs from the reference edge across the width, y through the thickness.

    The reference face is up for the far end of a part with a lower reference edge, and for the near end of one with an
    upper one; else it is down.
    """
    view = side_view(bodies, end)
    lower = bodies.part.reference_edge is Side.LOWER
    wide, high = view.length, view.height

    def turn(p: Point) -> Point:
        return (p[1], wide - p[0]) if lower else (high - p[1], p[0])

    def line(stretch: tuple[Point, Point]) -> tuple[Point, Point]:
        return turn(stretch[0]), turn(stretch[1])

    return SideView(
        side=end,
        height=wide,
        length=high,
        loops=tuple(tuple(turn(p) for p in loop) for loop in view.loops),
        edges=tuple(map(line, view.edges)),
        hidden=tuple(map(line, view.hidden)),
        wastes=tuple(evolve(w, polygon=tuple(turn(p) for p in w.polygon)) for w in view.wastes),
        holes=tuple(evolve(h, centre=turn(h.centre)) for h in view.holes),
        bores=tuple((line(s), d) for s, d in view.bores),
        near=((0.0, 0.0), (0.0, wide)),
        far=((high, 0.0), (high, wide)),
    )


def only(view: SideView, notches: Sequence[Notch]) -> SideView:
    """The view with the waste of these notches only."""
    return evolve(view, wastes=tuple(w for w in view.wastes if w.notch in notches))


def face_is_up(end: Side, part: Part) -> bool:
    """Whether `turned_end` shows the reference face up."""
    return end.is_far == (part.reference_edge is Side.LOWER)


def stretch_window(
    low: float, high: float, length: float, scale: float, x: float, y: float, room: float = SHOULDER
) -> Window:
    """A window from `low` to `high` (true mm along a view) and some wood beside them, between break lines."""
    start, end = low - room / scale, high + room / scale
    cut_near, cut_far = start > _KEPT / scale, end < length - _KEPT / scale
    return Window(x, y, scale, start if cut_near else 0.0, end if cut_far else length, cut_near, cut_far)


def levels_beside(
    levels: Sequence[Fraction],
    from_top: bool,
    placed: Placed,
    way: int,
    edition: Edition,
    measure: TypeMeasure,
    source: str,
) -> list[Item]:
    """Heights in a view, measured from its lower or upper border, as one upright row beside it.

    Args:
        levels: distances from that border, true mm, in rising order.
        way: 1 right of the view, -1 left of it.
    """
    scale = placed.window.scale
    edge = placed.right if way > 0 else placed.left
    zero = Value(0.0, edge, Label("0"), source)
    values = [Value(float(d) * scale, edge, Label(edition.length(d)), source) for d in levels if d > 0]
    items = list(running_column(zero, values, edge + way * _COLUMN, way, measure).items)
    if from_top:
        return [upside_down(item, placed.top) for item in items]
    return [lifted(item, placed.window.y) for item in items]


def lifted(item: Item, dy: float) -> Item:
    """An item moved up."""
    if isinstance(item, Path):
        return evolve(item, segments=tuple(_map(s, lambda x, y: (x, y + dy)) for s in item.segments))
    if isinstance(item, Text):
        return evolve(item, at=(item.at[0], item.at[1] + dy))
    return evolve(item, centre=(item.centre[0], item.centre[1] + dy))


def upside_down(item: Item, top: float) -> Item:
    """An item whose y counts downward from `top`; level text stays readable."""
    if isinstance(item, Path):
        return evolve(item, segments=tuple(_map(s, lambda x, y: (x, top - y)) for s in item.segments))
    if isinstance(item, Text):
        return evolve(item, at=(item.at[0], top - item.at[1] - figure_height(LETTER_SIZE)))
    return evolve(item, centre=(item.centre[0], top - item.centre[1]))


def _map(segment: Segment, place: object) -> Segment:
    assert callable(place)
    if segment[0] == "z":
        return segment
    if segment[0] == "c":
        _, x1, y1, x2, y2, x, y = segment
        return ("c", *place(x1, y1), *place(x2, y2), *place(x, y))
    return (segment[0], *place(segment[1], segment[2]))


def sizes_beside(
    placed: Placed,
    spans: Sequence[tuple[float, float, float, float, str]],
    measure: TypeMeasure,
    source: str,
    way: int = 1,
) -> list[Item]:
    """Upright sizes right (way 1) or left of a view: (low, high, where each begins along the view, text)."""
    made = [
        Span(placed.y(low), placed.y(high), placed.x(at_low), placed.x(at_high), Label(text), source)
        for low, high, at_low, at_high, text in spans
    ]
    return list(stack_uprights(made, placed.right if way > 0 else placed.left, way, measure))


def span_across(
    side: Side, part: Part, low: Fraction, high: Fraction, at: tuple[float, float], text: str
) -> tuple[float, float, float, float, str]:
    """A size across a side as `sizes_beside` takes it; `at`: where along the view it is seen at low and high."""
    y = to_y(side, part)
    a, b = (y(low), at[0]), (y(high), at[1])
    (y0, u0), (y1, u1) = sorted((a, b))
    return y0, y1, u0, u1, text


def finished(
    items: list[Item], title: str, words: str, scale: Fraction, measure: TypeMeasure, source: str, width: float = FRAME
) -> Figure:
    """The figure of a detail under its title."""
    full = f"{title}, {scale_words(scale)}"
    left, _, right, _ = bounds(items, measure)
    if left < 0:
        items = moved(items, min(-left, max(width - right, 0.0)), 0.0)
    top = bounds(items, measure)[3] + _TITLE_CLEAR
    items.append(Text((0.0, top), full, Face.SEMIBOLD, 10.5, source=source))
    return fitted_figure(items, measure, f"{full}: {words}", scale, width=width)
