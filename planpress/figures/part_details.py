"""Details of notches, full size where they fit: a stretch of the part with depth, width sign and lean."""

from __future__ import annotations

import math
from fractions import Fraction

from planpress.base.display import Anchor, Circle, Face, Figure, Item, Point, Role, Text, TypeMeasure, line
from planpress.base.edition import Edition
from planpress.base.printing import write_angle
from planpress.figures import marks, style
from planpress.figures.callouts import angle
from planpress.figures.dimensions import FIRST, GAP, NARROW, OVERRUN, TAIL, Label, Span, arrowhead, level, upright
from planpress.figures.extents import bounds, figure_height, fitted_figure
from planpress.figures.part_bodies import PartBodies
from planpress.figures.part_notes import NotchKind, capsule_words
from planpress.figures.part_paint import Window, painted
from planpress.figures.part_sides import SideView, side_view
from planpress.figures.scales import FULL_SIZE, largest_scale, scale_words, scales
from planpress.model.records import Notch, Part, Side

WIDTH = 85.0  # that a detail aims at
FRAME = 98.0  # of its frame; notes stand right of it
TALLEST = 52.0  # of the part in a detail
_LEFT = 12.0  # from the frame to the part: one upright dimension
_SHOULDER = 20.0  # drawn beside the notch, on paper
_PROFILE_GAP = 7.0
_TITLE_CLEAR = 2.0
_DEPTH_ROOM = 11.0
_CLOSE = 6.0  # notches nearer than this on paper are shown, too
_NEIGHBOUR = 2.0  # paper between a break line and the next notch


def detail(
    kind: NotchKind, bodies: PartBodies, edition: Edition, measure: TypeMeasure, most: Fraction = FULL_SIZE
) -> Figure:
    """The detail of a kind of notch: the side that shows its profile or, of a notch in a face, its outline and profile.

    The frame is 85 wide, x from 0; as high as it needs. `most`: the largest scale to draw at.
    """
    notch, part = kind.first, bodies.part
    faced = notch.side.axis == 2
    low_u, high_u = notch.span
    across = float(part.width + part.thickness) if faced else float(part.width)

    def fits(scale: Fraction) -> bool:
        s = float(scale)
        wide = float(high_u - low_u) * s + 2 * 12.0
        return across * s + (_PROFILE_GAP if faced else 0.0) <= TALLEST * (1.6 if faced else 1.0) and (
            wide <= WIDTH - _LEFT - 8.0
        )

    scale = largest_scale(fits, edition, most)
    draw = _faced if faced else _through
    items = draw(notch, bodies, scale, edition, measure)
    for smaller in scales(edition):  # values beyond the break line may need more room
        if smaller < scale and bounds(items, measure)[2] > FRAME:
            scale, items = smaller, draw(notch, bodies, smaller, edition, measure)
    top = bounds(items, measure)[3] + _TITLE_CLEAR
    number = "Notch" if len(kind.notches) == 1 else "Notches"
    title = f"{number} for {capsule_words(notch)[2:]} in {part.letter}, {scale_words(scale)}"
    items.append(Text((0.0, top), title, Face.SEMIBOLD, 10.5, source=part.letter))
    alt = f"{title}: width {capsule_words(notch)}, depth {edition.joint(notch.depth)}"
    return fitted_figure(items, measure, alt, scale, width=FRAME)


def _window(notch: Notch, part: Part, scale: Fraction, y: float) -> Window:
    """A stretch around the notch, cut off by break lines where the part goes on."""
    s = float(scale)
    low, high = (float(u) for u in notch.span)
    room = min(_SHOULDER, (WIDTH - _LEFT - 4.0 - (high - low) * s) / 2)
    start, end = low - room / s, high + room / s
    for other in part.notches:  # stop short of the neighbours
        other_low, other_high = (float(u) for u in other.span)
        close = low - _CLOSE / s < other_high < high + _CLOSE / s or low - _CLOSE / s < other_low < high + _CLOSE / s
        if other.side is not notch.side or close:
            continue
        if other_high < low:
            start = max(start, other_high + _NEIGHBOUR / s)
        elif other_low > high:
            end = min(end, other_low - _NEIGHBOUR / s)
    cut_near, cut_far = start > 4.0 / s, end < float(part.length) - 4.0 / s
    start = start if cut_near else 0.0
    end = end if cut_far else float(part.length)
    return Window(_LEFT, y, s, start, end, cut_near, cut_far)


