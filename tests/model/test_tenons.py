"""Mortise and tenon: volumes and glue faces by hand arithmetic, rounded outlines against shapely."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from planpress.base.diagnostics import PlanFaults
from planpress.base.printing import Units
from planpress.model.records import Side
from planpress.model.wedges import wedge_sizes
from tests.model.framing import (
    RAIL_AND_LEG,
    contact,
    cuts,
    leaning_rail,
    leg_in_seat,
    metric,
    mm,
    part_named,
    rail_in_leg,
    sound,
    volume,
)
from tests.plans import small_plan

LEG = 45 * 45 * 400
RAIL = 21 * 60 * 300


def test_blind() -> None:
    """A third of 21 mm; 30 mm long; 1.5 mm of room for glue."""
    plan = metric(rail_in_leg())
    solids = sound(plan)
    assert volume(solids, plan, "rail") == pytest.approx(RAIL - 2 * 7 * 60 * 30)
    assert volume(solids, plan, "leg") == pytest.approx(LEG - 7 * 60 * 31.5)
    assert contact(solids, "rail", "leg") == pytest.approx(2 * 7 * 60 + 2 * (7 + 60) * 30)
    (mortise,) = cuts(part_named(plan, "leg"), "mortise")
    assert (mortise.width, mortise.depth, mortise.open_end) == (7, Fraction(63, 2), None)
    cheeks = cuts(part_named(plan, "rail"), "cheek")
    assert [(n.side, n.depth, n.open_end) for n in cheeks] == [
        (Side.BACK, 7, Side.NEAR_END),
        (Side.FACE, 7, Side.NEAR_END),
    ]
    (place,) = plan.joints
    assert (place.first, place.second, place.direction) == ("rail", "leg", (-1, 0, 0))


def test_the_room_for_glue_is_a_sixteenth_of_an_inch_unless_given() -> None:
    (mortise,) = cuts(part_named(small_plan(rail_in_leg(), Units.IMPERIAL), "leg"), "mortise")
    assert mortise.depth == 30 + Fraction(254, 160)
    (mortise,) = cuts(part_named(metric(rail_in_leg(", room: 0 mm")), "leg"), "mortise")
    assert mortise.depth == 30


@pytest.mark.parametrize(("reach", "within"), [(45, 45), (48, 45)])
def test_through_flush_or_proud(reach: float, within: float) -> None:
    plan = metric(rail_in_leg(", width: 40 mm, thickness: 9 mm", reach))
    solids = sound(plan)
    assert volume(solids, plan, "rail") == pytest.approx(RAIL - (21 * 60 - 9 * 40) * reach)
    assert volume(solids, plan, "leg") == pytest.approx(LEG - 9 * 40 * 45)
    assert contact(solids, "rail", "leg") == pytest.approx(21 * 60 - 9 * 40 + 2 * (9 + 40) * within)


def test_offset_and_fit() -> None:
    """The reference face of the rail looks to the front (-y): the tenon lies nearer to it."""
    plan = metric(rail_in_leg(", thickness: 6 mm, offset: 4 mm, fit: 0.2 mm, width: 50 mm"))
    solids = sound(plan)
    (mortise,) = cuts(part_named(plan, "leg"), "mortise")
    assert (mortise.width, mortise.fit) == (Fraction("6.2"), Fraction("0.2"))
    assert mortise.across == (Fraction("15.4"), Fraction("21.6"))  # 12 + 21 / 2 - 4 = 18.5 in the middle
    assert volume(solids, plan, "leg") == pytest.approx(LEG - 6.2 * 50 * 31.5)
    assert volume(solids, plan, "rail") == pytest.approx(RAIL - (21 * 60 - 6 * 50) * 30)


def test_an_offset_is_mirrored_with_its_assembly() -> None:
    plan = metric(
        """
materials:
  stick: {form: board, species: white oak, thickness: 24 mm, width: 50 mm}
parts:
  foot: {material: stick, length: 300 mm, place: {corner: [100 mm, 0 mm, 0 mm], length: +y, width: +z}}
  rail: {material: stick, length: 200 mm, place: {corner: [115 mm, 30 mm, 10 mm], length: +x, width: +z}}
