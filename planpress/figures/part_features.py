"""Which view of a part dimensions which feature: each size once, where it is seen square."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from attrs import field, frozen

from planpress.base.edition import Edition
from planpress.figures.dimensions import Label
from planpress.figures.part_groups import MANY, end_joints, is_end_cut, is_pitched, is_through, lie_of, stops
from planpress.figures.part_notes import NotchKind
from planpress.figures.part_sides import position, positions, reference_line, to_y
from planpress.figures.shape_points import outline_points, positions_along
from planpress.model.records import Hole, Notch, Part, Side, SidePoint
from planpress.model.tenon_sizes import leans_within

Feature = Notch | Hole
_SHORTEST = 100.0  # view on paper that has room for a width sign between its captions


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
        points: of the outline, (u, second): their u is written in the row with the overall length, or below.
    """

    below: tuple[Feature, ...] = field(default=())
    above: tuple[Feature, ...] = field(default=())
    rights: tuple[Upright, ...] = field(default=())
    signs: tuple[NotchKind, ...] = field(default=())
    points: tuple[SidePoint, ...] = field(default=())

    @property
    def has_free_side(self) -> bool:
        """True if callouts find room above or below."""
        return not (self.below and self.above)


def needs_detail(kind: NotchKind, part: Part, scale: Fraction) -> bool:
    """True if the views cannot carry width sign and depth: no lap, skewed, in a face, or small or short."""
    if kind.first.role != "lap" or float(part.length * scale) < _SHORTEST:
        return True
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
    if any(_on_back(n, part) for n in part.notches):
        shown.append(Side.BACK)
    if shown:
        return tuple(shown)
    faced = any(n.side.axis == 2 for n in part.notches) or any(h.side.axis == 2 for h in part.holes)
    bevelled = any(end.bevel != 0 for end in part.ends) or (part.shape is not None and part.shape.edge is not None)
    opens = [n.side for n in part.notches if n.side.axis == 1]
    if faced or bevelled or below in opens:
        return (below,)
    return (below.opposite,) if opens and below.opposite is Side.LOWER else ()


def _is_profile(notch: Notch, part: Part) -> bool:
    """True for a cut in an edge whose profile the face shows."""
    return not is_end_cut(notch) and lie_of(notch, part) == "across"


def _is_faced(notch: Notch, part: Part) -> bool:
    """True for cuts in the face and for what a joint at the end takes away, but for slots that only an edge shows."""
    if notch.side.axis == 1:
        return is_end_cut(notch) and notch.role == "cheek"
    return not _on_back(notch, part)


def _is_square_to(notch: Notch, part: Part) -> bool:
    """True for a cut that only the side it opens on dimensions, not the face."""
    if notch.side.axis == 1:
        return not _is_profile(notch, part) and not _is_faced(notch, part)
    return _on_back(notch, part)


def _on_back(notch: Notch, part: Part) -> bool:
    """True for a cut that must be seen from the back: its own positions, hidden from the face."""
    return notch.side is Side.BACK and notch.role != "lap" and not is_end_cut(notch) and not is_through(notch, part)


def _is_odd(notch: Notch, part: Part) -> bool:
    if is_end_cut(notch):
        return False
    return notch.skew != 0 or notch.across != (Fraction(0), part.thickness)


def is_below(edge: Side, edition: Edition) -> bool:
    """Whether a view stands below that of the face (first angle: the view from above does; that of the back does)."""
    if edge is Side.BACK:
        return True
    return (edge is Side.UPPER) == edition.is_metric


def face_features(part: Part, kinds: tuple[NotchKind, ...], scale: Fraction, edition: Edition) -> Features:
    """What the view of the reference face dimensions."""
    notches = drawn_notches(part, kinds)
    below: list[Feature] = [n for n in notches if n.side is Side.LOWER and _is_profile(n, part)]
    above: list[Feature] = [n for n in notches if n.side is Side.UPPER and _is_profile(n, part)]
    faced: list[Feature] = [n for n in notches if _is_faced(n, part)]
    holes: list[Feature] = [h for h in part.holes if h.side.axis == 2]
    by_edge, across = (below, above) if part.reference_edge is Side.LOWER else (above, below)
    for row in (faced, holes):
        if row and by_edge and not across:
            across += row
        else:
            by_edge += row
    rights: list[Upright] = []
    if not any(needs_detail(kind, part, scale) for kind in kinds):
        rights += [_depth(kind, part, edition) for kind in kinds if kind.first.side.axis == 1]
        rights.append(_size_across(part, part.width, edition))
    rights += _offsets(part, Side.FACE, edition)
    rights += _stops(kinds, part, Side.FACE, edition)
    points = outline_points(part, Side.FACE)
    rights += _heights(points, part, Side.FACE, edition)
    signs = tuple(kind for kind in kinds if not needs_detail(kind, part, scale))
    return Features(tuple(below), tuple(above), tuple(rights), signs, positions_along(points, part.length))


