"""Long slim parts are drawn shortened: stretches without features are left out between break lines."""

from __future__ import annotations

from fractions import Fraction

from planpress.figures.part_groups import MANY, is_pitched, lie_of
from planpress.figures.part_paint import BREAK_GAP
from planpress.figures.part_sides import end_u
from planpress.model.records import Notch, Part

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
    inner = inner_of_series(part)
    spans = [span for n in part.notches if id(n) not in inner for span in _spans(n, part)]
    spans += [(float(h.at[0]), float(h.at[0])) for h in part.holes if h.side.axis != 0]
    for end in part.ends:
        us = [float(end_u(end, v, w)) for v in (Fraction(0), part.width) for w in (Fraction(0), part.thickness)]
        spans.append((min(us), max(us)))
    return sorted(spans)


def inner_of_series(part: Part) -> frozenset[int]:
    """Ids of the notches that a drawing may leave out: those within long rows in equal steps."""
    rows: dict[tuple[object, ...], list[Notch]] = {}
    for notch in part.notches:
        if notch.side.axis:
            low = notch.span[0]
            outline = tuple((u - low, s) for u, s in notch.outline)
            rows.setdefault((notch.side, notch.joint, notch.role, outline, notch.depth), []).append(notch)
    return frozenset(
        id(n) for row in rows.values() if len(row) > MANY and is_pitched([n.span[0] for n in row]) for n in row[3:-2]
    )


def _spans(notch: Notch, part: Part) -> list[tuple[float, float]]:
    """The stretch with a notch; of a cut along the part only where it stops."""
    if notch.side.axis == 0:
        low = part.length - notch.depth if notch.side.is_far else Fraction(0)
        return [(float(low), float(low + notch.depth))]
    near, far = (float(u) for u in notch.span)
    return [(near, near), (far, far)] if lie_of(notch, part) == "along" else [(near, far)]
