"""Plans the tests share: the demo, and small made-up ones."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from pathlib import Path

from planpress.base.printing import Units
from planpress.description.reader import read_description
from planpress.description.records import Description
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from planpress.model.solve import solve

ROOT = Path(__file__).parent.parent
SEEDLING_STAND = ROOT / "projects" / "seedling-stand" / "plan.yaml"


@functools.cache
def seedling_stand() -> Description:
    """The description of the first demo."""
    return read_description(SEEDLING_STAND.read_text(encoding="utf-8"), "plan.yaml")


@functools.cache
def solved_stand(units: Units = Units.IMPERIAL, size: str = "", **settings: str) -> SolvedPlan:
    """The demo solved, once for each set of arguments."""
    return solve(seedling_stand(), units, size, settings)


@functools.cache
def stand_solids(units: Units = Units.IMPERIAL) -> Solids:
    """The demo's solids."""
    return Solids(solved_stand(units))


#: The other demos, by the names of their folders.
OTHER_DEMOS = ("divider-tray", "step-stool", "wall-shelf")


@functools.cache
def solved_demo(name: str, units: Units = Units.IMPERIAL) -> SolvedPlan:
    """A demo solved, by the name of its folder."""
    file = ROOT / "projects" / name / "plan.yaml"
    return solve(read_description(file.read_text(encoding="utf-8"), "plan.yaml"), units, "", {})


HEAD = """\
planpress: 1
title: Test piece
maker: Demo Workshop
version: 1.0.0
date: 2026-01-01
"""


def small_plan(body: str, units: Units = Units.IMPERIAL, settings: Mapping[str, str] | None = None) -> SolvedPlan:
    """A plan with the usual head lines and the given body, solved."""
    return solve(read_description(HEAD + body, "test.yaml"), units, "", settings or {})
