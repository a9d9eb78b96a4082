"""Set-up cards against the model: pieces cut as the card says have the notches that the model has."""

from __future__ import annotations

import functools
import itertools
import random
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from typing import Literal

import pytest
from attrs import evolve

from planpress.base.printing import Units
from planpress.base.trigonometry import tangent
from planpress.model.records import EndCut, Notch, Part, Side, SolvedPlan
from planpress.work.setup_card import CardPart, CutterRow, SetupCard, StopRow
from planpress.work.setup_cuts import Lie, Position, machine_cut
from planpress.work.setup_methods import Method
from planpress.work.setups import setup_cards
from tests.plans import small_plan, solved_stand

CASES = 250  # of each kind, with several notches and four cutters each
NEARLY = Fraction(1, 10**6)
Spans = list[tuple[Fraction, Fraction]]
Corners = Sequence[tuple[Fraction, Fraction]]


def square_end(side: Side, u: Fraction) -> EndCut:
    zero = Fraction(0)
    return EndCut(side, (u, zero, zero), (Fraction(1 if side.is_far else -1), zero, zero), zero, zero, "")


def leaning_end(side: Side, length: Fraction, width: Fraction, degrees: Fraction) -> EndCut:
    """An end that leans across the reference face, its furthest corner at u = 0 or at the length."""
    slope = tangent(degrees)  # u = start + slope * v
    outermost = min if side is Side.NEAR_END else max
    start = (Fraction(0) if side is Side.NEAR_END else length) - outermost(Fraction(0), slope * width)
    root = Fraction((1 + float(slope) ** 2) ** 0.5).limit_denominator(10**9)
    sign = 1 if side.is_far else -1
    mitre = degrees if side.is_far else -degrees
    return EndCut(
        side,
        (start, Fraction(0), Fraction(0)),
        (sign / root, -sign * slope / root, Fraction(0)),
        mitre,
        Fraction(0),
        "",
    )


def notch(
    side: Side,
    outline: Corners,
    depth: Fraction,
    width: Fraction,
    mates: tuple[str, ...] = ("B",),
    skew: Fraction = Fraction(0),
    open_end: Side | None = None,
    role: Literal["lap", "housing", "rabbet", "groove", "cheek", "slot"] = "lap",
    fit: Fraction = Fraction(0),
) -> Notch:
    return Notch(
        side, tuple(outline), depth, width, fit, skew, open_end, mates, "thickness", "test", role, "half", role
    )


def box(low: Fraction, high: Fraction, across: Fraction) -> list[tuple[Fraction, Fraction]]:
    zero = Fraction(0)
    return [(low, zero), (high, zero), (high, across), (low, across)]


def some(chance: random.Random, low: int, high: int) -> Fraction:
    """Between two whole millimetres, in hundredths or in sixty-fourths of an inch."""
    hundredth, inch = Fraction(chance.randint(low * 100, high * 100), 100), Fraction(127, 320)
    return hundredth if chance.random() < 0.5 else hundredth // inch * inch


def stick(
    chance: random.Random, notches: Sequence[Notch], length: Fraction, width: Fraction, thickness: Fraction
) -> Part:
    base = solved_stand().part("A")
    return evolve(
        base,
        length=length,
        width=width,
        thickness=thickness,
        ends=(square_end(Side.NEAR_END, Fraction(0)), square_end(Side.FAR_END, length)),
        notches=tuple(notches),
        reference_edge=chance.choice((Side.LOWER, Side.UPPER)),
    )


def plan_with(part: Part, mate: Fraction) -> SolvedPlan:
    """A plan of one notched part, and the part that goes in, as thick as `mate`."""
    stand = solved_stand()
    return evolve(stand, parts=(part, evolve(stand.part("B"), thickness=mate, notches=())))


# --- kinds of random parts, with the thickness of the mate ---

Case = tuple[Part, Fraction]
_SIDES = (Side.LOWER, Side.UPPER, Side.FACE, Side.BACK)


def across_of(side: Side, width: Fraction, thickness: Fraction) -> tuple[Fraction, Fraction]:
    """A side's extent across the length, and the size square to it."""
    return (width, thickness) if side.axis == 2 else (thickness, width)


def rows(chance: random.Random, together: int = 1) -> Case:
    """One to seven notches in a row, each for one mate or for several side by side; perhaps with clearance."""
    mate, fit = some(chance, 5, 30), Fraction(chance.choice((0, 0, 2)), 10)
    width, thickness = some(chance, 20, 120), some(chance, 10, 50)
    side = chance.choice(_SIDES)
    across, high = across_of(side, width, thickness)
    u, out = some(chance, 1, 80), []
    for _ in range(chance.randint(1, 7)):
        wide = mate * together + fit
        out.append(notch(side, box(u, u + wide, across), high / 2, wide, ("B",) * together, fit=fit))
        u += wide + some(chance, 1, 90)
    return stick(chance, out, u + some(chance, 1, 50), width, thickness), mate


