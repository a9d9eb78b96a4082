"""Draws the display list as PDF operators.

A figure is one string of operators in whole 1/100 mm under one matrix: small, fast and true to 0.005 mm a
point. The matrix has 8 decimals (6 would lose 0.04 mm in 2500). Neutral colours are written as DeviceGray, so
that a printer uses its black alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from functools import cache
from itertools import groupby

from planpress.base.display import (
    Anchor,
    Circle,
    Face,
    Figure,
    Hatch,
    Item,
    Path,
    Pen,
    Point,
    Role,
    Segment,
    Text,
)
from planpress.writers.pdf.fonts import advance

#: (face, text) -> (font resource name, string operand) of each stretch that one font subset covers.
Encoder = Callable[[Face, str], Iterable[tuple[str, str]]]

UNITS_PER_MM = 100
_POINTS_PER_UNIT = 72 / 25.4 / UNITS_PER_MM
_UNITS_PER_POINT = 1 / _POINTS_PER_UNIT

# Lines of these roles are drawn on from where the last one ended, with a round join, if the pen allows. Bars
# and cut lines are not: their ends must be exactly where they are said to be.
_CHAINED = frozenset({Role.SILHOUETTE, Role.OUTLINE, Role.EDGE, Role.BREAK})

_EIGHTH = math.pi / 4
_HANDLE = 4 / 3 * math.tan(_EIGHTH / 4)  # length of a control arm of an arc of 45 degrees, radius 1


def figure_operators(figure: Figure, x: float, y: float, encode: Encoder) -> str:
    """The operators that draw a figure.

    Args:
        x, y: its lower left corner in points of the current user space.
        encode: gives the strings of its texts in the fonts of the document.
    """
    matrix = f"q {_POINTS_PER_UNIT:.8f} 0 0 {_POINTS_PER_UNIT:.8f} {x:.4f} {y:.4f} cm"
    return "\n".join([matrix, *item_operators(figure.items, encode), "Q"])


def item_operators(items: Sequence[Item], encode: Encoder) -> list[str]:
    """The operators that draw items in order, in units of 1/100 mm."""
    state = _State()
    out: list[str] = []
    for kind, group in groupby(items, _kind):
        if kind == "line":
            _draw_lines(group, state, out)
        elif kind == "text":
            _draw_texts(group, state, out, encode)
        else:
            for item in group:
                _draw_area(item, state, out)
    return out


def _kind(item: Item) -> str:
    if isinstance(item, Text):
        return "text"
    return "line" if item.fill is None else "area"


# --- numbers, colours, pens ---------------------------------------------------------------------------------


def number(value: float) -> str:
    """A real number with up to 4 decimals, without trailing zeros."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


@cache
def colour_operands(colour: str) -> tuple[str, ...]:
    """The operands of a colour "#RRGGBB": one grey if its channels are at most 6 of 255 apart, else three.

    Raises:
        ValueError: if it is not a colour in that form.
    """
    if len(colour) != 7 or colour[0] != "#":
        raise ValueError(f"not a colour: {colour!r}")
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    if max(red, green, blue) - min(red, green, blue) <= 6:
        # luma of ITU-R BT.601
        return (number(round((0.299 * red + 0.587 * green + 0.114 * blue) / 255, 3)),)
    return tuple(number(round(channel / 255, 3)) for channel in (red, green, blue))


def fill_colour(colour: str) -> str:
    """The operator that sets the colour of fills and text."""
    operands = colour_operands(colour)
    return f"{operands[0]} g" if len(operands) == 1 else " ".join(operands) + " rg"


def stroke_colour(colour: str) -> str:
    """The operator that sets the colour of lines."""
    operands = colour_operands(colour)
    return f"{operands[0]} G" if len(operands) == 1 else " ".join(operands) + " RG"


