"""Splines across mitres: the slots in both members, and the spline as a piece of its own.

A spline along the joint line runs through the whole width of the members, its slot square to the mitre and as far from
the inner face at its mouth as from the outer face at its bottom. A spline across (in a flat mitre) lies in the middle
of the thickness, from the inner to the outer corner, and is trimmed flush with both.

Places in the section of the mitre are told as s, from the inner to the outer line, and q, from the mitre into a member.
"""

from __future__ import annotations

import math
from fractions import Fraction

from attrs import evolve, frozen

from planpress.description.records import MitreJoint
from planpress.geometry.vectors import SAME, Vec, add, dot, neg, norm, scale, settled, settled_vec, sub, unit
from planpress.model.blanks import Blank, RawNotch
from planpress.model.cutting import Cut, JointError, snapped_to
from planpress.model.laps import snapped_degrees
from planpress.model.loose import StripSizes, made_piece, seat, slot
from planpress.model.mitre_planes import Mitre
from planpress.model.records import JointPlace, Side

_TINY = Fraction(1, 10**9)
_KIND = "mitre"


@frozen
class _Section:
    """A cut mitre: its plane's axes, what both members have in common along its line, and the members.

    `inward` points into each member; `drift` is how far (mm a mm) a member's faces run back in s as q grows.
    """

    mitre: Mitre
    members: tuple[Blank, Blank]
    across: Vec
    length: Fraction
    low: Fraction
    high: Fraction
    inward: tuple[Vec, Vec]
    drift: tuple[Fraction, Fraction]

    def point(self, s: Fraction, q: Fraction, member: int, height: Fraction) -> Vec:
        """A world point; height (mm) along the mitre's line."""
        flat = add(add(self.mitre.inner, scale(self.across, s)), scale(self.inward[member], q))
        return settled_vec(add(flat, scale(self.mitre.line, height - dot(self.mitre.inner, self.mitre.line))))

    def rest(self, member: int) -> int:
        """The member's own axis (1 or 2) that lies along the mitre's line."""
        return 3 - self.mitre.axes[member]


def fit_spline(
    first: Blank, second: Blank, joint: MitreJoint, mitre: Mitre, strip: StripSizes, place: JointPlace
) -> Cut:
    """Cut the slots of one mitre whose ends are cut already; `place` is where the members meet.

    Raises:
        JointError: if the members do not stand square to the mitre's line, or the spline does not fit.
    """
    section = _section(first, second, mitre)
    if first.sizes[mitre.axes[0]] <= first.sizes[section.rest(0)]:
        return _along(section, joint, strip, place)
    return _across(section, joint, strip, place)


def _section(first: Blank, second: Blank, mitre: Mitre) -> _Section:
    for blank, axis in zip((first, second), mitre.axes, strict=True):
        if abs(dot(blank.axes[3 - axis], mitre.line)) < 1 - _TINY:
            raise JointError(f"'{blank.id}' leans in the corner; a spline needs sides square to the mitre's line")
    extents = [blank.extent(mitre.line) for blank in (first, second)]
    across = unit(sub(mitre.outer, mitre.inner))
    inward = (neg(mitre.normal), mitre.normal)
    drift = []
    for blank, end, way in zip((first, second), mitre.ends, inward, strict=True):
        outward = blank.axes[0] if end is Side.FAR_END else neg(blank.axes[0])
        drift.append(settled(dot(outward, across) / -dot(outward, way)))
    return _Section(
        mitre=mitre,
        members=(first, second),
        across=across,
        length=settled(norm(sub(mitre.outer, mitre.inner))),
        low=max(low for low, _ in extents),
        high=min(high for _, high in extents),
        inward=inward,
        drift=(drift[0], drift[1]),
    )