assemblies:
  side: {parts: [foot, rail], place: [{}, {mirror: x}]}
joints:
  j: {kind: mortise and tenon, tenon: rail, mortise: foot, glue: true, offset: 4 mm}
"""
    )
    sound(plan)
    assert [(p.name, p.hand) for p in plan.parts] == [("foot", "left"), ("foot", "right"), ("rail", "")]
    for place in plan.joints:  # y of the mortise's middle is 30 + 24 / 2 - 4 in both
        part, piece = plan.part_of(place.second), plan.pieces[place.second]
        (mortise,) = cuts(part, "mortise")
        u = (mortise.span[0] + mortise.span[1]) / 2
        assert piece.frame.point((u, Fraction(0), Fraction(0)))[1] == 38


@pytest.mark.parametrize("degrees", [5, 10, 15, 20])
def test_skewed(degrees: int) -> None:
    """The middle of the end lies 30 mm inside, along the rail; its far corner half a width times the sine deeper."""
    plan = metric(leaning_rail(degrees))
    solids = sound(plan)
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    assert volume(solids, plan, "rail") == pytest.approx(RAIL - 2 * 7 * 60 * 30, abs=0.1)
    depth = 30 * c + 30 * s + 1.5
    assert volume(solids, plan, "leg") == pytest.approx(LEG - 7 * 60 / c * depth, abs=0.1)
    assert contact(solids, "rail", "leg") == pytest.approx(2 * 7 * 60 / c + 2 * (7 + 60) * 30, abs=0.1)
    (cheek, _) = cuts(part_named(plan, "rail"), "cheek")
    assert abs(cheek.skew) == pytest.approx(degrees, abs=1e-4)
    assert cheek.direction is None


@pytest.mark.parametrize(("splay", "rake"), [(0, 0), (8, 0), (0, 12), (6, 8), (-6, 8), (14, 11)])
@pytest.mark.parametrize("trim", ["top", "proud"])
def test_compound(splay: int, rake: int, trim: str) -> None:
    """A leg splayed at a and b stands off upright by t, tan^2 t = tan^2 a + tan^2 b: lengths grow by 1 / cos t."""
    plan = metric(leg_in_seat(splay, rake, ", width: 30 mm, thickness: 15 mm", trim))
    solids = sound(plan)
    grown = math.sqrt(1 + math.tan(math.radians(splay)) ** 2 + math.tan(math.radians(rake)) ** 2)
    out = 36 if trim == "top" else 46
    assert volume(solids, plan, "leg") == pytest.approx((44 * 44 * 400 + 30 * 15 * out) * grown, abs=0.2)
    assert volume(solids, plan, "seat") == pytest.approx(36 * (280 * 500 - 30 * 15 * grown), abs=0.2)
    glued = (44 * 44 - 30 * 15) * grown + 2 * (30 + 15) * 36 * grown
    assert contact(solids, "leg", "seat") == pytest.approx(glued, abs=0.1)


def test_compound_and_blind_with_a_square_end() -> None:
    plan = metric(leg_in_seat(6, 8, ", width: 30 mm, thickness: 15 mm, room: 1 mm", trim="", tip=425))
    solids = sound(plan)
    tan_a, tan_b = math.tan(math.radians(6)), math.tan(math.radians(8))
    grown = math.sqrt(1 + tan_a**2 + tan_b**2)
    (mortise,) = cuts(part_named(plan, "seat"), "mortise")
    assert volume(solids, plan, "seat") == pytest.approx(
        36 * 280 * 500 - 30 * 15 * grown * float(mortise.depth), abs=0.2
    )
    middle = 25  # the far corner of the end is deeper; how much depends on the section's turn about the leg
    assert middle < float(mortise.depth) - 1 < middle + math.hypot(15, 7.5) * math.sqrt(1 - grown**-2)


SQUARED = ", width: 30 mm, thickness: 15 mm, axis: mortise"


@pytest.mark.parametrize(("splay", "rake"), [(8, 0), (0, 12), (6, 8), (-6, 8), (8, -6)])
@pytest.mark.parametrize("trim", ["top", "proud"])
def test_square_to_the_seat(splay: int, rake: int, trim: str) -> None:
    """The leg leans, the tenon stands upright: its mortise is 30 x 15 mm at every depth."""
    plan = metric(leg_in_seat(splay, rake, SQUARED, trim))
    solids = sound(plan)
    grown = math.sqrt(1 + math.tan(math.radians(splay)) ** 2 + math.tan(math.radians(rake)) ** 2)
    out = 36 if trim == "top" else 46
    assert volume(solids, plan, "leg") == pytest.approx(44 * 44 * 400 * grown + 30 * 15 * out, abs=0.2)
    assert volume(solids, plan, "seat") == pytest.approx(36 * (280 * 500 - 30 * 15), abs=1e-3)
    assert contact(solids, "leg", "seat") == pytest.approx(44 * 44 * grown - 30 * 15 + 2 * (30 + 15) * 36, abs=0.1)
    (mortise,) = cuts(part_named(plan, "seat"), "mortise")
    assert (mortise.direction, mortise.width) == (None, 15)
    assert mortise.span[1] - mortise.span[0] == pytest.approx(15)  # the leg's width runs along y
    assert mortise.across[1] - mortise.across[0] == pytest.approx(30)
    (place,) = plan.joints
    assert place.direction == (0, 0, 1)
    bounds = [solids.piece(p).bounds for p in plan.pieces]
    for i in range(3):
        assert float(plan.low[i]) == pytest.approx(min(low[i] for low, _ in bounds), abs=1e-5)
        assert float(plan.high[i]) == pytest.approx(max(high[i] for _, high in bounds), abs=1e-5)


def test_square_to_the_seat_and_upright_is_as_ever() -> None:
    upright, along = (metric(leg_in_seat(0, 0, f", width: 30 mm, axis: {axis}")) for axis in ("mortise", "tenon"))
    assert [p.notches for p in upright.parts] == [p.notches for p in along.parts]


@pytest.mark.parametrize("degrees", [-20, -8, 5, 14])
def test_skewed_and_square_to_the_leg(degrees: int) -> None:
    """A leaning rail, its blind tenon level. The prism ends in the plane of the rail's end, half way of which the two
    middle lines meet, so its mean length is the depth of the end's middle."""
    plan = metric(leaning_rail(degrees, ", width: 40 mm, axis: mortise"))
    solids = sound(plan)
    c, s = math.cos(math.radians(degrees)), abs(math.sin(math.radians(degrees)))
    tan = s / c
    # the middle of the rail's end lies 30 mm (along the rail) inside; the tenon's middle line is half that depth's lean
    # above or below it there, and the end's plane falls away by tan
    mean = 30 * c + 15 * c * tan * tan
    (mortise,) = cuts(part_named(plan, "leg"), "mortise")
    assert mortise.direction is None
    assert float(mortise.depth) == pytest.approx(mean + 20 * tan + 1.5, abs=1e-6)
    assert volume(solids, plan, "leg") == pytest.approx(LEG - 7 * 40 * float(mortise.depth), abs=0.1)
    assert volume(solids, plan, "rail") == pytest.approx(21 * 60 * 270 + 7 * 40 * mean, abs=0.1)
    assert contact(solids, "rail", "leg") == pytest.approx(21 * 60 / c - 7 * 40 + 2 * (7 + 40) * mean, abs=0.1)


