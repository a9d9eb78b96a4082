"""The steps: two on a page with a hairline between, a long one on a page of its own; none is ever divided."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from attrs import frozen

from planpress.base.display import Anchor, Face
from planpress.pages import block, typography
from planpress.pages.chrome import Head
from planpress.pages.context import Context, StepEntry
from planpress.pages.elements import Element, Picture, height_of
from planpress.pages.notes import Actions, Caution, CheckLine, Facts, HairLine, paragraph
from planpress.pages.setup_pages import card_key
from planpress.pages.sheets import Column, Sheet
from planpress.pages.typography import first_baseline
from planpress.pages.wording import capital, listed, lower_first, number_range, plural
from planpress.writers.pdf.structure import Node

KEY: Final = "steps"

PICTURE_WIDTH: Final = 100.0
#: Heights of the pictures' frames: the largest with which two steps share a page.
PICTURE_HEIGHTS: Final = (80.0, 72.0, 64.0)
#: Of the picture of a step that has a page to itself.
PICTURE_HEIGHT_ALONE: Final = 120.0
_PICTURE_TOP = 16.0
_WIDE_TEXT = 128.0  # of steps without a picture
_NUMBER_AT = (-0.6, 11.6)
_TITLE_AT = (22.0, 5.2)
_REASON_BASE = 11.2
_FACTS_BASE = 20.5
_FACTS_GAP, _CAUTION_GAP, _CHECK_GAP, _CHECKS_GAP = 3.6, 3.2, 2.2, 1.6
_CARDS_GAP = 4.0  # between a step's title and where its set-up cards are
_TOP = 1.8  # from where contents begin to a step's origin
_ABOVE_LINE, _BELOW_LINE = 3.6, 6.8


@frozen
class Division:
    """How a step's width is shared: of the text, where the picture begins, how wide it is (mm)."""

    text: float
    picture_left: float
    picture: float


#: As the style has it, and with more room for long texts, where two steps would not share a page otherwise.
USUAL: Final = Division(70.0, 80.0, PICTURE_WIDTH)
WIDE_TEXT: Final = Division(98.0, 106.0, 74.0)


def steps(context: Context) -> list[Sheet]:
    """All steps in order."""
    sheets: list[Sheet] = []
    waiting = list(context.steps)
    texts = {step.number: _StepBlock(step, _cards(context, step)) for step in waiting}
    while waiting:
        pair = _pair(context, waiting, texts)
        sheets.append(_sheet(context, pair, len(sheets)))
        waiting = waiting[len(pair) :]
    return sheets


def _cards(context: Context, step: StepEntry) -> str:
    """Where the set-up cards of a step are: "Set-up cards 3 and 4, pages 12 and 13"."""
    if not step.cards:
        return ""
    pages = [str(context.pages.of(card_key(number))) for number in step.cards]
    count = len(pages)
    return f"Set-up {plural('card', count)} {listed([*map(str, step.cards)])}, {plural('page', count)} {listed(pages)}"


def step_key(number: int) -> str:
    """The bookmark of a step."""
    return f"step-{number}"


def _pair(context: Context, waiting: Sequence[StepEntry], measured: Mapping[int, _StepBlock]) -> list[_StepBlock]:
    """The next two steps if they fit on a page, with lower pictures if need be; else the next one."""
    texts = [measured[step.number] for step in waiting[:2]]
    room = block.CONTENT_BOTTOM - block.CONTENT_TOP - _TOP - _ABOVE_LINE - _BELOW_LINE
    if len(texts) == 2:
        for divisions in _DIVISIONS:
            for one, division in zip(texts, divisions, strict=True):
                one.divide(division)
            for height in PICTURE_HEIGHTS:
                if sum(one.height_with(height) for one in texts) <= room:
                    return [one.with_picture(context, height) for one in texts]
        texts[1].divide(USUAL)
    texts[0].divide(USUAL)
    return [texts[0].with_picture(context, PICTURE_HEIGHT_ALONE)]


_DIVISIONS: Final = ((USUAL, USUAL), (WIDE_TEXT, USUAL), (USUAL, WIDE_TEXT), (WIDE_TEXT, WIDE_TEXT))


