"""Joints of shaped parts: sound where the outline leaves their wood, found at fault where it cuts it away."""

from __future__ import annotations

from planpress.base.diagnostics import Severity
from planpress.checks import check_plan
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from tests.plans import small_plan

FRAME = """
materials:
  stick: {{form: board, species: white oak, thickness: 20 mm, width: 60 mm}}
parts:
  rail:
    material: stick
    length: 500 mm
    place: {{corner: [0 mm, 0 mm, 0 mm], length: +x, width: +z}}
    outline:
      start: [0 mm, 0 mm]
      path: [{{line: [{start}, 0 mm]}}, {{hollow: {{to: [{end}, 0 mm], rise: 25 mm}}}}, {{line: [length, 0 mm]}},
        {{line: [length, width]}}, {{line: [0 mm, width]}}]
    edges: {{upper: {{round: 3 mm}}}}
  post:
    material: stick
    length: 400 mm
    place: {{corner: [at, 10 mm, -200 mm], length: +z, width: +x}}
    repeat: {{at: [60 mm, 380 mm]}}
joints:
  laps: {{kind: cross lap, between: [post, rail], glue: true}}
"""


def errors(plan: SolvedPlan) -> list[str]:
    return [d.message for d in check_plan(plan, Solids(plan)) if d.severity is Severity.ERROR]


def test_laps_beside_a_hollow_are_sound() -> None:
    plan = small_plan(FRAME.format(start="130 mm", end="370 mm"))
    assert plan.part_of("rail").shape is not None
    assert errors(plan) == []


def test_a_hollow_through_a_lap_is_found() -> None:
    found = errors(small_plan(FRAME.format(start="20 mm", end="480 mm")))
    assert found
    assert all("touch over" in message for message in found)