@pytest.mark.parametrize("wedges", [1, 2])
@pytest.mark.parametrize(("seat", "wide"), [("length: +x, width: +y", 30), ("length: +y, width: +x", 15)])
def test_wedges_of_a_tenon_square_to_the_seat(wedges: int, seat: str, wide: int) -> None:
    body = leg_in_seat(6, 8, f"{SQUARED}, wedges: {wedges}").replace("length: +x, width: +y", seat)
    plan = metric(body.replace("[-250 mm, -140 mm, 400 mm]", "[-130 mm, -135 mm, 400 mm]"))
    solids = sound(plan)
    grown = math.sqrt(1 + math.tan(math.radians(6)) ** 2 + math.tan(math.radians(8)) ** 2)
    kerf = 1.5 * 27 * wide  # a quarter of 36 mm short of the shoulder
    assert volume(solids, plan, "leg") == pytest.approx(44 * 44 * 400 * grown + 30 * 15 * 36 - wedges * kerf, abs=0.2)
    found = wedge_sizes(plan, plan.joints[0])
    assert found is not None
    assert (found.count, found.width, found.length) == (wedges, pytest.approx(wide), pytest.approx(27))
    assert float(found.thickness) == pytest.approx(2 * 27 * math.tan(math.radians(3)), abs=1e-6)


