"""Reads joints that only touch, and those held by dowels or screws."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, cast

from planpress.base.quantities import COUNT, LENGTH
from planpress.description.fields import Fields
from planpress.description.records import ButtJoint, DowelJoint, Joint, ScrewJoint
from planpress.description.wood_joints import two_parts
from planpress.description.yaml_nodes import Entry

_DOWEL_KEYS = ("kind", "between", "through", "into", "diameter", "depth_first", "depth", "count", "glue")
_SCREW_KEYS = (
    "kind",
    "through",
    "into",
    "gauge",
    "metric_diameter",
    "length",
    "head",
    "sink",
    "count",
    "material",
)
_HEADS = ("countersunk", "counterbored", "plugged")


def _read_butt(entry: Entry, fields: Fields) -> ButtJoint:
    return ButtJoint(entry.key.text, two_parts(fields), fields.flag("glue"), entry.key.place)


def _read_dowel(entry: Entry, fields: Fields) -> DowelJoint:
    """Through dowels name `through` and `into`; blind ones `between`, with `depth_first` for the first part."""
    through = "through" in fields or "into" in fields
    depth_first = None
    if through:
        fields.forbid(["between", "depth_first"], "these dowels go through their first part")
        members = (fields.known("through", "part"), fields.known("into", "part"))
    else:
        members = two_parts(fields)
        depth_first = fields.by_units("depth_first", LENGTH)
    return DowelJoint(
        name=entry.key.text,
        between=members,
        through=through,
        diameter=fields.by_units("diameter", LENGTH),
        depth_first=depth_first,
        depth=fields.by_units("depth", LENGTH),
        count=fields.formula("count", COUNT),
        glue=fields.flag("glue"),
        place=entry.key.place,
    )


def _read_screw(entry: Entry, fields: Fields) -> ScrewJoint:
    head = fields.choice("head", _HEADS, default="countersunk")
    if head == "countersunk":
        fields.forbid(["sink"], "a countersunk head lies flush")
    else:
        fields.required("sink", f"a {head} screw lies below the surface")
    return ScrewJoint(
        name=entry.key.text,
        through=fields.known("through", "part"),
        into=fields.known("into", "part"),
        gauge=fields.formula("gauge", COUNT),
        metric_diameter=fields.formula_or_none("metric_diameter", LENGTH),
        length=fields.formula("length", LENGTH),
        head=cast(Literal["countersunk", "counterbored", "plugged"], head),
        sink=fields.by_units_or_none("sink", LENGTH),
        count=fields.formula("count", COUNT),
        material=fields.text_or("material", "steel"),
        place=entry.key.place,
    )


#: Kind -> the keys it may have and its reader.
FASTENER_KINDS: dict[str, tuple[tuple[str, ...], Callable[[Entry, Fields], Joint]]] = {
    "butt": (("kind", "between", "glue"), _read_butt),
    "dowel": (_DOWEL_KEYS, _read_dowel),
    "screw": (_SCREW_KEYS, _read_screw),
}
