"""The views, and the part drawings: one, two or more parts on a page as their drawings have room."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from planpress.figures.part_drawing import Band
from planpress.figures.scales import ratio
from planpress.model.records import Part
from planpress.pages import block, typography
from planpress.pages.chrome import Head
from planpress.pages.context import Context
from planpress.pages.elements import Element, Gap, Stack, height_of
from planpress.pages.notes import HeadingRow, Note, Sign, WritingBox, paragraph
from planpress.pages.sheets import Column, Sheet
from planpress.pages.typography import plain_markup
from planpress.pages.wording import capital, in_text, listed
from planpress.writers.pdf.structure import Node

VIEWS_KEY = "views"
PARTS_KEY = "part-drawings"

#: White above the views as a share of what is left of the page.
_TOP_SHARE = 0.4
_BELOW_HEADING = 3.0
#: White above a band and above a part: preferred, least.
_BAND_WHITE = (4.5, 2.0)
_PART_WHITE = (11.0, 8.0)
_NOTE_GAP = 2.0
_NOTE_COLUMNS = ((0.0, 84.0), (96.0, 84.0))  # of notes without a figure: x, width


def views(context: Context) -> Sheet:
    """The sheet of the three views."""
    section = Node("Sect")
    head = Head(("Views",), context.text("views", "purpose"), section)
    drawing = context.drawings.views()
    picture = context.picture(drawing.figure, section.add("Figure"))
    top = head.content_top + _TOP_SHARE * (block.CONTENT_BOTTOM - head.content_top - drawing.figure.height)
    column = Column.filled(0.0, top, block.WIDTH, (picture,))
    what = capital(", ".join(name.lower() for name in drawing.names))
    foot = context.foot("Views", what, f"Scale {ratio(drawing.scale)}")
    return Sheet(VIEWS_KEY, section, head, foot, [column], "Views")


def part_drawings(context: Context) -> list[Sheet]:
    """All part drawings in order of letters, as many on a page as fit with what belongs to them."""
    sheets: list[Sheet] = []
    waiting: list[Part] = []
    room = block.CONTENT_BOTTOM - block.CONTENT_TOP
    for part in context.plan.parts:
        together = [strip for one in [*waiting, part] for strip in _strips(context, one, Node("Sect"))]
        if waiting and not _fit(together, room):
            sheets += _part_sheets(context, waiting, len(sheets))
            waiting = []
        waiting.append(part)
    return sheets + (_part_sheets(context, waiting, len(sheets)) if waiting else [])


def part_key(letter: str) -> str:
    """The bookmark of a part's drawing."""
    return f"part-{letter}"


@frozen
class _Strip:
    """A flowable that is never divided, with the white above it: preferred and least, mm."""

    flowable: Element
    white: float
    least: float
    part: Part
    is_first: bool

    @property
    def height(self) -> float:
        """Without the white."""
        return height_of(self.flowable, block.WIDTH)


def _strips(context: Context, part: Part, section: Node) -> list[_Strip]:
    """Heading with the first band, then the other bands, of one part."""
    drawing = context.drawings.part(part.letter)
    row = HeadingRow([Sign(part.letter)], part.label, (drawing.pieces, drawing.sizes), section.add("H2"))
    context.signs.see_text(drawing.sizes)
    bands = [_band(context, band, section) for band in drawing.bands]
    first = Stack((row, Gap(_BELOW_HEADING), *bands[:1]))
    strips = [_Strip(first, *_PART_WHITE, part, True)]
    return strips + [_Strip(band, *_BAND_WHITE, part, False) for band in bands[1:]]


def _fit(strips: Sequence[_Strip], room: float) -> bool:
    """True if they fit one below the other with the least white between them."""
    return sum(one.height for one in strips) + sum(one.least for one in strips[1:]) <= room


def _divided(strips: Sequence[_Strip], room: float) -> list[list[_Strip]]:
    """The strips of each page."""
    pages: list[list[_Strip]] = [[]]
    for one in strips:
        if pages[-1] and not _fit([*pages[-1], one], room):
            pages.append([])
        pages[-1].append(one)
    return pages


