"""Set-up cards: how to set a machine for cuts that share a setting. One page, or a front and a back.

A card with few stops has all that is needed at the machine on one page; one with many has its stops to tick off on the
back. A card stands alone when it is taken out of the set. What explains it goes where there is room: on the back, or on
a page of notes that the cards share.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from attrs import frozen

from planpress.figures.setup_from_above import from_above
from planpress.figures.setup_picture import pass_pictures
from planpress.pages import block, typography
from planpress.pages.chrome import Head
from planpress.pages.context import Context
from planpress.pages.elements import Element, Stack, height_of
from planpress.pages.notes import Caution, HeadingRow, Note, paragraph
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
from planpress.writers.pdf.flowables import TaggedParagraph
from planpress.writers.pdf.structure import Node

KEY: Final = "set-up-cards"
NOTES_KEY: Final = "set-up-notes"

#: White between the blocks of a page: preferred, least.
_WHITE: Final = (6.5, 3.0)
_NOTE_COLUMNS: Final = ((0.0, 86.0), (94.0, 86.0))
_NOTE_GAP: Final = 2.6
_TEST_AT: Final = 92.0
_NOTES_WHITE: Final = (11.0, 3.0)


@frozen
class _Leaf:
    """What goes below the heading of a card on the page of notes."""

    card: SetupCard
    words: Words


def setup_cards(context: Context) -> list[Sheet]:
    """All set-up cards in order, then the notes that had no room on them."""
    sheets: list[Sheet] = []
    leaves: list[_Leaf] = []
    for card in context.cards:
        words = Words(context, card)
        own, has_notes = _card(context, card, words)
        sheets += own
        if not has_notes:
            leaves.append(_Leaf(card, words))
    return sheets + (_notes_sheets(context, leaves) if sheets else [])


def card_key(number: int) -> str:
    """The bookmark of a set-up card."""
    return KEY if number == 1 else f"{KEY}-{number}"


def _card(context: Context, card: SetupCard, words: Words) -> tuple[list[Sheet], bool]:
    """One page if the stops fit, else a front, and backs with the stops; and whether its notes are on it."""
    section = Node("Sect")
    title = f"Set-up card {card.number}"
    head = Head((title,), words.purpose, section)
    room = block.CONTENT_BOTTOM - head.content_top
    before = _before(context, card, words, section)
    lines = words.stop_lines()
    has_notes = not _fits(
        [*before, _stops(card, words, lines, Node("Sect")), _test(context, card, words, Node("Sect"))], room
    )
    stops = [] if has_notes else [_stops(card, words, lines, section)]
    test = _test(context, card, words, section)
    pages: list[list[Element]] = [[*before, *stops, test]]
    if has_notes:
        notes = _columns([paragraph(one, typography.text(), section.add("P")) for one in words.notes()], context.accent)
        cutters = [_cutters(words, section)] if card.method is Method.OFFCUT else []
        pages = [[*before, *cutters, test], *_backs(card, words, lines, notes, section, room)]
    foot = context.foot(title, kinds(card.parts), "Not to scale")
    sheets = []
    for number, page in enumerate(pages):
        key = card_key(card.number) if number == 0 else f"{card_key(card.number)}-{'back' if number == 1 else number}"
        continued = Head((title,), words.purpose, None) if number else head
        columns = _placed(page, head.content_top, room)
        sheets.append(Sheet(key, section, continued, foot, columns, "" if number else title))
    return sheets, has_notes


def _notes_sheets(context: Context, leaves: Sequence[_Leaf]) -> list[Sheet]:
    """Notes on the cards whose pages are full, and other ways to make such cuts."""
    section = Node("Sect")
    title = "Notes on the set-up cards"
    purpose = context.text("setups", "notes_purpose")
    head = Head((title,), purpose, section)
    room = block.CONTENT_BOTTOM - head.content_top
    blocks: list[Element] = [_leaf(context, leaf, section) for leaf in leaves] + [_routes(context, section)]
    pages: list[list[Element]] = [[]]
    for one in blocks:
        if pages[-1] and not _fits([*pages[-1], one], room):
            pages.append([])
        pages[-1].append(one)
    sheets = []
    for number, page in enumerate(pages):
        key = NOTES_KEY if number == 0 else f"{NOTES_KEY}-{number + 1}"
        continued = Head((title,), purpose, None) if number else head
        foot = context.foot(title, "Why, how exact, other ways", "No drawing")
        columns = _placed(page, head.content_top, room, _NOTES_WHITE)
        sheets.append(Sheet(key, section, continued, foot, columns, "" if number else title))
    return sheets


def _leaf(context: Context, leaf: _Leaf, section: Node) -> Element:
    card, words = leaf.card, leaf.words
    heading = HeadingRow((), words.heading, (context.page(card_key(card.number)),), section.add("H2"))
    contents: list[Element] = [heading]
    if card.method is Method.OFFCUT:
        names, rows = words.cutters()
        contents.append(CutterTable(names, rows, "yours", section.add("Table")))
    notes = [paragraph(one, typography.text(), section.add("P")) for one in words.notes()]
    return Stack([*contents, _columns(notes, context.accent)], 4.0)


def _routes(context: Context, section: Node) -> Element:
    heading = SectionHeading(typography.without_markup(context.text("setups", "others")), "", section)
    texts = [context.text("setups", name) for name in ("route_router", "route_saw", "route_hand")]
    notes = [paragraph(one, typography.text(), section.add("P")) for one in texts]
    return Stack([heading, _columns(notes, context.accent)])


def _before(context: Context, card: SetupCard, words: Words, section: Node) -> list[Element]:
    """Passes, caution, sizes to measure."""
    pictures = pass_pictures(card, context.edition, MEASURE)
    rows = []
    for number, (figure, (title, text)) in enumerate(zip(pictures, words.passes(), strict=True), start=1):
        node = Node("Figure")
        rows.append(PassRow(number, title, text, context.picture(figure, node), section, node))
    caution = Caution(words.caution, section.add("P"))
    remark = words.passes_remark if card.method is Method.OFFCUT else ""
    measure = Stack([SectionHeading(words.plain("measure"), remark, section), MeasureBoxes(words.boxes(), section)])
    return [*rows, caution, measure]


def _cutters(words: Words, section: Node) -> Element:
    heading = SectionHeading(words.plain("cutters"), words.width_remark, section)
    names, rows = words.cutters()
    return Stack([heading, CutterTable(names, rows, "yours", section.add("Table"))])


def _test(context: Context, card: SetupCard, words: Words, section: Node) -> Element:
    """The picture from above at the left, the test at the right."""
    text = typography.text()
    above = paragraph(words.above(), typography.text(), section.add("P"))
    picture = context.picture(from_above(card), section.add("Figure"))
    heading = SectionHeading(words.plain("test"), "", section)
    tests = [paragraph(one, text, section.add("P")) for one in words.tests()]
    line = OffBy(words.off_by, words.plain("tested"), section)
    right = Stack([heading, Stack(tests, 1.4)])
    return SideBySide(
        [
            (0.0, 84.0, 2.0, [above, picture]),
            (_TEST_AT, block.WIDTH - _TEST_AT, 2.4, [right, line]),
        ]
    )


def _stops(card: SetupCard, words: Words, lines: Sequence[StopLine], section: Node) -> Element:
    """The stops with their distances and boxes to tick."""
    title = words.plain("fences" if card.method is Method.FENCE else "stops")
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


def _columns(texts: Sequence[TaggedParagraph], accent: str) -> Element:
    """Notes in two columns, the higher one as low as can be."""
    notes = [Note([one], accent) for one in texts]
    width = _NOTE_COLUMNS[0][1]
    heights = [height_of(one, width) for one in notes]
    best = min(range(len(notes), 0, -1), key=lambda count: max(sum(heights[:count]), sum(heights[count:])))
    halves = (notes[:best], notes[best:])
    return SideBySide([(x, w, _NOTE_GAP, half) for (x, w), half in zip(_NOTE_COLUMNS, halves, strict=True)])


def _backs(
    card: SetupCard,
    words: Words,
    lines: Sequence[StopLine],
    notes: Element,
    section: Node,
    room: float,
) -> list[list[Element]]:
    """The stops with the notes below them; of many stops several pages, the notes on the last."""
    pages: list[list[Element]] = []
    rest = list(lines)
    while rest:
        count = len(rest)
        while count > 1 and not _fits([_stops(card, words, rest[:count], Node("Sect"))], room):
            count -= 1
        pages.append([_stops(card, words, rest[:count], section)])
        rest = rest[count:]
    if not _fits([*pages[-1], notes], room):
        pages.append([])
    pages[-1].append(notes)
    return pages


def _fits(blocks: Sequence[Element], room: float) -> bool:
    used = sum(height_of(one, block.WIDTH) for one in blocks)
    return used + _WHITE[1] * (len(blocks) - 1) <= room


def _placed(blocks: Sequence[Element], top: float, room: float, wish: tuple[float, float] = _WHITE) -> list[Column]:
    """The blocks of a page, with as much of the preferred white as there is room for."""
    heights = [height_of(one, block.WIDTH) for one in blocks]
    gaps = max(1, len(blocks) - 1)
    white = min(wish[0], max(wish[1], (room - sum(heights)) / gaps))
    columns, y = [], top
    for one, height in zip(blocks, heights, strict=True):
        columns.append(Column.filled(0.0, y, block.WIDTH, (one,)))
        y += height + white
    return columns
