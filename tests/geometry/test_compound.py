"""Saw settings and resultant angles against vectors in numpy, and against settings that are printed on saws."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest

from planpress.geometry.compound import leaning, resultant, saw_angles, splayed_corner, tilt_of
from planpress.geometry.vectors import Vec

CASES = 2000


def exact(values: list[float]) -> list[Fraction]:
    return [Fraction(round(value * 10**6), 10**6) for value in values]


def vec(values: np.ndarray[tuple[int], np.dtype[np.float64]]) -> Vec:
    a, b, c = (Fraction(round(float(value) * 10**15), 10**15) for value in values)
    return a, b, c


def swung_and_tilted(gauge: float, tilt: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """The normal of the plane that a saw cuts in a stick on its table (x along the stick, z up): a square blade, tilted
    about its line on the table, then swung with the gauge about the upright axis."""
    t, g = math.radians(tilt), math.radians(gauge)
    tilting = np.array([[math.cos(t), 0, math.sin(t)], [0, 1, 0], [-math.sin(t), 0, math.cos(t)]])
    swinging = np.array([[math.cos(g), -math.sin(g), 0], [math.sin(g), math.cos(g), 0], [0, 0, 1]])
    normal: np.ndarray[tuple[int], np.dtype[np.float64]] = swinging @ tilting @ np.array([1.0, 0.0, 0.0])
    return normal


def test_a_saw_set_to_the_angles_cuts_the_plane() -> None:
    """The saw is turned as rotations; reading its plane back gives the setting, on the face and on the edge."""
    rng = np.random.default_rng(7)
    for gauge, tilt in rng.uniform(-60, 60, (CASES, 2)).tolist():
        normal = swung_and_tilted(gauge, tilt)
        found = saw_angles(vec(normal), 2)
        assert [float(a) for a in found] == pytest.approx([abs(gauge), abs(tilt)], abs=1e-9)
        on_edge = saw_angles(vec(normal[[0, 2, 1]]), 1)
        assert on_edge == found


def test_tilt_follows_from_mitre_and_bevel() -> None:
    """tan(tilt) = tan(bevel) cos(mitre), for the angles that the plane shows on the face and on the edge."""
    rng = np.random.default_rng(8)
    for gauge, tilt in rng.uniform(-60, 60, (CASES, 2)).tolist():
        normal = swung_and_tilted(gauge, tilt)
        mitre, bevel = exact([math.degrees(math.atan(normal[k] / normal[0])) for k in (1, 2)])
        assert float(abs(tilt_of(mitre, bevel))) == pytest.approx(abs(tilt), abs=1e-5)
        assert float(mitre) == pytest.approx(gauge, abs=1e-5)


def test_resultant_and_sight_line_of_a_splayed_leg() -> None:
    """A direction whose two side views lean by the given angles, measured with numpy."""
    rng = np.random.default_rng(9)
    for front, side in rng.uniform(-40, 40, (CASES, 2)).tolist():
        axis = np.array([math.tan(math.radians(front)), math.tan(math.radians(side)), 1.0])
        lean, sight = resultant(*exact([front, side]))
        assert float(lean) == pytest.approx(math.degrees(math.acos(axis[2] / np.linalg.norm(axis))), abs=1e-5)
        assert math.cos(math.radians(float(sight)) - math.atan2(axis[1], axis[0])) == pytest.approx(1, abs=1e-9)
        again = leaning(vec(axis))
        assert [float(a) for a in again] == pytest.approx([float(lean), float(sight)], abs=1e-4)


def test_an_upright_leg_has_no_sight_line() -> None:
    assert resultant(Fraction(0), Fraction(0)) == (0, 0)
    assert leaning((Fraction(0), Fraction(0), Fraction(2))) == (0, 0)
    assert resultant(Fraction(45), Fraction(0)) == (45, 0)
    assert resultant(Fraction(0), Fraction(-10))[1] == -90


@pytest.mark.parametrize(
    ("splay", "swing", "tilt"),
    [
        (38, 31.62, 33.86),  # crown moulding that springs 38 degrees from the wall, square corner
        (45, 35.26, 30.00),  # the same at 45 degrees
        (52, 38.24, 25.80),
        (0, 0.0, 45.0),
    ],
)
def test_corner_settings_are_those_marked_on_mitre_saws(splay: int, swing: float, tilt: float) -> None:
    """The two detents that mitre saws have for crown moulding laid flat, from memory; the last two by hand."""
    found = splayed_corner(Fraction(splay), Fraction(45))
    assert [float(a) for a in found] == pytest.approx([swing, tilt], abs=0.01)


def test_a_hopper_of_any_splay_closes() -> None:
    """Two neighbouring sides in space: each cut in the plane that halves their corner, read in the side's own axes."""
    rng = np.random.default_rng(10)
    for splay, half in zip(rng.uniform(0, 70, CASES).tolist(), rng.uniform(20, 80, CASES).tolist(), strict=True):
        s, p = math.radians(splay), math.radians(half)
        axes = np.array([[1, 0, 0], [0, math.sin(s), math.cos(s)], [0, math.cos(s), -math.sin(s)]])
        upright_plane = np.array([math.sin(p), math.cos(p), 0.0])
        found = splayed_corner(*exact([splay, half]))
        assert [float(a) for a in found] == pytest.approx(
            [float(a) for a in saw_angles(vec(axes @ upright_plane), 2)], abs=1e-4
        )
