"""Ruled tables: columns around an axis, division by rows, tags."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import pytest

from planpress.base.edition import Edition
from planpress.base.printing import Units
from planpress.base.quantities import INCH
from planpress.figures.style import DEFAULT_ACCENT
from planpress.pages.block import Block
from planpress.pages.chrome import Foot, Head
from planpress.pages.elements import height_of
from planpress.pages.sheets import Column, FileSettings, Sheet, write_sheets
from planpress.pages.tables import (
    HEAD_HEIGHT,
    ROW_HEIGHT,
    TALL_ROW,
    Kind,
    RuledTable,
    TableColumn,
    TableRow,
    length_column,
)
from planpress.writers.pdf.structure import Node
from tests.pages.layout_check import faults
from tests.writers.reading import characters, elements, opened, texts

FOOT = Foot("Plan", "Maker", "Page", "What", "Inches, Letter", "Finished sizes", "1.0.0", "12 May 2026")
SETTINGS = FileSettings("Test", "Maker", "Test", date(2026, 5, 12), DEFAULT_ACCENT)
AXIS = 72.5


def columns(fractions: bool = True) -> list[TableColumn]:
    return [
        TableColumn("", Kind.SIGN, 4.0),
        TableColumn("Name", Kind.TEXT, 11.0, 30.0, is_row_heading=True),
        length_column("L", AXIS, fractions),
        TableColumn("Cut", Kind.TICK, 180.0),
    ]


def table(groups: Sequence[str], node: Node, lengths: Sequence[str] = ()) -> RuledTable:
    sizes = [*lengths, *["40"] * (len(groups) - len(lengths))]
    rows = [
        TableRow(("A", f"Row{number}", size, ""), group=group)
        for number, (group, size) in enumerate(zip(groups, sizes, strict=True))
    ]
    return RuledTable(columns(), rows, node)


def written(section: Node, *parts: RuledTable) -> bytes:
    sheets = [
        Sheet(f"p{n}", section, Head(("Parts",), "", None if n else section), FOOT, [Column.filled(0, 30, 180, [part])])
        for n, part in enumerate(parts)
    ]
    return write_sheets(sheets, Block("letter"), SETTINGS).data


def test_heights_are_those_of_head_and_rows() -> None:
    assert height_of(table("abc", Node("Table")), 180.0) == pytest.approx(HEAD_HEIGHT + 3 * ROW_HEIGHT)


def test_whole_numbers_end_where_fractions_begin() -> None:
    edition = Edition(Units.IMPERIAL, "letter")
    sizes = [edition.length(INCH * n / 16) for n in (640, 12, 24, 459)]
    section = Node("Sect")
    pdf = written(section, table("aaaa", section.add("Table"), sizes))
    axis = 18.0 + AXIS
    rows: dict[float, list[tuple[str, float]]] = {}
    for sign, x, y in characters(pdf):
        if axis - 8.0 < x < axis + 4.0:
            rows.setdefault(round(y, 1), []).append((sign, x))
    ends = [row for row in rows.values() if "".join(s for s, _ in row).strip() in ("40", "3/4", "1 1/2", "28 11/16")]
    assert len(ends) == 4
    figure_width = 0.497 * 11 * 25.4 / 72  # of a figure in this family at 11 pt
    for row in ends:
        digits = [x for sign, x in row if sign.isdigit()]
        if "/" in "".join(sign for sign, _ in row):
            first_of_fraction = row["".join(s for s, _ in row).index("/") - 1]
            assert first_of_fraction[1] == pytest.approx(axis, abs=0.35)
        else:
            assert max(digits) + figure_width == pytest.approx(axis, abs=0.05)
    assert faults(pdf) == []


def test_long_names_wrap_into_a_taller_row_and_are_then_shortened() -> None:
    name = "Upper rail of the left-hand frame for the greenhouse wall"
    long = RuledTable(columns(), [TableRow(("A", name, "40", ""))], node := Node("Table"))
    assert long.heights == (TALL_ROW,)
    section = Node("Sect")
    section.kids.append(node)
    pdf = written(section, long)
    assert "\u2026" in texts(pdf)[0]
    assert faults(pdf) == []


def test_a_long_table_repeats_its_head_and_stays_one_table() -> None:
    section = Node("Sect")
    whole = table(["a"] * 60, section.add("Table"))
    parts = whole.parts(100.0, 180.0)
    assert [len(part.heights) for part in parts] == [11, 21, 21, 7]
    pdf = written(section, *parts)
    assert all("Name" in text for text in texts(pdf))
    with opened(pdf) as file:
        found = list(elements(file.Root.StructTreeRoot.K))
    roles = [str(element.S) for element in found]
    assert roles.count("/Table") == 1
    assert roles.count("/TR") == 61
    assert roles.count("/TH") == 4 + 60
    assert roles.count("/TD") == 3 * 60
    assert faults(pdf) == []


def test_breaks_between_groups_and_never_leaves_fewer_than_three_rows() -> None:
    room = HEAD_HEIGHT + 10 * ROW_HEIGHT
    sizes = [
        [len(part.heights) for part in table(groups, Node("Table")).parts(room, room)]
        for groups in (
            ["a"] * 8 + ["b"] * 6,
            ["a"] * 9 + ["b"] * 2,
            ["a"] * 11,
            ["a"] * 2 + ["b"] * 10,
            ["a"] * 3,
        )
    ]
    assert sizes == [[8, 6], [8, 3], [8, 3], [9, 3], [3]]


def test_a_table_that_hardly_begins_goes_on_to_the_next_page() -> None:
    parts = table(["a"] * 8, Node("Table")).parts(HEAD_HEIGHT + 2 * ROW_HEIGHT, 200.0)
    assert [len(part.heights) for part in parts] == [0, 8]
    assert parts[0].is_empty


def test_a_page_too_low_for_three_rows_is_refused() -> None:
    with pytest.raises(ValueError, match="too low"):
        table(["a"] * 8, Node("Table")).parts(20.0, 20.0)


def test_every_row_needs_all_cells() -> None:
    with pytest.raises(ValueError, match="a cell for each column"):
        RuledTable(columns(), [TableRow(("A", "Slat"))], Node("Table"))
