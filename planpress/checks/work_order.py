"""Rules on the steps: every piece and fastener is used exactly once, and the work has an order."""

from __future__ import annotations

from collections import Counter

from planpress.base.diagnostics import PlanFaults
from planpress.checks.checking import Checking, Found, error
from planpress.work.deriving import derive_operations
from planpress.work.graph import ordered


def order(checking: Checking) -> Found:
    """P49: no operation waits for itself."""
    try:
        ordered(derive_operations(checking.plan))
    except PlanFaults as faults:
        yield from faults.diagnostics


def counts(checking: Checking) -> Found:
    """P1, P2, P3: numbers in the parts table, in the model and in the steps agree."""
    plan = checking.plan
    standing = Counter(piece.letter for piece in plan.pieces.values())
    operations = derive_operations(plan)
    placed = Counter(p for o in operations for p in o.places)
    used = Counter(f for o in operations for f in o.fasteners)
    for part in plan.parts:
        in_steps = sum(placed[p] for p in plan.pieces if plan.pieces[p].letter == part.letter)
        if not part.count == standing[part.letter] == in_steps:
            yield error(
                "P2",
                f"{checking.called(part)}: {part.count} in the parts table, {standing[part.letter]} in the model,"
                f" {in_steps} in the steps",
                checking.part_place(part),
            )
    for fastener in plan.fasteners:
        times = [used[f"{fastener.letter}[{i}]"] for i in range(fastener.count)]
        if any(n != 1 for n in times):
            yield error(
                "P3",
                f"{fastener.kind} {fastener.letter}: {fastener.count} in the parts table, {sum(times)} used in the"
                " steps",
                checking.joint_place(fastener.joint),
                hint="see that the two pieces it holds are joined by that joint",
            )
