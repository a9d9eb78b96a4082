"""Reading quantities as people write them: `3/4 in`, `5' 3-1/2"`, `19mm`, `1 ½ in`, `7°`, `1 h 30 min`.

A text is an optional sign and one or more terms, each a number and a unit; several terms make one quantity
only where that is usual (feet and inches, days, hours and minutes, pounds and ounces). A bare number is a
count, a number with the code of a currency (`12.50 USD`) an amount of money.
"""

from __future__ import annotations

import difflib
import itertools
import re
import unicodedata
from fractions import Fraction
from typing import TypeAlias

from attrs import frozen

from planpress.base.quantities import COUNT, Quantity, money
from planpress.base.units import CURRENCIES, NAMED_UNITS, Unit, unit_named

#: Longest text that is read, in characters, and most digits in a row.
MAX_LENGTH = 80
MAX_DIGITS = 12


class QuantityError(ValueError):
    """A text that is no quantity.

    Attributes:
        message: what is wrong; also the text of the exception.
        position: offset in the text, from 0, where it is wrong.
        hint: how to mend it, or "".
    """

    def __init__(self, message: str, position: int, hint: str = "") -> None:
        super().__init__(message, position, hint)
        self.message = message
        self.position = position
        self.hint = hint

    def __str__(self) -> str:
        return self.message


@frozen
class _Term:
    """A number with its unit (None: none written) and where it starts."""

    number: Fraction
    is_whole: bool
    unit: Unit | None
    start: int


_Match: TypeAlias = re.Match[str]

_VULGAR = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_SLASH = "/\u2044\u2215"
_HYPHEN = "-\u2010\u2011"
_MINUS = "-\u2212"
_NUMBER = re.compile(
    rf"""
    (?P<above>[0-9]+)\s*[{_SLASH}]\s*(?P<below>[0-9]+)(?![0-9.])              # 3/4
    | (?P<whole>[0-9]+)(?:\s+|[{_HYPHEN}])                                     # 1-1/2, 1 1/2
      (?P<over>[0-9]+)[{_SLASH}](?P<under>[0-9]+)(?![0-9.])
    | (?P<before>[0-9]+)?(?:(?<=[0-9])(?:\s+|[{_HYPHEN}]))?(?P<vulgar>[{_VULGAR}])  # ½, 1½, 1 ½
    | (?P<decimal>[0-9]+\.[0-9]+|\.[0-9]+|[0-9]+)
    """,
    re.VERBOSE,
)
_SIGNS = re.compile(r"[\"″”]|''|’’|′′|['′’]|°")
_WORD = re.compile(r"(?:(?:sq|square|cu|cubic|board)\.?\s+)?[A-Za-z]+", re.IGNORECASE)
_POWER = re.compile(r"[²³]|\^?[23](?![0-9.A-Za-z])")
# square feet; but the 3 of "5ft3in", "5ft3-1/2 in" and "5ft3 1/2 in" begins the next number
_POWER_OF_FEET = re.compile(
    rf"""[²³]|\^?[23](?![0-9.A-Za-z{_SLASH}{_VULGAR}]|\s*(?:in|["″”'′’])
    |(?:\s+|[{_HYPHEN}])(?:[0-9]+[{_SLASH}]|[{_VULGAR}]))""",
    re.VERBOSE,
)
_SPACE = re.compile(r"\s*")
_CURRENCY_SIGNS = ("$", "€", "£", "¥")
_CURRENCY_HINT = "write the code of the currency behind: 12.50 USD"
_USUAL_HINT = "write a number and its unit, such as 3/4 in"
#: Units that combine: (greater, lesser) -> how many of the lesser make one of the greater.
_COMBINED = {
    ("ft", "in"): 12,
    ("week", "day"): 7,
    ("day", "h"): 24,
    ("h", "min"): 60,
    ("min", "s"): 60,
    ("lb", "oz"): 16,
}


def parse_quantity(text: str) -> Quantity:
    """The quantity that is the whole text.

    Raises:
        QuantityError: if the text is anything else.
    """
    if len(text) > MAX_LENGTH:
        raise QuantityError(f"the value is longer than {MAX_LENGTH} characters", MAX_LENGTH)
    start = _skip_space(text, 0)
    negative = text[start : start + 1] in tuple(_MINUS)
    if negative or text.startswith("+", start):
        start = _skip_space(text, start + 1)
    if start == len(text):
        raise QuantityError("a value is missing", start, _USUAL_HINT)
    quantity, end = scan_quantity(text, start)
    end = _skip_space(text, end)
    if end < len(text):
        raise _trailing(text, end)
    return -quantity if negative else quantity