def _placed(strips: Sequence[_Strip], top: float, room: float) -> list[tuple[_Strip, float]]:
    """(strip, y) of a page's strips, with as much of the preferred white as there is room for."""
    free = room - sum(one.height for one in strips) - sum(one.least for one in strips[1:])
    wish = sum(one.white - one.least for one in strips[1:])
    share = min(1.0, max(0.0, free / wish)) if wish else 1.0
    out, y = [], top
    for number, one in enumerate(strips):
        y += one.least + share * (one.white - one.least) if number else 0.0
        out.append((one, y))
        y += one.height
    return out


def _part_sheets(context: Context, parts: Sequence[Part], before: int) -> list[Sheet]:
    """The sheets of parts that share a page, or of one that needs more than a page."""
    section = Node("Sect")
    titles = _titles(parts)
    notched = any(part.notches for part in parts)
    purpose = context.text("parts", "drawing_purpose" if notched else "drawing_purpose_plain")
    head = Head(titles, purpose, section)
    strips = [strip for part in parts for strip in _strips(context, part, section.add("Sect"))]
    room = block.CONTENT_BOTTOM - head.content_top
    sheets = []
    for number, page in enumerate(_divided(strips, room)):
        columns, marks = [], {}
        for strip, y in _placed(page, head.content_top, room):
            columns.append(Column.filled(0.0, y, block.WIDTH, (strip.flowable,)))
            if strip.is_first:
                marks[part_key(strip.part.letter)] = ("", y)
        sheets.append(
            Sheet(
                f"{PARTS_KEY}-{before + number + 1}",
                section,
                Head(titles, purpose, None) if number else head,
                context.foot("Part drawings", _names(parts), "Scale as marked"),
                columns,
                "" if number else head.title,
                marks=marks,
            )
        )
    return sheets


def _titles(parts: Sequence[Part]) -> tuple[str, ...]:
    """ "Slat A and bearer B", and a shorter form."""
    full = capital(listed([f"{in_text(part.label)} {part.letter}" for part in parts]))
    letters = listed([part.letter for part in parts])
    return (full, f"Parts {letters}" if len(parts) > 1 else f"Part {letters}")


def _names(parts: Sequence[Part]) -> str:
    return capital(", ".join(f"{in_text(part.label)} {part.letter}" for part in parts))


def _band(context: Context, band: Band, section: Node) -> Element:
    figure_node = section.add("Figure") if band.figure is not None else None
    notes = [_note_paragraphs(note.bold, note.rest, note.box, section) for note in band.notes]
    return _BandElement(context, band, figure_node, notes)


def _note_paragraphs(bold: str, rest: str, box: bool, section: Node) -> list[Element]:
    markup = f"<b>{plain_markup(bold)}</b> {plain_markup(rest)}".strip()
    contents: list[Element] = [paragraph(markup, typography.text(), section.add("P"))]
    return [*contents, WritingBox()] if box else contents


class _BandElement(Element):
    """A figure at the left, notes in a column beside it."""

    def __init__(
        self, context: Context, band: Band, figure_node: Node | None, notes: Sequence[Sequence[Element]]
    ) -> None:
        super().__init__()
        self._band = band
        self._accent = context.accent
        self._notes = notes
        self._picture = None
        if band.figure is not None and figure_node is not None:
            self._picture = context.picture(band.figure, figure_node)

    def lay_out(self, width: float) -> float:
        """As high as the higher of the two; notes without a figure stand in two columns."""
        if self._picture is None:
            return self._in_columns()
        high = self.place(self._picture, 0.0, 0.0, width)
        return max(high, self._column(self._notes, self._band.notes_x, self._band.notes_width))

    def _column(self, notes: Sequence[Sequence[Element]], x: float, width: float) -> float:
        y = 0.0
        for number, contents in enumerate(notes):
            y += _NOTE_GAP if number else 0.0
            y += self.place(Note(contents, self._accent), x, y, width)
        return y

    def _in_columns(self) -> float:
        """Divided so that the higher column is as low as can be; the first is not the shorter of two that tie."""
        width = _NOTE_COLUMNS[0][1]
        heights = [height_of(Note(contents, self._accent), width) for contents in self._notes]
        splits = range(len(heights), 0, -1)
        best = min(splits, key=lambda count: max(sum(heights[:count]), sum(heights[count:])))
        halves = (self._notes[:best], self._notes[best:])
        return max(self._column(notes, *at) for notes, at in zip(halves, _NOTE_COLUMNS, strict=True))
