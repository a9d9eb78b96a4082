"""Intervals, collinear segments and chains, against plain reckoning and shapely."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from planpress.geometry.collinear import lengths, unite, without
from planpress.geometry.contacts import triangle_overlaps
from planpress.geometry.intervals import gaps, narrow, ragged, union
from planpress.geometry.mesh import Floats, distinct, joined
from planpress.geometry.regions import chains, joined_ends

INTERVALS = st.lists(st.tuples(st.integers(0, 3), st.integers(0, 20), st.integers(0, 20)), max_size=12)


@settings(max_examples=80, deadline=None)
@given(INTERVALS)
def test_gaps_and_union_tile_the_line(found: list[tuple[int, int, int]]) -> None:
    """In twentieths: each cell is covered, or in exactly one gap."""
    found = [(row, min(a, b), max(a, b)) for row, a, b in found if a != b]
    row = np.array([f[0] for f in found], dtype=np.intp)
    low, high = np.array([f[1] for f in found]) / 20, np.array([f[2] for f in found]) / 20
    covered = np.zeros((4, 20), dtype=bool)
    for r, a, b in found:
        covered[r, a:b] = True
    for told, want in ((gaps(row, low, high, 4), ~covered), (union(row, low, high, 4), covered)):
        cells = np.zeros((4, 20), dtype=int)
        for r, a, b in zip(*(part.tolist() for part in told), strict=True):
            cells[r, round(a * 20) : round(b * 20)] += 1
        assert np.array_equal(cells, want.astype(int))


def test_narrow_cuts_to_where_a_line_is_not_negative() -> None:
    low, high = np.zeros(4), np.ones(4)
    narrow(np.array([-1.0, 1.0, 2.0, -2.0]), np.array([4.0, -4.0, 0.0, 0.0]), low, high)
    assert (low[0], high[0]) == (0.25, 1.0)
    assert (low[1], high[1]) == (0.0, 0.25)
    assert (low[2], high[2]) == (0.0, 1.0)
    assert high[3] <= low[3]


def test_ragged_runs() -> None:
    run, index = ragged(np.array([5, 0, 9]), np.array([2, 0, 3]))
    assert run.tolist() == [0, 0, 2, 2, 2]
    assert index.tolist() == [5, 6, 9, 10, 11]


def test_joined_groups_are_numbered_by_their_lowest_member() -> None:
    assert joined(6, np.array([5, 3]), np.array([1, 4])).tolist() == [0, 1, 2, 3, 3, 1]
    chain = joined(200, np.arange(199), np.arange(1, 200))
    assert not chain.any()


def _random_segments(seed: int, count: int) -> Floats:
    """Segments on few lines, running either way."""
    rng = np.random.default_rng(seed)
    angle = rng.choice([0.0, np.pi / 2, 0.3, -1.2, np.pi], count)
    direction = np.column_stack([np.cos(angle), np.sin(angle)])
    normal = np.column_stack([-np.sin(angle), np.cos(angle)])
    base = normal * rng.integers(0, 3, count)[:, None] * 7.0
    a, b = rng.integers(0, 30, (2, count)).astype(float)
    b = np.where(a == b, a + 1, b)
    return np.stack([base + direction * a[:, None], base + direction * b[:, None]], axis=1)


@pytest.mark.parametrize("seed", range(8))
def test_collinear_segments_unite_and_subtract_as_with_shapely(seed: int) -> None:
    segments, taken = _random_segments(seed, 25), _random_segments(seed + 100, 6)
    keys = np.zeros((25, 1), dtype=np.intp)
    united = unite(segments, keys, angle=1e-7, offset=1e-5, bridge=1e-3)[0]
    whole = shapely.union_all(shapely.linestrings(segments), grid_size=1e-6)
    assert float(lengths(united).sum()) == pytest.approx(whole.length, abs=1e-3)
    rest = without(segments, taken)
    expected = whole.difference(shapely.multilinestrings(taken).buffer(1e-4))
    # where other lines cross the buffer cuts a hair away
    assert float(lengths(rest).sum()) == pytest.approx(expected.length, abs=0.1)
    kept = unite(segments, np.arange(25)[:, None], angle=1e-7, offset=1e-5, bridge=1e-3)[0]
    assert float(lengths(kept).sum()) == pytest.approx(float(lengths(segments).sum()), abs=1e-6)
    assert len(without(segments[:0], taken)) == 0


def test_ends_within_the_tolerance_are_one_node() -> None:
    segments = np.array([[[0.0, 0.0], [10.0, 0.0]], [[10.01, 0.005], [10.0, 5.0]], [[10.0, 0.5], [3.0, 3.0]]])
    node, place = joined_ends(segments)
    assert node[0, 1] == node[1, 0]
    assert len(place) == 5
    assert place[node[0, 1]] == pytest.approx(np.array([10.005, 0.0025]))


def test_chains_run_through_where_two_lines_of_a_style_meet() -> None:
    square = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    segments = np.stack([square, np.roll(square, -1, axis=0)], axis=1)
    spur = np.array([[[10.0, 10.0], [20.0, 20.0]], [[20.0, 20.0], [30.0, 20.0]]])
    style = np.array([1, 1, 1, 1, 2, 2])
    found = chains(np.concatenate([segments, spur]), style)
    assert [(kind, len(points)) for kind, points in found] == [(1, 5), (2, 3)]
    assert found[0][1][0] == found[0][1][-1]
    same = chains(np.concatenate([segments, spur]), np.zeros(6, dtype=np.intp))
    length = sum(float(np.hypot(*np.diff(np.array(points), axis=0).T).sum()) for _, points in same)
    assert length == pytest.approx(40 + 10 * np.sqrt(2) + 10)
    assert sorted(len(points) for _, points in same) == [3, 5]


def test_overlaps_of_triangles_equal_those_of_shapely() -> None:
    rng = np.random.default_rng(9)
    first, second = rng.uniform(0, 10, (2, 300, 3, 2))
    second[:40] = first[:40]  # the same
    second[40:80, :2] = first[40:80, [1, 0]]  # one common side
    second[80:100] = np.round(second[80:100])
    first[80:100] = np.round(first[80:100])

    def upright(corners: Floats) -> Floats:
        a, b = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
        turned = (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0] < 0)[:, None, None]
        return np.where(turned, corners[:, ::-1], corners)

    expected = shapely.area(shapely.intersection(shapely.polygons(first), shapely.polygons(second)))
    assert triangle_overlaps(upright(first), upright(second)) == pytest.approx(expected, abs=1e-9)


@settings(deadline=None)
@given(st.lists(st.integers(-5, 5), max_size=20))
def test_distinct_numbers_are_those_numpy_finds(numbers: list[int]) -> None:
    whole = np.array(numbers, dtype=np.intp)
    assert distinct(whole).tolist() == np.unique(whole).tolist()
    halves: Floats = whole / 2
    assert distinct(halves).tolist() == np.unique(halves).tolist()
