"""Finger joints: every corner closes, whatever the count, width and fit."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planpress.base.diagnostics import PlanFaults
from planpress.geometry.solids import contact_area
from planpress.model.fingers import usual_fingers
from planpress.model.records import Side
from tests.model.boxes import STOCK, box_plan, corner_body, corner_plan, solids_without_overlap
from tests.plans import small_plan

STRIP = """
  strip:
    material: lath
    width: 20 mm
    length: 100 mm
    place: {corner: [90 mm + 40 mm * k, 13 mm + 126 mm * k, 0 mm], length: +z, width: +x}
    repeat: {k: 2}
"""
LEFT = "{corner: [0 mm, 0 mm, 0 mm], length: +y, width: +z}"
JOINT = "{kind: finger joint, between: [front, left], fingers: %s, fit: %s, glue: true}"


@pytest.mark.parametrize("turn", ["0 deg about z", "90 deg about z", "33 deg about z", "20 deg about x"])
@pytest.mark.parametrize("count", [2, 3, 4, 5, 8, 11])
def test_a_corner_without_fit_is_wood_all_over_and_touches_on_every_face(count: int, turn: str) -> None:
    plan = corner_plan(JOINT % (count, "0 mm"), turn=turn)
    front, left = solids_without_overlap(plan, 1e-4).values()
    # by hand: the corner, 18 x 18 x 100, belongs to one of both
    assert front.volume + left.volume == pytest.approx(18 * 100 * (240 + 160 - 18), rel=1e-9)
    outer = math.ceil(count / 2) * 100 / count  # mm of the width that the first board's fingers take
    assert front.volume == pytest.approx(18 * 100 * (240 - 18) + 18 * 18 * outer, rel=1e-9)
    # glue faces by hand: a wall between each two fingers, and the floors of all slots of both boards
    assert contact_area(front, left) == pytest.approx((count - 1) * 18 * 18 + 18 * 100, rel=1e-6)
    first, second = plan.parts
    assert [len(first.notches), len(second.notches)] == [count // 2, math.ceil(count / 2)]
    assert {n.open_end for n in first.notches} == {Side.NEAR_END}
    assert {n.depth for p in plan.parts for n in p.notches} == {18}


@settings(max_examples=60, deadline=None)
@given(
    count=st.integers(2, 40),
    width=st.integers(300, 3000),
    second_width=st.integers(300, 3000),
    thick=st.integers(40, 300),
    second_thick=st.integers(40, 300),
    fit=st.integers(0, 20),
)
def test_fingers_close_at_any_width_and_thickness(
    count: int, width: int, second_width: int, thick: int, second_thick: int, fit: int
) -> None:
    """Tenths of millimetres; boards of unequal width share what they have in common."""
    mm = [f"{value} * 0.1 mm" for value in (width, second_width, thick, second_thick)]
    plan = corner_plan(
        JOINT % (count, f"{fit} * 0.01 mm"), width=mm[0], second_width=mm[1], thick=mm[2], second_thick=mm[3]
    )
    front, left = solids_without_overlap(plan).values()
    shared = Fraction(min(width, second_width), 10)
    t1, t2 = thick / 10, second_thick / 10
    whole = 240 * width / 10 * t1 + 160 * second_width / 10 * t2 - t1 * t2 * float(shared)
    gaps = (count - 1) * fit / 100 / 2 * t1 * t2  # each wall opens by half the fit, in all
    assert front.volume + left.volume == pytest.approx(whole - gaps, rel=1e-9)
    # the slots and fingers of one board together are the shared width
    for part in plan.parts:
        taken = sum((n.across[1] - n.across[0] for n in part.notches), Fraction(0))
        assert 0 < taken < shared
    first, second = plan.parts
    cut = sum((n.across[1] - n.across[0] for p in plan.parts for n in p.notches), Fraction(0))
    assert cut == shared + (count - 1) * Fraction(fit, 200)
    assert min(n.across[0] for n in second.notches) == 0  # the first board has the lowest finger
    assert max(n.across[1] for n in (first if count % 2 == 0 else second).notches) == shared


def test_the_fit_is_the_play_of_an_inner_finger() -> None:
    plan = corner_plan(JOINT % (5, "0.2 mm"))
    front, left = plan.parts
    slot, lower = front.notches[0], left.notches[0]
    finger = left.notches[1].across[0] - lower.across[1]
    assert slot.width - finger == slot.fit == Fraction(1, 5)
    assert (lower.across[0], lower.fit) == (0, Fraction(1, 10))  # flush outside, play at one wall


def test_a_box_is_made_of_two_kinds_of_boards() -> None:
    for count in (4, 5):
        plan = box_plan(f"{{kind: finger joint, between: [long, short], fingers: {count}, glue: true}}")
        solids_without_overlap(plan)
        assert [(p.name, p.count, len(p.notches)) for p in plan.parts] == [
            ("long", 2, 2 * (count // 2)),
            ("short", 2, 2 * math.ceil(count / 2)),
        ]
        assert len(plan.joints) == 4


def test_a_cut_on_the_inside_does_not_make_front_and_back_two_parts() -> None:
    """The long boards lie with unlike faces outwards; a strip let into the inside of both, alike when turned about."""
    strips = """  let_in: {kind: cross lap, between: [strip, long], let_into: long}
"""
    stock = STOCK.replace(
        "materials:", "materials:\n  lath: {form: board, species: beech, thickness: 8 mm, width: 20 mm}"
    )
    plan = box_plan("{kind: finger joint, between: [long, short], glue: true}", strips, stock, STRIP)
    solids_without_overlap(plan)
    assert [(p.name, p.count, len(p.notches)) for p in plan.parts] == [("long", 2, 5), ("short", 2, 6), ("strip", 2, 0)]


@pytest.mark.parametrize(
    ("width", "thickness", "count"), [(100, 18, 5), (90, 18, 5), (60, 6, 11), (60, 18, 3), (72, 18, 5), (30, 20, 3)]
)
def test_usual_fingers_are_about_as_wide_as_the_stock_is_thick(width: int, thickness: int, count: int) -> None:
    assert usual_fingers(Fraction(width), Fraction(thickness)) == count


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("0 mm, 0 mm], length: +y", "5 mm, 0 mm], length: +y", "flush with the outside"),
        (LEFT, "{from: [9 mm, 0 mm, 50 mm], to: [90 mm, 160 mm, 50 mm], width: +z}", "right angles"),
        (LEFT, "{from: [9 mm, 0 mm, 50 mm], to: [9 mm, 160 mm, 50 mm], width: +x}", "no end of"),
        ("length: +y, width: +z", "length: +x, width: +z", "run along each other"),
        ("fingers: 5", "fingers: 1", "at least 2"),
        ("fit: 0 mm", "fit: 40 mm", "leaves nothing"),
        ("0 mm, 0 mm], length: +y", "400 mm, 0 mm], length: +y", "overlap anywhere"),
    ],
)
def test_corners_that_cannot_be_cut(old: str, new: str, message: str) -> None:
    body = corner_body(JOINT % (5, "0 mm"))
    assert old in body
    if "from" in new:
        body = body.replace("    length: 160 mm\n", "")
    with pytest.raises(PlanFaults, match=message):
        small_plan(body.replace(old, new))
