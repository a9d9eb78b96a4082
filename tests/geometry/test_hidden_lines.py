"""Visible and hidden lines of views, against hand counts and rays."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from planpress.geometry.collinear import lengths
from planpress.geometry.hidden_lines import ViewLines, scene_lines, view_lines
from planpress.geometry.mesh import Floats
from planpress.geometry.pictures import Scene
from planpress.geometry.solids import Solid, box, hole, prism
from planpress.geometry.views import BACK, BOTTOM, FRONT, LEFT, RIGHT, TOP, view_from, view_matrix

from .models import UPRIGHT, odd_cases, rack, random_boxes, rotation, shapes_of
from .oracles import feature_edges


def total(segments: Floats) -> float:
    return float(lengths(segments).sum())


def lines_of(solids: list[Solid], view: Floats) -> ViewLines:
    return view_lines(shapes_of(solids), view)


def test_a_box_has_no_hidden_lines_in_the_six_views() -> None:
    for view, around in ((FRONT, 140), (BACK, 140), (LEFT, 100), (RIGHT, 100), (TOP, 120), (BOTTOM, 120)):
        lines = lines_of([box(40.0, 20.0, 30.0)], view)
        assert total(lines.visible) == pytest.approx(around)
        assert len(lines.hidden) == 0


def test_a_box_seen_askew_hides_three_edges() -> None:
    view = view_matrix()
    lines = lines_of([box(40.0, 20.0, 30.0)], view)
    x, y, z = (40 * view[:2, 0], 20 * view[:2, 1], 30 * view[:2, 2])
    one_each = sum(float(np.hypot(*v)) for v in (x, y, z))
    assert len(lines.hidden) == 3
    assert total(lines.hidden) == pytest.approx(one_each, abs=0.02)
    assert total(lines.visible) == pytest.approx(3 * one_each)
    # all three meet in the far corner
    far = view[:2] @ np.array([40.0, 20.0, 0.0])
    assert (np.abs(lines.hidden - far).max(axis=2).min(axis=1) < 0.01).all()


def test_a_notch_and_a_blind_hole_are_hidden_from_the_front() -> None:
    """By hand: housing 10 wide, 6 deep across the back face; hole r 3, 12 deep from above."""
    housing = prism([(20, -1), (30, -1), (30, 41), (20, 41)], (0, 20, 0), [(1, 0, 0), (0, 0, 1), (0, 1, 0)], 6.0, 1.0)
    solid = box(60.0, 20.0, 40.0).minus(housing)
    solid = solid.minus(hole([(0, 3.0), (12, 3.0)], (50, 10, 40), (0, 0, -1)))
    front = lines_of([solid], FRONT)
    assert total(front.visible) == pytest.approx(200)
    assert total(front.hidden) == pytest.approx(2 * 40 + 2 * 12 + 6, abs=0.05)
    upright = np.abs(front.hidden[:, 0, 0] - front.hidden[:, 1, 0]) < 1e-6
    assert sorted(np.round(front.hidden[upright, 0, 0], 3).tolist()) == [20.0, 30.0, 47.0, 53.0]
    back = lines_of([solid], BACK)
    assert total(back.visible) == pytest.approx(200 + 80)
    top = lines_of([solid], TOP)
    assert len(top.hidden) == 0


def test_a_piece_behind_another_is_hidden_as_a_whole_and_owned() -> None:
    lines = lines_of([box(60.0, 10.0, 40.0), box(20.0, 10.0, 20.0).moved((20, 10, 10))], FRONT)
    assert total(lines.hidden) == pytest.approx(80, abs=0.05)
    assert set(lines.hidden_owner.tolist()) == {1}
    assert set(lines.picture.owner.tolist()) == {0}
    # two pieces with hidden edges on one line: drawn once, for the first
    twins = [box(60.0, 10.0, 40.0), *(box(20.0, 10.0, 20.0).moved((20, 10 + 15 * k, 10)) for k in range(2))]
    lines = lines_of(twins, FRONT)
    assert total(lines.hidden) == pytest.approx(80, abs=0.05)
    assert set(lines.hidden_owner.tolist()) == {1}


def test_only_the_pieces_shown_count() -> None:
    solids = rack(3)
    scene = Scene(shapes_of(solids), FRONT, with_backs=True)
    shown = scene_lines(scene, [0, 3])
    alone = lines_of([solids[0], solids[3]], FRONT)
    assert total(shown.visible) == pytest.approx(total(alone.visible), abs=1e-6)
    assert total(shown.hidden) == pytest.approx(total(alone.hidden), abs=1e-6)
    assert set(shown.hidden_owner.tolist()) <= {0, 3}
    assert len(view_lines(shapes_of(solids), FRONT, hidden=False).hidden) == 0


MODELS = {"rack": rack(), "boxes": random_boxes(8, 21), **odd_cases()}


@pytest.mark.parametrize("name", MODELS)
def test_visible_and_hidden_lines_are_all_the_edges(name: str) -> None:
    """Every point of every edge lies on a visible or a hidden line; no hidden line lies on a visible one."""
    rng = np.random.default_rng(4)
    for view in (FRONT, RIGHT, TOP, view_matrix(), view_from((0.4, 1.0, -0.3))):
        lines = lines_of(MODELS[name], view)
        drawn = shapely.multilinestrings(np.concatenate([lines.visible, lines.hidden]))
        edges = np.concatenate([feature_edges(solid, view)[:, :, :2] for solid in MODELS[name]])
        edges = edges[lengths(edges) > 0.1]
        points = edges[:, 0] + (edges[:, 1] - edges[:, 0]) * rng.uniform(size=(len(edges), 1))
        assert (shapely.distance(drawn, shapely.points(points)) < 0.03).all()
        if len(lines.hidden):
            middles = lines.hidden.mean(axis=1)
            run = lines.hidden[:, 1] - lines.hidden[:, 0]
            visible = shapely.multilinestrings(lines.visible)
            on = np.ones(len(middles), dtype=bool)
            for share in (-0.2, 0.0, 0.2):
                on &= shapely.distance(visible, shapely.points(middles + share * run)) < 1e-6
            assert not on.any()
            united = shapely.union_all(shapely.linestrings(lines.hidden), grid_size=1e-4)
            assert united.length == pytest.approx(total(lines.hidden), abs=0.05)


@pytest.mark.parametrize("seed", range(3))
def test_turning_model_and_view_together_changes_nothing(seed: int) -> None:
    turn = rotation(seed + 40)
    solids = rack(3)
    view = view_matrix(-122 + 31 * seed, 20)
    one = lines_of(solids, view)
    other = lines_of([solid.moved((10, 20, 30), turn) for solid in solids], view @ turn)
    assert total(other.visible) == pytest.approx(total(one.visible), abs=0.05)
    assert total(other.hidden) == pytest.approx(total(one.hidden), abs=1.0)


def test_a_round_hole_seen_from_the_side_shows_its_outermost_lines() -> None:
    solid = box(40.0, 20.0, 30.0).minus(hole([(0, 5.0), (40, 5.0)], (20, 10, 30), (0, 0, -1), segments=16))
    lines = lines_of([solid], FRONT)
    upright = lines.hidden[np.abs(lines.hidden[:, 0, 0] - lines.hidden[:, 1, 0]) < 1e-6]
    assert sorted(np.round(upright[:, 0, 0], 6).tolist()) == [15.0, 25.0]
    assert total(lines.hidden) == pytest.approx(60, abs=0.05)


def test_upright_axes_of_the_views() -> None:
    for view in (FRONT, BACK, LEFT, RIGHT, TOP, BOTTOM, view_matrix(12, 34), view_from((1, 2, 3))):
        assert view @ view.T == pytest.approx(UPRIGHT)
        assert np.linalg.det(view) == pytest.approx(1)
    assert view_matrix(-90, 0) == pytest.approx(FRONT)
    assert view_matrix(0, 0) == pytest.approx(RIGHT)
    assert view_matrix(180, 0) == pytest.approx(LEFT)
    assert view_matrix(-90, 90) == pytest.approx(TOP)
    assert view_from((0, -1, 0)) == pytest.approx(FRONT)
    assert view_from((0, 1, 0)) == pytest.approx(BACK)
    for toward in ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0)):
        assert view_from(toward, up=toward)[2] == pytest.approx(np.array(toward))
    with pytest.raises(ValueError, match="needs a length"):
        view_from((0, 0, 0))
    toward = view_matrix()[2]
    assert toward[0] < 0  # viewer to the left,
    assert toward[1] < 0  # in front
    assert toward[2] > 0  # and above
    # 32 degrees from the front
    assert np.degrees(np.arctan2(toward[0], -toward[1])) == pytest.approx(-32)
