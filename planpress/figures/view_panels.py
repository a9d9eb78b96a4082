"""The front, side and top view with their dimensions, each around the model's origin at the view's scale."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from attrs import frozen

from planpress.base.display import Item, Point, TypeMeasure
from planpress.base.edition import Edition
from planpress.base.printing import write_angle
from planpress.figures.callouts import ANGLE_RADIUS, angle
from planpress.figures.dimensions import FIRST, Label, Span, stack_levels, stack_uprights
from planpress.figures.running import Value, running_column, running_row, stand_level
from planpress.figures.view_lines import ViewLines, painted
from planpress.figures.view_sizes import MOST_IN_ROW, Box, Extent, Lean, Repeated
from planpress.geometry.vectors import SAME
from planpress.model.records import SolvedPlan

_ROW_STEP = 16.0  # between running rows


@frozen
class Sizes:
    """Everything the views dimension (see `view_sizes`)."""

    depths: tuple[Extent, ...]
    heights: tuple[tuple[Fraction, Box], ...]
    rows: tuple[Repeated, ...]
    assemblies: tuple[Box, ...]
    side_leans: tuple[Lean, ...]
    front_leans: tuple[Lean, ...]


@frozen
class Drafting:
    """What all panels are drawn with."""

    plan: SolvedPlan
    edition: Edition
    measure: TypeMeasure
    scale: Fraction

    def at(self, mm: Fraction) -> float:
        """A true length on paper."""
        return float(mm * self.scale)

    def label(self, mm: Fraction, bold: bool = False) -> Label:
        """A length as printed."""
        return Label(self.edition.length(mm), bold)


def stands_level(row: Repeated, draft: Drafting) -> bool:
    """True if the positions of a row can be written side by side on paper, between 0 and the overall size."""
    low, high = draft.plan.low[row.axis], draft.plan.high[row.axis]
    places = [box.low[row.axis] for box in row.boxes if box.low[row.axis] > low + SAME]
    stops = [Value(draft.at(p), 0.0, draft.label(p - low)) for p in [low, *places]]
    stops.append(Value(draft.at(high), 0.0, _overall(draft, row.axis)))
    return len(places) <= MOST_IN_ROW and stand_level(stops, draft.measure)


def top_panel(seen: ViewLines, sizes: Sizes, draft: Drafting) -> list[Item]:
    """From above: positions along x in rows above, sizes of rows along y at the left."""
    plan, s = draft.plan, draft.at
    items = painted(seen, float(draft.scale))
    top, left = s(plan.high[1]), s(plan.low[0])
    along = [row for row in sizes.rows if row.axis == 0 and stands_level(row, draft)]
    for number, row in enumerate(along):
        y = top + FIRST + number * _ROW_STEP
        values = [
            Value(s(b.low[0]), s(b.high[1]), draft.label(b.low[0] - plan.low[0]))
            for b in row.boxes
            if b.low[0] > plan.low[0] + SAME
        ]
        if number == 0:
            values.append(Value(s(plan.high[0]), _corner_y(sizes, plan, draft, plan.high[0]), _overall(draft, 0)))
        zero = Value(left, _corner_y(sizes, plan, draft, plan.low[0]), Label("0"))
        items += running_row(zero, values, y, 1, draft.measure).items
    spans = [
        Span(s(row.low), s(row.high), s(row.boxes[0].low[0]), s(row.boxes[-1].low[0]), draft.label(row.high - row.low))
        for row in sizes.rows
        if row.axis == 1 and not stands_level(row, draft)
    ]
    items += stack_uprights(spans, left, -1, draft.measure)
    return items


def _corner_y(sizes: Sizes, plan: SolvedPlan, draft: Drafting, x: Fraction) -> float:
    """Where the outline from above is at an end in x: the back of the row that reaches that far, else of all."""
    backs = [b.high[1] for row in sizes.rows for b in row.boxes if b.low[0] - SAME <= x <= b.high[0] + SAME]
    return draft.at(max(backs, default=plan.high[1]))


def _overall(draft: Drafting, axis: int) -> Label:
    return draft.label(draft.plan.high[axis] - draft.plan.low[axis], bold=True)


def has_top_row(sizes: Sizes, draft: Drafting) -> bool:
    """True if the overall length ends a row in the view from above."""
    return any(row.axis == 0 and stands_level(row, draft) for row in sizes.rows)


def front_panel(seen: ViewLines, sizes: Sizes, draft: Drafting) -> list[Item]:
    """From the front: overall height at the left, positions of assemblies below, rows along z at the right."""
    plan, s = draft.plan, draft.at
    items = painted(seen, float(draft.scale))
    left, floor = s(plan.low[0]), s(plan.low[2])
    overall = Span(floor, s(plan.high[2]), left, left, draft.label(plan.high[2] - plan.low[2]))
    items += stack_uprights([overall], left, -1, draft.measure)
    values = [
        Value(s(b.low[0]), floor, draft.label(b.low[0] - plan.low[0]))
        for b in sizes.assemblies
        if b.low[0] > plan.low[0] + SAME
    ]
    told = has_top_row(sizes, draft)
    ground = s(min((b.low[2] for b in _at_left_end(sizes, plan)), default=plan.low[2]))
    if values:
        if not told:
            values.append(Value(s(plan.high[0]), ground, _overall(draft, 0)))
        items += running_row(Value(left, ground, Label("0")), values, floor - FIRST, -1, draft.measure).items
    elif not told:
        span = Span(left, s(plan.high[0]), ground, ground, draft.label(plan.high[0] - plan.low[0]))
        items += stack_levels([span], floor, -1, draft.measure)
    column = [
        Value(s(b.low[2]), s(b.high[0]), draft.label(b.low[2] - plan.low[2]))
        for b in _column(sizes)
        if b.low[2] > plan.low[2] + SAME
    ]
    if column:
        zero = Value(floor, s(plan.high[0]), Label("0"))
        items += running_column(zero, column, s(plan.high[0]) + FIRST, 1, draft.measure).items
    for lean in sizes.front_leans:
        items += _lean(lean, lambda p: s(p), 0, draft)
    return items


def _column(sizes: Sizes) -> tuple[Box, ...]:
    """The first row along z, which the front view dimensions."""
    return next((r.boxes for r in sizes.rows if r.axis == 2 and len(r.boxes) <= MOST_IN_ROW), ())


def _at_left_end(sizes: Sizes, plan: SolvedPlan) -> list[Box]:
    return [b for row in sizes.rows for b in row.boxes if b.low[0] <= plan.low[0] + SAME]


def side_panel(seen: ViewLines, sizes: Sizes, draft: Drafting, from_left: bool) -> list[Item]:
    """From the right (paper x = y) or left (paper x = -y): depths below and above, heights at the right, leaning."""
    plan, s = draft.plan, draft.at
    way = -1 if from_left else 1
    items = painted(seen, float(draft.scale))

    def x(y: Fraction) -> float:
        return way * s(y)

    right = max(x(plan.low[1]), x(plan.high[1]))
    floor, top = s(plan.low[2]), s(plan.high[2])
    below: list[Span] = []
    above: list[Span] = []
    for extent in sizes.depths:
        low, high = sorted((x(extent.low), x(extent.high)))
        on_floor = extent.box.low[2] <= plan.low[2] + SAME
        edge = floor if on_floor else s(extent.box.high[2])
        span = Span(low, high, edge, edge, draft.label(extent.high - extent.low))
        (below if on_floor else above).append(span)
    items += stack_levels(below, floor, -1, draft.measure)
    items += stack_levels(above, top, 1, draft.measure)
    uprights = [
        Span(floor, s(level), right, max(x(box.low[1]), x(box.high[1])), draft.label(level - plan.low[2]))
        for level, box in sizes.heights
        if all(abs(level - told.low[2]) > SAME for told in _column(sizes))
    ]
    items += stack_uprights(uprights, right, 1, draft.measure)
    for lean in sizes.side_leans:
        items += _lean(lean, x, 1, draft)
    return items


def _lean(lean: Lean, x: Callable[[Fraction], float], other: int, draft: Drafting) -> list[Item]:
    """Angle of a leaning piece to a plumb line, at the outer corner from which it leans inward; value outside."""
    ends = sorted((x(lean.box.low[other]), x(lean.box.high[other])))
    to_right = lean.leans_to_high == (x(Fraction(1)) > 0)
    low, high = draft.at(lean.box.low[2]), draft.at(lean.box.high[2])
    radius = min(ANGLE_RADIUS, (high - low) * 0.5)
    degrees = float(lean.degrees)
    vertex: Point = (ends[0], low if to_right else high)
    reference = 90.0 if to_right else -90.0
    leg = reference - degrees if to_right else reference + degrees
    return list(angle(vertex, reference, leg, write_angle(lean.degrees), draft.measure, radius))
