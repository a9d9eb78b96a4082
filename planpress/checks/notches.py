"""Rules on notches: widths, depths, and the wood that is left around them."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Final

import numpy as np

from planpress.base.diagnostics import Diagnostic
from planpress.base.quantities import LENGTH
from planpress.checks.checking import Checking, Found, error, listed_once, note, warning
from planpress.description import records as described
from planpress.geometry.mesh import Floats
from planpress.geometry.vectors import floats
from planpress.model.contacts import square_to
from planpress.model.records import JointPlace, Notch, Part, SolvedPlan
from planpress.work.facts import to_ends

#: Sizes (mm) closer than this are the same: solved lengths are exact but for leaning axes.
SAME: Final = Fraction(1, 1000)
#: Clearance (mm) that a glued lap may have. A reported test of mortise joints found 0.13 mm best and a fifth of the
#: strength gone at twice that; used for laps by analogy (common practice, no source).
MOST_GLUE_GAP: Final = Fraction(1, 4)
#: Wood (mm) between a notch and the end of a part, and between two features (common practice, no source).
LEAST_END: Final = Fraction(25)
LEAST_WALL: Final = Fraction(6)


#: Wood (mm) beside a groove, to the border of its side: 3/16 in (common practice, no source).
LEAST_BESIDE: Final = Fraction(5)
#: Cuts as wide as the whole mate, and cuts that something sits in (mortises have rules of their own in `tenons`, others
#: take wood off a member's own end).
_FITTED: Final = ("lap", "housing", "groove")
_HOLDING: Final = ("lap", "housing", "groove", "rabbet")
#: Cuts along a member that others cross as a matter of course.
_RUNNING: Final = ("groove", "rabbet")


def widths(checking: Checking) -> Found:
    """P12: a notch is as wide as what goes into it, plus the fit that was asked for; glued laps have a small fit."""
    for part in checking.plan.parts:
        for joint in dict.fromkeys(n.joint for n in part.notches if n.role in _FITTED):
            own = [n for n in part.notches if n.joint == joint and n.role in _FITTED]
            yield from _width(checking, part, own)


def _width(checking: Checking, part: Part, notches: list[Notch]) -> Iterator[Diagnostic]:
    say, joint = checking.say, notches[0].joint
    wrong = [n for n in notches if abs(n.width - wanted_width(checking.plan, n)) > SAME]
    if wrong:
        n = wrong[0]
        yield error(
            "P12",
            f"joint '{joint}': the notch in {checking.called(part)} is {say.joint(n.width)} wide, but"
            f" {' and '.join(n.mates)}"
            f" with the fit {'takes' if len(n.mates) == 1 else 'take'} {say.joint(wanted_width(checking.plan, n))}",
            checking.joint_place(joint),
            expected="the mate's finished size plus the fit",
            hint="let the joint find the width from its mate",
        )
    fit = notches[0].fit
    if checking.is_glued(joint) and not 0 <= fit <= MOST_GLUE_GAP:
        yield warning(
            "P12",
            f"joint '{joint}' is glued, with a fit of {float(fit):g} mm",
            checking.joint_place(joint),
            expected=f"0 to {float(MOST_GLUE_GAP):g} mm",
            hint="give a smaller 'fit', or leave it out",
        )


def wanted_width(plan: SolvedPlan, notch: Notch) -> Fraction:
    """Sizes of the mates side by side, and the fit once (mm)."""
    mates = [plan.part(letter) for letter in notch.mates]
    axis = ("length", "width", "thickness").index(notch.mate_size)
    sizes = [mate.size_along(axis) for mate in mates]
    return sum(sizes, notch.fit)


def depths(checking: Checking) -> Found:
    """P13: at every lap the depths of both notches add up to the overlap of the two members."""
    found: list[tuple[str, Diagnostic]] = []
    finder = _NotchFinder(checking)
    for place in checking.plan.joints:
        if "lap" not in place.kind:
            continue
        low_1, high_1 = checking.extent(place.first, place.direction)
        low_2, high_2 = checking.extent(place.second, place.direction)
        overlap = Fraction(min(high_1, high_2) - max(low_1, low_2))
        cut = [finder.at(place, piece) for piece in (place.first, place.second)]
        total = sum((n.depth for n in cut if n is not None), Fraction(0))
        if abs(total - overlap) > SAME:
            message = (
                f"joint '{place.joint}': the notches of '{place.first}' and '{place.second}' are"
                f" {checking.say.joint(total)} deep together, their overlap is {checking.say.joint(overlap)}"
            )
            hint = "give a 'depth' below the overlap, or leave it out"
            found.append((place.joint, error("P13", message, checking.joint_place(place.joint), hint=hint)))
    return listed_once(found)


def floors(checking: Checking) -> Found:
    """P14: what is let into a housing or groove reaches its floor, or stops short of it by the described room."""
    found: list[tuple[str, Diagnostic]] = []
    finder = _NotchFinder(checking)
    for place in checking.plan.joints:
        joint = checking.joint(place.joint)
        cut = finder.at(place, place.second)
        if not isinstance(joint, described.HousedJoint) or joint.kind == "rabbet" or cut is None:
            continue
        way = square_to(place.patch, place.direction)
        reach = Fraction(checking.extent(place.first, way)[1] - checking.extent(place.second, way)[0])
        room = joint.room.quantity(checking.plan.values, LENGTH).value if joint.room else Fraction(0)
        if abs(cut.depth - reach - room) > SAME:
            message = (
                f"joint '{place.joint}': '{place.first}' reaches {checking.say.joint(reach)} into '{place.second}',"
                f" where the {joint.kind} is {checking.say.joint(cut.depth)} deep"
            )
            expected = f"a depth of {checking.say.joint(reach + room)}"
            item = error("P14", message, checking.joint_place(place.joint), expected=expected)
            found.append((place.joint, item))
    return listed_once(found)


class _NotchFinder:
    """Finds the notch of a joint at a place; keeps each part's outlines as plain numbers."""

    def __init__(self, checking: Checking) -> None:
        self._checking = checking
        self._boxes: dict[str, Floats] = {}

    def at(self, place: JointPlace, piece: str) -> Notch | None:
        """The notch in a piece at the middle of where the two members meet."""
        part = self._checking.plan.part_of(piece)
        if not part.notches:
            return None
        if part.letter not in self._boxes:
            rows = [[*n.span, *n.across, 2 if n.side.axis == 1 else 1] for n in part.notches]
            self._boxes[part.letter] = np.array(rows, dtype=np.float64)
        low_u, high_u, low_s, high_s, axis = self._boxes[part.letter].T
        middle = np.array([floats(p) for p in place.patch]).mean(axis=0)
        local = self._checking.local(piece, middle[None])[0]
        second = local[axis.astype(np.intp)]
        inside = (low_u < local[0]) & (local[0] < high_u) & (low_s < second) & (second < high_s)
        found = (part.notches[k] for k in np.flatnonzero(inside).tolist())
        return next((n for n in found if n.joint == place.joint), None)


