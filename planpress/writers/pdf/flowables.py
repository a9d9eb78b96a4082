"""Flowables for ReportLab's document templates that mark what they draw."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final, TypeAlias

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus.flowables import Flowable
from reportlab.platypus.paragraph import Paragraph

from planpress.base.display import Figure
from planpress.base.lettering import plain
from planpress.writers.pdf import hooks
from planpress.writers.pdf.canvas import TaggedCanvas, figure_size
from planpress.writers.pdf.structure import Node

#: ReportLab's record of a link: a serial number and the address.
_Link: TypeAlias = tuple[int, str]


class _Wording:
    """A text in a style, parsed once, with its lines for each width: pages measure the same words again and again.

    Attributes:
        style: kept, so that no other style gets its identity.
        frags: as ReportLab parses them. broken: width -> lines, their height.
    """

    def __init__(self, parsed: Paragraph) -> None:
        self.style = parsed.style
        self.frags = parsed.frags
        self.broken: dict[float, tuple[Any, float]] = {}


_KNOWN: dict[tuple[str, int], _Wording] = {}
_MOST_KNOWN: Final = 5000


def _wording(text: str, style: ParagraphStyle) -> _Wording:
    key = (text, id(style))
    if key not in _KNOWN:
        if len(_KNOWN) >= _MOST_KNOWN:
            _KNOWN.clear()
        _KNOWN[key] = _Wording(Paragraph(text, style))
    return _KNOWN[key]


class TaggedParagraph(Paragraph):  # type: ignore[misc]
    """A paragraph whose text belongs to a node of the structure tree.

    Its text is ReportLab's markup; `<b>` gives Semibold. `<a href="#key">` becomes a Link element below the
    node, which leads to the bookmark `key`. Parts of a paragraph that is split belong to the same node.

    Args:
        node: P, H1, LBody, TD...; None for text that is no content (repeated headings).
        bullet_node: the Lbl of a list item, if the paragraph has a bullet.

    Raises:
        ValueError: if it has a background, a border or an underlined word, which would be drawn outside the
            marks, or a bullet without its node.
    """

    def __init__(
        self,
        text: str | None,
        style: ParagraphStyle | None = None,
        node: Node | None = None,
        bullet_node: Node | None = None,
        *,
        bulletText: str | None = None,  # noqa: N803 (ReportLab's name)
        frags: Sequence[Any] | None = None,
    ) -> None:
        self._wording: _Wording | None = None
        if text is not None and style is not None and bulletText is None and frags is None:
            self._wording = _wording(text, style)
            frags = self._wording.frags
        super().__init__(text, style, bulletText=bulletText, frags=frags)
        if self.style.backColor or (self.style.borderWidth and self.style.borderColor):
            raise ValueError("a tagged paragraph cannot have a background or a border")
        if text is not None and any(getattr(fragment, "us_lines", None) for fragment in self.frags):
            raise ValueError("a tagged paragraph cannot have underlined words")
        if text is not None and self.bulletText and node is not None and bullet_node is None:
            raise ValueError("a bullet needs the node of the list item's label")
        self.node = node
        self.bullet_node = bullet_node
        # shared by the parts of a split paragraph: the words of its links, and their elements once they are drawn
        self._words = _linked_words(self.frags) if text is not None else {}
        self._links: dict[_Link, tuple[Node, str]] = {}
        self._wrapped: tuple[float, tuple[float, float]] | None = None  # for which width, and the size it got

    def wrap(self, availWidth: float, availHeight: float) -> tuple[float, float]:  # noqa: N803 (ReportLab's names)
        """Its size in points; lines that are broken for this width already are kept."""
        if not self.is_laid_for(availWidth):
            known = self._wording.broken.get(availWidth) if self._wording is not None else None
            if known is not None:
                self.blPara, self.height = known
                self.width = availWidth
                self._wrapped = (availWidth, (availWidth, self.height))
            else:
                self._wrapped = (availWidth, super().wrap(availWidth, availHeight))
                if self._wording is not None and self.frags is self._wording.frags:
                    self._wording.broken[availWidth] = self.blPara, self.height
        if self._wrapped is None:
            raise AssertionError("a paragraph is wrapped for one width at a time")
        return self._wrapped[1]

    def is_laid_for(self, width: float) -> bool:
        """True if its lines were last broken for this width."""
        return self._wrapped is not None and self._wrapped[0] == width

    def split(self, availWidth: float, availHeight: float) -> list[TaggedParagraph]:  # noqa: N803
        """ReportLab makes new paragraphs of the parts: they get the node."""
        parts: list[TaggedParagraph] = super().split(availWidth, availHeight)
        for i, part in enumerate(parts):
            part.node = self.node
            part.bullet_node = self.bullet_node if i == 0 else None
            part._words, part._links = self._words, self._links
        return parts

    def draw(self) -> None:
        """Draws the paragraph, its bullet marked as the label."""
        canvas: TaggedCanvas = self.canv
        canvas.bullet = (self.bullet_node,) if self.bulletText else None
        canvas.pending_links = {}
        super().draw()

    def beginText(self, x: float, y: float) -> Any:  # noqa: N802 (ReportLab's name)
        """The text object of the paragraph's lines, marked."""
        canvas: TaggedCanvas = self.canv
        canvas.bullet = None
        lines = self.blPara
        if lines.kind == 0 and getattr(lines, "link", None):  # all of it is one link
            nodes = [self._link_node(lines.link[0]) for _ in lines.lines]
            return canvas.begin_marked_text(x, y, nodes[0])
        text = canvas.begin_marked_text(x, y, self.node)
        text.on_link(lambda link, starts: self._mark_link(text, link, starts))
        return text

    def _mark_link(self, text: hooks.MarkedText, link: _Link, starts: bool) -> None:
        """Gives the strings of a link to its own element and goes on with the paragraph's after it."""
        if not text.marked:
            raise ValueError("a paragraph with links cannot be drawn within a mark")
        canvas: TaggedCanvas = self.canv
        if starts:
            text.operators_before_last("EMC " + canvas.mark(self._link_node(link)))
        else:
            text.operators("EMC " + canvas.mark(self.node))

    def _link_node(self, link: _Link) -> Node:
        """The element of a link, made at the first of its lines; the canvas gets it for the line's rectangle."""
        if self.node is None:
            raise ValueError("a paragraph with links needs a node")
        # a document that is drawn a second time has taken the first time's elements out of the tree
        if link not in self._links or self._links[link][0] not in self.node.kids:
            node = Node("Link", drawn=True)
            self.node.kids.append(node)
            self._links[link] = node, self._words.get(link) or link[1].removeprefix("#")
        canvas: TaggedCanvas = self.canv
        canvas.pending_links.setdefault(link[1], []).append(self._links[link])
        return self._links[link][0]


