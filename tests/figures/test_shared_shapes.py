"""A shape that is moved is the shape that would be made where it is moved to."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from planpress.figures.scenes import FRONT_LEFT, Placed, Scenes
from planpress.figures.shared_shapes import WORLD, Made, standing
from planpress.geometry.pictures import Scene
from planpress.geometry.regions import regions
from planpress.geometry.shapes import Shape
from planpress.geometry.vectors import Frame, floats, turned_about
from planpress.model.solids import Solids
from tests.plans import solved_stand

TURNED = turned_about("z", Fraction(3, 5), Fraction(4, 5))
MIRRORED = Frame(x=(Fraction(-1), Fraction(0), Fraction(0)))


def away(frame: Frame) -> Frame:
    """The frame at another origin."""
    return Frame((Fraction(70), Fraction(-30), Fraction(11)), frame.x, frame.y, frame.z)


@pytest.mark.parametrize("frame", [TURNED, MIRRORED, away(TURNED), away(MIRRORED)])
@pytest.mark.parametrize("letter", ["A", "B", "C"])
def test_a_moved_shape_looks_like_one_made_there(letter: str, frame: Frame) -> None:
    solid = Solids(solved_stand()).part(letter)
    made = Shape(solid.moved(floats(frame.origin), (floats(frame.x), floats(frame.y), floats(frame.z))).mesh())
    moved = standing(Shape(solid.mesh()), WORLD, frame)
    pictures = [Scene([shape], FRONT_LEFT.matrix).picture() for shape in (made, moved)]
    one, other = (np.linalg.norm(p.segments[:, 1] - p.segments[:, 0], axis=1).sum() for p in pictures)
    assert one == pytest.approx(other, abs=1e-6)
    areas = [sorted(abs(r.area(face)) for face in r.loops) for r in map(regions, pictures)]
    assert areas[0] == pytest.approx(areas[1], abs=1e-6)


def test_only_like_pieces_share_a_shape() -> None:
    """A piece that is drilled in place is not like its neighbours."""
    plan = solved_stand()
    solids = Solids(plan)
    slats = [piece for piece in plan.pieces.values() if piece.letter == "A"]
    plain = [piece for piece in slats if not piece.in_place_holes]
    drilled = [piece for piece in slats if piece.in_place_holes]
    first = solids.piece(plain[0].id)
    made = Made(Shape(first.mesh()), first.mesh(), plain[0].frame)
    assert [made.is_like(solids.piece(piece.id).mesh(), piece.frame) for piece in plain] == [True] * len(plain)
    assert [made.is_like(solids.piece(piece.id).mesh(), piece.frame) for piece in drilled] == [False] * len(drilled)
    assert len(plain) > 1
    assert drilled


def test_shapes_of_like_pieces_lie_where_the_pieces_are() -> None:
    plan = solved_stand()
    solids = Solids(plan)
    scenes = Scenes(plan, solids)
    sight = scenes.sight(FRONT_LEFT, [Placed(name) for name in plan.pieces])
    assert sight.regions.bridged == []
    for name in plan.pieces:
        low, high = solids.piece(name).bounds
        points = scenes.shape(name).patches.reshape(-1, 3)
        assert points.min(axis=0) == pytest.approx(low, abs=1e-7)
        assert points.max(axis=0) == pytest.approx(high, abs=1e-7)
