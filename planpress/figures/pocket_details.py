"""Details of cuts within a part: mortises; housings and rabbets across it; grooves and rabbets along it."""

from __future__ import annotations

from fractions import Fraction

from planpress.base.display import Figure, Item, Text, TypeMeasure
from planpress.base.edition import Edition
from planpress.figures import marks, style
from planpress.figures.callouts import callout
from planpress.figures.detail_parts import (
    FRAME,
    LEFT,
    SHOULDER,
    TALLEST,
    VIEW_GAP,
    Placed,
    face_is_up,
    finished,
    only,
    sizes_beside,
    span_across,
    stretch_window,
    turned_end,
)
from planpress.figures.dimensions import FIRST, OVERRUN, STEP, Label, Span, level, upright, upright_offsets
from planpress.figures.extents import bounds, figure_height
from planpress.figures.part_bodies import PartBodies
from planpress.figures.part_cut_notes import fits_a_mate, kind_name
from planpress.figures.part_groups import end_of, is_end_cut, is_through, lie_of
from planpress.figures.part_notes import NotchKind, capsule_words
from planpress.figures.part_paint import Window
from planpress.figures.part_sides import across_size, depth_axis_value, reference_line, side_view, to_y
from planpress.figures.scales import FULL_SIZE, largest_scale
from planpress.model.records import Notch, Part, Side

_ROOM_RIGHT = 30.0
_BESIDE = 12.0  # paper: offsets from here on stand beside the width, on one line
_KEPT_OFFSET = 45.0  # paper: a reference edge this near is shown with the cut


def pocket_detail(
    kind: NotchKind, bodies: PartBodies, edition: Edition, measure: TypeMeasure, most: Fraction = FULL_SIZE
) -> Figure:
    """The detail of a mortise, housing, rabbet or groove, with its title; drawn at the scale `most` or smaller."""
    draw = {"pocket": _mortise, "across": _across, "along": _along}[lie_of(kind.first, bodies.part)]
    return draw(kind, bodies, edition, measure, most)


def _below(edition: Edition) -> Side:
    """The edge whose view stands below that of the face."""
    return Side.UPPER if edition.is_metric else Side.LOWER


def _mortise(kind: NotchKind, bodies: PartBodies, edition: Edition, measure: TypeMeasure, most: Fraction) -> Figure:
    """The side it opens on, and how deep it goes in the view beside it."""
    notch, part = kind.first, bodies.part
    letter = part.letter
    opens = only(side_view(bodies, notch.side), kind.notches)
    other = only(side_view(bodies, _below(edition) if notch.side.axis == 2 else Side.FACE), kind.notches)
    deep_below = notch.side.axis == 2 or (notch.side is Side.UPPER) != edition.is_metric
    low, high = (float(u) for u in notch.span)
    if notch.direction is not None:
        drift = float(notch.direction[0] / abs(notch.direction[notch.side.axis]) * (notch.start + notch.depth))
        low, high = min(low, low + drift), max(high, high + drift)
    sizes = _across_sizes(notch, part, edition)
    through = is_through(notch, part)
    deep = [] if through else [_depth_size(notch, part, other.side, edition)]

    def fits(scale: Fraction) -> bool:
        s = float(scale)
        room = [
            upright_offsets([Span(a * s, b * s, 0, 0, Label(t)) for a, b, _, _, t in spans], measure)[-1]
            for spans in (sizes, deep)
            if spans
        ]
        wide = LEFT + 2 * SHOULDER + (high - low) * s + max(room, default=0.0)
        return wide <= FRAME and (opens.height + other.height) * s + VIEW_GAP <= TALLEST

    scale = largest_scale(fits, edition, most)
    s = float(scale)
    window = stretch_window(low, high, opens.length, s, LEFT, 0.0)
    main = Placed(opens, window)
    items = main.items(letter)
    items += sizes_beside(main, sizes, measure, letter)
    near, far = notch.span
    way = 1 if deep_below else -1
    border = main.top if way > 0 else 0.0
    edges = _mouth_edges(notch, part, main, way)
    length = Span(main.x(near), main.x(far), edges, edges, Label(edition.joint(far - near)), letter)
    items += level(length, border + way * FIRST, measure)
    if notch.radius > 0:
        narrow = length.length < length.label.width(measure) + 3.0
        items += _radius(notch, part, main, way, 14.0 if narrow else 6.0, edition)
    items += _own_size(main, edition.length(across_size(notch.side, part)), measure, letter)
    y = -VIEW_GAP - other.height * s if deep_below else main.top + VIEW_GAP
    beside = Placed(other, Window(window.x, y, s, window.start, window.end, window.cut_near, window.cut_far))
    items += beside.items(letter)
    items += sizes_beside(beside, deep, measure, letter)
    items += _own_size(beside, edition.length(across_size(other.side, part)), measure, letter)
    words = f"{edition.joint(far - near)} long, {edition.joint(notch.across[1] - notch.across[0])} wide"
    return finished(items, kind_name(kind, part), words, scale, measure, letter)


