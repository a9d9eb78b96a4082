"""What the makers of joints share: settings of a joint as numbers, the result of one pair, and why none can be cut."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from attrs import frozen

from planpress.base.printing import Units
from planpress.base.quantities import COUNT, LENGTH, Quantity
from planpress.description import records as described
from planpress.description.formulas import Formula
from planpress.geometry.vectors import SAME
from planpress.model.blanks import Blank
from planpress.model.placing import described_fault, positive
from planpress.model.records import JointPlace, SolvedMaterial

_MOST = 1000


def snapped_to(value: Fraction, *sizes: Fraction) -> Fraction:
    """One of the sizes that a value stands for but for the rounding of leaning axes; else the value itself."""
    return next((size for size in sizes if abs(value - size) <= SAME), tidy(value))


def tidy(value: Fraction) -> Fraction:
    """The short number (6 decimals) that a size found in the world stands for, if it is within 1e-9 of one.

    The axes of a turned assembly have 12 decimals only, so that its sizes come back a little off.
    """
    short = Fraction(round(value * 10**6), 10**6)
    return short if abs(value - short) < Fraction(1, 10**9) else value


class JointError(ValueError):
    """Two pieces meet in a way that the joint cannot be cut for; the message says why, with the pieces' names."""


@frozen
class Cut:
    """One pair joined: where the pieces meet; the loose pieces that the joint asks for (splines, tongues), and where
    those sit in the members."""

    place: JointPlace
    made: tuple[Blank, ...] = ()
    seats: tuple[JointPlace, ...] = ()


@frozen
class Settings:
    """Evaluates what the description says of a joint, for one edition."""

    names: Mapping[str, Quantity]
    units: Units
    materials: Mapping[str, SolvedMaterial]

    def length(self, formula: Formula | None, default: Fraction = Fraction(0)) -> Fraction:
        """A length in mm that may be nothing or negative; `default` if it was left out.

        Raises:
            FormulaError: if it is no length.
        """
        return default if formula is None else formula.quantity(self.names, LENGTH).value

    def size(self, formula: Formula | None, default: Fraction) -> Fraction:
        """A length in mm, more than nothing; `default` if it was left out.

        Raises:
            FormulaError: if it is no length or not positive.
        """
        return default if formula is None else positive(formula, self.names)

    def whole(self, formula: Formula | None, default: int = 1, least: int = 1) -> int:
        """A whole number from `least` to 1000.

        Raises:
            FormulaError: if it is none.
        """
        if formula is None:
            return default
        value = formula.quantity(self.names, COUNT).value
        if value.denominator != 1 or not least <= value <= _MOST:
            raise described_fault(
                "count",
                f"'{formula.text}' comes out as {float(value):g}; a whole number of at least {least} is needed",
                formula,
            )
        return int(value)

    def number(self, formula: Formula | None, default: Fraction) -> Fraction:
        """A plain number, whole or not; `default` if it was left out."""
        return default if formula is None else formula.quantity(self.names, COUNT).value

    def of_units(self, value: described.ByUnits) -> Formula:
        """The formula for this edition's unit system."""
        return value.metric if self.units is Units.METRIC else value.imperial