@pytest.mark.parametrize("settings", ["", ", fit: 0.1 mm", ", tenons: 2"])
def test_round_ends_square_to_the_seat(settings: str) -> None:
    plan = metric(leg_in_seat(6, 8, f"{SQUARED}, cutter: {{imperial: 1/4 in, metric: 8 mm}}{settings}"))
    solids = sound(plan)
    section = shapely.box(4, 4, 26, 11).buffer(4, quad_segs=8)
    if not settings:
        assert volume(solids, plan, "seat") == pytest.approx(36 * (280 * 500 - section.area), rel=1e-8)
        glued = 2 * (30 + 15 - 16) + 2 * math.pi * 4
        assert contact(solids, "leg", "seat") > 0.95 * 36 * glued


def test_haunched_and_square_to_the_leg() -> None:
    body = leaning_rail(6, ", width: 34 mm, haunch: 8 mm, haunch_width: 16 mm, axis: mortise")
    plan = metric(body)
    sound(plan)
    (slot,) = cuts(part_named(plan, "leg"), "slot")
    assert (slot.depth, slot.direction) == (8, None)


@pytest.mark.parametrize(
    ("body", "message"),
    [
        (leg_in_seat(10, 0, ", width: 30 mm, thickness: 40 mm, axis: mortise"), "leaves 'leg', which leans, by 0.822"),
        (leg_in_seat(6, 8, ", axis: mortise"), "leaves 'leg', which leans"),
    ],
)  # fmt: skip
def test_a_tenon_square_to_the_seat_that_leaves_the_leg(body: str, message: str) -> None:
    """18 mm from its middle the upright tenon reaches (20 + 18 tan 10) cos 10 from the leg's middle line."""
    with pytest.raises(PlanFaults, match=message):
        metric(body)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    splay=st.integers(-12, 12),
    rake=st.integers(-12, 12),
    trim=st.sampled_from(["top", "proud"]),
    offset=st.integers(-2, 2),
    tenons=st.integers(1, 2),
    bit=st.sampled_from([0, 4]),
    wedges=st.integers(0, 2),
)
def test_any_tenon_square_to_the_seat_closes(
    splay: int, rake: int, trim: str, offset: int, tenons: int, bit: int, wedges: int
) -> None:
    extra = f", thickness: 12 mm, width: 27 mm, offset: {offset} mm, tenons: {tenons}, wedges: {wedges}, axis: mortise"
    extra += f", cutter: {{imperial: 1/8 in, metric: {bit} mm}}" if bit else ""
    plan = metric(leg_in_seat(splay, rake, extra, trim))
    sound(plan)
    assert len(cuts(part_named(plan, "seat"), "mortise")) == tenons


def test_haunched() -> None:
    """At the top of the leg: a third of the rail's width is haunch, its slot open at the leg's end."""
    plan = metric(rail_in_leg(", haunch: 10 mm", level=340))
    solids = sound(plan)
    assert volume(solids, plan, "rail") == pytest.approx(RAIL - 2 * 7 * 60 * 30 - 7 * 20 * (30 - 10))
    assert volume(solids, plan, "leg") == pytest.approx(LEG - 7 * 40 * 31.5 - 7 * 20 * 10)
    (slot,) = cuts(part_named(plan, "leg"), "slot")
    assert (slot.depth, slot.open_end) == (10, Side.FAR_END)