def _linked_words(fragments: Sequence[Any]) -> dict[_Link, str]:
    """The words of each link of a paragraph, for readers."""
    words: dict[_Link, str] = {}
    for fragment in fragments:
        for link in getattr(fragment, "link", None) or ():
            words[link] = words.get(link, "") + getattr(fragment, "text", "")
    return {link: plain(" ".join(text.split())) for link, text in words.items()}


class FigureFlowable(Flowable):  # type: ignore[misc]
    """A figure in the flow of the text; `width` and `height` are those of its frame in points.

    Args:
        figure: what is drawn.
        node: its Figure element, which gets the alternative text and the bounds; None for an ornament.
        align: "LEFT", "CENTER" or "RIGHT" in the column.
    """

    def __init__(self, figure: Figure, node: Node | None = None, align: str = "LEFT") -> None:
        super().__init__()
        self.figure = figure
        self.node = node
        self.hAlign = align
        self.width, self.height = figure_size(figure)

    def wrap(self, _available_width: float, _available_height: float) -> tuple[float, float]:
        """Its size, whatever there is room for."""
        return self.width, self.height

    def draw(self) -> None:
        """Draws it with its lower left corner at the origin."""
        canvas: TaggedCanvas = self.canv
        canvas.draw_figure(self.figure, 0, 0, self.node)
