"""What the picture of a step shows: a moment of the action, of one copy of what is built."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from attrs import frozen

from planpress.geometry.vectors import Vec
from planpress.model.records import Hole, Notch, SolvedPlan
from planpress.work.facts import looks_down
from planpress.work.operations import Kind, Operation
from planpress.work.places import copy_of, driven, meeting


@frozen
class StepPicture:
    """What a step's picture shows. Pieces stand where they stand in the finished work unless they are in motion.

    Attributes:
        new: pieces this step works on or brings in. met: what they are joined to. earlier: what stands already.
            No piece is in two of the three.
        in_motion: ids out of `new` and `fasteners` that are drawn on their way; direction: unit vector (world) in
            which they travel, None if nothing moves.
        fasteners: ids of fasteners shown (letter and number from 0, "J[2]").
        turned_over: the work lies upside down. from_behind: it is seen from behind, where the pieces arrive.
    """

    new: tuple[str, ...]
    met: tuple[str, ...] = ()
    earlier: tuple[str, ...] = ()
    in_motion: tuple[str, ...] = ()
    direction: Vec | None = None
    fasteners: tuple[str, ...] = ()
    turned_over: bool = False
    from_behind: bool = False


def picture(plan: SolvedPlan, operations: Sequence[Operation], placed: Sequence[str]) -> StepPicture | None:
    """The picture of a step, or None where the words are enough.

    Args:
        placed: pieces that stand before the step.
    """
    for operation in reversed(operations):
        if operation.kind in (Kind.PIN, Kind.SCREW):
            return _fastening(plan, operation, placed)
        if operation.kind is Kind.HANG:
            return StepPicture(new=operation.pieces, earlier=tuple(placed), from_behind=True)
        if operation.kind is Kind.JOIN:
            return _joining(plan, operation, placed)
        if operation.kind is Kind.DRY_FIT:
            return _dry(plan, operation)
        if operation.kind in (Kind.NOTCH, Kind.DRILL, Kind.SHAPE):
            return _single(plan, [o for o in operations if o.kind is operation.kind])
    return None


def _single(plan: SolvedPlan, operations: Sequence[Operation]) -> StepPicture:
    """One piece of each part that is cut, the worked side up."""
    pieces = tuple(dict.fromkeys(o.pieces[0] for o in operations))
    part = plan.part_of(pieces[0])
    features: Sequence[Notch | Hole] = part.notches if operations[0].kind is Kind.NOTCH else part.holes
    if operations[0].kind is Kind.SHAPE:
        features = ()
    down = bool(features) and looks_down(plan.pieces[pieces[0]].frame, features[0].side)
    return StepPicture(new=pieces, turned_over=down)


def _joining(plan: SolvedPlan, operation: Operation, placed: Sequence[str]) -> StepPicture:
    """Half of a row of arriving pieces in place, the next on its way."""
    met = meeting(plan, operation)
    if not met.places:
        own = dict.fromkeys(operation.pieces)
        return StepPicture(new=operation.pieces, earlier=tuple(p for p in placed if p not in own))
    arriving = met.arriving or met.pieces
    moving = arriving[len(arriving) // 2] if len(arriving) > 2 else arriving[-1]
    shown = arriving[: arriving.index(moving) + 1]
    beside = dict.fromkeys(copy_of(plan, arriving[0]))
    if not operation.unit:  # what it is set on stands with all that holds to it
        beside = _holding(plan, met.lying, placed)
    hidden = dict.fromkeys([*arriving, *met.lying])
    return StepPicture(
        new=shown,
        met=met.lying,
        earlier=tuple(p for p in placed if p in beside and p not in hidden),
        in_motion=(moving,) if met.direction is not None else (),
        direction=met.direction,
        turned_over=met.direction is not None and met.direction[2] > Fraction(1, 2),
        from_behind=_comes_from_behind(met.direction),
    )


def _holding(plan: SolvedPlan, pieces: Sequence[str], placed: Sequence[str]) -> dict[str, None]:
    """Pieces that stand and hold to some others: by their joints, or as one copy of an assembly."""
    standing = dict.fromkeys([*placed, *pieces])
    found: dict[str, None] = {}
    waiting = list(pieces)
    while waiting:
        name = waiting.pop()
        if name not in found and name in standing:
            found[name] = None
            waiting += copy_of(plan, name)
            waiting += [q for j in plan.joints if name in (j.first, j.second) for q in (j.first, j.second)]
    return found


def _dry(plan: SolvedPlan, operation: Operation) -> StepPicture:
    """The first arriving piece above what lies."""
    met = meeting(plan, operation)
    if met.direction is None or not met.arriving:
        return StepPicture(new=met.pieces)
    return StepPicture(
        new=met.arriving[:1],
        met=met.lying,
        in_motion=met.arriving[:1],
        direction=met.direction,
        turned_over=met.direction[2] > Fraction(1, 2),
        from_behind=_comes_from_behind(met.direction),
    )


def _fastening(plan: SolvedPlan, operation: Operation, placed: Sequence[str]) -> StepPicture:
    """Fasteners on their way in; all copies if units meet, one copy if they stay within one."""
    uses = driven(plan, operation)
    if operation.unit:
        copy = dict.fromkeys(copy_of(plan, uses[0][1].first))
        uses = [(name, p) for name, p in uses if p.first in copy]
    direction = uses[0][1].direction
    uses = [(name, p) for name, p in uses if p.direction == direction]
    first = dict.fromkeys(p for _, place in uses for p in copy_of(plan, place.first))
    second = dict.fromkeys(p for _, place in uses for p in copy_of(plan, place.second) if p not in first)
    if operation.unit:
        held = dict.fromkeys(p for _, place in uses for p in (place.first, place.second))
        second = dict.fromkeys(p for p in first if p not in held)
        first = held
    new = tuple(p for p in operation.places if p in first)
    standing = dict.fromkeys([*placed, *operation.places])
    return StepPicture(
        new=new,
        met=tuple(p for p in first if p not in new),
        earlier=tuple(p for p in second if p in standing and p not in new),
        in_motion=tuple(name for name, _ in uses),
        direction=direction,
        fasteners=tuple(name for name, _ in uses),
        turned_over=direction[2] > Fraction(1, 2),
        from_behind=_comes_from_behind(direction),
    )


def _comes_from_behind(direction: Vec | None) -> bool:
    """True for what travels to the front: from the front little of it would be seen."""
    return direction is not None and direction[1] < -Fraction(1, 2)