@pytest.mark.parametrize(("level", "end"), [(330, Side.FAR_END), (5, Side.NEAR_END)])
def test_the_haunch_is_on_the_side_of_the_nearer_end(level: float, end: Side) -> None:
    plan = metric(rail_in_leg(", haunch: 8 mm, haunch_width: 15 mm, width: 35 mm", level=level))
    solids = sound(plan)
    (slot,) = cuts(part_named(plan, "leg"), "slot")
    (mortise,) = cuts(part_named(plan, "leg"), "mortise")
    assert slot.open_end is end
    top = level + 60
    assert mortise.span == ((top - 50, top - 15) if end is Side.FAR_END else (level + 15, level + 50))
    to_end = 400 - top if end is Side.FAR_END else level
    assert volume(solids, plan, "leg") == pytest.approx(LEG - 7 * 35 * 31.5 - 7 * (15 + to_end) * 8)


def test_twin_tenons_with_a_gap_as_wide() -> None:
    plan = metric(rail_in_leg(", tenons: 2, width: 54 mm"))
    solids = sound(plan)
    assert volume(solids, plan, "rail") == pytest.approx(RAIL - (21 * 60 - 2 * 7 * 18) * 30)
    assert volume(solids, plan, "leg") == pytest.approx(LEG - 2 * 7 * 18 * 31.5)
    assert [n.span for n in cuts(part_named(plan, "leg"), "mortise")] == [(303, 321), (339, 357)]
    assert contact(solids, "rail", "leg") == pytest.approx(21 * 60 - 2 * 7 * 18 + 4 * (7 + 18) * 30)


def test_wedged() -> None:
    """Two kerfs of 1.5 mm at a fifth of the width from both edges, a quarter of 45 mm short of the shoulder."""
    plan = metric(rail_in_leg(", wedges: 2, thickness: 9 mm, width: 50 mm", reach=45))
    solids = sound(plan)
    kerfs = cuts(part_named(plan, "rail"), "kerf")
    assert [sum(n.across) / 2 for n in kerfs] == [15, 45]
    assert {n.span for n in kerfs} == {(0, Fraction(135, 4))}
    kerf = 1.5 * 33.75 * 9
    assert volume(solids, plan, "rail") == pytest.approx(RAIL - (21 * 60 - 9 * 50) * 45 - 2 * kerf)
    wedges = wedge_sizes(plan, plan.joints[0])
    assert {n.width for n in kerfs} == {Fraction(3, 2)}
    assert wedges is not None
    assert (wedges.count, wedges.width, wedges.length) == (2, 9, Fraction(135, 4))
    thick = 2 * 33.75 * math.tan(math.radians(3))
    assert float(wedges.thickness) == pytest.approx(thick)
    assert float(wedges.flare) == pytest.approx(thick - 1.5)  # two wedges spread it to two ends


@pytest.mark.parametrize(
    ("seat", "side"), [("length: +x, width: +y", Side.UPPER), ("length: +y, width: +x", Side.FACE)]
)
def test_wedges_spread_along_the_grain_of_the_other_part(seat: str, side: Side) -> None:
    """Across it they would split it. The leg's thickness lies along x, its width along y."""
    body = leg_in_seat(0, 0, ", width: 30 mm, wedges: 1").replace("length: +x, width: +y", seat)
    plan = metric(body.replace("[-250 mm, -140 mm, 400 mm]", "[-130 mm, -135 mm, 400 mm]"))
    sound(plan)
    (kerf,) = cuts(part_named(plan, "leg"), "kerf")
    assert kerf.side is side
    wedges = wedge_sizes(plan, plan.joints[0])
    assert wedges is not None
    assert wedges.width == (30 if side is Side.UPPER else Fraction(44, 3))


def test_a_joint_without_wedges_has_none_to_tell() -> None:
    plan = metric(rail_in_leg())
    assert wedge_sizes(plan, plan.joints[0]) is None


