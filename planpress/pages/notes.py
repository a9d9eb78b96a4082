"""Headings, notes, cautions, checks and lists: the small pieces that pages are put together from."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus.flowables import Flowable

from planpress.base.display import Anchor, Face, Pen, Role, Text
from planpress.figures import marks, style
from planpress.pages import typography
from planpress.pages.elements import Element
from planpress.pages.typography import SECONDARY, TIMES, first_baseline, leading_of, no_short_last_word, width_of
from planpress.writers.pdf.flowables import TaggedParagraph
from planpress.writers.pdf.structure import Node

NOTE_RULE = 0.6
_NOTE_INDENT = 4.0
_BELOW_LAST = 1.2

_BALLOON = marks.BALLOON_RADIUS
_HEADING_TEXT = 3.4  # from a balloon to the name behind it
_HEADING_RULE = 5.6  # from a balloon's centre to the rule below the heading
_TIMES_ROOM = 6.5
_FACT_GAP = 3.2

_TICK = 3.9
_TICK_TEXT = 6.0
_LABEL = 5.0


def paragraph(markup: str, paragraph_style: ParagraphStyle, node: Node | None) -> TaggedParagraph:
    """A paragraph whose last line is never one short word."""
    return TaggedParagraph(no_short_last_word(markup), paragraph_style, node)


@frozen
class Sign:
    """A balloon in a heading or table: a letter in a circle, or in a square for bought things."""

    letter: str
    bought: bool = False

    def frame_on(self, element: Element, x: float, y: float, radius: float = _BALLOON) -> None:
        """Draws the frame alone, its centre at (x, y) mm of an element; the letter is text of the element's own."""
        shape = marks.square_balloon if self.bought else marks.balloon
        frame = shape((0.0, 0.0), self.letter, radius)
        element.items([item for item in frame if not isinstance(item, Text)], x, y)


class HeadingRow(Element):
    """The heading of a part or joint: balloons, name, a fact at the right, and a rule below.

    Args:
        signs: one balloon, or several with times signs between them.
        name: Semibold 15. fact: Regular 11 at the right; more than one are set apart from each other.
        node: the heading's element (H2); it gets name and facts. None: an artifact.
    """

    def __init__(self, signs: Sequence[Sign], name: str, facts: Sequence[str], node: Node | None) -> None:
        super().__init__()
        self._signs = signs
        self._name = name
        self._facts = [fact for fact in facts if fact]
        self._node = node

    def lay_out(self, width: float) -> float:
        """One row of 9.2 mm."""
        centre = _BALLOON
        base = centre + typography.cap_height(15.0) / 2
        x = 0.0
        for number, sign in enumerate(self._signs):
            if number:
                self.write(x + _TIMES_ROOM / 2, base - 0.3, TIMES, size=11.0, anchor=Anchor.MIDDLE)
                x += _TIMES_ROOM
            sign.frame_on(self, x + _BALLOON, centre)
            letter = centre + typography.cap_height(marks.BALLOON_TEXT) / 2
            self.write(
                x + _BALLOON,
                letter,
                sign.letter,
                Face.SEMIBOLD,
                marks.BALLOON_TEXT,
                anchor=Anchor.MIDDLE,
                node=self._node,
            )
            x += 2 * _BALLOON
        x += _HEADING_TEXT if self._signs else 0.0
        right = width
        for fact in reversed(self._facts):
            self.write(right, base, fact, size=11.0, anchor=Anchor.END, node=self._node)
            right -= width_of(fact, Face.REGULAR, 11.0) + _FACT_GAP
        room = right - x
        name = typography.shortened(self._name, Face.SEMIBOLD, 15.0, room)
        self.write(x, base, name, Face.SEMIBOLD, 15.0, node=self._node)
        y = centre + _HEADING_RULE
        self.rule(0.0, y, width, y, style.ROW_RULE)
        return y


class Note(Element):
    """Paragraphs (and writing boxes) behind a rule in the accent colour.

    Args:
        contents: flowables, one below the other. accent: "#RRGGBB".
    """

    def __init__(self, contents: Sequence[Flowable], accent: str, gap: float = 2.0) -> None:
        super().__init__()
        self._contents = list(contents)
        self._pen = Pen(NOTE_RULE, accent)
        self._gap = gap

    def lay_out(self, width: float) -> float:
        """The rule runs from the first line's capitals to a little below the last baseline; boxes stand below it."""
        y = 0.0
        top, bottom = 0.0, 0.0
        for number, flowable in enumerate(self._contents):
            y += self._gap if number else 0.0
            start = y
            y += self.place(flowable, _NOTE_INDENT, y, width - _NOTE_INDENT)
            if isinstance(flowable, TaggedParagraph):
                if not bottom:
                    top = start + first_baseline(flowable.style) - typography.cap_height(flowable.style.fontSize)
                bottom = y - leading_of(flowable.style) + first_baseline(flowable.style) + _BELOW_LAST
        self.rule(NOTE_RULE / 2, top, NOTE_RULE / 2, bottom, self._pen)
        return y


