"""Head and foot of every page.

The head names the page and what it is for; it is content (H1 and P). The foot is the title block: plan, page, edition,
version and "n of N"; it is an artifact, and holds the place of the personal stamp.
"""

from __future__ import annotations

from collections.abc import Sequence

from attrs import field, frozen

from planpress.base.display import Anchor, Face, Figure, Item, Path, Pen, Role, line, rectangle
from planpress.figures import style
from planpress.pages import block, typography
from planpress.pages.block import MM, Block
from planpress.pages.typography import first_baseline, shortened, width_of
from planpress.writers.pdf.canvas import TaggedCanvas
from planpress.writers.pdf.flowables import TaggedParagraph
from planpress.writers.pdf.structure import Node

BAR = (26.7, 1.2)
TITLE_BASE = 10.2
TITLE_WIDTH = 98.0
TITLE_SIZES = (24.0, 20.0)
_PURPOSE_AT = (104.0, 6.2)
_PURPOSE_WIDTH = 76.0
_PURPOSE_LOW = 17.0
_PURPOSE_LINES = 2

_DIVIDERS = (43.0, 89.0, 135.0, 160.0)
_DIVIDER = Pen(style.HAIR, style.GREY_2)
_FIRST_LINE, _SECOND_LINE, _NUMBER_LINE = 245.1, 249.9, 248.1
_CELL_CLEAR = 2.0
_FIRST_SIZE, _SECOND_SIZE, _NUMBER_SIZE = 9.5, 9.0, 20.0
#: The stamp's strip: from just below the foot's last line, still more than 10 mm from the edge of the paper.
STAMP_TOP = 251.0
STAMP_SIZE = (160.0, 3.3)


@frozen
class Head:
    """Title and purpose of a page, and how they fit.

    Attributes:
        titles: the title and shorter forms of it, longest first. purpose: markup, two lines at most.
        node: the page's section, to which H1 and P are added; None on a page that continues another (the head is then
            an artifact).
        title, size: what is printed; low: the purpose stands below the title.
    """

    titles: Sequence[str]
    purpose: str
    node: Node | None
    title: str = field(init=False)
    size: float = field(init=False)
    low: bool = field(init=False)
    _title_node: Node | None = field(init=False)
    _purpose_node: Node | None = field(init=False)

    def __attrs_post_init__(self) -> None:
        title, size, low = _fitted_title(self.titles)
        object.__setattr__(self, "title", title)
        object.__setattr__(self, "size", size)
        object.__setattr__(self, "low", low)
        object.__setattr__(self, "_title_node", self.node.add("H1") if self.node else None)
        object.__setattr__(self, "_purpose_node", self.node.add("P") if self.node and self.purpose else None)

    @property
    def content_top(self) -> float:
        """Where the contents begin, in block mm."""
        return block.CONTENT_TOP_LOW if self.low else block.CONTENT_TOP

    def draw(self, canvas: TaggedCanvas, where: Block, accent: str) -> None:
        """Draws rule, bar, title and purpose."""
        draw_bar(canvas, where, accent)
        x, y = where.point(0.0, TITLE_BASE)
        with canvas.tagged(self._title_node, "Header"):
            canvas.write(x, y, self.title, Face.LIGHT, self.size)
        if not self.purpose:
            return
        caption = typography.caption()
        left, base, width = (0.0, _PURPOSE_LOW, block.WIDTH) if self.low else (*_PURPOSE_AT, _PURPOSE_WIDTH)
        lines = TaggedParagraph(typography.no_short_last_word(self.purpose), caption, self._purpose_node)
        _, height = lines.wrap(width * MM, 1000.0)
        if round(height / caption.leading) > _PURPOSE_LINES:
            raise ValueError(f"the purpose of the page {self.title!r} takes more than two lines: {self.purpose!r}")
        x, y = where.point(left, base - first_baseline(caption))
        lines.drawOn(canvas, x, y - height)


def is_short_enough(purpose: str) -> bool:
    """True if a purpose stands beside a title without a third line."""
    caption = typography.caption()
    lines = TaggedParagraph(typography.no_short_last_word(purpose), caption, None)
    return bool(round(lines.wrap(_PURPOSE_WIDTH * MM, 1000.0)[1] / caption.leading) <= _PURPOSE_LINES)


