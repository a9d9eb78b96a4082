"""How much wood the outlines of a part take away; exact."""

from __future__ import annotations

import itertools
from fractions import Fraction

from planpress.geometry.strokes import Outline
from planpress.model.records import Shape


def lost_to_shape(shape: Shape, length: Fraction, width: Fraction, thickness: Fraction) -> Fraction:
    """Volume (mm3) that outlines take from the stick with square ends; edge cuts are too small to count.

    Between neighbouring corners of the two outlines both heights are linear in u, so that Simpson's rule is exact.
    """
    outlines = [o for o in (shape.face, shape.edge) if o is not None]
    levels = sorted({Fraction(0), length, *(p[0] for o in outlines for p in o.polygon)})
    kept = Fraction(0)
    for low, high in itertools.pairwise(levels):
        nudge = (high - low) / 10**6  # inside the strip: an outline may step at its ends
        samples = []
        for u in (low + nudge, (low + high) / 2, high - nudge):
            across = width if shape.face is None else _chord(shape.face, u)
            deep = thickness if shape.edge is None else _chord(shape.edge, u)
            samples.append(across * deep)
        kept += (high - low) * (samples[0] + 4 * samples[1] + samples[2]) / 6
    return length * width * thickness - kept


def _chord(outline: Outline, u: Fraction) -> Fraction:
    """How much of the line across at u lies in the outline, mm."""
    total = Fraction(0)
    corners = outline.polygon
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        if (a[0] <= u) != (b[0] <= u):
            second = a[1] + (b[1] - a[1]) * (u - a[0]) / (b[0] - a[0])
            total += second if b[0] < a[0] else -second
    return total