class Caution(Element):
    """A box with a bar and the sign of caution: hazard and consequence, before the action it concerns."""

    _LEAST = 10.0
    _TEXT_AT = 11.0
    _PADDING = 2.5

    def __init__(self, markup: str, node: Node) -> None:
        super().__init__()
        self._node = node
        self._paragraph = paragraph(markup, typography.text(), node)

    def lay_out(self, width: float) -> float:
        """4.5 a line and 5 more, 10 at least; the lines stand in the middle of the box."""
        text = typography.text()
        inner = self.place(self._paragraph, self._TEXT_AT, 0.0, width - self._TEXT_AT - self._PADDING)
        height = max(self._LEAST, inner + 5.0)
        visible = inner - leading_of(text) + typography.cap_height(text.fontSize)
        above = (height - visible) / 2 - (first_baseline(text) - typography.cap_height(text.fontSize))
        self.move_last(above)
        self.box(0.0, 0.0, width, height, Pen(style.MEDIUM, style.INK, join="miter"))
        self.box(0.0, 0.0, 1.6, height, None, style.INK)
        middle = above + first_baseline(text) - typography.cap_height(text.fontSize) / 2
        self.items(marks.caution_triangle((0.0, 0.0)), 3.6, middle + 2.3)
        return height


class CheckLine(Element):
    """A box to tick and what to check."""

    def __init__(self, markup: str, node: Node) -> None:
        super().__init__()
        self._paragraph = paragraph(markup, typography.text(), node)

    def lay_out(self, width: float) -> float:
        """The box stands beside the first line."""
        text = typography.text()
        height = self.place(self._paragraph, _TICK_TEXT, 0.0, width - _TICK_TEXT)
        middle = first_baseline(text) - typography.cap_height(text.fontSize) / 2
        self.box(0.0, middle - _TICK / 2, _TICK, _TICK, style.WRITING_BOX)
        return max(height, middle + _TICK / 2)


class WritingBox(Element):
    """An empty box to write a measured value in."""

    def __init__(self, width: float = 30.0, height: float = 8.5) -> None:
        super().__init__()
        self._size = (width, height)

    def lay_out(self, width: float) -> float:
        """The box alone."""
        box_width, height = self._size
        self.box(0.0, 0.0, min(box_width, width), height, style.WRITING_BOX)
        return height


class Actions(Element):
    """Lettered lines, "a", "b", "c": what to do, in order.

    Args:
        texts: markup of each action. node: the list's element (L).
    """

    def __init__(self, texts: Sequence[str], node: Node, gap: float = 1.0) -> None:
        super().__init__()
        self._gap = gap
        self._entries: list[tuple[str, Node, TaggedParagraph]] = []
        for number, markup in enumerate(texts):
            label, body = node.list_item()
            self._entries.append((letter_of(number), label, paragraph(markup, typography.text(), body)))

    def lay_out(self, width: float) -> float:
        """Letters at the left, text 5 further in."""
        y = 0.0
        for number, (letter, label, body) in enumerate(self._entries):
            y += self._gap if number else 0.0
            self.write(0.0, y + first_baseline(body.style), letter, Face.SEMIBOLD, 10.0, node=label)
            y += self.place(body, _LABEL, y, width - _LABEL)
        return y


class Facts(Element):
    """Short labelled facts, such as the parts, tools and time of a step.

    Args:
        facts: (label, markup). node: the list's element (L).
    """

    _TEXT_AT = 15.0

    def __init__(self, facts: Sequence[tuple[str, str]], node: Node) -> None:
        super().__init__()
        self._entries: list[tuple[str, Node, TaggedParagraph]] = []
        for label, markup in facts:
            name, body = node.list_item()
            self._entries.append((label, name, paragraph(markup, typography.text(), body)))

    def lay_out(self, width: float) -> float:
        """Labels at the left, texts in a column of their own."""
        y = 0.0
        for number, (label, name, body) in enumerate(self._entries):
            y += 0.6 if number else 0.0
            self.write(0.0, y + first_baseline(body.style), label, size=9.5, colour=SECONDARY, node=name)
            y += self.place(body, self._TEXT_AT, y, width - self._TEXT_AT)
        return y


class HairLine(Element):
    """A hairline over the whole width, white above and below it given in mm."""

    def __init__(self, above: float = 0.0, below: float = 0.0, pen: Pen = style.RULE_HAIR) -> None:
        super().__init__()
        self._above, self._below, self._pen = above, below, pen

    def lay_out(self, width: float) -> float:
        """One rule."""
        self.rule(0.0, self._above, width, self._above, self._pen, Role.RULE)
        return self._above + self._below


def letter_of(number: int) -> str:
    """ "a" for 0, "z" for 25, "aa" for 26."""
    letters = "abcdefghijklmnopqrstuvwxyz"
    return letters[number] if number < 26 else letter_of(number // 26 - 1) + letters[number % 26]
