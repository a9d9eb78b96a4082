"""Every demo over the whole range of its parameters: it builds or says why not; it never overlaps or breaks."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Final

from planpress.base.diagnostics import PlanFaults, Severity
from planpress.base.printing import Units
from planpress.base.quantities import COUNT, Quantity
from planpress.checks.checking import Checking
from planpress.checks.solidity import overlaps, touching
from planpress.description.reader import read_description
from planpress.description.records import Description, Parameter
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from planpress.model.solve import solve
from tests.plans import ROOT

PLANS: Final = tuple(path.parent.name for path in sorted((ROOT / "projects").glob("*/plan.yaml")))
#: Lengths and angles are drawn in so many steps from one end of the range to the other.
_STEPS: Final = 24
#: Faults that say what the maker did not foresee in the plan's own sizes; anything else is the plan's fault or ours.
_CLEAR: Final = ("require", "joint", "P")


@functools.cache
def described(name: str) -> Description:
    path: Path = ROOT / "projects" / name / "plan.yaml"
    return read_description(path.read_text(encoding="utf-8"), "plan.yaml")


def value_of(parameter: Parameter, units: Units, step: int) -> Quantity:
    """A value of the parameter: step 0 is the low end of its range, _STEPS the high end."""
    own = (parameter.metric if units is Units.METRIC and parameter.metric else parameter.value).quantity({})
    if parameter.low is None or parameter.high is None:
        return own
    low, high = (limit.quantity({}, own.dimension).value for limit in (parameter.low, parameter.high))
    value = low + (high - low) * Fraction(step, _STEPS)
    return Quantity(Fraction(round(value)) if own.dimension == COUNT else value, own.dimension)


def solved(name: str, units: Units, steps: Sequence[int | None]) -> SolvedPlan:
    """The plan with some of its parameters (those with a step) set."""
    chosen = {
        parameter.name: value_of(parameter, units, step)
        for parameter, step in zip(described(name).parameters, steps, strict=True)
        if step is not None
    }
    return solve(described(name), units, "", chosen)


def faults_of(name: str, units: Units, steps: Sequence[int | None]) -> list[str]:
    """Codes of the faults with which the plan refuses to be solved, none if it was and is sound.

    Fails on a size that is not positive, on pieces that overlap, and on glued faces that do not touch.
    """
    try:
        plan = solved(name, units, steps)
    except PlanFaults as faults:
        return [d.code for d in faults.diagnostics if d.severity is Severity.ERROR]
    assert all(size > 0 for part in plan.parts for size in (part.length, part.width, part.thickness))
    assert all(notch.depth > 0 and notch.width > 0 for part in plan.parts for notch in part.notches)
    checking = Checking(plan, Solids(plan))
    found = [str(d) for rule in (overlaps, touching) for d in rule(checking) if d.severity is Severity.ERROR]
    assert not found, found
    return []
