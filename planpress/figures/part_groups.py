"""What the cuts of a part make together: a tenon is several cheeks, a row of fingers many slots.

Cuts of one joint that run out of one end are one `EndJoint`; every other notch is a kind of its own, see `part_notes`.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from fractions import Fraction
from typing import Literal, TypeAlias

from attrs import frozen

from planpress.model.records import Notch, Part, Side

Form: TypeAlias = Literal["tenon", "fork", "haunch", "fingers", "tails", "pins", "slot"]
Lie: TypeAlias = Literal["pocket", "across", "along"]

#: Rows of like cuts longer than this are told by count and pitch.
MANY = 60
_SAME = Fraction(1, 10**6)
_HELD = ("lap", "housing", "rabbet", "groove", "mortise")


@frozen
class EndJoint:
    """What the cuts of one joint make of an end.

    Attributes:
        end, joint, kind: where, and the joint's name and kind.
        form: tenon (with what is cut into it); fork of a bridle; the slot of a haunch, from a mortise to the end;
            fingers; tails; pins; a slot in the end, for a spline.
        notches: in order. ends: both ends if the other one is cut alike, else only `end`.
        mates: letters of the parts it meets, at both ends.
    """

    end: Side
    joint: str
    kind: str
    form: Form
    notches: tuple[Notch, ...]
    ends: tuple[Side, ...]
    mates: tuple[str, ...]

    def of_role(self, *roles: str) -> tuple[Notch, ...]:
        """Its cuts of these roles."""
        return tuple(n for n in self.notches if n.role in roles)


def is_end_cut(notch: Notch) -> bool:
    """True for a cut that is drawn with the others of its end, not by itself."""
    return notch.side.axis == 0 or (notch.open_end is not None and notch.role not in _HELD)


def end_of(notch: Notch) -> Side:
    """The end that an end cut belongs to."""
    return notch.side if notch.side.axis == 0 else notch.open_end or Side.FAR_END


def end_joints(part: Part) -> tuple[EndJoint, ...]:
    """The joints at the ends, the far end first; ends that are cut alike are one."""
    groups: dict[tuple[Side, str], list[Notch]] = {}
    for notch in part.notches:
        if is_end_cut(notch):
            groups.setdefault((end_of(notch), notch.joint), []).append(notch)
    out: list[EndJoint] = []
    for (end, joint), notches in sorted(groups.items(), key=lambda item: not item[0][0].is_far):
        if all(notch.role == "corner" for notch in notches):
            continue  # told in words: the view shows all there is to see
        mates = tuple(dict.fromkeys(mate for n in notches for mate in n.mates))
        made = EndJoint(end, joint, notches[0].kind, _form(notches), tuple(notches), (end,), mates)
        alike = next((i for i, other in enumerate(out) if _alike(made, other, part)), None)
        if alike is None:
            out.append(made)
        else:
            other = out[alike]
            both = tuple(dict.fromkeys((*other.mates, *mates)))
            out[alike] = EndJoint(other.end, other.joint, other.kind, other.form, other.notches, (other.end, end), both)
    return tuple(out)


def _form(notches: Sequence[Notch]) -> Form:
    roles = {n.role for n in notches}
    kind = notches[0].kind
    if "cheek" in roles:
        return "tenon"
    if kind == "bridle":
        return "fork"
    if kind == "mortise and tenon" and "slot" in roles:
        return "haunch"
    if kind == "finger joint":
        return "fingers"
    if kind == "dovetail" or "socket" in roles:
        return "pins" if any(n.side.axis == 0 for n in notches) else "tails"
    return "slot"


def _alike(one: EndJoint, other: EndJoint, part: Part) -> bool:
    """True if two ends are cut alike, seen as mirror images along the length."""
    if one.form != other.form or one.end is other.end or len(one.notches) != len(other.notches):
        return False
    return _from_end(one, part) == _from_end(other, part)


def _from_end(joint: EndJoint, part: Part) -> list[tuple[object, ...]]:
    """Its cuts, measured from the end."""
    out: list[tuple[object, ...]] = []
    far = joint.end.is_far
    for n in joint.notches:
        if n.side.axis:
            points = sorted((part.length - u if far else u, s) for u, s in n.outline)
        else:
            points = sorted(n.outline)
        lean = None if n.direction is None else (abs(n.direction[0]), *n.direction[1:])
        side = n.side.axis if n.side.axis == 0 else n.side.value
        out.append((str(side), points, n.depth, n.start, n.radius, n.role, str(lean)))
    return sorted(out, key=repr)


def lie_of(notch: Notch, part: Part) -> Lie:
    """How a cut that is no end joint lies on its side: mortises are pockets; others run across it or along it."""
    if notch.role in ("mortise", "lap"):
        return "pocket" if notch.role == "mortise" else "across"
    (near, far), (low, high) = notch.span, notch.across
    size = part.thickness if notch.side.axis == 1 else part.width
    if notch.skew == 0 and far - near > high - low and (low > 0 or high < size or far - near == part.length):
        return "along" if abs(high - low - notch.width) < _SAME or far - near > 2 * (high - low) else "across"
    return "across"


def is_pitched(places: Sequence[Fraction]) -> bool:
    """True if positions stand in equal steps."""
    steps = {round(b - a, 4) for a, b in itertools.pairwise(places)}
    return len(places) > 2 and len(steps) == 1


def is_through(notch: Notch, part: Part) -> bool:
    """True if the cut goes through to the opposite side."""
    return notch.start + notch.depth >= part.size_along(notch.side.axis) - _SAME


def stops(notch: Notch, part: Part) -> tuple[Fraction, Fraction]:
    """How far a cut ends short of the low and the high border of its side, across the length; 0 where it runs out."""
    low, high = notch.across
    size = part.thickness if notch.side.axis == 1 else part.width
    return low, size - high
