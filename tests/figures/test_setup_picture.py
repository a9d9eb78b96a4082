"""Pictures of set-ups: nothing overlaps, the letters are there, left and right are told apart."""

from __future__ import annotations

import random

import pytest
from attrs import evolve

from planpress.base.display import Circle, Figure, Hatch, Item, Path, Role, Text, points_of
from planpress.base.edition import Edition
from planpress.figures.setup_from_above import from_above
from planpress.figures.setup_picture import TABLE, mirrored, pass_pictures
from planpress.work.setup_card import SetupCard
from planpress.work.setup_methods import Method
from planpress.work.setups import setup_cards
from tests.figures.measure import INCHES, MEASURE, MILLIMETRES, faults, find, words
from tests.plans import solved_stand
from tests.work import setup_cases

EDITIONS = (INCHES, MILLIMETRES)


def cards() -> list[SetupCard]:
    """Of the demo, and one of each kind of random part."""
    out = [card for edition in EDITIONS for card in setup_cards(solved_stand(edition.units))]
    for make in setup_cases.KINDS:
        for seed in range(4):
            out += setup_cards(setup_cases.plan_with(*make(random.Random(seed))))
    return out


CARDS = cards()


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda e: e.unit_name)
def test_nothing_overlaps(edition: Edition) -> None:
    for card in CARDS:
        for figure in (*pass_pictures(card, edition, MEASURE), from_above(card)):
            assert faults(figure) == [], (card.method, card.position)


def test_every_method_and_position_is_among_the_cards() -> None:
    assert {card.method for card in CARDS} == set(Method)
    assert len({card.position for card in CARDS}) == 3
    assert {card.parts[0].lie.stop_is_left for card in CARDS} == {True, False}


def test_the_letters_of_the_distances_and_of_the_part() -> None:
    for card in CARDS:
        first, second = pass_pictures(card, INCHES, MEASURE)
        for figure in (first, second):
            assert find(figure, card.letters[0])
            assert sum(word.endswith("distance D") for word in words(figure)) == 1
        (height,) = [word for word in words(first) if word.startswith("h\xa0")]
        assert INCHES.joint(card.depth).strip("≈\xa0")[-1:] in [
            t.string[-1] for t in first.items if isinstance(t, Text)
        ]
        assert height
        assert ("spacer S" in words(second)) == (card.method is Method.SPACER)


def fills(figure: Figure, fill: str) -> list[list[float]]:
    """x of the points of shapes filled so, in drawing order."""
    shapes = [
        item for item in figure.items if isinstance(item, Path) and item.fill == fill and item.role is Role.OUTLINE
    ]
    return [[x for x, _ in points_of(shape.segments)] for shape in shapes]


def test_stop_and_cutter_stand_where_they_stood_in_the_picture_before() -> None:
    """Only what lies between changes; along the rip fence it is the fence that moves."""
    for card in CARDS:
        first, second = (fills(figure, "#CBCBC6") for figure in pass_pictures(card, INCHES, MEASURE))
        assert len(first) == len(second) == 2
        assert (first == second) == (card.method is not Method.FENCE)


def test_the_spacer_is_hatched_and_reaches_from_stop_to_end() -> None:
    offcut, _, spacer, shoulder = setup_cards(solved_stand())
    for card, pictures_with in ((offcut, (True, True)), (spacer, (False, True)), (shoulder, (False, False))):
        pictures = pass_pictures(card, INCHES, MEASURE)
        assert (
            tuple(any(isinstance(i, Path) and isinstance(i.fill, Hatch) for i in f.items) for f in pictures)
            == pictures_with
        )


def places(item: Item) -> list[tuple[float, float]]:
    """Where an item is, in hundredths of a millimetre."""
    points = points_of(item.segments) if isinstance(item, Path) else []
    if isinstance(item, Text):
        points = [item.at]
    if isinstance(item, Circle):
        points = [item.centre]
    return [(round(x, 2), round(y, 2)) for x, y in points]


def test_a_mirrored_part_is_drawn_mirrored() -> None:
    card = next(card for card in CARDS if card.leans)
    other = evolve(card.parts[0].lie, at_fence=card.parts[0].lie.at_fence.opposite)
    turned = evolve(card, parts=(evolve(card.parts[0], lie=other), *card.parts[1:]))
    assert turned.parts[0].lie.stop_is_left is not card.parts[0].lie.stop_is_left
    figure, image = (pass_pictures(c, INCHES, MEASURE)[0] for c in (card, turned))
    assert [places(item) for item in mirrored(image.items, image.width)] == [places(item) for item in figure.items]
    assert find(figure, "fence").at[0] == pytest.approx(image.width - find(image, "fence").at[0])


def test_the_angle_is_written_and_drawn() -> None:
    card = next(card for card in setup_cards(solved_stand()) if card.leans)
    assert any("6°" in word for word in words(from_above(card)))
    hidden = [i for i in from_above(card).items if isinstance(i, Path) and i.role is Role.HIDDEN]
    (x0, y0), (x1, y1) = points_of(hidden[0].segments)
    assert (x1 - x0) / (y0 - y1) == pytest.approx(0.10510, abs=1e-4)  # tan 6 degrees, trigonometric tables


def test_the_cutter_reaches_from_under_the_table_to_the_height_of_the_cut() -> None:
    for card in CARDS:
        figure, _ = pass_pictures(card, INCHES, MEASURE)
        shapes = [i for i in figure.items if isinstance(i, Path) and i.fill == "#CBCBC6"]
        heights = [y for _, y in points_of(shapes[-1].segments)]
        assert min(heights) < TABLE < max(heights)
