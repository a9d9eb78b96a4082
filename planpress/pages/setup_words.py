"""The words of a set-up card: how pieces lie, what is between, which rows and notes it has."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from planpress.base.printing import write_angle
from planpress.figures.setup_picture import equation
from planpress.model.records import Part, Side
from planpress.pages.chrome import is_short_enough
from planpress.pages.context import Context
from planpress.pages.setup_elements import MOST_TICKS, StopLine
from planpress.pages.typography import NO_BREAK, without_markup
from planpress.pages.wording import capital, in_text, in_words, listed, lower_first, plural
from planpress.work.guidance import HANDS_OFF
from planpress.work.saying import Say
from planpress.work.setup_card import CardPart, SetupCard, StopRow
from planpress.work.setup_cuts import Position
from planpress.work.setup_methods import Method

#: Longer names of parts are left to their letters.
_LONGEST_NOUN = 18
_LAY = {Position.ACROSS: "lay_across", Position.ON_END: "lay_on_end", Position.ALONG: "lay_along"}
#: Titles of the two passes.
_TITLES = {
    Method.OFFCUT: ("near", "far"),
    Method.SPACER: ("far", "near"),
    Method.CENTRED: ("shoulder", "turned"),
    Method.SHOULDER: ("shoulder", "out"),
    Method.FENCE: ("near_wall", "far_wall"),
}


class Words:
    """Writes what a card says, for one edition."""

    def __init__(self, context: Context, card: SetupCard) -> None:
        self._context = context
        self._card = card
        self._say = Say(context.edition)

    def text(self, block: str, **values: object) -> str:
        """A block of the card's texts."""
        return self._context.text("setups", block, **values)

    def plain(self, block: str, **values: object) -> str:
        """A block that is no paragraph."""
        return without_markup(self.text(block, **values))

    def part(self, letter: str) -> Part:
        """A part of the plan."""
        return self._context.plan.part(letter)

    @property
    def what(self) -> str:
        """ "Slat A", "Legs C and D", "Parts A and C"."""
        letters = self._card.letters
        return f"{capital(plural(self._part_noun, len(letters)))} {listed(letters)}"

    @property
    def heading(self) -> str:
        """The card's name with what is cut."""
        return f"Set-up card {self._card.number}: {lower_first(self.what)}"

    @property
    def purpose(self) -> str:
        """What the card is for; parts are left to their number where their letters are too many for two lines."""
        card = self._card
        count = in_words(len(card.letters))
        whole, short = (
            self.text(
                "purpose",
                what=what,
                notches=card.notch_count,
                stops=len(card.stops),
                like=card.like or 0,
                skewed=bool(card.leans),
            )
            for what in (self.what, f"{capital(count)} {plural('part', len(card.letters))}")
        )
        return whole if is_short_enough(whole) else short

    def passes(self) -> list[tuple[str, str]]:
        """Title and words of the two passes."""
        card = self._card
        method = card.method.name.lower()
        titles = _TITLES[card.method]
        lay = self._lay(card.parts[0])
        words = [self.text(f"{method}_{i}", lay=lay, offcut=self._offcut()) for i in (1, 2)]
        return [(self.plain(title), text) for title, text in zip(titles, words, strict=True)]

    def _offcut(self) -> str:
        card = self._card
        of = listed(card.mates, "or")
        return f"{in_words(card.abreast)} offcuts of {of}" if card.abreast > 1 else f"an offcut of {of}"

    def _lay(self, one: CardPart) -> str:
        part, lie = self.part(one.letter), one.lie
        return self.text(
            _LAY[lie.position],
            noun=self._noun,
            down="edge" if lie.down.axis == 1 else "face",
            at_fence=_at_fence(part, lie.at_fence),
            at_stop=_touching(part, lie.at_stop, self._card.method is Method.SHOULDER),
        )

    @property
    def caution(self) -> str:
        """The hazard of this position."""
        return self.text(f"caution_{self._card.position.name.lower()}")

    def boxes(self) -> list[tuple[str, str]]:
        """Sizes to measure first, with what the plan says."""
        card, say = self._card, self._say
        out = []
        mates = listed(card.mates)
        if card.role == "cheek":
            name = "Width" if card.parts[0].lie.down.axis == 1 else "Thickness"
            out.append((f"{name} of {listed(card.letters)}", f"plan: {say.joint(card.height)}"))
        elif mates and card.role != "rabbet" and card.position is not Position.ON_END:
            out.append((f"{card.mate_size.capitalize()} of {mates}", f"plan: {say.joint(card.per_mate)}"))
        if self._share_tested == "half":
            name = "Width" if card.parts[0].lie.down.axis == 1 else "Thickness"
            out.append((f"{name} of {listed(card.letters)}", f"plan: {say.joint(card.height)}"))
        elif mates and (self._share_tested == "whole" or self._is_as_deep_as_thick):
            name = "Width" if card.mate_size == "thickness" and card.position is Position.ACROSS else "Thickness"
            out.append((f"{name} of {mates}", f"plan: {say.joint(card.depth)}"))
        out.append(("Width of the cut, k", "from a test cut"))
        return out

    @property
    def _is_as_deep_as_thick(self) -> bool:
        """True for slots at an end that are as deep as the mates are thick."""
        card = self._card
        sizes = [self.part(letter).thickness for letter in card.mates]
        return card.position is Position.ON_END and all(abs(size - card.depth) < Fraction(1, 100) for size in sizes)

    def cutters(self) -> tuple[list[str], list[tuple[str, list[str]]]]:
        """Names of the cutters and rows of what each asks for."""
        card, say = self._card, self._say
        rows = [
            ("Width of the cut, k", [say.setting(one.kerf) for one in card.cutters]),
            ("Passes for each notch", [str(one.passes) for one in card.cutters]),
        ]
        return [one.name for one in card.cutters], rows

    @property
    def width_remark(self) -> str:
        """What W is."""
        card, say = self._card, self._say
        along = ", along the fence" if card.leans else ""
        return f"Notch width {equation('W', say.setting(card.width))}{along}"

    def stop_heads(self) -> list[str]:
        """Heads of the distances."""
        card, say = self._card, self._say
        if card.method is Method.OFFCUT:
            return ["Near shoulder", "Stop distance D"]
        return [f"k = {say.setting(one.kerf)}" for one in card.cutters]

    @property
    def own_head(self) -> str:
        """Head of the reader's own distance."""
        card = self._card
        if card.method is Method.OFFCUT and len(card.mates) == 1:
            return f"Yours, if {listed(card.mates, 'or')} differs"
        return "Yours"

    @property
    def formula(self) -> str:
        """How D follows from what is measured."""
        card, say = self._card, self._say
        if card.method is Method.OFFCUT:
            added = f" + {say.setting(card.fit)}" if card.fit else ""
            thick = "thickness" if card.mate_size == "thickness" else "width"
            several = f"{card.abreast} × " if card.abreast > 1 else ""
            return f"D = near shoulder + {several}{thick} of {listed(card.mates, 'or')}{added}"
        if card.method is Method.FENCE:
            return f"{self.width_remark}. First D, then D + W − k"
        width = f"{self.width_remark}. "
        far = say.setting(card.stops[0].far)
        return width + (equation("D", f"{far} − k") if len(card.stops) == 1 else "D = far shoulder − k")

    def stop_lines(self) -> list[StopLine]:
        """All rows; of many pieces, several share a box. Where the cutter decides, spacer and passes come first."""
        card, say = self._card, self._say
        out = []
        if card.method is Method.SPACER:
            spacers = tuple(say.setting(one.spacer) if one.spacer else "none" for one in card.cutters)
            out.append(StopLine("S", spacers, words=self.plain("spacer_row")))
        if card.method is not Method.OFFCUT:
            passes = tuple(str(one.passes) for one in card.cutters)
            out.append(StopLine("n", passes, words=self.plain("passes_row")))
        for row in card.stops:
            if card.method is Method.FENCE:
                near = (say.setting(row.near),) * len(card.cutters)
                out.append(StopLine(f"{row.label}1", near, words=self.plain("first_row")))
            label = f"{row.label}2" if card.method is Method.FENCE else row.label
            out.append(StopLine(label, tuple(self._distances(row)), self._ticks(row)))
        return out

    def _distances(self, row: StopRow) -> list[str]:
        card, say = self._card, self._say
        if card.method is Method.OFFCUT:
            return [say.setting(row.near), say.setting(row.near + card.width)]
        if card.method is Method.FENCE:
            return [say.setting(row.far - one.along) for one in card.cutters]
        distances = [(card.stop_distance(row, one.along), card.is_clear(row, one.along)) for one in card.cutters]
        return [say.setting(distance) if clear else "" for distance, clear in distances]

    def _ticks(self, row: StopRow) -> tuple[tuple[str, int], ...]:
        share = self._share
        return tuple((letter, -(-count // share)) for letter, count in row.pieces)

    @property
    def _share(self) -> int:
        """How many pieces a box stands for."""
        most = max(count for row in self._card.stops for _, count in row.pieces)
        return -(-most // MOST_TICKS)

    @property
    def ticks(self) -> str:
        """What a tick stands for."""
        noun = self._noun
        if any(count > self.part(letter).count for row in self._card.stops for letter, count in row.pieces):
            noun = "cut"  # several at one stop, on other sides or ends of a piece
        each = f"each {noun}" if self._share == 1 else f"{in_words(self._share)} {plural(noun)}"
        return self.plain("ticks", each=each)

    @property
    def _noun(self) -> str:
        nouns = list(dict.fromkeys(in_text(self.part(a).label.split(",")[0]) for a in self._card.letters))
        return nouns[0] if len(nouns) == 1 and len(nouns[0]) <= _LONGEST_NOUN else "piece"

    @property
    def _part_noun(self) -> str:
        return "part" if self._noun == "piece" else self._noun

    @property
    def done(self) -> str:
        """Head of the boxes to tick."""
        return f"{capital(plural(self._noun))} done"

    @property
    def height(self) -> str:
        """How high the cutter stands."""
        card, say = self._card, self._say
        share = ""
        if card.depth_share == "half" and abs(2 * card.depth - card.height) < Fraction(1, 100):
            share = f", half of {listed(card.letters)}"
        elif card.depth_share == "whole" and card.mates:
            share = f", all of {listed(card.mates)}"
        return self.plain("height", height=equation("h", say.joint(card.depth)), share=share)

    def tests(self) -> list[str]:
        """What to test and what to change."""
        card = self._card
        share = self._share_tested
        mates = listed(card.mates, "or")
        depth = self.text(f"depth_{share}", mates=mates, depth=self._say.joint(card.depth))
        width = "cheek" if card.role == "cheek" else card.method.name.lower()
        return [depth, self.text(f"width_{width}", reach=self._say.joint(card.stops[0].far))]

    @property
    def off_by(self) -> str:
        """What is written in the box of the test."""
        words = {"half": "Edges off by", "whole": "Off by", "cheek": "Too tight by", "given": "It measures"}
        return words[self._share_tested]

    @property
    def _share_tested(self) -> str:
        card = self._card
        if card.role == "cheek":
            return "cheek"
        shared = card.role == "lap" and card.mates and card.position is Position.ACROSS
        return card.depth_share if shared else "given"

    def above(self) -> str:
        """What the picture from above says."""
        card = self._card
        if card.position is Position.ALONG:
            return self.text("above_along")
        left = card.parts[0].lie.stop_is_left
        mirrored = [one.letter for one in card.parts if one.lie.stop_is_left is not left]
        others = capital(f"{plural(self._part_noun, len(mirrored))} {listed(mirrored)}") if mirrored else ""
        turned = [one.letter for one in card.parts if one.both_ways]
        if turned and card.leans:
            others = f"Half the cuts of {listed(turned)}"
        side = "right" if left else "left"
        if card.leans:
            return self.text("above_skewed", angle=write_angle(card.skew), mirrored=others, side=side)
        return self.text("above", together=self._gangs(), mirrored=others, side=side)

    def _gangs(self) -> str:
        """ "Up to 8 of A", "" if all are cut singly."""
        gangs = [f"{one.gang}{NO_BREAK}of{NO_BREAK}{one.letter}" for one in self._card.parts if one.gang > 1]
        return f"Up to {listed(gangs, 'or')}" if gangs else ""

    def notes(self) -> list[str]:
        """Errors of rows, what may be cut together, why it is set so; the most needed first."""
        card, say = self._card, self._say
        out = []
        if card.budget is not None:
            budget = card.budget
            out.append(
                self.text(
                    "row" if budget.measuring_pays else "row_short",
                    error=say.error(budget.error),
                    pair=say.error(budget.pair_worst),
                    worst=say.error(budget.stepped_worst),
                    likely=say.error(budget.stepped_likely),
                    count=in_words(budget.notches),
                )
            )
        out.append(self._together())
        short = [one.letter for one in card.parts if one.is_short]
        if short and card.position is not Position.ALONG:
            out.append(self.text("short", who=listed(short), off=say.at_least(HANDS_OFF)))
        if card.like:
            out.append(self.text("like", like=card.like, skewed=bool(card.leans)))
        out.append(self.text(f"why_{card.method.name.lower()}", skewed=bool(card.leans)))
        return out

    def _together(self) -> str:
        card = self._card
        if self._gangs():
            return self.text("together", gangs=self._gangs())
        reason = "alone_along" if card.position is Position.ALONG else "alone_single"
        return self.text("alone", reason=self.text("alone_slanted" if card.slanted_end else reason))

    @property
    def passes_remark(self) -> str:
        """How many passes each cutter takes."""
        card, say = self._card, self._say
        if not card.cutters:
            return self.plain("no_cutter")
        passes = listed([f"{one.passes} with {say.setting(one.kerf)}" for one in card.cutters])
        return self.plain("passes_of", passes=passes)


def _at_fence(part: Part, side: Side) -> str:
    """ "reference face to the fence", or where the reference side then looks."""
    if side.axis == 2:
        return "reference face to the fence" if side is Side.FACE else "reference face towards you"
    return "reference edge to the fence" if side is part.reference_edge else "reference edge towards you"


def _touching(part: Part, side: Side, open_end: bool) -> str:
    if open_end:
        return "the end to be cut"
    if side.axis == 0:
        return "reference end" if side is Side.NEAR_END else "far end"
    if side.axis == 2:
        return "reference face" if side is Side.FACE else "back"
    return "reference edge" if side is part.reference_edge else "opposite edge"


def kinds(parts: Sequence[CardPart]) -> str:
    """ "A × 9, B × 3"."""
    return ", ".join(f"{one.letter}{NO_BREAK}×{NO_BREAK}{one.count}" for one in parts)
