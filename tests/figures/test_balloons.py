"""Balloons and leaders of the exploded view: where they stand and what they must not cross."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from shapely.geometry import LineString, Point, Polygon

from planpress.base.display import Path, Role
from planpress.figures.clearance import findings
from planpress.figures.exploded import exploded
from planpress.figures.leaders import (
    COUNT_BELOW,
    COUNT_PITCH,
    DOT_RADIUS,
    NOWHERE,
    Obstacles,
    Sites,
    Spot,
    Target,
    Wishes,
    choose,
    covered,
    distances,
    near,
    spots_inside,
)
from planpress.figures.marks import BALLOON_RADIUS
from tests.figures.measure import MEASURE
from tests.figures.picture_cases import (
    CASES,
    balloon_centres,
    case,
    dots,
    exploded_figure,
    letters_of,
    names_of,
    of_role,
    seen_area,
    straight,
)

NO_LINES = np.zeros((0, 2, 2))


@pytest.mark.parametrize("name", CASES)
def test_no_leader_crosses_another_leader_or_a_trail_line(name: str) -> None:
    figure = exploded_figure(name)
    leaders = straight(of_role(figure.items, Role.LEADER))
    trails = straight(of_role(figure.items, Role.TRAIL))
    assert len(leaders) == len(letters_of(case(name)))
    assert trails
    assert not [1 for a, b in itertools.combinations(leaders, 2) if a.intersects(b)]
    assert not [1 for a in leaders for b in trails if a.intersects(b)]


@pytest.mark.parametrize("name", CASES)
def test_each_letter_has_one_balloon_with_its_number(name: str) -> None:
    one, figure = case(name), exploded_figure(name)
    centres = balloon_centres(figure)
    assert sorted(centres) == sorted(letters_of(one))
    assert all(len(found) == 1 for found in centres.values())
    for letter, (centre,) in centres.items():
        own = [item.string for item in figure.items if item.source == letter and hasattr(item, "string")]
        assert own == [letter, f"\u00d7\u00a0{len(names_of(one, letter))}"]
        bought = [fastener.letter for fastener in one.plan.fasteners]
        shapes = [item for item in of_role(figure.items, Role.BALLOON) if item.source == letter]
        assert isinstance(shapes[0], Path) == (letter in bought), centre


@pytest.mark.parametrize("name", CASES)
def test_balloons_and_counts_lie_in_the_frame_and_apart(name: str) -> None:
    figure = exploded_figure(name)
    centres = [found[0] for found in balloon_centres(figure).values()]
    for a, b in itertools.combinations(centres, 2):
        assert a.distance(b) >= COUNT_PITCH - 1e-9
    for centre in centres:
        assert BALLOON_RADIUS <= centre.x <= figure.width - BALLOON_RADIUS
        assert COUNT_BELOW + 1.5 <= centre.y <= figure.height - BALLOON_RADIUS
    for letter, (centre,) in balloon_centres(figure).items():
        for item in of_role(figure.items, Role.LEADER):
            if isinstance(item, Path) and item.source != letter:
                (leader,) = straight([item])
                assert leader.distance(centre) > BALLOON_RADIUS


@pytest.mark.parametrize("name", CASES)
def test_dots_lie_within_what_is_seen_of_their_part(name: str) -> None:
    one, figure = case(name), exploded_figure(name)
    found = dots(figure)
    bought = [fastener.letter for fastener in one.plan.fasteners]
    assert sorted(found) == sorted(letters_of(one))
    for letter, dot in found.items():
        area = seen_area(figure, names_of(one, letter))
        assert area.contains(dot)
        if letter not in bought:  # screws are slimmer than a dot
            assert area.boundary.distance(dot) > DOT_RADIUS


@pytest.mark.parametrize("name", CASES)
def test_balloons_stand_clear_of_the_pieces(name: str) -> None:
    one, figure = case(name), exploded_figure(name)
    everything = seen_area(figure, [*one.plan.pieces, *one.scenes.fasteners])
    for (centre,) in balloon_centres(figure).values():
        assert everything.distance(centre) > BALLOON_RADIUS + 1
        assert everything.distance(Point(centre.x, centre.y - COUNT_BELOW)) > 2


@pytest.mark.parametrize("name", CASES)
def test_the_layout_check_finds_nothing(name: str) -> None:
    assert findings(exploded_figure(name), MEASURE) == []


@pytest.mark.parametrize("name", ["inches", "low"])
@pytest.mark.parametrize("height", [70.0, 80.0, 200.0])
def test_low_and_high_frames_are_as_good(name: str, height: float) -> None:
    """Eight balloons in a frame so low that each column holds five at most."""
    one = case(name)
    figure = exploded(one.plan, one.solids, one.scenes, 180.0, height)
    leaders = straight(of_role(figure.items, Role.LEADER))
    trails = straight(of_role(figure.items, Role.TRAIL))
    assert len(leaders) == len(letters_of(one))
    assert not [1 for a, b in itertools.combinations(leaders, 2) if a.intersects(b)]
    assert not [1 for a in leaders for b in trails if a.intersects(b)]
    assert findings(figure, MEASURE) == []


@pytest.mark.parametrize("name", ["inches", "millimetres", "stool"])
def test_leaders_are_neither_level_nor_plumb(name: str) -> None:
    for leader in straight(of_role(exploded_figure(name).items, Role.LEADER)):
        (x, y), (u, v) = leader.coords
        assert min(abs(u - x), abs(v - y)) > 0.05 * leader.length


def test_spots_are_the_middles_of_a_slim_region() -> None:
    bar = [[(0.0, 0.0), (40.0, 0.0), (40.0, 4.0), (0.0, 4.0)]]
    spots = spots_inside(bar, (0.25, 0.5))
    assert [(spot.x, spot.y) for spot in spots] == [pytest.approx((10, 2)), pytest.approx((20, 2))]
    assert [spot.clearance for spot in spots] == [pytest.approx(2.0)] * 2


def test_spots_keep_out_of_holes() -> None:
    frame = [
        [(0.0, 0.0), (30.0, 0.0), (30.0, 10.0), (0.0, 10.0)],
        [(10.0, 2.0), (10.0, 9.0), (20.0, 9.0), (20.0, 2.0)],
    ]
    spots = spots_inside(frame, (0.1, 0.5, 0.9))
    assert (spots[1].x, spots[1].y) == pytest.approx((15.0, 1.0))
    assert spots[1].clearance == pytest.approx(1.0)


def test_distances_and_covered_agree_with_shapely() -> None:
    rng = np.random.default_rng(7)
    corners = np.array([(0.0, 0.0), (30.0, 5.0), (22.0, 30.0), (12.0, 14.0), (-4.0, 25.0)])
    lines = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
    points = rng.uniform(-10, 40, (300, 2))
    ring = LineString([*corners, corners[0]])
    assert distances(points, lines) == pytest.approx([ring.distance(Point(p)) for p in points])
    area = Polygon(corners)
    assert near(points, lines, 3.0).tolist() == [ring.distance(Point(p)) <= 3.0 for p in points]
    assert covered(points, lines).tolist() == [area.contains(Point(p)) for p in points]


def test_counted_crossings_agree_with_shapely() -> None:
    rng = np.random.default_rng(3)
    lines, trails = rng.uniform(0, 100, (40, 2, 2)), rng.uniform(0, 100, (9, 2, 2))
    dots_, centres = rng.uniform(0, 100, (12, 2)), rng.uniform(0, 100, (25, 2))
    obstacles = Obstacles(lines, lines, trails, [])
    for found, drawn in zip(obstacles.crossings(dots_, centres), (obstacles.lines, obstacles.trails), strict=True):
        judged = [
            [sum(LineString([dot, centre]).crosses(LineString(each)) for each in drawn) for centre in centres]
            for dot in dots_
        ]
        assert found.tolist() == judged


def test_leaders_are_chosen_together_so_that_they_do_not_cross() -> None:
    """Each target alone would take the nearer site and the two leaders would cross."""
    sites = Sites.at([(0.0, 0.0), (0.0, 20.0)])
    targets = [
        Target("A", (Spot(30.0, 11.0, 2.0),)),
        Target("B", (Spot(30.0, 4.0, 2.0),)),
    ]
    obstacles = Obstacles(NO_LINES, NO_LINES, NO_LINES, [])
    leaders, _ = choose(targets, sites, obstacles, Wishes())
    assert [leader.letter for leader in leaders] == ["A", "B"]
    assert leaders[0].centre == (0.0, 20.0)
    assert leaders[1].centre == (0.0, 0.0)


def test_spare_sites_are_used_only_if_the_others_are_blocked() -> None:
    targets = [Target("A", (Spot(50.0, 10.0, 2.0),))]
    sites, spare = Sites.at([(0.0, 22.0)]), Sites.at([(66.0, 18.0)])
    free = Obstacles(NO_LINES, NO_LINES, NO_LINES, [])
    assert choose(targets, sites, free, Wishes(), spare)[0][0].centre == (0.0, 22.0)
    wall = np.array([[(20.0, -50.0), (20.0, 50.0)]] * 6)
    blocked = Obstacles(wall, NO_LINES, NO_LINES, [])
    assert choose(targets, sites, blocked, Wishes(), spare)[0][0].centre == (66.0, 18.0)


def test_a_target_that_is_not_seen_is_an_error() -> None:
    obstacles = Obstacles(NO_LINES, NO_LINES, NO_LINES, [])
    with pytest.raises(ValueError, match="nothing of Q is seen"):
        choose([Target("Q", ())], Sites.at([(0.0, 0.0)]), obstacles, Wishes())
    with pytest.raises(ValueError, match="no place"):
        choose([Target("A", (Spot(0.0, 0.0, 1.0),))], NOWHERE, obstacles, Wishes())
