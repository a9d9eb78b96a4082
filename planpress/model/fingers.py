"""Finger joints: equal fingers share the width of a corner, the first board has the outer ones.

The slots go through each board's thickness and are open at its end, as deep as the mate is thick.
"""

from __future__ import annotations

from fractions import Fraction

from planpress.description.records import FingerJoint
from planpress.model.blanks import Blank
from planpress.model.corners import CornerEnd, cut_out, full_corner
from planpress.model.cutting import Cut, JointError, Settings
from planpress.model.records import JointPlace

_KIND = "finger joint"


def cut_fingers(first: Blank, second: Blank, joint: FingerJoint, settings: Settings) -> Cut | None:
    """Cut the slots of one corner into both boards; None if they have no space in common.

    Finger 0 begins at the first board's lower edge and is its own; they alternate from there. `fit` is the play of a
    finger in its slot: each wall between two fingers stands back by a quarter of it on either board, the outer edges
    stay where they are.

    Raises:
        JointError: if they share space otherwise than in a full corner, or the fit leaves no fingers.
        FormulaError: if a setting makes no sense.
    """
    count = settings.whole(joint.fingers, 0, least=2)
    fit = settings.length(joint.fit)
    corner = full_corner(first, second)
    if corner is None:
        return None
    if not count:
        count = usual_fingers(corner.width, min(corner.first.thickness, corner.second.thickness))
    pitch = corner.width / count
    if abs(fit) >= pitch:
        raise JointError(f"a fit of {float(fit):g} mm leaves nothing of fingers {float(pitch):.4g} mm wide")
    for i in range(count):
        own, mate = (corner.second, corner.first) if i % 2 == 0 else (corner.first, corner.second)
        _slot(own, mate, i, count, pitch, fit, joint.name)
    middle = (count // 2) if count // 2 % 2 else count // 2 - 1  # a finger of the second board, near the middle
    end = corner.first
    patch = tuple(
        end.world(end.reach, end.thickness * deep, pitch * k)
        for deep, k in ((0, middle), (0, middle + 1), (1, middle + 1), (1, middle))
    )
    return Cut(JointPlace(joint.name, _KIND, first.id, second.id, end.outward, patch, joint.glue))


def usual_fingers(width: Fraction, thickness: Fraction) -> int:
    """The odd number of fingers, three or more, of which each comes nearest to the stock's thickness.

    An odd number leaves both edges of a board alike (common practice, no source).
    """
    near = int(width / thickness)
    choices = [n for n in range(max(3, near - 2), near + 4) if n % 2]
    return min(choices, key=lambda n: (abs(width / n - thickness), n)) if choices else 3


def _slot(own: CornerEnd, mate: CornerEnd, i: int, count: int, pitch: Fraction, fit: Fraction, joint: str) -> None:
    """The slot in `own` for finger `i` of `mate`."""
    walls = [place for place in (i, i + 1) if 0 < place < count]
    low = pitch * i - (fit / 4 if i in walls else 0)
    high = pitch * (i + 1) + (fit / 4 if i + 1 in walls else 0)
    nothing = Fraction(0)
    cut_out(
        own,
        mate,
        ((nothing, low), (own.reach, low), (own.reach, high), (nothing, high)),
        side="outer",
        role="slot",
        joint=joint,
        kind=_KIND,
        width=high - low,
        fit=fit * len(walls) / 2,
    )
