"""The solids of a solved plan: each part once in its own coordinates, each piece placed in the world."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from attrs import define, field

from planpress.geometry.polygons import Polygon, sides
from planpress.geometry.rounding import rounded
from planpress.geometry.solids import Solid, hole, prism, rod
from planpress.geometry.vectors import SAME, Vec, dot, floats, root, sub
from planpress.model.congruence import hole_point
from planpress.model.records import EndCut, Fastener, FastenerPlace, Hole, Notch, Part, Piece, Side, SolvedPlan
from planpress.model.shape_solids import blank_solid

#: Countersink cones and screw heads are closed figures of revolution about the drill's axis; beyond the wood (mm).
_BEYOND = 1.0
#: Walls that turn less (radians) are pieces of one arc, which has at least 8 in a right angle.
_ARC_TURN = 0.25


@define
class Solids:
    """Builds solids on demand and keeps them."""

    plan: SolvedPlan
    _parts: dict[str, Solid] = field(factory=dict)
    _pieces: dict[str, Solid] = field(factory=dict)

    def part(self, letter: str) -> Solid:
        """A part as it is before assembly, in its own coordinates (x = u, y = v, z = w), mm."""
        if letter not in self._parts:
            self._parts[letter] = part_solid(self.plan.part(letter))
        return self._parts[letter]

    def piece(self, piece_id: str) -> Solid:
        """A piece in the world, with the holes drilled in place."""
        if piece_id not in self._pieces:
            piece = self.plan.pieces[piece_id]
            part = self.plan.part(piece.letter)
            solid = self.part(piece.letter)
            for drilled in piece.in_place_holes:
                solid = solid.minus(hole_solid(drilled, part))
            self._pieces[piece_id] = self._placed(solid, piece)
        return self._pieces[piece_id]

    def before_assembly(self, piece_id: str) -> Solid:
        """A piece in the world as it is before anything is drilled in place."""
        piece = self.plan.pieces[piece_id]
        return self._placed(self.part(piece.letter), piece) if piece.in_place_holes else self.piece(piece_id)

    @staticmethod
    def _placed(solid: Solid, piece: Piece) -> Solid:
        frame = piece.frame
        return solid.moved(floats(frame.origin), (floats(frame.x), floats(frame.y), floats(frame.z)))


def part_solid(part: Part) -> Solid:
    """The shaped blank, less notches and holes."""
    solid = blank_solid(part)
    for i, notch in enumerate(part.notches):
        solid = solid.minus(notch_solid(notch, part, f"notch {i + 1}"))
    for hole_ in part.holes:
        solid = solid.minus(hole_solid(hole_, part))
    return solid


def notch_solid(notch: Notch, part: Part, name: str = "notch") -> Solid:
    """The cutter of a notch in part coordinates; it stands out of the wood wherever the notch is open."""
    level, through = float(side_level(part, notch.side)), part.size_along(notch.side.axis)
    outward = 1.0 if notch.side.is_far else -1.0
    units = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    axis = notch.side.axis
    out = (0.0,) * axis + (outward,) + (0.0,) * (2 - axis)
    if notch.direction is not None:  # sheared, so that depths stay square to the side
        leaning = floats(notch.direction)
        out = tuple(-c / abs(leaning[axis]) for c in leaning)
    first, second = (units[i] for i in range(3) if i != axis)
    above = -float(notch.start) if notch.start else _BEYOND
    depth = notch.start + notch.depth
    below = float(depth) + (_BEYOND if depth >= through - SAME else 0.0)
    origin = tuple(level * c for c in units[axis])
    points = rounded([(float(a), float(b)) for a, b in _opened(notch, part)], float(notch.radius))
    walls = _smooth_walls(points, name) if notch.radius or notch.role == "corner" else None
    return prism(points, origin, (first, second, out), below, overshoot=above, name=name, walls=walls)


def _smooth_walls(points: Sequence[tuple[float, float]], name: str) -> list[str]:
    """Names of the walls over an outline: those that turn no more than the pieces of an arc are one smooth face."""
    count = len(points)
    ways = [
        math.atan2(points[(i + 1) % count][1] - points[i][1], points[(i + 1) % count][0] - points[i][0])
        for i in range(count)
    ]
    sharp = [abs(math.remainder(ways[i] - ways[i - 1], 2 * math.pi)) > _ARC_TURN for i in range(count)]
    first = sharp.index(True) if any(sharp) else 0
    names, number = [""] * count, 0
    for k in range(count):
        i = (first + k) % count
        number += sharp[i] or not number
        names[i] = f"{name} wall {number}"
    return names


def _opened(notch: Notch, part: Part) -> Polygon:
    """The outline with its open sides moved out: those on the borders of the part's side and on cut ends."""
    axis = notch.side.axis
    first, second = (i for i in range(3) if i != axis)
    lines = sides(notch.outline)
    corners = notch.outline
    count = len(corners)
    lean = _lean(notch)
    moved, any_moved = [], False
    for i, (normal, offset) in enumerate(lines):
        a, b = corners[i], corners[(i + 1) % count]
        reach = Fraction(0)
        for place, across in ((0, first), (1, second)):
            borders = () if across == 0 else (Fraction(0), part.size_along(across))
            if any(abs(a[place] - level) <= SAME and abs(b[place] - level) <= SAME for level in borders):
                reach = max(reach, 1 + (notch.start + notch.depth) * lean)
        for end in part.ends if axis else ():
            if _on_end(end, notch, part, a) and _on_end(end, notch, part, b):
                square = root(1 - end.normal[axis] ** 2)
                reach = max(reach, 1 + (notch.start + notch.depth) * (abs(end.normal[axis]) / square + lean))
        any_moved = any_moved or reach > 0
        moved.append((normal, offset + reach * root(normal[0] ** 2 + normal[1] ** 2)))
    if not any_moved:
        return tuple(corners)
    out = []
    for i in range(count):
        (n0, c0), (n1, c1) = moved[i - 1], moved[i]
        determinant = n0[0] * n1[1] - n0[1] * n1[0]
        out.append(((c0 * n1[1] - c1 * n0[1]) / determinant, (n0[0] * c1 - n1[0] * c0) / determinant))
    return tuple(out)


