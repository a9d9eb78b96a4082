"""Every usual way to write a size is read; everything else is refused with words that help."""

from __future__ import annotations

import pickle
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planpress.base.parsing import QuantityError, parse_quantity, scan_quantity
from planpress.base.quantities import (
    AREA,
    INCH,
    MASS,
    TIME,
    VOLUME,
    Dimension,
    Quantity,
    count,
    degrees,
    inches,
    mm,
    money,
)

SQUARE_FOOT = 144 * INCH**2


def of(value: Fraction | int | str, dimension: Dimension) -> Quantity:
    return Quantity(Fraction(value), dimension)


@pytest.mark.parametrize(
    ("text", "inch"),
    [
        ("3/4 in", "3/4"),
        ('3/4"', "3/4"),
        ("3/4″", "3/4"),
        ("3/4”", "3/4"),
        ("3/4''", "3/4"),
        ("3⁄4 in", "3/4"),
        ("3/4in", "3/4"),
        ("3 / 4 in", "3/4"),
        ("¾ in", "3/4"),
        ('⅜"', "3/8"),
        ("0.75in", "3/4"),
        (".75 in", "3/4"),
        ("1-1/2 in", "3/2"),
        ('1 1/2"', "3/2"),
        ("1‑1/2 in", "3/2"),
        ("1½ in", "3/2"),
        ("1 ½ in", "3/2"),
        ("1-½ in", "3/2"),
        ("1\u00a0½\u00a0in", "3/2"),
        ("5/4 in", "5/4"),
        ("1/3 in", "1/3"),
        ("3 inch", "3"),
        ("3 inches", "3"),
        ("3 in.", "3"),
        ("3 IN", "3"),
        ("6 ft", "72"),
        ("1 foot", "12"),
        ("6 feet", "72"),
        ("6'", "72"),
        ("6.5 ft", "78"),
        ("2 yd", "72"),
        ("5' 3-1/2\"", "127/2"),
        ("5′ 3½″", "127/2"),
        ("5’ 3 1/2”", "127/2"),
        ("5'3\"", "63"),
        ("5'-3\"", "63"),
        ("5 ft 3-1/2 in", "127/2"),
        ("5ft3-1/2in", "127/2"),
        ("5ft3 1/2 in", "127/2"),
        ("5ft3in", "63"),
        ("5 ft. 3 in.", "63"),
        ("5 feet 0 inches", "60"),
        ("-3 in", "-3"),
        ("− 3 in", "-3"),
        ("-5 ft 3 in", "-63"),
        ("+3 in", "3"),
        ("  3 in ", "3"),
    ],
)
def test_inches_and_feet(text: str, inch: str) -> None:
    assert parse_quantity(text) == inches(inch)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("19mm", mm(19)),
        ("19 mm", mm(19)),
        ("1.9 cm", mm(19)),
        ("2 m", mm(2000)),
        ("2.4 metres", mm(2400)),
        ("0.5 mm", mm("1/2")),
        ("9", count(9)),
        ("-9", count(-9)),
        ("3/4", count("3/4")),
        ("½", count("1/2")),
        ("1.25", count("5/4")),
        ("7 deg", degrees(7)),
        ("7°", degrees(7)),
        ("7.5 degrees", degrees("15/2")),
        ("7 ½ °", degrees("15/2")),
        ("-22.5°", degrees("-45/2")),
        ("45 min", of(45, TIME)),
        ("1 h", of(60, TIME)),
        ("1 h 30 min", of(90, TIME)),
        ("1h30min", of(90, TIME)),
        ("1-1/2 hours", of(90, TIME)),
        ("24 hours", of(1440, TIME)),
        ("2 days", of(2880, TIME)),
        ("1 day 12 h", of(2160, TIME)),
        ("30 s", of("1/2", TIME)),
        ("2 kg", of(2, MASS)),
        ("250 g", of("1/4", MASS)),
        ("10 lb", of("4.5359237", MASS)),
        ("3 lb 4 oz", of(Fraction("0.45359237") * Fraction(13, 4), MASS)),
        ("2 m2", of(2_000_000, AREA)),
        ("2 m²", of(2_000_000, AREA)),
        ("2 m^2", of(2_000_000, AREA)),
        ("10 ft2", of(10 * SQUARE_FOOT, AREA)),
        ("10 sq ft", of(10 * SQUARE_FOOT, AREA)),
        ("10 square feet", of(10 * SQUARE_FOOT, AREA)),
        ("1 l", of(1_000_000, VOLUME)),
        ("3 board feet", of(3 * SQUARE_FOOT * INCH, VOLUME)),
        ("12.50 USD", money("25/2", "USD")),
        ("4EUR", money(4, "EUR")),
    ],
)
def test_other_quantities(text: str, expected: Quantity) -> None:
    assert parse_quantity(text) == expected


