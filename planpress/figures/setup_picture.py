"""Pictures of a set-up card: each pass seen from the front, over the cutter; and the whole seen from above.

Not to scale: stop and cutter stand in the same place in all pictures of a card, so that only what changes looks
different. The letters of the distances are those of the text: D stop distance, S spacer, h height of the cutter.
Millimetres on paper, y up. Drawn with the stop on the left and mirrored where it stands on the right.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from attrs import evolve, field, frozen

from planpress.base.display import (
    Anchor,
    Circle,
    Face,
    Figure,
    Hatch,
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
from planpress.base.edition import Edition
from planpress.base.printing import ABOUT, NO_BREAK
from planpress.figures import marks, style
from planpress.figures.dimensions import GAP, OVERRUN, Label, Span, arrowhead, level
from planpress.figures.extents import figure_height
from planpress.work.setup_card import SetupCard
from planpress.work.setup_cuts import Position
from planpress.work.setup_methods import Method

WIDTH: Final = 122.0
HEIGHT: Final = 35.3
TABLE: Final = 13.9  # height of the table's surface in the figure
_STOP: Final = 11.0  # width of the stop: its face is at this x
_STOP_TOP: Final = 17.6
_PIECE: Final = 12.5  # height of a piece that lies, from the table
_SPACER: Final = 10.6
_FENCE: Final = (14.9, 21.2)  # lower and upper edge, from the table
_KERF: Final = 3.6
_NOTCH: Final = 11.2
_DEPTH: Final = (5.0, 9.0)  # least and greatest height of the cutter
_BELOW: Final = 6.4  # of the cutter, under the table
_FAR: Final = 54.0  # from the stop to the far shoulder
_FAR_AT_END: Final = 27.0
_BREAK: Final = 117.0
_BALLOON_AT: Final = 107.0
_DIMENSION: Final = 1.8
_SPACER_HATCH: Final = Hatch(1.6, -45.0, Pen(style.HAIR, style.HATCH_GREY))
_CAPTION: Final = 9.5


@frozen
class _Moment:
    """One pass on paper: x from the stop's face.

    Attributes:
        end: where the end of the piece is. notch: the shoulders. cut: what earlier passes have taken out.
        cutter: its near side. spacer: what it is called, "" if nothing lies between. parts: how many lie side by side.
        reference: the reference end is at the stop. away: the piece is being drawn away from the stop.
    """

    end: float
    notch: tuple[float, float]
    cut: tuple[tuple[float, float], ...]
    cutter: float
    spacer: str
    parts: int = 1
    reference: bool = True
    away: bool = False
    size: float = field(default=_BREAK - _STOP)


def pass_pictures(card: SetupCard, edition: Edition, measure: TypeMeasure) -> tuple[Figure, Figure]:
    """The first and the second pass of a card, in the way of its method."""
    first, second = _moments(card)
    return _pass(card, first, edition, measure, 1), _pass(card, second, edition, measure, 2)


def _moments(card: SetupCard) -> tuple[_Moment, _Moment]:
    reference = card.parts[0].lie.at_stop.value in ("near end",)
    far, kerf = _FAR, _KERF
    near = far - _NOTCH
    if card.method is Method.OFFCUT:
        words = _offcut_words(card)
        thick, thin = _NOTCH, kerf
        first = _Moment(thick, (far, far + _NOTCH), (), far, words, card.abreast, reference)
        kerf_cut = (far + kerf - _NOTCH, far + 2 * kerf - _NOTCH)
        second = _Moment(thin, (far + kerf - _NOTCH, far + kerf), (kerf_cut,), far, "strip as thick as k", 1, reference)
        return first, second
    if card.method is Method.SHOULDER:
        shoulder = _FAR_AT_END
        step = kerf - 0.8
        first = _Moment(0.0, (0.0, shoulder), (), shoulder - kerf, "", 1, False)
        moved = 3 * step
        cut = (shoulder - kerf + step, shoulder + moved)
        second = _Moment(moved, (moved, shoulder + moved), (cut,), shoulder - kerf, "", 1, False, True)
        return first, second
    if card.method is Method.FENCE:
        first = _Moment(0.0, (near, far), (), near, "", 1, False)
        second = _Moment(0.0, (near, far), ((near, near + kerf),), far - kerf, "", 1, False)
        return first, second
    first = _Moment(0.0, (near, far), (), far - kerf, "", 1, reference)
    if card.method is Method.CENTRED:
        second = _Moment(0.0, (near, far), ((near, near + kerf),), far - kerf, "", 1, False)
        return evolve(first, reference=True), second
    moved = _NOTCH - kerf
    cut = (far - kerf + moved, far + moved)
    return first, _Moment(moved, (near + moved, far + moved), (cut,), far - kerf, "spacer S", 1, reference)


def _offcut_words(card: SetupCard) -> str:
    of = " or ".join(card.mates)
    return f"{card.abreast} offcuts of {of}" if card.abreast > 1 else f"offcut of {of}"


def _pass(card: SetupCard, moment: _Moment, edition: Edition, measure: TypeMeasure, number: int) -> Figure:
    """One pass from the front."""
    deep = _deep(card)
    items = [*_fence(card), *_piece(card, moment), *_spacer(moment), *_stop(card)]
    items += _cutter(moment, deep)
    if number == 1:
        items += _height(moment, deep, equation("h", edition.joint(card.depth)))
    label = "fence distance D" if card.position is Position.ALONG else "stop distance D"
    low, high = _STOP, _STOP + moment.cutter
    items += level(Span(low, high, TABLE - GAP, TABLE - GAP, Label(label)), _DIMENSION, measure)
    if not card.parts[0].lie.stop_is_left:
        items = list(mirrored(items, WIDTH))
    alt = f"Pass {number} seen from the front: {_alt(card, moment)}"
    return Figure(WIDTH, HEIGHT, tuple(items), alt)


def _deep(card: SetupCard) -> float:
    """Height of the cutter on paper: its share of the piece as far as that can be seen."""
    low, high = _DEPTH
    tall = 2.4 * float(card.depth) if card.position is Position.ON_END else float(card.height)
    return min(high, max(low, _PIECE * float(card.depth) / tall))


def _alt(card: SetupCard, moment: _Moment) -> str:
    between = moment.spacer or ("a gap" if moment.away else "nothing")
    return (
        f"the stop on the {'left' if card.parts[0].lie.stop_is_left else 'right'}, {between} between it and part"
        f" {card.letters[0]}, the cutter at the stop distance D, up to its height h."
    )


def _fence(card: SetupCard) -> list[Item]:
    low, high = (TABLE + y for y in _FENCE)
    table = line((0.0, TABLE), (WIDTH, TABLE), style.OUTLINE, Role.OUTLINE)
    if card.position is Position.ALONG:
        return [table]
    body = Path(rectangle(0.0, low, WIDTH, high - low), style.EDGE, style.TINT_2, Role.EDGE)
    at = (WIDTH - 3.0, (low + high - figure_height(_CAPTION)) / 2)
    return [body, _caption(at, "fence", Anchor.END), table]


def _stop(card: SetupCard) -> list[Item]:
    """The stop; where a piece runs along the rip fence, that fence itself, seen from its end."""
    body = Path(rectangle(0.0, TABLE, _STOP, _STOP_TOP), style.OUTLINE, style.TINT_3, Role.OUTLINE)
    if card.position is Position.ALONG:
        at = (_STOP / 2 + figure_height(10.0) / 2, TABLE + _STOP_TOP / 2)
        return [body, Text(at, "fence", Face.REGULAR, 10.0, anchor=Anchor.MIDDLE, angle=90.0)]
    return [body, Text((_STOP / 2, TABLE + 5.6), "stop", Face.REGULAR, 10.0, anchor=Anchor.MIDDLE)]


def _piece(card: SetupCard, moment: _Moment) -> list[Item]:
    """The piece on the table, broken off at the right (at its top if it stands), what is cut, what will be."""
    left, deep = _STOP + moment.end, _deep(card)
    if card.position is Position.ON_END:
        items = _standing(left)
    elif card.position is Position.ALONG:
        body = rectangle(left, TABLE, _BREAK - _STOP - 16.0, _PIECE)
        items = [Path(body, style.OUTLINE, style.TINT_0, Role.OUTLINE)]
    else:
        items = _lying(left)
    n0, n1 = (_STOP + x for x in moment.notch)
    frame = polyline(((n0, TABLE), (n0, TABLE + deep), (n1, TABLE + deep), (n1, TABLE)))
    items.append(Path(frame, style.HIDDEN, None, Role.HIDDEN))
    for low, high in moment.cut:
        body = rectangle(_STOP + low, TABLE, high - low, deep)
        items.append(Path(body, style.OUTLINE, style.TINT_0, Role.OUTLINE))
    if moment.cut:  # open below
        low, high = (_STOP + x for x in moment.cut[0])
        items.append(line((low + 0.25, TABLE), (high - 0.25, TABLE), Pen(0.7, style.TINT_0), Role.EDGE))
        items.append(line((low, TABLE), (high, TABLE), style.EDGE, Role.EDGE))
    balloon = _STOP + 16.0 if card.position is Position.ALONG else _BALLOON_AT
    items += marks.balloon((balloon, TABLE + _PIECE / 2), card.letters[0])
    if moment.reference:
        items.append(marks.reference_end((left, TABLE + _PIECE - 3.2), -1))
    if moment.away:
        y, start = TABLE + _PIECE - 3.0, left + 4.0
        items.append(line((start, y), (start + 12.0, y), style.EDGE, Role.MARK))
        items.append(arrowhead((start + 13.0, y), (1.0, 0.0)))
    return items


def _lying(left: float) -> list[Item]:
    low, high = TABLE, TABLE + _PIECE
    curve = marks.break_curve(_BREAK, low, high)
    shape: list[Segment] = [("m", left, high), ("l", left, low), ("l", _BREAK, low), *curve[1:], ("z",)]
    outline = polyline(((_BREAK, low), (left, low), (left, high), (_BREAK, high)))
    return [
        Path(tuple(shape), None, style.TINT_0, Role.TINT),
        Path(outline, style.OUTLINE, None, Role.OUTLINE),
        marks.break_line(_BREAK, low, high),
    ]


def _standing(left: float) -> list[Item]:
    """A piece on its end: as wide as it is, broken off at its top."""
    right, low, high = _BREAK - 4.0, TABLE, TABLE + _PIECE
    wave = turned(marks.break_curve(0.0, left, right), high)
    shape: list[Segment] = [("m", left, low), ("l", left, high), *wave[1:], ("l", right, low), ("z",)]
    outline = polyline(((left, high), (left, low), (right, low), (right, high)))
    return [
        Path(tuple(shape), None, style.TINT_0, Role.TINT),
        Path(outline, style.OUTLINE, None, Role.OUTLINE),
        Path(wave, style.BREAK, None, Role.BREAK),
    ]


def turned(segments: Sequence[Segment], height: float) -> tuple[Segment, ...]:
    """A curve along y turned into one along x, at a height."""
    out: list[Segment] = []
    for one in segments:
        if one[0] == "c":
            _, x1, y1, x2, y2, x, y = one
            out.append(("c", y1, height + x1, y2, height + x2, y, height + x))
        elif one[0] != "z":
            out.append((one[0], one[2], height + one[1]))
    return tuple(out)


def _spacer(moment: _Moment) -> list[Item]:
    if not moment.spacer:
        return []
    left, each = _STOP, moment.end / moment.parts
    items: list[Item] = []
    for i in range(moment.parts):
        body = rectangle(left + i * each, TABLE, each, _SPACER)
        items.append(Path(body, None, style.TINT_0, Role.TINT))
        items.append(Path(body, style.EDGE, _SPACER_HATCH, Role.HATCH))
    dot = (left + moment.end / 2, TABLE + 2.6)
    knee = (left + moment.end / 2 + 5.4, TABLE - 3.2)
    items.append(line(dot, knee, style.LEADER, Role.LEADER))
    items.append(Circle(dot, 0.55, None, style.INK, Role.LEADER))
    items.append(Text((knee[0] + 0.9, knee[1] - 1.2), moment.spacer, Face.REGULAR, 10.0))
    return items


def _cutter(moment: _Moment, deep: float) -> list[Item]:
    x = _STOP + moment.cutter
    body = rectangle(x, TABLE - _BELOW, _KERF, _BELOW + deep)
    label = (x + _KERF + 3.0, TABLE - 5.2)
    return [Path(body, style.OUTLINE, style.TINT_3, Role.OUTLINE), _caption(label, "cutter", Anchor.START)]


def _height(moment: _Moment, deep: float, label: str) -> list[Item]:
    """The height of the cutter, beside the notch, away from the stop."""
    x = _STOP + max(moment.notch[1], moment.cutter + _KERF)
    at, top = x + 5.0, TABLE + deep
    items: list[Item] = [
        line((x + GAP, top), (at + OVERRUN, top), style.DIMENSION, Role.EXTENSION),
        line((at, TABLE), (at, top), style.DIMENSION, Role.DIMENSION),
        arrowhead((at, top), (0.0, 1.0)),
        arrowhead((at, TABLE), (0.0, -1.0)),
    ]
    base = TABLE + (deep - figure_height(style.LETTER_SIZE)) / 2
    items.append(Text((at + OVERRUN + 0.8, max(base, TABLE + 1.4)), label, Face.REGULAR, style.LETTER_SIZE))
    return items


def _caption(at: Point, string: str, anchor: Anchor) -> Text:
    return Text(at, string, Face.REGULAR, _CAPTION, style.SECONDARY, anchor)


def equation(letter: str, value: str) -> str:
    """ "h = 6", or "h ≈ 6" for a value off the grid; never broken."""
    sign = "" if value.startswith(ABOUT) else f"={NO_BREAK}"
    return f"{letter}{NO_BREAK}{sign}{value}"


def mirrored(items: Sequence[Item], width: float) -> tuple[Item, ...]:
    """Items mirrored left for right in a frame of this width; texts stay readable."""
    out: list[Item] = []
    swapped = {Anchor.START: Anchor.END, Anchor.END: Anchor.START, Anchor.MIDDLE: Anchor.MIDDLE}
    for item in items:
        if isinstance(item, Circle):
            out.append(evolve(item, centre=(width - item.centre[0], item.centre[1])))
        elif isinstance(item, Text):
            out.append(evolve(item, at=(width - item.at[0], item.at[1]), anchor=swapped[item.anchor]))
        else:
            out.append(evolve(item, segments=tuple(_mirror(one, width) for one in item.segments)))
    return tuple(out)


def _mirror(segment: Segment, width: float) -> Segment:
    if segment[0] == "z":
        return segment
    if segment[0] == "c":
        _, x1, y1, x2, y2, x, y = segment
        return ("c", width - x1, y1, width - x2, y2, width - x, y)
    return (segment[0], width - segment[1], segment[2])
