"""Roots and angles of exact rationals, the same to the last digit on every machine.

Floating-point sines may differ in the last bit from one C library to the next; these are computed in
integers, with 36 decimals, and rounded to 12. Angles are in degrees.
"""

from __future__ import annotations

from fractions import Fraction
from math import isqrt

#: Results are rounded to this many decimals.
DECIMALS = 12

_GUARD = 10**36  # fixed point: the integer n stands for n / _GUARD
_PI = 3_141592653589793238462643383279502884  # pi in that fixed point, cut off


def rounded(value: Fraction, decimals: int = DECIMALS) -> Fraction:
    """The nearest multiple of 10**-decimals; a value halfway goes to the even digit."""
    return Fraction(round(value * 10**decimals), 10**decimals)


def square_root(value: Fraction) -> Fraction:
    """The root, exact if it is rational, otherwise to 12 decimals.

    Raises:
        ValueError: if the value is negative.
    """
    if value < 0:
        raise ValueError("a negative value has no square root")
    above, below = isqrt(value.numerator), isqrt(value.denominator)
    if above * above == value.numerator and below * below == value.denominator:
        return Fraction(above, below)
    return rounded(_fine_root(value))


def sine(degrees: Fraction) -> Fraction:
    """The sine, to 12 decimals."""
    return rounded(Fraction(_fixed_sine(degrees), _GUARD))


def cosine(degrees: Fraction) -> Fraction:
    """The cosine, to 12 decimals."""
    return sine(degrees + 90)


def tangent(degrees: Fraction) -> Fraction:
    """The tangent, to 12 decimals.

    Raises:
        ValueError: at 90 degrees and every half turn from there, where it has no value.
    """
    below = _fixed_sine(degrees + 90)
    if below == 0:
        raise ValueError("the tangent of a right angle has no value")
    return rounded(Fraction(_fixed_sine(degrees), below))


def direction(y: Fraction, x: Fraction) -> Fraction:
    """The angle of the point (x, y) about the origin, anticlockwise from +x, above -180 up to 180 degrees.

    Raises:
        ValueError: if both are 0.
    """
    if x == 0 and y == 0:
        raise ValueError("a point at the origin has no direction")
    across, along = abs(y), abs(x)
    if across <= along:
        acute = _fine_arc(across / along)
    else:
        acute = 90 - _fine_arc(along / across)
    turned = acute if x >= 0 else 180 - acute
    return rounded(turned if y >= 0 else -turned)


def arc_sine(value: Fraction) -> Fraction:
    """The angle from -90 to 90 degrees with this sine.

    Raises:
        ValueError: outside -1 to 1.
    """
    if abs(value) > 1:
        raise ValueError("a sine or cosine lies between -1 and 1")
    return direction(value, _fine_root(1 - value * value))


def arc_cosine(value: Fraction) -> Fraction:
    """The angle from 0 to 180 degrees with this cosine.

    Raises:
        ValueError: outside -1 to 1.
    """
    if abs(value) > 1:
        raise ValueError("a sine or cosine lies between -1 and 1")
    return direction(_fine_root(1 - value * value), value)


def _fine_root(value: Fraction) -> Fraction:
    return Fraction(isqrt(value.numerator * _GUARD * _GUARD // value.denominator), _GUARD)


def _fixed_sine(degrees: Fraction) -> int:
    """Sine in fixed point; 0, 1/2 and 1 come out exactly where they are due."""
    angle = degrees % 360
    if angle >= 180:
        return -_fixed_sine(angle - 180)
    if angle > 90:
        angle = 180 - angle
    if angle.denominator == 1 and angle.numerator in (0, 30, 90):
        return {0: 0, 30: _GUARD // 2, 90: _GUARD}[angle.numerator]
    if angle > 45:
        return _series(angle - 90, first=0)
    return _series(angle, first=1)


def _series(degrees: Fraction, first: int) -> int:
    """Taylor series about 0 of the sine (first = 1) or cosine (first = 0), for angles up to 45 degrees."""
    x = degrees.numerator * _PI // (degrees.denominator * 180)
    squared = x * x // _GUARD
    term = x if first else _GUARD
    total, n = 0, first
    while term:
        total += term
        term = -(term * squared // _GUARD // ((n + 1) * (n + 2)))
        if term == 1:  # floor division of a negative number never reaches 0
            term = 0
        n += 2
    return total


def _fine_arc(slope: Fraction) -> Fraction:
    """The angle in degrees whose tangent is `slope`, 0 to 1, to about 30 decimals."""
    t = slope.numerator * _GUARD // slope.denominator
    halvings = 4  # tan(a / 2) = t / (1 + sqrt(1 + t^2)); small slopes make the series short
    for _ in range(halvings):
        t = t * _GUARD // (_GUARD + isqrt(_GUARD * _GUARD + t * t))
    squared = t * t // _GUARD
    total, power, n = 0, t, 1
    while power:
        total += power // n if n % 4 == 1 else -(power // n)
        power = power * squared // _GUARD
        n += 2
    return Fraction(total * 180 * 2**halvings, _PI)