def _along(section: _Section, joint: MitreJoint, strip: StripSizes, place: JointPlace) -> Cut:
    """A spline along the joint line, through the whole width."""
    deep, half, length = strip.slot_depth, strip.slot_width / 2, section.length
    middle = settled(length / 2 - deep * (section.drift[0] + section.drift[1]) / 4)
    for drift in section.drift:
        if middle - half <= 0 or middle + half >= length - deep * drift:
            raise JointError(_too_big(strip))
    low, high = section.low, section.high
    nothing, height = Fraction(0), (low + high) / 2
    tall = snapped_to(high - low, *(member.sizes[section.rest(k)] for k, member in enumerate(section.members)))
    axes = (section.mitre.normal, section.mitre.line)
    centre = section.point(middle, nothing, 0, height)
    piece = made_piece("Spline", joint, section.members, strip, centre, axes, (2 * strip.depth, tall))
    seats = []
    for k, member in enumerate(section.members):
        rest = section.rest(k)
        side = Side.UPPER if rest == 1 else Side.FACE
        corners = ((middle - half, nothing), (middle - half, deep), (middle + half, deep), (middle + half, nothing))
        way = member.frame.local_direction(section.inward[k])
        skew = snapped_degrees(math.degrees(math.atan(float(way[0] / way[3 - rest]))))
        slot(
            member,
            side,
            [section.point(s, q, k, height) for s, q in corners],
            piece=piece,
            strip=strip,
            depth=member.sizes[rest],
            start=nothing,
            skew=skew,
            joint=joint.name,
            kind=_KIND,
            role="slot",
        )
        wall = middle + strip.thickness / 2
        ring = [
            section.point(wall, q, k, h)
            for q, h in ((nothing, low), (nothing, high), (strip.depth, high), (strip.depth, low))
        ]
        seats.append(seat(joint, piece, member, section.inward[k], ring, section.across))
    land = [(middle + half, low), (length, low), (length, high), (middle + half, high)]
    patch = tuple(section.point(s, nothing, 0, h) for s, h in land)
    return Cut(evolve(place, patch=patch), (piece,), tuple(seats))


def _across(section: _Section, joint: MitreJoint, strip: StripSizes, place: JointPlace) -> Cut:
    """A spline from the inner to the outer corner, in the middle of the thickness."""
    if abs(section.drift[0] - section.drift[1]) > SAME:
        raise JointError("a spline from corner to corner needs members of one width")
    drift, length, deep, nothing = section.drift[0], section.length, strip.slot_depth, Fraction(0)
    low, high = section.low, section.high
    height, half = (low + high) / 2, strip.slot_width / 2
    if high - low <= strip.slot_width:
        raise JointError(_too_big(strip))
    over = strip.depth * drift
    axes = (section.mitre.normal, section.across)
    centre = section.point((length - over) / 2, nothing, 0, height)
    width = settled(length + over)
    piece = made_piece("Spline", joint, section.members, strip, centre, axes, (2 * strip.depth, width))
    _trim_flush(piece, strip.depth, settled(over), joint.name)
    seats = []
    for k, member in enumerate(section.members):
        rest = section.rest(k)
        side = Side.UPPER if rest == 1 else Side.FACE
        heights = member.extent(section.mitre.line)
        up = dot(member.axes[rest], section.mitre.line) > 0
        start = heights[1] - (height + half) if up else (height - half) - heights[0]
        corners = ((nothing, nothing), (length, nothing), (length - deep * drift, deep), (-deep * drift, deep))
        slot(
            member,
            side,
            [section.point(s, q, k, height) for s, q in corners],
            piece=piece,
            strip=strip,
            depth=strip.slot_width,
            start=start,
            skew=nothing,
            joint=joint.name,
            kind=_KIND,
            role="slot",
        )
        ring = [
            section.point(s, q, k, height + strip.thickness / 2)
            for s, q in ((nothing, nothing), (length, nothing), (length - over, strip.depth), (-over, strip.depth))
        ]
        seats.append(seat(joint, piece, member, section.inward[k], ring, section.mitre.line))
    land = [(nothing, height + half), (length, height + half), (length, high), (nothing, high)]
    patch = tuple(section.point(s, nothing, 0, h) for s, h in land)
    return Cut(evolve(place, patch=patch), (piece,), tuple(seats))


def _trim_flush(piece: Blank, depth: Fraction, over: Fraction, joint: str) -> None:
    """Cut a spline flush with the faces of the corner: a hollow at the inner corner, a point at the outer one."""
    if over <= SAME:
        return
    end, nothing, long = piece.width, Fraction(0), 2 * depth
    for outline in (
        ((nothing, nothing), (long, nothing), (depth, over)),
        ((nothing, end), (nothing, end - over), (depth, end)),
        ((long, end - over), (long, end), (depth, end)),
    ):
        piece.notches.append(
            RawNotch(
                side=Side.FACE,
                outline=tuple((u, v, piece.thickness) for u, v in outline),
                depth=piece.thickness,
                width=nothing,
                fit=nothing,
                skew=nothing,
                mates=(),
                mate_size="thickness",
                joint=joint,
                kind=_KIND,
                depth_share="given",
                role="corner",
            )
        )


def _too_big(strip: StripSizes) -> str:
    return (
        f"a spline {float(strip.thickness):.4g} mm thick, {float(strip.depth):.4g} mm deep in each member, leaves no"
        " wood beside its slot; make it thinner or less deep"
    )