@pytest.mark.parametrize("bit", [6, 7])
def test_round_ends(bit: int) -> None:
    """A rectangle with rounded corners is a smaller one swept by the bit; shapely's arcs of 8 straight pieces."""
    plan = metric(rail_in_leg(f", width: 50 mm, cutter: {{imperial: 1/4 in, metric: {bit} mm}}"))
    solids = sound(plan)
    section = shapely.box(bit / 2, bit / 2, 50 - bit / 2, max(7 - bit / 2, bit / 2 + 1e-9)).buffer(bit / 2, quad_segs=8)
    assert volume(solids, plan, "leg") == pytest.approx(LEG - section.area * 31.5, rel=1e-8)
    assert volume(solids, plan, "rail") == pytest.approx(RAIL - (21 * 60 - section.area) * 30, rel=1e-8)
    glued = 21 * 60 - section.area + section.length * 30
    assert contact(solids, "rail", "leg") == pytest.approx(glued, rel=1e-3)
    (mortise,) = cuts(part_named(plan, "leg"), "mortise")
    assert mortise.radius == Fraction(bit, 2)
    mesh = solids.part(part_named(plan, "leg").letter).mesh()
    assert len({label for label in mesh.labels.tolist() if "wall" in mesh.names[label]}) == 1  # smooth all around


@pytest.mark.parametrize("settings", ["", ", fit: 0.2 mm", ", tenons: 2", ", haunch: 10 mm"])
def test_round_ends_go_with_the_other_settings(settings: str) -> None:
    sound(metric(rail_in_leg(f", cutter: {{imperial: 1/4 in, metric: 7 mm}}{settings}", level=335)))
    sound(metric(leaning_rail(12, f", cutter: {{imperial: 1/4 in, metric: 7 mm}}{settings}")))
    body = f", width: 40 mm, cutter: {{imperial: 1/4 in, metric: 8 mm}}{settings}"
    plan = metric(leg_in_seat(6, 8, body.replace("haunch: 10 mm", "fit: 0.1 mm")))
    sound(plan)


@pytest.mark.parametrize("settings", ["", ", fit: 0.1 mm"])
def test_without_shoulders(settings: str) -> None:
    """A slat that goes in with its whole section; its glue faces are the cheeks, which a fit holds apart."""
    plan = metric(rail_in_leg(f", thickness: 21 mm{settings}"))
    solids = sound(plan)
    assert cuts(part_named(plan, "rail"), "cheek") == []
    assert volume(solids, plan, "rail") == pytest.approx(RAIL)
    sound(metric(leg_in_seat(6, 8, f", thickness: 44 mm{settings}")))


SIDES = [
    ("{corner: [15 mm, 12 mm, 300 mm], length: +x, width: +z}", "rail from the right"),
    ("{corner: [-270 mm, 12 mm, 300 mm], length: +x, width: +z}", "from the left"),
    ("{corner: [12 mm, 15 mm, 300 mm], length: +y, width: +z}", "from behind"),
    ("{corner: [12 mm, -270 mm, 300 mm], length: -y, width: -z}", "from the front"),
]


@pytest.mark.parametrize(("place", "words"), SIDES)
@pytest.mark.parametrize("leg", ["length: +z, width: +x", "length: -z, width: +y"])
def test_any_side_and_either_end(place: str, words: str, leg: str) -> None:
    body = rail_in_leg(", width: 50 mm, haunch: 6 mm, haunch_width: 10 mm")
    body = body.replace(f"{{corner: [{mm(15)}, 12 mm, {mm(300)}], length: +x, width: +z}}", place)
    assert place in body, words
    plan = metric(body.replace("length: +z, width: +x", leg))
    solids = sound(plan)
    assert volume(solids, plan, "leg") == pytest.approx(LEG - 7 * 50 * 31.5 - 7 * (10 + 40) * 6)


def test_a_rail_between_two_legs_has_two_tenons() -> None:
    legs = "corner: [x, 0 mm, 0 mm], length: +z, width: +x}, repeat: {x: [0 mm, 285 mm]}}"
    plan = metric(
        RAIL_AND_LEG.replace("corner: [0 mm, 0 mm, 0 mm], length: +z, width: +x}}", legs)
        + """
  rail: {material: rail_stock, length: 300 mm, place: {corner: [15 mm, 12 mm, 300 mm], length: +x, width: +z}}
joints:
  tenons: {kind: mortise and tenon, tenon: rail, mortise: leg, glue: true}
"""
    )
    solids = sound(plan)
    assert [(p.name, p.count) for p in plan.parts] == [("leg", 2), ("rail", 1)]
    assert volume(solids, plan, "rail") == pytest.approx(RAIL - 4 * 7 * 60 * 30)


