"""What things in a plan may be called, and the tables of declared names."""

from __future__ import annotations

import re

from planpress.base.diagnostics import Place
from planpress.base.units import CURRENCIES, NAMED_UNITS
from planpress.description.fields import Reading
from planpress.description.lexer import WORD_OPERATORS
from planpress.description.parser import FUNCTIONS
from planpress.description.yaml_nodes import Mapping, Scalar

MAX_NAME = 40

# Section of the file -> what one of its things is called.
KINDS = {
    "parameters": "parameter",
    "formulas": "formula",
    "sizes": "size",
    "planes": "plane",
    "materials": "material",
    "parts": "part",
    "assemblies": "assembly",
    "joints": "joint",
}
_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")


def declare_names(top: Mapping, reading: Reading) -> None:
    """Fill `reading.declared` from the keys of all sections, and check the names."""
    for section, kind in KINDS.items():
        table: dict[str, Place] = {}
        for entry in top.entries:
            if entry.key.text == section and isinstance(entry.value, Mapping):
                for inner in entry.value.entries:
                    check_name(inner.key, kind, reading)
                    table[inner.key.text] = inner.key.place
        reading.declared[kind] = table
    for name, place in reading.declared["formula"].items():
        other = reading.declared["parameter"].get(name)
        if other is not None:
            reading.findings.error(
                "name-taken",
                f"the formula '{name}' has the name of the parameter in line {other.line}",
                place,
                hint="rename one of the two",
            )


def check_name(key: Scalar, kind: str, reading: Reading) -> None:
    """Report a name that is none, or that formulas could take for something else."""
    name = key.text
    if len(name) > MAX_NAME or not _NAME.fullmatch(name):
        better = re.sub(r"[^A-Za-z0-9_]+", "_", name).strip("_")[:MAX_NAME]
        if better[:1].isdigit():
            better = f"{kind}_{better}"[:MAX_NAME]
        reading.findings.error(
            "name",
            f"'{name[:MAX_NAME]}' cannot be the name of a {kind}",
            key.place,
            expected=f"letters, digits and _, at most {MAX_NAME}, not beginning with a digit",
            hint=f"perhaps {better}" if better and better != name else "",
        )
    elif kind in ("parameter", "formula", "variable"):
        taken = "a key of sizes" if kind == "parameter" and name == "note" else _taken(name)
        if taken:
            reading.findings.error(
                "name", f"'{name}' cannot be the name of a {kind}: it is {taken}", key.place, hint="rename it"
            )


def _taken(name: str) -> str:
    if name in FUNCTIONS:
        return "a function"
    if name in WORD_OPERATORS or name in ("true", "false"):
        return "a word of formulas"
    if name.lower() in NAMED_UNITS or name in CURRENCIES:
        return "a unit"
    return ""
