"""The solved plan: what every figure, page, check and file takes its numbers from.

Lengths are exact rationals in mm. A part has coordinates of its own: u along its length (with the grain) from the
reference end, v across its width, w through its thickness; the reference face is w = thickness, seen with u to the
right and v up. World coordinates: x right, y back, z up, floor at z = 0.
"""

from __future__ import annotations

import enum
from collections.abc import Mapping
from fractions import Fraction
from functools import cached_property
from typing import Literal, TypeAlias

from attrs import frozen

from planpress.base.diagnostics import Diagnostic
from planpress.base.printing import Units
from planpress.base.quantities import Quantity
from planpress.description.records import Description
from planpress.geometry.strokes import Outline
from planpress.geometry.vectors import Frame, Vec

#: A point on a side of a part: (u, v) on the faces, (u, w) on the edges, (v, w) on the ends.
SidePoint: TypeAlias = tuple[Fraction, Fraction]


#: What a cut is: half of a lap; housing, rabbet or groove that holds a member; mortise; cheek: wood taken off beside a
#: tenon; corner: what is cut from a member to clear a stop, or to round a tenon; slot: between fingers, in a bridle,
#: between twin tenons, for a spline or tongue; kerf: for a wedge; socket: between tails or between pins.
Role: TypeAlias = Literal["lap", "housing", "rabbet", "groove", "mortise", "cheek", "corner", "slot", "kerf", "socket"]


class Side(enum.Enum):
    """The six sides of a part, in its own coordinates."""

    NEAR_END = "near end"  # u = 0, the reference end
    FAR_END = "far end"  # u = length
    LOWER = "lower edge"  # v = 0
    UPPER = "upper edge"  # v = width
    BACK = "back"  # w = 0
    FACE = "face"  # w = thickness, the reference face

    @property
    def axis(self) -> int:
        """0 for the ends (u), 1 for the edges (v), 2 for the faces (w)."""
        return _SIDE_AXIS[self]

    @property
    def is_far(self) -> bool:
        """True for the side at the greater coordinate of its axis."""
        return self in (Side.FAR_END, Side.UPPER, Side.FACE)

    @property
    def opposite(self) -> Side:
        """The side across the part."""
        return _OPPOSITE[self]


_SIDE_AXIS = {Side.NEAR_END: 0, Side.FAR_END: 0, Side.LOWER: 1, Side.UPPER: 1, Side.BACK: 2, Side.FACE: 2}
_OPPOSITE = {
    Side.NEAR_END: Side.FAR_END,
    Side.FAR_END: Side.NEAR_END,
    Side.LOWER: Side.UPPER,
    Side.UPPER: Side.LOWER,
    Side.BACK: Side.FACE,
    Side.FACE: Side.BACK,
}


@frozen
class SolvedMaterial:
    """Stock of a part. `label` is what the parts table prints ("white oak"); density in kg/m3 at 12 % moisture, None
    if unknown."""

    name: str
    label: str
    form: Literal["board", "sheet", "rough"]
    species: str
    thickness: Fraction
    width: Fraction | None
    sold_as: str
    lengths: tuple[Fraction, ...]
    density: float | None


@frozen
class EndCut:
    """How an end is cut.

    Attributes:
        side: NEAR_END or FAR_END.
        point, normal: the plane in part coordinates; the unit normal points away from the wood.
        mitre: angle in degrees from a square cut, seen on the reference face; positive: the end runs away from
            square so
            that the upper edge is the longer one at that end.
        bevel: the same seen on the edge; positive: the reference face is the longer one at that end.
        target: what it was cut by, in the maker's words ("floor", "flush with leg"); "" for a square end as placed.
    """

    side: Side
    point: Vec
    normal: Vec
    mitre: Fraction
    bevel: Fraction
    target: str

    @property
    def is_square(self) -> bool:
        """True if the end is a plain crosscut."""
        return self.mitre == 0 and self.bevel == 0

    def u_at(self, v: Fraction, w: Fraction) -> Fraction:
        """Where (u, mm) the plane cuts the line of the given v and w."""
        n, p = self.normal, self.point
        if not n[1] and not n[2]:  # most ends are square, and exact arithmetic is slow
            return p[0]
        return p[0] - (n[1] * (v - p[1]) + n[2] * (w - p[2])) / n[0]


