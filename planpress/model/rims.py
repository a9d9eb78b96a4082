"""Which chamfers and round-overs a shape can have, and where its solid gets them.

A straight convex stick (tapers included) is cut by planes along each edge. One with a curved or hollow outline on one
side gets rims along that outline: then its edges are those between the outline and the two sides it is drawn on.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

import numpy as np

from planpress.description import shape_records as drawn
from planpress.description.faults import formula_error
from planpress.geometry.mesh import Floats
from planpress.geometry.rims import Stretch, chamfer, rim_cutter, round_over
from planpress.geometry.solids import Solid
from planpress.geometry.strokes import Outline
from planpress.model.records import EdgeCut, Shape, Side


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


def rim_cutters(outline: Outline, axis: int, height: float, cuts: Mapping[tuple[Side, Side], EdgeCut]) -> list[Solid]:
    """What edge cuts take from the body over an outline, which stands from level 0 to `height` along the other axis.

    Raises:
        ValueError: if a cut does not fit, or ends where the outline runs on smoothly.
    """
    caps = (Side.BACK, Side.FACE) if axis == 1 else (Side.LOWER, Side.UPPER)
    sides = stroke_sides(outline, axis)
    chains = outline.chains
    order = list(dict.fromkeys(chains))
    corners, owners = outline.flattened
    polygon = np.array([[float(c) for c in p] for p in corners])
    out = []
    needs = [0.0, 0.0]
    for k, cap in enumerate(caps):
        by_stroke = [cuts.get(_pair(side, cap)) for side in sides]
        kinds = [None if cut is None else (cut.kind, cut.size) for cut in by_stroke]
        if any(kinds[i] != kinds[chain] for i, chain in enumerate(chains)):
            raise ValueError(f"the cut along the {cap.value} ends where the outline runs on smoothly; name all of it")
        for n, chain in enumerate(order):
            cut = by_stroke[chain]
            if cut is None:
                continue
            needs[k] = max(needs[k], float(cut.size))
            profile = chamfer(float(cut.size)) if cut.kind == "chamfer" else round_over(float(cut.size))
            alike = tuple(kinds[order[(n + step) % len(order)]] == kinds[chain] for step in (-1, 1))
            stretch = _stretch(polygon, [i for i, owner in enumerate(owners) if chains[owner] == chain], alike)
            out.append(rim_cutter(stretch, profile, height, k == 1, f"outline {chain + 1} {cap.value} rim"))
    if sum(needs) > height + 1e-9:
        raise ValueError(f"the cuts along its two edges need {sum(needs):.2f} mm of {height:.2f} mm")
    return out


def _stretch(polygon: Floats, indices: list[int], alike: tuple[bool, ...]) -> Stretch:
    """The smooth stretch of the polygon's sides that start at some corners, which follow each other in the ring."""
    count = len(polygon)
    if len(indices) == count:
        return Stretch(polygon, True, None, None, (True, True))
    known = set(indices)
    first = next(i for i in indices if (i - 1) % count not in known)
    ring = [(first + k) % count for k in range(len(indices) + 1)]
    before = polygon[first] - polygon[first - 1]
    after = polygon[(ring[-1] + 1) % count] - polygon[ring[-1]]
    return Stretch(
        polygon[ring],
        False,
        before / np.linalg.norm(before),
        after / np.linalg.norm(after),
        (alike[0], alike[1]),
    )


def _pair(a: Side, b: Side) -> tuple[Side, Side]:
    order = list(Side)
    return (a, b) if order.index(a) < order.index(b) else (b, a)


def check_edges(
    part: str,
    shape: Shape,
    sizes: tuple[Fraction, Fraction, Fraction],
    has_square_ends: bool,
    cuts: Mapping[tuple[Side, Side], tuple[EdgeCut, drawn.EdgeCut]],
) -> tuple[EdgeCut, ...]:
    """The edge cuts that the shape has, in order. `sizes`: length, width, thickness.

    Raises:
        FormulaError: if one of them cannot be made.
    """
    if not cuts:
        return ()
    first = next(iter(cuts.values()))[1]
    if is_plain(shape.face) and is_plain(shape.edge):
        _check_room(part, sizes, cuts)
        return tuple(cut for cut, _ in cuts.values())
    if shape.face is not None and shape.edge is not None:
        raise formula_error(
            "shape",
            f"the edges of '{part}' cannot be cut: it is shaped on its face and on its edge, one of them not straight",
            first.place,
            hint="leave out 'edges', or one of the two shapes",
        )
    outline, axis = (shape.face, 1) if shape.face is not None else (shape.edge, 2)
    assert outline is not None  # one of them is not plain
    kept = {}
    for sides, (cut, source) in cuts.items():
        across = {side.axis for side in sides}
        if across == {0, axis}:
            if len(source.edges) == 1:
                raise formula_error(
                    "shape",
                    f"'{part}' has no edge '{source.text}' any more: its outline goes through there",
                    source.place,
                    hint="let the outline (or 'corners') turn the corner",
                )
            continue
        if 0 in across and not has_square_ends:
            raise formula_error(
                "shape",
                f"the edge '{source.text}' of '{part}' cannot be cut: the end leans and the outline is curved",
                source.place,
                hint="cut the long edges only",
            )
        kept[sides] = cut
    try:
        rim_cutters(outline, axis, float(sizes[3 - axis]), kept)
    except ValueError as fault:
        raise formula_error("shape", f"the edges of '{part}': {fault}", first.place) from None
    return tuple(kept.values())


def _check_room(
    part: str,
    sizes: tuple[Fraction, Fraction, Fraction],
    cuts: Mapping[tuple[Side, Side], tuple[EdgeCut, drawn.EdgeCut]],
) -> None:
    """The two cuts that share a side must leave some of it, or just meet."""
    for cut, source in cuts.values():
        for side, other in (cut.sides, cut.sides[::-1]):
            opposite = cuts.get(_pair(side, other.opposite))
            both = cut.size + (opposite[0].size if opposite else 0)
            if both > sizes[other.axis]:
                raise formula_error(
                    "shape",
                    f"the cuts along the edges of '{part}' need {float(both):.2f} mm of its"
                    f" {float(sizes[other.axis]):.2f} mm across the {side.value}",
                    source.place,
                    hint="make them smaller",
                )
