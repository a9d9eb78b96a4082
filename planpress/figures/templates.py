"""Full-scale templates of notched parts: the records that pages put on sheets and other writers cut files from."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from attrs import frozen

from planpress.base.display import Anchor, Face, Figure, Item, Path, Role, Text, TypeMeasure, rectangle
from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.base.printing import write_angle
from planpress.figures import style
from planpress.figures.callouts import hole_words
from planpress.figures.check_bars import bar_words
from planpress.figures.extents import figure_height
from planpress.figures.part_cut_notes import fits_a_mate, noun, plural
from planpress.figures.part_groups import is_through
from planpress.figures.template_drawing import Cross, draw_tile
from planpress.figures.template_outlines import Cutout, TemplateOutline, shown_sides, template_outline
from planpress.figures.template_sheet import Arrangement, Sheet, arrangements, fit_sign
from planpress.figures.tiles import Layout, TileArea, Window, lay_out
from planpress.model.records import Part, Side, SolvedPlan
from planpress.work.saying import lower_first

MAP_BOX: Final = (12.0, 15.5)  # of the tile map: width, height of a tile
_MAP_HEIGHT: Final = 62.0  # of a map with many tiles
_MAP_TILES: Final = 7  # shown of many
_WHOLE_CURVE: Final = Fraction(100)  # curves up to this long are kept on one tile
_CURVE_PIECE: Final = Fraction(25)
_CURVE_JOIN: Final = Fraction(5)
_MAP_DOTS: Final = 4.0  # height of the dots that stand for the others


@frozen
class Tile:
    """One sheet of a template.

    Attributes:
        figure: at true size, `TileArea` large. index, of: its number, from 1.
        windows: the ranges of the part on it, with their heights on the figure. crosses: its register crosses.
        left: x on the figure of the left border of the wood shown.
    """

    figure: Figure
    index: int
    of: int
    windows: tuple[Window, ...]
    crosses: tuple[Cross, ...]
    left: float


@frozen
class Capsule:
    """What notches must fit: the sign ("= A") and what it means in words."""

    sign: str
    words: str


@frozen
class Template:
    """The template of one side of a part.

    Attributes:
        letter, name: of the part; the name as a sentence has it.
        side: what it shows; border: the edge of it, if only a strip along one is shown.
        outline: the side in model coordinates. shown: the range of the second coordinate printed.
        tiles: in order from the reference end. layout: where they meet.
        capsules: what its notches fit. notes: what the drawing cannot say.
    """

    letter: str
    name: str
    side: Side
    border: Side | None
    outline: TemplateOutline
    shown: tuple[Fraction, Fraction]
    tiles: tuple[Tile, ...]
    layout: Layout
    capsules: tuple[Capsule, ...]
    notes: tuple[str, ...]
    steps: tuple[str, ...]

    @property
    def title(self) -> str:
        """Title of its pages: "Template: bearer B", with the side if it is not the reference face."""
        return f"Template: {self.name} {self.letter}{self._place}"

    @property
    def short_title(self) -> str:
        """The same for the foot of a page."""
        return f"Template, {self.name} {self.letter}{self._place}"

    @property
    def _place(self) -> str:
        words = [] if self.side is Side.FACE else [self.side.value]
        words += [f"along the {self.border.value}"] if self.border is not None else []
        return f", {', '.join(words)}" if words else ""

    def purpose(self, index: int) -> tuple[str, str]:
        """The two lines at the head of a tile's page; index from 1."""
        which = f"tile\u00a0{index} of\u00a0{len(self.tiles)}" if len(self.tiles) > 1 else "one tile"
        first = f"Full size, {which}. Print single-sided at 100\u00a0%."
        return first, "Measure both bars before you cut anything."


def plan_templates(
    plan: SolvedPlan, edition: Edition, measure: TypeMeasure, area: TileArea | None = None
) -> tuple[Template, ...]:
    """The templates of all notched parts, in order of letters.

    Raises:
        OutlineError: if the notches of a part cut one of its sides in two.
        ValueError: if the area is too small for any template.
    """
    names = {part.letter: lower_first(part.label.split(",")[0]) for part in plan.parts}
    return tuple(template for part in plan.parts for template in part_templates(part, names, edition, measure, area))


def part_templates(
    part: Part, names: dict[str, str], edition: Edition, measure: TypeMeasure, area: TileArea | None = None
) -> tuple[Template, ...]:
    """The templates of one part; none if it has no notches.

    Args:
        names: what the parts are called in a sentence, by letter.
        area: of the tiles; default: what the page block leaves beside the column of words.
    """
    area = area or TileArea()
    out = []
    for side in shown_sides(part):
        outline = template_outline(part, side)
        for across in arrangements(outline, part, edition, measure, area):
            out.append(_template(part, across, names, edition, measure, area))
    return tuple(out)


