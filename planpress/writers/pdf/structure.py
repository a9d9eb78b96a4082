"""The structure tree of a tagged PDF (ISO 32000-1, 14.7 and 14.8; PDF/UA-1).

The composer of the pages builds the tree first, as plain nodes, and hands each thing that is drawn its node.
Drawing then only adds where on which page the node's marked content is, so that the reading order never
depends on the drawing order.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TypeAlias

from attrs import define, field, frozen

#: The standard structure types planpress uses (ISO 32000-1, 14.8.4).
ROLES = frozenset(
    {
        *("Document", "Part", "Sect", "Div", "Caption", "TOC", "TOCI", "P", "H1", "H2", "H3", "H4", "H5"),
        *("H6", "L", "LI", "Lbl", "LBody", "Table", "THead", "TBody", "TFoot", "TR", "TH", "TD"),
        *("Span", "Quote", "Note", "Reference", "Code", "Link", "Figure"),
    }
)


@frozen
class Mark:
    """Marked content of a page: the document's name of the page and the number of the mark on it."""

    page: str
    number: int


@frozen
class ObjectMark:
    """An annotation that belongs to a node: the page it is on, the annotation, its key in the parent tree."""

    page: str
    annotation: str
    key: int


Attribute: TypeAlias = str | int | float | tuple[float, ...]


@define(eq=False)
class Node:
    """An element of the structure tree.

    Attributes:
        role: a standard structure type, such as "P", "H1", "Table" or "Figure".
        kids: nodes in reading order, and the marks that drawing adds.
        alt: what a figure shows, in words.
        lang: language of the text if it is not the document's ("de-DE").
        bbox: (left, bottom, right, top) on the page in points; drawing sets it for figures.
        attributes: owner -> entries, such as {"Table": {"Scope": "Column"}}; text values are names.
        drawn: made while drawing (the links of paragraphs), not by the composer.
    """

    role: str = field()
    alt: str = ""
    lang: str = ""
    bbox: tuple[float, float, float, float] | None = None
    attributes: Mapping[str, Mapping[str, Attribute]] = field(factory=dict)
    kids: list[Node | Mark | ObjectMark] = field(factory=list)
    drawn: bool = False

    @role.validator
    def _known(self, _attribute: object, value: str) -> None:
        if value not in ROLES:
            raise ValueError(f"not a structure type that planpress uses: {value!r}")

    def add(
        self,
        role: str,
        *,
        alt: str = "",
        lang: str = "",
        attributes: Mapping[str, Mapping[str, Attribute]] | None = None,
    ) -> Node:
        """Adds a node at the end and returns it."""
        node = Node(role, alt=alt, lang=lang, attributes=attributes or {})
        self.kids.append(node)
        return node

    def heading_cell(self, scope: str = "Column") -> Node:
        """Adds a table heading cell for its "Column" or "Row" and returns it."""
        return self.add("TH", attributes={"Table": {"Scope": scope}})

    def list_item(self) -> tuple[Node, Node]:
        """Adds a list item and returns the nodes of its label and its body."""
        item = self.add("LI")
        return item.add("Lbl"), item.add("LBody")

    def walk(self) -> Iterator[Node]:
        """This node and all below it, in reading order."""
        yield self
        for kid in self.kids:
            if isinstance(kid, Node):
                yield from kid.walk()

    def without_marks(self) -> None:
        """Takes away what drawing has added, here and below, so that the pages can be drawn once more."""
        for node in self.walk():
            node.kids = [kid for kid in node.kids if isinstance(kid, Node) and not kid.drawn]
            node.bbox = None


class ParentTree:
    """Hands out the keys by which pages and annotations find their structure elements."""

    def __init__(self) -> None:
        #: For each key the nodes of a page's marks, by number, or the one node of an annotation.
        self.entries: list[list[Node] | Node] = []

    def add(self, entry: list[Node] | Node) -> int:
        """Adds an entry and returns its key."""
        self.entries.append(entry)
        return len(self.entries) - 1
