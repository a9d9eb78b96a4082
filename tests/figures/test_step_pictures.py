"""Pictures of steps: what is new, what it meets, what stood before, and what lies upside down."""

from __future__ import annotations

import numpy as np
import pytest

from planpress.base.display import Circle, Figure, Path, Role, points_of
from planpress.figures import style
from planpress.figures.marks import BALLOON_RADIUS
from planpress.figures.scenes import FRONT_LEFT
from planpress.figures.step_pictures import EARLIER_INK, MET_INK, NEW_INK, step_picture
from tests.figures.picture_cases import (
    balloon_centres,
    case,
    dots,
    loops_of,
    names_of,
    of_role,
    seen_area,
    straight,
)

SLATS = [f"top.slat[{k}]" for k in range(9)]
BEARERS = [f"top.bearer[{k}]" for k in range(3)]
RAILS = ["frame[0].rail", "frame[1].rail"]


def lattice(name: str = "inches") -> Figure:
    """Slats laid over the bearers, the front one of them still above."""
    one = case(name)
    return step_picture(
        one.plan,
        one.solids,
        one.scenes,
        new=SLATS[4:],
        in_motion=[(SLATS[4:5], (0.0, 0.0, 60.0))],
        met=BEARERS,
        balloons=["A", "B"],
    )


def screwing(name: str = "inches") -> Figure:
    """The frames screwed to the top, which lies upside down."""
    one = case(name)
    screws = next(f.letter for f in one.plan.fasteners if f.kind == "screw")
    return step_picture(
        one.plan,
        one.solids,
        one.scenes,
        new=[],
        met=RAILS,
        earlier=list(one.plan.pieces),
        fasteners=[screws],
        balloons=[screws],
        turned_over=True,
    )


def tints_of(figure: Figure, name: str) -> set[object]:
    """Colours a piece is filled with."""
    return {i.fill for i in figure.items if isinstance(i, Path) and i.role is Role.TINT and i.source == name}


def test_new_pieces_are_dark_and_what_they_meet_is_light() -> None:
    figure = lattice()
    assert tints_of(figure, SLATS[5]) <= set(NEW_INK.tints)
    assert tints_of(figure, SLATS[4]) <= set(NEW_INK.tints)
    assert tints_of(figure, BEARERS[0]) <= set(MET_INK.tints)
    widths = {i.pen.width for i in figure.items if isinstance(i, Path) and i.role is Role.SILHOUETTE and i.pen}
    assert widths == {style.PIECE, 0.4}  # the piece on its way stands out


def test_earlier_pieces_are_light_lines() -> None:
    figure = screwing()
    assert tints_of(figure, SLATS[0]) <= set(EARLIER_INK.tints)
    greys = {i.pen.colour for i in figure.items if isinstance(i, Path) and i.role is Role.EDGE and i.pen}
    assert greys == {style.GREY_2, style.SECONDARY}


def test_work_lies_upside_down() -> None:
    """The rails were under the slats and are now above them on paper, and every screw stands above its rail."""
    figure = screwing()
    one = case("inches")
    rail = seen_area(figure, RAILS[:1])
    top = seen_area(figure, SLATS)
    assert rail.centroid.y > top.bounds[1]
    legs = [name for name in one.plan.pieces if ".leg" in name]
    assert seen_area(figure, legs).bounds[3] > top.bounds[3]
    for name in names_of(one, "J"):
        area = seen_area(figure, [name])
        if not area.is_empty:
            assert area.bounds[1] > rail.bounds[1]


@pytest.mark.parametrize("name", ["inches", "millimetres", "balcony"])
@pytest.mark.parametrize("picture", [screwing])
def test_balloons_find_room_and_point_to_their_part(name: str, picture: object) -> None:
    assert callable(picture)
    one, figure = case(name), picture(name)
    centres = balloon_centres(figure)
    for letter, dot in dots(figure).items():
        (centre,) = centres[letter]
        assert seen_area(figure, names_of(one, letter)).contains(dot)
        assert BALLOON_RADIUS <= centre.x <= figure.width - BALLOON_RADIUS
        assert BALLOON_RADIUS <= centre.y <= figure.height - BALLOON_RADIUS
        everything = seen_area(figure, [*one.plan.pieces, *one.scenes.fasteners])
        assert everything.distance(centre) > BALLOON_RADIUS
    assert len(dots(figure)) == 1


