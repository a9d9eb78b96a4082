"""Reads a finished PDF file with another library and reports what a careful eye would.

That is: text on text, text across a line, ink outside the block or in the white above the foot, type too small.

pdfium reads the file, so nothing here relies on how the pages were made. Places are in mm from the block's upper
left corner, y down. Lines are taken as they are painted: clipped to their clip path, and not counted where a later
opaque shape covers them.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pypdfium2
import pypdfium2.raw as raw
from attrs import field, frozen

Floats = npt.NDArray[np.float64]
Box = tuple[float, float, float, float]  # left, bottom, right, top in points

MM = 72 / 25.4
BLOCK = (180.0, 252.0)
LEFT = 18.0
FOOT = 239.5
#: The foot's white: nothing but check bars is nearer to it.
ABOVE_FOOT = 236.6
SMALLEST = 9.0  # points
#: Ink may leave the block by so much (large numerals are shifted left to look flush), and glyphs touch by a hair.
OUTSIDE = 0.5
TOUCH = 0.12
_DARK = 160  # fills darker than this count as lines
_CURVE_STEPS = 6


@frozen
class Fault:
    """One fault: page from 1, kind, where (mm in the block) and what."""

    page: int
    kind: str
    x: float
    y: float
    what: str


@frozen(eq=False)
class Stroke:
    """What one path object paints. `order`: place in the painting order.

    Attributes:
        segments: (n, 4) x0, y0, x1, y1 in points of what counts as a line. outline: closed polygon of its fill, or
        None.
        clips: polygons outside which it is not painted.
    """

    order: int
    segments: Floats
    outline: list[Floats] = field(factory=list)
    clips: list[Floats] = field(factory=list)


@frozen(eq=False)
class Letters:
    """The glyphs of a page: boxes (n, 4) in points, the text object each belongs to, and its painting order."""

    boxes: Floats
    owners: list[int]
    orders: list[int]
    texts: list[str]
    sizes: list[float]


def faults(pdf: bytes) -> list[Fault]:
    """All faults of all pages, in order of pages."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [fault for number in range(len(document)) for fault in _page_faults(document[number], number + 1)]
    finally:
        document.close()


def _page_faults(page: Any, number: int) -> Iterator[Fault]:
    height = page.get_height()
    above = (height / MM - BLOCK[1]) / 2
    text_page = page.get_textpage()
    try:
        order: dict[int, int] = {}
        strokes: list[Stroke] = []
        _walk(page.raw, None, np.eye(3), [], order, strokes)
        letters = _letters(text_page.raw, order)
    finally:
        text_page.close()

    def fault(kind: str, x: float, y: float, what: str) -> Fault:
        return Fault(number, kind, round(float(x) / MM - LEFT, 1), round((height - float(y)) / MM - above, 1), what)

    block = (LEFT * MM, above * MM, (LEFT + BLOCK[0]) * MM, height - above * MM)
    yield from _outside(letters, strokes, block, fault)
    yield from _near_foot(letters, height - (above + FOOT) * MM, height - (above + ABOVE_FOOT) * MM, fault)
    for box, size, text in zip(letters.boxes, letters.sizes, letters.texts, strict=True):
        if size < SMALLEST - 0.01:
            yield fault("too small", box[0], box[1], f"{text!r} at {size:.2f} pt")
    yield from _text_on_text(letters, fault)
    yield from _text_on_lines(letters, strokes, fault)


# --- reading ---------------------------------------------------------------------------------------------------------


def _walk(
    page: Any, form: Any, matrix: Floats, clips: list[Floats], order: dict[int, int], strokes: list[Stroke]
) -> None:
    """Collects the objects of a page or form in painting order."""
    count = raw.FPDFFormObj_CountObjects(form) if form is not None else raw.FPDFPage_CountObjects(page)
    for index in range(count):
        thing = raw.FPDFFormObj_GetObject(form, index) if form is not None else raw.FPDFPage_GetObject(page, index)
        kind = raw.FPDFPageObj_GetType(thing)
        own = matrix @ _matrix(thing)
        order[ctypes.cast(thing, ctypes.c_void_p).value or 0] = len(order)
        if kind == raw.FPDF_PAGEOBJ_FORM:
            _walk(page, thing, own, [*clips, *_clips(thing, matrix)], order, strokes)
        elif kind == raw.FPDF_PAGEOBJ_PATH:
            strokes.append(_stroke(thing, own, [*clips, *_clips(thing, matrix)], len(order) - 1))


def _matrix(thing: Any) -> Floats:
    m = raw.FS_MATRIX()
    raw.FPDFPageObj_GetMatrix(thing, ctypes.byref(m))
    return np.array([[m.a, m.c, m.e], [m.b, m.d, m.f], [0.0, 0.0, 1.0]])


