"""Solids: sizes, cuts, face names and touching, against formulas and shapely."""

from __future__ import annotations

import math
import subprocess
import sys
from importlib.metadata import version

import numpy as np
import pytest
import shapely

from planpress.geometry.mesh import Mesh, half_edge_pairs, normals_and_areas
from planpress.geometry.outlines import face_outline
from planpress.geometry.solids import (
    BOX_FACES,
    Solid,
    box,
    contact_area,
    from_mesh,
    hole,
    overlap_volume,
    overlap_with_any,
    prism,
    rod,
)

from .models import UPRIGHT, odd_cases, rack, rotation

SQUARE = [(10.0, -1.0), (20.0, -1.0), (20.0, 31.0), (10.0, 31.0)]


def volume_of(mesh: Mesh) -> float:
    """By the divergence theorem; positive only if the triangles look outward."""
    a, b, c = mesh.corners().transpose(1, 0, 2)
    return float((np.cross(a, b) * c).sum() / 6)


def area_by_name(solid: Solid) -> dict[str, float]:
    mesh = solid.mesh()
    areas = normals_and_areas(mesh.corners())[1]
    out: dict[str, float] = {}
    for label, area in zip(mesh.labels.tolist(), areas.tolist(), strict=True):
        out[mesh.names[label]] = out.get(mesh.names[label], 0.0) + area
    return out


def circle_area(radius: float, segments: int) -> float:
    """Area of a regular polygon with its corners on the circle."""
    return segments / 2 * radius**2 * math.sin(2 * math.pi / segments)


def test_a_box_has_six_named_faces_at_their_places() -> None:
    solid = box(100.0, 30.0, 20.0)
    assert solid.volume == pytest.approx(60000)
    assert area_by_name(solid) == pytest.approx(
        {"start": 600, "end": 600, "near edge": 2000, "far edge": 2000, "bottom": 3000, "top": 3000}
    )
    mesh = solid.mesh()
    normals = normals_and_areas(mesh.corners())[0]
    for label, name in enumerate(BOX_FACES):
        axis, side = divmod(label, 2)
        chosen = mesh.labels == label
        assert normals[chosen][:, axis] == pytest.approx(2 * side - 1), name
        assert mesh.corners()[chosen][:, :, axis] == pytest.approx(side * (100.0, 30.0, 20.0)[axis]), name
    assert np.array_equal(solid.bounds[1], [100, 30, 20])


@pytest.mark.parametrize("sizes", [(0.0, 1.0, 1.0), (1.0, -2.0, 1.0)])
def test_a_box_without_size_is_refused(sizes: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="positive sizes"):
        box(*sizes)


def test_labels_survive_cutting() -> None:
    """Pins what the kernel does with face numbers: they changed between its versions."""
    assert version("manifold3d").split(".")[0] == "3"
    notch = prism(SQUARE, (0, 0, 20), UPRIGHT, 10.0, 1.0)
    solid = box(100.0, 30.0, 20.0).minus(notch).minus(hole([(0, 2.0), (30, 2.0)], (60, 15, 20), (0, 0, -1)))
    solid = solid.trimmed((90, 0, 0), (1, 0, 0), "sawn")
    polygon = circle_area(2, 24)
    assert area_by_name(solid) == pytest.approx(
        {
            "start": 30 * 20,
            "sawn": 30 * 20,
            "near edge": 90 * 20 - 100,
            "far edge": 90 * 20 - 100,
            "bottom": 90 * 30 - polygon,
            "top": 80 * 30 - polygon,
            "notch floor": 10 * 30,
            "notch wall 2": 10 * 30,
            "notch wall 4": 10 * 30,
            "hole 2": 20 * 24 * 2 * 2 * math.sin(math.pi / 24),
        }
    )
    mesh = solid.mesh()
    normals = normals_and_areas(mesh.corners())[0]
    for label in np.unique(mesh.labels).tolist():
        if mesh.names[label] != "hole 2":  # every other face is flat: one label, one plane
            chosen = mesh.labels == label
            assert np.ptp(normals[chosen], axis=0) == pytest.approx(0, abs=1e-9)