@frozen
class Notch:
    """Wood taken out of one side for a joint, with walls square to that side or leaning: notch, housing, mortise ...

    Attributes:
        side: the side it opens on.
        outline: its outline on that side (convex if it reaches a border), clipped to the part, anticlockwise in (first,
            second) coordinates; a `radius` is not in it.
        depth: square to the side, from `start`.
        width: across the shoulders (square to them), what must fit the mate; includes `fit`.
        fit: clearance in `width` beyond the mate's size.
        skew: degrees between its shoulders and a line square to the length on that side, positive if u grows with the
            second coordinate along the shoulder.
        open_end: the end it runs out of (a lap at the end of a part), or None.
        mates: letters of the mating parts, one for each mating piece side by side (("B", "B") is a double-wide notch).
        mate_size: which finished size of the mate gives the width.
        joint: name of the joint; kind: "cross lap", "end lap", "housing", "mortise and tenon" ...
        depth_share: "half" if the two members share the overlap alike, "whole" if only this one is notched, else
            "given".
        role: what the cut is, see `Role`.
        start: mm below the side at which the void begins, 0 for one that is open there (a slot for a spline inside).
        direction: of the walls, a unit vector in part coordinates into the wood; None: square to the side.
        radius: of the outline's corners, mm (a mortise cut with a router bit).
    """

    side: Side
    outline: tuple[SidePoint, ...]
    depth: Fraction
    width: Fraction
    fit: Fraction
    skew: Fraction
    open_end: Side | None
    mates: tuple[str, ...]
    mate_size: Literal["thickness", "width", "length"]
    joint: str
    kind: str
    depth_share: Literal["half", "whole", "given"]
    role: Role = "lap"
    start: Fraction = Fraction(0)
    direction: Vec | None = None
    radius: Fraction = Fraction(0)

    def shoulders(self, second: Fraction) -> tuple[Fraction, Fraction]:
        """Near and far u (mm) of the notch along the line of the given second coordinate on its side.

        Raises:
            ValueError: if that line misses the notch.
        """
        crossings: list[Fraction] = []
        n = len(self.outline)
        for i in range(n):
            (u0, s0), (u1, s1) = self.outline[i], self.outline[(i + 1) % n]
            if s0 == s1:
                if s0 == second:
                    crossings += [u0, u1]
            elif min(s0, s1) <= second <= max(s0, s1):
                crossings.append(u0 if u0 == u1 else u0 + (u1 - u0) * (second - s0) / (s1 - s0))
        if not crossings:
            raise ValueError("the line misses the notch")
        return min(crossings), max(crossings)

    @cached_property
    def span(self) -> tuple[Fraction, Fraction]:
        """Least and greatest u (mm) of the outline."""
        us = [p[0] for p in self.outline]
        return min(us), max(us)

    @cached_property
    def across(self) -> tuple[Fraction, Fraction]:
        """Least and greatest second coordinate (mm) of the outline."""
        seconds = [p[1] for p in self.outline]
        return min(seconds), max(seconds)


@frozen
class EdgeCut:
    """A chamfer (the same off both sides) or round-over along the edge between two sides. `size`: off each side, or
    the radius, mm."""

    sides: tuple[Side, Side]
    kind: Literal["chamfer", "round-over"]
    size: Fraction


@frozen
class Shape:
    """What the straight, end-cut stick of a part is cut to.

    Attributes:
        face: outline in (u, v), square through the thickness; edge: outline in (u, w), square through the width. None:
            the whole stick. An end that leans is cut as well, wherever the outline runs.
        edges: chamfers and round-overs, each edge once.
    """

    face: Outline | None
    edge: Outline | None
    edges: tuple[EdgeCut, ...]


