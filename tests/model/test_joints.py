"""Joints and placements on small made-up plans: laps, wide notches, dowels, screws, handed parts."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planpress.base.diagnostics import PlanFaults
from planpress.geometry.solids import contact_area, overlap_volume
from planpress.model.records import Purpose, Side, SolvedPlan
from planpress.model.solids import Solids
from tests.plans import small_plan

STOCK = """
materials:
  stick: {form: board, species: white oak, thickness: 20 mm, width: 40 mm}
"""


def no_overlap(plan: SolvedPlan) -> Solids:
    """The plan's solids, none of which shares space with another."""
    solids = Solids(plan)
    for a, b in itertools.combinations(plan.pieces, 2):
        assert overlap_volume(solids.piece(a), solids.piece(b)) < 1e-6, (a, b)
    return solids


LATTICE = (
    STOCK
    + """
parts:
  slat:
    material: stick
    length: 600 mm
    place: {corner: [0 mm, row * 60 mm, 0 mm], length: +x, width: +z}
    repeat: {row: 4}
  bearer:
    material: stick
    length: 260 mm
    place: {corner: [100 mm + at, -30 mm, 0 mm], length: +y, width: +z}
    repeat: {at: [0 mm, 190 mm, 210 mm, 380 mm]}
joints:
  lattice: {kind: cross lap, between: [slat, bearer], glue: true}
  strips: {kind: butt, between: [bearer, bearer], glue: true}
"""
)


def test_two_strips_side_by_side_get_one_double_wide_notch() -> None:
    plan = small_plan(LATTICE)
    slat, bearer = plan.parts
    assert [(n.span, n.width, n.mates) for n in slat.notches] == [
        ((100, 120), 20, ("B",)),
        ((290, 330), 40, ("B", "B")),
        ((480, 500), 20, ("B",)),
    ]
    assert [n.width for n in bearer.notches] == [20] * 4
    assert bearer.count == 4
    no_overlap(plan)
    assert sum(1 for j in plan.joints if j.kind == "butt") == 1


def crossing(angle: int, fit: str = "0 mm", kind: str = "cross lap", extra: str = "") -> SolvedPlan:
    """Two sticks that cross at an angle in the level plane."""
    run, rise = 300 * math.cos(math.radians(angle)), 300 * math.sin(math.radians(angle))
    x, y = (f"{round(value * 1000)}/1000 * 1 mm" for value in (run, rise))
    return small_plan(
        STOCK
        + f"""
parts:
  upper:
    material: stick
    place: {{from: [-300 mm, 0 mm, 40 mm], to: [300 mm, 0 mm, 40 mm], width: +z}}
  lower:
    material: stick
    place: {{from: [-({x}), -({y}), 40 mm], to: [{x}, {y}, 40 mm], width: +z}}
joints:
  lap: {{kind: {kind}, between: [upper, lower], fit: {fit}, glue: true{extra}}}
"""
    )


@pytest.mark.parametrize("angle", [90, 75, 60, 45, 30])
@pytest.mark.parametrize("fit", ["0 mm", "0.2 mm"])
def test_cross_lap_straight_and_skewed(angle: int, fit: str) -> None:
    plan = crossing(angle, fit)
    solids = no_overlap(plan)
    floor = 20 * 20 / math.sin(math.radians(angle))
    upper, lower = (solids.piece(i) for i in plan.pieces)
    touching = contact_area(upper, lower)
    assert touching == pytest.approx(floor, rel=1e-4) if fit != "0 mm" else touching > floor
    for part in plan.parts:
        (notch,) = part.notches
        assert notch.depth == 20
        assert notch.width == 20 + Fraction(fit.split()[0])
        assert abs(notch.skew) == pytest.approx(90 - angle, abs=1e-3)
        # volume by hand: a sheared box, shoulder distance x depth x thickness / sin
        taken = float(notch.width) * 20 * 20 / math.sin(math.radians(angle))
        assert solids.part(part.letter).volume == pytest.approx(600 * 40 * 20 - taken, rel=1e-5)


