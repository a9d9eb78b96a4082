"""Reads joints that cut the wood: laps, housings, tenons, fingers, dovetails, mitres, edge joints."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, cast

from planpress.base.quantities import COUNT, LENGTH
from planpress.description.fields import Fields
from planpress.description.records import (
    Direction,
    DovetailJoint,
    EdgeJoint,
    FingerJoint,
    HousedJoint,
    LapJoint,
    MitreJoint,
    Name,
    ShapedJoint,
    Stop,
    Strip,
    TenonJoint,
)
from planpress.description.yaml_nodes import Entry, Node

_LAP_KEYS = ("kind", "between", "let_into", "depth", "fit", "glue")
_HOUSED_KEYS = ("kind", "let_in", "into", "stop", "fit", "room", "glue")
_TENON_KEYS = (
    "kind",
    "tenon",
    "mortise",
    "thickness",
    "width",
    "offset",
    "tenons",
    "wedges",
    "haunch",
    "haunch_width",
    "cutter",
    "fit",
    "room",
    "axis",
    "glue",
)
_FINGER_KEYS = ("kind", "between", "fingers", "fit", "glue")
_DOVETAIL_KEYS = ("kind", "tails", "pins", "count", "slope", "pin", "fit", "glue")
_MITRE_KEYS = ("kind", "between", "spline", "fit", "glue")
_EDGE_KEYS = ("kind", "between", "tongue", "fit", "glue")
_LAPS = ("cross lap", "edge lap", "end lap", "corner lap")
_DIRECTIONS = ("+x", "-x", "+y", "-y", "+z", "-z")


def _read_lap(entry: Entry, fields: Fields) -> LapJoint:
    between = two_parts(fields)
    let_into = fields.known_or_none("let_into", "part")
    findings = fields.reading.findings
    if not _named_twice(fields, between) and (
        let_into
        and let_into.text in fields.reading.declared["part"]
        and all(let_into.text != name.text for name in between)
    ):
        findings.error(
            "joint",
            f"'{let_into.text}' is not one of the parts that {fields.what} joins",
            let_into.place,
            expected=f"{between[0].text} or {between[1].text}",
        )
    if let_into is not None:
        fields.forbid(["depth"], "'let_into' says that one part is notched by the full depth of the other")
    kind = fields.choice("kind", _LAPS)
    return LapJoint(
        name=entry.key.text,
        kind=cast(Literal["cross lap", "edge lap", "end lap", "corner lap"], kind),
        between=between,
        let_into=let_into,
        depth=fields.formula_or_none("depth", LENGTH),
        fit=fields.formula_or_none("fit", LENGTH),
        glue=fields.flag("glue"),
        place=entry.key.place,
    )


def _named_twice(fields: Fields, between: tuple[Name, Name]) -> bool:
    """Report a joint of a part with itself."""
    if between[0].text and between[0].text == between[1].text:
        message = f"{fields.what} names '{between[0].text}' twice"
        fields.reading.findings.error("joint", message, between[1].place, expected="two different parts")
        return True
    return False


def _read_housed(entry: Entry, fields: Fields) -> HousedJoint:
    kind = fields.choice("kind", ("housing", "rabbet", "groove"))
    if kind != "groove":
        fields.forbid(["room"], "only a panel in a groove needs room to move")
    elif "room" in fields:
        fields.forbid(["glue"], "a panel with room to move lies loose in its groove")
    member, into = fields.known("let_in", "part"), fields.known("into", "part")
    _named_twice(fields, (member, into))
    return HousedJoint(
        name=entry.key.text,
        kind=cast(Literal["housing", "rabbet", "groove"], kind),
        member=member,
        into=into,
        stops=_stops(fields),
        fit=fields.formula_or_none("fit", LENGTH),
        room=fields.formula_or_none("room", LENGTH),
        glue=fields.flag("glue"),
        place=entry.key.place,
    )


def _stops(fields: Fields) -> tuple[Stop, ...]:
    """`stop: {-y: 3/4 in}`: how far short of the border at that side a cut ends."""
    node = fields.nodes.get("stop")
    if node is None:
        return ()
    each = Fields(fields.reading, node, fields.about("stop"), _DIRECTIONS)
    return tuple(Stop(cast(Direction, side), each.formula(side, LENGTH)) for side in _DIRECTIONS if side in each)


def _read_tenon(entry: Entry, fields: Fields) -> TenonJoint:
    kind = fields.choice("kind", ("mortise and tenon", "bridle"))
    if kind == "bridle":
        fields.forbid(
            ["width", "tenons", "wedges", "haunch", "haunch_width", "cutter", "room", "axis"],
            "a bridle is open at the end",
        )
    elif "haunch_width" in fields:
        fields.required("haunch", "a haunch has a length and a width")
    tenon, mortise = fields.known("tenon", "part"), fields.known("mortise", "part")
    _named_twice(fields, (tenon, mortise))
    return TenonJoint(
        name=entry.key.text,
        kind=cast(Literal["mortise and tenon", "bridle"], kind),
        tenon=tenon,
        mortise=mortise,
        thickness=fields.formula_or_none("thickness", LENGTH),
        width=fields.formula_or_none("width", LENGTH),
        offset=fields.formula_or_none("offset", LENGTH),
        tenons=fields.formula_or_none("tenons", COUNT),
        wedges=fields.formula_or_none("wedges", COUNT),
        haunch=fields.formula_or_none("haunch", LENGTH),
        haunch_width=fields.formula_or_none("haunch_width", LENGTH),
        cutter=fields.by_units_or_none("cutter", LENGTH),
        fit=fields.formula_or_none("fit", LENGTH),
        room=fields.by_units_or_none("room", LENGTH),
        axis=cast(Literal["tenon", "mortise"], fields.choice("axis", ("tenon", "mortise"), "tenon")),
        glue=fields.flag("glue"),
        place=entry.key.place,
    )


def _read_finger(entry: Entry, fields: Fields) -> FingerJoint:
    between = two_parts(fields)
    _named_twice(fields, between)
    return FingerJoint(
        name=entry.key.text,
        between=between,
        fingers=fields.formula_or_none("fingers", COUNT),
        fit=fields.formula_or_none("fit", LENGTH),
        glue=fields.flag("glue"),
        place=entry.key.place,
    )


def _read_dovetail(entry: Entry, fields: Fields) -> DovetailJoint:
    tails, pins = fields.known("tails", "part"), fields.known("pins", "part")
    _named_twice(fields, (tails, pins))
    return DovetailJoint(
        name=entry.key.text,
        tails=tails,
        pins=pins,
        count=fields.formula_or_none("count", COUNT),
        slope=fields.formula_or_none("slope", COUNT),
        pin=fields.formula_or_none("pin", LENGTH),
        fit=fields.formula_or_none("fit", LENGTH),
        glue=fields.flag("glue"),
        place=entry.key.place,
    )


def _read_mitre(entry: Entry, fields: Fields) -> MitreJoint:
    return MitreJoint(
        name=entry.key.text,
        between=two_parts(fields),
        spline=_strip(fields, "spline"),
        fit=fields.formula_or_none("fit", LENGTH),
        glue=fields.flag("glue"),
        place=entry.key.place,
    )


def _read_edge(entry: Entry, fields: Fields) -> EdgeJoint:
    return EdgeJoint(
        name=entry.key.text,
        between=two_parts(fields),
        tongue=_strip(fields, "tongue"),
        fit=fields.formula_or_none("fit", LENGTH),
        glue=fields.flag("glue"),
        place=entry.key.place,
    )


def _strip(fields: Fields, key: str) -> Strip | None:
    node: Node | None = fields.nodes.get(key)
    if node is None:
        return None
    strip = Fields(fields.reading, node, fields.about(key), ("material", "thickness", "depth", "room"))
    return Strip(
        material=strip.known("material", "material"),
        thickness=strip.formula_or_none("thickness", LENGTH),
        depth=strip.formula("depth", LENGTH),
        room=strip.by_units_or_none("room", LENGTH),
        place=node.place,
    )


def two_parts(fields: Fields) -> tuple[Name, Name]:
    """The two parts of `between`."""
    node = fields.required("between")
    if node is None:
        return Name("", fields.place), Name("", fields.place)
    return fields.reading.pair(node, fields.about("between"), "part")


#: Kind -> the keys it may have and its reader.
WOOD_KINDS: dict[str, tuple[tuple[str, ...], Callable[[Entry, Fields], ShapedJoint]]] = {
    **dict.fromkeys(_LAPS, (_LAP_KEYS, _read_lap)),
    **dict.fromkeys(("housing", "rabbet", "groove"), (_HOUSED_KEYS, _read_housed)),
    **dict.fromkeys(("mortise and tenon", "bridle"), (_TENON_KEYS, _read_tenon)),
    "finger joint": (_FINGER_KEYS, _read_finger),
    "dovetail": (_DOVETAIL_KEYS, _read_dovetail),
    "mitre": (_MITRE_KEYS, _read_mitre),
    "edge glue-up": (_EDGE_KEYS, _read_edge),
}
