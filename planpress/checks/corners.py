"""Rules on finger joints, dovetails, mitres and edge glue-ups: proportions that the trade has found to hold."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final, TypeVar

from planpress.base.diagnostics import Diagnostic
from planpress.base.reference.woods import find_wood
from planpress.checks.checking import Checking, Found, listed_once, note, warning
from planpress.description import records as described
from planpress.model.records import Notch, Part

#: Lengths (mm) closer than this are the same.
SAME: Final = Fraction(1, 1000)
#: A finger's share of the thickness it is cut in: a quarter to once (from memory); wider ones are let pass up to twice,
#: since three fingers are the fewest that look alike from both edges. Thinner than the last figure (mm), it breaks.
FINGER_SHARE: Final = (Fraction(1, 4), Fraction(2))
LEAST_FINGER: Final = Fraction(3)
#: n of a dovetail's slope 1 : n. The trade gives 1 : 6 for softwood, 1 : 8 for hardwood, 1 : 7 for fine work (from
#: memory); one step either way is let pass.
SOFTWOOD_SLOPES: Final = (Fraction(5), Fraction(7))
HARDWOOD_SLOPES: Final = (Fraction(6), Fraction(9))
#: The narrow side of a pin (mm): the narrowest usual chisel, 1/8 in (common practice, no source).
LEAST_PIN: Final = Fraction(3)
#: A spline's share of the thickness it lies in: a quarter to a third (from memory); a saw's cut may be less.
STRIP_SHARE: Final = (Fraction(1, 6), Fraction(1, 3))
#: Wood (mm) beside a spline's slot: 1/8 in (common practice, no source).
LEAST_BESIDE: Final = Fraction(3)
#: A board in a glue-up that is wider (mm) cups: 5 in (from memory).
WIDEST: Final = Fraction(125)

_Joint = TypeVar("_Joint", described.FingerJoint, described.DovetailJoint, described.MitreJoint, described.EdgeJoint)


def _cuts(checking: Checking, kind: type[_Joint]) -> Iterator[tuple[_Joint, Part, Notch]]:
    for part in checking.plan.parts:
        for n in part.notches:
            joint = checking.joint(n.joint)
            if isinstance(joint, kind) and n.mates:
                yield joint, part, n


def fingers(checking: Checking) -> Found:
    """P120: fingers neither so thin that they break nor so wide that little is glued."""
    found: list[tuple[str, Diagnostic]] = []
    for joint, part, n in _cuts(checking, described.FingerJoint):
        wide, low, high = n.width - n.fit / 2, FINGER_SHARE[0] * n.depth, FINGER_SHARE[1] * n.depth
        if max(low, LEAST_FINGER) - SAME <= wide <= high + SAME:
            continue
        say = checking.say
        message = (
            f"joint '{joint.name}': its fingers are {say.joint(wide)} wide; {checking.called(part)} is"
            f" {say.joint(n.depth)} thick"
        )
        expected = f"{say.joint(max(low, LEAST_FINGER))} to {say.joint(high)}, a quarter to twice the thickness"
        hint = "give fewer 'fingers'" if wide < high else "give more 'fingers'"
        found.append((joint.name, warning("P120", message, joint.place, expected, hint)))
    return listed_once(found)


def _slope(n: Notch) -> Fraction | None:
    """n of 1 : n of a socket's leaning walls; None if there is none."""
    count = len(n.outline)
    for k in range(count):
        (a, b), (c, d) = n.outline[k], n.outline[(k + 1) % count]
        run, rise = (abs(c - a), abs(d - b)) if n.side.axis else (abs(d - b), abs(c - a))
        if run > SAME and rise > SAME:
            return run / rise
    return None


def dovetail_slopes(checking: Checking) -> Found:
    """P121: a dovetail so steep that its corners break, or so flat that it pulls out, goes by the wood."""
    found: list[tuple[str, Diagnostic]] = []
    for joint, part, n in _cuts(checking, described.DovetailJoint):
        slope, wood = _slope(n), find_wood(part.material.species)
        if slope is None or part.material.form == "sheet":
            continue
        low, high = HARDWOOD_SLOPES if wood is not None and wood.is_hardwood else SOFTWOOD_SLOPES
        if wood is None:
            low, high = SOFTWOOD_SLOPES[0], HARDWOOD_SLOPES[1]
        if low - SAME <= slope <= high + SAME:
            continue
        steep = slope < low
        message = (
            f"joint '{joint.name}': a slope of 1 : {float(slope):.3g} in {part.material.species} is"
            f" {'steep; the corners of the tails break' if steep else 'slight; the tails hold little'}"
        )
        expected = f"1 : {low} to 1 : {high}"
        found.append(
            (joint.name, warning("P121", message, joint.place, expected, "leave 'slope' out to go by the wood"))
        )
    return listed_once(found)


