"""A canvas whose marks, links and figures belong to a structure tree."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Literal

from reportlab.pdfbase import pdfdoc

from planpress.base.display import Anchor, Face, Figure
from planpress.base.lettering import plain
from planpress.writers.pdf import hooks
from planpress.writers.pdf.document import PlanDocument, Written
from planpress.writers.pdf.elements import text_string
from planpress.writers.pdf.fonts import advance, font, font_name
from planpress.writers.pdf.painting import figure_operators, fill_colour, number
from planpress.writers.pdf.stamp import STAMP
from planpress.writers.pdf.structure import Mark, Node, ObjectMark

#: What content outside the structure tree is (ISO 32000-1, 14.8.2.2).
Artifact = Literal["Header", "Footer", "Layout", "Background"]

INK = "#1B1B1A"


class TaggedCanvas(hooks.HookedCanvas):
    """ReportLab's canvas with tags. Lengths are points (1/72 in) of the current user space, y up.

    Everything that is drawn must lie in a mark: `with canvas.tagged(node):` or `with canvas.artifact():`.
    Methods that take a node mark themselves; without one they draw an artifact.
    """

    def __init__(self, document: PlanDocument, page_size: tuple[float, float]) -> None:
        super().__init__(document, page_size, font_name(Face.REGULAR))
        self._plan = document
        self._page_nodes: list[Node] = []
        self._encoded: dict[tuple[Face, str], list[tuple[str, str]]] = {}
        self._in_mark = False
        #: While a paragraph draws its bullet: the node of the label, or None in brackets if it is no content.
        self.bullet: tuple[Node | None] | None = None
        #: Links of a paragraph whose text is written and whose rectangles follow: address -> (Link node, its words).
        self.pending_links: dict[str, list[tuple[Node, str]]] = {}

    # --- marks ---

    def mark(self, node: Node | None, artifact: Artifact = "Layout") -> str:
        """Takes the next mark of the page for a node and returns the operator that begins it."""
        if node is None:
            pagination = artifact in ("Header", "Footer")
            return (
                f"/Artifact <</Type/Pagination/Subtype/{artifact}>> BDC"
                if pagination
                else f"/Artifact <</Type/{artifact}>> BDC"
            )
        count = len(self._page_nodes)
        self._page_nodes.append(node)
        node.kids.append(Mark(self.page_id(), count))
        return f"/{node.role} <</MCID {count}>> BDC"

    @contextmanager
    def tagged(self, node: Node | None, artifact: Artifact = "Layout") -> Iterator[None]:
        """What is drawn within belongs to the node; without a node it is an artifact.

        Raises:
            ValueError: if it is within another mark.
        """
        if self._in_mark:
            raise ValueError("marks cannot lie in each other")
        self.operators(self.mark(node, artifact))
        self._in_mark = True
        try:
            yield
        finally:
            self._in_mark = False
            self.operators("EMC")

    def artifact(self, kind: Artifact = "Layout") -> Any:
        """What is drawn within is no content: rules, backgrounds, head and foot of the page."""
        return self.tagged(None, kind)

    @property
    def in_mark(self) -> bool:
        """True within `tagged` or `artifact`."""
        return self._in_mark

    # --- text and figures ---

    def write(
        self,
        x: float,
        y: float,
        text: str,
        face: Face = Face.REGULAR,
        size: float = 10.0,
        *,
        colour: str = INK,
        anchor: Anchor = Anchor.START,
        node: Node | None = None,
    ) -> None:
        """Writes one line of text with its baseline at (x, y), ten times as fast as `drawString`.

        Within a mark it belongs to that mark and takes no node.
        """
        if anchor is not Anchor.START:
            width = advance(text, face) * size / 1000
            x -= width / 2 if anchor is Anchor.MIDDLE else width
        head, out = "", []
        for name, operand in self.encode(face, text):
            if name != head:
                out.append(f"{name} {number(size)} Tf")
                head = name
            out.append(f"{operand} Tj")
        shown = f"q {fill_colour(colour)} BT 1 0 0 1 {number(x)} {number(y)} Tm {' '.join(out)} ET Q"
        self._draw(shown, node)

    def draw_figure(self, figure: Figure, x: float, y: float, node: Node | None = None) -> None:
        """Draws a figure with its lower left corner at (x, y).

        Its node gets the alternative text and the bounds.

        Raises:
            ValueError: if there is a node and neither it nor the figure says in words what it shows.
        """
        if node is not None and not (node.alt or figure.alt):
            raise ValueError("a figure needs words for readers who cannot see it")
        self._draw(figure_operators(figure, x, y, self.encode), node)
        if node is not None:
            node.alt = node.alt or plain(figure.alt)
            width, height = figure_size(figure)
            node.bbox = self.page_rectangle((x, y, x + width, y + height))

    def _draw(self, operators: str, node: Node | None) -> None:
        if self._in_mark:
            if node is not None:
                raise ValueError("marks cannot lie in each other")
            self.operators(operators)
        else:
            self.operators(f"{self.mark(node)}\n{operators}\nEMC")

    def encode(self, face: Face, text: str) -> list[tuple[str, str]]:
        """(font resource name, string operand) of each stretch of a text that one subset covers."""
        operands = self._encoded.get((face, text))
        if operands is None:
            operands = self._encoded[face, text] = hooks.encoded(font(face), text, self.document)
        return operands

    def begin_marked_text(self, x: float, y: float, node: Node | None) -> hooks.MarkedText:
        """A text object whose strings belong to a node; `drawText` ends its mark."""
        text = hooks.MarkedText(self, x, y)
        if not self._in_mark:
            text.operators(self.mark(node))
            text.marked = True
        return text

    def beginText(self, x: float = 0, y: float = 0, direction: str | None = None) -> Any:  # noqa: N802
        """ReportLab's text object; marked as the list label while a paragraph draws its bullet."""
        if self.bullet is not None:
            return self.begin_marked_text(x, y, *self.bullet)
        return super().beginText(x, y, direction)

    def drawText(self, aTextObject: Any) -> None:  # noqa: N802, N803 (ReportLab's names)
        """Draws a text object and ends the mark in it."""
        if getattr(aTextObject, "marked", False):
            aTextObject.operators("EMC")
            aTextObject.marked = False
        super().drawText(aTextObject)

    # --- links, bookmarks, labels ---

    def link(self, node: Node, rectangle: tuple[float, float, float, float], destination: str, contents: str) -> None:
        """Makes a rectangle (left, bottom, right, top) lead to a bookmark.

        Args:
            node: the Link element that also has the link's text.
            destination: key of a bookmark, which may be set later.
            contents: what a reader is told about the link.
        """
        self._add_link(node, rectangle, contents, {"Dest": self.destination(destination)})

    def linkRect(self, contents: str, destinationname: str, Rect: Any = None, **_: Any) -> None:  # noqa: N802, N803
        """A paragraph's link to a bookmark."""
        node, said = self.pending_links["#" + destinationname].pop(0)
        self.link(node, Rect, destinationname, contents or said)

    def linkURL(self, url: str, rect: Any, **_: Any) -> None:  # noqa: N802
        """A paragraph's link to an address of the web."""
        node, said = self.pending_links[url].pop(0)
        action = pdfdoc.PDFDictionary({"S": "/URI", "URI": pdfdoc.PDFString(url)})
        self._add_link(node, rect, said, {"A": action})

    def _add_link(
        self, node: Node, rectangle: tuple[float, float, float, float], contents: str, target: dict[str, Any]
    ) -> None:
        if not contents:
            raise ValueError("a link needs words that say where it leads")
        key = self._plan.parents.add(node)
        entries = {
            "Type": "/Annot",
            "Subtype": "/Link",
            "Rect": pdfdoc.PDFArray(self.page_rectangle(rectangle)),
            "Border": "[0 0 0]",
            "F": 4,  # printed
            "Contents": text_string(contents),
            "StructParent": key,
        }
        name = self.add_annotation(pdfdoc.PDFDictionary({**entries, **target}))
        node.kids.append(ObjectMark(self.page_id(), name, key))

    def bookmark(self, key: str, title: str = "", level: int = 0, top: float | None = None) -> None:
        """Makes a place of the current page known to links and, with a title, to the viewer's outline.

        Args:
            level: depth in the outline, 0 at the top; may go down by one step at a time.
            top: height in the current user space that a viewer shows at its top; the whole page if None.
        """
        if top is None:
            self.bookmarkPage(key)
        else:
            self.bookmarkHorizontal(key, 0, top)
        if title:
            self.addOutlineEntry(plain(title), key, level)

    def label_page(self, label: str) -> None:
        """Names the current page as it is printed on it ("cover", "3", "T1"), for viewers."""
        self._plan.labels[self.getPageNumber() - 1] = label

    def place_stamp(self, x: float, y: float) -> None:
        """Draws the empty place of the personal stamp: in an open `artifact("Footer")` or as one of its own."""
        self._plan.add_stamp()
        if self._in_mark:
            self._do_stamp(x, y)
        else:
            with self.artifact("Footer"):
                self._do_stamp(x, y)

    def _do_stamp(self, x: float, y: float) -> None:
        self.operators(f"q 1 0 0 1 {number(x)} {number(y)} cm")
        self.doForm(STAMP)
        self.operators("Q")

    # --- pages and the file ---

    def page_finished(self, page: Any) -> None:
        """Tells the page where its marks are in the parent tree."""
        if self._page_nodes:
            key = self._plan.parents.add(self._page_nodes)
            hooks.add_catalogue_entry(page, "StructParents", key)
            self._page_nodes = []
        hooks.add_catalogue_entry(page, "Tabs", "/S")

    def save(self) -> None:
        """Finishes the document; its bytes are then in `written`, nothing is written to a file."""
        self.getpdfdata()

    def finish(self) -> Written:
        """Finishes the document and returns its bytes and the place of its stamp."""
        self.save()
        return self.written

    @property
    def written(self) -> Written:
        """The finished file.

        Raises:
            ValueError: if it is not finished.
        """
        if self._plan.written is None:
            raise ValueError("the document is not finished")
        return self._plan.written

    # ReportLab's document template sets these from its own attributes, None by default; our settings stand.

    def setTitle(self, title: str | None) -> None:  # noqa: N802
        """Does nothing: the settings name the title."""

    def setAuthor(self, author: str | None) -> None:  # noqa: N802
        """Does nothing: the settings name the author."""

    def setSubject(self, subject: str | None) -> None:  # noqa: N802
        """Does nothing: the settings name the subject."""

    def setCreator(self, creator: str | None) -> None:  # noqa: N802
        """Does nothing: the settings name the creator."""

    def setProducer(self, producer: str | None) -> None:  # noqa: N802
        """Does nothing: the settings name the producer."""

    def setKeywords(self, keywords: Any) -> None:  # noqa: N802
        """Does nothing: the settings name the keywords."""


def figure_size(figure: Figure) -> tuple[float, float]:
    """Width and height of a figure's frame in points."""
    return figure.width * 72 / 25.4, figure.height * 72 / 25.4
