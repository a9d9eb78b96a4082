"""What the views of the whole piece dimension, derived from the solved plan.

Overall sizes; sizes of assemblies that differ from them; where repeated parts and assemblies stand; heights of level
members of assemblies; how far leaning pieces lean. All exact, in mm, in the world: x right, y back, z up.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from attrs import frozen

from planpress.geometry.vectors import SAME, Vec
from planpress.model.records import Part, SolvedPlan

MOST_IN_ROW = 24
_STRAIGHT = Fraction(1, 10**6)


@frozen
class Box:
    """Least and greatest corner in the world, mm."""

    low: Vec
    high: Vec


@frozen
class Repeated:
    """Pieces of one part that stand in a row along an axis, alike in the other two: near sides in order."""

    letter: str
    label: str
    axis: int
    boxes: tuple[Box, ...]

    @property
    def low(self) -> Fraction:
        """Near side of the first."""
        return self.boxes[0].low[self.axis]

    @property
    def high(self) -> Fraction:
        """Far side of the last."""
        return self.boxes[-1].high[self.axis]


@frozen
class Extent:
    """A size along an axis from low to high, and the box it belongs to."""

    axis: int
    low: Fraction
    high: Fraction
    box: Box


@frozen
class Lean:
    """A piece that leans in a plane square to an axis.

    Attributes:
        plane: axis that it does not lean along (0: it is seen leaning from the side, 1: from the front).
        degrees: from plumb. box: of the piece. leans_to_high: its upper end is farther along the other axis.
    """

    plane: int
    degrees: Fraction
    box: Box
    leans_to_high: bool


def box_around(points: Iterable[Vec]) -> Box:
    """The box around some points."""
    xs, ys, zs = zip(*points, strict=True)
    return Box((min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs)))


def piece_boxes(places: Mapping[str, Sequence[Vec]]) -> dict[str, Box]:
    """The box around each piece, from their corners."""
    return {name: box_around(points) for name, points in places.items()}


def assembly_boxes(plan: SolvedPlan, boxes: dict[str, Box]) -> list[tuple[str, Box]]:
    """Name and box of each assembly, in order."""
    out = []
    for group in plan.assemblies:
        points = [corner for name in group.pieces for corner in (boxes[name].low, boxes[name].high)]
        out.append((group.name, box_around(points)))
    return out


def repeated(plan: SolvedPlan, boxes: dict[str, Box]) -> list[Repeated]:
    """Rows of pieces of one part that differ along one axis only and do not run along it, in one placing each."""
    out = []
    for part in plan.parts:
        own = [boxes[name] for name in part.pieces if plan.pieces[name].assembly[1] == 0]
        if len(own) < 2:
            continue
        for axis in range(3):
            if _only_along(axis, own) and not _runs_along(axis, part, plan):
                ordered = sorted(own, key=lambda box: box.low[axis])
                out.append(Repeated(part.letter, part.label, axis, tuple(ordered)))
    return out


def _only_along(axis: int, boxes: Sequence[Box]) -> bool:
    first = boxes[0]
    others = [i for i in range(3) if i != axis]
    alike = all(
        abs(box.low[i] - first.low[i]) < SAME and abs(box.high[i] - first.high[i]) < SAME
        for box in boxes
        for i in others
    )
    places = sorted(box.low[axis] for box in boxes)
    return alike and all(b - a > SAME for a, b in itertools.pairwise(places))


def _runs_along(axis: int, part: Part, plan: SolvedPlan) -> bool:
    return abs(plan.pieces[part.pieces[0]].frame.x[axis]) > 1 - _STRAIGHT


def assembly_positions(assemblies: Sequence[tuple[str, Box]], axis: int) -> list[Box]:
    """Boxes of assemblies placed more than once, where they differ along an axis, in order along it."""
    names = [name for name, _ in assemblies]
    several = [box for name, box in assemblies if names.count(name) > 1]
    places = sorted(several, key=lambda box: box.low[axis])
    apart = all(b.low[axis] - a.low[axis] > SAME for a, b in itertools.pairwise(places))
    return places if len(places) > 1 and apart else []


def extents(plan: SolvedPlan, assemblies: Sequence[tuple[str, Box]], axis: int) -> list[Extent]:
    """The overall size along an axis, and those of assemblies that differ from it and from each other."""
    whole = Box(plan.low, plan.high)
    out = [Extent(axis, plan.low[axis], plan.high[axis], whole)]
    for _, box in assemblies:
        size = box.high[axis] - box.low[axis]
        if all(abs(size - (e.high - e.low)) > SAME for e in out):
            out.append(Extent(axis, box.low[axis], box.high[axis], box))
    return out


def heights(plan: SolvedPlan, boxes: dict[str, Box], places: Mapping[str, Sequence[Vec]]) -> list[tuple[Fraction, Box]]:
    """Heights above the floor worth a dimension, from low to high, each with the box of what lies there.

    Of the first of each assembly that stands on the floor: its top, if it is not the top of all, and the lower edges of
    its level members, but for those that lie on the floor or reach to the assembly's top. Without assemblies all pieces
    count as one.

    Args:
        places: the corners of each piece.
    """
    groups: list[Sequence[str]] = []
    named: list[str] = []
    for group in plan.assemblies:
        if group.name not in named:
            named.append(group.name)
            groups.append(group.pieces)
    out: list[tuple[Fraction, Box]] = []

    def add(level: Fraction) -> None:
        if plan.low[2] + SAME < level < plan.high[2] - SAME and all(abs(level - h) > SAME for h, _ in out):
            out.append((level, _reach_at(places, level)))

    for pieces in groups or [tuple(plan.pieces)]:
        whole = box_around(c for name in pieces for c in (boxes[name].low, boxes[name].high))
        if whole.low[2] - plan.low[2] > SAME:
            continue
        add(whole.high[2])
        for name in pieces:
            box = boxes[name]
            level_member = abs(plan.pieces[name].frame.x[2]) < _STRAIGHT
            if level_member and abs(box.high[2] - whole.high[2]) > SAME:
                add(box.low[2])
    return sorted(out, key=lambda pair: pair[0])


def _reach_at(places: Mapping[str, Sequence[Vec]], level: Fraction) -> Box:
    """The box around the corners of all pieces at a height."""
    return box_around(corner for points in places.values() for corner in points if abs(corner[2] - level) < SAME)


def leans(plan: SolvedPlan, boxes: dict[str, Box], plane: int, way: int = 1) -> list[Lean]:
    """Pieces that lean in the plane square to an axis (0 or 1), each angle once: the first along the other axis.

    With `way` -1 the first is the one farthest along that axis (seen from the left, y runs to the left).
    """
    other = 1 - plane
    found: list[Lean] = []
    order = sorted(plan.pieces, key=lambda name: boxes[name].low[other] if way > 0 else -boxes[name].high[other])
    for name in order:
        axis = plan.pieces[name].frame.x
        if abs(axis[plane]) > _STRAIGHT or abs(axis[2]) < Fraction(1, 2) or abs(axis[other]) < _STRAIGHT:
            continue
        angle = math.degrees(math.atan(abs(float(axis[other] / axis[2]))))
        degrees = Fraction(round(angle * 10**6), 10**6)
        if all(abs(degrees - lean.degrees) > Fraction(1, 1000) for lean in found):
            found.append(Lean(plane, degrees, boxes[name], axis[other] * axis[2] > 0))
    return found
