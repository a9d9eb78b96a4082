"""The figures of one edition, each drawn when a page first asks for it, and kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import Final

from planpress.base.display import Figure
from planpress.base.edition import Edition
from planpress.figures.ahead import FiguresAhead
from planpress.figures.exploded import exploded
from planpress.figures.joint_details import JointDetail, joint_details
from planpress.figures.part_drawing import PartDrawing, part_drawing
from planpress.figures.pictures import hero
from planpress.figures.place_words import place_words
from planpress.figures.scenes import Offset, Scenes
from planpress.figures.step_pictures import step_picture
from planpress.figures.templates import Template, plan_templates
from planpress.figures.views import Views, draw_views
from planpress.geometry.solids import Solid
from planpress.geometry.vectors import Vec
from planpress.model.records import Part, SolvedPlan
from planpress.model.solids import Solids
from planpress.pages.typography import MEASURE
from planpress.work.pictures import StepPicture
from planpress.work.steps import Step

#: A piece on its way stands off by this many times the larger side of its section.
_APART: Final = 1.5


class _Undrilled:
    """Solids of the pieces before anything is drilled in place, for the pictures of earlier steps."""

    def __init__(self, solids: Solids) -> None:
        self._solids = solids

    def piece(self, piece_id: str) -> Solid:
        """The piece without the holes that are drilled at assembly."""
        return self._solids.before_assembly(piece_id)


class PlanDrawings:
    """Draws the figures of a solved plan; implements `context.Drawings`.

    Args:
        ahead: gives figures that are drawn elsewhere; asked when they are needed.
    """

    def __init__(
        self,
        plan: SolvedPlan,
        edition: Edition,
        solids: Solids,
        steps: Sequence[Step],
        ahead: FiguresAhead | None = None,
    ) -> None:
        self._ahead = ahead
        self._plan = plan
        self._edition = edition
        self._solids = solids
        self._steps = {step.number: step for step in steps}
        self._kept: dict[tuple[str, float, float], Figure] = {}
        self._parts: dict[str, PartDrawing] = {}

    @cached_property
    def _scenes(self) -> Scenes:
        return Scenes(self._plan, self._solids)

    @cached_property
    def _undrilled_scenes(self) -> Scenes:
        return Scenes(self._plan, _Undrilled(self._solids))

    @cached_property
    def _first_driven(self) -> int:
        """The first step that drives fasteners; holes in place are drilled then, and seen from then on."""
        return min((step.number for step in self._steps.values() if step.fasteners), default=0)

    @cached_property
    def _by_letter(self) -> Mapping[str, Part]:
        return {part.letter: part for part in self._plan.parts}

    def hero(self, width: float, height: float) -> Figure:
        """The finished piece, for the cover."""
        key = ("hero", width, height)
        if key not in self._kept:
            self._kept[key] = hero(self._plan, self._solids, self._scenes, width, height)
        return self._kept[key]

    def places(self, width: float, height: float) -> Figure:
        """The finished piece with left, right, front and back."""
        key = ("places", width, height)
        if key not in self._kept:
            self._kept[key] = place_words(self._plan, self._solids, self._scenes, MEASURE, width, height)
        return self._kept[key]

    def exploded(self, width: float, height: float) -> Figure:
        """The exploded view with balloons."""
        key = ("exploded", width, height)
        if key not in self._kept:
            self._kept[key] = exploded(self._plan, self._solids, self._scenes, width, height)
        return self._kept[key]

    @cached_property
    def _views(self) -> Views:
        return draw_views(self._plan, self._solids, self._edition, MEASURE)

    def views(self) -> Views:
        """Front, side and top view."""
        return self._views

    def part(self, letter: str) -> PartDrawing:
        """One part's drawing."""
        if self._ahead is not None:
            return self._ahead.ready().parts[letter]
        if letter not in self._parts:
            part = self._by_letter[letter]
            self._parts[letter] = part_drawing(part, self._by_letter, self._edition, MEASURE)
        return self._parts[letter]

    @cached_property
    def _joints(self) -> tuple[JointDetail, ...]:
        if self._ahead is not None:
            return self._ahead.joints()
        return joint_details(self._plan, self._solids, self._edition, MEASURE)

    def joints(self) -> Sequence[JointDetail]:
        """Details of all unlike joints."""
        return self._joints

    def step(self, number: int, width: float, height: float) -> Figure:
        """The picture of a step.

        Raises:
            ValueError: if the step has none.
        """
        shown = self._steps[number].picture
        if shown is None:
            raise ValueError(f"step {number} has no picture")
        key = (f"step {number}", width, height)
        if key not in self._kept:
            self._kept[key] = self._step(self._steps[number], shown, width, height)
        return self._kept[key]

    def _step(self, step: Step, shown: StepPicture, width: float, height: float) -> Figure:
        moving = [name for name in shown.in_motion if name in self._plan.pieces]
        in_motion = []
        if shown.direction is not None:
            in_motion = [((name,), self._apart(name, shown.direction)) for name in moving]
        present = {self._scenes.letter(name) for name in (*shown.new, *shown.fasteners, *shown.met)}
        early = step.number < self._first_driven
        return step_picture(
            self._plan,
            _Undrilled(self._solids) if early else self._solids,
            self._undrilled_scenes if early else self._scenes,
            new=shown.new,
            in_motion=in_motion,
            earlier=shown.earlier,
            met=shown.met,
            fasteners=shown.fasteners,
            balloons=[letter for letter in step.letters if letter in present],
            turned_over=shown.turned_over,
            from_behind=shown.from_behind,
            width=width,
            height=height,
        )

    def _apart(self, name: str, direction: Vec) -> Offset:
        """How far a piece on its way is from its place: back along the way it travels."""
        part = self._plan.part_of(name)
        distance = _APART * float(max(part.width, part.thickness))
        x, y, z = (-float(component) * distance for component in direction)
        return (x, y, z)

    @cached_property
    def _templates(self) -> tuple[Template, ...]:
        if self._ahead is not None:
            return self._ahead.ready().templates
        return plan_templates(self._plan, self._edition, MEASURE)

    def templates(self) -> Sequence[Template]:
        """All full-scale templates."""
        return self._templates
