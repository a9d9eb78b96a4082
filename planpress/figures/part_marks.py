"""Where the marks of reference edge, reference face and grain stand on a drawn part."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from planpress.base.display import Item
from planpress.figures import marks
from planpress.figures.part_paint import Shortened
from planpress.figures.part_sides import SideView, Waste
from planpress.model.records import Part, Side

SLIM = 9.0  # parts lower than this on paper get smaller marks
_MARKS_WIDTH = 20.0  # free stretch that edge and face mark need


def part_marks(part: Part, view: SideView, window: Shortened) -> list[Item]:
    """Reference edge, reference face and grain, where nothing else is."""
    top = view.height * window.scale
    lower = part.reference_edge is Side.LOWER
    edge_y, into = (0.0, 1) if lower else (top, -1)
    free = _free_stretches(view, window)
    place = next((s for s in free if s[1] - s[0] >= _MARKS_WIDTH), None)
    room = _marks_room(part, view, window)
    if place is not None:
        x = place[0] + min((place[1] - place[0]) * 0.3, 24.0) + 1.0
        grain = _grain_place(free, x)
    else:  # notches leave a strip along the reference edge
        length = window.length
        x = window.x + length * 0.75
        half = min(marks.GRAIN_LENGTH, length * 0.4) / 2
        grain = (window.x + length * 0.32 - half, window.x + length * 0.32 + half)
    share = _share(room)
    if share is None:  # too slim: the marks stand outside, on the edge
        share, into = marks.SMALLEST_MARK, -into
    items: list[Item] = [
        marks.face_loop((x, edge_y + into * 0.5), into, share, part.letter),
        marks.edge_mark((x + 9.0 * share, edge_y), into, share, part.letter),
    ]
    if grain is not None and room >= 3.0:
        middle = edge_y + (room / 2 if lower else -room / 2)
        centre = ((grain[0] + grain[1]) / 2, middle)
        items += marks.grain_arrow(centre, min(marks.GRAIN_LENGTH, grain[1] - grain[0]), part.letter)
    return items


def marks_stand_outside(part: Part, view: SideView, window: Shortened) -> bool:
    """True if the marks find no room within the part."""
    return _share(_marks_room(part, view, window)) is None


def _marks_room(part: Part, view: SideView, window: Shortened) -> float:
    """Height on paper that the marks have within the part: all of it, or the strip that close notches leave."""
    if any(high - low >= _MARKS_WIDTH for low, high in _free_stretches(view, window)):
        return view.height * window.scale
    return _strip(view, part.reference_edge is Side.LOWER) * window.scale


def _share(room: float) -> float | None:
    """What share of their full size the marks get in a strip this high on paper; None if they must stand outside."""
    if room >= SLIM:
        return 1.0
    share = max(marks.SMALLEST_MARK, room / SLIM)
    return share if marks.LOOP_HEIGHT * share + 0.5 <= room else None


def _grain_place(free: Sequence[tuple[float, float]], x: float) -> tuple[float, float] | None:
    """Where the grain arrow stands: a free stretch away from the other marks."""
    end = x + 13.0
    rest = [(max(a, end), b) if a <= x <= b else (a, b) for a, b in free]
    best = max(rest, key=lambda s: min(s[1] - s[0], marks.GRAIN_LENGTH + 8.0))
    if best[1] - best[0] < 10.0:
        return None
    middle, half = (best[0] + best[1]) / 2, min(marks.GRAIN_LENGTH, best[1] - best[0] - 4.0) / 2
    return middle - half, middle + half


def _strip(view: SideView, lower: bool) -> float:
    """Height (true mm) of the strip along the reference edge that no notch reaches."""
    ys = [p[1] for w in view.wastes for p in w.polygon]
    return min(ys, default=view.height) if lower else view.height - max(ys, default=0.0)


def _along(waste: Waste) -> tuple[float, float]:
    us = [p[0] for p in waste.polygon]
    return min(us), max(us)


def _free_stretches(view: SideView, window: Shortened) -> list[tuple[float, float]]:
    """Stretches (paper x) without notches and holes, ends included."""
    taken = [_along(w) for w in view.wastes if _along(w)[1] - _along(w)[0] < view.length / 2]
    taken += [(h.centre[0], h.centre[0]) for h in view.holes]
    taken += [(a.end, b.start) for a, b in itertools.pairwise(window.windows)]
    taken += [(min(a[0], b[0]), max(a[0], b[0])) for (a, b), _ in view.bores]
    half = view.length / 2  # lines along most of the part leave room beside them
    lines = [(min(a[0], b[0]), max(a[0], b[0])) for a, b in view.hidden]
    taken += [stretch for stretch in lines if stretch[1] - stretch[0] < half]
    at = max(p[0] for p in view.near)
    end = min(p[0] for p in view.far)
    out = []
    for low, high in [*sorted(taken), (end, end)]:
        if low > at:
            out.append((window.at((at, 0.0))[0] + 1.5, window.at((low, 0.0))[0] - 1.5))
        at = max(at, high)
    return [s for s in out if s[1] - s[0] > 1.0]
