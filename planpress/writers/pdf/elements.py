"""Objects of the file that ReportLab has no class for: raw bytes and the elements of the structure tree."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Protocol

from reportlab.pdfbase import pdfdoc

from planpress.writers.pdf.painting import number
from planpress.writers.pdf.structure import Attribute, Mark, Node, ObjectMark, ParentTree


class Numbered(Protocol):
    """A document that knows the numbers of its objects."""

    def number_of(self, name: str) -> int:
        """The object number of the object with the given name."""
        ...


class Raw(pdfdoc.PDFObject):  # type: ignore[misc]
    """An indirect object given by its bytes."""

    __RefOnly__ = 1

    def __init__(self, data: bytes) -> None:
        self.data = data

    def format(self, _document: Any) -> bytes:
        """The bytes."""
        return self.data


def text_string(text: str) -> bytes:
    """A PDF text string with its brackets: ASCII if possible, else UTF-16 in hexadecimal."""
    if text.isascii():
        for sign in "\\()":
            text = text.replace(sign, "\\" + sign)
        return b"(" + text.replace("\n", "\\n").replace("\r", "\\r").encode("ascii") + b")"
    return b"<FEFF" + text.encode("utf-16-be").hex().upper().encode("ascii") + b">"


class TreeRoot(pdfdoc.PDFObject):  # type: ignore[misc]
    """The structure tree's root with its parent tree."""

    __RefOnly__ = 1

    def __init__(self, root: Node, parents: ParentTree) -> None:
        self.root = root
        self.parents = parents
        self.names: dict[Node, str] = {}

    def format(self, document: Numbered) -> bytes:
        """The root's dictionary, the parent tree in it."""

        def reference(node: Node) -> str:
            return f"{document.number_of(self.names[node])} 0 R"

        entries = [
            f"{key}[{' '.join(map(reference, entry))}]" if isinstance(entry, list) else f"{key} {reference(entry)}"
            for key, entry in enumerate(self.parents.entries)
        ]
        return (
            f"<</Type/StructTreeRoot/K {reference(self.root)}/ParentTreeNextKey {len(entries)}"
            f"/ParentTree<</Nums[{' '.join(entries)}]>>>>"
        ).encode("ascii")


class Element(pdfdoc.PDFObject):  # type: ignore[misc]
    """A structure element."""

    __RefOnly__ = 1

    def __init__(self, node: Node, parent: str, names: dict[Node, str]) -> None:
        self.node = node
        self.parent = parent
        self.names = names

    def format(self, document: Numbered) -> bytes:
        """The element's dictionary. Its page is that of its first mark; marks on others name theirs."""
        node = self.node
        page = next((kid.page for kid in node.kids if isinstance(kid, Mark)), "")
        parts = [f"<</S/{node.role}/P {document.number_of(self.parent)} 0 R".encode("ascii")]
        if page:
            parts.append(b"/Pg %d 0 R" % document.number_of(page))
        kids = b" ".join(self._kid(kid, page, document) for kid in node.kids)
        if kids:
            parts.append(b"/K " + kids if len(node.kids) == 1 else b"/K[" + kids + b"]")
        if node.alt:
            parts.append(b"/Alt" + text_string(node.alt))
        if node.lang:
            parts.append(b"/Lang" + text_string(node.lang))
        owners = [_owner(owner, entries.items()) for owner, entries in node.attributes.items()]
        if node.bbox is not None:
            owners.append(_owner("Layout", [("BBox", node.bbox), ("Placement", "Block")]))
        if owners:
            parts.append(b"/A[" + b"".join(owners) + b"]")
        return b"".join(parts) + b">>"

    def _kid(self, kid: Node | Mark | ObjectMark, page: str, document: Numbered) -> bytes:
        if isinstance(kid, Node):
            return b"%d 0 R" % document.number_of(self.names[kid])
        if isinstance(kid, ObjectMark):
            where, what = document.number_of(kid.page), document.number_of(kid.annotation)
            return b"<</Type/OBJR/Pg %d 0 R/Obj %d 0 R>>" % (where, what)
        if kid.page == page:
            return b"%d" % kid.number
        return b"<</Type/MCR/Pg %d 0 R/MCID %d>>" % (document.number_of(kid.page), kid.number)


def _owner(owner: str, entries: Iterable[tuple[str, Attribute]]) -> bytes:
    def value(attribute: Attribute) -> str:
        if isinstance(attribute, str):
            return "/" + attribute
        if isinstance(attribute, tuple):
            return "[" + " ".join(map(number, attribute)) + "]"
        return " " + number(attribute)

    return f"<</O/{owner}{''.join(f'/{name}{value(entry)}' for name, entry in entries)}>>".encode("ascii")