USUAL = "write a number and its unit, such as 3/4 in"
UNITS = "usual units: in, ft, mm, cm, m; deg; min, h, days; kg, g, lb; m2, ft2"
HYPHEN = "write 5 ft 3 in or 1-1/2 in, without spaces about a hyphen"
CURRENCY = "write the code of the currency behind: 12.50 USD"
COMPLETE = "write 1.5, 3/4 or 1-1/2"


@pytest.mark.parametrize(
    ("text", "position", "message", "hint"),
    [
        ("", 0, "a value is missing", USUAL),
        ("-", 1, "a value is missing", USUAL),
        ("wide", 0, "a number was expected, found 'wide'", USUAL),
        ("--3 in", 1, "a number was expected, found '-3'", USUAL),
        ("inf", 0, "a number was expected, found 'inf'", USUAL),
        ("٣ in", 0, "a number was expected, found '٣'", USUAL),
        ("\ue201 in", 0, "a number was expected, found '\\ue201'", USUAL),
        ("3/0 in", 2, "a fraction cannot have 0 below the line", ""),
        ("1-1/0 in", 4, "a fraction cannot have 0 below the line", ""),
        ("1-3/2 in", 2, "3/2 after a whole number is not below 1", "write 2-1/2 if that is what is meant"),
        ("1-4/2 in", 2, "4/2 after a whole number is not below 1", "write 3 if that is what is meant"),
        ("5 mm 3 in", 5, "millimetres and inches cannot be mixed in one value", "write the value in one unit"),
        ("2 m 40 cm", 4, "metres and centimetres cannot be mixed in one value", "write the value in one unit"),
        ("12 GBP 3 EUR", 7, "GBP and EUR cannot be mixed in one value", "write the value in one unit"),
        (
            "7° 30′",
            3,
            "degrees and feet cannot be mixed in one value",
            "write parts of a degree as a fraction: 7.5 deg",
        ),
        ("3 in 5 ft", 5, "feet come before inches", "write the greater unit first"),
        ("3 in 4 in", 5, "two numbers of inches in one value", ""),
        ("5 ft 14 in", 5, "14 inches after feet is not below 12", "12 inches are 1 ft"),
        ("1 h 60 min", 4, "60 minutes after hours is not below 60", "60 minutes are 1 h"),
        ("5.5 ft 3 in", 0, "the number of feet before inches must be whole", "write the rest in inches"),
        (
            "5' 3",
            3,
            "the second number has no unit",
            "feet and inches are written 5 ft 3 in or 5' 3\"",
        ),
        ("1 h 30", 4, "the second number has no unit", ""),
        ("19,5 mm", 2, "a comma in a number", "write a decimal point: 19.5"),
        (
            "1,200 mm",
            1,
            "a comma in a number",
            "write 1200 without a separator, or 1.200 with a decimal point",
        ),
        ("1 200 mm", 2, "digits are not grouped with spaces", "write 1200 without a separator"),
        ("1_200 mm", 1, "digits are not grouped with '_'", "write the number without a separator"),
        ("3 furlong", 2, "unknown unit 'furlong'", UNITS),
        ("3 inchs", 2, "unknown unit 'inchs'", "perhaps inches"),
        ("3 M", 2, "unknown unit 'M'", "perhaps m"),
        ("1e5 mm", 1, "unknown unit 'e'", UNITS),
        ("12 usd", 3, "unknown unit 'usd'", "perhaps USD"),
        ("$12.50", 0, "a number was expected, found '$12.50'", CURRENCY),
        ("12.50 €", 6, "'€' does not name one currency", CURRENCY),
        ("3 4", 2, "two numbers without a unit between them", "write 3/4 in or 1-1/2 in"),
        ("1.5 1/2 in", 4, "two numbers without a unit between them", "write 3/4 in or 1-1/2 in"),
        ("1.5/2 in", 3, "the number is not complete", COMPLETE),
        ("1/2/3 in", 3, "the number is not complete", COMPLETE),
        ("3/", 1, "the number is not complete", COMPLETE),
        ("3.", 1, "the number is not complete", COMPLETE),
        ("5 ft - 3 in", 5, "'- 3 in' does not belong to the value", HYPHEN),
        ("1 - 1/2 in", 2, "'- 1/2 in' does not belong to the value", HYPHEN),
        ("3 in x", 5, "'x' does not belong to the value", ""),
        ("3 in\x00", 4, "'\\x00' does not belong to the value", ""),
        ("1234567890123 mm", 0, "the number has more than 12 digits in a row", ""),
        ("1/1234567890123 mm", 2, "the number has more than 12 digits in a row", ""),
        ("1" + " " * 80, 80, "the value is longer than 80 characters", ""),
    ],
)
def test_faults_say_what_where_and_how_to_mend(text: str, position: int, message: str, hint: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text)
    fault = caught.value
    assert (fault.position, fault.message, fault.hint) == (position, message, hint)
    assert str(fault) == message


