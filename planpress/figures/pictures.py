"""Pictures of the work in parallel projection: tints that give depth, and three kinds of line over them."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from typing import TypeAlias

import numpy as np
from attrs import evolve, field, frozen

from planpress.base.display import Figure, Item, Path, Pen, Point, Role, polyline
from planpress.base.lettering import plain
from planpress.base.printing import IMPERIAL_16, METRIC_1, Units, write_length
from planpress.figures import style
from planpress.figures.density import close_stretches
from planpress.figures.scenes import FRONT_LEFT, Offset, PieceSolids, Placed, Scenes, Sight
from planpress.geometry.mesh import Flags, Floats, Ints, distinct
from planpress.geometry.pictures import LineKind
from planpress.geometry.regions import Loop, chains
from planpress.model.records import SolvedPlan

Box: TypeAlias = tuple[float, float, float, float]  # left, bottom, right, top in mm

#: Tints are drawn with a hair of their own, or white seams show between neighbours on screens.
TINT_HAIR = 0.12
# Regions smaller than this (mm2 on paper) are not drawn.
_SPECK = 2e-4
_FLAT = 1 - 1e-6


@frozen
class Ink:
    """How a thing is drawn.

    Attributes:
        tints: of faces that look up, to the front or back, to the sides or down.
        edge, outline, silhouette: pens; no edges if None.
    """

    tints: tuple[str, str, str]
    edge: Pen | None
    outline: Pen
    silhouette: Pen


TINTS = (style.TINT_0, style.TINT_2, style.TINT_3)
COVER_INK = Ink(TINTS, style.THIN, Pen(style.FINE, style.INK), style.OUTLINE)
PIECE_INK = Ink(TINTS, style.THIN, Pen(style.PIECE, style.INK), Pen(style.PIECE, style.INK))
FASTENER_INK = Ink((style.TINT_3,) * 3, None, style.THIN, style.THIN)
#: Screws and dowels narrower than this on paper are solid ink.
SMALL_FASTENER = 0.6
SOLID_INK = Ink((style.INK,) * 3, None, style.THIN, style.THIN)

InkOf: TypeAlias = Callable[[str], Ink]


@frozen(eq=False)
class Drawing:
    """A sight fitted into a box on paper. Coordinates in mm, y up.

    Attributes:
        sight: what is seen. scale: paper length / true length. origin: where the model's origin falls.
        lines: (n, 2, 2) visible lines, in the order of the sight's picture.
    """

    sight: Sight
    scale: float
    origin: tuple[float, float]
    lines: Floats
    _loops: dict[int, list[Loop]] = field(factory=dict)

    def point(self, world: Sequence[float], offset: Offset = (0.0, 0.0, 0.0)) -> Point:
        """Where a point of the model (mm), moved by `offset`, falls on paper."""
        matrix = self.sight.view.matrix
        x, y, _ = matrix @ (np.asarray(world, dtype=np.float64) + offset) * self.scale
        return (float(x) + self.origin[0], float(y) + self.origin[1])

    def loops(self, face: int) -> list[Loop]:
        """The visible region of a face: outer loops and holes."""
        if face not in self._loops:
            x0, y0 = self.origin
            self._loops[face] = [
                [(x * self.scale + x0, y * self.scale + y0) for x, y in loop]
                for loop in self.sight.regions.loops.get(face, [])
            ]
        return self._loops[face]

    def faces_by_thing(self) -> dict[str, list[int]]:
        """Visible faces of each piece or fastener, in the order they were named."""
        out: dict[str, list[int]] = {placed.id: [] for placed in self.sight.placed}
        owner = self.sight.picture.face_piece
        for face in self.sight.regions.loops:
            out[self.sight.placed[owner[face]].id].append(face)
        return out

    @property
    def box(self) -> Box:
        """Least box around the lines: left, bottom, right, top."""
        low, high = self.lines.min(axis=(0, 1)), self.lines.max(axis=(0, 1))
        return (float(low[0]), float(low[1]), float(high[0]), float(high[1]))

    def items(self, ink_of: InkOf, close: float = style.CLOSE, blended: Collection[str] = ()) -> list[Item]:
        """The picture: tints, edges, outlines, silhouette.

        Args:
            ink_of: how the piece or fastener of an id is drawn.
            close: lines nearer to each other than this (mm) are drawn thinner; 0 for none.
            blended: ids of things without outlines; in the tints of the wood they are in, they do not show.
        """
        inks = [ink_of(placed.id) for placed in self.sight.placed]
        return [*self._tints(inks), *self._lines(inks, close, self._beside(blended))]

    def _beside(self, names: Collection[str]) -> Flags:
        """(n,) which lines border on a face of the things with these ids."""
        picture = self.sight.picture
        if not names:
            return np.zeros(len(self.lines), dtype=np.bool_)
        meant = np.array([*(placed.id in names for placed in self.sight.placed), False], dtype=np.bool_)
        owner = np.append(picture.face_piece, len(self.sight.placed))  # the background is face -1
        beside: Flags = meant[owner[picture.faces]].any(axis=1)
        return beside

    def _tints(self, inks: Sequence[Ink]) -> list[Item]:
        items: list[Item] = []
        toned = tones(self.sight)
        faces = list(self.faces_by_thing().values())
        for index, placed in enumerate(self.sight.placed):
            by_tint: dict[str, list[Loop]] = {}
            for face in faces[index]:
                tint = inks[index].tints[toned[face]]
                by_tint.setdefault(tint, []).extend(self.loops(face))
            for tint, loops in by_tint.items():
                shown = [loop for loop in loops if abs(loop_area(loop)) > _SPECK]
                if shown:
                    segments = tuple(s for loop in shown for s in polyline(loop, closed=True))
                    items.append(Path(segments, Pen(TINT_HAIR, tint), tint, Role.TINT, placed.id))
        return items

    def _lines(self, inks: Sequence[Ink], close: float, left_out: Flags) -> list[Item]:
        picture = self.sight.picture
        of = np.flatnonzero(~left_out)
        lines, step = self.lines[of], np.zeros(len(of), dtype=np.intp)
        if close:
            lines, stretch_of, step = close_stretches(lines, picture.kind[of] != LineKind.EDGE, close)
            of = of[stretch_of]
        unlike: list[Ink] = []
        for ink in inks:
            if ink not in unlike:
                unlike.append(ink)
        ink_number = np.array([unlike.index(ink) for ink in inks], dtype=np.intp)
        styles = (ink_number[picture.owner[of]] * 3 + picture.kind[of]) * 3 + step
        pens = {
            number: pen
            for number in distinct(styles).tolist()
            if (pen := _pen(unlike[number // 9], number // 3 % 3, number % 3)) is not None
        }
        drawn = np.isin(styles, list(pens))
        joined: dict[int, list[Loop]] = {}
        for one, chain in _chains(lines[drawn], styles[drawn]):
            joined.setdefault(one, []).append(chain)
        order = sorted(joined, key=lambda one: (_RANK[pens[one][0]], pens[one][1].width, one))
        return [
            Path(tuple(s for chain in joined[one] for s in polyline(chain)), pens[one][1], None, pens[one][0])
            for one in order
        ]


_RANK = {Role.EDGE: 0, Role.OUTLINE: 1, Role.SILHOUETTE: 2}


def _pen(ink: Ink, kind: int, step: int) -> tuple[Role, Pen] | None:
    """Role and pen of a line; `step` is 1 if another line runs close by, 2 if very close."""
    if kind == LineKind.EDGE:
        return None if ink.edge is None else (Role.EDGE, ink.edge)
    role, pen = (Role.OUTLINE, ink.outline) if kind == LineKind.OUTLINE else (Role.SILHOUETTE, ink.silhouette)
    most = (pen.width, style.FINE, style.HAIR)[step]
    return (role, evolve(pen, width=min(pen.width, most)))


def _chains(lines: Floats, styles: Ints) -> list[tuple[int, Loop]]:
    """Lines joined end to end. Ends are matched at a scale where the tolerance of `chains` is 0.002 mm on paper."""
    grown = 10.0
    return [(one, [(x / grown, y / grown) for x, y in chain]) for one, chain in chains(lines * grown, styles)]


def loop_area(loop: Loop) -> float:
    """Area of a closed loop, negative if it runs clockwise; for small loops, which arrays would slow down."""
    twice, (x0, y0) = 0.0, loop[-1]
    for x, y in loop:
        twice += x0 * y - x * y0
        x0, y0 = x, y
    return twice / 2


def tones(sight: Sight) -> list[int]:
    """Which tint each face gets: 0 if it looks up as the work lies now, 1 to the front or back, 2 to a side or down.

    Leaning faces get the nearest; curved ones 2.
    """
    normals = sight.picture.face_normal @ sight.view.turn.T
    size = np.abs(normals)
    main = np.argmax(np.round(size[:, [2, 1, 0]], 9), axis=1)
    tone = np.where((main == 0) & (normals[:, 2] < 0), 2, main)
    tone = np.where(np.linalg.norm(normals, axis=1) < _FLAT, 2, tone)
    return [int(one) for one in tone.tolist()]


def fitted(sight: Sight, box: Box, margin: float = style.STRONG / 2, largest: float = 1.0) -> Drawing:
    """A sight as large as a box allows, in the middle of it.

    Args:
        box: left, bottom, right, top in mm.
        margin: kept free for half a line's width.
        largest: the greatest scale.

    Raises:
        ValueError: if nothing is seen.
    """
    low, high = sight.picture.bounds()
    wide, tall = high - low
    left, bottom, right, top = box
    scale = min((right - left - 2 * margin) / wide, (top - bottom - 2 * margin) / tall, largest)
    middle = (low + high) / 2 * scale
    origin = ((left + right) / 2 - float(middle[0]), (bottom + top) / 2 - float(middle[1]))
    return Drawing(sight, float(scale), origin, sight.picture.segments * scale + np.array(origin))


def size_words(plan: SolvedPlan) -> str:
    """The overall size in words: "40 in long, 17 1/4 in deep and 30 in high"."""
    grid = METRIC_1 if plan.units is Units.METRIC else IMPERIAL_16
    long, deep, high = (plain(write_length(mm, grid, mark_off_grid=False, unit=True)) for mm in plan.overall)
    return f"{long} long, {deep} deep and {high} high"


def count_words(scenes: Scenes, names: Sequence[str]) -> str:
    """Parts and their numbers: "slat A x 9, bearer B x 3"."""
    labels = {part.letter: part.label for part in scenes.plan.parts}
    labels |= {fastener.letter: fastener.label for fastener in scenes.plan.fasteners}
    counts: dict[str, int] = {}
    for name in names:
        letter = scenes.letter(name)
        counts[letter] = counts.get(letter, 0) + 1
    known = [letter for letter in labels if letter in counts]
    return ", ".join(f"{labels[letter]} {letter} \u00d7 {counts[letter]}" for letter in known)


def whole(scenes: Scenes) -> list[Placed]:
    """The finished work as seen from the front left, with those fasteners whose heads look to the viewer."""
    toward = FRONT_LEFT.matrix[2]
    plan = scenes.plan
    heads = [
        name
        for name, (_, place) in scenes.fasteners.items()
        if float(np.dot(toward, [float(c) for c in place.direction])) < -1e-6
    ]
    return [Placed(name) for name in (*plan.pieces, *heads)]


def hero(plan: SolvedPlan, solids: PieceSolids, scenes: Scenes, width: float, height: float) -> Figure:
    """The finished work for the cover, as large as a frame of width x height mm allows."""
    del solids  # the scenes hold them
    drawing = fitted(scenes.sight(FRONT_LEFT, whole(scenes)), (0.0, 0.0, width, height))
    items = drawing.items(ink_chooser(scenes, drawing.scale, COVER_INK))
    alt = (
        f"{plan.description.title}, finished, seen from the front left and above: {size_words(plan)}. "
        f"{len(plan.pieces)} pieces: {count_words(scenes, list(plan.pieces))}."
    )
    return Figure(width, height, tuple(items), alt)


def ink_chooser(scenes: Scenes, scale: float, piece_ink: Ink) -> InkOf:
    """Pieces in the given ink; fasteners in one flat tint, or solid ink if very small on paper."""

    def choose(name: str) -> Ink:
        if not scenes.is_fastener(name):
            return piece_ink
        fastener = scenes.fasteners[name][0]
        return SOLID_INK if float(fastener.diameter) * scale < SMALL_FASTENER else FASTENER_INK

    return choose
