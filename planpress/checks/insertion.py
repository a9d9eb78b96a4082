"""A rule on putting the work together: every piece finds a way to its place past those that are there already."""

from __future__ import annotations

from planpress.checks.checking import Checking, Found, error
from planpress.work.insertion import Sliding, arrivals

_SHOWN = 4


def ways_in(checking: Checking) -> Found:
    """P17: at each stage of assembly the arriving piece can slide to its place along a straight line."""
    plan = checking.plan
    for arrival in arrivals(plan, Sliding(plan, checking.solids)):
        if not arrival.in_the_way:
            continue
        first = plan.pieces[arrival.pieces[0]]
        called = f"'{first.id}'"
        if len(arrival.pieces) > 1:
            called = f"the {checking.assembly_label(first.assembly)}" if first.assembly[0] else called
        shown = [f"'{name}'" for name in arrival.in_the_way[:_SHOWN]]
        more = len(arrival.in_the_way) - len(shown)
        words = ", ".join(shown) + (f" and {more} more" if more else "")
        stand = "stands" if len(arrival.in_the_way) == 1 else "stand"
        yield error(
            "P17",
            f"{called} cannot be brought to its place: {words} {stand} in its way from every side",
            checking.part_place(first.name),
            hint="let a joint be open on one side, or divide the work into other assemblies",
        )
