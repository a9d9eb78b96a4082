"""Every figure of the demo, as it is and with unusual settings, in both unit systems, passes the layout check."""

from __future__ import annotations

import functools
from collections.abc import Iterator

import pytest

from planpress.base.display import Figure
from planpress.base.edition import Edition
from planpress.base.printing import Units
from planpress.figures.exploded import exploded
from planpress.figures.part_drawing import part_drawing
from planpress.figures.pictures import hero
from planpress.figures.place_words import place_words
from planpress.figures.scenes import Scenes
from planpress.figures.step_pictures import step_picture
from planpress.figures.templates import plan_templates, tile_map
from planpress.figures.views import draw_views
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from planpress.work.steps import plan_steps
from tests.figures.measure import INCHES, MEASURE, MILLIMETRES, faults
from tests.plans import solved_stand

SETTINGS: dict[str, dict[str, str]] = {
    "as it is": {},
    "long": {"top_length": "52 in"},
    "many slats": {"slats": "13"},
    "very many slats": {"slats": "17"},
    "thin sticks": {"stick_thick": "0.71 in"},
    "balcony": {"size": "balcony"},
    "splayed": {"splay": "9 deg"},
}


@functools.cache
def solved(units: Units, name: str) -> SolvedPlan:
    """The demo with these settings."""
    settings = dict(SETTINGS[name])
    size = settings.pop("size", "")
    return solved_stand(units, size, **settings)


def step_figures(plan: SolvedPlan, edition: Edition, scenes: Scenes, solids: Solids) -> Iterator[Figure]:
    """The picture of every step that has one; pieces on their way stand off by 50 mm."""
    for step in plan_steps(plan, edition):
        shown = step.picture
        if shown is None:
            continue
        moving = [name for name in shown.in_motion if name in plan.pieces]
        motion = []
        if shown.direction is not None:
            x, y, z = (-50 * float(component) for component in shown.direction)
            motion = [((name,), (x, y, z)) for name in moving]
        present = {scenes.letter(name) for name in (*shown.new, *shown.fasteners, *shown.met)}
        yield step_picture(
            plan,
            solids,
            scenes,
            new=shown.new,
            in_motion=motion,
            earlier=shown.earlier,
            met=shown.met,
            fasteners=shown.fasteners,
            balloons=[letter for letter in step.letters if letter in present],
            turned_over=shown.turned_over,
            height=120.0,
        )


def every_figure(plan: SolvedPlan, edition: Edition, scenes: Scenes, solids: Solids) -> Iterator[tuple[str, Figure]]:
    """What each figure is, and the figure."""
    names = {part.letter: part for part in plan.parts}
    yield "hero", hero(plan, solids, scenes, 172.0, 142.0)
    yield "places", place_words(plan, solids, scenes, MEASURE, 60.0, 47.0)
    yield "exploded", exploded(plan, solids, scenes, 180.0, 126.8)
    yield "views", draw_views(plan, solids, edition, MEASURE).figure
    for number, figure in enumerate(step_figures(plan, edition, scenes, solids)):
        yield f"picture {number} of steps", figure
    for part in plan.parts:
        for band in part_drawing(part, names, edition, MEASURE).bands:
            if band.figure is not None:
                yield f"part {part.letter}", band.figure
    for template in plan_templates(plan, edition, MEASURE):
        for tile in template.tiles:
            yield f"{template.title}, {tile.index}", tile.figure
            yield f"map of {template.title}, {tile.index}", tile_map(template, tile.index)


@pytest.mark.parametrize("name", SETTINGS)
@pytest.mark.parametrize("edition", [INCHES, MILLIMETRES], ids=["inches", "millimetres"])
def test_the_layout_check_finds_nothing_in_any_figure(edition: Edition, name: str) -> None:
    plan = solved(edition.units, name)
    solids = Solids(plan)
    scenes = Scenes(plan, solids)
    found, kinds = [], []
    for words, figure in every_figure(plan, edition, scenes, solids):
        kinds.append(words)
        found += [f"{words}: {fault}" for fault in faults(figure)]
    assert found == []
    assert len(kinds) >= 20
    assert all(sight.regions.bridged == [] for sight in scenes.kept())
