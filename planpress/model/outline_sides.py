"""Which sides of a part its outlines stand for; exact, without solids."""

from __future__ import annotations

from planpress.geometry.strokes import Outline
from planpress.model.records import Side


def is_plain(outline: Outline | None) -> bool:
    """True for a straight convex outline, or none."""
    return outline is None or (outline.is_straight and outline.is_convex)


def stroke_sides(outline: Outline, axis: int) -> tuple[Side, ...]:
    """The side that each stroke lies nearest to, by the outward normal of its chord. `axis`: 1 for an outline of the
    face, 2 for one of the edge."""
    low, high = (Side.LOWER, Side.UPPER) if axis == 1 else (Side.BACK, Side.FACE)
    out = []
    for stroke in outline.strokes:
        along = (stroke.end[0] - stroke.start[0], stroke.end[1] - stroke.start[1])
        if abs(along[1]) > abs(along[0]):
            out.append(Side.FAR_END if along[1] > 0 else Side.NEAR_END)
        else:
            out.append(high if along[0] < 0 else low)
    return tuple(out)


def edge_between(a: Side, b: Side) -> tuple[Side, Side]:
    """Two sides in the order in which edges are named."""
    order = list(Side)
    return (a, b) if order.index(a) < order.index(b) else (b, a)
