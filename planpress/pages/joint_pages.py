"""The joint details: for each unlike joint a row with pictures apart, closed and in section, and notes beside them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from planpress.base.display import Anchor, Face
from planpress.figures.joint_details import JointDetail
from planpress.figures.scales import scale_words
from planpress.pages import block, typography
from planpress.pages.chrome import Head
from planpress.pages.context import Context
from planpress.pages.elements import Element, height_of
from planpress.pages.notes import HeadingRow, Note, Sign, paragraph
from planpress.pages.part_pages import part_key
from planpress.pages.sheets import Column, Sheet
from planpress.pages.typography import SECONDARY, plain_markup, width_of
from planpress.pages.wording import capital, lower_first, number_range, plural
from planpress.writers.pdf.structure import Node

KEY: Final = "joints"

_MIDDLE = 68.0  # column of the closed joint and its section
_NOTES_X = 138.0
_NOTES_WIDTH = 42.0
_BELOW_HEADING = 2.0
_CAPTION = 5.6  # from a figure to below its caption
_CAPTION_BASE = 4.0
_CAPTION_SIZE = 10.0
_BETWEEN = 3.4  # the closed joint and its section
_NOTE_GAP = 2.0
_WHITE, _LEAST_WHITE = 12.0, 2.0
#: Title and places share a heading's line if this much (mm) is left between them.
_APART = 8.0


def joint_pages(context: Context) -> list[Sheet]:
    """All joint details, two or three on a page as they have room."""
    details = context.drawings.joints()
    room = block.CONTENT_BOTTOM - block.CONTENT_TOP
    pages: list[list[tuple[int, JointDetail]]] = []
    free = 0.0
    for number, detail in enumerate(details):
        high = height_of(_JointRow(context, detail, Node("Sect")), block.WIDTH)
        if not pages or high + _LEAST_WHITE > free:
            pages.append([])
            free = room + _LEAST_WHITE
        pages[-1].append((number, detail))
        free -= high + _LEAST_WHITE
    return [_sheet(context, page, number) for number, page in enumerate(pages)]


def joint_key(number: int) -> str:
    """The bookmark of a joint's detail, counted from 1."""
    return f"joint-{number}"


def _sheet(context: Context, page: Sequence[tuple[int, JointDetail]], before: int) -> Sheet:
    section = Node("Sect")
    glued = any(note.rest.startswith("Glue") for _, detail in page for note in detail.notes)
    head = Head(("Joints",), context.text("joints", "purpose", glued=glued), section)
    rows = [_JointRow(context, detail, section.add("Sect")) for _, detail in page]
    heights = [height_of(row, block.WIDTH) for row in rows]
    room = block.CONTENT_BOTTOM - head.content_top
    white = min(_WHITE, (room - sum(heights)) / max(1, len(rows) - 1)) if len(rows) > 1 else 0.0
    columns, marks = [], {}
    y = head.content_top
    for (number, detail), row in zip(page, rows, strict=True):
        columns.append(Column.filled(0.0, y, block.WIDTH, (row,)))
        marks[joint_key(number + 1)] = (f"{detail.title}, {' and '.join(detail.letters)}", y)
        y = columns[-1].bottom + white
    titles = list(dict.fromkeys(detail.title.split(",")[0] for _, detail in page))
    what = capital(", ".join(lower_first(title) for title in titles))
    foot = context.foot("Joints", what, "Scale as marked")
    key = KEY if before == 0 else f"{KEY}-{before + 1}"
    return Sheet(key, section, head, foot, columns, "Joints" if before == 0 else "", marks=marks)


def _drawn_on(context: Context, letters: Sequence[str]) -> str:
    """ "page 5", "pages 6-8": where the drawings of these parts are."""
    numbers = sorted({context.pages.of(part_key(letter)) for letter in letters})
    return f"{plural('page', len(numbers))}\u00a0{number_range(numbers)}"


class _JointRow(Element):
    """One joint: heading; apart, closed above its section, notes."""

    def __init__(self, context: Context, detail: JointDetail, section: Node) -> None:
        super().__init__()
        signs = [Sign(letter) for letter in dict.fromkeys(detail.letters)]
        if len(signs) == 1:
            signs *= 2
        room = block.WIDTH - len(signs) * 12.0 - width_of(detail.title, Face.SEMIBOLD, 15.0) - _APART
        fits = width_of(detail.where, Face.REGULAR, 11.0) <= room
        self._heading = HeadingRow(signs, detail.title, (detail.where,) if fits else (), section.add("H2"))
        self._figures = [
            (context.picture(figure, section.add("Figure")), words, section.add("P"))
            for figure, words in (
                (detail.apart, f"Apart, {detail.side}" if detail.side else "Apart"),
                (detail.closed, "Closed"),
                (detail.section, f"Section, {scale_words(detail.section.scale or 1)}"),  # type: ignore[arg-type]
            )
        ]
        texts = [] if fits else [f"<b>{plain_markup(detail.where)}.</b>"]
        texts += [
            f"<b>{plain_markup(note.bold)}</b> {plain_markup(note.rest)}".strip() for note in detail.notes if note.bold
        ]
        grey = [plain_markup(note.rest) for note in detail.notes if not note.bold]
        grey.append(context.text("joints", "more", pages=_drawn_on(context, detail.parts)))
        contents = [paragraph(text, typography.text(), section.add("P")) for text in texts]
        contents += [paragraph(text, typography.caption(), section.add("P")) for text in grey]
        self._note = Note(contents, context.accent, _NOTE_GAP)

    def lay_out(self, width: float) -> float:
        """Apart at the left, closed and section in the middle, notes at the right; all begin below the heading."""
        top = self.place(self._heading, 0.0, 0.0, width) + _BELOW_HEADING
        (apart, _, _), (closed, _, _), (section, _, _) = self._figures
        middle = closed.figure.height + section.figure.height + 2 * _CAPTION + _BETWEEN
        high = max(apart.figure.height + _CAPTION, middle)
        self._picture(0, 0.0, top + (high - apart.figure.height - _CAPTION) / 2, apart.figure.width)
        self._picture(1, _MIDDLE, top, closed.figure.width)
        aside = (closed.figure.width - section.figure.width) / 2
        self._picture(2, _MIDDLE + aside, top + high - section.figure.height - _CAPTION, section.figure.width)
        notes = self.place(self._note, _NOTES_X, top + 3.0, _NOTES_WIDTH) + 3.0
        return top + max(high, notes)

    def _picture(self, number: int, x: float, y: float, width: float) -> None:
        picture, words, node = self._figures[number]
        self.place(picture, x, y, width)
        base = y + picture.figure.height + _CAPTION_BASE
        self.write(
            x + width / 2, base, words, Face.ITALIC, _CAPTION_SIZE, colour=SECONDARY, anchor=Anchor.MIDDLE, node=node
        )
