"""Housings, rabbets and grooves on small plans: straight, turned and leaning; through and stopped.

Volumes are checked by hand arithmetic or with shapely (areas of polygons), contact and overlap on the solids.
"""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import box

from planpress.base.diagnostics import PlanFaults, Severity
from planpress.checks import check_plan
from planpress.geometry.solids import contact_area, overlap_volume
from planpress.model.records import Notch, Part, Purpose, Side, SolvedPlan
from planpress.model.solids import Solids
from tests.plans import small_plan

STOCK = """
materials:
  oak: {form: board, species: white oak, thickness: 20 mm, width: 100 mm}
  ply: {form: sheet, species: birch plywood, thickness: 18 mm}
  thin: {form: sheet, species: birch plywood, thickness: 6 mm}
"""


def sound(plan: SolvedPlan) -> Solids:
    """The plan's solids: none shares space with another, and the rules find no error."""
    solids = Solids(plan)
    for a, b in itertools.combinations(plan.pieces, 2):
        assert overlap_volume(solids.piece(a), solids.piece(b)) < 1e-3, (a, b)
    assert [d.message for d in check_plan(plan, solids) if d.severity is Severity.ERROR] == []
    return solids


def taken(plan: SolvedPlan, solids: Solids, letter: str) -> float:
    """Wood (mm3) that joints take out of a part with square ends."""
    part = plan.part(letter)
    return float(part.length * part.width * part.thickness) - solids.part(letter).volume


def floor_contact(plan: SolvedPlan, solids: Solids, row: int = 0) -> float:
    """Area (mm2) over which the two members of a joint touch."""
    place = plan.joints[row]
    return contact_area(solids.piece(place.first), solids.piece(place.second))


def only(part: Part, role: str) -> Notch:
    """The one cut of a part that has a role."""
    (found,) = [n for n in part.notches if n.role == role]
    return found


# --- housings ---------------------------------------------------------------------------------------------------------

SHELF = (
    STOCK
    + """
parts:
  side: {material: ply, length: 600 mm, width: 250 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +z, width: +y}}
  shelf: {material: ply, length: 400 mm, width: 250 mm, place: {corner: [12 mm, 0 mm, UP], length: +x, width: +y}}
joints:
  shelf_in_side: {kind: KIND, let_in: shelf, into: side, glue: trueEXTRA}
"""
)


def shelf(kind: str = "housing", extra: str = "", up: str = "300 mm") -> SolvedPlan:
    """A plywood shelf that reaches 6 mm into a side."""
    return small_plan(SHELF.replace("KIND", kind).replace("EXTRA", extra).replace("UP", up))


def test_through_housing() -> None:
    plan = shelf()
    solids = sound(plan)
    side, board = plan.parts
    notch = only(side, "housing")
    assert (notch.depth, notch.width, notch.mates, notch.mate_size) == (6, 18, ("B",), "thickness")
    assert (notch.span, notch.across, notch.open_end) == ((300, 318), (0, 250), None)
    assert board.notches == ()
    assert taken(plan, solids, "A") == pytest.approx(18 * 250 * 6)
    assert floor_contact(plan, solids) == pytest.approx(250 * (18 + 6 + 6))  # floor and both walls
    assert plan.joints[0].direction == (-1, 0, 0)


def test_fit_widens_across_only() -> None:
    plan = shelf(extra=", fit: 0.2 mm, stop: {-y: 20 mm, +y: 15 mm}")
    sound(plan)
    notch = only(plan.parts[0], "housing")
    assert notch.width == Fraction(182, 10)
    assert notch.span == (300 - Fraction(1, 10), 318 + Fraction(1, 10))
    assert notch.across == (20, 235)


