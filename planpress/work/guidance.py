"""Figures of common practice that steps quote: glue times, tolerances, minutes for each deed.

Nothing here is a promise. Labels and manuals prevail, and the times are estimates of ours for one person who has the
tools at hand.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from attrs import frozen

INCH: Final = Fraction(254, 10)


@frozen
class GlueGuide:
    """What a class of glue asks for. Times in minutes, temperature in degrees Celsius.

    Attributes:
        name: the class, as tool lists print it. open_time: from the first glue to the last joint closed.
        clamp_time: before the work is moved. cure_time: before it is planed, drilled or loaded.
        least_warmth: of wood, glue and room.
    """

    name: str
    open_time: int
    clamp_time: int
    cure_time: int
    least_warmth: int


#: PVA wood glue. Ranges of glue makers' guides: open 10-20 min, clamp 30-90 min, 24 h to full strength, not below about
#: 10 degrees C (common practice, no source; the label prevails). The cautious end of each range but for the clamp time.
PVA: Final = GlueGuide("PVA glue", open_time=10, clamp_time=60, cure_time=24 * 60, least_warmth=10)

#: Above this mass (kg) two people lift. The load constant of the NIOSH lifting equation is 23 kg (from memory).
TWO_PEOPLE: Final = 25.0
#: Parts shorter than this (mm) are clamped and not held by hand at a power saw, fingers at least HANDS_OFF away
#: (common practice, no source).
SHORT_PART: Final = 12 * INCH
HANDS_OFF: Final = 3 * INCH
#: A stop nearer than this (mm) to the cutter may be cut (common practice, no source).
STOP_CLEAR: Final = Fraction(2)
#: Pieces side by side over this (mm) are hard to hold as one (common practice, no source).
GANG_WIDTH: Final = 6 * INCH
#: Wood (mm) that a hole must leave before it comes out at the far side; less wants a warning (common practice, no
#: source).
THIN_REST: Final = Fraction(13)
#: Over this many joints closing at once a dry run gets a step of its own.
MANY_JOINTS: Final = 8
#: A fitted part is left this much (mm) longer than the table says (common practice, no source).
SPARE_LENGTH: Final = 2 * INCH
#: Room (mm) in a clamp beyond the work: a batten and two pads.
CLAMP_ROOM: Final = Fraction(3, 2) * INCH
#: Days that bought wood lies in the workshop before it is cut (common practice, no source).
SETTLING_DAYS: Final = 7


@frozen
class Minutes:
    """Estimates: minutes for each set-up and each deed. Settings, not facts."""

    set_up: int = 10
    measure_piece: Fraction = Fraction(1)
    crosscut: Fraction = Fraction(3, 2)
    angled_cut: Fraction = Fraction(2)
    test_notch: int = 15
    notch: Fraction = Fraction(2)
    hole: Fraction = Fraction(2)
    shape_piece: Fraction = Fraction(10)
    smooth_piece: Fraction = Fraction(3)
    dry_joint: Fraction = Fraction(1, 2)
    glue_joint: Fraction = Fraction(1)
    fit_piece: int = 10
    pin: int = 4
    screw: int = 3
    coat_piece: Fraction = Fraction(3, 2)


ESTIMATES: Final = Minutes()
