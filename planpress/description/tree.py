"""The parts a formula is made of. Offsets count characters in the formula's text, from 0."""

from __future__ import annotations

from typing import TypeAlias

from attrs import frozen

from planpress.base.quantities import Quantity


@frozen
class Literal:
    """A number with or without unit, as written at start..end."""

    value: Quantity
    start: int
    end: int


@frozen
class Reference:
    """A name."""

    name: str
    start: int
    end: int


@frozen
class Link:
    """One operator of a chain and the operand to its right; `at` is the operator's offset."""

    operator: str
    at: int
    operand: Tree


@frozen
class Chain:
    """Operands joined by operators of one rank, computed from left to right.

    Flat, so that a long sum is no deep tree. Comparisons form chains too: `a < b < c` holds if both do.
    """

    first: Tree
    links: tuple[Link, ...]
    start: int
    end: int


@frozen
class Prefix:
    """Minus or `not` before an operand."""

    operator: str
    operand: Tree
    start: int
    end: int


@frozen
class Call:
    """A function and its arguments."""

    function: str
    arguments: tuple[Tree, ...]
    start: int
    end: int


Tree: TypeAlias = Literal | Reference | Chain | Prefix | Call