def _stroke(thing: Any, matrix: Floats, clips: list[Floats], order: int) -> Stroke:
    chains = _chains(thing, raw.FPDFPath_CountSegments, raw.FPDFPath_GetPathSegment, matrix)
    mode, stroked = ctypes.c_int(), ctypes.c_int()
    raw.FPDFPath_GetDrawMode(thing, mode, stroked)
    filled = bool(mode.value)
    dark = filled and _darkness(thing) < _DARK
    segments = [np.hstack([chain[:-1], chain[1:]]) for chain in chains if len(chain) > 1]
    lines = np.vstack(segments) if segments and (stroked.value or dark) else np.empty((0, 4))
    return Stroke(order, lines, chains if filled else [], clips)


def _darkness(thing: Any) -> int:
    r, g, b, a = (ctypes.c_uint() for _ in range(4))
    raw.FPDFPageObj_GetFillColor(thing, r, g, b, a)
    return int(r.value + g.value + b.value) // 3


def _clips(thing: Any, matrix: Floats) -> list[Floats]:
    """The polygons an object is clipped to; pdfium gives them in the coordinates of the page or form."""
    clip = raw.FPDFPageObj_GetClipPath(thing)
    out: list[Floats] = []
    if not clip:
        return out
    for index in range(max(0, raw.FPDFClipPath_CountPaths(clip))):
        out += _chains(
            clip,
            lambda path, i=index: raw.FPDFClipPath_CountPathSegments(path, i),
            lambda path, j, i=index: raw.FPDFClipPath_GetPathSegment(path, i, j),
            matrix,
        )
    return out


def _chains(thing: Any, count: Any, segment: Any, matrix: Floats) -> list[Floats]:
    """The subpaths of a path as chains of points, curves flattened."""
    chains: list[list[tuple[float, float]]] = []
    controls: list[tuple[float, float]] = []
    for index in range(count(thing)):
        part = segment(thing, index)
        x, y = ctypes.c_float(), ctypes.c_float()
        raw.FPDFPathSegment_GetPoint(part, x, y)
        point = (x.value, y.value)
        kind = raw.FPDFPathSegment_GetType(part)
        if kind == raw.FPDF_SEGMENT_MOVETO:
            chains.append([point])
        elif kind == raw.FPDF_SEGMENT_LINETO:
            chains[-1].append(point)
        else:
            controls.append(point)
            if len(controls) == 3:
                chains[-1] += _curve(chains[-1][-1], controls)
                controls = []
        if raw.FPDFPathSegment_GetClose(part):
            chains[-1].append(chains[-1][0])
    out = []
    for chain in chains:
        points = np.hstack([np.array(chain), np.ones((len(chain), 1))])
        out.append((points @ matrix.T)[:, :2])
    return out


