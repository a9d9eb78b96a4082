"""Writing lengths, angles, masses, areas and times for readers: the one place where numbers are rounded.

A length becomes a whole number of grid steps first ("ticks") and is split into feet, inches and fraction
after that, so that carries cannot be lost. Positions are rounded from the reference end, never gaps, so that
printed chains close.
"""

from __future__ import annotations

import enum
import itertools
import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Literal, TypeAlias

from attrs import Attribute, field, frozen

from planpress.base.lettering import fraction_sign
from planpress.base.quantities import INCH
from planpress.base.units import POUND

MINUS = "\u2212"
NO_BREAK = "\u00a0"
ABOUT = f"\u2248{NO_BREAK}"  # stands before a value that is not on the grid

_INCH_DIVISIONS = (1, 2, 4, 8, 16, 32, 64)
_NOISE = Fraction(1, 10**6)  # mm; a limit this close to a tick is on it (roots and sines have 12 decimals)


class Units(enum.Enum):
    """The unit system of an edition."""

    IMPERIAL = "imperial"
    METRIC = "metric"


LimitSide: TypeAlias = Literal["at least", "at most"]


@frozen
class LengthGrid:
    """The steps to which lengths are printed.

    Attributes:
        units: inches or millimetres.
        step: in mm; an inch divided by 1, 2, 4 ... 64, or a metric step with at most three decimals.
    """

    units: Units
    step: Fraction = field()

    @step.validator
    def _check_step(self, _attribute: Attribute[Fraction], step: Fraction) -> None:
        if step <= 0:
            raise ValueError("the step of a grid must be above zero")
        if self.units is Units.IMPERIAL and INCH / step not in _INCH_DIVISIONS:
            raise ValueError("the step of an inch grid must be 1, 1/2, 1/4, 1/8, 1/16, 1/32 or 1/64 in")
        if self.units is Units.METRIC and (step * 1000).denominator != 1:
            raise ValueError("the step of a metric grid has at most three decimals of a mm")


IMPERIAL_16 = LengthGrid(Units.IMPERIAL, INCH / 16)
IMPERIAL_32 = LengthGrid(Units.IMPERIAL, INCH / 32)
METRIC_1 = LengthGrid(Units.METRIC, Fraction(1))
METRIC_HALF = LengthGrid(Units.METRIC, Fraction(1, 2))


def ticks(mm: Fraction, grid: LengthGrid) -> int:
    """The nearest whole number of grid steps; exactly halfway goes to the even one (NIST SP 811, B.7.1)."""
    return round(mm / grid.step)


def rounded(mm: Fraction, grid: LengthGrid) -> Fraction:
    """The length in mm as it is printed."""
    return ticks(mm, grid) * grid.step


def on_grid(mm: Fraction, grid: LengthGrid, tolerance: Fraction = Fraction(1, 100)) -> bool:
    """True if the length is within `tolerance` mm of its printed value."""
    return abs(mm - rounded(mm, grid)) <= tolerance


def write_length(
    mm: Fraction, grid: LengthGrid, *, feet: bool = False, mark_off_grid: bool = True, unit: bool = False
) -> str:
    """A length as it is printed: stacked fractions of an inch (characters of `lettering`), or mm.

    Args:
        feet: split inches into feet and inches, with both units; without effect in metric.
        mark_off_grid: put "≈" before a value that is not on the grid.
        unit: append "in" or "mm".
    """
    text = write_ticks(ticks(mm, grid), grid, feet=feet, unit=unit)
    return text if on_grid(mm, grid) or not mark_off_grid else ABOUT + text


def write_ticks(steps: int, grid: LengthGrid, *, feet: bool = False, unit: bool = False) -> str:
    """A length of so many grid steps; for sums and differences of positions that are rounded already."""
    sign = MINUS if steps < 0 else ""
    steps = abs(steps)
    if grid.units is Units.METRIC:
        text = sign + _decimal(steps * grid.step)
        return f"{text}{NO_BREAK}mm" if unit else text
    divisions = int(INCH / grid.step)
    if not feet:
        text = sign + _inches(steps, divisions)
        return f"{text}{NO_BREAK}in" if unit else text
    whole_feet, rest = divmod(steps, 12 * divisions)
    parts = []
    if whole_feet:
        parts.append(f"{whole_feet}{NO_BREAK}ft")
    if rest or not whole_feet:
        parts.append(f"{_inches(rest, divisions)}{NO_BREAK}in")
    return sign + NO_BREAK.join(parts)


def write_limit(mm: Fraction, grid: LengthGrid, side: LimitSide, *, feet: bool = False, unit: bool = False) -> str:
    """A limit, rounded inwards so that who keeps the printed one keeps the true one (NIST SP 811, B.7.3).

    "at least" goes up to the next grid step and "at most" down; the words are not part of the text.
    """
    steps = ticks(mm, grid)
    if abs(mm - steps * grid.step) > _NOISE:
        steps = math.ceil(mm / grid.step) if side == "at least" else math.floor(mm / grid.step)
    return write_ticks(steps, grid, feet=feet, unit=unit)


