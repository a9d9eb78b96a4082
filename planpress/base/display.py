"""The display list: what a figure consists of, in millimetres on paper, y up, origin at the lower left.

A figure is an ordered list of frozen items with resolved styles; later items cover earlier ones. Figures are made by
the `figures` floor and written by `writers`, which know nothing else. Each item names its role (what kind of line or
text it is, for layout checks and writers with layers) and its source (the part, joint or step it comes from).
"""

from __future__ import annotations

import enum
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Literal, Protocol, TypeAlias

from attrs import evolve, field, frozen

Point: TypeAlias = tuple[float, float]
#: ("m", x, y) move, ("l", x, y) line, ("c", x1, y1, x2, y2, x, y) Bezier curve, ("z",) close.
Segment: TypeAlias = (
    tuple[Literal["m", "l"], float, float]
    | tuple[Literal["c"], float, float, float, float, float, float]
    | tuple[Literal["z"]]
)


class Role(enum.Enum):
    """What an item is, so that checks and layered writers can tell lines apart."""

    TINT = "tint"
    SILHOUETTE = "silhouette"
    OUTLINE = "outline"
    EDGE = "edge"
    HIDDEN = "hidden"
    CENTRE = "centre"
    HATCH = "hatch"
    BREAK = "break"
    DIMENSION = "dimension"
    EXTENSION = "extension"
    LEADER = "leader"
    BALLOON = "balloon"
    TRAIL = "trail"
    MARK = "mark"
    CUT = "cut"
    RULE = "rule"
    CHECK_BAR = "check bar"
    TEXT = "text"


class Face(enum.Enum):
    """The four faces of the type family."""

    LIGHT = "Light"
    REGULAR = "Regular"
    SEMIBOLD = "Semibold"
    ITALIC = "Italic"


class Anchor(enum.Enum):
    """Which point of the text's baseline its position is."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@frozen
class Pen:
    """A stroked line: width in mm, colour "#RRGGBB", dash and gap lengths in mm, line ends and joins."""

    width: float
    colour: str = "#1B1B1A"
    dash: tuple[float, ...] = ()
    cap: Literal["butt", "round"] = "butt"
    join: Literal["miter", "round"] = "round"


@frozen
class Hatch:
    """A hatched fill: parallel lines, step in mm across them, angle in degrees from the x axis, anticlockwise."""

    step: float = 1.6
    angle: float = -45.0
    pen: Pen = field(factory=lambda: Pen(0.18, "#6E6E69"))


Fill: TypeAlias = str | Hatch  # a colour "#RRGGBB" or a hatch


@frozen
class Path:
    """Lines and curves, stroked and/or filled (even-odd rule)."""

    segments: tuple[Segment, ...]
    pen: Pen | None = None
    fill: Fill | None = None
    role: Role = Role.EDGE
    source: str = ""


@frozen
class Circle:
    """A true circle; writers without circles use 8 Bezier curves (relative error 4e-6)."""

    centre: Point
    radius: float
    pen: Pen | None = None
    fill: Fill | None = None
    role: Role = Role.EDGE
    source: str = ""


@frozen
class Text:
    """One line of text. `at` is on the baseline; angle in degrees anticlockwise; size in points (1/72 in).

    Fractions are single characters of `base.lettering`; `lettering.plain` spells them out.
    """

    at: Point
    string: str
    face: Face = Face.REGULAR
    size: float = 11.0
    colour: str = "#1B1B1A"
    anchor: Anchor = Anchor.START
    angle: float = 0.0
    role: Role = Role.TEXT
    source: str = ""


Item: TypeAlias = Path | Circle | Text


@frozen
class Figure:
    """A finished drawing.

    Attributes:
        width, height: size of its frame in mm; items lie inside, origin at the lower left, y up.
        items: in drawing order.
        alt: what it shows, for readers who cannot see it: part, view and key sizes.
        scale: paper length / true length of the drawing, None if not to scale.
    """

    width: float
    height: float
    items: tuple[Item, ...]
    alt: str = ""
    scale: Fraction | None = None

    def moved(self, dx: float, dy: float) -> tuple[Item, ...]:
        """The items shifted by (dx, dy) mm, to place them in a larger figure."""
        return tuple(shifted(item, dx, dy) for item in self.items)


class TypeMeasure(Protocol):
    """Measures text; implemented by the font writer and handed down to figures and pages."""

    def width(self, text: str, face: Face, size: float) -> float:
        """Advance width in mm of one line of text set in `face` at `size` points."""
        ...


def polyline(points: Iterable[Point], closed: bool = False) -> tuple[Segment, ...]:
    """Segments through the points, closed on request."""
    out: list[Segment] = []
    for x, y in points:
        out.append(("l", x, y) if out else ("m", x, y))
    if closed:
        out.append(("z",))
    return tuple(out)


def line(a: Point, b: Point, pen: Pen, role: Role = Role.EDGE, source: str = "") -> Path:
    """A straight line from a to b."""
    return Path(polyline((a, b)), pen, None, role, source)


def rectangle(x: float, y: float, width: float, height: float) -> tuple[Segment, ...]:
    """A closed rectangle with its lower left corner at (x, y)."""
    return polyline(((x, y), (x + width, y), (x + width, y + height), (x, y + height)), closed=True)


def shifted(item: Item, dx: float, dy: float) -> Item:
    """The item moved by (dx, dy) mm."""
    if isinstance(item, Circle):
        return evolve(item, centre=(item.centre[0] + dx, item.centre[1] + dy))
    if isinstance(item, Text):
        return evolve(item, at=(item.at[0] + dx, item.at[1] + dy))
    return evolve(item, segments=tuple(_shift_segment(s, dx, dy) for s in item.segments))


def _shift_segment(segment: Segment, dx: float, dy: float) -> Segment:
    if segment[0] == "z":
        return segment
    if segment[0] == "c":
        _, x1, y1, x2, y2, x, y = segment
        return ("c", x1 + dx, y1 + dy, x2 + dx, y2 + dy, x + dx, y + dy)
    return (segment[0], segment[1] + dx, segment[2] + dy)


def points_of(segments: Sequence[Segment]) -> list[Point]:
    """End and control points of the segments, in order."""
    out: list[Point] = []
    for segment in segments:
        if segment[0] == "c":
            out += [(segment[1], segment[2]), (segment[3], segment[4]), (segment[5], segment[6])]
        elif segment[0] != "z":
            out.append((segment[1], segment[2]))
    return out
