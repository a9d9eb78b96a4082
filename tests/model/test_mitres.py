"""Mitres of frames, boxes and leaning sides, with and without splines."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from planpress.base.diagnostics import PlanFaults
from planpress.geometry.solids import contact_area
from planpress.model.records import Side, SolvedPlan
from planpress.model.solids import Solids
from tests.model.boxes import STOCK, box_plan, corner_body, corner_plan, solids_without_overlap
from tests.plans import small_plan

SPLINE = ", spline: {material: ply, depth: 6 mm, room: %s}"
MITRE = "{kind: mitre, between: [front, left]%s, fit: %s, glue: true}"


def frame_plan(
    extra: str = "", stile: str = "40 mm", rail: str = "40 mm", fit: str = "0 mm", turn: str = "0"
) -> SolvedPlan:
    """A flat frame of centre lines that meet in its corners, 300 x 200 mm along them, lying on the floor."""
    return small_plan(
        STOCK
        + f"""
parts:
  rail:
    material: board
    width: {rail}
    place: {{from: [0 mm, at, 9 mm], to: [300 mm, at, 9 mm], width: +y}}
    repeat: {{at: [0 mm, 200 mm]}}
  stile:
    material: board
    width: {stile}
    place: {{from: [at, 0 mm, 9 mm], to: [at, 200 mm, 9 mm], width: +x}}
    repeat: {{at: [0 mm, 300 mm]}}
assemblies:
  frame: {{parts: [rail, stile], place: [{{turn: {turn} deg about x}}]}}
joints:
  corner: {{kind: mitre, between: [rail, stile]{extra}, fit: {fit}, glue: true}}
"""
    )


@pytest.mark.parametrize("turn", ["0", "37"])
def test_a_frame_by_centre_lines_has_its_full_outer_size(turn: str) -> None:
    plan = frame_plan(turn=turn)
    solids = solids_without_overlap(plan, 1e-4)
    assert [(p.name, p.count, p.length) for p in plan.parts] == [("rail", 2, 340), ("stile", 2, 240)]
    assert {(abs(e.mitre), e.bevel) for p in plan.parts for e in p.ends} == {(45, 0)}
    total = sum(solid.volume for solid in solids.values())
    assert total == pytest.approx(18 * (340 * 240 - 260 * 160), rel=1e-9)
    (face, *others) = [contact_area(solids[j.first], solids[j.second]) for j in plan.joints]
    assert face == pytest.approx(40 * math.sqrt(2) * 18, rel=1e-6)
    assert len(others) == 3


def test_members_of_unlike_width_meet_from_corner_to_corner() -> None:
    """By hand: the mitre runs over 60 along the rail and 40 along the stile, arctan(60/40) from square on the rail."""
    plan = frame_plan(stile="60 mm")
    solids = solids_without_overlap(plan, 1e-4)
    rail, stile = plan.parts
    assert float(abs(rail.ends[0].mitre)) == pytest.approx(math.degrees(math.atan2(60, 40)), abs=1e-6)
    assert float(abs(stile.ends[0].mitre)) == pytest.approx(math.degrees(math.atan2(40, 60)), abs=1e-6)
    total = sum(solid.volume for solid in solids.values())
    assert total == pytest.approx(18 * (360 * 240 - 240 * 160), rel=1e-9)
    place = plan.joints[0]
    assert contact_area(solids[place.first], solids[place.second]) == pytest.approx(18 * math.hypot(60, 40), rel=1e-6)


@pytest.mark.parametrize("sides", [3, 5, 6, 8])
def test_frames_of_any_number_of_sides(sides: int) -> None:
    """Published: each end is cut at 180/n degrees from square."""
    points = [
        (round(200 * math.cos(2 * math.pi * k / sides), 6), round(200 * math.sin(2 * math.pi * k / sides), 6))
        for k in range(sides + 1)
    ]
    parts = ""
    for k, ((a, b), (c, d)) in enumerate(itertools.pairwise(points)):
        width = "+y" if abs(d - b) < abs(c - a) else "+x"
        line = f"{{from: [{a} mm, {b} mm, 6 mm], to: [{c} mm, {d} mm, 6 mm], width: {width}}}"
        parts += f"\n  side{k}: {{material: thin, width: 30 mm, place: {line}}}"
    joints = "".join(
        f"\n  c{k}: {{kind: mitre, between: [side{k}, side{(k + 1) % sides}], glue: true}}" for k in range(sides)
    )
    plan = small_plan(f"{STOCK}\nparts:{parts}\njoints:{joints}\n")
    solids = solids_without_overlap(plan, 1e-2)
    angles = {round(float(abs(e.mitre)), 4) for p in plan.parts for e in p.ends}
    assert angles == {round(180 / sides, 4)}
    side = 400 * math.sin(math.pi / sides)
    assert sum(s.volume for s in solids.values()) == pytest.approx(sides * side * 30 * 12, rel=1e-5)
    for place in plan.joints:
        touching = contact_area(solids[place.first], solids[place.second], 1e-3)
        assert touching == pytest.approx(12 * 30 / math.cos(math.pi / sides), rel=1e-3)


def test_upright_mitres_of_a_box() -> None:
    plan = box_plan("{kind: mitre, between: [long, short], glue: true}")
    solids = solids_without_overlap(plan)
    assert [(p.name, p.count, p.length) for p in plan.parts] == [("long", 2, 240), ("short", 2, 160)]
    assert {(e.mitre, abs(e.bevel)) for p in plan.parts for e in p.ends} == {(0, 45)}
    total = sum(solid.volume for solid in solids.values())
    assert total == pytest.approx(100 * (240 * 160 - 204 * 124), rel=1e-9)


@pytest.mark.parametrize("lean", [5, 15, 30])
def test_leaning_sides_get_the_published_compound_setting(lean: int) -> None:
    """Exact formulas for a box of n sides at a slope S from level: tan(gauge) = cos(S) tan(180/n), and
    sin(tilt) = sin(S) sin(180/n); here n = 4 and S = 90 - lean."""
    plan = small_plan(
        STOCK
        + f"""
