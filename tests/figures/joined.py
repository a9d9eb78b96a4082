"""Made-up parts with the cuts of joints: tenons, mortises, housings, fingers, dovetails, slots in rows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import TypeAlias

from attrs import evolve

from planpress.geometry.vectors import Vec
from planpress.model.records import Notch, Part, Role, Side
from tests.figures.notched import part

ZERO = Fraction(0)
Number: TypeAlias = int | float | Fraction | str
Corner: TypeAlias = tuple[Number, Number]


def exact(value: Number) -> Fraction:
    """A number as it is written."""
    return Fraction(str(value))


def cut(
    side: Side,
    corners: Sequence[Corner],
    depth: Number,
    role: Role,
    kind: str,
    *,
    width: Number = 0,
    fit: Number = 0,
    open_end: Side | None = None,
    mates: tuple[str, ...] = ("B",),
    joint: str = "",
    radius: Number = 0,
    start: Number = 0,
    direction: Vec | None = None,
    skew: Number = 0,
) -> Notch:
    """A notch with this outline."""
    outline = tuple((exact(a), exact(b)) for a, b in corners)
    return Notch(
        side=side,
        outline=outline,
        depth=exact(depth),
        width=exact(width) or max(p[1] for p in outline) - min(p[1] for p in outline),
        fit=exact(fit),
        skew=exact(skew),
        open_end=open_end,
        mates=mates,
        mate_size="thickness",
        joint=joint or kind,
        kind=kind,
        depth_share="given",
        role=role,
        start=exact(start),
        direction=direction,
        radius=exact(radius),
    )


def box(low: Number, near: Number, high: Number, far: Number) -> list[Corner]:
    """Corners of a rectangle from (low, near) to (high, far)."""
    return [(low, near), (high, near), (high, far), (low, far)]


def named(made: Part, letter: str, label: str) -> Part:
    """The part under another name."""
    return evolve(made, letter=letter, name=label.lower(), label=label)


def tenon(
    length: int, width: Number, thick: Number, end: Side, size: tuple[int, int, int], **words: str
) -> list[Notch]:
    """Four cheeks around a tenon in the middle; `size` of the part: length, width, thickness."""
    full, wide, deep = size
    far = end is Side.FAR_END
    low, high = (full - length, full) if far else (0, length)
    v, w = (wide - exact(width)) / 2, (deep - exact(thick)) / 2
    kind = "mortise and tenon"
    cuts = []
    for side, across, depth in (
        (Side.FACE, wide, w),
        (Side.BACK, wide, w),
        (Side.LOWER, deep, v),
        (Side.UPPER, deep, v),
    ):
        if depth > 0:
            cuts.append(cut(side, box(low, 0, high, across), depth, "cheek", kind, open_end=end, joint=str(end.value)))
    return cuts


def rail() -> Part:
    """A rail with a tenon at each end."""
    size = (400, 60, 20)
    cuts = tenon(30, 44, 7, Side.NEAR_END, size) + tenon(30, 44, 7, Side.FAR_END, size)
    return named(part(400, cuts, 60, 20), "A", "Rail")


def leg() -> Part:
    """A leg with a blind mortise in the face, and a through one with round ends in an edge."""
    cuts = [
        cut(Side.FACE, box(60, 19, 104, 26), 32, "mortise", "mortise and tenon", mates=("A",), fit="0.2"),
        cut(Side.FACE, box(560, 19, 604, 26), 32, "mortise", "mortise and tenon", mates=("A",), fit="0.2"),
        cut(Side.LOWER, box(300, 18, 350, 27), 45, "mortise", "mortise and tenon", radius="4.5", mates=("C",)),
    ]
    return named(part(700, cuts, 45, 45), "B", "Leg")


def seat() -> Part:
    """A board with a mortise whose walls lean in both directions."""
    direction = (Fraction(1, 9), Fraction(-4, 9), Fraction(-8, 9))
    cuts = [cut(Side.FACE, box(60, 120, 85, 145), 28, "mortise", "mortise and tenon", direction=direction)]
    return named(part(360, cuts, 240, 28), "A", "Seat")


def twin() -> Part:
    """Twin through tenons, sawn for wedges."""
    size = (300, 100, 24)
    cuts = tenon(40, 80, 8, Side.FAR_END, size)
    cuts.append(
        cut(Side.FACE, box(260, 40, 300, 60), 24, "slot", "mortise and tenon", open_end=Side.FAR_END, joint="far end")
    )
    for v in (24, 74):
        cuts.append(
            cut(
                Side.FACE,
                box(268, v, 300, v + 2),
                24,
                "kerf",
                "mortise and tenon",
                open_end=Side.FAR_END,
                joint="far end",
            )
        )
    return named(part(300, cuts, 100, 24), "A", "Shelf")


def haunched() -> Part:
    """A tenon with a haunch at the upper edge."""
    low = 500 - 36
    cuts = [
        cut(Side.FACE, box(low, 0, 500, 70), "6.5", "cheek", "mortise and tenon", open_end=Side.FAR_END),
        cut(Side.BACK, box(low, 0, 500, 70), "6.5", "cheek", "mortise and tenon", open_end=Side.FAR_END),
        cut(Side.UPPER, box(low + 10, 0, 500, 20), 20, "cheek", "mortise and tenon", open_end=Side.FAR_END),
    ]
    return named(part(500, cuts, 70, 20), "A", "Top rail")


def bridle() -> Part:
    """The forked member of a bridle."""
    cuts = [cut(Side.LOWER, box(350, 7, 400, 14), 50, "slot", "bridle", open_end=Side.FAR_END)]
    return named(part(400, cuts, 50, 21), "A", "Stile")


def upright() -> Part:
    """A wide upright: a through and a stopped housing, a rabbet and a groove along it."""
    cuts = [
        cut(Side.FACE, box(100, 0, 118, 200), 6, "housing", "housing", width=18, mates=("B",)),
        cut(Side.FACE, box(400, 25, 418, 200), 6, "housing", "housing", width=18, mates=("B",)),
        cut(Side.FACE, box(0, 191, 800, 200), 7, "rabbet", "rabbet", width=9, mates=("C",)),
        cut(Side.BACK, box(50, 20, 750, 26), 6, "groove", "groove", width=6, mates=("C",)),
    ]
    return named(part(800, cuts, 200, 18), "A", "Side")


def tray_side(fingers: int = 9, outer: bool = True) -> Part:
    """Fingers at both ends."""
    pitch = Fraction(108, fingers)
    cuts = []
    for end, low, high in ((Side.NEAR_END, 0, 12), (Side.FAR_END, 388, 400)):
        for i in range(1 if outer else 0, fingers, 2):
            cuts.append(
                cut(
                    Side.FACE,
                    box(low, pitch * i, high, pitch * (i + 1)),
                    12,
                    "slot",
                    "finger joint",
                    open_end=end,
                    joint=end.value,
                )
            )
    return named(part(400, cuts, 108, 12), "A", "Tray side")


def drawer_side() -> Part:
    """Tails at the far end, a groove for the bottom."""
    cuts = []
    length, deep = 350, 15
    for low, high, lean in ((0, 6, (0, 1)), (34, 46, (1, 1)), (74, 86, (1, 1)), (114, 120, (1, 0))):
        out = Fraction(15, 6)
        a, b = low - out * 0, high
        corners: list[Corner] = [
            (length - deep, a - out * lean[0]),
            (length, low),
            (length, high),
            (length - deep, b + out * lean[1]),
        ]
        cuts.append(cut(Side.FACE, corners, 12, "socket", "dovetail", open_end=Side.FAR_END, joint="tails"))
    cuts.append(cut(Side.BACK, box(0, 10, length, 16), 6, "groove", "groove", width=6, mates=("C",)))
    return named(part(length, cuts, 120, 12), "A", "Drawer side")


def drawer_front() -> Part:
    """Sockets for tails at the far end, pins between."""
    out = Fraction(15, 6)
    cuts = []
    for low, high in ((6, 34), (46, 74), (86, 114)):
        corners: list[Corner] = [(low - out, 0), (high + out, 0), (high, 15), (low, 15)]
        cuts.append(cut(Side.FAR_END, corners, 12, "socket", "dovetail", joint="pins"))
    return named(part(300, cuts, 120, 15), "B", "Drawer front")


def divider(count: int = 24, step: int = 38) -> Part:
    """A thin divider with a row of equal slots in the upper edge."""
    length = count * step + 40
    cuts = [
        cut(
            Side.UPPER,
            [(30 + i * step, 0), (36 + i * step, 0), (36 + i * step, 6), (30 + i * step, 6)],
            25,
            "lap",
            "edge lap",
            width=6,
        )
        for i in range(count)
    ]
    return named(part(length, cuts, 50, 6), "A", "Divider")


def uneven(count: int = 130) -> Part:
    """A long part with many slots in unequal steps."""
    made = divider(count, 12)
    moved = tuple(
        evolve(n, outline=tuple((u + (i * i) % 5, s) for u, s in n.outline)) for i, n in enumerate(made.notches)
    )
    return evolve(made, notches=moved)


ALL: dict[str, Callable[[], Part]] = {
    "rail": rail,
    "leg": leg,
    "seat": seat,
    "twin": twin,
    "haunched": haunched,
    "bridle": bridle,
    "upright": upright,
    "tray side": tray_side,
    "drawer side": drawer_side,
    "drawer front": drawer_front,
    "divider": divider,
    "300 slots": lambda: divider(300, 6 + 2),
    "uneven": uneven,
}


def in_inches(made: Part) -> Part:
    """The part with 1/32 in for each mm, so that its sizes are marks of an inch ruler."""
    k = Fraction("25.4") / 32

    def grown(notch: Notch) -> Notch:
        return evolve(
            notch,
            outline=tuple((a * k, b * k) for a, b in notch.outline),
            depth=notch.depth * k,
            width=notch.width * k,
            fit=notch.fit * k,
            start=notch.start * k,
            radius=notch.radius * k,
        )

    near, far = made.ends
    return evolve(
        made,
        length=made.length * k,
        width=made.width * k,
        thickness=made.thickness * k,
        ends=(near, evolve(far, point=(made.length * k, ZERO, ZERO))),
        notches=tuple(map(grown, made.notches)),
    )
