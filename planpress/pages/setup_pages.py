"""Set-up cards: how to set a machine for cuts that share a setting. One page, or a front and a back.

The front says how to set and test it, the back has the stops to tick off and what else helps; a card with few stops has
room for all on one page. A card stands alone when it is taken out of the set.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from planpress.figures.setup_from_above import from_above
from planpress.figures.setup_picture import pass_pictures
from planpress.pages import block, typography
from planpress.pages.chrome import Head
from planpress.pages.context import Context
from planpress.pages.elements import Element, Stack, height_of
from planpress.pages.notes import Caution, Note, paragraph
from planpress.pages.setup_elements import (
    CutterTable,
    MeasureBoxes,
    OffBy,
    PassRow,
    SectionHeading,
    SideBySide,
    StopLine,
    StopTable,
)
from planpress.pages.setup_words import Words, kinds
from planpress.pages.sheets import Column, Sheet
from planpress.pages.typography import MEASURE
from planpress.work.setup_card import SetupCard
from planpress.work.setup_methods import Method
from planpress.writers.pdf.structure import Node

KEY: Final = "set-up-cards"

#: White between the blocks of a page: preferred, least.
_WHITE: Final = (6.5, 3.2)
_NOTE_COLUMNS: Final = ((0.0, 86.0), (94.0, 86.0))
_NOTE_GAP: Final = 2.6
_TEST_AT: Final = 92.0


def setup_cards(context: Context) -> list[Sheet]:
    """All set-up cards in order."""
    return [sheet for card in context.cards for sheet in _card(context, card)]


def card_key(number: int) -> str:
    """The bookmark of a set-up card."""
    return KEY if number == 1 else f"{KEY}-{number}"


def _card(context: Context, card: SetupCard) -> list[Sheet]:
    """One page if all fits, else a front and as many backs as the stops need."""
    words = Words(context, card)
    section = Node("Sect")
    title = f"Set-up card {card.number}"
    head = Head((title,), words.purpose, section)
    room = block.CONTENT_BOTTOM - head.content_top
    front = _front(context, card, words, section)
    lines = words.stop_lines()
    stops = _stops(card, words, lines, section)
    notes = _notes(context, words, section)
    whole = [*front[:-1], stops, front[-1], notes]
    pages: list[list[Element]]
    if _fits(whole, room):
        pages = [whole]
    else:
        pages = [front, *_backs(card, words, lines, stops, notes, section, room)]
    foot = context.foot(title, kinds(card.parts), "Not to scale")
    sheets = []
    for number, page in enumerate(pages):
        key = card_key(card.number) if number == 0 else f"{card_key(card.number)}-{'back' if number == 1 else number}"
        continued = Head((title,), words.purpose, None) if number else head
        columns = _placed(page, head.content_top, room)
        sheets.append(Sheet(key, section, continued, foot, columns, "" if number else title))
    return sheets


def _front(context: Context, card: SetupCard, words: Words, section: Node) -> list[Element]:
    """Passes, caution, sizes to measure, cutters, test."""
    pictures = pass_pictures(card, context.edition, MEASURE)
    rows = []
    for number, (figure, (title, text)) in enumerate(zip(pictures, words.passes(), strict=True), start=1):
        node = Node("Figure")
        rows.append(PassRow(number, title, text, context.picture(figure, node), section, node))
    caution = Caution(words.caution, section.add("P"))
    measure = Stack([SectionHeading(words.text("measure"), "", section), MeasureBoxes(words.boxes(), section)])
    heading = SectionHeading(words.text("cutters"), words.width_remark, section)
    names, table_rows = words.cutters()
    cutters = Stack([heading, CutterTable(names, table_rows, "yours", section.add("Table"))])
    return [*rows, caution, measure, cutters, _test(context, card, words, section)]


def _test(context: Context, card: SetupCard, words: Words, section: Node) -> Element:
    """The picture from above at the left, the test at the right."""
    text = typography.text()
    above = paragraph(words.above(), typography.text(), section.add("P"))
    picture = context.picture(from_above(card), section.add("Figure"))
    heading = SectionHeading(words.text("test"), "", section)
    tests = [paragraph(one, text, section.add("P")) for one in words.tests()]
    line = OffBy(words.off_by, words.text("tested"), section)
    right = Stack([heading, Stack(tests, 1.4)])
    return SideBySide(
        [
            (0.0, 84.0, 2.0, [above, picture]),
            (_TEST_AT, block.WIDTH - _TEST_AT, 2.4, [right, line]),
        ]
    )


def _stops(card: SetupCard, words: Words, lines: Sequence[StopLine], section: Node) -> Element:
    """The stops with their distances and boxes to tick."""
    title = words.text("fences" if card.method is Method.FENCE else "stops")
    heading = SectionHeading(title, f"{words.height} {words.formula}. {words.ticks}", section)
    return Stack([heading, _table(card, words, lines, section)])


def _table(card: SetupCard, words: Words, lines: Sequence[StopLine], section: Node) -> StopTable:
    return StopTable(
        words.stop_heads(),
        lines,
        words.own_head,
        words.done,
        section.add("Table"),
        bold=card.method is Method.OFFCUT,
        named=len(card.parts) > 1,
    )


def _notes(context: Context, words: Words, section: Node) -> Element:
    """Notes in two columns, the higher one as low as can be."""
    notes = [Note([paragraph(one, typography.text(), section.add("P"))], context.accent) for one in words.notes()]
    width = _NOTE_COLUMNS[0][1]
    heights = [height_of(one, width) for one in notes]
    best = min(range(len(notes), 0, -1), key=lambda count: max(sum(heights[:count]), sum(heights[count:])))
    halves = (notes[:best], notes[best:])
    return SideBySide([(x, w, _NOTE_GAP, half) for (x, w), half in zip(_NOTE_COLUMNS, halves, strict=True)])


def _backs(
    card: SetupCard,
    words: Words,
    lines: Sequence[StopLine],
    stops: Element,
    notes: Element,
    section: Node,
    room: float,
) -> list[list[Element]]:
    """The stops with the notes below them, or several pages of stops."""
    if _fits([stops, notes], room):
        return [[stops, notes]]
    raise ValueError(f"set-up card {card.number}: {len(lines)} stops do not fit a page")


def _fits(blocks: Sequence[Element], room: float) -> bool:
    used = sum(height_of(one, block.WIDTH) for one in blocks)
    return used + _WHITE[1] * (len(blocks) - 1) <= room


def _placed(blocks: Sequence[Element], top: float, room: float) -> list[Column]:
    """The blocks of a page, with as much of the preferred white as there is room for."""
    heights = [height_of(one, block.WIDTH) for one in blocks]
    gaps = max(1, len(blocks) - 1)
    white = min(_WHITE[0], max(_WHITE[1], (room - sum(heights)) / gaps))
    columns, y = [], top
    for one, height in zip(blocks, heights, strict=True):
        columns.append(Column.filled(0.0, y, block.WIDTH, (one,)))
        y += height + white
    return columns