def scan_quantity(text: str, start: int = 0) -> tuple[Quantity, int]:
    """The longest quantity without a sign that starts at `start`, and the offset where it ends.

    For formulas: what follows is left alone, even a word that is no unit (the number is a count then).

    Raises:
        QuantityError: if no number starts there, or the quantity is malformed.
    """
    term, end = _term(text, start)
    terms = [term]
    while True:
        joint = _joint(text, end, terms[-1])
        if joint is None:
            break
        term, end = _term(text, joint)
        terms.append(term)
    _check_terms(terms, text)
    first = terms[0].unit
    if first is None:
        return Quantity(terms[0].number, COUNT), end
    if first.dimension.is_money:
        return money(terms[0].number, first.name), end
    total = sum((t.number * t.unit.size for t in terms if t.unit), Fraction(0))
    return Quantity(total, first.dimension), end


def _joint(text: str, end: int, last: _Term) -> int | None:
    """Where the next term starts, if another number follows without an operator: `5 ft 3 in`, `5'-3"`."""
    following = _skip_space(text, end)
    if _NUMBER.match(text, following):
        return following
    hyphen = text[end : end + 1] in tuple(_HYPHEN) and text[end - 1 : end] in ("'", "′", "’")
    if hyphen and last.unit and last.unit.name == "ft" and _NUMBER.match(text, end + 1):
        return end + 1
    return None


def _term(text: str, start: int) -> tuple[_Term, int]:
    match = _NUMBER.match(text, start)
    if match is None:
        found = text[start:].split(maxsplit=1)
        raise QuantityError(
            f"a number was expected, found {_quoted(found[0])}" if found else "a number was expected",
            start,
            _CURRENCY_HINT if text[start : start + 1] in _CURRENCY_SIGNS else _USUAL_HINT,
        )
    number = _number(match)
    unit, end = _unit(text, match.end())
    return _Term(number, match["decimal"] is not None and "." not in match[0], unit, start), end


def _number(match: _Match) -> Fraction:
    run = re.search(rf"[0-9]{{{MAX_DIGITS + 1}}}", match[0])
    if run:
        raise QuantityError(f"the number has more than {MAX_DIGITS} digits in a row", match.start() + run.start())
    if match["decimal"] is not None:
        return Fraction(match["decimal"])
    if match["vulgar"] is not None:
        part = Fraction(unicodedata.normalize("NFKC", match["vulgar"]).replace("\u2044", "/"))
        return int(match["before"] or 0) + part
    if match["above"] is not None:
        return _ratio(match, "above", "below")
    whole, part = int(match["whole"]), _ratio(match, "over", "under")
    if part >= 1:
        total = whole + part
        rest = total % 1
        better = f"{total // 1}-{rest}" if rest else f"{total}"
        raise QuantityError(
            f"{match['over']}/{match['under']} after a whole number is not below 1",
            match.start("over"),
            f"write {better} if that is what is meant",
        )
    return whole + part


def _ratio(match: _Match, above: str, below: str) -> Fraction:
    if int(match[below]) == 0:
        raise QuantityError("a fraction cannot have 0 below the line", match.start(below))
    return Fraction(int(match[above]), int(match[below]))


def _unit(text: str, end: int) -> tuple[Unit | None, int]:
    """The unit that follows a number, and where it ends; (None, end) if none does."""
    start = _skip_space(text, end)
    sign = _SIGNS.match(text, start)
    if sign:
        return unit_named(sign[0]), sign.end()
    word = _WORD.match(text, start)
    if word is None:
        return None, end
    unit = unit_named(word[0])
    is_feet = unit is not None and unit.name == "ft"
    power = (_POWER_OF_FEET if is_feet else _POWER).match(text, word.end())
    if power:
        squared = unit_named(word[0] + power[0].lstrip("^").translate(_PLAIN_POWERS))
        if squared:
            return squared, power.end()
    if unit is None:
        return None, end
    has_point = text.startswith(".", word.end()) and not re.match(r"\.[0-9]", text[word.end() :])
    return unit, word.end() + (1 if has_point else 0)


_PLAIN_POWERS = str.maketrans("²³", "23")


