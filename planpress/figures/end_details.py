"""Details of joints at the ends of a part: tenons, forks of bridles, fingers, tails, pins, slots in the end."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from fractions import Fraction

from planpress.base.display import Anchor, Figure, Item, Role, Text, TypeMeasure, line
from planpress.base.edition import Edition
from planpress.base.printing import write_angle
from planpress.figures import style
from planpress.figures.callouts import angle, callout
from planpress.figures.detail_parts import (
    FRAME,
    LEFT,
    SHOULDER,
    TALLEST,
    Placed,
    face_is_up,
    finished,
    levels_beside,
    sizes_beside,
    span_across,
    stretch_window,
    turned_end,
)
from planpress.figures.dimensions import Label, Span, stack_levels, upright_offsets
from planpress.figures.extents import bounds, figure_height, moved
from planpress.figures.part_bodies import PartBodies
from planpress.figures.part_cut_notes import end_joint_name, slope_of, slope_words
from planpress.figures.part_groups import EndJoint, is_through
from planpress.figures.part_paint import Window
from planpress.figures.part_sides import across_size, depth_axis_value, end_u, reference_line, side_view, to_y
from planpress.figures.running import FIRST, Value, positions_table, running_row
from planpress.figures.scales import FULL_SIZE, largest_scale
from planpress.model.records import Notch, Part, Side
from planpress.model.tenon_sizes import SquaredTenon, squared_tenon

_MOST_LEVELS = 16  # in one upright row
_END_GAP = 8.0
_TENON_GAP = 24.0  # between the views of a tenon: sizes of both stand there
_PIN_FRAME = 176.0
_PIN_LEFT = 14.0
_ROW_ROOM = 28.0
_TAILS_ROOM = 33.0


def end_detail(
    joint: EndJoint, bodies: PartBodies, edition: Edition, measure: TypeMeasure, most: Fraction = FULL_SIZE
) -> Figure:
    """The detail of a joint at an end, with its title; as high as it needs; drawn at the scale `most` or smaller."""
    if joint.form == "pins":
        return _pins(joint, bodies, edition, measure, most)
    return _EndViews(joint, bodies, edition, measure).figure(most)


def reach_of(joint: EndJoint, part: Part) -> Fraction:
    """How far (mm) the cuts reach from the end along the part."""
    far = joint.end.is_far
    reaches = [n.depth if n.side.axis == 0 else part.length - n.span[0] if far else n.span[1] for n in joint.notches]
    return max(reaches)


def from_end(notch: Notch, joint: EndJoint, part: Part) -> Fraction:
    """How far from the end a cut's shoulder is, on the line that positions are marked on."""
    if notch.side.axis == 0:
        return notch.depth
    tip, shoulder = length_span(notch, joint, part)
    return abs(tip - shoulder)


def length_span(notch: Notch, joint: EndJoint, part: Part) -> tuple[Fraction, Fraction]:
    """The u of the end and of a cut's shoulder on the line that positions are marked on."""
    far = joint.end.is_far
    end = part.ends[1 if far else 0]
    if notch.side.axis == 0:
        tip = part.length if far else Fraction(0)
        return tip, tip - notch.depth if far else notch.depth
    low, high = notch.across
    line = min(max(reference_line(notch.side, part), low), high)
    level = depth_axis_value(notch.side, part)
    v, w = (line, level) if notch.side.axis == 2 else (level, line)
    shoulders = notch.shoulders(line)
    return end_u(end, v, w), shoulders[0] if far else shoulders[1]


def slot_thickness(notch: Notch, part: Part) -> tuple[Fraction, Fraction]:
    """Where a slot for a spline begins and ends through the thickness (w, mm)."""
    if notch.side.axis == 0:
        ws = [w for _, w in notch.outline]
        return min(ws), max(ws)
    if notch.side.axis == 1:
        return notch.across
    low = notch.start
    if notch.side is Side.FACE:
        low = part.thickness - notch.start - notch.depth
    return low, low + notch.depth


def levels_at_end(joint: EndJoint, part: Part) -> list[Fraction]:
    """Second coordinates at which the walls of slots and sockets meet the end, inside the part, in order."""
    out: set[Fraction] = set()
    for notch in joint.of_role("slot", "socket", "kerf"):
        if notch.side.axis == 0:
            continue
        reach = max(p[0] for p in notch.outline) if joint.end.is_far else min(p[0] for p in notch.outline)
        out |= {p[1] for p in notch.outline if p[0] == reach}
    size = part.width if joint.notches[0].side.axis == 2 else part.thickness
    return sorted(level for level in out if 0 < level < size)