@pytest.mark.parametrize(("stop", "across", "corner"), [("-y", (20, 250), (0, 20)), ("+y", (0, 230), (230, 250))])
def test_stopped_housing_and_the_corner_that_clears_it(
    stop: str, across: tuple[int, int], corner: tuple[int, int]
) -> None:
    plan = shelf(extra=f", stop: {{{stop}: 20 mm}}")
    solids = sound(plan)
    side, board = plan.parts
    assert only(side, "housing").across == across
    cut = only(board, "corner")
    assert (cut.side, cut.depth, cut.span, cut.across, cut.open_end) == (Side.FACE, 18, (0, 6), corner, Side.NEAR_END)
    assert taken(plan, solids, "A") == pytest.approx(18 * 230 * 6)
    assert taken(plan, solids, "B") == pytest.approx(18 * 20 * 6)


def test_a_shelf_narrower_than_the_side_stops_by_itself() -> None:
    plan = small_plan(
        SHELF.replace("KIND", "housing")
        .replace("EXTRA", "")
        .replace(
            "width: 250 mm, place: {corner: [12 mm, 0 mm, UP]", "width: 200 mm, place: {corner: [12 mm, 30 mm, 9 mm]"
        )
    )
    solids = sound(plan)
    assert only(plan.parts[0], "housing").across == (30, 230)
    assert taken(plan, solids, "A") == pytest.approx(18 * 200 * 6)


ROLLED = (
    STOCK
    + """
parts:
  side: {material: ply, length: 600 mm, width: 250 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +z, width: +y}}
  shelf: {material: ply, length: 400 mm, width: 200 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +x, width: +y}}
assemblies:
  tray: {parts: [shelf], place: [{at: [12 mm, AT mm, 300 mm], turn: ANGLE deg about x}]}
joints:
  rolled: {kind: housing, let_in: shelf, into: side, glue: trueEXTRA}
"""
)


def rolled(angle: int, at: int, extra: str = "") -> SolvedPlan:
    """A shelf turned about its own length, so that its housing lies skewed."""
    return small_plan(ROLLED.replace("AT", str(at)).replace("ANGLE", str(angle)).replace("EXTRA", extra))


@pytest.mark.parametrize("angle", [5, 20, 45, -30])
@pytest.mark.parametrize("at", [40, -25])
def test_a_turned_shelf_gives_a_skewed_housing(angle: int, at: int) -> None:
    plan = rolled(angle, at)
    solids = sound(plan)
    seen = affinity.translate(affinity.rotate(box(0, 0, 200, 18), angle, origin=(0, 0)), at, 300)
    area = seen.intersection(box(0, 0, 250, 600)).area
    notch = only(plan.parts[0], "housing")
    assert abs(notch.skew) == pytest.approx(abs(angle), abs=1e-6)
    assert notch.width == 18
    assert taken(plan, solids, "A") == pytest.approx(area * 6, rel=1e-6)
    assert floor_contact(plan, solids) == pytest.approx(area, rel=1e-6) or floor_contact(plan, solids) > area


@pytest.mark.parametrize("angle", [20, -30])
def test_a_turned_shelf_can_be_stopped(angle: int) -> None:
    plan = rolled(angle, -10, ", stop: {-y: 20 mm}")
    solids = sound(plan)
    seen = affinity.translate(affinity.rotate(box(0, 0, 200, 18), angle, origin=(0, 0)), -10, 300)
    assert taken(plan, solids, "A") == pytest.approx(seen.intersection(box(20, 0, 250, 600)).area * 6, rel=1e-6)
    assert taken(plan, solids, "B") == pytest.approx(seen.intersection(box(0, 0, 20, 600)).area * 6, rel=1e-6)
    assert only(plan.parts[1], "corner").side is Side.NEAR_END


LEANING = (
    STOCK
    + """
planes: {inner: x = 12 mm}
parts:
  side: {material: ply, length: 600 mm, width: 250 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +z, width: +y}}
  shelf:
    {material: ply, width: 200 mm, place: {from: [START mm, BACK, 300 mm], to: [400 mm, OVER, TO], width: +y}TRIM}
joints:
  leaning: {kind: housing, let_in: shelf, into: side, glue: trueEXTRA}
"""
)


