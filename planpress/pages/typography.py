"""The type of the pages: which face, size and leading each kind of text has, as paragraph styles.

Sizes are in points, leadings in mm. A paragraph's first baseline lies `first_baseline(style)` mm below its top.
"""

from __future__ import annotations

import re
from functools import cache
from html import escape, unescape
from typing import Final

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle

from planpress.base.display import Face
from planpress.figures import style as figure_style
from planpress.pages.block import MM
from planpress.writers.pdf.fonts import Metrics, font_name, register_fonts

INK: Final = figure_style.INK
SECONDARY: Final = figure_style.SECONDARY
NO_BREAK: Final = "\u00a0"
TIMES: Final = "\u00d7"

#: ReportLab sets the first baseline of a paragraph this share of its size below the top (its setting
#: `paraFontSizeHeightOffset`).
_ASCENT = 1.0
#: Height of capitals and figures as a share of the size.
CAP_HEIGHT: Final = 0.66
_SHORT_WORD = 6
_TAGS = re.compile(r"</?[a-z][^>]*>")

MEASURE: Final = Metrics()


@cache
def paragraph_style(
    face: Face = Face.REGULAR, size: float = 10.0, leading: float = 4.5, colour: str = INK, indent: float = 0.0
) -> ParagraphStyle:
    """A style, ragged right and never hyphenated; leading and left indent in mm."""
    register_fonts()
    return ParagraphStyle(
        f"{face.value}-{size}-{leading}-{colour}-{indent}",
        fontName=font_name(face),
        fontSize=size,
        leading=leading * MM,
        textColor=HexColor(colour),
        leftIndent=indent * MM,
        splitLongWords=1,
        allowWidows=1,
        allowOrphans=1,
    )


def text() -> ParagraphStyle:
    """Running text: Regular 10 / 4.5."""
    return paragraph_style()


def caption() -> ParagraphStyle:
    """Remarks and captions: Regular 9.5 / 4.25 in secondary grey."""
    return paragraph_style(Face.REGULAR, 9.5, 4.25, SECONDARY)


def introduction() -> ParagraphStyle:
    """The cover's introduction: Regular 12 / 5.4 in secondary grey."""
    return paragraph_style(Face.REGULAR, 12.0, 5.4, SECONDARY)


def reason() -> ParagraphStyle:
    """Why a step comes here: Italic 10 / 4.5 in secondary grey."""
    return paragraph_style(Face.ITALIC, 10.0, 4.5, SECONDARY)


def section_heading() -> ParagraphStyle:
    """A heading within a page: Semibold 12."""
    return paragraph_style(Face.SEMIBOLD, 12.0, 5.4)


def first_baseline(style: ParagraphStyle) -> float:
    """Distance in mm from a paragraph's top to its first baseline."""
    return float(style.fontSize) * _ASCENT / MM


def leading_of(style: ParagraphStyle) -> float:
    """The leading in mm."""
    return float(style.leading) / MM


def cap_height(size: float) -> float:
    """Height in mm of capitals and figures set at `size` points."""
    return CAP_HEIGHT * size / MM


def width_of(line: str, face: Face, size: float) -> float:
    """Width in mm of one line of plain text."""
    return MEASURE.width(line, face, size)


def plain_markup(line: str) -> str:
    """Plain text as paragraph markup: the signs of markup escaped."""
    return escape(line, quote=False)


def without_markup(markup: str) -> str:
    """Paragraph markup as plain text, for page feet, bookmarks and alternative texts."""
    return unescape(_TAGS.sub("", markup))


def no_short_last_word(markup: str) -> str:
    """Binds the last word to the one before it if it has fewer than six letters, so that it never stands alone."""
    head, blank, last = markup.rstrip().rpartition(" ")
    letters = sum(c.isalnum() for c in without_markup(last))
    in_tag = head.rfind("<") > head.rfind(">")
    if not blank or letters >= _SHORT_WORD or in_tag:
        return markup.rstrip()
    return f"{head}{NO_BREAK}{last}"


def shortened(line: str, face: Face, size: float, width: float) -> str:
    """One line of plain text cut at a word and ended with an ellipsis, so that it fits `width` mm.

    A single word that is too wide is cut within.
    """
    if width_of(line, face, size) <= width:
        return line
    words = line.split(" ")
    for count in range(len(words) - 1, 0, -1):
        cut = " ".join(words[:count]).rstrip(",;:.\u2013-") + "\u2026"
        if width_of(cut, face, size) <= width:
            return cut
    first = words[0]
    while len(first) > 1 and width_of(first + "\u2026", face, size) > width:
        first = first[:-1]
    return first + "\u2026"


def wrapped(line: str, face: Face, size: float, width: float, lines: int) -> list[str]:
    """Plain text broken at spaces into at most `lines` lines of `width` mm; the last one is shortened if need be."""
    out: list[str] = []
    words = line.split(" ")
    while words and len(out) < lines - 1:
        count = 1
        while count < len(words) and width_of(" ".join(words[: count + 1]), face, size) <= width:
            count += 1
        out.append(shortened(" ".join(words[:count]), face, size, width))
        words = words[count:]
    if words:
        out.append(shortened(" ".join(words), face, size, width))
    return out
