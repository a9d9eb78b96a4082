"""A shape in other coordinates of the same stick: turned, mirrored, and told apart."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from attrs import evolve

from planpress.geometry.strokes import Arc, Curve, Outline, Stroke
from planpress.geometry.vectors import Vec
from planpress.model.records import EdgeCut, Shape, Side

_ZERO, _ONE = Fraction(0), Fraction(1)


def moved_shape(shape: Shape, point: Callable[[Vec], Vec], side: Callable[[Side], Side]) -> Shape:
    """The shape where `point` takes points (u, v, w) and `side` the names of sides; both keep the length along u."""
    outlines: dict[int, Outline] = {}
    for axis, outline in ((1, shape.face), (2, shape.edge)):
        if outline is not None:
            to = side(Side.UPPER if axis == 1 else Side.FACE).axis
            outlines[to] = _moved(outline, axis, to, point)
    edges = tuple(evolve(cut, sides=_ordered(side(cut.sides[0]), side(cut.sides[1]))) for cut in shape.edges)
    return Shape(outlines.get(1), outlines.get(2), edges)


def _moved(outline: Outline, axis: int, to: int, point: Callable[[Vec], Vec]) -> Outline:
    def flat(p: tuple[Fraction, Fraction]) -> tuple[Fraction, Fraction]:
        moved = point((p[0], p[1], _ZERO) if axis == 1 else (p[0], _ZERO, p[1]))
        return moved[0], moved[to]

    o, x, y = flat((_ZERO, _ZERO)), flat((_ONE, _ZERO)), flat((_ZERO, _ONE))
    mirrors = (x[0] - o[0]) * (y[1] - o[1]) - (x[1] - o[1]) * (y[0] - o[0]) < 0
    return outline.moved(flat, mirrors)


def _ordered(a: Side, b: Side) -> tuple[Side, Side]:
    order = list(Side)
    return (a, b) if order.index(a) < order.index(b) else (b, a)


def flipped_in_w(shape: Shape, thickness: Fraction) -> Shape:
    """The shape seen with the thickness counted from the other face."""
    return moved_shape(
        shape, lambda p: (p[0], p[1], thickness - p[2]), lambda side: side.opposite if side.axis == 2 else side
    )


def shape_marks(shape: Shape, step: Callable[[Fraction], int]) -> tuple[object, ...]:
    """What a shape looks like: equal for equal shapes, wherever their outlines begin. `step` rounds a coordinate."""
    return (
        _outline_marks(shape.face, step),
        _outline_marks(shape.edge, step),
        tuple(sorted(_edge_marks(cut, step) for cut in shape.edges)),
    )


def _edge_marks(cut: EdgeCut, step: Callable[[Fraction], int]) -> tuple[str, str, str, int]:
    a, b = (side.value for side in _ordered(*cut.sides))
    return a, b, cut.kind, step(cut.size)


def _outline_marks(outline: Outline | None, step: Callable[[Fraction], int]) -> tuple[object, ...]:
    def marks(stroke: Stroke) -> tuple[object, ...]:
        ends = tuple(sorted(tuple(map(step, p)) for p in (stroke.start, stroke.end)))
        more: tuple[tuple[int, ...], ...] = ()
        if isinstance(stroke, Arc):
            more = (tuple(map(step, stroke.middle)),)
        elif isinstance(stroke, Curve):
            controls = [tuple(map(step, p)) for piece in stroke.pieces for p in piece]
            more = tuple(min(controls, controls[::-1]))
        return (ends, type(stroke).__name__, more)

    return () if outline is None else tuple(sorted((marks(s) for s in outline.strokes), key=repr))
