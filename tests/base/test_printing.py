"""What is printed is rounded once, carries, closes, and reads back as the value that was meant."""

from __future__ import annotations

import itertools
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planpress.base.lettering import fraction_sign, plain
from planpress.base.parsing import parse_quantity
from planpress.base.printing import (
    ABOUT,
    IMPERIAL_16,
    IMPERIAL_32,
    METRIC_1,
    METRIC_HALF,
    LengthGrid,
    LimitSide,
    Units,
    chain_error,
    close_chain,
    on_grid,
    rounded,
    ticks,
    write_angle,
    write_area,
    write_length,
    write_limit,
    write_mass,
    write_ticks,
    write_time,
)
from planpress.base.quantities import INCH, mm

IMPERIAL_64 = LengthGrid(Units.IMPERIAL, INCH / 64)
METRIC_TENTH = LengthGrid(Units.METRIC, Fraction(1, 10))
grids = st.sampled_from([IMPERIAL_16, IMPERIAL_32, IMPERIAL_64, METRIC_1, METRIC_HALF, METRIC_TENTH])
lengths = st.fractions(min_value=-20000, max_value=20000, max_denominator=10000)


def inch(text: str) -> Fraction:
    return Fraction(text) * INCH


def shown(text: str) -> str:
    """As a reader sees it, with plain spaces."""
    return plain(text).replace("\u00a0", " ")


@given(lengths, grids, st.booleans())
def test_what_is_printed_reads_back(value: Fraction, grid: LengthGrid, feet: bool) -> None:
    text = write_length(value, grid, feet=feet, unit=True)
    assert text.startswith(ABOUT) != on_grid(value, grid)
    assert parse_quantity(plain(text.removeprefix(ABOUT))) == mm(rounded(value, grid))


@given(lengths, grids)
def test_rounding_is_never_out_by_more_than_half_a_step(value: Fraction, grid: LengthGrid) -> None:
    assert abs(rounded(value, grid) - value) <= grid.step / 2
    assert write_length(rounded(value, grid), grid) == write_length(value, grid, mark_off_grid=False)
    assert on_grid(rounded(value, grid), grid, Fraction(0))


def test_fractions_are_set_as_signs() -> None:
    assert write_length(inch("7/4"), IMPERIAL_16) == "1" + fraction_sign(3, 4, after_whole=True)
    assert write_length(inch("3/4"), IMPERIAL_16) == fraction_sign(3, 4, after_whole=False)
    assert write_length(inch("7/4"), IMPERIAL_16, unit=True) == f"1{fraction_sign(3, 4, True)}\u00a0in"
    assert write_length(inch("63.5"), IMPERIAL_16, feet=True) == (
        f"5\u00a0ft\u00a03{fraction_sign(1, 2, True)}\u00a0in"
    )


@pytest.mark.parametrize(
    ("inches", "grid", "in_inches", "in_feet"),
    [
        # values at which drawing programs were seen to lose an inch or to print "2'-11 1" for 3 ft
        ("11.999", IMPERIAL_16, "≈ 12", "≈ 1 ft"),
        ("35.9999", IMPERIAL_16, "36", "3 ft"),
        ("5.995", IMPERIAL_16, "≈ 6", "≈ 6 in"),
        ("-0.001", IMPERIAL_16, "≈ 0", "≈ 0 in"),
        ("-0.0001", IMPERIAL_16, "0", "0 in"),
        ("0", IMPERIAL_16, "0", "0 in"),
        ("-1.75", IMPERIAL_16, "−1 3/4", "−1 3/4 in"),
        ("-12", IMPERIAL_16, "−12", "−1 ft"),
        ("23.96875", IMPERIAL_16, "≈ 24", "≈ 2 ft"),
        ("23.96875", IMPERIAL_32, "23 31/32", "1 ft 11 31/32 in"),
        ("12.5", IMPERIAL_16, "12 1/2", "1 ft 1/2 in"),
        ("63.5", IMPERIAL_16, "63 1/2", "5 ft 3 1/2 in"),
        ("0.015625", IMPERIAL_64, "1/64", "1/64 in"),
    ],
)
def test_carries(inches: str, grid: LengthGrid, in_inches: str, in_feet: str) -> None:
    assert shown(write_length(inch(inches), grid)) == in_inches
    assert shown(write_length(inch(inches), grid, feet=True)) == in_feet


