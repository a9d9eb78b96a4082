"""From the text of a plan to its records."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from planpress.base.diagnostics import Findings
from planpress.description.cautions_section import read_cautions
from planpress.description.consistency import check_values
from planpress.description.fields import Fields, Reading
from planpress.description.heading_section import (
    check_format,
    introduction_place,
    read_accent,
    read_date,
    read_short_text,
    read_skill,
    read_version,
)
from planpress.description.joints_section import read_finish, read_joint
from planpress.description.naming import declare_names
from planpress.description.parts_section import check_parts, read_assembly, read_material, read_part
from planpress.description.records import Description
from planpress.description.shop_section import read_shop
from planpress.description.values_section import (
    read_formula,
    read_parameter,
    read_plane,
    read_requirement,
    read_size,
)
from planpress.description.yaml_nodes import Entry, Mapping, Scalar, read_yaml

KEYS = (
    "planpress",
    "title",
    "maker",
    "version",
    "date",
    "introduction",
    "skill",
    "accent",
    "parameters",
    "formulas",
    "sizes",
    "require",
    "planes",
    "materials",
    "parts",
    "assemblies",
    "joints",
    "finish",
    "shop",
    "cautions",
    "hangs_by",
)

Record = TypeVar("Record")


def read_description(text: str, file: str, findings: Findings | None = None) -> Description:
    """Read a plan.

    Args:
        text: the plan as YAML; file: its name, for messages.
        findings: receives the warnings, if given.

    Raises:
        PlanFaults: with every fault of the text, in the order of the file.
    """
    own = Findings()
    top = read_yaml(text, file, own)
    description = _read(top, Reading(file, own)) if top is not None else None
    own.raise_errors()
    assert description is not None, "a text without faults has a top mapping"
    if findings is not None:
        findings.extend(own.items)
    return description


def _read(top: Mapping, reading: Reading) -> Description:
    declare_names(top, reading)
    fields = Fields(reading, top, "the plan", KEYS)
    check_format(fields)
    finish = fields.nodes.get("finish")
    shop = fields.nodes.get("shop")
    require = fields.nodes.get("require")
    requirements = reading.items(require, "'require'", "conditions") if require else ()
    fields.required("materials")
    fields.required("parts")
    description = Description(
        file=reading.file,
        title=read_short_text(fields, "title"),
        maker=read_short_text(fields, "maker"),
        version=read_version(fields),
        date=read_date(fields),
        introduction=fields.text_or("introduction", ""),
        introduction_place=introduction_place(fields),
        skill=read_skill(fields, reading),
        accent=read_accent(fields),
        parameters=_section(fields, "parameters", read_parameter),
        formulas=_section(fields, "formulas", read_formula),
        sizes=_section(fields, "sizes", read_size),
        requirements=tuple(read_requirement(item, reading) for item in requirements),
        planes=_section(fields, "planes", read_plane),
        materials=_section(fields, "materials", read_material),
        parts=_section(fields, "parts", read_part),
        assemblies=_section(fields, "assemblies", read_assembly),
        joints=tuple(joint for joint in _section(fields, "joints", read_joint) if joint is not None),
        finish=read_finish(finish, reading) if finish else None,
        shop=read_shop(shop, reading) if shop else None,
        hangs_by=fields.known_or_none("hangs_by", "part"),
        cautions=read_cautions(fields.nodes.get("cautions"), reading),
    )
    check_parts(description.parts, description.materials, description.assemblies, reading)
    check_values(description.parameters, description.formulas, description.sizes, reading)
    return description


def _section(fields: Fields, key: str, read: Callable[[Entry, Reading], Record]) -> tuple[Record, ...]:
    """The records of one section, in the order of the file; an empty section has none."""
    node = fields.nodes.get(key)
    if node is None:
        return ()
    if not isinstance(node, Mapping):
        if not (isinstance(node, Scalar) and node.is_empty):
            fields.reading.wrong(node.place, f"'{key}' is not a mapping", "names with their values")
        return ()
    return tuple(read(entry, fields.reading) for entry in node.entries)
