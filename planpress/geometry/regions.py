"""Closed regions and joined lines of a picture: what to fill, what to stroke, where to put a dot."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import frozen

from planpress.geometry.mesh import Floats, Ints, distinct
from planpress.geometry.pictures import SNAP, Picture

Loop = list[tuple[float, float]]


@frozen(eq=False)
class Regions:
    """The visible part of every face.

    Attributes:
        loops: closed loops of points (mm on paper) by face, faces in rising order; the face lies to the
            left, so outer loops run counter-clockwise and holes clockwise. Fill by either rule, even-odd or
            non-zero.
        bridged: widths (mm) of gaps that had to be bridged to close a loop. A sound picture has none;
            anything else means that pieces overlap or nearly touch, and must be reported.
    """

    loops: dict[int, list[Loop]]
    bridged: list[float]

    def area(self, face: int) -> float:
        """Visible area of a face, mm2 on paper."""
        return sum(loop_area(loop) for loop in self.loops.get(face, []))


def loop_area(loop: Sequence[tuple[float, float]]) -> float:
    """Area of a closed loop (mm2), negative if it runs clockwise."""
    x, y = np.array(loop).T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)


def joined_ends(segments: Floats, tolerance: float = SNAP) -> tuple[Ints, Floats]:
    """Make one node of ends nearer than `tolerance` (mm).

    Returns:
        the nodes of both ends of each segment (n, 2), and the place of each node (k, 2).
    """
    points = segments.reshape(-1, 2)
    label = np.zeros(len(points), dtype=np.intp)
    for axis in (0, 1, 0, 1):
        order = np.lexsort((points[:, axis], label))
        new = np.zeros(len(points), dtype=np.intp)
        new[1:] = (np.diff(label[order]) > 0) | (np.diff(points[order, axis]) > tolerance)
        label[order] = np.cumsum(new)
    count = np.bincount(label)
    places = np.column_stack([np.bincount(label, points[:, 0]), np.bincount(label, points[:, 1])])
    return label.reshape(-1, 2), places / np.maximum(count, 1)[:, None]


def regions(picture: Picture) -> Regions:
    """Walk round each face's visible region: the lines with a face at one side are its whole border."""
    if not len(picture.segments):
        return Regions({}, [])
    node, place = joined_ends(picture.segments)
    real = node[:, 0] != node[:, 1]
    node, faces = node[real], picture.faces[real]
    of_face = np.concatenate([faces[:, 0], faces[:, 1]])
    begin = np.concatenate([node[:, 0], node[:, 1]])
    end = np.concatenate([node[:, 1], node[:, 0]])
    visible = of_face >= 0
    ways: dict[int, dict[int, list[int]]] = {}
    for face, p, q in zip(of_face[visible].tolist(), begin[visible].tolist(), end[visible].tolist(), strict=True):
        ways.setdefault(face, {}).setdefault(p, []).append(q)
    points: list[tuple[float, float]] = [(x, y) for x, y in place.tolist()]
    bridged: list[float] = []
    loops = {face: _walk(ways[face], points, bridged) for face in sorted(ways)}
    return Regions({face: found for face, found in loops.items() if found}, bridged)


def _walk(ways: dict[int, list[int]], points: list[tuple[float, float]], bridged: list[float]) -> list[Loop]:
    """Join directed ways (from node to nodes) to closed loops; `ways` is used up."""
    surplus = {p: len(ends) for p, ends in ways.items()}
    for ends in ways.values():
        for q in ends:
            surplus[q] = surplus.get(q, 0) - 1
    heads = [p for p, number in surplus.items() for _ in range(number)]  # ways begin here, none leads here
    loops: list[Loop] = []
    while ways:
        first = heads.pop() if heads else next(iter(ways))
        here, loop = first, [points[first]]
        while True:
            if here in ways:
                there = ways[here].pop()
                if not ways[here]:
                    del ways[here]
            else:  # a dead end: over to the nearest beginning
                distances = [(_distance(points[h], points[here]), n) for n, h in enumerate([*heads, first])]
                width, number = min(distances)
                bridged.append(width)
                there = heads.pop(number) if number < len(heads) else first
            if there == first:
                break
            loop.append(points[there])
            here = there
        if len(loop) >= 3:  # there and back is a sliver too thin to fill
            loops.append(loop)
    return loops


def _distance(a: tuple[float, float], b: tuple[float, float]) -> float:
    return float(np.hypot(a[0] - b[0], a[1] - b[1]))


def chains(segments: Floats, style: Ints) -> list[tuple[int, Loop]]:
    """Join segments (n, 2, 2) of one style (n,) end to end where exactly two of that style meet.

    Returns:
        style and points of each chain, in rising order of style; a closed one ends where it began.
    """
    out: list[tuple[int, Loop]] = []
    if not len(segments):
        return out
    node, place = joined_ends(segments)
    points: list[tuple[float, float]] = [(x, y) for x, y in place.tolist()]
    real = node[:, 0] != node[:, 1]
    for one in distinct(style).tolist():
        near: dict[int, list[int]] = {}
        for p, q in node[(style == one) & real].tolist():
            near.setdefault(p, []).append(q)
            near.setdefault(q, []).append(p)
        starts = [p for p, others in near.items() if len(others) != 2]
        for p in [*starts, *near]:
            while near[p]:
                line = [p]
                while near[line[-1]]:
                    here = line[-1]
                    there = near[here].pop()
                    near[there].remove(here)
                    line.append(there)
                    if len(near[there]) != 1 or there == p:
                        break
                out.append((one, [points[n] for n in line]))
    return out
