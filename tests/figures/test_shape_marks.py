"""Curved outlines on drawings and templates: radii, points, full-scale curves against the outline's own geometry."""

from __future__ import annotations

import math

import pytest
from shapely import LineString, Point

from planpress.base.display import Path, Role, Text, points_of
from planpress.base.edition import Edition
from planpress.base.printing import Units
from planpress.figures.part_drawing import part_drawing
from planpress.figures.shape_points import is_rounded, outline_points
from planpress.figures.template_outlines import shown_sides, template_outline
from planpress.figures.templates import part_templates
from planpress.model.records import Side
from planpress.writers.pdf.fonts import Metrics
from tests.figures.test_shape_notes import part

EDITION = Edition(Units.METRIC, "a4")
MEASURE = Metrics()


ARCH = (
    "outline: {start: [0 mm, 0 mm], path: [{line: [100 mm, 0 mm]}, {hollow: {to: [300 mm, 0 mm], rise: 20 mm}},"
    " {line: [400 mm, 0 mm]}, {line: [400 mm, 200 mm]}, {line: [0 mm, 200 mm]}]}"
)


def test_round_corners_need_no_positions() -> None:
    seat = part("corners: {radius: 40 mm}")
    assert outline_points(seat, Side.FACE) == ()
    assert seat.shape is not None
    assert seat.shape.face is not None
    assert is_rounded(seat.shape.face)


def test_an_arch_is_dimensioned_at_its_ends() -> None:
    rail = part(ARCH)
    assert [float(u) for u, _ in outline_points(rail, Side.FACE)] == pytest.approx([100, 300])
    drawing = part_drawing(rail, {rail.letter: rail}, EDITION, MEASURE)
    figure = drawing.bands[0].figure
    assert figure is not None
    words = [item.string for item in figure.items if isinstance(item, Text)]
    assert {"100", "300", "400"} <= set(words)
    assert any(word.replace("\u00a0", " ") == "R 260" for word in words)  # (100^2 + 20^2) / (2 x 20)


@pytest.mark.parametrize("keys", [ARCH, "corners: {radius: 40 mm}"])
def test_templates_show_the_curve_at_full_size(keys: str) -> None:
    one = part(keys)
    assert shown_sides(one) == (Side.FACE,)
    outline = template_outline(one, Side.FACE)
    assert outline.shaped
    chords = sum(math.dist([float(c) for c in a], [float(c) for c in b]) for a, b in outline.shaped)
    half = math.asin(100 / 260)
    true = 2 * 260 * half if keys is ARCH else 2 * math.pi * 40
    assert chords == pytest.approx(true, rel=1e-3)
    taken = sum(math.dist([float(c) for c in a], [float(c) for c in b]) for a, b in outline.removed)
    assert taken == pytest.approx(200 if keys is ARCH else 8 * 40)
    templates = part_templates(one, {one.letter: "part"}, EDITION, MEASURE)
    drawn = 0.0
    for template in templates:
        for tile in template.tiles:
            cuts = [item for item in tile.figure.items if isinstance(item, Path) and item.role is Role.CUT]
            for item in cuts:
                line = LineString(points_of(item.segments))
                drawn += line.length if _is_bent(line) else 0.0
    assert drawn >= true * 0.99


def _is_bent(line: LineString) -> bool:
    """True for a chain with many corners."""
    first, last = Point(line.coords[0]), Point(line.coords[-1])
    return len(line.coords) > 8 and first.distance(last) < line.length


def test_straight_parts_without_notches_have_no_template() -> None:
    assert shown_sides(part("taper: {towards: end, width: 120 mm, begins: 100 mm, sides: [upper edge]}")) == ()