def _mouth_edges(notch: Notch, part: Part, placed: Placed, way: int) -> float:
    """Paper y of the upper (way 1) or lower border of a cut's mouth."""
    ys = [placed.y(to_y(notch.side, part)(s)) for s in notch.across]
    return max(ys) if way > 0 else min(ys)


def _across_sizes(notch: Notch, part: Part, edition: Edition) -> list[tuple[float, float, float, float, str]]:
    """Width of a mortise and its distance from the reference edge or face."""
    low, high = notch.across
    end = float(notch.span[1])
    out = [span_across(notch.side, part, low, high, (end, end), edition.joint(high - low))]
    line = reference_line(notch.side, part)
    near = high if line > 0 else low
    if near != line:
        a, b = sorted((near, line))
        out.append(span_across(notch.side, part, a, b, (end, end), edition.joint(b - a)))
    return out


def _depth_size(notch: Notch, part: Part, side: Side, edition: Edition) -> tuple[float, float, float, float, str]:
    """The depth, seen from a side square to the one it opens on."""
    opens = depth_axis_value(notch.side, part)
    floor = opens - notch.start - notch.depth if notch.side.is_far else notch.start + notch.depth
    mouth = opens - notch.start if notch.side.is_far else notch.start
    a, b = sorted((mouth, floor))
    end = float(notch.span[1])
    return span_across(side, part, a, b, (end, end), edition.joint(notch.depth))


def _radius(notch: Notch, part: Part, placed: Placed, way: int, rise_: float, edition: Edition) -> list[Item]:
    """A leader to a rounded corner at the far end of the cut."""
    s = placed.window.scale
    r = min(float(notch.radius), float(notch.across[1] - notch.across[0]) / 2)
    x = placed.x(float(notch.span[1]) - r * 0.2929)
    y = _mouth_edges(notch, part, placed, way) - way * r * 0.2929 * s
    border = placed.top if way > 0 else placed.window.y
    elbow = (x + 5.0, border + way * rise_ - (figure_height(style.LETTER_SIZE) if way < 0 else 0.0))
    return list(callout((x, y), elbow, [f"R\u00a0{edition.joint(notch.radius)}"], part.letter))


def _own_size(placed: Placed, text: str, measure: TypeMeasure, source: str) -> list[Item]:
    """The part's size across, left of a view."""
    span = Span(placed.window.y, placed.top, placed.left, placed.left, Label(text), source)
    return list(upright(span, placed.left - 6.0, measure))


def _across(kind: NotchKind, bodies: PartBodies, edition: Edition, measure: TypeMeasure, most: Fraction) -> Figure:
    """The profile of a housing or rabbet that runs across the part, seen from the edge (or on the face)."""
    notch, part = kind.first, bodies.part
    letter = part.letter
    side = _profile_side(notch, part, edition)
    view = only(side_view(bodies, side), kind.notches)
    here = depth_axis_value(side, part)
    low_s, high_s = notch.across
    near, far = notch.shoulders(min(max(here, low_s), high_s))

    def fits(scale: Fraction) -> bool:
        s = float(scale)
        return view.height * s <= TALLEST / 2 and LEFT + 2 * SHOULDER + float(far - near) * s + 14.0 <= FRAME

    scale = largest_scale(fits, edition, most)
    s = float(scale)
    placed = Placed(view, stretch_window(float(near), float(far), view.length, s, LEFT, 0.0))
    items = placed.items(letter)
    up = to_y(side, part)(depth_axis_value(notch.side, part)) > 0
    border, way = (placed.top, 1) if up else (0.0, -1)
    items += _width(notch, (placed.x(near), placed.x(far)), border, way, 0.0, edition, measure, letter)
    at = float(far)
    mouth, floor = (view.height, view.height - float(notch.depth)) if up else (0.0, float(notch.depth))
    low, high = sorted((mouth, floor))
    items += sizes_beside(placed, [(low, high, at, at, edition.joint(notch.depth))], measure, letter)
    items += _own_size(placed, edition.length(across_size(side, part)), measure, letter)
    return finished(items, kind_name(kind, part), f"{edition.joint(notch.depth)} deep", scale, measure, letter)


def _profile_side(notch: Notch, part: Part, edition: Edition) -> Side:
    """A side square to the one the cut opens on, preferably one that it runs out of."""
    if notch.side.axis == 1:
        return Side.FACE
    below = _below(edition)
    low, high = notch.across
    runs_out = {Side.LOWER: low == 0, Side.UPPER: high == part.width}
    return below if runs_out[below] or not runs_out[below.opposite] else below.opposite


