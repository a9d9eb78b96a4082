"""The radii of a part's outline on its views, with leaders into free paper."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from planpress.base.display import Item, Path, Point, Text, TypeMeasure
from planpress.base.edition import Edition
from planpress.figures.callouts import callout
from planpress.figures.extents import Bounds, bounds, chains_of
from planpress.figures.part_paint import Shortened
from planpress.figures.part_sides import SideView, to_y
from planpress.figures.shape_notes import shape_labels
from planpress.model.records import Part

#: Leaders tried: lengths (mm on paper), and turns (degrees) from the way that leads out of the wood.
_REACHES = (6.0, 9.0, 13.0, 18.0, 24.0)
_TURNS = (0.0, 25.0, -25.0, 50.0, -50.0, 155.0, -155.0, 130.0, -130.0)
_CLEAR = 1.0
_SAME = 1e-6


def radius_callouts(
    part: Part, view: SideView, window: Shortened, drawn: Sequence[Item], edition: Edition, measure: TypeMeasure
) -> list[Item]:
    """Words for each radius that a view shows, where they meet nothing that is drawn; else as far out as may be."""
    out: list[Item] = []
    for label in shape_labels(part, edition):
        if label.kind != "radius" or label.side.axis != view.side.axis:
            continue
        flip = to_y(view.side, part)
        here = (float(label.at[0]), flip(label.at[1]))
        ahead = (here[0] + float(label.towards[0]), flip(label.at[1] + label.towards[1]))
        out += _placed(window.at(here), (ahead[0] - here[0], ahead[1] - here[1]), label.text, [*drawn, *out], measure)
    return out


def _placed(target: Point, way: Point, text: str, drawn: Sequence[Item], measure: TypeMeasure) -> list[Item]:
    leading = math.degrees(math.atan2(way[1], way[0]))
    texts = [bounds([item], measure) for item in drawn if isinstance(item, Text)]
    lines = [
        pair
        for item in drawn
        if isinstance(item, Path)
        for chain in chains_of(item)
        for pair in itertools.pairwise(chain)
    ]
    items: list[Item] = []
    for reach, turn in itertools.product(_REACHES, _TURNS):
        slope = math.radians(leading + turn)
        elbow = (target[0] + reach * math.cos(slope), target[1] + reach * math.sin(slope))
        items = list(callout(target, elbow, [text]))
        words = next(bounds([item], measure) for item in items if isinstance(item, Text))
        leader = [chain for item in items if isinstance(item, Path) for chain in chains_of(item)]
        free = not any(_meet(words, other) for other in texts) and not any(_crosses(line, words) for line in lines)
        if free and not any(_crosses(p, box) for c in leader for p in itertools.pairwise(c) for box in texts):
            break
    return items


def _meet(a: Bounds, b: Bounds) -> bool:
    return a[0] < b[2] + _CLEAR and b[0] < a[2] + _CLEAR and a[1] < b[3] + _CLEAR and b[1] < a[3] + _CLEAR


def _crosses(line: tuple[Point, Point], box: Bounds) -> bool:
    """True if a stretch comes into a box or within a hair of it."""
    (x0, y0), (x1, y1) = line
    low, high = 0.0, 1.0
    for start, end, least, most in ((x0, x1, box[0], box[2]), (y0, y1, box[1], box[3])):
        least, most, run = least - _CLEAR, most + _CLEAR, end - start
        if abs(run) < _SAME:
            if not least <= start <= most:
                return False
            continue
        a, b = sorted(((least - start) / run, (most - start) / run))
        low, high = max(low, a), min(high, b)
    return low <= high
