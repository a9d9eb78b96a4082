"""All operations of a plan, in order of declaration: preparing, shaping, joining."""

from __future__ import annotations

from planpress.model.records import SolvedPlan
from planpress.work.joining import joining
from planpress.work.operations import Operation
from planpress.work.shaping import preparing, shaping


def derive_operations(plan: SolvedPlan) -> tuple[Operation, ...]:
    """What has to be done to build a solved plan. Order them with `graph.ordered`."""
    ready = [*preparing(plan), *shaping(plan)]
    return (*ready, *joining(plan, ready))