def leaning(
    rise: int, over: int = 125, trim: str = ", trim: {start: inner}", extra: str = "", start: int = -10
) -> SolvedPlan:
    """A shelf that rises (and runs over to one side) from its housing; its end is cut parallel to the side."""
    body = LEANING.replace("TO]", f"{300 + rise} mm]").replace("OVER", f"{over} mm").replace("TRIM", trim)
    back = 125 if over == 125 else 110
    return small_plan(body.replace("EXTRA", extra).replace("BACK", f"{back} mm").replace("START", str(start)))


@pytest.mark.parametrize(("rise", "over"), [(80, 125), (220, 125), (-150, 125), (100, 150), (0, 150)])
def test_a_leaning_shelf_gives_leaning_walls(rise: int, over: int) -> None:
    plan = leaning(rise, over)
    solids = sound(plan)
    run = (410, over - (125 if over == 125 else 110), rise)
    cosine = run[0] / math.hypot(*run)
    notch = only(plan.parts[0], "housing")
    assert notch.direction is not None
    assert abs(notch.direction[2]) == pytest.approx(cosine, abs=1e-9)
    # a sheared box: its section square to the shelf, seen on the side, times the depth square to the side
    assert taken(plan, solids, "A") == pytest.approx(200 * 18 / cosine * 6, rel=1e-6)
    assert notch.width == 18
    assert floor_contact(plan, solids) >= 200 * 18 / cosine - 1e-3


def test_a_leaning_shelf_can_be_stopped() -> None:
    plan = leaning(150, extra=", stop: {-y: 40 mm}")
    solids = sound(plan)
    cosine = 410 / math.hypot(410, 150)
    corner = only(plan.parts[1], "corner")
    assert (corner.side.axis, corner.depth) == (1, 15)  # the shelf begins 25 mm from the border
    assert taken(plan, solids, "A") == pytest.approx(185 * 18 / cosine * 6, rel=1e-6)


def test_a_shelf_that_leans_sideways_is_stopped_through_its_face() -> None:
    plan = leaning(0, 150, extra=", stop: {-y: 40 mm}")
    sound(plan)
    assert only(plan.parts[1], "corner").side is Side.FACE


@pytest.mark.parametrize("start", [8, 16])
def test_an_end_that_cannot_lie_on_the_floor_is_refused(start: int) -> None:
    with pytest.raises(PlanFaults, match="near end of 'shelf' is not parallel to a side of 'side'"):
        leaning(150, trim="", start=start)


def test_a_stop_in_a_shelf_that_leans_both_ways_is_refused() -> None:
    with pytest.raises(PlanFaults, match="leans in two ways"):
        leaning(100, 150, extra=", stop: {-y: 40 mm}")


def test_a_shelf_through_the_side_is_refused() -> None:
    with pytest.raises(PlanFaults, match="goes right through"):
        small_plan(
            SHELF.replace("KIND", "housing").replace("EXTRA", "").replace("[12 mm, 0 mm, UP]", "[-2 mm, 0 mm, 9 mm]")
        )


@pytest.mark.parametrize(
    ("kind", "up", "says"), [("rabbet", "300 mm", "it is a housing"), ("housing", "582 mm", "it is a rabbet")]
)
def test_the_word_must_fit(kind: str, up: str, says: str) -> None:
    with pytest.raises(PlanFaults, match=says):
        shelf(kind, up=up)


@pytest.mark.parametrize(("stop", "says"), [("{+x: 9 mm}", r"towards \+x"), ("{-y: 250 mm}", "leaves nothing")])
def test_stops_that_make_no_sense(stop: str, says: str) -> None:
    with pytest.raises(PlanFaults, match=says):
        shelf(extra=f", stop: {stop}")