def test_end_laps_share_the_depth_and_open_at_the_end() -> None:
    plan = small_plan(
        STOCK
        + """
parts:
  post: {material: stick, length: 300 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +z, width: +x}}
  rail: {material: stick, length: 200 mm, place: {corner: [0 mm, 0 mm, 260 mm], length: +x, width: +z}}
joints:
  corner: {kind: end lap, between: [rail, post], glue: true}
"""
    )
    post, rail = plan.parts
    (a,), (b,) = post.notches, rail.notches
    assert (a.depth, b.depth) == (10, 10)
    assert a.open_end is Side.FAR_END
    assert b.open_end is Side.NEAR_END
    assert (a.width, b.width) == (40, 40)
    solids = no_overlap(plan)
    first, second = (solids.piece(i) for i in plan.pieces)
    assert contact_area(first, second) >= 40 * 40


def test_depth_can_be_given_and_both_notches_add_up() -> None:
    plan = crossing(90, extra=", depth: 12 mm")
    depths = [part.notches[0].depth for part in plan.parts]
    assert depths == [12, 28]
    no_overlap(plan)


def test_a_lap_that_runs_along_is_refused() -> None:
    with pytest.raises(PlanFaults, match="run along each other"):
        crossing(0)


def test_a_joint_that_meets_nowhere_is_a_fault() -> None:
    body = LATTICE.replace("[100 mm + at, -30 mm, 0 mm]", "[100 mm + at, -30 mm, 400 mm]")
    with pytest.raises(PlanFaults, match="overlap anywhere"):
        small_plan(body)


MIRRORED = (
    STOCK
    + """
parts:
  brace: {material: stick, length: 300 mm, place: {corner: [50 mm, 0 mm, 0 mm], length: +x, width: +y}}
  cleat: {material: stick, length: 80 mm, place: {corner: [80 mm, 0 mm, 10 mm], length: +y, width: +x}}
assemblies:
  side:
    parts: [brace, cleat]
    place: [{}, {mirror: x}, {mirror: x, turn: 180 deg about z, at: [0 mm, 200 mm, 0 mm]}]
joints:
  lap: {kind: cross lap, between: [cleat, brace]}
"""
)


def test_a_mirrored_assembly_gives_handed_parts_only_where_they_differ() -> None:
    """A stick with one through lap off its middle is its own mirror image (turn it over): no hands; and no overlap."""
    plan = small_plan(MIRRORED)
    no_overlap(plan)
    assert [(p.name, p.count, p.hand) for p in plan.parts] == [("brace", 3, ""), ("cleat", 3, "")]


def test_a_skewed_notch_makes_hands() -> None:
    body = MIRRORED.replace(
        "cleat: {material: stick, length: 80 mm, place: {corner: [80 mm, 0 mm, 10 mm], length: +y, width: +x}}",
        "cleat: {material: stick, place: {from: [100 mm, -20 mm, 20 mm], to: [130 mm, 60 mm, 20 mm], width: +x}}",
    )
    plan = small_plan(body)
    no_overlap(plan)
    braces = [p for p in plan.parts if p.name == "brace"]
    assert [(p.label, p.count) for p in braces] == [("Brace, left-hand", 1), ("Brace, right-hand", 2)]
    assert braces[1].mirror_of == braces[0].letter


def test_blind_dowels_and_butt() -> None:
    plan = small_plan(
        STOCK
        + """
parts:
  side: {material: stick, length: 300 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +z, width: +y}}
  shelf: {material: stick, length: 250 mm, place: {corner: [20 mm, 0 mm, 100 mm], length: +x, width: +y}}
joints:
  dowels:
    {kind: dowel, between: [shelf, side], diameter: 8 mm, depth: 12 mm, depth_first: 20 mm, count: 2, glue: true}
"""
    )
    side, shelf = plan.parts
    assert [h.purpose for h in side.holes] == [Purpose.DOWEL] * 2
    assert {h.side for h in shelf.holes} == {Side.NEAR_END}
    assert [h.at for h in shelf.holes] == [(10, 10), (30, 10)]
    assert {h.depth for h in side.holes} == {12}
    assert {h.depth for h in shelf.holes} == {20}
    (dowel,) = plan.fasteners
    assert dowel.count == 2
    assert dowel.length == 12 + 20 - Fraction(254, 160)  # shorter than its holes, for glue and air
    no_overlap(plan)