def test_one_cutter_used_twice_makes_faces_of_their_own() -> None:
    notch = prism(SQUARE, (0, 0, 20), UPRIGHT, 10.0, 1.0)
    solid = box(100.0, 30.0, 20.0).minus(notch).minus(notch.moved((40, 0, 0)))
    mesh = solid.mesh()
    floors = [k for k in np.unique(mesh.labels).tolist() if mesh.names[k] == "notch floor"]
    assert len(floors) == 2
    middles = [mesh.corners()[mesh.labels == k][:, :, 0].mean() for k in floors]
    assert [10 < m < 20 for m in middles] == [True, False]
    assert solid.volume == pytest.approx(60000 - 2 * 3000)


def test_equal_steps_give_equal_meshes_whatever_happened_before() -> None:
    first = [solid.mesh() for solid in rack()]
    box(3, 4, 5).minus(rod([(0, 1.0), (9, 1.0)], (1, 1, -1), (0, 0, 1)))
    hole([(0, 2.0), (5, 0.0)], (0, 0, 0), (1, 2, 3)).volume  # noqa: B018 - uses up numbers of the kernel
    for one, other in zip(first, (solid.mesh() for solid in rack()), strict=True):
        assert one.vertices.tobytes() == other.vertices.tobytes()
        assert one.triangles.tobytes() == other.triangles.tobytes()
        assert one.labels.tobytes() == other.labels.tobytes()
        assert one.names == other.names


def test_every_mesh_is_closed_and_looks_outward() -> None:
    solids = [*rack(), *(solid for case in odd_cases().values() for solid in case)]
    for solid in solids:
        mesh = solid.mesh()
        half_edge_pairs(mesh.triangles, len(mesh.vertices))  # raises if open
        assert volume_of(mesh) == pytest.approx(solid.volume)
        assert solid.volume > 0
        again = from_mesh(mesh)
        assert again.volume == pytest.approx(solid.volume)


@pytest.mark.parametrize("axes", [np.diag([-1.0, 1.0, 1.0]), rotation(3), rotation(4) @ np.diag([1.0, 1.0, -1.0])])
def test_moving_and_mirroring_keep_volume_names_and_outside(axes: np.ndarray) -> None:
    solid = rack()[-1]
    moved = solid.moved((5.0, 6.0, 7.0), axes)
    assert volume_of(moved.mesh()) == pytest.approx(solid.volume)
    assert area_by_name(moved) == pytest.approx(area_by_name(solid))
    by_mesh = solid.mesh().moved(np.array([5.0, 6.0, 7.0]), axes)
    assert volume_of(by_mesh) == pytest.approx(solid.volume)
    # a point of the frame goes where origin and axes say
    low, high = moved.bounds
    assert by_mesh.vertices.min(axis=0) == pytest.approx(low)
    assert by_mesh.vertices.max(axis=0) == pytest.approx(high)


def test_trimming_takes_away_the_side_the_normal_points_to() -> None:
    solid = box(100.0, 30.0, 20.0).trimmed((60, 0, 0), (1, 0, 0), "sawn")
    assert solid.volume == pytest.approx(60 * 30 * 20)
    assert area_by_name(solid)["sawn"] == pytest.approx(600)
    bevel = box(100.0, 30.0, 20.0).trimmed((60, 0, 0), (1, 0, 1), "bevel")
    assert bevel.volume == pytest.approx(30 * (40 + 60) / 2 * 20)
    assert area_by_name(bevel)["bevel"] == pytest.approx(30 * 20 * math.sqrt(2))
    assert solid.trimmed((1e5, 0, 0), (1, 0, 0)).volume == solid.volume
    assert solid.trimmed((1e5, 0, 0), (-1, 0, 0)).is_empty
    assert solid.trimmed((0, 0, 0), (1, 0, 0)).is_empty
    assert solid.trimmed((60, 0, 0), (1, 0, 0)).volume == pytest.approx(solid.volume)
    with pytest.raises(ValueError, match="needs a length"):
        solid.trimmed((0, 0, 0), (0, 0, 0))


@pytest.mark.parametrize("seed", range(12))
def test_pieces_cut_by_one_tilted_plane_touch_and_do_not_overlap(seed: int) -> None:
    rng = np.random.default_rng(seed)
    normal = rng.normal(size=3)
    normal /= np.linalg.norm(normal)
    point = rng.uniform((30, 10, 5), (70, 20, 15))
    whole = box(100.0, 30.0, 20.0)
    below, above = whole.trimmed(point, normal, "cut"), whole.trimmed(point, -normal, "cut")
    assert below.volume + above.volume == pytest.approx(whole.volume)
    assert overlap_volume(below, above) == pytest.approx(0, abs=1e-9)
    cut = area_by_name(below)["cut"]
    assert contact_area(below, above) == pytest.approx(cut)
    # the same when both are turned and moved together
    turn = rotation(seed)
    pair = below.moved((100, 200, 300), turn), above.moved((100, 200, 300), turn)
    assert overlap_volume(*pair) == pytest.approx(0, abs=1e-9)
    assert contact_area(*pair) == pytest.approx(cut)
    # a hair apart they no longer touch, pushed together they overlap by about area times way
    assert contact_area(below, above.moved(normal * 1e-3)) == 0
    assert overlap_volume(below, above.moved(-normal * 1e-2)) == pytest.approx(cut * 1e-2, rel=0.02)


