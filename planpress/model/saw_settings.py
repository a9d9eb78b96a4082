"""How to set the saw for the ends of a part, and the drill for a leg in a seat."""

from __future__ import annotations

from fractions import Fraction

from attrs import frozen

from planpress.geometry.compound import leaning, saw_angles
from planpress.geometry.vectors import Frame
from planpress.model.records import EndCut, Side

#: Blades of common saws tilt this far (common practice, no source).
MOST_TILT = Fraction(45)


@frozen
class SawSetting:
    """One crosscut.

    Attributes:
        gauge: degrees that the mitre gauge (or a mitre saw's arm) swings from square.
        tilt: degrees that the blade tilts from upright.
        down: the side of the part that lies on the table.
        longer: of the two sides that stand upright, the one that is the longer at this end; None if the gauge is
            square.
        overhangs: the side, on the table or on top, that is the longer at this end; None if the blade is upright.
    """

    gauge: Fraction
    tilt: Fraction
    down: Side
    longer: Side | None
    overhangs: Side | None


def saw_setting(end: EndCut, down: Side = Side.BACK) -> SawSetting:
    """The setting for an end with the part lying on one of its long sides.

    Raises:
        ValueError: if `down` is an end.
    """
    if down.axis == 0:
        raise ValueError("a part does not stand on its end to be cut")
    gauge, tilt = saw_angles(end.normal, down.axis)
    return SawSetting(gauge, tilt, down, _longer(end, 3 - down.axis), _longer(end, down.axis))


def best_setting(end: EndCut) -> SawSetting:
    """The setting with the part on its back, or on its lower edge if the blade would tilt too far and less so there."""
    flat, on_edge = saw_setting(end, Side.BACK), saw_setting(end, Side.LOWER)
    return on_edge if flat.tilt > MOST_TILT and on_edge.tilt < flat.tilt else flat


def _longer(end: EndCut, axis: int) -> Side | None:
    """The outward normal leans away from the longer side."""
    if not end.normal[axis]:
        return None
    far = end.normal[axis] < 0
    return next(side for side in Side if side.axis == axis and side.is_far == far)


@frozen
class DrillSetting:
    """How a leg's hole is drilled in a seat: `lean` degrees from square to the seat, along a sight line that is drawn
    at `sight` degrees from the seat's length (towards its upper edge), seen on the reference face."""

    lean: Fraction
    sight: Fraction


def drill_setting(leg: Frame, seat: Frame) -> DrillSetting:
    """The setting for a leg (its length along the frame's x) in a seat, both as they stand; its foot is away from the
    seat in the direction of the sight line.
    """
    axis = seat.local_direction(leg.x)
    if axis[2] < 0:
        axis = (-axis[0], -axis[1], -axis[2])
    lean, sight = leaning(axis)
    return DrillSetting(lean, sight if not lean else (sight + 360) % 360)
