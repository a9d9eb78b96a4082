"""Sheets: what one printed page consists of, and how a list of them becomes a PDF file.

A composer of a page kind gives `Sheet`s: head, foot and columns of flowables in block coordinates. `write_sheets`
makes each a PageTemplate of ReportLab's Platypus with one Frame a column and builds the story of all. Every column
must hold what it is
given: a sheet never flows over into another by itself; composers divide beforehand (see `fits`).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from attrs import define, field, frozen
from reportlab.platypus.doctemplate import BaseDocTemplate, FrameBreak, NextPageTemplate, PageBreak, PageTemplate
from reportlab.platypus.flowables import Flowable
from reportlab.platypus.frames import Frame

from planpress.base.display import Face
from planpress.base.lettering import plain
from planpress.pages import chrome
from planpress.pages.block import CONTENT_BOTTOM, MM, Block
from planpress.pages.chrome import Foot, Head
from planpress.pages.elements import Gap, height_of
from planpress.writers.pdf.canvas import TaggedCanvas
from planpress.writers.pdf.document import DocumentSettings, Written
from planpress.writers.pdf.fonts import font_name
from planpress.writers.pdf.structure import Node
from planpress.writers.pdf.writing import PdfWriter

#: Frames get this much (mm) beyond their contents, so that rounding never turns a full column into a new page.
_SLACK = 0.05


@frozen
class Column:
    """A frame on the page: its upper left corner and size in block mm, and what stands in it from the top."""

    x: float
    y: float
    width: float
    height: float
    flowables: Sequence[Flowable]

    @classmethod
    def filled(cls, x: float, y: float, width: float, flowables: Sequence[Flowable]) -> Column:
        """A column that is as high as what stands in it."""
        return cls(x, y, width, sum(height_of(one, width) for one in flowables), tuple(flowables))

    @property
    def bottom(self) -> float:
        """Its lower edge in block mm."""
        return self.y + self.height


@define(eq=False)
class Sheet:
    """One printed page.

    Attributes:
        key: its bookmark, by which other pages refer to it.
        node: its section of the structure tree; pages that continue another share that one's.
        head: None on the cover, whose columns hold all.
        foot: the title block.
        columns: in any order; the structure tree gives the reading order.
        outline: its title in the viewer's outline, "" for none; level: depth there.
        marks: bookmarks of things on it, key -> height in block mm.
    """

    key: str
    node: Node
    head: Head | None
    foot: Foot
    columns: list[Column]
    outline: str = ""
    level: int = 0
    marks: dict[str, tuple[str, float]] = field(factory=dict)

    def check(self) -> None:
        """Makes sure that each column holds its contents and stays within the block.

        Raises:
            ValueError: if one does not; a composer has then divided wrongly.
        """
        for column in self.columns:
            needed = sum(height_of(one, column.width) for one in column.flowables)
            if needed > column.height + _SLACK:
                raise ValueError(f"page {self.key!r}: a column of {column.height:.1f} mm cannot hold {needed:.1f} mm")
            if column.bottom > CONTENT_BOTTOM + 1.0:
                raise ValueError(f"page {self.key!r}: a column ends at {column.bottom:.1f} mm, in the foot")


@frozen
class FileSettings:
    """What the file says about itself, and the look that all its pages share."""

    title: str
    author: str
    subject: str
    day: date
    accent: str


def fits(flowables: Sequence[Flowable], width: float, height: float) -> bool:
    """True if a column of this size holds the flowables."""
    return sum(height_of(one, width) for one in flowables) <= height + _SLACK


def write_sheets(sheets: Sequence[Sheet], where: Block, settings: FileSettings) -> Written:
    """Writes all sheets as one tagged PDF file.

    Raises:
        ValueError: if a sheet does not hold what it is given.
    """
    writer = PdfWriter(
        DocumentSettings(
            settings.title,
            settings.day,
            author=settings.author,
            subject=settings.subject,
            stamp_size=(chrome.STAMP_SIZE[0] * MM, chrome.STAMP_SIZE[1] * MM),
        )
    )
    for sheet in sheets:
        if sheet.node not in writer.tags.kids:
            writer.tags.kids.append(sheet.node)
    document = BaseDocTemplate(
        None,
        pagesize=where.page_size,
        initialFontName=font_name(Face.REGULAR),
        pageTemplates=[_template(sheet, number, sheets, where, settings) for number, sheet in enumerate(sheets)],
    )
    document.build(_story(sheets), canvasmaker=writer.canvasmaker)
    if document.page != len(sheets):
        raise ValueError(f"{len(sheets)} sheets became {document.page} pages")
    return writer.written()


def _story(sheets: Sequence[Sheet]) -> list[Flowable]:
    story: list[Flowable] = []
    for number, sheet in enumerate(sheets):
        if number:
            story += [NextPageTemplate(str(number)), PageBreak()]
        sheet.check()
        for count, column in enumerate(sheet.columns):
            if count:
                story.append(FrameBreak())
            story += column.flowables or [Gap(0.1)]
    return story


def _template(sheet: Sheet, number: int, sheets: Sequence[Sheet], where: Block, settings: FileSettings) -> PageTemplate:
    """The page template of one sheet: its frames, head, foot, bookmarks and page label."""

    def draw_page(canvas: TaggedCanvas, _document: Any) -> None:
        canvas.label_page(str(number + 1))
        canvas.bookmark(sheet.key, sheet.outline, sheet.level)
        for key, (title, y) in sheet.marks.items():
            canvas.bookmark(key, plain(title), sheet.level + 1, top=where.point(0.0, y)[1])
        if sheet.head is not None:
            sheet.head.draw(canvas, where, settings.accent)
        else:
            chrome.draw_bar(canvas, where, settings.accent)

    def draw_foot(canvas: TaggedCanvas, _document: Any) -> None:
        sheet.foot.draw(canvas, where, number + 1, len(sheets))

    frames = []
    for column in sheet.columns:
        left, bottom = where.point(column.x, column.bottom + _SLACK)
        size = (column.width * MM, (column.height + 2 * _SLACK) * MM)
        frames.append(
            Frame(left, bottom, *size, leftPadding=0, rightPadding=0, topPadding=_SLACK * MM, bottomPadding=0)
        )
    return PageTemplate(str(number), frames, onPage=draw_page, onPageEnd=draw_foot, pagesize=where.page_size)
