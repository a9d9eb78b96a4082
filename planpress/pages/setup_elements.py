"""What set-up cards consist of: a pass and its picture, boxes for sizes, cutters, stops with boxes to tick."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen
from reportlab.platypus.flowables import Flowable

from planpress.base.display import Anchor, Face
from planpress.figures import style
from planpress.pages import typography
from planpress.pages.elements import Element, Picture
from planpress.pages.notes import Sign, paragraph
from planpress.pages.typography import SECONDARY, cap_height, first_baseline, width_of
from planpress.writers.pdf.structure import Node

PICTURE_AT = 58.0
_TEXT_AT = 10.0
_TEXT_WIDTH = 43.0
_CIRCLE = 3.6
_TITLE_BASE = 5.2
_BELOW_TITLE = 3.4

_BOX_HEIGHT = 9.2
_BOX_GAP = 4.0
_LEAST_BOXES = 3  # fewer are no wider
_HEADING = 7.6  # from the top of a section heading to what it heads
_HEADING_BASE = 4.2

HEAD = 7.4
_HEAD_BASE = 5.1
ROW = 9.4
CUTTER_ROW = 7.4
_TICK, _PITCH = 5.2, 7.6
TICKS_A_LINE = 9
_LINE = 7.2  # from one line of ticks to the next
_LETTER = 4.6
#: More pieces than this at one stop share boxes.
MOST_TICKS = 18


class PassRow(Element):
    """One pass: number, title and words at the left, its picture at the right."""

    def __init__(self, number: int, title: str, markup: str, picture: Picture, section: Node, figure: Node) -> None:
        super().__init__()
        self._number = str(number)
        self._title = title
        self._heading = section.add("H2")
        self._words = paragraph(markup, typography.text(), section.add("P"))
        section.kids.append(figure)
        self._picture = picture

    def lay_out(self, width: float) -> float:
        """As high as the higher of the two."""
        Sign(self._number).frame_on(self, _CIRCLE, _CIRCLE, _CIRCLE)
        base = _CIRCLE + cap_height(12.0) / 2
        self.write(_CIRCLE, base, self._number, Face.SEMIBOLD, 12.0, anchor=Anchor.MIDDLE, node=self._heading)
        self.write(_TEXT_AT, _TITLE_BASE, self._title, Face.SEMIBOLD, 12.0, node=self._heading)
        top = _TITLE_BASE + _BELOW_TITLE
        low = top + self.place(self._words, _TEXT_AT, top, _TEXT_WIDTH)
        high = self.place(self._picture, PICTURE_AT, 0.0, width - PICTURE_AT)
        return max(low, high)


class SectionHeading(Element):
    """A heading within a page, with a remark at the right end of its line."""

    def __init__(self, text: str, remark: str, section: Node) -> None:
        super().__init__()
        self._text, self._remark = text, remark
        self._node = section.add("H2")
        self._remark_node = section.add("P") if remark else None

    def lay_out(self, width: float) -> float:
        """One line."""
        self.write(0.0, _HEADING_BASE, self._text, Face.SEMIBOLD, 12.0, node=self._node)
        if self._remark:
            self.write(
                width,
                _HEADING_BASE,
                self._remark,
                size=9.5,
                colour=SECONDARY,
                anchor=Anchor.END,
                node=self._remark_node,
            )
        return _HEADING


class MeasureBoxes(Element):
    """Boxes to write measured sizes in, side by side: label at the left of each, what the plan says at its right."""

    def __init__(self, boxes: Sequence[tuple[str, str]], section: Node) -> None:
        super().__init__()
        self._boxes = [(label, remark, section.add("P")) for label, remark in boxes]

    def lay_out(self, width: float) -> float:
        """As wide together as the page."""
        count = len(self._boxes)
        each = (width - _BOX_GAP * (max(count, _LEAST_BOXES) - 1)) / max(count, _LEAST_BOXES)
        for i, (label, remark, node) in enumerate(self._boxes):
            x = i * (each + _BOX_GAP)
            self.write(x, 3.0, label, size=10.0, node=node)
            self.write(x + each, 3.0, remark, size=9.5, colour=SECONDARY, anchor=Anchor.END, node=node)
            self.box(x, 5.0, each, _BOX_HEIGHT, style.WRITING_BOX)
        return 5.0 + _BOX_HEIGHT


class CutterTable(Element):
    """A column for each cutter and an empty one for the reader's own; rows of what each asks for.

    Args:
        names: of the cutters. rows: a heading and a text for each cutter; node: the Table element.
    """

    LABEL = 48.0

    def __init__(self, names: Sequence[str], rows: Sequence[tuple[str, Sequence[str]]], own: str, node: Node) -> None:
        super().__init__()
        head = node.add("TR")
        self._heads = [("", head.heading_cell()), *((name, head.heading_cell()) for name in (*names, own))]
        self._rows = []
        for label, cells in rows:
            row = node.add("TR")
            heading = row.heading_cell("Row")
            self._rows.append((label, heading, [(cell, row.add("TD")) for cell in (*cells, "")]))

    def lay_out(self, width: float) -> float:
        """Rules as in all tables; the last column has boxes."""
        columns = len(self._heads) - 1
        each = (width - self.LABEL) / columns
        self.rule(0.0, 0.0, width, 0.0, style.OUTLINE)
        for i, (name, node) in enumerate(self._heads[1:]):
            x = self.LABEL + (i + 0.5) * each
            text = typography.shortened(name, Face.REGULAR, 9.5, each - 1.0)
            self.write(x, _HEAD_BASE, text, size=9.5, colour=SECONDARY, anchor=Anchor.MIDDLE, node=node)
        self.rule(0.0, HEAD, width, HEAD, style.EDGE)
        y = HEAD
        for number, (label, heading, cells) in enumerate(self._rows):
            if number:
                self.rule(0.0, y, width, y, style.ROW_RULE)
            base = y + CUTTER_ROW / 2 + cap_height(10.0) / 2
            self.write(0.0, base, label, size=10.0, node=heading)
            for i, (cell, node) in enumerate(cells):
                x = self.LABEL + (i + 0.5) * each
                if cell:
                    self.write(x, base, cell, size=11.0, anchor=Anchor.MIDDLE, node=node)
            self.box(self.LABEL + (columns - 1) * each + 2.0, y + 0.9, each - 4.0, CUTTER_ROW - 1.8, style.WRITING_BOX)
            y += CUTTER_ROW
        self.rule(0.0, y, width, y, style.EDGE)
        return y


@frozen
class StopLine:
    """One row of stops: its letter, distances, and pieces to tick (letter, number of boxes), or words instead."""

    label: str
    values: tuple[str, ...]
    pieces: tuple[tuple[str, int], ...] = ()
    words: str = ""


class StopTable(Element):
    """Stops: distances in columns, a box for the reader's own, boxes to tick.

    Args:
        heads: of the distances, the last of them set large if `bold`. own: head of the reader's own box. done: head of
            the boxes to tick.
        named: pieces of more than one part are ticked, each row says which.
    """

    TICKS_AT = 111.5

    def __init__(
        self,
        heads: Sequence[str],
        lines: Sequence[StopLine],
        own: str,
        done: str,
        node: Node,
        *,
        bold: bool,
        named: bool,
    ) -> None:
        super().__init__()
        self._bold, self._named = bold, named
        head = node.add("TR")
        self._heads = [(text, head.heading_cell()) for text in ("Stop", *heads, own, done)]
        self._lines = []
        for one in lines:
            row = node.add("TR")
            self._lines.append((one, row.heading_cell("Row"), [row.add("TD") for _ in (*one.values, own, done)]))

    @property
    def heights(self) -> list[float]:
        """Of the rows, mm."""
        return [_height(one, self._named) for one, _, _ in self._lines]

    def lay_out(self, width: float) -> float:
        """Rules as in all tables."""
        count = len(self._heads) - 3
        box = 25.0
        room = self.TICKS_AT - 5.0 - box - 10.0
        each = room / max(1, count)
        ends = [10.0 + (i + 1) * each - 4.0 for i in range(count)]
        self.rule(0.0, 0.0, width, 0.0, style.OUTLINE)
        box_at = self.TICKS_AT - 5.0 - box
        places = [0.0, *ends, box_at, self.TICKS_AT]
        for i, ((text, node), x) in enumerate(zip(self._heads, places, strict=True)):
            anchor = Anchor.END if 0 < i <= count else Anchor.START
            self.write(x, _HEAD_BASE, text, size=9.5, colour=SECONDARY, anchor=anchor, node=node)
        self.rule(0.0, HEAD, width, HEAD, style.EDGE)
        y = HEAD
        for number, (one, heading, nodes) in enumerate(self._lines):
            if number:
                self.rule(0.0, y, width, y, style.ROW_RULE)
            middle = y + (CUTTER_ROW if one.words else ROW) / 2
            self.write(1.0, middle + cap_height(12.0) / 2, one.label, Face.SEMIBOLD, 12.0, node=heading)
            for i, value in enumerate(one.values):
                large = self._bold and i == count - 1
                plain = self._bold or bool(one.words)
                face, size = (Face.REGULAR if plain else Face.SEMIBOLD, 11.0)
                if large:
                    face, size = Face.SEMIBOLD, 13.0
                base = middle + cap_height(size) / 2
                self.write(ends[i], base, value, face, size, anchor=Anchor.END, node=nodes[i])
            high = 6.0 if one.words else 7.4
            self.box(box_at, middle - high / 2, box, high, style.WRITING_BOX)
            if one.words:
                base = middle + cap_height(10.0) / 2
                self.write(self.TICKS_AT, base, one.words, size=9.5, colour=SECONDARY, node=nodes[-1])
            self._ticks(one, middle, nodes[-1])
            y += _height(one, self._named)
        self.rule(0.0, y, width, y, style.EDGE)
        return y

    def _ticks(self, one: StopLine, middle: float, node: Node) -> None:
        x, y = self.TICKS_AT, middle
        right = self.TICKS_AT + TICKS_A_LINE * _PITCH
        for number, (letter, count) in enumerate(one.pieces):
            wide = count * _PITCH + (_LETTER if self._named else 0.0)
            if number and (x + wide > right + 0.1 or not self._named):
                x, y = self.TICKS_AT, y + _LINE
            if self._named:
                self.write(x, y + cap_height(10.0) / 2, letter, Face.SEMIBOLD, 10.0, node=node)
                x += max(_LETTER, width_of(letter, Face.SEMIBOLD, 10.0) + 1.4)
            start = x
            for _ in range(count):
                if x + _TICK > 180.0:
                    x, y = start, y + _LINE
                self.box(x, y - _TICK / 2, _TICK, _TICK, style.WRITING_BOX)
                x += _PITCH
            x += 2.0


def _height(one: StopLine, named: bool) -> float:
    """Of a row, by its lines of boxes."""
    if one.words:
        return CUTTER_ROW
    lines, x = 1, 0.0
    right = TICKS_A_LINE * _PITCH
    for number, (_, count) in enumerate(one.pieces):
        wide = count * _PITCH + (_LETTER if named else 0.0)
        if number and x + wide > right + 0.1:
            lines, x = lines + 1, 0.0
        x += _LETTER if named else 0.0
        for _ in range(count):
            if x + _TICK > right + 0.5:
                lines, x = lines + 1, (_LETTER if named else 0.0)
            x += _PITCH
        x += 2.0
    return ROW + (lines - 1) * _LINE


class SideBySide(Element):
    """Two stacks of flowables in columns: (x, width, gap, flowables)."""

    def __init__(self, columns: Sequence[tuple[float, float, float, Sequence[Flowable]]]) -> None:
        super().__init__()
        self._columns = columns

    def lay_out(self, width: float) -> float:
        """As high as the highest."""
        high = 0.0
        for x, room, gap, flowables in self._columns:
            y = 0.0
            for number, one in enumerate(flowables):
                y += gap if number else 0.0
                y += self.place(one, x, y, room)
            high = max(high, y)
        return high


class OffBy(Element):
    """A line with a box to write in, and one to tick."""

    def __init__(self, text: str, tick: str, section: Node) -> None:
        super().__init__()
        self._text, self._tick = text, tick
        self._nodes = (section.add("P"), section.add("P"))

    def lay_out(self, width: float) -> float:
        """The box to write in follows the text; the tick stands at the right half."""
        style_of = typography.text()
        base = 1.8 + first_baseline(style_of)
        self.write(0.0, base, self._text, size=10.0, node=self._nodes[0])
        x = width_of(self._text, Face.REGULAR, 10.0) + 2.5
        self.box(x, 0.0, 24.0, 8.0, style.WRITING_BOX)
        tick = x + 24.0 + 5.0
        self.box(tick, 2.1, 3.9, 3.9, style.WRITING_BOX)
        self.write(tick + 5.6, base, self._tick, size=10.0, node=self._nodes[1])
        return 8.0
