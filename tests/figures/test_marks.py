"""Marks have the sizes of the style guide and say what they should."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from planpress.base.display import Circle, Figure, Item, Path, Role, Text, points_of
from planpress.figures import marks, style
from planpress.figures.extents import bounds, fitted_figure
from tests.figures.measure import MEASURE, faults


def drawn(items: Iterable[Item]) -> Figure:
    return fitted_figure(tuple(items), MEASURE, "")


def test_reference_end_touches_the_end_from_outside() -> None:
    mark = marks.reference_end((10.0, 5.0))
    assert bounds([mark], MEASURE) == pytest.approx((10.0 - 3.4, 5.0 - 1.7, 10.0, 5.0 + 1.7))
    assert mark.fill == style.INK


@pytest.mark.parametrize("into", [1, -1])
def test_edge_mark_points_to_the_edge_from_inside(into: int) -> None:
    (_, y0), (x1, y1), (_, y2) = points_of(marks.edge_mark((10.0, 5.0), into).segments)
    assert (x1, y1) == (10.0, 5.0)
    assert y0 == y2 == pytest.approx(5.0 + into * 3.2)


@pytest.mark.parametrize("into", [1, -1])
def test_face_loop_is_single_and_stands_on_its_tail(into: int) -> None:
    left, low, right, high = bounds([marks.face_loop((10.0, 5.0), into)], MEASURE)
    assert high - low == pytest.approx(6.8 + 0.35, abs=0.3)
    assert right - left < marks.LOOP_ROOM
    assert (low if into > 0 else high) == pytest.approx(5.0, abs=0.3)


def test_grain_arrow_has_half_barbs_on_opposite_sides() -> None:
    (item,) = marks.grain_arrow((0.0, 0.0))
    assert isinstance(item, Path)
    first, left, right, last = points_of(item.segments)
    assert (left, right) == ((-11.0, 0.0), (11.0, 0.0))
    assert first[1] > 0 > last[1]


def test_balloons() -> None:
    circle, letter, count = marks.balloon((10.0, 10.0), "A", count=9)
    assert isinstance(circle, Circle)
    assert circle.radius == 3.6
    assert isinstance(letter, Text)
    assert letter.string == "A"
    assert isinstance(count, Text)
    assert count.string == "\u00d7\u00a09"
    assert faults(drawn([circle, letter, count])) == []
    assert faults(drawn(marks.square_balloon((0.0, 0.0), "H"))) == []
    assert bounds(marks.square_balloon((0.0, 0.0), "H")[:1], MEASURE)[2] == pytest.approx(3.6 + 0.35 / 2)


@pytest.mark.parametrize("words", ["= B", "= 2 × B", "= B + C"])
def test_capsules_hold_their_words(words: str) -> None:
    items = marks.capsule((0.0, 0.0), words, MEASURE)
    assert faults(drawn(items)) == []
    left, low, right, high = bounds(items, MEASURE)
    assert high - low == pytest.approx(6.2 + 0.35)
    assert right - left >= 10.0
    assert left == pytest.approx(-right)


def _symbol(third_angle: bool) -> tuple[float, float, float, float]:
    """Centre x of the circles, least and greatest x of the cone, height of its left end."""
    items = marks.projection_symbol(third_angle)
    circles = [i for i in items if isinstance(i, Circle)]
    (cone,) = [i for i in items if isinstance(i, Path) and i.role is Role.MARK]
    points = points_of(cone.segments)
    xs = [x for x, _ in points]
    left_end = [y for x, y in points if x == min(xs)]
    assert len({c.centre for c in circles}) == 1
    assert sorted(c.radius for c in circles)[0] * 2 == pytest.approx(max(left_end) - min(left_end))
    return circles[0].centre[0], min(xs), max(xs), max(left_end) - min(left_end)


def test_projection_symbols() -> None:
    # ISO 5456-2:1996, figures 2 and 4: the cone's view from the left, which shows both circles because its small end
    # is to the left, stands to the right of the cone in first angle and to the left in third angle.
    circles, left, right, small = _symbol(third_angle=False)
    assert circles > right
    circles_3, left_3, right_3, small_3 = _symbol(third_angle=True)
    assert circles_3 < left_3
    assert right - left == pytest.approx(right_3 - left_3)
    assert small == small_3 < 2 * 3.3


def test_the_loop_of_an_upper_edge_is_the_same_sign_turned_half_round() -> None:
    """Not mirrored: turned with the sheet it reads alike, and its tails lead to the edge it hangs from."""
    (below, above) = (marks.face_loop((20.0, 30.0), into) for into in (1, -1))
    points, turned = points_of(below.segments), points_of(above.segments)
    right = max(x for x, _ in points)
    assert [pytest.approx((20.0 + right - x, 60.0 - y)) for x, y in points] == turned
    assert [points[0][1], points[-1][1], turned[0][1], turned[-1][1]] == [30.0] * 4
    assert min(x for x, _ in turned) == pytest.approx(min(x for x, _ in points))


def test_break_lines_overrun_the_part() -> None:
    mark = marks.break_line(10.0, 0.0, 38.0)
    xs, ys = zip(*points_of(mark.segments), strict=True)
    assert (min(ys), max(ys)) == (-1.6, 38.0 + 1.6)
    assert min(xs) < 10.0 < max(xs)


def test_caution_and_boxes() -> None:
    assert faults(drawn(marks.caution_triangle((0.0, 0.0)))) == []
    assert bounds([marks.tick_box((0.0, 0.0))], MEASURE)[2] == pytest.approx(3.8 + 0.125)
    assert bounds([marks.writing_box((0.0, 0.0))], MEASURE)[2] >= 24
    hatched, outline = marks.waste_sample((0.0, 0.0))
    assert isinstance(outline, Path)
    assert outline.segments[-1] != ("z",), "the open side is undrawn"
    assert isinstance(hatched, Path)
    assert hatched.pen is None
