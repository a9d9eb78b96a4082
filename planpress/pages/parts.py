"""The exploded view and the parts table: on one page if both have room, else on pages of their own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from planpress.base.display import Anchor, Face
from planpress.model.records import SolvedPlan
from planpress.pages import block, remarks, typography
from planpress.pages.chrome import Head
from planpress.pages.context import Context
from planpress.pages.elements import Element, height_of
from planpress.pages.sheets import Column, Sheet
from planpress.pages.tables import HEAD_HEIGHT, Kind, RuledTable, TableColumn, TableRow, length_column
from planpress.pages.typography import SECONDARY, shortened
from planpress.pages.wording import counted
from planpress.work.wedging_text import wedge_rows
from planpress.writers.pdf.structure import Node

KEY: Final = "exploded"
TABLE_KEY: Final = "parts"

_MATERIAL_AT, _REMARK_AT, _TICK_AT = 102.0, 127.0, 180.0
_NAME_AT, _NUMBER_AT = 11.0, 49.0
_REMARK_WIDTH = 46.0
_AXES = (57.5, 72.5, 90.5)
#: From the heading's baseline to the table's upper rule, and room above the heading.
_HEADING = 7.0
_LOWEST_PICTURE = 112.0
_WHITE = 4.5
_BELOW_TABLE = 2.0


def exploded_and_parts(context: Context) -> list[Sheet]:
    """The exploded view with the parts table below it, or the table on the next pages."""
    section = Node("Sect")
    title = "Exploded view and parts"
    purpose = context.text("parts", "purpose")
    draft = Node("Sect")
    needed = _HEADING + HEAD_HEIGHT + sum(parts_table(context, draft).heights)
    room = block.CONTENT_BOTTOM - _BELOW_TABLE - block.CONTENT_TOP - needed - _WHITE
    together = room >= _LOWEST_PICTURE
    head = Head((title,) if together else ("Exploded view",), purpose, section)
    height = room if together else block.CONTENT_BOTTOM - block.CONTENT_TOP
    figure = context.picture(context.drawings.exploded(block.WIDTH, height), section.add("Figure"))
    columns = [Column.filled(0.0, block.CONTENT_TOP, block.WIDTH, (figure,))]
    heading = _TableHeading(context, section)
    table = parts_table(context, section.add("Table"))
    foot = context.foot(head.title, pieces_in_words(context.plan), "Not to scale")
    if not together:
        sheet = Sheet(KEY, section, head, foot, columns, head.title)
        return [sheet, *_table_sheets(context, section, heading, table)]
    columns.append(Column.filled(0.0, columns[0].bottom + _WHITE, block.WIDTH, (heading, table)))
    marks = {TABLE_KEY: ("", columns[1].y)}
    return [Sheet(KEY, section, head, foot, columns, head.title, marks=marks)]


def _table_sheets(context: Context, section: Node, heading: Element, table: RuledTable) -> list[Sheet]:
    """As many pages as the table needs; only the first has the heading."""
    top, bottom = block.CONTENT_TOP, block.CONTENT_BOTTOM
    head_height = height_of(heading, block.WIDTH)
    parts = [part for part in table.parts(bottom - top - head_height, bottom - top) if not part.is_empty]
    sheets = []
    for number, part in enumerate(parts):
        head = Head(("Parts",), context.text("parts", "table_purpose"), None)
        flowables: Sequence[Element] = (heading, part) if number == 0 else (part,)
        what = pieces_in_words(context.plan)
        if len(parts) > 1:
            what = f"{what}, {number + 1} of {len(parts)}"
        key = TABLE_KEY if number == 0 else f"{TABLE_KEY}-{number + 1}"
        column = Column.filled(0.0, top, block.WIDTH, flowables)
        outline = "Parts" if number == 0 else ""
        sheets.append(Sheet(key, section, head, context.foot("Parts", what, "Finished sizes"), [column], outline))
    return sheets


def parts_table(context: Context, node: Node) -> RuledTable:
    """Parts before bought things, in order of their letters."""
    return RuledTable(_columns(context), [*_part_rows(context), *_wedge_rows(context), *_bought_rows(context)], node)


def _columns(context: Context) -> list[TableColumn]:
    lengths = [length_column(head, axis, context.has_fractions) for head, axis in zip("TWL", _AXES, strict=True)]
    return [
        TableColumn("", Kind.SIGN, 4.0),
        TableColumn("Name", Kind.TEXT, _NAME_AT, 33.5, Face.SEMIBOLD, 10.5, is_row_heading=True),
        TableColumn("No.", Kind.NUMBER, _NUMBER_AT),
        *lengths,
        TableColumn("Material", Kind.TEXT, _MATERIAL_AT, 23.0, size=10.5),
        TableColumn("Remark", Kind.TEXT, _REMARK_AT, _REMARK_WIDTH, size=9.5, colour=SECONDARY),
        TableColumn("Cut", Kind.TICK, _TICK_AT),
    ]


def _part_rows(context: Context) -> list[TableRow]:
    rows = []
    for part in context.plan.parts:
        sizes = [context.edition.length(size) for size in (part.thickness, part.width, part.length)]
        for size in sizes:
            context.signs.see_text(size)
        remark = remarks.remark(part, _REMARK_WIDTH)
        label = part.material.species or part.material.label
        cells = (part.letter, part.label, str(part.count), *sizes, label, remark, "")
        rows.append(TableRow(cells, group=part.material.name))
    return rows


def _wedge_rows(context: Context) -> list[TableRow]:
    """Wedges are made from offcuts; they have no letter and no drawing."""
    rows = []
    for row in wedge_rows(context.plan, context.plan.joints):
        wedges = row.wedges
        sizes = [context.edition.joint(size) for size in (wedges.thickness, wedges.width, wedges.length)]
        for size in sizes:
            context.signs.see_text(size)
        rows.append(
            TableRow(("", "Wedge", str(row.count), *sizes, "hard wood", "tapered to an edge", ""), group="wedges")
        )
    return rows


def _bought_rows(context: Context) -> list[TableRow]:
    """Thickness is a dowel's diameter; a screw's is in its name."""
    rows = []
    for fastener in context.plan.fasteners:
        thick = context.edition.length(fastener.diameter) if fastener.kind == "dowel" else ""
        long = context.edition.length(fastener.length)
        for size in (thick, long):
            context.signs.see_text(size)
        cells = (
            fastener.letter,
            fastener.label,
            str(fastener.count),
            thick,
            "",
            long,
            fastener.material,
            shortened(fastener.remark, Face.REGULAR, 9.5, 2 * _REMARK_WIDTH),
            "",
        )
        rows.append(TableRow(cells, bought=True, group="bought"))
    return rows


def pieces_in_words(plan: SolvedPlan) -> str:
    """ "20 pieces, 4 dowels, 6 screws"."""
    bought: dict[str, int] = {}
    for fastener in plan.fasteners:
        bought[fastener.kind] = bought.get(fastener.kind, 0) + fastener.count
    pieces = sum(part.count for part in plan.parts)
    words = [counted(pieces, "piece"), *(counted(count, kind) for kind, count in bought.items())]
    return ", ".join(words)


class _TableHeading(Element):
    """ "Parts", and at the right what the sizes are."""

    def __init__(self, context: Context, section: Node) -> None:
        super().__init__()
        self._heading, self._note_node = section.add("H2"), section.add("P")
        self._note = typography.without_markup(context.text("parts", "sizes", unit_name=context.edition.unit_name))

    def lay_out(self, width: float) -> float:
        """One line; its baseline is 2.5 above the table."""
        base = _HEADING - 2.5
        self.write(0.0, base, "Parts", Face.SEMIBOLD, 12.0, node=self._heading)
        self.write(width, base, self._note, size=9.5, colour=SECONDARY, anchor=Anchor.END, node=self._note_node)
        return _HEADING
