"""Outlines: arcs and curves against their definitions, crossings against shapely."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LinearRing, Point

from planpress.geometry.polygons import Point2, area
from planpress.geometry.stroke_crossings import crossing
from planpress.geometry.strokes import (
    CHORD_ERROR,
    Arc,
    Line,
    Outline,
    anticlockwise,
    arc_of_radius,
    arc_of_rise,
    fair_curve,
)

PROPERTY = settings(deadline=None, derandomize=True, max_examples=60)
numbers = st.fractions(min_value=-500, max_value=500, max_denominator=64)
points = st.tuples(numbers, numbers)


def floats(corners: tuple[Point2, ...] | list[Point2]) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    return np.array([[float(c) for c in p] for p in corners])


def ring(*corners: tuple[int, int]) -> Outline:
    exact = [(Fraction(x), Fraction(y)) for x, y in corners]
    return Outline(tuple(Line(a, b) for a, b in zip(exact, [*exact[1:], exact[0]], strict=True)))


def lens(length: int, rise: int) -> Outline:
    a, b = (Fraction(0), Fraction(0)), (Fraction(length), Fraction(0))
    return anticlockwise([arc_of_rise(a, b, Fraction(rise), 1), arc_of_rise(b, a, Fraction(rise), 1)])


@PROPERTY
@given(
    points, points, st.fractions(min_value=Fraction(1, 2), max_value=4, max_denominator=32), st.sampled_from([1, -1])
)
def test_an_arc_is_a_circle_within_the_chord_error(a: Point2, b: Point2, share: Fraction, turn: int) -> None:
    chord = math.dist(floats([a])[0], floats([b])[0])
    if chord < 1:
        return
    radius = Fraction(round(chord * 1000) + 1, 1000) * share
    arc = arc_of_radius(a, b, radius, turn)
    centre = floats([arc.centre])[0]
    drawn = floats([*arc.points(), arc.end])
    assert np.linalg.norm(drawn - centre, axis=1) == pytest.approx(float(radius), abs=1e-8)
    middles = (drawn[1:] + drawn[:-1]) / 2
    sagitta = float(radius) - np.linalg.norm(middles - centre, axis=1)
    assert 0 < sagitta.max() <= CHORD_ERROR
    assert 0 < arc.sweep <= Fraction(180) + Fraction(1, 10**6)
    bend = np.cross(np.append(drawn[1] - drawn[0], 0), np.append(drawn[-1] - drawn[0], 0))[2]
    assert len(drawn) == 2 or np.sign(bend) == turn


@PROPERTY
@given(points, points, st.fractions(min_value=1, max_value=300, max_denominator=16), st.sampled_from([1, -1]))
def test_an_arc_of_a_rise_stands_that_high_over_its_chord(a: Point2, b: Point2, rise: Fraction, turn: int) -> None:
    if a == b:
        return
    arc = arc_of_rise(a, b, rise, turn)
    start, end, top = floats([a, b, arc.middle])
    assert math.dist((start + end) / 2, top) == pytest.approx(float(rise), abs=1e-6)
    assert (top - (start + end) / 2) @ (end - start) == pytest.approx(0, abs=1e-4)
    assert (arc.sweep > 180) == (2 * float(rise) > math.dist(start, end))


def test_two_half_circles_have_the_area_of_a_circle() -> None:
    outline = lens(100, 50)
    assert float(area(outline.polygon)) == pytest.approx(math.pi * 2500, rel=3e-4)
    assert outline.chains == (0, 0)  # they run on smoothly
    assert outline.is_convex
    assert not outline.is_straight


@PROPERTY
@given(st.lists(points, min_size=3, max_size=7, unique=True))
def test_a_fair_curve_is_the_natural_spline(knots: list[Point2]) -> None:
    """It goes through its knots, direction and bending run on there, and it does not bend at its ends."""
    curve = fair_curve(knots)
    assert [p[0] for p in curve.pieces] + [curve.end] == knots
    steps = [math.dist(a, b) for a, b in itertools.pairwise(floats(knots))]
    first, last = [], []
    for piece, step in zip(curve.pieces, steps, strict=True):
        a, b, c, d = floats(piece)
        first.append((3 * (b - a) / step, 6 * (a - 2 * b + c) / step**2))
        last.append((3 * (d - c) / step, 6 * (b - 2 * c + d) / step**2))
    for before, after in zip(last[:-1], first[1:], strict=True):
        assert before[0] == pytest.approx(after[0], abs=1e-6, rel=1e-6)
        assert before[1] == pytest.approx(after[1], abs=1e-6, rel=1e-6)
    assert first[0][1] == pytest.approx(0, abs=1e-6)
    assert last[-1][1] == pytest.approx(0, abs=1e-6)


def test_the_polygon_of_a_curve_is_within_the_chord_error() -> None:
    curve = fair_curve([(Fraction(x), Fraction(y)) for x, y in ((0, 0), (80, 30), (160, -20), (300, 5))])
    drawn = LinearRing([*floats(curve.points()), floats([curve.end])[0], (150, 400)])
    for piece in curve.pieces:
        a, b, c, d = floats(piece)
        for t in np.linspace(0, 1, 200):
            s = 1 - t
            p = s**3 * a + 3 * s * s * t * b + 3 * s * t * t * c + t**3 * d
            assert drawn.distance(Point(p)) <= CHORD_ERROR


@PROPERTY
@given(st.lists(st.tuples(st.integers(0, 12), st.integers(0, 12)), min_size=4, max_size=8, unique=True))
def test_crossings_are_found_as_shapely_finds_them(corners: list[tuple[int, int]]) -> None:
    found = crossing(ring(*corners))
    assert (found is None) == LinearRing(corners).is_simple


def test_mirroring_keeps_an_outline_anticlockwise() -> None:
    outline = anticlockwise([Line((Fraction(0), Fraction(0)), (Fraction(60), Fraction(0))), *lens(60, 10).strokes[1:]])
    mirrored = outline.moved(lambda p: (60 - p[0], p[1]), mirrors=True)
    assert area(outline.polygon) == pytest.approx(area(mirrored.polygon))
    assert area(mirrored.polygon) > 0
    assert [type(s) for s in mirrored.strokes].count(Arc) == 1


def test_a_clockwise_outline_is_turned_round() -> None:
    assert area(anticlockwise(ring((0, 0), (0, 9), (9, 9), (9, 0)).strokes).polygon) == 81
    with pytest.raises(ValueError, match="no area"):
        anticlockwise(ring((0, 0), (9, 9), (4, 4)).strokes)
