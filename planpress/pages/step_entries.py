"""Steps of the work as the pages print them: stages, facts and markup."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from planpress.description.records import Caution
from planpress.model.records import SolvedPlan
from planpress.pages.context import StepEntry
from planpress.pages.texts import Texts
from planpress.pages.typography import plain_markup
from planpress.work.operations import Kind
from planpress.work.setup_card import SetupCard
from planpress.work.setups import setup_cards
from planpress.work.steps import Step

PREPARING: Final = "Preparing the parts"
TOGETHER: Final = "Assembly"
FINISHING: Final = "Finishing"
HANGING: Final = "Hanging"

_PREPARING = (Kind.SETTLE, Kind.MILL, Kind.SQUARE, Kind.CUT, Kind.TEST, Kind.NOTCH, Kind.DRILL, Kind.SHAPE, Kind.SMOOTH)


def step_entries(plan: SolvedPlan, steps: Sequence[Step], texts: Texts) -> tuple[StepEntry, ...]:
    """One entry for each step.

    Raises:
        PlanFaults: if a caution of the maker cannot be rendered.
    """
    labels = {group.name: group.label for group in plan.assemblies}
    cards = setup_cards(plan)
    return tuple(
        _entry(step, labels.get(step.unit, ""), cards, [caution_markup(plan, c, texts) for c in step.of_maker])
        for step in steps
    )


def caution_markup(plan: SolvedPlan, caution: Caution, texts: Texts) -> str:
    """What the maker warns of, with the plan's values.

    Raises:
        PlanFaults: if it cannot be rendered.
    """
    return plain_markup(texts.of_maker(caution.says, plan.values, "caution", caution.place))


def _entry(step: Step, unit: str, cards: Sequence[SetupCard], of_maker: Sequence[str]) -> StepEntry:
    facts = [
        ("Parts", step.parts),
        ("Tools", ", ".join(step.tools)),
        ("Time", step.time),
    ]
    return StepEntry(
        number=step.number,
        title=plain_markup(step.title),
        stage=_stage(step, unit),
        reason=plain_markup(step.reason),
        facts=tuple((label, plain_markup(text)) for label, text in facts if text),
        cautions=(*of_maker, *([plain_markup(step.caution)] if step.caution else [])),
        actions=tuple(plain_markup(action) for action in step.actions),
        checks=(plain_markup(step.check),) if step.check else (),
        has_picture=step.picture is not None,
        cards=tuple(card.number for card in cards if _is_made(step, card)),
    )


def _stage(step: Step, unit: str) -> str:
    """Work on single parts, then each assembly, then all together, then the finish."""
    if _is(step, Kind.FINISH):
        return FINISHING
    if _is(step, Kind.HANG):
        return HANGING
    if unit:
        return unit
    return PREPARING if any(_is(step, kind) for kind in _PREPARING) else TOGETHER


def _is(step: Step, kind: Kind) -> bool:
    """True if an operation of the step is of a kind, which its id begins with."""
    return any(operation == kind.value or operation.startswith(f"{kind.value} ") for operation in step.operations)


def _is_made(step: Step, card: SetupCard) -> bool:
    """True if a step cuts some of a card's notches."""
    made = [
        f"{Kind.NOTCH.value} {letter} {joint}" for row in card.stops for letter, _ in row.pieces for joint in row.joints
    ]
    return any(operation in made for operation in step.operations)
