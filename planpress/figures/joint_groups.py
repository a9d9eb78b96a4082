"""Which joints of a plan are unlike: the places where two pieces meet, those that are cut alike taken together.

A screw or dowel that sits in a lap belongs to the lap: a meeting is everything that joins one pair of pieces.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cached_property
from typing import Final, TypeAlias

import numpy as np
from attrs import evolve, frozen

from planpress.geometry.mesh import Floats
from planpress.geometry.solids import Solid
from planpress.geometry.vectors import Vec, add, floats, scale
from planpress.model.congruence import hole_point
from planpress.model.records import Hole, JointPlace, Notch, Part, Piece, SolvedPlan
from planpress.model.solids import part_solid, side_point

#: Joints that need a fastener; they cut no wood but holes.
BY_FASTENER: Final = ("screw", "dowel")
#: Loose pieces that sit in both members.
LOOSE: Final = ("spline", "tongue")
# A cut belongs to the mate that lies within this many mm of it.
_NEAR = 1.0
# Sizes nearer than this (mm) are equal: leaning axes are rounded.
_ALIKE = 10**4

_Key: TypeAlias = tuple[object, ...]


@frozen
class Member:
    """One piece of a meeting with what is cut in it for the other.

    Attributes:
        piece: its id. part: what it is an instance of.
        notches: those of the meeting's joints that the mate reaches. holes: likewise, those drilled in place included.
        shown: the part with nothing cut in it but what the mate reaches, whatever joint that is for.
    """

    piece: str
    part: Part
    notches: tuple[Notch, ...]
    holes: tuple[Hole, ...]
    shown: Part

    @cached_property
    def key(self) -> _Key:
        """Equal for members that are cut alike, mirrored or not."""
        return (
            self.part.thickness,
            self.part.width,
            tuple(sorted(map(_notch_key, self.notches))),
            tuple(sorted(map(_hole_key, self.holes))),
        )

    @cached_property
    def solid(self) -> Solid:
        """What is shown of the part, in its own coordinates."""
        return part_solid(self.shown)


@frozen
class Meeting:
    """Two pieces that are joined.

    Attributes:
        joints: every place between them; the first cuts the wood, if any does.
        first, second: the piece that arrives and the one that it closes on.
        fasteners: ids ("H[0]") of the screws and dowels between them. loose: splines and tongues that sit in both.
    """

    joints: tuple[JointPlace, ...]
    first: Member
    second: Member
    fasteners: tuple[str, ...]
    loose: tuple[Member, ...] = ()

    @property
    def main(self) -> JointPlace:
        """What gives the meeting its name."""
        return self.joints[0]

    @property
    def members(self) -> tuple[Member, Member]:
        """First and second."""
        return (self.first, self.second)

    @property
    def is_glued(self) -> bool:
        """True if any of its joints is glued."""
        return any(place.glue for place in self.joints)

    @cached_property
    def key(self) -> _Key:
        """Equal for meetings that are cut alike, mirrored or not."""
        joints = tuple(sorted((place.kind, place.glue) for place in self.joints))
        loose = tuple(member.key for member in self.loose)
        return (self.main.kind, joints, self.first.key, self.second.key, len(self.fasteners), loose)

    def outer_points(self, plan: SolvedPlan) -> list[Vec]:
        """Points (world, mm) that the joint lies between: of its touching faces, cuts and holes."""
        points = [corner for place in self.joints for corner in place.patch]
        for member in self.members:
            frame = plan.pieces[member.piece].frame
            for notch in member.notches:
                points += [frame.point(corner) for corner in void_corners(notch, member.part)]
            for hole in member.holes:
                points += [frame.point(end) for end in hole_ends(hole, member.part)]
        return points


@frozen
class JointGroup:
    """Meetings that are cut alike, in order of the plan's joints; one detail shows them all."""

    meetings: tuple[Meeting, ...]

    @property
    def first(self) -> Meeting:
        """The one that is named first."""
        return self.meetings[0]

    @property
    def count(self) -> int:
        """In how many places it is made."""
        return len(self.meetings)

    def letters(self, number: int) -> tuple[str, ...]:
        """Letters of the parts that arrive (0) or receive (1), in order."""
        return tuple(dict.fromkeys(meeting.members[number].part.letter for meeting in self.meetings))

    def mirrored(self) -> tuple[tuple[str, str], ...]:
        """(letter, the letter it mirrors) of parts that are made both ways here."""
        found: dict[tuple[str, str], None] = {}
        for number in range(2):
            letters = self.letters(number)
            for meeting in self.meetings:
                part = meeting.members[number].part
                if part.mirror_of in letters:
                    found[part.letter, part.mirror_of] = None
        return tuple(found)


def joint_groups(plan: SolvedPlan) -> tuple[JointGroup, ...]:
    """The unlike joints: first those that cut wood, then the others, each in the order of the plan."""
    groups: dict[_Key, list[Meeting]] = {}
    for meeting in meetings(plan):
        groups.setdefault(meeting.key, []).append(meeting)
    found = [JointGroup(tuple(alike)) for alike in groups.values()]
    return tuple(sorted(found, key=lambda group: group.first.main.kind in BY_FASTENER))


