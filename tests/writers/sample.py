"""A small document with everything the PDF writer offers; `python -m tests.writers.sample` prints its sha256."""

from __future__ import annotations

import hashlib
from datetime import date
from typing import Any

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus.doctemplate import BaseDocTemplate, PageTemplate
from reportlab.platypus.flowables import Flowable
from reportlab.platypus.frames import Frame

from planpress.base.display import Anchor, Circle, Face, Figure, Hatch, Path, Pen, Role, Text, line, rectangle
from planpress.base.lettering import fraction_sign
from planpress.writers.pdf.canvas import TaggedCanvas
from planpress.writers.pdf.document import DocumentSettings, Written
from planpress.writers.pdf.flowables import FigureFlowable, TaggedParagraph
from planpress.writers.pdf.fonts import font_name
from planpress.writers.pdf.structure import Node
from planpress.writers.pdf.writing import PdfWriter

LETTER = (612.0, 792.0)
SETTINGS = DocumentSettings("Stand – a plan", date(2026, 5, 12), author="Demo Workshop", subject="Tests")
WHOLE_AND_FRACTION = "12" + fraction_sign(3, 4, after_whole=True)

FIGURE = Figure(
    160,
    80,
    (
        Path(rectangle(5, 5, 100, 60), Pen(0.5), "#EFEFEB", Role.TINT),
        Path(rectangle(10, 10, 20, 20), Pen(0.35), Hatch(2.2)),
        Circle((60, 30), 10, Pen(0.25)),
        Circle((60, 30), 3.6, Pen(0.35), "#FFFFFF", Role.BALLOON),
        line((5, 70), (105, 70), Pen(0.18, "#2E6A4C", (3.2, 1, 0.5, 1)), Role.TRAIL),
        Text((60, 28.5), "A", Face.SEMIBOLD, 12, anchor=Anchor.MIDDLE),
        Text((55, 72), "28" + fraction_sign(11, 16, after_whole=True), anchor=Anchor.MIDDLE),
        Text((130, 20), "⌀ " + fraction_sign(3, 4, after_whole=False), Face.ITALIC, angle=90, anchor=Anchor.END),
    ),
    alt="A board from above, 28" + fraction_sign(11, 16, after_whole=True) + " long",
)


class _Table(Flowable):  # type: ignore[misc]
    """Three rows of two cells, written line by line."""

    def __init__(self, node: Node) -> None:
        super().__init__()
        heads = node.add("TR")
        self.cells = [("Part", heads.heading_cell()), ("Length", heads.heading_cell())]
        for name in ("Slat", "Leg"):
            row = node.add("TR")
            self.cells += [(name, row.add("TD")), (WHOLE_AND_FRACTION, row.add("TD"))]

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return 200.0, 45.0

    def draw(self) -> None:
        canvas: TaggedCanvas = self.canv
        for i, (text, node) in enumerate(self.cells):
            canvas.write(i % 2 * 80, 32 - i // 2 * 15, text, node=node)
        with canvas.artifact():
            canvas.line(0, 30, 200, 30)


def sample() -> Written:
    """The document: two pages or more, with a paragraph and a link that go over the page's end."""
    pdf = PdfWriter(SETTINGS)
    section = pdf.tags.add("Sect")
    body = ParagraphStyle("body", fontName=font_name(Face.REGULAR), fontSize=10, leading=12.76)
    heading = ParagraphStyle("heading", parent=body, fontName=font_name(Face.LIGHT), fontSize=24, leading=30)
    listed = ParagraphStyle("list", parent=body, leftIndent=14, bulletFontName=font_name(Face.REGULAR))
    sentence = f"Cut <b>{WHOLE_AND_FRACTION}</b> long, see <a href='#page2'>the second page of it</a>, and go on. "
    label, item = section.add("L").list_item()
    section.kids.insert(0, section.kids.pop())
    title, text, linked = Node("H1"), Node("P"), Node("P")
    section.kids[:0] = [title, text, linked]
    story = [
        TaggedParagraph("Parts &amp; pieces", heading, title),
        TaggedParagraph(sentence * 60, body, text),
        TaggedParagraph("<a href='https://example.com/plans'>All of it a link</a>", body, linked),
        TaggedParagraph("Sharpen the saw.", listed, item, label, bulletText="a"),
        _Table(section.add("Table")),
        FigureFlowable(FIGURE, section.add("Figure")),
    ]

    def draw_foot(canvas: TaggedCanvas, template: Any) -> None:
        canvas.bookmark(f"page{template.page}", f"Page {template.page}")
        canvas.label_page("cover" if template.page == 1 else str(template.page))
        with canvas.artifact("Footer"):
            canvas.write(51, 40, f"page {template.page}", Face.SEMIBOLD, 9.5)
            canvas.place_stamp(200, 40)

    template = BaseDocTemplate(None, pagesize=LETTER, initialFontName=font_name(Face.REGULAR))
    template.addPageTemplates(PageTemplate("page", [Frame(51, 72, 510, 640)], onPage=draw_foot))
    template.build(story, canvasmaker=pdf.canvasmaker)
    return pdf.written()


def drawn(figure: Figure, page_size: tuple[float, float] = LETTER) -> bytes:
    """A page with one figure at its lower left corner."""
    pdf = PdfWriter(SETTINGS)
    canvas = pdf.new_canvas(page_size)
    canvas.draw_figure(figure, 0, 0)
    return canvas.finish().data


if __name__ == "__main__":
    print(hashlib.sha256(sample().data).hexdigest())