TABLE = """
materials:
  rail_stock: {form: board, species: white oak, thickness: 21 mm, width: 60 mm}
  leg_stock: {form: board, species: white oak, thickness: 45 mm, width: 45 mm}
parts:
  leg:
    material: leg_stock
    length: 400 mm
    place: {corner: [0 mm, y * 255 mm, 0 mm], length: +z, width: +x}
    repeat: {y: [0, 1]}
  short_rail:
    material: rail_stock
    length: 300 mm - 2 * 27 mm
    place: {corner: [OUT, 27 mm, 335 mm], length: +y, width: +z}
  long_rail:
    material: rail_stock
    length: 500 mm - 2 * 27 mm
    place: {corner: [27 mm, 12 mm + y * 255 mm, 335 mm], length: +x, width: +z}
    repeat: {y: [0, 1]}
assemblies:
  end: {parts: [leg, short_rail], place: [{}, {mirror: x, at: [500 mm, 0 mm, 0 mm]}]}
joints:
  short: {kind: mortise and tenon, tenon: short_rail, mortise: leg, glue: true, haunch: 7 mm}
  long: {kind: mortise and tenon, tenon: long_rail, mortise: leg, glue: true, haunch: 7 mm}
"""


def test_a_table_of_four_equal_legs() -> None:
    """Both rails in the middle of a square leg: each leg is its own mirror image over the diagonal."""
    plan = metric(TABLE.replace("OUT", "12 mm"))
    sound(plan)
    assert [(p.name, p.count, p.hand) for p in plan.parts] == [
        ("leg", 4, ""),
        ("short_rail", 2, ""),
        ("long_rail", 2, ""),
    ]
    assert [len(cuts(p, "mortise")) for p in plan.parts] == [2, 0, 0]


def test_a_table_with_handed_legs() -> None:
    """The short rails further out than the long ones: legs across the diagonal are alike, the others mirrored."""
    plan = metric(TABLE.replace("OUT", "8 mm"))
    sound(plan)
    assert [(p.name, p.count, p.hand) for p in plan.parts] == [
        ("leg", 2, "left"),
        ("leg", 2, "right"),
        ("short_rail", 2, ""),
        ("long_rail", 2, ""),
    ]


@pytest.mark.parametrize("axis", ["tenon", "mortise"])
@pytest.mark.parametrize("settings", ["", ", wedges: 1", ", tenons: 2", ", cutter: {imperial: 1/4 in, metric: 8 mm}"])
def test_a_stool_has_left_and_right_legs(settings: str, axis: str) -> None:
    """Four legs splayed at two angles: those across the diagonal are one part, cut through or not."""
    plan = metric(
        f"""
planes: {{floor: z = 0 mm, top: z = 436 mm}}
materials:
  seat_stock: {{form: board, species: white oak, thickness: 36 mm, width: 280 mm}}
  leg_stock: {{form: board, species: white oak, thickness: 44 mm, width: 44 mm}}
parts:
  seat: {{material: seat_stock, length: 500 mm, place: {{corner: [-250 mm, -140 mm, 400 mm], length: +x, width: +y}}}}
  leg:
    material: leg_stock
    place: {{from: [x * 160 mm, y * 140 mm, 0 mm], to: [x * 120 mm, y * 80 mm, 436 mm], width: +y}}
    trim: {{start: floor, end: top}}
    repeat: {{x: [-1, 1], y: [-1, 1]}}
joints:
  legs: {{kind: mortise and tenon, tenon: leg, mortise: seat, glue: true, width: 30 mm, axis: {axis}{settings}}}
"""
    )
    sound(plan)
    assert [(p.name, p.count, p.hand) for p in plan.parts] == [("seat", 1, ""), ("leg", 2, "left"), ("leg", 2, "right")]