parts:
  front: {{material: board, length: 300 mm, place: {{corner: [-150 mm, 0 mm, 0 mm], length: +x, width: +z}}}}
  right: {{material: board, length: 240 mm, place: {{corner: [-18 mm, -120 mm, 0 mm], length: +y, width: +z}}}}
assemblies:
  a: {{parts: [front], place: [{{turn: {lean} deg about x, at: [0 mm, -120 mm, 0 mm]}}]}}
  b: {{parts: [right], place: [{{turn: {lean} deg about y, at: [150 mm, 0 mm, 0 mm]}}]}}
joints:
  corner: {{kind: mitre, between: [front, right], glue: true}}
"""
    )
    solids = solids_without_overlap(plan, 1e-3)
    slope = math.radians(90 - lean)
    for part, side in zip(plan.parts, (Side.FAR_END, Side.NEAR_END), strict=True):
        end = part.ends[side is Side.FAR_END]
        u, v, w = (float(c) for c in end.normal)
        assert abs(v / u) == pytest.approx(math.cos(slope), abs=1e-9)
        assert abs(w) == pytest.approx(math.sin(slope) * math.sin(math.pi / 4), abs=1e-9)
        place = plan.joints[0]
        touching = contact_area(solids[place.first], solids[place.second])
        assert touching == pytest.approx(18 * 100 / abs(u), rel=1e-6)


@pytest.mark.parametrize("turn", ["0 deg about z", "33 deg about z", "20 deg about x"])
@pytest.mark.parametrize("thick", ["18 mm", "12 mm"])
def test_an_upright_spline_fills_its_slots(turn: str, thick: str) -> None:
    bare = corner_plan(MITRE % ("", "0 mm"), turn=turn, second_thick=thick)
    plan = corner_plan(MITRE % (SPLINE % "0 mm", "0 mm"), turn=turn, second_thick=thick)
    solids = solids_without_overlap(plan, 1e-3)
    wood = sum(s.volume for s in solids_without_overlap(bare, 1e-3).values())
    assert sum(s.volume for s in solids.values()) == pytest.approx(wood, rel=1e-9)
    front, left, spline = solids.values()
    for member in (front, left):  # two broad sides and the floor
        assert contact_area(spline, member) == pytest.approx(100 * (2 * 6 + 4), rel=1e-5)
    part = plan.parts[2]
    assert (part.label, part.name, part.length, part.width, part.thickness) == ("Spline", "corner spline", 12, 100, 4)
    assert part.pieces == ("corner spline (box.front, box.left)",)
    assert part.pieces[0] in plan.assemblies[0].pieces
    assert {n.role for p in plan.parts[:2] for n in p.notches} == {"slot"}
    assert {n.mates for p in plan.parts[:2] for n in p.notches} == {(part.letter,)}
    seats = [j for j in plan.joints if j.kind == "spline"]
    assert [(j.first, j.second) for j in seats] == [(part.pieces[0], "box.front"), (part.pieces[0], "box.left")]


def test_an_upright_spline_lies_as_far_from_both_faces() -> None:
    plan = corner_plan(MITRE % (SPLINE % "0 mm", "0 mm"))
    (notch,) = plan.parts[0].notches
    assert float(notch.across[0]) == pytest.approx(float(18 - notch.across[1]), abs=1e-9)
    assert abs(notch.skew) == 45
    assert notch.open_end is Side.NEAR_END


@pytest.mark.parametrize("turn", ["0", "37"])
def test_a_spline_across_a_frame_fills_its_slots_and_is_trimmed_flush(turn: str) -> None:
    wood = sum(s.volume for s in solids_without_overlap(frame_plan(turn=turn), 1e-3).values())
    plan = frame_plan(SPLINE % "0 mm", turn=turn)
    solids = solids_without_overlap(plan, 1e-3)
    assert sum(s.volume for s in solids.values()) == pytest.approx(wood, rel=1e-9)
    rail, stile, spline = plan.parts
    assert [(p.name, p.count) for p in plan.parts] == [("rail", 2), ("stile", 2), ("corner spline", 4)]
    assert (spline.length, spline.thickness) == (12, 4)
    assert float(spline.width) == pytest.approx(40 * math.sqrt(2) + 6)  # to the hollow of the inner corner
    assert {n.start for p in (rail, stile) for n in p.notches} == {7}
    mitre = 40 * math.sqrt(2)
    for place in plan.joints:
        if place.kind == "spline":  # broad sides, which run back by the depth at 45 degrees at both corners, and floor
            touching = contact_area(solids[place.first], solids[place.second])
            assert touching == pytest.approx(2 * 6 * mitre + 4 * mitre, rel=1e-5)


@settings(max_examples=40, deadline=None)
@given(
    thick=st.integers(60, 300), other=st.integers(60, 300), depth=st.integers(10, 150), strip=st.integers(10, 80),
    fit=st.integers(0, 20), room=st.integers(0, 20),
)  # fmt: skip
def test_splines_of_any_size_fit_or_are_refused(
    thick: int, other: int, depth: int, strip: int, fit: int, room: int
) -> None:
    spline = f", spline: {{material: ply, thickness: {strip}*0.1 mm, depth: {depth}*0.1 mm, room: {room}*0.1 mm}}"
    joint = MITRE % (spline, f"{fit}*0.01 mm")
    face = math.hypot(thick, other) / 10
    deep, wide = (depth + room) / 10, strip / 10 + fit / 100
    back = [deep * thick / other, deep * other / thick]
    middle = (face - sum(back) / 2) / 2
    fits = middle - wide / 2 > 1e-6 and middle + wide / 2 < face - max(back) - 1e-6
    assume(abs(middle - wide / 2) > 1e-3 and abs(middle + wide / 2 - face + max(back)) > 1e-3)
    if not fits:
        with pytest.raises(PlanFaults, match="leaves no wood beside its slot"):
            corner_plan(joint, thick=f"{thick}*0.1 mm", second_thick=f"{other}*0.1 mm")
        return
    plan = corner_plan(joint, thick=f"{thick}*0.1 mm", second_thick=f"{other}*0.1 mm")
    front, left, spline_solid = solids_without_overlap(plan, 1e-3).values()
    wood = 100 * (240 * thick + 160 * other - thick * other / 10) / 10
    slots = 2 * 100 * deep * wide
    assert front.volume + left.volume == pytest.approx(wood - slots, rel=1e-9)
    assert spline_solid.volume == pytest.approx(2 * depth / 10 * strip / 10 * 100, rel=1e-9)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("length: +y, width: +z", "length: +x, width: +z", "run along each other"),
        ("corner: [0 mm, 0 mm, 0 mm], length: +y", "corner: [100 mm, -60 mm, 0 mm], length: +y", "meet in a corner"),
        ("corner: [0 mm, 0 mm, 0 mm], length: +y", "corner: [0 mm, 400 mm, 0 mm], length: +y", "touch anywhere"),
        ("depth: 6 mm", "depth: 22 mm", "leaves no wood"),
        ("depth: 6 mm", "depth: -6 mm", "must be positive"),
        ("room: 0 mm", "room: -1 mm", "must not be negative"),
    ],
)
def test_mitres_that_cannot_be_cut(old: str, new: str, message: str) -> None:
    body = corner_body(MITRE % (SPLINE % "0 mm", "0 mm"))
    assert old in body
    with pytest.raises(PlanFaults, match=message):
        small_plan(body.replace(old, new))


def test_the_room_of_a_slot_is_usual_for_its_units() -> None:
    plan = corner_plan(MITRE % (", spline: {material: ply, depth: 6 mm}", "0 mm"))
    (u0, w0), (u1, w1) = plan.parts[0].notches[0].outline[:2]
    deep = math.hypot(float(u1 - u0), float(w1 - w0))
    assert deep == pytest.approx(6 + float(Fraction(254, 320)))


def test_dowels_in_a_mitre_stand_square_to_it() -> None:
    """By hand: every hole takes a cylinder of 6 mm, 8 mm deep, out of a member."""
    bare = "{kind: mitre, between: [long, short], glue: true}"
    pins = "  pins: {kind: dowel, between: [long, short], diameter: 6 mm, depth: 8 mm, depth_first: 8 mm, count: 2}\n"
    plain, pinned = box_plan(bare), box_plan(bare, pins)
    before, after = Solids(plain), Solids(pinned)
    for part in pinned.parts:
        assert len(part.holes) == 4
        taken = before.part(part.letter).volume - after.part(part.letter).volume
        assert taken == pytest.approx(4 * math.pi * 9 * 8, rel=0.02)  # the round as a polygon