@pytest.mark.parametrize(
    ("value", "grid", "expected"),
    [
        ("0", METRIC_1, "0"),
        ("-0.001", METRIC_1, "0"),
        ("11.995", METRIC_1, "12"),
        ("5.9", METRIC_1, "≈ 6"),
        ("12.5", METRIC_HALF, "12.5"),
        ("12.74", METRIC_HALF, "≈ 12.5"),
        ("-12.5", METRIC_HALF, "−12.5"),
        ("0.5", METRIC_HALF, "0.5"),
        ("1220", METRIC_1, "1220"),
        ("3.3", METRIC_TENTH, "3.3"),
    ],
)
def test_metric(value: str, grid: LengthGrid, expected: str) -> None:
    assert shown(write_length(Fraction(value), grid)) == expected
    assert shown(write_length(Fraction(value), grid, feet=True, unit=True)) == f"{expected} mm"


@pytest.mark.parametrize(
    ("value", "expected"),
    # by division: 18 / 25.4 x 32 = 22.68, so 23/32, and so on
    [("18", "23/32"), ("19", "3/4"), ("12", "15/32"), ("6", "1/4"), ("450", "17 23/32"), ("1220", "48 1/32")],
)
def test_millimetres_to_the_nearest_fraction(value: str, expected: str) -> None:
    assert shown(write_length(Fraction(value), IMPERIAL_32, mark_off_grid=False)) == expected
    assert abs(rounded(Fraction(value), IMPERIAL_32) - Fraction(value)) <= INCH / 64


def test_halfway_goes_to_the_even_tick() -> None:
    # NIST SP 811 (2008), B.7.1: a half is rounded to the even digit
    assert [ticks(Fraction(n, 2), METRIC_1) for n in (1, 3, 5, -1, -3)] == [0, 2, 2, 0, -2]
    assert shown(write_length(inch("1/32"), IMPERIAL_16)) == "≈ 0"
    assert shown(write_length(inch("3/32"), IMPERIAL_16)) == "≈ 1/8"


@given(st.integers(-5000, 5000))
def test_an_exact_inch_value_stays_on_its_grid(sixteenths: int) -> None:
    value = Fraction(sixteenths, 16) * INCH
    assert on_grid(value, IMPERIAL_16, Fraction(0))
    assert ticks(value, IMPERIAL_16) == sixteenths


def test_tolerance_of_the_grid() -> None:
    assert on_grid(Fraction("10.01"), METRIC_1)
    assert not on_grid(Fraction("10.011"), METRIC_1)
    assert on_grid(Fraction("10.011"), METRIC_1, Fraction(1, 50))


@pytest.mark.parametrize(
    ("value", "grid", "side", "expected"),
    # NIST SP 811 (2008), B.7.3 (from memory): a maximum is rounded down and a minimum up
    [
        ("100", IMPERIAL_16, "at least", "3 15/16 in"),
        ("100", IMPERIAL_16, "at most", "3 7/8 in"),
        ("19.1", METRIC_1, "at least", "20 mm"),
        ("19.9", METRIC_1, "at most", "19 mm"),
        ("-19.9", METRIC_1, "at least", "−19 mm"),
        ("-19.1", METRIC_1, "at most", "−20 mm"),
        ("19", METRIC_1, "at least", "19 mm"),
        ("19.0000000001", METRIC_1, "at least", "19 mm"),
        ("18.9999999999", METRIC_1, "at most", "19 mm"),
        ("1219.2", IMPERIAL_16, "at most", "48 in"),
    ],
)
def test_limits_are_rounded_inwards(value: str, grid: LengthGrid, side: LimitSide, expected: str) -> None:
    assert shown(write_limit(Fraction(value), grid, side, unit=True)) == expected


@given(lengths, grids)
def test_a_printed_limit_keeps_the_true_one(value: Fraction, grid: LengthGrid) -> None:
    noise = Fraction(1, 10**6)
    least = parse_quantity(plain(write_limit(value, grid, "at least", unit=True))).value
    most = parse_quantity(plain(write_limit(value, grid, "at most", unit=True))).value
    assert most - noise <= value <= least + noise
    assert least - most <= grid.step


def test_gaps_rounded_one_by_one_do_not_close() -> None:
    # worked by hand: 12 slats of 38 mm in 1200 mm; slat 1 1/2, gap 2 11/16: 12 x 1 1/2 + 11 x 2 11/16 = 47 9/16
    slat, overall = Fraction(38), Fraction(1200)
    gap = (overall - 12 * slat) / 11
    steps = [slat, *itertools.chain.from_iterable((gap, slat) for _ in range(11))]
    one_by_one = sum(ticks(step, IMPERIAL_16) for step in steps)
    assert write_ticks(one_by_one, IMPERIAL_16) == "47" + fraction_sign(9, 16, after_whole=True)
    assert shown(write_length(overall, IMPERIAL_16, mark_off_grid=False)) == "47 1/4"
    assert chain_error(steps, IMPERIAL_16) == 5

    edges = [Fraction(0), *itertools.accumulate(steps)]
    marks = close_chain(edges, IMPERIAL_16)
    assert marks[-1] == ticks(overall, IMPERIAL_16)
    assert sum(b - a for a, b in itertools.pairwise(marks)) == ticks(overall, IMPERIAL_16)
    worst = max(abs(m * IMPERIAL_16.step - edge) for m, edge in zip(marks, edges, strict=True))
    assert worst <= INCH / 32