def short_grain(checking: Checking) -> Found:
    """P19: wood between a notch and the end of its part that is short along the grain breaks off."""
    for part in checking.plan.parts:
        for n in part.notches:
            if n.open_end is not None or n.role not in _HOLDING or n.role in _RUNNING or _runs_along(n):
                continue
            left = min(to_ends(part, n))
            least = max(n.depth, LEAST_END)
            if left < least - SAME:
                yield warning(
                    "P19",
                    f"joint '{n.joint}': only {checking.say.length(left)} of wood is left between the notch and the end"
                    f" of {checking.called(part)}; short grain may break off",
                    checking.joint_place(n.joint),
                    expected=f"at least {checking.say.length(least)}, the notch's depth or {float(LEAST_END):g} mm",
                    hint=f"make '{part.name}' longer, or move its mate inwards",
                )
                break


def _runs_along(n: Notch) -> bool:
    """True if the walls of a notch run along its part, so that its width lies across."""
    return abs(n.across[1] - n.across[0] - n.width) <= SAME < abs(n.span[1] - n.span[0] - n.width)


def walls(checking: Checking) -> Found:
    """P20: thin walls between two notches, under a notch, or between notches on opposite sides."""
    for part in checking.plan.parts:
        thin = [*_under(part), *_beside(part), *_between(part)]
        if thin:
            joint, left, words = min(thin, key=lambda item: item[1])
            yield warning(
                "P20",
                f"only {checking.say.joint(max(left, Fraction(0)))} of wood is left {words} in {checking.called(part)}",
                checking.joint_place(joint),
                expected=f"at least {float(LEAST_WALL):g} mm",
                hint="set the mates further apart, or make the notch less deep",
            )


