"""Leaders: straight lines from balloons to dots on parts, chosen together so that they cross as little as possible.

Coordinates in mm on paper, y up. Everything is decided by search among fixed candidates, in a fixed order.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from attrs import frozen

from planpress.base.display import Circle, Item, Point, Role, line
from planpress.figures import style
from planpress.figures.marks import BALLOON_RADIUS
from planpress.geometry.intervals import ragged
from planpress.geometry.mesh import Flags, Floats, Ints, distinct
from planpress.geometry.regions import Loop

DOT_RADIUS = 0.55
#: Least distance between the centres of two balloons, without and with counts: a count keeps 2 mm to the next balloon.
BALLOON_PITCH, COUNT_PITCH = 13.0, 13.5
#: White between a balloon and anything else.
AIR = 1.6
#: A balloon's count stands in a box this far below the centre, this far to each side and this high.
COUNT_BELOW, COUNT_HALF_WIDTH, COUNT_HALF_HEIGHT = 6.7, 4.4, 2.0

# Leaders nearer in direction (degrees) to level, plumb or a long edge than this are avoided.
_SLANT = 8.0
# Costs. A crossing with a line of the picture counts 1.
_IN_THE_WAY, _CROSSES_TRAIL, _CROSSES_LEADER, _SLANTS, _CROWDED, _CLASH = 1.5, 40.0, 60.0, 2.5, 8.0, 200.0
# Balloons with counts are wished this much (mm) further apart than they must be.
_LOOSE = 4.0
# A leader may leave its balloon within this (degrees) of straight down only if no count stands there.
_DOWNWARD = 55.0
# A cost from this on means that something is crossed or covered that should not be.
_TOO_MUCH = 50.0
# A cost up to this means that a leader crosses nothing but the border of its own piece.
_ENOUGH = 5.0
# A leader that passes this near (mm) to a corner counts as touching it.
_NEAR = 0.8
# Beyond any paper, mm.
_FAR = 1e9
# Options of one balloon that are kept, options kept for one place of a balloon or dot, combinations followed.
_OPTIONS, _ALIKE, _BEAM = 36, 3, 120
#: A dot is wished this far inside; it is at home from `_ROOM` on.
_ROOM = 1.4


@frozen
class Spot:
    """A place for the dot of a leader, and its distance (mm) to the border of its face."""

    x: float
    y: float
    clearance: float


@frozen(eq=False)
class Sites:
    """Places for the centres of balloons.

    Attributes:
        places: (n, 2). costs: (n,) what it costs to use each.
    """

    places: Floats
    costs: Floats

    @classmethod
    def at(cls, places: Floats | Sequence[Point], cost: float = 0.0) -> Sites:
        """Places that cost the same."""
        points = np.array(places, dtype=np.float64).reshape(-1, 2)
        return cls(points, np.full(len(points), cost))

    def __len__(self) -> int:
        return len(self.places)

    def __add__(self, other: Sites) -> Sites:
        return Sites(np.concatenate([self.places, other.places]), np.concatenate([self.costs, other.costs]))

    def only(self, keep: Flags | Ints) -> Sites:
        """Those flagged or numbered."""
        return Sites(self.places[keep], self.costs[keep])


NOWHERE = Sites.at(())


@frozen
class Target:
    """What a balloon points to: its letter and the places its dot may take."""

    letter: str
    spots: tuple[Spot, ...]


@frozen
class Leader:
    """A balloon's centre and the dot of its leader."""

    letter: str
    centre: Point
    dot: Point

    def start(self, square: bool) -> Point:
        """Where the leader leaves the rim of the balloon."""
        dx, dy = self.dot[0] - self.centre[0], self.dot[1] - self.centre[1]
        reach = max(abs(dx), abs(dy)) if square else math.hypot(dx, dy)
        share = BALLOON_RADIUS / reach
        return (self.centre[0] + dx * share, self.centre[1] + dy * share)

    def items(self, square: bool) -> list[Item]:
        """The line and its dot."""
        return [
            line(self.start(square), self.dot, style.LEADER, Role.LEADER, self.letter),
            Circle(self.dot, DOT_RADIUS, None, style.INK, Role.LEADER, self.letter),
        ]