def _check_terms(terms: list[_Term], text: str) -> None:
    """Only usual combinations, the greater unit first, and whole numbers of all but the last."""
    for term, following in itertools.pairwise(terms):
        _check_pair(term, following, text)


def _check_pair(term: _Term, following: _Term, text: str) -> None:
    at = following.start
    a, b = term.unit, following.unit
    if a is None:
        raise _two_numbers(text, term, following)
    if b is None:
        hint = "feet and inches are written 5 ft 3 in or 5' 3\"" if a.name == "ft" else ""
        raise QuantityError("the second number has no unit", at, hint)
    ratio = _COMBINED.get((a.name, b.name))
    if ratio is None:
        raise _not_combined(a, b, at)
    if not term.is_whole:
        raise QuantityError(
            f"the number of {a.plural} before {b.plural} must be whole",
            term.start,
            f"write the rest in {b.plural}",
        )
    if following.number >= ratio:
        raise QuantityError(
            f"{following.number} {b.plural} after {a.plural} is not below {ratio}",
            at,
            f"{ratio} {b.plural} are 1 {a.name}",
        )


def _not_combined(a: Unit, b: Unit, at: int) -> QuantityError:
    if a == b:
        return QuantityError(f"two numbers of {a.plural} in one value", at)
    if (b.name, a.name) in _COMBINED:
        return QuantityError(f"{b.plural} come before {a.plural}", at, "write the greater unit first")
    hint = "write the value in one unit"
    if a.name == "deg" and b.name in ("ft", "in"):
        hint = "write parts of a degree as a fraction: 7.5 deg"
    return QuantityError(f"{a.plural} and {b.plural} cannot be mixed in one value", at, hint)


def _two_numbers(text: str, term: _Term, following: _Term) -> QuantityError:
    between = text[term.start : following.start].strip()
    grouped = re.match(r"[0-9]{3}(?![0-9])", text[following.start :])
    if term.is_whole and grouped and len(between) <= 3:
        joined = between + grouped[0]
        return QuantityError(
            "digits are not grouped with spaces", following.start, f"write {joined} without a separator"
        )
    return QuantityError("two numbers without a unit between them", following.start, "write 3/4 in or 1-1/2 in")


def _trailing(text: str, at: int) -> QuantityError:
    """What to say about text after a quantity."""
    rest = text[at:]
    before = re.search(r"[0-9]+$", text[:at])
    after = re.match(r",([0-9]+)", rest)
    if before and after:
        return _comma(before[0], after[1], at)
    if before and re.match(r"_[0-9]", rest):
        return QuantityError("digits are not grouped with '_'", at, "write the number without a separator")
    if before and rest[0] in _SLASH + ".":
        return QuantityError("the number is not complete", at, "write 1.5, 3/4 or 1-1/2")
    if rest[0] in _CURRENCY_SIGNS:
        return QuantityError(f"'{rest[0]}' does not name one currency", at, _CURRENCY_HINT)
    word = re.match(r"[A-Za-z]+[23²³]?", rest)
    if word and re.search(rf"[0-9{_VULGAR}]\s*$", text[:at]):
        return QuantityError(f"unknown unit '{word[0]}'", at, _similar(word[0]))
    hint = "write 5 ft 3 in or 1-1/2 in, without spaces about a hyphen" if rest[0] in _HYPHEN else ""
    return QuantityError(f"{_quoted(rest)} does not belong to the value", at, hint)


def _quoted(text: str) -> str:
    """The text in quotes, with what cannot be printed spelled out."""
    shown = "".join(c if c.isprintable() else ascii(c)[1:-1] for c in text)
    return f"'{shown}'"


def _comma(before: str, after: str, at: int) -> QuantityError:
    if len(after) == 3 and len(before) <= 3 and before != "0":
        hint = f"write {before}{after} without a separator, or {before}.{after} with a decimal point"
    else:
        hint = f"write a decimal point: {before}.{after}"
    return QuantityError("a comma in a number", at, hint)


def _similar(word: str) -> str:
    close = difflib.get_close_matches(word.lower(), list(NAMED_UNITS), n=1)
    if close:
        return f"perhaps {close[0]}"
    if len(word) == 3 and word.upper() in CURRENCIES:
        return f"perhaps {word.upper()}"
    return "usual units: in, ft, mm, cm, m; deg; min, h, days; kg, g, lb; m2, ft2"


def _skip_space(text: str, start: int) -> int:
    match = _SPACE.match(text, start)
    return match.end() if match else start