def _under(part: Part) -> Iterator[tuple[str, Fraction, str]]:
    for n in part.notches:
        left = part.size_along(n.side.axis) - n.depth
        if left < LEAST_WALL - SAME and n.role in _HOLDING:
            yield n.joint, left, "under a notch"


def _beside(part: Part) -> Iterator[tuple[str, Fraction, str]]:
    for n in part.notches:
        if n.role == "groove" and n.side.axis:
            left = min(n.across[0], part.size_along(3 - n.side.axis) - n.across[1])
            if 0 < left < LEAST_BESIDE - SAME and _runs_along(n):
                yield n.joint, left, "beside a groove"


def _between(part: Part) -> Iterator[tuple[str, Fraction, str]]:
    for a, b in _neighbours([n for n in part.notches if n.role in _HOLDING]):
        gap = max(b.span[0] - a.span[1], a.span[0] - b.span[1])
        running = a.role in _RUNNING or b.role in _RUNNING
        if running and (a.side.axis != b.side.axis or (a.side is b.side and max(gap, _gap_across(a, b)) < SAME)):
            continue
        if a.side is b.side and _gap_across(a, b) < LEAST_WALL and gap < LEAST_WALL - SAME:
            yield b.joint, max(gap, _gap_across(a, b)), "between two notches"
        elif a.side is b.side.opposite and gap < 0 and _gap_across(a, b) < 0:
            left = part.size_along(a.side.axis) - a.depth - b.depth
            if left < LEAST_WALL - SAME:
                yield b.joint, left, "between notches on opposite sides"
        elif a.side.axis != b.side.axis and gap < 0 and _meet_inside(part, a, b):
            yield b.joint, Fraction(0), "where notches on adjoining sides meet"


def _neighbours(notches: Sequence[Notch]) -> Iterator[tuple[Notch, Notch]]:
    """Pairs that overlap along the length, or nearly: those further apart have nothing to do with each other."""
    ordered = sorted(notches, key=lambda n: n.span[0])
    for i, a in enumerate(ordered):
        for b in itertools.islice(ordered, i + 1, None):
            if b.span[0] - a.span[1] >= LEAST_WALL:
                break
            yield a, b


def _gap_across(a: Notch, b: Notch) -> Fraction:
    return max(b.across[0] - a.across[1], a.across[0] - b.across[1])


def _meet_inside(part: Part, a: Notch, b: Notch) -> bool:
    """True if notches on adjoining sides run into each other: each reaches into what the other takes across."""
    return all(_reaches(part, one, other) for one, other in ((a, b), (b, a)))


def _reaches(part: Part, one: Notch, other: Notch) -> bool:
    """True if `one` (from its side, to its depth) reaches the range that `other` takes along that axis."""
    size = part.size_along(one.side.axis)
    low, high = (size - one.depth, size) if one.side.is_far else (Fraction(0), one.depth)
    return low < other.across[1] and high > other.across[0]


def weakened(checking: Checking) -> Found:
    """P59: what a deep notch leaves of a member's stiffness and strength.

    A rectangle's second moment of area goes with the cube of its depth, its section modulus with the square: exact.
    """
    for part in checking.plan.parts:
        cuts = [n for n in part.notches if n.role in _HOLDING and n.open_end is None and not _runs_along(n)]
        deep = [n for n in cuts if 2 * n.depth >= part.size_along(n.side.axis) - SAME]
        if deep:
            n = max(deep, key=lambda m: m.depth / part.size_along(m.side.axis))
            rest = float(1 - n.depth / part.size_along(n.side.axis))
            yield note(
                "P59",
                f"a notch takes {100 * (1 - rest):.3g} % of the depth of {checking.called(part)}: {100 * rest**3:.3g} %"
                " of"
                f" its bending stiffness and {100 * rest**2:.3g} % of its strength are left there",
                checking.joint_place(n.joint),
                hint="keep such notches where little load bends the part, or filled tightly on the upper side",
            )
