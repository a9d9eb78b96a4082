"""Through dovetails close with any count, width, slope and thickness."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from planpress.base.diagnostics import PlanFaults
from planpress.geometry.solids import contact_area
from planpress.model.dovetails import usual_pin, usual_tails
from planpress.model.records import Side, SolvedPlan
from tests.model.boxes import STOCK, box_plan, corner_body, corner_plan, solids_without_overlap
from tests.plans import small_plan

JOINT = "{kind: dovetail, tails: front, pins: left, %s, glue: true}"


@pytest.mark.parametrize("turn", ["0 deg about z", "90 deg about z", "33 deg about z", "20 deg about x"])
@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_a_corner_without_fit_is_wood_all_over_and_touches_on_every_face(count: int, turn: str) -> None:
    plan = corner_plan(JOINT % f"count: {count}, slope: 8, pin: 6 mm", turn=turn, second_thick="12 mm")
    front, left = solids_without_overlap(plan, 1e-4).values()
    assert front.volume + left.volume == pytest.approx(100 * (240 * 18 + 160 * 12 - 18 * 12), rel=1e-9)
    # by hand: pins of 6 mm at the outside and 6 + 2 x 12/8 = 9 mm at the inside, a half pin has one slanting side
    pins = (count - 1) * 7.5 + 2 * 6.75
    assert front.volume == pytest.approx(100 * 240 * 18 - 18 * 12 * pins, rel=1e-9)
    # by hand: two slanting walls a tail, 12 x sqrt(1 + 1/64) by 18; floors of both boards' sockets
    walls = 2 * count * 18 * 12 * math.hypot(1, 1 / 8)
    floors = 18 * (2 * 7.5 + (count - 1) * 9) + 12 * (100 - pins)
    assert contact_area(front, left) == pytest.approx(walls + floors, rel=1e-6)
    tails, pin_board = plan.parts
    assert {n.open_end for n in tails.notches} == {Side.NEAR_END}
    assert {n.side for n in pin_board.notches} == {Side.NEAR_END}
    assert [len(tails.notches), len(pin_board.notches)] == [count + 1, count]


@settings(max_examples=60, deadline=None)
@given(
    count=st.integers(1, 20),
    width=st.integers(400, 4000),
    second_width=st.integers(400, 4000),
    thick=st.integers(40, 300),
    second_thick=st.integers(40, 300),
    pin=st.integers(20, 200),
    slope=st.integers(3, 12),
    fit=st.integers(0, 20),
)
def test_dovetails_close_at_any_width_and_thickness(
    count: int, width: int, second_width: int, thick: int, second_thick: int, pin: int, slope: int, fit: int
) -> None:
    shared, flare = Fraction(min(width, second_width), 10), Fraction(second_thick, 10 * slope)
    tail = (shared - Fraction(pin, 10) * (count + 1)) / count
    assume(tail - 2 * flare > 2)
    mm = [f"{value} * 0.1 mm" for value in (width, second_width, thick, second_thick)]
    plan = corner_plan(
        JOINT % f"count: {count}, slope: {slope}, pin: {pin} * 0.1 mm, fit: {fit} * 0.01 mm",
        width=mm[0],
        second_width=mm[1],
        thick=mm[2],
        second_thick=mm[3],
    )
    front, left = solids_without_overlap(plan).values()
    t1, t2 = thick / 10, second_thick / 10
    whole = 240 * width / 10 * t1 + 160 * second_width / 10 * t2 - t1 * t2 * float(shared)
    gaps = 2 * count * fit / 100 / 2 * t1 * t2
    assert front.volume + left.volume == pytest.approx(whole - gaps, rel=1e-9)
    tails, pins = plan.parts
    taken = sum((n.width for n in tails.notches), Fraction(0)) + tail * count
    assert taken == shared + Fraction(fit, 100) * count / 2
    assert min(n.width for n in pins.notches) == tail - 2 * flare + Fraction(fit, 200)


def test_dovetail_slope_is_the_published_angle() -> None:
    """1 : 6, 1 : 8: 9.46 and 7.13 degrees (arctangent)."""
    for slope, degrees in ((6, 9.462), (8, 7.125)):
        plan = corner_plan(JOINT % f"slope: {slope}")
        (u0, v0), (u1, v1) = plan.parts[0].notches[1].outline[:2]
        assert math.degrees(math.atan(abs(float((v1 - v0) / (u1 - u0))))) == pytest.approx(degrees, abs=5e-4)


def slope_of(plan: SolvedPlan) -> Fraction:
    """n of 1 : n of the plan's first socket between two tails."""
    socket = next(n for n in plan.parts[0].notches if n.across[0] > 0)
    (u0, v0), (u1, v1) = socket.outline[:2]
    return abs((u1 - u0) / (v1 - v0))


@pytest.mark.parametrize(
    ("species", "slope"), [("white oak", 8), ("eastern white pine", 6), ("some wood of the south", 7)]
)
def test_slope_goes_by_the_wood(species: str, slope: int) -> None:
    assert slope_of(corner_plan(JOINT % "fit: 0 mm", stock=STOCK.replace("white oak", species))) == slope


def test_a_box_is_made_of_two_kinds_of_boards_and_closes_by_the_pins() -> None:
    for count in (1, 2, 3):
        plan = box_plan(f"{{kind: dovetail, tails: short, pins: long, count: {count}, fit: 0.1 mm, glue: true}}")
        solids_without_overlap(plan)
        assert [(p.name, p.count) for p in plan.parts] == [("long", 2), ("short", 2)]
        # the tails board comes down along the length of the pins board
        assert all(abs(place.direction[0]) == 1 for place in plan.joints)


@pytest.mark.parametrize(("width", "thickness"), [(100, 18), (60, 12), (200, 12), (40, 18), (400, 20)])
def test_usual_tails_are_wider_than_pins(width: int, thickness: int) -> None:
    thick, slope = Fraction(thickness), Fraction(8)
    pin = usual_pin(thick, slope)
    assert pin + thick / slope == thick / 2  # a half pin's wide side
    count = usual_tails(Fraction(width), thick, pin, slope)
    tail = (width - pin * (count + 1)) / count
    assert tail - 2 * thick / slope >= pin
    assert 1.5 <= (width / count) / thick <= 4


@pytest.mark.parametrize(
    ("settings_", "message"),
    [
        ("count: 30", "take fewer tails"),
        ("slope: 0", "is no dovetail"),
        ("pin: 0.5 mm", "too thin to cut"),
        ("pin: 0 mm", "must be positive"),
        ("count: 5/2", "whole number"),
    ],
)
def test_dovetails_that_cannot_be_cut(settings_: str, message: str) -> None:
    with pytest.raises(PlanFaults, match=message):
        small_plan(corner_body(JOINT % settings_))
