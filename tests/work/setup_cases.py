"""Random parts whose notches are cut at a machine, for the tests of set-up cards."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import Literal

from attrs import evolve

from planpress.base.trigonometry import tangent
from planpress.model.records import EndCut, Notch, Part, Side, SolvedPlan
from tests.plans import solved_stand

Corners = Sequence[tuple[Fraction, Fraction]]


def square_end(side: Side, u: Fraction) -> EndCut:
    zero = Fraction(0)
    return EndCut(side, (u, zero, zero), (Fraction(1 if side.is_far else -1), zero, zero), zero, zero, "")


def leaning_end(side: Side, length: Fraction, width: Fraction, degrees: Fraction) -> EndCut:
    """An end that leans across the reference face, its furthest corner at u = 0 or at the length."""
    slope = tangent(degrees)  # u = start + slope * v
    outermost = min if side is Side.NEAR_END else max
    start = (Fraction(0) if side is Side.NEAR_END else length) - outermost(Fraction(0), slope * width)
    root = Fraction((1 + float(slope) ** 2) ** 0.5).limit_denominator(10**9)
    sign = 1 if side.is_far else -1
    mitre = degrees if side.is_far else -degrees
    return EndCut(
        side,
        (start, Fraction(0), Fraction(0)),
        (sign / root, -sign * slope / root, Fraction(0)),
        mitre,
        Fraction(0),
        "",
    )


def notch(
    side: Side,
    outline: Corners,
    depth: Fraction,
    width: Fraction,
    mates: tuple[str, ...] = ("B",),
    skew: Fraction = Fraction(0),
    open_end: Side | None = None,
    role: Literal["lap", "housing", "rabbet", "groove", "cheek", "slot"] = "lap",
    fit: Fraction = Fraction(0),
) -> Notch:
    return Notch(
        side, tuple(outline), depth, width, fit, skew, open_end, mates, "thickness", "test", role, "half", role
    )


def box(low: Fraction, high: Fraction, across: Fraction) -> list[tuple[Fraction, Fraction]]:
    zero = Fraction(0)
    return [(low, zero), (high, zero), (high, across), (low, across)]


def some(chance: random.Random, low: int, high: int) -> Fraction:
    """Between two whole millimetres, in hundredths or in sixty-fourths of an inch."""
    hundredth, inch = Fraction(chance.randint(low * 100, high * 100), 100), Fraction(127, 320)
    return hundredth if chance.random() < 0.5 else hundredth // inch * inch


def stick(
    chance: random.Random, notches: Sequence[Notch], length: Fraction, width: Fraction, thickness: Fraction
) -> Part:
    base = solved_stand().part("A")
    return evolve(
        base,
        length=length,
        width=width,
        thickness=thickness,
        ends=(square_end(Side.NEAR_END, Fraction(0)), square_end(Side.FAR_END, length)),
        notches=tuple(notches),
        reference_edge=chance.choice((Side.LOWER, Side.UPPER)),
    )


def plan_with(part: Part, mate: Fraction) -> SolvedPlan:
    """A plan of one notched part, and the part that goes in, as thick as `mate`."""
    stand = solved_stand()
    return evolve(stand, parts=(part, evolve(stand.part("B"), thickness=mate, notches=())))


# --- kinds of random parts, with the thickness of the mate ---

Case = tuple[Part, Fraction]
_SIDES = (Side.LOWER, Side.UPPER, Side.FACE, Side.BACK)


def across_of(side: Side, width: Fraction, thickness: Fraction) -> tuple[Fraction, Fraction]:
    """A side's extent across the length, and the size square to it."""
    return (width, thickness) if side.axis == 2 else (thickness, width)


def rows(chance: random.Random, together: int = 1) -> Case:
    """One to seven notches in a row, each for one mate or for several side by side; perhaps with clearance."""
    mate, fit = some(chance, 5, 30), Fraction(chance.choice((0, 0, 2)), 10)
    width, thickness = some(chance, 20, 120), some(chance, 10, 50)
    side = chance.choice(_SIDES)
    across, high = across_of(side, width, thickness)
    u, out = some(chance, 1, 80), []
    for _ in range(chance.randint(1, 7)):
        wide = mate * together + fit
        out.append(notch(side, box(u, u + wide, across), high / 2, wide, ("B",) * together, fit=fit))
        u += wide + some(chance, 1, 90)
    return stick(chance, out, u + some(chance, 1, 50), width, thickness), mate


def doubles(chance: random.Random) -> Case:
    return rows(chance, chance.randint(2, 3))