class _EndViews:
    """The views of one end: the face, for tenons the edge below it and the end beside it."""

    def __init__(self, joint: EndJoint, bodies: PartBodies, edition: Edition, measure: TypeMeasure) -> None:
        self.joint, self.bodies, self.edition, self.measure = joint, bodies, edition, measure
        self.part = bodies.part
        self.letter = self.part.letter
        self.squared = squared_tenon(self.part, joint.joint, joint.end)
        slots = joint.of_role("slot", "socket")
        self.is_tenon = joint.form in ("tenon", "slot")  # the edge and the end are shown, too
        by_edge = bool(slots) and all(n.side.axis == 1 for n in slots) and not self.is_tenon
        self.below = Side.UPPER if edition.is_metric else Side.LOWER  # the edge whose view stands below
        self.main = self.below if by_edge else Side.FACE
        if slots and not self.is_tenon and not is_through(slots[0], self.part):
            self.main = slots[0].side
        self.reach = reach_of(joint, self.part)
        self.way = 1 if joint.end.is_far else -1  # sizes stand beyond the end

    def figure(self, most: Fraction) -> Figure:
        """Draw at the largest scale up to `most` at which all fits."""
        scale = largest_scale(self._fits, self.edition, most)
        items = self._items(float(scale))
        title = end_joint_name(self.joint, self.letter)
        words = f"shoulder {self.edition.length(self.reach)} from the end"
        return finished(items, title, words, scale, self.measure, self.letter)

    def _fits(self, scale: Fraction) -> bool:
        s = float(scale)
        wide = (LEFT if self.way > 0 else 0.0) + SHOULDER + float(self.reach) * s + self._room_right(s)
        high = float(across_size(self.main, self.part)) * s
        if self.is_tenon:
            wide += _END_GAP + float(self.part.thickness) * s + (0.0 if self.way > 0 else SHOULDER)
            high += _TENON_GAP + float(self.part.thickness) * s
        return wide <= FRAME and high <= TALLEST

    def _room_right(self, s: float) -> float:
        spans = [Span(a * s, b * s, 0.0, 0.0, Label(t)) for a, b, _, _, t in self._sizes(self.main)]
        if self.is_tenon:
            edge = [Span(a * s, b * s, 0.0, 0.0, Label(t)) for a, b, _, _, t in self._sizes(self.below)]
            return max(upright_offsets(spans, self.measure)[-1], upright_offsets(edge, self.measure)[-1])
        if self.joint.form == "tails":
            return _TAILS_ROOM
        return _ROW_ROOM if self._in_row() else upright_offsets(spans, self.measure)[-1]

    def _window(self, s: float, y: float) -> Window:
        x = LEFT if self.way > 0 else self._room_right(s)
        length, reach = float(self.part.length), float(self.reach)
        low, high = (length - reach, length) if self.joint.end.is_far else (0.0, reach)
        return stretch_window(low, high, length, s, x, y)

    def _items(self, s: float) -> list[Item]:
        main = Placed(side_view(self.bodies, self.main), self._window(s, 0.0))
        items = main.items(self.letter)
        if self._in_row():
            levels = self._row_levels()
            from_top = self._measures_from_top(self.main)
            items += levels_beside(levels, from_top, main, self.way, self.edition, self.measure, self.letter)
        else:
            items += sizes_beside(main, self._sizes(self.main), self.measure, self.letter, self.way)
        lengths = self._lengths(self.main.axis)
        items += self._level_sizes(main, lengths, 1)
        items += self._leans(main)
        if self.joint.form == "tails":
            items += self._wall_slope(main, bounds(items, self.measure)[1])
        if self.is_tenon:
            y = -_TENON_GAP - float(self.part.thickness) * s
            edge = Placed(side_view(self.bodies, self.below), self._window(s, y))
            items += edge.items(self.letter)
            items += sizes_beside(edge, self._sizes(self.below), self.measure, self.letter, self.way)
            items += self._level_sizes(edge, [d for d in self._lengths(1) if d not in lengths], -1)
            room = self._room_right(s) if self.way > 0 else SHOULDER / 2
            items += self._end_view(main.right + room + _END_GAP, s)
        return items

    def _end_view(self, x: float, s: float) -> list[Item]:
        """The end itself, level with the face."""
        view = side_view(self.bodies, self.joint.end)
        placed = Placed(view, Window(x, 0.0, s, 0.0, view.length))
        word = self.joint.end.value
        middle = (placed.left + placed.right) / 2
        y = -2.4 - figure_height(style.CAPTION_SIZE)
        width = self.measure.width(word, Text((0, 0), "").face, style.CAPTION_SIZE)
        middle = min(middle, FRAME - width / 2)
        caption = Text((middle, y), word, size=style.CAPTION_SIZE, colour=style.SECONDARY, anchor=Anchor.MIDDLE)
        return [*placed.items(self.letter), caption]

    def _in_row(self) -> bool:
        """True if the levels are told by one running row."""
        return len(self._row_levels()) > (0 if self.joint.form in ("fingers", "tails") else 2)

    def _row_levels(self) -> list[Fraction]:
        """Distances of all walls from the reference edge (or face)."""
        levels = levels_at_end(self.joint, self.part)
        size = across_size(self.main, self.part)
        if self.is_tenon:
            gaps = [n for n in self.joint.of_role("slot") if n.side.axis == 2]
            low, high = self._tenon(1)
            levels = sorted({low, high, *(p for n in gaps for p in n.across)}) if gaps else []
            levels = [v for v in levels if 0 < v < size]
        if reference_line(self.main, self.part) > 0:
            levels = [size - level for level in reversed(levels)]
        if len(levels) > _MOST_LEVELS:
            return [*levels[:2], levels[-1]]  # the notes tell their number and pitch
        return levels

    def _measures_from_top(self, side: Side) -> bool:
        return to_y(side, self.part)(reference_line(side, self.part)) > 0

    def _tenon(self, axis: int) -> tuple[Fraction, Fraction]:
        """Where the tenon begins and ends across the width (axis 1) or thickness (axis 2), at its tip."""
        if self.squared is not None:
            return self.squared.tip[axis - 1]
        low, high = Fraction(0), self.part.size_along(axis)
        full = self.part.size_along(axis)
        for notch in self.joint.of_role("cheek"):
            if notch.side.axis == axis:
                if notch.side.is_far:
                    high = min(high, full - notch.depth)
                else:
                    low = max(low, notch.depth)
        return low, high

    def _across(self, axis: int) -> tuple[Fraction, Fraction]:
        if self.joint.form == "tenon":
            return self._tenon(axis)
        return (Fraction(0), self.part.width) if axis == 1 else slot_thickness(self.joint.notches[0], self.part)

    def _sizes(self, side: Side) -> list[tuple[float, float, float, float, str]]:
        """Sizes across a view at the end: the tenon or slot, and how far it stands from the reference."""
        part = self.part
        at = float(part.length) if self.joint.end.is_far else 0.0
        if self.is_tenon:
            if side is Side.FACE and self._in_row():
                return []
            low, high = self._across(1 if side is Side.FACE else 2)
        else:
            levels = levels_at_end(self.joint, part)
            if len(levels) != 2:
                levels = [n.across[i] for n in self.joint.notches[:1] for i in (0, 1)]
            low, high = levels[0], levels[-1]
        size = part.width if side.axis == 2 else part.thickness
        if low == 0 and high == size:
            return []
        spans = [span_across(side, part, low, high, (at, at), self.edition.joint(high - low))]
        line = reference_line(side, part)
        near = high if line > 0 else low
        if near != line:
            a, b = sorted((near, line))
            spans.append(span_across(side, part, a, b, (at, at), self.edition.joint(b - a)))
        return spans

    def _lengths(self, axis: int) -> list[Fraction]:
        """Distances from the end that a view shows (axis 2: the face, 1: the edge), in rising order."""
        if self.joint.form == "slot":
            return []
        across = 1 if axis == 2 else 2
        if self.squared is not None:  # its notes tell it
            return []
        found: set[Fraction] = set()
        cheeks = self.joint.of_role("cheek")
        if any(n.skew != 0 for n in cheeks):
            told = min(cheeks, key=lambda n: (n.side.axis != axis, not n.side.is_far))
            return [from_end(told, self.joint, self.part)] if axis == 2 else []
        for notch in self.joint.notches:
            seen = notch.side.axis == across if notch.role == "cheek" else notch.side.axis == axis
            if notch.side.axis == 0 or seen or not self.is_tenon:
                found.add(from_end(notch, self.joint, self.part))
        return sorted(found)

    def _level_sizes(self, placed: Placed, lengths: Sequence[Fraction], way: int) -> list[Item]:
        """How long the tenon is, how deep slots are."""
        border = placed.top if way > 0 else placed.window.y
        far, line = self.joint.end.is_far, reference_line(placed.view.side, self.part)
        end, level = self.part.ends[1 if far else 0], depth_axis_value(placed.view.side, self.part)
        tip = end_u(end, *((line, level) if placed.view.side.axis == 2 else (level, line)))
        spans = []
        for length in lengths:
            a, b = sorted((float(tip), float(tip - length if far else tip + length)))
            label = Label(self.edition.length(length))
            spans.append(Span(placed.x(a), placed.x(b), border, border, label, self.letter))
        return list(stack_levels(spans, border, way, self.measure, FIRST))

    def _leans(self, placed: Placed) -> list[Item]:
        """The angle of a leaning shoulder, and of the walls of tails."""
        if self.squared is not None:
            return self._squared_angle(placed, self.squared)
        for notch in self.joint.notches:
            if notch.role == "cheek" and notch.side.axis == 2 and notch.skew != 0 and self.main is Side.FACE:
                return self._shoulder_angle(notch, placed)
        return []

    def _squared_angle(self, placed: Placed, tenon: SquaredTenon) -> list[Item]:
        """The angle of its shoulder on the face, where the shoulder comes nearest to the end."""
        width, w = self.part.width, self.part.thickness
        us = [tenon.shoulder.u_at(v, w) for v in (Fraction(0), width)]
        skew = math.degrees(math.atan(float((us[1] - us[0]) / width)))
        if abs(skew) < 0.01:
            return []
        from_low = (skew > 0) == self.joint.end.is_far
        foot = placed.window.at((float(us[0] if from_low else us[1]), 0.0 if from_low else float(width)))
        square = 90.0 if from_low else -90.0
        radius = min(29.0, float(width) * placed.window.scale * 0.72)
        words = write_angle(abs(Fraction(round(skew * 10**6), 10**6)))
        return list(angle(foot, square, square - skew, words, self.measure, radius, radius + 3.0, self.letter))

    def _shoulder_angle(self, notch: Notch, placed: Placed) -> list[Item]:
        low, high = notch.across
        from_low = (notch.skew > 0) == self.joint.end.is_far
        second = low if from_low else high
        near, far = notch.shoulders(second)
        foot = placed.window.at((float(near if self.joint.end.is_far else far), float(second)))
        radius = min(29.0, float(high - low) * placed.window.scale * 0.72)
        square = 90.0 if from_low else -90.0
        leg = square - float(notch.skew)
        words = write_angle(abs(notch.skew))
        return list(angle(foot, square, leg, words, self.measure, radius, radius + 3.0, self.letter))

    def _wall_slope(self, placed: Placed, low: float) -> list[Item]:
        """A leader to the lowest wall of the sockets that leans, from below all else: its slope and angle."""
        far, n = self.joint.end.is_far, slope_of(self.joint)
        flip = to_y(self.main, self.part)
        walls = [
            ((flip(a[1]), float(a[0])), (flip(b[1]), float(b[0])))
            for notch in self.joint.notches
            for a, b in itertools.pairwise([*notch.outline, notch.outline[0]])
            if a[0] != b[0] and a[1] != b[1]
        ]
        if n is None or not walls:
            return []
        (y0, u0), (y1, u1) = min(walls, key=lambda wall: (min(wall[0][0], wall[1][0]), wall))
        target = placed.window.at(((u0 + u1) / 2, (y0 + y1) / 2))
        angle_ = write_angle(Fraction(round(math.degrees(math.atan(1 / float(n))) * 10**6), 10**6))
        x = placed.right + 4.0 if far else placed.left - 4.0
        words = f"{slope_words(n)}, {angle_}"
        return list(callout(target, (x, low - 5.0), [words], self.letter))


