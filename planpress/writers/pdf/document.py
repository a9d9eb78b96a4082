"""The file's outer structure: object streams, identity, metadata and what viewers and printers are told."""

from __future__ import annotations

import hashlib
from datetime import date
from typing import Any

from attrs import frozen
from reportlab.pdfbase import pdfdoc

from planpress.writers.pdf import hooks
from planpress.writers.pdf.assembly import assembled, compress
from planpress.writers.pdf.elements import Element, Raw, TreeRoot, text_string
from planpress.writers.pdf.stamp import STAMP, StampPlace, stamp_form
from planpress.writers.pdf.structure import Node, ParentTree


@frozen
class DocumentSettings:
    """What a document says about itself.

    Attributes:
        title: shown by viewers in place of the file's name.
        day: the date of the plan's version; the file carries no other.
        author: the maker.
        lang: language of the text.
        stamp_size: (width, height) in points of the place for the personal stamp.
    """

    title: str
    day: date
    author: str = ""
    subject: str = ""
    keywords: str = ""
    creator: str = "planpress"
    producer: str = "planpress"
    lang: str = "en-US"
    stamp_size: tuple[float, float] = (240.0, 12.0)


@frozen
class Written:
    """A finished file.

    Attributes:
        data: its bytes.
        place: where its stamp is, or None if no page has placed one.
    """

    data: bytes
    place: StampPlace | None


class _Deflate:
    """The filter of every stream that ReportLab writes."""

    pdfname = "FlateDecode"

    def encode(self, text: str | bytes) -> bytes:
        return compress(text.encode("utf-8") if isinstance(text, str) else text)


