"""Reads materials, parts and assemblies."""

from __future__ import annotations

import re
from typing import Literal, cast

from planpress.base.quantities import ANGLE, COUNT, LENGTH
from planpress.description.fields import Fields, Reading, blank_formula, default_label
from planpress.description.formulas import Formula
from planpress.description.naming import check_name
from planpress.description.records import (
    Assembly,
    AssemblyPlacement,
    Axis,
    CornerPlacement,
    Direction,
    LeanPlacement,
    LinePlacement,
    Material,
    Name,
    Part,
    Placement,
    Repeat,
    Trim,
)
from planpress.description.shape_section import SHAPE_KEYS, read_shape
from planpress.description.yaml_nodes import Entry, Mapping, Node, Scalar
from planpress.description.yaml_nodes import Sequence as ListNode

_MATERIAL_KEYS = ("form", "species", "thickness", "width", "sold_as", "lengths", "label")
_PART_KEYS = (
    "label",
    "material",
    "thickness",
    "width",
    "length",
    "place",
    "trim",
    "repeat",
    "fit_in_place",
    "remark",
    *SHAPE_KEYS,
)
_DIRECTIONS = ("+x", "-x", "+y", "-y", "+z", "-z")
_AXES = ("x", "y", "z")
_BY_PART = re.compile(r"(flush\s+with|against)\s+(?=\S)")
_TURN = re.compile(r"(.*\S)\s+about\s+(\S+)\s*", re.DOTALL)


def read_material(entry: Entry, reading: Reading) -> Material:
    """One entry of `materials`."""
    fields = Fields(reading, entry.value, f"material '{entry.key.text}'", _MATERIAL_KEYS, entry.key.place)
    form = fields.choice("form", ("board", "sheet", "rough"))
    if form == "board" and "form" in fields:
        fields.required("width", "boards are sold in one width")
    species = fields.nodes.get("species")
    imperial, metric = _lengths(fields, reading)
    return Material(
        name=entry.key.text,
        form=form,  # type: ignore[arg-type]
        species=Name(fields.text("species"), species.place if species else entry.key.place),
        thickness=fields.formula("thickness", LENGTH),
        width=fields.formula_or_none("width", LENGTH),
        sold_as=fields.text_by_units_or_none("sold_as"),
        lengths_imperial=imperial,
        lengths_metric=metric,
        label=fields.text_or("label", default_label(entry.key.text)),
        place=entry.key.place,
    )


def _lengths(fields: Fields, reading: Reading) -> tuple[tuple[Formula, ...], tuple[Formula, ...]]:
    """Lengths in which stock is sold: one list, or one for each unit system."""
    node = fields.nodes.get("lengths")
    if node is None:
        return (), ()

    def read(inner: Node | None, what: str) -> tuple[Formula, ...]:
        items = reading.items(inner, what, "lengths") if inner else ()
        return tuple(reading.formula(item, what, LENGTH) for item in items)

    if not isinstance(node, Mapping):
        lengths = read(node, fields.about("lengths"))
        return lengths, lengths
    pair = Fields(reading, node, fields.about("lengths"), ("imperial", "metric"))
    return (
        read(pair.required("imperial"), pair.about("imperial")),
        read(pair.required("metric"), pair.about("metric")),
    )


def read_part(entry: Entry, reading: Reading) -> Part:
    """One entry of `parts`."""
    fields = Fields(reading, entry.value, f"part '{entry.key.text}'", _PART_KEYS, entry.key.place)
    repeat = _repeat(fields, reading)
    reading.variables = tuple((item.variable, item.values[0] if item.values else None) for item in repeat)
    trim_start, trim_end = _trims(fields, entry.key.text, reading)
    part = Part(
        name=entry.key.text,
        label=fields.text_or("label", default_label(entry.key.text)),
        material=fields.known("material", "material"),
        thickness=fields.formula_or_none("thickness", LENGTH),
        width=fields.formula_or_none("width", LENGTH),
        length=fields.formula_or_none("length", LENGTH),
        placement=_placement(fields, reading),
        trim_start=trim_start,
        trim_end=trim_end,
        repeat=repeat,
        fit_in_place=fields.flag("fit_in_place"),
        remark=fields.text_or("remark", ""),
        place=entry.key.place,
        shape=read_shape(fields),
    )
    reading.variables = ()
    return part


