"""Full-scale templates, last in the set: one tile a page with its map, its use, and check bars both ways."""

from __future__ import annotations

from typing import Final

from planpress.base.display import Face
from planpress.figures import check_bars, marks
from planpress.figures.templates import Template, Tile, tile_map, tile_words
from planpress.pages import block, typography
from planpress.pages.chrome import Head
from planpress.pages.context import Context
from planpress.pages.elements import Element, Gap
from planpress.pages.notes import Actions, paragraph
from planpress.pages.sheets import Column, Sheet
from planpress.pages.typography import MEASURE, plain_markup
from planpress.writers.pdf.structure import Node

KEY: Final = "templates"

_BAR_BASE = 231.8
_WORDS_AT = 122.0
_WORDS_WIDTH = 44.0
_WIDE_WORDS = 52.0  # above the bar down
_HEADING_TOP = 25.6
_MAP_TEXT = 16.0
_BAR_CLEAR = 7.4


def templates(context: Context) -> list[Sheet]:
    """A sheet for each tile."""
    sheets: list[Sheet] = []
    for template in context.drawings.templates():
        section = Node("Sect")
        for tile in template.tiles:
            sheets.append(_sheet(context, template, tile, section, len(sheets)))
    return sheets


def template_key(template: Template) -> str:
    """The bookmark of a template's first tile."""
    border = f"-{template.border.value}" if template.border else ""
    return f"template-{template.letter}-{template.side.value}{border}".replace(" ", "-")


def _sheet(context: Context, template: Template, tile: Tile, section: Node, before: int) -> Sheet:
    first = tile.index == 1
    purpose = plain_markup(" ".join(template.purpose(tile.index)))
    head = Head((template.title, template.short_title), purpose, section if first else None)
    columns = [_figure(context, tile, section), *_words(context, template, tile, section)]
    columns += _bars(context, section)
    foot = context.foot(template.short_title, f"Tile {tile.index} of {tile.of}", "Full size, 1\u00a0:\u00a01")
    key = KEY if before == 0 else f"{KEY}-{before + 1}"
    marks_ = {template_key(template): ("", block.CONTENT_TOP)} if first else {}
    return Sheet(key, section, head, foot, columns, template.title if first else "", marks=marks_)


def _figure(context: Context, tile: Tile, section: Node) -> Column:
    """The tile, standing above the bar across."""
    picture = context.picture(tile.figure, section.add("Figure"))
    top = _BAR_BASE - _BAR_CLEAR - tile.figure.height
    return Column.filled(0.0, top, tile.figure.width, (picture,))


def _words(context: Context, template: Template, tile: Tile, section: Node) -> list[Column]:
    """Map and words at the right; beside the bar down they are narrower."""
    heading = paragraph("Tiles", typography.section_heading(), section.add("H2"))
    tiles = _TileMap(context, template, tile, section)
    columns = [Column.filled(_WORDS_AT, _HEADING_TOP, _WIDE_WORDS, (heading, Gap(2.4), tiles))]
    use_heading = paragraph("Use", typography.section_heading(), section.add("H2"))
    uses = Actions([plain_markup(one) for one in template.steps], section.add("L"))
    flowables: list[Element] = [use_heading, Gap(1.6), uses]
    for sign in template.capsules:
        flowables += [Gap(3.0), _Capsule(sign.sign, sign.words, section)]
    for note in template.notes:
        flowables += [Gap(2.0), paragraph(plain_markup(note), typography.text(), section.add("P"))]
    columns.append(Column.filled(_WORDS_AT, columns[0].bottom + 6.0, _WORDS_WIDTH, flowables))
    return columns


def _bars(context: Context, section: Node) -> list[Column]:
    units = context.edition.units
    across, down = check_bars.across_figure(units), check_bars.down_figure(units)
    out = []
    for figure, x in ((across, 0.0), (down, block.WIDTH - down.width)):
        picture = context.picture(figure, section.add("Figure"))
        out.append(Column.filled(x, _BAR_BASE - figure.height, figure.width, (picture,)))
    return out


class _TileMap(Element):
    """The map of the tiles with what this one has to do with the next."""

    def __init__(self, context: Context, template: Template, tile: Tile, section: Node) -> None:
        super().__init__()
        words = plain_markup(tile_words(template, tile.index))
        self._words = paragraph(words, typography.text(), section.add("P"))
        self._map = context.picture(tile_map(template, tile.index), section.add("Figure"))

    def lay_out(self, width: float) -> float:
        """Map at the left, words at the right."""
        high = self.place(self._map, 0.0, 0.0, width)
        return max(high, self.place(self._words, _MAP_TEXT, 1.2, width - _MAP_TEXT) + 1.2)


class _Capsule(Element):
    """The sign of what a notch must fit, with words."""

    def __init__(self, sign: str, words: str, section: Node) -> None:
        super().__init__()
        self._sign = sign
        self._node = section.add("P")
        self._words = paragraph(plain_markup(words), typography.text(), self._node)

    def lay_out(self, width: float) -> float:
        """Sign at the left, words behind it."""
        sign_width = marks.capsule_width(self._sign, MEASURE)
        frame = [item for item in marks.capsule((0.0, 0.0), self._sign, MEASURE) if not hasattr(item, "string")]
        self.items(frame, sign_width / 2, marks.CAPSULE_HEIGHT / 2 + 0.4)
        base = marks.CAPSULE_HEIGHT / 2 + 0.4 + typography.cap_height(marks.CAPSULE_TEXT) / 2
        left = (sign_width - typography.width_of(self._sign, Face.SEMIBOLD, marks.CAPSULE_TEXT)) / 2
        self.write(left, base, self._sign, Face.SEMIBOLD, marks.CAPSULE_TEXT, node=self._node)
        x = max(_MAP_TEXT, sign_width + 3.0)
        return max(marks.CAPSULE_HEIGHT + 0.8, self.place(self._words, x, 0.6, width - x) + 0.6)