def _pins(joint: EndJoint, bodies: PartBodies, edition: Edition, measure: TypeMeasure, most: Fraction) -> Figure:
    """The end lying on its side, positions of the sockets' walls on the reference face from the reference edge."""
    part = bodies.part
    view = turned_end(bodies, joint.end)
    values = pin_places(joint, part)

    last = max(values, default=part.width)
    broken = last * 3 < part.width * 2  # the rest of a wide board is left out

    def wide(scale: Fraction) -> float:
        return float(last * scale) + SHOULDER if broken else float(part.width * scale)

    def fits(scale: Fraction) -> bool:
        return wide(scale) + 2 * _PIN_LEFT <= _PIN_FRAME and float(part.thickness * scale) <= 40.0

    def fits_beside(scale: Fraction) -> bool:
        return fits(scale) and wide(scale) + 2 * _PIN_LEFT <= FRAME and len(values) * 5.2 <= wide(scale)

    whole = largest_scale(fits, edition, most)
    try:
        scale = largest_scale(fits_beside, edition, most)
    except ValueError:
        scale = whole
    if scale * 2 < whole:
        scale = whole
    width = FRAME if fits_beside(scale) else _PIN_FRAME
    s = float(scale)
    window = Window(_PIN_LEFT, 0.0, s, 0.0, view.length)
    if broken:
        window = stretch_window(0.0, float(last), view.length, s, _PIN_LEFT, 0.0)
    placed = Placed(view, window)
    items = placed.items(part.letter)
    up = face_is_up(joint.end, part)
    way = 1 if up else -1
    border = placed.top if up else 0.0
    zero = Value(placed.x(0), border, Label("0"), part.letter)
    stops = [Value(placed.x(v), border, Label(edition.length(v)), part.letter) for v in values]
    if not broken:
        stops.append(Value(placed.x(part.width), border, Label(edition.length(part.width), bold=True), part.letter))
    row = running_row(zero, stops, border + way * FIRST, way, measure)
    items += row.items
    items += _slope_angle(joint, placed, up, measure)
    words = f"{joint.end.value}, reference face {'up' if up else 'down'}"
    low, high = (bounds(items, measure)[i] for i in (1, 3))
    y = low - 1.5 - figure_height(style.CAPTION_SIZE) if up else high + 1.5
    caption = Text((placed.left, y), words, size=style.CAPTION_SIZE, colour=style.SECONDARY, source=part.letter)
    items.append(caption)
    if row.numbered:
        low = bounds(items, measure)[1]
        items += moved(positions_table(row.numbered, measure, width - placed.left), placed.left, low - 2.0)
    return finished(items, end_joint_name(joint, part.letter), words, scale, measure, part.letter, width)