@pytest.mark.parametrize(
    ("body", "message"),
    [
        (rail_in_leg(reach=44), r"would be 45\.5 mm deep with room for glue, 'leg' is 45 mm"),
        (rail_in_leg(", wedges: 2"), "only a through tenon can be wedged"),
        (rail_in_leg(", haunch: 30 mm", level=340), "the haunch is as long as the tenon"),
        (rail_in_leg(", width: 50 mm, haunch: 8 mm"), "tenon and haunch are 70 mm wide, 'rail' 60"),
        (rail_in_leg(", thickness: 22 mm"), "a tenon 22 mm thick, set off by 0 mm, leaves 'rail'"),
        (rail_in_leg(", offset: 8 mm"), "a tenon 7 mm thick, set off by 8 mm, leaves 'rail'"),
        (rail_in_leg(", room: -1 mm"), "its 'room' is less than nothing"),
        (rail_in_leg(reach=170, length=400), "runs through 'leg' and far beyond it"),
        (rail_in_leg(", tenons: 1.5"), "a whole number of at least 1 is needed"),
        (rail_in_leg(reach=0), "overlap anywhere"),
        (rail_in_leg(reach=40, length=30), "no end of 'rail' lies in 'leg'"),
        (leaning_rail(20, reach=8), "does not reach into 'leg' with all of its tenon"),
    ],
)  # fmt: skip
def test_what_cannot_be_cut_is_told(body: str, message: str) -> None:
    with pytest.raises(PlanFaults, match=message):
        metric(body)


def test_a_leaning_tenon_that_stands_proud_gives_the_true_overall_size() -> None:
    """The rail's own corner would reach further than the tenon that is left of its end."""
    plan = metric(leaning_rail(10, ", width: 24 mm", reach=60))
    solids = sound(plan)
    bounds = [solids.piece(p).bounds for p in plan.pieces]
    assert float(plan.low[0]) == pytest.approx(min(low[0] for low, _ in bounds), abs=1e-6)
    c, s = math.cos(math.radians(10)), math.sin(math.radians(10))
    assert float(plan.low[0]) == pytest.approx(45 - 60 * c - 12 * s, abs=1e-3)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    degrees=st.integers(-20, 20),
    reach=st.sampled_from([22, 27, 48, 60]),
    thick=st.integers(5, 11),
    offset=st.integers(-3, 3),
    width=st.integers(24, 60),
    tenons=st.integers(1, 2),
    fit=st.sampled_from(["0 mm", "0.1 mm"]),
    bit=st.sampled_from([0, 4, 5]),
    wedges=st.integers(0, 2),
)
def test_any_tenon_closes(
    degrees: int, reach: int, thick: int, offset: int, width: int, tenons: int, fit: str, bit: int, wedges: int
) -> None:
    extra = f", thickness: {thick} mm, offset: {offset} mm, width: {width} mm, tenons: {tenons}, fit: {fit}"
    extra += f", cutter: {{imperial: 1/8 in, metric: {bit} mm}}" if bit else ""
    extra += f", wedges: {wedges}" if reach > 45 else ""
    plan = metric(leaning_rail(degrees, extra, reach))
    solids = sound(plan)
    assert volume(solids, plan, "rail") < RAIL - (21 * 60 - thick * width) * reach + 1
    assert len(cuts(part_named(plan, "leg"), "mortise")) == tenons


def test_wood_beside_a_tenon_is_weighed_once() -> None:
    plan = small_plan(
        """
materials:
  post: {form: board, species: white oak, thickness: 40 mm, width: 40 mm}
  stick: {form: board, species: white oak, thickness: 20 mm, width: 80 mm}
parts:
  leg: {material: post, length: 400 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +z, width: +x}}
  rail: {material: stick, length: 480 mm, place: {corner: [10 mm, 10 mm, 250 mm], length: +x, width: +z}}
joints:
  end: {kind: mortise and tenon, tenon: rail, mortise: leg, thickness: 8 mm, width: 60 mm, glue: true}
""",
    )
    rail = next(part for part in plan.parts if part.name == "rail")
    volume = 450 * 80 * 20 + 30 * 60 * 8  # what stands outside the leg, and the tenon (by hand)
    assert rail.mass == pytest.approx(volume * 1e-9 * 0.68 * 1.12 * 1000, abs=1e-6)
