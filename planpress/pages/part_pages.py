"""The views, and the part drawings: as many parts on a page as fit; a part goes on on the next page if it must."""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from attrs import frozen

from planpress.figures.scales import ratio
from planpress.model.records import Part
from planpress.pages import block
from planpress.pages.chrome import Head
from planpress.pages.context import Context
from planpress.pages.elements import Element, height_of
from planpress.pages.part_rows import ROW_WHITE, PartRows, continued_heading, part_rows, part_strips
from planpress.pages.sheets import Column, Sheet
from planpress.pages.wording import capital, in_text, listed
from planpress.writers.pdf.structure import Node

VIEWS_KEY = "views"
PARTS_KEY = "part-drawings"

#: White above the views as a share of what is left of the page.
_TOP_SHARE = 0.4
#: White above a part: preferred, least.
_PART_WHITE: Final = (14.0, 7.0)
#: What a page costs, and what its faults add to it: a part that goes on on the next page, one drawn at a smaller scale,
#: paper left empty beyond a share of the page (not of the last one), by that share.
_PAGE, _BROKEN, _SMALLER, _EMPTY = 1.0, 0.45, 0.08, 1.2
_FREE_SHARE: Final = 0.2


def views(context: Context) -> Sheet:
    """The sheet of the three views."""
    section = Node("Sect")
    head = Head(("Views",), context.text("views", "purpose"), section)
    drawing = context.drawings.views()
    picture = context.picture(drawing.figure, section.add("Figure"))
    top = head.content_top + _TOP_SHARE * (block.CONTENT_BOTTOM - head.content_top - drawing.figure.height)
    column = Column.filled(0.0, top, block.WIDTH, (picture,))
    what = capital(", ".join(name.lower() for name in drawing.names))
    foot = context.foot("Views", what, f"Scale {ratio(drawing.scale)}")
    return Sheet(VIEWS_KEY, section, head, foot, [column], "Views")


def part_drawings(context: Context) -> list[Sheet]:
    """All part drawings in order of letters."""
    parts = [_Choice.of(context, part) for part in context.plan.parts]
    sections: dict[str, Node] = {}
    strips: dict[str, list[Element]] = {}
    sheets: list[Sheet] = []
    for page in _divided(parts):
        shown = [stretch.choice.part for stretch in page.stretches]
        begun = [stretch.choice.part for stretch in page.stretches if stretch.start == 0]
        section = Node("Sect") if begun else sheets[-1].node
        titles, purpose = _titles(shown), _purpose(context, shown)
        head = Head(titles, purpose, section if begun else None)
        for stretch in page.stretches:
            letter = stretch.choice.part.letter
            if stretch.start == 0:
                sections[letter] = section.add("Sect")
                strips[letter] = part_strips(context, stretch.rows, sections[letter])
        columns: list[Column] = []
        marks = _placed(page, strips, head.content_top, columns)
        sheets.append(
            Sheet(
                f"{PARTS_KEY}-{len(sheets) + 1}",
                section,
                head,
                context.foot("Part drawings", _names(shown), "Scale as marked"),
                columns,
                head.title if begun else "",
                marks=marks,
            )
        )
    return sheets


def part_key(letter: str) -> str:
    """The bookmark of a part's drawing."""
    return f"part-{letter}"


@frozen
class _Choice:
    """A part, and the ways to draw it: as large as can be, then smaller ones that take less room."""

    part: Part
    ways: tuple[PartRows, ...]

    @classmethod
    def of(cls, context: Context, part: Part) -> _Choice:
        """All ways to draw a part."""
        drawing = context.drawings.part(part.letter)
        ways = [part_rows(context, drawing)]
        for smaller in drawing.smaller:
            way = part_rows(context, smaller)
            if way.height < ways[-1].height:
                ways.append(way)
        return cls(part, tuple(ways))


@frozen
class _Stretch:
    """The strips [start, end) of a part on one page."""

    choice: _Choice
    rows: PartRows
    start: int
    end: int

    @property
    def is_whole(self) -> bool:
        """True if all of the part is on the page."""
        return self.start == 0 and self.end == len(self.rows.heights)

    @property
    def smaller(self) -> _Stretch | None:
        """The same part drawn the next way; None if it is not whole or there is none."""
        at = self.choice.ways.index(self.rows) + 1
        if not self.is_whole or at == len(self.choice.ways):
            return None
        rows = self.choice.ways[at]
        return _Stretch(self.choice, rows, 0, len(rows.heights))

    @property
    def smallest(self) -> _Stretch:
        """The same, if it is whole, drawn in the way that takes least room."""
        rows = self.choice.ways[-1]
        return _Stretch(self.choice, rows, 0, len(rows.heights)) if self.is_whole else self

    @property
    def heading(self) -> float:
        """Height of the heading that tells that the part goes on."""
        return height_of(continued_heading(self.rows.drawing), block.WIDTH) if self.start else 0.0

    @property
    def height(self) -> float:
        """With the least white."""
        shown = self.rows.heights[self.start : self.end]
        return self.heading + sum(shown) + ROW_WHITE[1] * (len(shown) - 1)


@frozen
class _Page:
    """What a page holds, and what it costs."""

    stretches: tuple[_Stretch, ...]
    cost: float


