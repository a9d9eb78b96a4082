"""Formulas: sizes, counts and conditions as the maker wrote them, and their solution.

Numbers carry units (`1-1/2 in`, `5 ft 3-1/2 in`, `18 mm`, `6 deg`, `45 min`; a bare number is a count), names stand for
parameters and other formulas. Operators: + - * /, comparisons, `and`, `or`, `not`. Functions: see `parser.FUNCTIONS`.
Results are exact and their dimensions are checked. The rules for numbers are in `lexer`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from attrs import field, frozen

from planpress.base.diagnostics import Findings, Place
from planpress.base.quantities import ANGLE, COUNT, LENGTH, TIME, Dimension, Quantity
from planpress.description.evaluation import Value, evaluate
from planpress.description.faults import FormulaError, did_you_mean, formula_error
from planpress.description.located import LocatedText, straight
from planpress.description.parser import parse_tree
from planpress.description.tree import Call, Chain, Prefix, Reference, Tree

__all__ = ["Formula", "FormulaError", "parse_formula", "solve_names"]

#: Names of a cycle that are told one by one.
MAX_CHAIN = 12

_UNIT_EXAMPLES = {LENGTH: ": in, mm", ANGLE: ": deg", TIME: ": h, min"}


@frozen
class Formula:
    """A formula: its text with places, and its tree."""

    source: LocatedText
    tree: Tree = field(repr=False, eq=False)

    @property
    def text(self) -> str:
        """The formula as written."""
        return self.source.text

    @property
    def place(self) -> Place:
        """Place of the first character."""
        return self.source.place

    @property
    def names(self) -> tuple[str, ...]:
        """Names used, each once, in the order of the text."""
        return tuple(dict.fromkeys(reference.name for reference in _references(self.tree)))

    def place_of(self, name: str) -> Place:
        """Where a name is first used; the formula's place if it is not."""
        for reference in _references(self.tree):
            if reference.name == name:
                return self.source.place_at(reference.start)
        return self.place

    def value(self, names: Mapping[str, Quantity]) -> Value:
        """The formula's value.

        Raises:
            FormulaError: for an unknown name, dimensions that do not fit, a division by zero and the like.
        """
        return evaluate(self.tree, names, self.source)

    def quantity(self, names: Mapping[str, Quantity], dimension: Dimension | None = None) -> Quantity:
        """The value of a formula that must be a number, of one dimension if given.

        Raises:
            FormulaError: as `value`; or if the result is a condition or of another dimension.
        """
        value = self.value(names)
        if isinstance(value, bool):
            raise formula_error("not-a-number", f"'{self.text}' is a comparison", self.place, "a number")
        if dimension is not None and value.dimension != dimension:
            hint = ""
            if not self.names and value.dimension == COUNT:
                hint = f"write the unit{_UNIT_EXAMPLES.get(dimension, '')}"
            message = f"'{self.text}' is {value.dimension.words}"
            raise formula_error("dimension", message, self.place, dimension.words, hint)
        return value

    def condition(self, names: Mapping[str, Quantity]) -> bool:
        """The value of a formula that must hold or not.

        Raises:
            FormulaError: as `value`; or if the result is a number.
        """
        value = self.value(names)
        if not isinstance(value, bool):
            message = f"'{self.text}' is {value.dimension.words}"
            raise formula_error("not-a-condition", message, self.place, "a comparison, such as gap <= 1 in")
        return value


def parse_formula(source: LocatedText | str, place: Place | None = None) -> Formula:
    """Read a formula.

    Args:
        source: its text; a plain string stands on one line, from `place` on.

    Raises:
        FormulaError: if it cannot be read.
    """
    if isinstance(source, str):
        source = straight(source, place or Place("formula", 1, 1))
    return Formula(source, parse_tree(source))


def solve_names(
    formulas: Mapping[str, Formula],
    given: Mapping[str, Quantity],
    findings: Findings,
    reported: Sequence[str] = (),
) -> dict[str, Quantity]:
    """Compute named formulas, each after those it needs.

    All faults are added to `findings`: unknown names, cycles (as a chain with lines), dimensions. A formula that needs
    a faulty one, or one of the names already `reported` as faulty, is left out without a further fault.

    Returns:
        `given` and every formula that could be computed, in the order of `formulas`.
    """
    known = dict.fromkeys([*given, *formulas, *reported])
    faulty: set[str] = set(reported)
    for name, formula in formulas.items():
        for used in formula.names:
            if used not in known:
                faulty.add(name)
                findings.error(
                    "unknown-name",
                    f"unknown name '{used}'",
                    formula.place_of(used),
                    hint=did_you_mean(used, known),
                )
    order = _order(formulas, faulty, findings)
    values = dict(given)
    for name in order:
        formula = formulas[name]
        if name in faulty or any(used in faulty for used in formula.names):
            faulty.add(name)
            continue
        try:
            values[name] = formula.quantity(values)
        except FormulaError as fault:
            findings.items.append(fault.diagnostic)
            faulty.add(name)
    return {**given, **{name: values[name] for name in formulas if name in values}}


def _order(formulas: Mapping[str, Formula], faulty: set[str], findings: Findings) -> list[str]:
    """Names so that each comes after those it needs; names on a cycle are reported and become faulty."""
    order: list[str] = []
    done: set[str] = set()
    for root in formulas:
        path: list[str] = []
        todo: list[tuple[str, Iterator[str]]] = []
        if root not in done:
            done.add(root)
            path.append(root)
            todo.append((root, iter(formulas[root].names)))
        while todo:
            name, needs = todo[-1]
            needed = next((need for need in needs if need in formulas), None)
            if needed is None:
                order.append(name)
                path.pop()
                todo.pop()
            elif needed in path:
                cycle = path[path.index(needed) :]
                if not faulty.issuperset(cycle):
                    _report_cycle(cycle, formulas, findings)
                faulty.update(cycle)
            elif needed not in done:
                done.add(needed)
                path.append(needed)
                todo.append((needed, iter(formulas[needed].names)))
    return order


def _report_cycle(cycle: Sequence[str], formulas: Mapping[str, Formula], findings: Findings) -> None:
    chain = [f"{name} (line {formulas[name].place.line}) needs" for name in cycle]
    if len(chain) > MAX_CHAIN:
        chain[MAX_CHAIN - 1 : -1] = ["... needs"]
    findings.error(
        "cycle",
        f"{' '.join(chain)} {cycle[0]}",
        formulas[cycle[0]].place,
        hint="one of them must be given without the others",
    )


def _references(tree: Tree) -> Iterator[Reference]:
    """All names of a tree, in the order of the text."""
    if isinstance(tree, Reference):
        yield tree
    elif isinstance(tree, Prefix):
        yield from _references(tree.operand)
    elif isinstance(tree, Call):
        for argument in tree.arguments:
            yield from _references(argument)
    elif isinstance(tree, Chain):
        yield from _references(tree.first)
        for link in tree.links:
            yield from _references(link.operand)
