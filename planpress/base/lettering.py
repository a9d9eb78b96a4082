"""Stacked fractions as characters.

A fraction of an inch is one character of a private range, so that it wraps, measures and embeds like a letter; the font
writer draws it as numerator over bar over denominator and tells readers its text. There are two characters a fraction:
one to follow a whole number (read with a space before it: "1 3/4") and one that stands alone ("3/4").
"""

from __future__ import annotations

#: (numerator, denominator) of every proper reduced fraction down to 1/64, in the order of their characters.
FRACTIONS: tuple[tuple[int, int], ...] = tuple(
    (numerator, denominator) for denominator in (2, 4, 8, 16, 32, 64) for numerator in range(1, denominator, 2)
)
FIRST_AFTER_WHOLE = 0xE200
FIRST_ALONE = 0xE240

_INDEX = {fraction: i for i, fraction in enumerate(FRACTIONS)}
_SPELLED = {FIRST_AFTER_WHOLE + i: f" {n}/{d}" for i, (n, d) in enumerate(FRACTIONS)} | {
    FIRST_ALONE + i: f"{n}/{d}" for i, (n, d) in enumerate(FRACTIONS)
}


def fraction_sign(numerator: int, denominator: int, after_whole: bool) -> str:
    """The character of a reduced fraction with denominator 2 to 64.

    Raises:
        KeyError: if the fraction is not proper, not reduced or finer than 1/64.
    """
    first = FIRST_AFTER_WHOLE if after_whole else FIRST_ALONE
    return chr(first + _INDEX[numerator, denominator])


def has_fraction(text: str) -> bool:
    """True if the text contains a stacked fraction (which reaches below the baseline)."""
    return any(ord(c) in _SPELLED for c in text)


def plain(text: str) -> str:
    """The text with its fractions spelled out, for alternative text, bookmarks, tables and listings."""
    return text.translate(_SPELLED)
