"""Outlines of lines, arcs and fair curves: exact strokes, and the polygon that stands for them in solids.

Points are (x, y) in mm, in the plane of a part's face (along the length, across the width) or edge.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import cached_property
from typing import TypeAlias

from attrs import frozen

from planpress.base.trigonometry import cosine, direction, sine
from planpress.geometry.polygons import Point2, area
from planpress.geometry.vectors import root, trimmed

#: The polygon leaves the true outline by at most this (mm).
CHORD_ERROR = 0.01
#: Neighbouring strokes that turn by less than this (degrees) run on smoothly; pictures draw no line there.
SMOOTH = 0.5

_Move: TypeAlias = Callable[[Point2], Point2]


@frozen
class Line:
    """A straight stroke."""

    start: Point2
    end: Point2

    def points(self) -> list[Point2]:
        """Corners of the polygon from the start on, the end left out."""
        return [self.start]

    def moved(self, move: _Move, mirrors: bool) -> Line:
        """The stroke where a shift, turning or mirroring takes it."""
        return Line(move(self.start), move(self.end))

    @property
    def middle(self) -> Point2:
        """A point on the stroke, half way."""
        return _between(self.start, self.end)

    @property
    def tangents(self) -> tuple[Point2, Point2]:
        """Directions (any length) of travel at the start and at the end."""
        along = _from(self.start, self.end)
        return along, along


@frozen
class Arc:
    """Part of a circle; `turn` is 1 if it runs anticlockwise, else -1."""

    start: Point2
    end: Point2
    centre: Point2
    radius: Fraction
    turn: int

    @cached_property
    def sweep(self) -> Fraction:
        """The angle it runs through, in degrees, positive, below 360."""
        (ax, ay), (bx, by) = (_from(self.centre, p) for p in (self.start, self.end))
        return ((direction(by, bx) - direction(ay, ax)) * self.turn) % 360

    def at(self, share: Fraction) -> Point2:
        """The point after a share (0 to 1) of the stroke."""
        (ax, ay), angle = _from(self.centre, self.start), self.sweep * share * self.turn
        c, s = cosine(angle), sine(angle)
        return trimmed(self.centre[0] + ax * c - ay * s), trimmed(self.centre[1] + ax * s + ay * c)

    def points(self) -> list[Point2]:
        """Corners of the polygon from the start on, the end left out."""
        step = math.sqrt(8 * CHORD_ERROR / float(self.radius))  # radius (1 - cos(step / 2)) <= radius step^2 / 8
        count = max(1, math.ceil(math.radians(float(self.sweep)) / step))
        return [self.start, *(self.at(Fraction(k, count)) for k in range(1, count))]

    def moved(self, move: _Move, mirrors: bool) -> Arc:
        """The stroke where a shift, turning or mirroring takes it."""
        turn = -self.turn if mirrors else self.turn
        return Arc(move(self.start), move(self.end), move(self.centre), self.radius, turn)

    @property
    def middle(self) -> Point2:
        """A point on the stroke, half way."""
        return self.at(Fraction(1, 2))

    @property
    def tangents(self) -> tuple[Point2, Point2]:
        """Directions (any length) of travel at the start and at the end."""
        (ax, ay), (bx, by) = (_from(self.centre, p) for p in (self.start, self.end))
        return (-ay * self.turn, ax * self.turn), (-by * self.turn, bx * self.turn)


@frozen
class Curve:
    """A fair curve through knots: cubic pieces, each as four control points; neighbours share an end."""

    pieces: tuple[tuple[Point2, Point2, Point2, Point2], ...]

    @property
    def start(self) -> Point2:
        """Where it begins."""
        return self.pieces[0][0]

    @property
    def end(self) -> Point2:
        """Where it ends."""
        return self.pieces[-1][3]

    def points(self) -> list[Point2]:
        """Corners of the polygon from the start on, the end left out."""
        out: list[Point2] = []
        for piece in self.pieces:
            bends = [math.hypot(*(float(a[i] - 2 * b[i] + c[i]) for i in (0, 1))) for a, b, c in (piece[:3], piece[1:])]
            # a chord of a cubic is off by at most (largest second derivative) step^2 / 8
            count = max(1, math.ceil(math.sqrt(0.75 * max(bends) / CHORD_ERROR)))
            out += [_on_cubic(piece, Fraction(k, count)) for k in range(count)]
        return out

    def moved(self, move: _Move, mirrors: bool) -> Curve:
        """The stroke where a shift, turning or mirroring takes it."""
        return Curve(tuple((move(a), move(b), move(c), move(d)) for a, b, c, d in self.pieces))

    @property
    def middle(self) -> Point2:
        """A point on the stroke."""
        half = len(self.pieces) // 2
        return self.pieces[half][0] if len(self.pieces) % 2 == 0 else _on_cubic(self.pieces[half], Fraction(1, 2))

    @property
    def tangents(self) -> tuple[Point2, Point2]:
        """Directions (any length) of travel at the start and at the end."""
        first, last = self.pieces[0], self.pieces[-1]
        return _from(first[0], first[1]), _from(last[2], last[3])


Stroke: TypeAlias = Line | Arc | Curve


@frozen
class Outline:
    """A closed outline, anticlockwise: each stroke starts where the last one ends.

    Attributes:
        strokes: in order.
    """

    strokes: tuple[Stroke, ...]

    @cached_property
    def flattened(self) -> tuple[tuple[Point2, ...], tuple[int, ...]]:
        """Corners of the polygon, and for the side that starts at each corner the index of its stroke."""
        corners: list[Point2] = []
        owners: list[int] = []
        for i, stroke in enumerate(self.strokes):
            points = stroke.points()
            corners += points
            owners += [i] * len(points)
        return tuple(corners), tuple(owners)

    @property
    def polygon(self) -> tuple[Point2, ...]:
        """Its corners, anticlockwise; at most `CHORD_ERROR` from the true outline."""
        return self.flattened[0]

    @cached_property
    def chains(self) -> tuple[int, ...]:
        """For each stroke, the index of the first stroke of the smooth chain that it belongs to."""
        count = len(self.strokes)
        smooth = [_runs_on(self.strokes[i - 1], self.strokes[i]) for i in range(count)]
        first = next((i for i in range(count) if not smooth[i]), 0)
        out = [0] * count
        current = first
        for k in range(count):
            i = (first + k) % count
            current = current if smooth[i] and k else i
            out[i] = current
        return tuple(out)

    @property
    def is_straight(self) -> bool:
        """True if all strokes are straight."""
        return all(isinstance(stroke, Line) for stroke in self.strokes)

    @cached_property
    def is_convex(self) -> bool:
        """True if it has no hollow, within a hair."""
        points = [(float(x), float(y)) for x, y in self.polygon]
        after = [*points[1:], points[0]]
        runs = [(bx - ax, by - ay) for (ax, ay), (bx, by) in zip(points, after, strict=True)]
        return all(
            ax * by - ay * bx >= -1e-9 * math.hypot(ax, ay) * math.hypot(bx, by)
            for (ax, ay), (bx, by) in zip([runs[-1], *runs[:-1]], runs, strict=True)
        )

    def moved(self, move: _Move, mirrors: bool) -> Outline:
        """The outline where a shift, turning or mirroring takes it, anticlockwise again, same first point."""
        strokes = tuple(stroke.moved(move, mirrors) for stroke in self.strokes)
        return Outline(tuple(_reversed(s) for s in reversed(strokes))) if mirrors else Outline(strokes)


def anticlockwise(strokes: Sequence[Stroke]) -> Outline:
    """An outline from strokes that run either way round.

    Raises:
        ValueError: if it has no area.
    """
    outline = Outline(tuple(strokes))
    turned = area(outline.polygon)
    if abs(turned) < Fraction(1, 1000):
        raise ValueError("the outline has no area")
    return outline if turned > 0 else Outline(tuple(_reversed(s) for s in reversed(outline.strokes)))


def arc_of_radius(start: Point2, end: Point2, radius: Fraction, turn: int) -> Arc:
    """The shorter arc between two points.

    Raises:
        ValueError: if the points are further apart than two radii, or the same.
    """
    along = _from(start, end)
    chord = root(along[0] ** 2 + along[1] ** 2)
    if chord == 0:
        raise ValueError("an arc needs two different ends")
    if 2 * radius < chord:
        raise ValueError(f"its ends are {float(chord):.2f} mm apart, more than twice its radius of {float(radius):.2f}")
    height = root(radius**2 - chord**2 / 4)
    across = (-along[1] * turn, along[0] * turn)  # towards the centre
    middle = _between(start, end)
    share = height / chord
    centre = (trimmed(middle[0] + across[0] * share), trimmed(middle[1] + across[1] * share))
    return Arc(start, end, centre, radius, turn)


def arc_of_rise(start: Point2, end: Point2, rise: Fraction, turn: int) -> Arc:
    """The arc of a given height over its chord; more than half a circle if the rise is more than half the chord.

    Raises:
        ValueError: if the points are the same.
    """
    along = _from(start, end)
    square = along[0] ** 2 + along[1] ** 2
    if square == 0:
        raise ValueError("an arc needs two different ends")
    radius = trimmed((square / 4 + rise**2) / (2 * rise))
    share = (radius - rise) / root(square)
    middle = _between(start, end)
    centre = (trimmed(middle[0] - along[1] * turn * share), trimmed(middle[1] + along[0] * turn * share))
    return Arc(start, end, centre, radius, turn)


def fair_curve(knots: Sequence[Point2]) -> Curve:
    """The natural cubic spline through knots, by the length of the chords: the line of a thin batten that is held at
    the knots and free at its ends.

    Source: any text on numerical methods (natural cubic spline); from memory.

    Raises:
        ValueError: if two neighbouring knots are the same.
    """
    steps = [root((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) for a, b in itertools.pairwise(knots)]
    if min(steps) == 0:
        raise ValueError("two neighbouring points of a curve are the same")
    slopes = [_slopes([knot[i] for knot in knots], steps) for i in (0, 1)]
    pieces = []
    for k, step in enumerate(steps):
        a, d = knots[k], knots[k + 1]
        b = (trimmed(a[0] + slopes[0][k] * step / 3), trimmed(a[1] + slopes[1][k] * step / 3))
        c = (trimmed(d[0] - slopes[0][k + 1] * step / 3), trimmed(d[1] - slopes[1][k + 1] * step / 3))
        pieces.append((a, b, c, d))
    return Curve(tuple(pieces))


def _slopes(values: Sequence[Fraction], steps: Sequence[Fraction]) -> list[Fraction]:
    """Derivatives at the knots of the natural spline: no bending at the ends, steady bending inside."""
    count = len(values)
    rises = [(values[k + 1] - values[k]) / steps[k] for k in range(count - 1)]
    rows = [(Fraction(0), Fraction(2), Fraction(1), 3 * rises[0])]
    for k in range(1, count - 1):
        left, right = steps[k - 1], steps[k]
        rows.append((right, 2 * (left + right), left, 3 * (right * rises[k - 1] + left * rises[k])))
    rows.append((Fraction(1), Fraction(2), Fraction(0), 3 * rises[-1]))
    upper: list[Fraction] = []
    known: list[Fraction] = []
    for k, (below, own, above, right_side) in enumerate(rows):
        pivot = own - (below * upper[-1] if k else 0)
        upper.append(trimmed(above / pivot))
        known.append(trimmed((right_side - (below * known[-1] if k else 0)) / pivot))
    for k in range(count - 2, -1, -1):
        known[k] = trimmed(known[k] - upper[k] * known[k + 1])
    return known


def _runs_on(before: Stroke, after: Stroke) -> bool:
    (ax, ay), (bx, by) = (tuple(map(float, d)) for d in (before.tangents[1], after.tangents[0]))
    return abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by)) < math.radians(SMOOTH)


def _reversed(stroke: Stroke) -> Stroke:
    if isinstance(stroke, Line):
        return Line(stroke.end, stroke.start)
    if isinstance(stroke, Arc):
        return Arc(stroke.end, stroke.start, stroke.centre, stroke.radius, -stroke.turn)
    return Curve(tuple((d, c, b, a) for a, b, c, d in reversed(stroke.pieces)))


def _on_cubic(piece: tuple[Point2, Point2, Point2, Point2], t: Fraction) -> Point2:
    s = 1 - t
    weights = (s**3, 3 * s * s * t, 3 * s * t * t, t**3)
    x, y = (trimmed(sum((w * p[i] for w, p in zip(weights, piece, strict=True)), Fraction(0))) for i in (0, 1))
    return x, y


def _from(a: Point2, b: Point2) -> Point2:
    return b[0] - a[0], b[1] - a[1]


def _between(a: Point2, b: Point2) -> Point2:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
