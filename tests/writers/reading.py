"""Readers of what was written: pdfium for geometry and text, pikepdf for structure."""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from io import BytesIO
from typing import Any

import pikepdf
import pypdfium2
import pypdfium2.raw as raw

MM_PER_POINT = 25.4 / 72

#: Operators that put ink on a page (ISO 32000-1, table 51 and annex A).
PAINTING = frozenset(["S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "sh", "Do", "EI", "Tj", "TJ", "'", '"'])


def texts(pdf: bytes) -> list[str]:
    """What pdfium reads on each page."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [page.get_textpage().get_text_range() for page in document]


def paths(pdf: bytes) -> list[tuple[list[tuple[int, float, float]], float]]:
    """([(0 line, 1 curve point, 2 move; x, y in mm)], stroke width in mm) of each path of the first page."""
    with pypdfium2.PdfDocument(pdf) as document:
        page = document[0]
        out = []
        for i in range(raw.FPDFPage_CountObjects(page.raw)):
            thing = raw.FPDFPage_GetObject(page.raw, i)
            if raw.FPDFPageObj_GetType(thing) == raw.FPDF_PAGEOBJ_PATH:
                out.append(_path(thing))
        return out


def _path(thing: Any) -> tuple[list[tuple[int, float, float]], float]:
    matrix = raw.FS_MATRIX()
    raw.FPDFPageObj_GetMatrix(thing, ctypes.byref(matrix))
    points = []
    for j in range(raw.FPDFPath_CountSegments(thing)):
        segment = raw.FPDFPath_GetPathSegment(thing, j)
        x, y = ctypes.c_float(), ctypes.c_float()
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        across = (matrix.a * x.value + matrix.c * y.value + matrix.e) * MM_PER_POINT
        up = (matrix.b * x.value + matrix.d * y.value + matrix.f) * MM_PER_POINT
        points.append((raw.FPDFPathSegment_GetType(segment), across, up))
    width = ctypes.c_float()
    raw.FPDFPageObj_GetStrokeWidth(thing, width)
    return points, width.value * matrix.a * MM_PER_POINT


def characters(pdf: bytes) -> list[tuple[str, float, float]]:
    """(character, x, y of its origin in mm) on the first page, as pdfium reads them."""
    with pypdfium2.PdfDocument(pdf) as document:
        page = document[0].get_textpage()
        out = []
        for i in range(raw.FPDFText_CountChars(page.raw)):
            x, y = ctypes.c_double(), ctypes.c_double()
            raw.FPDFText_GetCharOrigin(page.raw, i, x, y)
            out.append((chr(raw.FPDFText_GetUnicode(page.raw, i)), x.value * MM_PER_POINT, y.value * MM_PER_POINT))
        return out


def opened(pdf: bytes) -> pikepdf.Pdf:
    """The file in pikepdf (qpdf), checked for faults of syntax and structure."""
    document = pikepdf.open(BytesIO(pdf))
    assert document.check_pdf_syntax() == []
    assert document.get_warnings() == []
    return document


def operators(pdf: bytes, page: int = 0) -> list[str]:
    """The operators of a page with their operands, as text."""
    with opened(pdf) as document:
        return [
            " ".join([*(_shown(operand) for operand in one.operands), str(one.operator)])
            for one in pikepdf.parse_content_stream(document.pages[page])
        ]


def _shown(operand: Any) -> str:
    return operand.unparse().decode("latin-1") if hasattr(operand, "unparse") else str(operand)


def marks(page: Any) -> Iterator[tuple[str, int | None]]:
    """(tag, number or None for an artifact) of each mark of a page.

    Asserts that no ink lies outside marks, that no mark lies in another and that each is ended.
    """
    open_mark: tuple[str, int | None] | None = None
    for one in pikepdf.parse_content_stream(page):
        operands: list[Any] = list(one.operands)
        name = str(one.operator)
        if name in ("BDC", "BMC"):
            assert open_mark is None, "a mark in a mark"
            tag = str(operands[0])
            number = operands[1].get("/MCID") if len(operands) > 1 else None
            assert (number is None) == (tag == "/Artifact")
            open_mark = (tag, None if number is None else int(number))
            yield open_mark
        elif name == "EMC":
            assert open_mark is not None
            open_mark = None
        elif name in PAINTING:
            assert open_mark is not None, f"{name} outside of a mark"
    assert open_mark is None


def elements(element: Any) -> Iterator[Any]:
    """The structure elements from this one on, in reading order."""
    yield element
    for kid in kids(element):
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            yield from elements(kid)


def kids(element: Any) -> list[Any]:
    """The kids of a structure element: elements, mark numbers, references."""
    if "/K" not in element:
        return []
    return list(element.K) if isinstance(element.K, pikepdf.Array) else [element.K]
