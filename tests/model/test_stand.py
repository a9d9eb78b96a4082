"""The seedling stand: what the model must say of it, worked out by hand or by another library."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import pytest
from shapely.geometry import Polygon

from planpress.base.diagnostics import PlanFaults
from planpress.base.printing import Units
from planpress.base.quantities import INCH
from planpress.geometry.solids import contact_area, overlap_volume, rod
from planpress.geometry.vectors import floats
from planpress.model.records import Purpose, Side
from planpress.model.solids import Solids
from tests.plans import solved_stand, stand_solids

BOTH = (Units.IMPERIAL, Units.METRIC)


@pytest.mark.parametrize("units", BOTH)
@pytest.mark.parametrize("settings", [{}, {"slats": "13"}, {"stick_thick": "0.71 in"}, {"gap": "7/8 in"}])
def test_width_of_the_top_is_slats_and_gaps_exactly(units: Units, settings: dict[str, str]) -> None:
    plan = solved_stand(units, **settings)
    value = {name: plan.values[name].value for name in ("slats", "stick_thick", "gap", "top_width", "proud")}
    expected = value["slats"] * value["stick_thick"] + (value["slats"] - 1) * value["gap"]
    assert value["top_width"] == expected
    slats = [p for p in plan.pieces.values() if p.name == "slat"]
    thick = plan.part("A").thickness
    ys = [y for p in slats for y in (p.frame.origin[1], p.frame.origin[1] + p.frame.z[1] * thick)]
    assert max(ys) - min(ys) == expected
    assert plan.part("B").length == expected + 2 * value["proud"]


def test_parts_and_counts() -> None:
    plan = solved_stand()
    assert [(p.letter, p.label, p.count) for p in plan.parts] == [
        ("A", "Slat", 9),
        ("B", "Bearer", 3),
        ("C", "Leg, left-hand", 2),
        ("D", "Leg, right-hand", 2),
        ("E", "Rail", 2),
        ("F", "Spreader", 2),
    ]
    assert [(f.letter, f.kind, f.count) for f in plan.fasteners] == [("H", "dowel", 4), ("J", "screw", 6)]
    assert plan.part("D").mirror_of == "C"
    assert plan.part("C").mirror_of is None
    assert plan.part("F").fit_in_place
    assert not plan.part("E").fit_in_place


@pytest.mark.parametrize("units", BOTH)
@pytest.mark.parametrize("settings", [{}, {"splay": "9 deg"}, {"height": "24 in", "splay": "3.5 deg"}])
def test_end_bevels_and_lap_shoulders_equal_the_splay(units: Units, settings: dict[str, str]) -> None:
    plan = solved_stand(units, **settings)
    splay = plan.values["splay"].value
    tolerance = Fraction(1, 10**8)
    for letter in "CDEF":
        part = plan.part(letter)
        assert all(abs(abs(end.mitre) - splay) < tolerance and end.bevel == 0 for end in part.ends)
    for letter in "CD":
        notches = plan.part(letter).notches
        assert len(notches) == 2
        assert all(abs(abs(n.skew) - splay) < tolerance for n in notches)


def test_leg_length_by_hand() -> None:
    """Longest length of a stick of width w cut between two level planes h apart, leaning by a: h / cos a + w tan a."""
    plan = solved_stand()
    angle = math.radians(6)
    expected = 28.5 / math.cos(angle) + 1.5 * math.tan(angle)
    assert float(plan.part("C").length / INCH) == pytest.approx(expected, abs=1e-9)


def test_notch_positions_by_hand() -> None:
    plan = solved_stand()
    slat = plan.part("A")
    assert [n.span[0] / INCH for n in slat.notches] == [6, Fraction(157, 8), Fraction(133, 4)]
    assert {n.side for n in slat.notches} == {Side.LOWER}
    assert slat.reference_edge is Side.UPPER
    bearer = plan.part("B")
    assert [n.span[0] / INCH for n in bearer.notches] == [1 + Fraction(3, 2) * k for k in range(9)]
    assert {n.side for n in bearer.notches} == {Side.UPPER}
    for part in (slat, bearer):
        assert {(n.depth / INCH, n.width / INCH) for n in part.notches} == {(Fraction(3, 4), Fraction(3, 4))}


@pytest.mark.parametrize("units", BOTH)
def test_no_two_pieces_share_space_and_glued_laps_touch(units: Units) -> None:
    plan, solids = solved_stand(units), stand_solids(units)
    for a, b in itertools.combinations(plan.pieces, 2):
        assert overlap_volume(solids.piece(a), solids.piece(b)) < 1e-6, (a, b)
    laps = [j for j in plan.joints if j.kind.endswith("lap")]
    assert len(laps) == 27 + 8
    for lap in laps:
        floor = patch_area(lap.patch)
        cheeks = contact_area(solids.piece(lap.first), solids.piece(lap.second))
        assert cheeks >= floor - 0.01, lap


def patch_area(patch: tuple[tuple[Fraction, Fraction, Fraction], ...]) -> float:
    """Area of a flat polygon in space: that of its largest projection over its normal's share, by shapely."""
    points = [floats(p) for p in patch]
    areas = [Polygon([(p[i], p[j]) for p in points]).area for i, j in ((0, 1), (0, 2), (1, 2))]
    return math.sqrt(sum(a * a for a in areas))


