"""Set-up cards against the model: pieces cut as the card says have the notches that the model has."""

from __future__ import annotations

import functools
import itertools
import random
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction

import pytest
from attrs import evolve

from planpress.base.printing import Units
from planpress.base.trigonometry import tangent
from planpress.model.records import Notch, Part, Side
from planpress.work.setup_card import CardPart, CutterRow, SetupCard, StopRow
from planpress.work.setup_cuts import Lie, Position, machine_cut
from planpress.work.setup_methods import Method
from planpress.work.setups import setup_cards
from tests.plans import small_plan, solved_stand
from tests.work.setup_cases import Case, along, at_ends, box, central, doubles, on_end, plan_with, rows, skewed

CASES = 250  # of each kind, with several notches and four cutters each
NEARLY = Fraction(1, 10**6)
Spans = list[tuple[Fraction, Fraction]]


# --- the machine ---


def cut_piece(card: SetupCard, part: Part, row: StopRow, lie: Lie, cutter: CutterRow) -> list[Spans]:
    """What the passes of one stop take out, along the part's own axis: at the fence and at the border away from it.

    The cutter stands from D to D + k along the fence, as the spacer or the end of the piece begins at the stop. At the
    border away from the fence a skewed cut is further along, by the tangent of its angle.
    """
    size = part.size_along(lie.at_stop.axis)
    away = card.leans * tangent(card.skew) * part.size_along(lie.at_fence.axis) if card.leans else Fraction(0)
    out = []
    for shift in (Fraction(0), away):
        removed: Spans = []
        for one in card.passes(row, cutter.along).all:
            low, high = one.stop - one.spacer + shift, one.stop - one.spacer + cutter.along + shift
            at_far = lie.at_stop.is_far is not one.turned
            removed.append((size - high, size - low) if at_far else (low, high))
        out.append(joined(removed))
    return out


def joined(intervals: Spans) -> Spans:
    out: Spans = []
    for low, high in sorted(intervals):
        if out and low <= out[-1][1] + NEARLY:
            out[-1] = (out[-1][0], max(high, out[-1][1]))
        else:
            out.append((low, high))
    return out


def wanted(one: Notch, lie: Lie, part: Part) -> list[tuple[Fraction, Fraction]]:
    """A notch's extent along the axis of the stop, at the fence and away from it, read from its outline."""
    if lie.position is not Position.ACROSS:
        return [one.across, one.across]
    border = part.size_along(lie.at_fence.axis)
    borders = (border, Fraction(0)) if lie.at_fence.is_far else (Fraction(0), border)
    return [one.shoulders(second) for second in borders]


def check(card: SetupCard, part: Part, notches: Sequence[Notch]) -> int:
    """Every notch that belongs to this card is cut by one of its stops, with each of the cutters; returns how many."""
    made_by = functools.cache(lambda c, p, lie: [[cut_piece(c, p, r, lie, k) for r in c.stops] for k in c.cutters])
    found = 0
    for one in notches:
        cut = machine_cut(part, one)
        assert cut is not None
        lie = cut.lie
        if (lie.position, lie.at_stop) != (card.position, card_part(card, lie).lie.at_stop):
            continue
        goal = wanted(one, lie, part)
        for spans_of_stops in made_by(card, part, lie):
            assert any(agrees(spans, goal, one.open_end) for spans in spans_of_stops), (card, one)
        assert abs(card.depth - cut.depth) <= NEARLY
        found += 1
    return found


def card_part(card: SetupCard, lie: Lie) -> CardPart:
    return next((p for p in card.parts if p.lie.at_stop is lie.at_stop), card.parts[0])


def agrees(made: list[Spans], goal: list[tuple[Fraction, Fraction]], open_end: Side | None) -> bool:
    """One interval at each border, with the goal's shoulders; at an open end it may run out further."""
    for spans, (low, high) in zip(made, goal, strict=True):
        if len(spans) != 1:
            return False
        ((start, end),) = spans
        lower = start <= low + NEARLY if open_end is Side.NEAR_END else abs(start - low) <= NEARLY
        upper = end >= high - NEARLY if open_end is Side.FAR_END else abs(end - high) <= NEARLY
        if not (lower and upper):
            return False
    return True


def cards_of(make: Callable[[random.Random], Case], seed: int) -> Iterator[tuple[Part, tuple[SetupCard, ...]]]:
    chance = random.Random(seed)
    for _ in range(CASES):
        part, mate = make(chance)
        yield part, setup_cards(plan_with(part, mate))