def test_a_published_conversion() -> None:
    # NIST SP 811 (2008), B.7.2: 36 ft are exactly 10.9728 m
    assert parse_quantity("36 ft") == parse_quantity("10.9728 m")


def test_faults_travel_between_processes() -> None:
    fault = pickle.loads(pickle.dumps(QuantityError("wrong", 3, "right")))
    assert (fault.message, fault.position, fault.hint) == ("wrong", 3, "right")


@pytest.mark.parametrize(
    ("text", "start", "expected", "end"),
    [
        ("gap * 3/4 in + x", 6, inches("3/4"), 12),
        ("6 ft - 3 in", 0, inches(72), 4),
        ("6 ft-3 in", 0, inches(72), 4),
        ("max(3,4)", 4, count(3), 5),
        ("3 and 4", 0, count(3), 1),
        ("180 deg about z", 0, degrees(180), 7),
        ("2-1", 0, count(2), 1),
        ("12 m2/2", 0, of(12_000_000, AREA), 5),
        ("12 ft2 / 2", 0, of(12 * SQUARE_FOOT, AREA), 6),
        ("12 ft2 and x", 0, of(12 * SQUARE_FOOT, AREA), 6),
        ("12 ft2 - 2 m2", 0, of(12 * SQUARE_FOOT, AREA), 6),
        ("1/2.5 in", 0, count(1), 1),
        ("9/slats", 0, count(9), 1),
    ],
)
def test_scanning_leaves_what_follows(text: str, start: int, expected: Quantity, end: int) -> None:
    assert scan_quantity(text, start) == (expected, end)


@given(
    st.integers(0, 10**6),
    st.sampled_from([2, 4, 8, 16, 32, 64]),
    st.integers(1, 63),
    st.sampled_from(["{w}-{n}/{d} in", '{w} {n}/{d}"', "{w}-{n}/{d}″", "{w} {n}⁄{d} inches"]),
)
def test_mixed_numbers(whole: int, denominator: int, numerator: int, form: str) -> None:
    numerator = 1 + numerator % (denominator - 1) if denominator > 2 else 1
    text = form.format(w=whole, n=numerator, d=denominator)
    assert parse_quantity(text) == inches(whole + Fraction(numerator, denominator))


@given(st.text(alphabet="0123456789 /-.,'\"″½⅜°infтmdeg²\u2212\u00a0", max_size=20))
def test_any_text_is_a_quantity_or_a_fault_inside_it(text: str) -> None:
    try:
        quantity = parse_quantity(text)
    except QuantityError as caught:
        fault = caught
    else:
        assert parse_quantity(f" {text} ") == quantity
        return
    assert 0 <= fault.position <= len(text)
    assert fault.message
