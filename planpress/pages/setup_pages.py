"""Set-up cards: how to set a machine for cuts that share a setting.

A card with few stops has all that is needed at the machine on one page; those of one with many follow on the next
page, which cards share. What explains a card goes there as well, or on the pages of notes at the end.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from attrs import evolve, frozen

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
STOPS_KEY: Final = "set-up-stops"

#: White between the blocks of a page: preferred, least.
_WHITE: Final = (6.5, 3.0)
_NOTE_COLUMNS: Final = ((0.0, 86.0), (94.0, 86.0))
_NOTE_GAP: Final = 2.6
_TEST_AT: Final = 92.0
_NOTES_WHITE: Final = (11.0, 3.0)


#: Shared pages this full wait for no further card.
_FULL: Final = 0.6
_ROOM: Final = block.CONTENT_BOTTOM - block.CONTENT_TOP


@frozen
class _Rest:
    """What goes below the heading of a card on a page that cards share: stops that its own page has no room for, notes.

    Attributes:
        lines: the stops left. is_last: no more follow, so its notes stand here.
        cutters: the table of cutters stands here as well.
    """

    card: SetupCard
    words: Words
    lines: tuple[StopLine, ...]
    is_last: bool
    cutters: bool


def setup_cards(context: Context) -> list[Sheet]:
    """All set-up cards in order, each soon followed by the stops it has no room for; then notes."""
    pages = _SharedPages(context)
    sheets: list[Sheet] = []
    for card in context.cards:
        front, rests = _card(context, card, Words(context, card))
        sheets.append(front)
        for rest in rests:
            sheets += pages.add(rest)
        sheets += pages.finished_if_full()
    return sheets + pages.all_finished() if sheets else []


def card_key(number: int) -> str:
    """The bookmark of a set-up card."""
    return KEY if number == 1 else f"{KEY}-{number}"


def stops_key(number: int) -> str:
    """The bookmark of the stops of a card that stand on another page."""
    return f"{STOPS_KEY}-of-{number}"


def _card(context: Context, card: SetupCard, words: Words) -> tuple[Sheet, list[_Rest]]:
    """The card's page, and what has no room on it."""
    section = Node("Sect")
    title = f"Set-up card {card.number}"
    head = Head((title,), words.purpose, section)
    room = block.CONTENT_BOTTOM - head.content_top
    before = _before(context, card, words, section)
    lines = tuple(words.stop_lines())
    is_offcut = card.method is Method.OFFCUT
    fits = _fits([*before, _stops(card, words, lines, Node("Sect")), _test(context, card, words, Node("Sect"))], room)
    if fits:
        blocks = [*before, _stops(card, words, lines, section), _test(context, card, words, section)]
        rests = [_Rest(card, words, (), True, is_offcut)]
    else:
        draft = [_cutters(words, Node("Sect"))] if is_offcut else []
        draft += [_elsewhere(context, card, words, Node("Sect")), _test(context, card, words, Node("Sect"))]
        with_cutters = is_offcut and _fits([*before, *draft], room)
        cutters = [_cutters(words, section)] if with_cutters else []
        blocks = [*before, *cutters, _elsewhere(context, card, words, section), _test(context, card, words, section)]
        rests = _rests(context, card, words, lines, is_offcut and not with_cutters)
    foot = context.foot(title, kinds(card.parts), "Not to scale")
    return Sheet(card_key(card.number), section, head, foot, _placed(blocks, head.content_top, room), title), rests


def _elsewhere(context: Context, card: SetupCard, words: Words, section: Node) -> Element:
    """Where the stops are, on a page that has no room for them."""
    return SectionHeading(_stops_title(card, words), context.page(stops_key(card.number)), section)


def _rests(context: Context, card: SetupCard, words: Words, lines: tuple[StopLine, ...], cutters: bool) -> list[_Rest]:
    """The stops, of very many as full pages as can be, the notes with the last."""
    out: list[_Rest] = []
    rest = lines
    while rest:
        count = len(rest)
        while count > 1:
            tried = _Rest(card, words, rest[:count], count == len(rest), cutters)
            if height_of(_rest(context, tried, Node("Sect")), block.WIDTH) <= _ROOM:
                break
            count -= 1
        out.append(_Rest(card, words, rest[:count], count == len(rest), cutters))
        cutters, rest = False, rest[count:]
    return out


