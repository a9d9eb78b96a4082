"""Notches as cuts at a machine: how the piece lies, which end or edge is at the stop, from where to where.

Three positions. Across: the piece lies along the crosscut fence, its end at the stop, the notched side on the table.
On end: it stands on the end that is slotted, an edge or face at the stop. Along: it runs along the rip fence, which is
then the stop. Places are measured from the stop along the fence, so that one setting serves every part cut with it.
"""

from __future__ import annotations

import enum
from collections.abc import Sequence
from fractions import Fraction

from attrs import frozen

from planpress.base.trigonometry import tangent
from planpress.geometry.vectors import Vec, cross, dot
from planpress.model.records import EndCut, Notch, Part, Side
from planpress.work.facts import end_at, side_normal

#: Places and sizes nearer than this (mm, degrees) are one setting.
SAME = Fraction(1, 1000)
#: Cut with a chisel, a router or by hand, not against a stop.
_BY_HAND = ("mortise", "socket", "kerf", "corner")


class Position(enum.Enum):
    """How a piece goes over the cutter."""

    ACROSS = "across"
    ON_END = "on end"
    ALONG = "along"


@frozen
class Lie:
    """How a piece lies. `down`: side on the table; `at_stop`, `at_fence`: what touches the stop and the fence."""

    position: Position
    down: Side
    at_stop: Side
    at_fence: Side

    @property
    def stop_is_left(self) -> bool:
        """True if the stop stands left of the cutter, seen from the operator, who has the fence on the far side."""
        if self.at_stop is self.at_fence:
            return True  # the rip fence is the stop, and stands where its owner has it
        right, away, up = _inward(self.at_stop), side_normal(self.at_fence), _inward(self.down)
        return dot(cross(right, away), up) > 0


@frozen
class MachineCut:
    """One notch as a cut.

    Attributes:
        part, notch: what is cut. lie: how the piece lies.
        near, far: mm along the fence from the stop to the two shoulders; near is 0 or less where the notch is open
            at the stop.
        depth: mm from the table. skew: degrees between the cut and a square one, not negative.
        leans: 1 if the shoulders run away from the stop as they come away from the fence, -1 the other way, 0 square.
        size: of the piece along the fence, mm.
        opens_at_stop: the notch runs out of the end that is at the stop.
    """

    part: Part
    notch: Notch
    lie: Lie
    near: Fraction
    far: Fraction
    depth: Fraction
    skew: Fraction
    leans: int
    size: Fraction
    opens_at_stop: bool

    @property
    def width(self) -> Fraction:
        """Along the fence, mm."""
        return self.far - self.near


def machine_cut(part: Part, notch: Notch) -> MachineCut | None:
    """A notch as a cut at a saw or router table; None if it is not made against a stop.

    That is: mortises, sockets and corners, leaning walls, round corners, and cuts that stop within the wood.
    """
    if notch.role in _BY_HAND or notch.direction is not None or notch.radius or notch.start:
        return None
    if notch.side.axis == 0:
        return None
    across = part.size_along(_across_axis(notch.side))
    if notch.open_end is not None and _is_through(part, notch):
        return _on_end(part, notch)
    if _spans(notch.across, across) or notch.role == "cheek":
        return _across(part, notch)
    if notch.skew == 0 and _reaches_both_ends(part, notch):
        return _along(part, notch)
    return None


def _across(part: Part, notch: Notch) -> MachineCut | None:
    at_stop = notch.open_end or Side.NEAR_END
    end = part.ends[0 if at_stop is Side.NEAR_END else 1]
    lie = Lie(Position.ACROSS, notch.side, at_stop, _fence_side(part, notch, end, at_stop))
    slope = tangent(notch.skew) if abs(notch.skew) > SAME else Fraction(0)
    border = part.size_along(lie.at_fence.axis) if lie.at_fence.is_far else Fraction(0)
    # each corner, followed along the shoulders to the fence
    places = [u - slope * (second - border) for u, second in notch.outline]
    if at_stop is Side.FAR_END:
        places = [part.length - place for place in places]
    near, far = min(places), max(places)
    lean = (slope > 0) - (slope < 0)
    if lie.at_fence.is_far is not (at_stop is Side.FAR_END):
        lean = -lean
    opens = notch.open_end is not None
    return MachineCut(part, notch, lie, near, far, notch.depth, abs(notch.skew), lean, part.length, opens)


