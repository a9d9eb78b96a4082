"""Exact arithmetic with dimensions; roots and angles against the standard library."""

from __future__ import annotations

import math
from decimal import Decimal, localcontext
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from planpress.base import quantities as q
from planpress.base import trigonometry
from planpress.base.quantities import (
    ANGLE,
    AREA,
    COUNT,
    INCH,
    LENGTH,
    MASS,
    MONEY,
    TIME,
    VOLUME,
    Dimension,
    DimensionError,
    Quantity,
    count,
    degrees,
    inches,
    mm,
    money,
)
from planpress.base.units import NAMED_UNITS

fractions = st.fractions(min_value=-10000, max_value=10000, max_denominator=5000)
positive = st.fractions(min_value=Fraction(1, 1000), max_value=10**7, max_denominator=5000)


@pytest.mark.parametrize(
    ("inch", "in_mm"),
    # 1 in = 25.4 mm exactly: NIST SP 811 (2008), appendix B; the products by long multiplication
    [
        ("1/16", "1.5875"),
        ("1/8", "3.175"),
        ("3/16", "4.7625"),
        ("1/4", "6.35"),
        ("3/8", "9.525"),
        ("1/2", "12.7"),
        ("3/4", "19.05"),
        ("1", "25.4"),
        ("23/32", "18.25625"),
        ("13/16", "20.6375"),
        ("15/64", "5.953125"),
    ],
)
def test_inch_fractions_are_exact_in_mm(inch: str, in_mm: str) -> None:
    assert inches(inch) == mm(in_mm)


@pytest.mark.parametrize(
    ("unit", "value"),
    # NIST SP 811 (2008), appendix B.8 and B.9: foot, yard, square and cubic units, pound, ounce, US gallon and
    # its parts, board foot; figures from memory
    [
        ("ft", "304.8"),
        ("yd", "914.4"),
        ("in2", "645.16"),
        ("ft2", "92903.04"),
        ("in3", "16387.064"),
        ("ft3", "28316846.592"),
        ("lb", "0.45359237"),
        ("oz", "0.028349523125"),
        ("gal", "3785411.784"),
        ("qt", "946352.946"),
        ("pt", "473176.473"),
        ("bf", "2359737.216"),
    ],
)
def test_conversion_factors_are_the_published_ones(unit: str, value: str) -> None:
    assert NAMED_UNITS[unit].size == Fraction(value)


def test_every_unit_is_found_by_its_own_name_and_plural() -> None:
    for unit in NAMED_UNITS.values():
        assert NAMED_UNITS[unit.name] == unit
        assert NAMED_UNITS[unit.plural] == unit


def test_products_and_quotients_make_dimensions() -> None:
    assert mm(2) * mm(3) == Quantity(Fraction(6), AREA)
    assert mm(2) * mm(3) * mm(4) == Quantity(Fraction(24), VOLUME)
    assert Quantity(Fraction(6), AREA) / mm(4) == mm("3/2")
    assert inches(1) / mm(1) == count("25.4")
    assert mm(3) ** 2 == Quantity(Fraction(9), AREA)
    assert mm(4) ** 0 == count(1)
    assert 1 / mm(4) == Quantity(Fraction(1, 4), Dimension(length=-1))


def test_plain_numbers_stand_for_counts() -> None:
    assert 2 * mm(3) == mm(3) * 2 == mm(6)
    assert mm(3) / 2 == mm("3/2")
    assert 1 + count(2) == count(2) + 1 == count(3)
    assert 1 - count(3) == count(-2)
    assert count(2) < 3


def test_signs_and_order() -> None:
    assert -mm(3) == mm(-3)
    assert abs(mm(-3)) == +mm(3)
    assert mm(25) < inches(1) <= mm("25.4") < mm(26)
    assert inches(1) > mm(25)
    assert inches(1) >= mm("25.4")
    assert max(mm(25), inches(1)) == inches(1)


@given(fractions, fractions, fractions)
def test_arithmetic_loses_nothing(a: Fraction, b: Fraction, c: Fraction) -> None:
    assert (mm(a) + mm(b)) - mm(b) == mm(a)
    assert mm(a) * (count(b) + count(c)) == mm(a) * b + mm(a) * c
    assume(b != 0)
    assert mm(a) / mm(b) * mm(b) == mm(a)


def test_a_float_is_refused() -> None:
    with pytest.raises(TypeError, match=r"^a quantity needs an exact value \(int or Fraction\), not float$"):
        Quantity(0.5, LENGTH)  # type: ignore[arg-type]  # what the test is about


