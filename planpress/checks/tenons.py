"""Rules on mortises, tenons and bridles: proportions that the trade has found to hold."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from attrs import frozen

from planpress.base.printing import Units
from planpress.base.quantities import LENGTH
from planpress.checks.checking import Checking, Found, error, listed_once, note, warning
from planpress.checks.notches import MOST_GLUE_GAP, SAME
from planpress.description import records as described
from planpress.model.records import Notch, Part, Side
from planpress.model.tenon_sizes import leans_within, tenon_sizes
from planpress.model.tenons import kerf_places
from planpress.work.facts import to_ends

#: A tenon's share of its part's thickness (common practice: a third; up to a half where the other part is thicker).
THICKNESS_SHARE: Final = (Fraction(1, 3), Fraction(1, 2))
#: Wood (mm) beside and under a mortise: 1/4 in (common practice, no source).
LEAST_WALL: Final = Fraction(6)
#: A tenon wider than this many times its thickness, or than this (mm), shrinks off its glue: take two (common
#: practice, no source).
MOST_WIDTH: Final = (6, Fraction(100))
#: A blind tenon is at least this long (mm), or this share of the part it sits in (common practice, no source).
LEAST_LENGTH: Final = (Fraction(25), Fraction(2, 3))
#: Wood (mm) between a mortise and the end of its part: 1/2 in (common practice, no source).
LEAST_END: Final = Fraction(12)
#: A haunch takes at most this share of the rail's width, or the tenon is too narrow (W. Noyes, "Handwork in Wood",
#: chapter VII: the tenon is half the rail's width, less a groove).
MOST_HAUNCH: Final = Fraction(1, 2)
#: Wood (mm) of a tenon beside a kerf: thinner strips break when the wedge bends them (common practice, no source).
LEAST_STRIP: Final = Fraction(3)


@frozen
class _Tenon:
    """A tenon or tongue at the end of a part; sizes in mm. `width` is that of one tenon, `haunch` the haunch's.

    `count`: of tenons side by side. `squared`: it leans within its stick, square to the part it enters.
    """

    part: Part
    joint: str
    end: Side
    thickness: Fraction
    width: Fraction
    haunch: Fraction
    kerfs: tuple[Notch, ...]
    count: int
    squared: bool


def _tenons(checking: Checking) -> Iterator[_Tenon]:
    for part in checking.plan.parts:
        cuts = [n for n in part.notches if n.open_end is not None and _is_tenon(checking, n.joint)]
        for joint, end in dict.fromkeys((n.joint, n.open_end) for n in cuts if n.role == "cheek"):
            here = [n for n in cuts if (n.joint, n.open_end) == (joint, end)]
            cheeks = [n for n in here if n.role == "cheek"]
            long = max(n.width for n in cheeks)
            gaps = [n for n in here if n.role == "slot"]
            thick, wide = tenon_sizes(part, joint, end or Side.FAR_END)
            squared = any(leans_within(n, part) for n in cheeks)
            if squared:  # gaps are as wide as tenons
                wide *= Fraction(len(gaps) + 1, 2 * len(gaps) + 1)
            else:
                wide -= sum((n.across[1] - n.across[0] for n in gaps), Fraction(0))
            edges = [n for n in cheeks if n.side.axis == 1 and n.width < long - SAME and not n.skew and not squared]
            yield _Tenon(
                part,
                joint,
                end or Side.FAR_END,
                thick,
                wide / (len(gaps) + 1),
                sum((n.depth for n in edges), Fraction(0)),
                tuple(n for n in here if n.role == "kerf"),
                len(gaps) + 1,
                squared,
            )


def _is_tenon(checking: Checking, joint: str) -> bool:
    return isinstance(checking.joint(joint), described.TenonJoint)


def _mortises(checking: Checking) -> Iterator[tuple[Part, Notch]]:
    for part in checking.plan.parts:
        for n in part.notches:
            if n.role == "mortise" and _is_tenon(checking, n.joint):
                yield part, n


def tenon_thickness(checking: Checking) -> Found:
    """P110: a tenon is a third to a half as thick as its part."""
    found = []
    for t in _tenons(checking):
        share = t.thickness / t.part.thickness
        low, high = THICKNESS_SHARE
        if t.part.thickness - t.thickness > SAME and not low - SAME <= share <= high + SAME:
            message = (
                f"joint '{t.joint}': the tenon of {checking.called(t.part)} is {checking.say.joint(t.thickness)} thick,"
                f" {100 * float(share):.3g} % of its thickness"
            )
            expected, hint = "a third to a half", "give another 'thickness', or leave it out for a third"
            found.append((t.joint, warning("P110", message, checking.joint_place(t.joint), expected, hint)))
    return listed_once(found)


def mortise_walls(checking: Checking) -> Found:
    """P111: enough wood beside a mortise and under a blind one."""
    found = []
    for part, n in _mortises(checking):
        size = part.size_along(3 - n.side.axis)
        under = part.size_along(n.side.axis) - n.depth
        sides = [("beside", left) for left in (n.across[0], size - n.across[1]) if left > SAME]
        thin = [(word, left) for word, left in [*sides, ("under", under)] if SAME < left < LEAST_WALL - SAME]
        for word, left in thin[:1]:
            message = (
                f"joint '{n.joint}': only {checking.say.joint(left)} of wood is left {word} the mortise in"
                f" {checking.called(part)}"
            )
            expected = f"at least {float(LEAST_WALL):g} mm"
            hint = "take a thinner or shorter tenon, or set it off to the other side"
            found.append((n.joint, warning("P111", message, checking.joint_place(n.joint), expected, hint)))
    return listed_once(found)


def tenon_width(checking: Checking) -> Found:
    """P112: a wide tenon shrinks off its glue and takes much wood out of the other part."""
    found = []
    for t in _tenons(checking):
        most = min(MOST_WIDTH[0] * t.thickness, MOST_WIDTH[1])
        if t.width > most + SAME and not _is_bridle(checking, t.joint):
            message = (
                f"joint '{t.joint}': the tenon of {checking.called(t.part)} is {checking.say.joint(t.width)} wide and"
                f" {checking.say.joint(t.thickness)} thick"
            )
            expected = f"at most {checking.say.joint(most)}, {MOST_WIDTH[0]} times its thickness or 100 mm"
            hint = "give 'tenons: 2', or a smaller 'width'"
            found.append((t.joint, warning("P112", message, checking.joint_place(t.joint), expected, hint)))
    return listed_once(found)


def _is_bridle(checking: Checking, joint: str) -> bool:
    record = checking.joint(joint)
    return isinstance(record, described.TenonJoint) and record.kind == "bridle"


def tenon_length(checking: Checking) -> Found:
    """P113: a short blind tenon holds little."""
    found = []
    for part, n in _mortises(checking):
        size = part.size_along(n.side.axis)
        least = min(LEAST_LENGTH[0], LEAST_LENGTH[1] * size)
        if n.depth < size - SAME and n.depth < least - SAME:
            message = (
                f"joint '{n.joint}': the mortise in {checking.called(part)} is only {checking.say.joint(n.depth)} deep"
            )
            expected = f"at least {checking.say.joint(least)}"
            hint = "let the parts reach further into each other"
            found.append((n.joint, note("P113", message, checking.joint_place(n.joint), expected, hint)))
    return listed_once(found)


def mortise_ends(checking: Checking) -> Found:
    """P114: wood between a mortise and the end of its part, or it splits out when the tenon is driven in."""
    found = []
    for part, n in _mortises(checking):
        left = min(to_ends(part, n))
        if n.open_end is not None or left < LEAST_END - SAME:
            where = f"the mortise in {checking.called(part)}"
            if n.open_end is not None:
                message = f"joint '{n.joint}': {where} is open at the end"
            else:
                message = f"joint '{n.joint}': only {checking.say.joint(left)} of wood is left from {where} to the end"
            expected = f"at least {float(LEAST_END):g} mm"
            hint = "give a 'haunch', a smaller 'width', or leave the part longer until the glue is dry"
            found.append((n.joint, warning("P114", message, checking.joint_place(n.joint), expected, hint)))
    return listed_once(found)


def haunches(checking: Checking) -> Found:
    """P115: a wide haunch leaves a narrow tenon."""
    found = []
    for t in _tenons(checking):
        if t.haunch > MOST_HAUNCH * t.part.width + SAME:
            message = (
                f"joint '{t.joint}': the haunch of {checking.called(t.part)} is {checking.say.joint(t.haunch)} wide,"
                f" the tenon {checking.say.joint(t.width)}"
            )
            hint = "give a smaller 'haunch_width', or leave it out for a third of the width"
            found.append(
                (t.joint, warning("P115", message, checking.joint_place(t.joint), "at most half of the width", hint))
            )
    return listed_once(found)


def wedge_strips(checking: Checking) -> Found:
    """P116: the wood beside a wedge must bend, not break."""
    found = []
    for t in _tenons(checking):
        for strip in _strips(t):
            if strip < LEAST_STRIP - SAME:
                message = (
                    f"joint '{t.joint}': a strip only {checking.say.joint(strip)} wide is left beside a wedge in the"
                    f" tenon of {checking.called(t.part)}"
                )
                expected = f"at least {float(LEAST_STRIP):g} mm"
                found.append(
                    (t.joint, warning("P116", message, checking.joint_place(t.joint), expected, "take fewer 'wedges'"))
                )
    return listed_once(found)


def _strips(t: _Tenon) -> list[Fraction]:
    """Wood (mm) between the kerfs of a tenon, and from the outer ones to its borders."""
    if not t.kerfs:
        return []
    if t.squared:
        size, each = (t.width, t.count) if t.kerfs[0].side.axis == 2 else (t.thickness, 1)
        places, half = kerf_places(Fraction(0), size, len(t.kerfs) // each), t.kerfs[0].width / 2
        borders = [Fraction(0), *(p + s for p in places for s in (-half, half)), size]
        return [b - a for a, b in zip(borders[::2], borders[1::2], strict=True)]
    axis = 3 - t.kerfs[0].side.axis
    cuts = [n for n in t.part.notches if n.joint == t.joint and n.open_end is t.end]
    low = sum((n.depth for n in cuts if n.role == "cheek" and n.side.axis == axis and not n.side.is_far), Fraction(0))
    high = t.part.size_along(axis)
    high -= sum((n.depth for n in cuts if n.role == "cheek" and n.side.axis == axis and n.side.is_far), Fraction(0))
    taken = sorted(n.across for n in cuts if n.role == "kerf" or (n.role == "slot" and n.side is t.kerfs[0].side))
    borders = [low, *(s for pair in taken for s in pair), high]
    return [b - a for a, b in zip(borders[::2], borders[1::2], strict=True)]


def cutters(checking: Checking) -> Found:
    """P117: the router bit that is to cut a mortise goes into it."""
    found = []
    for part, n in _mortises(checking):
        record = checking.joint(n.joint)
        if not isinstance(record, described.TenonJoint) or record.cutter is None:
            continue
        formula = record.cutter.metric if checking.plan.units is Units.METRIC else record.cutter.imperial
        bit = formula.quantity(checking.plan.values, LENGTH).value
        if bit > n.width + SAME:
            message = (
                f"joint '{n.joint}': a bit of {checking.say.joint(bit)} cannot cut the mortise in"
                f" {checking.called(part)}, which is {checking.say.joint(n.width)} wide"
            )
            hint = "take a smaller 'cutter', or give the tenon the bit's 'thickness'"
            found.append((n.joint, error("P117", message, checking.joint_place(n.joint), hint=hint)))
    return listed_once(found)


def glue_gaps(checking: Checking) -> Found:
    """P118: a glued tenon sits close.

    A university's test of mortise joints, as reported in a forum, found 0.13 mm best, a fifth of the strength gone at
    twice that.
    """
    found = []
    for part in checking.plan.parts:
        for n in part.notches:
            if n.role not in ("mortise", "slot") or not _is_tenon(checking, n.joint):
                continue
            if checking.is_glued(n.joint) and not 0 <= n.fit <= MOST_GLUE_GAP:
                message = f"joint '{n.joint}' is glued, with a fit of {float(n.fit):g} mm"
                expected = f"0 to {float(MOST_GLUE_GAP):g} mm"
                hint = "give a smaller 'fit', or leave it out"
                found.append((n.joint, warning("P118", message, checking.joint_place(n.joint), expected, hint)))
    return listed_once(found)
