"""Outlines of faces and places inside regions, against shapely."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from planpress.geometry.outlines import face_outline, plane_axes, signed_area
from planpress.geometry.pictures import Scene
from planpress.geometry.places import clearances, places_inside, point_inside
from planpress.geometry.regions import Loop, regions
from planpress.geometry.solids import box, hole, prism
from planpress.geometry.views import view_matrix

from .models import UPRIGHT, rack, rotation, shapes_of


def test_the_edge_of_a_notched_slat_has_its_exact_corners() -> None:
    outline = face_outline(rack()[0].mesh(), (0, 0, 162), (0, -1, 0))
    assert len(outline.loops) == 1
    expected = [
        (0, 0), (40, 0), (40, 19), (78, 19), (78, 0), (222, 0), (222, 19), (260, 19), (260, 0), (300, 0), (300, 38),
        (0, 38),
    ]  # fmt: skip
    assert outline.loops[0] == pytest.approx(np.array(expected, dtype=float))
    assert outline.right == pytest.approx(np.array([1.0, 0.0, 0.0]))
    assert outline.up == pytest.approx(np.array([0.0, 0.0, 1.0]))


def test_a_face_in_several_pieces_and_notch_floors_apart_from_the_face() -> None:
    mesh = rack()[0].mesh()
    below = face_outline(mesh, (0, 0, 162), (0, 0, -1), right=(1, 0, 0))
    assert [signed_area(loop) for loop in below.loops] == pytest.approx([144 * 18, 40 * 18, 40 * 18])
    floors = face_outline(mesh, (0, 0, 181), (0, 0, -1), right=(1, 0, 0))
    assert [signed_area(loop) for loop in floors.loops] == pytest.approx([38 * 18, 38 * 18])
    assert face_outline(mesh, (0, 0, 170), (0, 0, -1)).loops == []
    assert face_outline(mesh, (0, 0, 162), (0, 0, 1)).loops == []


def test_holes_run_clockwise() -> None:
    solid = box(60.0, 40.0, 20.0)
    for x in (15.0, 40.0):
        solid = solid.minus(hole([(0, x / 10), (30, x / 10)], (x, 20, 20), (0, 0, -1), segments=12))
    outline = face_outline(solid.mesh(), (0, 0, 20), (0, 0, 1))
    assert [len(loop) for loop in outline.loops] == [4, 12, 12]
    assert len(outline.outer) == 1
    polygon = 12 / 2 * math.sin(math.pi / 6)
    assert [signed_area(loop) for loop in outline.holes] == pytest.approx([-polygon * 16, -polygon * 2.25])
    assert outline.area == pytest.approx(2400 - polygon * 18.25)
    radii = np.hypot(*(outline.holes[0] - [40, 20]).T)
    assert radii == pytest.approx(4)


def test_loops_that_touch_at_a_corner_stay_apart() -> None:
    solid = box(20.0, 20.0, 10.0)
    for x, y in ((0.0, 10.0), (10.0, 0.0)):
        rectangle = [(x, y), (x + 10, y), (x + 10, y + 10), (x, y + 10)]
        rectangle = [(a if 0 < a < 20 else a * 1.1 - 1, b if 0 < b < 20 else b * 1.1 - 1) for a, b in rectangle]
        solid = solid.minus(prism(rectangle, (0, 0, 10), UPRIGHT, 5.0, 1.0))
    outline = face_outline(solid.mesh(), (0, 0, 10), (0, 0, 1))
    assert [signed_area(loop) for loop in outline.loops] == pytest.approx([100, 100])
    assert all(len(loop) == 4 for loop in outline.loops)


def test_corners_on_straight_sides_are_left_out() -> None:
    """Two boxes end to end: the mesh keeps their seam, the outline does not."""
    mesh = box(30.0, 20.0, 10.0).plus(box(25.0, 20.0, 10.0).moved((30, 0, 0))).mesh()
    top = mesh.vertices[mesh.vertices[:, 2] == 10]
    assert len(top) == 6
    outline = face_outline(mesh, (0, 0, 10), (0, 0, 1))
    assert outline.loops[0] == pytest.approx(np.array([[0, 0], [55, 0], [55, 20], [0, 20]], dtype=float))


@pytest.mark.parametrize("seed", range(4))
def test_a_tilted_face_has_its_true_size(seed: int) -> None:
    turn = rotation(seed)
    outline_points = [(0.0, 0.0), (50.0, 0.0), (50.0, 12.0), (30.0, 12.0), (30.0, 25.0), (0.0, 25.0)]
    solid = prism(outline_points, (0, 0, 0), UPRIGHT, 8.0).moved((5, 6, 7), turn)
    outline = face_outline(solid.mesh(), (5, 6, 7), turn[2], right=turn[0])
    assert outline.loops[0] == pytest.approx(np.array(outline_points), abs=1e-9)
    back = outline.origin + outline.loops[0] @ np.stack([outline.right, outline.up])
    away = np.abs(back[:, None] - solid.mesh().vertices[None]).max(axis=2).min(axis=1)
    assert away == pytest.approx(0, abs=1e-9)
    # along a normal as pointed out by `right` from the other side, x runs the other way
    below = face_outline(solid.mesh(), np.array([5, 6, 7]) - 8 * turn[2], -turn[2], right=turn[0])
    assert below.area == pytest.approx(shapely.Polygon(outline_points).area)


def test_axes_of_a_plane() -> None:
    right, up, out = plane_axes(np.array([0.0, 0.0, 2.0]))
    assert np.stack([right, up, out]) == pytest.approx(UPRIGHT)
    right, up, out = plane_axes(np.array([0.0, -3.0, 0.0]))
    assert right == pytest.approx(np.array([1.0, 0.0, 0.0]))
    assert up == pytest.approx(np.array([0.0, 0.0, 1.0]))
    with pytest.raises(ValueError, match="normal"):
        plane_axes(np.zeros(3))
    with pytest.raises(ValueError, match="along its normal"):
        plane_axes(np.array([0.0, 0.0, 1.0]), (0, 0, 5))


def _star(rng: np.random.Generator, spread: float) -> Loop:
    angles = np.sort(rng.uniform(0, 2 * np.pi, 11))
    radii = rng.uniform(1 - spread, 1, 11) * 40
    return [(float(r * np.cos(a)), float(r * np.sin(a))) for a, r in zip(angles, radii, strict=True)]


@pytest.mark.parametrize("seed", range(12))
def test_the_point_inside_is_nearly_as_clear_as_can_be(seed: int) -> None:
    rng = np.random.default_rng(seed)
    loops = [_star(rng, 0.7)]
    polygon = shapely.Polygon(loops[0]).buffer(0)
    if seed % 2:  # with a hole
        middle = polygon.representative_point()
        hole_loop = list(middle.buffer(0.5 * polygon.boundary.distance(middle)).exterior.coords)[:-1]
        loops.append([(x, y) for x, y in hole_loop][::-1])
        polygon = polygon.difference(shapely.Polygon(hole_loop))
    place = point_inside(loops)
    at = shapely.Point(place.x, place.y)
    assert polygon.contains(at)
    assert polygon.boundary.distance(at) == pytest.approx(place.clearance)
    best = shapely.maximum_inscribed_circle(polygon, tolerance=0.01).length
    assert place.clearance >= best * 0.95 - 0.02
    assert point_inside(loops) == place


def test_in_a_long_slat_the_point_is_in_the_middle() -> None:
    place = point_inside([[(0.0, 0.0), (1000.0, 0.0), (1000.0, 18.0), (0.0, 18.0)]])
    assert (place.x, place.y) == pytest.approx((500, 9), abs=0.5)
    assert place.clearance == pytest.approx(9, abs=0.5)
    with pytest.raises(ValueError, match="no region"):
        point_inside([])
    with pytest.raises(ValueError, match="no region"):
        point_inside([[(0.0, 0.0), (5.0, 0.0)]])


def test_places_of_a_grid_are_clear_of_the_border() -> None:
    loops = [_star(np.random.default_rng(3), 0.5)]
    polygon = shapely.Polygon(loops[0])
    places = places_inside(loops, 3.0, 4.0)
    assert len(places) > 20
    for place in places:
        at = shapely.Point(place.x, place.y)
        assert polygon.contains(at)
        assert polygon.boundary.distance(at) == pytest.approx(place.clearance)
        assert place.clearance >= 3
    assert places_inside(loops, 100.0, 4.0) == []
    assert places_inside([], 1.0, 1.0) == []
    points = np.random.default_rng(1).uniform(-50, 50, (300, 2))
    inside = shapely.contains(polygon, shapely.points(points))
    assert np.array_equal(clearances(loops, points) > 0, inside)


def test_every_visible_region_of_a_picture_has_a_point_inside() -> None:
    picture = Scene(shapes_of(rack()), view_matrix()).picture()
    found = regions(picture)
    assert len(found.loops) > 20
    for loops in found.loops.values():
        place = point_inside(loops)
        assert place.clearance > 0
        shape = shapely.Polygon()
        for loop in loops:
            shape = shape.symmetric_difference(shapely.Polygon(loop).buffer(0))
        assert shape.contains(shapely.Point(place.x, place.y))
