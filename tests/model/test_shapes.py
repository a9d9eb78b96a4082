"""Shaped parts: outlines, tapers, corners and edges as solids, their mass, congruence, faults."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planpress.base.diagnostics import PlanFaults
from planpress.geometry.solids import overlap_volume
from planpress.geometry.strokes import Arc
from planpress.model.records import Side, SolvedPlan
from planpress.model.solids import Solids
from tests.plans import small_plan

STOCK = """
materials:
  slab: {form: sheet, species: white oak, thickness: 24 mm}
"""
PROPERTY = settings(deadline=None, derandomize=True, max_examples=25)
BLOCK = 400 * 200 * 24


def one(keys: str, length: str = "400 mm", width: str = "200 mm", more: str = "") -> SolvedPlan:
    """A plan of one part with a shape."""
    place = "{corner: [0 mm, 0 mm, 0 mm], length: +x, width: +y}"
    lines = [f"length: {length}", f"width: {width}", f"place: {place}", "material: slab", *keys.splitlines()]
    return small_plan(STOCK + "parts:\n  seat:\n" + "".join(f"    {line}\n" for line in lines) + more)


def volume(plan: SolvedPlan, letter: str = "A") -> float:
    return Solids(plan).part(letter).volume


def told(keys: str) -> str:
    with pytest.raises(PlanFaults) as raised:
        one(keys)
    return raised.value.diagnostics[0].message


def test_rounded_corners_take_what_four_quarter_circles_leave() -> None:
    plan = one("corners: {radius: 40 mm}")
    wanted = 24 * (400 * 200 - (4 - math.pi) * 40**2)
    assert volume(plan) == pytest.approx(wanted, rel=1e-4)
    shape = plan.parts[0].shape
    assert shape is not None
    assert shape.face is not None
    arcs = [s for s in shape.face.strokes if isinstance(s, Arc)]
    assert [s.radius for s in arcs] == [40] * 4
    assert sorted(s.centre for s in arcs) == [(40, 40), (40, 160), (360, 40), (360, 160)]
    plain = one("")
    assert plain.mass is not None
    assert plan.mass == pytest.approx(plain.mass * wanted / BLOCK, rel=1e-4)


def test_each_corner_may_have_a_cut_of_its_own() -> None:
    plan = one("corners: {start lower: {radius: 30 mm}, end: {chamfer: 20 mm}}")
    assert volume(plan) == pytest.approx(24 * (80000 - (1 - math.pi / 4) * 900 - 2 * 200), rel=1e-5)


HOLLOW = (
    "outline: {start: [0 mm, 0 mm], path: [{hollow: {to: [length, 0 mm], rise: 25 mm}}, {line: [length, width]},"
    " {line: [0 mm, width]}]}"
)


def test_an_outline_of_lines_and_arcs() -> None:
    """A rail with a hollow of 25 mm over its whole length; the area of a segment of a circle from plane geometry."""
    plan = one(HOLLOW)
    radius = (200**2 + 25**2) / (2 * 25)
    half = math.asin(200 / radius)
    segment = radius**2 * (half - math.sin(half) * math.cos(half))
    assert volume(plan) == pytest.approx(24 * (80000 - segment), rel=5e-5)
    assert plan.warnings == ()


def test_an_outline_may_be_drawn_either_way_round() -> None:
    """`hollow` bites in and `round` swells out, with the clock or against it."""
    back = one(
        "outline: {start: [0 mm, width], path: [{line: [length, width]}, {line: [length, 0 mm]},"
        " {hollow: {to: [0 mm, 0 mm], rise: 25 mm}}]}"
    )
    assert volume(back) == pytest.approx(volume(one(HOLLOW)), rel=1e-9)
    disc = one(
        "outline: {start: [0 mm, 100 mm], path: [{round: {to: [200 mm, 100 mm], radius: 100 mm}},"
        " {round: {to: [0 mm, 100 mm], rise: 100 mm}}]}",
        length="200 mm",
    )
    assert volume(disc) == pytest.approx(24 * math.pi * 10000, rel=2e-4)


def test_an_outline_on_the_edge_is_cut_through_the_width() -> None:
    plan = one("outline: {on: edge, start: [0 mm, 0 mm], path: [{line: [400 mm, 0 mm]}, {line: [200 mm, 24 mm]}]}")
    assert volume(plan) == pytest.approx(200 * 400 * 24 / 2)
    low, high = Solids(plan).part("A").bounds
    assert [*low, *high] == pytest.approx([0, 0, 0, 400, 200, 24])


@PROPERTY
@given(
    st.integers(40, 190),
    st.integers(8, 23),
    st.integers(0, 390),
    st.sampled_from(["start", "end"]),
    st.lists(st.sampled_from(["lower edge", "upper edge", "back", "face"]), unique=True),
)
def test_a_taper_has_the_volume_of_a_straight_part_and_a_frustum(
    width: int, thickness: int, begins: int, towards: str, sides: list[str]
) -> None:
    """Solid and mass against the prismoid formula (volume = length / 6 (A0 + 4 Am + A1))."""
    plan = one(
        f"taper: {{towards: {towards}, width: {width} mm, thickness: {thickness} mm, begins: {begins} mm,"
        f" sides: [{', '.join(sides)}]}}"
    )
    middle = (200 + width) / 2 * (24 + thickness) / 2
    wanted = begins * 200 * 24 + (400 - begins) / 6 * (200 * 24 + 4 * middle + width * thickness)
    assert volume(plan) == pytest.approx(wanted, rel=1e-9)
    plain = one("")
    assert plain.mass is not None
    assert plan.mass == pytest.approx(plain.mass * wanted / BLOCK, rel=1e-6)
    vertices = Solids(plan).part("A").mesh().vertices
    tip = vertices[np.abs(vertices[:, 0] - (400 if towards == "end" else 0)) < 1e-9]
    assert np.ptp(tip, axis=0)[1:] == pytest.approx([width, thickness])
    lower, upper = "lower edge" in sides, "upper edge" in sides
    off = 0 if upper and not lower else 200 - width if lower and not upper else (200 - width) / 2
    assert tip[:, 1].min() == pytest.approx(off)


def test_chamfers_and_round_overs_of_straight_edges() -> None:
    """By hand: a long chamfer takes c^2 / 2 of the section, a round-over (1 - pi / 4) r^2 (facets a little less)."""
    assert volume(one("edges: {long: {chamfer: 5 mm}}")) == pytest.approx(BLOCK - 4 * 400 * 12.5)
    assert volume(one("edges: {face upper: {chamfer: 5 mm}}")) == pytest.approx(BLOCK - 400 * 12.5)
    lost = BLOCK - volume(one("edges: {upper face: {round: 8 mm}}"))
    assert lost == pytest.approx(400 * (1 - math.pi / 4) * 64, rel=0.04)
    # at each corner, pairs of chamfers share c^3 / 3 and all three c^3 / 4: 3/4 c^3 is counted too often
    everywhere = BLOCK - volume(one("edges: {all: {chamfer: 3 mm}}"))
    assert 4 * 4.5 * (400 + 200 + 24) - everywhere == pytest.approx(8 * 0.75 * 27, rel=1e-6)


def test_edges_of_a_leaning_side_are_cut_alike_off_both_sides() -> None:
    """On a tapered side the chamfer is laid off along the slope, and its width is the base of an isosceles triangle."""
    plan = one("taper: {towards: end, width: 100 mm, sides: [upper edge]}\nedges: {upper face: {chamfer: 4 mm}}")
    slope = math.hypot(400, 100)
    assert one("").mass is not None
    whole = (200 + 100) / 2 * 400 * 24
    assert whole - volume(plan) == pytest.approx(slope * 8, rel=0.01)


def test_a_curved_rail_has_its_long_edges_cut() -> None:
    """The chamfer follows the hollow and leaves the ends sharp."""
    plan = one(HOLLOW + "\nedges: {long: {chamfer: 4 mm}}")
    solids = Solids(plan)
    lost = volume(one(HOLLOW)) - solids.part("A").volume
    radius = (200**2 + 25**2) / 50
    arc = 2 * radius * math.asin(200 / radius)
    assert lost == pytest.approx(2 * 8 * (400 + arc), rel=0.01)
    vertices = solids.part("A").mesh().vertices
    end = vertices[vertices[:, 0] < 1e-9]
    assert end[:, 2].min() == pytest.approx(0)
    assert end[:, 2].max() == pytest.approx(24)


def test_facets_of_an_arc_and_a_round_over_are_one_face() -> None:
    mesh = Solids(one("corners: {radius: 40 mm}\nedges: {face: {round: 6 mm}}")).part("A").mesh()
    assert sorted({mesh.names[k] for k in mesh.labels.tolist()}) == [
        "outline 1",
        "outline 1 face rim",
        "side floor",
        "side mouth",
    ]
    mesh = Solids(one("edges: {face upper: {round: 6 mm}}")).part("A").mesh()
    assert len({k for k in mesh.labels.tolist() if mesh.names[k] == "edge cut 1"}) == 1


def test_the_overall_size_is_that_of_the_shaped_pieces() -> None:
    plan = one(
        "corners: {radius: 100 mm}",
        length="200 mm",
        more=("assemblies:\n  lid: {parts: [seat], place: {at: [0 mm, 0 mm, 0 mm], turn: 45 deg about z}}\n"),
    )
    assert [float(c) for c in plan.overall] == pytest.approx([200, 200, 24], abs=0.02)


CURVED = (
    "outline: {start: [0 mm, 0 mm], path: [{line: [400 mm, 0 mm]}, {line: [400 mm, 60 mm]},"
    " {round: {to: [0 mm, 200 mm], radius: 700 mm}}]}"
)


def pair(second_place: str, keys: str = CURVED) -> SolvedPlan:
    """Two pieces of one shape, placed apart."""
    lines = f"    material: slab\n    length: 400 mm\n    width: 200 mm\n    {keys}\n"
    first = "    place: {corner: [0 mm, 0 mm, 0 mm], length: +x, width: +y}\n"
    second = f"    place: {second_place}\n"
    return small_plan(STOCK + f"parts:\n  arm:\n{lines}{first}  other:\n{lines}{second}")


@pytest.mark.parametrize(("length", "width"), [("-x", "-y"), ("+y", "-x"), ("-x", "+y"), ("+z", "+x")])
def test_a_shape_is_the_same_however_it_is_turned(length: str, width: str) -> None:
    """A flat shape turned over is the same shape: left and right arms are one part."""
    plan = pair(f"{{corner: [900 mm, 900 mm, 0 mm], length: {length}, width: {width}}}")
    assert [part.count for part in plan.parts] == [2]
    solids = Solids(plan)
    first, second = (solids.piece(name) for name in ("arm", "other"))
    assert first.volume == pytest.approx(second.volume)
    drawn = {"+x": 0, "-x": 0, "+y": 1, "-y": 1, "+z": 2, "-z": 2}
    low, high = second.bounds
    assert (high - low)[[drawn[length], drawn[width]]] == pytest.approx([400, 200], abs=0.02)


@pytest.mark.parametrize(
    ("keys", "hands"),
    [
        (CURVED, [""]),  # turned over it is its own mirror image
        (CURVED + "\n    edges: {face: {chamfer: 4 mm}}", ["left", "right"]),
        ("corners: {radius: 30 mm}\n    edges: {face: {chamfer: 4 mm}}", [""]),
        ("taper: {towards: end, width: 90 mm, thickness: 15 mm, sides: [upper edge, face]}", ["left", "right"]),
        ("taper: {towards: end, width: 90 mm, thickness: 15 mm, sides: [upper edge]}", [""]),
        ("outline: {on: edge, start: [0 mm, 0 mm], path: [{line: [400 mm, 0 mm]}, {line: [0 mm, 24 mm]}]}", [""]),
        (
            "outline: {start: [0 mm, 0 mm], path: [{curve: {through: [[150 mm, 19 mm], [300 mm, 24 mm]],"
            " to: [400 mm, 60 mm]}}, {line: [0 mm, 200 mm]}]}\n    edges: {upper face: {round: 4 mm}}",
            ["left", "right"],
        ),
    ],
)
def test_a_mirrored_piece_is_the_mirror_image(keys: str, hands: list[str]) -> None:
    """The solid that stands in the mirrored assembly is the mirrored solid, whichever part it is found to be."""
    plan = small_plan(
        STOCK + f"parts:\n  arm:\n    material: slab\n    length: 400 mm\n    width: 200 mm\n    {keys}\n"
        "    place: {corner: [50 mm, 20 mm, 10 mm], length: +x, width: +y}\n"
        "assemblies:\n  side: {parts: [arm], place: [{at: [0 mm, 0 mm, 0 mm]}, {mirror: x}]}\n"
    )
    assert [part.hand for part in plan.parts] == hands
    first, second = (Solids(plan).piece(name) for name in plan.pieces)
    mirrored = first.moved(axes=((-1, 0, 0), (0, 1, 0), (0, 0, 1)))
    assert second.volume == pytest.approx(first.volume, rel=1e-9)
    assert overlap_volume(mirrored, second) == pytest.approx(first.volume, rel=1e-6)


def test_another_shape_is_another_part() -> None:
    plan = pair("{corner: [900 mm, 900 mm, 0 mm], length: +x, width: +y}", "corners: {radius: 20 mm + thickness}")
    assert [part.count for part in plan.parts] == [2]
    keys = "corners: {radius: 20 mm}"
    lines = f"    material: slab\n    length: 400 mm\n    width: 200 mm\n    {keys}\n"
    other = lines.replace("20 mm}", "21 mm}")
    plan = small_plan(
        STOCK
        + f"parts:\n  arm:\n{lines}    place: {{corner: [0 mm, 0 mm, 0 mm], length: +x, width: +y}}\n"
        + f"  other:\n{other}    place: {{corner: [0 mm, 0 mm, 99 mm], length: +x, width: +y}}\n"
    )
    assert [part.count for part in plan.parts] == [1, 1]


@pytest.mark.parametrize(
    ("keys", "message"),
    [
        (
            "outline: {start: [0 mm, 0 mm], path: [{line: [410 mm, 0 mm]}, {line: [0 mm, 100 mm]}]}",
            "the outline of 'seat' reaches 410.00 mm along its length, which runs from 0 to 400.00 mm",
        ),
        (
            "outline: {start: [0 mm, 0 mm], path: [{line: [400 mm, 200 mm]}, {line: [400 mm, 0 mm]},"
            " {line: [0 mm, 150 mm]}]}",
            "the outline of 'seat' crosses itself near (171.4 mm, 85.7 mm)",
        ),
        (
            "outline: {start: [0 mm, 0 mm], path: [{round: {to: [400 mm, 0 mm], radius: 100 mm}}]}",
            "the outline of 'seat': its ends are 400.00 mm apart, more than twice its radius of 100.00",
        ),
        ("outline: {start: [0 mm, 0 mm], path: [{line: [9 mm, 9 mm]}]}", "the outline of 'seat' encloses nothing"),
        ("corners: {radius: 101 mm}", "the corners of 'seat': its cuts need 202.00 mm of a side of 200.00 mm"),
        (
            "taper: {towards: end, width: 200 mm}",
            "the taper of 'seat' ends with a width of 200 mm; the stick has 200 mm",
        ),
        (
            "taper: [{towards: end, width: 20 mm, begins: 150 mm}, {towards: start, width: 20 mm, begins: 200 mm}]",
            "the two tapers of 'seat' run into each other",
        ),
        (
            "edges: {long: {round: 13 mm}}",
            "the cuts along the edges of 'seat' need 26.00 mm of its 24.00 mm across the lower edge",
        ),
        (
            "corners: {radius: 20 mm}\nedges: {start lower: {chamfer: 2 mm}}",
            "'seat' has no edge 'start lower' any more: its outline goes through there",
        ),
        (
            "corners: {radius: 4 mm}\nedges: {face: {chamfer: 5 mm}}",
            "the edges of 'seat': the outline turns too sharply for a cut of this size along its edge",
        ),
        (
            "corners: {radius: 40 mm}\nedges: {upper face: {chamfer: 5 mm}}",
            "the edges of 'seat': the cut along the face ends where the outline runs on smoothly; name all of it",
        ),
    ],
)
def test_faults(keys: str, message: str) -> None:
    assert told(keys) == message


def test_an_outline_that_does_not_fill_its_stick_is_worth_a_warning() -> None:
    plan = one("outline: {start: [0 mm, 10 mm], path: [{line: [400 mm, 10 mm]}, {line: [200 mm, 200 mm]}]}")
    assert [w.message for w in plan.warnings] == [
        "the outline of 'seat' runs from 10.0 to 200.0 mm along its width, which is 200.0 mm"
    ]


STOOL = """
planes: {floor: z = 0 mm, underside: z = 230 mm}
materials:
  slab: {form: sheet, species: white oak, thickness: 30 mm}
  square: {form: board, species: white oak, thickness: 36 mm, width: 36 mm}
