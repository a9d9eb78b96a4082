"""The body of a part seen from its sides: the lines and the shadow of its solid, and where its cuts open on a side.

Holes are left out: they are drawn as circles and centre lines. Paper coordinates of a side: see `part_sides`. True
size, mm.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import cached_property
from typing import TypeAlias

import numpy as np
from attrs import define, evolve, field, frozen

from planpress.base.display import Point
from planpress.geometry.hidden_lines import scene_lines
from planpress.geometry.mesh import Floats
from planpress.geometry.outlines import face_outline
from planpress.geometry.pictures import LineKind, Picture, Scene
from planpress.geometry.regions import chains, loop_area, regions
from planpress.geometry.shapes import Shape
from planpress.geometry.solids import Solid
from planpress.geometry.vectors import floats
from planpress.model.records import EndCut, Notch, Part, Side
from planpress.model.solids import notch_solid, part_solid

Stretch: TypeAlias = tuple[Point, Point]

#: Rows right, up and toward the viewer in (u, v, w): the reference end to the left in views of faces and edges; an end
#: is seen with v up.
VIEWS = {
    Side.FACE: np.array([(1.0, 0, 0), (0, 1, 0), (0, 0, 1)]),
    Side.BACK: np.array([(1.0, 0, 0), (0, -1, 0), (0, 0, -1)]),
    Side.LOWER: np.array([(1.0, 0, 0), (0, 0, 1), (0, -1, 0)]),
    Side.UPPER: np.array([(1.0, 0, 0), (0, 0, -1), (0, 1, 0)]),
    Side.NEAR_END: np.array([(0.0, 0, 1), (0, 1, 0), (-1, 0, 0)]),
    Side.FAR_END: np.array([(0.0, 0, -1), (0, 1, 0), (1, 0, 0)]),
}
_THIN = 1e-3  # mm2: outlines smaller than this are no waste


@frozen
class Body:
    """What is seen of the wood from one side, without holes.

    Attributes:
        loops: closed outlines of the shadow: outer ones anticlockwise, through openings clockwise.
        edges, hidden: visible edges within it, and hidden ones.
    """

    loops: tuple[tuple[Point, ...], ...]
    edges: tuple[Stretch, ...]
    hidden: tuple[Stretch, ...]


def seen_from(part: Part, side: Side) -> Callable[[Floats], Floats]:
    """Points (n, 3) in part coordinates to paper (n, 2) of a side."""
    rows = VIEWS[side][:2]
    sizes = np.array([float(part.size_along(axis)) for axis in range(3)])
    shift = np.where(rows.sum(axis=1) < 0, np.abs(rows) @ sizes, 0.0)
    return lambda points: points @ rows.T + shift


@define
class PartBodies:
    """A part's solid, looked at from the sides that are asked for; what was seen is kept."""

    part: Part
    _seen: dict[Side, Body] = field(factory=dict)
    _openings: dict[tuple[object, ...], tuple[Floats, ...]] = field(factory=dict)

    @cached_property
    def _shape(self) -> Shape:
        return Shape(part_solid(evolve(self.part, holes=())).mesh())

    @cached_property
    def _blank(self) -> Solid:
        return part_solid(evolve(self.part, holes=(), notches=()))

    def body(self, side: Side) -> Body:
        """What is seen from a side."""
        if side not in self._seen:
            self._seen[side] = self._look(side)
        return self._seen[side]

    def openings(self, notch: Notch, side: Side) -> Iterator[tuple[Point, ...]]:
        """Where a cut opens on a side: closed outlines on that side's paper; none if it does not."""
        place = seen_from(self.part, side)
        along = np.array([float(notch.span[0]) if self._is_free(notch) else 0.0, 0.0, 0.0])
        for loop in self._loops(notch, side):
            yield tuple((float(x), float(y)) for x, y in place(loop + along))

    def _is_free(self, notch: Notch) -> bool:
        """True if the cut meets no end, so that like cuts elsewhere along the part open alike."""
        reach = notch.depth + notch.start if notch.direction is not None else Fraction(0)
        low, high = notch.span if notch.side.axis else (Fraction(0), Fraction(0))
        ends = [abs(end.point[0]) for end in self.part.ends if not end.is_square]
        return low - reach > 0 and high + reach < self.part.length and not ends

    def _loops(self, notch: Notch, side: Side) -> tuple[Floats, ...]:
        """Corners (k, 3) of where a cut opens on a side; of a free cut as if its span began at u = 0."""
        start = notch.span[0] if self._is_free(notch) else Fraction(0)
        outline = tuple((p[0] - start, p[1]) for p in notch.outline)
        key = (side, start > 0, notch.side, outline, notch.depth, notch.start, notch.direction, notch.radius)
        if key not in self._openings:
            void = self._blank.common(notch_solid(notch, self.part))
            shift = np.array([float(start), 0.0, 0.0])
            self._openings[key] = tuple(loop - shift for loop in _on_side(void, self.part, side))
        return self._openings[key]

    def _look(self, side: Side) -> Body:
        seen = scene_lines(Scene([self._shape], VIEWS[side], with_backs=True))
        place = _shift(self.part, side)
        picture = seen.picture
        inner = picture.segments[picture.kind != LineKind.SILHOUETTE]
        loops = [tuple((float(x), float(y)) for x, y in np.array(loop) + place) for loop in _shadow(picture)]
        return Body(
            tuple(sorted(loops, key=lambda loop: -loop_area(loop))),
            _stretches(inner + place),
            _stretches(seen.hidden + place),
        )


def _shift(part: Part, side: Side) -> Floats:
    origin: Floats = seen_from(part, side)(np.zeros((1, 3)))[0]
    return origin


def _stretches(segments: Floats) -> tuple[Stretch, ...]:
    """The lines, those that meet end to end one after the other."""
    joined = chains(segments, np.zeros(len(segments), dtype=np.intp))
    return tuple(stretch for _, chain in joined for stretch in itertools.pairwise(chain))


def _shadow(picture: Picture) -> list[list[tuple[float, float]]]:
    """The outline of all that is seen."""
    faces = np.where(picture.faces >= 0, 0, -1)
    border = faces[:, 0] != faces[:, 1]
    shadow = regions(evolve(picture, segments=picture.segments[border], faces=faces[border]))
    return shadow.loops.get(0, [])


def _on_side(void: Solid, part: Part, side: Side) -> Iterator[Floats]:
    """Corners (k, 3) of the outlines of a void in the plane of a side."""
    if void.is_empty:
        return
    point, normal = _plane(part, side)
    found = face_outline(void.mesh(), point, normal, right=VIEWS[side][0])
    for loop in found.loops:
        area = abs(loop_area(loop.tolist()))
        if area > _THIN:
            yield found.origin + loop[:, :1] * found.right + loop[:, 1:] * found.up


def _plane(part: Part, side: Side) -> tuple[Floats, Floats]:
    """A point of the plane of a side, and the way it looks."""
    if side.axis == 0:
        end: EndCut = part.ends[1 if side.is_far else 0]
        return np.array(floats(end.point)), np.array(floats(end.normal))
    point = np.zeros(3)
    point[side.axis] = float(part.size_along(side.axis)) if side.is_far else 0.0
    return point, VIEWS[side][2]
