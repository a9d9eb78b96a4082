"""The description as frozen records: what the maker wrote, with its place in the file, not yet computed.

Values are `Formula`s (see `formulas`); the model evaluates them. Names are kept as the maker wrote them.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

from attrs import frozen

from planpress.base.diagnostics import Place
from planpress.description.formulas import Formula
from planpress.description.shape_records import Shape

Direction: TypeAlias = Literal["+x", "-x", "+y", "-y", "+z", "-z"]
Axis: TypeAlias = Literal["x", "y", "z"]
Triple: TypeAlias = tuple[Formula, Formula, Formula]


@frozen
class Name:
    """A name the maker wrote, and where."""

    text: str
    place: Place


@frozen
class ByUnits:
    """A value with a hard size for each unit system; `metric` is the imperial one where only one was given."""

    imperial: Formula
    metric: Formula


@frozen
class TextByUnits:
    """A text for each unit system."""

    imperial: str
    metric: str


@frozen
class Parameter:
    """A size or count that a reader may change.

    Attributes:
        value: of imperial editions; metric: of metric ones (None: the same value).
        low, high: the range for which the maker vouches, ends included (None: no limit).
        measured: the reader measures this one on the real wood first.
    """

    name: str
    value: Formula
    metric: Formula | None
    low: Formula | None
    high: Formula | None
    note: str
    measured: bool
    place: Place


@frozen
class NamedFormula:
    """A derived value."""

    name: str
    formula: Formula
    place: Place


@frozen
class Size:
    """A named size: some parameters set to other values. Becomes an edition of its own."""

    name: str
    settings: tuple[NamedFormula, ...]
    note: str
    place: Place


@frozen
class Requirement:
    """A condition (a comparison) and what goes wrong if it does not hold."""

    that: Formula
    or_else: str
    place: Place


@frozen
class Plane:
    """A named plane square to an axis: axis = offset."""

    name: str
    axis: Axis
    offset: Formula
    place: Place


@frozen
class Material:
    """Stock that parts are made of. `thickness`, `width` are finished sizes; width None: as the part says (sheets,
    wide boards)."""

    name: str
    form: Literal["board", "sheet", "rough"]
    species: Name
    thickness: Formula
    width: Formula | None
    sold_as: TextByUnits | None
    lengths_imperial: tuple[Formula, ...]
    lengths_metric: tuple[Formula, ...]
    label: str
    place: Place


@frozen
class CornerPlacement:
    """By the corner of least x, y and z of its box; length and width run along the given directions.

    A negative direction turns the part within the same box: its reference end is then at the far side.
    """

    corner: Triple
    length: Direction
    width: Direction
    place: Place


@frozen
class LinePlacement:
    """By the part's centre line, from the middle of one end to the middle of the other; `width` says which way the
    width lies.

    The width is the given direction made square to the centre line.
    """

    start: Triple
    end: Triple
    width: Direction
    place: Place


@frozen
class LeanPlacement:
    """By one end of the part's centre line and how it leans from upright.

    Attributes:
        point: the middle of the end where it starts (`at` "start") or ends ("end"); it runs upward from start to end.
        lean_x, lean_y: angles from upright, seen from the front and from the side; positive: its upper end is further
            towards +x, +y. None: upright.
        rise: height from end to end. width: as in `LinePlacement`.
    """

    point: Triple
    at: Literal["start", "end"]
    lean_x: Formula | None
    lean_y: Formula | None
    rise: Formula
    width: Direction
    place: Place


Placement: TypeAlias = CornerPlacement | LinePlacement | LeanPlacement


@frozen
class Trim:
    """What an end is cut by: a named plane, or another part's face.

    `how` is "plane", "flush" (with the far face of that part: the end closes level with it) or "against" (its near
    face).
    `target` is the plane's or the part's name.
    """

    how: Literal["plane", "flush", "against"]
    target: Name


@frozen
class Repeat:
    """Make a part several times, with `variable` counting 0, 1, 2 ... below `count` or taking each of `values` in
    turn."""

    variable: str
    count: Formula | None
    values: tuple[Formula, ...]
    place: Place


@frozen
class Part:
    """A part as described; sizes None follow from material (thickness, width) or from placement (length)."""

    name: str
    label: str
    material: Name
    thickness: Formula | None
    width: Formula | None
    length: Formula | None
    placement: Placement
    trim_start: Trim | None
    trim_end: Trim | None
    repeat: tuple[Repeat, ...]
    fit_in_place: bool
    remark: str
    place: Place
    shape: Shape | None = None


@frozen
class AssemblyPlacement:
    """Where an assembly stands: moved to `at`, after turning by `turn` about `turn_axis` and mirroring across
    `mirror`."""

    at: Triple | None
    turn: Formula | None
    turn_axis: Axis
    mirror: Axis | None
    place: Place


@frozen
class Assembly:
    """Parts that go together and are placed as one, once or more. No placement: once, where its parts are described."""

    name: str
    label: str
    parts: tuple[Name, ...]
    placements: tuple[AssemblyPlacement, ...]
    place: Place


@frozen
class LapJoint:
    """Cross lap, edge lap, end lap or corner lap: both members (or only `let_into`) are notched where they cross.

    Attributes:
        between: first (laid over) and second member.
        let_into: the only member that is notched, to the full depth of the other; None: the depth is shared.
        depth: of the first member's notch; None: half of the overlap.
        fit: clearance added to each notch's width; None: none (the width is that of the measured mate).
    """

    name: str
    kind: Literal["cross lap", "edge lap", "end lap", "corner lap"]
    between: tuple[Name, Name]
    let_into: Name | None
    depth: Formula | None
    fit: Formula | None
    glue: bool
    place: Place


@frozen
class Stop:
    """A stopped cut ends `by` short of the border that lies in this direction (world axes)."""

    side: Direction
    by: Formula


@frozen
class HousedJoint:
    """Housing, rabbet or groove: one member is let into the other, as deep as the placed pieces overlap.

    Attributes:
        member: the part let in; into: the part that is cut.
        stops: where the cut ends short of a border; the corner of the member let in is cut away there.
        fit: clearance added to the cut's width. room: mm that a groove is deeper than its panel reaches, for movement.
    """

    name: str
    kind: Literal["housing", "rabbet", "groove"]
    member: Name
    into: Name
    stops: tuple[Stop, ...]
    fit: Formula | None
    room: Formula | None
    glue: bool
    place: Place

    @property
    def between(self) -> tuple[Name, Name]:
        """The member let in and the one that is cut."""
        return (self.member, self.into)


@frozen
class TenonJoint:
    """Mortise and tenon, or bridle: the end of one member, reduced to a tenon, sits in the other.

    The tenon is as long as the placed pieces overlap; if the overlap reaches the far side, it goes through.

    Attributes:
        tenon, mortise: the parts. thickness: of the tenon, None: a third of its part's thickness.
        width: of the tenon, or of all tenons and the gaps between them, None: the whole width.
        offset: of the tenon from the middle of its part's thickness, towards the reference face.
        axis: what the tenon runs along: its own part's length, or square to the side of the mortised part it enters,
            however its part leans there.
        tenons: 1, or 2 for twin tenons (side by side across the width).
        wedges: slots for wedges sawn into each through tenon, 0 for none.
        haunch: length of the haunch, None for none; haunch_width: its width.
        cutter: diameter of the router bit if the mortise has round ends, None: square ends.
        fit: clearance added to the mortise's thickness. room: depth (mm) beyond the end of a blind tenon.
    """

    name: str
    kind: Literal["mortise and tenon", "bridle"]
    tenon: Name
    mortise: Name
    thickness: Formula | None
    width: Formula | None
    offset: Formula | None
    tenons: Formula | None
    wedges: Formula | None
    haunch: Formula | None
    haunch_width: Formula | None
    cutter: ByUnits | None
    fit: Formula | None
    room: ByUnits | None
    axis: Literal["tenon", "mortise"]
    glue: bool
    place: Place

    @property
    def between(self) -> tuple[Name, Name]:
        """The part with the tenon and the one with the mortise."""
        return (self.tenon, self.mortise)


@frozen
class FingerJoint:
    """Finger joint at a corner: equal fingers across the width, the first member has the outer ones.

    Attributes:
        fingers: how many share the width, both members together; None: an odd number, each about as wide as the stock
            is thick.
        fit: clearance added to each slot.
    """

    name: str
    between: tuple[Name, Name]
    fingers: Formula | None
    fit: Formula | None
    glue: bool
    place: Place


@frozen
class DovetailJoint:
    """Through dovetails at a corner.

    Attributes:
        tails, pins: the parts. count: of tails; None: about as many as the width asks for.
        slope: n of a slope 1 : n; None: by the wood.
        pin: width of a pin at its narrow side; None: by the stock. A half pin at each edge is as wide there.
        fit: clearance added to each socket.
    """

    name: str
    tails: Name
    pins: Name
    count: Formula | None
    slope: Formula | None
    pin: Formula | None
    fit: Formula | None
    glue: bool
    place: Place

    @property
    def between(self) -> tuple[Name, Name]:
        """The part with the tails and the one with the pins."""
        return (self.tails, self.pins)


@frozen
class Strip:
    """A loose piece that a joint asks for: spline or tongue.

    Attributes:
        thickness: None: that of its material. depth: how deep it sits in each member.
        room: mm that the slot is deeper; None: the usual for the unit system.
    """

    material: Name
    thickness: Formula | None
    depth: Formula
    room: ByUnits | None
    place: Place


@frozen
class MitreJoint:
    """Mitre at a corner: both members are cut along the plane that halves the corner; perhaps with a spline."""

    name: str
    between: tuple[Name, Name]
    spline: Strip | None
    fit: Formula | None
    glue: bool
    place: Place


@frozen
class EdgeJoint:
    """Edge glue-up: members that touch along their edges; perhaps with a loose tongue in grooves of both."""

    name: str
    between: tuple[Name, Name]
    tongue: Strip | None
    fit: Formula | None
    glue: bool
    place: Place


@frozen
class ButtJoint:
    """Two members that only touch."""

    name: str
    between: tuple[Name, Name]
    glue: bool
    place: Place


@frozen
class DowelJoint:
    """Dowels where two members touch: through the first (`through` true) or blind in both.

    Attributes:
        depth_first: hole depth in the first member (None when through), depth: hole depth in the second.
        count: dowels at each place where a pair touches.
    """

    name: str
    between: tuple[Name, Name]
    through: bool
    diameter: ByUnits
    depth_first: ByUnits | None
    depth: ByUnits
    count: Formula
    glue: bool
    place: Place


@frozen
class ScrewJoint:
    """Screws through the first member into the second, where they touch.

    Attributes:
        gauge: number of the inch series; metric_diameter: nominal size in metric editions (None: the nearest usual
            one).
        length: of the screw, head included.
        head: countersunk flush, counterbored (sunk by `sink` below the surface) or plugged (sunk and closed by a plug).
        count: screws in each piece of the first member, spread evenly over the pieces of the second that it touches.
        material: as printed in the buying list.
    """

    name: str
    through: Name
    into: Name
    gauge: Formula
    metric_diameter: Formula | None
    length: Formula
    head: Literal["countersunk", "counterbored", "plugged"]
    sink: ByUnits | None
    count: Formula
    material: str
    place: Place


#: Joints that cut the wood of both members or of one.
ShapedJoint: TypeAlias = LapJoint | HousedJoint | TenonJoint | FingerJoint | DovetailJoint | MitreJoint | EdgeJoint
Joint: TypeAlias = ShapedJoint | ButtJoint | DowelJoint | ScrewJoint


@frozen
class Finish:
    """The finish: product in general words, number of coats, wait between coats."""

    product: str
    coats: Formula
    recoat: Formula | None
    place: Place


@frozen
class Cutter:
    """A cutter of the workshop: its name and the width of its cut, for each unit system."""

    name: str
    kerf: ByUnits
    place: Place


@frozen
class Shop:
    """The workshop, for the set-up cards. What is left out (no cutters, None) is as usual, see `model.shop`.

    Attributes:
        setting_error: by how much a stop that was set with care may be off.
        overlap: by how much neighbouring passes overlap at least.
    """

    cutters: tuple[Cutter, ...]
    setting_error: ByUnits | None
    overlap: ByUnits | None
    place: Place


@frozen
class Skill:
    """What the cover says of the skill needed: a few words and a second line."""

    says: str
    more: str


@frozen
class Caution:
    """What the maker warns of: on the cover, and again before the step in which the first piece of a part comes to the
    work.

    Attributes:
        says: the text, with values of the plan in double braces. before: that part, None for the cover alone.
        place: where the text stands.
    """

    says: str
    before: Name | None
    place: Place


@frozen
class Description:
    """A whole plan as the maker wrote it. Mappings keep the order of the file.

    `file` is its name as given, for messages. `hangs_by`: the part that is fixed to a wall and carries the rest; None
    for what stands.
    """

    file: str
    title: str
    maker: str
    version: str
    date: str
    introduction: str
    introduction_place: Place | None
    skill: Skill | None
    accent: str
    parameters: tuple[Parameter, ...]
    formulas: tuple[NamedFormula, ...]
    sizes: tuple[Size, ...]
    requirements: tuple[Requirement, ...]
    planes: tuple[Plane, ...]
    materials: tuple[Material, ...]
    parts: tuple[Part, ...]
    assemblies: tuple[Assembly, ...]
    joints: tuple[Joint, ...]
    finish: Finish | None
    shop: Shop | None
    cautions: tuple[Caution, ...] = ()
    hangs_by: Name | None = None
