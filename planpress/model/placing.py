"""From described parts to placed sticks: repeats, materials, placements, trims, assemblies."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from fractions import Fraction

from attrs import frozen

from planpress.base.diagnostics import Findings
from planpress.base.printing import Units
from planpress.base.quantities import ANGLE, COUNT, LENGTH, Quantity, cos, degrees, sin, tan
from planpress.base.reference.woods import find_wood
from planpress.description import records as described
from planpress.description.faults import FormulaError, did_you_mean, formula_error
from planpress.description.formulas import Formula
from planpress.geometry.vectors import (
    ORIGIN,
    SAME,
    Frame,
    Vec,
    X,
    Y,
    Z,
    add,
    cross,
    dot,
    floats,
    mirrored_across,
    neg,
    norm,
    scale,
    sub,
    turned_about,
    unit,
)
from planpress.model.blanks import Blank, EndPlane, corner_frame, stick
from planpress.model.records import AssemblyGroup, SolvedMaterial
from planpress.model.shapes import Stick, shape_of, unreached

_AXES: dict[str, Vec] = {"x": X, "y": Y, "z": Z}
#: More pieces than this are a slip of the pen, not a piece of furniture.
MOST_PIECES = 1000
#: A part that leans further (degrees from upright) is lying: give its ends.
MOST_LEAN = Fraction(80)


@frozen
class Placed:
    """All sticks of the piece in the world, in order, and the assemblies they belong to."""

    blanks: tuple[Blank, ...]
    assemblies: tuple[AssemblyGroup, ...]


def direction_of(words: described.Direction) -> Vec:
    """The unit vector of "+x" ... "-z"."""
    axis = _AXES[words[1]]
    return axis if words[0] == "+" else neg(axis)


def solve_materials(
    description: described.Description, names: Mapping[str, Quantity], units: Units, findings: Findings
) -> dict[str, SolvedMaterial]:
    """The plan's materials with sizes; a wood that is not in the table gets no density and a warning."""
    out: dict[str, SolvedMaterial] = {}
    metric = units is Units.METRIC
    for material in description.materials:
        wood = find_wood(material.species.text)
        if wood is None:
            findings.warning(
                "unknown-wood",
                f"no density is known for '{material.species.text}'; masses are left out",
                material.species.place,
                hint="use a trade name of the table of woods, or accept no mass",
            )
        try:
            lengths = material.lengths_metric if metric else material.lengths_imperial
            sold = material.sold_as
            out[material.name] = SolvedMaterial(
                name=material.name,
                label=_stock_label(material),
                form=material.form,
                species=material.species.text,
                thickness=positive(material.thickness, names),
                width=positive(material.width, names) if material.width else None,
                sold_as=(sold.metric if metric else sold.imperial) if sold else "",
                lengths=tuple(positive(length, names) for length in lengths),
                density=wood.density if wood else None,
            )
        except FormulaError as fault:
            findings.items.append(fault.diagnostic)
    return out


def _stock_label(material: described.Material) -> str:
    """What tables print for a material: the maker's own label, else the wood."""
    usual = material.name.replace("_", " ")
    return material.species.text if material.label.lower() == usual.lower() else material.label


def positive(formula: Formula, names: Mapping[str, Quantity]) -> Fraction:
    """A length of more than nothing, in mm.

    Raises:
        FormulaError: if it is no length or not positive.
    """
    value = formula.quantity(names, LENGTH).value
    if value <= 0:
        raise described_fault(
            "size", f"'{formula.text}' comes out as {float(value):g} mm; a size must be positive", formula
        )
    return value


def described_fault(code: str, message: str, formula: Formula, hint: str = "") -> FormulaError:
    """A fault at a formula's place."""
    return formula_error(code, message, formula.place, hint=hint)


def point(triple: described.Triple, names: Mapping[str, Quantity]) -> Vec:
    """A point from three formulas, in mm."""
    x, y, z = (formula.quantity(names, LENGTH).value for formula in triple)
    return (x, y, z)


