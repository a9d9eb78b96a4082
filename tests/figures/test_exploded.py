"""The exploded view: pieces part along their joints, clear of each other, and trail lines show how they return."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from planpress.base.display import Role
from planpress.figures.exploded import exploded, trail_lines
from planpress.figures.explosion import Explosion, Link, explode, ways_by_key
from planpress.figures.scenes import FRONT_LEFT, Placed, Scenes
from planpress.geometry.solids import Solid, overlap_volume
from planpress.geometry.vectors import floats
from tests.figures.picture_cases import CASES, Case, case, exploded_figure, of_role, straight
from tests.plans import stand_solids

BOX = (136.0, 140.0)


def parted(one: Case) -> Explosion:
    """The case taken apart."""
    return explode(one.scenes, FRONT_LEFT, BOX)


def moved_solids(one: Case, explosion: Explosion) -> dict[str, Solid]:
    """Every piece and fastener where the exploded view has it."""
    solids = {name: one.solids.piece(name) for name in one.plan.pieces}
    solids |= {name: one.scenes.fastener_solid(name) for name in one.scenes.fasteners}
    return {name: solid.moved(explosion.offsets[name]) for name, solid in solids.items()}


@pytest.mark.parametrize("name", CASES)
def test_nothing_runs_into_anything_else(name: str) -> None:
    one = case(name)
    solids = moved_solids(one, parted(one))
    assert len(solids) == len(one.plan.pieces) + len(one.scenes.fasteners)
    for a, b in itertools.combinations(solids.values(), 2):
        assert overlap_volume(a, b) < 1e-6


@pytest.mark.parametrize("name", CASES)
def test_every_joint_is_open(name: str) -> None:
    """Along the way it closes, the first piece ends before the second begins."""
    one = case(name)
    explosion = parted(one)
    solids = moved_solids(one, explosion)
    opened = 0
    for place in one.plan.joints:
        way = np.array(floats(place.direction))
        off = np.subtract(explosion.offsets[place.first], explosion.offsets[place.second])
        if place.kind not in ("dowel", "screw"):
            first = solids[place.first].mesh().vertices @ way
            second = solids[place.second].mesh().vertices @ way
            assert first.max() < second.min()
            opened += 1
        assert off @ way < -1.0
    assert opened or name == "stool"


@pytest.mark.parametrize("name", CASES[:5])
def test_the_row_of_most_pieces_stays_and_all_part_along_their_joints(name: str) -> None:
    one = case(name)
    offsets = parted(one).offsets
    slats = [piece for piece in one.plan.pieces if one.plan.pieces[piece].name == "slat"]
    assert {offsets[slat] for slat in slats} == {(0.0, 0.0, 0.0)}
    for place in one.plan.joints:
        off = np.subtract(offsets[place.second], offsets[place.first])
        way = np.array(floats(place.direction))
        across = off - way * (off @ way)
        if place.kind != "dowel":  # dowels follow the lap they pin
            assert np.abs(across).max() < 1e-5


def test_a_ring_of_joints_opens_evenly_to_both_sides() -> None:
    """A stretcher between two sides under a seat: the sides move out, the stretcher and the seat stay in the middle."""
    one = case("stool")
    offsets = parted(one).offsets
    sides = [piece for piece in one.plan.pieces if one.plan.pieces[piece].name == "side"]
    (left, _, low), (right, _, other) = (offsets[side] for side in sides)
    assert left == pytest.approx(-right)
    assert left < 0 < right
    assert low == other < 0
    stretcher = next(piece for piece in one.plan.pieces if one.plan.pieces[piece].name == "stretcher")
    assert offsets[stretcher] == pytest.approx((0.0, 0.0, low))


def test_links_without_rings_open_as_far_as_asked() -> None:
    links = [
        Link("a", 0, 1, (0.0, 0.0, -1.0), 0.0, ()),
        Link("b", 1, 2, (1.0, 0.0, 0.0), 0.0, ()),
        Link("a", 0, 3, (0.0, 0.0, -1.0), 0.0, ()),
    ]
    ways = ways_by_key(5, links, ["a", "b"], 0)
    moved = ways[:, 0] * 3 + ways[:, 1] * 2
    assert moved == pytest.approx(np.array([(0, 0, 0), (0, 0, -3), (2, 0, -3), (0, 0, -3), (0, 0, 0)]))


@pytest.mark.parametrize("name", CASES)
def test_fasteners_come_straight_out_of_their_holes(name: str) -> None:
    one = case(name)
    offsets = parted(one).offsets
    for fastener, (kind, place) in one.scenes.fasteners.items():
        off = np.subtract(offsets[fastener], offsets[place.first])
        way = np.array(floats(place.direction))
        assert off @ way <= -float(kind.length)
        assert np.abs(off - way * (off @ way)).max() < 1e-6


@pytest.mark.parametrize("name", CASES)
def test_trails_begin_and_end_where_the_two_pieces_meet(name: str) -> None:
    one = case(name)
    explosion = parted(one)
    seats = {p.joint: [] for p in one.plan.joints}  # type: dict[str, list[np.ndarray]]
    for place in one.plan.joints:
        seats[place.joint].append(np.mean([floats(corner) for corner in place.patch], axis=0))
    joints = [trail for trail in trail_lines(one.scenes, explosion) if trail.source in seats]
    assert joints or name == "stool"
    moved = np.array(list(explosion.offsets.values()))
    for trail in joints:
        for end in (trail.stretches[0][0], trail.stretches[-1][1]):
            gaps = [np.abs(seat + moved - np.array(end)).max(axis=1).min() for seat in seats[trail.source]]
            assert min(gaps) < 1e-6


@pytest.mark.parametrize("name", CASES)
def test_the_picture_has_no_open_regions_and_lies_in_its_frame(name: str) -> None:
    one = case(name)
    figure = exploded_figure(name)
    placed = [Placed(thing, offset) for thing, offset in parted(one).offsets.items()]
    assert one.scenes.sight(FRONT_LEFT, placed).regions.bridged == []
    lines = straight([*of_role(figure.items, Role.TRAIL), *of_role(figure.items, Role.OUTLINE)])
    for line in lines:
        low_x, low_y, high_x, high_y = line.bounds
        assert low_x >= 0 <= low_y
        assert high_x <= figure.width
        assert high_y <= figure.height


@pytest.mark.parametrize("units", ["inches", "stool"])
def test_equal_input_gives_an_equal_figure(units: str) -> None:
    one = case(units)
    again = exploded(one.plan, one.solids, Scenes(one.plan, one.solids))
    assert again == exploded_figure(units)


def test_it_says_what_it_shows() -> None:
    figure = exploded_figure("inches")
    assert "Seedling stand, taken apart" in figure.alt
    assert "Slat A × 9" in figure.alt
    assert stand_solids().plan.description.title in figure.alt