def meetings(plan: SolvedPlan) -> Iterator[Meeting]:
    """Every pair of pieces that is joined, once."""
    pairs: dict[tuple[str, str], list[JointPlace]] = {}
    for place in plan.joints:
        reverse = (place.second, place.first)
        pairs.setdefault(reverse if reverse in pairs else (place.first, place.second), []).append(place)
    fasteners: dict[tuple[str, str], list[str]] = {}
    for fastener in plan.fasteners:
        for number, driven in enumerate(fastener.places):
            for pair in ((driven.first, driven.second), (driven.second, driven.first)):
                fasteners.setdefault(pair, []).append(f"{fastener.letter}[{number}]")
    known: dict[str, _Cuts] = {}
    between = _loose_pieces(plan, pairs)
    inserted = {piece for pieces in between.values() for piece in pieces}
    for pair, places in pairs.items():
        if inserted & set(pair):
            continue
        joints = tuple(sorted(places, key=lambda place: (place.kind in BY_FASTENER, place.kind == "butt")))
        first, second = joints[0].first, joints[0].second
        names = tuple(dict.fromkeys(place.joint for place in joints))
        yield Meeting(
            joints,
            _member(plan, first, second, names, known),
            _member(plan, second, first, names, known),
            tuple(fasteners.get(pair, ())),
            tuple(_member(plan, piece, second, names, known) for piece in between.get(frozenset(pair), ())),
        )


def _loose_pieces(
    plan: SolvedPlan, pairs: Mapping[tuple[str, str], Sequence[JointPlace]]
) -> dict[frozenset[str], list[str]]:
    """Splines and tongues by the two pieces that they sit in, if those two are joined themselves."""
    hosts: dict[str, dict[str, None]] = {}
    for place in plan.joints:
        if place.kind in LOOSE:
            hosts.setdefault(place.first, {})[place.second] = None
    joined = {frozenset(pair) for pair in pairs}
    found: dict[frozenset[str], list[str]] = {}
    for piece, both in hosts.items():
        if frozenset(both) in joined:
            found.setdefault(frozenset(both), []).append(piece)
    return found


def _member(plan: SolvedPlan, own: str, mate: str, joints: Sequence[str], known: dict[str, _Cuts]) -> Member:
    piece, part = plan.pieces[own], plan.part_of(own)
    other, other_part = plan.pieces[mate], plan.part_of(mate)
    turn = _axes(piece) @ _axes(other).T
    shift = (np.array(floats(piece.frame.origin)) - np.array(floats(other.frame.origin))) @ _axes(other).T
    sizes = np.array(floats((other_part.length, other_part.width, other_part.thickness)))

    def reached(points: Floats) -> bool:
        local = points @ turn + shift
        return bool((local.min(axis=0) <= sizes + _NEAR).all() and (local.max(axis=0) >= -_NEAR).all())

    cuts = known.get(part.letter) or known.setdefault(part.letter, _Cuts.of(part))
    notches = tuple(notch for notch, corners in zip(part.notches, cuts.notches, strict=True) if reached(corners))
    holes = tuple(hole for hole, ends in zip(part.holes, cuts.holes, strict=True) if reached(ends))
    holes += tuple(hole for hole in piece.in_place_holes if reached(_numbers(hole_ends(hole, part))))
    return Member(
        own,
        part,
        tuple(notch for notch in notches if notch.joint in joints),
        tuple(hole for hole in holes if hole.joint in joints),
        evolve(part, notches=notches, holes=holes),
    )


@frozen(eq=False)
class _Cuts:
    """Corners of a part's notches, ends of its holes, in its own coordinates."""

    notches: list[Floats]
    holes: list[Floats]

    @classmethod
    def of(cls, part: Part) -> _Cuts:
        notches = [_numbers(void_corners(notch, part)) for notch in part.notches]
        return cls(notches, [_numbers(hole_ends(hole, part)) for hole in part.holes])


def _numbers(points: Sequence[Vec]) -> Floats:
    return np.array([floats(point) for point in points])


def _axes(piece: Piece) -> Floats:
    """(3, 3) the piece's axes in rows."""
    return np.array([floats(axis) for axis in (piece.frame.x, piece.frame.y, piece.frame.z)])


def void_corners(notch: Notch, part: Part) -> list[Vec]:
    """Corners (part coordinates, mm) of the wood that a notch takes out, at its mouth and at its floor."""
    inward = -1 if notch.side.is_far else 1
    axis = notch.side.axis
    down: Vec = (Fraction(0), Fraction(0), Fraction(0))
    if notch.direction is not None:
        down = scale(notch.direction, 1 / abs(notch.direction[axis]))
    else:
        down = tuple(Fraction(inward if i == axis else 0) for i in range(3))  # type: ignore[assignment]
    corners = [side_point(part, notch.side, corner) for corner in notch.outline]
    depths = (notch.start, notch.start + notch.depth)
    return [add(corner, scale(down, depth)) for depth in depths for corner in corners]


def hole_ends(hole: Hole, part: Part) -> tuple[Vec, Vec]:
    """The middles of both ends of a hole, in part coordinates, mm."""
    mouth = hole_point(hole, (part.length, part.width, part.thickness))
    reach = hole.through_length if hole.depth is None else hole.start + hole.depth
    return (add(mouth, scale(hole.direction, hole.start)), add(mouth, scale(hole.direction, reach)))


def _rounded(mm: Fraction) -> int:
    return round(mm * _ALIKE)


def _notch_key(notch: Notch) -> tuple[str, int, int, int, int, int, bool, int, int, int, int]:
    (low, high), (under, over) = notch.span, notch.across
    return (
        notch.role,
        notch.side.axis,
        _rounded(notch.depth),
        _rounded(notch.width),
        _rounded(notch.fit),
        _rounded(abs(notch.skew)),
        notch.open_end is not None,
        _rounded(notch.radius),
        _rounded(notch.start),
        _rounded(high - low),
        _rounded(over - under),
    )


def _hole_key(hole: Hole) -> tuple[str, int, int, int, int]:
    depth = hole.through_length if hole.depth is None else hole.depth
    return (
        hole.purpose.value,
        _rounded(hole.diameter),
        _rounded(depth),
        _rounded(hole.sink_diameter),
        _rounded(hole.sink_depth),
    )