def _width(
    notch: Notch,
    at: tuple[float, float],
    border: float,
    way: int,
    far_out: float,
    edition: Edition,
    measure: TypeMeasure,
    source: str,
) -> list[Item]:
    """The width of a cut beyond its open side: the sign of its mate if it must fit it, else the number."""
    left, right = at
    y = border + way * (7.0 + far_out)
    if not fits_a_mate(notch):
        return list(level(Span(left, right, border, border, Label(edition.joint(notch.width)), source), y, measure))
    span = Span(left, right, border, border, Label(""), source)
    items: list[Item] = [i for i in level(span, y, measure) if not isinstance(i, Text)]
    gap = OVERRUN if way > 0 else 0.0
    centre = ((left + right) / 2, y + way * (max(gap, 1.2) + 0.8 + marks.CAPSULE_HEIGHT / 2))
    return [*items, *marks.capsule(centre, capsule_words(notch), measure, source)]


def _along(kind: NotchKind, bodies: PartBodies, edition: Edition, measure: TypeMeasure, most: Fraction) -> Figure:
    """The profile of a cut along the part, seen on an end that lies on its side."""
    notch, part = kind.first, bodies.part
    letter = part.letter
    end = _seen_end(notch, part)
    view = only(turned_end(bodies, end), kind.notches)
    up = face_is_up(end, part)
    lower = part.reference_edge is Side.LOWER

    def x_of(v: Fraction) -> float:
        return float(v if lower else part.width - v)

    def y_of(w: Fraction) -> float:
        return float(w if up else part.thickness - w)

    if notch.side.axis == 2:
        low, high = sorted(x_of(v) for v in notch.across)
    else:
        low, high = sorted((x_of(depth_axis_value(notch.side, part)), x_of(_floor(notch, part))))

    def whole_offset(s: float) -> bool:
        return low * s <= _KEPT_OFFSET

    def fits(scale: Fraction) -> bool:
        s = float(scale)
        shown = (high if whole_offset(s) else high - low + SHOULDER / s) * s + SHOULDER
        return LEFT + shown + _ROOM_RIGHT <= FRAME and view.height * s <= TALLEST / 2

    scale = largest_scale(fits, edition, most)
    s = float(scale)
    window = stretch_window(0.0 if whole_offset(s) else low, high, view.length, s, LEFT, 0.0)
    placed = Placed(view, window)
    items = placed.items(letter)
    if notch.side.axis == 2:
        opens_up = (notch.side is Side.FACE) == up
        border, way = (placed.top, 1) if opens_up else (0.0, -1)
        far_out = 0.0
        if whole_offset(s) and low > 0:
            edge = border if low * s < _BESIDE else None  # else the width's extension line serves both
            offset = Span(placed.x(0), placed.x(low), border, edge, Label(edition.joint(_offset(notch, part))), letter)
            items += level(offset, border + way * 7.0, measure)
            far_out = STEP if low * s < _BESIDE else 0.0
        items += _width(notch, (placed.x(low), placed.x(high)), border, way, far_out, edition, measure, letter)
        floor = y_of(_floor(notch, part))
        mouth = view.height if opens_up else 0.0
        a, b = sorted((mouth, floor))
        items += sizes_beside(placed, [(a, b, high, high, edition.joint(notch.depth))], measure, letter)
    else:
        w_low, w_high = notch.across
        a, b = sorted((y_of(w_low), y_of(w_high)))
        at = high
        spans = [(a, b, at, at, edition.joint(w_high - w_low))]
        face = y_of(part.thickness)
        near = b if up else a
        if abs(face - near) > 1e-6:
            c, d = sorted((near, face))
            spans.append((c, d, at, at, edition.joint(part.thickness - w_high)))
        items += sizes_beside(placed, spans, measure, letter)
        foot = placed.window.y
        span = Span(placed.x(low), placed.x(high), foot, foot, Label(edition.joint(notch.depth)), letter)
        items += level(span, foot - FIRST, measure)
    items += _own_size(placed, edition.length(part.thickness), measure, letter)
    caption = f"{end.value}, reference face {'up' if up else 'down'}"
    y = bounds(items, measure)[1] - 1.5 - figure_height(style.CAPTION_SIZE)
    items.append(Text((placed.left, y), caption, size=style.CAPTION_SIZE, colour=style.SECONDARY, source=letter))
    return finished(items, kind_name(kind, part), f"{edition.joint(notch.depth)} deep", scale, measure, letter)


def _seen_end(notch: Notch, part: Part) -> Side:
    """An end that the cut runs out of, preferably one without a joint of its own."""
    reached = [Side.FAR_END] if notch.span[1] == part.length else []
    reached += [Side.NEAR_END] if notch.span[0] == 0 else []
    jointed = [end_of(n) for n in part.notches if is_end_cut(n)]
    return next((end for end in [*reached, Side.FAR_END, Side.NEAR_END] if end not in jointed), Side.FAR_END)


def _floor(notch: Notch, part: Part) -> Fraction:
    level_ = depth_axis_value(notch.side, part)
    deep = notch.start + notch.depth
    return level_ - deep if notch.side.is_far else level_ + deep


def _offset(notch: Notch, part: Part) -> Fraction:
    """From the reference edge (or face) to the nearer wall of the cut."""
    low, high = notch.across
    line = reference_line(notch.side, part)
    return line - high if line > 0 else low