def _fitted_title(titles: Sequence[str]) -> tuple[str, float, bool]:
    """(title, size, purpose below): the first form that fits beside the purpose, at the full or the smaller size."""
    for size in TITLE_SIZES:
        for title in titles:
            if width_of(title, Face.LIGHT, size) <= TITLE_WIDTH:
                return title, size, False
    size = TITLE_SIZES[-1]
    return shortened(titles[-1], Face.LIGHT, size, block.WIDTH), size, True


def draw_bar(canvas: TaggedCanvas, where: Block, accent: str) -> None:
    """The hairline over the full width with the accent bar hanging from it."""
    width, thickness = BAR
    items: tuple[Item, ...] = (
        line((0.0, 0.0), (block.WIDTH, 0.0), style.RULE_HAIR, Role.RULE),
        Path(rectangle(0.0, -thickness, width, thickness), None, accent, Role.RULE),
    )
    canvas.draw_figure(Figure(block.WIDTH, 0.0, items), *where.point(0.0, 0.0))


@frozen
class Foot:
    """What the foot of one page says.

    Attributes:
        plan, maker: first cell. page, what: second cell: the page's title and what exactly it shows.
        edition, scale: third cell. version, day: fourth cell; content_id is set behind the day if it fits.
    """

    plan: str
    maker: str
    page: str
    what: str
    edition: str
    scale: str
    version: str
    day: str
    content_id: str = ""

    def draw(self, canvas: TaggedCanvas, where: Block, number: int, count: int) -> None:
        """Draws rule, cells, page number and the place of the stamp as one artifact."""
        with canvas.artifact("Footer"):
            canvas.draw_figure(Figure(block.WIDTH, 0.0, _foot_lines()), *where.point(0.0, block.FOOT))
            dated = f"{self.day}, {self.content_id}" if self.content_id else self.day
            if width_of(dated, Face.REGULAR, _SECOND_SIZE) > _cell_width(3):
                dated = self.day
            cells = (
                (self.plan, self.maker),
                (self.page, self.what),
                (self.edition, self.scale),
                (self._version(), dated),
            )
            for index, (first, second) in enumerate(cells):
                width = _cell_width(index)
                for text, face, size, base in (
                    (first, Face.SEMIBOLD, _FIRST_SIZE, _FIRST_LINE),
                    (second, Face.REGULAR, _SECOND_SIZE, _SECOND_LINE),
                ):
                    at = where.point(block.COLUMNS[index], base)
                    canvas.write(*at, shortened(text, face, size, width), face, size)
            of = f"of\u00a0{count}"
            canvas.write(*where.point(block.WIDTH, _NUMBER_LINE), of, Face.REGULAR, 9.0, anchor=Anchor.END)
            before = block.WIDTH - width_of(of, Face.REGULAR, 9.0) - 1.4
            size = _NUMBER_SIZE
            while size > 10.0 and before - width_of(str(number), Face.SEMIBOLD, size) < _DIVIDERS[-1] + 1.0:
                size -= 1.0
            at = where.point(before, _NUMBER_LINE)
            canvas.write(*at, str(number), Face.SEMIBOLD, size, anchor=Anchor.END)
            canvas.place_stamp(*where.point(0.0, STAMP_TOP + STAMP_SIZE[1]))

    def _version(self) -> str:
        """With the word, if there is room for both."""
        words = f"Version {self.version}"
        return words if width_of(words, Face.SEMIBOLD, _FIRST_SIZE) <= _cell_width(3) else self.version


def _cell_width(index: int) -> float:
    return _DIVIDERS[index] - _CELL_CLEAR - block.COLUMNS[index]


def _foot_lines() -> tuple[Item, ...]:
    rule = line((0.0, 0.0), (block.WIDTH, 0.0), style.OUTLINE, Role.RULE)
    dividers = (line((x, -2.2), (x, -11.6), _DIVIDER, Role.RULE) for x in _DIVIDERS)
    return (rule, *dividers)


def written_day(iso: str) -> str:
    """ "12 May 2026" for "2026-05-12"; other texts stay as they are."""
    parts = iso.split("-")
    if len(parts) != 3 or not all(part.isdigit() for part in parts) or not 1 <= int(parts[1]) <= 12:
        return iso
    return f"{int(parts[2])}\u00a0{_MONTHS[int(parts[1]) - 1]}\u00a0{parts[0]}"


_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