def thin_pins(checking: Checking) -> Found:
    """P122: a pin is no narrower than a chisel."""
    found: list[tuple[str, Diagnostic]] = []
    for joint, part, n in _cuts(checking, described.DovetailJoint):
        if not n.side.axis:
            continue
        pin = n.width - n.fit / 2  # either board gives half
        if pin < LEAST_PIN - SAME:
            message = (
                f"joint '{joint.name}': pins between the tails of {checking.called(part)} are only"
                f" {checking.say.joint(pin)} wide at their narrow side"
            )
            expected = f"at least {float(LEAST_PIN):g} mm, the narrowest chisel"
            found.append((joint.name, warning("P122", message, joint.place, expected, "give a larger 'pin'")))
    return listed_once(found)


def dovetails_in_sheets(checking: Checking) -> Found:
    """P123: the plies of a sheet chip and shear where a dovetail leans."""
    found: list[tuple[str, Diagnostic]] = []
    for joint, part, _ in _cuts(checking, described.DovetailJoint):
        if part.material.form == "sheet":
            message = (
                f"joint '{joint.name}' cuts dovetails in {checking.called(part)}, a sheet, whose plies chip and shear"
            )
            found.append((joint.name, warning("P123", message, joint.place, hint="use a finger joint")))
    return listed_once(found)


def _slot_sizes(part: Part, n: Notch) -> tuple[Fraction, Fraction]:
    """Thickness of the wood in which a spline's slot lies, and the least wood (mm) beside the slot."""
    if n.start:
        size = part.size_along(n.side.axis)
        return size, min(n.start, size - n.start - n.depth)
    size = part.size_along(3 - n.side.axis)
    return size, min(n.across[0], size - n.across[1])


def spline_thickness(checking: Checking) -> Found:
    """P124: a spline is a quarter to a third as thick as the wood it lies in."""
    found: list[tuple[str, Diagnostic]] = []
    for joint, part, n in _cuts(checking, described.MitreJoint):
        (size, _), (low, high) = _slot_sizes(part, n), STRIP_SHARE
        if not low * size - SAME <= n.width - n.fit <= high * size + SAME:
            message = (
                f"joint '{joint.name}': the spline is {checking.say.joint(n.width - n.fit)} thick in"
                f" {checking.called(part)}, {checking.say.joint(size)} thick there"
            )
            expected = f"about {checking.say.joint(size / 4)} to {checking.say.joint(size / 3)}, a quarter to a third"
            found.append((joint.name, warning("P124", message, joint.place, expected, "give another 'thickness'")))
    return listed_once(found)


def spline_walls(checking: Checking) -> Found:
    """P125: enough wood beside the slot of a spline."""
    found: list[tuple[str, Diagnostic]] = []
    for joint, part, n in _cuts(checking, described.MitreJoint):
        left = _slot_sizes(part, n)[1]
        if left < LEAST_BESIDE - SAME:
            message = (
                f"joint '{joint.name}': only {checking.say.joint(left)} of wood is left beside the spline's slot in"
                f" {checking.called(part)}"
            )
            expected = f"at least {float(LEAST_BESIDE):g} mm"
            found.append((joint.name, warning("P125", message, joint.place, expected, "make the spline less deep")))
    return listed_once(found)


def shallow_strips(checking: Checking) -> Found:
    """P126: a spline or tongue sits at least as deep in each member as it is thick."""
    found: list[tuple[str, Diagnostic]] = []
    for place in checking.plan.joints:
        if place.kind not in ("spline", "tongue"):
            continue
        part = checking.plan.part_of(place.first)
        deep = (part.length if place.kind == "spline" else part.width) / 2
        if deep < part.thickness - SAME:
            message = (
                f"joint '{place.joint}': its {place.kind} sits only {checking.say.joint(deep)} deep in each member and"
                f" is {checking.say.joint(part.thickness)} thick"
            )
            expected = "at least its thickness"
            item = warning("P126", message, checking.joint_place(place.joint), expected, "give a greater 'depth'")
            found.append((place.joint, item))
    return listed_once(found)


def bare_mitres(checking: Checking) -> Found:
    """P127: the faces of a mitre are half end grain, on which glue alone holds little."""
    told: dict[str, None] = {}
    pairs = [(j.kind, {j.first, j.second}) for j in checking.plan.joints if j.kind in ("dowel", "screw")]
    for place in checking.plan.joints:
        joint = checking.joint(place.joint)
        if not isinstance(joint, described.MitreJoint) or joint.spline or not joint.glue or joint.name in told:
            continue
        if not any(pair == {place.first, place.second} for _, pair in pairs):
            told[joint.name] = None
            message = f"joint '{joint.name}' is a mitre held by glue alone, much of it on end grain"
            yield note("P127", message, joint.place, hint="give it a 'spline'")


def wide_strips(checking: Checking) -> Found:
    """P128: wide boards in a glued panel cup."""
    told: dict[str, None] = {}
    for place in checking.plan.joints:
        if place.kind != "edge glue-up":
            continue
        for piece in (place.first, place.second):
            part = checking.plan.part_of(piece)
            if part.material.form == "sheet" or part.width <= WIDEST or part.letter in told:
                continue
            told[part.letter] = None
            message = (
                f"joint '{place.joint}' glues {checking.called(part)}, {checking.say.length(part.width)} wide, into a"
                " panel; wide boards cup"
            )
            expected = f"at most {float(WIDEST):g} mm"
            hint = "rip it and turn every second strip over"
            yield note("P128", message, checking.joint_place(place.joint), expected, hint)
