"""The cover: title, introduction, picture, four facts, what the set holds, and a hint to check the print."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from attrs import frozen

from planpress.base.display import Face
from planpress.base.printing import write_length, write_mass, write_time
from planpress.figures import style
from planpress.pages import block, typography
from planpress.pages.context import Context, SectionPages
from planpress.pages.elements import Element
from planpress.pages.notes import Caution, paragraph
from planpress.pages.sheets import Column, Sheet
from planpress.pages.step_entries import caution_markup
from planpress.pages.typography import NO_BREAK, SECONDARY, TIMES, first_baseline, shortened, width_of, wrapped
from planpress.pages.wording import capital, counted, number_range
from planpress.writers.pdf.flowables import FigureFlowable, TaggedParagraph
from planpress.writers.pdf.structure import Node

KEY: Final = "cover"

_TITLE_SIZES = (48.0, 40.0, 34.0)
_TITLE_WIDTH = 130.0
_TITLE_BASE = 29.0
_TWO_LINE_SIZES = (28.0, 24.0, 20.0)
_TWO_LINE_BASES = (19.0, 30.0)
_INTRODUCTION_BASE, _INTRODUCTION_WIDTH = 39.5, 128.0
_ABOVE_CAUTION = 3.2
_PICTURE = (172.0, 142.0)
_PICTURE_CENTRE = (90.0, 126.0)
_WHITE = 6.0
_FACTS_RULE = 205.0
_FACT_BASES = (211.2, 218.4, 224.0)
_VARIANT_BASE, _HINT_BASE = 230.75, 235.0
_CONTENTS_AT = block.COLUMNS[3]
_CONTENTS_TITLE = 11.0  # from the page numbers to the titles
_CONTENTS_STEP = 4.5
_CONTENTS_MOST = 9
_CONTENTS_STYLE = typography.paragraph_style(Face.REGULAR, 9.5, 4.25)


@frozen
class Fact:
    """One of the four facts: label, value, and a second line."""

    label: str
    value: str
    more: str


def cover(context: Context) -> Sheet:
    """The cover's sheet."""
    section = Node("Sect")
    foot = context.foot("Cover", _species(context), "Not to scale")
    column = Column(0.0, 0.0, block.WIDTH, _HINT_BASE + 1.0, (_Front(context, section),))
    return Sheet(KEY, section, None, foot, [column], outline=context.plan.description.title)


def facts(context: Context) -> tuple[Fact, ...]:
    """Up to four facts, the overall size first; what the plan does not say is left out."""
    plan = context.plan
    out = [Fact("Overall size", _overall(context), "long, deep, high")]
    minutes = sum(step.minutes for step in context.steps)
    if minutes:
        out.append(Fact("Time", f"{work_time(minutes)} of work", _waiting(context)))
    if plan.description.skill is not None:
        out.append(Fact("Skill", plan.description.skill.says, plan.description.skill.more))
    pieces = sum(part.count for part in plan.parts)
    bought = sum(fastener.count for fastener in plan.fasteners)
    more = f"and {counted(bought, 'fastener')}" if bought else counted(len(plan.parts), "unlike part")
    out.append(Fact("Parts", counted(pieces, "piece"), more))
    if plan.mass is not None:
        mass = write_mass(_exact(plan.mass), context.edition.units)
        out.append(Fact("Weight", f"about {mass}", "of wood alone"))
    return tuple(out[:4])


def _exact(value: float) -> Fraction:
    return Fraction(value).limit_denominator(1000)


def _overall(context: Context) -> str:
    sizes = [write_length(size, context.edition.length_grid, mark_off_grid=False) for size in context.plan.overall]
    unit = "mm" if context.edition.is_metric else "in"
    return f"{NO_BREAK}{TIMES}{NO_BREAK}".join(sizes) + f"{NO_BREAK}{unit}"


def work_time(minutes: int) -> str:
    """Estimated work: quarters of an hour below two hours, half hours below four, whole hours above."""
    if minutes < 60:
        return write_time(Fraction(max(5, 5 * round(minutes / 5))))
    step = 15 if minutes < 120 else 30 if minutes < 240 else 60
    return write_time(Fraction(step * round(minutes / step)))


def _waiting(context: Context) -> str:
    """The longest wait, in words."""
    longest = max((step.waiting for step in context.steps), default=0)
    return f"and waits up to {write_time(Fraction(longest))}" if longest else "estimated"


def _species(context: Context) -> str:
    names = dict.fromkeys(material.species for material in context.plan.materials if material.species)
    return capital(", ".join(names))


