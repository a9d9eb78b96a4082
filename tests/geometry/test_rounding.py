"""Rounded corners against shapely: a smaller rectangle swept by a disc."""

from __future__ import annotations

import math

import pytest
import shapely

from planpress.geometry.rounding import ARC, corner_arcs, rounded


@pytest.mark.parametrize("radius", [0.5, 2.0, 5.0])
@pytest.mark.parametrize("way", [1, -1])
def test_a_rectangle(radius: float, way: int) -> None:
    outline = [(0.0, 0.0), (30.0, 0.0), (30.0, 10.0), (0.0, 10.0)][::way]
    swept = shapely.box(radius, radius, 30 - radius, 10 - radius + 1e-12).buffer(radius, quad_segs=ARC)
    found = shapely.Polygon(rounded(outline, radius))
    assert found.is_valid
    assert found.symmetric_difference(swept).area < 1e-6


def test_a_radius_too_large_is_as_large_as_can_be() -> None:
    outline = [(0.0, 0.0), (30.0, 0.0), (30.0, 10.0), (0.0, 10.0)]
    assert rounded(outline, 50.0) == rounded(outline, 5.0)
    assert rounded(outline, 0.0) == outline


def test_arcs_touch_both_sides_of_a_leaning_corner() -> None:
    lean = math.tan(math.radians(20)) * 10
    outline = [(0.0, 0.0), (30.0, 0.0), (30.0 + lean, 10.0), (lean, 10.0)]
    whole = shapely.Polygon(outline)
    for (x, y), arc in zip(outline, corner_arcs(outline, 2.0), strict=True):
        assert len(arc) == ARC + 1
        assert all(whole.buffer(1e-6).contains(shapely.Point(p)) for p in arc)
        for end in (arc[0], arc[-1]):
            assert whole.exterior.distance(shapely.Point(end)) < 1e-6
        assert math.dist(arc[0], (x, y)) == pytest.approx(math.dist(arc[-1], (x, y)))
