"""Exact vectors and frames: rational numbers of millimetres, x right, y back, z up.

Lengths of the model are exact; a leaning direction needs a square root, which is taken to 15 decimals, so that a unit
vector's length is 1 within 1e-15 and every machine finds the same numbers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import TypeAlias

from attrs import frozen

Vec: TypeAlias = tuple[Fraction, Fraction, Fraction]

ZERO = Fraction(0)
ONE = Fraction(1)
ORIGIN: Vec = (ZERO, ZERO, ZERO)
X: Vec = (ONE, ZERO, ZERO)
Y: Vec = (ZERO, ONE, ZERO)
Z: Vec = (ZERO, ZERO, ONE)
_SCALE = 10**15
_SHORT = 10**9
_NOISE = Fraction(1, 10**11)
#: Two lengths (mm) closer than this are the same: far below a saw's reach, far above the rounding of leaning axes.
SAME = Fraction(1, 10**6)


def vec(x: Fraction | int, y: Fraction | int, z: Fraction | int) -> Vec:
    """A vector of exact numbers."""
    return (Fraction(x), Fraction(y), Fraction(z))


def add(a: Vec, b: Vec) -> Vec:
    """a + b."""
    return (_sum(a[0], b[0]), _sum(a[1], b[1]), _sum(a[2], b[2]))


def sub(a: Vec, b: Vec) -> Vec:
    """a - b."""
    return add(a, neg(b))


def scale(a: Vec, s: Fraction | int) -> Vec:
    """a times the number s."""
    return (product(a[0], s), product(a[1], s), product(a[2], s))


def neg(a: Vec) -> Vec:
    """-a."""
    return (-a[0] if a[0] else ZERO, -a[1] if a[1] else ZERO, -a[2] if a[2] else ZERO)


def _sum(a: Fraction, b: Fraction) -> Fraction:
    """a + b; most coordinates are 0, and exact arithmetic is slow."""
    if not a:
        return b
    return a + b if b else a


def product(a: Fraction, b: Fraction | int) -> Fraction:
    """a * b; most components of axes are 0 or 1, and exact arithmetic is slow."""
    if not a or not b:
        return ZERO
    if a == 1:
        return b if isinstance(b, Fraction) else Fraction(b)
    return a if b == 1 else a * b


def dot(a: Vec, b: Vec) -> Fraction:
    """Scalar product."""
    return _sum(_sum(product(a[0], b[0]), product(a[1], b[1])), product(a[2], b[2]))


def cross(a: Vec, b: Vec) -> Vec:
    """Vector product (right-handed)."""
    return (
        _sum(product(a[1], b[2]), -product(a[2], b[1])),
        _sum(product(a[2], b[0]), -product(a[0], b[2])),
        _sum(product(a[0], b[1]), -product(a[1], b[0])),
    )


def root(value: Fraction) -> Fraction:
    """Square root of a non-negative number: exact if it is a rational square, else to 15 decimals."""
    if value < 0:
        raise ValueError(f"no square root of {value}")
    top, bottom = math.isqrt(value.numerator), math.isqrt(value.denominator)
    if top * top == value.numerator and bottom * bottom == value.denominator:
        return Fraction(top, bottom)
    return Fraction(math.isqrt(value.numerator * _SCALE * _SCALE // value.denominator), _SCALE)


def trimmed(value: Fraction) -> Fraction:
    """The number itself if short, else to 15 decimals: keeps products of leaning axes from growing without end."""
    if value.denominator <= _SCALE:
        return value
    return Fraction(round(value * _SCALE), _SCALE)


def settled(value: Fraction) -> Fraction:
    """The short number (9 decimals) that a result of leaning axes stands for; itself if none is within 1e-11."""
    if value.denominator <= _SHORT:
        return value
    short = Fraction(round(value * _SHORT), _SHORT)
    return short if abs(value - short) < _NOISE else value


def settled_vec(a: Vec) -> Vec:
    """`settled` for each coordinate."""
    return (settled(a[0]), settled(a[1]), settled(a[2]))


def trimmed_vec(a: Vec) -> Vec:
    """`trimmed` for each coordinate."""
    return (trimmed(a[0]), trimmed(a[1]), trimmed(a[2]))


def norm(a: Vec) -> Fraction:
    """Length of a."""
    return root(dot(a, a))


def unit(a: Vec) -> Vec:
    """The direction of a.

    Raises:
        ValueError: if a has no length.
    """
    length = norm(a)
    if length == 0:
        raise ValueError("a vector of no length has no direction")
    return trimmed_vec(scale(a, 1 / length))


def floats(a: Vec) -> tuple[float, float, float]:
    """The vector as ordinary numbers, for solids and pictures."""
    return (float(a[0]), float(a[1]), float(a[2]))


def parallel(a: Vec, b: Vec) -> bool:
    """True if two unit vectors point along one line (either way), within 1e-9."""
    return 1 - abs(dot(a, b)) < Fraction(1, 10**9) * Fraction(1, 10**9) or norm(cross(a, b)) < Fraction(1, 10**9)


@frozen
class Frame:
    """A place and three perpendicular unit axes in the space around it.

    A right-handed frame turns; a left-handed one also mirrors.
    """

    origin: Vec = ORIGIN
    x: Vec = X
    y: Vec = Y
    z: Vec = Z

    def point(self, local: Vec) -> Vec:
        """The outer coordinates (mm) of a point given in this frame."""
        return trimmed_vec(add(self.origin, self.direction(local)))

    def direction(self, local: Vec) -> Vec:
        """The outer components of a direction given in this frame."""
        return trimmed_vec(add(add(scale(self.x, local[0]), scale(self.y, local[1])), scale(self.z, local[2])))

    def local_point(self, outer: Vec) -> Vec:
        """The coordinates (mm) in this frame of a point given outside."""
        return self.local_direction(sub(outer, self.origin))

    def local_direction(self, outer: Vec) -> Vec:
        """The components in this frame of a direction given outside."""
        return trimmed_vec((dot(outer, self.x), dot(outer, self.y), dot(outer, self.z)))

    def within(self, outer: Frame) -> Frame:
        """This frame, which is described in `outer`, in the space around `outer`."""
        return Frame(
            outer.point(self.origin),
            outer.direction(self.x),
            outer.direction(self.y),
            outer.direction(self.z),
        )

    @property
    def is_right_handed(self) -> bool:
        """False if the frame mirrors what is described in it."""
        return dot(cross(self.x, self.y), self.z) > 0


def turned_about(axis: str, cosine: Fraction, sine: Fraction) -> Frame:
    """A frame at the origin turned about "x", "y" or "z" by the angle of the given cosine and sine."""
    c, s = cosine, sine
    if axis == "x":
        return Frame(ORIGIN, X, (ZERO, c, s), (ZERO, -s, c))
    if axis == "y":
        return Frame(ORIGIN, (c, ZERO, -s), Y, (s, ZERO, c))
    if axis == "z":
        return Frame(ORIGIN, (c, s, ZERO), (-s, c, ZERO), Z)
    raise ValueError(f"no axis named {axis!r}")


def mirrored_across(axis: str) -> Frame:
    """A frame at the origin whose axis "x", "y" or "z" is reversed."""
    flipped = {"x": (neg(X), Y, Z), "y": (X, neg(Y), Z), "z": (X, Y, neg(Z))}
    return Frame(ORIGIN, *flipped[axis])


def mean(points: Sequence[Vec]) -> Vec:
    """The mean of some points."""
    n = len(points)
    return (
        sum((p[0] for p in points), ZERO) / n,
        sum((p[1] for p in points), ZERO) / n,
        sum((p[2] for p in points), ZERO) / n,
    )
