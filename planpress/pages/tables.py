"""Ruled tables: a flowable that writes its cells as text operators, splits by rows and repeats its head.

No vertical rules and no fills: a strong rule above the heads, fine rules below them and at the end, grey ones
between rows. Cells are plain text; a `LENGTH` cell ends its whole number on an axis and begins its fraction there,
so that whole numbers stand below each other whether or not a fraction follows.
"""

from __future__ import annotations

import enum
from collections.abc import Sequence

from attrs import field, frozen

from planpress.base.display import Anchor, Face
from planpress.base.lettering import has_fraction
from planpress.figures import style
from planpress.pages import typography
from planpress.pages.elements import Element
from planpress.pages.notes import Sign
from planpress.pages.typography import INK, SECONDARY, wrapped
from planpress.writers.pdf.structure import Node

HEAD_HEIGHT = 7.4
ROW_HEIGHT = 8.1
TALL_ROW = 12.0  # for cells of two lines
FRACTION_SLOT = 4.4
TICK = 3.9
_HEAD_BASE = 5.1
_SIGN_RADIUS = 2.9
_SECOND_LINE = 4.25
#: Never fewer rows than this on a page.
LEAST_ROWS = 3


class Kind(enum.Enum):
    """What the cells of a column are."""

    SIGN = "sign"  # a balloon, centred at x
    TEXT = "text"  # begins at x
    NUMBER = "number"  # ends at x
    LENGTH = "length"  # whole number ends at x, fraction follows
    TICK = "tick"  # an empty box that ends at x


@frozen
class TableColumn:
    """A column.

    Attributes:
        head: its heading. kind: how its cells stand. x: mm from the table's left edge.
        width: room for text, mm; longer text wraps to a second line, then is shortened.
        head_x: where the heading ends (LENGTH, NUMBER, TICK) or begins, if not at x.
        is_row_heading: its cells name their rows.
    """

    head: str
    kind: Kind
    x: float
    width: float = 0.0
    face: Face = Face.REGULAR
    size: float = 11.0
    colour: str = INK
    head_x: float | None = None
    is_row_heading: bool = False


@frozen
class TableRow:
    """A row: text for each column ("" for an empty cell, the letter for a SIGN).

    Attributes:
        bought: its sign is a square. group: rows of one group stay together if the table is divided.
    """

    cells: tuple[str, ...]
    bought: bool = False
    group: str = ""


@frozen
class _Entry:
    """A row with the structure nodes of its cells and its lines."""

    row: TableRow
    nodes: tuple[Node, ...]
    lines: tuple[tuple[str, ...], ...]
    height: float = field(default=ROW_HEIGHT)