class _Front(Element):
    """Everything on the cover but the foot, in block coordinates."""

    def __init__(self, context: Context, section: Node) -> None:
        super().__init__()
        self._context = context
        description = context.plan.description
        self._title, self._title_node = description.title, section.add("H1")
        self._maker, self._maker_node = description.maker, section.add("P")
        introduction = context.texts.of_maker(
            description.introduction, context.plan.values, "introduction", description.introduction_place
        )
        self._introduction = paragraph(
            typography.plain_markup(introduction), typography.introduction(), section.add("P")
        )
        self._cautions = [
            Caution(caution_markup(context.plan, caution, context.texts), section.add("P"))
            for caution in description.cautions
        ]
        self._picture_node = section.add("Figure")
        fact_list = section.add("L")
        self._facts = [(fact, *fact_list.list_item()) for fact in facts(context)]
        self._contents = _Contents(context.pages.sections, section)
        self._hints = []
        if context.is_computed_variant:
            self._hints.append(
                TaggedParagraph(context.text("cover", "variant"), typography.caption(), section.add("P"))
            )
        hint = context.text("cover", "print_hint", unit_name=context.edition.unit_name)
        self._hints.append(TaggedParagraph(hint, typography.caption(), section.add("P")))

    def lay_out(self, width: float) -> float:
        """From the maker's name down to the print hint."""
        self.write(0.0, 7.2, self._maker, Face.SEMIBOLD, 11.0, node=self._maker_node)
        self._place_title()
        top = _INTRODUCTION_BASE - first_baseline(typography.introduction())
        bottom = top + self.place(self._introduction, 0.0, top, _INTRODUCTION_WIDTH)
        self.place(self._contents, _CONTENTS_AT, 0.0, block.COLUMN)
        for caution in self._cautions:
            bottom += _ABOVE_CAUTION
            bottom += self.place(caution, 0.0, bottom, _INTRODUCTION_WIDTH)
        self._place_picture(bottom + _WHITE)
        self._place_facts(width)
        caption = typography.caption()
        for base, line in zip((_HINT_BASE, _VARIANT_BASE), reversed(self._hints), strict=False):
            self.place(line, 0.0, base - first_baseline(caption), width)
        return _HINT_BASE + 1.0

    def _place_title(self) -> None:
        for size in _TITLE_SIZES:
            if width_of(self._title, Face.LIGHT, size) <= _TITLE_WIDTH:
                shift = -0.8 * size / _TITLE_SIZES[0]
                self.write(shift, _TITLE_BASE, self._title, Face.LIGHT, size, node=self._title_node)
                return
        size = next((size for size in _TWO_LINE_SIZES if self._fits_two_lines(size)), _TWO_LINE_SIZES[-1])
        lines = wrapped(self._title, Face.LIGHT, size, _TITLE_WIDTH, 2)
        for line, base in zip(lines, _TWO_LINE_BASES, strict=False):
            self.write(-0.5, base, line, Face.LIGHT, size, node=self._title_node)

    def _fits_two_lines(self, size: float) -> bool:
        return " ".join(wrapped(self._title, Face.LIGHT, size, _TITLE_WIDTH, 2)) == self._title

    def _place_picture(self, top: float) -> None:
        """The picture in its frame; where the introduction is long, in what is left of it and of cautions."""
        width, height = _PICTURE
        above = max(_PICTURE_CENTRE[1] - height / 2, top)
        bottom = _PICTURE_CENTRE[1] + height / 2
        figure = self._context.drawings.hero(width, bottom - above)
        self._context.signs.see(figure)
        x = _PICTURE_CENTRE[0] - figure.width / 2
        y = (above + bottom - figure.height) / 2
        self.place(FigureFlowable(figure, self._picture_node), x, y, figure.width)

    def _place_facts(self, width: float) -> None:
        self.rule(0.0, _FACTS_RULE, width, _FACTS_RULE, style.RULE_HAIR)
        for x, (fact, label, body) in zip(block.COLUMNS, self._facts, strict=False):
            for base, text, face, size, colour, node in (
                (_FACT_BASES[0], fact.label, Face.REGULAR, 9.5, SECONDARY, label),
                (_FACT_BASES[1], fact.value, Face.SEMIBOLD, 13.0, typography.INK, body),
                (_FACT_BASES[2], fact.more, Face.REGULAR, 11.0, typography.INK, body),
            ):
                line = shortened(text, face, size, block.COLUMN)
                self.write(x, base, line, face, size, colour=colour, node=node)


class _Contents(Element):
    """What the set holds: a list with page numbers that leads to the pages."""

    def __init__(self, sections: Sequence[SectionPages], section: Node) -> None:
        super().__init__()
        self._label_node = section.add("P")
        contents = section.add("TOC")
        self._entries: list[tuple[str, Node, TaggedParagraph]] = []
        for one in sections[:_CONTENTS_MOST]:
            item = contents.add("TOCI")
            numbers = number_range(range(one.first, one.last + 1))
            title = typography.plain_markup(shortened(one.title, Face.REGULAR, 9.5, block.COLUMN - _CONTENTS_TITLE))
            link = TaggedParagraph(f'<a href="#{one.key}">{title}</a>', _CONTENTS_STYLE, item.add("P"))
            self._entries.append((numbers, item.add("Lbl"), link))

    def lay_out(self, width: float) -> float:
        """A label, then a line for each kind of page."""
        self.write(0.0, 7.2, "What you get", size=9.5, colour=SECONDARY, node=self._label_node)
        base = 7.2
        for numbers, label, link in self._entries:
            base += _CONTENTS_STEP
            self.write(0.0, base, numbers, Face.SEMIBOLD, 9.5, node=label)
            y = base - first_baseline(_CONTENTS_STYLE)
            self.place(link, _CONTENTS_TITLE, y, width - _CONTENTS_TITLE)
        return base + 1.0
