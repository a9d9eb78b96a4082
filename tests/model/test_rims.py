"""Chamfers and round-overs along outlines against offsets by shapely, slice by slice."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from shapely.geometry import Polygon

from planpress.geometry.rims import ROUND_ERROR
from planpress.geometry.solids import Solid, prism
from planpress.geometry.strokes import Line, Outline, Stroke, anticlockwise, arc_of_radius, arc_of_rise
from planpress.model.outline_sides import stroke_sides
from planpress.model.records import EdgeCut, Side
from planpress.model.rims import rim_cutters

AXES = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
HEIGHT = 20.0


def at(x: int, y: int) -> tuple[Fraction, Fraction]:
    return Fraction(x), Fraction(y)


def ring(*corners: tuple[int, int]) -> Outline:
    exact = [at(*corner) for corner in corners]
    return Outline(tuple(Line(a, b) for a, b in zip(exact, [*exact[1:], exact[0]], strict=True)))


def lens() -> Outline:
    return anticlockwise(
        [arc_of_rise(at(0, 0), at(200, 0), Fraction(60), 1), arc_of_rise(at(200, 0), at(0, 0), Fraction(60), 1)]
    )


def rail() -> Outline:
    """A hollow below, a swelling above, square ends."""
    strokes: list[Stroke] = [
        arc_of_rise(at(0, 0), at(300, 0), Fraction(30), -1),
        Line(at(300, 0), at(300, 60)),
        arc_of_rise(at(300, 60), at(0, 60), Fraction(20), 1),
        Line(at(0, 60), at(0, 0)),
    ]
    return anticlockwise(strokes)


def slot_end() -> Outline:
    """Straight sides that run smoothly into a half circle."""
    strokes: list[Stroke] = [
        Line(at(0, 0), at(100, 0)),
        arc_of_radius(at(100, 0), at(100, 60), Fraction(30), 1),
        Line(at(100, 60), at(0, 60)),
        Line(at(0, 60), at(0, 0)),
    ]
    return anticlockwise(strokes)


def cutting(outline: Outline, kind: str, size: int) -> tuple[Solid, Solid]:
    """The body over an outline, and the same with its upper rim cut all round."""
    points = [(float(a), float(b)) for a, b in outline.polygon]
    body = prism(points, (0.0, 0.0, 0.0), AXES, 0.0, HEIGHT)
    cuts = {}
    for side in (Side.NEAR_END, Side.FAR_END, Side.LOWER, Side.UPPER):
        cuts[side, Side.FACE] = EdgeCut((side, Side.FACE), kind, Fraction(size))  # type: ignore[arg-type]
    cut = body
    for cutter in rim_cutters(outline, 1, HEIGHT, cuts):
        cut = cut.minus(cutter)
    return body, cut


def lost_to_offsets(outline: Outline, kind: str, size: float) -> float:
    """What thin slices lose, each the outline offset inward by shapely, corners kept sharp."""
    shape = Polygon([(float(a), float(b)) for a, b in outline.polygon])
    slices = 400
    lost = 0.0
    for k in range(slices):
        depth = (k + 0.5) / slices * size
        inset = size - depth if kind == "chamfer" else size - math.sqrt(size**2 - (size - depth) ** 2)
        lost += (shape.area - shape.buffer(-inset, join_style="mitre", mitre_limit=50).area) * size / slices
    return lost


OUTLINES = {
    "lens": lens(),
    "rail": rail(),
    "slot end": slot_end(),
    "corner inside": ring((0, 0), (90, 0), (90, 30), (40, 30), (40, 60), (0, 60)),
    "sharp": ring((0, 0), (200, 0), (60, 50)),
}


@pytest.mark.parametrize("kind", ["chamfer", "round-over"])
@pytest.mark.parametrize("name", OUTLINES)
def test_a_rim_takes_what_offsets_take(kind: str, name: str) -> None:
    outline = OUTLINES[name]
    body, cut = cutting(outline, kind, 5)
    # tangents about a quarter circle leave up to 1/3 error x arc of (1 - pi / 4) size^2
    slack = 0.002 if kind == "chamfer" else 2.5 * ROUND_ERROR / 5
    assert body.volume - cut.volume == pytest.approx(lost_to_offsets(outline, kind, 5.0), rel=slack)
    assert len(cut.parts()) == 1


def test_a_cut_along_one_side_leaves_the_others_sharp() -> None:
    """In the inside corner the cut ends at the line of the next side."""
    outline = OUTLINES["corner inside"]
    points = [(float(a), float(b)) for a, b in outline.polygon]
    body = prism(points, (0.0, 0.0, 0.0), AXES, 0.0, HEIGHT)
    upper = EdgeCut((Side.UPPER, Side.FACE), "chamfer", Fraction(4))
    cut = body
    for cutter in rim_cutters(outline, 1, HEIGHT, {upper.sides: upper}):
        cut = cut.minus(cutter)
    assert body.volume - cut.volume == pytest.approx(4 * 4 / 2 * (40 + 50))
    low, high = cut.bounds
    assert [*low, *high] == pytest.approx([0, 0, 0, 90, 60, HEIGHT])


def test_strokes_lie_on_the_sides_they_look_to() -> None:
    assert stroke_sides(rail(), 1) == (Side.LOWER, Side.FAR_END, Side.UPPER, Side.NEAR_END)
    assert stroke_sides(rail(), 2) == (Side.BACK, Side.FAR_END, Side.FACE, Side.NEAR_END)


def test_cuts_that_do_not_fit_are_refused() -> None:
    with pytest.raises(ValueError, match="too sharply"):
        cutting(lens(), "chamfer", 150)
    with pytest.raises(ValueError, match="too sharply"):
        cutting(slot_end(), "round-over", 31)
    with pytest.raises(ValueError, match=r"need 21\.00 mm of 20\.00 mm"):
        cutting(rail(), "chamfer", 21)
