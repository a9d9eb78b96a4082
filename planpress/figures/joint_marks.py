"""Signs on the picture of a joint taken apart: the arrow of the way it closes, and the reference face of each piece."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from typing import Final, TypeAlias

import numpy as np

from planpress.base.display import Item, Path, Pen, Point, Role, Segment, Text, line
from planpress.figures import style
from planpress.figures.dimensions import arrowhead
from planpress.figures.extents import chains_of
from planpress.figures.joint_solids import Stub
from planpress.figures.marks import EDGE_MARK_ROOM, LOOP_ROOM, edge_mark, face_loop
from planpress.figures.pictures import Drawing
from planpress.figures.scenes import Offset
from planpress.geometry.mesh import Flags, Floats
from planpress.geometry.regions import Loop
from planpress.geometry.vectors import floats
from planpress.model.records import Part, Piece, Side

#: Where a point drawn flat (mm), moved along the edge, falls on paper.
OnPaper: TypeAlias = Callable[[Point, float], Point]

_ARROW, _HEAD, _CLEAR, _STEP = 10.0, (3.4, 2.2), 2.2, 2.0
_ARROW_PEN: Final = Pen(style.MEDIUM, style.INK)
# Places that are tried, the nearest first.
_TRIED = 500
# Boxes reach further (mm), for rounding.
_HAIR = 1e-6
# Of the arrow's way at least this share must lie in the paper.
_FLAT = 0.3
# Sizes of the mark that are tried, steps along the edge, white around it (mm on paper).
_SIZES, _ALONG, _ROOM = (1.0, 0.85, 0.72), 24, 0.6


def closing_arrow(
    drawing: Drawing, way: Floats, gap: Point, others: Sequence[Item], size: tuple[float, float]
) -> list[Item]:
    """An arrow along the way the first piece travels, in the white nearest to the gap; none if the way is end-on.

    Args:
        gap: middle of the gap on paper. others: items to keep clear of besides the picture. size: of the frame.
    """
    turned = drawing.sight.view.matrix @ way
    flat = math.hypot(float(turned[0]), float(turned[1]))
    if flat < _FLAT:
        return []
    ux, uy = float(turned[0]) / flat, float(turned[1]) / flat
    lines = np.concatenate([drawing.lines, _lines(others)])
    loops = [loop for face in drawing.sight.regions.loops for loop in drawing.loops(face)]
    half = _ARROW / 2
    across, up = (np.arange(int(side / _STEP)) + 0.5 for side in size)
    places = np.column_stack([np.tile(across, len(up)), np.repeat(up, len(across))]) * _STEP
    reach = np.abs(np.array([ux, uy])) * half + 1.5
    places = places[((places >= reach) & (places <= np.array(size) - reach)).all(axis=1)]
    away = np.round(np.hypot(*(places - np.array(gap)).T), 6)
    near = np.argsort(away, kind="stable")[:_TRIED]
    places, away = places[near], away[near]
    for share in (0.0, -half, half, -half / 2, half / 2):
        free = _clear(places + np.array([ux, uy]) * share, lines, _CLEAR)
        places, away = places[free], away[free]
    shares = np.linspace(-1.0, 1.0, 9) * half
    for x, y in places.tolist():
        points = np.column_stack([x + ux * shares, y + uy * shares])
        if _clear(points, lines, _CLEAR).all() and not _covered((x, y), loops):
            break
    else:
        return []
    start, tip = (x - ux * half, y - uy * half), (x + ux * half, y + uy * half)
    neck = (tip[0] - ux * _HEAD[0] * 0.8, tip[1] - uy * _HEAD[0] * 0.8)
    return [line(start, neck, _ARROW_PEN, Role.MARK), arrowhead(tip, (ux, uy), _HEAD)]


def _lines(items: Sequence[Item]) -> Floats:
    """(n, 2, 2) the lines that items consist of; text is left to its balloon."""
    found: list[tuple[Point, Point]] = []
    for item in items:
        if isinstance(item, Text):
            continue
        for chain in chains_of(item):
            found += itertools.pairwise(chain)
    return np.array(found, dtype=np.float64).reshape(-1, 2, 2)


def _clear(points: Floats, lines: Floats, room: float) -> Flags:
    """(n,) which points are at least `room` away from every line; boxes spare most of the sums."""
    clear = np.ones(len(points), dtype=np.bool_)
    low, high = lines.min(axis=1) - room - _HAIR, lines.max(axis=1) + room + _HAIR
    (x, y), (left, below), (right, above) = points.T[:, :, None], low.T, high.T
    near = (x >= left) & (x <= right) & (y >= below) & (y <= above)
    point, number = np.divmod(np.flatnonzero(near), max(1, len(lines)))
    starts, run = lines[number, 0], lines[number, 1] - lines[number, 0]
    way = points[point] - starts
    share = np.clip((way * run).sum(axis=1) / np.maximum((run**2).sum(axis=1), 1e-12), 0.0, 1.0)
    away = np.sqrt(((way - share[:, None] * run) ** 2).sum(axis=1))
    clear[point[away < room]] = False
    return clear


def _covered(point: Point, loops: Sequence[Loop]) -> bool:
    """True if a point lies in one of the closed loops."""
    x, y = point
    for loop in loops:
        odd = False
        for (x0, y0), (x1, y1) in zip(loop, [*loop[1:], loop[0]], strict=True):
            if (y0 > y) != (y1 > y) and x < x0 + (y - y0) / (y1 - y0) * (x1 - x0):
                odd = not odd
        if odd:
            return True
    return False


def reference_mark(
    drawing: Drawing, own: Stub, piece: Piece, part: Part, offset: Offset, others: Sequence[Item]
) -> list[Item]:
    """The loop and V of the reference face and edge as pencilled on a piece, if that face shows and has room.

    Args:
        offset: of the piece. others: items to keep clear of.
    """
    frame = piece.frame
    along, across, out = (np.array(floats(axis)) for axis in (frame.x, frame.y, frame.z))
    if float(out @ drawing.sight.view.matrix[2]) < 0.2:
        return []
    into = 1 if part.reference_edge is Side.LOWER else -1
    picture = drawing.sight.picture
    seen = [
        face
        for face in drawing.faces_by_thing()[own.piece]
        if float(picture.face_normal[face] @ out) > 0.999
        and _has_level(own, int(picture.face_label[face]), piece, part)
    ]
    corner = np.array(floats(frame.point((part.length * 0, part.reference_edge.is_far * part.width, part.thickness))))
    us = (own.mesh.vertices - corner) @ along
    loops = [loop for face in seen for loop in drawing.loops(face)]
    if not loops:
        return []
    lines = np.concatenate(
        [_lines(others), np.array([pair for loop in loops for pair in zip(loop, [*loop[1:], loop[0]], strict=True)])]
    )

    def on_paper(p: Point, start: float) -> Point:
        world = corner + along * (start + p[0] / drawing.scale) + across * (p[1] / drawing.scale)
        return drawing.point(world.tolist(), offset)

    for share in _SIZES:
        wide = (EDGE_MARK_ROOM + LOOP_ROOM) * share / drawing.scale
        free = float(us.max() - us.min()) - wide
        if free <= 0:
            continue
        for step in range(_ALONG + 1):
            start = float(us.min()) + free * step / _ALONG
            mark = [edge_mark((1.8 * share, 0.0), into, share), face_loop((4.6 * share, 0.4 * into), into, share)]
            placed = [_moved(path, start, on_paper) for path in mark]
            points = [p for path in placed for chain in chains_of(path) for p in chain]
            upper = [p for p in points if _off_edge(p, on_paper, start)]
            if all(_covered(p, loops) for p in upper) and _clear(np.array(upper), lines, _ROOM).all():
                return list(placed)
    return []


def _has_level(own: Stub, label: int, piece: Piece, part: Part) -> bool:
    """True if the face with this label lies where the part is thickest."""
    triangles = own.mesh.triangles[own.mesh.labels == label]
    if not len(triangles):
        return False
    out = np.array(floats(piece.frame.z))
    level = float(np.array(floats(piece.frame.origin)) @ out) + float(part.thickness)
    return abs(float(own.mesh.vertices[triangles[0][0]] @ out) - level) < 1e-3


def _off_edge(p: Point, on_paper: OnPaper, start: float) -> bool:
    """True for points that do not lie by the edge itself, where marks begin."""
    a, b = on_paper((0.0, 0.0), start), on_paper((10.0, 0.0), start)
    length = math.dist(a, b)
    return abs((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])) / length > _ROOM + 0.1


def _moved(path: Path, start: float, on_paper: OnPaper) -> Path:
    """A path drawn flat, as it lies on a face."""
    out: list[Segment] = []
    for segment in path.segments:
        if segment[0] == "z":
            out.append(segment)
        elif segment[0] == "c":
            _, x1, y1, x2, y2, x, y = segment
            a, b, c = (on_paper(point, start) for point in ((x1, y1), (x2, y2), (x, y)))
            out.append(("c", *a, *b, *c))
        else:
            out.append((segment[0], *on_paper((segment[1], segment[2]), start)))
    return Path(tuple(out), path.pen, path.fill, path.role, path.source)