def repeats(part: described.Part, names: Mapping[str, Quantity]) -> Iterator[dict[str, Quantity]]:
    """The values of the repeat variables for each piece, the last variable running fastest.

    Raises:
        FormulaError: if a count is no whole number of at least one, or too large.
    """
    axes: list[list[tuple[str, Quantity]]] = []
    for repeat in part.repeat:
        if repeat.count is not None:
            number = repeat.count.quantity(names, COUNT).value
            if number.denominator != 1 or not 1 <= number <= MOST_PIECES:
                raise described_fault(
                    "repeat",
                    f"'{repeat.count.text}' comes out as {float(number):g}; a part is made a whole number of times"
                    f" from 1 to {MOST_PIECES}",
                    repeat.count,
                )
            axes.append([(repeat.variable, Quantity(Fraction(k), COUNT)) for k in range(int(number))])
        else:
            axes.append([(repeat.variable, value.quantity(names)) for value in repeat.values])
    for choice in itertools.product(*axes):
        yield dict(choice)


@frozen
class _Loose:
    """A stick in its assembly's own coordinates before trims: `frame` at its untrimmed near end."""

    part: described.Part
    id: str
    repeat: Mapping[str, Fraction]
    material: SolvedMaterial
    frame: Frame
    length: Fraction
    width: Fraction
    thickness: Fraction
    known: Mapping[str, Quantity]

    def sides(self) -> list[tuple[Vec, Fraction]]:
        """Outward normal and offset of the four long sides."""
        middle = self.frame.point((Fraction(0), self.width / 2, self.thickness / 2))
        out = []
        for axis, size in ((self.frame.y, self.width), (self.frame.z, self.thickness)):
            for normal in (axis, neg(axis)):
                out.append((normal, dot(middle, normal) + size / 2))
        return out

    def distance(self, p: Vec) -> float:
        """Distance (mm) of a point from the centre line."""
        start = floats(self.frame.point((Fraction(0), self.width / 2, self.thickness / 2)))
        along = floats(self.frame.x)
        q = floats(p)
        t = sum((q[i] - start[i]) * along[i] for i in range(3))
        t = min(max(t, 0.0), float(self.length))
        return math.dist(q, [start[i] + t * along[i] for i in range(3)])


def place_parts(
    description: described.Description,
    names: Mapping[str, Quantity],
    materials: Mapping[str, SolvedMaterial],
    findings: Findings,
) -> Placed:
    """Place every piece. Faults are added to `findings`; parts with faults are left out."""
    loose: dict[str, list[_Loose]] = {}
    for part in description.parts:
        try:
            loose[part.name] = _loose_sticks(part, names, materials)
        except FormulaError as fault:
            findings.items.append(fault.diagnostic)
    planes = _planes(description, names, findings)
    home = {name.text: assembly for assembly in description.assemblies for name in assembly.parts}
    ready: dict[str, list[Blank]] = {}
    for part in description.parts:
        if part.name not in loose:
            continue
        family = home.get(part.name)
        mates = {name: sticks for name, sticks in loose.items() if home.get(name) == family}
        sticks = [(s, _trimmed(s, planes, mates, findings)) for s in loose[part.name]]
        ready[part.name] = [blank for _, blank in sticks if blank is not None]
        _cut_to_shape(part, [(s, blank) for s, blank in sticks if blank is not None], findings)
    return _assembled(description, names, ready, home, findings)


def _loose_sticks(
    part: described.Part, names: Mapping[str, Quantity], materials: Mapping[str, SolvedMaterial]
) -> list[_Loose]:
    material = materials.get(part.material.text)
    if material is None:
        return []
    out = []
    choices = list(repeats(part, names))
    for index, choice in enumerate(choices):
        known = {**names, **choice}
        thickness = positive(part.thickness, known) if part.thickness else material.thickness
        width = positive(part.width, known) if part.width else material.width
        if width is None:
            raise described_fault_at(part, "size", f"part '{part.name}' has no width", "give it a width:")
        placement = part.placement
        if isinstance(placement, described.CornerPlacement):
            if part.length is None:
                raise described_fault_at(part, "size", f"part '{part.name}' has no length", "give it a length:")
            length = positive(part.length, known)
            frame = corner_frame(
                point(placement.corner, known),
                direction_of(placement.length),
                direction_of(placement.width),
                (length, width, thickness),
            )
        else:
            start, end = _centre_line(part, placement, known)
            length = norm(sub(end, start))
            along = unit(sub(end, start))
            wanted = direction_of(placement.width)
            across = sub(wanted, scale(along, dot(wanted, along)))
            if norm(across) < Fraction(1, 1000):
                raise described_fault_at(
                    part, "placement", f"the width of '{part.name}' runs along its centre line", "choose another width:"
                )
            v = unit(across)
            w = cross(along, v)
            origin = sub(sub(start, scale(v, width / 2)), scale(w, thickness / 2))
            frame = Frame(origin, along, v, w)
        piece_id = part.name if not part.repeat else f"{part.name}[{index}]"
        repeat = {name: value.value for name, value in choice.items()}
        out.append(_Loose(part, piece_id, repeat, material, frame, length, width, thickness, known))
    return out


