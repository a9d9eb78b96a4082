"""Figures that depend on nothing but the edition: they can be drawn before there are pages, in another process.

The views of the whole do too, but pages draw them themselves: so both processes end at about the same time.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from attrs import frozen

from planpress.base.display import TypeMeasure
from planpress.base.edition import Edition
from planpress.figures.joint_details import JointDetail
from planpress.figures.part_drawing import PartDrawing, part_drawing
from planpress.figures.templates import Template, plan_templates
from planpress.model.records import SolvedPlan


@frozen
class Ready:
    """Figures that have been drawn."""

    templates: tuple[Template, ...]
    parts: Mapping[str, PartDrawing]


@frozen
class FiguresAhead:
    """Gives figures that are drawn elsewhere: the longest work apart, so that the others need not wait for it.

    Attributes:
        ready: the first ones. joints: details of all unlike joints.
    """

    ready: Callable[[], Ready]
    joints: Callable[[], tuple[JointDetail, ...]]


def draw_ahead(plan: SolvedPlan, edition: Edition, measure: TypeMeasure) -> Ready:
    """Draws what can be drawn without knowing the pages."""
    by_letter = {part.letter: part for part in plan.parts}
    return Ready(
        plan_templates(plan, edition, measure),
        {part.letter: part_drawing(part, by_letter, edition, measure) for part in plan.parts},
    )
