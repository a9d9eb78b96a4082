"""Cutters for chamfers and round-overs along an outline: the section of the cut, swept along each smooth stretch."""

from __future__ import annotations

import math

import numpy as np
from attrs import frozen

from planpress.geometry.mesh import Floats, Mesh
from planpress.geometry.solids import Solid, cap_triangles, from_mesh

#: The facets of a round-over leave the true one by at most this (mm).
ROUND_ERROR = 0.05
#: Cutters stand this far out of the wood (mm).
_BEYOND = 0.5
#: At a corner a cutter runs on by at most this many times its size.
_RUN_ON = 4.0


@frozen
class Profile:
    """The section of a cut: (inset from the wall, depth below the cap) in mm, from the cap down to the wall."""

    steps: tuple[tuple[float, float], ...]

    @property
    def size(self) -> float:
        """How far it reaches, both ways."""
        return self.steps[-1][1]

    @property
    def section(self) -> Floats:
        """The cutter's section (n, 2): the cut, run on into the air at both ends, and a corner in the air."""
        points = np.array(self.steps)
        first, last = points[0] - points[1], points[-1] - points[-2]
        first, last = (d * _BEYOND / np.abs(d).min() for d in (first, last))
        ends = points[0] + first, points[-1] + last
        air = np.array([ends[1][0], ends[0][1]])
        section: Floats = np.vstack([ends[0], points[1:-1], ends[1], air])
        return section


def chamfer(size: float) -> Profile:
    """As much off the cap as off the wall."""
    return Profile(((size, 0.0), (0.0, size)))


def round_over(radius: float) -> Profile:
    """A quarter of a circle that touches the cap and the wall, as tangents about it."""
    count = max(2, math.ceil(math.pi / 2 / math.sqrt(8 * ROUND_ERROR / radius)))
    step = math.pi / 2 / count
    spokes = [(step / 4, step / 4), *((k * step, step / 2) for k in range(1, count))]
    spokes.append((math.pi / 2 - step / 4, step / 4))
    steps = [
        (radius - radius / math.cos(h) * math.sin(a), radius - radius / math.cos(h) * math.cos(a)) for a, h in spokes
    ]
    return Profile((*((inset, max(depth, 0.0)) for inset, depth in steps[:-1]), (0.0, steps[-1][1])))


@frozen(eq=False)
class Stretch:
    """A smooth stretch of an outline, the wood to its left.

    Attributes:
        points: (n, 2) its corners in order; of a closed one the first is not repeated.
        closed: it is the whole outline.
        before, after: directions (2,) of the sides next to it, None if it is closed.
        mitred: whether the neighbour before, and after, is cut alike: in a hollow corner both meet in a mitre.
    """

    points: Floats
    closed: bool
    before: Floats | None
    after: Floats | None
    mitred: tuple[bool, bool]