def test_messages_name_both_dimensions() -> None:
    with pytest.raises(DimensionError, match=r"^a length and a count cannot be added$"):
        mm(1) + 1
    with pytest.raises(DimensionError, match=r"^a count and a length cannot be added$"):
        1 + mm(1)
    with pytest.raises(DimensionError, match=r"^a count cannot be subtracted from a length$"):
        mm(1) - 1
    with pytest.raises(DimensionError, match=r"^an angle and a length cannot be compared$"):
        bool(degrees(1) < mm(1))
    with pytest.raises(DimensionError, match=r"^an area and a length cannot be added$"):
        mm(1) * mm(1) + mm(1)
    with pytest.raises(DimensionError, match=r"^the height must be a length, not a count$"):
        q.require(count(3), LENGTH, "the height")


@pytest.mark.parametrize(
    ("dimension", "words"),
    [
        (COUNT, "a count"),
        (LENGTH, "a length"),
        (AREA, "an area"),
        (VOLUME, "a volume"),
        (ANGLE, "an angle"),
        (TIME, "a time"),
        (MASS, "a mass"),
        (MONEY, "an amount of money"),
        (money(1, "EUR").dimension, "an amount in EUR"),
        (MASS.per(VOLUME), "a mass per volume"),
        (COUNT.per(LENGTH), "a count per length"),
        (AREA.times(AREA), "a length to the power 4"),
        (LENGTH.times(ANGLE).per(TIME.times(MASS)), "a length times angle per time and mass"),
    ],
)
def test_dimensions_in_plain_words(dimension: Dimension, words: str) -> None:
    assert dimension.words == words


def test_currencies_do_not_mix() -> None:
    assert money(5, "USD") + money("2.50", "USD") == money("7.50", "USD")
    assert money(5, "USD") * 2 == money(10, "USD")
    assert money(5, "USD") / money(2, "USD") == count("5/2")
    assert (money(5, "USD") / mm(10)) * mm(20) == money(10, "USD")
    assert money(5, "USD").dimension.is_money
    with pytest.raises(DimensionError, match=r"^an amount in USD and an amount in EUR cannot be added$"):
        money(1, "USD") + money(1, "EUR")
    with pytest.raises(DimensionError, match=r"^an amount in USD and an amount in EUR cannot be divided$"):
        money(1, "USD") / money(1, "EUR")


def test_division_by_zero_says_what_was_divided() -> None:
    with pytest.raises(ZeroDivisionError, match=r"^a length cannot be divided by zero$"):
        mm(1) / 0
    with pytest.raises(ZeroDivisionError, match=r"^a length of zero has no negative power$"):
        mm(0) ** -1


def test_roots() -> None:
    assert q.sqrt(mm(9) * mm(4)) == mm(6)
    assert q.sqrt(count("9/4")) == count("3/2")
    assert q.sqrt(count(0)) == count(0)
    with pytest.raises(DimensionError, match=r"^a length has no square root$"):
        q.sqrt(mm(4))
    with pytest.raises(ValueError, match=r"^a negative value has no square root$"):
        q.sqrt(count(-1))


@given(positive)
def test_roots_agree_with_decimal_arithmetic(value: Fraction) -> None:
    with localcontext(prec=60):
        exact = (Decimal(value.numerator) / Decimal(value.denominator)).sqrt()
    assert abs(q.sqrt(count(value)).value - Fraction(exact)) <= Fraction(1, 2 * 10**12) + Fraction(1, 10**30)


def test_sines_are_exact_where_they_are_rational() -> None:
    half = Fraction(1, 2)
    for turns in range(-2, 3):
        around = [q.sin(degrees(a + 360 * turns)).value for a in (0, 30, 90, 150, 180, 210, 270, 330)]
        assert around == [0, half, 1, half, 0, -half, -1, -half]
        assert [q.cos(degrees(a + 360 * turns)).value for a in (0, 60, 90, 120, 180)] == [
            1,
            half,
            0,
            -half,
            -1,
        ]
        assert [q.tan(degrees(a + 360 * turns)).value for a in (0, 45, 135, 180)] == [0, 1, -1, 0]
    assert q.asin(count("1/2")) == degrees(30)
    assert q.acos(count("-1/2")) == degrees(120)
    assert q.atan(count(-1)) == degrees(-45)
    assert [q.asin(count(x)).value for x in (-1, 0, 1)] == [-90, 0, 90]
    assert [q.acos(count(x)).value for x in (-1, 0, 1)] == [180, 90, 0]


