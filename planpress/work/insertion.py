"""How pieces come together: the ways in which each can slide to its place past what is already there.

The order is found by taking the finished work apart: what can be drawn away first arrives last. Assemblies are put
together for themselves, then they and the loose pieces meet.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

import numpy as np
from attrs import define, field, frozen

from planpress.geometry.mesh import Flags, Floats, rounded_key
from planpress.geometry.sliding import is_blocked
from planpress.geometry.vectors import Vec, X, Y, Z, floats, neg
from planpress.model.records import JointPlace, Purpose, SolvedPlan
from planpress.model.solids import Solids, fastener_solid

#: Ways that are tried after those in which joints close.
_USUAL: Final[tuple[Vec, ...]] = (neg(Z), Z, neg(Y), Y, X, neg(X))
#: Boxes that overlap less than this (mm) touch.
_TOUCH: Final = 1e-3


@frozen
class Arrival:
    """What comes to the work at once: a piece, an assembly, or some that must be put together first.

    Attributes:
        pieces: their ids. ways: directions (unit vectors, world) in which they can travel to their place, the way
            their joints close first (only the first one that is free, unless all were asked for); empty for what comes
            first, and if there is none.
        in_the_way: pieces that leave them no way, none if they can arrive.
    """

    pieces: tuple[str, ...]
    ways: tuple[Vec, ...]
    in_the_way: tuple[str, ...] = ()


@define
class Sliding:
    """Answers what stands in the way of what; keeps the answers, as equal pairs of parts lie alike in many places."""

    plan: SolvedPlan
    solids: Solids
    _names: list[str] = field(init=False)
    _index: dict[str, int] = field(init=False)
    _low: Floats = field(init=False)
    _high: Floats = field(init=False)
    _frames: dict[str, tuple[Floats, Floats]] = field(factory=dict)
    _corners: dict[str, Floats] = field(factory=dict)
    _pegs: dict[str, list[Floats]] = field(factory=dict)
    _joints: dict[str, list[JointPlace]] = field(factory=dict)
    _worlds: dict[str, tuple[Floats, Floats, Floats]] = field(factory=dict)
    _known: dict[tuple[object, ...], bool] = field(factory=dict)

    def __attrs_post_init__(self) -> None:
        self._names = list(self.plan.pieces)
        self._index = {name: i for i, name in enumerate(self._names)}
        for name, piece in self.plan.pieces.items():
            frame = piece.frame
            self._frames[name] = (
                np.array(floats(frame.origin)),
                np.array([floats(axis) for axis in (frame.x, frame.y, frame.z)]),
            )
        for place in self.plan.joints:
            for name in (place.first, place.second):
                self._joints.setdefault(name, []).append(place)
        self._find_pegs()
        boxes = np.array([self._box(name) for name in self._names]).reshape(-1, 2, 3)
        self._low, self._high = boxes[:, 0], boxes[:, 1]

    def _find_pegs(self) -> None:
        """Blind dowels are glued into the second piece before the first comes: they belong to it."""
        drilled_later = {
            (name, hole.joint)
            for name, piece in self.plan.pieces.items()
            for hole in piece.in_place_holes
            if hole.purpose is Purpose.DOWEL
        }
        for fastener in self.plan.fasteners:
            for place in fastener.places if fastener.kind == "dowel" else ():
                if not any((name, fastener.joint) in drilled_later for name in (place.first, place.second)):
                    corners = fastener_solid(fastener, place).mesh().corners()
                    self._pegs.setdefault(place.second, []).append(corners)

    def _box(self, name: str) -> tuple[Floats, Floats]:
        _, low, high = self._world(name)
        return low.min(axis=0), high.max(axis=0)

    def _local(self, name: str) -> Floats:
        letter = self.plan.pieces[name].letter
        if letter not in self._corners:
            self._corners[letter] = self.solids.part(letter).mesh().corners()
        return self._corners[letter]

    def _world(self, name: str) -> tuple[Floats, Floats, Floats]:
        """Triangles (n, 3, 3) of a piece with its pegs, and least and greatest corner (n, 3) of each."""
        if name not in self._worlds:
            origin, axes = self._frames[name]
            corners = np.concatenate([self._local(name) @ axes + origin, *self._pegs.get(name, ())])
            self._worlds[name] = (corners, corners.min(axis=1), corners.max(axis=1))
        return self._worlds[name]

    def _passed(self, name: str, other: str, way: Floats) -> Floats:
        """Those triangles of a piece that the box of another may come by when it is drawn away along `way`."""
        corners, low, high = self._world(name)
        row = self._index[other]
        least = np.where(way < 0, -np.inf, self._low[row] - _TOUCH)
        most = np.where(way > 0, np.inf, self._high[row] + _TOUCH)
        passed: Floats = corners[((high >= least) & (low <= most)).all(axis=1)]
        return passed

    def blockers(self, moving: Sequence[str], standing: Sequence[str], way: Vec, most: int = 0) -> list[str]:
        """Those of `standing` that stop `moving` (together) from being drawn away along `way`.

        Args:
            most: stop when so many are found; 0 finds all.
        """
        found: dict[str, None] = {}
        rows = np.array([self._index[name] for name in standing], dtype=np.intp)
        direction = np.array(floats(way))
        for name in moving:
            for row in rows[self._ahead(self._index[name], rows, direction)].tolist():
                other = self._names[row]
                if other not in found and self._stops(name, other, direction):
                    found[other] = None
                    if most and len(found) >= most:
                        return list(found)
        return list(found)

    def _ahead(self, moving: int, standing: Floats | np.ndarray[tuple[int], np.dtype[np.intp]], way: Floats) -> Flags:
        """Which boxes the moving one's box runs into: a line from 0 along `way` against boxes grown by its size."""
        low = self._low[standing] - self._high[moving] + _TOUCH
        high = self._high[standing] - self._low[moving] - _TOUCH
        with np.errstate(divide="ignore", invalid="ignore"):
            first, last = low / way, high / way
        enter, leave = np.minimum(first, last), np.maximum(first, last)
        still = np.abs(way) < 1e-12
        between = (low < 0) & (high > 0)
        enter = np.where(still, np.where(between, -np.inf, np.inf), enter)
        leave = np.where(still, np.where(between, np.inf, -np.inf), leave)
        hit: Flags = (enter.max(axis=1) < leave.min(axis=1)) & (leave.min(axis=1) > _TOUCH)
        return hit

    def _stops(self, moving: str, standing: str, way: Floats) -> bool:
        pegged = moving in self._pegs or standing in self._pegs
        key: tuple[object, ...] = (moving, standing, rounded_key(way))
        if not pegged:
            origin, axes = self._frames[moving]
            other_origin, other_axes = self._frames[standing]
            letters = self.plan.pieces[moving].letter, self.plan.pieces[standing].letter
            lie = (rounded_key((other_origin - origin) @ axes.T), rounded_key(other_axes @ axes.T * 1000))
            key = (*letters, *lie, rounded_key(axes @ way))
        if key not in self._known:
            self._known[key] = is_blocked(
                self._passed(moving, standing, -way), self._passed(standing, moving, way), way
            )
        return self._known[key]

    def ways(self, moving: Sequence[str], standing: Sequence[str]) -> list[Vec]:
        """Directions in which `moving` can travel to its place among `standing`, as far as they were tried.

        Tried are the ways in which their joints close, then those along the axes of the world and of the piece.
        """
        return [way for way in self._tried(moving, standing) if not self.blockers(moving, standing, neg(way), most=1)]

    def first_way(self, moving: Sequence[str], standing: Sequence[str]) -> tuple[Vec | None, tuple[str, ...]]:
        """The first of those directions; if there is none, a piece that stands in each way."""
        hindering: dict[str, None] = {}
        for way in self._tried(moving, standing):
            found = self.blockers(moving, standing, neg(way), most=1)
            if not found:
                return way, ()
            hindering.update(dict.fromkeys(found))
        return None, tuple(hindering)

    def closing_ways(self, moving: Sequence[str], standing: Sequence[str]) -> list[Vec]:
        """The ways in which the joints of `moving` with `standing` close, in the order of the joints."""
        own = dict.fromkeys(moving)
        places = self.joints_between(moving, standing)
        return list(dict.fromkeys(p.direction if p.first in own else neg(p.direction) for p in places))

    def joints_between(self, moving: Sequence[str], standing: Sequence[str]) -> list[JointPlace]:
        """Where pieces of one set meet pieces of the other."""
        return self.joints_with(moving, dict.fromkeys(standing))

    def joints_with(self, own: Sequence[str], others: Mapping[str, None]) -> list[JointPlace]:
        """Where some pieces meet others, which may name the same pieces too: what joins those among themselves is left
        out."""
        return [
            place
            for name in dict.fromkeys(own)
            for place in self._joints.get(name, ())
            for mate in (place.second if place.first == name else place.first,)
            if mate in others and mate not in own
        ]

    def met_by(self, name: str) -> list[str]:
        """Pieces that share a joint with a piece."""
        return [p for place in self._joints.get(name, ()) for p in (place.first, place.second) if p != name]

    def _tried(self, moving: Sequence[str], standing: Sequence[str]) -> list[Vec]:
        ways = [*self.closing_ways(moving, standing), *_USUAL]
        if len(moving) == 1:
            frame = self.plan.pieces[moving[0]].frame
            ways += [way for axis in (frame.x, frame.y, frame.z) for way in (axis, neg(axis))]
        seen: dict[bytes, Vec] = {}
        for way in ways:
            seen.setdefault(rounded_key(np.array(floats(way)) * 1000), way)
        return list(seen.values())

    def arrival(self, moving: Sequence[str], standing: Sequence[str]) -> Arrival:
        """How `moving` comes to `standing`; if it cannot, what leaves it the least way of all."""
        ways = self.ways(moving, standing)
        if ways or not standing:
            return Arrival(tuple(moving), tuple(ways))
        hindered = [self.blockers(moving, standing, neg(way)) for way in self._tried(moving, standing)]
        fewest = min(range(len(hindered)), key=lambda i: len(hindered[i]))
        return Arrival(tuple(moving), (), tuple(hindered[fewest]))


