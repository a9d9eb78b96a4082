"""Where an outline crosses itself. Apart from `strokes`, which are read by processes that load no numpy."""

from __future__ import annotations

import numpy as np

from planpress.geometry.mesh import Floats
from planpress.geometry.strokes import Outline


def crossing(outline: Outline) -> tuple[float, float] | None:
    """A point (mm) where the outline crosses or touches itself, None if it nowhere does."""
    points = np.array([[float(c) for c in p] for p in outline.polygon])
    after = np.roll(points, -1, axis=0)
    count = len(points)
    for i in range(count):
        others = np.arange(i + 2, count - 1 if i == 0 else count)
        hit = _first_crossing(points[i], after[i], points[others], after[others])
        if hit is not None:
            return hit
        # a neighbour that turns straight back
        here, there = after[i] - points[i], after[(i + 1) % count] - after[i]
        cross = here[0] * there[1] - here[1] * there[0]
        if abs(cross) <= 1e-9 * np.linalg.norm(here) * np.linalg.norm(there) and here @ there < 0:
            return float(after[i][0]), float(after[i][1])
    return None


def _first_crossing(a: Floats, b: Floats, starts: Floats, ends: Floats) -> tuple[float, float] | None:
    """Where the side a-b meets any of some sides (n, 2)."""
    along, others, between = b - a, ends - starts, starts - a
    spread = along[0] * others[:, 1] - along[1] * others[:, 0]
    askew = np.abs(spread) > 1e-12
    safe = np.where(askew, spread, 1.0)
    t = (between[:, 0] * others[:, 1] - between[:, 1] * others[:, 0]) / safe
    s = (between[:, 0] * along[1] - between[:, 1] * along[0]) / safe
    slack = 1e-9
    hits = askew & (t >= -slack) & (t <= 1 + slack) & (s >= -slack) & (s <= 1 + slack)
    if not hits.any():
        return None
    p = a + along * t[int(np.argmax(hits))]
    return float(p[0]), float(p[1])
