"""Where the marks of a part stand on its template: letter, reference face and edge, grain.

The marks are drawn as on part drawings, length to the right, and turned a quarter so that the length runs upwards.
"""

from __future__ import annotations

from collections.abc import Sequence

from attrs import evolve, frozen

from planpress.base.display import Circle, Item, Path, Point, Segment
from planpress.figures import marks
from planpress.figures.extents import Bounds

_STEP = 1.0  # between places tried
_CLEAR = 1.2  # between a mark and the border of the wood
_MARK_ROOM = (9.0, 8.6)  # reference edge and face: along, across
_SHORTEST_GRAIN = 12.0


@frozen
class Body:
    """The wood of one window that marks may stand on, mm on the tile.

    Attributes:
        left, right: of the wood without notches in profile. low, high: of the wood shown.
        taken: boxes that marks stay clear of.
    """

    left: float
    right: float
    low: float
    high: float
    taken: tuple[Bounds, ...]

    @property
    def middle(self) -> float:
        """Half way across."""
        return (self.left + self.right) / 2


def quarter_turned(items: Sequence[Item]) -> list[Item]:
    """Paths and circles turned a quarter anticlockwise about the origin: what ran to the right runs upwards."""
    out: list[Item] = []
    for item in items:
        if isinstance(item, Path):
            out.append(evolve(item, segments=tuple(_turned(s) for s in item.segments)))
        elif isinstance(item, Circle):
            out.append(evolve(item, centre=(-item.centre[1], item.centre[0])))
        else:
            out.append(evolve(item, at=(-item.at[1], item.at[0]), angle=item.angle + 90.0))
    return out


def _turned(segment: Segment) -> Segment:
    if segment[0] == "z":
        return segment
    if segment[0] == "c":
        _, x1, y1, x2, y2, x, y = segment
        return ("c", -y1, x1, -y2, x2, -y, x)
    return (segment[0], -segment[2], segment[1])


def reference_end_mark(tip: Point, source: str) -> list[Item]:
    """The filled triangle below the reference end, its point on it."""
    x, y = tip
    return quarter_turned([marks.reference_end((y, -x), 1, source)])


def break_across(left: float, right: float, y: float, source: str) -> list[Item]:
    """The free-hand line across the wood where a stretch above or below is left out."""
    return quarter_turned([marks.break_line(y, -right, -left, source)])


def break_along(x: float, low: float, high: float, source: str) -> Path:
    """The free-hand line along the wood where the rest of its width is left out."""
    return evolve(marks.break_line(x, low, high, source))


@frozen
class PlacedMarks:
    """Marks in one window, and whether the letter and the grain are among them."""

    items: tuple[Item, ...]
    letter: bool
    grain: bool


def place_marks(
    body: Body, letter: str, reference_x: float | None, with_loop: bool, with_grain: bool, source: str
) -> PlacedMarks:
    """The marks of one window from the bottom up, as many as have room.

    Args:
        reference_x: where the reference edge is, None if it is not on this side.
        with_loop: the side is the reference face.
    """
    items: list[Item] = []
    taken = list(body.taken)
    size = 2 * marks.BALLOON_RADIUS + 0.4
    centre = _free(body, taken, (body.middle, size, size), body.low)
    if centre is not None:
        items += marks.balloon((body.middle, centre), letter, source=source)
        taken.append(_box(body.middle, centre, size, size))
    if reference_x is not None:
        items += _edge_and_face(body, taken, reference_x, with_loop, source)
    grain = _grain(body, taken, source) if with_grain else []
    return PlacedMarks((*items, *grain), centre is not None, bool(grain))


def _edge_and_face(body: Body, taken: list[Bounds], reference_x: float, with_loop: bool, source: str) -> list[Item]:
    """The V on the reference edge, and below it the loop if this is the reference face."""
    along, across = _MARK_ROOM if with_loop else (4.0, 4.0)
    share = min(1.0, max(marks.SMALLEST_MARK, (body.right - body.left - 1.0) / across))
    along, across = along * share, across * share
    is_left = abs(reference_x - body.left) < abs(reference_x - body.right)
    x = reference_x + (across / 2 if is_left else -across / 2)
    y = _free(body, taken, (x, across, along), body.low, at_border=True)
    if y is None:
        return []
    into = -1 if is_left else 1
    inset = 1.0 * share
    top, bottom = y + along / 2, y - along / 2
    drawn: list[Item] = [marks.edge_mark((top - 2.0 * share, -reference_x), into, share, source)]
    if with_loop:
        drawn.append(marks.face_loop((bottom + 0.3, -reference_x + into * inset), into, share, source))
    taken.append(_box(x, y, across, along))
    return quarter_turned(drawn)


def _grain(body: Body, taken: list[Bounds], source: str) -> list[Item]:
    quarter = (body.right - body.left) / 4
    places = (body.middle, body.left + quarter, body.right - quarter)
    for length in (marks.GRAIN_LENGTH, (marks.GRAIN_LENGTH + _SHORTEST_GRAIN) / 2, _SHORTEST_GRAIN):
        for x in places:
            y = _free(body, taken, (x, 3.0, length + 2.0), body.low)
            if y is not None:
                return quarter_turned(marks.grain_arrow((y, -x), length, source))
    return []


def _free(
    body: Body, taken: Sequence[Bounds], size: tuple[float, float, float], start: float, at_border: bool = False
) -> float | None:
    """Height of the lowest free place for a box (x of its middle, width, height) from `start` up; None if there is
    none."""
    x, width, height = size
    side = 0.0 if at_border else _CLEAR
    if x - width / 2 < body.left + side - 0.01 or x + width / 2 > body.right - side + 0.01:
        return None
    y = start + height / 2 + _CLEAR
    while y + height / 2 + _CLEAR <= body.high:
        if not any(_overlap(_box(x, y, width, height), other) for other in taken):
            return y
        y += _STEP
    return None


def _box(x: float, y: float, width: float, height: float) -> Bounds:
    return (x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def _overlap(a: Bounds, b: Bounds) -> bool:
    return a[0] < b[2] + _CLEAR and b[0] < a[2] + _CLEAR and a[1] < b[3] + _CLEAR and b[1] < a[3] + _CLEAR