class _State:
    """The graphics state as far as it has been set, so that only changes are written."""

    def __init__(self) -> None:
        self._set: dict[str, str] = {}

    def change(self, operators: Sequence[tuple[str, str]]) -> str:
        """The (key, operator) pairs that differ from what is set, as one string."""
        new = [operator for key, operator in operators if self._set.get(key) != operator]
        self._set.update(operators)
        return " ".join(new)

    def pen(self, pen: Pen) -> str:
        """Operators for a pen."""
        return self.change(_pen_operators(pen))

    def fill(self, colour: str) -> str:
        """Operators for a fill colour."""
        return self.change([("fill", fill_colour(colour))])


@cache
def _pen_operators(pen: Pen) -> tuple[tuple[str, str], ...]:
    dash = " ".join(number(length * UNITS_PER_MM) for length in pen.dash)
    return (
        ("colour", stroke_colour(pen.colour)),
        ("width", number(pen.width * UNITS_PER_MM) + " w"),
        ("dash", f"[{dash}] 0 d"),
        ("cap", "1 J" if pen.cap == "round" else "0 J"),
        ("join", "1 j" if pen.join == "round" else "0 j"),
    )


def _add(out: list[str], operators: str) -> None:
    if operators:
        out.append(operators)


# --- lines --------------------------------------------------------------------------------------------------


def _draw_lines(items: Iterable[Item], state: _State, out: list[str]) -> None:
    """Draws items without fill: one path for each run of the same pen."""
    shown = [item for item in items if isinstance(item, Circle) or (isinstance(item, Path) and item.segments)]
    lines = [item for item in shown if item.pen is not None]
    for pen, group in _grouped_by_pen(lines):
        _add(out, state.pen(pen))
        last = ""
        for item in group:
            if isinstance(item, Circle):
                out.append(_circle(item))
                last = ""
            else:
                chained = item.role in _CHAINED and not pen.dash and pen.join == "round"
                operators, last = _path(item.segments, last if chained else "")
                _add(out, operators)
        out.append("S")


def _grouped_by_pen(items: Sequence[Path | Circle]) -> list[tuple[Pen, list[Path | Circle]]]:
    """Items with equal pens together, where it cannot change the picture: if all have one colour."""
    pens = [item.pen for item in items if item.pen is not None]
    if len({pen.colour for pen in pens}) > 1:
        return [(pen, list(group)) for pen, group in groupby(items, lambda item: item.pen) if pen is not None]
    groups: dict[Pen, list[Path | Circle]] = {}
    for pen, item in zip(pens, items, strict=True):
        groups.setdefault(pen, []).append(item)
    return list(groups.items())


def _path(segments: Sequence[Segment], last: str = "") -> tuple[str, str]:
    """(operators of a path, its end point); begins without a move if it goes on from the point `last`."""
    out: list[str] = []
    point = ""
    for segment in segments:
        if segment[0] == "l":
            point = f"{round(segment[1] * UNITS_PER_MM)} {round(segment[2] * UNITS_PER_MM)}"
            out.append(point + " l")
        elif segment[0] == "m":
            point = f"{round(segment[1] * UNITS_PER_MM)} {round(segment[2] * UNITS_PER_MM)}"
            if out or point != last:
                out.append(point + " m")
        elif segment[0] == "c":
            point = _numbers(segment[5:])
            out.append(f"{_numbers(segment[1:5])} {point} c")
        else:
            out.append("h")
            point = ""
    return " ".join(out), point


def _circle(circle: Circle) -> str:
    """A closed circle of 8 curves: its radius errs by 4e-6 of itself before rounding."""
    (cx, cy), r = circle.centre, circle.radius
    arm = _HANDLE * r
    out: list[str] = []
    for i in range(8):
        a, b = i * _EIGHTH, (i + 1) * _EIGHTH
        ax, ay, bx, by = math.cos(a), math.sin(a), math.cos(b), math.sin(b)
        if not i:
            out.append(_numbers((cx + r, cy)) + " m")
        points = (
            cx + r * ax - arm * ay,
            cy + r * ay + arm * ax,
            cx + r * bx + arm * by,
            cy + r * by - arm * bx,
            cx + r * bx,
            cy + r * by,
        )
        out.append(_numbers(points) + " c")
    return " ".join([*out, "h"])