class Purpose(enum.Enum):
    """What a hole is for."""

    CLEARANCE = "clearance"
    PILOT = "pilot"
    DOWEL = "dowel"


@frozen
class Hole:
    """A drilled hole.

    Attributes:
        side: the side the drill enters; at: where, on that side.
        direction: of the drill, a unit vector in part coordinates, into the wood.
        purpose: clearance, pilot or dowel hole.
        diameter: mm; depth: mm along the drill from `start`, None if drilled through.
        sink_diameter, sink_depth, sink_angle: countersink (angle of the cone in degrees) or counterbore (angle
            None); 0 if none.
        through_length: mm of wood the hole passes when drilled through.
        joint: name of the joint.
        in_place: drilled with the mating piece as a guide when both are assembled, not before.
        start: mm below the side at which its wood begins: the depth of the notch it is drilled in, else 0.
    """

    side: Side
    at: SidePoint
    direction: Vec
    purpose: Purpose
    diameter: Fraction
    depth: Fraction | None
    sink_diameter: Fraction
    sink_depth: Fraction
    sink_angle: Fraction | None
    through_length: Fraction
    joint: str
    in_place: bool
    start: Fraction = Fraction(0)


@frozen
class Part:
    """A row of the parts table: pieces of one shape.

    Attributes:
        letter: its balloon; name: the description's own name; label: as printed ("Leg, left-hand").
        hand: "left", "right" or ""; mirror_of: letter of the part it mirrors, or None.
        thickness, width, length: finished sizes; length is the longest, joints included.
        ends: near and far end cut. notches, holes: features made before assembly, in order along the length.
        in_place_holes: drilled at assembly in at least one piece (all such holes of all its pieces).
        reference_edge: LOWER or UPPER, the edge positions and marks are taken from.
        pieces: ids of its pieces. mass: of one piece in kg, None if the species is unknown.
        fit_in_place: its length is measured from the work, not from the table.
        shape: outlines and cut edges, None for a straight stick; width, thickness and length are those of the stick.
    """

    letter: str
    name: str
    label: str
    hand: Literal["left", "right", ""]
    mirror_of: str | None
    material: SolvedMaterial
    thickness: Fraction
    width: Fraction
    length: Fraction
    ends: tuple[EndCut, EndCut]
    notches: tuple[Notch, ...]
    holes: tuple[Hole, ...]
    in_place_holes: tuple[Hole, ...]
    reference_edge: Side
    pieces: tuple[str, ...]
    mass: float | None
    fit_in_place: bool
    remark: str
    shape: Shape | None = None

    @property
    def count(self) -> int:
        """Number of pieces."""
        return len(self.pieces)

    @cached_property
    def corners(self) -> tuple[Vec, ...]:
        """The eight corners (part coordinates, mm) of the stick as cut, without its notches."""
        sides = [(v, w) for v in (Fraction(0), self.width) for w in (Fraction(0), self.thickness)]
        return tuple((end.u_at(v, w), v, w) for end in self.ends for v, w in sides)

    def size_along(self, axis: int) -> Fraction:
        """Length, width or thickness (axis 0, 1, 2) in mm."""
        return (self.length, self.width, self.thickness)[axis]


@frozen
class Piece:
    """One physical instance of a part.

    Attributes:
        id: unique, for example "slat[3]" or "frame[1].leg[0]".
        letter: its part; name: the description's part name.
        assembly: name and index of the assembly it belongs to, or ("", 0).
        repeat: values of its repeat variables.
        frame: part coordinates (u, v, w) in the world; left-handed never.
        in_place_holes: holes drilled in this piece at assembly.
    """

    id: str
    letter: str
    name: str
    assembly: tuple[str, int]
    repeat: Mapping[str, Fraction]
    frame: Frame
    in_place_holes: tuple[Hole, ...]


@frozen
class AssemblyGroup:
    """Pieces that go together and are placed as one. `frame`: the assembly's own coordinates in the world."""

    name: str
    label: str
    index: int
    pieces: tuple[str, ...]
    frame: Frame


