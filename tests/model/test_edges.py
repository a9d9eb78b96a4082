"""Edge glue-ups, with and without a loose tongue."""

from __future__ import annotations

from fractions import Fraction

import pytest

from planpress.base.diagnostics import PlanFaults
from planpress.geometry.solids import contact_area
from planpress.model.records import Side, SolvedPlan
from tests.model.boxes import STOCK, solids_without_overlap
from tests.plans import small_plan

TONGUE = ", tongue: {material: ply, depth: 8 mm, room: %s}"


def body(extra: str = "", *, boards: int = 3, turn: int = 0, fit: str = "0 mm", glued: str = "[board, board]") -> str:
    """Boards side by side, 300 x 100 x 18 mm each, lying on the floor; and an edging along the first."""
    return (
        STOCK
        + f"""
parts:
  board:
    material: board
    length: 300 mm
    place: {{corner: [0 mm, row * 100 mm, 0 mm], length: +x, width: +y}}
    repeat: {{row: {boards}}}
  edging:
    material: board
    thickness: 12 mm
    width: 18 mm
    length: 300 mm
    place: {{corner: [0 mm, -12 mm, 0 mm], length: +x, width: +z}}
assemblies:
  top: {{parts: [board, edging], place: [{{turn: {turn} deg about z}}]}}
joints:
  seam: {{kind: edge glue-up, between: {glued}{extra}, fit: {fit}, glue: true}}
"""
    )


def seams(plan: SolvedPlan) -> list[tuple[str, str]]:
    """The pairs that the joint holds together."""
    return [(j.first, j.second) for j in plan.joints if j.kind == "edge glue-up"]


@pytest.mark.parametrize("turn", [0, 33])
def test_boards_side_by_side(turn: int) -> None:
    plan = small_plan(body(turn=turn))
    solids = solids_without_overlap(plan)
    assert seams(plan) == [("top.board[0]", "top.board[1]"), ("top.board[1]", "top.board[2]")]
    for a, b in seams(plan):
        assert contact_area(solids[a], solids[b]) == pytest.approx(300 * 18, rel=1e-6)
    assert plan.parts[0].count == 3
    assert not plan.parts[0].notches


def test_an_edging_lies_with_its_face_on_an_edge() -> None:
    plan = small_plan(body(glued="[edging, board]"))
    assert seams(plan) == [("top.edging", "top.board[0]")]
    solids_without_overlap(plan)


@pytest.mark.parametrize("turn", [0, 33])
def test_a_tongue_fills_its_grooves(turn: int) -> None:
    plan = small_plan(body(TONGUE % "0 mm", turn=turn))
    solids = solids_without_overlap(plan)
    outer, inner, *_ = plan.parts
    tongue = plan.parts[-1]
    assert (tongue.label, tongue.count, tongue.length, tongue.width, tongue.thickness) == ("Tongue", 2, 300, 16, 4)
    assert (outer.name, outer.count, len(outer.notches)) == ("board", 2, 1)
    assert (inner.name, inner.count, len(inner.notches)) == ("board", 1, 2)
    (groove,) = outer.notches
    assert (groove.role, groove.depth, groove.width) == ("groove", 8, 4)
    assert [float(s) for s in groove.across] == pytest.approx([7, 11], abs=1e-9)
    assert [float(u) for u in groove.span] == pytest.approx([0, 300], abs=1e-9)
    assert groove.side in (Side.LOWER, Side.UPPER)
    wood = (3 * 100 + 12) * 300 * 18
    assert sum(s.volume for s in solids.values()) == pytest.approx(wood, rel=1e-9)
    for place in plan.joints:
        if place.kind == "tongue":  # both broad sides and the floor
            touching = contact_area(solids[place.first], solids[place.second])
            assert touching == pytest.approx(300 * (2 * 8 + 4), rel=1e-6)
        else:
            assert contact_area(solids[place.first], solids[place.second]) == pytest.approx(300 * 14, rel=1e-6)


def test_fit_widens_and_room_deepens_the_groove() -> None:
    plan = small_plan(body(TONGUE % "1 mm", fit="0.2 mm"))
    groove = plan.parts[0].notches[0]
    assert (groove.width, groove.fit, groove.depth) == (4 + Fraction(1, 5), Fraction(1, 5), 9)
    assert plan.parts[-1].width == 16
    solids_without_overlap(plan)


def test_tongue_between_slanting_ends_stays_inside() -> None:
    """Boards cut off at a plane across them: the tongue ends square, inside both grooves."""
    text = (
        STOCK
        + """
planes: {end: x = 200 mm}
parts:
  upper:
    material: board
    place: {from: [0 mm, 0 mm, 150 mm], to: [200 mm, 0 mm, 200 mm], width: +z}
    trim: {end: end}
  lower:
    material: board
    place: {from: [100 mm * 5 / 20.6155281, 0 mm, 150 mm - 2000 mm / 20.6155281],
            to: [200 mm + 100 mm * 5 / 20.6155281, 0 mm, 200 mm - 2000 mm / 20.6155281], width: +z}
    trim: {end: end}
joints:
  seam: {kind: edge glue-up, between: [upper, lower], tongue: {material: ply, depth: 8 mm}, glue: true}
"""
    )
    plan = small_plan(text)
    solids_without_overlap(plan)
    assert plan.parts[-1].label == "Tongue"


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("row * 100 mm", "row * 90 mm", "they overlap"),
        ("row * 100 mm", "row * 110 mm", "touch anywhere"),
        ("[0 mm, row * 100 mm, 0 mm]", "[row * 300 mm, 0 mm, 0 mm]", "end grain"),
        ("depth: 8 mm", "depth: 120 mm", "goes through"),
        ("depth: 8 mm", "thickness: 18 mm, depth: 8 mm", "leaves no wood"),
    ],
)
def test_edges_that_cannot_be_glued(old: str, new: str, message: str) -> None:
    text = body(TONGUE % "0 mm")
    assert old in text
    with pytest.raises(PlanFaults, match=message):
        small_plan(text.replace(old, new))


def test_grain_must_run_the_same_way() -> None:
    text = body(glued="[edging, board]").replace(
        "corner: [0 mm, -12 mm, 0 mm], length: +x, width: +z", "corner: [0 mm, -12 mm, 0 mm], length: +z, width: +x"
    )
    with pytest.raises(PlanFaults, match="grain does not run the same way"):
        small_plan(text)
