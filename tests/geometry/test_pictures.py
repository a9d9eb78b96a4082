"""Tinted pictures against rays, polygons and hand-made expectations."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from planpress.geometry.collinear import lengths
from planpress.geometry.mesh import Floats, normals_and_areas
from planpress.geometry.pictures import LineKind, Picture, Scene
from planpress.geometry.regions import Regions, chains, loop_area, regions
from planpress.geometry.shapes import Shape
from planpress.geometry.solids import Solid, box, overlap_volume
from planpress.geometry.views import BACK, FRONT, LEFT, RIGHT, TOP, view_from, view_matrix

from .models import odd_cases, rack, random_boxes, rotation, shapes_of
from .oracles import feature_edges, nearest, triangles, visible_by_polygons

CASES = {"rack": rack(), "boxes": random_boxes(10, 3), **odd_cases()}
VIEWS = {"picture": view_matrix(), "front": FRONT, "right": RIGHT, "top": TOP, "low": view_matrix(40, -20)}


def draw(solids: list[Solid], view: Floats) -> tuple[Picture, Regions]:
    picture = Scene(shapes_of(solids), view).picture()
    return picture, regions(picture)


def length_by_kind(picture: Picture) -> list[float]:
    return [float(lengths(picture.segments[picture.kind == kind]).sum()) for kind in LineKind]


def region_polygon(found: Regions, face: int) -> shapely.Geometry:
    """Loops joined even-odd."""
    shape = shapely.Polygon()
    for loop in found.loops[face]:
        shape = shape.symmetric_difference(shapely.Polygon(loop).buffer(0))
    return shape


def wrong_points(solids: list[Solid], view: Floats, count: int, seed: int) -> tuple[int, int]:
    """Points where the nearest triangle and the region disagree, and points asked."""
    picture, found = draw(solids, view)
    seen = triangles(solids, view)
    low, high = picture.bounds()
    points = np.random.default_rng(seed).uniform(low - 2, high + 2, (count, 2))
    triangle, clear = nearest(seen, points)
    at = shapely.points(points)
    told = np.full(count, -1)
    border = np.zeros(count, dtype=bool)
    for face in found.loops:
        polygon = region_polygon(found, face)
        told[shapely.contains(polygon, at)] = face
        border |= shapely.distance(polygon.boundary, at) < 1e-3
    ask = clear & ~border
    piece = np.where(triangle >= 0, seen.piece[triangle], -1)
    label = np.where(triangle >= 0, seen.label[triangle], -1)
    told_piece = np.where(told >= 0, picture.face_piece[told], -1)
    told_label = np.where(told >= 0, picture.face_label[told], -1)
    return int(((piece != told_piece) | (label != told_label))[ask].sum()), int(ask.sum())


def test_the_pieces_of_the_cases_do_not_overlap() -> None:
    for solids in CASES.values():
        for number, solid in enumerate(solids):
            assert all(overlap_volume(solid, other) < 1e-9 for other in solids[:number])


@pytest.mark.parametrize("name", CASES)
def test_regions_show_the_nearest_face(name: str) -> None:
    for number, view in enumerate(VIEWS.values()):
        wrong, asked = wrong_points(CASES[name], view, 400, number)
        assert asked > 300
        assert wrong == 0


@pytest.mark.parametrize("name", CASES)
def test_all_loops_close_in_25_directions(name: str) -> None:
    rng = np.random.default_rng(11)
    shapes = shapes_of(CASES[name])
    for _ in range(25):
        x, y, z = rng.normal(size=3).tolist()
        picture = Scene(shapes, view_from((x, y, z))).picture()
        assert len(picture.segments) > 0
        assert regions(picture).bridged == []


@pytest.mark.parametrize("view", VIEWS)
def test_regions_cover_what_the_pieces_cover(view: str) -> None:
    for solids in CASES.values():
        found = draw(solids, VIEWS[view])[1]
        seen = triangles(solids, VIEWS[view])
        shadow = shapely.union_all(shapely.polygons(seen.corners[:, :, :2]), grid_size=1e-6)
        assert sum(found.area(face) for face in found.loops) == pytest.approx(shadow.area, abs=0.05)


@pytest.mark.parametrize("name", CASES)
def test_rays_agree_with_the_lines_drawn(name: str) -> None:
    """No point of a feature edge is seen but not drawn; none is drawn but hidden."""
    rng = np.random.default_rng(5)
    for view in (view_matrix(), view_matrix(-60, 35), view_matrix(130, -15)):
        picture = draw(CASES[name], view)[0]
        drawn = shapely.multilinestrings(picture.segments) if len(picture.segments) else None
        seen = triangles(CASES[name], view)
        edges = np.concatenate([feature_edges(solid, view) for solid in CASES[name]])
        share = rng.uniform(0.02, 0.98, (len(edges), 3, 1))
        points = (edges[:, None, 0] + (edges[:, 1] - edges[:, 0])[:, None] * share).reshape(-1, 3)
        holds, depth = seen.heights(points[:, :2], -0.01)
        visible = ~(holds & (depth > points[:, None, 2] + 1e-3)).any(axis=1)
        holds, depth = seen.heights(points[:, :2], 0.01)
        hidden = (holds & (depth > points[:, None, 2] + 0.01)).any(axis=1)
        away = shapely.distance(drawn, shapely.points(points[:, :2]))
        assert visible.any()
        assert (away[visible] < 1e-3).all()
        # a hidden edge may lie under a drawn line by chance; a line drawn of that very edge would run along it
        beside = np.repeat(edges[:, 1] - edges[:, 0], 3, axis=0)[:, :2]
        step = beside / np.maximum(np.hypot(*beside.T), 1e-9)[:, None] * 0.05
        along = shapely.distance(drawn, shapely.points(points[:, :2] + step))
        long_enough = np.hypot(*beside.T) > 0.5
        assert not ((away < 1e-6) & (along < 1e-6) & hidden & long_enough).any()


def test_visible_length_equals_that_of_whole_polygons() -> None:
    solids = [*rack(3)[:5], *random_boxes(5, 8)[1:]]
    solids = [s for k, s in enumerate(solids) if all(overlap_volume(s, o) == 0 for o in solids[:k])]
    assert len(solids) > 5
    for view in (view_matrix(), view_matrix(-67, 31)):
        picture = draw(solids, view)[0]
        expected = visible_by_polygons(solids, view)
        assert float(lengths(picture.segments).sum()) == pytest.approx(expected.length, abs=0.1)
        # and not only the sum
        assert shapely.MultiLineString(list(picture.segments)).hausdorff_distance(expected) < 0.01


@pytest.mark.parametrize("seed", range(4))
def test_turning_model_and_view_together_changes_nothing(seed: int) -> None:
    turn, shift = rotation(seed), np.array([310.0, -95.0, 1200.0])
    view = view_matrix(-122 + 20 * seed, 25)
    solids = CASES["rack"]
    before, before_regions = draw(solids, view)
    turned = [solid.moved(shift, turn) for solid in solids]
    after, after_regions = draw(turned, view @ turn)
    assert length_by_kind(after) == pytest.approx(length_by_kind(before), abs=0.02)
    areas = [sorted(r.area(f) for f in r.loops) for r in (before_regions, after_regions)]
    areas = [[a for a in one if a > 0.05] for one in areas]
    assert areas[1] == pytest.approx(areas[0], abs=0.05)


def test_two_boxes_side_by_side_from_the_front() -> None:
    """By hand: two 40 x 30 faces in one plane, seen square on."""
    picture, found = draw([box(40.0, 20.0, 30.0), box(40.0, 20.0, 30.0).moved((40, 0, 0))], FRONT)
    assert length_by_kind(picture) == pytest.approx([0.0, 30.0, 2 * 80 + 2 * 30])
    assert [found.area(face) for face in found.loops] == pytest.approx([1200.0, 1200.0])
    outline = picture.segments[picture.kind == LineKind.OUTLINE]
    assert outline.reshape(-1, 2) == pytest.approx(np.array([[40.0, 0.0], [40.0, 30.0]]))
    left, right = picture.faces[picture.kind == LineKind.OUTLINE][0]
    assert (picture.face_piece[left], picture.face_piece[right]) == (0, 1)


def test_a_box_in_a_picture_shows_three_faces_with_their_normals() -> None:
    picture, found = draw([box(40.0, 20.0, 30.0)], view_matrix())
    normals = {tuple(np.round(picture.face_normal[face], 9).tolist()) for face in found.loops}
    assert normals == {(-1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0)}
    assert picture.face_is_flat[list(found.loops)].all()
    toward = view_matrix()[2]
    areas = {face: found.area(face) for face in found.loops}
    full = {(-1, 0, 0): 20.0 * 30, (0, -1, 0): 40.0 * 30, (0, 0, 1): 40.0 * 20}
    for face, area in areas.items():
        x, y, z = np.round(picture.face_normal[face]).astype(int).tolist()
        assert area == pytest.approx(full[x, y, z] * float(np.array([x, y, z]) @ toward))
    assert len(chains(picture.segments, picture.kind)) == 4  # three edges that meet, one silhouette all round
    assert picture.faces_of(0).tolist() == sorted(found.loops)


def test_a_smooth_wall_is_one_curved_face_without_facet_lines() -> None:
    tube = odd_cases()["dowel in a tube"][:1]
    picture, found = draw(tube, view_matrix(-90, 30))
    curved = [face for face in found.loops if not picture.face_is_flat[face]]
    assert len(curved) == 2  # outside and inside
    between = picture.kind == LineKind.EDGE
    same_label = picture.face_label[picture.faces[between, 0]] == picture.face_label[picture.faces[between, 1]]
    assert not same_label.any()


def test_hidden_pieces_leave_no_trace_and_cached_pictures_equal_fresh_ones() -> None:
    solids = CASES["rack"]
    shapes = shapes_of(solids)
    view = view_matrix()
    scene = Scene(shapes, view)
    for show in ([0, 1, 4], [4, 5], list(range(3, len(solids)))):
        cached = scene.picture(show)
        fresh = Scene([shapes[k] for k in show], view).picture()
        assert cached.segments == pytest.approx(fresh.segments, abs=1e-9)
        assert np.array_equal(cached.kind, fresh.kind)
        assert np.array_equal(np.array(show)[fresh.owner], cached.owner)
        both = regions(cached), regions(fresh)
        assert both[0].bridged == []
        for one, other in zip(both[0].loops.values(), both[1].loops.values(), strict=True):
            assert len(one) == len(other)
            assert [loop_area(loop) for loop in one] == pytest.approx([loop_area(loop) for loop in other])
    first, second = scene.picture(), scene.picture()
    assert np.array_equal(first.segments, second.segments)


def test_a_moved_copy_equals_a_moved_solid() -> None:
    solids = CASES["stick in a notch"]
    lift = np.array([[0.0, 0.0, 0.0], [5.0, 0.0, 45.0]])
    shapes = shapes_of(solids)
    by_offset = Scene(shapes, view_matrix(), lift).picture()
    by_move = Scene(shapes_of([solids[0], solids[1].moved(lift[1])]), view_matrix()).picture()
    assert by_offset.segments == pytest.approx(by_move.segments, abs=1e-9)
    assert np.array_equal(by_offset.kind, by_move.kind)
    # one scene with both places of the stick, of which never two are shown
    together = np.array([[True, True, True], [True, True, False], [True, False, True]])
    both = Scene([*shapes, shapes[1]], view_matrix(), [*lift.tolist(), [0.0, 0.0, 0.0]], together)
    assert both.picture([0, 1]).segments == pytest.approx(by_offset.segments, abs=1e-9)
    closed = Scene(shapes, view_matrix()).picture()
    assert both.picture([0, 2]).segments == pytest.approx(closed.segments, abs=1e-9)


def test_overlapping_pieces_are_told_by_bridged_gaps() -> None:
    """The self-check can fail: pieces that run into each other lose the line where they meet."""
    bad = [box(60.0, 60.0, 20.0), box(20.0, 20.0, 60.0).moved((20.3, 20.2, 5.1), rotation(2))]
    found = [regions(Scene(shapes_of(bad), view_matrix(a, 30)).picture()) for a in range(0, 360, 45)]
    assert any(one.bridged for one in found)


def test_an_empty_scene_and_an_empty_picture() -> None:
    picture = Scene([], FRONT).picture()
    assert len(picture.segments) == 0
    assert regions(picture).loops == {}
    assert chains(picture.segments, picture.kind) == []
    nothing = Scene(shapes_of([box(1, 1, 1)]), BACK).picture([])
    assert len(nothing.segments) == 0
    with pytest.raises(ValueError, match="no bounds"):
        nothing.bounds()


def test_far_from_the_origin_the_picture_is_the_same() -> None:
    near = draw(CASES["boxes"], LEFT)[0]
    far = draw([solid.moved((1e6, -1e6, 1e6)) for solid in CASES["boxes"]], LEFT)[0]
    shift = LEFT @ np.array([1e6, -1e6, 1e6])
    assert far.segments - shift[:2] == pytest.approx(near.segments, abs=1e-6)


@pytest.mark.parametrize("name", CASES)
def test_patches_are_flat_convex_and_make_up_the_surface(name: str) -> None:
    for solid in CASES[name]:
        shape = Shape(solid.mesh())
        corners = shape.patches
        whole = normals_and_areas(solid.mesh().corners())[1].sum()
        halves = [normals_and_areas(corners[:, [0, 1, 2]])[1], normals_and_areas(corners[:, [0, 2, 3]])[1]]
        assert float(sum(half.sum() for half in halves)) == pytest.approx(float(whole))
        height = np.einsum("qkx,qx->qk", corners - corners[:, :1], shape.patch_normal)
        assert np.abs(height).max() < 1e-7
        side = np.roll(corners, -1, axis=1) - corners
        turn = np.einsum("qkx,qx->qk", np.cross(side, np.roll(side, -1, axis=1)), shape.patch_normal)
        assert turn.min() > -1e-6
        # fewer patches than triangles, and each face at least one
        assert len(corners) < len(solid.mesh().triangles)
        assert np.unique(shape.patch_face).tolist() == list(range(shape.face_count))


def test_a_mesh_that_is_not_closed_is_refused() -> None:
    mesh = box(1, 2, 3).mesh()
    opened = type(mesh)(mesh.vertices, mesh.triangles[1:], mesh.labels[1:])
    with pytest.raises(ValueError, match="not closed"):
        Shape(opened)
