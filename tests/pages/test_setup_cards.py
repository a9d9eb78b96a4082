"""Set-up cards as pages: every kind is laid out without faults, its numbers are those of the model."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from typing import Any, cast

import pytest
from attrs import evolve

from planpress.base.lettering import plain
from planpress.base.printing import Units
from planpress.model.records import SolvedPlan
from planpress.pages.block import Block
from planpress.pages.context import Context, PageNumbers
from planpress.pages.setup_pages import setup_cards as setup_sheets
from planpress.pages.sheets import FileSettings, write_sheets
from planpress.pages.texts import Texts
from planpress.work.setup_card import SetupCard
from planpress.work.setup_methods import Method
from planpress.work.setups import setup_cards
from tests.pages.layout_check import faults
from tests.pages.sets import edition_of, stand_set, texts
from tests.plans import solved_stand
from tests.work import setup_cases
from tests.writers import reading

SETTINGS = FileSettings("Cards", "Demo Workshop", "test", date(2026, 1, 1), "#2E6A4C")


def cards_pdf(plan: SolvedPlan, units: Units, cards: tuple[SetupCard, ...] | None = None) -> bytes:
    """The set-up cards of a plan alone, as a file."""
    edition = edition_of(units)
    chosen = setup_cards(plan) if cards is None else cards
    no_drawings = cast("Any", None)  # cards draw their own pictures
    context = Context(plan, edition, no_drawings, Texts(texts(), edition), (), PageNumbers(), "0" * 64, chosen)
    return write_sheets(setup_sheets(context), Block(edition.paper), SETTINGS).data


def words(pdf: bytes) -> str:
    return " ".join(" ".join(reading.texts(pdf)).replace("\xa0", " ").split())


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("make", setup_cases.KINDS, ids=lambda make: make.__name__)
def test_cards_of_every_kind_have_no_layout_faults(
    make: Callable[[random.Random], setup_cases.Case], units: Units
) -> None:
    for seed in range(2):
        plan = setup_cases.plan_with(*make(random.Random(seed)))
        assert faults(cards_pdf(evolve(plan, shop=solved_stand(units).shop), units)) == []


def test_many_stops_and_many_pieces_go_on_over_pages() -> None:
    stand = solved_stand()
    part = stand.part("B")
    pieces = tuple(f"{part.name}[{i}]" for i in range(45))
    step = part.notches[1].span[0] - part.notches[0].span[0]
    notches = [
        evolve(part.notches[0], outline=tuple((u + step * i, w) for u, w in part.notches[0].outline)) for i in range(40)
    ]
    long = evolve(part, pieces=pieces, notches=tuple(notches), length=step * 41)
    plan = evolve(stand, parts=(stand.part("A"), long))
    pdf = cards_pdf(plan, Units.IMPERIAL)
    assert faults(pdf) == []
    text = words(pdf)
    assert "One tick for three bearers." in text
    assert plain(edition_of(Units.IMPERIAL).length(part.notches[0].span[0] + step * 39)) in text


@pytest.mark.parametrize("units", list(Units))
def test_stop_distances_on_the_page_are_those_of_the_model(units: Units) -> None:
    """D of the slats: near shoulder and the thickness of a stick, from the parameters of the plan."""
    plan, edition = solved_stand(units), edition_of(units)
    numbers = {p.key: p.number for p in stand_set(units).pages}
    page = reading.texts(stand_set(units).pdf)[numbers["set-up-cards"] - 1]
    text = " ".join(page.replace("\xa0", " ").split())
    first, step, thick = (plan.values[name].value for name in ("bearer_in", "bearer_step", "stick_thick"))
    for i, label in enumerate("abc"):
        near, stop = (plain(edition.length(first + step * i + more)) for more in (Fraction(0), thick))
        assert re.search(rf"\b{label} {re.escape(near)} {re.escape(stop)}\b", text), (label, near, stop, text)


@pytest.mark.parametrize("units", list(Units))
def test_steps_say_on_which_page_their_card_is(units: Units) -> None:
    plan_set = stand_set(units)
    pages = [" ".join(text.replace("\xa0", " ").split()) for text in reading.texts(plan_set.pdf)]
    found = [m for text in pages for m in re.finditer(r"Set-up cards? ([\d and]+), pages? ([\d and]+)", text)]
    named = [(c, p) for m in found for c, p in zip(*(re.findall(r"\d+", m[i]) for i in (1, 2)), strict=True)]
    assert [card for card, _ in named] == ["1", "2", "3", "4"]
    for card, page in named:
        assert f"Set-up card {card}" in pages[int(page) - 1]
        assert "Test on offcuts" in pages[int(page) - 1]


def test_a_caution_stands_before_the_numbers() -> None:
    plan_set = stand_set()
    for page in (p for p in plan_set.pages if re.fullmatch(r"set-up-cards(-\d+)?", p.key)):
        text = reading.texts(plan_set.pdf)[page.number - 1]
        assert 0 < text.index("Lift the piece clear") < text.index("Measure first")


def test_the_error_of_a_row_is_written_out() -> None:
    """By hand: settings good to 1/64, nine bearers' notches: 9/64 at worst, 3/64 (root of nine) likely."""
    text = words(stand_set().pdf)
    assert "each notch is off by 1/64 at most, and two of them by 1/32" in text
    assert "the last of nine may be off by 9/64, likely by 3/64" in text
    metric = words(stand_set(Units.METRIC).pdf)
    assert "the last of nine may be off by 2.7, likely by 0.9" in metric


def test_a_plan_without_notches_has_no_cards() -> None:
    plan = solved_stand()
    bare = evolve(plan, parts=tuple(evolve(part, notches=()) for part in plan.parts))
    assert setup_cards(bare) == ()


def test_each_method_says_why() -> None:
    seen = {}
    for make in setup_cases.KINDS:
        for seed in range(3):
            plan = setup_cases.plan_with(*make(random.Random(seed)))
            for card in setup_cards(plan):
                seen[card.method] = (plan, card)
    assert set(seen) == set(Method)
    said = [
        words(cards_pdf(plan, Units.IMPERIAL, (evolve(card, number=1, like=None),))) for plan, card in seen.values()
    ]
    assert all(len(re.findall(r"Why (an offcut|a spacer|turned|one stop|two distances)\.", text)) == 1 for text in said)


@pytest.mark.parametrize("mates", [("A",), ()], ids=["offcut", "spacer"])
def test_a_notch_narrower_than_every_cutter_still_has_a_card(mates: tuple[str, ...]) -> None:
    stand = solved_stand()
    part = stand.part("B")
    one = part.notches[0]
    u = one.span[0]
    thin = Fraction(2)
    across = part.thickness
    outline = ((u, Fraction(0)), (u + thin, Fraction(0)), (u + thin, across), (u, across))
    slot = evolve(one, outline=outline, width=thin, mates=mates)
    plan = evolve(stand, parts=(evolve(stand.part("A"), thickness=thin, notches=()), evolve(part, notches=(slot,))))
    (card,) = setup_cards(plan)
    assert card.cutters == ()
    assert faults(cards_pdf(plan, Units.IMPERIAL)) == []
