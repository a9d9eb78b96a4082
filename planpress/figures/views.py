"""Front, side and top view of the whole piece: one scale, aligned, dimensioned, with scale bar and projection symbol.

Imperial editions use third angle projection: the view from above stands above the front view, the view from the right
to its right. Metric ones use first angle: the view from above stands below the front view, the view from the left to
the right of it (ISO 5456-2:1996, clauses 4.1 and 4.2, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from attrs import field, frozen

from planpress.base.display import Face, Figure, Item, Text, TypeMeasure
from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.figures import marks, style
from planpress.figures.extents import Bounds, bounds, moved
from planpress.figures.scales import largest_scale, scale_bar, scale_words
from planpress.figures.view_lines import PartSolids, ViewLines, piece_shapes, seen_lines
from planpress.figures.view_panels import Drafting, Sizes, front_panel, has_top_row, side_panel, top_panel
from planpress.figures.view_sizes import (
    assembly_boxes,
    assembly_positions,
    extents,
    heights,
    leans,
    piece_boxes,
    repeated,
)
from planpress.geometry import views as directions
from planpress.model.records import SolvedPlan

FRAME = (180.0, 205.0)
_GAP_ACROSS = 12.0  # between what belongs to neighbouring views
_SPARE_ACROSS = 14.0  # more of it if the frame has room
_GAP_DOWN = 9.0
_TITLE_CLEAR = 5.0
_TITLE_SIZE = 11.0
_KEY_WIDTH = (38.0, 56.0)  # least and most
_KEY_LEADING = 4.5


@frozen
class Views:
    """The views page's figure.

    Attributes:
        figure: 180 wide, at most 205 high, with alternative text. scale: of all views.
        names: of the views, as titled. third_angle: the projection.
    """

    figure: Figure
    scale: Fraction
    names: tuple[str, ...]
    third_angle: bool


@frozen
class _Seen:
    """The lines of the three views at true size."""

    front: ViewLines
    side: ViewLines
    top: ViewLines


@frozen
class _Arranged:
    """Items at their places, where the key may go (left, top), and how large it all is."""

    items: tuple[Item, ...]
    bounds: Bounds
    key: tuple[float, float] = field()


def draw_views(plan: SolvedPlan, solids: PartSolids, edition: Edition, measure: TypeMeasure) -> Views:
    """Draw the views at the largest scale that fits the frame.

    Raises:
        ValueError: if the piece is too large for every scale.
    """
    third = not edition.is_metric
    shapes = piece_shapes(plan, solids)
    seen = _Seen(
        seen_lines(shapes, directions.FRONT),
        seen_lines(shapes, directions.RIGHT if third else directions.LEFT),
        seen_lines(shapes, directions.TOP),
    )
    sizes = _sizes(plan, third)

    tried: dict[Fraction, _Arranged] = {}

    def fits(scale: Fraction) -> bool:
        if not _may_fit(plan, scale):
            return False
        tried[scale] = _arrange(seen, sizes, Drafting(plan, edition, measure, scale), third)
        left, low, right, high = tried[scale].bounds
        return right - left <= FRAME[0] and high - low <= FRAME[1]

    scale = largest_scale(fits, edition)
    placed = tried[scale]
    left, low, _, high = placed.bounds
    items = moved(placed.items, -left, -low)
    draft = Drafting(plan, edition, measure, scale)
    figure = Figure(FRAME[0], high - low, tuple(items), _alt(draft, sizes, third), scale)
    names = ("Front", "Right side" if third else "Left side", "Top")
    return Views(figure, scale, names, third)


def _may_fit(plan: SolvedPlan, scale: Fraction) -> bool:
    """False if the three views alone, without their dimensions, are too large for the frame side by side."""
    long, deep, high = (float(size * scale) for size in plan.overall)
    return long + deep + _GAP_ACROSS <= FRAME[0] and high + deep + _GAP_DOWN + 2 * _TITLE_CLEAR <= FRAME[1]


def _sizes(plan: SolvedPlan, third: bool) -> Sizes:
    places = plan.corners
    boxes = piece_boxes(places)
    assemblies = assembly_boxes(plan, boxes)
    return Sizes(
        tuple(extents(plan, assemblies, 1)),
        tuple(heights(plan, boxes, places)),
        tuple(repeated(plan, boxes)),
        tuple(assembly_positions(assemblies, 0)),
        tuple(leans(plan, boxes, 0, 1 if third else -1)),
        tuple(leans(plan, boxes, 1)),
    )


def _arrange(seen: _Seen, sizes: Sizes, draft: Drafting, third: bool) -> _Arranged:
    """Front view at the origin; side view right of it at the same height; top view above or below it at the same x."""
    measure = draft.measure
    front = front_panel(seen.front, sizes, draft)
    side = side_panel(seen.side, sizes, draft, from_left=not third)
    top = top_panel(seen.top, sizes, draft)
    at_front, at_side, at_top = (bounds(panel, measure) for panel in (front, side, top))
    left = draft.at(draft.plan.low[0])

    # titles below, level with each other for front and side
    base = min(at_front[1], at_side[1]) - _TITLE_CLEAR - 3.0
    outer = FRAME[0] + min(at_front[0], at_top[0])
    side_dx = max(at_front[2], at_top[2]) + _GAP_ACROSS - at_side[0]
    side_dx += max(0.0, min(outer - side_dx - at_side[2], _SPARE_ACROSS))
    edges = [draft.at(y) for y in (draft.plan.low[1], draft.plan.high[1])]
    side_left = side_dx + (min(edges) if third else -max(edges))
    top_title = at_top[1] - _TITLE_CLEAR - 3.0
    if third:
        top_dy = at_front[3] + _GAP_DOWN - top_title
    else:
        top_dy = base - _GAP_DOWN - at_top[3]
    side_name = "Right side" if third else "Left side"
    items = [
        *front,
        *moved(side, side_dx, 0.0),
        *moved(top, 0.0, top_dy),
        _title("Front", left, base),
        _title(side_name, side_left, base),
        _title("Top", left, top_title + top_dy),
    ]
    key = _key(draft, sizes, third, outer - side_left)
    key_bounds = bounds(key, measure)
    key_height = key_bounds[3] - key_bounds[1]
    middle = top_dy + (draft.at(draft.plan.low[1]) + draft.at(draft.plan.high[1])) / 2
    key_top = middle + key_height / 2
    if third:
        key_top = max(key_top, at_side[3] + _GAP_DOWN + key_height)
    else:
        key_top = min(key_top, base - _GAP_DOWN)
    items += moved(key, side_left, key_top)
    return _Arranged(tuple(items), bounds(items, measure), (side_left, key_top))


def _title(words: str, x: float, y: float) -> Text:
    return Text((x, y), words, Face.SEMIBOLD, _TITLE_SIZE)


def _key(draft: Drafting, sizes: Sizes, third: bool, room: float) -> list[Item]:
    """Projection symbol with its name, what sizes mean, scale bar; upper left at (0, 0)."""
    width, height = marks.SYMBOL_SIZE
    items: list[Item] = moved(marks.projection_symbol(third), 0.0, -height)
    name = "Third angle" if third else "First angle"
    items.append(Text((width + 4.0, -height / 2 - 1.2), name, size=style.CAPTION_SIZE, colour=style.SECONDARY))
    y = -height - 7.0
    words = f"{scale_words(draft.scale).capitalize()}. Sizes in {draft.edition.unit_name}."
    if has_top_row(sizes, draft) or sizes.assemblies:
        words += " Positions run from the left end to the near side."
    for text in _wrapped(words, max(_KEY_WIDTH[0], min(_KEY_WIDTH[1], room)), draft.measure):
        items.append(Text((0.0, y), text, size=style.CAPTION_SIZE, colour=style.SECONDARY))
        y -= _KEY_LEADING
    items += moved(scale_bar(draft.scale, draft.edition, draft.measure), 0.0, y - 4.0)
    return items


def _wrapped(words: str, width: float, measure: TypeMeasure) -> list[str]:
    lines: list[str] = []
    for word in words.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and measure.width(longer, Face.REGULAR, style.CAPTION_SIZE) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _alt(draft: Drafting, sizes: Sizes, third: bool) -> str:
    """The views in words."""
    plan, edition = draft.plan, draft.edition
    length, depth, height = (plain(edition.length(size)) for size in plan.overall)
    side = "right" if third else "left"
    words = [
        f"Front, {side} side and top view, {scale_words(draft.scale)}: "
        f"{length} long, {depth} deep, {height} high, in {edition.unit_name}"
    ]
    for row in sizes.rows:
        if row.axis == 0:
            places = ", ".join(plain(edition.length(b.low[0] - plan.low[0])) for b in row.boxes)
            words.append(f"{row.label} {row.letter} at {places} from the left end")
    levels: Sequence[str] = [plain(edition.length(level - plan.low[2])) for level, _ in sizes.heights]
    if levels:
        words.append(f"heights above the floor {', '.join(levels)}")
    return "; ".join(words) + "."
