"""The layout check itself: it stays silent on a good page and speaks for each planted fault."""

from __future__ import annotations

from datetime import date

import pytest

from planpress.base.display import Anchor, Circle, Face, Figure, Hatch, Item, Path, Pen, Text, line, rectangle
from planpress.pages.block import Block
from planpress.writers.pdf.document import DocumentSettings
from planpress.writers.pdf.writing import PdfWriter
from tests.pages.layout_check import faults

BLACK = Pen(0.25, "#000000")


def page(*items: Item) -> bytes:
    """A page with these items, which are placed in the block in mm with y up."""
    where = Block("letter")
    writer = PdfWriter(DocumentSettings("Test", date(2026, 1, 1)))
    canvas = writer.new_canvas(where.page_size)
    canvas.draw_figure(Figure(180.0, 252.0, items, "a test"), *where.point(0.0, 252.0), writer.tags.add("Figure"))
    return canvas.finish().data


def kinds(*items: Item) -> list[str]:
    return list(dict.fromkeys(fault.kind for fault in faults(page(*items))))


WORD = Text((50.0, 100.0), "Bearer", size=11.0)


def test_a_good_page_has_no_faults() -> None:
    frame = Path(rectangle(48.0, 98.0, 30.0, 8.0), BLACK)
    below = Text((50.0, 95.0), "Slat", size=9.0)
    assert kinds(WORD, frame, below, line((0.0, 0.0), (180.0, 252.0), BLACK)) == []


@pytest.mark.parametrize(
    ("kind", "items"),
    [
        ("text on text", [WORD, Text((52.0, 101.0), "Slat", size=11.0)]),
        ("text on line", [WORD, line((40.0, 101.0), (80.0, 101.0), BLACK)]),
        ("text on line", [WORD, line((52.0, 90.0), (57.0, 110.0), BLACK)]),
        ("text on line", [WORD, Circle((50.0, 101.0), 3.0, BLACK)]),
        ("text on line", [WORD, Path(rectangle(40.0, 90.0, 30.0, 30.0), None, Hatch())]),
        ("outside", [Text((178.0, 100.0), "Bearer", size=11.0)]),
        ("outside", [line((100.0, 100.0), (181.0, 100.0), BLACK)]),
        ("outside", [line((100.0, -1.0), (100.0, 10.0), BLACK)]),
        ("near the foot", [Text((50.0, 14.0), "Bearer", size=11.0)]),
        ("too small", [Text((50.0, 100.0), "Bearer", size=8.5)]),
    ],
)
def test_each_planted_fault_is_found(kind: str, items: list[Item]) -> None:
    assert kinds(*items) == [kind]


def test_turned_text_is_seen_where_it_stands() -> None:
    turned = Text((50.0, 100.0), "Bearer", size=11.0, angle=90.0)
    assert kinds(turned, line((40.0, 110.0), (60.0, 110.0), BLACK)) == ["text on line"]
    assert kinds(turned, line((52.0, 90.0), (52.0, 130.0), BLACK)) == []


def test_a_line_below_an_opaque_shape_is_no_fault() -> None:
    through = line((40.0, 101.0), (80.0, 101.0), BLACK)
    cover = Path(rectangle(49.0, 98.0, 20.0, 8.0), None, "#FFFFFF")
    assert kinds(through, cover, WORD) == []
    assert kinds(cover, through, WORD) == ["text on line"]


def test_a_hatch_ends_at_its_area() -> None:
    hatched = Path(rectangle(20.0, 90.0, 29.0, 30.0), None, Hatch())
    assert kinds(hatched, WORD) == []


def test_text_beside_text_is_no_fault() -> None:
    parts = [
        Text((50.0, 100.0), "Bear", size=11.0, anchor=Anchor.END),
        Text((50.0, 100.0), "er", Face.SEMIBOLD, size=11.0),
    ]
    assert kinds(*parts) == []