def test_cleats_side_by_side_share_one_housing() -> None:
    plan = small_plan(
        STOCK
        + """
parts:
  board: {material: ply, length: 600 mm, width: 250 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +x, width: +y}}
  cleat:
    material: oak
    width: 40 mm
    length: 300 mm
    place: {corner: [x, -20 mm, 13 mm], length: +y, width: +x}
    repeat: {x: [100 mm, 140 mm, 300 mm]}
joints:
  flat: {kind: housing, let_in: cleat, into: board, fit: 0.2 mm}
"""
    )
    sound(plan)
    wide, single = plan.part("A").notches
    assert (wide.width, wide.mates, wide.mate_size) == (Fraction(802, 10), ("B", "B"), "width")
    assert (single.width, single.mates) == (Fraction(402, 10), ("B",))


def test_a_screw_starts_at_the_outside_and_enters_at_the_floor() -> None:
    body = SHELF.replace("KIND", "housing").replace("EXTRA", "").replace("UP", "300 mm")
    plan = small_plan(body + "  fixing: {kind: screw, through: side, into: shelf, gauge: 8, length: 50 mm, count: 2}\n")
    sound(plan)
    side, board = plan.parts
    assert [(h.purpose, h.side, h.at[0]) for h in side.holes] == [(Purpose.CLEARANCE, Side.FACE, 309)] * 2
    assert {(h.side, h.depth) for h in board.in_place_holes} == {(Side.NEAR_END, 50 - 12)}
    assert {p.head[0] for p in plan.fasteners[0].places} == {0}


@settings(max_examples=25, deadline=None)
@given(
    depth=st.integers(2, 16),
    up=st.integers(0, 560),
    front=st.integers(-40, 60),
    wide=st.integers(100, 320),
    stop=st.integers(1, 40),
)
def test_any_shelf_fits_its_housing_or_is_refused(depth: int, up: int, front: int, wide: int, stop: int) -> None:
    body = (
        SHELF.replace("KIND", "rabbet" if up == 0 else "housing")
        .replace("EXTRA", f", stop: {{-y: {stop} mm}}")
        .replace("[12 mm, 0 mm, UP]", f"[{18 - depth} mm, {front} mm, {up} mm]")
        .replace("length: 400 mm, width: 250 mm", f"length: 400 mm, width: {wide} mm")
    )
    plan = small_plan(body)
    solids = sound(plan)
    low, high = max(0, front), min(250, front + wide)
    assert taken(plan, solids, "A") == pytest.approx(18 * depth * (high - max(low, stop)))
    assert taken(plan, solids, "B") == pytest.approx(18 * depth * max(0, stop - low))


# --- rabbets ----------------------------------------------------------------------------------------------------------

BACK = (
    STOCK
    + """
parts:
  side: {material: ply, length: 600 mm, width: 250 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +z, width: +y}}
  back: {material: thin, length: 600 mm, width: 400 mm, place: {corner: [9 mm, AT, 0 mm], length: +z, width: +x}}
joints:
  back_in_side: {kind: KIND, let_in: back, into: sideEXTRA}
"""
)


def back(kind: str, at: str, extra: str) -> SolvedPlan:
    """A thin back that reaches 9 mm over the edge of a side."""
    return small_plan(BACK.replace("KIND", kind).replace("AT", at).replace("EXTRA", extra))


def test_a_back_comes_from_behind() -> None:
    plan = back("rabbet", "244 mm", ", glue: true, fit: 0.5 mm")
    solids = sound(plan)
    notch = only(plan.parts[0], "rabbet")
    assert plan.joints[0].direction == (0, -1, 0)
    assert (notch.side.axis, notch.depth, notch.width) == (1, 6, Fraction(95, 10))
    assert taken(plan, solids, "A") == pytest.approx(9.5 * 6 * 600)
    assert floor_contact(plan, solids) == pytest.approx(9 * 600)


