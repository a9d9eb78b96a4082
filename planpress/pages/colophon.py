"""About this edition: which numbers it was made from, which exactly it is, and what it does not promise."""

from __future__ import annotations

from typing import Final

from planpress.base.display import Face
from planpress.pages import block, typography
from planpress.pages.chrome import Head
from planpress.pages.context import Context
from planpress.pages.elements import Element, Gap, height_of
from planpress.pages.notes import Facts, Note, paragraph
from planpress.pages.sheets import Column, Sheet
from planpress.pages.tables import Kind, RuledTable, TableColumn, TableRow
from planpress.pages.texts import written
from planpress.pages.typography import SECONDARY, plain_markup
from planpress.pages.wording import capital
from planpress.writers.pdf.structure import Node

KEY: Final = "colophon"
_TITLE: Final = "About this edition"
_NOTE_WIDTH = 128.0
#: Heights of the rows of values: the largest with which the table stays on the first page.
_ROWS: Final = (7.4, 6.4, 5.6)


def colophon(context: Context) -> list[Sheet]:
    """The sheet, or several if the plan has many values."""
    section = Node("Sect")
    head = Head((_TITLE,), context.text("colophon", "purpose"), section)
    columns = [_identity(context, section, head.content_top)]
    notes = _terms(context, section)
    table_heading = paragraph("Values it was made from", typography.section_heading(), section.add("H2"))
    bottom = block.CONTENT_BOTTOM
    columns.append(Column.filled(0.0, columns[-1].bottom + 7.0, _NOTE_WIDTH, (notes,)))
    top = columns[-1].bottom + 8.0
    room = bottom - top - height_of(table_heading, block.WIDTH) - 2.0
    row = next((high for high in _ROWS if _values_height(context, high) <= room), _ROWS[0])
    table = _values_table(context, section.add("Table"), row)
    parts = table.parts(room, bottom - block.CONTENT_TOP)
    foot = context.foot(_TITLE, "Values and terms", "No drawing")
    if parts and not parts[0].is_empty:
        columns.append(Column.filled(0.0, top, block.WIDTH, (table_heading, Gap(2.0), parts[0])))
    sheets = [Sheet(KEY, section, head, foot, columns, _TITLE)]
    for number, part in enumerate(parts[1:]):
        flowables: tuple[Element, ...] = (part,)
        if number == 0 and parts[0].is_empty:
            flowables = (table_heading, Gap(2.0), part)
        column = Column.filled(0.0, block.CONTENT_TOP, block.WIDTH, flowables)
        own_head = Head((_TITLE,), context.text("colophon", "purpose"), None)
        sheets.append(Sheet(f"{KEY}-{number + 2}", section, own_head, foot, [column]))
    return sheets


def _identity(context: Context, section: Node, top: float) -> Column:
    """Plan, version, edition and content id."""
    description = context.plan.description
    facts = [
        ("Plan", f"{description.title}, {description.maker}"),
        ("Version", f"{description.version}, {context.foot('', '', '').day}"),
        ("Edition", context.edition.name),
        ("Content", context.content_id[:16]),
    ]
    entries = [(label, plain_markup(text)) for label, text in facts]
    return Column.filled(0.0, top, block.WIDTH, (Facts(entries, section.add("L")),))


def _terms(context: Context, section: Node) -> Note:
    names = ["variant"] if context.is_computed_variant else ["as_described"]
    names += ["times", "strength", "content_id", "own_use"]
    return Note(
        [
            paragraph(context.text("colophon", name), typography.text(), section.add("P"))
            for name in names
            if name != "times" or context.steps
        ],
        context.accent,
    )


def _values_height(context: Context, row: float) -> float:
    return height_of(_values_table(context, Node("Sect").add("Table"), row), block.WIDTH)


def _values_table(context: Context, node: Node, row: float) -> RuledTable:
    plan = context.plan
    rows = []
    for parameter in plan.description.parameters:
        value = written(plan.values[parameter.name], context.edition)
        context.signs.see_text(value)
        changed = "changed" if parameter.name in plan.changed else ""
        remark = "; ".join(filter(None, [changed, parameter.note]))
        rows.append(TableRow((capital(parameter.name.replace("_", " ")), value, remark)))
    columns = [
        TableColumn("Name", Kind.TEXT, 0.0, 52.0, Face.SEMIBOLD, 10.5, is_row_heading=True),
        TableColumn(
            "Value",
            Kind.LENGTH if context.has_fractions else Kind.NUMBER,
            72.0,
            head_x=74.2 if context.has_fractions else 72.0,
        ),
        TableColumn("Note", Kind.TEXT, 92.0, 88.0, size=9.5, colour=SECONDARY),
    ]
    return RuledTable(columns, rows, node, row_height=row)
