"""Texts of the steps that cut parts to their outline and break their edges."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from planpress.geometry.strokes import Arc, Outline
from planpress.model.records import EdgeCut, Part, Side
from planpress.work.facts import side_words
from planpress.work.guidance import ESTIMATES
from planpress.work.operations import Kind
from planpress.work.saying import Say, listed, times
from planpress.work.telling import StepText, Telling, letters, names

#: A chamfer that takes more off each side (mm) is sawn with the blade tilted, not routed (common practice, no source).
_SAWN = Fraction(8)
_SAME = Fraction(1, 1000)
_LONG = {frozenset((edge, face)) for edge in (Side.LOWER, Side.UPPER) for face in (Side.BACK, Side.FACE)}
_FACES = {frozenset((face, side)) for face in (Side.BACK, Side.FACE) for side in Side if side.axis != 2}


def shape(telling: Telling) -> StepText:
    """Outlines, then chamfers and round-overs, which follow them."""
    parts, say = telling.parts(Kind.SHAPE), telling.say
    actions: list[str] = []
    curved = False
    for part in parts:
        assert part.shape is not None, "the operation exists only for parts with a shape"
        for outline, side in ((part.shape.face, Side.FACE), (part.shape.edge, Side.LOWER)):
            if outline is not None:
                actions.append(_outline(part, outline, side, say))
                curved = curved or not outline.is_straight
    for part in parts:
        assert part.shape is not None
        actions += _edges(part, part.shape.edges, say)
    cut = any(p.shape and (p.shape.face or p.shape.edge) for p in parts)
    cuts = [cut for p in parts if p.shape for cut in p.shape.edges]
    bevelled = any(_is_sawn(cut) for cut in cuts)
    routed = any(not _is_sawn(cut) for cut in cuts)
    saw = ("jigsaw or bandsaw", "spokeshave or rasp") if curved else ("saw", "plane")
    return StepText(
        title=f"Shape the {names(parts)}",
        tools=(
            *(saw if cut else ()),
            *(("saw that tilts",) if bevelled else ()),
            *(("router or block plane",) if routed else ()),
            "sanding block",
        ),
        minutes=ESTIMATES.set_up + ESTIMATES.shape_piece * sum(p.count for p in parts),
        actions=tuple(actions),
        check=(
            f"pieces of {letters(parts)} laid on each other show one outline, within {say.coarse}."
            if any(p.count > 1 for p in parts)
            else f"the shape of {letters(parts)} agrees with the drawing, within {say.fine}."
        ),
        caution=(
            "A router fed the way its bit turns runs away. Clamp the wood and feed against the turning of the bit."
            if routed
            else "Clamp the wood and keep both hands behind the blade."
        ),
    )


def _outline(part: Part, outline: Outline, side: Side, say: Say) -> str:
    """What is drawn, what it is like, and how it is sawn."""
    radii = dict.fromkeys(s.radius for s in outline.strokes if isinstance(s, Arc))
    arcs = f", {listed([f'R {say.joint(r)}' for r in radii])}" if radii else ""
    where = side_words(part, side)
    arcs += "".join(_place_words(part, s, say) for s in outline.strokes if isinstance(s, Arc))
    how = "then plane to the line." if outline.is_straight else "then smooth down to the line."
    return (
        f"Draw the outline of {times(part.letter, part.count)} on the {where} from the drawing{arcs}. Saw outside it,"
        f" {how}"
    )


def _place_words(part: Part, arc: Arc, say: Say) -> str:
    """Where an arc begins and ends that bites into a straight edge, and how deep; "" for other arcs."""
    (u0, s0), (u1, s1) = sorted((arc.start, arc.end))
    rise = abs(arc.middle[1] - s0)
    if abs(s0 - s1) > _SAME or u1 - u0 < 2 * rise or arc.sweep > 180:
        return ""
    return f", from {say.length(u0)} to {say.length(u1)} from the reference end, {say.joint(rise)} high in the middle"


def _edges(part: Part, cuts: Sequence[EdgeCut], say: Say) -> list[str]:
    groups: dict[tuple[str, Fraction], list[EdgeCut]] = {}
    for cut in cuts:
        groups.setdefault((cut.kind, cut.size), []).append(cut)
    out = []
    for (kind, size), alike in groups.items():
        verb = "Chamfer" if kind == "chamfer" else "Round over"
        how = f"{say.joint(size)} off each side" if kind == "chamfer" else f"with a radius of {say.joint(size)}"
        if _is_sawn(alike[0]):
            verb, how = "Bevel", f"{how}, the saw tilted to {say.angle(Fraction(45))}"
        out.append(f"{verb} {_which(part, alike)} of {times(part.letter, part.count)} {how}.")
    return out


def _is_sawn(cut: EdgeCut) -> bool:
    return cut.kind == "chamfer" and cut.size > _SAWN


def _which(part: Part, cuts: Sequence[EdgeCut]) -> str:
    pairs = {frozenset(cut.sides) for cut in cuts}
    if len(pairs) == 12 or pairs == _FACES:
        return "all edges"
    if pairs == _LONG:
        return "the four long edges"
    for cap in Side:
        if pairs == {frozenset((cap, side)) for side in Side if side.axis != cap.axis}:
            return f"the edges round the {side_words(part, cap)}"
    if len(pairs) > 3:
        return "the edges shown in the drawing"
    edges = "the edge between " if len(cuts) == 1 else "the edges between "
    return edges + "; ".join(f"{side_words(part, a)} and {side_words(part, b)}" for a, b in (cut.sides for cut in cuts))