class RuledTable(Element):
    """The table. `node` is its Table element, to which rows and cells are added.

    Args:
        columns, rows: see there; every row has a cell for each column.
        row_height: of rows of one line, mm.
    """

    def __init__(
        self,
        columns: Sequence[TableColumn],
        rows: Sequence[TableRow],
        node: Node,
        row_height: float = ROW_HEIGHT,
    ) -> None:
        super().__init__()
        self._columns = tuple(columns)
        head = node.add("TR")
        self._head_nodes: tuple[Node | None, ...] = tuple(head.heading_cell() for _ in columns)
        self._entries = tuple(self._entry(row, node.add("TR"), row_height) for row in rows)

    def _entry(self, row: TableRow, node: Node, row_height: float) -> _Entry:
        if len(row.cells) != len(self._columns):
            raise ValueError("a row needs a cell for each column")
        nodes, lines = [], []
        for column, cell in zip(self._columns, row.cells, strict=True):
            nodes.append(node.heading_cell("Row") if column.is_row_heading else node.add("TD"))
            if column.kind is Kind.TEXT and column.width:
                lines.append(tuple(wrapped(cell, column.face, column.size, column.width, 2)))
            else:
                lines.append((cell,) if cell else ())
        tall = any(len(one) > 1 for one in lines)
        return _Entry(row, tuple(nodes), tuple(lines), max(TALL_ROW, row_height) if tall else row_height)

    @property
    def heights(self) -> tuple[float, ...]:
        """Height of each row in mm."""
        return tuple(entry.height for entry in self._entries)

    def lay_out(self, width: float) -> float:
        """Head, rows and rules."""
        self.rule(0.0, 0.0, width, 0.0, style.OUTLINE)
        for column, node in zip(self._columns, self._head_nodes, strict=True):
            anchor = Anchor.START if column.kind in (Kind.TEXT, Kind.SIGN) else Anchor.END
            x = column.x if column.head_x is None else column.head_x
            if column.head:
                self.write(x, _HEAD_BASE, column.head, size=9.5, colour=SECONDARY, anchor=anchor, node=node)
        y = HEAD_HEIGHT
        self.rule(0.0, y, width, y, style.EDGE)
        for number, entry in enumerate(self._entries):
            if number:
                self.rule(0.0, y, width, y, style.ROW_RULE)
            self._row(entry, y)
            y += entry.height
        self.rule(0.0, y, width, y, style.EDGE)
        return y

    def _row(self, entry: _Entry, y: float) -> None:
        middle = y + entry.height / 2
        for column, node, lines in zip(self._columns, entry.nodes, entry.lines, strict=True):
            if column.kind is Kind.TICK:
                self.box(column.x - TICK, middle - TICK / 2, TICK, TICK, style.WRITING_BOX)
                continue
            if not lines:
                continue
            base = middle + typography.cap_height(column.size) / 2
            if column.kind is Kind.SIGN:
                self._sign(entry.row, column, node, middle)
            elif column.kind is Kind.LENGTH:
                self._length(column, node, lines[0], base)
            elif column.kind is Kind.NUMBER:
                self._text(column, node, column.x, base, lines[0], Anchor.END)
            else:
                top = base - _SECOND_LINE / 2 * (len(lines) - 1)
                for number, one in enumerate(lines):
                    self._text(column, node, column.x, top + number * _SECOND_LINE, one, Anchor.START)

    def _text(self, column: TableColumn, node: Node, x: float, y: float, text: str, anchor: Anchor) -> None:
        self.write(x, y, text, column.face, column.size, colour=column.colour, anchor=anchor, node=node)

    def _length(self, column: TableColumn, node: Node, text: str, base: float) -> None:
        if has_fraction(text[-1]):
            start = column.x - typography.width_of(text[:-1], column.face, column.size)
            self._text(column, node, start, base, text, Anchor.START)
        else:
            self._text(column, node, column.x, base, text, Anchor.END)

    def _sign(self, row: TableRow, column: TableColumn, node: Node, middle: float) -> None:
        letter = row.cells[self._columns.index(column)]
        Sign(letter, row.bought).frame_on(self, column.x, middle, _SIGN_RADIUS)
        base = middle + typography.cap_height(11.0) / 2
        self.write(column.x, base, letter, Face.SEMIBOLD, 11.0, anchor=Anchor.MIDDLE, node=node)

    # --- dividing ---

    def parts(self, first_height: float, next_height: float) -> list[RuledTable]:
        """The table in as many parts as pages of these heights (mm) need, the head repeated on each.

        It breaks between groups if that leaves enough rows, and never leaves fewer than three.

        Raises:
            ValueError: if not even three rows fit the next page.
        """
        rest = list(self._entries)
        out: list[RuledTable] = []
        height = first_height
        while rest:
            count = _rows_that_fit(rest, height - HEAD_HEIGHT)
            if count < len(rest):
                count = _good_break(rest, count)
            if count < min(LEAST_ROWS, len(rest)):
                if out or first_height == next_height:
                    raise ValueError("a page is too low for three rows of a table")
                out.append(self._part((), is_first=False))
                height = next_height
                continue
            out.append(self._part(tuple(rest[:count]), is_first=not any(part._entries for part in out)))
            rest = rest[count:]
            height = next_height
        return out

    @property
    def is_empty(self) -> bool:
        """True if it has no rows, as the first part of a table that does not fit where it begins."""
        return not self._entries

    def _part(self, entries: tuple[_Entry, ...], is_first: bool) -> RuledTable:
        part = RuledTable((), (), Node("Table"))
        part._columns = self._columns
        part._head_nodes = self._head_nodes if is_first else tuple(None for _ in self._columns)
        part._entries = entries
        return part


def _rows_that_fit(entries: Sequence[_Entry], height: float) -> int:
    used = 0.0
    for count, entry in enumerate(entries):
        used += entry.height
        if used > height + 1e-6:
            return count
    return len(entries)


def _good_break(entries: Sequence[_Entry], most: int) -> int:
    """The largest number of rows up to `most` that ends a group and leaves enough on both sides; else any that does."""
    most = min(most, len(entries) - LEAST_ROWS)
    for count in range(most, LEAST_ROWS - 1, -1):
        if entries[count - 1].row.group != entries[count].row.group:
            return count
    return most if most >= LEAST_ROWS else 0


def length_column(head: str, axis: float, has_fractions: bool) -> TableColumn:
    """A column of lengths around an axis; without fractions in the edition its numbers end where fractions would."""
    right = axis + FRACTION_SLOT
    if has_fractions:
        return TableColumn(head, Kind.LENGTH, axis, head_x=axis + FRACTION_SLOT / 2)
    return TableColumn(head, Kind.NUMBER, right)
