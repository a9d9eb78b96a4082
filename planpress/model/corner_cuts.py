"""Corners of a straight outline rounded or cut off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from planpress.geometry.polygons import Point2
from planpress.geometry.strokes import Arc, Line, Stroke
from planpress.geometry.vectors import SAME, root, trimmed


def cut_corners(corners: Sequence[Point2], cuts: Mapping[int, tuple[str, Fraction]]) -> list[Stroke]:
    """The strokes of a convex anticlockwise polygon with some corners cut.

    Args:
        cuts: for the index of a corner, ("round", radius) or ("chamfer", what is taken off both sides), mm.

    Raises:
        ValueError: if the cuts of two neighbouring corners do not fit on the side between them.
    """
    count = len(corners)
    units, lengths = [], []
    for i in range(count):
        (ax, ay), (bx, by) = corners[i], corners[(i + 1) % count]
        length = root((bx - ax) ** 2 + (by - ay) ** 2)
        lengths.append(length)
        units.append((trimmed((bx - ax) / length), trimmed((by - ay) / length)))
    reach = [_reach(cuts[i], units[i - 1], units[i]) if i in cuts else Fraction(0) for i in range(count)]
    for i in range(count):
        wanted = reach[i] + reach[(i + 1) % count]
        if wanted > lengths[i] + SAME:
            raise ValueError(f"its cuts need {float(wanted):.2f} mm of a side of {float(lengths[i]):.2f} mm")
    strokes: list[Stroke] = []
    for i in range(count):
        corner, unit = corners[i], units[i]
        k = (i + 1) % count
        if i in cuts:
            kind, size = cuts[i]
            start, end = _along(corner, units[i - 1], -reach[i]), _along(corner, unit, reach[i])
            if kind == "round":
                inward = (-units[i - 1][1], units[i - 1][0])
                strokes.append(Arc(start, end, _along(start, inward, size), size, 1))
            else:
                strokes.append(Line(start, end))
        if lengths[i] - reach[i] - reach[k] > SAME:
            strokes.append(Line(_along(corner, unit, reach[i]), _along(corners[k], unit, -reach[k])))
    return strokes


def _reach(cut: tuple[str, Fraction], before: Point2, after: Point2) -> Fraction:
    """How far along both sides a cut goes: for a radius r in a corner that turns by t, r tan(t / 2)."""
    kind, size = cut
    if kind == "chamfer":
        return size
    cosine = before[0] * after[0] + before[1] * after[1]
    return trimmed(size * root((1 - cosine) / (1 + cosine)))


def _along(p: Point2, unit: Point2, distance: Fraction) -> Point2:
    return trimmed(p[0] + unit[0] * distance), trimmed(p[1] + unit[1] * distance)
