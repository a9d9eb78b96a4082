"""Small words of the pages, beside those that the work's texts use as well."""

from __future__ import annotations

from collections.abc import Sequence

from planpress.work.saying import capital, in_words, listed, lower_first, plural

__all__ = ["capital", "counted", "in_text", "in_words", "listed", "lower_first", "number_range", "plural"]


def counted(count: int, noun: str) -> str:
    """ "1 piece", "9 pieces", never broken."""
    return f"{count}\u00a0{plural(noun, count)}"


def number_range(numbers: Sequence[int]) -> str:
    """Ascending page or step numbers: "5", "5-8", "5, 7-9", with dashes."""
    groups: list[list[int]] = []
    for number in numbers:
        if groups and number == groups[-1][-1] + 1:
            groups[-1].append(number)
        else:
            groups.append([number])
    return ", ".join(str(group[0]) if len(group) == 1 else f"{group[0]}\u2013{group[-1]}" for group in groups)


def in_text(label: str) -> str:
    """A label as it stands within a sentence: "slat", "left-hand leg" for "Leg, left-hand"."""
    noun, comma, kind = lower_first(label).partition(", ")
    return f"{kind} {noun}" if comma else noun
