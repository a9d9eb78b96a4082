"""Part drawings on their pages: every part once, in order, no page half empty but the last."""

from __future__ import annotations

import itertools

import pytest

from planpress.base.printing import Units
from planpress.description.reader import read_description
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from planpress.model.solve import solve
from planpress.pages import block
from planpress.pages.context import Context, PageNumbers
from planpress.pages.drawings import PlanDrawings
from planpress.pages.part_pages import part_drawings, part_key
from planpress.pages.part_rows import part_rows
from planpress.pages.sheets import Sheet
from planpress.pages.texts import Texts
from tests.pages.sets import edition_of, texts
from tests.plans import ROOT


def context_of(name: str, units: Units) -> Context:
    text = (ROOT / "projects" / name / "plan.yaml").read_text(encoding="utf-8")
    plan: SolvedPlan = solve(read_description(text, "plan.yaml"), units, "", {})
    edition = edition_of(units)
    drawings = PlanDrawings(plan, edition, Solids(plan), ())
    return Context(plan, edition, drawings, Texts(texts(), edition), (), PageNumbers(), "0" * 64)


def used(sheet: Sheet) -> float:
    """Share of the page's height down to the last ink."""
    return (max(column.bottom for column in sheet.columns) - block.CONTENT_TOP) / (
        block.CONTENT_BOTTOM - block.CONTENT_TOP
    )


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("name", ["divider-tray", "wall-shelf"])
def test_every_part_once_in_order_and_no_page_half_empty(name: str, units: Units) -> None:
    context = context_of(name, units)
    sheets = part_drawings(context)
    keys = [key for sheet in sheets for key in sorted(sheet.marks, key=lambda key: sheet.marks[key][1])]
    assert keys == [part_key(part.letter) for part in context.plan.parts]
    assert all(used(sheet) > 0.5 for sheet in sheets[:-1])
    for sheet in sheets:
        sheet.check()
        spans = sorted((column.y, column.bottom) for column in sheet.columns)
        assert all(low[1] <= high[0] + 1e-6 for low, high in itertools.pairwise(spans))


def test_rows_hold_all_bands_in_order_and_are_lower_than_one_a_row() -> None:
    context = context_of("wall-shelf", Units.IMPERIAL)
    drawing = context.drawings.part("A")
    rows = part_rows(context, drawing)
    assert tuple(band for row in rows.rows for band in row) == drawing.bands
    assert max(map(len, rows.rows)) > 1
    heights = [band.figure.height for band in drawing.bands if band.figure is not None]
    assert rows.height < sum(heights)


def test_smaller_drawings_tell_the_same() -> None:
    context = context_of("divider-tray", Units.METRIC)
    for part in context.plan.parts:
        drawing = context.drawings.part(part.letter)
        for smaller in drawing.smaller:
            assert smaller.scale <= drawing.scale
            assert {note.bold for note in smaller.notes} >= {note.bold for note in drawing.notes}
