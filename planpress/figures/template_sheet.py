"""How a template lies across its tiles: the wood, the running dimensions beside it, the register crosses.

Millimetres on paper; x from the left of the tile. All tiles of a template share one arrangement across, so that crosses
and outlines meet.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from fractions import Fraction

from attrs import field, frozen

from planpress.base.display import Face, TypeMeasure
from planpress.base.edition import Edition
from planpress.figures import marks, style
from planpress.figures.dimensions import OVERRUN, Label
from planpress.figures.part_cut_notes import fits_a_mate
from planpress.figures.polygon_cuts import Segment2
from planpress.figures.running import TURNED_STEP
from planpress.figures.template_outlines import Cutout, TemplateOutline
from planpress.figures.tiles import TileArea, Window
from planpress.geometry.polygons import Point2
from planpress.model.records import Part, Side

COLUMN = 10.0  # from the wood to the line of the running dimensions
VALUE_CLEAR = 1.1  # between an extension line and its value
JOG = 3.0
CROSS = 5.0  # half the size of a register cross
_LOOSE = 8.0  # of the space left over: moves the wood away from the crosses
_AFTER_VALUES = 1.5
#: What the grey strip says, with the number of the next tile.
STRIP_WORDS = ("Leave this strip:", "tile\u00a0{} lies on it")
_LABEL_ROOM = 26.0
_BODY_KEPT = Fraction(20)  # wood shown beyond the deepest notch where the width is broken
_LEAST_ZONE = Fraction(40)


@frozen
class Reading:
    """A running value: a position from the reference end.

    Attributes:
        u: position, mm. second: where its extension line starts, across. label: as printed. fits: the capsule beside
        it, "" if none.
    """

    u: Fraction
    second: Fraction
    label: Label
    fits: str = ""


@frozen
class Zone:
    """The width of a side that a template shows: from `low` to `high` in the second coordinate.

    `border` is the border of the side that the running dimensions stand at; it is always shown.
    """

    low: Fraction
    high: Fraction
    border: Side

    def holds(self, cutout: Cutout) -> bool:
        """True if any of a notch lies in the zone."""
        seconds = [p[1] for p in cutout.area]
        return min(seconds) < self.high and max(seconds) > self.low


@frozen
class Arrangement:
    """Where things are across the tiles.

    Attributes:
        outline, zone: what is shown. left: x of the left border of the wood shown.
        column: x of the running dimensions' line; way: 1 if values stand to its right, -1 to its left.
        crosses: x of the two register crosses. values: how far values reach from the line.
        words: x where the words of the join line start, None if they have no room there.
    """

    outline: TemplateOutline
    zone: Zone
    left: float
    column: float
    way: int
    crosses: tuple[float, float]
    values: float
    words: float | None
    readings: tuple[Reading, ...] = field(factory=tuple)

    @property
    def right(self) -> float:
        """x of the right border of the wood shown."""
        return self.left + float(self.zone.high - self.zone.low)

    def x(self, second: Fraction) -> float:
        """x of a second coordinate."""
        view = self.outline.view
        start = min(view.x(self.zone.low), view.x(self.zone.high))
        return self.left + float(view.x(second) - start)

    def second(self, x: float) -> Fraction:
        """The second coordinate of an x, also outside the wood."""
        view = self.outline.view
        start = min(view.x(self.zone.low), view.x(self.zone.high))
        from_left = start + Fraction(x) - Fraction(self.left)
        return view.x(from_left)  # the mirroring is its own inverse

    @property
    def column_edge(self) -> float:
        """x of the border beside the running dimensions."""
        return self.right if self.way > 0 else self.left


@frozen
class Sheet:
    """What the drawing of one tile needs to know about the whole template.

    Attributes:
        index, of: number of the tile, from 1. seams: u of all join lines, in order.
    """

    part: Part
    across: Arrangement
    windows: tuple[Window, ...]
    index: int
    of: int
    seams: tuple[Fraction, ...]
    area: TileArea


def arrangements(
    outline: TemplateOutline, part: Part, edition: Edition, measure: TypeMeasure, area: TileArea
) -> Iterator[Arrangement]:
    """One arrangement for each zone to print: one for the whole side, or one for each notched border of a wide one."""
    borders = _column_borders(outline, part)
    whole = [Zone(Fraction(0), outline.view.across, borders[0])]
    first = _arranged(outline, whole[0], edition, measure, area)
    if first is not None:
        yield first
        return
    shown: list[Cutout] = []
    curves: list[int] = []
    for border in borders:
        limit = outline.view.across
        while True:
            zone = _border_zone(outline, border, limit)
            arranged = _arranged(outline, zone, edition, measure, area)
            if arranged is not None:
                break
            limit = (zone.high - zone.low) - 1
        seen = [i for i, run in enumerate(outline.shaped_runs) if any(zone.low <= p[1] <= zone.high for p in run[0])]
        if all(c in shown for c in outline.cutouts if zone.holds(c)) and all(one in curves for one in seen):
            continue
        curves += seen
        shown += [c for c in outline.cutouts if zone.holds(c)]
        yield arranged


def _column_borders(outline: TemplateOutline, part: Part) -> list[Side]:
    """Borders of the side in order of their use for running dimensions.

    That is where most notches open; the reference edge if skewed ones make the positions depend on it.
    """
    view = outline.view
    reference = part.reference_edge if part.reference_edge in view.borders else view.borders[1]
    if any(c.kind == "band" for c in outline.cutouts):
        first = reference
    else:
        opens = [c.border for c in outline.cutouts]
        first = max(view.borders, key=lambda border: (opens.count(border), border is reference))
    return [first, first.opposite]


def _border_zone(outline: TemplateOutline, border: Side, limit: Fraction) -> Zone:
    depths = [c.notch.depth for c in outline.cutouts if c.border is border]
    width = max(depths) + _BODY_KEPT if depths else limit
    width = min(max(width, _LEAST_ZONE), limit, outline.view.across)
    level = outline.view.level(border)
    return Zone(level - width, level, border) if border.is_far else Zone(level, level + width, border)


def _arranged(
    outline: TemplateOutline, zone: Zone, edition: Edition, measure: TypeMeasure, area: TileArea
) -> Arrangement | None:
    """The arrangement of a zone, None if it is too wide for the tile."""
    readings = _readings(outline, zone, edition)
    jog = JOG if min(b.u - a.u for a, b in itertools.pairwise(readings)) < TURNED_STEP + 2 else 0.0
    values = OVERRUN + jog + VALUE_CLEAR + max(_width(r, measure) for r in readings)
    width = float(zone.high - zone.low)
    taken = width + COLUMN + values + _AFTER_VALUES + CROSS
    on_left = outline.view.is_left(zone.border)
    beyond = CROSS + (2.0 if on_left else 0.5)  # right of the second cross
    spare = area.width - taken - beyond - 2 * CROSS - (0.5 if on_left else 2.0)
    if spare < 0:
        return None
    shift = min(max(spare - _LABEL_ROOM, 0.0), _LOOSE)
    first = CROSS + 0.5 + min(shift, 2.5)
    shift -= min(shift, 2.5)
    if on_left:
        column = first + CROSS + _AFTER_VALUES + values
        left = column + COLUMN
        second = left + width + 2.0 + shift + CROSS
    else:
        left = first + CROSS + 2.0 + shift
        column = left + width + COLUMN
        second = column + values + _AFTER_VALUES + CROSS
    words = second + CROSS + 2.0
    widest = max(measure.width(line, Face.REGULAR, style.CAPTION_SIZE) for line in STRIP_WORDS)
    fits = words + widest <= area.width
    return Arrangement(
        outline, zone, left, column, -1 if on_left else 1, (first, second), values, words if fits else None, readings
    )


def _width(reading: Reading, measure: TypeMeasure) -> float:
    width = reading.label.width(measure)
    return width + 1.5 + marks.capsule_width(reading.fits, measure) if reading.fits else width


def _readings(outline: TemplateOutline, zone: Zone, edition: Edition) -> tuple[Reading, ...]:
    """Zero, the near side of each notch, the centre of each hole, the overall length."""
    level = outline.view.level(zone.border)
    zero = Fraction(0)
    corners = {u: _corner_at(outline, u, level) for u in (zero, outline.length)}
    out = {zero: Reading(zero, corners[zero], Label("0"))}
    shown = [c for c in outline.cutouts if zone.holds(c)]
    several = len(dict.fromkeys(fit_sign(c) for c in shown if fits_a_mate(c.notch))) > 1
    for cutout in shown:
        near, far = cutout.crossing(level)
        u = far if near <= 0 else near
        fits = fit_sign(cutout) if several and fits_a_mate(cutout.notch) else ""
        out.setdefault(u, Reading(u, _start_of(cutout, level), Label(edition.length(u)), fits))
        if cutout.notch.role == "mortise" and far < outline.length:
            out.setdefault(far, Reading(far, _start_of(cutout, level), Label(edition.length(far))))
    for hole in outline.holes:
        if zone.low <= hole.at[1] <= zone.high:
            out.setdefault(hole.at[0], Reading(hole.at[0], hole.at[1], Label(edition.length(hole.at[0]))))
    for u, second in _shape_ends(outline):
        if zone.low <= second <= zone.high:
            out.setdefault(u, Reading(u, second, Label(edition.length(u))))
    overall = Label(edition.length(outline.length), bold=True)
    out[outline.length] = Reading(outline.length, corners[outline.length], overall)
    return tuple(out[u] for u in sorted(out))


def _shape_ends(outline: TemplateOutline) -> Iterator[Point2]:
    """Where runs of the curved outline begin and end, inside the length."""
    for run in outline.shaped_runs:
        for point in (run[0][0], run[-1][1]):
            if 0 < point[0] < outline.length:
                yield point


def _corner_at(outline: TemplateOutline, u: Fraction, level: Fraction) -> Fraction:
    """The second coordinate, nearest to a level, at which the side reaches a position of its ends."""
    nearest = min(abs(p[0] - u) for p in outline.blank)
    return min((p[1] for p in outline.blank if abs(p[0] - u) == nearest), key=lambda s: abs(s - level))


def _start_of(cutout: Cutout, level: Fraction) -> Fraction:
    """Where, across, a notch comes nearest to a border."""
    return min((p[1] for p in cutout.area), key=lambda second: abs(second - level))


def fit_sign(cutout: Cutout) -> str:
    """What the notch must fit, as a capsule says it: "= A", "= A + A" for two pieces side by side."""
    return "=\u00a0" + "\u00a0+\u00a0".join(cutout.notch.mates)


def clipped(line: Segment2, low: Point2, high: Point2) -> Segment2 | None:
    """The stretch of a line in the box from `low` to `high`, borders included; None if it is outside."""
    (a0, a1), (b0, b1) = line
    lows, highs = (min(a0, b0), min(a1, b1)), (max(a0, b0), max(a1, b1))
    if highs[0] < low[0] or highs[1] < low[1] or lows[0] > high[0] or lows[1] > high[1]:
        return None
    if lows[0] >= low[0] and lows[1] >= low[1] and highs[0] <= high[0] and highs[1] <= high[1]:
        return line
    start, end = Fraction(0), Fraction(1)
    for a, b, least, most in ((a0, b0, low[0], high[0]), (a1, b1, low[1], high[1])):
        if a == b:
            if not least <= a <= most:
                return None
            continue
        near, far = sorted(((least - a) / (b - a), (most - a) / (b - a)))
        start, end = max(start, near), min(end, far)
    if start >= end:
        return None

    def at(share: Fraction) -> Point2:
        if share == 0:
            return line[0]
        return line[1] if share == 1 else (a0 + (b0 - a0) * share, a1 + (b1 - a1) * share)

    return at(start), at(end)


def chains(lines: Sequence[Segment2]) -> list[list[Point2]]:
    """Lines joined to chains where one ends and the next begins; the last joins the first of its ring."""
    out: list[list[Point2]] = []
    for a, b in lines:
        if out and out[-1][-1] == a:
            out[-1].append(b)
        else:
            out.append([a, b])
    if len(out) > 1 and out[-1][-1] == out[0][0]:
        out[0] = out.pop()[:-1] + out[0]
    return out
