"""Angles of compound work, in degrees, from the exact formulas of trigonometry.

Names of the trade: the *mitre* of an end is what its cut makes with a square one, seen on the face; the *bevel* the
same seen on the edge. A saw is set to other angles: its gauge (or a mitre saw's arm) swings on the table, its blade
tilts from upright. A splayed leg leans by two angles, seen from the front and from the side; the *resultant* is how far
it leans altogether, the *sight line* the direction it leans in, drawn on the seat.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TypeAlias

from planpress.base.trigonometry import arc_sine, cosine, direction, sine, square_root, tangent
from planpress.geometry.vectors import Vec

Degrees: TypeAlias = Fraction


def saw_angles(normal: Vec, up: int) -> tuple[Degrees, Degrees]:
    """Swing of the gauge and tilt of the blade, 0 to 90 degrees, for an end that lies in a plane.

    Args:
        normal: unit normal of the plane in the stick's coordinates (length, width, thickness).
        up: axis of the stick that stands upright on the saw: 2 if it lies on a face, 1 if it lies on an edge.

    The plane meets the table in a line that makes the gauge's angle with a square cut; the tilt is what the plane makes
    with an upright one through that line.
    """
    across = 3 - up
    return direction(abs(normal[across]), abs(normal[0])), arc_sine(min(abs(normal[up]), Fraction(1)))


def tilt_of(mitre: Degrees, bevel: Degrees) -> Degrees:
    """Tilt of the blade for a stick on its face with the gauge at `mitre`: tan(tilt) = tan(bevel) cos(mitre)."""
    return direction(tangent(bevel) * cosine(mitre), Fraction(1))


def resultant(front: Degrees, side: Degrees) -> tuple[Degrees, Degrees]:
    """Resultant and sight line of a stick that leans by `front` (along x) and by `side` (along y) from upright.

    tan^2(resultant) = tan^2(front) + tan^2(side); the sight line is counted from x towards y: tan(side) / tan(front).
    """
    x, y = tangent(front), tangent(side)
    if not x and not y:
        return Fraction(0), Fraction(0)
    return direction(square_root(x * x + y * y), Fraction(1)), direction(y, x)


def leaning(axis: Vec) -> tuple[Degrees, Degrees]:
    """Resultant and sight line of a direction (any length) in the coordinates of a seat: from its third axis, and on
    its face from the first axis towards the second.

    Raises:
        ValueError: if the direction has no length.
    """
    flat = square_root(axis[0] ** 2 + axis[1] ** 2)
    lean = direction(flat, axis[2])
    return lean, direction(axis[1], axis[0]) if flat else Fraction(0)


def splayed_corner(splay: Degrees, half_corner: Degrees) -> tuple[Degrees, Degrees]:
    """Swing and tilt for the mitred corner of a box whose sides all lean by `splay` from upright (a hopper), cut flat.

    Args:
        half_corner: half the angle between neighbouring sides in plan: 45 for four sides, 60 for six.

    tan(swing) = sin(splay) / tan(half corner); sin(tilt) = cos(splay) cos(half corner).
    """
    swing = direction(sine(splay) * cosine(half_corner), sine(half_corner))
    return swing, arc_sine(cosine(splay) * cosine(half_corner))
