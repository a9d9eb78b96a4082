"""Which view of a part dimensions which feature: each size once, where it is seen square."""

from __future__ import annotations

from fractions import Fraction

from attrs import field, frozen

from planpress.base.edition import Edition
from planpress.figures.dimensions import Label
from planpress.figures.part_notes import NotchKind
from planpress.figures.part_sides import reference_line, to_y
from planpress.model.records import Hole, Notch, Part, Side

Feature = Notch | Hole


@frozen
class Upright:
    """A size across a view, dimensioned at its right end: from y = low to high; extension lines start at low_u, high_u.

    All in mm, true size, in the coordinates of the view.
    """

    low: float
    high: float
    low_u: float
    high_u: float
    label: Label


@frozen
class Features:
    """What one view dimensions.

    Attributes:
        below, above: notches or holes whose positions are written in a row on that side of the view.
        signs: notches to mark with the sign of their width, as no detail does.
        rights: sizes across, at the right end.
    """

    below: tuple[Feature, ...] = field(default=())
    above: tuple[Feature, ...] = field(default=())
    rights: tuple[Upright, ...] = field(default=())
    signs: tuple[NotchKind, ...] = field(default=())

    @property
    def has_free_side(self) -> bool:
        """True if callouts find room above or below."""
        return not (self.below and self.above)


def needs_detail(kind: NotchKind, scale: Fraction) -> bool:
    """True if the views cannot carry width sign and depth: skewed, in a face, or small."""
    return kind.first.skew != 0 or kind.first.side.axis == 2 or scale < Fraction(1, 3)


def edge_sides(part: Part, edition: Edition) -> tuple[Side, ...]:
    """The edges to show besides the face: those with notches or holes, else the one whose view stands below.

    None if the face tells all: a plain part, or notches square through the whole thickness on the other edge.
    """
    below = Side.UPPER if edition.is_metric else Side.LOWER
    shown = [
        side
        for side in (below.opposite, below)
        if any(h.side is side for h in part.holes) or any(_is_odd(n, part) for n in part.notches if n.side is side)
    ]
    if shown:
        return tuple(shown)
    faced = any(n.side.axis == 2 for n in part.notches) or any(h.side.axis == 2 for h in part.holes)
    bevelled = any(end.bevel != 0 for end in part.ends)
    opens = [n.side for n in part.notches if n.side.axis == 1]
    if faced or bevelled or below in opens:
        return (below,)
    return (below.opposite,) if opens and below.opposite is Side.LOWER else ()


def _is_odd(notch: Notch, part: Part) -> bool:
    return notch.skew != 0 or notch.across != (Fraction(0), part.thickness)


def is_below(edge: Side, edition: Edition) -> bool:
    """Whether the view of an edge stands below that of the face (first angle: the view from above does)."""
    return (edge is Side.UPPER) == edition.is_metric


def face_features(part: Part, kinds: tuple[NotchKind, ...], scale: Fraction, edition: Edition) -> Features:
    """What the view of the reference face dimensions."""
    below: list[Feature] = [n for n in part.notches if n.side is Side.LOWER]
    above: list[Feature] = [n for n in part.notches if n.side is Side.UPPER]
    faced: list[Feature] = [n for n in part.notches if n.side.axis == 2]
    holes: list[Feature] = [h for h in part.holes if h.side.axis == 2]
    by_edge, across = (below, above) if part.reference_edge is Side.LOWER else (above, below)
    for row in (faced, holes):
        if row and by_edge and not across:
            across += row
        else:
            by_edge += row
    rights: list[Upright] = []
    if not any(needs_detail(kind, scale) for kind in kinds):
        rights += [_depth(kind, part, edition) for kind in kinds if kind.first.side.axis == 1]
        rights.append(_size_across(part, part.width, edition))
    rights += _offsets(part, Side.FACE, edition)
    signs = tuple(kind for kind in kinds if not needs_detail(kind, scale))
    return Features(tuple(below), tuple(above), tuple(rights), signs)


def edge_features(part: Part, side: Side, edition: Edition) -> Features:
    """What the view of an edge dimensions: holes that enter there."""
    holes: tuple[Feature, ...] = tuple(h for h in part.holes if h.side is side)
    return Features(below=holes, rights=tuple(_offsets(part, side, edition)))


def _depth(kind: NotchKind, part: Part, edition: Edition) -> Upright:
    notch = kind.notches[-1]
    depth, width, length = float(notch.depth), float(part.width), float(part.length)
    right = float(notch.span[1])
    label = Label(edition.joint(notch.depth))
    if notch.side is Side.UPPER:
        return Upright(width - depth, width, right, length, label)
    return Upright(0.0, depth, length, right, label)


def _size_across(part: Part, size: Fraction, edition: Edition) -> Upright:
    length = float(part.length)
    return Upright(0.0, float(size), length, length, Label(edition.length(size)))


def _offsets(part: Part, side: Side, edition: Edition) -> list[Upright]:
    """How far holes stand from the reference edge (in a face) or the reference face (in an edge), each once."""
    y = to_y(side, part)
    line = reference_line(side, part)
    found: dict[Fraction, Fraction] = {}
    for hole in part.holes:
        if hole.side is side or (side is Side.FACE and hole.side is Side.BACK):
            second = hole.at[1]
            found[second] = max(found.get(second, Fraction(0)), hole.at[0])
    length = float(part.length)
    out = []
    for second, u in found.items():
        if second == line:
            continue
        ends = sorted(((y(second), float(u)), (y(line), length)))
        label = Label(edition.length(abs(second - line)))
        out.append(Upright(ends[0][0], ends[1][0], ends[0][1], ends[1][1], label))
    return out
