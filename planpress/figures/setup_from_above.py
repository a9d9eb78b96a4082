"""The picture of a set-up seen from above: fence, stop, piece, the line of the cutter and the way of the feed.

The piece's notched side is down, so that what is cut is hidden. Not to scale but for the angle of the cut.
Millimetres on paper, y up; the operator stands below the picture.
"""

from __future__ import annotations

import math
from typing import Final

from planpress.base.display import Anchor, Face, Figure, Item, Path, Role, Segment, Text, line, polyline, rectangle
from planpress.base.printing import write_angle
from planpress.figures import marks, style
from planpress.figures.dimensions import arrowhead
from planpress.figures.extents import figure_height
from planpress.figures.setup_picture import mirrored, turned
from planpress.work.setup_card import SetupCard
from planpress.work.setup_cuts import Position
from planpress.work.setup_methods import Method

WIDTH: Final = 84.0
HEIGHT: Final = 31.0
_FENCE: Final = (24.0, 31.0)
_PIECE: Final = 11.0  # away from the fence
_STOP: Final = 10.0
_KERF: Final = 3.0
_NEAR: Final = 25.0  # from the stop to the near shoulder, at the fence
_NOTCH: Final = 9.0
_BREAK: Final = 79.0
_CAPTION: Final = 9.5


def from_above(card: SetupCard) -> Figure:
    """The set-up of the card's first part from above."""
    items = _along(card) if card.position is Position.ALONG else _across(card)
    if not card.parts[0].lie.stop_is_left and card.position is not Position.ALONG:
        items = list(mirrored(items, WIDTH))
    angle = f", the cut {write_angle(card.skew)} from square" if card.leans else ""
    side = "left" if card.parts[0].lie.stop_is_left else "right"
    alt = f"Seen from above: part {card.letters[0]} against fence and stop, the stop on the {side}{angle}."
    return Figure(WIDTH, HEIGHT, tuple(items), alt)


def _across(card: SetupCard) -> list[Item]:
    top, low = _FENCE[0], _FENCE[0] - _PIECE
    lean = card.leans * math.tan(math.radians(float(card.skew)))
    at_end = card.method is Method.SHOULDER
    near = _STOP + (0.0 if at_end else _NEAR)
    far = _STOP + 16.0 if at_end else near + _NOTCH
    fence = Path(rectangle(0.0, top, WIDTH, _FENCE[1] - top), style.EDGE, style.TINT_2, Role.EDGE)
    base = (sum(_FENCE) - figure_height(_CAPTION)) / 2
    items: list[Item] = [fence, _caption(WIDTH - 3.0, base, "fence", Anchor.END)]
    items += _body(card, lean if card.slanted_end else 0.0, top, low)
    for x in (near, far):
        if x > _STOP + 0.1:
            start, end = (x, top), (x + lean * _PIECE, low)
            items.append(line(start, end, style.HIDDEN, Role.HIDDEN))
    items += _blade(far - _KERF, lean, top, low, _words(card))
    stop = rectangle(0.0, low - 1.0, _STOP, _PIECE + 4.0)
    items.append(Path(stop, style.OUTLINE, style.TINT_3, Role.OUTLINE))
    middle = (top + low) / 2 - figure_height(10.0) / 2
    items.append(Text((_STOP / 2, middle), "stop", Face.REGULAR, 10.0, anchor=Anchor.MIDDLE))
    items += marks.balloon((_BREAK - 14.0, (top + low) / 2), card.letters[0])
    return items


def _body(card: SetupCard, lean: float, top: float, low: float) -> list[Item]:
    """The piece from its end at the stop to where it is broken off; a piece on its end shows its whole width."""
    left = ((_STOP, top), (_STOP + lean * _PIECE, low))
    if card.position is Position.ON_END:
        corners = (left[0], left[1], (_BREAK - 3.0, low), (_BREAK - 3.0, top))
        return [Path(polyline(corners, closed=True), style.OUTLINE, style.TINT_0, Role.OUTLINE)]
    curve = marks.break_curve(_BREAK, low, top)
    shape: list[Segment] = [("m", *left[0]), ("l", *left[1]), ("l", _BREAK, low), *curve[1:], ("z",)]
    outline = polyline(((_BREAK, top), *left, (_BREAK, low)))
    return [
        Path(tuple(shape), None, style.TINT_0, Role.TINT),
        Path(outline, style.OUTLINE, None, Role.OUTLINE),
        Path(curve, style.BREAK, None, Role.BREAK),
    ]


def _words(card: SetupCard) -> str:
    return f"cutter, {write_angle(card.skew)}" if card.leans else "cutter"


def _blade(near: float, lean: float, top: float, low: float, words: str) -> list[Item]:
    """The cutter, seen where no wood covers it, its line through the work, and the way the work goes over it."""
    length = 7.0
    start = near + lean * _PIECE
    end = start + lean * length
    corners = ((start, low), (start + _KERF, low), (end + _KERF, low - length), (end, low - length))
    middle = near + _KERF / 2
    return [
        Path(polyline(corners, closed=True), style.EDGE, style.TINT_3, Role.EDGE),
        line(
            (middle - 3.4 * lean, top + 3.4), (middle + lean * (_PIECE + 10.0), low - 10.0), style.CENTRE, Role.CENTRE
        ),
        _caption(max(start, end) + _KERF + 2.5, low - 6.0, words, Anchor.START),
    ]


def _along(card: SetupCard) -> list[Item]:
    """A piece along the rip fence: the fence at the left, the piece broken off at both ends, fed upwards."""
    fence = Path(rectangle(0.0, 0.0, _STOP, HEIGHT), style.OUTLINE, style.TINT_3, Role.OUTLINE)
    low, high, right = 4.0, HEIGHT - 3.0, _STOP + 48.0
    wave = [turned(marks.break_curve(0.0, _STOP, right), y) for y in (low, high)]
    shape: list[Segment] = [*wave[0], ("l", right, high), *_back(wave[1]), ("z",)]
    near = _STOP + 20.0
    return [
        fence,
        Text((_STOP / 2 + 1.2, HEIGHT / 2), "fence", Face.REGULAR, 10.0, anchor=Anchor.MIDDLE, angle=90.0),
        Path(tuple(shape), None, style.TINT_0, Role.TINT),
        line((_STOP, low), (_STOP, high), style.OUTLINE, Role.OUTLINE),
        line((right, low), (right, high), style.OUTLINE, Role.OUTLINE),
        *(Path(one, style.BREAK, None, Role.BREAK) for one in wave),
        *(line((x, low), (x, high), style.HIDDEN, Role.HIDDEN) for x in (near, near + _NOTCH)),
        *marks.balloon((right - 9.0, HEIGHT / 2), card.letters[0]),
        line((right + 7.0, 6.0), (right + 7.0, 20.0), style.EDGE, Role.MARK),
        arrowhead((right + 7.0, 21.0), (0.0, 1.0)),
        _caption(right + 9.5, 12.0, "feed", Anchor.START),
    ]


def _back(curve: tuple[Segment, ...]) -> list[Segment]:
    """The straight way back along a curve, near enough for a fill under it."""
    first = curve[0]
    assert first[0] == "m", "a curve begins with a move"
    return [("l", first[1], first[2])]


def _caption(x: float, y: float, string: str, anchor: Anchor) -> Text:
    return Text((x, y), string, Face.REGULAR, _CAPTION, style.SECONDARY, anchor)