@given(st.lists(st.fractions(min_value=0, max_value=500, max_denominator=1000), max_size=30), lengths, grids)
def test_chains_close(gaps: list[Fraction], start: Fraction, grid: LengthGrid) -> None:
    positions = list(itertools.accumulate(gaps, initial=start))
    marks = close_chain(positions, grid)
    assert marks[0] == 0
    assert list(marks) == sorted(marks)
    assert marks[-1] == ticks(sum(gaps, Fraction(0)), grid)
    for mark, position in zip(marks, positions, strict=True):
        assert abs(mark * grid.step - (position - start)) <= grid.step / 2


def test_a_chain_runs_one_way() -> None:
    assert close_chain([], METRIC_1) == ()
    with pytest.raises(ValueError, match=r"^the positions of a chain must be in ascending order$"):
        close_chain([Fraction(2), Fraction(1)], METRIC_1)


@pytest.mark.parametrize(
    ("value", "step", "expected"),
    [
        ("7", "1/2", "7°"),
        ("7.5", "1/2", "7.5°"),
        ("7.505", "1/2", "7.5°"),
        ("7.3", "1/2", "≈ 7.5°"),
        ("7.3", "1/10", "7.3°"),
        ("-7.5", "1/2", "−7.5°"),
        ("-0.004", "1/2", "0°"),
        ("89.96", "1/10", "≈ 90°"),
    ],
)
def test_angles(value: str, step: str, expected: str) -> None:
    assert shown(write_angle(Fraction(value), Fraction(step))) == expected
    assert parse_quantity(shown(write_angle(Fraction(value), mark_off_grid=False))).value.denominator <= 2


@pytest.mark.parametrize(
    ("kg", "imperial", "metric"),
    [
        ("0.3", "11 oz", "300 g"),
        ("0.9961", "2.2 lb", "1 kg"),
        ("0.45", "1 lb", "450 g"),
        ("4.54", "10 lb", "4.5 kg"),
        ("9.96", "22 lb", "10 kg"),
        ("12.6", "28 lb", "13 kg"),
        ("0", "0 oz", "0 g"),
    ],
)
def test_masses(kg: str, imperial: str, metric: str) -> None:
    assert shown(write_mass(Fraction(kg), Units.IMPERIAL)) == imperial
    assert shown(write_mass(Fraction(kg), Units.METRIC)) == metric


@pytest.mark.parametrize(
    ("square_metres", "imperial", "metric"),
    [
        ("0.05", "78 in²", "500 cm²"),
        ("0.093", "1 ft²", "930 cm²"),
        ("0.09999", "1.1 ft²", "0.1 m²"),
        ("0.5", "5.4 ft²", "0.5 m²"),
        ("9.996", "108 ft²", "10 m²"),
        ("12.63", "136 ft²", "12.6 m²"),
    ],
)
def test_areas(square_metres: str, imperial: str, metric: str) -> None:
    area = Fraction(square_metres) * 10**6
    assert shown(write_area(area, Units.IMPERIAL)) == imperial
    assert shown(write_area(area, Units.METRIC)) == metric


@pytest.mark.parametrize(
    ("minutes", "expected"),
    [
        ("45", "45 min"),
        ("59.7", "1 h"),
        ("90", "1 h 30 min"),
        ("1440", "1 day"),
        ("2880", "2 days"),
        ("1530", "1 day 1 h 30 min"),
        ("0", "0 min"),
    ],
)
def test_times(minutes: str, expected: str) -> None:
    assert shown(write_time(Fraction(minutes))) == expected


def test_what_cannot_be_negative() -> None:
    with pytest.raises(ValueError, match=r"^a mass or area cannot be negative$"):
        write_mass(Fraction(-1), Units.METRIC)
    with pytest.raises(ValueError, match=r"^a time cannot be negative here$"):
        write_time(Fraction(-1))


def test_grids_that_cannot_be_printed_are_refused() -> None:
    inch_steps = r"^the step of an inch grid must be 1, 1/2, 1/4, 1/8, 1/16, 1/32 or 1/64 in$"
    with pytest.raises(ValueError, match=inch_steps):
        LengthGrid(Units.IMPERIAL, INCH / 10)
    with pytest.raises(ValueError, match=r"^the step of a metric grid has at most three decimals of a mm$"):
        LengthGrid(Units.METRIC, Fraction(1, 3))
    with pytest.raises(ValueError, match=r"^the step of a grid must be above zero$"):
        LengthGrid(Units.METRIC, Fraction(0))