def doubles(chance: random.Random) -> Case:
    return rows(chance, chance.randint(2, 3))


def central(chance: random.Random) -> Case:
    mate, length = some(chance, 5, 60), some(chance, 150, 900)
    width, thickness = some(chance, 20, 120), some(chance, 10, 50)
    side = chance.choice(_SIDES)
    across, high = across_of(side, width, thickness)
    low = (length - mate) / 2
    return stick(chance, [notch(side, box(low, low + mate, across), high / 2, mate)], length, width, thickness), mate


def at_ends(chance: random.Random) -> Case:
    """Laps, rabbets or cheeks at one end or at both, on one side or on two."""
    reach, length = some(chance, 5, 90), some(chance, 250, 900)
    width, thickness = some(chance, 20, 120), some(chance, 10, 50)
    out = []
    for side in chance.sample(_SIDES, chance.randint(1, 2)):
        across, high = across_of(side, width, thickness)
        for end in chance.choice(((Side.NEAR_END,), (Side.FAR_END,), (Side.NEAR_END, Side.FAR_END))):
            low = Fraction(0) if end is Side.NEAR_END else length - reach
            cut = box(low, low + reach, across)
            out.append(notch(side, cut, high / 3, reach, open_end=end, role="cheek" if side.axis == 1 else "lap"))
    return stick(chance, out, length, width, thickness), some(chance, 5, 30)


def skewed(chance: random.Random) -> Case:
    """Skewed notches on a face, ends square or parallel to them, perhaps one at the far end."""
    degrees = Fraction(chance.choice((-1, 1)) * chance.randint(2, 100), 2)
    width, thickness, wide = some(chance, 20, 90), some(chance, 10, 50), some(chance, 5, 60)
    side = chance.choice((Side.FACE, Side.BACK))
    slope = tangent(degrees)
    lean, u, out = slope * width, some(chance, 1, 80) + abs(slope * width), []
    slant = wide * Fraction((1 + float(slope) ** 2) ** 0.5).limit_denominator(10**9)
    for _ in range(chance.randint(1, 3)):
        out.append(
            notch(
                side,
                [(u, Fraction(0)), (u + slant, Fraction(0)), (u + slant + lean, width), (u + lean, width)],
                thickness / 2,
                wide,
                skew=degrees,
            )
        )
        u += slant + some(chance, 1, 60) + abs(lean)
    length = u + some(chance, 1, 60) + abs(lean)
    part = stick(chance, out, length, width, thickness)
    if chance.random() < 0.5:
        near, far = (leaning_end(s, length, width, degrees) for s in (Side.NEAR_END, Side.FAR_END))
        end = far.point[0]
        last = notch(
            side,
            [(end - slant, Fraction(0)), (end, Fraction(0)), (end + lean, width), (end - slant + lean, width)],
            thickness / 2,
            wide,
            skew=degrees,
            open_end=Side.FAR_END,
        )
        part = evolve(part, ends=(near, far), notches=(*out, last) if chance.random() < 0.5 else tuple(out))
    return part, wide


def on_end(chance: random.Random) -> Case:
    """Slots between fingers: through the thickness, open at one end, the first perhaps at the border."""
    width, thickness, length = some(chance, 40, 150), some(chance, 6, 25), some(chance, 100, 500)
    finger, reach = width / chance.randint(3, 11), some(chance, 6, 25)
    out = []
    end = chance.choice((Side.NEAR_END, Side.FAR_END))
    low = Fraction(0) if end is Side.NEAR_END else length - reach
    v = chance.choice((Fraction(0), finger))
    while v + finger <= width:
        cut = [(low, v), (low + reach, v), (low + reach, v + finger), (low, v + finger)]
        out.append(notch(Side.FACE, cut, thickness, finger, (), open_end=end, role="slot"))
        v += 2 * finger
    return stick(chance, out, length, width, thickness), thickness


def along(chance: random.Random) -> Case:
    """A groove within a side, or a rabbet at its border, over the whole length."""
    width, thickness, length = some(chance, 40, 150), some(chance, 15, 40), some(chance, 100, 500)
    side = chance.choice(_SIDES)
    across, high = across_of(side, width, thickness)
    wide = across * chance.randint(10, 60) / 100
    low = (across - wide) * chance.choice((0, 35, 50, 100)) / 100
    cut = [(Fraction(0), low), (length, low), (length, low + wide), (Fraction(0), low + wide)]
    return stick(chance, [notch(side, cut, high / 3, wide, role="groove")], length, width, thickness), wide


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
