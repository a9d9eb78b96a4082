"""Views of the whole piece: sizes from the model, true to scale, aligned, placed by the projection of the edition."""

from __future__ import annotations

from fractions import Fraction

import pytest

from planpress.base.display import Circle, Path, Role, Text, points_of
from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.base.printing import Units
from planpress.figures.view_sizes import (
    assembly_boxes,
    box_around,
    heights,
    piece_boxes,
    repeated,
)
from planpress.figures.views import FRAME, Views, draw_views
from planpress.model.solids import Solids
from tests.figures.measure import INCHES, MEASURE, MILLIMETRES, faults, find, words
from tests.plans import solved_stand, stand_solids

EDITIONS = (INCHES, MILLIMETRES)


def made(edition: Edition, **settings: str) -> Views:
    plan = solved_stand(edition.units, **settings)
    solids = stand_solids(edition.units) if not settings else Solids(plan)
    return draw_views(plan, solids, edition, MEASURE)


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda e: e.unit_name)
@pytest.mark.parametrize(
    "settings",
    [
        {},
        {"slats": "17", "bearers": "5"},
        {"top_length": "60 in", "splay": "10 deg"},
        {"height": "18 in", "low": "4 in"},
    ],
    ids=str,
)
def test_nothing_overlaps_and_all_is_in_the_frame(edition: Edition, settings: dict[str, str]) -> None:
    views = made(edition, **settings)
    assert faults(views.figure) == []
    assert views.figure.width == FRAME[0]
    assert views.figure.height <= FRAME[1]


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda e: e.unit_name)
def test_sizes_are_those_of_the_model_and_each_stands_once(edition: Edition) -> None:
    plan = solved_stand(edition.units)
    texts = words(made(edition).figure)
    for size in plan.overall:
        assert texts.count(plain(edition.length(size))) == 1
    for name in plan.part("B").pieces:
        place = piece_boxes(plan.corners)[name].low[0] - plan.low[0]
        assert texts.count(plain(edition.length(place))) == 1
    assert texts.count("6°") == 1


def test_the_stand_as_a_person_would_dimension_it() -> None:
    numbers = [t for t in words(made(INCHES).figure) if t[0].isdigit() or t[0] == "\u2248"]
    bar = ["0", "4", "8", "12", "16"]
    expected = ["30", "0", "3 1/4", "35 1/4", "\u2248\u00a017 1/4", "14 3/4", "28 1/2", "8", "6°"]
    expected += ["0", "6", "19 5/8", "33 1/4", "40", "12 3/4"]
    assert sorted(numbers) == sorted(expected + bar)


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda e: e.unit_name)
def test_views_stand_where_the_projection_puts_them(edition: Edition) -> None:
    # ISO 5456-2: third angle, from above placed above and from the right to the right;
    # first angle, from above placed below and from the left to the right.
    views = made(edition)
    front, top = find(views.figure, "Front"), find(views.figure, "Top")
    side = find(views.figure, "Left side" if edition.is_metric else "Right side")
    assert (top.at[1] < front.at[1]) == edition.is_metric
    assert side.at[0] > front.at[0]
    assert side.at[1] == front.at[1]
    assert top.at[0] == front.at[0], "aligned at the left end"
    assert ("First angle" if edition.is_metric else "Third angle") in words(views.figure)
    circles = [i for i in views.figure.items if isinstance(i, Circle) and i.role is Role.MARK]
    cone = min(
        (i for i in views.figure.items if isinstance(i, Path) and i.role is Role.MARK and i.fill is None),
        key=lambda i: abs(points_of(i.segments)[0][1] - circles[0].centre[1]),
    )
    assert (circles[0].centre[0] > points_of(cone.segments)[0][0]) == edition.is_metric


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda e: e.unit_name)
def test_views_are_true_to_scale_and_aligned(edition: Edition) -> None:
    plan = solved_stand(edition.units)
    views = made(edition)
    outlines = [i for i in views.figure.items if isinstance(i, Path) and i.role is Role.OUTLINE]
    length, depth, height = (float(size * views.scale) for size in plan.overall)
    front, top = find(views.figure, "Front"), find(views.figure, "Top")
    side_x = find(views.figure, "Left side" if edition.is_metric else "Right side").at[0]
    at_left = [p for i in outlines for p in points_of(i.segments) if p[0] < side_x - 1]
    xs = [x for x, _ in at_left]
    assert min(xs) == pytest.approx(front.at[0], abs=1e-3)
    assert max(xs) - min(xs) == pytest.approx(length, abs=1e-3)
    divide = max(front.at[1], top.at[1])
    upper = [y for _, y in at_left if y > divide]
    assert max(upper) - min(upper) == pytest.approx(height if edition.is_metric else depth, abs=1e-3)
    at_right = [p for i in outlines for p in points_of(i.segments) if p[0] >= side_x - 1]
    ys = [y for _, y in at_right]
    assert max(ys) - min(ys) == pytest.approx(height, abs=1e-3)
    assert max(x for x, _ in at_right) - min(x for x, _ in at_right) == pytest.approx(depth, abs=1e-3)
    front_ys = [y for _, y in at_left if (y > divide) == edition.is_metric]
    assert (min(front_ys), max(front_ys)) == pytest.approx((min(ys), max(ys)), abs=1e-3)


def test_scale_is_the_largest_that_fits() -> None:
    assert made(INCHES).scale == Fraction(1, 12)
    assert made(INCHES, top_length="60 in").scale < Fraction(1, 12)


def test_positions_from_the_model() -> None:
    plan = solved_stand()
    places = plan.corners
    boxes = piece_boxes(places)
    assert [(row.letter, row.axis) for row in repeated(plan, boxes)] == [("A", 1), ("B", 0)]
    inch = Fraction("25.4")
    levels = [float(level / inch) for level, _ in heights(plan, boxes, places)]
    assert levels == pytest.approx([8.0, 28.5], abs=1e-9)
    frames = [box for name, box in assembly_boxes(plan, boxes) if name == "frame"]
    assert [float(box.low[0] / inch) for box in frames] == pytest.approx([3.25, 35.25], abs=1e-9)


@pytest.mark.parametrize("units", list(Units))
def test_boxes_are_those_of_the_solids(units: Units) -> None:
    plan, solids = solved_stand(units), stand_solids(units)
    for name, piece in plan.pieces.items():
        box = box_around(plan.corners[piece.id])
        low, high = solids.piece(name).bounds
        assert [float(v) for v in box.low] == pytest.approx(low.tolist(), abs=1e-6)
        assert [float(v) for v in box.high] == pytest.approx(high.tolist(), abs=1e-6)


def test_alternative_text_gives_the_key_sizes() -> None:
    figure = made(MILLIMETRES).figure
    assert "1000 long" in figure.alt
    assert "Bearer B at 150, 491, 832 from the left end" in figure.alt
    assert isinstance(figure.items[-1], Text)


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda e: e.unit_name)
def test_equal_input_gives_equal_views(edition: Edition) -> None:
    assert made(edition) == made(edition)
