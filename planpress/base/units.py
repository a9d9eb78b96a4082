"""The units that a description may use, each exact in the unit of its dimension (see `quantities`)."""

from __future__ import annotations

from fractions import Fraction

from attrs import frozen

from planpress.base.quantities import ANGLE, AREA, INCH, LENGTH, MASS, MONEY, TIME, VOLUME, Dimension

#: One pound in kg, exactly. Source: NIST SP 811 (2008), appendix B.
POUND = Fraction(45359237, 100000000)


@frozen
class Unit:
    """A unit: its short name, its plural in words, and its size in the unit of its dimension."""

    name: str
    plural: str
    dimension: Dimension
    size: Fraction


def _units() -> dict[str, Unit]:
    foot, metre = 12 * INCH, Fraction(1000)
    litre = Fraction(10**6)
    gallon = 231 * INCH**3  # US liquid gallon, by definition; NIST SP 811 appendix B
    table: tuple[tuple[str, Dimension, Fraction], ...] = (
        ("in inches inch", LENGTH, INCH),
        ("ft feet foot", LENGTH, foot),
        ("yd yards yard", LENGTH, 3 * foot),
        ("mm millimetres millimetre millimeter millimeters", LENGTH, Fraction(1)),
        ("cm centimetres centimetre centimeter centimeters", LENGTH, Fraction(10)),
        ("m metres metre meter meters", LENGTH, metre),
        ("in2 square_inches sq_in", AREA, INCH**2),
        ("ft2 square_feet sq_ft", AREA, foot**2),
        ("mm2 square_millimetres sq_mm", AREA, Fraction(1)),
        ("cm2 square_centimetres sq_cm", AREA, Fraction(100)),
        ("m2 square_metres sq_m", AREA, metre**2),
        ("in3 cubic_inches cu_in", VOLUME, INCH**3),
        ("ft3 cubic_feet cu_ft", VOLUME, foot**3),
        ("bf board_feet board_foot board_ft", VOLUME, 144 * INCH**3),
        ("mm3 cubic_millimetres", VOLUME, Fraction(1)),
        ("cm3 cubic_centimetres", VOLUME, Fraction(1000)),
        ("m3 cubic_metres cu_m", VOLUME, metre**3),
        ("ml millilitres millilitre milliliter milliliters", VOLUME, litre / 1000),
        ("l litres litre liter liters", VOLUME, litre),
        ("gal gallons gallon", VOLUME, gallon),
        ("qt quarts quart", VOLUME, gallon / 4),
        ("pt pints pint", VOLUME, gallon / 8),
        ("deg degrees degree", ANGLE, Fraction(1)),
        ("s seconds second sec", TIME, Fraction(1, 60)),
        ("min minutes minute mins", TIME, Fraction(1)),
        ("h hours hour hr hrs", TIME, Fraction(60)),
        ("day days", TIME, Fraction(24 * 60)),
        ("week weeks", TIME, Fraction(7 * 24 * 60)),
        ("g grams gram", MASS, Fraction(1, 1000)),
        ("kg kilograms kilogram", MASS, Fraction(1)),
        ("oz ounces ounce", MASS, POUND / 16),
        ("lb pounds pound lbs", MASS, POUND),
    )
    out: dict[str, Unit] = {}
    for names, dimension, size in table:
        spellings = [name.replace("_", " ") for name in names.split()]
        out |= dict.fromkeys(spellings, Unit(spellings[0], spellings[1], dimension, size))
    return out


#: Every spelling of every unit in words, in lower case.
NAMED_UNITS: dict[str, Unit] = _units()

_SIGNS = {
    **dict.fromkeys(('"', "″", "”", "''", "’’", "′′"), NAMED_UNITS["in"]),
    **dict.fromkeys(("'", "′", "’"), NAMED_UNITS["ft"]),
    "°": NAMED_UNITS["deg"],
}

_CODES = (
    "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL BSD BTN BWP BYN BZD "
    "CAD CDF CHF CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP "
    "GMD GNF GTQ GYD HKD HNL HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD "
    "KYD KZT LAK LBP LKR LRD LSL LYD MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN "
    "NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON RSD RUB RWF SAR SBD SCR SDG SEK SGD SHP "
    "SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND TOP TRY TTD TWD TZS UAH UGX USD UYU UZS VES VND "
    "VUV WST XAF XCD XOF XPF YER ZAR ZMW "
)
#: Codes of currencies in use. Source: ISO 4217 (from memory; funds, metals and testing codes left out).
CURRENCIES: tuple[str, ...] = tuple(_CODES.split())


def unit_named(spelling: str) -> Unit | None:
    """The unit with this spelling ("in", "inches", "sq ft", "m2", a quote mark, "EUR"), or None.

    Words may be in capitals too, single letters may not: "M" and "G" mean something else elsewhere.
    """
    if spelling in _SIGNS:
        return _SIGNS[spelling]
    if spelling in CURRENCIES:
        return Unit(spelling, spelling, MONEY, Fraction(1))
    words = " ".join(spelling.replace(".", " ").split())
    return NAMED_UNITS.get(words if len(words) == 1 else words.lower())
