"""The solids of a solved plan: each part once in its own coordinates, each piece placed in the world."""

from __future__ import annotations

from fractions import Fraction

from attrs import define, field

from planpress.geometry.polygons import Polygon, sides
from planpress.geometry.solids import Solid, box, hole, prism, rod
from planpress.geometry.vectors import SAME, Vec, floats, root
from planpress.model.congruence import hole_point
from planpress.model.records import EndCut, Fastener, FastenerPlace, Hole, Notch, Part, Piece, Side, SolvedPlan

#: Countersink cones and screw heads are closed figures of revolution about the drill's axis; beyond the wood (mm).
_BEYOND = 1.0


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
    """Blank, ends, notches, holes."""
    length, width, thickness = (float(part.size_along(axis)) for axis in range(3))
    solid = box(length, width, thickness)
    for end in part.ends:
        if not end.is_square:
            solid = solid.trimmed(floats(end.point), floats(end.normal), end.side.value)
    for i, notch in enumerate(part.notches):
        solid = solid.minus(notch_solid(notch, part, f"notch {i + 1}"))
    for hole_ in part.holes:
        solid = solid.minus(hole_solid(hole_, part))
    return solid


def notch_solid(notch: Notch, part: Part, name: str = "notch") -> Solid:
    """The cutter of a notch in part coordinates; it stands out of the wood wherever the notch is open."""
    reach = notch.depth + 1
    outline = _opened(notch, part, reach)
    level = part.size_along(notch.side.axis) if notch.side.is_far else Fraction(0)
    zero, one = 0.0, 1.0
    outward = one if notch.side.is_far else -one
    if notch.side.axis == 1:
        origin = (zero, float(level), zero)
        axes = ((one, zero, zero), (zero, zero, one), (zero, outward, zero))
    else:
        origin = (zero, zero, float(level))
        axes = ((one, zero, zero), (zero, one, zero), (zero, zero, outward))
    points = [(float(u), float(s)) for u, s in outline]
    return prism(points, origin, axes, float(notch.depth), overshoot=_BEYOND, name=name)


def _opened(notch: Notch, part: Part, reach: Fraction) -> Polygon:
    """The outline with its open sides moved out by `reach` mm: those on the borders of the part's side and on cut
    ends."""
    second_axis = 2 if notch.side.axis == 1 else 1
    limit = part.size_along(second_axis)
    moved = []
    lines = sides(notch.outline)
    n = len(notch.outline)
    for i, (normal, offset) in enumerate(lines):
        a, b = notch.outline[i], notch.outline[(i + 1) % n]
        on_border = any(abs(a[1] - level) <= SAME and abs(b[1] - level) <= SAME for level in (Fraction(0), limit))
        on_end = any(
            _on_end(end, notch, part, p) and _on_end(end, notch, part, q) for end in part.ends for p, q in [(a, b)]
        )
        if on_border or on_end:
            offset += reach * root(normal[0] ** 2 + normal[1] ** 2)
        moved.append((normal, offset))
    corners = []
    for i in range(n):
        (n0, c0), (n1, c1) = moved[i - 1], moved[i]
        determinant = n0[0] * n1[1] - n0[1] * n1[0]
        corners.append(((c0 * n1[1] - c1 * n0[1]) / determinant, (n0[0] * c1 - n1[0] * c0) / determinant))
    return tuple(corners)


def _on_end(end: EndCut, notch: Notch, part: Part, p: tuple[Fraction, Fraction]) -> bool:
    level = part.size_along(notch.side.axis) if notch.side.is_far else Fraction(0)
    point: Vec = (p[0], level, p[1]) if notch.side.axis == 1 else (p[0], p[1], level)
    distance = sum((end.normal[i] * (point[i] - end.point[i]) for i in range(3)), Fraction(0))
    return abs(distance) <= 10 * SAME


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
