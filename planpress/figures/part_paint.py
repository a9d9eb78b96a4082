"""A side of a part as items: tint, hatched waste, outline, holes; all of it or a stretch between break lines."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence

from attrs import frozen

from planpress.base.display import Circle, Hatch, Item, Path, Pen, Point, Role, Segment, line, polyline
from planpress.figures import style
from planpress.figures.marks import break_curve, break_line
from planpress.figures.part_bodies import Stretch
from planpress.figures.part_sides import SideView

_NEAR = 1e-6
SMALLEST_CIRCLE = 1.2  # holes below this on paper are a cross only
BREAK_GAP = 3.0  # between the two break lines of a shortened part
_CROSS = 1.3  # reach of a hole's centre lines beyond its circle


@frozen
class Window:
    """Where and how large a stretch of a side is drawn.

    Attributes:
        x, y: paper place of (start, 0). scale: paper / true. start, end: the stretch, u in mm.
        cut_near, cut_far: True if the part goes on there, behind a break line.
    """

    x: float
    y: float
    scale: float
    start: float
    end: float
    cut_near: bool = False
    cut_far: bool = False

    def at(self, point: Point) -> Point:
        """Paper place of a point (u, y) of the side."""
        return (self.x + (point[0] - self.start) * self.scale, self.y + point[1] * self.scale)

    def shows(self, u: float) -> bool:
        """True if u lies in the stretch."""
        return self.start - _NEAR <= u <= self.end + _NEAR


@frozen
class Shortened:
    """All of a side, as one window or, of a long slim part, as several with wood left out between break lines.

    Attributes:
        windows: from the reference end on; each begins a gap behind the one before.
    """

    windows: tuple[Window, ...]

    @property
    def x(self) -> float:
        """Paper x of the reference end."""
        return self.windows[0].x

    @property
    def scale(self) -> float:
        """Paper / true."""
        return self.windows[0].scale

    @property
    def right(self) -> float:
        """Paper x of the far end."""
        last = self.windows[-1]
        return last.at((last.end, 0.0))[0]

    @property
    def length(self) -> float:
        """On paper."""
        return self.right - self.x

    def at(self, point: Point) -> Point:
        """Paper place of a point (u, y) of the side, in the last window that starts before it."""
        for window in reversed(self.windows):
            if point[0] >= window.start - _NEAR:
                return window.at(point)
        return self.windows[0].at(point)


def whole(view: SideView, x: float, y: float, scale: float, left_out: Sequence[tuple[float, float]] = ()) -> Shortened:
    """All of a side but the stretches of u (mm) `left_out`, in order."""
    windows = []
    start = 0.0
    for i, (low, high) in enumerate([*left_out, (view.length, view.length)]):
        windows.append(Window(x, y, scale, start, low, i > 0, i < len(left_out)))
        x += (low - start) * scale + BREAK_GAP
        start = high
    return Shortened(tuple(windows))


def painted(view: SideView, window: Window, source: str) -> list[Item]:
    """The items of a side in drawing order: tint, waste, hidden and visible lines, holes, outline, break lines."""
    items: list[Item] = [Path(_body(view, window), None, style.TINT_1, Role.TINT, source)]
    strong = _outline_pen(view, window)
    for waste in view.wastes:
        polygon = clipped(waste.polygon, window.start, window.end)
        if len(polygon) >= 3:
            places = [window.at(p) for p in polygon]
            items.append(Path(polyline(places, closed=True), None, hatch_for(places), Role.HATCH, source))
    items += _lines(view.hidden, window, style.HIDDEN, Role.HIDDEN, source)
    items += _lines(view.edges, window, style.EDGE, Role.EDGE, source)
    items += _holes(view, window, source)
    for loop in view.loops:
        border = [(loop[i], loop[(i + 1) % len(loop)]) for i in range(len(loop))]
        items += _chained(border, window, strong, source)
    top = window.y + view.height * window.scale
    for cut, u in ((window.cut_near, window.start), (window.cut_far, window.end)):
        if cut:
            items.append(break_line(window.at((u, 0.0))[0], window.y, top, source))
    return items


def hatch_for(places: Sequence[Point]) -> Hatch:
    """A hatch whose step suits the size of the area."""
    xs, ys = [p[0] for p in places], [p[1] for p in places]
    least = min(max(xs) - min(xs), max(ys) - min(ys))
    step = 1.1 if least < 6 else 1.6 if least < 14 else 2.2
    return Hatch(step, style.WASTE.angle, style.WASTE.pen)


def clipped(polygon: Sequence[Point], start: float, end: float) -> list[Point]:
    """The part of a polygon with start <= x <= end (Sutherland and Hodgman's way)."""
    points = list(polygon)
    for limit, sign in ((start, 1.0), (end, -1.0)):
        out: list[Point] = []
        for i in range(len(points)):
            p, q = points[i - 1], points[i]
            a, b = (p[0] - limit) * sign, (q[0] - limit) * sign
            if (a < -_NEAR < b) or (b < -_NEAR < a):
                t = a / (a - b)
                out.append((limit, p[1] + (q[1] - p[1]) * t))
            if b >= -_NEAR:
                out.append(q)
        points = out
    return points


def _body(view: SideView, window: Window) -> tuple[Segment, ...]:
    return tuple(segment for loop in view.loops for segment in _bounded(loop, view, window))


def _bounded(loop: Sequence[Point], view: SideView, window: Window) -> tuple[Segment, ...]:
    """A closed outline clipped to a window, break lines for its sides where the part goes on."""
    points = [window.at(p) for p in clipped(loop, window.start, window.end)]
    if len(points) < 3:
        return ()
    left, right = window.at((window.start, 0.0))[0], window.at((window.end, 0.0))[0]
    low, high = window.y, window.y + view.height * window.scale
    if not (window.cut_near or window.cut_far):
        return tuple(polyline(points, closed=True))
    out: list[Segment] = [("m", *points[0])]
    for before, point in itertools.pairwise([*points, points[0]]):
        for cut, x in ((window.cut_near, left), (window.cut_far, right)):
            whole_side = abs(abs(point[1] - before[1]) - (high - low)) < 1e-3
            if cut and whole_side and max(abs(point[0] - x), abs(before[0] - x)) < 1e-3:
                curve = break_curve(x, low, high)
                out += curve[1:] if point[1] > before[1] else reversed_curve(curve)
                break
        else:
            out.append(("l", *point))
    return (*out, ("z",))


def reversed_curve(segments: Sequence[Segment]) -> tuple[Segment, ...]:
    """The curves of a path that starts with a move, backwards, without the move."""
    places: list[Point] = []
    controls: list[tuple[Point, Point]] = []
    for segment in segments:
        if segment[0] == "m":
            places.append((segment[1], segment[2]))
        elif segment[0] == "c":
            controls.append(((segment[1], segment[2]), (segment[3], segment[4])))
            places.append((segment[5], segment[6]))
    out: list[Segment] = []
    for i in range(len(controls) - 1, -1, -1):
        first, second = controls[i]
        out.append(("c", *second, *first, *places[i]))
    return tuple(out)


def _outline_pen(view: SideView, window: Window) -> Pen:
    return style.OUTLINE if view.height * window.scale >= 2 * style.CLOSE else style.OUTLINE_CLOSE


def cut_to(stretch: Stretch, start: float, end: float) -> Stretch | None:
    """The piece of a line with start <= x <= end, or None."""
    (x0, y0), (x1, y1) = stretch
    low, high = 0.0, 1.0
    for limit, sign in ((start, 1.0), (end, -1.0)):
        a, b = (x0 - limit) * sign, (x1 - limit) * sign
        if a < -_NEAR and b < -_NEAR:
            return None
        if a < -_NEAR:
            low = max(low, a / (a - b))
        elif b < -_NEAR:
            high = min(high, a / (a - b))
    if high - low < _NEAR:
        return None

    def at(t: float) -> Point:
        return (x0 + (x1 - x0) * t, y0 + (y1 - y0) * t)

    return at(low), at(high)


def _lines(stretches: Iterable[Stretch], window: Window, pen: Pen, role: Role, source: str) -> Iterable[Item]:
    yield from _chained(tuple(stretches), window, pen, source, role)


def _chained(
    border: Sequence[Stretch], window: Window, pen: Pen, source: str, role: Role = Role.OUTLINE
) -> Iterable[Item]:
    """Lines joined to as few paths as can be, so that corners are joined round."""
    chains: list[list[Point]] = []
    for stretch in border:
        if math.dist(*stretch) < _NEAR:
            continue
        piece = cut_to(stretch, window.start, window.end)
        if piece is None:
            continue
        if chains and math.dist(chains[-1][-1], piece[0]) < _NEAR:
            chains[-1].append(piece[1])
        else:
            chains.append(list(piece))
    if len(chains) > 1 and math.dist(chains[-1][-1], chains[0][0]) < _NEAR:
        chains[0] = chains.pop() + chains[0][1:]
    for chain in chains:
        closed = len(chain) > 2 and math.dist(chain[0], chain[-1]) < _NEAR
        places = [window.at(p) for p in (chain[:-1] if closed else chain)]
        yield Path(polyline(places, closed=closed), pen, None, role, source)


def _holes(view: SideView, window: Window, source: str) -> Iterable[Item]:
    for seen in view.holes:
        if not window.shows(seen.centre[0]):
            continue
        x, y = window.at(seen.centre)
        wide = max(float(seen.hole.diameter), 0.0 if seen.hidden else float(seen.hole.sink_diameter))
        reach = max(wide * window.scale / 2, 0.3) + _CROSS
        for size in (float(seen.hole.sink_diameter), float(seen.hole.diameter)):
            if size * window.scale >= SMALLEST_CIRCLE:
                pen = style.HIDDEN if seen.hidden else style.EDGE
                role = Role.HIDDEN if seen.hidden else Role.EDGE
                yield Circle((x, y), size * window.scale / 2, pen, None, role, source)
        yield line((x - reach, y), (x + reach, y), style.THIN, Role.CENTRE, source)
        yield line((x, y - reach), (x, y + reach), style.THIN, Role.CENTRE, source)
    for (a, b), diameter in view.bores:
        if not (window.shows(a[0]) and window.shows(b[0])):
            continue
        p, q = window.at(a), window.at(b)
        length = math.dist(p, q)
        if length < _NEAR:
            continue
        ux, uy = (q[0] - p[0]) / length, (q[1] - p[1]) / length
        if diameter * window.scale >= SMALLEST_CIRCLE:
            half = diameter * window.scale / 2
            for sign in (-1, 1):
                dx, dy = -uy * half * sign, ux * half * sign
                yield line((p[0] + dx, p[1] + dy), (q[0] + dx, q[1] + dy), style.HIDDEN, Role.HIDDEN, source)
        yield line(
            (p[0] - ux * _CROSS, p[1] - uy * _CROSS),
            (q[0] + ux * _CROSS, q[1] + uy * _CROSS),
            style.CENTRE,
            Role.CENTRE,
            source,
        )
