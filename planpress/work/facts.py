"""Facts about solved parts that steps and checks quote: corners, edges as cut, places of notches, rows of pieces."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from fractions import Fraction

from planpress.geometry.vectors import Frame, Vec, dot, vec
from planpress.model.records import EndCut, Notch, Part, Side, SolvedPlan

_LEANING = Fraction(1, 10**6)


def end_at(end: EndCut, v: Fraction, w: Fraction) -> Fraction:
    """Where (u, mm) an end lies on the line of the given v and w."""
    return end.u_at(v, w)


def edge_length(part: Part, v: Fraction, w: Fraction) -> Fraction:
    """Length (mm) of the stick as cut, along the line of the given v and w."""
    near, far = part.ends
    return end_at(far, v, w) - end_at(near, v, w)


def edge_lengths(part: Part) -> tuple[Fraction, Fraction]:
    """Least and greatest length (mm) of the four long edges as cut."""
    lengths = [
        edge_length(part, v, w) for v, w in itertools.product((Fraction(0), part.width), (Fraction(0), part.thickness))
    ]
    return min(lengths), max(lengths)


def ends_are_parallel(part: Part) -> bool:
    """True if both ends lie in parallel planes."""
    near, far = part.ends
    return 1 + dot(near.normal, far.normal) < _LEANING


def extent(plan: SolvedPlan, pieces: Sequence[str], direction: Vec) -> tuple[Fraction, Fraction]:
    """Least and greatest place (mm) of some pieces along a unit direction of the world."""
    places = [dot(corner, direction) for piece in pieces for corner in plan.corners[piece]]
    return min(places), max(places)


def size_along(plan: SolvedPlan, pieces: Sequence[str], direction: Vec) -> Fraction:
    """How far (mm) some pieces reach along a unit direction of the world."""
    low, high = extent(plan, pieces, direction)
    return high - low


def middle(plan: SolvedPlan, piece: str) -> Vec:
    """The middle of a piece's box of corners, in the world."""
    all_corners = plan.corners[piece]
    return vec(*((min(c[i] for c in all_corners) + max(c[i] for c in all_corners)) / 2 for i in range(3)))


def leans(plan: SolvedPlan, piece: str) -> bool:
    """True if a piece's length runs along none of the world's axes."""
    return max(abs(c) for c in plan.pieces[piece].frame.x) < 1 - _LEANING


def side_normal(side: Side) -> Vec:
    """The way a side looks, in part coordinates."""
    components = [0, 0, 0]
    components[side.axis] = 1 if side.is_far else -1
    return vec(*components)


def looks_down(frame: Frame, side: Side) -> bool:
    """True if that side of a piece looks down in the assembled work."""
    return frame.direction(side_normal(side))[2] < Fraction(-1, 2)


def reference_line(part: Part, side: Side) -> tuple[Fraction, Fraction]:
    """The v and w (mm) of the long edge of a side from which places on it are taken: the reference edge, or on an edge
    the border with the reference face."""
    v = part.width if part.reference_edge is Side.UPPER else Fraction(0)
    w = part.thickness
    if side is Side.BACK:
        w = Fraction(0)
    elif side.axis == 1:
        v = part.width if side is Side.UPPER else Fraction(0)
    return v, w


def side_words(part: Part, side: Side) -> str:
    """What a side is called in a sentence, by the marks on the part."""
    if side.axis == 0:
        return side.value
    if side.axis == 2:
        return "reference face" if side is Side.FACE else "face opposite the reference face"
    return "reference edge" if side is part.reference_edge else "edge opposite the reference edge"


def to_ends(part: Part, n: Notch) -> list[Fraction]:
    """Wood (mm, along the length) from every corner of a notch to both ends."""
    level = part.size_along(n.side.axis) if n.side.is_far else Fraction(0)
    out = []
    for u, second in n.outline:
        v, w = (level, second) if n.side.axis == 1 else (second, level)
        out += [u - end_at(part.ends[0], v, w), end_at(part.ends[1], v, w) - u]
    return out


def near_shoulder(part: Part, notch: Notch) -> Fraction:
    """Distance (mm) from the reference end to the near shoulder, along the reference line of the notch's side."""
    v, w = reference_line(part, notch.side)
    start, _ = notch.shoulders(w if notch.side.axis == 1 else v)
    return start - end_at(part.ends[0], v, w)


def follows_ends(part: Part, notch: Notch) -> bool:
    """True if a notch's shoulders are parallel to both ends of its part."""
    slope = part.ends[0].bevel if notch.side.axis == 1 else part.ends[0].mitre
    return ends_are_parallel(part) and abs(slope + notch.skew) < Fraction(1, 1000)


def in_row(plan: SolvedPlan, letter: str, within: Sequence[str]) -> tuple[list[str], str]:
    """Pieces of a part among some, sorted as a reader counts them, and from where: "the front", "the left" or
    "below". An empty word if they stand in no plain row."""
    pieces = [p for p in within if plan.pieces[p].letter == letter]
    middles = [middle(plan, p) for p in pieces]
    for axis, word in ((1, "the front"), (0, "the left"), (2, "below")):
        places = [place[axis] for place in middles]
        if len(pieces) > 1 and len({round(p, 3) for p in places}) == len(pieces):
            return [p for _, p in sorted(zip(places, pieces, strict=True), key=lambda item: item[0])], word
    return pieces, ""
