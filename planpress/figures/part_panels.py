"""Panels of a part drawing: one side of the part with its marks, captions, rows of positions, angles and callouts.

A panel is a list of items around a window; panels are stacked by their bounds, so nothing in one meets another.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from fractions import Fraction

from attrs import field, frozen

from planpress.base.display import Anchor, Circle, Item, Point, Role, Text, TypeMeasure, line
from planpress.base.edition import Edition
from planpress.base.printing import write_angle, write_length
from planpress.figures import marks, style
from planpress.figures.callouts import CALLOUT_LEADING, angle, callout, hole_words
from planpress.figures.dimensions import Label, Span, stack_uprights, upright_offsets
from planpress.figures.extents import figure_height
from planpress.figures.part_breaks import left_out
from planpress.figures.part_features import Features
from planpress.figures.part_marks import marks_stand_outside, part_marks
from planpress.figures.part_notes import capsule_words
from planpress.figures.part_paint import Shortened, painted, whole
from planpress.figures.part_sides import SideView, positions, to_y
from planpress.figures.running import FIRST, Row, Value, running_row
from planpress.figures.shape_marks import radius_callouts
from planpress.model.records import Hole, Notch, Part, SidePoint

LEFT = 6.0  # room for the reference end's triangle
LEFT_SLANTED = 12.0  # and for the angle of the end
_CAPTION_CLEAR = 2.4
_CALLOUT_CLEAR = 2.0
_CAPTION_ROOM = 6.0  # callouts stand beyond captions
_BETWEEN_CAPTIONS = 0.47  # share of the length where a leader passes between the captions
_SIGN_CLEAR = 6.0
_ROW_DEPTH = 24.0  # captions stand beyond a row if there is one on both sides
_ANGLE_RADIUS = 14.0
_ANGLE_ROOM = 13.0
_ANGLE_HEIGHT = _ANGLE_RADIUS + 5.0
_ANGLE_SLIGHT = 5.0  # ends that lean less on paper leave the captions where they are
_ROOM_ANGLE = 9.0


@frozen
class Captions:
    """Words at the left and right end of a panel, above it if `on_top`, else below; further out over marks."""

    left: str
    right: str
    on_top: bool
    over_marks: bool = False


@frozen
class Panel:
    """Items of a panel, and the values of a numbered row, if any."""

    items: tuple[Item, ...]
    numbered: tuple[tuple[int, str], ...] = field(default=())


def left_room(part: Part) -> float:
    """Paper to the left of the part, mm; the same in all panels of a part, which are aligned."""
    return LEFT if part.ends[0].is_square else LEFT_SLANTED


def room_right(part: Part, features: Features, scale: Fraction, edition: Edition, measure: TypeMeasure) -> float:
    """Paper to keep free at the right end of a panel, mm: dimensions, angle, or half of the last value."""
    room = _overall(part, edition).width(measure) / 2
    if not part.ends[1].is_square:
        room = max(room, _ROOM_ANGLE)
    s = float(scale)
    spans = [Span(size.low * s, size.high * s, 0.0, 0.0, size.label) for size in features.rights]
    return max(room, upright_offsets(spans, measure)[-1])


def _overall(part: Part, edition: Edition) -> Label:
    """The length; of a part that is fitted it is a guide, in brackets as auxiliary dimensions are (ISO 129-1)."""
    if part.fit_in_place:
        guide = write_length(part.length, edition.length_grid, mark_off_grid=False)
        return Label(f"fit\u00a0({guide})", bold=True)
    return Label(edition.length(part.length), bold=True)


def panel(
    part: Part,
    view: SideView,
    features: Features,
    captions: Captions,
    scale: Fraction,
    edition: Edition,
    measure: TypeMeasure,
    *,
    with_overall: bool,
    with_marks: bool,
) -> Panel:
    """Draw a panel with the part's lower left at (left_room, 0)."""
    window = whole(view, left_room(part), 0.0, float(scale), left_out(part, scale))
    items = [item for piece in window.windows for item in painted(view, piece, part.letter)]
    top = view.height * window.scale
    end = _leftmost(view, view.height / 2)
    items.append(marks.reference_end((window.at(end)[0] - 0.35, top / 2), source=part.letter))
    if with_marks:
        items += part_marks(part, view, window)
    numbered: tuple[tuple[int, str], ...] = ()
    overall_above = with_overall and bool(features.above) and not features.below
    if features.below or (with_overall and not overall_above) or (features.points and not overall_above):
        row = _row(
            part,
            view,
            window,
            features.below,
            () if overall_above else features.points,
            -1,
            edition,
            measure,
            with_overall and not overall_above,
        )
        items += row.items
        numbered = row.numbered
    if features.above:
        row = _row(
            part,
            view,
            window,
            features.above,
            features.points if overall_above else (),
            1,
            edition,
            measure,
            overall_above,
        )
        items += row.items
        numbered = numbered or row.numbered
    right = window.at((view.length, 0.0))[0]
    items += stack_uprights(_right_spans(features, window), right, 1, measure)
    angle_up = not features.above
    items += _end_angles(part, view, window, angle_up, edition, measure)
    if features.has_free_side:
        items += _hole_callouts(part, view, window, features, captions, edition, measure)
    items += _width_signs(part, view, window, captions, features, measure)
    items += _captions(part, view, window, captions, features, angle_up, measure)
    items += radius_callouts(part, view, window, items, edition, measure)
    return Panel(tuple(items), numbered)