def _through(notch: Notch, bodies: PartBodies, scale: Fraction, edition: Edition, measure: TypeMeasure) -> list[Item]:
    """A notch in an edge, seen on the reference face."""
    part = bodies.part
    view = side_view(bodies, Side.FACE)
    window = _window(notch, part, scale, 0.0)
    items = painted(view, window, part.letter)
    top = view.height * window.scale
    s = window.scale
    near, far = (float(u) for u in _seen_shoulders(notch, part))
    left, right = window.at((near, 0.0))[0], window.at((far, 0.0))[0]
    upward = notch.side is Side.UPPER
    border, way = (top, 1) if upward else (0.0, -1)
    items += _width_sign(notch, (left, border), (right, border), way, measure, part.letter)
    floor = border - way * float(notch.depth) * s
    low, high = sorted((border, floor))
    edge = window.at((window.end, 0.0))[0]
    behind = window.at((float(notch.span[1]), 0.0))[0]
    close = edge - behind < _DEPTH_ROOM  # the next notch is near: beyond the break line
    depth_x = edge + FIRST if close else behind + min(FIRST, (edge - behind) * 0.6)
    span = Span(low, high, None, right if not upward else None, Label(edition.joint(notch.depth)), part.letter)
    if upward:
        span = Span(low, high, right, None, span.label, part.letter)
    items += upright(span, depth_x, measure)
    start = window.at((window.start, 0.0))[0]
    own = Span(0.0, top, start, start, Label(edition.length(part.width)), part.letter)
    items += upright(own, start - 6.0, measure)
    return items


def _seen_shoulders(notch: Notch, part: Part) -> tuple[Fraction, Fraction]:
    low, high = notch.across
    return notch.shoulders(min(max(part.thickness, low), high))


def _width_sign(notch: Notch, left: Point, right: Point, way: int, measure: TypeMeasure, source: str) -> list[Item]:
    """The width of a notch as a capsule on a dimension line beyond its open side, with "near side" in words."""
    y = left[1] + way * 7.0
    narrow = right[0] - left[0] < NARROW
    span = Span(left[0], right[0], left[1], right[1], Label(""), source)
    items: list[Item] = [i for i in level(span, y, measure) if not isinstance(i, Text)]
    middle = (left[0] + right[0]) / 2
    gap = OVERRUN if way > 0 else 0.0
    centre = (middle, y + way * (max(gap, 1.2) + 0.8 + marks.CAPSULE_HEIGHT / 2))
    items += marks.capsule(centre, capsule_words(notch), measure, source)
    if notch.open_end is not Side.NEAR_END:
        at = (left[0] - (TAIL if narrow else 0.0) - 2.0, y - figure_height(style.LETTER_SIZE) / 2)
        items.append(Text(at, "near side", Face.ITALIC, 10.0, anchor=Anchor.END, source=source))
    return items


def _faced(notch: Notch, bodies: PartBodies, scale: Fraction, edition: Edition, measure: TypeMeasure) -> list[Item]:
    """A notch in a face: its outline on the face and, aligned with it, its profile on the edge seen below or above."""
    part = bodies.part
    face = side_view(bodies, Side.FACE)
    edge_side = Side.UPPER if edition.is_metric else Side.LOWER  # the view that belongs below
    edge = side_view(bodies, edge_side)
    s = float(scale)
    window = _window(notch, part, scale, 0.0)
    items = painted(face, window, part.letter)
    top = face.height * s
    items += _skewed_width(notch, window, top, measure, part.letter)
    if notch.skew:
        items += _lean(notch, part, window, measure)
    start = window.at((window.start, 0.0))[0]
    own = Span(0.0, top, start, start, Label(edition.length(part.width)), part.letter)
    items += upright(own, start - 6.0, measure)
    profile_y = -_PROFILE_GAP - edge.height * s
    below = Window(window.x, profile_y, s, window.start, window.end, window.cut_near, window.cut_far)
    items += painted(edge, below, part.letter)
    items += _profile_depth(notch, part, edge, below, edition, measure)
    return items