@pytest.mark.parametrize("units", BOTH)
def test_part_volumes_by_hand(units: Units) -> None:
    """A slat is its blank less three notches; a leg a sheared bar less two notches of rail width and leg width."""
    plan, solids = solved_stand(units), stand_solids(units)
    slat = plan.part("A")
    blank = slat.length * slat.width * slat.thickness
    notches = 3 * plan.part("B").thickness * slat.width / 2 * slat.thickness
    assert solids.part("A").volume == pytest.approx(float(blank - notches), rel=1e-9)
    leg, rail = plan.part("C"), plan.part("E")
    slope = math.radians(float(plan.values["splay"].value))
    bar = float(plan.values["underside"].value) / math.cos(slope) * float(leg.width * leg.thickness)
    taken = 2 * float(rail.width) * float(leg.width) / math.cos(slope) * float(rail.thickness)
    assert solids.part("C").volume == pytest.approx(bar - taken, rel=1e-9)


def test_overall_size() -> None:
    """The spread at the floor: the top of the legs, twice the lean, and a leg's breadth measured level."""
    plan = solved_stand()
    length, depth, height = plan.overall
    assert (length / INCH, height / INCH) == (40, 30)
    slope = math.radians(6)
    head = 12.75 / 2 - 1.5
    spread = 2 * (head + 28.5 * math.tan(slope)) + 1.5 / math.cos(slope)
    assert float(depth / INCH) == pytest.approx(spread, abs=1e-9)


def test_screws_sit_in_slats_three_five_and_seven_of_each_frame() -> None:
    plan = solved_stand()
    screws = next(f for f in plan.fasteners if f.kind == "screw")
    assert [p.second for p in screws.places] == [
        *("top.slat[2]", "top.slat[4]", "top.slat[6]"),
        *("top.slat[6]", "top.slat[4]", "top.slat[2]"),
    ]
    assert all(p.direction == (0, 0, 1) for p in screws.places)
    pilots = [h for h in plan.part("A").in_place_holes if h.purpose is Purpose.PILOT]
    assert {h.depth for h in pilots} == {INCH}
    rail = plan.part("E")
    assert len(rail.holes) == 3
    assert all(h.at[1] == rail.thickness / 2 for h in rail.holes)


def test_metric_editions_have_hard_sizes() -> None:
    plan = solved_stand(Units.METRIC)
    assert (plan.part("A").thickness, plan.part("A").width, plan.part("A").length) == (18, 38, 1000)
    assert [n.span[0] for n in plan.part("A").notches] == [150, 491, 832]
    assert [n.span[0] for n in plan.part("B").notches] == [25 + 36 * k for k in range(9)]


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({"slats": "4"}, "at least"),
        ({"top_length": "6 ft"}, "at most"),
        ({"top_length": "52"}, "a length, but a count"),
        ({"slotz": "3"}, "no parameter 'slotz'"),
        ({"gap": "1/0 in"}, "setting gap to '1/0 in'"),
        ({"slats": "5"}, "too narrow"),
    ],
)
def test_settings_out_of_reach_are_faults(settings: dict[str, str], words: str) -> None:
    with pytest.raises(PlanFaults) as caught:
        solved_stand(**settings)
    assert any(words in d.message for d in caught.value.diagnostics), caught.value


def test_a_named_size() -> None:
    plan = solved_stand(Units.IMPERIAL, "balcony")
    assert plan.part("A").length == 28 * INCH
    assert plan.part("A").count == 7
    assert set(plan.changed) == {"top_length", "slats"}


def test_solids_agree_with_the_overall_box() -> None:
    plan, solids = solved_stand(), Solids(solved_stand())
    bounds = [solids.piece(i).bounds for i in plan.pieces]
    for axis in range(3):
        assert min(b[0][axis] for b in bounds) == pytest.approx(float(plan.low[axis]), abs=1e-6)
        assert max(b[1][axis] for b in bounds) == pytest.approx(float(plan.high[axis]), abs=1e-6)


@pytest.mark.parametrize("units", BOTH)
def test_pins_are_drilled_into_the_legs_below_their_notches(units: Units) -> None:
    plan, solids = solved_stand(units), stand_solids(units)
    dowel = next(f for f in plan.fasteners if f.kind == "dowel")
    leg = plan.part("C")
    (pin,) = {h for h in leg.in_place_holes if h.purpose is Purpose.DOWEL}
    assert pin.start == plan.part("F").thickness
    assert pin.depth is not None
    bored = solids.part("C").volume - solids.piece(leg.pieces[0]).volume
    # the hole is a many-sided prism in the mesh: within 2 % of the round one
    assert bored == pytest.approx(math.pi / 4 * float(dowel.diameter) ** 2 * float(pin.depth), rel=0.02)


@pytest.mark.parametrize("units", BOTH)
@pytest.mark.parametrize("size", ["", "balcony"])
def test_a_driver_reaches_every_screw(units: Units, size: str) -> None:
    """A rod of the head's size stands before each head and meets no wood; one turned inward meets the rail."""
    plan = solved_stand(units, size)
    solids = Solids(plan)
    screws = next(f for f in plan.fasteners if f.kind == "screw")
    assert screws.count == 6
    for place in screws.places:
        for sign, clear in ((-1, True), (1, False)):
            way = [sign * c for c in floats(place.direction)]
            bar = rod(
                [(0.0, float(screws.head_diameter) / 2), (120.0, float(screws.head_diameter) / 2)],
                floats(place.head),
                way,
            )
            met = [i for i in plan.pieces if overlap_volume(bar, solids.piece(i)) > 1e-3]
            assert (met == []) is clear, (place, met)


def test_counts_and_angles_are_written_plainly_in_faults() -> None:
    with pytest.raises(PlanFaults, match="'slats' is 30; the maker vouches for at most 17"):
        solved_stand(slats="30")
    with pytest.raises(PlanFaults, match="'splay' is 12 deg"):
        solved_stand(splay="12 deg")
