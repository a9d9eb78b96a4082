"""What a part drawing is on its pages: its heading and rows of drawings, each row with one detail or several abreast.

A detail stands alone in its row, its notes beside it, or shares the row with its neighbours, each in a column with its
notes below it: whichever makes the part lowest.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from typing import Final

from attrs import field, frozen

from planpress.figures.extents import bounds
from planpress.figures.part_drawing import Band, PartDrawing
from planpress.pages import block, typography
from planpress.pages.context import Context
from planpress.pages.elements import Element, Gap, Stack, height_of
from planpress.pages.notes import HeadingRow, Note, Sign, WritingBox, paragraph
from planpress.pages.typography import MEASURE, plain_markup
from planpress.writers.pdf.structure import Node

#: Details that may share a row, the white between their columns, the narrowest column.
_ABREAST: Final = (2, 3)
_GUTTER: Final = 4.0
_NARROWEST: Final = 50.0
_NOTE_COLUMNS: Final = ((0.0, 84.0), (96.0, 84.0))  # of notes without a figure
_NOTE_GAP: Final = 2.0
_BELOW_FIGURE: Final = 2.5
_BELOW_HEADING: Final = 3.0
#: White above a row: preferred, least.
ROW_WHITE: Final = (4.5, 2.0)

Rows = tuple[tuple[Band, ...], ...]


@frozen
class PartRows:
    """A part's drawing with its bands put into rows, and how high (mm) each strip is.

    Attributes:
        heights: of the heading with the first row, then of the other rows.
    """

    drawing: PartDrawing
    rows: Rows
    heights: tuple[float, ...] = field()

    @property
    def height(self) -> float:
        """Of the whole part with the least white."""
        return sum(self.heights) + ROW_WHITE[1] * (len(self.heights) - 1)


def part_rows(context: Context, drawing: PartDrawing) -> PartRows:
    """The rows that make a part lowest; of two ways alike the one with fewer details abreast."""
    bands = drawing.bands
    measured: dict[tuple[int, int], float] = {}

    def height(start: int, end: int) -> float:
        if (start, end) not in measured:
            measured[start, end] = height_of(_row(context, bands[start:end], Node("Sect")), block.WIDTH)
        return measured[start, end]

    @functools.cache
    def best(start: int) -> tuple[float, tuple[int, ...]]:
        """(height, ends of the rows) from a band on."""
        if start == len(bands):
            return 0.0, ()
        found: list[tuple[float, tuple[int, ...]]] = []
        for count in (1, *_ABREAST):
            end = start + count
            if end <= len(bands) and (count == 1 or _columns(bands[start:end])):
                rest, ends = best(end)
                found.append((height(start, end) + ROW_WHITE[1] + rest, (end, *ends)))
        return min(found, key=lambda way: round(way[0], 3))

    ends = best(0)[1]
    starts = (0, *ends[:-1])
    rows = tuple(tuple(bands[a:b]) for a, b in zip(starts, ends, strict=True))
    strips = part_strips(context, PartRows(drawing, rows, ()), Node("Sect"))
    return PartRows(drawing, rows, tuple(height_of(one, block.WIDTH) for one in strips))


def part_strips(context: Context, part: PartRows, section: Node) -> list[Element]:
    """What is never divided: the heading with the first row, then each other row."""
    drawing = part.drawing
    facts = (drawing.pieces, drawing.sizes)
    heading = HeadingRow([Sign(drawing.letter)], drawing.label, facts, section.add("H2"))
    context.signs.see_text(drawing.sizes)
    rows = [_row(context, row, section) for row in part.rows]
    return [Stack((heading, Gap(_BELOW_HEADING), *rows[:1])), *rows[1:]]


def continued_heading(drawing: PartDrawing) -> Element:
    """Above the rows of a part that began on an earlier page; an artifact."""
    heading = HeadingRow([Sign(drawing.letter)], drawing.label, ("continued",), None)
    return Stack((heading, Gap(_BELOW_HEADING)))


def _columns(bands: Sequence[Band]) -> tuple[tuple[float, float], ...]:
    """x and width of the columns of details that share a row: alike if that holds them all; () if they do not fit."""
    needed: list[float] = []
    for band in bands:
        if band.figure is None:
            return ()
        left, _, right, _ = bounds(band.figure.items, MEASURE)
        if left < -1.0:
            return ()
        needed.append(max(right, _NARROWEST))
    room = block.WIDTH - _GUTTER * (len(bands) - 1)
    if sum(needed) > room:
        return ()
    alike = room / len(bands)
    if max(needed) <= alike:
        widths = [alike] * len(bands)
    else:
        widths = [one + (room - sum(needed)) / len(bands) for one in needed]
    starts = [sum(widths[:count]) + _GUTTER * count for count in range(len(widths))]
    return tuple(zip(starts, widths, strict=True))


def _row(context: Context, bands: Sequence[Band], section: Node) -> Element:
    made = [_made(context, band, section) for band in bands]
    if len(made) == 1:
        return _BandElement(context.accent, bands[0], *made[0])
    cells = [(picture, notes) for picture, notes in made if picture is not None]
    return _Abreast(context.accent, cells, _columns(bands))


_Notes = Sequence[Sequence[Element]]


def _made(context: Context, band: Band, section: Node) -> tuple[Element | None, _Notes]:
    picture = None if band.figure is None else context.picture(band.figure, section.add("Figure"))
    return picture, [_note_paragraphs(note.bold, note.rest, note.box, section) for note in band.notes]


def _note_paragraphs(bold: str, rest: str, box: bool, section: Node) -> list[Element]:
    markup = f"<b>{plain_markup(bold)}</b> {plain_markup(rest)}".strip()
    contents: list[Element] = [paragraph(markup, typography.text(), section.add("P"))]
    return [*contents, WritingBox()] if box else contents


class _WithNotes(Element):
    """Something with columns of notes."""

    def __init__(self, accent: str) -> None:
        super().__init__()
        self._accent = accent

    def column(self, notes: _Notes, x: float, y: float, width: float) -> float:
        """Notes one below the other; returns where they end."""
        for number, contents in enumerate(notes):
            y += _NOTE_GAP if number else 0.0
            y += self.place(Note(contents, self._accent), x, y, width)
        return y


class _BandElement(_WithNotes):
    """A figure at the left, notes in a column beside it."""

    def __init__(self, accent: str, band: Band, picture: Element | None, notes: _Notes) -> None:
        super().__init__(accent)
        self._band = band
        self._notes = notes
        self._picture = picture

    def lay_out(self, width: float) -> float:
        """As high as the higher of the two; notes without a figure stand in two columns."""
        if self._picture is None:
            return self._in_columns()
        high = self.place(self._picture, 0.0, 0.0, width)
        return max(high, self.column(self._notes, self._band.notes_x, 0.0, self._band.notes_width))

    def _in_columns(self) -> float:
        """Divided so that the higher column is as low as can be; the first is not the shorter of two that tie."""
        width = _NOTE_COLUMNS[0][1]
        heights = [height_of(Note(contents, self._accent), width) for contents in self._notes]
        splits = range(len(heights), 0, -1)
        best = min(splits, key=lambda count: max(sum(heights[:count]), sum(heights[count:])))
        halves = (self._notes[:best], self._notes[best:])
        return max(self.column(notes, x, 0.0, wide) for notes, (x, wide) in zip(halves, _NOTE_COLUMNS, strict=True))


class _Abreast(_WithNotes):
    """Figures side by side, each with its notes below it."""

    def __init__(
        self, accent: str, cells: Sequence[tuple[Element, _Notes]], columns: Sequence[tuple[float, float]]
    ) -> None:
        super().__init__(accent)
        self._cells = cells
        self._columns = columns

    def lay_out(self, width: float) -> float:
        """As high as the highest column."""
        high = 0.0
        for (x, wide), (picture, notes) in zip(self._columns, self._cells, strict=True):
            y = self.place(picture, x, 0.0, wide)
            if notes:
                y = self.column(notes, x, y + _BELOW_FIGURE, wide)
            high = max(high, y)
        return high
