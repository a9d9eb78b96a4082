"""How far a piece reaches when the wood beside its tenons is gone."""

from __future__ import annotations

import itertools
from fractions import Fraction

from planpress.geometry.vectors import SAME, Vec
from planpress.model.blanks import Blank, RawNotch
from planpress.model.records import Side


def outer_corners(blank: Blank) -> list[Vec]:
    """Points (world, mm) between which a stick lies.

    Its corners, but at an end with a tenon those of the tenon and of its shoulders: a leaning stick's own corners would
    reach further.
    """
    cheeks = [n for n in blank.notches if n.role == "cheek"]
    if not cheeks:
        return blank.corners()
    out: list[Vec] = []
    for iu in (0, 1):
        here = [n for n in cheeks if _is_at(blank, n, iu)]
        if not here:
            out += [blank.corner(iu, iv, iw) for iv, iw in itertools.product((0, 1), repeat=2)]
            continue
        plane = blank.far if iu else blank.near
        ranges = [_left(blank, here, axis) for axis in (1, 2)]
        local = [(plane.u_at(v, w), v, w) for v, w in itertools.product(*ranges)]
        local += [p for n in here for p in n.outline]
        ends = [blank.local_corner(iu, iv, iw) for iv, iw in itertools.product((0, 1), repeat=2)]
        gone = [end for end in ends if any(_same(end, p) for n in here for p in n.outline)]
        local += ends
        out += [blank.frame.point(p) for p in local if not any(_same(p, end) for end in gone)]
    return out


def _is_at(blank: Blank, notch: RawNotch, iu: int) -> bool:
    """True if a cut is nearer to the end iu (0 near, 1 far)."""
    middle = sum((p[0] for p in notch.outline), Fraction(0)) / len(notch.outline)
    return (2 * middle > blank.length) == bool(iu)


def _left(blank: Blank, cheeks: list[RawNotch], axis: int) -> tuple[Fraction, Fraction]:
    """What the cheeks leave of the width (axis 1) or the thickness (2)."""
    low, high = Fraction(0), blank.sizes[axis]
    for n in cheeks:
        if n.side.axis == axis and n.side in (Side.LOWER, Side.BACK):
            low += n.depth
        elif n.side.axis == axis:
            high -= n.depth
    return low, high


def _same(p: Vec, q: Vec) -> bool:
    return all(abs(a - b) <= SAME for a, b in zip(p, q, strict=True))
