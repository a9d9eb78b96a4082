"""Check bars: what a ruler would find on the printed page."""

from __future__ import annotations

from datetime import date

import numpy as np
import pypdfium2
import pytest

from planpress.base.display import Path, Role, Text, points_of
from planpress.base.printing import Units
from planpress.figures.check_bars import across_figure, bar_across, bar_down, down_figure
from planpress.writers.pdf.document import DocumentSettings
from planpress.writers.pdf.writing import PdfWriter

LENGTHS = {Units.IMPERIAL: 152.4, Units.METRIC: 150.0}  # 6 in (1 in = 25.4 mm: ISO 80000-3) and 150 mm
MM = 72 / 25.4


@pytest.mark.parametrize("units", list(Units))
def test_outer_edges_are_exactly_the_named_length_apart(units: Units) -> None:
    for items, axis in ((bar_across(units), 0), (bar_down(units), 1)):
        bar = items[0]
        assert isinstance(bar, Path)
        assert bar.pen is None, "a pen would add its width"
        along = [point[axis] for point in points_of(bar.segments)]
        assert max(along) - min(along) == pytest.approx(LENGTHS[units], abs=1e-12)
        across = [point[1 - axis] for point in points_of(bar.segments)]
        assert max(across) - min(across) == 5.0


@pytest.mark.parametrize(("units", "inner"), [(Units.IMPERIAL, 5), (Units.METRIC, 5)])
def test_inner_marks_divide_the_bar_evenly(units: Units, inner: int) -> None:
    marks = [i for i in bar_across(units)[1:] if isinstance(i, Path) and i.role is Role.CHECK_BAR]
    assert len(marks) == inner
    for k, mark in enumerate(marks, start=1):
        (x0, y0), (x1, y1) = points_of(mark.segments)
        assert x0 == x1 == pytest.approx(k * LENGTHS[units] / (inner + 1))
        assert (y0, y1) == (0.0, 2.4)


def test_labels_say_length_and_direction() -> None:
    labels = [i.string for u in Units for bar in (bar_across(u), bar_down(u)) for i in bar if isinstance(i, Text)]
    assert labels == ["6 inches across", "6 inches down", "150\u00a0mm across", "150\u00a0mm down"]


@pytest.mark.parametrize("units", list(Units))
def test_ink_on_the_rendered_page_measures_right(units: Units) -> None:
    """A general-purpose PDF reader renders the page; the ink is measured to a dot of 0.025 mm."""
    writer = PdfWriter(DocumentSettings("bars", date(2026, 5, 12)))
    canvas = writer.new_canvas((215.9 * MM, 279.4 * MM))
    canvas.draw_figure(across_figure(units), 20 * MM, 20 * MM)
    canvas.draw_figure(down_figure(units), 180 * MM, 60 * MM)
    canvas.showPage()
    canvas.save()
    dots = 40  # a mm
    page = pypdfium2.PdfDocument(writer.written().data)[0]
    ink = np.asarray(page.render(scale=dots / MM, grayscale=True).to_pil()) < 128
    height = ink.shape[0]
    rows = ink[height - round(25.2 * dots) : height - round(19.5 * dots), : round(178 * dots)]
    ends = np.flatnonzero(rows[round(0.5 * dots)])  # across the end marks, above inner marks and label
    assert (ends[-1] - ends[0] + 1) / dots == pytest.approx(LENGTHS[units], abs=2 / dots)
    columns = ink[: height - round(50 * dots), round(182 * dots) :]
    right = np.flatnonzero(columns.any(axis=0))[-1]
    ends = np.flatnonzero(columns[:, right - round(4.5 * dots)])
    assert (ends[-1] - ends[0] + 1) / dots == pytest.approx(LENGTHS[units], abs=2 / dots)
