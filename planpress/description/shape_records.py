"""The shape of a part as the maker wrote it, not yet computed: outlines, tapers, corners, edges."""

from __future__ import annotations

from typing import Literal, TypeAlias

from attrs import frozen

from planpress.base.diagnostics import Place
from planpress.description.formulas import Formula

Pair: TypeAlias = tuple[Formula, Formula]

#: Names that formulas of a shape know besides the plan's: the part's own finished sizes.
OWN_SIZES = ("length", "width", "thickness")


@frozen
class Stroke:
    """One stretch of an outline, from where the last one ended.

    Attributes:
        kind: straight line; round (an arc that swells out of the wood), hollow (an arc that bites into it); curve (a
            fair curve through points, as a bent batten takes it).
        to: where it ends. through: points on the way, of a curve.
        radius, rise: of an arc, one of them; the rise is its height over the chord.
    """

    kind: Literal["line", "round", "hollow", "curve"]
    to: Pair
    through: tuple[Pair, ...]
    radius: Formula | None
    rise: Formula | None
    place: Place


@frozen
class Outline:
    """A closed outline that the part is cut to, square through the stock: drawn on its face (length, width) or on its
    edge (length, thickness). A straight line closes it if it does not end where it starts."""

    on: Literal["face", "edge"]
    start: Pair
    path: tuple[Stroke, ...]
    place: Place


@frozen
class Taper:
    """A straight taper down to `width` or `thickness` (or both) at one end.

    Attributes:
        towards: the end at which the part is least: where it starts or where it ends.
        begins: how far from the other end; None: at the other end.
        sides: the sides that are cut, by `model.records.Side`'s names; a size whose two sides are both cut (or both
            not named) shrinks from both alike.
    """

    towards: Literal["start", "end"]
    width: Formula | None
    thickness: Formula | None
    begins: Formula | None
    sides: tuple[Literal["lower edge", "upper edge", "back", "face"], ...]
    place: Place


@frozen
class CornerCut:
    """Corners of the face rounded or cut off at 45 degrees. `corners`: pairs such as ("start", "lower")."""

    corners: tuple[tuple[str, str], ...]
    kind: Literal["round", "chamfer"]
    size: Formula
    place: Place


@frozen
class EdgeCut:
    """Edges chamfered (the same off both sides) or rounded over. `edges`: pairs of words for the two sides each lies
    between: start, end, lower, upper, back, face; `text` as the maker named them."""

    edges: tuple[tuple[str, str], ...]
    text: str
    kind: Literal["round", "chamfer"]
    size: Formula
    place: Place


@frozen
class Shape:
    """What the straight stick of a part is cut to. Positions: along the length from where the part starts, across the
    width from its lower edge (or through the thickness from its back), as placed."""

    outlines: tuple[Outline, ...]
    tapers: tuple[Taper, ...]
    corners: tuple[CornerCut, ...]
    edges: tuple[EdgeCut, ...]