@given(st.fractions(min_value=-1000, max_value=1000, max_denominator=10000))
def test_sines_agree_with_the_standard_library(angle: Fraction) -> None:
    radians = math.radians(float(angle % 360))
    for ours, theirs in ((q.sin, math.sin), (q.cos, math.cos)):
        value = ours(degrees(angle)).value
        assert (value * 10**12).denominator == 1
        assert abs(float(value) - theirs(radians)) < 3e-12
    if abs(math.cos(radians)) > 0.01:
        assert float(q.tan(degrees(angle)).value) == pytest.approx(math.tan(radians), abs=2e-11)


@given(fractions, fractions)
def test_directions_agree_with_the_standard_library(y: Fraction, x: Fraction) -> None:
    assume(x or y)
    angle = float(q.atan2(mm(y), mm(x)).value)
    assert angle == pytest.approx(math.degrees(math.atan2(y, x)), abs=1e-11)


@given(st.fractions(min_value=-1, max_value=1, max_denominator=10**6))
def test_arcs_lead_back(ratio: Fraction) -> None:
    assert abs(q.sin(q.asin(count(ratio))).value - ratio) <= Fraction(2, 10**12)
    assert abs(q.cos(q.acos(count(ratio))).value - ratio) <= Fraction(2, 10**12)
    assert abs(q.tan(q.atan(count(ratio))).value - ratio) <= Fraction(2, 10**12)


def test_pi_is_right_to_its_last_digit() -> None:
    # John Machin's formula of 1706: pi = 16 atan(1/5) - 4 atan(1/239)
    def arc(n: int) -> Fraction:
        return sum((Fraction((-1) ** k, (2 * k + 1) * n ** (2 * k + 1)) for k in range(30)), Fraction(0))

    pi = 16 * arc(5) - 4 * arc(239)
    assert pi * trigonometry._GUARD // 1 == trigonometry._PI


def test_angles_refuse_what_has_no_value() -> None:
    with pytest.raises(ValueError, match=r"^the tangent of a right angle has no value$"):
        q.tan(degrees(270))
    with pytest.raises(ValueError, match=r"^a sine or cosine lies between -1 and 1$"):
        q.asin(count("1.001"))
    with pytest.raises(ValueError, match=r"^a sine or cosine lies between -1 and 1$"):
        q.acos(count("-1.001"))
    with pytest.raises(ValueError, match=r"^a point at the origin has no direction$"):
        q.atan2(mm(0), mm(0))
    with pytest.raises(DimensionError, match=r"^what sin takes must be an angle, not a count$"):
        q.sin(count(1))
    with pytest.raises(DimensionError, match=r"^a length and a count cannot be used together in atan2$"):
        q.atan2(mm(1), count(1))


def test_rounding_to_a_grid() -> None:
    assert q.round_to(mm(38), inches("1/16")) == inches("3/2")
    assert q.floor_to(mm(38), mm(5)) == mm(35)
    assert q.ceil_to(mm(36), mm(5)) == mm(40)
    assert q.floor_to(mm(-36), mm(5)) == mm(-40)
    assert q.floor(count("7/2")) == count(3)
    assert q.ceil(count("7/2")) == count(4)
    assert q.ceil(count("-7/2")) == count(-3)
    with pytest.raises(DimensionError, match=r"^a length and a count cannot be rounded to one another$"):
        q.round_to(mm(1), count(1))
    with pytest.raises(ValueError, match=r"^the step to round to must be above zero$"):
        q.round_to(mm(1), mm(0))
    with pytest.raises(DimensionError, match=r"^what floor takes must be a count, not a length$"):
        q.floor(mm(1))


@pytest.mark.parametrize(
    ("value", "digits", "rounded"),
    # NIST SP 811 (2008), B.7.1, figures from memory; the last two from a university page on even rounding
    [
        ("6.9749515", 2, "6.97"),
        ("6.9749515", 4, "6.9750"),
        ("6.9749515", 6, "6.974952"),
        ("6.9749505", 6, "6.974950"),
        ("6.65", 1, "6.6"),
        ("6.35", 1, "6.4"),
    ],
)
def test_halfway_goes_to_the_even_digit(value: str, digits: int, rounded: str) -> None:
    assert q.round_to(count(value), count(Fraction(1, 10**digits))) == count(rounded)


@given(fractions, positive)
def test_floor_and_ceiling_enclose(value: Fraction, grid: Fraction) -> None:
    below, above = q.floor_to(mm(value), mm(grid)), q.ceil_to(mm(value), mm(grid))
    assert below <= mm(value) <= above
    assert above - below in (mm(0), mm(grid))
    assert q.round_to(mm(value), mm(grid)) in (below, above)
    assert abs(q.round_to(mm(value), mm(grid)) - mm(value)) <= mm(grid) / 2


def test_inch_constant() -> None:
    assert INCH * 10 == 254