@pytest.mark.parametrize(
    ("make", "methods"),
    [
        pytest.param(rows, {Method.OFFCUT, Method.CENTRED}, id="rows"),
        pytest.param(doubles, {Method.OFFCUT, Method.CENTRED}, id="double-wide"),
        pytest.param(central, {Method.CENTRED}, id="central"),
        pytest.param(skewed, {Method.SPACER, Method.SHOULDER}, id="skewed"),
        pytest.param(along, {Method.FENCE}, id="along"),
    ],
)
def test_pieces_cut_as_the_card_says_have_the_notches_of_the_model(
    make: Callable[[random.Random], Case], methods: set[Method]
) -> None:
    cut = 0
    for part, cards in cards_of(make, 11):
        assert {card.method for card in cards} <= methods
        found = 0
        for card in cards:
            own = [n for n in part.notches if (n.open_end is not None) == (card.method is Method.SHOULDER)]
            found += check(card, part, own)
        assert found == len(part.notches)
        cut += found
    assert cut >= CASES


def test_notches_at_ends_are_set_by_their_shoulders() -> None:
    for part, cards in cards_of(at_ends, 12):
        assert {card.method for card in cards} == {Method.SHOULDER}
        for one in part.notches:
            cut = machine_cut(part, one)
            assert cut is not None
            own = [card for card in cards if abs(card.depth - cut.depth) <= NEARLY]
            goal = wanted(one, cut.lie, part)
            assert any(
                agrees(cut_piece(card, part, row, cut.lie, cutter), goal, one.open_end)
                for card in own
                for row in card.stops
                for cutter in card.cutters
            )
        assert sum(card.notch_count for card in cards) == len(part.notches) * part.count


def test_slots_between_fingers_are_cut_standing_on_the_end() -> None:
    for part, cards in cards_of(on_end, 13):
        (card,) = cards
        assert card.position is Position.ON_END
        lie = card.parts[0].lie
        assert lie.down is part.notches[0].open_end
        by_cutter = [[cut_piece(card, part, row, lie, cutter) for row in card.stops] for cutter in card.cutters]
        for one in part.notches:
            assert all(any(agrees(spans, [one.across] * 2, None) for spans in made) for made in by_cutter)
        assert abs(card.depth - (part.notches[0].span[1] - part.notches[0].span[0])) <= NEARLY


# --- what goes on a card ---


@pytest.mark.parametrize("units", list(Units))
def test_the_cards_of_the_stand(units: Units) -> None:
    plan = solved_stand(units)
    slat, bearer, middle, end = setup_cards(plan)
    assert [c.method for c in (slat, bearer, middle, end)] == [
        Method.OFFCUT,
        Method.OFFCUT,
        Method.SPACER,
        Method.SHOULDER,
    ]
    assert (slat.letters, slat.notch_count, len(slat.stops)) == (("A",), 27, 3)
    assert (bearer.letters, bearer.notch_count, len(bearer.stops)) == (("B",), 27, 9)
    assert bearer.like == 1  # the blade keeps its height
    assert [middle.letters, end.letters] == [("C", "D"), ("C", "D")]
    assert (middle.mates, end.mates) == (("F",), ("E",))
    assert (middle.skew, end.like) == (6, 3)
    assert [p.lie.stop_is_left for p in middle.parts] == [True, False]  # right-hand legs are cut mirrored
    thick, wide = (plan.values[name].value for name in ("stick_thick", "stick_wide"))
    assert slat.depth == wide / 2
    assert [stop.near for stop in slat.stops] == [
        plan.values["bearer_in"].value + i * plan.values["bearer_step"].value for i in range(3)
    ]
    assert [slat.stop_distance(stop, Fraction(3)) for stop in slat.stops] == [s.near + thick for s in slat.stops]
    assert slat.budget is not None
    assert slat.budget.notches == 3
    assert end.budget is None


def test_stop_distance_and_spacer_by_hand() -> None:
    """A notch 19.05 wide, 152.4 from the end, a cut of 3.175: D = 152.4 + 19.05 - 3.175, S = 15.875."""
    stand = solved_stand()
    leaning = evolve(stand.part("A").notches[0], mates=())  # nothing whose offcut could be used
    (card,) = setup_cards(evolve(stand, parts=(evolve(stand.part("A"), notches=(leaning,)),)))
    blade = next(c for c in card.cutters if c.name == "full blade")
    assert card.method is Method.SPACER
    assert card.stop_distance(card.stops[0], blade.along) == Fraction("168.275")
    assert blade.spacer == Fraction("15.875")
    assert blade.passes == 8


