"""Joint details: which joints are unlike, how they are taken apart, what is dotted, hatched and dimensioned."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from shapely.geometry import Point as ShapelyPoint
from shapely.geometry import Polygon

from planpress.base.display import Figure, Hatch, Path, Role, Text
from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.base.printing import Units
from planpress.figures.clearance import findings
from planpress.figures.extents import bounds
from planpress.figures.joint_details import APART, CLOSED, SECTION, JointDetail, joint_details
from planpress.figures.joint_groups import joint_groups, meetings
from planpress.figures.joint_marks import _clear
from planpress.figures.joint_pictures import best_apart
from planpress.figures.joint_solids import GLUE_GAP, Surface, kept_part, stub
from planpress.figures.scenes import Scenes
from planpress.geometry.solids import box, overlap_volume
from planpress.model.solids import Solids
from planpress.writers.pdf.fonts import Metrics
from tests.figures.joint_cases import BODIES, details, joint_plan
from tests.plans import solved_stand, stand_solids

MEASURE = Metrics()


def stand_details(units: Units) -> tuple[JointDetail, ...]:
    paper = "letter" if units is Units.IMPERIAL else "a4"
    return joint_details(solved_stand(units), stand_solids(units), Edition(units, paper), MEASURE)


def figures(detail: JointDetail) -> tuple[Figure, Figure, Figure]:
    return (detail.apart, detail.closed, detail.section)


def hatches(figure: Figure) -> set[tuple[str, float]]:
    """(source, angle) of everything hatched."""
    return {(i.source, i.fill.angle) for i in figure.items if isinstance(i, Path) and isinstance(i.fill, Hatch)}


def dotted(figure: Figure) -> list[Path]:
    return [i for i in figure.items if isinstance(i, Path) and i.role is Role.HATCH and isinstance(i.fill, str)]


def sizes(figure: Figure) -> list[str]:
    return sorted(i.string for i in figure.items if isinstance(i, Text) and i.size == 11.0)


# --- groups -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("units", list(Units))
def test_the_stand_has_four_unlike_joints(units: Units) -> None:
    """9 slats cross 3 bearers; 2 frames have 2 ends of a rail and of a pinned spreader each; 6 screws."""
    groups = joint_groups(solved_stand(units))
    assert [(g.first.main.kind, g.count, g.letters(0), g.letters(1)) for g in groups] == [
        ("cross lap", 27, ("A",), ("B",)),
        ("end lap", 4, ("E",), ("C", "D")),
        ("end lap", 4, ("F",), ("C", "D")),
        ("screw", 6, ("E",), ("A",)),
    ]
    assert [g.mirrored() for g in groups] == [(), (("D", "C"),), (("D", "C"),), ()]
    assert [[place.kind for place in g.first.joints] for g in groups][2] == ["end lap", "dowel"]


def test_every_pair_that_is_joined_is_in_one_group() -> None:
    plan = solved_stand()
    pairs = {frozenset((place.first, place.second)) for place in plan.joints}
    grouped = [frozenset(m.piece for m in one.members) for g in joint_groups(plan) for one in g.meetings]
    assert len(grouped) == len(set(grouped))
    assert set(grouped) == pairs


def test_a_meeting_has_the_cuts_of_its_own_place_only() -> None:
    """A slat has three notches, but one for each bearer."""
    for meeting in meetings(solved_stand()):
        if meeting.main.kind == "cross lap":
            assert [len(member.notches) for member in meeting.members] == [1, 1]
            assert [member.part.letter for member in meeting.members] == ["A", "B"]


def test_a_spline_belongs_to_its_mitre() -> None:
    groups = joint_groups(joint_plan("mitre"))
    assert [group.first.main.kind for group in groups] == ["mitre"]
    assert [member.part.label for member in groups[0].first.loose] == ["Spline"]


# --- taken apart ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", BODIES)
def test_pieces_apart_are_clear_of_each_other(name: str) -> None:
    plan = joint_plan(name)
    scenes = Scenes(plan, Solids(plan))
    for group in joint_groups(plan):
        apart = best_apart(scenes, group)
        moved = [part.solid.moved(offset) for part, offset in zip(apart.stubs, apart.offsets, strict=True)]
        for a, b in itertools.combinations(moved, 2):
            assert overlap_volume(a, b) < 1e-6
        first, second = apart.stubs[:2]
        assert overlap_volume(first.solid, second.solid) < 1e-3
        way = apart.way
        assert (moved[0].mesh().vertices @ way).max() < (moved[1].mesh().vertices @ way).min()


def test_a_long_joint_is_shown_at_one_end() -> None:
    plan = joint_plan("housing")
    apart = best_apart(Scenes(plan, Solids(plan)), joint_groups(plan)[0])
    low, high = apart.stubs[1].solid.bounds
    assert high[1] - low[1] < 100  # of 200 mm
    assert "sawn off" in {apart.stubs[1].mesh.names[label] for label in apart.stubs[1].mesh.labels}


def test_dots_stand_where_glue_goes() -> None:
    assert dotted(details("butt")[0].apart) == []
    for name in ("blind tenon", "housing", "finger joint", "dovetail", "mitre"):
        assert dotted(details(name)[0].apart), name


def test_touching_agrees_with_a_second_library() -> None:
    """A face above a notched block: points over wood touch it, points over the notch do not."""
    block = box(60, 40, 20).minus(box(20, 60, 10).moved((20, -10, 12)))
    surface = Surface.of(stub("block", block).mesh)
    wood = Polygon([(0, 0), (20, 0), (20, 40), (0, 40)]).union(Polygon([(40, 0), (60, 0), (60, 40), (40, 40)]))
    random = np.random.default_rng(3)
    points = np.column_stack([random.uniform(-10, 70, 400), random.uniform(-10, 50, 400), np.full(400, 20.0)])
    found = surface.touches(points, np.array([0.0, 0.0, -1.0]))
    assert found.tolist() == [wood.contains(ShapelyPoint(x, y)) for x, y, _ in points]
    assert not surface.touches(points + np.array([0.0, 0.0, GLUE_GAP * 1.1]), np.array([0.0, 0.0, -1.0])).any()
    assert not surface.touches(points, np.array([0.0, 0.0, 1.0])).any()


def test_what_is_kept_of_a_face_agrees_with_a_second_library() -> None:
    square = [(0.0, 0.0, 0.0), (10.0, 0.0, 0.0), (10.0, 10.0, 0.0), (0.0, 10.0, 0.0)]
    saw = (np.array([7.0, 0.0, 0.0]), np.array([0.6, 0.8, 0.0]))
    left = kept_part(square, [stub("piece", box(1, 1, 1), [saw])])
    half = Polygon([(-100, -100), ((4.2 + 80) / 0.6, -100), (-100, (4.2 + 60) / 0.8)])  # 0.6 x + 0.8 y <= 4.2
    expected = Polygon([(x, y) for x, y, _ in square]).intersection(half)
    kept = Polygon([(x, y) for x, y, _ in left])
    assert kept.symmetric_difference(expected).area < 1e-6
    assert kept.area == pytest.approx(7 * 5.25 / 2)


# --- sections, layout, words ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", BODIES)
def test_sections_hatch_every_piece_its_own_way(name: str) -> None:
    for detail in details(name):
        found = hatches(detail.section)
        assert len({angle for _, angle in found}) == len({source for source, _ in found}) >= 2


SECTIONS = {
    # a tenon of 21 / 3 mm with 0.2 mm of clearance, on a grid of half millimetres; 30 mm long and 2 mm of room
    "blind tenon": ["32", "\u2248\u00a07"],
    "housing": ["18", "6"],
    "rabbet": ["18", "6"],
    "dowels": ["12", "20"],
    # five fingers share 100 mm
    "finger joint": ["18", "20"],
}


@pytest.mark.parametrize("name", SECTIONS)
def test_sections_carry_the_sizes_of_the_plan(name: str) -> None:
    assert sizes(details(name)[0].section) == SECTIONS[name]


@pytest.mark.parametrize("units", list(Units))
def test_the_lap_of_the_stand_is_dimensioned(units: Units) -> None:
    """Sticks of 3/4 x 1 1/2 in, or 18 x 38 mm: half of the width deep, the thickness wide."""
    section = stand_details(units)[0].section
    expected = ["3/4"] * 3 if units is Units.IMPERIAL else ["18", "19", "19"]
    assert [plain(text) for text in sizes(section)] == expected
    assert section.scale == 1


@pytest.mark.parametrize("name", BODIES)
def test_details_have_no_layout_faults(name: str) -> None:
    for detail in details(name):
        for figure, frame in zip(figures(detail), (APART, CLOSED, SECTION), strict=True):
            assert findings(figure, MEASURE) == [], (name, figure.alt)
            left, low, right, high = bounds(figure.items, MEASURE)
            assert right - left <= frame[0] + 0.5
            assert high - low <= frame[1] + 0.5
            assert figure.alt


@pytest.mark.parametrize("units", list(Units))
def test_details_of_the_stand_have_no_layout_faults(units: Units) -> None:
    for detail in stand_details(units):
        for figure in figures(detail):
            assert findings(figure, MEASURE) == [], figure.alt


def words(detail: JointDetail) -> str:
    return plain(" ".join(f"{note.bold} {note.rest}" for note in detail.notes)).replace("\u00a0", " ")


def test_words_of_a_tenon_say_tenon_mortise_and_clearance() -> None:
    said = words(details("blind tenon")[0])
    assert "Tenon on B: 7 × 70, 30 long." in said
    assert "32 deep" in said
    assert "0.2 of clearance" in said
    assert "The tenon ends 2 above the bottom." in said
    assert "B closes from the right. Glue the dotted faces." in said


def test_words_of_the_stand() -> None:
    first, second, third, fourth = stand_details(Units.IMPERIAL)
    assert first.where.replace("\u00a0", " ") == "27 places: slats over bearers"
    assert "Notch in A: 3/4 wide, as B is thick, 3/4 deep, half of 1 1/2." in words(first)
    assert "A closes from above." in words(first)
    assert second.title == "End lap, 6° skew"
    assert "D is the mirror image of C." in words(second)
    assert third.title == "End lap, 6° skew, with dowel"
    assert "H: dowel" in words(third)
    assert "Driven through E into A. No glue." in words(fourth)


def test_details_are_the_same_each_time() -> None:
    assert stand_details(Units.METRIC) == stand_details(Units.METRIC)


def test_what_is_clear_of_lines_agrees_with_shapely() -> None:
    generator = np.random.default_rng(7)
    points = generator.uniform(0.0, 60.0, (400, 2))
    lines = generator.uniform(0.0, 60.0, (12, 2, 2))
    lines[0, 1] = lines[0, 0]  # a line of no length
    for room in (0.6, 2.2, 9.0):
        strings = [shapely.LineString(ends) for ends in lines]
        expected = [all(shapely.Point(p).distance(s) >= room for s in strings) for p in points]
        assert _clear(points, lines, room).tolist() == expected
        assert 0 < sum(expected) < len(points)
    assert _clear(points, lines[:0], 2.0).all()
