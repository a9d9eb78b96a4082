"""Drawing solids away: joints whose answer is plain, and sliding in small steps with the solid kernel."""

from __future__ import annotations

import numpy as np
import pytest

from planpress.geometry.sliding import is_blocked
from planpress.geometry.solids import Solid, box, overlap_volume, prism

_AXES = {"+x": (1, 0, 0), "-x": (-1, 0, 0), "+y": (0, 1, 0), "-y": (0, -1, 0), "+z": (0, 0, 1), "-z": (0, 0, -1)}


def free_ways(moving: Solid, standing: Solid) -> list[str]:
    corners = moving.mesh().corners(), standing.mesh().corners()
    return [name for name, way in _AXES.items() if not is_blocked(*corners, np.array(way, dtype=float))]


def at(solid: Solid, x: float, y: float, z: float) -> Solid:
    return solid.moved((x, y, z))


def cross_lap() -> tuple[Solid, Solid]:
    lower = box(100, 20, 20).minus(at(box(20, 40, 20), 40, -10, 10))
    upper = at(box(20, 100, 20), 40, -40, 0).minus(at(box(30, 20, 10), 35, 0, 0))
    return upper, lower


def test_the_upper_half_of_a_cross_lap_lifts_out_and_nothing_else() -> None:
    assert free_ways(*cross_lap()) == ["+z"]
    upper, lower = cross_lap()
    assert free_ways(lower, upper) == ["-z"]


def test_a_tenon_leaves_along_its_length_only() -> None:
    leg = box(40, 40, 400).minus(at(box(30, 10, 60), 10, 15, 200))
    rail = at(box(300, 20, 60), 40, 10, 200).plus(at(box(30, 10, 60), 10, 15, 200))
    assert free_ways(rail, leg) == ["+x"]


def test_a_through_tenon_with_play_still_leaves_one_way_as_its_shoulders_stop_it() -> None:
    leg = box(40, 40, 400).minus(at(box(60, 11, 61), -10, 14.5, 199.5))
    rail = at(box(300, 20, 60), 40, 10, 200).plus(at(box(40, 10, 60), 0, 15, 200))
    assert free_ways(rail, leg) == ["+x"]


def test_dovetails_slide_along_the_pins_only() -> None:
    trapezoid = [(10.0, 0.0), (30.0, 0.0), (33.0, 20.0), (7.0, 20.0)]
    frame = ((0.0, 0.0, 0.0), ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)))
    tail = prism(trapezoid, *frame, 0.0, overshoot=20.0).plus(at(box(40, 100, 20), 0, -100, 0))
    pins = at(box(40, 20, 200), 0, 0, 0).minus(prism(trapezoid, *frame, 10.0, overshoot=20.0))
    assert overlap_volume(tail, pins) < 1e-6
    assert free_ways(tail, pins) == ["-z"]


def test_a_drawer_bottom_in_four_grooves_is_caught() -> None:
    inside = at(box(200, 150, 6), 10, 10, 20)
    walls = box(220, 170, 80).minus(at(box(190, 140, 100), 15, 15, -10)).minus(inside)
    assert free_ways(inside, walls) == []


def test_solids_that_only_touch_do_not_block_each_other() -> None:
    one, other = box(10, 10, 10), at(box(10, 10, 10), 10, 0, 0)
    assert free_ways(one, other) == ["-x", "+y", "-y", "+z", "-z"]


@pytest.mark.parametrize("seed", range(40))
def test_agrees_with_sliding_in_small_steps(seed: int) -> None:
    """Random bodies of boxes; what the kernel finds in steps of half a millimetre must be what the test says."""
    random = np.random.default_rng(seed)

    def body(origin: float) -> Solid:
        out = None
        for _ in range(3):
            size, corner = random.integers(2, 9, 3) * 4.0, random.integers(0, 6, 3) * 4.0
            one = box(*size.tolist()).moved((corner + np.array([origin, 0.0, 0.0])).tolist())
            out = one if out is None else out.plus(one)
        assert out is not None
        return out

    moving, standing = body(0.0), body(8.0)
    standing = standing.minus(moving)
    way = random.integers(-2, 3, 3).astype(float)
    if not way.any() or standing.is_empty:
        way = np.array([0.0, 0.0, 1.0])
    way /= np.linalg.norm(way)
    hit = any(overlap_volume(moving.moved((way * t).tolist()), standing) > 0.05 for t in np.arange(0.5, 120, 0.5))
    assert is_blocked(moving.mesh().corners(), standing.mesh().corners(), way) == hit