parts:
  seat:
    material: slab
    length: 400 mm
    width: 240 mm
    place: {corner: [-200 mm, -120 mm, 230 mm], length: +x, width: +y}
    corners: {radius: 38 mm}
  leg:
    material: square
    place:
      to: [x * 140 mm, y * 70 mm, 230 mm]
      lean: {x: -x * 7 deg, y: -y * 10 deg}
      rise: 230 mm
      width: +x
    repeat: {x: [-1, 1], y: [-1, 1]}
    trim: {start: floor, end: underside}
    taper: {towards: start, width: 26 mm, thickness: 26 mm, begins: 60 mm}
"""


def test_legs_splayed_two_ways_are_two_pairs_of_mirror_images() -> None:
    plan = small_plan(STOOL)
    seat, left, right = plan.parts
    assert (seat.hand, left.hand, right.hand) == ("", "left", "right")
    assert right.mirror_of == left.letter
    # opposite legs (across the middle) are alike
    assert (left.pieces, right.pieces) == (("leg[0]", "leg[3]"), ("leg[1]", "leg[2]"))
    solids = Solids(plan)
    for name, piece in plan.pieces.items():
        if piece.name == "leg":
            low, high = solids.piece(name).bounds
            assert (low[2], high[2]) == pytest.approx((0, 230), abs=1e-6)
            x, y = (piece.frame.x[i] / piece.frame.x[2] for i in (0, 1))
            assert abs(x) == pytest.approx(math.tan(math.radians(7)), abs=1e-9)
            assert abs(y) == pytest.approx(math.tan(math.radians(10)), abs=1e-9)
    assert left.ends[0].side is Side.NEAR_END


def test_wedged_tenons_of_splayed_legs_keep_the_pairs() -> None:
    """The saw kerfs for the wedges lean through the tenons; from which side they are told does not make other legs."""
    through = STOOL.replace("z = 230 mm", "z = 260 mm").replace("y * 70 mm, 230 mm]", "y * 70 mm, 260 mm]")
    joint = "{kind: mortise and tenon, tenon: leg, mortise: seat, thickness: 18 mm, width: 24 mm, wedges: 1}"
    plan = small_plan(through.replace("rise: 230 mm", "rise: 260 mm") + f"joints:\n  seats: {joint}\n")
    legs = [part for part in plan.parts if part.name == "leg"]
    assert [(part.hand, part.count) for part in legs] == [("left", 2), ("right", 2)]
    assert any(notch.role == "kerf" for notch in legs[0].notches)
    solids = Solids(plan)
    seat = solids.piece("seat")
    assert all(overlap_volume(solids.piece(f"leg[{k}]"), seat) < 1e-3 for k in range(4))
    assert len({round(solids.piece(f"leg[{k}]").common(seat).volume, 6) for k in range(4)}) == 1


def test_plain_legs_cut_parallel_are_all_alike() -> None:
    """A stick with parallel ends is its own mirror image: turned about its middle it fits the other side."""
    plain = small_plan(
        STOOL.replace("    taper: {towards: start, width: 26 mm, thickness: 26 mm, begins: 60 mm}\n", "")
    )
    assert [(part.hand, part.count) for part in plain.parts] == [("", 1), ("", 4)]


def test_a_leaning_place_is_its_two_ends() -> None:
    plan = small_plan(STOOL)
    by_ends = STOOL.replace(
        "      lean: {x: -x * 7 deg, y: -y * 10 deg}\n      rise: 230 mm\n",
        "      from: [x * (140 mm + 230 mm * tan(7 deg)), y * (70 mm + 230 mm * tan(10 deg)), 0 mm]\n",
    )
    assert by_ends != STOOL
    other = small_plan(by_ends)
    assert [p.frame for p in other.pieces.values()] == [p.frame for p in plan.pieces.values()]


def test_a_lean_beyond_reason_is_refused() -> None:
    with pytest.raises(PlanFaults, match="leans by at most 80 degrees"):
        small_plan(STOOL.replace("7 deg", "85 deg"))


sizes = st.integers(1, 120)


@settings(deadline=None, derandomize=True, max_examples=60)
@given(
    sizes, sizes, sizes, sizes, st.sampled_from(["round", "chamfer"]), st.sampled_from(["all", "long", "face", "ends"])
)
def test_any_sizes_give_a_sound_solid_or_a_clear_fault(
    radius: int, width: int, begins: int, size: int, kind: str, group: str
) -> None:
    keys = (
        f"corners: {{radius: {radius} mm}}\n"
        f"taper: {{towards: start, width: {width} mm, begins: {begins} mm}}\n"
        f"edges: {{{group}: {{{kind}: {size} / 8 * 1 mm}}}}"
    )
    plan = None
    codes = {"shape"}
    try:
        plan = one(keys, "180 mm", "100 mm")
    except PlanFaults as faults:
        codes = {d.code for d in faults.diagnostics if d.place is not None}
    assert codes == {"shape"}
    if plan is None:
        return
    solid = Solids(plan).part("A")
    assert len(solid.parts()) == 1
    assert 0 < solid.volume < 180 * 100 * 24
    assert plan.mass is not None
