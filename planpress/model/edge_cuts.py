"""Which chamfers and round-overs a shape can have.

A straight convex stick (tapers included) is cut by planes along each edge. One with a curved or hollow outline on one
side gets rims along that outline: then its edges are those between the outline and the two sides it is drawn on.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from planpress.description import shape_records as drawn
from planpress.description.faults import formula_error
from planpress.model.outline_sides import edge_between, is_plain
from planpress.model.records import EdgeCut, Shape, Side


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
    from planpress.model.rims import rim_cutters  # loads numpy, which most plans can be solved without

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
            opposite = cuts.get(edge_between(side, other.opposite))
            both = cut.size + (opposite[0].size if opposite else 0)
            if both > sizes[other.axis]:
                raise formula_error(
                    "shape",
                    f"the cuts along the edges of '{part}' need {float(both):.2f} mm of its"
                    f" {float(sizes[other.axis]):.2f} mm across the {side.value}",
                    source.place,
                    hint="make them smaller",
                )