def _numbers(values: Iterable[float]) -> str:
    return " ".join(str(round(value * UNITS_PER_MM)) for value in values)


# --- areas --------------------------------------------------------------------------------------------------


def _draw_area(item: Item, state: _State, out: list[str]) -> None:
    """Draws one filled item, with its outline on top."""
    if isinstance(item, Text) or item.fill is None:
        raise TypeError("not a filled item")
    path = _circle(item) if isinstance(item, Circle) else _path(item.segments)[0]
    if not path:
        return
    if isinstance(item.fill, Hatch):
        out.append(f"q {path} W* n")
        _add(out, _State().pen(item.fill.pen))
        out += [*_hatch_lines(item.fill, _bounds(item)), "S Q"]
        if item.pen is not None:
            _add(out, state.pen(item.pen))
            out.append(f"{path} S")
        return
    _add(out, state.fill(item.fill))
    if item.pen is None:
        out.append(f"{path} f*")
    else:
        _add(out, state.pen(item.pen))
        out.append(f"{path} B*")


def _bounds(item: Path | Circle) -> tuple[float, float, float, float]:
    """(left, bottom, right, top) in mm of an item, control points included."""
    if isinstance(item, Circle):
        (cx, cy), r = item.centre, item.radius
        return cx - r, cy - r, cx + r, cy + r
    values = [segment[1:] for segment in item.segments if segment[0] != "z"]
    xs = [x for numbers in values for x in numbers[0::2]]
    ys = [y for numbers in values for y in numbers[1::2]]
    return min(xs), min(ys), max(xs), max(ys)


def _hatch_lines(hatch: Hatch, box: tuple[float, float, float, float]) -> list[str]:
    """Lines across a box, at whole steps from the figure's origin, so that neighbouring areas match."""
    left, bottom, right, top = box
    along = (math.cos(math.radians(hatch.angle)), math.sin(math.radians(hatch.angle)))
    across = (-along[1], along[0])
    corners = [(x, y) for x in (left, right) for y in (bottom, top)]
    heights = [x * across[0] + y * across[1] for x, y in corners]
    reaches = [x * along[0] + y * along[1] for x, y in corners]
    start, end = min(reaches) - hatch.step, max(reaches) + hatch.step
    out = []
    for i in range(math.ceil(min(heights) / hatch.step), math.floor(max(heights) / hatch.step) + 1):
        ends: list[Point] = [
            (t * along[0] + i * hatch.step * across[0], t * along[1] + i * hatch.step * across[1]) for t in (start, end)
        ]
        out.append(f"{_numbers(ends[0])} m {_numbers(ends[1])} l")
    return out


# --- text ---------------------------------------------------------------------------------------------------


def _draw_texts(items: Iterable[Item], state: _State, out: list[str], encode: Encoder) -> None:
    """Draws a run of texts as one text object."""
    out.append("BT")
    font = ""
    for item in items:
        if not isinstance(item, Text):
            raise TypeError("not a text")
        _add(out, state.fill(item.colour))
        out.append(_text_matrix(item))
        size = number(item.size * _UNITS_PER_POINT)
        for name, operand in encode(item.face, item.string):
            if font != f"{name} {size}":
                font = f"{name} {size}"
                out.append(f"{font} Tf")
            out.append(f"{operand} Tj")
    out.append("ET")


def _text_matrix(text: Text) -> str:
    """Turns the text about its position, after moving it back by its width as the anchor asks."""
    x, y = (value * UNITS_PER_MM for value in text.at)
    cos, sin = math.cos(math.radians(text.angle)), math.sin(math.radians(text.angle))
    if text.anchor is not Anchor.START:
        width = advance(text.string, text.face) / 1000 * text.size * _UNITS_PER_POINT
        back = width / 2 if text.anchor is Anchor.MIDDLE else width
        x, y = x - back * cos, y - back * sin
    turn = " ".join(number(round(value, 6)) for value in (cos, sin, -sin, cos))
    return f"{turn} {x:.1f} {y:.1f} Tm"
