"""How stop, spacer and cutter make a notch: each way as a list of passes, exactly.

All distances are in mm along the fence. The stop's face is the origin; the cutter's near side stands at the stop
distance D. A piece whose end touches the stop loses what lies from D to D + k (k: width of the cut); with a spacer S
between stop and end the cut comes S nearer to that end. Notation: A and B are the near and far shoulder, W = B - A.

The formulas follow from that: the two outermost passes must end at B and begin at A. The number of passes and their
overlap are common practice, no source.
"""

from __future__ import annotations

import enum
import math
from fractions import Fraction
from typing import TypeAlias

from attrs import frozen

#: From, to; mm from the end that the notch is measured from.
Interval: TypeAlias = tuple[Fraction, Fraction]


class Method(enum.Enum):
    """A way to place the two shoulders of a notch."""

    OFFCUT = "an offcut of the mate, then a strip as thick as the cutter is wide"
    SPACER = "one stop and one spacer"
    CENTRED = "turned end for end"
    SHOULDER = "shoulder against the stop, then out to the end"
    FENCE = "two settings of the fence"


@frozen
class Pass:
    """One pass.

    Attributes:
        stop: distance D from the stop's face to the near side of the cutter.
        spacer: what lies between stop and end, or how far the end is drawn away from the stop.
        turned: the other end of the piece is at the stop.
    """

    stop: Fraction
    spacer: Fraction = Fraction(0)
    turned: bool = False

    def removed(self, kerf: Fraction, length: Fraction) -> Interval:
        """What the pass takes out of a piece of this length (mm), measured from its own first end."""
        near = self.stop - self.spacer
        if self.turned:
            return length - near - kerf, length - near
        return near, near + kerf


@frozen
class Passes:
    """The passes of one notch: `shoulders` are set exactly, in order; `clearing` takes out what is left between."""

    shoulders: tuple[Pass, ...]
    clearing: tuple[Pass, ...]

    @property
    def all(self) -> tuple[Pass, ...]:
        """Every pass in order."""
        return (*self.shoulders, *self.clearing)


class TooWideError(ValueError):
    """The cutter is wider than the notch."""


def pass_count(width: Fraction, kerf: Fraction, overlap: Fraction) -> int:
    """How many passes a notch of this width takes, neighbours overlapping by `overlap` at least.

    Raises:
        TooWideError: if the cutter is wider than the notch.
        ValueError: if the cutter is not wider than the overlap.
    """
    if kerf > width:
        raise TooWideError(f"a cut of {kerf} mm does not fit a notch of {width} mm")
    if kerf == width:
        return 1
    if kerf <= overlap:
        raise ValueError("passes must overlap by less than the cutter's width")
    return 1 + math.ceil((width - kerf) / (kerf - overlap))


def spacer_for(width: Fraction, kerf: Fraction) -> Fraction:
    """S of the one spacer: W - k.

    Raises:
        TooWideError: if the cutter is wider than the notch.
    """
    if kerf > width:
        raise TooWideError(f"a cut of {kerf} mm does not fit a notch of {width} mm")
    return width - kerf


def with_spacer(near: Fraction, far: Fraction, kerf: Fraction, overlap: Fraction) -> Passes:
    """One stop, one spacer. D = B - k, S = W - k: against the stop the far shoulder, with the spacer the near one.

    Raises:
        TooWideError: if the cutter is wider than the notch.
    """
    spacer, stop = spacer_for(far - near, kerf), far - kerf
    count = pass_count(far - near, kerf, overlap)
    shoulders = (Pass(stop), Pass(stop, spacer)) if count > 1 else (Pass(stop),)
    return Passes(shoulders, _between(shoulders, count))


def with_offcut(near: Fraction, offcut: Fraction, kerf: Fraction, overlap: Fraction) -> Passes:
    """A mate's offcut, then a strip as thick as the cutter is wide. D = A + T, T: what the offcut measures.

    With the offcut between stop and end the near shoulder, with the strip the far one: the notch is as wide as the
    offcut, whatever that measures.

    Raises:
        TooWideError: if the cutter is wider than the offcut.
    """
    stop = near + offcut
    count = pass_count(offcut, kerf, overlap)
    shoulders = (Pass(stop, offcut), Pass(stop, kerf)) if count > 1 else (Pass(stop, offcut),)
    return Passes(shoulders, _between(shoulders, count))


def turned_end_for_end(length: Fraction, width: Fraction, kerf: Fraction, overlap: Fraction) -> Passes:
    """A notch in the middle: D = (L + W) / 2 - k, cut, turn the piece end for end, cut again; then draw away.

    The first cut is the shoulder that is further from the stop, so that what is left can be cleared without moving it.

    Raises:
        TooWideError: if the cutter is wider than the notch.
    """
    stop = (length + width) / 2 - kerf
    count = pass_count(width, kerf, overlap)
    shoulders = (Pass(stop), Pass(stop, turned=True)) if count > 1 else (Pass(stop),)
    step = (width - kerf) / (count - 1) if count > 1 else Fraction(0)
    return Passes(shoulders, tuple(Pass(stop, step * i) for i in range(1, count - 1)))


def from_shoulder(near: Fraction, far: Fraction, kerf: Fraction, overlap: Fraction) -> Passes:
    """A notch that runs out of the end at the stop: D = B - k, B: from that end to its shoulder; then draw away.

    The last pass begins at `near`: at the end (0), or before it (negative) where a skewed cut leaves the end slanted.
    A cutter wider than the notch takes one pass.
    """
    count = pass_count(far - near, kerf, overlap) if kerf < far - near else 1
    stop = far - kerf
    step = (far - near - kerf) / (count - 1) if count > 1 else Fraction(0)
    return Passes((Pass(stop),), tuple(Pass(stop, step * i) for i in range(1, count)))


def with_two_fences(near: Fraction, far: Fraction, kerf: Fraction, overlap: Fraction) -> Passes:
    """Along the fence: once at D = A, once at D = B - k, and between.

    Raises:
        TooWideError: if the cutter is wider than the groove.
    """
    count = pass_count(far - near, kerf, overlap)
    shoulders = (Pass(near), Pass(far - kerf)) if count > 1 else (Pass(near),)
    step = (far - near - kerf) / (count - 1) if count > 1 else Fraction(0)
    return Passes(shoulders, tuple(Pass(near + step * i) for i in range(1, count - 1)))


def _between(shoulders: tuple[Pass, ...], count: int) -> tuple[Pass, ...]:
    """Passes between two shoulders, evenly spread from the first to the second."""
    if count < 3:
        return ()
    first, last = shoulders
    step = (last.spacer - first.spacer) / (count - 1)
    return tuple(Pass(first.stop, first.spacer + step * i) for i in range(1, count - 1))
