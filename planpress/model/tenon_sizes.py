"""How thick and wide a finished tenon is."""

from __future__ import annotations

from fractions import Fraction

from planpress.geometry.polygons import area
from planpress.geometry.vectors import SAME
from planpress.model.records import Notch, Part, Side, SolvedPlan


def leans_within(cut: Notch, part: Part) -> bool:
    """True for a cheek of a tenon that leans within its stick, square to the part it enters: it goes through."""
    return cut.role == "cheek" and cut.depth >= part.size_along(cut.side.axis) - SAME


def tenon_sizes(plan: SolvedPlan, part: Part, joint: str, end: Side) -> tuple[Fraction, Fraction]:
    """Thickness and width (mm) at an end of a part: what the cheeks leave of it, twin tenons with the gap between.

    A tenon that leans within its stick takes its sizes from the mortise, which it fills.
    """
    here = [n for n in part.notches if n.joint == joint and n.open_end is end]
    cheeks = [n for n in here if n.role == "cheek"]
    if any(leans_within(n, part) for n in cheeks):
        mate = plan.part(cheeks[0].mates[0])
        mortise = next(n for n in mate.notches if n.joint == joint and n.role == "mortise" and part.letter in n.mates)
        wide = abs(area(mortise.outline)) / mortise.width  # a rectangle, as wide as one tenon
        return mortise.width - mortise.fit, wide * (2 * sum(n.role == "slot" for n in here) + 1)
    taken = [sum((n.depth for n in cheeks if n.side.axis == axis), Fraction(0)) for axis in (2, 1)]
    return part.thickness - taken[0], part.width - taken[1]