@settings(max_examples=25, deadline=None)
@given(
    rows=st.integers(2, 6),
    pitch=st.integers(45, 90),
    proud=st.integers(5, 60),
    crossing_at=st.lists(st.integers(60, 480), min_size=1, max_size=3, unique=True),
)
def test_lattices_of_any_spacing_mate(rows: int, pitch: int, proud: int, crossing_at: list[int]) -> None:
    kept: list[int] = []
    for at in sorted(crossing_at):
        if not kept or at - kept[-1] > 25:
            kept.append(at)
    values = ", ".join(f"{at} mm" for at in kept)
    plan = small_plan(
        STOCK
        + f"""
parts:
  slat:
    material: stick
    length: 600 mm
    place: {{corner: [0 mm, row * {pitch} mm, 0 mm], length: +x, width: +z}}
    repeat: {{row: {rows}}}
  bearer:
    material: stick
    length: {(rows - 1) * pitch + 20 + 2 * proud} mm
    place: {{corner: [at, -{proud} mm, 0 mm], length: +y, width: +z}}
    repeat: {{at: [{values}]}}
joints:
  lattice: {{kind: cross lap, between: [slat, bearer]}}
"""
    )
    slat, bearer = plan.parts
    assert [n.span[0] for n in slat.notches] == kept
    assert [n.span[0] for n in bearer.notches] == [proud + pitch * k for k in range(rows)]
    no_overlap(plan)


SCREWED = (
    STOCK
    + """
parts:
  rail: {material: stick, length: 300 mm, place: {corner: [0 mm, 0 mm, 100 mm], length: +x, width: +z}}
  board: {material: stick, length: 120 mm, place: {corner: [AT, -20 mm, 140 mm], length: +y, width: +x}}
  post: {material: stick, length: 100 mm, place: {corner: [100 mm, 0 mm, 0 mm], length: +z, width: +x}}
joints:
  fixing: {kind: screw, through: rail, into: board, gauge: 8, length: 50 mm, head: countersunk, count: 1}
"""
)


def test_a_screw_stands_where_a_driver_reaches_it_or_is_a_fault() -> None:
    """A post under the rail stands in the way of a screw above it, and not of one beside it."""
    assert small_plan(SCREWED.replace("AT", "200 mm")).fasteners[0].count == 1
    with pytest.raises(PlanFaults, match=r"no driver reaches a screw in 'rail'"):
        small_plan(SCREWED.replace("AT", "100 mm"))


# --- words of laps ----------------------------------------------------------------------------------------------------


def two_sticks(kind: str, first: str, second: str, extra: str = "") -> SolvedPlan:
    """Two sticks placed as given, joined by a lap."""
    return small_plan(
        STOCK
        + f"""
planes: {{left: x = 0 mm, top: z = 300 mm}}
parts:
  rail: {{material: stick, {first}}}
  post: {{material: stick, {second}}}
joints:
  lap: {{kind: {kind}, between: [rail, post], glue: true{extra}}}
"""
    )


POST = "length: 300 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +z, width: +x}"
#: Rails across that post: past it in the middle, ending in the middle, past its end, ending at its end; all lying flat.
PAST = "length: 300 mm, place: {corner: [-100 mm, 0 mm, 100 mm], length: +x, width: +z}"
ENDING = "length: 200 mm, place: {corner: [0 mm, 0 mm, 100 mm], length: +x, width: +z}"
OVER = "length: 300 mm, place: {corner: [-100 mm, 0 mm, 260 mm], length: +x, width: +z}"
CORNER = "length: 200 mm, place: {corner: [0 mm, 0 mm, 260 mm], length: +x, width: +z}"


