"""How steps say things: sizes through the edition's grids, counts in words, lists, letters with counts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from attrs import frozen

from planpress.base.edition import Edition
from planpress.base.printing import (
    NO_BREAK,
    LengthGrid,
    Units,
    write_angle,
    write_length,
    write_limit,
    write_mass,
    write_time,
)
from planpress.work.guidance import INCH
from planpress.work.operations import Operation

#: Drills and settings: sixty-fourths of an inch, tenths of a millimetre.
IMPERIAL_64: Final = LengthGrid(Units.IMPERIAL, INCH / 64)
METRIC_TENTH: Final = LengthGrid(Units.METRIC, Fraction(1, 10))
#: Sizes of clamps and spans that need no fraction.
_COARSE: Final = {
    Units.IMPERIAL: LengthGrid(Units.IMPERIAL, INCH),
    Units.METRIC: LengthGrid(Units.METRIC, Fraction(10)),
}
_SMALL: Final = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)


@frozen
class Say:
    """Writes what a step quotes, for one edition. Lengths are exact mm in and text out."""

    edition: Edition

    def length(self, mm: Fraction) -> str:
        """An ordinary length."""
        return self.edition.length(mm)

    def joint(self, mm: Fraction) -> str:
        """A joint's length, finer."""
        return self.edition.joint(mm)

    def drill(self, mm: Fraction) -> str:
        """A drill's diameter."""
        return self.setting(mm)

    def setting(self, mm: Fraction) -> str:
        """A distance that a machine is set to, on the finest grid."""
        return write_length(mm, METRIC_TENTH if self.edition.is_metric else IMPERIAL_64)

    def error(self, mm: Fraction) -> str:
        """An error, rounded up on the finest grid."""
        return write_limit(mm, METRIC_TENTH if self.edition.is_metric else IMPERIAL_64, "at least")

    def at_least(self, mm: Fraction) -> str:
        """A size that may be larger, rounded up to whole inches or centimetres (in mm)."""
        return write_limit(mm, _COARSE[self.edition.units], "at least")

    def at_most(self, mm: Fraction) -> str:
        """A depth that must not be passed, rounded down on the joints' grid."""
        return write_limit(mm, self.edition.joint_grid, "at most")

    @property
    def fine(self) -> str:
        """The tolerance of joints: one step of their grid."""
        return write_length(self.edition.joint_grid.step, self.edition.joint_grid)

    @property
    def coarse(self) -> str:
        """The tolerance of ordinary lengths: one step of their grid."""
        return write_length(self.edition.length_grid.step, self.edition.length_grid)

    def angle(self, degrees: Fraction) -> str:
        """An angle without its sign."""
        return write_angle(abs(degrees))

    def mass(self, kg: float) -> str:
        """A mass."""
        return write_mass(Fraction(kg), self.edition.units)

    def time(self, minutes: int) -> str:
        """A duration."""
        return write_time(Fraction(minutes))

    def about(self, minutes: Fraction | int) -> str:
        """An estimate, in steps of five minutes: "about 35 min"."""
        return f"about{NO_BREAK}{self.time(max(5, 5 * math.ceil(Fraction(minutes) / 5)))}"


def in_words(count: int) -> str:
    """A count up to twelve in words, others in figures."""
    return _SMALL[count] if 0 <= count < len(_SMALL) else str(count)


def listed(words: Sequence[str], last: str = "and") -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def capital(text: str) -> str:
    """With a capital first letter."""
    return text[:1].upper() + text[1:]


def lower_first(text: str) -> str:
    """With a small first letter, unless the second one is a capital too."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def plural(noun: str, count: int = 2) -> str:
    """The noun for a count of things."""
    if count == 1:
        return noun
    if noun.endswith("y") and noun[-2:-1] not in tuple("aeiou"):
        return noun[:-1] + "ies"
    if noun.endswith(("shelf", "half")):
        return noun[:-1] + "ves"
    return noun + ("es" if noun.endswith(("s", "x", "z", "ch", "sh")) else "s")


def ordinal(number: int) -> str:
    """ "1st", "2nd", "11th"."""
    ending = "th" if 10 <= number % 100 <= 20 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def times(letter: str, count: int) -> str:
    """ "A × 9", that does not break."""
    return f"{letter}{NO_BREAK}×{NO_BREAK}{count}"


def together(operations: Sequence[Operation]) -> tuple[tuple[str, int], ...]:
    """Letters with the greatest count of some operations, in order of first mention."""
    counts: dict[str, int] = {}
    for operation in operations:
        for letter, count in operation.parts:
            counts[letter] = max(counts.get(letter, 0), count)
    return tuple((letter, count) for letter, count in counts.items() if count)
