"""Reads what the maker says of the workshop: widths of cutters, how finely a stop can be set."""

from __future__ import annotations

from planpress.base.quantities import LENGTH
from planpress.description.fields import Fields, Reading
from planpress.description.records import Cutter, Shop
from planpress.description.yaml_nodes import Entry, Mapping, Node

_KEYS = ("cutters", "setting_error", "overlap")
_CUTTERS = "names with widths: {thin blade: {kerf: 3/32 in}}"
_LONGEST_NAME = 24


def read_shop(node: Node, reading: Reading) -> Shop:
    """`shop: {cutters: {thin blade: {kerf: {imperial: 3/32 in, metric: 2.4 mm}}}, setting_error: 0.3 mm}`."""
    fields = Fields(reading, node, "'shop'", _KEYS)
    return Shop(
        cutters=_cutters(fields),
        setting_error=fields.by_units_or_none("setting_error", LENGTH),
        overlap=fields.by_units_or_none("overlap", LENGTH),
        place=node.place,
    )


def _cutters(fields: Fields) -> tuple[Cutter, ...]:
    """The cutters in the order of the file; none if they are left out."""
    node = fields.nodes.get("cutters")
    if node is None:
        return ()
    if not isinstance(node, Mapping):
        fields.reading.wrong(node.place, f"{fields.about('cutters')} is not a mapping", _CUTTERS)
        return ()
    return tuple(_cutter(entry, fields.reading) for entry in node.entries)


def _cutter(entry: Entry, reading: Reading) -> Cutter:
    name = " ".join(entry.key.text.split())
    if not name or len(name) > _LONGEST_NAME:
        reading.wrong(
            entry.key.place, f"the name of a cutter is '{name[:40]}'", f"1 to {_LONGEST_NAME} characters: thin blade"
        )
    fields = Fields(reading, entry.value, f"cutter '{name}'", ("kerf",), entry.key.place)
    return Cutter(name, fields.by_units("kerf", LENGTH), entry.key.place)
