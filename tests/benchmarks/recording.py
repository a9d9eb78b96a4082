"""A recording of finished pages, and the same pages written again by ReportLab alone.

`record` reads every path and text run of a PDF with pdfium. `replay` writes them with nothing but ReportLab's
canvas, in the order they were painted: what it takes is the least that writing these pages with ReportLab can
cost. Bookmarks, links and tags are not recorded, and a stacked fraction is replayed as the text readers get for it.

    python -m tests.benchmarks.recording RECORDING.json OUT.pdf

replays in a process of its own, which loads ReportLab and the fonts but neither pdfium nor planpress.
"""

from __future__ import annotations

import ctypes
import json
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, NotRequired, TypedDict, final

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

#: PostScript name of a face -> its file in the package font-source-sans-pro.
FACES = {
    "SourceSansPro-Light": "SourceSansProLight",
    "SourceSansPro-Regular": "SourceSansPro",
    "SourceSansPro-Semibold": "SourceSansProSemibold",
    "SourceSansPro-It": "SourceSansProIt",
}

Matrix = tuple[float, float, float, float, float, float]
Segment = tuple[str, float, float]  # "m" move, "l" line, "c" one of three curve points, "h" close; points, y up
Colour = tuple[float, float, float]  # red, green, blue from 0 to 1


@final
class PathMark(TypedDict):
    """A painted path. No `fill` or no `stroke` means that it is not filled or not stroked."""

    path: list[Segment]
    fill: NotRequired[Colour]
    even_odd: NotRequired[bool]
    stroke: NotRequired[Colour]
    width: NotRequired[float]
    cap: NotRequired[int]
    join: NotRequired[int]
    dash: NotRequired[tuple[list[float], float]]
    clip: NotRequired[list[Segment]]


@final
class TextMark(TypedDict):
    """A run of text: face by PostScript name, size in points, and the axes and origin of its line."""

    text: str
    face: str
    size: float
    matrix: Matrix
    fill: Colour


class Page(TypedDict):
    """A page of the given size in points, its marks in painting order."""

    size: tuple[float, float]
    marks: list[PathMark | TextMark]


# --- recording ----------------------------------------------------------------------------------------------


def record(pdf: bytes) -> list[Page]:
    """Every path and text run of every page.

    Raises:
        ValueError: for an object that is neither, such as an image, and for a font not in `FACES`.
    """
    import pypdfium2

    with pypdfium2.PdfDocument(pdf) as document:
        return [_page(page) for page in document]


def _page(page: Any) -> Page:
    from pypdfium2 import raw

    text_page = page.get_textpage()
    marks: list[PathMark | TextMark] = []
    for thing, matrix in _objects(page):
        kind = raw.FPDFPageObj_GetType(thing)
        if kind == raw.FPDF_PAGEOBJ_PATH:
            marks.append(_path_mark(thing, matrix))
        elif kind == raw.FPDF_PAGEOBJ_TEXT:
            marks.append(_text_mark(thing, matrix, text_page.raw))
        else:
            raise ValueError(f"cannot record a page object of pdfium's type {kind}")
    return {"size": page.get_size(), "marks": marks}


def _objects(page: Any) -> Iterator[tuple[Any, Matrix]]:
    """(object, its matrix to the page) in painting order, forms opened."""
    from pypdfium2 import raw

    def opened(thing: Any, outer: Matrix) -> Iterator[tuple[Any, Matrix]]:
        matrix = _combined(_matrix(thing), outer)
        if raw.FPDFPageObj_GetType(thing) != raw.FPDF_PAGEOBJ_FORM:
            yield thing, matrix
            return
        for i in range(raw.FPDFFormObj_CountObjects(thing)):
            yield from opened(raw.FPDFFormObj_GetObject(thing, i), matrix)

    for i in range(raw.FPDFPage_CountObjects(page.raw)):
        yield from opened(raw.FPDFPage_GetObject(page.raw, i), (1, 0, 0, 1, 0, 0))