@pytest.mark.parametrize("seed", range(10))
def test_contact_area_equals_that_of_the_outlines_with_shapely(seed: int) -> None:
    rng = np.random.default_rng(seed)

    def star(x: float, y: float) -> list[tuple[float, float]]:
        angles = np.sort(rng.uniform(0, 2 * np.pi, 9))
        radii = rng.uniform(8, 30, 9)
        return [(x + r * math.cos(a), y + r * math.sin(a)) for a, r in zip(angles, radii, strict=True)]

    lower, upper = star(0, 0), star(12, 5)
    below = prism(lower, (0, 0, 0), UPRIGHT, 10.0)
    above = prism(upper, (0, 0, 7), UPRIGHT, 7.0)
    expected = shapely.Polygon(lower).intersection(shapely.Polygon(upper)).area
    assert expected > 50
    turn = rotation(seed)
    assert contact_area(below.moved((3, 2, 1), turn), above.moved((3, 2, 1), turn)) == pytest.approx(expected)
    assert contact_area(above, below) == pytest.approx(expected)
    assert contact_area(below, above.moved((0, 0, 5e-5))) == pytest.approx(expected)
    assert contact_area(below, above.moved((0, 0, 5e-4))) == 0
    assert below.volume == pytest.approx(shapely.Polygon(lower).area * 10)


def test_faces_in_one_plane_that_look_the_same_way_do_not_touch() -> None:
    assert contact_area(box(10, 10, 10), box(5, 5, 10)) == 0
    assert contact_area(box(10, 10, 10), box(10, 10, 10).moved((10, 0, 0))) == pytest.approx(100)
    assert contact_area(box(10, 10, 10), box(10, 10, 10).moved((10, 10, 0))) == 0
    assert contact_area(box(10, 10, 10), box(10, 10, 10).moved((50, 0, 0))) == 0


@pytest.mark.parametrize("degrees", [0.01, 1.0, 45.0])
def test_faces_that_meet_at_an_angle_do_not_touch(degrees: float) -> None:
    angle = math.radians(degrees)
    upper = box(20.0, 20.0, 20.0)
    axes = [(math.cos(angle), 0.0, math.sin(angle)), (0.0, 1.0, 0.0), (-math.sin(angle), 0.0, math.cos(angle))]
    leaning = upper.moved((0.0, 0.0, 20.0), axes)  # stands on one edge
    centred = upper.moved((10 - 10 * axes[0][0], 0.0, 20.0 - 10 * axes[0][2]), axes)  # dips in with one half
    assert contact_area(box(20, 20, 20), leaning) == 0
    assert contact_area(box(20, 20, 20), centred) == 0


def test_the_pieces_of_a_rack_touch_where_they_are_joined() -> None:
    """By hand: a half lap of 18 x 38 on 19 touches on its floor and two pairs of walls."""
    pieces = rack()
    slat, bearer, leg = pieces[1], pieces[4], pieces[6]
    assert overlap_volume(slat, bearer) == 0
    assert contact_area(slat, bearer) == pytest.approx(38 * 18 + 2 * 18 * 19 + 2 * 38 * 19)
    assert overlap_volume(leg, bearer) == pytest.approx(0, abs=1e-9)
    shoulder = face_outline(leg.mesh(), (0, 0, 162), (0, 0, 1)).loops[0]
    bearer_faces = face_outline(bearer.mesh(), (0, 0, 162), (0, 0, -1), right=(1, 0, 0)).loops
    under = shapely.union_all([shapely.Polygon(loop * [1, -1]) for loop in bearer_faces])
    expected = shapely.Polygon(shoulder).intersection(under).area
    assert expected > 500
    assert contact_area(leg, bearer) == pytest.approx(expected)


