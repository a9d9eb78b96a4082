"""From a described shape to exact outlines and edge cuts of one stick.

Every shorthand becomes an outline: a taper of the width one of the face, a taper of the thickness one of the edge,
rounded corners an outline of the face.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from attrs import evolve, frozen

from planpress.base.diagnostics import Place
from planpress.base.quantities import LENGTH, Quantity
from planpress.description import records as described
from planpress.description import shape_records as drawn
from planpress.description.faults import FormulaError, formula_error
from planpress.description.formulas import Formula
from planpress.geometry.polygons import Point2, area
from planpress.geometry.polygons import cut as cut_polygon
from planpress.geometry.strokes import (
    Line,
    Outline,
    Stroke,
    anticlockwise,
    arc_of_radius,
    arc_of_rise,
    fair_curve,
)
from planpress.geometry.vectors import SAME
from planpress.model.corner_cuts import cut_corners
from planpress.model.edge_cuts import check_edges
from planpress.model.records import EdgeCut, Shape, Side

_SIDES = {
    "start": Side.NEAR_END,
    "end": Side.FAR_END,
    "lower": Side.LOWER,
    "upper": Side.UPPER,
    "back": Side.BACK,
    "face": Side.FACE,
}
_ZERO = Fraction(0)


@frozen
class Stick:
    """What a shape is cut from: finished sizes in mm, and the lines that its ends leave on the face, as (normal,
    offset) each: None for an end that leans through the thickness."""

    length: Fraction
    width: Fraction
    thickness: Fraction
    ends: tuple[tuple[Point2, Fraction] | None, tuple[Point2, Fraction] | None]

    @property
    def has_square_ends(self) -> bool:
        """True if both ends are plain crosscuts."""
        return all(end is not None and end[0][1] == 0 for end in self.ends)


def shape_of(part: described.Part, shape: drawn.Shape, stick: Stick, known: Mapping[str, Quantity]) -> Shape:
    """The shape of one piece.

    Args:
        known: values of the plan and of the piece's repeats; the stick's own sizes are added.

    Raises:
        FormulaError: if the outline leaves the stick, crosses itself, or a cut does not fit.
    """
    sizes = zip(drawn.OWN_SIZES, (stick.length, stick.width, stick.thickness), strict=True)
    names = {**known, **{name: Quantity(size, LENGTH) for name, size in sizes}}
    face = _face(part, shape, stick, names)
    edge = _tapered(part, shape.tapers, 2, stick, names)
    edge_outline = None if edge is None else _polygon(edge)
    for outline in shape.outlines:
        closed = _drawn(part, outline, stick, names)
        if outline.on == "face":
            face = closed
        else:
            edge_outline = closed
    out = Shape(face, edge_outline, ())
    cuts: dict[tuple[Side, Side], tuple[EdgeCut, drawn.EdgeCut]] = {}
    for described_cut in shape.edges:
        size = _positive(described_cut.size, names)
        for a, b in described_cut.edges:
            sides = _sides(a, b)
            kind = "chamfer" if described_cut.kind == "chamfer" else "round-over"
            cuts[sides] = (EdgeCut(sides, kind, size), described_cut)  # type: ignore[arg-type]
    kept = check_edges(part.name, out, (stick.length, stick.width, stick.thickness), stick.has_square_ends, cuts)
    return evolve(out, edges=kept)


def unreached(shape: Shape, stick: Stick) -> list[tuple[str, Fraction, Fraction, Fraction]]:
    """Sizes that an outline does not fill: word, size, and where the outline begins and ends along it (mm)."""
    out = []
    for outline, word, second in ((shape.face, "width", stick.width), (shape.edge, "thickness", stick.thickness)):
        if outline is None:
            continue
        for axis, (name, size) in enumerate((("length", stick.length), (word, second))):
            values = [p[axis] for p in outline.polygon]
            if min(values) > Fraction(1, 20) or max(values) < size - Fraction(1, 20):
                out.append((name, size, min(values), max(values)))
    return out


def _sides(a: str, b: str) -> tuple[Side, Side]:
    order = list(Side)
    first, second = sorted((_SIDES[a], _SIDES[b]), key=order.index)
    return first, second


def _positive(formula: Formula, names: Mapping[str, Quantity]) -> Fraction:
    value = formula.quantity(names, LENGTH).value
    if value <= 0:
        raise _fault(f"'{formula.text}' comes out as {float(value):g} mm; a size must be positive", formula.place)
    return value


def _fault(message: str, place: Place, hint: str = "") -> FormulaError:
    return formula_error("shape", message, place, hint=hint)


def _polygon(corners: Sequence[Point2]) -> Outline:
    return Outline(tuple(Line(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)))


def _face(part: described.Part, shape: drawn.Shape, stick: Stick, names: Mapping[str, Quantity]) -> Outline | None:
    """The outline of the face that tapers and corners give."""
    tapered = _tapered(part, shape.tapers, 1, stick, names)
    if not shape.corners:
        return None if tapered is None else _polygon(tapered)
    corners = tapered or _box(stick.length, stick.width)
    for end in stick.ends:
        if end is None:
            raise _fault(
                f"the corners of '{part.name}' cannot be cut: its end leans through the thickness",
                shape.corners[0].place,
                "draw its outline",
            )
        corners = cut_polygon(corners, *end)
    named: dict[tuple[str, str], tuple[str, Fraction]] = {}
    for corner_cut in shape.corners:
        size = _positive(corner_cut.size, names)
        named.update(dict.fromkeys(corner_cut.corners, (corner_cut.kind, size)))
    cuts: dict[int, tuple[str, Fraction]] = {}
    for (end_word, edge_word), cut in named.items():
        normal, offset = stick.ends[0 if end_word == "start" else 1]  # type: ignore[misc]
        at_end = [i for i, p in enumerate(corners) if abs(normal[0] * p[0] + normal[1] * p[1] - offset) <= 10 * SAME]
        pick = min if edge_word == "lower" else max
        cuts[pick(at_end, key=lambda i: corners[i][1])] = cut
    try:
        return Outline(tuple(cut_corners(corners, cuts)))
    except ValueError as fault:
        raise _fault(f"the corners of '{part.name}': {fault}", shape.corners[0].place) from None


def _box(length: Fraction, across: Fraction) -> tuple[Point2, ...]:
    return (_ZERO, _ZERO), (length, _ZERO), (length, across), (_ZERO, across)


def _tapered(
    part: described.Part, tapers: Sequence[drawn.Taper], axis: int, stick: Stick, names: Mapping[str, Quantity]
) -> tuple[Point2, ...] | None:
    """Corners of the stick with its tapers, seen on the face (axis 1) or edge (axis 2), anticlockwise; None: no taper.

    The lower and upper lines start as the stick's and get a bend and an end point for each taper.
    """
    length, full = stick.length, (stick.length, stick.width, stick.thickness)[axis]
    word, low_word, high_word = (("width", "lower edge", "upper edge"), ("thickness", "back", "face"))[axis - 1]
    low, high = [(_ZERO, _ZERO), (length, _ZERO)], [(_ZERO, full), (length, full)]
    reaches = {"start": _ZERO, "end": _ZERO}
    for taper in tapers:
        formula = taper.width if axis == 1 else taper.thickness
        if formula is None:
            continue
        least = _positive(formula, names)
        begins = _ZERO if taper.begins is None else taper.begins.quantity(names, LENGTH).value
        if least >= full:
            raise _fault(
                f"the taper of '{part.name}' ends with a {word} of {float(least):g} mm; the stick has"
                f" {float(full):g} mm",
                formula.place,
            )
        if not 0 <= begins < length:
            where = (taper.begins or formula).place
            raise _fault(
                f"the taper of '{part.name}' begins {float(begins):g} mm from its other end, outside it", where
            )
        if reaches[taper.towards]:
            raise _fault(f"'{part.name}' has two tapers of its {word} towards its {taper.towards}", taper.place)
        reaches[taper.towards] = length - begins
        cuts_low, cuts_high = low_word in taper.sides, high_word in taper.sides
        if cuts_low == cuts_high:
            cuts_low = cuts_high = True
        off = (full - least) / (2 if cuts_low and cuts_high else 1)
        at_end = taper.towards == "end"
        bend = begins if at_end else length - begins
        for cuts, line, level, sign in ((cuts_low, low, _ZERO, 1), (cuts_high, high, full, -1)):
            if cuts:
                tip = (length if at_end else _ZERO, level + sign * off)
                line[-1 if at_end else 0] = tip
                if begins:
                    line.insert(len(line) - 1 if at_end else 1, (bend, level))
    if not any(reaches.values()):
        return None
    if sum(reaches.values()) > length:
        raise _fault(f"the two tapers of '{part.name}' run into each other", tapers[-1].place)
    corners = [*low, *reversed(high)]
    return tuple(p for i, p in enumerate(corners) if p != corners[i - 1])


def _drawn(part: described.Part, outline: drawn.Outline, stick: Stick, names: Mapping[str, Quantity]) -> Outline:
    """An outline as the maker drew it."""

    def point(pair: drawn.Pair) -> Point2:
        return pair[0].quantity(names, LENGTH).value, pair[1].quantity(names, LENGTH).value

    start = point(outline.start)
    rough = [start, *(point(pair) for stroke in outline.path for pair in (*stroke.through, stroke.to))]
    way = 1 if area(rough) >= 0 else -1  # two arcs alone have no area yet: taken anticlockwise
    strokes: list[Stroke] = []
    here = start
    for stroke in outline.path:
        to = point(stroke.to)
        try:
            strokes.append(_stroke(stroke, here, to, [point(pair) for pair in stroke.through], way, names))
        except ValueError as fault:
            raise _fault(f"the outline of '{part.name}': {fault}", stroke.place) from None
        here = to
    if here != start:
        strokes.append(Line(here, start))
    try:
        closed = anticlockwise(strokes)
    except ValueError:
        raise _fault(f"the outline of '{part.name}' encloses nothing", outline.place) from None
    across = (stick.width, "width") if outline.on == "face" else (stick.thickness, "thickness")
    for axis, (size, word) in enumerate(((stick.length, "length"), across)):
        values = [p[axis] for p in closed.polygon]
        for value in (min(values), max(values)):
            if not -SAME <= value <= size + SAME:
                raise _fault(
                    f"the outline of '{part.name}' reaches {float(value):.2f} mm along its {word},"
                    f" which runs from 0 to {float(size):.2f} mm",
                    outline.place,
                    f"keep it within the stick, or make the {word} larger",
                )
    from planpress.geometry.stroke_crossings import crossing  # loads numpy, which most plans can be solved without

    hit = crossing(closed)
    if hit is not None:
        raise _fault(
            f"the outline of '{part.name}' crosses itself near ({hit[0]:.1f} mm, {hit[1]:.1f} mm)", outline.place
        )
    return closed


def _stroke(
    stroke: drawn.Stroke, here: Point2, to: Point2, through: list[Point2], way: int, names: Mapping[str, Quantity]
) -> Stroke:
    if stroke.kind == "line":
        if here == to:
            raise ValueError("a line needs two different ends")
        return Line(here, to)
    if stroke.kind == "curve":
        return fair_curve([here, *through, to])
    turn = way if stroke.kind == "round" else -way
    if stroke.radius is not None:
        return arc_of_radius(here, to, _positive(stroke.radius, names), turn)
    if stroke.rise is None:
        raise ValueError("an arc needs a radius or a rise")
    return arc_of_rise(here, to, _positive(stroke.rise, names), turn)
