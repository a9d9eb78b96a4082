"""The only module that touches names ReportLab does not document.

ReportLab 5.1 leaves no public way to mark text, to see a finished page or to replace the file's outer
structure. The classes and functions here use its inner names and offer them under documented ones, so that a
new release of ReportLab is met in one place; `tests/writers/test_hooks.py` touches each of them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from functools import cached_property
from types import SimpleNamespace
from typing import Any
from weakref import WeakKeyDictionary

from reportlab import rl_config
from reportlab.lib.rl_accel import escapePDF
from reportlab.pdfbase import pdfdoc, pdfmetrics, ttfonts
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.textobject import PDFTextObject

#: Every setting of ReportLab that the written bytes depend on. It also reads them from the environment, from
#: a file in the home directory and from a module; here they are fixed.
PINNED: Mapping[str, object] = {
    "canvas_baseColor": None,
    "documentLang": None,
    "invariant": 1,
    "pageCompression": 0,  # our own document compresses
    "pdfComments": 0,
    "pdfMultiLine": 0,
    "platypus_link_underline": 0,
    "ttfAsciiReadable": 0,
    "useA85": 0,
    "wrapA85": 0,
}


def pin_settings() -> None:
    """Sets the settings of `PINNED` in the running process."""
    for name, value in PINNED.items():
        setattr(rl_config, name, value)


pin_settings()


#: How many widths of texts a font keeps.
_MOST_WIDTHS = 20_000

# --- fonts --------------------------------------------------------------------------------------------------


class LazyFont(ttfonts.TTFont):  # type: ignore[misc]
    """A TrueType font that reads its file when it is first used and tells readers the text of every code.

    Args:
        name: what ReportLab knows it by.
        path: the font file.
        prepare: called with the face when it has been read, to add glyphs.
        spelled: code point -> text a reader gets, where it is not the character itself.
    """

    def __init__(self, name: str, path: str, prepare: Callable[[Any], None], spelled: Mapping[int, str]) -> None:
        # not super().__init__, which reads the file
        self.fontName = name
        self.encoding = ttfonts.TTEncoding()
        self.state: WeakKeyDictionary[Any, Any] = WeakKeyDictionary()
        self._asciiReadable = 0
        self.shapable = False
        self._path = path
        self._prepare = prepare
        self._spelled = spelled
        self._face: Any = None
        self._advances: dict[str, float] = {}

    @property
    def face(self) -> Any:
        """ReportLab's record of the font file, with our glyphs."""
        if self._face is None:
            self._face = ttfonts.TTFontFace(self._path)
            # ReportLab asks viewers to draw weights from 600 on bolder than they are
            self._face.flags &= ~ttfonts.FF_FORCEBOLD
            self._prepare(self._face)
        return self._face

    def advance(self, text: str) -> float:
        """Advance width of a text in thousandths of its size; words come again and again and are kept."""
        width = self._advances.get(text)
        if width is None:
            widths, default = self.face.charWidths, self.face.defaultWidth
            width = sum([widths.get(point, default) for point in map(ord, text)])
            if len(self._advances) >= _MOST_WIDTHS:
                self._advances.clear()
            self._advances[text] = width
        return width

    def stringWidth(self, text: str | bytes, size: float, encoding: str = "utf8") -> float:  # noqa: N802
        """Advance width of a text in points, for ReportLab; reckoned in its order, to the last bit."""
        if isinstance(text, bytes):
            text = text.decode(encoding or "utf8")
        return 0.001 * size * self.advance(text)

    def splitString(self, text: str, doc: Any, encoding: str = "utf-8") -> list[tuple[int, bytes]]:  # noqa: N802
        """(number of a subset, codes in it) of each stretch of a text.

        Raises:
            ValueError: if the font lacks a character (ReportLab would write an empty box).
        """
        if not self._characters.issuperset(text):
            lacking = ", ".join(f"{c!r} (U+{ord(c):04X})" for c in text if c not in self._characters)
            raise ValueError(f"the font {self.fontName} lacks {lacking}, needed for {text!r}")
        split: list[tuple[int, bytes]] = super().splitString(text, doc, encoding)
        return split

    @cached_property
    def _characters(self) -> frozenset[str]:
        return frozenset(chr(point) for point, glyph in self.face.charToGlyph.items() if glyph)

    def addObjects(self, doc: Any) -> None:  # noqa: N802 (ReportLab's name)
        """Adds the font's subsets to the document, each with a legal map from codes to text."""
        subsets = [list(subset) for subset in self.state[doc].subsets]
        super().addObjects(doc)
        face_name = self.face.name + self.face.subfontNameX
        for number, subset in enumerate(subsets):
            base_font = (ttfonts.SUBSETN(number) + b"+" + face_name).decode("ascii")
            stream = doc.idToObject["toUnicodeCMap:" + base_font]
            stream.content = _to_unicode(base_font, subset, self._spelled)


def _to_unicode(name: str, subset: list[int], spelled: Mapping[int, str]) -> str:
    """A ToUnicode map (ISO 32000-1, 9.10.3): at most 100 entries a block and none for unused codes."""
    lines = [
        f"<{code:02X}> <{spelled.get(point, chr(point)).encode('utf-16-be').hex().upper()}>"
        for code, point in enumerate(subset)
        if point
    ]
    blocks = [lines[i : i + 100] for i in range(0, len(lines), 100)]
    return "\n".join(
        [
            "/CIDInit /ProcSet findresource begin",
            "12 dict begin",
            "begincmap",
            "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def",
            f"/CMapName /{name} def",
            "/CMapType 2 def",
            "1 begincodespacerange\n<00> <FF>\nendcodespacerange",
            *(f"{len(block)} beginbfchar\n" + "\n".join(block) + "\nendbfchar" for block in blocks),
            "endcmap",
            "CMapName currentdict /CMap defineresource pop",
            "end",
            "end",
        ]
    )


