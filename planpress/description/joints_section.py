"""Reads joints and the finish."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, cast

from planpress.base.quantities import COUNT, LENGTH, TIME
from planpress.description.faults import did_you_mean
from planpress.description.fields import Fields, Reading
from planpress.description.records import ButtJoint, DowelJoint, Finish, Joint, LapJoint, Name, ScrewJoint
from planpress.description.yaml_nodes import Entry, Mapping, Node, Scalar

_LAP_KEYS = ("kind", "between", "let_into", "depth", "fit", "glue")
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


def read_joint(entry: Entry, reading: Reading) -> Joint | None:
    """One entry of `joints`; None if its kind is missing or not known (already reported)."""
    what = f"joint '{entry.key.text}'"
    kind = None
    if isinstance(entry.value, Mapping):
        kind = next((item.value for item in entry.value.entries if item.key.text == "kind"), None)
    if kind is None:
        Fields(reading, entry.value, what, tuple(_all_keys()), entry.key.place).required(
            "kind", f"one of {', '.join(_KINDS)}"
        )
        return None
    text = reading.text(kind, f"'kind' of {what}")
    if text in _KINDS:
        keys, read = _KINDS[text]
        return read(entry, Fields(reading, entry.value, f"{what} ({text})", keys, entry.key.place))
    if text and isinstance(kind, Scalar):
        reading.findings.error(
            "unknown-word",
            f"unknown kind of joint '{text}'",
            kind.place,
            expected=f"one of: {', '.join(_KINDS)}",
            hint=did_you_mean(text, _KINDS),
        )
    return None


def _read_lap(entry: Entry, fields: Fields) -> LapJoint:
    between = _members(fields)
    let_into = fields.known_or_none("let_into", "part")
    findings = fields.reading.findings
    if between[0].text and between[0].text == between[1].text:
        message = f"{fields.what} names '{between[0].text}' twice"
        findings.error("joint", message, between[1].place, expected="two different parts")
    elif (
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
    kind = fields.choice("kind", ("cross lap", "end lap"))
    return LapJoint(
        name=entry.key.text,
        kind=cast(Literal["cross lap", "end lap"], kind),
        between=between,
        let_into=let_into,
        depth=fields.formula_or_none("depth", LENGTH),
        fit=fields.formula_or_none("fit", LENGTH),
        glue=fields.flag("glue"),
        place=entry.key.place,
    )


def _read_butt(entry: Entry, fields: Fields) -> ButtJoint:
    return ButtJoint(entry.key.text, _members(fields), fields.flag("glue"), entry.key.place)


def _read_dowel(entry: Entry, fields: Fields) -> DowelJoint:
    """Through dowels name `through` and `into`; blind ones `between`, with `depth_first` for the first part."""
    through = "through" in fields or "into" in fields
    depth_first = None
    if through:
        fields.forbid(["between", "depth_first"], "these dowels go through their first part")
        members = (fields.known("through", "part"), fields.known("into", "part"))
    else:
        members = _members(fields)
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


def _members(fields: Fields) -> tuple[Name, Name]:
    node = fields.required("between")
    if node is None:
        return Name("", fields.place), Name("", fields.place)
    return fields.reading.pair(node, fields.about("between"), "part")


# Kind -> the keys it may have and its reader.
_KINDS: dict[str, tuple[tuple[str, ...], Callable[[Entry, Fields], Joint]]] = {
    "cross lap": (_LAP_KEYS, _read_lap),
    "end lap": (_LAP_KEYS, _read_lap),
    "butt": (("kind", "between", "glue"), _read_butt),
    "dowel": (_DOWEL_KEYS, _read_dowel),
    "screw": (_SCREW_KEYS, _read_screw),
}


def _all_keys() -> list[str]:
    return list(dict.fromkeys(key for keys, _ in _KINDS.values() for key in keys))


def read_finish(node: Node, reading: Reading) -> Finish:
    """The finish."""
    fields = Fields(reading, node, "the finish", ("product", "coats", "recoat"))
    return Finish(
        product=fields.text("product"),
        coats=fields.formula("coats", COUNT),
        recoat=fields.formula_or_none("recoat", TIME),
        place=node.place,
    )