def _leftmost(view: SideView, level: float) -> Point:
    """Where the outline is met first on the way from the left at a height."""
    found = []
    for (x0, y0), (x1, y1) in itertools.pairwise([*view.outline, view.outline[0]]):
        if y0 != y1 and min(y0, y1) <= level <= max(y0, y1):
            found.append(x0 + (x1 - x0) * (level - y0) / (y1 - y0))
    return (min(found, default=0.0), level)


def _right_spans(features: Features, window: Shortened) -> list[Span]:
    """Spans of the sizes at the right end."""
    return [
        Span(
            size.low * window.scale,
            size.high * window.scale,
            window.at((size.low_u, 0.0))[0],
            window.at((size.high_u, 0.0))[0],
            size.label,
        )
        for size in features.rights
    ]


def _row(
    part: Part,
    view: SideView,
    window: Shortened,
    features: Sequence[Notch | Hole],
    points: Sequence[SidePoint],
    way: int,
    edition: Edition,
    measure: TypeMeasure,
    overall: bool,
) -> Row:
    """Positions from the reference end along one side of the panel."""
    top = view.height * window.scale
    border = top if way > 0 else 0.0
    stops: dict[Fraction, float] = {u: to_y(view.side, part)(second) * window.scale for u, second in points}
    for feature in features:
        for at in (feature.at[0],) if isinstance(feature, Hole) else positions(feature, part):
            stops.setdefault(at, _edge_of(feature, part, view, window, way))
    values = [
        Value(window.at((float(u), 0.0))[0], stops[u], Label(edition.length(u)), part.letter)
        for u in sorted(stops)
        if 0 < u < part.length
    ]
    if overall:
        corner = _tip(view.far, 1)
        values.append(
            Value(
                window.at((view.length, 0.0))[0],
                window.at(corner)[1] if abs(view.far[0][0] - view.far[1][0]) > 1e-6 else border,
                _overall(part, edition),
                part.letter,
            )
        )
    slanting = abs(view.near[0][0] - view.near[1][0]) > 1e-6
    zero_edge = window.at(_tip(view.near, -1))[1] if slanting else border
    zero = Value(window.at((0.0, 0.0))[0], zero_edge, Label("0"), part.letter)
    return running_row(zero, values, border + way * FIRST, way, measure)


def _tip(end: tuple[Point, Point], outward: int) -> Point:
    """The corner of an end that reaches farthest."""
    return max(end, key=lambda p: p[0] * outward)


def _edge_of(feature: Notch | Hole, part: Part, view: SideView, window: Shortened, way: int) -> float:
    """Where across the panel the extension line of a feature's position starts."""
    top = view.height * window.scale
    border = top if way > 0 else 0.0
    if isinstance(feature, Hole):
        centre = to_y(view.side, part)(feature.at[1]) * window.scale
        wide = max(float(feature.diameter), float(feature.sink_diameter)) * window.scale
        return centre + way * (max(wide / 2, 0.3) + 0.6)
    return border


def _end_angles(
    part: Part, view: SideView, window: Shortened, up: bool, edition: Edition, measure: TypeMeasure
) -> list[Item]:
    """Angle of each slanted end to a square line, drawn beyond the edge that has no row of positions."""
    items: list[Item] = []
    for end, cut in zip((view.near, view.far), part.ends, strict=True):
        lean = abs(cut.mitre if view.side.axis == 2 else cut.bevel)
        (x0, y0), (x1, y1) = end
        if lean == 0 or abs(x1 - x0) < 1e-6:
            continue
        corner = (x1, y1) if up else (x0, y0)
        way = 1.0 if up else -1.0
        leg = math.degrees(math.atan2((y1 - y0) * way, (x1 - x0) * way))
        vertex = window.at(corner)
        turn = math.radians(leg)
        reach = _ANGLE_RADIUS + 2.0
        start = (vertex[0] + 1.2 * math.cos(turn), vertex[1] + 1.2 * math.sin(turn))
        far = (vertex[0] + reach * math.cos(turn), vertex[1] + reach * math.sin(turn))
        items.append(line(start, far, style.DIMENSION, Role.EXTENSION, part.letter))
        items += angle(vertex, 90.0 * way, leg, write_angle(lean), measure, _ANGLE_RADIUS, reach, part.letter)
    return items


