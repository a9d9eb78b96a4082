"""Reads parameters, formulas, sizes, requirements and planes."""

from __future__ import annotations

import re

from planpress.base.quantities import LENGTH
from planpress.description.fields import Fields, Reading, blank_formula
from planpress.description.formulas import Formula
from planpress.description.records import Axis, NamedFormula, Parameter, Plane, Requirement, Size
from planpress.description.yaml_nodes import Entry, Node, Scalar
from planpress.description.yaml_nodes import Sequence as ListNode

_PARAMETER_KEYS = ("value", "metric", "range", "note", "measured")
_PLANE = re.compile(r"\s*([xyz])\s*=(?!=)\s*(?=\S)")


def read_parameter(entry: Entry, reading: Reading) -> Parameter:
    """One entry of `parameters`: {value:, metric:, range: [low, high], note:, measured:}, or the value alone."""
    name, what = entry.key.text, f"parameter '{entry.key.text}'"
    if isinstance(entry.value, Scalar):
        value = _constant(reading.formula(entry.value, what), what, reading)
        return Parameter(name, value, None, None, None, "", False, entry.key.place)
    fields = Fields(reading, entry.value, what, _PARAMETER_KEYS, entry.key.place)
    low, high = _range(fields, reading)
    metric = fields.formula_or_none("metric")
    return Parameter(
        name=name,
        value=_constant(fields.formula("value"), fields.about("value"), reading),
        metric=None if metric is None else _constant(metric, fields.about("metric"), reading),
        low=low,
        high=high,
        note=fields.text_or("note", ""),
        measured=fields.flag("measured"),
        place=entry.key.place,
    )


def _range(fields: Fields, reading: Reading) -> tuple[Formula | None, Formula | None]:
    node = fields.nodes.get("range")
    if node is None:
        return None, None
    what = fields.about("range")
    items = reading.items(node, what, "the least and the greatest value")
    if len(items) != 2:
        if isinstance(node, ListNode):
            reading.wrong(node.place, f"{what} has {len(items)} values", "two: [least, greatest]")
        return None, None
    low, high = (_constant(reading.formula(item, what), what, reading) for item in items)
    return low, high


def _constant(formula: Formula, what: str, reading: Reading) -> Formula:
    """A parameter is what a reader sets: its values must not depend on others."""
    if formula.names:
        reading.findings.error(
            "parameter-formula",
            f"{what} uses the name '{formula.names[0]}'",
            formula.place_of(formula.names[0]),
            expected="a plain size or count",
            hint="values that follow from others belong under formulas",
        )
        reading.uses = [use for use in reading.uses if use.formula is not formula]
        return blank_formula(formula.place)
    return formula


def read_formula(entry: Entry, reading: Reading) -> NamedFormula:
    """One entry of `formulas`."""
    formula = reading.formula(entry.value, f"formula '{entry.key.text}'")
    return NamedFormula(entry.key.text, formula, entry.key.place)


def read_size(entry: Entry, reading: Reading) -> Size:
    """One entry of `sizes`: parameters with other values, and a note."""
    name, what = entry.key.text, f"size '{entry.key.text}'"
    parameters = reading.declared["parameter"]
    fields = Fields(reading, entry.value, what, (*parameters, "note"), entry.key.place)
    settings = tuple(
        NamedFormula(
            key,
            _constant(reading.formula(node, fields.about(key)), fields.about(key), reading),
            fields.key_places[key],
        )
        for key, node in fields.nodes.items()
        if key != "note"
    )
    return Size(name, settings, fields.text_or("note", ""), entry.key.place)


def read_requirement(node: Node, reading: Reading) -> Requirement:
    """One item of `require`."""
    fields = Fields(reading, node, "the requirement", ("that", "or_else"))
    return Requirement(fields.formula("that", is_condition=True), fields.text("or_else"), node.place)


def read_plane(entry: Entry, reading: Reading) -> Plane:
    """One entry of `planes`: `z = underside`."""
    what = f"plane '{entry.key.text}'"
    text = reading.text(entry.value, what)
    if isinstance(entry.value, Scalar) and text:
        located = entry.value.located()
        match = _PLANE.match(located.text)
        if match:
            offset = reading.formula_in(located.part(match.end(), len(located.text)), LENGTH)
            axis: Axis = "x" if match[1] == "x" else "y" if match[1] == "y" else "z"
            return Plane(entry.key.text, axis, offset, entry.key.place)
        reading.wrong(entry.value.place, f"{what} is '{text[:40]}'", "an axis and where it is cut: z = 0 in")
    return Plane(entry.key.text, "z", blank_formula(entry.value.place), entry.key.place)