class PlanDocument(pdfdoc.PDFDocument):  # type: ignore[misc]
    """ReportLab's document, written with object streams, tags and an identity of its content."""

    defaultStreamFilters = (_Deflate(),)  # noqa: N815 (ReportLab's name)

    def __init__(self, settings: DocumentSettings, root: Node) -> None:
        super().__init__(compression=0, invariant=1, lang=settings.lang)
        hooks.set_version(self, (1, 7))
        hooks.set_date(self, settings.day)
        self.settings = settings
        self.root = root
        self.parents = ParentTree()
        self.labels: dict[int, str] = {}
        self.written: Written | None = None
        self.setTitle(settings.title)
        self.setAuthor(settings.author)
        self.setSubject(settings.subject)
        self.setKeywords(settings.keywords)
        self.setCreator(settings.creator)
        self.setProducer(settings.producer)
        preferences = pdfdoc.ViewerPreferencesPDFDictionary()
        preferences.dict.update(
            DisplayDocTitle="true",
            PrintScaling="/None",
            Enforce="[/PrintScaling]",
            Duplex="/Simplex",
            PickTrayByPDFSize="true",
        )
        self.Catalog.ViewerPreferences = preferences

    def add_stamp(self) -> None:
        """Adds the empty form of the stamp, once."""
        if not self.hasForm(STAMP):
            self.Reference(Raw(stamp_form(*self.settings.stamp_size)), hooks.form_id(STAMP))

    def number_of(self, name: str) -> int:
        """The object number of the object with the given name."""
        return int(self.idToObjectNumberAndVersion[name][0])

    def format(self) -> bytes:
        """The file's bytes; also kept, with the place of the stamp, as `written`."""
        self._add_catalogue_entries()
        packed, streams = self._formatted()
        digest = hashlib.sha256()
        for number_, body in [*packed, *streams]:
            digest.update(b"%d " % number_ + body)
        identity = digest.hexdigest()[:32]
        data, startxref, size = assembled(
            packed,
            streams,
            version=hooks.version(self),
            trailer=f"/Root {self._reference(self.Catalog)}/Info {self._reference(self.info)}"
            f"/ID[<{identity}><{identity}>]",
        )
        self.written = Written(data, self._stamp_place(data, startxref, size, identity))
        return data

    def _reference(self, thing: Any) -> str:
        text: bytes = self.Reference(thing).format(self)
        return text.decode("ascii")

    def _formatted(self) -> tuple[list[tuple[int, bytes]], list[tuple[int, bytes]]]:
        """(objects that go into object streams, stream objects): object number and bytes, in order of number.

        Formatting an object may add others at the end.
        """
        packed: list[tuple[int, bytes]] = []
        streams: list[tuple[int, bytes]] = []
        count = 1
        while count in self.numberToId:
            thing = self.idToObject[self.numberToId[count]]
            body = pdfdoc.format(thing, self, toplevel=1).rstrip(b"\n")
            (streams if body.endswith(b"endstream") else packed).append((count, body))
            count += 1
        return packed, streams

    def _stamp_place(self, data: bytes, startxref: int, size: int, identity: str) -> StampPlace | None:
        if not self.hasForm(STAMP):
            return None
        width, height = self.settings.stamp_size
        return StampPlace(
            length=len(data),
            sha256=hashlib.sha256(data).hexdigest(),
            object_number=self.number_of(hooks.form_id(STAMP)),
            size=size,
            root=int(self._reference(self.Catalog).split()[0]),
            info=int(self._reference(self.info).split()[0]),
            startxref=startxref,
            first_id=identity,
            width=width,
            height=height,
        )

    # --- catalogue ---

    def _add_catalogue_entries(self) -> None:
        catalogue = self.Catalog
        catalogue.Metadata = Raw(_metadata(self.settings))
        catalogue.MarkInfo = Raw(b"<</Marked true>>")
        catalogue.StructTreeRoot = self._structure()
        if self.labels:
            catalogue.PageLabels = Raw(self._page_labels())

    def _page_labels(self) -> bytes:
        parts = [
            b"%d<</P%s>>" % (page, text_string(self.labels[page]))
            if page in self.labels
            else b"%d<</S/D/St %d>>" % (page, page + 1)
            for page in range(self.pageCounter - 1)
        ]
        return b"<</Nums[" + b"".join(parts) + b"]>>"

    def _structure(self) -> Any:
        """Registers the elements of the tree in reading order and returns its root."""
        root = TreeRoot(self.root, self.parents)
        self.Reference(root, "StructTreeRoot")
        stack: list[tuple[Node, str]] = [(self.root, "StructTreeRoot")]
        count = 0
        while stack:
            node, parent = stack.pop()
            count += 1
            name = f"Element{count}"
            self.Reference(Element(node, parent, root.names), name)
            root.names[node] = name
            stack += [(kid, name) for kid in reversed(node.kids) if isinstance(kid, Node)]
        return root


def _escaped(text: str) -> str:
    """Text for XML. (The standard library's own function would load its web client first.)"""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _metadata(settings: DocumentSettings) -> bytes:
    """The XMP metadata (ISO 16684-1) with the mark of PDF/UA-1 (ISO 14289-1, clause 5); never compressed."""
    moment = settings.day.isoformat() + "T12:00:00Z"
    title, author, subject, keywords, creator, producer = (
        _escaped(text)
        for text in (
            settings.title,
            settings.author,
            settings.subject,
            settings.keywords,
            settings.creator,
            settings.producer,
        )
    )
    packet = f"""<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/"
 xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/">
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
<dc:creator><rdf:Seq><rdf:li>{author}</rdf:li></rdf:Seq></dc:creator>
<dc:description><rdf:Alt><rdf:li xml:lang="x-default">{subject}</rdf:li></rdf:Alt></dc:description>
<dc:language><rdf:Bag><rdf:li>{_escaped(settings.lang)}</rdf:li></rdf:Bag></dc:language>
<pdf:Keywords>{keywords}</pdf:Keywords><pdf:Producer>{producer}</pdf:Producer>
<xmp:CreatorTool>{creator}</xmp:CreatorTool>
<xmp:CreateDate>{moment}</xmp:CreateDate><xmp:ModifyDate>{moment}</xmp:ModifyDate>
<pdfuaid:part>1</pdfuaid:part>
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="r"?>"""
    data = packet.encode("utf-8")
    return b"<</Type/Metadata/Subtype/XML/Length %d>>\nstream\n%s\nendstream" % (len(data), data)
