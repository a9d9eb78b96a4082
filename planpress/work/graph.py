"""Order of operations: every one after what it waits for, otherwise as declared; a circle is told as a chain."""

from __future__ import annotations

import heapq
from collections.abc import Mapping, Sequence

from planpress.base.diagnostics import Diagnostic, PlanFaults, Severity
from planpress.work.operations import Operation


def in_dependency_order(names: Sequence[str], waits_for: Mapping[str, Sequence[str]]) -> list[str]:
    """The names so that each comes after all it waits for; among those that are free the one declared first.

    Args:
        names: unique, in order of declaration.
        waits_for: by name; names that are not in `names` are not waited for.

    Raises:
        PlanFaults: with code "work-circle" if some wait for each other; the message gives the chain.
    """
    rank = {name: i for i, name in enumerate(names)}
    missing = {name: [p for p in dict.fromkeys(waits_for.get(name, ())) if p in rank] for name in names}
    followers: dict[str, list[str]] = {name: [] for name in names}
    for name in names:
        for earlier in missing[name]:
            followers[earlier].append(name)
    count = {name: len(missing[name]) for name in names}
    free = [rank[name] for name in names if not count[name]]
    heapq.heapify(free)
    out: list[str] = []
    while free:
        name = names[heapq.heappop(free)]
        out.append(name)
        for later in followers[name]:
            count[later] -= 1
            if not count[later]:
                heapq.heappush(free, rank[later])
    if len(out) < len(names):
        chain = _circle([name for name in names if count[name]], missing)
        raise PlanFaults([_told(chain)])
    return out


def _circle(stuck: Sequence[str], waits_for: Mapping[str, Sequence[str]]) -> list[str]:
    """A chain of names, each waiting for the next, that ends where it began."""
    left = dict.fromkeys(stuck)
    chain = [stuck[0]]
    while True:
        following = next(name for name in waits_for[chain[-1]] if name in left)
        if following in chain:
            return [*chain[chain.index(following) :], following]
        chain.append(following)


def _told(chain: Sequence[str]) -> Diagnostic:
    return Diagnostic(
        "work-circle",
        Severity.ERROR,
        "the work cannot be put in an order: " + ", which waits for ".join(f"'{name}'" for name in chain),
        hint="a part that is fitted in place must not be needed by what it is fitted to",
    )


def grouped(operations: Sequence[Operation]) -> list[tuple[Operation, ...]]:
    """Operations in order, those that are shown together side by side.

    Raises:
        PlanFaults: if they wait for each other, or two groups do.
    """
    members: dict[str, list[Operation]] = {}
    group_of = {operation.id: operation.shown_with or operation.id for operation in operations}
    for operation in operations:
        members.setdefault(group_of[operation.id], []).append(operation)
    waits_for = {
        group: [
            group_of[a.operation]
            for operation in inside
            for a in operation.after
            if a.operation in group_of and group_of[a.operation] != group
        ]
        for group, inside in members.items()
    }
    out = []
    for group in in_dependency_order(list(members), waits_for):
        by_id = {operation.id: operation for operation in members[group]}
        inner = {name: [a.operation for a in operation.after] for name, operation in by_id.items()}
        out.append(tuple(by_id[name] for name in in_dependency_order(list(by_id), inner)))
    return out


def ordered(operations: Sequence[Operation]) -> list[Operation]:
    """Operations in an order that keeps every dependency; steps stay together.

    Raises:
        PlanFaults: if there is none.
    """
    return [operation for group in grouped(operations) for operation in group]
