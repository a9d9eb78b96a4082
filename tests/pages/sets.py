"""Plan sets that the tests look at: the demo in both unit systems, and awkward variations of it."""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence

from attrs import evolve

from planpress.base.edition import Edition
from planpress.base.printing import Units
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from planpress.pages.context import StepEntry
from planpress.pages.drawings import PlanDrawings
from planpress.pages.plan_set import PlanSet, compose_with
from planpress.pages.step_entries import step_entries
from planpress.pages.texts import Texts
from planpress.work.steps import plan_steps
from tests.plans import ROOT, solved_stand

PAPERS = {Units.IMPERIAL: "letter", Units.METRIC: "a4"}


@functools.cache
def texts() -> dict[str, str]:
    """The project's texts by file name."""
    return {path.name: path.read_text(encoding="utf-8") for path in sorted((ROOT / "templates").glob("*.j2"))}


def edition_of(units: Units, size: str = "") -> Edition:
    """The edition on the paper usual for the unit system."""
    return Edition(units, PAPERS[units], size)


@functools.cache
def stand_set(units: Units = Units.IMPERIAL, size: str = "") -> PlanSet:
    """The demo's plan set."""
    return set_of(solved_stand(units, size), edition_of(units, size))


def set_of(
    plan: SolvedPlan,
    edition: Edition,
    entries: Callable[[tuple[StepEntry, ...]], Sequence[StepEntry]] = lambda steps: steps,
) -> PlanSet:
    """The plan set of a plan, its steps changed by `entries`."""
    work = plan_steps(plan, edition)
    drawings = PlanDrawings(plan, edition, Solids(plan), work)
    return compose_with(plan, edition, drawings, texts(), entries(step_entries(plan, work, Texts(texts(), edition))))


def with_long_words(plan: SolvedPlan) -> SolvedPlan:
    """The plan with a title and part names that fit nowhere, as other languages have them."""
    word = "Saatgutaufzuchtregalverbindungsleiste"
    description = evolve(
        plan.description,
        title="Seedling stand for the greenhouse with a removable slatted top",
        maker="The demonstration workshop of a very long name",
        version="12.10.103",
    )
    parts = tuple(
        evolve(part, label=f"{word} {part.label.lower()}", remark="brought to size with a hand plane, then sanded")
        for part in plan.parts
    )
    return evolve(plan, description=description, parts=parts)
