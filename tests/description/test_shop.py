"""The section `shop`: cutters and settings, and what is said of faults."""

from __future__ import annotations

from fractions import Fraction

import pytest

from planpress.base.diagnostics import PlanFaults
from planpress.base.printing import Units
from tests.plans import small_plan

BODY = """\
materials: {board: {form: board, species: white oak, thickness: 20 mm, width: 60 mm}}
parts: {rail: {material: board, length: 600 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +x, width: +y}}}
parameters: {blade: 1/8 in}
"""


def messages(shop: str) -> list[str]:
    with pytest.raises(PlanFaults) as raised:
        small_plan(f"{BODY}shop: {shop}\n")
    return [d.message for d in raised.value.diagnostics]


def test_widths_may_be_formulas() -> None:
    plan = small_plan(f"{BODY}shop: {{cutters: {{twice: {{kerf: 2 * blade}}}}, overlap: 1/64 in}}\n")
    assert [(c.name, c.kerf) for c in plan.shop.cutters] == [("twice", Fraction("6.35"))]
    assert plan.shop.overlap == Fraction(127, 320)


def test_unknown_keys_are_named() -> None:
    (message,) = messages("{cuters: {}}")
    assert "unknown key 'cuters' in 'shop'" in message


def test_a_width_is_a_length() -> None:
    (message,) = messages("{cutters: {saw: {kerf: 3 deg}}}")
    assert "is an angle" in message
    assert "missing" in messages("{cutters: {saw: {}}}")[0]


def test_a_width_is_more_than_nothing() -> None:
    assert len(messages("{cutters: {saw: {kerf: 0 mm}}}")) == 1


def test_cutters_are_wider_than_their_overlap() -> None:
    (message,) = messages("{cutters: {saw: {kerf: 2 mm}}, overlap: 2 mm}")
    assert "'saw' is not wider than its passes overlap" in message


def test_cutters_are_a_mapping() -> None:
    (message,) = messages("{cutters: [saw]}")
    assert "'cutters' of 'shop' is not a mapping" in message


def test_an_empty_list_of_cutters_means_the_usual_ones() -> None:
    assert len(small_plan(f"{BODY}shop: {{setting_error: 0.2 mm}}\n", Units.METRIC).shop.cutters) == 4
