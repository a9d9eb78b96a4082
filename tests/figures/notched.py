"""Made-up notched parts, and reading drawn templates back, for the tests of templates."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from attrs import evolve

from planpress.base.display import Face, Path, Point, Role, points_of
from planpress.base.edition import Edition
from planpress.base.printing import Units
from planpress.figures.templates import Template, Tile, part_templates
from planpress.model.records import EndCut, Hole, Notch, Part, Purpose, Side, SolvedMaterial

ZERO = Fraction(0)
IMPERIAL = Edition(Units.IMPERIAL, "letter")
METRIC = Edition(Units.METRIC, "a4")
STICK = SolvedMaterial("stick", "white oak", "board", "white oak", Fraction(18), Fraction(38), "1x2", (), None)


class EvenMeasure:
    """Every character is 0.55 of the type size wide."""

    def width(self, text: str, face: Face, size: float) -> float:
        """Width in mm."""
        return 0.55 * size * 25.4 / 72 * len(text)


MEASURE = EvenMeasure()
NAMES = {"A": "stick", "B": "bearer", "C": "rail"}


def square_end(side: Side, length: Fraction) -> EndCut:
    """A crosscut."""
    far = side is Side.FAR_END
    point = (length if far else ZERO, ZERO, ZERO)
    return EndCut(side, point, (Fraction(1 if far else -1), ZERO, ZERO), ZERO, ZERO, "")


def part(
    length: int | Fraction,
    notches: Sequence[Notch],
    width: int | Fraction = 38,
    thickness: int | Fraction = 18,
    holes: Sequence[Hole] = (),
    reference_edge: Side = Side.LOWER,
) -> Part:
    """A stick with square ends."""
    size = Fraction(length)
    return Part(
        letter="A",
        name="stick",
        label="Stick",
        hand="",
        mirror_of=None,
        material=STICK,
        thickness=Fraction(thickness),
        width=Fraction(width),
        length=size,
        ends=(square_end(Side.NEAR_END, size), square_end(Side.FAR_END, size)),
        notches=tuple(notches),
        holes=tuple(holes),
        in_place_holes=(),
        reference_edge=reference_edge,
        pieces=("stick",),
        mass=None,
        fit_in_place=False,
        remark="",
    )


def edge_notch(
    near: int | Fraction,
    width: int | Fraction,
    depth: int | Fraction = 19,
    side: Side = Side.UPPER,
    across: int | Fraction = 18,
    mates: tuple[str, ...] = ("B",),
) -> Notch:
    """A notch straight across an edge of a stick `across` thick."""
    low, high, far = Fraction(near), Fraction(near) + width, Fraction(across)
    outline = ((low, ZERO), (high, ZERO), (high, far), (low, far))
    return Notch(
        side,
        outline,
        Fraction(depth),
        Fraction(width),
        ZERO,
        ZERO,
        None,
        mates,
        "thickness",
        "lap",
        "cross lap",
        "half",
    )


def face_notch(near: int | Fraction, width: int | Fraction, lean: int = 0, across: int = 38, depth: int = 9) -> Notch:
    """A notch across the face; its far side in v is `lean` mm further along."""
    low, high, far = Fraction(near), Fraction(near) + width, Fraction(across)
    outline = ((low, ZERO), (high, ZERO), (high + lean, far), (low + lean, far))
    made = edge_notch(near, width, depth, Side.FACE)
    return evolve(made, outline=outline, skew=Fraction(lean), mates=("C",))


def hole(u: int, v: int, side: Side = Side.FACE) -> Hole:
    """A countersunk hole through the part."""
    return Hole(
        side=side,
        at=(Fraction(u), Fraction(v)),
        direction=(ZERO, ZERO, Fraction(-1)),
        purpose=Purpose.CLEARANCE,
        diameter=Fraction(4),
        depth=None,
        sink_diameter=Fraction(8),
        sink_depth=Fraction(2),
        sink_angle=Fraction(90),
        through_length=Fraction(18),
        joint="screws",
        in_place=False,
    )


def templates(made: Part, edition: Edition = METRIC) -> tuple[Template, ...]:
    """The templates of a part."""
    return part_templates(made, NAMES, edition, MEASURE)


def cut_paths(tile: Tile) -> list[list[Point]]:
    """The cut lines on a tile as chains of points on paper; closed ones end where they began."""
    out = []
    for item in tile.figure.items:
        if isinstance(item, Path) and item.role is Role.CUT:
            points = points_of(item.segments)
            out.append([*points, points[0]] if item.segments[-1][0] == "z" else points)
    return out


def model_lines(template: Template, tile: Tile) -> Iterator[list[Point]]:
    """The cut lines of a tile in model coordinates (u, distance from the left border of the view)."""
    view = template.outline.view
    start = float(min(view.x(template.shown[0]), view.x(template.shown[1])))
    for chain in cut_paths(tile):
        window = max(
            (w for w in tile.windows if float(w.base) <= min(p[1] for p in chain) + 1e-6), key=lambda w: w.base
        )
        yield [(float(window.low) + y - float(window.base), x - tile.left + start) for x, y in chain]
