"""How to read this plan: the signs this set uses, the words for places, and the print check."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, TypeAlias

from attrs import evolve, frozen

from planpress.base.display import Anchor, Circle, Face, Item, Path, Role, Text, line, rectangle
from planpress.figures import check_bars, marks, style
from planpress.figures.dimensions import arrowhead
from planpress.pages import block, typography
from planpress.pages.chrome import Head
from planpress.pages.context import Context
from planpress.pages.elements import Element, Gap
from planpress.pages.notes import paragraph
from planpress.pages.sheets import Column, Sheet
from planpress.pages.typography import MEASURE, first_baseline
from planpress.writers.pdf.flowables import TaggedParagraph
from planpress.writers.pdf.structure import Node

KEY: Final = "reading"

_ROW = 12.6
_SIGN_AT, _TEXT_AT = 11.0, 26.0
_LEGEND_WIDTH = 112.0
_LEGEND_MOST = 13  # rows above the bar across
_RIGHT = 118.0
_RIGHT_WIDTH = 52.0
_CHECK_WIDTH = 38.0  # beside the bar down
_HEADING_TOP = 22.5
_PLACES = (60.0, 47.0)
_BAR_BASE = 205.0
_BAR_DOWN_BOTTOM = 234.6
_BOXES_TOP = 210.0
_BOX_HEIGHT = 8.0
_CLOSING_BASE = 225.0

Draw: TypeAlias = Callable[[Context], Sequence[Item]]


@frozen
class Entry:
    """A row of the legend: the block of its text, and its sign around (0, 0)."""

    block: str
    draw: Draw


def how_to_read(context: Context) -> Sheet:
    """The sheet; compose it after all others, for it explains the signs they use."""
    section = Node("Sect")
    head = Head(("How to read this plan",), context.text("reading", "purpose"), section)
    top = head.content_top
    legend = _Legend(context, legend_entries(context), section)
    columns = [Column.filled(0.0, top, _LEGEND_WIDTH, (legend,))]
    columns += _places(context, section, top)
    columns += _print_check(context, section)
    foot = context.foot("How to read this plan", "Marks and print check", "Bars full size")
    return Sheet(KEY, section, head, foot, columns, outline="How to read this plan")


def legend_entries(context: Context) -> list[Entry]:
    """The rows for the signs that the pages composed so far use, in the order a reader meets them."""
    plan, roles = context.plan, context.signs.roles
    notched = any(part.notches for part in plan.parts)
    rows = [
        (Role.DIMENSION in roles, Entry("reference_end", _reference_end)),
        (Role.MARK in roles, Entry("reference_edge", _reference_edge)),
        (Role.MARK in roles, Entry("reference_face", _reference_face)),
        (True, Entry("grain", _grain)),
        (Role.DIMENSION in roles, Entry("running", _running)),
        (notched, Entry("fit", _fit)),
        (notched, Entry("waste", _waste)),
        (True, Entry("letter" if not plan.fasteners else "letters", _letters)),
        (Role.TRAIL in roles, Entry("trail", _trail)),
        (Role.HIDDEN in roles, Entry("hidden", _hidden)),
        (any(step.checks for step in context.steps), Entry("check", _check)),
        (any(step.cautions for step in context.steps) or bool(plan.description.cautions), Entry("caution", _caution)),
        (context.signs.about, Entry("about", _about)),
    ]
    return [entry for used, entry in rows if used][:_LEGEND_MOST]


class _Legend(Element):
    """The heading and a row for each sign."""

    def __init__(self, context: Context, entries: Sequence[Entry], section: Node) -> None:
        super().__init__()
        self._context = context
        self._entries = entries
        self._heading = section.add("H2")
        table = section.add("L")
        self._texts: list[TaggedParagraph] = []
        for entry in entries:
            _, body = table.list_item()
            self._texts.append(paragraph(context.text("reading", entry.block), typography.text(), body))

    def lay_out(self, width: float) -> float:
        """Signs around x 11, texts from x 26, grey rules between."""
        self.write(0.0, 4.4, "Marks", Face.SEMIBOLD, 12.0, node=self._heading)
        y = 8.0
        text = typography.text()
        self.rule(0.0, y, width, y, style.ROW_RULE)
        for entry, body in zip(self._entries, self._texts, strict=True):
            self.items(entry.draw(self._context), _SIGN_AT, y + _ROW / 2)
            height = self.place(body, _TEXT_AT, y, width - _TEXT_AT)
            visible = height - typography.leading_of(text) + typography.cap_height(text.fontSize)
            above = (_ROW - visible) / 2 - first_baseline(text) + typography.cap_height(text.fontSize)
            self.move_last(y + above)
            y += _ROW
            self.rule(0.0, y, width, y, style.ROW_RULE)
        return y


def _places(context: Context, section: Node, top: float) -> list[Column]:
    """The picture that defines left, right, front and back."""
    heading = paragraph("Words for places", typography.section_heading(), section.add("H2"))
    picture = context.picture(context.drawings.places(*_PLACES), section.add("Figure"))
    words = paragraph(context.text("reading", "places"), typography.text(), section.add("P"))
    heading_top = top + 4.4 - first_baseline(typography.section_heading())
    columns = [Column.filled(_RIGHT, heading_top, _PLACES[0], (heading, Gap(3.0), picture))]
    columns.append(Column.filled(_RIGHT, columns[0].bottom + 3.0, _RIGHT_WIDTH, (words,)))
    return columns


def _print_check(context: Context, section: Node) -> list[Column]:
    """Heading, words, both bars and the boxes for what was measured."""
    units = context.edition.units
    bar = check_bars.bar_words(units)
    across, down = check_bars.across_figure(units), check_bars.down_figure(units)
    heading = paragraph("Print check", typography.section_heading(), section.add("H2"))
    words = [
        paragraph(context.text("reading", name, bar=bar), typography.text(), section.add("P"))
        for name in ("print_how", "print_stop")
    ]
    below = _BAR_DOWN_BOTTOM - float(check_bars.bar_length(units))
    bars = (section.add("Figure"), section.add("Figure"))
    boxes = _MeasuredBoxes(section.add("P"))
    closing = paragraph(context.text("reading", "closing"), typography.caption(), section.add("P"))
    caption = typography.caption()
    return [
        Column.filled(_RIGHT, max(below, 82.2) + 33.0, _CHECK_WIDTH, (heading, Gap(1.6), words[0], Gap(4.5), words[1])),
        Column.filled(0.0, _BAR_BASE - across.height, across.width, (context.picture(across, bars[0]),)),
        Column.filled(block.WIDTH - down.width, below, down.width, (context.picture(down, bars[1]),)),
        Column.filled(0.0, _BOXES_TOP, 150.0, (boxes,)),
        Column.filled(0.0, _CLOSING_BASE - first_baseline(caption), 152.0, (closing,)),
    ]


class _MeasuredBoxes(Element):
    """ "I measured [ ] across [ ] down on [ ]"."""

    _BOXES = ((21.0, 24.0), (64.0, 24.0), (115.0, 34.0))
    _WORDS = ((0.0, "I measured"), (48.0, "across"), (91.0, "down"), (108.0, "on"))

    def __init__(self, node: Node) -> None:
        super().__init__()
        self._node = node

    def lay_out(self, width: float) -> float:
        """One row."""
        base = _BOX_HEIGHT / 2 + typography.cap_height(10.0) / 2
        for x, word in self._WORDS:
            self.write(x, base, word, node=self._node)
        for x, box_width in self._BOXES:
            self.box(x, 0.0, box_width, _BOX_HEIGHT, style.WRITING_BOX)
        return _BOX_HEIGHT


# --- signs, around (0, 0), y up --------------------------------------------------------------------------------------


def _reference_end(_context: Context) -> list[Item]:
    body = Path(rectangle(-1.0, -3.0, 12.0, 6.0), style.OUTLINE_CLOSE, style.TINT_2, Role.OUTLINE)
    return [marks.reference_end((-1.0, 0.0)), body]


def _reference_edge(_context: Context) -> list[Item]:
    return [line((-8.0, -2.2), (8.0, -2.2), style.OUTLINE), marks.edge_mark((0.0, -2.2), 1)]


def _reference_face(_context: Context) -> list[Item]:
    return [marks.face_loop((-1.2, -3.8), 1)]


def _grain(_context: Context) -> list[Item]:
    return list(marks.grain_arrow((0.0, 0.0), 18.0))


def _running(_context: Context) -> list[Item]:
    y = -1.7
    items: list[Item] = [
        line((-7.2, y), (8.0, y), style.DIMENSION),
        Circle((-8.0, y), 0.8, style.DIMENSION, style.TINT_0, Role.DIMENSION),
    ]
    for x, value in ((0.0, "4"), (8.0, "7")):
        items += [
            line((x, y - 1.2), (x, y + 2.4), style.DIMENSION),
            arrowhead((x, y), (1.0, 0.0), (2.2, 0.75)),
            Text((x, y + 3.3), value, size=10.0, anchor=Anchor.MIDDLE),
        ]
    return items


def _fit(context: Context) -> list[Item]:
    mates = [notch.mates[0] for part in context.plan.parts for notch in part.notches if notch.mates]
    return list(marks.capsule((0.0, 0.0), f"= {mates[0]}", MEASURE))


def _waste(_context: Context) -> list[Item]:
    return list(marks.waste_sample((-6.0, -3.0), 12.0, 6.0))


def _letters(context: Context) -> list[Item]:
    plan = context.plan
    letter = plan.parts[min(1, len(plan.parts) - 1)].letter
    if not plan.fasteners:
        return list(marks.balloon((0.0, 0.0), letter))
    return [*marks.balloon((-5.0, 0.0), letter), *marks.square_balloon((5.0, 0.0), plan.fasteners[0].letter)]


def _trail(context: Context) -> list[Item]:
    ends = [Circle((x, 0.0), 0.55, None, context.accent, Role.TRAIL) for x in (-9.0, 9.0)]
    return [line((-9.0, 0.0), (9.0, 0.0), style.trail(context.accent), Role.TRAIL), *ends]


def _hidden(_context: Context) -> list[Item]:
    return [line((-9.0, 0.0), (8.6, 0.0), evolve(style.HIDDEN, width=style.FINE), Role.HIDDEN)]


def _check(_context: Context) -> list[Item]:
    return [marks.tick_box((-1.95, -1.95), 3.9)]


def _caution(_context: Context) -> list[Item]:
    return list(marks.caution_triangle((-2.6, -2.2)))


def _about(_context: Context) -> list[Item]:
    return [Text((0.0, -1.3), "\u2248", size=13.0, anchor=Anchor.MIDDLE)]
