"""What one rendering of a plan is: unit system, paper, size name; and how it writes its numbers."""

from __future__ import annotations

from fractions import Fraction

from attrs import field, frozen

from planpress.base import printing
from planpress.base.printing import LengthGrid, Units

#: Width and height in mm. Letter: ASME Y14.1 size A; A4: ISO 216.
PAPERS: dict[str, tuple[Fraction, Fraction]] = {
    "letter": (Fraction("215.9"), Fraction("279.4")),
    "a4": (Fraction(210), Fraction(297)),
}
PAPER_NAMES = {"letter": "Letter", "a4": "A4"}


def _length_grid(edition: Edition) -> LengthGrid:
    return printing.IMPERIAL_16 if edition.units is Units.IMPERIAL else printing.METRIC_1


def _joint_grid(edition: Edition) -> LengthGrid:
    return printing.IMPERIAL_32 if edition.units is Units.IMPERIAL else printing.METRIC_HALF


@frozen
class Edition:
    """Settings of one rendering.

    Attributes:
        units: imperial or metric. paper: a key of PAPERS. size: name of the plan's size, or "".
        length_grid: what ordinary lengths are rounded to; joint_grid: notch depths and other joint sizes.
    """

    units: Units
    paper: str
    size: str = ""
    length_grid: LengthGrid = field()
    joint_grid: LengthGrid = field()

    @length_grid.default
    def _default_length_grid(self) -> LengthGrid:
        return _length_grid(self)

    @joint_grid.default
    def _default_joint_grid(self) -> LengthGrid:
        return _joint_grid(self)

    @property
    def is_metric(self) -> bool:
        """True for millimetres."""
        return self.units is Units.METRIC

    @property
    def unit_name(self) -> str:
        """The unit in words, as heads of tables say it."""
        return "millimetres" if self.is_metric else "inches"

    @property
    def name(self) -> str:
        """The edition as the foot of a page prints it: "Inches, Letter, balcony"."""
        words = [self.unit_name.capitalize(), PAPER_NAMES[self.paper]]
        return ", ".join([*words, self.size] if self.size else words)

    def length(self, mm: Fraction) -> str:
        """An ordinary length for print, marked if it is off the grid."""
        return printing.write_length(mm, self.length_grid)

    def joint(self, mm: Fraction) -> str:
        """A joint's length for print (finer grid)."""
        return printing.write_length(mm, self.joint_grid)
