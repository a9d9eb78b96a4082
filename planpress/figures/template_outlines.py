"""What a full-scale template shows of one side of a part: its true outline and where its notches are cut.

All numbers are the model's own, exact. Points are (u, second): along the length from the reference end, and across the
side (v on the faces, w on the edges). `SideView` turns them into paper: the reference end at the bottom, the length
upwards, seen from outside the wood, so that a left-hand part never gets the right-hand one's template.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import cached_property
from typing import Literal

from attrs import frozen

from planpress.figures.part_groups import is_end_cut, lie_of
from planpress.figures.polygon_cuts import Segment2, border, line_without, on_line, without_convex
from planpress.geometry.polygons import Point2, Polygon, cleaned, cut, intersection
from planpress.geometry.rounding import rounded
from planpress.geometry.strokes import Outline
from planpress.geometry.vectors import SAME
from planpress.model.records import EndCut, Hole, Notch, Part, Side

_BEYOND = Fraction(1000)  # how far a cut reaches out of the wood where it is open, mm

#: Sides whose second coordinate runs to the left when they are seen with the length upwards.
_LEFTWARD = (Side.FACE, Side.LOWER)
#: The side of the part at the low and at the high end of the second coordinate.
_BORDERS = {1: (Side.BACK, Side.FACE), 2: (Side.LOWER, Side.UPPER)}


@frozen
class SideView:
    """One side of a part, seen from outside with the reference end at the bottom.

    Attributes:
        side: a face or an edge. across: its size across the length, mm.
    """

    side: Side
    across: Fraction

    def x(self, second: Fraction) -> Fraction:
        """Distance (mm) from the left border of the view."""
        return self.across - second if self.side in _LEFTWARD else second

    @property
    def borders(self) -> tuple[Side, Side]:
        """The sides that bound the view at the low and the high end of the second coordinate."""
        return _BORDERS[self.side.axis]

    def level(self, border: Side) -> Fraction:
        """The second coordinate of a border."""
        return self.across if border.is_far else Fraction(0)

    def is_left(self, border: Side) -> bool:
        """True if that border of the view is the left one on paper."""
        return self.x(self.level(border)) == 0


@frozen
class Cutout:
    """A notch as this side shows it.

    Attributes:
        notch: the model's record.
        kind: "profile": it opens on an edge of this view, which shows its depth; "band": it opens on this side.
        area: the waste, a convex polygon. walls: the lines to cut on. mouth: where it is open, on the border.
        border: the side that a profile opens on, None for a band.
    """

    notch: Notch
    kind: Literal["profile", "band"]
    area: Polygon
    walls: tuple[Segment2, ...]
    mouth: tuple[Segment2, ...]
    border: Side | None

    @property
    def span(self) -> tuple[Fraction, Fraction]:
        """Least and greatest u."""
        us = [p[0] for p in self.area]
        return min(us), max(us)

    def crossing(self, second: Fraction) -> tuple[Fraction, Fraction]:
        """Near and far u along the line of a second coordinate, or of the nearest one that the notch reaches."""
        if self.kind == "profile":
            return self.span
        low, high = self.notch.across
        return self.notch.shoulders(min(max(second, low), high))


@frozen
class TemplateOutline:
    """One side of a part at true size, in model coordinates.

    Attributes:
        letter: of the part. view: which side and how it lies on paper.
        length: of the part, mm. ends: its end cuts.
        blank: the side before its notches, anticlockwise in (u, second).
        outline: the side less the notches seen in profile, the same way round.
        cutouts: notches in order along the length. holes: that enter on this side.
        shaped: lines of the part's curved outline inside the blank; removed: stretches of the blank's border that it
            takes away.
    """

    letter: str
    view: SideView
    length: Fraction
    ends: tuple[EndCut, EndCut]
    blank: Polygon
    outline: Polygon
    cutouts: tuple[Cutout, ...]
    holes: tuple[Hole, ...]
    shaped: tuple[Segment2, ...] = ()
    removed: tuple[Segment2, ...] = ()

    def paper(self, point: Point2) -> tuple[float, float]:
        """A point in mm on paper: x from the left border of the view, y from the reference end upwards."""
        return float(self.view.x(point[1])), float(point[0])

    @cached_property
    def border_lines(self) -> tuple[Segment2, ...]:
        """The outline as lines, without the stretches at which a band is open."""
        n = len(self.outline)
        lines = [(self.outline[i], self.outline[(i + 1) % n]) for i in range(n)]
        for cutout in self.cutouts:
            if cutout.kind == "band":
                for opening in cutout.mouth:
                    lines = [rest for line in lines for rest in line_without(line, opening)]
        for opening in self.removed:
            lines = [rest for line in lines for rest in line_without(line, opening)]
        return tuple(lines)

    @cached_property
    def shaped_runs(self) -> tuple[tuple[Segment2, ...], ...]:
        """The runs of the curved outline, from border to border."""
        runs: list[list[Segment2]] = []
        for line in self.shaped:
            if runs and runs[-1][-1][1] == line[0]:
                runs[-1].append(line)
            else:
                runs.append([line])
        return tuple(map(tuple, runs))

    @cached_property
    def shaped_spans(self) -> tuple[tuple[Fraction, Fraction], ...]:
        """Least and greatest u of each run of the curved outline."""
        return tuple((min(p[0] for a in run for p in a), max(p[0] for a in run for p in a)) for run in self.shaped_runs)

    def wall_lines(self) -> tuple[Segment2, ...]:
        """The shoulders of notches that open on this side (those seen in profile belong to the outline)."""
        return tuple(w for c in self.cutouts if c.kind == "band" for w in c.walls)

    def end_reach(self, side: Side) -> tuple[Fraction, Fraction]:
        """Least and greatest u of the near or far end on this side; they differ where it is not square to it."""
        us = sorted(p[0] for p in _end_line(self.blank, side is Side.FAR_END))
        return us[0], us[-1]


def shown_sides(part: Part) -> tuple[Side, ...]:
    """The sides to make templates of so that every notch and curve appears on one; none for a straight part without.

    A straight notch across an edge is seen in profile on a face; any other is marked on the side it opens on. Cuts that
    a gauge, a fence or a saw's table sets are not marked by a template.
    """
    wanted: list[Side] = []
    profile = False
    for notch in part.notches:
        if not is_marked(notch, part):
            continue
        if _in_profile(notch, part):
            profile = True
        elif notch.side not in wanted:
            wanted.append(notch.side)
    for axis, plain in ((2, Side.FACE), (1, Side.LOWER)):
        needed = _curved(part, axis) is not None or (profile and axis == 2)
        if needed and not any(side.axis == axis for side in wanted):
            wanted.append(plain)
    return tuple(side for side in (Side.FACE, Side.BACK, Side.UPPER, Side.LOWER) if side in wanted)


def is_marked(notch: Notch, part: Part) -> bool:
    """True for a cut that a template marks.

    Not cheeks, saw cuts, cleared corners, hidden slots; nor grooves, rabbets and housings that a fence or a
    straightedge square to the edge guides.
    """
    if notch.role in ("cheek", "kerf", "corner") or notch.start > 0 or notch.side.axis == 0:
        return False
    if notch.role in ("housing", "rabbet", "groove") and notch.skew == 0:
        return False
    return is_end_cut(notch) or lie_of(notch, part) != "along"


def template_outline(part: Part, side: Side) -> TemplateOutline:
    """The outline of one side with the notches that it shows.

    Notches in profile appear on the first of the part's shown faces only.

    Raises:
        OutlineError: if the notches cut the side in two.
    """
    view = SideView(side, part.thickness if side.axis == 1 else part.width)
    blank = _blank(part, view)
    outline = blank
    carries_profiles = side is next((s for s in shown_sides(part) if s.axis == 2), None)
    cutouts = []
    for notch in part.notches:
        if not is_marked(notch, part):
            continue
        if notch.side is side:
            cutouts.append(_band(notch, blank))
        elif carries_profiles and _in_profile(notch, part):
            opened = _opened_profile(notch, view)
            cutouts.append(_profile(notch, view, blank, opened))
            outline = without_convex(outline, opened)
    holes = tuple(hole for hole in part.holes if hole.side is side)
    shaped, removed = _shape(part, side, blank)
    return TemplateOutline(
        part.letter, view, part.length, part.ends, blank, outline, tuple(cutouts), holes, shaped, removed
    )


def _curved(part: Part, axis: int) -> Outline | None:
    """The curved outline that the faces (axis 2) or the edges (1) show; None if it is straight."""
    outline = None if part.shape is None else part.shape.face if axis == 2 else part.shape.edge
    return None if outline is None or outline.is_straight else outline


def _shape(part: Part, side: Side, blank: Polygon) -> tuple[tuple[Segment2, ...], tuple[Segment2, ...]]:
    """Lines of a curved outline inside the blank, and the stretches of its border that they take away.

    Both faces, or both edges, show the same outline; it stands on the first of them that has a template.
    """
    outline = _curved(part, side.axis)
    if outline is None or side is not next(one for one in shown_sides(part) if one.axis == side.axis):
        return (), ()
    polygon, around = outline.polygon, border(blank)
    lines = [(polygon[i], polygon[(i + 1) % len(polygon)]) for i in range(len(polygon))]
    kept = [line for line in lines if any(on_line(line[0], one) and on_line(line[1], one) for one in around)]
    removed = list(around)
    for line in kept:
        removed = [rest for one in removed for rest in line_without(one, line)]
    on_border = frozenset(kept)
    start = next((i for i, line in enumerate(lines) if line in on_border), 0)
    return tuple(line for line in [*lines[start:], *lines[:start]] if line not in on_border), tuple(removed)


def _blank(part: Part, view: SideView) -> Polygon:
    """The side of the part trimmed by its end cuts."""
    length, across = part.length, view.across
    zero = Fraction(0)
    polygon: Polygon = ((zero, zero), (length, zero), (length, across), (zero, across))
    fixed = view.side.axis
    second = 3 - fixed
    level = part.size_along(fixed) if view.side.is_far else zero
    for end in part.ends:
        if not end.is_square:
            offset = sum((n * p for n, p in zip(end.normal, end.point, strict=True)), zero)
            polygon = cut(polygon, (end.normal[0], end.normal[second]), offset - end.normal[fixed] * level)
    return cleaned(polygon)


def _in_profile(notch: Notch, part: Part) -> bool:
    """True for a notch straight across an edge: both faces show the same profile."""
    if notch.side.axis != 1 or notch.skew != 0 or notch.across != (Fraction(0), part.thickness):
        return False
    at_back, at_face = (notch.shoulders(w) for w in (Fraction(0), part.thickness))
    return all(
        abs(a - b) <= SAME
        for a, b, end in zip(at_back, at_face, (Side.NEAR_END, Side.FAR_END), strict=True)
        if notch.open_end is not end
    )


def _opened_profile(notch: Notch, view: SideView) -> Polygon:
    """The profile, reaching out of the wood wherever it is open."""
    near, far = notch.shoulders(notch.across[0])
    if notch.open_end is Side.NEAR_END:
        near -= _BEYOND
    elif notch.open_end is Side.FAR_END:
        far += _BEYOND
    edge = view.level(notch.side)
    low, high = (edge - notch.depth, edge + _BEYOND) if notch.side.is_far else (edge - _BEYOND, edge + notch.depth)
    return ((near, low), (far, low), (far, high), (near, high))


def _profile(notch: Notch, view: SideView, blank: Polygon, opened: Polygon) -> Cutout:
    area = cleaned(intersection(blank, opened))
    walls, mouth = _walls_and_mouth(area, blank)
    return Cutout(notch, "profile", area, walls, mouth, notch.side)


def _band(notch: Notch, blank: Polygon) -> Cutout:
    area = cleaned(_round(notch))
    walls, mouth = _walls_and_mouth(area, blank)
    return Cutout(notch, "band", area, walls, mouth, None)


def _round(notch: Notch) -> Polygon:
    """The outline with its corners rounded."""
    if not notch.radius:
        return notch.outline
    corners = [(float(u), float(s)) for u, s in notch.outline]
    return tuple((Fraction(repr(x)), Fraction(repr(y))) for x, y in rounded(corners, float(notch.radius)))


def _walls_and_mouth(area: Polygon, blank: Polygon) -> tuple[tuple[Segment2, ...], tuple[Segment2, ...]]:
    """Sort the sides of a notch: those on the border of the blank are open."""
    walls: list[Segment2] = []
    mouth: list[Segment2] = []
    n = len(area)
    for i in range(n):
        a, b = area[i], area[(i + 1) % n]
        on_border = any(on_line(a, side) and on_line(b, side) for side in border(blank))
        (mouth if on_border else walls).append((a, b))
    return tuple(walls), tuple(mouth)


def _end_line(blank: Polygon, far: bool) -> Segment2:
    """The side of the blank at an end: the one that joins the two borders there."""
    crossing = [line for line in border(blank) if line[0][1] != line[1][1]]

    def middle(line: Segment2) -> Fraction:
        return line[0][0] + line[1][0]

    return max(crossing, key=middle) if far else min(crossing, key=middle)


def end_points(outline: Sequence[Point2], end: Segment2) -> Segment2:
    """The longest line of an outline that lies on an end: where the mark of the reference end goes."""
    n = len(outline)
    lines = [(outline[i], outline[(i + 1) % n]) for i in range(n)]
    on_end = [line for line in lines if on_line(line[0], end) and on_line(line[1], end)]
    return max(on_end, key=lambda line: abs(line[0][1] - line[1][1]), default=end)


def end_line(view: TemplateOutline, side: Side) -> Segment2:
    """The line of the near or far end before the notches."""
    return _end_line(view.blank, side is Side.FAR_END)