def _divided(parts: Sequence[_Choice]) -> list[_Page]:
    """The division into pages that costs least: few pages, few parts broken, few made smaller, little paper empty.

    Raises:
        ValueError: if a strip is higher than a page.
    """

    @functools.cache
    def best(number: int, way: int, strip: int) -> tuple[float, tuple[_Page, ...]]:
        """Cost and pages from a strip of a part on; a part that goes on is drawn as it began."""
        if number == len(parts):
            return 0.0, ()
        found: list[tuple[float, tuple[_Page, ...]]] = []
        for stretches, following in _fillings(parts, number, way, strip):
            page = _page(stretches, is_last=following[0] == len(parts))
            if page is not None:
                rest, pages = best(*following)
                found.append((page.cost + rest, (page, *pages)))
        if not found:
            raise ValueError(f"a drawing of part {parts[number].part.letter} is higher than a page")
        return min(found, key=lambda one: round(one[0], 6))

    return list(best(0, 0, 0)[1])


def _fillings(
    parts: Sequence[_Choice], number: int, way: int, strip: int
) -> Iterator[tuple[list[_Stretch], tuple[int, int, int]]]:
    """What a page may hold that begins with a strip of a part, and where the next page then begins.

    At most one part begins and is not finished.
    """
    start = number
    before: list[_Stretch] = []
    if strip:
        rows = parts[number].ways[way]
        for end in range(strip + 1, len(rows.heights)):
            yield [_Stretch(parts[number], rows, strip, end)], (number, way, end)
        before = [_Stretch(parts[number], rows, strip, len(rows.heights))]
        start += 1
        yield before, (start, 0, 0)
    for at in range(start, len(parts)):
        choice = parts[at]
        for drawn, rows in enumerate(choice.ways):
            for end in range(1, len(rows.heights)):
                yield [*before, _Stretch(choice, rows, 0, end)], (at, drawn, end)
        before = [*before, _Stretch(choice, choice.ways[0], 0, len(choice.ways[0].heights))]
        least = _height([one.smallest for one in before])
        yield before, (at + 1, 0, 0)
        if least > block.CONTENT_BOTTOM - block.CONTENT_TOP:
            return


def _page(wanted: Sequence[_Stretch], *, is_last: bool) -> _Page | None:
    """A page with these stretches, whole parts made smaller as needed; None if they do not fit."""
    room = block.CONTENT_BOTTOM - Head(_titles([one.choice.part for one in wanted]), "", None).content_top
    stretches = list(wanted)
    while (used := _height(stretches)) > room:
        ways = [(one.height - one.smaller.height, number) for number, one in enumerate(stretches) if one.smaller]
        if not ways:
            return None
        number = max(ways)[1]
        stretches[number] = stretches[number].smaller or stretches[number]
    cost = _PAGE + sum(_SMALLER * one.choice.ways.index(one.rows) for one in stretches if one.start == 0)
    cost += _BROKEN if stretches[-1].end < len(stretches[-1].rows.heights) else 0.0
    empty = max(0.0, 1.0 - used / room - _FREE_SHARE)
    return _Page(tuple(stretches), cost + (0.0 if is_last else _EMPTY * empty))


def _height(stretches: Sequence[_Stretch]) -> float:
    return sum(one.height for one in stretches) + _PART_WHITE[1] * (len(stretches) - 1)


def _placed(
    page: _Page, strips: Mapping[str, Sequence[Element]], top: float, columns: list[Column]
) -> dict[str, tuple[str, float]]:
    """Puts a page's strips into columns, with as much of the preferred white as there is room for; gives its marks."""
    rows = sum(one.end - one.start - 1 for one in page.stretches)
    wish = rows * (ROW_WHITE[0] - ROW_WHITE[1]) + (len(page.stretches) - 1) * (_PART_WHITE[0] - _PART_WHITE[1])
    free = block.CONTENT_BOTTOM - top - _height(page.stretches)
    share = min(1.0, max(0.0, free / wish)) if wish else 0.0
    row_white, part_white = (least + share * (best - least) for best, least in (ROW_WHITE, _PART_WHITE))
    marks: dict[str, tuple[str, float]] = {}
    y = top
    for number, stretch in enumerate(page.stretches):
        y += part_white if number else 0.0
        letter = stretch.choice.part.letter
        if stretch.start == 0:
            marks[part_key(letter)] = ("", y)
        else:
            columns.append(Column.filled(0.0, y, block.WIDTH, (continued_heading(stretch.rows.drawing),)))
            y += columns[-1].height
        for count, strip in enumerate(strips[letter][stretch.start : stretch.end]):
            y += row_white if count else 0.0
            columns.append(Column.filled(0.0, y, block.WIDTH, (strip,)))
            y += columns[-1].height
    return marks


def _purpose(context: Context, parts: Sequence[Part]) -> str:
    notched = any(part.notches for part in parts)
    return context.text("parts", "drawing_purpose" if notched else "drawing_purpose_plain")


def _titles(parts: Sequence[Part]) -> tuple[str, ...]:
    """ "Slat A and bearer B", and a shorter form."""
    full = capital(listed([f"{in_text(part.label)} {part.letter}" for part in parts]))
    letters = listed([part.letter for part in parts])
    return (full, f"Parts {letters}" if len(parts) > 1 else f"Part {letters}")


def _names(parts: Sequence[Part]) -> str:
    return capital(", ".join(f"{in_text(part.label)} {part.letter}" for part in parts))
