"""The sides of drawn parts against the solids: the outline drawn is the shadow of the wood."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from shapely.geometry import Polygon  # an independent geometry library
from shapely.ops import unary_union

from planpress.base.printing import Units
from planpress.figures.part_bodies import PartBodies
from planpress.figures.part_sides import position, side_view
from planpress.model.records import Side
from tests.plans import solved_stand, stand_solids

# Rows right and up of each view, in part coordinates; see part_sides.
AXES = {
    Side.FACE: np.array([[1, 0, 0], [0, 1, 0]]),
    Side.LOWER: np.array([[1, 0, 0], [0, 0, 1]]),
    Side.UPPER: np.array([[1, 0, 0], [0, 0, -1]]),
}


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("side", list(AXES))
@pytest.mark.parametrize("letter", list("ABCDEF"))
def test_outline_is_the_shadow_of_the_solid(units: Units, side: Side, letter: str) -> None:
    plan = solved_stand(units)
    part = plan.part(letter)
    corners = stand_solids(units).part(letter).mesh().corners() @ AXES[side].T
    if side is Side.UPPER:
        corners = corners + np.array([0.0, float(part.thickness)])
    triangles = [Polygon(t) for t in corners]
    shadow = unary_union([t.buffer(1e-4) for t in triangles if t.area > 1e-6])
    shadow = Polygon(shadow.exterior)  # one sees through holes drilled through
    drawn = Polygon(side_view(PartBodies(part), side).outline)
    assert drawn.is_valid
    assert drawn.symmetric_difference(shadow).area < 1.0  # mm2 of some 10,000; the buffer's rim
    assert drawn.exterior.is_ccw


@pytest.mark.parametrize("letter", ["C", "D"])
def test_skewed_notches_are_measured_on_the_reference_edge(letter: str) -> None:
    part = solved_stand().part(letter)
    line = part.width if part.reference_edge is Side.UPPER else Fraction(0)
    for notch in part.notches:
        on_edge = [u for u, v in notch.outline if v == line]
        assert position(notch, part) == min(on_edge)


def test_near_side_of_a_straight_notch() -> None:
    part = solved_stand().part("A")
    assert [position(n, part) / Fraction("25.4") for n in part.notches] == [6, Fraction(157, 8), Fraction(133, 4)]