def register(font: LazyFont) -> None:
    """Makes the font known by its name without reading it (ReportLab's own way would)."""
    pdfmetrics._fonts[font.fontName] = font


def replace_table(face: Any, tag: str, data: bytes) -> None:
    """Puts a changed table behind the data of a font file held in memory."""
    old = face._ttf_data
    start = len(old) + -len(old) % 4
    face._ttf_data = b"".join((old, bytes(start - len(old)), data))
    face._ttf_data_len = len(face._ttf_data)
    face.table[tag] = {**face.table[tag], "offset": start, "length": len(data)}


def encoded(font: LazyFont, text: str, document: Any) -> list[tuple[str, str]]:
    """(font resource name, string operand in brackets) of each stretch of text that one subset covers."""
    return [
        (font.getSubsetInternalName(subset, document), f"({escapePDF(codes)})")
        for subset, codes in font.splitString(text, document)
    ]


# --- the document -------------------------------------------------------------------------------------------


def set_date(document: Any, day: date) -> None:
    """Dates the document at noon UTC of the given day instead of the clock's time."""
    stamp = (day.year, day.month, day.day, 12, 0, 0)
    document._timeStamp = SimpleNamespace(t=0.0, lt=stamp, YMDhms=stamp, dhh=0, dmm=0, tzname="UTC")


def set_version(document: Any, version: tuple[int, int]) -> None:
    """Sets the PDF version of the document."""
    document._pdfVersion = version


def version(document: Any) -> tuple[int, int]:
    """The PDF version of the document."""
    result: tuple[int, int] = document._pdfVersion
    return result


def add_catalogue_entry(catalogue: Any, name: str, value: Any) -> None:
    """Adds an entry to the catalogue, or to a page, also one that ReportLab does not know."""
    if name not in catalogue.__NoDefault__:
        catalogue.__NoDefault__ = [*catalogue.__NoDefault__, name]
    setattr(catalogue, name, value)


def form_id(name: str) -> str:
    """ReportLab's name of a form XObject, in the document and in the resources of pages."""
    result: str = pdfdoc.xObjectName(name)
    return result


# --- the canvas ---------------------------------------------------------------------------------------------


class MarkedText(PDFTextObject):  # type: ignore[misc]
    """A text object that can be marked for the structure tree and ends each line of a paragraph with a space.

    ReportLab starts each line at its first word, so that readers would run the last word of a line into the
    next.
    """

    marked = False

    def operators(self, code: str) -> None:
        """Appends operators."""
        self._code.append(code)

    def operators_before_last(self, code: str) -> None:
        """Inserts operators before the string written last."""
        self._code.insert(len(self._code) - 1, code)

    def on_link(self, callback: Callable[[Any, bool], None]) -> None:
        """Calls back with (link, True) after the first string of a link, (link, False) after its last.

        `link` is what the text's fragments have in their `link`: (serial number, address). A link that goes
        over a line end is reported once for each line.
        """
        self._linkRecord = lambda record, state: callback(record, state == "start")

    def _textOut(self, text: str, TStar: int = 0) -> None:  # noqa: N802, N803 (ReportLab's names)
        super()._textOut(text + " " if TStar else text, TStar)


class HookedCanvas(Canvas):  # type: ignore[misc]
    """ReportLab's canvas with an own document, raw operators and the hook `page_finished`."""

    def __init__(self, document: Any, page_size: tuple[float, float], font: str) -> None:
        super().__init__(None, pagesize=page_size, invariant=1, pageCompression=0, initialFontName=font)
        self._doc = document
        self.setPageCompression(0)

    @property
    def document(self) -> Any:
        """The document the canvas writes to."""
        return self._doc

    @property
    def matrix(self) -> tuple[float, float, float, float, float, float]:
        """From the current user space to the page, in points."""
        a, b, c, d, e, f = self._currentMatrix
        return (a, b, c, d, e, f)

    def operators(self, code: str) -> None:
        """Appends operators to the page."""
        self._code.append(code)

    def has_content(self) -> bool:
        """True if something was drawn since the last page was finished."""
        return bool(self._code)

    def page_id(self) -> str:
        """The document's name for the page being drawn."""
        result: str = self._doc.thisPageName()
        return result

    def destination(self, key: str) -> Any:
        """The place called `key`, which may be defined later."""
        return self._bookmarkReference(key)

    def page_rectangle(self, rectangle: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
        """Bounds on the page of a rectangle (left, bottom, right, top) of the user space, in points."""
        left, bottom, right, top = self._absRect(rectangle, 1)
        return (left, bottom, right, top)

    def add_annotation(self, annotation: Any) -> str:
        """Puts an annotation on the page and returns the document's name for it."""
        self._addAnnotation(annotation)
        return f"Annot.NUMBER{self._annotationCount}"

    def page_finished(self, page: Any) -> None:
        """Called with each finished page object."""

    def _setAnnotations(self, page: Any) -> None:  # noqa: N802 (ReportLab's name)
        super()._setAnnotations(page)
        if isinstance(page, pdfdoc.PDFPage):
            self.page_finished(page)