def _matrix(thing: Any) -> Matrix:
    from pypdfium2 import raw

    m = raw.FS_MATRIX()
    raw.FPDFPageObj_GetMatrix(thing, ctypes.byref(m))
    return m.a, m.b, m.c, m.d, m.e, m.f


def _combined(inner: Matrix, outer: Matrix) -> Matrix:
    """`inner` first, then `outer` (ISO 32000-1, 8.3.4)."""
    a, b, c, d, e, f = inner
    p, q, r, s, t, u = outer
    return a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u


def _path_mark(thing: Any, matrix: Matrix) -> PathMark:
    from pypdfium2 import raw

    get = partial(raw.FPDFPath_GetPathSegment, thing)
    mark: PathMark = {"path": _segments(raw.FPDFPath_CountSegments(thing), get, matrix)}
    fill_mode, stroked = ctypes.c_int(), ctypes.c_int()
    raw.FPDFPath_GetDrawMode(thing, fill_mode, stroked)
    if fill_mode.value:
        mark["fill"] = _colour(thing, raw.FPDFPageObj_GetFillColor)
        mark["even_odd"] = fill_mode.value == raw.FPDF_FILLMODE_ALTERNATE
    if stroked.value:
        scale = abs(matrix[0] * matrix[3] - matrix[1] * matrix[2]) ** 0.5
        width = ctypes.c_float()
        raw.FPDFPageObj_GetStrokeWidth(thing, width)
        mark["stroke"] = _colour(thing, raw.FPDFPageObj_GetStrokeColor)
        mark["width"] = round(width.value * scale, 4)
        mark["cap"] = raw.FPDFPageObj_GetLineCap(thing)
        mark["join"] = raw.FPDFPageObj_GetLineJoin(thing)
        count = raw.FPDFPageObj_GetDashCount(thing)
        if count > 0:
            lengths, phase = (ctypes.c_float * count)(), ctypes.c_float()
            raw.FPDFPageObj_GetDashArray(thing, lengths, count)
            raw.FPDFPageObj_GetDashPhase(thing, phase)
            mark["dash"] = [round(length * scale, 4) for length in lengths], round(phase.value * scale, 4)
    clip = raw.FPDFPageObj_GetClipPath(thing)
    for k in range(raw.FPDFClipPath_CountPaths(clip)):
        count = raw.FPDFClipPath_CountPathSegments(clip, k)
        get_clip = partial(raw.FPDFClipPath_GetPathSegment, clip, k)
        part = _segments(count, get_clip, (1, 0, 0, 1, 0, 0))  # pdfium gives clip paths in page coordinates
        mark.setdefault("clip", []).extend(part)
    return mark


def _segments(count: int, segment_at: Callable[[int], Any], matrix: Matrix) -> list[Segment]:
    from pypdfium2 import raw

    letters = {raw.FPDF_SEGMENT_MOVETO: "m", raw.FPDF_SEGMENT_LINETO: "l", raw.FPDF_SEGMENT_BEZIERTO: "c"}
    a, b, c, d, e, f = matrix
    out: list[Segment] = []
    x, y = ctypes.c_float(), ctypes.c_float()
    for i in range(count):
        segment = segment_at(i)
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        across, up = a * x.value + c * y.value + e, b * x.value + d * y.value + f
        out.append((letters[raw.FPDFPathSegment_GetType(segment)], round(across, 3), round(up, 3)))
        if raw.FPDFPathSegment_GetClose(segment):
            out.append(("h", 0, 0))
    return out


def _colour(thing: Any, getter: Callable[..., Any]) -> Colour:
    channels = [ctypes.c_uint() for _ in range(4)]
    getter(thing, *channels)
    red, green, blue = (round(channel.value / 255, 4) for channel in channels[:3])
    return red, green, blue