def close_chain(positions: Sequence[Fraction], grid: LengthGrid) -> tuple[int, ...]:
    """The ticks of running positions, measured from the first (the reference end).

    No gap is rounded by itself: print differences of these ticks (`write_ticks`) and every chain adds up to
    its printed overall; each position is out by half a grid step at most.

    Args:
        positions: in mm along one line, in order.

    Raises:
        ValueError: if the positions are not in ascending order.
    """
    if any(b < a for a, b in itertools.pairwise(positions)):
        raise ValueError("the positions of a chain must be in ascending order")
    return tuple(ticks(position - positions[0], grid) for position in positions)


def chain_error(gaps: Sequence[Fraction], grid: LengthGrid) -> int:
    """Grid steps by which gaps, each rounded by itself, exceed their rounded sum (0: the chain closes)."""
    return sum(ticks(gap, grid) for gap in gaps) - ticks(sum(gaps, Fraction(0)), grid)


def write_angle(degrees: Fraction, step: Fraction = Fraction(1, 2), *, mark_off_grid: bool = True) -> str:
    """An angle with its degree sign, to half degrees (a saw's scale) unless another step is given.

    "≈" stands before an angle more than 0.01 degree off its printed value.
    """
    value = round(degrees / step) * step
    text = f"{MINUS if value < 0 else ''}{_decimal(abs(value))}°"
    return ABOUT + text if mark_off_grid and abs(value - degrees) > Fraction(1, 100) else text


def write_mass(kg: Fraction, units: Units) -> str:
    """A mass to carry or to ship: kg or lb, to a tenth below 10 and whole above; below 1 in 10 g or 1 oz.

    Raises:
        ValueError: if it is negative.
    """
    if units is Units.METRIC:
        return _stepped(kg, (("g", Fraction(1, 1000), 10, 1000), ("kg", Fraction(1), Fraction(1, 10), 10)))
    return _stepped(kg, (("oz", POUND / 16, 1, 16), ("lb", POUND, Fraction(1, 10), 10)))


def write_area(mm2: Fraction, units: Units) -> str:
    """An area to finish or to buy: m² to a hundredth or ft² to a tenth below 10, then to ten times that.

    Less than 0.1 m² or 1 ft² is written in whole cm² or in².

    Raises:
        ValueError: if it is negative.
    """
    if units is Units.METRIC:
        square_metre = Fraction(10**6)
        return _stepped(mm2, (("cm²", Fraction(100), 1, 1000), ("m²", square_metre, Fraction(1, 100), 10)))
    square_foot = (12 * INCH) ** 2
    return _stepped(mm2, (("in²", INCH**2, 1, 144), ("ft²", square_foot, Fraction(1, 10), 10)))


def write_time(minutes: Fraction) -> str:
    """A duration in whole minutes, hours and days: "45 min", "1 h 30 min", "2 days".

    Raises:
        ValueError: if it is negative.
    """
    if minutes < 0:
        raise ValueError("a time cannot be negative here")
    days, rest = divmod(round(minutes), 24 * 60)
    hours, left = divmod(rest, 60)
    parts = []
    if days:
        parts.append(f"{days}{NO_BREAK}{'day' if days == 1 else 'days'}")
    if hours:
        parts.append(f"{hours}{NO_BREAK}h")
    if left or not parts:
        parts.append(f"{left}{NO_BREAK}min")
    return NO_BREAK.join(parts)


def _inches(steps: int, divisions: int) -> str:
    whole, rest = divmod(steps, divisions)
    if rest == 0:
        return str(whole)
    part = Fraction(rest, divisions)
    sign = fraction_sign(part.numerator, part.denominator, after_whole=whole > 0)
    return f"{whole}{sign}" if whole else sign


def _decimal(value: Fraction) -> str:
    """A value of at most three decimals, not negative, without trailing zeros."""
    whole, thousandths = divmod(round(value * 1000), 1000)
    return f"{whole}.{thousandths:03d}".rstrip("0").rstrip(".")


#: Name of the unit, its size, the step to print, and the number of units from which the next one takes over
#: (for the last unit: from which it is printed with ten times the step).
_Scale: TypeAlias = tuple[str, Fraction, Fraction | int, int]


def _stepped(value: Fraction, scales: tuple[_Scale, ...]) -> str:
    """The value in the first unit in which it stays below its limit once it is rounded."""
    if value < 0:
        raise ValueError("a mass or area cannot be negative")
    for name, size, step, limit in scales:
        shown = Fraction(round(value / size / step) * step)
        if shown < limit:
            return f"{_decimal(shown)}{NO_BREAK}{name}"
    name, size, step, _ = scales[-1]
    coarse = Fraction(step) * 10
    return f"{_decimal(Fraction(round(value / size / coarse) * coarse))}{NO_BREAK}{name}"
