"""What a set-up card holds: stops, cutters, how pieces lie. Exact; lengths in mm."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from attrs import frozen

from planpress.work import setup_methods as methods
from planpress.work.error_budget import RowBudget
from planpress.work.guidance import STOP_CLEAR
from planpress.work.setup_cuts import Lie, Position
from planpress.work.setup_methods import Method, Passes


@frozen
class CutterRow:
    """What one cutter asks for.

    Attributes:
        name, kerf: the cutter and the width of its cut. along: that width along the fence (more, if the cut is skewed).
        spacer: thickness of the spacer, None for methods without one. passes: a notch.
    """

    name: str
    kerf: Fraction
    along: Fraction
    spacer: Fraction | None
    passes: int


@frozen
class StopRow:
    """One stop position, for all pieces that are cut there.

    Attributes:
        near, far: the shoulders, mm along the fence from the end at the stop.
        pieces: letters with counts. joints: names of the joints made.
    """

    label: str
    near: Fraction
    far: Fraction
    pieces: tuple[tuple[str, int], ...]
    joints: tuple[str, ...]

    @property
    def count(self) -> int:
        """Number of pieces."""
        return sum(count for _, count in self.pieces)


@frozen
class CardPart:
    """A part on a card.

    Attributes:
        notches: that each piece gets there. lie: how it lies for the first. both_ways: for some of them it lies as in a
            mirror, the stop on the other side. gang: pieces that may be cut as one. is_short: hands come close.
    """

    letter: str
    count: int
    notches: int
    lie: Lie
    both_ways: bool
    gang: int
    is_short: bool


@frozen
class SetupCard:
    """One set-up card. Lengths in mm.

    Attributes:
        number: from 1. method: how shoulders are set. position: how pieces go over the cutter.
        parts, stops: what is cut, where.
        width: of the notch along the fence; across: square to its shoulders, `fit` included.
        mates: letters of what goes in; mate_size: which size of them gives the width; abreast: how many lie side by
            side in each notch.
        depth, depth_share: from the table, see `Notch`. skew, leans: see `MachineCut`.
        size: of the piece along the fence, height: of it over the table (of the first part).
        slanted_end: its end at the stop leans as the cut does.
        cutters: of the shop that fit. overlap: of neighbouring passes.
        like: number of an earlier card with the same height of the cutter and the same angle, or None.
        budget: of the longest row, None if there is no row.
    """

    method: Method
    position: Position
    parts: tuple[CardPart, ...]
    stops: tuple[StopRow, ...]
    width: Fraction
    across: Fraction
    fit: Fraction
    mates: tuple[str, ...]
    mate_size: Literal["thickness", "width", "length"]
    abreast: int
    role: str
    depth: Fraction
    depth_share: Literal["half", "whole", "given"]
    skew: Fraction
    leans: int
    size: Fraction
    height: Fraction
    slanted_end: bool
    cutters: tuple[CutterRow, ...]
    overlap: Fraction
    budget: RowBudget | None
    number: int = 0
    like: int | None = None

    @property
    def letters(self) -> tuple[str, ...]:
        """Letters of the parts, in order."""
        return tuple(part.letter for part in self.parts)

    @property
    def notch_count(self) -> int:
        """Notches in all pieces together."""
        return sum(stop.count for stop in self.stops)

    @property
    def per_mate(self) -> Fraction:
        """The size (mm) of one mate, of which several may lie side by side."""
        return (self.across - self.fit) / self.abreast

    def stop_distance(self, stop: StopRow, along: Fraction) -> Fraction:
        """D: from the stop's face to the near side of a cutter that is `along` mm wide along the fence."""
        if self.method is Method.OFFCUT:
            return stop.near + self.width
        if self.method is Method.FENCE:
            return stop.near
        return stop.far - along

    def is_clear(self, stop: StopRow, along: Fraction) -> bool:
        """True if the stop does not stand in the way of a cutter that is `along` mm wide along the fence."""
        return self.stop_distance(stop, along) >= STOP_CLEAR

    def passes(self, stop: StopRow, along: Fraction) -> Passes:
        """The passes of a notch at one stop.

        Raises:
            TooWideError: if the cutter is wider than the notch.
        """
        if self.method is Method.OFFCUT:
            return methods.with_offcut(stop.near, self.width, along, self.overlap)
        if self.method is Method.CENTRED:
            return methods.turned_end_for_end(self.size, self.width, along, self.overlap)
        if self.method is Method.SHOULDER:
            return methods.from_shoulder(stop.near, stop.far, along, self.overlap)
        if self.method is Method.FENCE:
            return methods.with_two_fences(stop.near, stop.far, along, self.overlap)
        return methods.with_spacer(stop.near, stop.far, along, self.overlap)