def edge_features(part: Part, kinds: tuple[NotchKind, ...], side: Side, edition: Edition) -> Features:
    """What the view of an edge, or of the back, dimensions: holes and mortises that enter there, grooves that stop."""
    holes: tuple[Feature, ...] = tuple(h for h in part.holes if h.side is side and side.axis == 1)
    notches: tuple[Feature, ...] = tuple(
        n for n in drawn_notches(part, kinds) if n.side is side and positions(n, part) and _is_square_to(n, part)
    )
    rights = (
        [*_offsets(part, side, edition), *_stops(kinds, part, side, edition)]
        if side.axis == 1
        else _stops(kinds, part, side, edition)
    )
    points = outline_points(part, side) if side.axis == 1 else ()
    rights = [*rights, *_heights(points, part, side, edition)]
    return Features(below=(*holes, *notches), rights=tuple(rights), points=positions_along(points, part.length))


def drawn_notches(part: Part, kinds: tuple[NotchKind, ...]) -> tuple[Notch, ...]:
    """The notches whose positions are drawn: of a long row in equal steps only the first two and the last."""
    left_out: set[int] = set()
    for kind in kinds:
        if len(kind.notches) > MANY and is_pitched([position(n, part) for n in kind.notches]):
            left_out |= {id(n) for n in kind.notches[2:-1]}
    for joint in end_joints(part):
        cheeks = joint.of_role("cheek")
        if any(n.skew != 0 for n in cheeks):  # one shoulder and its angle tell where the others are
            told = min(cheeks, key=lambda n: (n.side.axis != 2, not n.side.is_far, not _on_line(n, part)))
            here = [n for n in part.notches if n.role == "cheek" and n.joint == joint.joint]
            unseen = leans_within(told, part) and not _on_line(told, part)  # then the detail of the end tells it
            left_out |= {id(n) for n in here if n != told or unseen}
    return tuple(n for n in part.notches if id(n) not in left_out)


def _on_line(notch: Notch, part: Part) -> bool:
    """True if a cut reaches the line that positions are marked on."""
    low, high = notch.across
    return low <= reference_line(notch.side, part) <= high


def _stops(kinds: tuple[NotchKind, ...], part: Part, side: Side, edition: Edition) -> list[Upright]:
    """How far cuts across a side end short of its borders, each distance once."""
    out: list[Upright] = []
    said: set[tuple[bool, Fraction]] = set()
    y, length = to_y(side, part), float(part.length)
    size = part.thickness if side.axis == 1 else part.width
    for kind in kinds:
        notch = kind.notches[-1]
        if notch.side is not side or notch.role == "lap" or lie_of(notch, part) != "across":
            continue
        at = float(notch.span[1])
        for far, stop in enumerate(stops(notch, part)):
            if stop == 0 or (bool(far), stop) in said:
                continue
            said.add((bool(far), stop))
            border, inner = (size, size - stop) if far else (Fraction(0), stop)
            (y0, u0), (y1, u1) = sorted(((y(border), length), (y(inner), at)))
            out.append(Upright(y0, y1, u0, u1, Label(edition.length(stop))))
    return out


def _heights(points: Sequence[SidePoint], part: Part, side: Side, edition: Edition) -> list[Upright]:
    """How far points of the outline stand from the reference edge or face, each distance once."""
    y, line = to_y(side, part), reference_line(side, part)
    size = part.thickness if side.axis == 1 else part.width
    out: dict[Fraction, Upright] = {}
    for u, second in points:
        if 0 < second < size:
            ends = sorted(((y(second), float(u)), (y(line), float(part.length))))
            label = Label(edition.length(abs(second - line)))
            out.setdefault(second, Upright(ends[0][0], ends[1][0], ends[0][1], ends[1][1], label))
    return list(out.values())


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
