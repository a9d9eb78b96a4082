"""Who meets whom in a joining step: the joint places of one copy of a unit, which pieces lie below and which arrive."""

from __future__ import annotations

from attrs import frozen

from planpress.geometry.vectors import Vec
from planpress.model.records import FastenerPlace, JointPlace, SolvedPlan
from planpress.work.operations import Kind, Operation


@frozen
class Meeting:
    """Joint places of a joining operation, one copy of its unit only.

    Attributes:
        pieces: of that copy, in order. places: their joints by which the step joins them.
        arriving: pieces that are set on others; lying: pieces they are set on. A piece that does both counts as lying.
        direction: way (world) in which the arriving pieces travel; None if they travel several ways.
        copies: how many copies the operation builds.
    """

    pieces: tuple[str, ...]
    places: tuple[JointPlace, ...]
    arriving: tuple[str, ...]
    lying: tuple[str, ...]
    direction: Vec | None
    copies: int


def meeting(plan: SolvedPlan, operation: Operation) -> Meeting:
    """The first copy's joints of a joining operation."""
    copies = list(dict.fromkeys(plan.pieces[p].assembly for p in operation.pieces))
    pieces = [p for p in operation.pieces if plan.pieces[p].assembly == copies[0]]
    if len({name for name, _ in copies}) > 1:
        pieces, copies = list(operation.pieces), copies[:1]
    own = dict.fromkeys(pieces)
    places = [
        j
        for j in plan.joints
        if j.joint in operation.joints and j.kind != "screw" and (j.first in own or j.second in own)
    ]
    new = dict.fromkeys(operation.pieces if operation.kind is Kind.DRY_FIT else operation.places)
    lying = dict.fromkeys(j.second for j in places)
    arriving = dict.fromkeys(j.first for j in places if j.first not in lying)
    if any(p not in new for p in [*lying, *arriving]):  # fitted to what stands already: the new pieces arrive
        arriving = dict.fromkeys(p for p in pieces if p in new)
        lying = dict.fromkeys(p for j in places for p in (j.first, j.second) if p not in arriving)
    ways: dict[tuple[Vec, bool], None] = dict.fromkeys((j.direction, j.first in arriving) for j in places)
    direction = None
    if len(ways) == 1:
        (way, forth) = next(iter(ways))
        direction = way if forth else (-way[0], -way[1], -way[2])
    order = list(plan.pieces)
    return Meeting(
        tuple(pieces),
        tuple(places),
        tuple(sorted(arriving, key=order.index)),
        tuple(sorted(lying, key=order.index)),
        direction,
        len(copies),
    )


def driven(plan: SolvedPlan, operation: Operation) -> list[tuple[str, FastenerPlace]]:
    """Fasteners of an operation with where they go in."""
    by_id = {f"{f.letter}[{i}]": place for f in plan.fasteners for i, place in enumerate(f.places)}
    return [(name, by_id[name]) for name in operation.fasteners]


def copy_of(plan: SolvedPlan, piece: str) -> tuple[str, ...]:
    """All pieces of the same copy of an assembly; the piece alone if it belongs to none."""
    own = plan.pieces[piece].assembly
    if not own[0]:
        return (piece,)
    return tuple(p.id for p in plan.pieces.values() if p.assembly == own)
