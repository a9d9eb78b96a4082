"""Wood screws and the holes for them.

Inch screws: shank diameter 0.060 in + 0.013 in x gauge and flat-head diameters after ASME B18.6.1 Wood Screws (inch
series), 82 degree heads; the formula and the heads from memory. Metric screws: heads after DIN 7997 (countersunk, 90
degrees), from memory. Pilot and clearance holes: computed from a root of 2/3 of the shank (Wood Handbook FPL-GTR-190,
chapter 8) and rounded to stock drills; shop charts differ by a drill size either way (common practice, no source).
"""

from __future__ import annotations

from fractions import Fraction

from attrs import frozen

INCH = Fraction(254, 10)


@frozen
class Screw:
    """One size of countersunk wood screw with its holes; all diameters in mm.

    Attributes:
        name: as it is asked for ("No. 8", "4 mm").
        shank, head: diameters; head_angle: of the cone, degrees.
        pilot_soft, pilot_hard: lead holes; clearance: hole that lets the shank pass; counterbore: for head or plug.
    """

    name: str
    shank: Fraction
    head: Fraction
    head_angle: Fraction
    pilot_soft: Fraction
    pilot_hard: Fraction
    clearance: Fraction
    counterbore: Fraction

    def pilot(self, dense: bool) -> Fraction:
        """Lead hole (mm) in dense or softer wood."""
        return self.pilot_hard if dense else self.pilot_soft

    def countersink_depth(self) -> Fraction:
        """Depth (mm) of the cone that takes the head flush above the clearance hole: (head - hole) / (2
        tan(angle/2))."""
        return (self.head - self.clearance) / (2 * _TANGENT_OF_HALF[self.head_angle])


_TANGENT_OF_HALF = {Fraction(82): Fraction("0.869286738"), Fraction(90): Fraction(1)}


def _inch(gauge: int, head: str, soft: str, hard: str, clearance: str, bore: str) -> Screw:
    shank = (Fraction("0.060") + Fraction("0.013") * gauge) * INCH
    return Screw(
        f"No. {gauge}",
        shank,
        Fraction(head) * INCH,
        Fraction(82),
        Fraction(soft) * INCH,
        Fraction(hard) * INCH,
        Fraction(clearance) * INCH,
        Fraction(bore) * INCH,
    )


INCH_SCREWS: dict[int, Screw] = {
    4: _inch(4, "0.225", "3/64", "1/16", "1/8", "1/4"),
    6: _inch(6, "0.279", "1/16", "5/64", "9/64", "5/16"),
    8: _inch(8, "0.332", "5/64", "3/32", "11/64", "3/8"),
    10: _inch(10, "0.385", "3/32", "7/64", "13/64", "1/2"),
    12: _inch(12, "0.438", "7/64", "1/8", "7/32", "1/2"),
    14: _inch(14, "0.507", "7/64", "9/64", "1/4", "1/2"),
}


def _metric(size: str, head: str, soft: str, hard: str, clearance: str, bore: str) -> Screw:
    return Screw(
        f"{size} mm",
        Fraction(size),
        Fraction(head),
        Fraction(90),
        Fraction(soft),
        Fraction(hard),
        Fraction(clearance),
        Fraction(bore),
    )


METRIC_SCREWS: dict[Fraction, Screw] = {
    Fraction("3"): _metric("3", "5.6", "1.5", "2", "3.5", "6"),
    Fraction("3.5"): _metric("3.5", "6.5", "2", "2.5", "4", "8"),
    Fraction("4"): _metric("4", "7.5", "2", "2.5", "4.5", "8"),
    Fraction("4.5"): _metric("4.5", "8.3", "2.5", "3", "5", "10"),
    Fraction("5"): _metric("5", "9.2", "3", "3.5", "5.5", "10"),
    Fraction("6"): _metric("6", "11", "3.5", "4.5", "6.5", "12"),
}
#: The metric size that takes the place of an inch gauge.
NEAREST_METRIC: dict[int, Fraction] = {
    4: Fraction("3"),
    6: Fraction("3.5"),
    8: Fraction("4"),
    10: Fraction("5"),
    12: Fraction("5"),
    14: Fraction("6"),
}