def pin_places(joint: EndJoint, part: Part) -> list[Fraction]:
    """Where the walls of the sockets in an end meet the reference face, from the reference edge, in order."""
    out: set[Fraction] = set()
    for notch in joint.notches:
        if notch.side.axis == 0:
            on_face = [v for v, w in notch.outline if w == part.thickness]
            out |= set(on_face) or {v for v, _ in notch.outline}
    from_edge = [part.width - v if part.reference_edge is Side.UPPER else v for v in out]
    return sorted(v for v in from_edge if 0 < v < part.width)


def _slope_angle(joint: EndJoint, placed: Placed, up: bool, measure: TypeMeasure) -> list[Item]:
    """The angle of the last wall that leans to a line square to the face, beyond the back."""
    source, height = joint.mates[0] if joint.mates else "", placed.view.height
    walls = [
        sorted((a, b), key=lambda p: p[1])
        for waste in placed.view.wastes
        for a, b in itertools.pairwise([*waste.polygon, waste.polygon[0]])
        if abs(abs(b[1] - a[1]) - height) < 1e-3 < abs(b[0] - a[0])
    ]
    if not walls:
        return []
    low, high = max(walls, key=lambda wall: wall[0][0])
    vertex, tip = (placed.window.at(p) for p in ((high, low) if up else (low, high)))
    leg = math.atan2(tip[1] - vertex[1], tip[0] - vertex[0])
    lean = abs(math.degrees(leg)) - 90.0
    words = write_angle(Fraction(round(abs(lean) * 10**6), 10**6))
    radius = max(height * placed.window.scale + 6.0, 14.0)
    beyond = (vertex[0] + (radius + 2.0) * math.cos(leg), vertex[1] + (radius + 2.0) * math.sin(leg))
    return [
        line(tip, beyond, style.DIMENSION, Role.EXTENSION, source),
        *angle(vertex, -90.0 if up else 90.0, math.degrees(leg), words, measure, radius, radius + 3.0, source),
    ]