def _lean(notch: Notch) -> Fraction:
    """How far (mm) leaning walls shift for each mm of depth."""
    if notch.direction is None:
        return Fraction(0)
    down = abs(notch.direction[notch.side.axis])
    return root(1 - down**2) / down


def _on_end(end: EndCut, notch: Notch, part: Part, p: tuple[Fraction, Fraction]) -> bool:
    point = side_point(part, notch.side, p)
    return abs(dot(end.normal, sub(point, end.point))) <= 10 * SAME


def side_point(part: Part, side: Side, p: tuple[Fraction, Fraction]) -> Vec:
    """A point of a side in part coordinates."""
    level = side_level(part, side)
    if side.axis == 0:
        return (level, p[0], p[1])
    return (p[0], level, p[1]) if side.axis == 1 else (p[0], p[1], level)


def hole_solid(hole_: Hole, part: Part) -> Solid:
    """The cutter of a hole in part coordinates: sink, shaft, and out at the far side if it is drilled through."""
    start = floats(hole_point(hole_, (part.length, part.width, part.thickness)))
    through = hole_.depth is None
    end = float(hole_.through_length) + _BEYOND if hole_.depth is None else float(hole_.start + hole_.depth)
    radius = float(hole_.diameter) / 2
    profile: list[tuple[float, float]] = []
    if hole_.sink_diameter:
        sink = float(hole_.sink_diameter) / 2
        depth = float(hole_.sink_depth)
        profile = [(0.0, sink), (depth, radius)] if hole_.sink_angle else [(0.0, sink), (depth, sink), (depth, radius)]
    else:
        profile = [(0.0, radius)]
    profile.append((end, radius))
    purpose = hole_.purpose.value + (" through" if through else "")
    return hole(profile, start, floats(hole_.direction), name=purpose)


def fastener_solid(fastener: Fastener, place: FastenerPlace) -> Solid:
    """A screw (head cone, shank, thread as a thinner shank, point) or dowel in the world, for pictures."""
    length, shank = float(fastener.length), float(fastener.diameter) / 2
    if fastener.kind == "dowel":
        profile = [(0.0, shank), (length, shank)]
    else:
        head = float(fastener.head_diameter) / 2
        cone = head - shank  # drawn at about 45 degrees: a picture, not a hole
        profile = [(0.0, head), (cone, shank), (length * 0.4, shank), (length * 0.42, shank * 0.8)]
        profile += [(length - 2 * shank, shank * 0.8), (length, shank * 0.15)]
    return rod(profile, floats(place.head), floats(place.direction), name=fastener.kind)


def side_level(part: Part, side: Side) -> Fraction:
    """The coordinate of a side along its axis, mm."""
    return part.size_along(side.axis) if side.is_far else Fraction(0)
