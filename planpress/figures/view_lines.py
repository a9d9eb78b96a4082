"""The visible lines of the whole piece from one side, ready to be drawn at any scale."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np
from attrs import frozen

from planpress.base.display import Item, Path, Pen, Point, Role, polyline
from planpress.figures import style
from planpress.figures.shared_shapes import WORLD, standing
from planpress.geometry.hidden_lines import view_lines
from planpress.geometry.mesh import Floats
from planpress.geometry.pictures import LineKind
from planpress.geometry.regions import chains
from planpress.geometry.shapes import Shape
from planpress.geometry.solids import Solid
from planpress.model.records import SolvedPlan


class PartSolids(Protocol):
    """Gives the solid of a part in its own coordinates, before assembly."""

    def part(self, letter: str, /) -> Solid:
        """The solid of the part with this letter, mm."""
        ...


@frozen
class Line:
    """A chain of points at true size, mm: paper x to the right, y up, from the model's origin. `bold`: a silhouette."""

    points: tuple[Point, ...]
    bold: bool


@frozen
class ViewLines:
    """What is drawn of a view, and how near (true mm) parallel silhouettes run, None if there are not two."""

    lines: tuple[Line, ...]
    closest: float | None


def piece_shapes(plan: SolvedPlan, solids: PartSolids) -> list[Shape]:
    """The shape of every piece where it stands; without the holes that are drilled at assembly and filled there."""
    letters = dict.fromkeys(piece.letter for piece in plan.pieces.values())
    parts = {letter: Shape(solids.part(letter).mesh()) for letter in letters}
    return [standing(parts[piece.letter], WORLD, piece.frame) for piece in plan.pieces.values()]


def seen_lines(shapes: Sequence[Shape], view: Floats) -> ViewLines:
    """The visible lines from one side: silhouettes bold, all others thin."""
    picture = view_lines(shapes, view, hidden=False).picture
    bold = (picture.kind == LineKind.SILHOUETTE).astype(np.intp)
    lines = [Line(tuple(points), bool(kind)) for kind, points in chains(picture.segments, bold)]
    return ViewLines(tuple(sorted(lines, key=lambda line: line.bold)), _closest(picture.segments[bold == 1]))


def _closest(segments: Floats) -> float | None:
    """The smallest distance between level or upright segments that run beside each other."""
    found: list[float] = []
    for axis in (0, 1):
        flat = segments[np.abs(segments[:, 0, 1 - axis] - segments[:, 1, 1 - axis]) < 1e-6]
        level = flat[:, 0, 1 - axis]
        low, high = flat[:, :, axis].min(axis=1), flat[:, :, axis].max(axis=1)
        apart = np.abs(level[:, None] - level[None])
        beside = np.minimum(high[:, None], high[None]) - np.maximum(low[:, None], low[None]) > 10.0
        near = apart[beside & (apart > 1e-3)]
        if near.size:
            found.append(float(near.min()))
    return min(found, default=None)


def painted(seen: ViewLines, scale: float) -> list[Item]:
    """The lines at a scale (paper / true), from the model's origin; thinner where silhouettes run close."""
    close = seen.closest is not None and seen.closest * scale < style.CLOSE
    outline: Pen = style.OUTLINE_CLOSE if close else style.OUTLINE
    edge: Pen = style.THIN if close else style.EDGE
    items: list[Item] = []
    for line in seen.lines:
        points = [(x * scale, y * scale) for x, y in line.points]
        closed = len(points) > 3 and points[0] == points[-1]
        segments = polyline(points[:-1] if closed else points, closed)
        items.append(Path(segments, outline if line.bold else edge, None, Role.OUTLINE if line.bold else Role.EDGE))
    return items