def _placement(fields: Fields, reading: Reading) -> Placement:
    """By corner and directions, or by centre line."""
    node = fields.required("place")
    what = f"the place of {fields.what}"
    if node is None:
        return _blank_placement(fields)
    by_line = isinstance(node, Mapping) and any(item.key.text in ("from", "to") for item in node.entries)
    if by_line:
        fields.forbid(["length"], "it follows from where the part begins and ends ('from', 'to')")
        line = Fields(reading, node, what, ("from", "to", "lean", "rise", "width"))
        if "lean" in line or "rise" in line:
            return _leaning(line, node)
        start, end = line.triple("from", LENGTH), line.triple("to", LENGTH)
        return LinePlacement(start, end, _direction(line, "width"), node.place)
    corner = Fields(reading, node, what, ("corner", "length", "width"))
    if not corner.is_mapping:
        return _blank_placement(fields)
    fields.required("length", "a part placed by its corner needs one")
    placement = CornerPlacement(
        corner.triple("corner", LENGTH), _direction(corner, "length"), _direction(corner, "width"), node.place
    )
    if "length" in corner and "width" in corner and placement.length[1] == placement.width[1]:
        reading.findings.error(
            "directions",
            f"length and width of {fields.what} both run along {placement.length[1]}",
            corner.nodes["width"].place,
            hint="the width runs square to the length",
        )
    return placement


def _leaning(line: Fields, node: Node) -> LeanPlacement:
    """`{from: [x, y, z], lean: {x: 8 deg, y: 5 deg}, rise: 9 in, width: +x}`; `to` instead of `from` gives the top."""
    at: Literal["start", "end"] = "start" if "from" in line else "end"
    if "from" in line and "to" in line:
        line.forbid(["lean", "rise"], "its two ends say how it stands ('from', 'to')")
    lean = line.required("lean")
    angles: dict[str, Formula | None] = {"x": None, "y": None}
    if lean is not None:
        inner = Fields(line.reading, lean, line.about("lean"), ("x", "y"))
        angles = {axis: inner.formula_or_none(axis, ANGLE) for axis in angles}
        if inner.is_mapping and not inner.nodes and not inner.misspelt:
            line.reading.wrong(lean.place, f"{inner.what} is empty", "angles: {x: 8 deg, y: 5 deg}")
    return LeanPlacement(
        point=line.triple("from" if at == "start" else "to", LENGTH),
        at=at,
        lean_x=angles["x"],
        lean_y=angles["y"],
        rise=line.formula("rise", LENGTH),
        width=_direction(line, "width"),
        place=node.place,
    )


def _blank_placement(fields: Fields) -> CornerPlacement:
    blank = blank_formula(fields.place)
    return CornerPlacement((blank, blank, blank), "+x", "+y", fields.place)


def _direction(fields: Fields, key: str) -> Direction:
    return cast(Direction, fields.choice(key, _DIRECTIONS))


def _trims(fields: Fields, part: str, reading: Reading) -> tuple[Trim | None, Trim | None]:
    """What cuts the ends: `floor`, `flush with leg`, `against leg`."""
    node = fields.nodes.get("trim")
    if node is None:
        return None, None
    ends = Fields(reading, node, f"the trim of {fields.what}", ("start", "end"))
    start, end = (
        _trim(ends.nodes[key], ends.about(key), part, reading) if key in ends else None for key in ("start", "end")
    )
    return start, end


def _trim(node: Node, what: str, part: str, reading: Reading) -> Trim | None:
    text = reading.text(node, what)
    if not text or not isinstance(node, Scalar):
        return None
    located = node.located()
    match = _BY_PART.match(located.text)
    if match is None:
        name = Name(text, node.place)
        declared = reading.declared
        if text in declared["part"] and text not in declared["plane"]:
            hint = f"to cut by a part, write: flush with {text}, or: against {text}"
            reading.findings.error("unknown-plane", f"'{text}' is a part, not a plane", node.place, hint=hint)
        else:
            reading.check_known(name, "plane")
        return Trim("plane", name)
    target = Name(located.text[match.end() :].strip(), located.place_at(match.end()))
    reading.check_known(target, "part")
    if target.text == part:
        reading.findings.error("trim", f"the part '{part}' cannot be cut by itself", target.place)
    return Trim("against" if match[1] == "against" else "flush", target)


