"""How thick, wide and long a finished tenon is, and where it stands in its part."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from fractions import Fraction

from attrs import frozen

from planpress.geometry.vectors import SAME, Vec, cross, dot, root, settled, sub
from planpress.model.records import Notch, Part, Side

_FINE = Fraction(1, 10**9)


@frozen
class FlatFace:
    """A plane in part coordinates: normal . p = offset (normal not unit)."""

    normal: Vec
    offset: Fraction

    def u_at(self, v: Fraction, w: Fraction) -> Fraction:
        """u (mm) where it meets the line (v, w) along the part."""
        return settled((self.offset - self.normal[1] * v - self.normal[2] * w) / self.normal[0])


@frozen
class SquaredTenon:
    """A tenon square to the part it enters, on a part that leans there; sizes in mm.

    Attributes:
        thickness, width: square to its own walls; twin tenons with the gap. length: square to the shoulder.
        tip: ranges of v and w at the middle of its end, as a gauge along the part's sides would mark them.
        foot: the same at the shoulder. shoulder: its plane.
    """

    thickness: Fraction
    width: Fraction
    length: Fraction
    tip: tuple[tuple[Fraction, Fraction], tuple[Fraction, Fraction]]
    foot: tuple[tuple[Fraction, Fraction], tuple[Fraction, Fraction]]
    shoulder: FlatFace


def leans_within(cut: Notch, part: Part) -> bool:
    """True for a cheek of a tenon that leans within its stick, square to the part it enters: it goes through."""
    return cut.role == "cheek" and cut.depth >= part.size_along(cut.side.axis) - SAME


def tenon_sizes(part: Part, joint: str, end: Side) -> tuple[Fraction, Fraction]:
    """Thickness and width (mm) at an end of a part: what the cheeks leave of it, twin tenons with the gap between."""
    squared = squared_tenon(part, joint, end)
    if squared is not None:
        return squared.thickness, squared.width
    cheeks = [n for n in part.notches if n.joint == joint and n.open_end is end and n.role == "cheek"]
    taken = [sum((n.depth for n in cheeks if n.side.axis == axis), Fraction(0)) for axis in (2, 1)]
    return part.thickness - taken[0], part.width - taken[1]


def squared_tenon(part: Part, joint: str, end: Side) -> SquaredTenon | None:
    """The tenon at an end of a part, if it leans within it."""
    cheeks = [
        n
        for n in part.notches
        if n.joint == joint and n.open_end is end and n.role == "cheek" and leans_within(n, part)
    ]
    if not cheeks:
        return None
    plane = part.ends[1 if end.is_far else 0]
    tip = FlatFace(plane.normal, dot(plane.normal, plane.point))
    walls = {axis: [_border(axis, Fraction(0)), _border(axis, part.size_along(axis))] for axis in (1, 2)}
    shoulders: list[FlatFace] = []
    for cheek in cheeks:
        across = 3 - cheek.side.axis
        for face, along in _faces(cheek, part, tip):
            if along:
                walls[across][_is_beyond(cheek, part)] = face
            else:
                shoulders.append(face)
    middle = (part.width / 2, part.thickness / 2)
    shoulder = (min if end.is_far else max)(shoulders, key=lambda face: face.u_at(*middle))
    corners = [[_meeting(a, b, face) for a, b in itertools.product(walls[1], walls[2])] for face in (tip, shoulder)]
    square = root(dot(shoulder.normal, shoulder.normal))
    long = sum((abs(dot(shoulder.normal, p) - shoulder.offset) for p in corners[0]), Fraction(0)) / (4 * square)
    return SquaredTenon(
        _apart(walls[2], corners[1]),
        _apart(walls[1], corners[1]),
        _tidy(long),
        _ranges(corners[0]),
        _ranges(corners[1]),
        shoulder,
    )


def _border(axis: int, level: Fraction) -> FlatFace:
    normal = [Fraction(0)] * 3
    normal[axis] = Fraction(1)
    return FlatFace((normal[0], normal[1], normal[2]), level)


def _is_beyond(cheek: Notch, part: Part) -> bool:
    """True if a cheek takes the wood beyond the tenon, towards the upper edge or the face."""
    low, high = cheek.across
    return part.size_along(3 - cheek.side.axis) - high < low


def _faces(cheek: Notch, part: Part, tip: FlatFace) -> list[tuple[FlatFace, bool]]:
    """The planes of a cheek's walls inside the wood, and whether each runs along the part (else it is a shoulder)."""
    out = []
    across, level = 3 - cheek.side.axis, part.size_along(cheek.side.axis) if cheek.side.is_far else Fraction(0)
    points = [_lifted(cheek.side.axis, level, p) for p in cheek.outline]
    down = [Fraction(0)] * 3
    down[cheek.side.axis] = Fraction(1)
    direction = cheek.direction or (down[0], down[1], down[2])
    for p, q in zip(points, [*points[1:], points[0]], strict=True):
        at_tip = all(abs(dot(tip.normal, c) - tip.offset) <= 10 * SAME for c in (p, q))
        at_border = any(all(abs(c[across] - b) <= SAME for c in (p, q)) for b in (0, part.size_along(across)))
        if at_tip or at_border:
            continue
        way = sub(q, p)
        normal = cross(way, direction)
        out.append((FlatFace(normal, dot(normal, p)), abs(way[0]) > abs(way[across])))
    return out


def _lifted(axis: int, level: Fraction, p: tuple[Fraction, Fraction]) -> Vec:
    return (p[0], level, p[1]) if axis == 1 else (p[0], p[1], level)


def _meeting(a: FlatFace, b: FlatFace, c: FlatFace) -> Vec:
    """The point that three planes share."""
    bc, ca, ab = cross(b.normal, c.normal), cross(c.normal, a.normal), cross(a.normal, b.normal)
    whole = dot(a.normal, bc)
    x, y, z = (a.offset * bc[i] + b.offset * ca[i] + c.offset * ab[i] for i in range(3))
    return (x / whole, y / whole, z / whole)


def _apart(walls: Sequence[FlatFace], corners: Sequence[Vec]) -> Fraction:
    """How far the second wall is from the first, square to the first."""
    first, second = walls
    on_second = [
        p
        for p in corners
        if abs(dot(second.normal, p) - second.offset) <= SAME * root(dot(second.normal, second.normal))
    ]
    size = root(dot(first.normal, first.normal))
    return _tidy(
        sum((abs(dot(first.normal, p) - first.offset) for p in on_second), Fraction(0)) / (size * len(on_second))
    )


def _ranges(corners: Sequence[Vec]) -> tuple[tuple[Fraction, Fraction], tuple[Fraction, Fraction]]:
    """Ranges of v and w at the middles between four corners: (v, w) low low, low high, high low, high high."""
    v = [sum((corners[i][1] for i in pair), Fraction(0)) / 2 for pair in ((0, 1), (2, 3))]
    w = [sum((corners[i][2] for i in pair), Fraction(0)) / 2 for pair in ((0, 2), (1, 3))]
    return (settled(v[0]), settled(v[1])), (settled(w[0]), settled(w[1]))


def _tidy(value: Fraction) -> Fraction:
    """The short number (6 decimals) that a size stands for, if it is within 1e-8 of one."""
    short = Fraction(round(value * 10**6), 10**6)
    return short if abs(value - short) < 10 * _FINE else value