def rim_cutter(stretch: Stretch, profile: Profile, height: float, upper: bool, name: str) -> Solid:
    """What a cut along a stretch takes from a body that stands on its outline, from level 0 to `height`.

    Args:
        upper: the cut is at `height`, else at 0. name: of the cut faces.

    Raises:
        ValueError: if the outline turns too sharply for the cut.
    """
    section = profile.section
    points = stretch.points if stretch.closed else _run_on(stretch, profile.size)
    count, width = len(points), len(section)
    along = np.roll(points, -1, axis=0) - points
    along = along if stretch.closed else along[:-1]
    unit = along / np.linalg.norm(along, axis=1)[:, None]
    inward = np.stack([-unit[:, 1], unit[:, 0]], axis=1)
    before, own = _neighbours(stretch, inward)
    shift = _mitre_shift(stretch, before, own)
    rings = points[:, None, :] + shift[:, None, :] * section[None, :, :1]
    ahead = np.roll(rings, -1, axis=0) - rings
    ahead = ahead if stretch.closed else ahead[:-1]
    if ((ahead * unit[:, None, :]).sum(axis=2)[:, : width - 1] < 1e-9).any():
        raise ValueError("the outline turns too sharply for a cut of this size along its edge")
    levels = np.broadcast_to(height - section[:, 1] if upper else section[:, 1], (count, width))
    vertices = np.concatenate([rings, levels[:, :, None]], axis=2).reshape(-1, 3)
    spans = count if stretch.closed else count - 1
    i, k = (a.ravel() for a in np.meshgrid(np.arange(spans), np.arange(width), indexing="ij"))
    j, m = (i + 1) % count, (k + 1) % width
    a, b, c, d = i * width + k, j * width + k, j * width + m, i * width + m
    triangles = np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)])
    labels = np.tile(np.where(k < width - 2, 0, 1), 2)
    if not stretch.closed:
        cap = cap_triangles(section if _area(section) > 0 else section[::-1])
        cap = cap if _area(section) > 0 else width - 1 - cap
        turn = cap if _area(section) > 0 else cap[:, ::-1]
        triangles = np.concatenate([triangles, turn, turn[:, ::-1] + (count - 1) * width])
        labels = np.concatenate([labels, np.full(2 * len(cap), 1)])
    if _volume(vertices, triangles) < 0:
        triangles = triangles[:, ::-1]
    return from_mesh(Mesh(vertices, np.ascontiguousarray(triangles), labels.astype(np.intp), (name, "beyond")))


def _run_on(stretch: Stretch, size: float) -> Floats:
    """The stretch made longer where it ends in an outer corner."""
    points = stretch.points
    parts = [points]
    for at_end, neighbour in ((False, stretch.before), (True, stretch.after)):
        if neighbour is None:
            continue
        own = points[-1] - points[-2] if at_end else points[1] - points[0]
        own = own / np.linalg.norm(own)
        first, second = (own, neighbour) if at_end else (neighbour, own)
        turn = math.atan2(first[0] * second[1] - first[1] * second[0], float(first @ second))
        if turn <= 0:
            continue
        further = (min(size / math.tan(turn), _RUN_ON * size) if turn < math.pi / 2 else 0.0) + 2 * _BEYOND
        if at_end:
            parts.append((points[-1] + own * further)[None])
        else:
            parts.insert(0, (points[0] - own * further)[None])
    return np.vstack(parts)


def _neighbours(stretch: Stretch, inward: Floats) -> tuple[Floats, Floats]:
    """For each corner the inward normals of the sides before and after it; at an end both are the own side's."""
    if stretch.closed:
        return np.roll(inward, 1, axis=0), inward
    return np.vstack([inward[:1], inward]), np.vstack([inward, inward[-1:]])


def _mitre_shift(stretch: Stretch, before: Floats, own: Floats) -> Floats:
    """How a corner moves for each mm of inset (n, 2)."""
    shift: Floats = (before + own) / (1 + (before * own).sum(axis=1))[:, None]
    for at, neighbour, mitred in ((0, stretch.before, stretch.mitred[0]), (-1, stretch.after, stretch.mitred[1])):
        if neighbour is None:
            continue
        other = np.array([-neighbour[1], neighbour[0]])
        side = own[0] if at == 0 else before[-1]
        first, second = (other, side) if at == 0 else (side, other)
        turn = first[0] * second[1] - first[1] * second[0]
        if turn > 1e-9 or float(other @ side) > 1 - 1e-9:
            continue  # an outer corner: the cutter runs on, square ended
        if mitred:
            shift[at] = (other + side) / (1 + float(other @ side))
        else:  # it ends at the neighbour's line
            shift[at] = neighbour / float(neighbour @ side)
    return shift


def _area(section: Floats) -> float:
    x, y = section.T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)


def _volume(vertices: Floats, triangles: np.ndarray[tuple[int, ...], np.dtype[np.intp]]) -> float:
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    return float((a * np.cross(b, c)).sum() / 6)