# --- where dots can be ------------------------------------------------------------------------------------------------


def spots_inside(loops: Sequence[Loop], cuts: Sequence[float] = (0.12, 0.3, 0.5, 0.7, 0.88)) -> list[Spot]:
    """Middles of a region, across its long direction, at some shares of its length."""
    corners = [np.array(loop) for loop in loops]
    points = np.concatenate(corners)
    ends = np.concatenate([part[[*range(1, len(part)), 0]] for part in corners])
    run = ends - points
    length = np.hypot(run[:, 0], run[:, 1])
    longest = int(np.argmax(np.round(length, 6)))
    if length[longest] < 1e-6:
        return []
    along = run[longest] / length[longest]
    across = np.array([-along[1], along[0]])
    a, b, c, d = points @ along, ends @ along, points @ across, ends @ across
    low, high = float(a.min()), float(a.max())
    at = low + (high - low) * np.array(cuts)
    cut = (a > at[:, None]) != (b > at[:, None])
    share = (at[:, None] - a) / np.where(cut, b - a, 1.0)
    crossings = np.sort(np.where(cut, c + share * (d - c), _FAR), axis=1)
    crossings = crossings[:, : crossings.shape[1] // 2 * 2]
    left, right = crossings[:, ::2], crossings[:, 1::2]
    widths = np.where(right < _FAR, right - left, 0.0)
    widest = np.argmax(np.round(widths, 6), axis=1)
    rows = np.arange(len(at))
    middle = (left[rows, widest] + right[rows, widest]) / 2
    good = widths[rows, widest] > 0
    found = (along * at[:, None] + across * middle[:, None])[good]
    clear = distances(found, np.stack([points, ends], axis=1))
    return [Spot(x, y, c) for (x, y), c in zip(found.tolist(), clear.tolist(), strict=True)]


# --- obstacles --------------------------------------------------------------------------------------------------------


class Obstacles:
    """What leaders and balloons keep clear of.

    Args:
        lines: (n, 2, 2) outlines of the picture. borders: (k, 2, 2) its silhouette. trails: (m, 2, 2).
        slants: directions (degrees, 0 to 180) that leaders avoid besides level and plumb.
    """

    def __init__(self, lines: Floats, borders: Floats, trails: Floats, slants: Sequence[float]) -> None:
        self.lines = lengthened(lines, _NEAR)
        self.borders = borders
        self.trails = lengthened(trails, _NEAR)
        self.slants = np.array([0.0, 90.0, *slants])

    def free(self, sites: Sites, with_count: bool) -> Sites:
        """The sites where a balloon (and its count) lies clear of the picture and the trail lines."""
        every = np.concatenate([self.borders, self.trails])
        left = sites.only(~near(sites.places, every, BALLOON_RADIUS + AIR))
        left = left.only(~covered(left.places, self.borders))
        if with_count:
            for dx in (-COUNT_HALF_WIDTH / 2, COUNT_HALF_WIDTH / 2):
                count = left.places + np.array([dx, -COUNT_BELOW])
                left = left.only(~near(count, every, COUNT_HALF_HEIGHT + AIR))
        return left

    def crossings(self, dots: Floats, centres: Floats) -> tuple[Floats, Floats]:
        """(d, c) how many lines and how many trail lines the way from each dot to each centre crosses."""
        is_trail = np.arange(len(self.lines) + len(self.trails)) >= len(self.lines)
        return _counts(dots, centres, np.concatenate([self.lines, self.trails]), is_trail)


def lengthened(lines: Floats, by: float) -> Floats:
    """Lines (n, 2, 2) longer by some mm at both ends, so that what passes close by an end counts as crossing."""
    run = lines[:, 1] - lines[:, 0]
    run = run / np.maximum(np.hypot(run[:, 0], run[:, 1]), 1e-9)[:, None] * by
    longer: Floats = np.stack([lines[:, 0] - run, lines[:, 1] + run], axis=1)
    return longer


def distances(points: Floats, lines: Floats) -> Floats:
    """(n,) distance of points (n, 2) to the nearest of some lines (m, 2, 2)."""
    if not len(lines) or not len(points):
        return np.full(len(points), np.inf)
    (x, y), (u, v) = lines[:, 0].T, (lines[:, 1] - lines[:, 0]).T
    square = np.maximum(u * u + v * v, 1e-300)
    off_x, off_y = points[:, 0, None] - x, points[:, 1, None] - y
    share = np.clip((off_x * u + off_y * v) / square, 0.0, 1.0)
    off_x -= share * u
    off_y -= share * v
    nearest: Floats = np.sqrt((off_x * off_x + off_y * off_y).min(axis=1))
    return nearest


def near(points: Floats, lines: Floats, reach: float) -> Flags:
    """(n,) whether each point (n, 2) lies within `reach` mm of any line (m, 2, 2)."""
    low, high = lines.min(axis=1) - reach, lines.max(axis=1) + reach
    x, y = points[:, 0, None], points[:, 1, None]
    meets = (x >= low[:, 0]) & (x <= high[:, 0]) & (y >= low[:, 1]) & (y <= high[:, 1])
    point, row = np.nonzero(meets)
    start, run = lines[row, 0], lines[row, 1] - lines[row, 0]
    off = points[point] - start
    share = np.clip((off * run).sum(axis=1) / np.maximum((run * run).sum(axis=1), 1e-300), 0.0, 1.0)
    off -= share[:, None] * run
    found = np.zeros(len(points), dtype=np.bool_)
    found[point[np.sqrt((off * off).sum(axis=1)) <= reach]] = True
    return found


def covered(points: Floats, borders: Floats) -> Flags:
    """(n,) whether each point lies within closed borders (m, 2, 2): an odd number of them to its right.

    Points that share a height, as those of a grid do, are looked at together.
    """
    (ax, ay), (bx, by) = borders[:, 0].T, borders[:, 1].T
    heights = distinct(points[:, 1])
    row = np.searchsorted(heights, points[:, 1])
    odd = np.zeros(len(points), dtype=np.bool_)
    order = np.argsort(row, kind="stable")
    ends = np.searchsorted(row[order], np.arange(len(heights) + 1))
    for number, y in enumerate(heights.tolist()):
        spans = np.flatnonzero((ay > y) != (by > y))
        start, low = ax[spans], ay[spans]
        crossed = np.sort(start + (y - low) / (by[spans] - low) * (bx[spans] - start))
        here = order[ends[number] : ends[number + 1]]
        odd[here] = (len(crossed) - np.searchsorted(crossed, points[here, 0], side="right")) % 2 == 1
    return odd


def _counts(dots: Floats, centres: Floats, lines: Floats, second: Flags) -> tuple[Floats, Floats]:
    """(d, c) how many lines of the first and of the second kind are crossed between each dot and each centre.

    Seen from a dot a line spans an angle; only centres within it can lie behind the line.
    """
    begin, end = _angles(dots, lines[:, 0]), _angles(dots, lines[:, 1])
    low, high = np.minimum(begin, end), np.maximum(begin, end)
    over = high - low > math.pi  # the line lies across the cut between -180 and 180 degrees
    low, high = np.where(over, high, low), np.where(over, low + 2 * math.pi, high)
    # each dot has its own stretch of one number line, on which every centre stands twice, a full turn apart
    stretch = np.arange(len(dots))[:, None] * 8 * math.pi
    way = _angles(dots, centres)
    keys = np.concatenate([way, way + 2 * math.pi], axis=1) + stretch
    order = np.argsort(keys, axis=None, kind="stable")
    ranked = keys.ravel()[order]
    first = np.searchsorted(ranked, (low + stretch).ravel())
    last = np.searchsorted(ranked, (high + stretch).ravel())
    pair, rank = ragged(first, last - first)
    dot, line_ = np.divmod(pair, len(lines))
    centre = order[rank] % (2 * len(centres)) % len(centres)
    start, run = lines[line_, 0], (lines[:, 1] - lines[:, 0])[line_]
    crossed = (_cross(run, dots[dot] - start) > 0) != (_cross(run, centres[centre] - start) > 0)
    flat, kind = (dot * len(centres) + centre)[crossed], second[line_][crossed]
    size, shape = len(dots) * len(centres), (len(dots), len(centres))
    first_kind, second_kind = (np.bincount(flat[kind == k], minlength=size) for k in (False, True))
    return first_kind.reshape(shape).astype(np.float64), second_kind.reshape(shape).astype(np.float64)


def _angles(origins: Floats, points: Floats) -> Floats:
    """(o, p) direction of each point from each origin, radians."""
    way = points[None] - origins[:, None]
    out: Floats = np.arctan2(way[..., 1], way[..., 0])
    return out


def _cross(a: Floats, b: Floats) -> Floats:
    out: Floats = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return out


# --- the choice -------------------------------------------------------------------------------------------------------


@frozen
class Wishes:
    """What the choice aims at.

    Attributes:
        with_count: counts stand below the balloons.
        shortest: leaders shorter than this (mm, rim to dot) are not used.
        per_mm: cost of a mm of leader.
    """

    with_count: bool = True
    shortest: float = 4.0
    per_mm: float = 0.03


@frozen(eq=False)
class _Options:
    """Good leaders of one balloon: dots and centres (n, 2), costs (n,)."""

    dots: Floats
    centres: Floats
    costs: Floats


def choose(
    targets: Sequence[Target],
    sites: Sites,
    obstacles: Obstacles,
    wishes: Wishes,
    spare: Sites = NOWHERE,
) -> tuple[list[Leader], float]:
    """One leader a target.

    Args:
        spare: more sites, for targets that cannot be reached from the others without crossing.

    Returns:
        the leaders in the order of the targets, and their cost: about 1 for each line crossed, above 50 if
        something is crossed or covered that should not be.

    Raises:
        ValueError: if there are no sites, or a target has no spot.
    """
    for target in targets:
        if not target.spots:
            raise ValueError(f"nothing of {target.letter} is seen")
    if not targets:
        return [], 0.0
    if not len(sites) and not len(spare):
        raise ValueError("there is no place for a balloon")
    tried = _search(targets, sites, obstacles, wishes, spare, _OPTIONS, _BEAM)
    if tried[1] >= _TOO_MUCH:  # crowded: look at many more ways
        tried = min(
            tried,
            _search(targets, sites + spare, obstacles, wishes, NOWHERE, 4 * _OPTIONS, 4 * _BEAM),
            key=lambda found: found[1],
        )
    return tried


def _search(
    targets: Sequence[Target],
    sites: Sites,
    obstacles: Obstacles,
    wishes: Wishes,
    spare: Sites,
    most: int,
    width: int,
) -> tuple[list[Leader], float]:
    """The best combination found when `most` options of each target and `width` combinations are followed."""
    options = []
    for target in targets:
        found = _options(target, sites if len(sites) else spare, obstacles, wishes, most)
        if len(spare) and len(sites) and found.costs[0] > _ENOUGH:
            found = _options(target, sites + spare, obstacles, wishes, most)
        options.append(found)
    # hard ones first: they have the least choice
    order = sorted(range(len(targets)), key=lambda k: (-round(float(options[k].costs[0]), 6), k))
    beam: list[tuple[float, tuple[int, ...]]] = [(0.0, ())]
    for depth, k in enumerate(order):
        totals = np.array([cost for cost, _ in beam])[:, None] + options[k].costs[None]
        for earlier in range(depth):
            clash = _clash(options[order[earlier]], options[k], wishes)
            totals += clash[[chosen[earlier] for _, chosen in beam]]
        best = np.argsort(np.round(totals, 6), axis=None, kind="stable")[:width]
        rows, columns = np.divmod(best, totals.shape[1])
        beam = [(float(totals[r, c]), (*beam[r][1], c)) for r, c in zip(rows.tolist(), columns.tolist(), strict=True)]
    cost, chosen = beam[0]
    leaders: dict[int, Leader] = {}
    for k, pick in zip(order, chosen, strict=True):
        (x, y), (u, v) = options[k].centres[pick].tolist(), options[k].dots[pick].tolist()
        leaders[k] = Leader(targets[k].letter, (x, y), (u, v))
    return [leaders[k] for k in range(len(targets))], cost


def _options(target: Target, sites: Sites, obstacles: Obstacles, wishes: Wishes, most: int) -> _Options:
    dots = np.array([(spot.x, spot.y) for spot in target.spots])
    clear = np.array([spot.clearance for spot in target.spots])
    centres = sites.places
    way = centres[None] - dots[:, None]
    length = np.hypot(way[..., 0], way[..., 1])
    lines, trails = obstacles.crossings(dots, centres)
    angle = np.degrees(np.arctan2(way[..., 1], way[..., 0])) % 180
    off = np.abs(angle[..., None] - obstacles.slants)
    slant = np.clip(1 - np.minimum(off, 180 - off).min(axis=2) / _SLANT, 0, 1)
    # the border of the dot's own piece must be crossed; every other line belongs to a piece that is in the way
    cost = (
        lines
        + np.maximum(lines - 1, 0) * _IN_THE_WAY
        + trails * _CROSSES_TRAIL
        + length * wishes.per_mm
        + slant * _SLANTS
    )
    cost += sites.costs
    cost += np.clip(1 - clear / _ROOM, 0, 1)[:, None] * _CROWDED
    cost += np.where(length < BALLOON_RADIUS + wishes.shortest, _CLASH, 0.0)
    if wishes.with_count:
        down = np.degrees(np.arctan2(np.abs(way[..., 0]), way[..., 1]))  # from the centre to the dot
        cost += np.where(down < _DOWNWARD, _CLASH / 4, 0.0)
    order = np.argsort(np.round(cost, 6), axis=None, kind="stable")
    kept: list[int] = []
    used_dots, used_sites = [0] * len(dots), [0] * len(centres)
    for flat in order.tolist():
        dot, site = divmod(flat, len(centres))
        if used_sites[site] >= _ALIKE or used_dots[dot] >= max(_ALIKE, most // 4):
            continue
        used_dots[dot] += 1
        used_sites[site] += 1
        kept.append(flat)
        if len(kept) == most:
            break
    rows, columns = np.divmod(np.array(kept), len(centres))
    return _Options(dots[rows], centres[columns], cost[rows, columns])


def _clash(one: _Options, other: _Options, wishes: Wishes) -> Floats:
    """(n, m) what it costs to have option n of one balloon beside option m of another."""
    a, b, c, d = one.dots[:, None], one.centres[:, None], other.dots[None], other.centres[None]
    crosses = (_cross(b - a, c - a) > 0) != (_cross(b - a, d - a) > 0)
    crosses &= (_cross(d - c, a - c) > 0) != (_cross(d - c, b - c) > 0)
    cost = np.where(crosses, _CROSSES_LEADER, 0.0)
    gap = np.hypot(b[..., 0] - d[..., 0], b[..., 1] - d[..., 1])
    pitch = COUNT_PITCH if wishes.with_count else BALLOON_PITCH
    cost += np.where(gap < pitch, _CLASH, 0.0)
    if wishes.with_count:
        cost += np.clip(1 - (gap - pitch) / _LOOSE, 0, 1)
    # balloons, counts and dots of one beside the leader of the other
    for first, second, turn in ((one, other, False), (other, one, True)):
        ways = np.stack([first.dots, first.centres], axis=1)
        marks = [(second.centres, BALLOON_RADIUS + 1.0), (second.dots, 2.0)]
        if wishes.with_count:
            marks.append((second.centres - np.array([0.0, COUNT_BELOW]), COUNT_HALF_WIDTH))
        reach = np.array([[[mark[1]]] for mark in marks])
        apart = _pair_distances(np.concatenate([mark[0] for mark in marks]), ways)
        near = (apart.reshape(len(marks), len(second.dots), len(first.dots)) < reach).any(axis=0)
        cost += np.where(near if turn else near.T, _CLASH / 4, 0.0)
    return cost


def _pair_distances(points: Floats, lines: Floats) -> Floats:
    """(n, m) distance of each point to each line."""
    (x, y), (u, v) = lines[:, 0].T, (lines[:, 1] - lines[:, 0]).T
    off_x, off_y = points[:, 0, None] - x, points[:, 1, None] - y
    share = np.clip((off_x * u + off_y * v) / np.maximum(u * u + v * v, 1e-300), 0.0, 1.0)
    out: Floats = np.hypot(off_x - share * u, off_y - share * v)
    return out
