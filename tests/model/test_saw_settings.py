"""Saw settings of solved parts, checked by sawing: a blade set to them leaves the end as it is."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planpress.model.records import EndCut, Side, SolvedPlan
from planpress.model.saw_settings import SawSetting, best_setting, drill_setting, saw_setting
from planpress.model.solids import Solids
from tests.plans import small_plan

PROPERTY = settings(deadline=None, derandomize=True, max_examples=25)


def stool(front: int, side: int) -> SolvedPlan:
    """A leg between floor and seat, leaning two ways."""
    return small_plan(f"""
planes: {{floor: z = 0 mm, underside: z = 230 mm}}
materials:
  slab: {{form: sheet, species: white oak, thickness: 30 mm}}
  square: {{form: board, species: white oak, thickness: 30 mm, width: 36 mm}}
parts:
  seat:
    material: slab
    length: 400 mm
    width: 240 mm
    place: {{corner: [-200 mm, -120 mm, 230 mm], length: +x, width: +y}}
  leg:
    material: square
    place: {{to: [0 mm, 0 mm, 230 mm], lean: {{x: {front} deg, y: {side} deg}}, rise: 230 mm, width: +x}}
    trim: {{start: floor, end: underside}}
""")


def sawn(setting: SawSetting, end: EndCut) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """The outward normal (u, v, w) that a setting leaves: the swung, tilted blade leans away from the longer sides."""
    swing, tilt = math.radians(float(setting.gauge)), math.radians(float(setting.tilt))
    normal = np.zeros(3)
    up, across = setting.down.axis, 3 - setting.down.axis
    normal[0] = math.cos(swing) * math.cos(tilt) * (1 if end.side is Side.FAR_END else -1)
    for axis, side, size in (
        (across, setting.longer, math.sin(swing) * math.cos(tilt)),
        (up, setting.overhangs, math.sin(tilt)),
    ):
        normal[axis] = 0.0 if side is None else size * (-1 if side.is_far else 1)
    return normal


@PROPERTY
@given(st.integers(-35, 35), st.integers(-35, 35))
def test_the_setting_leaves_the_end_as_it_is(front: int, side: int) -> None:
    plan = stool(front, side)
    part = plan.part_of("leg")
    for end in part.ends:
        for down in (Side.BACK, Side.FACE, Side.LOWER, Side.UPPER):
            setting = saw_setting(end, down)
            assert sawn(setting, end) == pytest.approx([float(c) for c in end.normal], abs=1e-9)
        flat = saw_setting(end)
        assert flat.gauge == pytest.approx(abs(end.mitre), abs=1e-8)
        tilted = math.atan(math.tan(math.radians(float(end.bevel))) * math.cos(math.radians(float(end.mitre))))
        assert float(flat.tilt) == pytest.approx(abs(math.degrees(tilted)), abs=1e-7)


def test_the_longer_sides_are_the_longer_ones() -> None:
    """Read from the solid: the corners of the far end that reach furthest."""
    plan = stool(12, -8)
    part = plan.part_of("leg")
    vertices = Solids(plan).part(part.letter).mesh().vertices
    far = vertices[vertices[:, 0] > float(part.length) / 2]
    tip = far[np.argmax(far[:, 0])]
    setting = saw_setting(part.ends[1])
    assert setting.longer is (Side.UPPER if tip[1] > 1 else Side.LOWER)
    assert setting.overhangs is (Side.FACE if tip[2] > 1 else Side.BACK)


def test_a_square_end_needs_no_setting() -> None:
    setting = best_setting(stool(5, 5).part_of("seat").ends[0])
    assert setting == SawSetting(Fraction(0), Fraction(0), Side.BACK, None, None)


def test_a_cut_too_steep_for_the_blade_is_made_on_edge() -> None:
    square = stool(5, 5).part_of("seat").ends[1]
    lean = math.radians(50)
    steep = EndCut(
        Side.FAR_END,
        square.point,
        (Fraction(math.cos(lean)), Fraction(0), Fraction(math.sin(lean))),
        Fraction(0),
        Fraction(-50),
        "",
    )
    setting = best_setting(steep)
    assert (setting.down, float(setting.gauge), float(setting.tilt)) == (Side.LOWER, pytest.approx(50), 0)


def test_the_end_of_a_part_is_no_side_to_lay_it_on() -> None:
    with pytest.raises(ValueError, match="end"):
        saw_setting(stool(5, 5).part_of("leg").ends[0], Side.FAR_END)


@PROPERTY
@given(st.integers(-35, 35), st.integers(-35, 35))
def test_the_drill_leans_as_the_leg_does(front: int, side: int) -> None:
    """tan^2 of the resultant is the sum of those of both leans; the drill along the sight line runs down the leg."""
    plan = stool(front, side)
    leg, seat = plan.pieces["leg"].frame, plan.pieces["seat"].frame
    setting = drill_setting(leg, seat)
    squares = sum(math.tan(math.radians(a)) ** 2 for a in (front, side))
    assert math.tan(math.radians(float(setting.lean))) ** 2 == pytest.approx(squares, abs=1e-9)
    lean, sight = (math.radians(float(a)) for a in (setting.lean, setting.sight))
    along = np.array([math.sin(lean) * math.cos(sight), math.sin(lean) * math.sin(sight), math.cos(lean)])
    axes = np.array([[float(c) for c in a] for a in (seat.x, seat.y, seat.z)])
    assert along @ axes == pytest.approx([float(c) for c in leg.x], abs=1e-9)