@pytest.mark.parametrize("clockwise", [False, True])
def test_prism_names_walls_in_the_order_of_the_sides(clockwise: bool) -> None:
    outline = [(0.0, 0.0), (30.0, 0.0), (30.0, 20.0), (10.0, 20.0), (10.0, 10.0)]
    lengths = [30.0, 20.0, 20.0, 10.0, math.hypot(10, 10)]
    if clockwise:
        outline = outline[::-1]
        lengths = [10.0, 20.0, 20.0, 30.0, math.hypot(10, 10)]
    solid = prism(outline, (0, 0, 0), UPRIGHT, 5.0, 1.0, name="bay")
    areas = area_by_name(solid)
    assert [areas[f"bay wall {k}"] for k in range(1, 6)] == pytest.approx([6 * x for x in lengths])
    polygon = shapely.Polygon(outline).area
    assert areas["bay floor"] == pytest.approx(polygon)
    assert areas["bay mouth"] == pytest.approx(polygon)
    assert (solid.bounds[0][2], solid.bounds[1][2]) == (-5, 1)
    mirrored = prism(outline, (0, 0, 0), np.diag([1.0, 1.0, -1.0]), 5.0, 1.0)
    assert volume_of(mirrored.mesh()) == pytest.approx(polygon * 6)
    assert (mirrored.bounds[0][2], mirrored.bounds[1][2]) == (-1, 5)


def test_walls_of_one_name_are_one_face() -> None:
    arc = [(20 * math.cos(a), 20 * math.sin(a)) for a in np.linspace(0, math.pi, 13)]
    solid = prism(arc, (0, 0, 0), UPRIGHT, 8.0, walls=["curve"] * 12 + ["base"])
    mesh = solid.mesh()
    assert sorted(mesh.names[k] for k in np.unique(mesh.labels)) == ["base", "curve", "notch floor", "notch mouth"]


@pytest.mark.parametrize(
    ("outline", "depth"),
    [([(0, 0), (1, 0)], 1.0), ([(0, 0), (1, 0), (2, 0)], 1.0), ([(0, 0), (1, 0), (1, 1)], 0.0)],
)
def test_a_prism_of_nothing_is_refused(outline: list[tuple[float, float]], depth: float) -> None:
    with pytest.raises(ValueError, match="outline"):
        prism(outline, (0, 0, 0), UPRIGHT, depth)


def test_a_countersunk_hole_takes_out_frustum_and_cylinder() -> None:
    segments = 24
    block = box(40.0, 30.0, 20.0)
    cutter = hole([(0, 5.0), (4, 2.0), (25, 2.0)], (20, 15, 20), (0, 0, -1), segments=segments)
    frustum = 4 / 3 * (circle_area(5, segments) + circle_area(2, segments) + circle_area(math.sqrt(10), segments))
    gone = block.volume - block.minus(cutter).volume
    assert gone == pytest.approx(frustum + circle_area(2, segments) * 16)
    # the polygon stays within the true circle: between the two areas
    assert gone < math.pi * (4 / 3 * (25 + 4 + 10) + 4 * 16)


def test_a_blind_stepped_hole_has_a_ring_and_an_end() -> None:
    block = box(40.0, 30.0, 20.0)
    solid = block.minus(hole([(0, 6.0), (5, 6.0), (5, 2.0), (12, 2.0)], (20, 15, 20), (0, 0, -1)))
    areas = area_by_name(solid)
    assert areas["hole end"] == pytest.approx(circle_area(2, 24))
    assert areas["hole 3"] == pytest.approx(circle_area(6, 24) - circle_area(2, 24))
    pointed = block.minus(hole([(0, 3.0), (9, 3.0), (11, 0.0)], (20, 15, 20), (0, 0, -1)))
    assert pointed.volume == pytest.approx(block.volume - circle_area(3, 24) * (9 + 2 / 3))


@pytest.mark.parametrize(
    "profile",
    [[(0, 1.0)], [(0, 1.0), (-1, 1.0)], [(0, 1.0), (1, 0.0), (2, 1.0)], [(0, 0.0), (1, 0.0)], [(0, 1.0), (0, 2.0)]],
)
def test_a_profile_that_makes_no_solid_is_refused(profile: list[tuple[float, float]]) -> None:
    with pytest.raises(ValueError, match=r"profile|radii"):
        rod(profile, (0, 0, 0), (0, 0, 1))