def _repeat(fields: Fields, reading: Reading) -> tuple[Repeat, ...]:
    """`{row: slats}` counts, `{side: [-1, 1]}` takes each value; several repeats are nested, the first outermost."""
    node = fields.nodes.get("repeat")
    if node is None:
        return ()
    if not isinstance(node, Mapping):
        reading.wrong(node.place, f"{fields.about('repeat')} is not a mapping", "a variable and a count: {row: slats}")
        return ()
    repeats = []
    for entry in node.entries:
        variable = entry.key.text
        what = f"repeat '{variable}' of {fields.what}"
        check_name(entry.key, "variable", reading)
        for kind in ("parameter", "formula"):
            if variable in reading.declared[kind]:
                reading.findings.error(
                    "name-taken",
                    f"the variable '{variable}' has the name of a {kind}",
                    entry.key.place,
                    hint="rename it",
                )
        if not isinstance(entry.value, ListNode):
            count = reading.formula(entry.value, what, COUNT)
            repeats.append(Repeat(variable, count, (), entry.key.place))
            continue
        values = tuple(reading.formula(item, what) for item in entry.value.items)
        if not values:
            reading.wrong(entry.value.place, f"{what} has no values", "at least one")
        repeats.append(Repeat(variable, None, values, entry.key.place))
    return tuple(repeats)


def read_assembly(entry: Entry, reading: Reading) -> Assembly:
    """One entry of `assemblies`."""
    fields = Fields(reading, entry.value, f"assembly '{entry.key.text}'", ("label", "parts", "place"), entry.key.place)
    node = fields.required("parts")
    items = reading.items(node, fields.about("parts"), "parts") if node else ()
    place = fields.nodes.get("place")
    placements: tuple[Node, ...] = ()
    if place is not None:
        placements = place.items if isinstance(place, ListNode) else (place,)
    return Assembly(
        name=entry.key.text,
        label=fields.text_or("label", default_label(entry.key.text)),
        parts=tuple(reading.known(item, fields.about("parts"), "part") for item in items),
        placements=tuple(_assembly_placement(item, fields.what, reading) for item in placements),
        place=entry.key.place,
    )


def _assembly_placement(node: Node, what: str, reading: Reading) -> AssemblyPlacement:
    fields = Fields(reading, node, f"a place of {what}", ("at", "turn", "mirror"))
    turn, axis = _turn(fields, reading)
    mirror = cast(Axis, fields.choice("mirror", _AXES)) if "mirror" in fields else None
    at = fields.triple("at", LENGTH) if "at" in fields else None
    return AssemblyPlacement(at, turn, axis, mirror, node.place)


def _turn(fields: Fields, reading: Reading) -> tuple[Formula | None, Axis]:
    """`180 deg about z`."""
    node = fields.nodes.get("turn")
    if node is None:
        return None, "z"
    text = reading.text(node, fields.about("turn"))
    if not text or not isinstance(node, Scalar):
        return None, "z"
    located = node.located()
    match = _TURN.fullmatch(located.text)
    if match is None or match[2] not in _AXES:
        reading.wrong(node.place, f"{fields.about('turn')} is '{text[:40]}'", "an angle and an axis: 180 deg about z")
        return None, "z"
    return reading.formula_in(located.part(0, match.end(1)), ANGLE), cast(Axis, match[2])


def check_parts(
    parts: tuple[Part, ...], materials: tuple[Material, ...], assemblies: tuple[Assembly, ...], reading: Reading
) -> None:
    """What parts, materials and assemblies must agree on."""
    by_name = {material.name: material for material in materials}
    for part in parts:
        material = by_name.get(part.material.text)
        if material is None or material.form == "board":  # a board without a width is reported by itself
            continue
        if material.width is None and part.width is None:
            reading.findings.error(
                "missing-key",
                f"the key 'width' is missing in part '{part.name}': its material '{material.name}' has no width",
                part.place,
            )
    taken: dict[str, str] = {}
    for assembly in assemblies:
        for name in assembly.parts:
            if name.text in taken:
                reading.findings.error(
                    "assembly",
                    f"the part '{name.text}' is in assembly '{taken[name.text]}' already",
                    name.place,
                    hint="a part belongs to one assembly",
                )
            elif name.text:
                taken[name.text] = assembly.name
