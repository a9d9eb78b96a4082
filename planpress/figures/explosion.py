"""How far the pieces of an exploded view stand apart: groups that move together, and distances that show the joints.

Groups part along the ways their joints are put together, so every joint lies open along its own line. The distances
are searched on paper: as small as leaves the groups uncovered.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import define, field, frozen

from planpress.figures.scenes import Offset, Scenes, View
from planpress.geometry.mesh import Floats, Ints, distinct
from planpress.geometry.vectors import Vec, floats
from planpress.model.records import JointPlace, SolvedPlan

#: Joints of these kinds say how pieces close; bought fasteners come after.
_BY_FASTENER = ("dowel", "screw")
#: What the keys of groups of fasteners begin with.
_FASTENER = "fastener "
#: Steps of distance, as a share of the diagonal of the work.
_STEP = 0.02
_PIECE_STEPS = (1, 2, 3, 4, 5, 6, 7, 8, 9, 10)
_FASTENER_STEPS = (1, 2, 3)
_ROUNDS = 3
#: Steps of all distances that the search begins with.
_BEGINNINGS = (2, 5)
#: Cells across the larger side of the work when covered areas are counted.
_CELLS = 80
#: Pieces count as this much wider, in cells, so that white stays between them.
_MARGIN = 0.7
# What the search weighs: a larger picture and short ways against pieces that cover each other or run into each other.
_SIZE, _WAY, _COVERED, _BLIND, _OVERTAKEN, _COLLIDED = 1.6, 1.0, 0.35, 0.8, 5.0, 25.0
#: How much more long ways weigh than short ones.
_LONG = 7.0
#: Directions (2, n) in which the reach of a piece on paper is measured.
_ROUND = np.array([np.cos(np.arange(12) * np.pi / 12), np.sin(np.arange(12) * np.pi / 12)])
#: Boxes that overlap less than this (mm) touch.
_TOUCH = 1e-6


@frozen
class Link:
    """Two groups that close on each other, or fasteners that come out of a group.

    Attributes:
        key: the joint, or what stands for a kind of fastener: like links open alike.
        stays, moves: numbers of the groups. way: unit vector (world) along which the second leaves the first.
        least: mm at which the pieces are just free of each other.
        seats: points (mm, world) where they sit on each other.
    """

    key: str
    stays: int
    moves: int
    way: Offset
    least: float
    seats: tuple[Offset, ...]


@define
class Explosion:
    """Where every piece and fastener stands in the exploded view.

    Attributes:
        offsets: of each piece and fastener, mm in the world.
        group_of: index of the group of each.
    """

    offsets: dict[str, Offset] = field(factory=dict)
    group_of: dict[str, int] = field(factory=dict)


def explode(scenes: Scenes, view: View, frame: tuple[float, float]) -> Explosion:
    """Take the work apart.

    Args:
        view: the direction of view.
        frame: width and height (mm) of the paper the picture must fit, which tells the narrower side.
    """
    groups = _rows(scenes.plan)
    links = _links(scenes, groups)
    bought, pulls = _fastener_rows(scenes, groups)
    root = max(range(len(groups)), key=lambda number: (len(groups[number]), -number))
    search = _Search(scenes, view, [*groups, *bought], [*links, *pulls], root, frame)
    explosion = Explosion()
    for number, (names, offset) in enumerate(
        zip([*groups, *bought], search.offsets(search.best()).tolist(), strict=True)
    ):
        for name in names:
            explosion.offsets[name] = (offset[0], offset[1], offset[2])
            explosion.group_of[name] = number
    return explosion


# --- groups ----------------------------------------------------------------------------------------------------------


def _rows(plan: SolvedPlan) -> list[tuple[str, ...]]:
    """Pieces of one name in one assembly, apart where they are joined to each other or close different ways."""
    rows: dict[tuple[str, int, str], list[str]] = {}
    for piece in plan.pieces.values():
        rows.setdefault((*piece.assembly, piece.name), []).append(piece.id)
    row_of = {name: key for key, names in rows.items() for name in names}
    ways: dict[str, dict[tuple[object, ...], tuple[Offset, ...]]] = {name: {} for name in plan.pieces}
    joined: set[tuple[str, int, str]] = set()
    for place in plan.joints:
        for one, other, sign in ((place.first, place.second, 1), (place.second, place.first, -1)):
            if row_of[one] == row_of[other]:
                joined.add(row_of[one])
                continue
            x, y, z = (round(sign * c, 6) + 0.0 for c in floats(place.direction))
            mine = ways[one].setdefault((place.joint, row_of[other]), ())
            if (x, y, z) not in mine:
                ways[one][place.joint, row_of[other]] = (*mine, (x, y, z))
    out: list[tuple[str, ...]] = []
    for key, names in rows.items():
        if key in joined:
            out += [(name,) for name in names]
            continue
        asked = list(dict.fromkeys(joint for name in names for joint in ways[name]))
        uneven = [j for j in asked if len({ways[name][j] for name in names if j in ways[name]}) > 1]
        apart: dict[tuple[object, ...], list[str]] = {}
        for name in names:
            apart.setdefault(tuple(ways[name].get(joint) for joint in uneven), []).append(name)
        out += [tuple(names) for names in apart.values()]
    return out


def _links(scenes: Scenes, groups: Sequence[tuple[str, ...]]) -> list[Link]:
    """One link for each two groups that are joined; a joint that shapes the wood rules over dowels and screws."""
    group_of = {name: number for number, names in enumerate(groups) for name in names}
    between: dict[tuple[int, int], list[JointPlace]] = {}
    for place in scenes.plan.joints:
        one, other = group_of[place.first], group_of[place.second]
        if one != other:
            between.setdefault((min(one, other), max(one, other)), []).append(place)
    links: list[Link] = []
    for (one, other), places in between.items():
        ruling = min(places, key=lambda p: p.kind in _BY_FASTENER)
        alike = [p for p in places if p.joint == ruling.joint]
        x, y, z = floats(ruling.direction)
        if group_of[ruling.first] == other:  # the first piece leaves against the way it closes
            x, y, z = -x, -y, -z
        least = max(_engaged(scenes, place) for place in alike)
        seats = tuple(patch_middle(place) for place in alike)
        links.append(Link(ruling.joint, one, other, (x + 0.0, y + 0.0, z + 0.0), least, seats))
    return links


def _engaged(scenes: Scenes, place: JointPlace) -> float:
    """How deep (mm) the first piece sits in the second along the way it closes."""
    way = np.array(floats(place.direction))
    first, second = (scenes.shape(name).patches.reshape(-1, 3) @ way for name in (place.first, place.second))
    return max(0.0, float(first.max() - second.min()))


def _fastener_rows(scenes: Scenes, groups: Sequence[tuple[str, ...]]) -> tuple[list[tuple[str, ...]], list[Link]]:
    """Fasteners of one kind that are driven one way into one group: they come straight out of it."""
    group_of = {name: number for number, names in enumerate(groups) for name in names}
    rows: dict[tuple[str, int, Offset], list[str]] = {}
    for name, (fastener, place) in scenes.fasteners.items():
        x, y, z = (-round(c, 9) + 0.0 for c in floats(place.direction))
        rows.setdefault((fastener.letter, group_of[place.first], (x, y, z)), []).append(name)
    links = [
        Link(_FASTENER + letter, group, len(groups) + k, way, float(scenes.fasteners[names[0]][0].length), ())
        for k, ((letter, group, way), names) in enumerate(rows.items())
    ]
    return [tuple(names) for names in rows.values()], links


def ways_by_key(count: int, links: Sequence[Link], keys: Sequence[str], root: int) -> Floats:
    """(count, keys, 3): how each group moves when the distance of one joint grows by 1 mm.

    Each link wants its second group just that far from its first. Where links form rings that cannot all have their
    way, the deviations are shared (least squares) and the joint opens by 1 mm at its narrowest place. The root stays.
    """
    balance = np.zeros((count, count))
    wanted = np.zeros((count, len(keys), 3))
    for link in links:
        a, b, k = link.stays, link.moves, keys.index(link.key)
        balance[[a, b, a, b], [a, b, b, a]] += (1.0, 1.0, -1.0, -1.0)
        wanted[a, k] -= link.way
        wanted[b, k] += link.way
    balance += np.eye(count) * 1e-9  # what nothing holds stays where it is
    others = [number for number in range(count) if number != root]
    ways = np.zeros((count, len(keys), 3))
    if others:
        solved = np.linalg.solve(balance[np.ix_(others, others)], wanted[others].reshape(len(others), -1))
        ways[others] = solved.reshape(len(others), len(keys), 3)
    for k, key in enumerate(keys):
        opened = [
            float((ways[link.moves, k] - ways[link.stays, k]) @ np.array(link.way)) for link in links if link.key == key
        ]
        if min(opened) > 1e-3:
            ways[:, k] /= min(opened)
    rounded: Floats = np.round(ways, 7) + 0.0
    return rounded


# --- distances -------------------------------------------------------------------------------------------------------


class _Search:
    """Tries distances, one for each joint, so that like groups move alike. Everything on paper is counted in cells."""

    def __init__(
        self,
        scenes: Scenes,
        view: View,
        groups: Sequence[tuple[str, ...]],
        links: Sequence[Link],
        root: int,
        frame: tuple[float, float],
    ) -> None:
        self._frame = frame
        matrix = view.matrix
        self._diagonal = float(np.linalg.norm([float(c) for c in scenes.plan.overall]))
        self._keys = list(dict.fromkeys(link.key for link in links))
        self._least = np.array([max(link.least for link in links if link.key == key) for key in self._keys])
        self._boxes: list[Floats] = []
        outlines: list[list[Floats]] = []
        for names in groups:
            corners = [scenes.shape(name).patches.reshape(-1, 3) for name in names]
            self._boxes.append(np.array([(points.min(axis=0), points.max(axis=0)) for points in corners]))
            outlines.append([(points @ matrix.T)[:, :2] for points in corners])
        self._low = np.array([box[:, 0].min(axis=0) for box in self._boxes])
        self._high = np.array([box[:, 1].max(axis=0) for box in self._boxes])
        every = np.concatenate([points for hulls in outlines for points in hulls])
        self._cell = float((every.max(axis=0) - every.min(axis=0)).max()) / _CELLS
        self._ways = ways_by_key(len(groups), links, self._keys, root)
        self._paper_ways = np.einsum("px,gkx->gkp", matrix[:2], self._ways) / self._cell
        masks = [_mask(hulls, self._cell) for hulls in outlines]
        self._cells = np.concatenate(masks)
        self._cell_group = np.repeat(np.arange(len(groups)), [len(mask) for mask in masks])
        self._cell_count = np.bincount(self._cell_group)
        self._cell_low = np.array([mask.min(axis=0) for mask in masks])
        self._cell_high = np.array([mask.max(axis=0) for mask in masks])
        self._known: dict[tuple[float, ...], tuple[float, bool]] = {}
        self._weight = np.array([0.5 if names[0] in scenes.fasteners else 1.0 for names in groups])
        # where groups sit on each other: both sides of every seat, its group, its share of the link
        sides = [(link, group) for link in links if link.seats for group in (link.stays, link.moves)]
        seats = [(np.array(link.seats) @ matrix.T)[:, :2] / self._cell for link, _ in sides]
        self._seats = np.floor(np.concatenate([np.zeros((0, 2)), *seats])).astype(np.intp)
        sizes = [len(link.seats) for link, _ in sides]
        self._seat_group = np.repeat(np.array([group for _, group in sides], dtype=np.intp), sizes)
        self._seat_share = np.repeat(1 / np.array(sizes, dtype=np.float64), sizes)

        self._before = self._orders(links)

    def _orders(self, links: Sequence[Link]) -> list[tuple[int, int]]:
        """Pairs of keys (near, far): what lies nearer where both leave one group the same way must not overtake."""
        found: dict[tuple[int, int], None] = {}
        for near in links:
            for far in links:
                way = np.array(near.way)
                if near.stays != far.stays or float(way @ np.array(far.way)) < 0.99:
                    continue
                reach = max(float(corner @ way) for box in self._boxes[near.moves] for corner in box)
                start = min(float(corner @ way) for box in self._boxes[far.moves] for corner in box)
                if near.key != far.key and reach <= start + _TOUCH:
                    found[self._keys.index(near.key), self._keys.index(far.key)] = None
        return list(found)

    def best(self) -> Floats:
        """The distances found, mm, one a joint: each is tried in turn while the others stand still."""
        step = _STEP * self._diagonal
        best, least = self._least + step, np.inf
        for begin in _BEGINNINGS:
            now = self._least + begin * step
            cost = self._cost(now)
            for _ in range(_ROUNDS):
                before = now
                for number, key in enumerate(self._keys):
                    for steps in _FASTENER_STEPS if key.startswith(_FASTENER) else _PIECE_STEPS:
                        tried = now.copy()
                        tried[number] = self._least[number] + steps * step
                        new = self._cost(tried, cost)
                        if new < cost - 1e-9:
                            now, cost = tried, new
                if (now == before).all():
                    break
            if cost < least - 1e-9:
                best, least = now, cost
        return best

    def offsets(self, distances: Floats) -> Floats:
        """(g, 3): the way each group has moved, mm in the world."""
        moved: Floats = np.einsum("gkx,k->gx", self._ways, distances)
        return moved

    def _cost(self, distances: Floats, limit: float = np.inf) -> float:
        """What the search lowers, as soon as it is above the limit only in part; kept, for the search comes back."""
        key = tuple(distances.tolist())
        known = self._known.get(key)
        if known is None or (not known[1] and known[0] < limit):
            known = self._known[key] = self._weighed(distances, limit)
        return known[0]

    def _weighed(self, distances: Floats, limit: float) -> tuple[float, bool]:
        """The cost and whether it is all of it; the dear parts come last and are left out once the limit is passed."""
        shifts = np.round(np.einsum("gkp,k->gp", self._paper_ways, distances), 6)
        shifts = np.floor(shifts + 0.5).astype(np.intp)
        low, high = (self._cell_low + shifts).min(axis=0), (self._cell_high + shifts).max(axis=0) + 1
        wide, tall = (high - low).tolist()
        size = max(wide / self._frame[0], tall / self._frame[1]) * self._cell
        size *= max(self._frame) / self._diagonal
        ways = (distances - self._least) / self._diagonal
        way = float((ways + _LONG * ways**2).sum())
        overtaken = _OVERTAKEN * sum(distances[near] > distances[far] for near, far in self._before)
        cost = float(_SIZE * size + _WAY * way + overtaken)
        if cost > limit:
            return cost, False
        origin = shifts - low
        index = self._cells[:, 0] * tall + self._cells[:, 1] + (origin @ [tall, 1])[self._cell_group]
        crowd = np.bincount(index, minlength=wide * tall) > 1
        shares = np.bincount(self._cell_group, crowd[index]) / self._cell_count
        seats = np.clip(self._seats + shifts[self._seat_group], low, high - 1) - low
        blind = float((crowd[seats[:, 0] * tall + seats[:, 1]] * self._seat_share).sum())
        covered = float((np.sqrt(shares) * self._weight).sum())
        cost = round(_SIZE * size + _WAY * way + _COVERED * covered + _BLIND * blind, 9) + overtaken
        if cost >= limit:
            return float(cost), False
        return float(cost + _COLLIDED * self._collisions(self.offsets(distances))), True

    def _collisions(self, offsets: Floats) -> int:
        """How many pairs of groups have pieces whose boxes overlap."""
        low, high = self._low + offsets, self._high + offsets
        meet = ((low[:, None] < high[None] - _TOUCH) & (low[None] < high[:, None] - _TOUCH)).all(axis=2)
        count = 0
        for i, j in zip(*np.nonzero(np.triu(meet, 1)), strict=True):
            one, other = self._boxes[i] + offsets[i], self._boxes[j] + offsets[j]
            meets = (one[:, None, 0] < other[None, :, 1] - _TOUCH).all(axis=2)
            meets &= (other[None, :, 0] < one[:, None, 1] - _TOUCH).all(axis=2)
            count += bool(meets.any())
        return count


def _mask(outlines: Sequence[Floats], cell: float) -> Ints:
    """(n, 2): the cells that a group covers on paper, each once."""
    cells: list[Ints] = []
    for points in outlines:
        low = np.floor(points.min(axis=0) / cell).astype(np.intp)
        high = np.floor(points.max(axis=0) / cell).astype(np.intp)
        x, y = ((np.arange(a, b + 1) + 0.5) * cell for a, b in zip(low, high, strict=True))
        # the least and greatest reach along some directions: near enough to the convex hull
        reach = points @ _ROUND
        across = x[:, None, None] * _ROUND[0] + y[None, :, None] * _ROUND[1]
        slack = _MARGIN * cell
        covered = ((across >= reach.min(axis=0) - slack) & (across <= reach.max(axis=0) + slack)).all(axis=2)
        cells.append((np.argwhere(covered) if covered.any() else np.zeros((1, 2), dtype=np.intp)) + low)
    every = np.concatenate(cells)
    low = every.min(axis=0)
    tall = int(every[:, 1].max() - low[1]) + 1
    numbers = distinct((every[:, 0] - low[0]) * tall + every[:, 1] - low[1])
    once: Ints = np.column_stack([numbers // tall, numbers % tall]) + low
    return once


def patch_middle(place: JointPlace) -> tuple[float, float, float]:
    """The middle of the area where two pieces meet, mm."""
    n = len(place.patch)
    x, y, z = (sum(float(corner[axis]) for corner in place.patch) / n for axis in range(3))
    return (x, y, z)


def contact_on_axis(head: Vec, direction: Vec, place: JointPlace) -> tuple[float, float, float]:
    """Where the axis of a fastener passes the plane in which the two pieces meet."""
    start, way = np.array(floats(head)), np.array(floats(direction))
    x, y, z = start + way * float((np.array(patch_middle(place)) - start) @ way)
    return (float(x), float(y), float(z))