@pytest.mark.parametrize(
    ("kind", "rail"),
    [("cross lap", r) for r in (PAST, ENDING, OVER, CORNER)]
    + [("end lap", r) for r in (ENDING, OVER, CORNER)]
    + [("corner lap", CORNER)],
)
def test_laps_that_keep_their_word(kind: str, rail: str) -> None:
    plan = two_sticks(kind, rail, POST)
    solids = no_overlap(plan)
    first, second = (solids.piece(i) for i in plan.pieces)
    assert contact_area(first, second) >= 40 * 40
    assert {n.kind for p in plan.parts for n in p.notches} == {kind}
    assert all(solids.part(p.letter).volume == pytest.approx(float(p.length) * 800 - 16000) for p in plan.parts)


@pytest.mark.parametrize(
    ("kind", "rail", "says"),
    [
        ("end lap", PAST, "neither of them ends there, so it is a cross lap"),
        ("corner lap", PAST, "'rail' and 'post' go on beyond it, so it is a cross lap"),
        ("corner lap", ENDING, "'post' goes on beyond it, so it is an end lap"),
        ("corner lap", OVER, "'rail' goes on beyond it, so it is an end lap"),
        ("edge lap", PAST, "'rail' does not stand on edge there, so it is a cross lap"),
    ],
)
def test_a_lap_of_another_kind_is_told_its_name(kind: str, rail: str, says: str) -> None:
    with pytest.raises(PlanFaults, match=says):
        two_sticks(kind, rail, POST)


LEANING_RAIL = "place: {from: [-30 mm, 10 mm, FROM], to: [300 mm, 10 mm, TO], width: +z}, trim: {start: left}"


@pytest.mark.parametrize("rise", [30, 90, 190])
def test_a_skewed_end_lap(rise: int) -> None:
    """A rail that leans, its end flush with the post's edge."""
    rail = LEANING_RAIL.replace("FROM", "50 mm").replace("TO", f"{50 + rise} mm")
    plan = two_sticks("end lap", rail, POST)
    solids = no_overlap(plan)
    floor = 40 * 40 * math.hypot(330, rise) / 330
    notches = [n for p in plan.parts for n in p.notches]
    assert [n.depth for n in notches] == [10, 10]
    post = plan.part("B")
    assert abs(post.notches[0].skew) == pytest.approx(math.degrees(math.atan2(rise, 330)), abs=1e-6)
    assert solids.part("B").volume == pytest.approx(300 * 800 - 10 * floor, rel=1e-6)
    assert contact_area(solids.piece("rail"), solids.piece("post")) >= floor - 1e-3
    with pytest.raises(PlanFaults, match="so it is an end lap"):
        two_sticks("corner lap", rail, POST)


@pytest.mark.parametrize("rise", [-30, 60])
def test_a_skewed_corner_lap(rise: int) -> None:
    """Both end there: the rail at the post's left edge, the post within the rail's upper one, half of its width."""
    at = 300 - 20 * math.hypot(330, rise) / 330 - rise * 50 / 330  # the upper edge is level with the top in the middle
    start, stop = (f"{round((at + k * rise) * 1000)}/1000 * 1 mm" for k in (0, 1))
    plan = two_sticks("corner lap", LEANING_RAIL.replace("FROM", start).replace("TO", stop), POST)
    solids = no_overlap(plan)
    assert [n.open_end for p in plan.parts for n in p.notches] == [Side.NEAR_END, Side.FAR_END]
    assert contact_area(solids.piece("rail"), solids.piece("post")) > 0.8 * 40 * 40


@pytest.mark.parametrize("angle", [90, 60, 35])
def test_an_edge_lap_shares_the_width(angle: int) -> None:
    plan = crossing(angle, "0.2 mm", "edge lap")
    no_overlap(plan)
    assert {n.depth for p in plan.parts for n in p.notches} == {20}
    assert {n.side.axis for p in plan.parts for n in p.notches} == {1}