def _text_mark(thing: Any, matrix: Matrix, text_page: Any) -> TextMark:
    from pypdfium2 import raw

    length = raw.FPDFTextObj_GetText(thing, text_page, None, 0)
    wide = ctypes.create_string_buffer(length)
    raw.FPDFTextObj_GetText(thing, text_page, ctypes.cast(wide, ctypes.POINTER(ctypes.c_ushort)), length)
    font = raw.FPDFTextObj_GetFont(thing)
    length = raw.FPDFFont_GetBaseFontName(font, None, 0)
    name = ctypes.create_string_buffer(length)
    raw.FPDFFont_GetBaseFontName(font, name, length)
    face = name.value.decode().rpartition("+")[2]
    if face not in FACES:
        raise ValueError(f"no font file known for the face {face!r}")
    size = ctypes.c_float()
    raw.FPDFTextObj_GetFontSize(thing, size)
    scale = (matrix[0] ** 2 + matrix[1] ** 2) ** 0.5
    a, b, c, d = (round(value / scale, 4) for value in matrix[:4])
    return {
        "text": wide.raw.decode("utf-16-le").rstrip("\0"),
        "face": face,
        "size": round(size.value * scale, 3),
        "matrix": (a, b, c, d, round(matrix[4], 3), round(matrix[5], 3)),
        "fill": _colour(thing, raw.FPDFPageObj_GetFillColor),
    }


# --- replaying ----------------------------------------------------------------------------------------------


def replay(pages: list[Page], out: str) -> None:
    """Writes recorded pages to the file `out`, compressed, with ReportLab's canvas and no more."""
    from font_source_sans_pro import font_files_ttf
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas

    used = {mark["face"] for page in pages for mark in page["marks"] if "text" in mark}
    for face, file in FACES.items():
        if face in used:
            registerFont(TTFont(face, font_files_ttf[file]))
    canvas = Canvas(out, pageCompression=1, invariant=1)
    for page in pages:
        canvas.setPageSize(page["size"])
        for mark in page["marks"]:
            if "text" in mark:
                _draw_text(canvas, mark)
            else:
                _draw_path(canvas, mark)
        canvas.showPage()
    canvas.save()


def _draw_text(canvas: Any, mark: TextMark) -> None:
    a, b, c, d, x, y = mark["matrix"]
    canvas.setFillColorRGB(*mark["fill"])
    canvas.setFont(mark["face"], mark["size"])
    if (a, b, c, d) == (1, 0, 0, 1):
        canvas.drawString(x, y, mark["text"])
        return
    canvas.saveState()
    canvas.transform(a, b, c, d, x, y)
    canvas.drawString(0, 0, mark["text"])
    canvas.restoreState()


def _draw_path(canvas: Any, mark: PathMark) -> None:
    clip = mark.get("clip")
    if clip:
        canvas.saveState()
        canvas.clipPath(_reportlab_path(canvas, clip), stroke=0, fill=0)
    if "fill" in mark:
        canvas.setFillColorRGB(*mark["fill"])
    if "stroke" in mark:
        canvas.setStrokeColorRGB(*mark["stroke"])
        canvas.setLineWidth(mark["width"])
        canvas.setLineCap(mark["cap"])
        canvas.setLineJoin(mark["join"])
        canvas.setDash(*mark.get("dash", ([], 0)))
    path = _reportlab_path(canvas, mark["path"])
    rule = 0 if mark.get("even_odd") else 1  # ReportLab: FILL_EVEN_ODD, FILL_NON_ZERO
    canvas.drawPath(path, stroke=int("stroke" in mark), fill=int("fill" in mark), fillMode=rule)
    if clip:
        canvas.restoreState()


def _reportlab_path(canvas: Any, segments: list[Segment]) -> Any:
    path = canvas.beginPath()
    curve: list[float] = []
    for kind, x, y in segments:
        if kind == "m":
            path.moveTo(x, y)
        elif kind == "l":
            path.lineTo(x, y)
        elif kind == "h":
            path.close()
        else:
            curve += (x, y)
            if len(curve) == 6:
                path.curveTo(*curve)
                curve = []
    return path


if __name__ == "__main__":
    replay(json.loads(Path(sys.argv[1]).read_text(encoding="utf-8")), sys.argv[2])
