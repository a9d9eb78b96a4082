"""How far a row of notches may stray: stepping from notch to notch against measuring each from the end.

Each setting may be off by e. Measured from the end every notch has one setting's error. Stepping adds one with each
step: in the worst case all lie the same way (a pin set wrong once repeats its error exactly), while errors that are as
often plus as minus add like the sides of right angles, sqrt(1 + 1 + ...) (root sum of squares; JCGM 100:2008, 5.1.2).
"""

from __future__ import annotations

from fractions import Fraction

from attrs import frozen

from planpress.base.trigonometry import square_root


@frozen
class RowBudget:
    """Errors (mm) of the last notch of a row from the end, and between any two of its notches.

    Attributes:
        notches: in the row. error: of one setting.
        stepped_worst, stepped_likely: of the last notch, reached from notch to notch.
        measured_worst: of every notch measured from the end, which is also the likely error.
        pair_worst, pair_likely: of the distance between two notches measured from the end.
    """

    notches: int
    error: Fraction
    stepped_worst: Fraction
    stepped_likely: Fraction
    measured_worst: Fraction
    pair_worst: Fraction
    pair_likely: Fraction

    @property
    def measuring_pays(self) -> bool:
        """True if stepping may put the last notch further off than two notches measured from the end can differ."""
        return self.stepped_worst > self.pair_worst


def row_budget(notches: int, error: Fraction) -> RowBudget:
    """The budget of a row of so many notches, for a setting error in mm.

    Raises:
        ValueError: if there is no row, or the error is negative.
    """
    if notches < 1 or error < 0:
        raise ValueError("a row has at least one notch, and an error is not negative")
    return RowBudget(
        notches=notches,
        error=error,
        stepped_worst=notches * error,
        stepped_likely=square_root(Fraction(notches)) * error,
        measured_worst=error,
        pair_worst=2 * error,
        pair_likely=square_root(Fraction(2)) * error,
    )