def _curve(start: tuple[float, float], controls: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    points = np.array([start, *controls])
    t = np.linspace(0, 1, _CURVE_STEPS + 1)[1:, None]
    weights = np.hstack([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3])
    return [(float(x), float(y)) for x, y in weights @ points]


def _letters(text_page: Any, order: dict[int, int]) -> Letters:
    boxes, owners, orders, texts, sizes = [], [], [], [], []
    for index in range(raw.FPDFText_CountChars(text_page)):
        code = raw.FPDFText_GetUnicode(text_page, index)
        owner = ctypes.cast(raw.FPDFText_GetTextObject(text_page, index), ctypes.c_void_p).value or 0
        if raw.FPDFText_IsGenerated(text_page, index) or code in (0, 32, 160) or owner == 0:
            continue
        left, right, bottom, top = (ctypes.c_double() for _ in range(4))
        raw.FPDFText_GetCharBox(text_page, index, left, right, bottom, top)
        matrix = raw.FS_MATRIX()
        raw.FPDFText_GetMatrix(text_page, index, matrix)
        if right.value <= left.value or top.value <= bottom.value:
            continue
        boxes.append((left.value, bottom.value, right.value, top.value))
        owners.append(owner)
        orders.append(order.get(owner, len(order)))
        texts.append(chr(code))
        scale = abs(matrix.a * matrix.d - matrix.b * matrix.c) ** 0.5
        sizes.append(raw.FPDFText_GetFontSize(text_page, index) * scale)
    return Letters(np.array(boxes).reshape(-1, 4), owners, orders, texts, sizes)


# --- judging ---------------------------------------------------------------------------------------------------------


def _outside(letters: Letters, strokes: Sequence[Stroke], block: Box, fault: Any) -> Iterator[Fault]:
    reach = OUTSIDE * MM
    low, high = np.array(block[:2]) - reach, np.array(block[2:]) + reach
    for box, text in zip(letters.boxes, letters.texts, strict=True):
        if (box[:2] < low).any() or (box[2:] > high).any():
            yield fault("outside", box[0], box[1], f"letter {text!r}")
    for stroke in strokes:
        for x0, y0, x1, y1 in stroke.segments:
            ends = np.array([[x0, y0], [x1, y1]])
            if stroke.clips:
                ends = ends[[any(_inside(clip, point) for clip in stroke.clips) for point in ends]]
            if ((ends < low) | (ends > high)).any():
                yield fault("outside", x0, y0, "line")
                break


def _near_foot(letters: Letters, foot: float, white: float, fault: Any) -> Iterator[Fault]:
    for box, text in zip(letters.boxes, letters.texts, strict=True):
        if box[1] < white and box[3] > foot:
            yield fault("near the foot", box[0], box[1], f"letter {text!r}")


def _text_on_text(letters: Letters, fault: Any) -> Iterator[Fault]:
    """Glyphs of different text objects that overlap."""
    boxes, touch = letters.boxes, TOUCH * MM
    owners = np.array(letters.owners)
    for index in range(len(boxes) - 1):
        rest = boxes[index + 1 :]
        across = np.minimum(boxes[index, 2], rest[:, 2]) - np.maximum(boxes[index, 0], rest[:, 0])
        along = np.minimum(boxes[index, 3], rest[:, 3]) - np.maximum(boxes[index, 1], rest[:, 1])
        hit = (across > touch) & (along > touch) & (owners[index + 1 :] != owners[index])
        for other in np.nonzero(hit)[0]:
            pair = f"{letters.texts[index]!r} and {letters.texts[index + 1 + other]!r}"
            yield fault("text on text", boxes[index, 0], boxes[index, 1], pair)


def _text_on_lines(letters: Letters, strokes: Sequence[Stroke], fault: Any) -> Iterator[Fault]:
    """Glyphs that a line goes through, one fault for a glyph."""
    if not len(letters.boxes):
        return
    touch = TOUCH * MM
    shrunk = letters.boxes + np.array([touch, touch, -touch, -touch])
    fills = [stroke for stroke in strokes if stroke.outline]
    seen: set[int] = set()
    for stroke in strokes:
        for x0, y0, x1, y1 in stroke.segments:
            near = (
                (shrunk[:, 0] < max(x0, x1))
                & (shrunk[:, 2] > min(x0, x1))
                & (shrunk[:, 1] < max(y0, y1))
                & (shrunk[:, 3] > min(y0, y1))
            )
            level = (x0 == x1) | (y0 == y1)
            if level and not near.any():
                near = _flat(shrunk, x0, y0, x1, y1)
            for index in np.nonzero(near)[0]:
                middle = _middle_within(shrunk[index], (x0, y0, x1, y1))
                if middle is None or index in seen:
                    continue
                if stroke.clips and not any(_inside(clip, middle) for clip in stroke.clips):
                    continue
                if any(
                    stroke.order < fill.order < letters.orders[index]
                    and any(_inside(polygon, middle) for polygon in fill.outline)
                    for fill in fills
                ):
                    continue
                seen.add(int(index))
                yield fault("text on line", middle[0], middle[1], f"letter {letters.texts[index]!r}")


def _flat(boxes: Floats, x0: float, y0: float, x1: float, y1: float) -> npt.NDArray[np.bool_]:
    """Boxes that a level or plumb segment goes through."""
    hit: npt.NDArray[np.bool_] = (
        (boxes[:, 0] <= max(x0, x1))
        & (boxes[:, 2] >= min(x0, x1))
        & (boxes[:, 1] <= max(y0, y1))
        & (boxes[:, 3] >= min(y0, y1))
    )
    return hit


def _middle_within(box: Floats, segment: Box) -> Floats | None:
    """The middle of the part of a segment that lies in a box, None if none does."""
    x0, y0, x1, y1 = segment
    start, end = 0.0, 1.0
    for origin, way, low, high in ((x0, x1 - x0, box[0], box[2]), (y0, y1 - y0, box[1], box[3])):
        if way == 0:
            if not low <= origin <= high:
                return None
            continue
        near, far = sorted(((low - origin) / way, (high - origin) / way))
        start, end = max(start, near), min(end, far)
    if start >= end:
        return None
    share = (start + end) / 2
    return np.array([x0 + (x1 - x0) * share, y0 + (y1 - y0) * share])


def _inside(polygon: Floats, point: Floats) -> bool:
    """Even-odd rule."""
    a, b = polygon, np.roll(polygon, -1, axis=0)
    spans = (a[:, 1] > point[1]) != (b[:, 1] > point[1])
    a, b = a[spans], b[spans]
    crossing = a[:, 0] + (point[1] - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
    return bool(np.count_nonzero(crossing > point[0]) % 2)