def tile_map(template: Template, index: int) -> Figure:
    """Small boxes one above the other, as the tiles lie when joined; the one with the given index (from 1) is grey.

    Of many tiles only the neighbours are shown; dots stand for the others.
    """
    width, height = MAP_BOX
    count = len(template.tiles)
    first = max(1, min(index - _MAP_TILES // 2, count - _MAP_TILES + 1))
    shown = range(first, min(count, first + _MAP_TILES - 1) + 1)
    height = min(height, _MAP_HEIGHT / len(shown))
    pen = style.STRONG / 2
    below, above = (_MAP_DOTS if more else 0.0 for more in (shown[0] > 1, shown[-1] < count))
    items: list[Item] = []
    for i in [*(i for i in shown if i != index), index]:
        here = i == index
        y = (i - first) * height + pen + below
        box = rectangle(pen, y, width, height)
        fill = style.TINT_3 if here else style.TINT_0
        items.append(Path(box, style.OUTLINE if here else style.EDGE, fill, Role.OUTLINE))
        at = (pen + width / 2, y + height / 2 - figure_height(style.LETTER_SIZE) / 2)
        items.append(Text(at, str(i), Face.SEMIBOLD if here else Face.REGULAR, style.LETTER_SIZE, anchor=Anchor.MIDDLE))
    high = len(shown) * height + 2 * pen + below + above
    for y, dots in ((0.9, below), (high - _MAP_DOTS + 2.1, above)):
        if dots:
            items.append(Text((pen + width / 2, y), "\u2026", Face.REGULAR, style.LETTER_SIZE, anchor=Anchor.MIDDLE))
    words = f"Tile map: this is tile {index} of {count}; tile 1 is at the bottom"
    return Figure(width + 2 * pen, high, tuple(items), words)


def tile_words(template: Template, index: int) -> str:
    """What a tile has to do with the next one, for the words beside the map; index from 1."""
    tile = template.tiles[index - 1]
    if tile.of == 1:
        return "This template is one tile."
    if tile.index == tile.of:
        return f"This is tile\u00a0{index}, the last one."
    following = f"This is tile\u00a0{index}. Tile\u00a0{index + 1} is the next page"
    if tile.windows[-1].joined_above:
        first, second = (cross.number for cross in tile.crosses[-2:])
        return f"{following}; it carries the same crosses {first} and\u00a0{second}."
    return f"{following}; it stands by itself: go by its numbers."


def _template(
    part: Part, across: Arrangement, names: dict[str, str], edition: Edition, measure: TypeMeasure, area: TileArea
) -> Template:
    outline, zone = across.outline, across.zone
    shown = [c for c in outline.cutouts if zone.holds(c)]
    near, far = outline.end_reach(Side.NEAR_END), outline.end_reach(Side.FAR_END)
    features = [c.span for c in shown]
    features += [
        (h.at[0] - _reach(h.diameter, h.sink_diameter), h.at[0] + _reach(h.diameter, h.sink_diameter))
        for h in outline.holes
        if zone.low <= h.at[1] <= zone.high
    ]
    keep = (near[0] != near[1], far[0] != far[1])
    features += [piece for span in outline.shaped_spans for piece in _pieces(span)]
    features += [end for end, sloped in ((near, keep[0]), (far, keep[1])) if sloped]
    layout = lay_out(part.length, features, keep, area)
    is_strip = zone.low > 0 or zone.high < outline.view.across
    tiles = tuple(_tiles(part, across, layout, edition, measure, area))
    return Template(
        letter=part.letter,
        name=spoken_name(part),
        side=outline.view.side,
        border=zone.border if is_strip else None,
        outline=outline,
        shown=(zone.low, zone.high),
        tiles=tiles,
        layout=layout,
        capsules=_capsules(shown, names),
        notes=tuple(_notes(part, across, shown, layout, edition)),
        steps=tuple(_steps(part, across, layout, edition)),
    )


def _pieces(span: tuple[Fraction, Fraction]) -> Iterator[tuple[Fraction, Fraction]]:
    """A long curve in pieces with a little between them, so that tiles may meet on it; a short one stays whole."""
    low, high = span
    if high - low <= _WHOLE_CURVE:
        yield span
        return
    count = math.ceil((high - low) / _CURVE_PIECE)
    step = (high - low) / count
    for i in range(count):
        start, end = low + step * i, low + step * (i + 1)
        yield start, end if i == count - 1 else end - _CURVE_JOIN


def _reach(diameter: Fraction, sink: Fraction) -> Fraction:
    return max(diameter, sink) / 2


def _tiles(
    part: Part, across: Arrangement, layout: Layout, edition: Edition, measure: TypeMeasure, area: TileArea
) -> Iterator[Tile]:
    count = len(layout.tiles)
    side = across.outline.view.side.value
    for index, windows in enumerate(layout.tiles, start=1):
        sheet = Sheet(part, across, windows, index, count, layout.seams, area)
        items, crosses = draw_tile(sheet, edition, measure)
        ranges = ", ".join(f"{plain(edition.length(w.low))} to {plain(edition.length(w.high))}" for w in windows)
        alt = (
            f"Full-size template of {spoken_name(part)} {part.letter}, {side}, tile {index} of {count}: "
            f"{ranges} {edition.unit_name} from the reference end"
        )
        figure = Figure(area.width, area.height, items, alt, Fraction(1))
        yield Tile(figure, index, count, windows, crosses, across.left)


def _capsules(shown: list[Cutout], names: dict[str, str]) -> tuple[Capsule, ...]:
    """One for each kind of notch, in order along the part."""
    out: dict[str, Capsule] = {}
    for cutout in shown:
        if not fits_a_mate(cutout.notch):
            continue
        sign = fit_sign(cutout)
        mates = list(dict.fromkeys(cutout.notch.mates))
        pieces = " and ".join(f"{names[mate]}" for mate in mates)
        number = len(cutout.notch.mates)
        words = f"Notch width is that of your {pieces}."
        if number > 1 and len(mates) == 1:
            words = f"Notch width is that of {number} of your {pieces}s side by side."
        out.setdefault(sign, Capsule(sign, words))
    return tuple(out.values())


def _notes(part: Part, across: Arrangement, shown: list[Cutout], layout: Layout, edition: Edition) -> Iterator[str]:
    """What the drawing of this side does not show."""
    view = across.outline.view
    profiles = list(dict.fromkeys(edition.joint(c.notch.depth) for c in shown if c.kind == "profile"))
    if len(profiles) == 1:
        yield f"Notches are {profiles[0]} deep."
    bands: dict[str, list[str]] = {}
    for notch in (c.notch for c in shown if c.kind == "band"):
        deep = "cut through" if is_through(notch, part) else f"{edition.joint(notch.depth)} deep"
        known = bands.setdefault(plural(noun(notch), 2).capitalize(), [])
        known += [deep] if deep not in known else []
    for name, depths in bands.items():
        listed = " and ".join(d.removesuffix(" deep") if i < len(depths) - 1 else d for i, d in enumerate(depths))
        yield f"{name} in this side are {listed}."
    for hole in dict.fromkeys(hole_words(h, 1, edition) for h in across.outline.holes):
        yield f"Hole: {'; '.join(hole)}."
    for end, words in zip(part.ends, ("reference end", "far end"), strict=True):
        other = end.bevel if view.side.axis == 2 else end.mitre
        if other != 0:
            lean = write_angle(abs(other))
            yield f"The {words} also leans {lean} through the wood; the line is where it meets this side."
    if outline_is_shaped(across):
        yield "Dashed: the edge before the outline is cut, after the joints."
    if layout.high < part.length:
        yield f"The part is {edition.length(part.length)} long; its plain far end is not shown."
    for seam in layout.forced:
        yield f"A notch goes on across the join at {edition.length(seam)}: mark its shoulders by their numbers."
    if across.zone.low > 0 or across.zone.high < view.across:
        yield f"The part is {edition.length(view.across)} wide: only the {across.zone.border.value} is shown."
    if view.side.axis == 1:
        face = "left" if view.is_left(Side.FACE) else "right"
        yield f"The reference face is at the {face}."


def outline_is_shaped(across: Arrangement) -> bool:
    """True if a template shows a curved outline."""
    return bool(across.outline.shaped)


def _steps(part: Part, across: Arrangement, layout: Layout, edition: Edition) -> Iterator[str]:
    """How to use it."""
    outline = across.outline
    level = outline.view.level(across.zone.border)
    yield f"Measure both bars. Stop if either is not {bar_words(edition.units)}."
    joined = [i for i, tile in enumerate(layout.tiles, start=1) if tile[-1].joined_above]
    if joined:
        which = f"tile\u00a0{joined[0] + 1}" if len(joined) == 1 else "each further tile"
        yield f"Trim {which} on its join line. Lay it on the grey strip, cross on cross."
    if layout.is_broken:
        yield (
            "Cut the paper apart at the wavy lines. Place each piece by its numbers: they all count from the "
            "reference end."
        )
    else:
        what = "joined template" if joined else "template"
        check = f"is {edition.length(part.length)} long"
        if layout.high < part.length:
            last = max((c.crossing(level)[0] for c in outline.cutouts if across.zone.holds(c)), default=None)
            check = (
                "has its reference end and its values right"
                if last is None
                else (f"has its last notch {edition.length(last)} from the reference end")
            )
        yield f"Check that the {what} {check}. The printed numbers rule, not the paper."
    is_strip = across.zone.low > 0 or across.zone.high < outline.view.across
    edge = part.reference_edge.value if part.reference_edge in outline.view.borders else "reference face"
    if is_strip:
        edge = across.zone.border.value
    on = "" if outline.view.side is Side.FACE else f" the {outline.view.side.value}"
    flush = f"{edge} flush" if layout.is_broken else f"reference end and {edge} flush"
    yield f"Stick it on{on}, {flush}. Measure again when it is dry."
    yield "Knife the lines. Hatched wood is waste: saw on the hatched side."


def spoken_name(part: Part) -> str:
    """What a part is called in a sentence: "bearer", "left-hand leg"."""
    words = part.label[:1].lower() + part.label[1:]
    hand = f", {part.hand}-hand"
    return f"{part.hand}-hand {words.removesuffix(hand)}" if part.hand and words.endswith(hand) else words
