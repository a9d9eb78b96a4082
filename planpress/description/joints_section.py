"""Reads joints and the finish."""

from __future__ import annotations

from planpress.base.quantities import COUNT, TIME
from planpress.description.fastener_joints import FASTENER_KINDS
from planpress.description.faults import did_you_mean
from planpress.description.fields import Fields, Reading
from planpress.description.records import Finish, Joint
from planpress.description.wood_joints import WOOD_KINDS
from planpress.description.yaml_nodes import Entry, Mapping, Node, Scalar

# Kind -> the keys it may have and its reader.
_KINDS = {**WOOD_KINDS, **FASTENER_KINDS}


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
