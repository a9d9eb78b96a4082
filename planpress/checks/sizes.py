"""Rules on sizes of parts and the whole: mass, short parts, wide wood, even gaps and openings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Final

import numpy as np

from planpress.checks.checking import Checking, Found, note, warning
from planpress.geometry.vectors import Vec, cross, dot
from planpress.model.contacts import square_to
from planpress.model.records import JointPlace, SolvedPlan
from planpress.work.facts import edge_lengths
from planpress.work.guidance import SHORT_PART, TWO_PEOPLE

#: A solid board wider than this (mm) moves enough to be seen; held across the grain over more than the second figure it
#: splits (common practice, no source).
WIDE_BOARD: Final = Fraction(150)
MOST_HELD: Final = Fraction(100)
#: Softwood moves about 0.25 % of its width for each percent of moisture; indoors it swings by about 4 %.
MOVEMENT: Final = Fraction(1, 100)
#: Openings (mm) in which a head or a finger can be caught: child-care guidance that cites the Public Playground Safety
#: Handbook, used here by analogy.
HEAD: Final = (Fraction(89), Fraction(229))
FINGER: Final = (Fraction(10), Fraction(25))
#: Gaps of a row that differ by more than this (mm) are not equal.
_UNEVEN: Final = Fraction(1, 10)


def mass(checking: Checking) -> Found:
    """P42: a piece that one person should not lift."""
    total = checking.plan.mass
    if total is not None and total > TWO_PEOPLE:
        yield note("P42", f"the whole weighs about {checking.say.mass(total)}; two people should lift it")


def short_parts(checking: Checking) -> Found:
    """P43, P44: parts too short to be machined or sawn while held by hand."""
    for part in checking.plan.parts:
        longest = edge_lengths(part)[1]
        if longest >= SHORT_PART:
            continue
        planed = part.material.form == "rough"
        yield note(
            "P43" if planed else "P44",
            f"{checking.called(part)} is only {checking.say.length(longest)} long; "
            + ("plane it as a longer blank and cut it afterwards" if planed else "clamp it or use a sled to saw it"),
            checking.part_place(part),
            expected=f"{checking.say.at_least(SHORT_PART)} or more at a machine",
        )


def wide_boards(checking: Checking) -> Found:
    """P62: solid wood so wide that its movement shows."""
    for part in checking.plan.parts:
        if part.material.form != "sheet" and part.width > WIDE_BOARD:
            yield note(
                "P62",
                f"{checking.called(part)} is {checking.say.length(part.width)} wide; in a year it may swell and"
                " shrink by"
                f" about {checking.say.joint(part.width * MOVEMENT)}",
                checking.part_place(part),
                hint="leave it room across the grain",
            )


def held_across(checking: Checking) -> Found:
    """P63: wide solid wood glued or screwed across the grain of another part."""
    told: dict[str, None] = {}
    joined: dict[tuple[str, frozenset[str]], list[Vec]] = {}
    for place in checking.plan.joints:
        joined.setdefault((place.joint, frozenset((place.first, place.second))), []).extend(place.patch)
    for place in checking.plan.joints:
        if place.joint in told or not (place.glue or place.kind == "screw"):
            continue
        for own, other in ((place.first, place.second), (place.second, place.first)):
            points = joined[place.joint, frozenset((own, other))]
            width = _held(checking.plan, place, own, other, points)
            if width > MOST_HELD:
                told[place.joint] = None
                yield warning(
                    "P63",
                    f"joint '{place.joint}' holds '{own}' over {checking.say.length(width)} across its grain; it may"
                    " split"
                    " when the wood shrinks",
                    checking.joint_place(place.joint),
                    expected=f"at most {checking.say.length(MOST_HELD)} held fast",
                    hint="fix it in the middle only, with slots or buttons beside",
                )
                break


def _held(plan: SolvedPlan, place: JointPlace, own: str, other: str, points: Sequence[Vec]) -> Fraction:
    """Width (mm) across the grain of a solid piece over which another, whose grain runs that way, holds it.

    A shelf's end in a side of the same wood does not: both swell along the joint.
    """
    grain, across = plan.pieces[own].frame.x, plan.pieces[other].frame.x
    way: Vec = cross(square_to(place.patch, place.direction), grain)
    if plan.part_of(own).material.form == "sheet" or abs(dot(grain, across)) > Fraction(1, 2):
        return Fraction(0)
    if plan.part_of(other).material.form != "sheet" and abs(dot(way, across)) < Fraction(1, 2):
        return Fraction(0)
    reach = [dot(p, way) for p in points]
    return max(reach) - min(reach)


def rows(checking: Checking) -> Iterator[tuple[str, tuple[Fraction, ...]]]:
    """Letter and gaps (mm, in order) of every row of three or more pieces of one part that lie side by side."""
    plan = checking.plan
    groups: dict[tuple[tuple[str, int], str], list[str]] = {}
    for piece in plan.pieces.values():
        groups.setdefault((piece.assembly, piece.letter), []).append(piece.id)
    for (_, letter), pieces in groups.items():
        if len(pieces) < 3 or not _parallel(checking, pieces):
            continue
        boxes = [checking.corners(piece) for piece in pieces]
        low, high = np.array([b.min(axis=0) for b in boxes]), np.array([b.max(axis=0) for b in boxes])
        for axis in (1, 0, 2):
            order = np.argsort(low[:, axis], kind="stable")
            gaps = low[order[1:], axis] - high[order[:-1], axis]
            if (gaps > 0).all():
                yield letter, tuple(Fraction(round(float(gap), 6)) for gap in gaps)
                break


def _parallel(checking: Checking, pieces: Sequence[str]) -> bool:
    ways = np.array([checking.frame(piece)[1][0] for piece in pieces])
    return bool((np.abs(ways @ ways[0]) > 1 - 1e-6).all())


def even_gaps(checking: Checking) -> Found:
    """P31: pieces in a row stand evenly."""
    told: dict[str, None] = {}
    for letter, gaps in rows(checking):
        if max(gaps) - min(gaps) > _UNEVEN and letter not in told:
            told[letter] = None
            part = checking.plan.part(letter)
            yield note(
                "P31",
                f"the gaps between pieces of {checking.called(part)} differ, from {checking.say.joint(min(gaps))} to"
                f" {checking.say.joint(max(gaps))}",
                checking.part_place(part),
                hint="if they should be equal: gap = (width - n * thickness) / (n - 1)",
            )


def openings(checking: Checking) -> Found:
    """P66: gaps in a row in which a head or a finger can be caught."""
    told: dict[tuple[str, str], None] = {}
    for letter, gaps in rows(checking):
        for what, (low, high) in (("head", HEAD), ("finger", FINGER)):
            caught = [gap for gap in gaps if low <= gap <= high]
            if caught and (letter, what) not in told:
                told[letter, what] = None
                part = checking.plan.part(letter)
                yield note(
                    "P66",
                    f"the gaps of {checking.say.joint(caught[0])} between pieces of {checking.called(part)} are of a"
                    " size"
                    f" that can catch a {what}",
                    checking.part_place(part),
                    hint="not for children's furniture",
                )
