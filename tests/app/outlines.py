"""Full-scale templates measured in the finished file: line segments as pdfium reads them, against the model's
notches."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from pathlib import Path
from typing import TypeAlias

import pypdfium2
import pypdfium2.raw as raw

from planpress.model.records import Notch, Part, SolvedPlan
from tests.writers.reading import _path

Segment: TypeAlias = tuple[float, float, float, float]  # x1, y1, x2, y2 in mm, left end first
OUTLINE_PEN = 0.35


def outline_errors(pdf: Path, plan: SolvedPlan) -> list[tuple[str, float]]:
    """(letter, largest error in mm) for every notch of every part with a template.

    A notch seen in profile is two level shoulders as long as it is deep, one notch width apart; one seen from above is
    two lines across the part, leaning as the mate does. Rows on one tile must also keep their distances.
    """
    out = []
    for part in plan.parts:
        if not part.notches:
            continue
        pages = list(_template_segments(pdf, part))
        assert pages, f"no template of {part.letter}"
        for notch in part.notches:
            out.append((part.letter, min(_error(segments, notch, part) for segments in pages)))
        if len(part.notches) > 4:
            out.append((part.letter, _row_error(pages, part)))
    return out


def _template_segments(pdf: Path, part: Part) -> Iterator[list[Segment]]:
    """Segments drawn with the outline's pen on each template page of a part."""
    with pypdfium2.PdfDocument(pdf) as document:
        for page in document:
            text = " ".join(page.get_textpage().get_text_range().split())
            if "Full size, 1 : 1" not in text or f"{part.label.split(',')[0].lower()} {part.letter}" not in text:
                continue
            yield [s for i in range(raw.FPDFPage_CountObjects(page.raw)) for s in _segments(page, i)]


def _segments(page: pypdfium2.PdfPage, number: int) -> list[Segment]:
    thing = raw.FPDFPage_GetObject(page.raw, number)
    if raw.FPDFPageObj_GetType(thing) != raw.FPDF_PAGEOBJ_PATH:
        return []
    points, width = _path(thing)
    if abs(width - OUTLINE_PEN) > 0.005:
        return []
    pairs = [(a[1:], b[1:]) for a, b in itertools.pairwise(points) if b[0] == raw.FPDF_SEGMENT_LINETO]
    return [(*min(a, b), *max(a, b)) for a, b in pairs]


def _expected(notch: Notch, part: Part) -> tuple[float, float, float]:
    """Run and rise of a shoulder on paper, and how far the two shoulders are apart up the page."""
    if notch.side.axis == 1:
        return float(notch.depth), 0.0, float(notch.width)
    slope = math.tan(math.radians(float(notch.skew)))
    run = float(part.width)
    return run, abs(run * slope), float(notch.width) / math.cos(math.atan(slope))


def _error(segments: list[Segment], notch: Notch, part: Part) -> float:
    """How well the best pair of shoulders fits (mm); an open end has one shoulder only."""
    run, rise, apart = _expected(notch, part)
    shoulders = [
        (max(abs(x2 - x1 - run), abs(abs(y2 - y1) - rise)), x1, y1, y2)
        for x1, y1, x2, y2 in segments
        if abs(x2 - x1 - run) < 1 and abs(abs(y2 - y1) - rise) < 1
    ]
    if notch.open_end is not None:
        return min((s[0] for s in shoulders), default=math.inf)
    fits = [
        max(a[0], b[0], abs(abs(b[2] - a[2]) - apart), abs(b[1] - a[1]))
        for a, b in itertools.combinations(shoulders, 2)
    ]
    return min(fits, default=math.inf)


def _row_error(pages: list[list[Segment]], part: Part) -> float:
    """Largest error (mm) of the shoulders of a row on one tile against the model's, where they fit best as a whole."""
    run, _, _ = _expected(part.notches[0], part)
    expected = [float(u) for notch in part.notches for u in notch.span]
    worst = 0.0
    for segments in pages:
        levels = sorted(y1 for x1, y1, x2, y2 in segments if abs(x2 - x1 - run) < 0.05 and abs(y2 - y1) < 0.05)
        assert len(levels) > 3
        shifts = [levels[0] - u for u in expected]
        worst = max(worst, min(max(min(abs(y - u - s) for u in expected) for y in levels) for s in shifts))
    return worst
