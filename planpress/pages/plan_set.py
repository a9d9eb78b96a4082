"""Composing a plan set: all sheets in order, with page numbers that agree, as one PDF file."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any, Final

from attrs import asdict, evolve, frozen

from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.figures.ahead import FiguresAhead
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from planpress.pages import colophon, cover, joint_pages, part_pages, parts, reading, setup_pages, steps, template_pages
from planpress.pages.block import Block
from planpress.pages.context import Context, Drawings, PageNumbers, SectionPages, StepEntry
from planpress.pages.drawings import PlanDrawings
from planpress.pages.sheets import FileSettings, Sheet, write_sheets
from planpress.pages.step_entries import step_entries
from planpress.pages.texts import SUFFIX, Texts
from planpress.work import setups as work_setups
from planpress.work.steps import plan_steps
from planpress.writers.pdf.stamp import StampPlace

_MOST_ROUNDS: Final = 5


@frozen
class PageInfo:
    """One page of a finished set. `key`: its bookmark; `title`: as its foot names it; `what`: what exactly it shows."""

    number: int
    key: str
    title: str
    what: str


@frozen
class PlanSet:
    """A finished plan set.

    Attributes:
        pdf: the file's bytes. pages: in order. bookmarks: key -> page number.
        content_id: hash of what it was made from, as its colophon prints it.
        stamp: where copies are stamped.
    """

    pdf: bytes
    pages: tuple[PageInfo, ...]
    bookmarks: Mapping[str, int]
    content_id: str
    stamp: StampPlace

    @property
    def page_count(self) -> int:
        """Number of pages."""
        return len(self.pages)

    def stamp_record(self) -> dict[str, Any]:
        """The place of the stamp as plain values, for JSON."""
        return asdict(self.stamp)


def compose(
    plan: SolvedPlan,
    edition: Edition,
    solids: Solids,
    texts: Mapping[str, str],
    ahead: FiguresAhead | None = None,
) -> PlanSet:
    """The plan set of one edition.

    Args:
        solids: gives the finished solid of each piece. texts: template name -> text.
        ahead: gives figures that are drawn elsewhere.

    Raises:
        PlanFaults: if a text cannot be rendered, or the work waits for itself.
    """
    work = plan_steps(plan, edition, solids)
    drawings = PlanDrawings(plan, edition, solids, work, ahead)
    return compose_with(plan, edition, drawings, texts, step_entries(plan, work, Texts(texts, edition)))


def compose_with(
    plan: SolvedPlan,
    edition: Edition,
    drawings: Drawings,
    texts: Mapping[str, str],
    entries: Sequence[StepEntry],
) -> PlanSet:
    """The plan set from figures of any source.

    Raises:
        PlanFaults: if a text cannot be rendered.
        ValueError: if the page numbers do not settle, or a page does not hold what it is given.
    """
    identity = content_id(plan, edition, texts)
    words, cards = Texts(texts, edition), work_setups.setup_cards(plan)
    context = Context(plan, edition, drawings, words, tuple(entries), PageNumbers(), identity, cards)
    kept: Kept = {}
    for _ in range(_MOST_ROUNDS):
        sheets = all_sheets(context, kept)
        numbers = page_numbers(sheets)
        if numbers == context.pages:
            break
        context = evolve(context, pages=numbers)
    else:
        raise ValueError("the page numbers do not settle")
    description = plan.description
    written = write_sheets(
        [sheet for _, group in sheets for sheet in group],
        Block(edition.paper),
        FileSettings(
            title=f"{description.title}: {edition.name}",
            author=description.maker,
            subject=f"Plan set, version {description.version}, content {identity}",
            day=date.fromisoformat(description.date),
            accent=description.accent,
        ),
    )
    if written.place is None:
        raise ValueError("no page has a place for the stamp")
    return PlanSet(written.data, _page_infos(sheets), numbers.numbers, identity, written.place)


Groups = list[tuple[str, list[Sheet]]]
#: What composers gave in earlier rounds, with the page numbers they had asked for.
Kept = dict[str, tuple[Mapping[str, int], list[Sheet]]]


def all_sheets(context: Context, kept: Kept) -> Groups:
    """(title for the list on the cover, sheets) of each kind of page, in printed order.

    How to read is composed last, because it explains the signs that the others use. Pages whose references have not
    changed since an earlier round are taken as they are.
    """

    def composed(composer: Callable[[Context], list[Sheet]]) -> list[Sheet]:
        name = composer.__qualname__
        if name not in kept or not context.pages.answers(kept[name][0]):
            own = evolve(context, pages=evolve(context.pages, asked={}))
            kept[name] = (own.pages.asked, composer(own))
        return kept[name][1]

    # first what draws its own pictures, last the joints: the others' may still be under way in another process
    parts_sheets, steps_sheets = composed(parts.exploded_and_parts), composed(steps.steps)
    views_sheets, setup_sheets = composed(_views), composed(setup_pages.setup_cards)
    colophon_sheets = composed(colophon.colophon)
    drawing_sheets, template_sheets = composed(part_pages.part_drawings), composed(template_pages.templates)
    joint_sheets = composed(joint_pages.joint_pages)
    split = len(parts_sheets) > 1
    groups: Groups = [("Exploded view" if split else "View and parts table", parts_sheets[:1])]
    if split:
        groups.append(("Parts table", parts_sheets[1:]))
    groups.append(("Views", views_sheets))
    groups.append(("Part drawings", drawing_sheets))
    groups.append(("Joints", joint_sheets))
    groups.append(("Set-up cards", setup_sheets))
    groups.append(("Steps", steps_sheets))
    groups.append(("About this edition", colophon_sheets))
    groups.append(("Full-size templates", template_sheets))
    front: Groups = [("", [cover.cover(context)]), ("How to read it", [reading.how_to_read(context)])]
    return [(title, sheets) for title, sheets in [*front, *groups] if sheets]


def _views(context: Context) -> list[Sheet]:
    return [part_pages.views(context)]


def page_numbers(groups: Groups) -> PageNumbers:
    """Where every sheet, and everything marked on one, came to stand."""
    numbers: dict[str, int] = {}
    sections = []
    count = 0
    for title, sheets in groups:
        first = count + 1
        for sheet in sheets:
            count += 1
            for key in (sheet.key, *sheet.marks):
                if key in numbers:
                    raise ValueError(f"two places have the bookmark {key!r}")
                numbers[key] = count
        if title:
            sections.append(SectionPages(sheets[0].key, title, first, count))
    return PageNumbers(numbers, tuple(sections))


def content_id(plan: SolvedPlan, edition: Edition, texts: Mapping[str, str]) -> str:
    """A hash of everything the pages are made from, in hexadecimal."""
    digest = hashlib.sha256()
    description = plan.description
    words = (description.title, description.maker, description.version, description.date)
    for text in (
        *words,
        description.introduction,
        description.accent,
        *(caution.says for caution in description.cautions),
        repr(plan.parts),
        repr(plan.fasteners),
        repr(plan.joints),
        repr(plan.shop),
        edition.name,
        str(edition.length_grid),
        str(edition.joint_grid),
        *(f"{name}={value.value}" for name, value in plan.values.items()),
        *(f"{name}:{texts[name]}" for name in sorted(texts) if name.endswith(SUFFIX)),
    ):
        digest.update(text.encode() + b"\0")
    return digest.hexdigest()


def _page_infos(groups: Groups) -> tuple[PageInfo, ...]:
    sheets = [sheet for _, group in groups for sheet in group]
    return tuple(
        PageInfo(number, sheet.key, plain(sheet.foot.page), plain(sheet.foot.what))
        for number, sheet in enumerate(sheets, start=1)
    )
