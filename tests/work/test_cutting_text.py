"""Words of the steps that cut joints and shapes: the sizes they quote are those of the model, by hand arithmetic."""

from __future__ import annotations

from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.base.printing import Units
from planpress.model.records import SolvedPlan
from planpress.work.steps import Step, plan_steps
from tests.plans import small_plan

MATERIALS = """
materials:
  post: {form: board, species: white oak, thickness: 40 mm, width: 40 mm}
  board: {form: rough, species: white oak, thickness: 20 mm}
"""


def steps(plan: SolvedPlan) -> list[Step]:
    return list(plan_steps(plan, Edition(Units.METRIC, "a4")))


def said(plan: SolvedPlan, title: str) -> str:
    step = next(s for s in steps(plan) if plain(s.title) == title)
    return plain(" ".join(step.actions))


FRAME = small_plan(
    f"""{MATERIALS}
parts:
  leg:
    material: post
    length: 400 mm
    place: {{corner: [x * 460 mm, 0 mm, 0 mm], length: +z, width: +x}}
    repeat: {{x: 2}}
  rail:
    material: board
    length: 480 mm
    width: 80 mm
    place: {{corner: [10 mm, 10 mm, 250 mm], length: +x, width: +z}}
joints:
  ends: {{kind: mortise and tenon, tenon: rail, mortise: leg, thickness: 8 mm, width: 60 mm, glue: true}}
""",
    Units.METRIC,
)


def test_a_tenon_is_told_by_what_is_left() -> None:
    text = said(FRAME, "Cut the joints of the rail")
    assert "Mark the shoulders at both ends all round, 30 in." in text
    assert "until a tenon 8 thick and 60 wide is left for A" in text


def test_a_mortise_is_told_by_place_and_size() -> None:
    text = said(FRAME, "Cut the joints of the legs")
    # the rail's 80 mm begin at 250, the tenon's 60 in its middle at 260; 16 mm of the leg on both sides of 8 mm
    assert "near end 260 from the reference end, near side 16 from the reference face, 60 along, 8 across" in text
    assert "31.5 deep" in text  # with 1.5 mm of room for glue beyond the tenon (common practice, no source)


def test_pieces_come_in_an_order_that_works() -> None:
    glue = next(s for s in steps(FRAME) if "Glue" in s.title)
    text = " ".join(glue.actions)
    assert "Begin with A" in text or "begin with A" in text
    assert text.count("ring in") >= 1


def test_a_panel_is_sawn_and_rough_wood_is_ripped_to_its_width() -> None:
    texts = [plain(a) for s in steps(FRAME) for a in s.actions]
    assert "Plane to 20 thick, all at one setting." in texts
    assert "Rip strips 80 wide for B, length with the grain." in texts
    panel = small_plan(
        """
materials:
  panel: {form: sheet, species: birch plywood, thickness: 18 mm}
parts:
  shelf: {material: panel, length: 600 mm, width: 200 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +x, width: +y}}
""",
        Units.METRIC,
    )
    assert any("200 wide" in plain(a) for s in steps(panel) for a in s.actions)


def test_glueing_loose_pieces_names_them_alone() -> None:
    assert [plain(s.title) for s in steps(FRAME) if "Glue" in s.title] == ["Glue the legs and rail"]


def test_a_shaped_part_is_shaped_after_its_joints_and_before_it_is_smoothed() -> None:
    plan = small_plan(
        f"""{MATERIALS}
parts:
  seat:
    material: board
    length: 400 mm
    width: 250 mm
    place: {{corner: [0 mm, 0 mm, 0 mm], length: +x, width: +y}}
    corners: {{radius: 40 mm}}
    edges: {{face: {{round: 6 mm}}}}
""",
        Units.METRIC,
    )
    order = [plain(s.title) for s in steps(plan)]
    assert order.index("Shape the seat") < order.index("Sand the parts and ease their edges")
    assert order.index("Shape the seat") > next(i for i, t in enumerate(order) if t.startswith("Cut seat"))
    text = said(plan, "Shape the seat")
    assert "R 40" in text
    assert "Round over the edges round the reference face of A\u00a0×\u00a01 with a radius of 6." in text