def _profile_depth(
    notch: Notch, part: Part, edge: SideView, window: Window, edition: Edition, measure: TypeMeasure
) -> list[Item]:
    """Depth and thickness at the profile of a notch in a face."""
    s = window.scale
    top = window.y + edge.height * s
    opens_up = (notch.side is Side.FACE) == (edge.side is Side.LOWER)
    depth = float(notch.depth) * s
    low, high = (top - depth, top) if opens_up else (window.y, window.y + depth)
    reaches_end = notch.open_end is Side.FAR_END
    right = window.at((float(notch.span[1]), 0.0))[0]
    end = window.at((window.end, 0.0))[0]
    if reaches_end:
        outer = Span(low, high, right, right, Label(edition.joint(notch.depth)), part.letter)
        items = list(upright(outer, max(right, end) + 7.0, measure))
    else:
        outside = depth < NARROW  # arrows and value come from outside: beyond the break line
        low_edge, high_edge = (right, None) if opens_up else (None, right)
        if outside:
            low_edge = high_edge = right
        span = Span(low, high, low_edge, high_edge, Label(edition.joint(notch.depth)), part.letter)
        at = end + FIRST if outside else right + min(FIRST, (end - right) * 0.6)
        items = list(upright(span, at, measure))
    start = window.at((window.start, 0.0))[0]
    own = Span(window.y, top, start, start, Label(edition.length(part.thickness)), part.letter)
    items += upright(own, start - 6.0, measure)
    return items


def _skewed_width(notch: Notch, window: Window, top: float, measure: TypeMeasure, source: str) -> list[Item]:
    """The width sign square to the shoulders, above the face, its extension lines running on along the shoulders."""
    skew = math.radians(float(notch.skew))
    along = (math.sin(skew), math.cos(skew))  # of the shoulders, upward on the face
    square = (math.cos(skew), -math.sin(skew))
    second = notch.across[1]
    near, far = (float(u) for u in notch.shoulders(second))
    y = window.at((0.0, float(second)))[1]
    p = (window.at((near, 0.0))[0], y)
    if notch.open_end is not None:
        return _capsule_beside(notch, p, window, measure, source)
    width = float(notch.width) * window.scale
    reach = max(top - y, 0.0) / along[1] + 7.0
    a = (p[0] + along[0] * reach, p[1] + along[1] * reach)
    b = (a[0] + square[0] * width, a[1] + square[1] * width)
    q = (window.at((far, 0.0))[0], y)
    items: list[Item] = []
    for foot, tip in ((p, a), (q, b)):
        start = (foot[0] + along[0] * GAP, foot[1] + along[1] * GAP)
        end = (tip[0] + along[0] * OVERRUN, tip[1] + along[1] * OVERRUN)
        items.append(line(start, end, style.DIMENSION, Role.EXTENSION, source))
    back = (-square[0], -square[1])
    items += [
        line(a, b, style.DIMENSION, Role.DIMENSION, source),
        arrowhead(a, back, source=source),
        arrowhead(b, square, source=source),
    ]
    middle = ((a[0] + b[0]) / 2, max(a[1], b[1]) + OVERRUN + 0.8 + marks.CAPSULE_HEIGHT / 2)
    items += marks.capsule(middle, capsule_words(notch), measure, source)
    at = (a[0] - 2.0, a[1] - figure_height(style.LETTER_SIZE) / 2)
    items.append(Text(at, "near side", Face.ITALIC, 10.0, anchor=Anchor.END, source=source))
    return items


def _capsule_beside(notch: Notch, corner: Point, window: Window, measure: TypeMeasure, source: str) -> list[Item]:
    """For a notch that runs out of the end only one shoulder is cut: the sign stands above, with a leader into it."""
    low, high = (float(u) for u in notch.span)
    middle = window.at(((low + high) / 2, float(notch.across[0] + notch.across[1]) / 2))
    centre = (middle[0], corner[1] + 9.0)
    items: list[Item] = [
        line(centre, middle, style.LEADER, Role.LEADER, source),
        Circle(middle, 0.55, None, style.INK, Role.LEADER, source),
        *marks.capsule(centre, capsule_words(notch), measure, source),
    ]
    return items


def _lean(notch: Notch, part: Part, window: Window, measure: TypeMeasure) -> list[Item]:
    """The angle between a shoulder and a line square to the length, its value outside the notch.

    Taken at the near shoulder, from the end of it where the shoulder leans into the notch.
    """
    low, high = notch.across
    at_near = notch.open_end is not Side.NEAR_END
    from_low = (notch.skew > 0) == at_near
    second = low if from_low else high
    shoulders = notch.shoulders(second)
    foot = window.at((float(shoulders[0] if at_near else shoulders[1]), float(second)))
    radius = min(29.0, float(high - low) * window.scale * 0.72)
    square = 90.0 if from_low else -90.0
    leg = square - float(notch.skew)
    text = write_angle(abs(notch.skew))
    return list(angle(foot, square, leg, text, measure, radius, radius + 3.0, part.letter))
