"""Long slim parts are drawn shortened: stretches without features are left out between break lines."""

from __future__ import annotations

from fractions import Fraction

from planpress.figures.part_paint import BREAK_GAP
from planpress.figures.part_sides import end_u
from planpress.model.records import Part

SLIMMEST = 3.0  # parts lower than this on paper at the scale of their length are shortened
TALLEST_SHORTENED = 12.0
LONGEST = 170.0  # drawn whole up to this length on paper
_KEPT_FIRST = 24.0  # paper kept on each side of the first break: marks find room there
_KEPT = 10.0  # of the others
_WORTH = 8.0


def left_out(part: Part, scale: Fraction) -> tuple[tuple[float, float], ...]:
    """Stretches of u (mm) to leave out at this scale; none if the part fits the page whole."""
    s = float(scale)
    if float(part.length) * s <= LONGEST:
        return ()
    out: list[tuple[float, float]] = []
    at = 0.0
    for low, high in [*_taken(part), (float(part.length), float(part.length))]:
        kept = (_KEPT if out else _KEPT_FIRST) / s
        start, end = at + kept, low - kept
        if (end - start) * s > _WORTH:
            out.append((start, end))
        at = max(at, high)
    return tuple(out)


def drawn_length(part: Part, scale: Fraction) -> float:
    """Length on paper, shortened if it must be, mm."""
    gaps = left_out(part, scale)
    return (float(part.length) - sum(b - a for a, b in gaps)) * float(scale) + BREAK_GAP * len(gaps)


def _taken(part: Part) -> list[tuple[float, float]]:
    """Stretches with features, in order: notches, holes, slanted ends."""
    spans = [(float(n.span[0]), float(n.span[1])) for n in part.notches]
    spans += [(float(h.at[0]), float(h.at[0])) for h in part.holes if h.side.axis != 0]
    for end in part.ends:
        us = [float(end_u(end, v, w)) for v in (Fraction(0), part.width) for w in (Fraction(0), part.thickness)]
        spans.append((min(us), max(us)))
    return sorted(spans)