@frozen
class JointPlace:
    """One place where two pieces meet.

    Attributes:
        joint: name; kind: as described ("cross lap", "housing", "butt", "screw" ...).
        first, second: piece ids.
        direction: unit vector in the world along which the first piece travels to close on the second.
        patch: corners (world) of the flat area where the first lies on the second: the notch floor or touching faces.
        glue: whether it is glued.
    """

    joint: str
    kind: str
    first: str
    second: str
    direction: Vec
    patch: tuple[Vec, ...]
    glue: bool


@frozen
class FastenerPlace:
    """One screw or dowel in the world: `head` is the centre of its head (or outer end), `direction` the way it is
    driven.

    `first` and `second` are the ids of the pieces it holds together.
    """

    head: Vec
    direction: Vec
    first: str
    second: str


@frozen
class Fastener:
    """A kind of bought fastener.

    Attributes:
        letter: its (square) balloon; kind; label as printed ("Wood screw, No. 8").
        diameter: shank or dowel, mm; length: mm; head_diameter: mm (0 for a dowel); head_angle: of a countersunk
            head, degrees.
        material, remark: as printed. joint: name of the joint that asks for it.
        places: every instance.
    """

    letter: str
    kind: Literal["screw", "dowel"]
    label: str
    diameter: Fraction
    length: Fraction
    head_diameter: Fraction
    head_angle: Fraction
    material: str
    remark: str
    joint: str
    places: tuple[FastenerPlace, ...]

    @property
    def count(self) -> int:
        """Number needed."""
        return len(self.places)


@frozen
class Cutter:
    """A cutter of the workshop; `kerf`: width of its cut in mm."""

    name: str
    kerf: Fraction


@frozen
class Shop:
    """The workshop for which machine settings are computed.

    Attributes:
        cutters: in order of the description.
        setting_error: mm by which a stop set with care may be off. overlap: mm by which neighbouring passes overlap.
    """

    cutters: tuple[Cutter, ...]
    setting_error: Fraction
    overlap: Fraction


@frozen
class SolvedPlan:
    """One edition's model: every number printed comes from here.

    Attributes:
        description: as the maker wrote it. units: of the edition. size: name of the size or "".
        values: parameters and formulas, evaluated; changed: parameters that differ from the plan's own.
        parts, fasteners: rows of the parts table, in order of letters.
        pieces: all pieces by id, in order of declaration. assemblies: in order.
        joints: every place where pieces meet by a joint.
        low, high: least and greatest corner (world, mm) of the whole piece.
        mass: kg, None if a species is unknown.
        shop: what machine settings are computed for.
        warnings: found while solving.
    """

    description: Description
    units: Units
    size: str
    values: Mapping[str, Quantity]
    changed: tuple[str, ...]
    materials: tuple[SolvedMaterial, ...]
    parts: tuple[Part, ...]
    fasteners: tuple[Fastener, ...]
    pieces: Mapping[str, Piece]
    assemblies: tuple[AssemblyGroup, ...]
    joints: tuple[JointPlace, ...]
    low: Vec
    high: Vec
    mass: float | None
    shop: Shop
    warnings: tuple[Diagnostic, ...]

    @property
    def overall(self) -> Vec:
        """Length (x), depth (y) and height (z) of the whole piece in mm."""
        return (self.high[0] - self.low[0], self.high[1] - self.low[1], self.high[2] - self.low[2])

    @cached_property
    def corners(self) -> Mapping[str, tuple[Vec, ...]]:
        """The eight corners (world, mm) of each piece as cut, without its notches; in the order of `Part.corners`."""
        return {name: tuple(map(piece.frame.point, self.part_of(name).corners)) for name, piece in self.pieces.items()}

    def part(self, letter: str) -> Part:
        """The part of a letter.

        Raises:
            KeyError: if there is none.
        """
        for part in self.parts:
            if part.letter == letter:
                return part
        raise KeyError(letter)

    def part_of(self, piece: str) -> Part:
        """The part that a piece is an instance of."""
        return self.part(self.pieces[piece].letter)
