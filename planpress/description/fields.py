"""Reading the fields of a mapping: each asked for by key and kind, every fault collected with its place.

Why no general converter library: each fault must name the maker's key, the thing it belongs to, the line and column of
the value or even of a sign inside a formula, and the nearest known word. A converter between plain data and classes
loses the places; carrying them through its hooks took more code than this module (and 30 ms at each start). The records
are attrs classes all the same.

A value that is missing or wrong is reported and replaced by a blank one, so that reading goes on and every record can
be built; whoever reads raises the collected faults at the end and lets no blank out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from attrs import Factory, define, frozen

from planpress.base.diagnostics import Findings, Place
from planpress.base.quantities import Dimension, count
from planpress.description.faults import did_you_mean, nearest
from planpress.description.formulas import Formula, FormulaError, parse_formula
from planpress.description.located import LocatedText, straight
from planpress.description.records import ByUnits, Name, TextByUnits, Triple
from planpress.description.tree import Literal
from planpress.description.yaml_nodes import Entry, Mapping, Node, Scalar
from planpress.description.yaml_nodes import Sequence as ListNode


@frozen
class Use:
    """A formula in the plan and what it must give.

    Attributes:
        dimension: what it must measure; None: anything, but a number. `is_condition`: it must be a comparison instead.
        variables: the repeats in whose reach it stands: each variable with the formula of its first value (None: 0).
    """

    formula: Formula
    dimension: Dimension | None
    is_condition: bool = False
    variables: tuple[tuple[str, Formula | None], ...] = ()


@define
class Reading:
    """What one run of reading gathers.

    Attributes:
        declared: for each kind of thing ("part", "material", ...), the names the file declares.
        uses: the formulas read, for the check of names and dimensions.
        variables: the repeats in whose reach formulas are being read.
    """

    file: str
    findings: Findings
    declared: dict[str, dict[str, Place]] = Factory(dict)
    uses: list[Use] = Factory(list)
    variables: tuple[tuple[str, Formula | None], ...] = ()

    def wrong(self, place: Place, message: str, expected: str, hint: str = "") -> None:
        """Report a value of the wrong kind."""
        self.findings.error("wrong-kind", message, place, expected, hint)

    def formula(self, node: Node, what: str, dimension: Dimension | None = None, is_condition: bool = False) -> Formula:
        """A formula; `what` names the key and what it belongs to, for messages."""
        if not isinstance(node, Scalar):
            self.wrong(node.place, f"{what} is {_kind(node)}", "a size, a count or a formula")
            return blank_formula(node.place)
        if node.is_empty:
            self.wrong(node.place, f"{what} has no value", "a size, a count or a formula")
            return blank_formula(node.place)
        return self.formula_in(node.located(), dimension, is_condition)

    def formula_in(self, text: LocatedText, dimension: Dimension | None = None, is_condition: bool = False) -> Formula:
        """A formula that is a text or a part of one."""
        try:
            formula = parse_formula(text)
        except FormulaError as fault:
            self.findings.items.append(fault.diagnostic)
            return blank_formula(text.place)
        self.uses.append(Use(formula, dimension, is_condition, self.variables))
        return formula

    def text(self, node: Node, what: str) -> str:
        """A text that is not empty; "" after a fault."""
        if not isinstance(node, Scalar):
            self.wrong(node.place, f"{what} is {_kind(node)}", "a text")
            return ""
        text = node.text.strip()
        if not text:
            hint = "put a text with # in quotes" if node.is_empty and _comment_follows(node) else ""
            self.wrong(node.place, f"{what} has no value", "a text", hint)
        return text

    def items(self, node: Node, what: str, of: str) -> tuple[Node, ...]:
        """The items of a list; none after a fault."""
        if isinstance(node, ListNode):
            return node.items
        self.wrong(node.place, f"{what} is {_kind(node)}", f"a list of {of}: [first, second]")
        return ()

    def entries(self, node: Node, what: str, of: str) -> tuple[Entry, ...]:
        """The entries of a mapping whose keys are names; none after a fault."""
        if isinstance(node, Mapping):
            return node.entries
        self.wrong(node.place, f"{what} is {_kind(node)}", of)
        return ()

    def known(self, node: Node, what: str, kind: str) -> Name:
        """The name of a thing of this kind that the plan declares."""
        name = Name(self.text(node, what), node.place)
        if name.text:
            self.check_known(name, kind)
        return name

    def check_known(self, name: Name, kind: str) -> None:
        """Report a name that no thing of this kind has."""
        declared = self.declared.get(kind, {})
        if name.text in declared:
            return
        hint = did_you_mean(name.text, declared)
        if nearest(name.text, declared) is None:
            other = next((k for k, names in self.declared.items() if name.text in names), None)
            hint = f"'{name.text}' is the name of a {other}" if other else hint
        self.findings.error(f"unknown-{kind}", f"unknown {kind} '{name.text}'", name.place, hint=hint)

    def pair(self, node: Node, what: str, kind: str) -> tuple[Name, Name]:
        """Two names of things of this kind."""
        names = [self.known(item, what, kind) for item in self.items(node, what, f"two {kind}s")]
        if len(names) == 2:
            return names[0], names[1]
        if isinstance(node, ListNode):
            self.wrong(node.place, f"{what} has {len(names)} names", f"two {kind}s: [first, second]")
        return Name("", node.place), Name("", node.place)

    def triple(self, node: Node, what: str, dimension: Dimension) -> Triple:
        """Three formulas: x, y, z."""
        items = self.items(node, what, "three sizes")
        if len(items) == 3:
            x, y, z = (
                self.formula(item, f"{axis} of {what}", dimension) for item, axis in zip(items, "xyz", strict=True)
            )
            return x, y, z
        if isinstance(node, ListNode):
            torn = any(isinstance(i, Scalar) and i.text.count("(") != i.text.count(")") for i in items)
            hint = "put quotes around a formula that has a comma in it" if torn else ""
            self.wrong(node.place, f"{what} has {len(items)} values", "three: [x, y, z]", hint)
        blank = blank_formula(node.place)
        return blank, blank, blank


class Fields:
    """The fields of one mapping.

    Args:
        what: the thing the mapping describes, for messages: "part 'slat'".
        keys: all keys it may have; any other is reported at once.
        place: where to report a missing key; None: where the mapping begins.
    """

    def __init__(
        self, reading: Reading, node: Node, what: str, keys: Sequence[str], place: Place | None = None
    ) -> None:
        self.reading = reading
        self.what = what
        self.place = place or node.place
        self.misspelt: list[str] = []
        self.nodes: dict[str, Node] = {}
        self.key_places: dict[str, Place] = {}
        if not isinstance(node, Mapping):
            reading.wrong(node.place, f"{what} is {_kind(node)}", f"keys with values ({', '.join(keys)})")
            self.is_mapping = False
            return
        self.is_mapping = True
        for entry in node.entries:
            if entry.key.text in keys:
                self.nodes[entry.key.text] = entry.value
                self.key_places[entry.key.text] = entry.key.place
            else:
                self._unknown(entry.key, entry.value, keys, node.in_braces)

    def _unknown(self, key: Scalar, value: Node, keys: Sequence[str], in_braces: bool) -> None:
        hint = did_you_mean(key.text, keys)
        meant = nearest(key.text, keys)
        if meant is not None:
            self.misspelt.append(meant)
        if in_braces and isinstance(value, Scalar) and value.is_empty:
            hint = "in { }, put quotes around a value that has a comma in it"
        self.reading.findings.error(
            "unknown-key",
            f"unknown key '{key.text}' in {self.what}",
            key.place,
            expected=f"one of: {', '.join(keys)}",
            hint=hint,
        )

    def __contains__(self, key: str) -> bool:
        return key in self.nodes

    def about(self, key: str) -> str:
        """The key and the thing it belongs to, for messages."""
        return f"'{key}' of {self.what}"

    def required(self, key: str, why: str = "") -> Node | None:
        """The node of a key that must be there; a missing one is reported (once, with the reason if given)."""
        if key in self.nodes:
            return self.nodes[key]
        if self.is_mapping and key not in self.misspelt:
            message = f"the key '{key}' is missing in {self.what}{': ' if why else ''}{why}"
            self.reading.findings.error("missing-key", message, self.place)
        return None

    def forbid(self, keys: Iterable[str], why: str) -> None:
        """Report keys that do not go with the others."""
        for key in keys:
            if key in self.nodes:
                message = f"the key '{key}' does not belong in {self.what}: {why}"
                self.reading.findings.error("key-out-of-place", message, self.key_places[key], hint="delete it")

    def formula(self, key: str, dimension: Dimension | None = None, is_condition: bool = False) -> Formula:
        """A required formula."""
        node = self.required(key)
        if node is None:
            return blank_formula(self.place)
        return self.reading.formula(node, self.about(key), dimension, is_condition)

    def formula_or_none(self, key: str, dimension: Dimension | None = None) -> Formula | None:
        """A formula that may be left out."""
        return self.formula(key, dimension) if key in self.nodes else None

    def text(self, key: str) -> str:
        """A required text."""
        node = self.required(key)
        return "" if node is None else self.reading.text(node, self.about(key))

    def text_or(self, key: str, default: str) -> str:
        """A text that may be left out, or be empty if it is in quotes."""
        node = self.nodes.get(key)
        if node is None or (isinstance(node, Scalar) and node.style and not node.text.strip()):
            return default
        return self.reading.text(node, self.about(key))

    def flag(self, key: str) -> bool:
        """true or false; false if left out."""
        node = self.nodes.get(key)
        if node is None:
            return False
        text = node.text if isinstance(node, Scalar) else ""
        if text not in ("true", "false"):
            shown = f"'{text}'" if text else _kind(node)
            self.reading.wrong(node.place, f"{self.about(key)} is {shown}", "true or false")
        return text == "true"

    def choice(self, key: str, options: Sequence[str], default: str | None = None) -> str:
        """One of some words; the first of them after a fault."""
        node = self.nodes.get(key) if default is not None else self.required(key)
        if node is None:
            return default or options[0]
        text = self.reading.text(node, self.about(key))
        if text in options:
            return text
        if text:
            self.reading.findings.error(
                "unknown-word",
                f"{self.about(key)} is '{text}'",
                node.place,
                expected=f"one of: {', '.join(options)}",
                hint=did_you_mean(text, options) if nearest(text, options) else "",
            )
        return options[0]

    def known(self, key: str, kind: str) -> Name:
        """A required name of a thing that the plan declares."""
        node = self.required(key)
        return Name("", self.place) if node is None else self.reading.known(node, self.about(key), kind)

    def known_or_none(self, key: str, kind: str) -> Name | None:
        """The name of a declared thing, which may be left out."""
        return self.known(key, kind) if key in self.nodes else None

    def triple(self, key: str, dimension: Dimension) -> Triple:
        """A required point: three formulas."""
        node = self.required(key)
        if node is None:
            blank = blank_formula(self.place)
            return blank, blank, blank
        return self.reading.triple(node, self.about(key), dimension)

    def by_units(self, key: str, dimension: Dimension) -> ByUnits:
        """A required value, or one for each unit system."""
        node = self.required(key)
        if node is None:
            return ByUnits(blank_formula(self.place), blank_formula(self.place))
        if isinstance(node, Mapping):
            pair = Fields(self.reading, node, self.about(key), ("imperial", "metric"))
            return ByUnits(pair.formula("imperial", dimension), pair.formula("metric", dimension))
        formula = self.reading.formula(node, self.about(key), dimension)
        return ByUnits(formula, formula)

    def by_units_or_none(self, key: str, dimension: Dimension) -> ByUnits | None:
        """A value for each unit system, which may be left out."""
        return self.by_units(key, dimension) if key in self.nodes else None

    def text_by_units_or_none(self, key: str) -> TextByUnits | None:
        """A text, or one for each unit system; may be left out."""
        node = self.nodes.get(key)
        if node is None:
            return None
        if isinstance(node, Mapping):
            pair = Fields(self.reading, node, self.about(key), ("imperial", "metric"))
            return TextByUnits(pair.text("imperial"), pair.text("metric"))
        text = self.reading.text(node, self.about(key))
        return TextByUnits(text, text)


def blank_formula(place: Place) -> Formula:
    """Stands in for a formula that is missing or wrong; its text is empty."""
    return Formula(straight("", place), Literal(count(0), 0, 0))


def is_blank(formula: Formula) -> bool:
    """True for a formula that only stands in for a faulty one."""
    return formula.text == ""


def default_label(name: str) -> str:
    """A name as the reader sees it: stick_thick becomes "Stick thick"."""
    words = name.replace("_", " ").strip()
    return words[:1].upper() + words[1:]


def _kind(node: Node) -> str:
    if isinstance(node, Mapping):
        return "a mapping"
    if isinstance(node, ListNode):
        return "a list"
    return "empty" if node.is_empty else f"'{node.text if len(node.text) <= 40 else node.text[:37] + '...'}'"


def _comment_follows(node: Scalar) -> bool:
    """True if the value was taken for a comment: `accent: #2E6A4C`."""
    line_end = node.source.find("\n", node.end)
    rest = node.source[node.end : line_end if line_end >= 0 else len(node.source)]
    return rest.lstrip().startswith("#")
