"""Check bars: two bars of a known length, one across and one down, that the reader lays a ruler on.

Printers may scale the two directions differently, so each has its own bar. A bar is a filled shape, not a stroked line:
the outer edges of its end marks are its corners, exactly the named length apart whatever the pen. Millimetres, y up.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from planpress.base.display import Anchor, Face, Figure, Item, Path, Pen, Point, Role, Text, line, polyline
from planpress.base.printing import Units
from planpress.base.quantities import INCH
from planpress.figures import style

END_MARK = 5.0  # height of the end marks, from the outer edge of the bar
INNER_MARK = 2.4
WEIGHT = style.MEDIUM
LABEL_SIZE = 10.5
_INNER = Pen(style.HAIR, style.INK)
_LABEL_LIFT = 4.2  # from the bar's outer edge to the baseline of its label
_HEIGHT = 7.4  # room for bar and label across the bar


def bar_length(units: Units) -> Fraction:
    """Length of both bars in mm: 6 in or 150 mm, outer edge to outer edge."""
    return 6 * INCH if units is Units.IMPERIAL else Fraction(150)


def bar_words(units: Units) -> str:
    """The length in words: "6 inches", "150 mm"."""
    return "6 inches" if units is Units.IMPERIAL else "150\u00a0mm"


def bar_across(units: Units) -> tuple[Item, ...]:
    """The bar across: its outer lower left corner at (0, 0), end marks and label above it."""
    return _bar(units, lambda along, up: (along, up), 0.0, "across")


def bar_down(units: Units) -> tuple[Item, ...]:
    """The bar down: its outer lower right corner at (0, 0), up to (0, length); end marks and label to its left."""
    return _bar(units, lambda along, up: (-up, along), 90.0, "down")


def across_figure(units: Units) -> Figure:
    """The bar across as a figure as wide as the bar is long; the bar stands on the lower edge of the frame."""
    length = float(bar_length(units))
    return Figure(length, _HEIGHT, bar_across(units), f"Check bar, {bar_words(units)} across", Fraction(1))


def down_figure(units: Units) -> Figure:
    """The bar down as a figure as high as the bar is long; the bar stands on the right edge of the frame."""
    length = float(bar_length(units))
    items = Figure(_HEIGHT, length, bar_down(units)).moved(_HEIGHT, 0.0)
    return Figure(_HEIGHT, length, items, f"Check bar, {bar_words(units)} down", Fraction(1))


def _bar(units: Units, turn: Callable[[float, float], Point], angle: float, direction: str) -> tuple[Item, ...]:
    length = float(bar_length(units))
    corners = (
        (0.0, 0.0),
        (length, 0.0),
        (length, END_MARK),
        (length - WEIGHT, END_MARK),
        (length - WEIGHT, WEIGHT),
        (WEIGHT, WEIGHT),
        (WEIGHT, END_MARK),
        (0.0, END_MARK),
    )
    outline = polyline([turn(*corner) for corner in corners], closed=True)
    items: list[Item] = [Path(outline, None, style.INK, Role.CHECK_BAR)]
    step = float(INCH) if units is Units.IMPERIAL else 25.0
    for i in range(1, round(length / step)):
        items.append(line(turn(i * step, 0.0), turn(i * step, INNER_MARK), _INNER, Role.CHECK_BAR))
    label = f"{bar_words(units)} {direction}"
    at = turn(length / 2, _LABEL_LIFT)
    items.append(Text(at, label, Face.SEMIBOLD, LABEL_SIZE, anchor=Anchor.MIDDLE, angle=angle))
    return tuple(items)