def test_left_and_right_stops_are_those_of_a_sheet_of_paper() -> None:
    """A piece on its reference face, lower edge at the fence, reads from the left: its first end is at the left."""
    assert Lie(Position.ACROSS, Side.FACE, Side.NEAR_END, Side.LOWER).stop_is_left
    assert not Lie(Position.ACROSS, Side.FACE, Side.NEAR_END, Side.UPPER).stop_is_left
    assert not Lie(Position.ACROSS, Side.BACK, Side.NEAR_END, Side.LOWER).stop_is_left
    assert Lie(Position.ACROSS, Side.FACE, Side.FAR_END, Side.UPPER).stop_is_left


def test_cuts_made_by_hand_have_no_card() -> None:
    part = solved_stand().part("A")
    one = part.notches[0]
    assert machine_cut(part, one) is not None
    for other in (
        evolve(one, role="mortise"),
        evolve(one, radius=Fraction(3)),
        evolve(one, start=Fraction(5)),
        evolve(one, direction=(Fraction(0), Fraction(3, 5), Fraction(4, 5))),
        evolve(one, outline=tuple(box(*one.span, part.thickness / 2))),  # stops within the wood
    ):
        assert machine_cut(part, other) is None


SHOP = """\
materials: {board: {form: board, species: white oak, thickness: 20 mm, width: 60 mm}}
parts:
  long: {material: board, length: 600 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +x, width: +y}}
  short: {material: board, length: 300 mm, place: {corner: [100 mm, -100 mm, 10 mm], length: +y, width: +x}}
joints: {lap: {kind: cross lap, between: [short, long]}}
shop:
  cutters: {saw: {kerf: {imperial: 1/8 in, metric: 3 mm}}, stack: {kerf: 12 mm}}
  setting_error: {imperial: 1/32 in, metric: 0.5 mm}
"""


def test_the_shop_of_the_plan() -> None:
    plan = small_plan(SHOP, Units.METRIC)
    assert [(c.name, c.kerf) for c in plan.shop.cutters] == [("saw", 3), ("stack", 12)]
    assert plan.shop.setting_error == Fraction("0.5")
    assert plan.shop.overlap == Fraction("0.8")  # the usual one
    assert small_plan(SHOP).shop.cutters[0].kerf == Fraction("3.175")
    assert [c.name for card in setup_cards(plan) for c in card.cutters][:2] == ["saw", "stack"]


@pytest.mark.parametrize("units", list(Units))
def test_without_a_shop_the_usual_cutters_are_taken(units: Units) -> None:
    shop = solved_stand(units).shop
    assert [c.name for c in shop.cutters] == ["thin blade", "full blade", "router bit", "wide set"]
    assert all(a.kerf < b.kerf for a, b in itertools.pairwise(shop.cutters))
    assert shop.setting_error == (Fraction("0.3") if units is Units.METRIC else Fraction(127, 320))


def test_no_stop_stands_in_the_way_of_its_cutter() -> None:
    """A cutter nearly as wide as a notch at the end is long is left out: it would reach the stop."""
    for part, cards in cards_of(at_ends, 14):
        reach = {float(one.span[1] - one.span[0]) for one in part.notches}
        for card in cards:
            assert all(card.is_clear(stop, cutter.along) for stop in card.stops for cutter in card.cutters)
            kerfs = {float(cutter.kerf) for cutter in card.cutters}
            assert kerfs == {float(c.kerf) for c in solved_stand().shop.cutters if float(c.kerf) <= max(reach) - 2}


def test_leaning_cheeks_on_both_faces_are_cut_both_ways() -> None:
    chance = random.Random(15)
    part, mate = skewed(chance)
    while part.notches[0].open_end is not None or part.ends[0].is_square is False:
        part, mate = skewed(chance)
    one = part.notches[0]
    back = evolve(one, side=one.side.opposite)
    (card, *_) = setup_cards(plan_with(evolve(part, notches=(one, back)), mate))
    assert [p.both_ways for p in card.parts] == [True]
    (single, *_) = setup_cards(plan_with(evolve(part, notches=(one,)), mate))
    assert [p.both_ways for p in single.parts] == [False]