def test_a_sunk_back_in_a_stopped_rabbet() -> None:
    plan = back("rabbet", "242 mm", ", glue: true, stop: {+z: 12 mm, -z: 8 mm}")
    solids = sound(plan)
    assert only(plan.parts[0], "rabbet").depth == 8
    assert taken(plan, solids, "A") == pytest.approx(9 * 8 * 580)
    assert taken(plan, solids, "B") == pytest.approx(9 * 6 * 20)
    assert [n.open_end for n in plan.parts[1].notches] == [Side.NEAR_END, Side.FAR_END]


def test_a_drawer_side_in_the_end_of_its_front() -> None:
    plan = small_plan(
        STOCK
        + """
parts:
  front: {material: oak, length: 400 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +x, width: +z}}
  side:
    material: oak
    thickness: 12 mm
    length: 300 mm
    place: {corner: [at, 8 mm, 0 mm], length: +y, width: +z}
    repeat: {at: [0 mm, 388 mm]}
  bottom: {material: thin, length: 388 mm, width: 290 mm, place: {corner: [6 mm, 14 mm, 10 mm], length: +x, width: +y}}
joints:
  corner: {kind: rabbet, let_in: side, into: front, glue: true}
  in_sides: {kind: groove, let_in: bottom, into: side}
  in_front: {kind: groove, let_in: bottom, into: front}
"""
    )
    solids = sound(plan)
    rabbets = [n for n in plan.part("A").notches if n.role == "rabbet"]
    assert [(n.side, n.depth, n.open_end) for n in rabbets] == [
        (Side.BACK, 12, Side.NEAR_END),
        (Side.BACK, 12, Side.FAR_END),
    ]
    # the groove crosses both rabbets: 6 x 6 mm over what is left between them
    assert taken(plan, solids, "A") == pytest.approx(2 * 12 * 12 * 100 + 6 * 6 * 376)
    assert [p.hand for p in plan.parts[1:3]] == ["left", "right"]


def test_a_skewed_rabbet() -> None:
    """A square-ended panel turned by 10 degrees over the end of a board."""
    plan = small_plan(
        STOCK
        + """
parts:
  board: {material: ply, length: 600 mm, width: 200 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +x, width: +y}}
  strip: {material: oak, length: 400 mm, width: 60 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +y, width: -x}}
assemblies:
  turned: {parts: [strip], place: [{at: [-60 mm, -90 mm, 12 mm], turn: -10 deg about z}]}
joints:
  edge: {kind: rabbet, let_in: strip, into: board, glue: true}
"""
    )
    solids = sound(plan)
    seen = affinity.translate(affinity.rotate(box(0, 0, 60, 400), -10, origin=(0, 0)), -60, -90)
    area = seen.intersection(box(0, 0, 600, 200)).area
    assert taken(plan, solids, "A") == pytest.approx(area * 6, rel=1e-6)
    assert floor_contact(plan, solids) >= area - 1e-3


# --- grooves ----------------------------------------------------------------------------------------------------------

FRAME = (
    STOCK
    + """
parts:
  stile:
    material: oak
    length: 400 mm
    width: 50 mm
    place: {corner: [at, 0 mm, 0 mm], length: +z, width: +x}
    repeat: {at: [0 mm, 250 mm]}
  rail:
    material: oak
    length: 200 mm
    width: 50 mm
    place: {corner: [50 mm, 0 mm, up], length: +x, width: +z}
    repeat: {up: [0 mm, 350 mm]}
  panel: {material: thin, length: 316 mm, width: 216 mm, place: {corner: [42 mm, 7 mm, 42 mm], length: +z, width: +x}}
joints:
  in_stiles: {kind: groove, let_in: panel, into: stile, room: 2 mm, fit: 0.2 mm}
  in_rails: {kind: groove, let_in: panel, into: rail, room: 2 mm, fit: 0.2 mm}
"""
)