def _centre_line(
    part: described.Part, placement: described.LinePlacement | described.LeanPlacement, known: Mapping[str, Quantity]
) -> tuple[Vec, Vec]:
    """Middle of both ends of a part, before trims."""
    if isinstance(placement, described.LinePlacement):
        start, end = point(placement.start, known), point(placement.end, known)
        if norm(sub(end, start)) <= SAME:
            raise described_fault("placement", f"the centre line of '{part.name}' has no length", placement.start[0])
        return start, end
    rise = positive(placement.rise, known)
    across = []
    for formula in (placement.lean_x, placement.lean_y):
        angle = formula.quantity(known, ANGLE) if formula else degrees(0)
        if formula is not None and not -MOST_LEAN <= angle.value <= MOST_LEAN:
            raise described_fault(
                "placement",
                f"'{formula.text}' comes out as {float(angle.value):g} degrees; a part leans by at most"
                f" {float(MOST_LEAN):g} degrees from upright",
                formula,
            )
        across.append(rise * tan(angle).value)
    given, along = point(placement.point, known), (across[0], across[1], rise)
    return (given, add(given, along)) if placement.at == "start" else (sub(given, along), given)


def described_fault_at(part: described.Part, code: str, message: str, hint: str) -> FormulaError:
    """A fault at a part's place."""
    return formula_error(code, message, part.place, hint=hint)


def _planes(
    description: described.Description, names: Mapping[str, Quantity], findings: Findings
) -> dict[str, tuple[Vec, Fraction]]:
    """Named planes as unit normal and offset."""
    out = {}
    for plane in description.planes:
        try:
            out[plane.name] = (_AXES[plane.axis], plane.offset.quantity(names, LENGTH).value)
        except FormulaError as fault:
            findings.items.append(fault.diagnostic)
    return out


def _trimmed(
    loose: _Loose,
    planes: Mapping[str, tuple[Vec, Fraction]],
    mates: Mapping[str, list[_Loose]],
    findings: Findings,
) -> Blank | None:
    """The stick with its ends cut as its trims say."""
    ends: dict[int, EndPlane | None] = {0: None, 1: None}
    for k, trim in ((0, loose.part.trim_start), (1, loose.part.trim_end)):
        if trim is None:
            continue
        outward = loose.frame.x if k else neg(loose.frame.x)
        cutter = _cutter(loose, trim, k, outward, planes, mates, findings)
        if cutter is None:
            return None
        normal, offset = cutter
        if dot(normal, outward) < Fraction(1, 20):
            findings.error(
                "trim",
                f"'{trim.target.text}' runs almost along '{loose.part.name}' and cannot trim its end",
                trim.target.place,
                hint="trim by a plane or part that crosses it",
            )
            return None
        words = (
            trim.target.text
            if trim.how == "plane"
            else (f"flush with {trim.target.text}" if trim.how == "flush" else f"against {trim.target.text}")
        )
        on_plane = scale(normal, offset)
        ends[k] = EndPlane(loose.frame.local_point(on_plane), loose.frame.local_direction(normal), words)
    blank = stick(
        record=loose.part,
        piece_id=loose.id,
        repeat=loose.repeat,
        material=loose.material,
        frame=loose.frame,
        length=loose.length,
        width=loose.width,
        thickness=loose.thickness,
        near=ends[0],
        far=ends[1],
    )
    shortest = min(
        blank.far.u_at(v, w) - blank.near.u_at(v, w)
        for v in (Fraction(0), blank.width)
        for w in (Fraction(0), blank.thickness)
    )
    if shortest <= SAME:
        findings.error(
            "size",
            f"nothing is left of '{loose.id}' after its ends are trimmed",
            loose.part.place,
            hint="its ends meet: move its centre line or the planes apart",
        )
        return None
    return blank


