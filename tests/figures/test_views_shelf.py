"""A plan of another kind: a shelf without assemblies; rows upward, holes in faces, boards wide and flat."""

from __future__ import annotations

from fractions import Fraction

import pytest

from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.figures.part_drawing import part_drawing
from planpress.figures.view_sizes import piece_boxes
from planpress.figures.views import draw_views
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from tests.figures.measure import INCHES, MEASURE, MILLIMETRES, faults, words
from tests.plans import small_plan

SHELF = """
parameters:
  w: {value: 36 in, metric: 900 mm}
  tall: {value: 48 in, metric: 1200 mm}
  d: {value: 9-1/4 in, metric: 235 mm}
  t: {value: 3/4 in, metric: 18 mm}
  n: {value: 4}
materials:
  wood: {form: board, species: white oak, thickness: t, width: d, lengths: {imperial: [6 ft, 8 ft], metric: [2400 mm]}}
  stick:
    {form: board, species: white oak, thickness: t, width: 2 * t, lengths: {imperial: [6 ft], metric: [2400 mm]}}
parts:
  side:
    material: wood
    length: tall
    place: {corner: [k * (w - t), "0 in", "0 in"], length: +z, width: +y}
    repeat: {k: 2}
  shelf:
    material: wood
    length: w - 2 * t
    place: {corner: [t, "0 in", i * (tall - t) / (n - 1)], length: +x, width: +y}
    repeat: {i: n}
  lath:
    material: stick
    length: w
    place: {corner: ["0 in", d, tall / 5 + j * tall / 2], length: +x, width: +z}
    repeat: {j: 2}
joints:
  fix:
    {kind: screw, through: side, into: shelf, gauge: 8, metric_diameter: 4 mm, length: 2 in, head: countersunk,
    count: 2 * n, material: steel}
  laths:
    {kind: screw, through: lath, into: side, gauge: 8, metric_diameter: 4 mm, length: 1-1/2 in, head: countersunk,
    count: 2, material: steel}
"""
EDITIONS = (INCHES, MILLIMETRES)


def shelf(edition: Edition) -> SolvedPlan:
    return small_plan(SHELF, edition.units)


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda e: e.unit_name)
def test_views_show_where_the_shelves_are(edition: Edition) -> None:
    plan = shelf(edition)
    figure = draw_views(plan, Solids(plan), edition, MEASURE).figure
    texts = words(figure)
    for name in plan.part("B").pieces:
        low = piece_boxes(plan.corners)[name].low[2]
        if low > 0:  # the lowest shelf shares "0" with the scale bar
            assert texts.count(plain(edition.length(low))) == 1
    for size in plan.overall:
        assert texts.count(plain(edition.length(size))) == 1
    assert faults(figure) == []


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda e: e.unit_name)
def test_holes_in_the_face_are_called_out_once_and_placed(edition: Edition) -> None:
    plan = shelf(edition)
    parts = {part.letter: part for part in plan.parts}
    for part in plan.parts:
        for band in part_drawing(part, parts, edition, MEASURE).bands:
            assert band.figure is None or faults(band.figure) == []
    side = parts["A"]
    figure = part_drawing(side, parts, edition, MEASURE).bands[0].figure
    assert figure is not None
    texts = words(figure)
    assert len([t for t in texts if t.startswith("8\u00a0×\u00a0Ø")]) == 1
    for hole in side.holes:
        assert texts.count(plain(edition.length(hole.at[0]))) == 1
        assert plain(edition.length(hole.at[1])) in texts
    assert Fraction(0) not in {hole.at[1] for hole in side.holes}
