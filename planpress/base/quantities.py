"""Exact numbers with a dimension: lengths, angles, times, masses, money and plain counts.

Values are rationals in one unit for each dimension: mm, degrees, minutes, kg, whole units of a currency.
Nothing is rounded here but roots and angles (12 decimals, see `trigonometry`); lengths are rounded when they
are written.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import TypeAlias

from attrs import evolve, field, frozen

from planpress.base import trigonometry

#: One inch in mm, exactly. Source: NIST SP 811 (2008), appendix B (the international inch).
INCH = Fraction(254, 10)

Number: TypeAlias = int | Fraction


@frozen
class Dimension:
    """What a quantity measures: powers of length, angle, time, mass and money, and which money.

    Attributes:
        currency: code of the currency, for example "EUR"; "" where none is named or no money is involved.
    """

    length: int = 0
    angle: int = 0
    time: int = 0
    mass: int = 0
    money: int = 0
    currency: str = ""

    @property
    def powers(self) -> tuple[int, int, int, int, int]:
        """Powers of length, angle, time, mass and money."""
        return (self.length, self.angle, self.time, self.mass, self.money)

    @property
    def is_money(self) -> bool:
        """True for an amount of money in any currency."""
        return self.powers == (0, 0, 0, 0, 1)

    @property
    def words(self) -> str:
        """In plain words with an article: "a length", "an area", "an amount in EUR", "a mass per volume"."""
        above = _spell(self.powers, self.currency)
        below = _spell(tuple(-p for p in self.powers), self.currency)
        first = above[0] if above else "count"
        article = "an" if first[0] in "aeiou" else "a"
        text = f"{article} {' times '.join(above) or 'count'}"
        return f"{text} per {' and '.join(below)}" if below else text

    def times(self, other: Dimension) -> Dimension:
        """The dimension of a product.

        Raises:
            DimensionError: if the two are in different currencies.
        """
        return self._joined(other, 1, "multiplied")

    def per(self, other: Dimension) -> Dimension:
        """The dimension of a quotient.

        Raises:
            DimensionError: if the two are in different currencies.
        """
        return self._joined(other, -1, "divided")

    def _joined(self, other: Dimension, sign: int, deed: str) -> Dimension:
        if self.money and other.money and self.currency != other.currency:
            raise DimensionError.pair(self, other, deed)
        powers = [a + sign * b for a, b in zip(self.powers, other.powers, strict=True)]
        return _dimension(powers, self.currency or other.currency)


class DimensionError(ValueError):
    """Quantities that do not go together; the message names their dimensions in plain words."""

    @classmethod
    def pair(cls, a: Dimension, b: Dimension, deed: str) -> DimensionError:
        """Two dimensions that cannot be added, compared and so on."""
        if deed == "subtracted":
            return cls(f"{b.words} cannot be subtracted from {a.words}")
        return cls(f"{a.words} and {b.words} cannot be {deed}")


COUNT = Dimension()
LENGTH = Dimension(length=1)  # mm
AREA = Dimension(length=2)  # mm2
VOLUME = Dimension(length=3)  # mm3
ANGLE = Dimension(angle=1)  # degrees
TIME = Dimension(time=1)  # minutes
MASS = Dimension(mass=1)  # kg
MONEY = Dimension(money=1)  # whole units of a currency that is not named; see `money`


def _dimension(powers: Sequence[int], currency: str) -> Dimension:
    length, angle, time, mass, of_money = powers
    return Dimension(length, angle, time, mass, of_money, currency if of_money else "")


_LENGTH_WORDS = {1: "length", 2: "area", 3: "volume"}


def _spell(powers: tuple[int, ...], currency: str) -> list[str]:
    """Words for the positive powers."""
    names = ("length", "angle", "time", "mass", f"amount in {currency}" if currency else "amount of money")
    out = []
    for i, (name, power) in enumerate(zip(names, powers, strict=True)):
        if power <= 0:
            continue
        if i == 0 and power in _LENGTH_WORDS:
            out.append(_LENGTH_WORDS[power])
        else:
            out.append(name if power == 1 else f"{name} to the power {power}")
    return out


def _exact(value: Number) -> Fraction:
    if isinstance(value, int | Fraction):
        return Fraction(value)
    raise TypeError(f"a quantity needs an exact value (int or Fraction), not {type(value).__name__}")


@frozen(order=False)
class Quantity:
    """An exact value with its dimension, in the unit of that dimension (mm, mm2, mm3, degrees, minutes, kg).

    Sums, differences and comparisons need equal dimensions or raise `DimensionError`; products and quotients
    make new ones. Plain integers and fractions stand for counts. `==` never raises: quantities of unequal
    dimensions are unequal.
    """

    value: Fraction = field(converter=_exact)
    dimension: Dimension = COUNT

    def __str__(self) -> str:
        """The exact value with its unit: "9", "6 deg", "3683/20 mm"."""
        powers = zip(("mm", "deg", "min", "kg", self.dimension.currency), self.dimension.powers, strict=True)
        units = [unit if power == 1 else f"{unit}^{power}" for unit, power in powers if power]
        return " ".join([str(self.value), *units]).strip()

    def __add__(self, other: Quantity | Number) -> Quantity:
        return self._like(self.value + self._matching(other, "added"))

    def __radd__(self, other: Number) -> Quantity:
        return count(other) + self

    def __sub__(self, other: Quantity | Number) -> Quantity:
        return self._like(self.value - self._matching(other, "subtracted"))

    def __rsub__(self, other: Number) -> Quantity:
        return count(other) - self

    def __mul__(self, other: Quantity | Number) -> Quantity:
        right = _as_quantity(other)
        return Quantity(self.value * right.value, self.dimension.times(right.dimension))

    def __rmul__(self, other: Number) -> Quantity:
        return count(other) * self

    def __truediv__(self, other: Quantity | Number) -> Quantity:
        right = _as_quantity(other)
        dimension = self.dimension.per(right.dimension)
        if right.value == 0:
            raise ZeroDivisionError(f"{self.dimension.words} cannot be divided by zero")
        return Quantity(self.value / right.value, dimension)

    def __rtruediv__(self, other: Number) -> Quantity:
        return count(other) / self

    def __pow__(self, power: int) -> Quantity:
        if self.value == 0 and power < 0:
            raise ZeroDivisionError(f"{self.dimension.words} of zero has no negative power")
        powers = [p * power for p in self.dimension.powers]
        return Quantity(self.value**power, _dimension(powers, self.dimension.currency))

    def __neg__(self) -> Quantity:
        return self._like(-self.value)

    def __pos__(self) -> Quantity:
        return self

    def __abs__(self) -> Quantity:
        return self._like(abs(self.value))

    def __lt__(self, other: Quantity | Number) -> bool:
        return self.value < self._matching(other, "compared")

    def __le__(self, other: Quantity | Number) -> bool:
        return self.value <= self._matching(other, "compared")

    def __gt__(self, other: Quantity | Number) -> bool:
        return self.value > self._matching(other, "compared")

    def __ge__(self, other: Quantity | Number) -> bool:
        return self.value >= self._matching(other, "compared")

    def _matching(self, other: Quantity | Number, deed: str) -> Fraction:
        right = _as_quantity(other)
        if right.dimension != self.dimension:
            raise DimensionError.pair(self.dimension, right.dimension, deed)
        return right.value

    def _like(self, value: Fraction) -> Quantity:
        return evolve(self, value=value)


def _as_quantity(value: Quantity | Number) -> Quantity:
    return value if isinstance(value, Quantity) else count(value)


def count(value: Number | str) -> Quantity:
    """A plain number. Text is read as by `Fraction`: "3", "3/4", "0.75"."""
    return Quantity(Fraction(value), COUNT)


def mm(value: Number | str) -> Quantity:
    """A length given in mm."""
    return Quantity(Fraction(value), LENGTH)


def inches(value: Number | str) -> Quantity:
    """A length given in inches."""
    return Quantity(Fraction(value) * INCH, LENGTH)


def degrees(value: Number | str) -> Quantity:
    """An angle given in degrees."""
    return Quantity(Fraction(value), ANGLE)


def money(value: Number | str, currency: str) -> Quantity:
    """An amount of money; amounts in different currencies do not add up."""
    return Quantity(Fraction(value), evolve(MONEY, currency=currency))


def require(q: Quantity, dimension: Dimension, what: str = "the value") -> Fraction:
    """The value of a quantity that must have this dimension.

    Raises:
        DimensionError: "<what> must be a length, not a count".
    """
    if q.dimension != dimension:
        raise DimensionError(f"{what} must be {dimension.words}, not {q.dimension.words}")
    return q.value


def sqrt(q: Quantity) -> Quantity:
    """Square root: of an area a length, of a count a count; exact if rational, otherwise to 12 decimals.

    Raises:
        DimensionError: if the root has no dimension, as that of a length.
        ValueError: if the quantity is negative.
    """
    if any(power % 2 for power in q.dimension.powers):
        raise DimensionError(f"{q.dimension.words} has no square root")
    if q.value < 0:
        raise ValueError("a negative value has no square root")
    powers = [power // 2 for power in q.dimension.powers]
    return Quantity(trigonometry.square_root(q.value), _dimension(powers, q.dimension.currency))


def sin(angle: Quantity) -> Quantity:
    """Sine of an angle, as a count to 12 decimals."""
    return count(trigonometry.sine(require(angle, ANGLE, "what sin takes")))


def cos(angle: Quantity) -> Quantity:
    """Cosine of an angle, as a count to 12 decimals."""
    return count(trigonometry.cosine(require(angle, ANGLE, "what cos takes")))


def tan(angle: Quantity) -> Quantity:
    """Tangent of an angle, as a count to 12 decimals.

    Raises:
        ValueError: at a right angle, where it has no value.
    """
    return count(trigonometry.tangent(require(angle, ANGLE, "what tan takes")))


def asin(ratio: Quantity) -> Quantity:
    """The angle from -90 to 90 degrees with this sine.

    Raises:
        ValueError: if the ratio is not between -1 and 1.
    """
    return degrees(trigonometry.arc_sine(require(ratio, COUNT, "what asin takes")))


def acos(ratio: Quantity) -> Quantity:
    """The angle from 0 to 180 degrees with this cosine.

    Raises:
        ValueError: if the ratio is not between -1 and 1.
    """
    return degrees(trigonometry.arc_cosine(require(ratio, COUNT, "what acos takes")))


def atan(ratio: Quantity) -> Quantity:
    """The angle between -90 and 90 degrees with this tangent."""
    return degrees(trigonometry.direction(require(ratio, COUNT, "what atan takes"), Fraction(1)))


def atan2(y: Quantity, x: Quantity) -> Quantity:
    """The angle of the point (x, y), anticlockwise from +x, above -180 up to 180 degrees.

    Raises:
        DimensionError: if x and y are not of one dimension.
        ValueError: if both are zero.
    """
    if x.dimension != y.dimension:
        raise DimensionError.pair(y.dimension, x.dimension, "used together in atan2")
    return degrees(trigonometry.direction(y.value, x.value))


def round_to(q: Quantity, grid: Quantity) -> Quantity:
    """The nearest multiple of `grid`; a value halfway goes to the even multiple (NIST SP 811, B.7.1).

    Raises:
        DimensionError: if the dimensions differ.
        ValueError: if the grid is not above zero.
    """
    return _on_multiple(q, grid, round)


def floor_to(q: Quantity, grid: Quantity) -> Quantity:
    """The greatest multiple of `grid` that is not above q. Raises as `round_to`."""
    return _on_multiple(q, grid, math.floor)


def ceil_to(q: Quantity, grid: Quantity) -> Quantity:
    """The smallest multiple of `grid` that is not below q. Raises as `round_to`."""
    return _on_multiple(q, grid, math.ceil)


def floor(q: Quantity) -> Quantity:
    """The greatest whole number not above a count."""
    return count(math.floor(require(q, COUNT, "what floor takes")))


def ceil(q: Quantity) -> Quantity:
    """The smallest whole number not below a count."""
    return count(math.ceil(require(q, COUNT, "what ceil takes")))


def _on_multiple(q: Quantity, grid: Quantity, choose: Callable[[Fraction], int]) -> Quantity:
    if q.dimension != grid.dimension:
        raise DimensionError.pair(q.dimension, grid.dimension, "rounded to one another")
    if grid.value <= 0:
        raise ValueError("the step to round to must be above zero")
    return evolve(q, value=choose(q.value / grid.value) * grid.value)
