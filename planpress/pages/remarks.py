"""The remarks of the parts table, from the model: what is special about a part, in a few words.

The maker's own remark comes first. Of the others as many are printed as the column holds, the most telling first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from planpress.base.display import Face
from planpress.base.printing import write_angle
from planpress.figures.shape_points import is_rounded
from planpress.model.records import EndCut, Notch, Part, Side
from planpress.pages.typography import width_of
from planpress.pages.wording import counted

_SIDES = {
    Side.LOWER: "lower edge",
    Side.UPPER: "upper edge",
    Side.FACE: "reference face",
    Side.BACK: "back",
    Side.NEAR_END: "reference end",
    Side.FAR_END: "far end",
}


def remark(part: Part, width: float, size: float = 9.5) -> str:
    """The remark of a part as far as two lines of `width` mm have room for it."""
    chosen: list[str] = []
    for words in remarks(part):
        line = "; ".join([*chosen, words])
        if chosen and width_of(line, Face.REGULAR, size) > width:
            break
        chosen.append(words)
    return "; ".join(chosen)


def remarks(part: Part) -> tuple[str, ...]:
    """Everything to remark on a part, the most important first."""
    out = [part.remark, _mirror(part), "fit in place" if part.fit_in_place else ""]
    if not part.mirror_of:
        out.append(_shape(part))
        out += [_notches(part.notches), _ends(part.ends), _holes(part)]
    return tuple(words for words in out if words)


def _mirror(part: Part) -> str:
    return f"mirror image of\u00a0{part.mirror_of}" if part.mirror_of else ""


def _notches(notches: Sequence[Notch]) -> str:
    """ "3 notches, lower edge"; sides in the order of the notches."""
    counts = Counter(notch.side for notch in notches)
    if not counts:
        return ""
    if len(counts) == 1:
        side, count = next(iter(counts.items()))
        return f"{counted(count, 'notch')}, {_SIDES[side]}"
    return f"{counted(len(notches), 'notch')} in {counted(len(counts), 'side')}"


def _ends(ends: tuple[EndCut, EndCut]) -> str:
    """ "ends cut 6°, parallel", "ends cut 45°, long edge given", "one end cut 6°"."""
    angles = [angle for end in ends for angle in (end.mitre, end.bevel) if angle]
    if not angles:
        return ""
    oblique = [end for end in ends if not end.is_square]
    sizes = list(dict.fromkeys(write_angle(abs(angle)) for angle in angles))
    if len(oblique) == 1:
        return f"one end cut {' and '.join(sizes)}"
    if any(end.mitre and end.bevel for end in ends):
        return "ends cut at two angles"
    if len(sizes) > 1:
        return f"ends cut {' and '.join(sizes)}"
    near, far = ends
    parallel = near.mitre == -far.mitre and near.bevel == -far.bevel
    return f"ends cut {sizes[0]}, {'parallel' if parallel else 'long edge given'}"


def _shape(part: Part) -> str:
    """ "rounded corners", "curved edge", "tapered", "edges rounded over", "edges chamfered"."""
    if part.shape is None:
        return ""
    outlines = [outline for outline in (part.shape.face, part.shape.edge) if outline is not None]
    if any(not is_rounded(outline) for outline in outlines if not outline.is_straight):
        return "curved edge"
    if any(not outline.is_straight for outline in outlines):
        return "rounded corners"
    if outlines:
        return "tapered" if all(outline.is_convex for outline in outlines) else "cut to an outline"
    kinds = [cut.kind for cut in part.shape.edges]
    if not kinds:
        return ""
    done = "chamfered" if kinds[0] == "chamfer" else "rounded over"
    return f"{'edge' if len(kinds) == 1 else 'edges'} {done}"


def _holes(part: Part) -> str:
    return counted(len(part.holes), "hole") if part.holes else ""