def test_a_hole_begins_at_its_mouth_and_needs_even_segments() -> None:
    with pytest.raises(ValueError, match="depth 0"):
        hole([(1, 2.0), (3, 2.0)], (0, 0, 0), (0, 0, 1))
    with pytest.raises(ValueError, match="even number"):
        hole([(0, 2.0), (3, 2.0)], (0, 0, 0), (0, 0, 1), segments=9)


@pytest.mark.parametrize("seed", range(12))
def test_a_dowel_fits_its_hole_whichever_way_either_was_described(seed: int) -> None:
    rng = np.random.default_rng(seed)
    axis = rng.normal(size=3) if seed else np.array([0.0, 0.0, 1.0])
    axis /= np.linalg.norm(axis)
    middle = np.array([25.0, 25.0, 25.0])
    block = box(50.0, 50.0, 50.0)
    bored = block.minus(hole([(0, 4.0), (120, 4.0)], middle - 60 * axis, axis, segments=16))
    dowel = rod([(0, 4.0), (30, 4.0)], middle + 15 * axis, -axis, segments=16)
    assert overlap_volume(bored, dowel) == pytest.approx(0, abs=1e-9)
    wall = 30 * 16 * 2 * 4 * math.sin(math.pi / 16)
    assert contact_area(bored, dowel) == pytest.approx(wall)
    # mirrored with everything else, they still fit what was described anew
    mirror = np.diag([-1.0, 1.0, 1.0])
    other = rod([(0, 4.0), (30, 4.0)], (middle + 15 * axis) @ mirror, -axis @ mirror, segments=16)
    assert overlap_volume(bored.moved((0, 0, 0), mirror), other) == pytest.approx(0, abs=1e-9)
    # a turned piece: the first corner is told in its own axes
    turn = rotation(seed)
    across = np.cross(axis, [0.3, 0.5, 0.8])
    hole_across = block.minus(hole([(0, 4.0), (120, 4.0)], middle - 60 * axis, axis, across=across.tolist()))
    turned = rod([(0, 4.0), (30, 4.0)], (middle + 15 * axis) @ turn, -axis @ turn, across=(across @ turn).tolist())
    assert overlap_volume(hole_across.moved((0, 0, 0), turn), turned) == pytest.approx(0, abs=1e-9)


def test_union_common_and_parts() -> None:
    a, b = box(10, 10, 10), box(10, 10, 10).moved((5, 0, 0))
    assert a.plus(b).volume == pytest.approx(1500)
    assert a.common(b).volume == pytest.approx(500)
    assert overlap_volume(a, b) == pytest.approx(500)
    halves = box(30, 10, 10).minus(box(10, 12, 12).moved((10, -1, -1))).parts()
    assert [half.bounds[0][0] for half in halves] == [0, 20]
    assert [half.volume for half in halves] == pytest.approx([1000, 1000])
    nothing = a.minus(a)
    assert nothing.is_empty
    assert overlap_volume(nothing, a) == 0
    assert contact_area(a, nothing) == 0
    with pytest.raises(ValueError, match="no bounds"):
        _ = nothing.bounds


def test_solids_alive_at_the_end_of_a_program_make_no_noise() -> None:
    """A thread that never ends still holds a solid: the kernel's binding would write a complaint."""
    code = """
import threading, time
from planpress.geometry.solids import box
def hold(ready):
    kept = box(1, 2, 3).minus(box(1, 1, 1))
    ready.set()
    time.sleep(60)
    kept.mesh()
ready = threading.Event()
threading.Thread(target=hold, args=(ready,), daemon=True).start()
ready.wait()
"""
    done = subprocess.run([sys.executable, "-c", code], check=False, capture_output=True, text=True)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_pictures_do_not_need_the_kernel() -> None:
    code = (
        "import sys, planpress.geometry.hidden_lines, planpress.geometry.regions, planpress.geometry.outlines, "
        "planpress.geometry.places; sys.exit('manifold3d' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_overlap_with_any_is_the_sum_of_the_pairs() -> None:
    bar = box(400, 30, 30)
    blocks = [box(20, 50, 10).moved((40.0 * k, -10.0, 30.0 - k)) for k in range(10)]
    pairs = [overlap_volume(bar, block) for block in blocks]
    assert pairs == pytest.approx([20 * 30 * k for k in range(10)])
    assert overlap_with_any(bar, blocks) == pytest.approx(sum(pairs))
    assert overlap_with_any(bar, blocks[:1]) == 0
    assert overlap_with_any(bar, []) == 0