class _SharedPages:
    """Pages with what cards have no room for, filled one after the other: stops first, notes where there is room."""

    def __init__(self, context: Context) -> None:
        self._context = context
        self._page: list[_Rest | None] = []  # None: other ways to make such cuts
        self._notes: list[_Rest] = []
        self._count = 0
        self._marked: set[int] = set()

    def add(self, rest: _Rest) -> list[Sheet]:
        """Takes what is left of a card; gives the page that is finished if it did not fit there."""
        if not rest.lines:
            self._notes.append(rest)
            return []
        sheets: list[Sheet] = []
        alone = evolve(rest, is_last=False, cutters=False)
        if rest.is_last and not self._has_room(rest) and self._has_room(alone):
            self._notes.append(evolve(rest, lines=()))
            rest = alone
        elif self._page and not self._has_room(rest):
            sheets = self._finished()
        self._page.append(rest)
        return sheets

    def finished_if_full(self) -> list[Sheet]:
        """The page, if hardly anything more goes on it but notes."""
        used = sum(height_of(one, block.WIDTH) for one in self._blocks(self._page, Node("Sect")))
        return self._finished() if used > _FULL * _ROOM else []

    def all_finished(self) -> list[Sheet]:
        """The last pages, with all the notes."""
        sheets: list[Sheet] = []
        self._take_notes()
        while self._notes:
            sheets += self._finished()
            self._take_notes()
        if not self._has_room(None):
            sheets += self._finished()
        self._page.append(None)
        return sheets + self._finished()

    def _take_notes(self) -> None:
        """Puts notes that wait on the page, in order, as long as they fit."""
        while self._notes and (not self._page or self._has_room(self._notes[0])):
            self._page.append(self._notes.pop(0))

    def _blocks(self, page: Sequence[_Rest | None], section: Node) -> list[Element]:
        return [_routes(self._context, section) if one is None else _rest(self._context, one, section) for one in page]

    def _has_room(self, one: _Rest | None) -> bool:
        return _fits(self._blocks([*self._page, one], Node("Sect")), _ROOM)

    def _finished(self) -> list[Sheet]:
        """The page as it is, with notes if there is room."""
        self._take_notes()
        page, self._page = self._page, []
        context, section = self._context, Node("Sect")
        with_stops = any(one is not None and one.lines for one in page)
        title = "Set-up cards: stops, notes" if with_stops else "Notes on the set-up cards"
        head = Head((title,), context.text("setups", "stops_purpose" if with_stops else "notes_purpose"), section)
        columns = _placed(self._blocks(page, section), head.content_top, _ROOM, _NOTES_WHITE)
        marks: dict[str, tuple[str, float]] = {}
        for one, column in zip(page, columns, strict=True):
            if one is not None and one.lines and one.card.number not in self._marked:
                self._marked.add(one.card.number)
                marks[stops_key(one.card.number)] = ("", column.y)
        self._count += 1
        key = NOTES_KEY if self._count == 1 else f"{NOTES_KEY}-{self._count}"
        foot = context.foot(title, "Stops, notes" if with_stops else "Why, how exact, other ways", "No drawing")
        return [Sheet(key, section, head, foot, columns, title, marks=marks)]


def _rest(context: Context, rest: _Rest, section: Node) -> Element:
    """Heading, stops, cutters and notes of a card."""
    card, words = rest.card, rest.words
    contents: list[Element] = [HeadingRow((), words.heading, (context.page(card_key(card.number)),), section.add("H2"))]
    if rest.lines:
        contents.append(_stops(card, words, rest.lines, section))
    if rest.cutters:
        names, rows = words.cutters()
        contents.append(CutterTable(names, rows, "yours", section.add("Table")))
    if rest.is_last:
        notes = [paragraph(one, typography.text(), section.add("P")) for one in words.notes()]
        contents.append(_columns(notes, context.accent))
    return Stack(contents, 4.0)


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
    heading = SectionHeading(_stops_title(card, words), f"{words.height} {words.formula}. {words.ticks}", section)
    return Stack([heading, _table(card, words, lines, section)])


def _stops_title(card: SetupCard, words: Words) -> str:
    return words.plain("fences" if card.method is Method.FENCE else "stops")


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
