"""Every demo over the whole range of its parameters: it builds, or says clearly why not; nothing overlaps or breaks."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from fractions import Fraction
from typing import Final

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

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
#: Values are drawn in so many steps from the low end of a range to the high end.
_STEPS: Final = 24
#: A plan with more faults than examples without them would vouch for ranges that it does not keep.
_EXAMPLES: Final = 12


@functools.cache
def described(name: str) -> Description:
    """A demo."""
    return read_description((ROOT / "projects" / name / "plan.yaml").read_text(encoding="utf-8"), "plan.yaml")


def value_of(parameter: Parameter, units: Units, step: int) -> Quantity:
    """A value of the parameter: step 0 is the low end of its range, _STEPS the high end."""
    own = (parameter.metric if units is Units.METRIC and parameter.metric else parameter.value).quantity({})
    if parameter.low is None or parameter.high is None:
        return own
    low, high = (limit.quantity({}, own.dimension).value for limit in (parameter.low, parameter.high))
    value = low + (high - low) * Fraction(step, _STEPS)
    return Quantity(Fraction(round(value)) if own.dimension == COUNT else value, own.dimension)


def sound(name: str, units: Units, steps: Mapping[str, int]) -> SolvedPlan | None:
    """The plan with some parameters set; None if it refuses with a fault that tells the maker something.

    Fails on a size that is not positive, on pieces that share wood and on glued faces that do not touch. Any other
    exception than PlanFaults is a crash and goes through.
    """
    parameters = {parameter.name: parameter for parameter in described(name).parameters}
    try:
        plan = solve(
            described(name), units, "", {key: value_of(parameters[key], units, step) for key, step in steps.items()}
        )
    except PlanFaults as refused:
        errors = [d for d in refused.diagnostics if d.severity is Severity.ERROR]
        assert errors, "a refusal without a reason"
        assert all(d.message and (d.place is not None) for d in errors), errors
        return None
    assert all(size > 0 for part in plan.parts for size in (part.length, part.width, part.thickness))
    assert all(notch.depth > 0 and notch.width > 0 for part in plan.parts for notch in part.notches)
    checking = Checking(plan, Solids(plan))
    found = [d for rule in (overlaps, touching) for d in rule(checking) if d.severity is Severity.ERROR]
    assert not found, [str(d) for d in found]
    return plan


def settings_of(name: str) -> st.SearchStrategy[dict[str, int]]:
    """Steps for some of a plan's parameters, the others as the maker set them."""
    ranged = [p.name for p in described(name).parameters if p.low is not None and p.high is not None]
    return st.fixed_dictionaries({}, optional={key: st.integers(0, _STEPS) for key in ranged})


@pytest.mark.parametrize("name", PLANS)
def test_a_demo_builds_or_says_why_not_over_its_whole_range(name: str) -> None:
    built: list[SolvedPlan | None] = []

    @settings(max_examples=_EXAMPLES, deadline=None, derandomize=True, database=None)
    @given(settings_of(name), st.sampled_from(list(Units)))
    def over_its_range(steps: dict[str, int], units: Units) -> None:
        built.append(sound(name, units, steps))

    over_its_range()
    assert len([plan for plan in built if plan is not None]) >= _EXAMPLES // 3


@pytest.mark.parametrize("name", PLANS)
@pytest.mark.parametrize("units", list(Units))
def test_every_named_size_is_sound(name: str, units: Units) -> None:
    for size in described(name).sizes:
        plan = solve(described(name), units, size.name, {})
        checking = Checking(plan, Solids(plan))
        assert not [str(d) for rule in (overlaps, touching) for d in rule(checking)], size.name


@pytest.mark.parametrize(
    ("name", "steps"),
    [
        # the groove of the bottom runs through a glued face of the corners, as the maker wants it
        ("divider-tray", {"columns": _STEPS, "thin": 0, "low": _STEPS}),
        # the housings of the shelves take part of the faces to which the back is glued
        ("wall-shelf", {"shelves": 16, "thin": 0}),
    ],
)
def test_faces_that_another_joint_cuts_away_are_no_gaps(name: str, steps: dict[str, int]) -> None:
    assert sound(name, Units.IMPERIAL, steps) is not None
