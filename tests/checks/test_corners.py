"""Rules on corner joints and glue-ups: silent on usual proportions, and each shown to speak on a planted fault."""

from __future__ import annotations

import pytest

from planpress.base.diagnostics import Severity
from planpress.base.lettering import plain
from planpress.checks import check_plan, corners
from planpress.checks.checking import Checking, Rule
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from tests.model.boxes import STOCK, box_plan
from tests.plans import small_plan

FINGERS = "{kind: finger joint, between: [long, short], %s, glue: true}"
DOVETAILS = "{kind: dovetail, tails: short, pins: long, %s, glue: true}"
SPLINED = "{kind: mitre, between: [long, short], spline: {material: ply, %s}, glue: true}"
PANEL = (
    STOCK
    + """
parts:
  board:
    material: board
    width: %s
    length: 700 mm
    place: {corner: [0 mm, row * %s, 0 mm], length: +x, width: +y}
    repeat: {row: 3}
joints:
  seam: {kind: edge glue-up, between: [board, board], tongue: {material: ply, depth: %s}, glue: true}
"""
)


def said(rule: Rule, plan: SolvedPlan) -> list[str]:
    """What a rule says, in plain text."""
    return [plain(item.message) for item in rule(Checking(plan, Solids(plan)))]


@pytest.mark.parametrize(
    "joint",
    [
        FINGERS % "fit: 0.1 mm",
        DOVETAILS % "fit: 0.1 mm",
        SPLINED % "depth: 6 mm",
        SPLINED.replace("glue", "fit: 0.1 mm, glue") % "depth: 6 mm",
    ],
)
def test_usual_boxes_pass_every_rule_but_notes(joint: str) -> None:
    plan = box_plan(joint)
    told = [item for item in check_plan(plan, Solids(plan)) if item.severity is not Severity.NOTE]
    assert told == []


def test_a_usual_panel_passes_every_rule() -> None:
    plan = small_plan(PANEL % ("100 mm", "100 mm", "8 mm"))
    assert [item.message for item in check_plan(plan, Solids(plan))] == []


@pytest.mark.parametrize(
    ("setting", "count"), [("fingers: 2", 1), ("fingers: 3", 0), ("fingers: 23", 1), ("fingers: 21", 0)]
)
def test_p120_fingers(setting: str, count: int) -> None:
    """Stock of 18 mm, 100 mm wide: 36 mm is twice, 4.5 mm a quarter of the thickness."""
    assert len(said(corners.fingers, box_plan(FINGERS % setting))) == count


@pytest.mark.parametrize(
    ("species", "slope", "words"),
    [
        ("white oak", 5, "steep"),
        ("white oak", 8, ""),
        ("white oak", 10, "slight"),
        ("eastern white pine", 4, "steep"),
        ("eastern white pine", 6, ""),
        ("eastern white pine", 8, "slight"),
        ("wood unheard of", 8, ""),
        ("wood unheard of", 4, "steep"),
    ],
)
def test_p121_slopes_go_by_the_wood(species: str, slope: int, words: str) -> None:
    plan = box_plan(DOVETAILS % f"slope: {slope}", stock=STOCK.replace("white oak", species))
    told = said(corners.dovetail_slopes, plan)
    assert ("".join(told).find(words) > 0) if words else not told


def test_p122_thin_pins() -> None:
    (told,) = said(corners.thin_pins, box_plan(DOVETAILS % "pin: 2 mm"))
    assert "pins between the tails" in told
    assert not said(corners.thin_pins, box_plan(DOVETAILS % "pin: 3 mm, fit: 0.1 mm"))


def test_p123_dovetails_in_plywood() -> None:
    sheet = STOCK.replace("form: board, species: white oak", "form: sheet, species: birch plywood")
    assert len(said(corners.dovetails_in_sheets, box_plan(DOVETAILS % "count: 2", stock=sheet))) == 1
    assert not said(corners.dovetails_in_sheets, box_plan(DOVETAILS % "count: 2"))


@pytest.mark.parametrize(("thickness", "count"), [("2 mm", 1), ("3 mm", 0), ("6 mm", 0), ("7 mm", 1)])
def test_p124_spline_thickness(thickness: str, count: int) -> None:
    plan = box_plan(SPLINED % f"depth: 5 mm, thickness: {thickness}")
    assert len(said(corners.spline_thickness, plan)) == count


def test_p125_wood_beside_a_spline() -> None:
    """By hand: a slot D deep and T wide at 45 degrees leaves (18 - (D + T)/sqrt 2) / 2 on either side."""
    assert len(said(corners.spline_walls, box_plan(SPLINED % "depth: 14 mm, room: 0 mm"))) == 1  # 2.6 mm
    assert not said(corners.spline_walls, box_plan(SPLINED % "depth: 12 mm, room: 0 mm"))  # 3.3 mm


def test_p126_shallow_splines_and_tongues() -> None:
    assert len(said(corners.shallow_strips, box_plan(SPLINED % "depth: 3 mm"))) == 1
    assert len(said(corners.shallow_strips, small_plan(PANEL % ("100 mm", "100 mm", "3 mm")))) == 1
    assert not said(corners.shallow_strips, box_plan(SPLINED % "depth: 4 mm"))


def test_p127_a_mitre_held_by_glue_alone() -> None:
    bare = "{kind: mitre, between: [long, short], glue: true}"
    assert len(said(corners.bare_mitres, box_plan(bare))) == 1
    pins = "  pins: {kind: dowel, between: [long, short], diameter: 6 mm, depth: 8 mm, depth_first: 8 mm, count: 2}\n"
    assert not said(corners.bare_mitres, box_plan(bare, pins))
    assert not said(corners.bare_mitres, box_plan(SPLINED % "depth: 6 mm"))


def test_p128_wide_boards_in_a_panel() -> None:
    told = said(corners.wide_strips, small_plan(PANEL % ("130 mm", "130 mm", "8 mm")))
    assert ["wide boards cup" in message for message in told] == [True, True]  # the outer boards, and the middle one
    assert not said(corners.wide_strips, small_plan(PANEL % ("120 mm", "120 mm", "8 mm")))