def _hole_callouts(
    part: Part,
    view: SideView,
    window: Shortened,
    features: Features,
    captions: Captions,
    edition: Edition,
    measure: TypeMeasure,
) -> list[Item]:
    """One callout for each kind of hole, on a hole near the middle, on the side without a row of positions."""
    groups: dict[tuple[str, ...], list[Point]] = {}
    for seen in view.holes:
        if seen.hole.side is view.side:
            groups.setdefault(hole_words(seen.hole, 1, edition), []).append(seen.centre)
    up = not features.above
    top = view.height * window.scale
    items: list[Item] = []
    for number, (words, centres) in enumerate(groups.items()):
        hole = next(h.hole for h in view.holes if hole_words(h.hole, 1, edition) == words)
        lines = hole_words(hole, len(centres), edition)
        middle = window.x + window.length * _BETWEEN_CAPTIONS
        x, y = min((window.at(c) for c in sorted(centres)), key=lambda p: abs(p[0] - middle))
        radius = max(float(hole.diameter), float(hole.sink_diameter)) * window.scale / 2
        height = figure_height(style.LETTER_SIZE)
        lift = (len(lines) - 1) * CALLOUT_LEADING + height + 1.5
        start = _CALLOUT_CLEAR + (_CAPTION_ROOM if captions.on_top == up else 0.0) + number * (lift + CALLOUT_LEADING)
        rise = top + start + lift if up else -start - 2 * height
        widest = max(measure.width(text, Text((0, 0), "").face, style.LETTER_SIZE) for text in lines)
        right = x + 10.0 + widest < window.right
        elbow = (x + (4.0 if right else -4.0), rise)
        slope = math.atan2(elbow[1] - y, elbow[0] - x)
        edge = max(radius, 0.4)
        target = (x + edge * math.cos(slope), y + edge * math.sin(slope))
        items += callout(target, elbow, lines, part.letter)
    return items


def _width_signs(
    part: Part, view: SideView, window: Shortened, captions: Captions, features: Features, measure: TypeMeasure
) -> list[Item]:
    """For each kind of notch without a detail the sign of its width, between the captions, a leader into one notch."""
    items: list[Item] = []
    top = view.height * window.scale
    for kind in features.signs:
        wastes = [w for w in view.wastes if w.notch in kind.notches]
        middles = [_middle_of(w.polygon, window) for w in wastes]
        if not middles:
            continue
        x, y = min(middles, key=lambda p: abs(p[0] - window.x - window.length * _BETWEEN_CAPTIONS))
        centre = (x + 5.0, top + _SIGN_CLEAR if captions.on_top else -_SIGN_CLEAR)
        items.append(line(centre, (x, y), style.LEADER, Role.LEADER, part.letter))
        items.append(Circle((x, y), 0.55, None, style.INK, Role.LEADER, part.letter))
        items += marks.capsule(centre, capsule_words(kind.first), measure, part.letter)
    return items


def _middle_of(polygon: Sequence[Point], window: Shortened) -> Point:
    xs, ys = [p[0] for p in polygon], [p[1] for p in polygon]
    return window.at(((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2))


def _captions(
    part: Part,
    view: SideView,
    window: Shortened,
    captions: Captions,
    features: Features,
    angle_up: bool,
    measure: TypeMeasure,
) -> list[Item]:
    """Caption words, clear of the angles at the ends."""
    top = view.height * window.scale
    clear = _CAPTION_CLEAR
    if features.above and features.below:
        clear += _ROW_DEPTH
    if len(window.windows) > 1:
        clear += marks.BREAK_OVERRUN
    if captions.over_marks and marks_stand_outside(part, view, window):
        clear += marks.LOOP_HEIGHT * marks.SMALLEST_MARK
    y = top + clear if captions.on_top else -clear - figure_height(style.CAPTION_SIZE)
    slants = [abs(end[1][0] - end[0][0]) > 1e-6 for end in (view.near, view.far)]
    same = captions.on_top == angle_up
    corners = [window.at(end[1] if captions.on_top else end[0])[0] for end in (view.near, view.far)]
    inward = (max(corners[0] - window.x, 0.0), max(window.right - corners[1], 0.0))
    shifts = [shift if shift > _ANGLE_SLIGHT else 0.0 for shift in inward]
    left = window.x + (shifts[0] + _ANGLE_ROOM if same and slants[0] else 0.0)
    right = window.right - (shifts[1] + _ANGLE_ROOM if same and slants[1] else 0.0)
    face, size, grey = Text((0, 0), "").face, style.CAPTION_SIZE, style.SECONDARY
    words = [captions.left, captions.right]
    widths = [measure.width(w, face, size) for w in words]
    if captions.left and captions.right and sum(widths) + 6.0 > right - left:
        if same and any(slants):  # over the angles
            left, y = window.x, y + (_ANGLE_HEIGHT if captions.on_top else -_ANGLE_HEIGHT)
        both = f"{captions.right}; {captions.left}"
        return [Text((left, y), both, face, size, grey, source=part.letter)]
    items: list[Item] = []
    if captions.left:
        items.append(Text((left, y), captions.left, face, size, grey, source=part.letter))
    if captions.right:
        items.append(Text((right, y), captions.right, face, size, grey, Anchor.END, source=part.letter))
    return items
