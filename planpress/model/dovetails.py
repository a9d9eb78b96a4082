"""Through dovetails: tails on one board, pins on the other, a half pin at both edges.

Seen on its face the tails board is cut into tails that widen towards the end; the waste between them, the sockets for
the pins, is narrowest at the end. Seen on its end the pins board is cut to sockets for the tails, widest at the outside
of the corner.
"""

from __future__ import annotations

from fractions import Fraction

from planpress.base.reference.woods import find_wood
from planpress.description.records import DovetailJoint
from planpress.geometry.vectors import neg
from planpress.model.blanks import Blank
from planpress.model.corners import Corner, cut_out, full_corner
from planpress.model.cutting import Cut, JointError, Settings
from planpress.model.records import JointPlace, SolvedMaterial

_KIND = "dovetail"
#: n of the slope 1 : n; the usual figures of the trade for softwood, hardwood and fine work (from memory).
SOFTWOOD, HARDWOOD, BETWEEN = Fraction(6), Fraction(8), Fraction(7)
#: A tail and a pin together take about so many thicknesses of the width (common practice, no source).
_PITCH = Fraction(5, 2)
#: No wall is thinner than this anywhere, mm: a saw's cut.
_LEAST = Fraction(1)


def cut_dovetails(tails: Blank, pins: Blank, joint: DovetailJoint, settings: Settings) -> Cut | None:
    """Cut one corner; None if the boards have no space in common.

    `fit` is the play of a tail between its pins, measured across: each wall stands back by a quarter of it on either
    board.

    Raises:
        JointError: if they share space otherwise than in a full corner, or the tails or pins come to nothing.
        FormulaError: if a setting makes no sense.
    """
    count = settings.whole(joint.count, 0)
    slope = settings.number(joint.slope, usual_slope(tails.material, pins.material))
    fit = settings.length(joint.fit)
    if slope < 1:
        raise JointError(f"a slope of 1 : {float(slope):g} is no dovetail; give n of 1 : n, usually 6 to 8")
    corner = full_corner(tails, pins)
    if corner is None:
        return None
    thick = corner.first.reach
    pin = settings.size(joint.pin, usual_pin(thick, slope))
    count = count or usual_tails(corner.width, thick, pin, slope)
    nothing, layout = Fraction(0), _layout(corner, count, pin, slope, fit)
    ends = [nothing, *(high for _, high in layout)]
    for end, (low, high) in zip(ends, layout, strict=False):
        _pin_socket(corner, (end, low), slope, fit, joint.name)
        _tail_socket(corner, (low, high), slope, fit, joint.name)
    _pin_socket(corner, (ends[-1], corner.width), slope, fit, joint.name)
    low, high = layout[(count - 1) // 2]
    flare, board = thick / slope, corner.first
    patch = tuple(
        board.world(d, board.thickness, s)
        for d, s in ((nothing, low), (nothing, high), (thick, high - flare), (thick, low + flare))
    )
    place = JointPlace(joint.name, _KIND, tails.id, pins.id, neg(corner.second.outward), patch, joint.glue)
    return Cut(place)


def usual_slope(tails: SolvedMaterial, pins: SolvedMaterial) -> Fraction:
    """n of 1 : n by the softer of two woods; between both figures for a wood that is not in the table."""
    woods = [find_wood(material.species) for material in (tails, pins)]
    if any(wood is not None and not wood.is_hardwood for wood in woods):
        return SOFTWOOD
    return BETWEEN if None in woods else HARDWOOD


def usual_pin(thickness: Fraction, slope: Fraction) -> Fraction:
    """Narrow side of a pin, mm: a half pin is then half the board's thickness at its wide side (from memory)."""
    return max(thickness / 2 - thickness / slope, thickness / 4)


def usual_tails(width: Fraction, thickness: Fraction, pin: Fraction, slope: Fraction) -> int:
    """About one tail for every two and a half thicknesses, as many as leave tails wider than pins."""
    count = max(1, round((width - pin) / (_PITCH * thickness)))
    while count > 1 and (width - pin * (count + 1)) / count - 2 * thickness / slope < pin:
        count -= 1
    return count


def _layout(
    corner: Corner, count: int, pin: Fraction, slope: Fraction, fit: Fraction
) -> list[tuple[Fraction, Fraction]]:
    """Where each tail begins and ends at its wide side, across the corner, without fit."""
    tail = (corner.width - pin * (count + 1)) / count
    flare = corner.first.reach / slope
    if tail - 2 * flare - fit / 2 < max(_LEAST, 2 / slope):
        raise JointError(
            f"{count} tails, with pins of {float(pin):.4g} mm and a slope of 1 : {float(slope):g}, would be"
            f" {max(float(tail - 2 * flare), 0.0):.4g} mm wide at the root; take fewer tails or thinner pins"
        )
    if pin - fit / 2 < max(_LEAST, 2 / slope):
        raise JointError(f"pins of {float(pin):.4g} mm are too thin to cut")
    return [(pin + (pin + tail) * k, (pin + tail) * (k + 1)) for k in range(count)]


def _pin_socket(corner: Corner, span: tuple[Fraction, Fraction], slope: Fraction, fit: Fraction, joint: str) -> None:
    """The waste of the tails board between two tails, or between a tail and the edge."""
    end, (low, high) = corner.first, span
    flare = end.reach / slope
    at_low, at_high = low == 0, high == corner.width
    low -= 0 if at_low else fit / 4
    high += 0 if at_high else fit / 4
    nothing = Fraction(0)
    cut_out(
        end,
        corner.second,
        (
            (nothing, low),
            (end.reach, low if at_low else low - flare),
            (end.reach, high if at_high else high + flare),
            (nothing, high),
        ),
        side="outer",
        role="socket",
        joint=joint,
        kind=_KIND,
        width=high - low,
        fit=fit / 2 if at_low or at_high else fit,
    )


def _tail_socket(corner: Corner, span: tuple[Fraction, Fraction], slope: Fraction, fit: Fraction, joint: str) -> None:
    """The waste of the pins board where a tail goes."""
    end, (low, high) = corner.second, span
    flare = end.thickness / slope
    low, high, nothing = low - fit / 4, high + fit / 4, Fraction(0)
    cut_out(
        end,
        corner.first,
        ((nothing, low), (end.thickness, low + flare), (end.thickness, high - flare), (nothing, high)),
        side="end",
        role="socket",
        joint=joint,
        kind=_KIND,
        width=high - low - 2 * flare,
        fit=fit,
    )
