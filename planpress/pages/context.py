"""What all composers of pages share: the plan, its edition, figures, texts, and where the other pages are.

Pages refer to each other ("set-up card on page 7"), and the cover lists them all. Composing is therefore repeated
with the page numbers of the round before until they no longer change; only then is anything drawn.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from attrs import define, field, frozen

from planpress.base.display import Figure, Role, Text
from planpress.base.edition import Edition
from planpress.base.printing import ABOUT
from planpress.figures.joint_details import JointDetail
from planpress.figures.part_drawing import PartDrawing
from planpress.figures.templates import Template
from planpress.figures.views import Views
from planpress.model.records import SolvedPlan
from planpress.pages.chrome import Foot, written_day
from planpress.pages.elements import Picture
from planpress.pages.texts import Texts
from planpress.pages.typography import NO_BREAK
from planpress.work.setup_card import SetupCard
from planpress.writers.pdf.structure import Node

#: Stands for a page that is not known in the first round.
_UNKNOWN_PAGE = 9


@frozen
class StepEntry:
    """What the page says of one step. Texts are paragraph markup.

    Attributes:
        number: from 1. title. stage: the group of steps it belongs to, the page's title.
        reason: why it comes here, "" if that is plain. facts: (label, text) such as Parts, Tools, Time.
        cautions: the maker's own first. actions: in order. checks: what to check.
        has_picture: whether `Drawings.step` gives a picture of it.
        minutes: of work; waiting: minutes to wait after it; 0 if not known.
        cards: numbers of the set-up cards for it.
    """

    number: int
    title: str
    stage: str
    reason: str
    facts: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    actions: tuple[str, ...]
    checks: tuple[str, ...]
    has_picture: bool = False
    minutes: int = 0
    waiting: int = 0
    cards: tuple[int, ...] = ()


class Drawings(Protocol):
    """Gives the figures of one edition; sizes in mm. Each is drawn once and kept: pages are composed repeatedly."""

    def hero(self, width: float, height: float) -> Figure:
        """The cover's picture."""
        ...

    def places(self, width: float, height: float) -> Figure:
        """The words for places: left, right, front, back."""
        ...

    def exploded(self, width: float, height: float) -> Figure:
        """The exploded view with balloons."""
        ...

    def views(self) -> Views:
        """Front, side and top view."""
        ...

    def part(self, letter: str) -> PartDrawing:
        """One part's drawing."""
        ...

    def joints(self) -> Sequence[JointDetail]:
        """Details of all unlike joints."""
        ...

    def step(self, number: int, width: float, height: float) -> Figure:
        """The picture of a step that has one."""
        ...

    def templates(self) -> Sequence[Template]:
        """All full-scale templates."""
        ...


@frozen
class SectionPages:
    """A kind of page with the numbers of its first and last page, for the list on the cover; `key`: of the first."""

    key: str
    title: str
    first: int
    last: int


@frozen
class PageNumbers:
    """Where everything is, as found in the last round.

    Attributes:
        numbers: bookmark -> page; empty in the first round. sections: of the list on the cover.
        asked: every answer given so far; pages that would get the same answers need not be composed again.
    """

    numbers: Mapping[str, int] = field(factory=dict)
    sections: tuple[SectionPages, ...] = ()
    asked: dict[str, int] = field(factory=dict, eq=False, repr=False)

    def of(self, key: str) -> int:
        """The page a bookmark is on.

        Raises:
            KeyError: if there is none, from the second round on.
        """
        page = self.numbers[key] if self.numbers else _UNKNOWN_PAGE
        self.asked[key] = page
        return page

    def answers(self, asked: Mapping[str, int]) -> bool:
        """True if everything that was asked would get the same answer."""
        return all(page == (self.numbers.get(key) if self.numbers else _UNKNOWN_PAGE) for key, page in asked.items())


@define
class Signs:
    """Which signs the pages use; the legend explains those only."""

    roles: list[Role] = field(factory=list)
    words: list[str] = field(factory=list)

    def see(self, figure: Figure) -> None:
        """Notes the signs of a figure."""
        for item in figure.items:
            if item.role not in self.roles:
                self.roles.append(item.role)
            if isinstance(item, Text):
                self.see_text(item.string)

    def see_text(self, text: str) -> None:
        """Notes the signs in a text."""
        for sign in ("\u2248",):
            if sign in text and sign not in self.words:
                self.words.append(sign)

    @property
    def about(self) -> bool:
        """True if a value that is not on the grid is printed somewhere."""
        return ABOUT[0] in self.words


@frozen
class Context:
    """What composers work with.

    Attributes:
        plan, edition, drawings, texts: of this edition. steps: in order, may be empty.
        pages: where other pages are. content_id: hash of everything the pages are made from.
        cards: the set-up cards.
        signs: fills as pages are composed.
    """

    plan: SolvedPlan
    edition: Edition
    drawings: Drawings
    texts: Texts
    steps: tuple[StepEntry, ...]
    pages: PageNumbers
    content_id: str
    cards: tuple[SetupCard, ...] = ()
    signs: Signs = field(factory=Signs)

    @property
    def accent(self) -> str:
        """The maker's colour."""
        return self.plan.description.accent

    def page(self, key: str) -> str:
        """A page in words, never broken: "page 7"."""
        return f"page{NO_BREAK}{self.pages.of(key)}"

    def text(self, name: str, block: str, /, **values: object) -> str:
        """A block of the texts; `page` and the plan's counts are always at hand."""
        return self.texts.block(name, block, page=self.page, plan=self.plan, **values)

    def foot(self, page: str, what: str, scale: str) -> Foot:
        """The foot of a page with this title."""
        description = self.plan.description
        return Foot(
            plan=description.title,
            maker=description.maker,
            page=page,
            what=what,
            edition=self.edition.name,
            scale=scale,
            version=description.version,
            day=written_day(description.date),
            content_id=self.content_id[:6],
        )

    def picture(self, figure: Figure, node: Node, x: float = 0.0) -> Picture:
        """A figure as content of its node."""
        self.signs.see(figure)
        return Picture(figure, node, x)

    @property
    def has_fractions(self) -> bool:
        """True if lengths are printed as fractions of an inch."""
        return not self.edition.is_metric

    @property
    def is_computed_variant(self) -> bool:
        """True if the edition differs from what the maker wrote down as the plan itself."""
        return bool(self.plan.size or self.plan.changed)