def _fence_side(part: Part, notch: Notch, end: EndCut, at_stop: Side) -> Side:
    """The tip of a slanted end lies in the corner of stop and fence; else the reference edge is at the fence, and of a
    piece on its edge the face that puts the stop on the left."""
    low, high = (Side.LOWER, Side.UPPER) if notch.side.axis == 2 else (Side.BACK, Side.FACE)
    middle = (part.width / 2, part.thickness / 2)
    ends = []
    for side in (low, high):
        v, w = middle
        if side.axis == 1:
            v = part.width if side.is_far else Fraction(0)
        else:
            w = part.thickness if side.is_far else Fraction(0)
        ends.append(end_at(end, v, w))
    out = (ends[0] - ends[1]) * (1 if at_stop is Side.FAR_END else -1)  # how far the low side's corner stands out
    if abs(out) > SAME:
        return low if out > 0 else high
    if notch.side.axis == 2:
        return part.reference_edge
    return next(s for s in (high, low) if Lie(Position.ACROSS, notch.side, at_stop, s).stop_is_left)


def _on_end(part: Part, notch: Notch) -> MachineCut | None:
    """A slot through the piece, open at an end: the piece stands on that end."""
    assert notch.open_end is not None, "asked for by the caller"
    end = part.ends[0 if notch.open_end is Side.NEAR_END else 1]
    if not end.is_square or notch.skew:
        return None
    axis = _across_axis(notch.side)
    at_stop = part.reference_edge if axis == 1 else Side.FACE
    low, high = notch.across
    size = part.size_along(axis)
    near, far = (size - high, size - low) if at_stop.is_far else (low, high)
    fences = (Side.FACE, Side.BACK) if axis == 1 else (Side.LOWER, Side.UPPER)
    lies = [Lie(Position.ON_END, notch.open_end, at_stop, fence) for fence in fences]
    lie = next(one for one in lies if one.stop_is_left)
    depth = notch.span[1] - notch.span[0]
    return MachineCut(part, notch, lie, near, far, depth, Fraction(0), 0, size, False)


def _along(part: Part, notch: Notch) -> MachineCut | None:
    """A groove or rabbet along the piece: the side away from an open border runs along the rip fence."""
    axis = _across_axis(notch.side)
    size = part.size_along(axis)
    low, high = notch.across
    if axis == 1:
        at_stop = part.reference_edge
    else:
        at_stop = Side.FACE
    if low <= SAME:
        at_stop = Side.UPPER if axis == 1 else Side.FACE
    elif high >= size - SAME:
        at_stop = Side.LOWER if axis == 1 else Side.BACK
    near, far = (size - high, size - low) if at_stop.is_far else (low, high)
    lie = Lie(Position.ALONG, notch.side, at_stop, at_stop)
    return MachineCut(part, notch, lie, near, far, notch.depth, Fraction(0), 0, size, False)


def _across_axis(side: Side) -> int:
    """The axis of a side's second coordinate: the width on faces, the thickness on edges."""
    return 1 if side.axis == 2 else 2


def _spans(across: tuple[Fraction, Fraction], size: Fraction) -> bool:
    return across[0] <= SAME and across[1] >= size - SAME


def _is_through(part: Part, notch: Notch) -> bool:
    return notch.depth >= part.size_along(notch.side.axis) - SAME


def _reaches_both_ends(part: Part, notch: Notch) -> bool:
    """True if both ends of a notch lie on the ends of its part, along its whole width."""
    flat = part.width / 2 if notch.side.axis == 1 else part.thickness / 2
    return all(_reaches(notch.outline, end, notch.side, flat) for end in part.ends)


def _reaches(outline: Sequence[tuple[Fraction, Fraction]], end: EndCut, side: Side, flat: Fraction) -> bool:
    count = 0
    for u, second in outline:
        v, w = (second, flat) if side.axis == 2 else (flat, second)
        count += abs(end_at(end, v, w) - u) <= SAME
    return count >= 2


def _inward(side: Side) -> Vec:
    u, v, w = side_normal(side)
    return (-u, -v, -w)
