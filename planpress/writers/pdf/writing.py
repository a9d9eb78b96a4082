"""One PDF file from start to bytes, for direct drawing and for ReportLab's document templates."""

from __future__ import annotations

from typing import Any

from planpress.writers.pdf import fonts
from planpress.writers.pdf.canvas import TaggedCanvas
from planpress.writers.pdf.document import DocumentSettings, PlanDocument, Written
from planpress.writers.pdf.structure import Node


class PdfWriter:
    """Writes one file.

    Attributes:
        settings: title, date and so on.
        tags: the root ("Document") of its structure tree; the composer adds Sect, H1, P, Table, Figure...
            below it.
    """

    def __init__(self, settings: DocumentSettings) -> None:
        fonts.register_fonts()
        self.settings = settings
        self.tags = Node("Document")
        self._canvas: TaggedCanvas | None = None

    def new_canvas(self, page_size: tuple[float, float]) -> TaggedCanvas:
        """A canvas for direct drawing; page size in points, `setPageSize` changes it for later pages.

        A second canvas starts the file anew: what was drawn on the first is taken out of the tree.
        """
        if self._canvas is not None:
            self.tags.without_marks()
        self._canvas = TaggedCanvas(PlanDocument(self.settings, self.tags), page_size)
        return self._canvas

    def canvasmaker(self, _filename: Any, pagesize: tuple[float, float], **_: Any) -> TaggedCanvas:
        """For `BaseDocTemplate.build(story, canvasmaker=...)`; the template's file name is not used."""
        return self.new_canvas(pagesize)

    def written(self) -> Written:
        """The finished file: after `canvas.save()` or the template's `build`.

        Raises:
            ValueError: if it is not finished.
        """
        if self._canvas is None:
            raise ValueError("nothing has been drawn")
        return self._canvas.written