def _cut_to_shape(part: described.Part, sticks: list[tuple[_Loose, Blank]], findings: Findings) -> None:
    """Give each stick its shape; a shape that does not fill the stick is worth a warning, once."""
    if part.shape is None:
        return
    for index, (loose, blank) in enumerate(sticks):
        lines = tuple(
            None if end.normal[2] else (end.normal[:2], dot(end.normal, end.point)) for end in (blank.near, blank.far)
        )
        stick_ = Stick(blank.length, blank.width, blank.thickness, (lines[0], lines[1]))
        try:
            blank.shape = shape_of(part, part.shape, stick_, loose.known)
        except FormulaError as fault:
            if fault.diagnostic not in findings.items:
                findings.items.append(fault.diagnostic)
            continue
        if index:
            continue
        for word, size, low, high in unreached(blank.shape, stick_):
            findings.warning(
                "shape",
                f"the outline of '{part.name}' runs from {float(low):.1f} to {float(high):.1f} mm along its {word},"
                f" which is {float(size):.1f} mm",
                part.shape.outlines[0].place if part.shape.outlines else part.place,
                hint=f"let it touch both ends of the {word}, or make the {word} smaller: the table prints it",
            )


def _cutter(
    loose: _Loose,
    trim: described.Trim,
    end: int,
    outward: Vec,
    planes: Mapping[str, tuple[Vec, Fraction]],
    mates: Mapping[str, list[_Loose]],
    findings: Findings,
) -> tuple[Vec, Fraction] | None:
    """Unit normal (pointing outward of the end) and offset of the plane that trims an end."""
    if trim.how == "plane":
        if trim.target.text not in planes:
            return None  # its own fault has been reported
        normal, offset = planes[trim.target.text]
        return (normal, offset) if dot(normal, outward) > 0 else (neg(normal), -offset)
    candidates = mates.get(trim.target.text, [])
    if not candidates:
        findings.error(
            "trim",
            f"no '{trim.target.text}' stands in the same assembly as '{loose.part.name}'",
            trim.target.place,
            hint=did_you_mean(trim.target.text, mates) or "put both parts into one assembly",
        )
        return None
    tip = loose.frame.point((loose.length * end, loose.width / 2, loose.thickness / 2))
    target = min(candidates, key=lambda other: other.distance(tip))
    if trim.how == "flush":
        return max(target.sides(), key=lambda side: dot(side[0], outward))
    normal, offset = min(target.sides(), key=lambda side: dot(side[0], outward))
    return neg(normal), -offset


def _assembled(
    description: described.Description,
    names: Mapping[str, Quantity],
    ready: Mapping[str, list[Blank]],
    home: Mapping[str, described.Assembly],
    findings: Findings,
) -> Placed:
    """Every assembly where it stands, then the parts that belong to none, all in the order of the parts."""
    frames: dict[str, list[Frame]] = {}
    for assembly in description.assemblies:
        try:
            frames[assembly.name] = [_frame(p, names) for p in assembly.placements] or [Frame()]
        except FormulaError as fault:
            findings.items.append(fault.diagnostic)
            frames[assembly.name] = []
    blanks: list[Blank] = []
    for part in description.parts:
        family = home.get(part.name)
        sticks = ready.get(part.name, [])
        if family is None:
            blanks += [b.placed(Frame(), b.id, ("", 0)) for b in sticks]
            continue
        several = len(frames[family.name]) > 1
        for k, frame in enumerate(frames[family.name]):
            prefix = f"{family.name}[{k}]." if several else f"{family.name}."
            blanks += [b.placed(frame, prefix + b.id, (family.name, k)) for b in sticks]
    groups = [
        AssemblyGroup(
            assembly.name,
            assembly.label,
            k,
            tuple(b.id for b in blanks if b.assembly == (assembly.name, k)),
            frame,
        )
        for assembly in description.assemblies
        for k, frame in enumerate(frames[assembly.name])
    ]
    if len(blanks) > MOST_PIECES:
        findings.error("repeat", f"the plan comes out with {len(blanks)} pieces; the most is {MOST_PIECES}")
    return Placed(tuple(blanks), tuple(groups))


def _frame(placement: described.AssemblyPlacement, names: Mapping[str, Quantity]) -> Frame:
    """Mirrored first, then turned, then moved."""
    frame = Frame()
    if placement.mirror is not None:
        frame = mirrored_across(placement.mirror)
    if placement.turn is not None:
        angle = placement.turn.quantity(names, ANGLE)
        frame = frame.within(turned_about(placement.turn_axis, cos(angle).value, sin(angle).value))
    at = point(placement.at, names) if placement.at else ORIGIN
    return Frame(add(frame.origin, at), frame.x, frame.y, frame.z)
