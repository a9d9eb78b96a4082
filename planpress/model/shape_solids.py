"""The solid of a part before its joints: stick, ends, outlines, chamfers and round-overs."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import numpy as np
from attrs import frozen

from planpress.geometry.mesh import Floats
from planpress.geometry.rims import ROUND_ERROR
from planpress.geometry.solids import Solid, box, prism
from planpress.geometry.strokes import Outline
from planpress.geometry.vectors import floats
from planpress.model.outline_sides import is_plain, stroke_sides
from planpress.model.records import EdgeCut, Part, Shape, Side
from planpress.model.rims import rim_cutters

#: Axes (first, second, out) of an outline's plane: on the face (axis 1), on the edge (axis 2; u to the right, w up is
#: a left-handed plane with v out).
_AXES = {
    1: ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    2: ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
}
_ORIGIN = (0.0, 0.0, 0.0)
_BEYOND = 1.0


def blank_solid(part: Part) -> Solid:
    """The stick with its ends and its shape cut, in part coordinates."""
    length, width, thickness = (float(part.size_along(axis)) for axis in range(3))
    shape = part.shape
    if shape is None:
        return _ended(box(length, width, thickness), part)
    plain = is_plain(shape.face) and is_plain(shape.edge)
    cuts = {} if plain else {cut.sides: cut for cut in shape.edges}
    solid = box(length, width, thickness)
    if shape.face is not None:
        solid = _standing(shape.face, 1, thickness, cuts)
    if shape.edge is not None:
        solid = (
            _standing(shape.edge, 2, width, cuts) if shape.face is None else solid.common(_through(shape.edge, width))
        )
    solid = _ended(solid, part)
    if plain:
        for cutter in _edge_cutters(part, shape, 2 * (length + width + thickness)):
            solid = solid.minus(cutter)
    return solid


def _ended(solid: Solid, part: Part) -> Solid:
    for end in part.ends:
        if not end.is_square:
            solid = solid.trimmed(floats(end.point), floats(end.normal), end.side.value)
    return solid


def _standing(outline: Outline, axis: int, height: float, cuts: dict[tuple[Side, Side], EdgeCut]) -> Solid:
    """The body over an outline, its rims cut."""
    solid = prism(_points(outline), _ORIGIN, _AXES[axis], 0.0, height, name="side", walls=_walls(outline, "outline"))
    for cutter in rim_cutters(outline, axis, height, cuts):
        solid = solid.minus(cutter.moved(_ORIGIN, _AXES[axis]))
    return solid


def _through(outline: Outline, width: float) -> Solid:
    """The body over an outline of the edge, standing out of the wood at both edges."""
    walls = _walls(outline, "edge outline")
    return prism(_points(outline), _ORIGIN, _AXES[2], _BEYOND, width + _BEYOND, name="edge outline", walls=walls)


def _points(outline: Outline) -> list[tuple[float, float]]:
    return [(float(a), float(b)) for a, b in outline.polygon]


def _walls(outline: Outline, name: str) -> list[str]:
    """A name for each side of the polygon, one for all of a smooth chain."""
    return [f"{name} {outline.chains[owner] + 1}" for owner in outline.flattened[1]]


@frozen(eq=False)
class _Facet:
    """A flat side of a straight convex blank: points p inside have normal . p <= offset."""

    side: Side
    normal: Floats
    offset: float


def _facets(part: Part, shape: Shape) -> list[_Facet]:
    """The flat sides of a straight convex blank."""
    out = []
    for end in part.ends:
        normal = np.array(floats(end.normal))
        out.append(_Facet(end.side, normal, float(normal @ np.array(floats(end.point)))))
    for axis, outline in ((1, shape.face), (2, shape.edge)):
        sides = (Side.LOWER, Side.UPPER) if axis == 1 else (Side.BACK, Side.FACE)
        if outline is None:
            for side in sides:
                normal = np.zeros(3)
                normal[axis] = 1.0 if side.is_far else -1.0
                out.append(_Facet(side, normal, float(part.size_along(axis)) if side.is_far else 0.0))
            continue
        for stroke, side in zip(outline.strokes, stroke_sides(outline, axis), strict=True):
            along = np.array([float(stroke.end[i] - stroke.start[i]) for i in (0, 1)])
            normal = np.zeros(3)
            normal[0], normal[axis] = np.array([along[1], -along[0]]) / np.linalg.norm(along)
            start = np.zeros(3)
            start[0], start[axis] = (float(c) for c in stroke.start)
            facet = _Facet(side, normal, float(normal @ start))
            if not any(np.allclose(facet.normal, f.normal) and abs(facet.offset - f.offset) < 1e-6 for f in out):
                out.append(facet)
    return out


def _edge_cutters(part: Part, shape: Shape, length: float) -> Iterator[Solid]:
    """What is cut from the edges of a straight convex blank. `length`: more than its longest diagonal."""
    facets = _facets(part, shape)
    for k, cut in enumerate(shape.edges):
        first, second = ([f for f in facets if f.side is side] for side in cut.sides)
        for a, b in itertools.product(first, second):
            edge = _shared(a, b, facets)
            if edge is not None:
                yield _edge_cutter(cut, a, b, edge, length, f"edge cut {k + 1}")


def _shared(a: _Facet, b: _Facet, facets: list[_Facet]) -> Floats | None:
    """A point on the edge between two sides, None if they do not meet along one."""
    along = np.cross(a.normal, b.normal)
    if np.linalg.norm(along) < 1e-6:
        return None
    along = along / np.linalg.norm(along)
    point = np.linalg.solve(np.stack([a.normal, b.normal, along]), np.array([a.offset, b.offset, 0.0]))
    low, high = -np.inf, np.inf
    for facet in facets:
        if facet is a or facet is b:
            continue
        rate, room = float(facet.normal @ along), facet.offset - float(facet.normal @ point)
        if abs(rate) < 1e-9:
            if room < -1e-6:
                return None
        elif rate > 0:
            high = min(high, room / rate)
        else:
            low = max(low, room / rate)
    return point if high - low > 1e-3 else None


def _edge_cutter(cut: EdgeCut, a: _Facet, b: _Facet, edge: Floats, length: float, name: str) -> Solid:
    """What a chamfer or round-over takes from a straight edge: a long prism whose cut side has one name."""
    size = float(cut.size)
    cosine = float(a.normal @ b.normal)
    turn = math.acos(cosine)
    across = (b.normal - cosine * a.normal) / math.sin(turn)
    # in the plane square to the edge, from the edge: side a looks along (1, 0), side b along (cos turn, sin turn)
    if cut.kind == "chamfer":
        bend = [np.array([0.0, -size]), size * np.array([-math.sin(turn), cosine])]
    else:
        middle = -np.array([1 + cosine, math.sin(turn)]) * size / (1 + cosine)  # `size` inside both sides
        count = max(2, math.ceil(turn / math.sqrt(8 * ROUND_ERROR / size)))
        step = turn / count
        # facets touch the arc in their middles; the first and last run out at the sides
        spokes = [(step / 4, step / 4), *((k * step, step / 2) for k in range(1, count)), (turn - step / 4, step / 4)]
        bend = [middle + size / math.cos(half) * np.array([math.cos(t), math.sin(t)]) for t, half in spokes]
    first, last = bend[0] - bend[1], bend[-1] - bend[-2]
    bend = [bend[0] + first / np.linalg.norm(first), *bend[1:-1], bend[-1] + last / np.linalg.norm(last)]
    outer = np.array([1 + cosine, math.sin(turn)]) * 2 * _BEYOND / (1 + cosine)
    outline = [(float(p[0]), float(p[1])) for p in (*bend, outer)]
    walls = [*([name] * (len(bend) - 1)), "beyond", "beyond"]
    axes = np.stack([a.normal, across, np.cross(a.normal, across)])
    return prism(outline, edge, axes, length, length, name="beyond", walls=walls)