def test_every_letter_asked_for_gets_its_balloon() -> None:
    figure = lattice()
    assert sorted(balloon_centres(figure)) == ["A", "B"]
    a, b = straight(of_role(figure.items, Role.LEADER))
    assert not a.intersects(b)
    assert not [t for t in figure.items if getattr(t, "string", "").startswith("×")]  # no counts in steps


def test_a_moving_piece_stands_off_by_its_offset() -> None:
    one = case("inches")

    def middle(offset: float) -> float:
        figure = step_picture(
            one.plan, one.solids, one.scenes, new=SLATS[:1], in_motion=[(SLATS[:1], (0.0, 0.0, offset))], met=BEARERS
        )
        slat, bearers = seen_area(figure, SLATS[:1]), seen_area(figure, BEARERS)
        return float(slat.bounds[3] - bearers.bounds[3])

    assert middle(200.0) > middle(60.0) > middle(0.0)


def test_the_picture_has_no_open_regions_and_fits() -> None:
    lattice()
    figure = screwing()
    one = case("inches")
    assert all(sight.regions.bridged == [] for sight in one.scenes.kept())
    points = [p for i in figure.items if isinstance(i, Path) for p in points_of(i.segments)]
    assert min(min(p) for p in points) >= 0
    assert max(p[0] for p in points) <= figure.width
    assert max(p[1] for p in points) <= figure.height


def test_a_short_piece_alone_is_not_blown_up() -> None:
    """A rail of 294 mm would fill the frame; a slat of 1016 mm may."""
    one = case("inches")
    for name, share in ((RAILS[0], 0.8), (SLATS[0], 1.0)):
        figure = step_picture(one.plan, one.solids, one.scenes, new=[name])
        low, bottom, high, top = seen_area(figure, [name]).bounds
        fills = max((high - low) / figure.width, (top - bottom) / figure.height)
        assert fills == pytest.approx(share, abs=0.01)


def test_a_piece_alone_stays_below_its_true_size() -> None:
    """A frame in which a whole rail could be drawn at full size."""
    one = case("inches")
    figure = step_picture(one.plan, one.solids, one.scenes, new=RAILS[:1], width=500.0, height=500.0)
    low, _, high, _ = seen_area(figure, RAILS[:1]).bounds
    wide = np.ptp(one.solids.piece(RAILS[0]).mesh().vertices @ FRONT_LEFT.matrix[0])
    assert (high - low) / wide == pytest.approx(0.6, abs=0.01)


def test_fasteners_stand_out_of_their_holes() -> None:
    """Screws asked for by letter are all there; one asked for by id stands alone."""
    one = case("inches")
    figure = step_picture(one.plan, one.solids, one.scenes, new=RAILS, fasteners=["J[0]"], turned_over=True)
    assert not seen_area(figure, ["J[0]"]).is_empty
    assert seen_area(figure, ["J[1]"]).is_empty
    rails = seen_area(figure, RAILS)
    assert seen_area(figure, ["J[0]"]).difference(rails.buffer(0.5)).area > 0


def test_it_says_what_it_shows() -> None:
    assert "On the way to its place: Slat A × 1" in lattice().alt
    assert "Joined to: Bearer B × 3" in lattice().alt
    alt = screwing().alt
    assert "upside down" in alt
    assert "To be driven: Wood screw, No. 8 J × 6" in alt
    assert "18 of 20 pieces stand already" in alt


def test_equal_input_gives_an_equal_picture() -> None:
    assert lattice() == lattice()
    dots_drawn = [i for i in lattice().items if isinstance(i, Circle) and i.role is Role.LEADER]
    assert len(dots_drawn) == 2
    assert all(loops_of(i) for i in lattice().items if isinstance(i, Path))
