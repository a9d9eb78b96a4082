"""Plan sets that the tests look at: the demo in both unit systems, and awkward variations of it."""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence

from attrs import evolve

from planpress.base.edition import Edition
from planpress.base.printing import Units
from planpress.figures.templates import Template, part_templates
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from planpress.pages.context import Context, PageNumbers, StepEntry
from planpress.pages.drawings import PlanDrawings
from planpress.pages.plan_set import PlanSet, compose_with
from planpress.pages.step_entries import step_entries
from planpress.pages.texts import Texts
from planpress.pages.typography import MEASURE
from planpress.work.steps import plan_steps
from tests.plans import ROOT, solved_stand

PAPERS = {Units.IMPERIAL: "letter", Units.METRIC: "a4"}


@functools.cache
def texts() -> dict[str, str]:
    """The project's texts by file name."""
    return {path.name: path.read_text(encoding="utf-8") for path in sorted((ROOT / "templates").glob("*.j2"))}


class OneTemplate(PlanDrawings):
    """The real figures, but templates of one part only: two tiles are enough to look at."""

    def __init__(self, plan: SolvedPlan, edition: Edition, letter: str = "B") -> None:
        self._work = plan_steps(plan, edition)
        super().__init__(plan, edition, Solids(plan), self._work)
        part = plan.part(letter)
        names = {one.letter: one.label.lower() for one in plan.parts}
        self._one = part_templates(part, names, edition, MEASURE)
        self.entries = step_entries(plan, self._work)

    def templates(self) -> Sequence[Template]:
        """Those of the one part."""
        return self._one


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
    drawings = OneTemplate(plan, edition)
    return compose_with(plan, edition, drawings, texts(), entries(drawings.entries))


@functools.cache
def stand_context(units: Units = Units.IMPERIAL) -> Context:
    """What composers get in the first round."""
    plan, edition = solved_stand(units), edition_of(units)
    drawings = OneTemplate(plan, edition)
    return Context(
        plan, edition, drawings, Texts(texts(), edition), drawings.entries, PageNumbers(), "0123456789abcdef"
    )


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