def test_a_panel_caught_in_four_members() -> None:
    plan = small_plan(FRAME)
    solids = sound(plan)
    stile, rail, panel = plan.parts
    assert (stile.count, rail.count, panel.count) == (2, 2, 1)
    assert (only(stile, "groove").depth, only(stile, "groove").span) == (10, (42, 358))
    assert (only(rail, "groove").depth, only(rail, "groove").span) == (10, (0, 200))
    assert panel.notches == ()
    assert taken(plan, solids, "A") == pytest.approx(10 * 6.2 * 316)
    assert taken(plan, solids, "B") == pytest.approx(10 * 6.2 * 200)


def test_panels_in_a_row_share_one_groove() -> None:
    """Two panels end to end: the groove is longer, not wider."""
    plan = small_plan(
        STOCK
        + """
parts:
  rail: {material: oak, length: 400 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +x, width: +z}}
  panel:
    material: thin
    length: 200 mm
    width: 100 mm
    place: {corner: [at, 7 mm, 92 mm], length: +x, width: +z}
    repeat: {at: [0 mm, 200 mm]}
joints:
  panels: {kind: groove, let_in: panel, into: rail}
"""
    )
    sound(plan)
    groove = only(plan.part("A"), "groove")
    assert (groove.span, groove.width, groove.mates) == ((0, 400), 6, ("B",))


def test_a_stopped_groove_clears_the_panel() -> None:
    plan = back("groove", "230 mm", ", room: 2 mm, stop: {+z: 12 mm}")
    solids = sound(plan)
    assert taken(plan, solids, "A") == pytest.approx(11 * 6 * 588)
    assert taken(plan, solids, "B") == pytest.approx(9 * 6 * 12)


def test_a_leaning_panel_in_a_groove() -> None:
    """A panel that leans back by 15 degrees, its edges in the faces of a side: a skewed groove, open at no end."""
    plan = small_plan(
        STOCK
        + """
parts:
  side: {material: ply, length: 600 mm, width: 250 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +z, width: +y}}
  back: {material: thin, length: 300 mm, width: 400 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +z, width: +x}}
assemblies:
  reclined: {parts: [back], place: [{at: [10 mm, 150 mm, 100 mm], turn: -15 deg about x}]}
joints:
  reclining: {kind: groove, let_in: back, into: side, glue: true}
"""
    )
    solids = sound(plan)
    assert abs(only(plan.part("A"), "groove").skew) == pytest.approx(75)
    assert taken(plan, solids, "A") == pytest.approx(8 * 6 * 300, rel=1e-6)


def test_a_panel_with_a_slanted_end_leaves_a_gap_but_no_overlap() -> None:
    """The groove is as long as the panel at its longest: here on the floor, 8 mm further than at the rail's edge."""
    plan = small_plan(
        STOCK
        + """
parts:
  rail: {material: oak, length: 400 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +x, width: +z}}
  post: {material: oak, width: 20 mm, place: {from: [200 mm, 10 mm, 120 mm], to: [100 mm, 10 mm, 220 mm], width: +x}}
  panel:
    material: thin
    width: 100 mm
    length: 300 mm
    place: {corner: [20 mm, 7 mm, 92 mm], length: +x, width: +z}
    trim: {end: against post}
joints:
  panels: {kind: groove, let_in: panel, into: rail, glue: true}
"""
    )
    solids = sound(plan)
    # the post's lower face: x + z = 320 - 10 * sqrt(2); the panel's lower edge is at z = 92
    longest = 320 - 10 * math.sqrt(2) - 92 - 20
    assert taken(plan, solids, "A") == pytest.approx(8 * 6 * longest, rel=1e-6)
    assert floor_contact(plan, solids) >= 6 * longest - 1e-3


def test_room_must_leave_wood() -> None:
    with pytest.raises(PlanFaults, match="room the groove goes right through"):
        back("groove", "230 mm", ", room: 9 mm")


def test_a_loose_panel_is_not_glued() -> None:
    with pytest.raises(PlanFaults, match="lies loose in its groove"):
        back("groove", "230 mm", ", room: 2 mm, glue: true")
