"""The running dimensions beside a template: one upright row through all the wood of a tile.

The row of a part drawing starts at its ring; this one may come from the tile below and go on to the next.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from planpress.base.display import Anchor, Circle, Item, Role, Text, TypeMeasure, line
from planpress.figures import marks, style
from planpress.figures.dimensions import GAP, OVERRUN, arrowhead
from planpress.figures.extents import figure_height
from planpress.figures.running import ARROW, RING, TURNED_STEP, spread
from planpress.figures.template_sheet import JOG, VALUE_CLEAR, Reading, Sheet


def draw_column(sheet: Sheet, measure: TypeMeasure) -> Iterator[Item]:
    """The running dimensions of all windows of a tile as one upright row."""
    across, letter = sheet.across, sheet.part.letter
    shown = [(r, float(w.y(r.u))) for w in sheet.windows for r in across.readings if w.low <= r.u <= w.high]
    first, last = sheet.windows[0], sheet.windows[-1]
    goes_on = any(r.u > last.high for r in across.readings)
    x = across.column
    bottom = float(first.base) + (RING if first.low == 0 else 0.0)
    top = float(last.y(last.high)) if goes_on else shown[-1][1]
    yield line((x, bottom), (x, top), style.DIMENSION, Role.DIMENSION, letter)
    if last.joined_above and goes_on:
        yield line((x, top), (x, float(last.y(last.top))), style.HIDDEN, Role.DIMENSION, letter)
    step = TURNED_STEP + (1.8 if any(r.fits for r, _ in shown) else 0.0)
    places = spread([y for _, y in shown], step)
    jog = JOG if any(abs(p - y) > 0.05 for p, (_, y) in zip(places, shown, strict=True)) else 0.0
    before = -math.inf
    for place, (reading, y) in zip(places, shown, strict=True):
        yield from _value(sheet, reading, y, place, jog, y - before >= ARROW[0], measure)
        before = y


def _value(
    sheet: Sheet, reading: Reading, y: float, place: float, jog: float, arrow: bool, measure: TypeMeasure
) -> Iterator[Item]:
    """One position: extension line, arrow (a ring at zero, a dot where arrows have no room), value, capsule."""
    across, letter, way = sheet.across, sheet.part.letter, sheet.across.way
    x = across.column
    start = across.x(reading.second) + way * GAP
    tip = x + way * OVERRUN
    yield line((start, y), (tip, y), style.DIMENSION, Role.EXTENSION, letter)
    if jog:
        yield line((tip, y), (tip + way * JOG, place), style.DIMENSION, Role.EXTENSION, letter)
    if reading.u == 0:
        yield Circle((x, y), RING, style.DIMENSION, style.TINT_0, Role.DIMENSION, letter)
    elif arrow:
        yield arrowhead((x, y), (0.0, 1.0), ARROW, letter)
    else:
        yield Circle((x, y), 0.45, None, style.INK, Role.DIMENSION, letter)
    at = (tip + way * (jog + VALUE_CLEAR), place - figure_height(style.LETTER_SIZE) / 2)
    anchor = Anchor.START if way > 0 else Anchor.END
    yield Text(at, reading.label.string, reading.label.face, style.LETTER_SIZE, anchor=anchor, source=letter)
    if reading.fits:
        half = marks.capsule_width(reading.fits, measure) / 2
        middle = at[0] + way * (reading.label.width(measure) + 1.5 + half)
        yield from marks.capsule((middle, place), reading.fits, measure, letter)
