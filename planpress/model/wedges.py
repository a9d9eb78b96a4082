"""The wedges of a wedged tenon: sizes, and how much wider the mortise is at its far side."""

from __future__ import annotations

from fractions import Fraction

from attrs import frozen

from planpress.base.trigonometry import tangent
from planpress.geometry.vectors import dot, mean, settled
from planpress.model.records import JointPlace, Notch, Side, SolvedPlan
from planpress.model.solids import side_point
from planpress.model.tenon_sizes import tenon_sizes

#: Included angle of a wedge, degrees: from 5 to 8 (common practice, no source).
WEDGE_ANGLE = Fraction(6)
_SQUARE = 1 - Fraction(1, 10**9)


@frozen
class Wedges:
    """The wedges at one place of a joint.

    Attributes:
        count: how many. width: across the tenon, as wide as the tenon is there, mm.
        length: mm, as deep as the kerf. thickness: at the thick end, mm; the thin end comes to an edge.
        angle: included, degrees.
        flare: mm that each of the two ends of the mortise is cut back at the far side, running out to nothing, so that
            the spread tenon fills it.
    """

    count: int
    width: Fraction
    length: Fraction
    thickness: Fraction
    angle: Fraction
    flare: Fraction


def wedge_sizes(plan: SolvedPlan, place: JointPlace) -> Wedges | None:
    """The wedges that belong to one place of a joint; None if it has none.

    A wedge as long as its kerf is thick at its thick end by twice the tangent of half its angle; what it is thicker
    than the kerf spreads the tenon, half towards each end of the mortise.
    """
    part, end = plan.part_of(place.first), tenon_end(plan, place)
    here = [n for n in part.notches if n.joint == place.joint and n.open_end is end]
    kerfs = [n for n in here if n.role == "kerf"]
    if not kerfs:
        return None
    length = max(_length(plan, place, n) for n in kerfs)
    thickness = 2 * length * tangent(WEDGE_ANGLE / 2)
    tenons = 1 + sum(1 for n in here if n.role == "slot") if kerfs[0].side is Side.FACE else 1
    spread = max(thickness - kerfs[0].width, Fraction(0)) * len(kerfs) / tenons
    thick, wide = tenon_sizes(part, place.joint, end)
    across = thick if kerfs[0].side.axis == 2 else wide
    return Wedges(len(kerfs), across, length, thickness, WEDGE_ANGLE, spread / 2)


def tenon_end(plan: SolvedPlan, place: JointPlace) -> Side:
    """The end of the first piece that the joint is at."""
    piece, part = plan.pieces[place.first], plan.part_of(place.first)
    u = piece.frame.local_point(mean(place.patch))[0]
    return Side.NEAR_END if 2 * u < part.length else Side.FAR_END


def _length(plan: SolvedPlan, place: JointPlace, kerf: Notch) -> Fraction:
    """How far (mm) a kerf goes in from the end, at its longer side."""
    piece = plan.pieces[place.first]
    if abs(dot(piece.frame.x, place.direction)) > _SQUARE:
        return max(far - near for near, far in map(kerf.shoulders, kerf.across))
    part = plan.part_of(place.first)
    heights = [dot(piece.frame.point(side_point(part, kerf.side, p)), place.direction) for p in kerf.outline]
    return settled(max(heights) - min(heights))
