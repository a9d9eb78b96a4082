"""What a drawing must tell of a part's shape: radii, positions along the outline, chamfers and round-overs.

Labels stand in part coordinates, on the side where the outline is seen: (u, v) on the reference face, (u, w) on an
edge. A drawing places them; it computes no size.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Literal

from attrs import frozen

from planpress.base.edition import Edition
from planpress.figures.callouts import count_word
from planpress.figures.part_notes import NO_BREAK, Note, side_words
from planpress.geometry.strokes import Arc, Curve, Outline
from planpress.model.records import EdgeCut, Part, Side, SidePoint

_LONG = (Side.LOWER, Side.UPPER)
_ENDS = (Side.NEAR_END, Side.FAR_END)
_SAME = Fraction(1, 1000)


@frozen
class ShapeLabel:
    """A dimension of an outline.

    Attributes:
        kind: radius of an arc, or a position (a corner of the outline, or a point that a curve goes through).
        side: FACE for an outline of the face, LOWER for one of the edge.
        at: the point it is about, on that side: the middle of the arc, or the position itself.
        towards: from `at` away from the wood (a direction of any length), where the words have room.
        text: of a radius; "" for a position. u, second: of a position, as printed.
    """

    kind: Literal["radius", "position"]
    side: Side
    at: SidePoint
    towards: SidePoint
    text: str = ""
    u: str = ""
    second: str = ""


def shape_labels(part: Part, edition: Edition) -> tuple[ShapeLabel, ...]:
    """The dimensions that the outlines of a part need beyond its length, width and thickness.

    Equal radii are told once, with their number, at the first of them. Positions are taken from the reference end and
    from the lower edge (or the back); the stick's own corners need none.
    """
    if part.shape is None:
        return ()
    out: list[ShapeLabel] = []
    for outline, side in ((part.shape.face, Side.FACE), (part.shape.edge, Side.LOWER)):
        if outline is not None:
            across = part.width if side is Side.FACE else part.thickness
            out += _radii(outline, side, edition)
            out += _positions(outline, side, (part.length, across), edition)
    return tuple(out)


def _radii(outline: Outline, side: Side, edition: Edition) -> Iterable[ShapeLabel]:
    arcs = [stroke for stroke in outline.strokes if isinstance(stroke, Arc)]
    for radius in dict.fromkeys(arc.radius for arc in arcs):
        alike = [arc for arc in arcs if arc.radius == radius]
        number = f"{len(alike)}{NO_BREAK}\u00d7{NO_BREAK}" if len(alike) > 1 else ""
        first = alike[0]
        out = (first.middle[0] - first.centre[0], first.middle[1] - first.centre[1])
        if first.turn < 0:  # a hollow: its centre lies outside the wood
            out = (-out[0], -out[1])
        yield ShapeLabel("radius", side, first.middle, out, f"{number}R{NO_BREAK}{edition.joint(radius)}")


def _positions(outline: Outline, side: Side, size: tuple[Fraction, Fraction], edition: Edition) -> Iterable[ShapeLabel]:
    points: dict[SidePoint, None] = {}
    for stroke in outline.strokes:
        points[stroke.start] = None
        if isinstance(stroke, Curve):
            points.update(dict.fromkeys(piece[0] for piece in stroke.pieces))
    middle = (size[0] / 2, size[1] / 2)
    for u, second in points:
        if all(min(c, s - c) <= _SAME for c, s in zip((u, second), size, strict=True)):
            continue
        away = (u - middle[0], second - middle[1])
        yield ShapeLabel("position", side, (u, second), away, u=edition.joint(u), second=edition.joint(second))


def edge_words(cut: EdgeCut, edition: Edition) -> str:
    """What is done to an edge: a chamfer "1/8 \u00d7 45\u00b0", a round-over "R 1/4"."""
    size = edition.joint(cut.size)
    return f"{size}{NO_BREAK}\u00d7{NO_BREAK}45\u00b0" if cut.kind == "chamfer" else f"R{NO_BREAK}{size}"


def shape_notes(part: Part, edition: Edition) -> tuple[Note, ...]:
    """The shape in words: outline and tapers first, then edges, cut alike together."""
    if part.shape is None:
        return ()
    notes = []
    if part.shape.face is not None or part.shape.edge is not None:
        curved = any(o is not None and not o.is_straight for o in (part.shape.face, part.shape.edge))
        how = "Saw outside the line and smooth down to it." if curved else "Plane the sawn sides flat."
        notes.append(Note("Cut to the outline", f"after the joints, while the faces are still flat and square. {how}"))
    groups: dict[tuple[str, Fraction], list[EdgeCut]] = {}
    for cut in part.shape.edges:
        groups.setdefault((cut.kind, cut.size), []).append(cut)
    for alike in groups.values():
        verb = "Chamfer" if alike[0].kind == "chamfer" else "Round over"
        notes.append(Note(f"{verb} {which_edges(part, alike)},", f"{edge_words(alike[0], edition)}."))
    return tuple(notes)


def which_edges(part: Part, cuts: list[EdgeCut]) -> str:
    """ "all edges", "the four long edges", "the edges round the reference face", or each by its two sides."""
    pairs = {frozenset(cut.sides) for cut in cuts}
    long = {frozenset((edge, face)) for edge in _LONG for face in (Side.BACK, Side.FACE)}
    if pairs == long:
        return f"the {count_word(4)} long edges"
    shape = part.shape
    flat = Side.FACE if shape is None or shape.face is not None or shape.edge is None else Side.UPPER
    for cap in (Side.FACE, Side.BACK, Side.UPPER, Side.LOWER, *_ENDS):
        around = {frozenset((cap, side)) for side in Side if side.axis != cap.axis}
        if pairs == around:
            return f"the edges round the {_name(cap)}"
    caps = {frozenset((c, side)) for c in (flat, flat.opposite) for side in Side if side.axis != flat.axis}
    if len(pairs) == 12 or pairs == caps:
        return "all edges"
    between = "the edge between " if len(cuts) == 1 else "the edges between "
    return between + "; ".join(f"{_name(a)} and {_name(b)}" for a, b in (cut.sides for cut in cuts))


def _name(side: Side) -> str:
    return "reference end" if side is Side.NEAR_END else side_words(side)
