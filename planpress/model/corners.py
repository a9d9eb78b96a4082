"""Full corners: the ends of two boards at right angles, each as far into the other as that is thick.

Finger joints and dovetails share such a corner out between the boards. Both measure across it from the first board's
own lower edge (v = 0, or w = 0 if its thickness runs across the corner).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Literal

from attrs import frozen

from planpress.geometry.polygons import Point2
from planpress.geometry.vectors import SAME, Vec, cross, dot, neg, norm, settled, settled_vec, unit
from planpress.model.blanks import Blank, RawNotch
from planpress.model.cutting import JointError, snapped_to
from planpress.model.laps import boxes_overlap
from planpress.model.records import Role, Side

_TINY = Fraction(1, 10**9)


@frozen
class CornerEnd:
    """The end of one board in a corner.

    Attributes:
        blank: the board. end: NEAR_END or FAR_END. outward: world direction out of that end.
        through, across: its own axes (1 width, 2 thickness) through which the corner is cut, and along which it is
            shared.
        outer: the side of `through` at the outside of the corner.
        base, sign: a place s across the corner (mm, from where the shared width begins) is base + sign * s in the
            board's own coordinate.
        reach: how far (mm) the mate takes up its end: the mate's size through the corner.
    """

    blank: Blank
    end: Side
    outward: Vec
    through: int
    across: int
    outer: Side
    base: Fraction
    sign: int
    reach: Fraction

    @property
    def thickness(self) -> Fraction:
        """Size (mm) through the corner."""
        return self.blank.sizes[self.through]

    def own(self, s: Fraction) -> Fraction:
        """A place across the corner in the board's own coordinate, mm; exactly on an edge it lies on."""
        place = settled(self.base + self.sign * s)
        for border in (Fraction(0), self.blank.sizes[self.across]):
            if abs(place - border) <= SAME:
                return border
        return place

    def u(self, from_end: Fraction) -> Fraction:
        """u (mm) of a place that is so far from the end."""
        return self.blank.length - from_end if self.end is Side.FAR_END else from_end

    def on_outer(self, from_end: Fraction, s: Fraction) -> Vec:
        """A point of the outer side, told from the end and across the corner, in the board's coordinates."""
        return self._point(self.u(from_end), s, self.thickness if self.outer.is_far else Fraction(0))

    def on_end(self, inward: Fraction, s: Fraction) -> Vec:
        """A point of the end, told from the outer side inwards and across the corner."""
        place = self.thickness - inward if self.outer.is_far else inward
        return self._point(self.u(Fraction(0)), s, place)

    def world(self, from_end: Fraction, inward: Fraction, s: Fraction) -> Vec:
        """A point of the corner in the world: from the end, from the outer side inwards, across."""
        place = self.thickness - inward if self.outer.is_far else inward
        return settled_vec(self.blank.frame.point(self._point(self.u(from_end), s, place)))

    def _point(self, u: Fraction, s: Fraction, place: Fraction) -> Vec:
        return (u, self.own(s), place) if self.across == 1 else (u, place, self.own(s))


@frozen
class Corner:
    """Two boards' ends that fill one corner; they share `width` mm across it."""

    first: CornerEnd
    second: CornerEnd
    width: Fraction


def full_corner(first: Blank, second: Blank) -> Corner | None:
    """The corner that two boards share; None if they have no space in common.

    Raises:
        JointError: if they share space otherwise than in a full corner at right angles with square ends.
    """
    if not boxes_overlap(first, second):
        return None
    a, b = first.axes[0], second.axes[0]
    crossing = cross(a, b)
    if norm(crossing) < Fraction(1, 10**6):
        raise JointError("they run along each other; the joint needs a corner")
    if abs(dot(a, b)) > _TINY:
        raise JointError("they do not meet at right angles; the joint is cut for a square corner")
    n = unit(crossing)
    axes = [_axis_along(blank, n) for blank in (first, second)]
    if dot(first.axes[axes[0]], n) < 0:
        n = neg(n)
    low_1, high_1 = first.extent(n)
    low_2, high_2 = second.extent(n)
    low, high = max(low_1, low_2), min(high_1, high_2)
    return Corner(
        _corner_end(first, second, axes[0], axes[1], n, low),
        _corner_end(second, first, axes[1], axes[0], n, low),
        snapped_to(high - low, first.sizes[axes[0]], second.sizes[axes[1]]),
    )


def _axis_along(blank: Blank, n: Vec) -> int:
    for axis in (1, 2):
        if abs(dot(blank.axes[axis], n)) > 1 - _TINY:
            return axis
    raise JointError(f"'{blank.id}' is turned about its length; both boards must lie square to the corner")


def _corner_end(blank: Blank, mate: Blank, across: int, mate_across: int, n: Vec, low: Fraction) -> CornerEnd:
    along = blank.axes[0]
    own_low, own_high = blank.extent(along)
    mate_low, mate_high = mate.extent(along)
    if abs(own_high - mate_high) <= SAME and mate_low - own_low > SAME:
        end, plane, outward = Side.FAR_END, blank.far, along
    elif abs(own_low - mate_low) <= SAME and own_high - mate_high > SAME:
        end, plane, outward = Side.NEAR_END, blank.near, neg(along)
    else:
        raise JointError(f"no end of '{blank.id}' is flush with the outside of '{mate.id}'; they must fill a corner")
    if abs(plane.normal[1]) > _TINY or abs(plane.normal[2]) > _TINY:
        raise JointError(f"the end of '{blank.id}' is not cut square")
    through = 3 - across
    # the mate's body lies on the inside of the corner
    mate_middle = sum(mate.extent(blank.axes[through])) / 2
    own_middle = sum(blank.extent(blank.axes[through])) / 2
    far_side = own_middle > mate_middle
    sign = 1 if dot(blank.axes[across], n) > 0 else -1
    return CornerEnd(
        blank=blank,
        end=end,
        outward=outward,
        through=through,
        across=across,
        outer=next(s for s in Side if s.axis == through and s.is_far == far_side),
        base=settled((low - dot(blank.frame.origin, n)) * sign),
        sign=sign,
        reach=mate.sizes[3 - mate_across],
    )


def cut_out(
    end: CornerEnd,
    mate: CornerEnd,
    outline: Sequence[Point2],
    *,
    side: Literal["outer", "end"],
    role: Role,
    joint: str,
    kind: str,
    width: Fraction,
    fit: Fraction,
) -> None:
    """Note a cut in a board's end.

    Args:
        outline: points (distance, place across): the distance is told from the end if the cut goes through the board
            from its outer side, from the outer side if it goes in from the end.
        width: mm, at its narrowest, fit included; fit: what of it is clearance.
    """
    if side == "outer":
        points = tuple(end.on_outer(d, s) for d, s in outline)
        on, depth = end.outer, end.thickness
    else:
        points = tuple(end.on_end(d, s) for d, s in outline)
        on, depth = end.end, end.reach
    end.blank.notches.append(
        RawNotch(
            side=on,
            outline=points,
            depth=depth,
            width=settled(width),
            fit=fit,
            skew=Fraction(0),
            mates=(mate.blank.id,),
            mate_size="thickness",
            joint=joint,
            kind=kind,
            depth_share="given",
            role=role,
        )
    )