def central(chance: random.Random) -> Case:
    mate, length = some(chance, 5, 60), some(chance, 150, 900)
    width, thickness = some(chance, 20, 120), some(chance, 10, 50)
    side = chance.choice(_SIDES)
    across, high = across_of(side, width, thickness)
    low = (length - mate) / 2
    return stick(chance, [notch(side, box(low, low + mate, across), high / 2, mate)], length, width, thickness), mate


def at_ends(chance: random.Random) -> Case:
    """Laps, rabbets or cheeks at one end or at both, on one side or on two."""
    reach, length = some(chance, 5, 90), some(chance, 250, 900)
    width, thickness = some(chance, 20, 120), some(chance, 10, 50)
    out = []
    for side in chance.sample(_SIDES, chance.randint(1, 2)):
        across, high = across_of(side, width, thickness)
        for end in chance.choice(((Side.NEAR_END,), (Side.FAR_END,), (Side.NEAR_END, Side.FAR_END))):
            low = Fraction(0) if end is Side.NEAR_END else length - reach
            cut = box(low, low + reach, across)
            out.append(notch(side, cut, high / 3, reach, open_end=end, role="cheek" if side.axis == 1 else "lap"))
    return stick(chance, out, length, width, thickness), some(chance, 5, 30)


def skewed(chance: random.Random) -> Case:
    """Skewed notches on a face, ends square or parallel to them, perhaps one at the far end."""
    degrees = Fraction(chance.choice((-1, 1)) * chance.randint(2, 100), 2)
    width, thickness, wide = some(chance, 20, 90), some(chance, 10, 50), some(chance, 5, 60)
    side = chance.choice((Side.FACE, Side.BACK))
    slope = tangent(degrees)
    lean, u, out = slope * width, some(chance, 1, 80) + abs(slope * width), []
    slant = wide * Fraction((1 + float(slope) ** 2) ** 0.5).limit_denominator(10**9)
    for _ in range(chance.randint(1, 3)):
        out.append(
            notch(
                side,
                [(u, Fraction(0)), (u + slant, Fraction(0)), (u + slant + lean, width), (u + lean, width)],
                thickness / 2,
                wide,
                skew=degrees,
            )
        )
        u += slant + some(chance, 1, 60) + abs(lean)
    length = u + some(chance, 1, 60) + abs(lean)
    part = stick(chance, out, length, width, thickness)
    if chance.random() < 0.5:
        near, far = (leaning_end(s, length, width, degrees) for s in (Side.NEAR_END, Side.FAR_END))
        end = far.point[0]
        last = notch(
            side,
            [(end - slant, Fraction(0)), (end, Fraction(0)), (end + lean, width), (end - slant + lean, width)],
            thickness / 2,
            wide,
            skew=degrees,
            open_end=Side.FAR_END,
        )
        part = evolve(part, ends=(near, far), notches=(*out, last) if chance.random() < 0.5 else tuple(out))
    return part, wide


def on_end(chance: random.Random) -> Case:
    """Slots between fingers: through the thickness, open at one end, the first perhaps at the border."""
    width, thickness, length = some(chance, 40, 150), some(chance, 6, 25), some(chance, 100, 500)
    finger, reach = width / chance.randint(3, 11), some(chance, 6, 25)
    out = []
    end = chance.choice((Side.NEAR_END, Side.FAR_END))
    low = Fraction(0) if end is Side.NEAR_END else length - reach
    v = chance.choice((Fraction(0), finger))
    while v + finger <= width:
        cut = [(low, v), (low + reach, v), (low + reach, v + finger), (low, v + finger)]
        out.append(notch(Side.FACE, cut, thickness, finger, (), open_end=end, role="slot"))
        v += 2 * finger
    return stick(chance, out, length, width, thickness), thickness


def along(chance: random.Random) -> Case:
    """A groove within a side, or a rabbet at its border, over the whole length."""
    width, thickness, length = some(chance, 40, 150), some(chance, 15, 40), some(chance, 100, 500)
    side = chance.choice(_SIDES)
    across, high = across_of(side, width, thickness)
    wide = across * chance.randint(10, 60) / 100
    low = (across - wide) * chance.choice((0, 35, 50, 100)) / 100
    cut = [(Fraction(0), low), (length, low), (length, low + wide), (Fraction(0), low + wide)]
    return stick(chance, [notch(side, cut, high / 3, wide, role="groove")], length, width, thickness), wide


#: All kinds of random parts.
KINDS: tuple[Callable[[random.Random], Case], ...] = (rows, doubles, central, at_ends, skewed, on_end, along)
