"""Computes a formula's tree; every fault names the operator, function or name where it happened."""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import TypeAlias

from planpress.base import quantities
from planpress.base.quantities import COUNT, DimensionError, Quantity
from planpress.description.faults import FormulaError, did_you_mean, formula_error
from planpress.description.located import LocatedText
from planpress.description.tree import Call, Chain, Literal, Prefix, Reference, Tree

Value: TypeAlias = Quantity | bool

# Exact results grow with every product. A plan's never come near this; a chain of squares would fill the memory.
MAX_BITS = 4096

_ARITHMETIC: dict[str, Callable[[Quantity, Quantity], Quantity]] = {
    "+": operator.add,
    "-": operator.sub,
    "*": operator.mul,
    "/": operator.truediv,
}
_COMPARISONS: dict[str, Callable[[Quantity, Quantity], bool]] = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
    "==": operator.eq,
    "!=": operator.ne,
}


# First sign of an operator -> what cannot be done with operands that do not fit.
_DEEDS = {"+": "added", "-": "subtracted", "<": "compared", ">": "compared", "=": "compared", "!": "compared"}


def _least(*values: Quantity) -> Quantity:
    result = values[0]
    for value in values[1:]:
        result = value if value < result else result
    return result


def _greatest(*values: Quantity) -> Quantity:
    result = values[0]
    for value in values[1:]:
        result = value if value > result else result
    return result


def _rounded(value: Quantity, *grid: Quantity) -> Quantity:
    if not grid:
        quantities.require(value, COUNT, "what round takes without a step")
    return quantities.round_to(value, *grid or (quantities.count(1),))


def _floored(value: Quantity, *grid: Quantity) -> Quantity:
    return quantities.floor_to(value, *grid) if grid else quantities.floor(value)


def _ceiled(value: Quantity, *grid: Quantity) -> Quantity:
    return quantities.ceil_to(value, *grid) if grid else quantities.ceil(value)


_FUNCTIONS: dict[str, Callable[..., Quantity]] = {
    "min": _least,
    "max": _greatest,
    "abs": abs,
    "round": _rounded,
    "floor": _floored,
    "ceil": _ceiled,
    "sqrt": quantities.sqrt,
    "sin": quantities.sin,
    "cos": quantities.cos,
    "tan": quantities.tan,
    "asin": quantities.asin,
    "acos": quantities.acos,
    "atan": quantities.atan,
}


def evaluate(tree: Tree, names: Mapping[str, Quantity], source: LocatedText) -> Value:
    """The value of a tree.

    Raises:
        FormulaError: for an unknown name, dimensions that do not fit, a division by zero and the like.
    """
    return _Evaluator(names, source).value(tree)


