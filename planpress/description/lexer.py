"""A formula's text to tokens.

What makes one length of `1-1/2 in` and a subtraction of `gap - 1/2 in`:

- digits, a hyphen and a fraction with no space between them are a mixed number (`1-1/2`). It must have a unit: without
  one it is refused, since it could as well be a subtraction.
- two numbers with a slash and no space between them are a fraction if a unit follows (`3/4 in`). Otherwise, and
  wherever there are spaces round the slash, it is a division: `x / 3/4 in` divides by three quarters of an inch,
  `x / 3 / 4 in` divides by three, then by four inches; `x/3/4 in` is refused.
- numbers with units that follow one another are one size where that is usual (`5 ft 3-1/2 in`).
- everything else is arithmetic: `slats-1`, `2-1`, `gap -1/2 in`.
"""

from __future__ import annotations

import re

from attrs import frozen

from planpress.base.parsing import QuantityError, parse_quantity, scan_quantity
from planpress.base.quantities import COUNT, Quantity
from planpress.description.faults import FormulaError, formula_error
from planpress.description.located import LocatedText

MAX_LENGTH = 1000
WORD_OPERATORS = ("and", "or", "not")

_SPACE = re.compile(r"\s+")
_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
_NUMBER_START = re.compile(r"\.?[0-9]|[¼½¾⅐-⅞]")
_WHOLE = re.compile(r"[0-9]+")
_SLASH = re.compile(r"[0-9]+\s*/\s*[0-9]+")
_CLOSE_FRACTION = re.compile(r"[0-9]+/[0-9]+(?!\s*/)(?![0-9.])")
_MIXED = re.compile(r"([0-9]+)[-‐‑]([0-9]+/[0-9]+)")
_OPERATOR = re.compile(r"<=|>=|==|!=|[-+*/<>(),]")

_HINTS = {
    "=": "write == to compare",
    "^": "write a power as a product",
    "×": "write * to multiply",
    "÷": "write / to divide",
    "−": "write a plain hyphen for minus",
    "–": "write a plain hyphen for minus",
    "{": "a formula needs no braces; write the name alone",
    "&": "write and",
    "|": "write or",
    "!": "write not, or != to compare",
    "≤": "write <=",
    "≥": "write >=",
    '"': 'an inch mark follows a number: 3/4"',
    "'": "a foot mark follows a number: 5'",
}


@frozen
class Token:
    """A piece of a formula: `kind` is "literal", "name", "operator" or "end"; operators include ( ) and commas."""

    kind: str
    text: str
    start: int
    end: int
    value: Quantity | None = None


def tokens(source: LocatedText) -> list[Token]:
    """All tokens of a formula, closed by one of kind "end".

    Raises:
        FormulaError: for a sign, number or unit that is not known, or a text that is too long.
    """
    text = source.text
    if len(text) > MAX_LENGTH:
        raise formula_error(
            "formula-length",
            f"a formula of {len(text)} characters",
            source.place,
            expected=f"at most {MAX_LENGTH}",
            hint="give its parts names under formulas",
        )
    found: list[Token] = []
    position = 0
    while position < len(text):
        space = _SPACE.match(text, position)
        if space:
            position = space.end()
            continue
        token = _token(source, position)
        found.append(token)
        position = token.end
    found.append(Token("end", "", len(text), len(text)))
    return found


def _token(source: LocatedText, start: int) -> Token:
    text = source.text
    name = _NAME.match(text, start)
    if name:
        kind = "operator" if name[0] in WORD_OPERATORS else "name"
        return Token(kind, name[0], start, name.end())
    if _NUMBER_START.match(text, start):
        return _literal(source, start)
    operator = _OPERATOR.match(text, start)
    if operator:
        return Token("operator", operator[0], start, operator.end())
    raise formula_error(
        "formula-sign",
        f"the sign {text[start]} has no meaning in a formula",
        source.place_at(start),
        expected="numbers with units, names, + - * / ( ) and comparisons",
        hint=_HINTS.get(text[start], ""),
    )


def _literal(source: LocatedText, start: int) -> Token:
    """The number that begins here, with its unit."""
    text = source.text
    try:
        value, end = _scan(text, start)
    except QuantityError as fault:
        at = source.place_at(min(fault.position, len(text)))
        raise formula_error("number", fault.message, at, hint=fault.hint) from None
    mixed = _MIXED.match(text, start)
    if mixed and value.dimension == COUNT:
        raise formula_error(
            "mixed-number",
            f"{mixed[0]} has no unit",
            source.place_at(start),
            hint=f"a size needs its unit: {mixed[0]} in; to subtract, put spaces: {mixed[1]} - {mixed[2]}",
        )
    if value.dimension != COUNT and _CLOSE_FRACTION.match(text, start) and text[:start].endswith("/"):
        raise formula_error(
            "formula",
            f"it is not clear what {text[start:end]} divides",
            source.place_at(start),
            hint="put spaces round the sign that divides: x / 3/4 in, or x / 3 / 4 in",
        )
    _check_unit(source, start, end)
    return Token("literal", text[start:end], start, end, value)


def _scan(text: str, start: int) -> tuple[Quantity, int]:
    """A number with its unit; only the first number of a division."""
    if _SLASH.match(text, start):
        if _CLOSE_FRACTION.match(text, start):
            value, end = scan_quantity(text, start)
            if value.dimension != COUNT:
                return value, end
        whole = _WHOLE.match(text, start)
        assert whole is not None
        return scan_quantity(text[: whole.end()], start)
    return scan_quantity(text, start)


def _check_unit(source: LocatedText, start: int, end: int) -> None:
    """Refuse a word right after a number: it is no unit, or an operator is missing."""
    space = _SPACE.match(source.text, end)
    begin = space.end() if space else end
    word = _NAME.match(source.text, begin)
    if word is None or word[0] in WORD_OPERATORS:
        return
    raise _unknown_unit(source, source.text[start:end], word[0], begin)


def _unknown_unit(source: LocatedText, number: str, word: str, at: int) -> FormulaError:
    hint = ""
    try:
        parse_quantity(f"{number} {word}")
    except QuantityError as fault:
        hint = f"{fault.hint}; " if fault.hint.startswith("perhaps") else ""
    return formula_error(
        "unit", f"unknown unit '{word}'", source.place_at(at), hint=f"{hint}to multiply, write {number} * {word}"
    )