def bodies(plan: SolvedPlan) -> list[tuple[str, ...]]:
    """What meets at the end: every copy of an assembly, and every piece that belongs to none."""
    groups: dict[object, list[str]] = {}
    for piece in plan.pieces.values():
        key = piece.assembly if piece.assembly[0] else piece.id
        groups.setdefault(key, []).append(piece.id)
    return [tuple(names) for names in groups.values()]


def arrivals(plan: SolvedPlan, sliding: Sliding) -> list[Arrival]:
    """Every arrival in an order that works: within the first copy of each assembly, then of all bodies.

    Arrivals that cannot happen come with what is in their way.
    """
    out: list[Arrival] = []
    built: dict[str, None] = {}
    everything = bodies(plan)
    for body in everything:
        name = plan.pieces[body[0]].assembly[0]
        if name and name not in built:
            built[name] = None
            out += _Dismantling(plan, sliding, [(piece,) for piece in body]).arrivals()
    return out + _Dismantling(plan, sliding, everything).arrivals()


@define
class _Dismantling:
    """Takes some bodies away one after the other.

    Fitted ones go first, then those that no glue holds, then those that leave along the one way in which all their
    joints close and let the others hang together, then any. Among equals the last described goes first.
    """

    plan: SolvedPlan
    sliding: Sliding
    left: list[tuple[str, ...]]
    _held: dict[tuple[str, ...], tuple[str, ...]] = field(factory=dict)  # what hindered it when it was tried last
    _barred: dict[tuple[tuple[str, ...], Vec], str] = field(factory=dict)  # the same, of the way its joints close
    _standing: dict[str, None] = field(factory=dict)  # pieces that are left

    def arrivals(self) -> list[Arrival]:
        """All bodies in the order in which they come; at the first that is stuck, those that can still be told.

        What must be put together before it comes, comes in an order of its own first, then as a whole.
        """
        taken: list[list[Arrival]] = []
        while len(self.left) > 1:
            single = self._single()
            found = [single] if single else self._together()
            if found is None:
                stuck = [self.sliding.arrival(body, self._rest(body)) for body in self.left]
                least = min(stuck, key=lambda arrival: len(arrival.in_the_way))
                return [least, *(arrival for arrived in taken[::-1] for arrival in arrived)]
            taken.append(found)
            gone = dict.fromkeys(found[-1].pieces)
            self.left = [body for body in self.left if body[0] not in gone]
        return [
            *(Arrival(body, ()) for body in self.left),
            *(arrival for arrived in taken[::-1] for arrival in arrived),
        ]

    def _single(self) -> Arrival | None:
        """The first body that can be drawn away."""
        fitted = [body for body in self.left if all(self.plan.part_of(name).fit_in_place for name in body)]
        others = [body for body in self.left if body not in fitted] if fitted else self.left
        standing = self._standing = dict.fromkeys(name for body in self.left for name in body)
        if not fitted:
            glued = {body: self._is_glued(body) for body in others}
            for body in [*(body for body in reversed(others) if not glued[body]), *reversed(others)]:
                way = self._only_way(body) if glued[body] else self._first_way(body)
                if way is not None:
                    return Arrival(body, (way,))
        for body in [*fitted, *reversed(others)]:
            if body in self._held and all(name in standing for name in self._held[body]):
                continue  # what hindered it is still there
            way, hindering = self.sliding.first_way(body, self._rest(body))
            if way is not None:
                return Arrival(body, (way,))
            self._held[body] = hindering
        return None

    def _is_glued(self, body: Sequence[str]) -> bool:
        """True if glue holds it to others that are left, or if nothing does."""
        places = self._joints(body)
        return not places or any(place.glue for place in places)

    def _first_way(self, body: Sequence[str]) -> Vec | None:
        return self.sliding.first_way(body, self._rest(body))[0]

    def _only_way(self, body: tuple[str, ...]) -> Vec | None:
        """The one way in which all its joints close, if it is free and the others hang together without the body."""
        ways = list(dict.fromkeys(p.direction if p.first in body else neg(p.direction) for p in self._joints(body)))
        if len(ways) != 1 or self._barred.get((body, ways[0])) in self._standing:
            return None
        rest = self._rest(body)
        blockers = self.sliding.blockers(body, rest, neg(ways[0]), most=1)
        if blockers:
            self._barred[body, ways[0]] = blockers[0]
            return None
        return None if self._clusters(rest) > self._clusters([*rest, *body]) else ways[0]

    def _joints(self, body: Sequence[str]) -> list[JointPlace]:
        return self.sliding.joints_with(body, self._standing)

    def _clusters(self, pieces: Sequence[str]) -> int:
        """Into how many sets, held together by joints, some pieces fall."""
        left = dict.fromkeys(pieces)
        count = 0
        while left:
            count += 1
            waiting = [next(iter(left))]
            while waiting:
                name = waiting.pop()
                if name in left:
                    del left[name]
                    waiting += self.sliding.met_by(name)
        return count

    def _together(self) -> list[Arrival] | None:
        """The fewest bodies that can be drawn away together, with how they come to each other first.

        Along one way, a body takes with it whatever it would run into, and so on: that set can be drawn away if it is
        not everything (R. Wilson and J.-C. Latombe, "Geometric reasoning about mechanical assembly", Artificial
        Intelligence 71, 1994: blocking graphs).
        """
        best: tuple[list[tuple[str, ...]], Vec] | None = None
        for way in self._all_ways():
            pushes = {
                body: [other for other in self.left if other is not body and self._pushes(body, other, way)]
                for body in self.left
            }
            for body in self.left:
                taken = _closure(body, pushes)
                if len(taken) < len(self.left) and (best is None or len(taken) < len(best[0])):
                    best = [other for other in self.left if other in taken], way
        if best is None:
            return None
        group, way = best
        inner = _Dismantling(self.plan, self.sliding, group).arrivals() if len(group) > 1 else []
        return [*inner, Arrival(tuple(name for body in group for name in body), (neg(way),))]

    def _pushes(self, body: tuple[str, ...], other: tuple[str, ...], way: Vec) -> bool:
        return bool(self.sliding.blockers(body, other, way, most=1))

    def _all_ways(self) -> list[Vec]:
        """Ways out: against and along those in which the joints close, then along the axes of the world."""
        present = dict.fromkeys(name for body in self.left for name in body)
        ways: list[Vec] = []
        for place in self.plan.joints:
            if place.first in present and place.second in present:
                ways += [neg(place.direction), place.direction]
        seen: dict[bytes, Vec] = {}
        for way in [*ways, *_USUAL]:
            seen.setdefault(rounded_key(np.array(floats(way)) * 1000), way)
        return list(seen.values())

    def _rest(self, without: Iterable[str]) -> list[str]:
        taken = dict.fromkeys(without)
        return [name for body in self.left for name in body if name not in taken]


def _closure(body: tuple[str, ...], pushes: Mapping[tuple[str, ...], list[tuple[str, ...]]]) -> dict[object, None]:
    """A body and all that it pushes before it, directly or through others."""
    found: dict[object, None] = {body: None}
    waiting = [body]
    while waiting:
        for other in pushes[waiting.pop()]:
            if other not in found:
                found[other] = None
                waiting.append(other)
    return found