def _sheet(context: Context, pair: Sequence[_StepBlock], before: int) -> Sheet:
    """A page of one or two steps."""
    section = Node("Sect")
    numbers = [one.step.number for one in pair]
    stages = list(dict.fromkeys(one.step.stage for one in pair))
    titles = (capital(listed([stages[0], *map(lower_first, stages[1:])])), f"Steps {number_range(numbers)}")
    words = "Step" if len(numbers) == 1 else "Steps"
    which = f"{words}\u00a0{listed([str(number) for number in numbers])}"
    wording = "purpose" if any(one.step.has_picture for one in pair) else "purpose_plain"
    purpose = context.text("steps", wording, which=which, count=len(context.steps))
    head = Head(titles, purpose, section)
    section.kids += [one.section for one in pair]
    y = head.content_top + _TOP
    columns, marks = [], {}
    for number, one in enumerate(pair):
        if number:
            line = HairLine(below=_BELOW_LINE)
            y = max(y + _ABOVE_LINE, (block.CONTENT_TOP + block.CONTENT_BOTTOM) / 2)
            y = min(y, block.CONTENT_BOTTOM - height_of(one, block.WIDTH) - _BELOW_LINE)
            columns.append(Column.filled(0.0, y, block.WIDTH, (line,)))
            y = columns[-1].bottom
        columns.append(Column.filled(0.0, y, block.WIDTH, (one,)))
        marks[step_key(one.step.number)] = (f"{one.step.number}  {one.plain_title}", y)
        y = columns[-1].bottom
    foot = context.foot(titles[0], which, "Not to scale")
    key = KEY if before == 0 else f"{KEY}-{before + 1}"
    return Sheet(key, section, head, foot, columns, titles[0], marks=marks)


class _StepBlock(Element):
    """One step: number, title, reason, facts, caution, actions and checks at the left, the picture at the right.

    It begins without its picture, as its text decides how high that can be.
    """

    def __init__(self, step: StepEntry, cards: str = "") -> None:
        super().__init__()
        self.step = step
        self.section = Node("Sect")
        self._heading = self.section.add("H2")
        self._cards = cards
        self._cards_node = self.section.add("P") if cards else None
        self.plain_title = typography.without_markup(step.title)
        self._reason = paragraph(step.reason, typography.reason(), self.section.add("P")) if step.reason else None
        self._facts = Facts(step.facts, self.section.add("L")) if step.facts else None
        self._cautions = [Caution(text, self.section.add("P")) for text in step.cautions]
        self._actions = Actions(step.actions, self.section.add("L"))
        self._checks = [CheckLine(f"<b>Check:</b> {text}", self.section.add("P")) for text in step.checks]
        self._picture: Picture | None = None
        self._division = USUAL
        self._heights: dict[Division, float] = {}

    def divide(self, division: Division) -> None:
        """Share the width otherwise between text and picture."""
        if division != self._division:
            self._division = division
            self.lay_out_again()

    def with_picture(self, context: Context, height: float) -> _StepBlock:
        """Itself with its picture, should it have one, in a frame of `height` mm."""
        if self.step.has_picture:
            figure = context.drawings.step(self.step.number, self._division.picture, height)
            self._picture = context.picture(figure, self.section.add("Figure"))
            self.lay_out_again()
        return self

    def height_with(self, picture_height: float) -> float:
        """Height in mm if its picture, should it have one, is this high; asked before it has one."""
        if self._division not in self._heights:
            self._heights[self._division] = height_of(self, block.WIDTH)
        text = self._heights[self._division]
        return max(text, _PICTURE_TOP + picture_height) if self.step.has_picture else text

    def lay_out(self, width: float) -> float:
        """As high as its text or its picture, whichever is higher."""
        self.write(*_NUMBER_AT, str(self.step.number), Face.LIGHT, 40.0, node=self._heading)
        x, base = _TITLE_AT
        room = width - x
        if self._cards:
            self.write(width, base, self._cards, size=10.0, anchor=Anchor.END, node=self._cards_node)
            room -= typography.width_of(self._cards, Face.REGULAR, 10.0) + _CARDS_GAP
        title = typography.shortened(self.plain_title, Face.SEMIBOLD, 15.0, room)
        self.write(x, base, title, Face.SEMIBOLD, 15.0, node=self._heading)
        if self._reason is not None:
            self.place(self._reason, x, _REASON_BASE - first_baseline(typography.reason()), width - x)
        y = self._place_text(self._division.text if self.step.has_picture else _WIDE_TEXT)
        if self._picture is None:
            return y
        left, top = self._division.picture_left, _PICTURE_TOP
        high = self._picture.figure.height
        self.place(self._picture, left, top + max(0.0, y - top - high) / 2, width - left)
        return max(y, top + high)

    def _place_text(self, width: float) -> float:
        y = _FACTS_BASE - first_baseline(typography.text())
        if self._facts is not None:
            y += self.place(self._facts, 0.0, y, width) + _FACTS_GAP
        for caution in self._cautions:
            y += self.place(caution, 0.0, y, width) + _CAUTION_GAP
        y += self.place(self._actions, 0.0, y, width)
        for number, check in enumerate(self._checks):
            y += _CHECKS_GAP if number else _CHECK_GAP
            y += self.place(check, 0.0, y, width)
        return y