class _Evaluator:
    def __init__(self, names: Mapping[str, Quantity], source: LocatedText) -> None:
        self.names = names
        self.source = source

    def value(self, tree: Tree) -> Value:
        """The value of any tree."""
        if isinstance(tree, Literal):
            return tree.value
        if isinstance(tree, Reference):
            return self.named(tree)
        if isinstance(tree, Prefix):
            return -self.quantity(tree.operand) if tree.operator == "-" else not self.condition(tree.operand)
        if isinstance(tree, Call):
            return self.call(tree)
        if tree.links[0].operator in _ARITHMETIC:
            return self.arithmetic(tree)
        if tree.links[0].operator in _COMPARISONS:
            return self.comparison(tree)
        return self.logic(tree)

    def quantity(self, tree: Tree) -> Quantity:
        """The value of a tree that must be a number."""
        value = self.value(tree)
        if isinstance(value, bool):
            raise self.fault("not-a-number", f"'{self.words(tree)}' is a comparison, not a number", tree.start)
        return value

    def condition(self, tree: Tree) -> bool:
        """The value of a tree that must hold or not."""
        value = self.value(tree)
        if not isinstance(value, bool):
            words = f"'{self.words(tree)}' is {value.dimension.words}, not a comparison"
            raise self.fault("not-a-condition", words, tree.start)
        return value

    def named(self, tree: Reference) -> Quantity:
        """The value of a name."""
        if tree.name not in self.names:
            hint = did_you_mean(tree.name, self.names)
            raise self.fault("unknown-name", f"unknown name '{tree.name}'", tree.start, hint)
        return self.names[tree.name]

    def arithmetic(self, tree: Chain) -> Quantity:
        """Sums and products."""
        result = self.quantity(tree.first)
        left_end = tree.first.end
        for link in tree.links:
            right = self.quantity(link.operand)
            with self.faults_at(link.at, (tree.start, left_end), link.operand, (result, right)):
                result = _ARITHMETIC[link.operator](result, right)
            self.bound(result, link.at)
            left_end = link.operand.end
        return result

    def comparison(self, tree: Chain) -> bool:
        """Comparisons; each operand is compared with the next one."""
        left, left_tree, holds = self.quantity(tree.first), tree.first, True
        for link in tree.links:
            right = self.quantity(link.operand)
            with self.faults_at(link.at, (left_tree.start, left_tree.end), link.operand, (left, right)):
                if left.dimension != right.dimension:  # == and != would not raise
                    raise DimensionError.pair(left.dimension, right.dimension, "compared")
                holds = _COMPARISONS[link.operator](left, right) and holds
            left, left_tree = right, link.operand
        return holds

    def logic(self, tree: Chain) -> bool:
        """`and`, `or`: every operand is computed, so that no fault hides behind an early answer."""
        values = [self.condition(tree.first), *(self.condition(link.operand) for link in tree.links)]
        return all(values) if tree.links[0].operator == "and" else any(values)

    def call(self, tree: Call) -> Quantity:
        """A function's value."""
        arguments = [self.quantity(argument) for argument in tree.arguments]
        try:
            result = _FUNCTIONS[tree.function](*arguments)
        except DimensionError as fault:
            words = f"in '{self.words(tree)}': {fault}"
            raise self.fault("dimension", words, tree.start, _step_hint(tree, arguments)) from None
        except ValueError as fault:
            raise self.fault("range", f"in '{self.words(tree)}': {fault}", tree.start) from None
        self.bound(result, tree.start)
        return result

    @contextmanager
    def faults_at(
        self, at: int, left: tuple[int, int], right: Tree, values: tuple[Quantity, Quantity]
    ) -> Iterator[None]:
        """Faults of an operator as faults of the formula, with both operands in the maker's words."""
        try:
            yield
        except DimensionError as fault:
            words = (self.shortened(*left), self.words(right))
            sides = " and ".join(f"'{w}' is {v.dimension.words}" for w, v in zip(words, values, strict=True))
            deed = _DEEDS.get(self.source.text[at])
            message = f"{sides}; they cannot be {deed}" if deed else f"{fault}: {sides}"
            raise self.fault("dimension", message, at, _unit_hint(words, values)) from None
        except ZeroDivisionError:
            raise self.fault("division-by-zero", f"division by zero: '{self.words(right)}' is 0", at) from None

    def bound(self, value: Quantity, at: int) -> None:
        """Refuse a number that has grown beyond all sense."""
        if max(value.value.numerator.bit_length(), value.value.denominator.bit_length()) > MAX_BITS:
            raise self.fault("number-size", "the result has too many digits", at)

    def words(self, tree: Tree) -> str:
        """A part of the formula as the maker wrote it."""
        return self.shortened(tree.start, tree.end)

    def shortened(self, start: int, end: int) -> str:
        """A stretch of the formula, its middle left out if it is long."""
        text = self.source.text[start:end].strip()
        return text if len(text) <= 40 else f"{text[:18]} ... {text[-18:]}"

    def fault(self, code: str, message: str, at: int, hint: str = "") -> FormulaError:
        """A fault at an offset of the text."""
        return formula_error(code, message, self.source.place_at(at), hint=hint)


def _unit_hint(words: tuple[str, str], values: tuple[Quantity, Quantity]) -> str:
    """A bare number beside a size usually lacks its unit."""
    for word, value, other in zip(words, values, reversed(values), strict=True):
        if value.dimension == COUNT and word.replace(".", "", 1).isdigit() and other.dimension == quantities.LENGTH:
            return f"write the unit: {word} in, {word} mm"
    return ""


def _step_hint(tree: Call, arguments: list[Quantity]) -> str:
    if tree.function in ("round", "floor", "ceil") and len(arguments) == 1:
        return f"write the step to round to: {tree.function}(..., 1/16 in)"
    if tree.function in ("sin", "cos", "tan") and arguments[0].dimension == COUNT:
        return "write the unit: deg"
    return ""
