"""The small picture that says what front, back, left and right mean in a plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from planpress.base.display import Anchor, Face, Figure, Pen, Text, TypeMeasure
from planpress.figures import style
from planpress.figures.extents import figure_height
from planpress.figures.leaders import covered
from planpress.figures.pictures import TINTS, Drawing, Ink, fitted, whole
from planpress.figures.scenes import FRONT_LEFT, PieceSolids, Scenes
from planpress.geometry.mesh import Flags, Floats
from planpress.geometry.pictures import LineKind
from planpress.model.records import SolvedPlan

#: Size of the words in points, and white between a word and the picture (mm).
WORD_SIZE = 10.5
_AIR = 1.0
#: A word may stand this many steps of so many mm from the middle of the side it names.
_REACH, _STEP = 14, 1.0
#: Shares of the frame that are tried until the words find room.
_SHARES = (1.0, 0.95, 0.9, 0.85, 0.8, 0.75, 0.7, 0.65, 0.6, 0.55, 0.5)
#: The picture is small: tints alone tell the faces of a piece apart.
SMALL_INK = Ink(TINTS, None, style.THIN, Pen(style.FINE, style.INK))


def place_words(
    plan: SolvedPlan,
    solids: PieceSolids,
    scenes: Scenes,
    measure: TypeMeasure,
    width: float = 62.0,
    height: float = 48.0,
) -> Figure:
    """The finished work with the words left, right, front and back beside the sides they name."""
    del solids  # the scenes hold them
    sides = {"left": (-1.0, 0.0), "back": (0.0, 1.0), "right": (1.0, 0.0), "front": (0.0, -1.0)}
    tall = figure_height(WORD_SIZE) + 1.0
    sizes = {word: (measure.width(word, Face.ITALIC, WORD_SIZE), tall) for word in sides}
    sight = scenes.sight(FRONT_LEFT, whole(scenes))  # that of the cover; heads of screws are too small to show here
    for share in _SHARES:
        across, up = width * (1 - share) / 2, height * (1 - share) / 2
        drawing = fitted(sight, (across, up, width - across, height - up), style.PIECE / 2)
        places = _places(plan, drawing, sides, sizes, (width, height))
        if places is not None:
            break
    else:
        places = {word: (width / 2, height - (k + 0.5) * tall) for k, word in enumerate(sides)}
    items = drawing.items(lambda _: SMALL_INK, blended=scenes.fasteners)
    for word, (x, y) in places.items():
        baseline = (x, y - figure_height(WORD_SIZE) / 2)
        items.append(Text(baseline, word, Face.ITALIC, WORD_SIZE, anchor=Anchor.MIDDLE))
    alt = (
        f"{plan.description.title} seen from the front left, with the words front, back, left and right beside "
        "the sides they name; you stand at the front."
    )
    return Figure(width, height, tuple(items), alt)


def _places(
    plan: SolvedPlan,
    drawing: Drawing,
    sides: Mapping[str, tuple[float, float]],
    sizes: Mapping[str, tuple[float, float]],
    frame: tuple[float, float],
) -> dict[str, tuple[float, float]] | None:
    """The centre of each word, or None if one has no room near the side it names."""
    taken: list[tuple[float, float, float, float]] = []
    places: dict[str, tuple[float, float]] = {}
    for word, way in sides.items():
        wide, tall = sizes[word]
        place = _place(plan, drawing, way, (wide, tall), frame, taken)
        if place is None:
            return None
        x, y = places[word] = place
        taken.append((x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2))
    return places


def _place(
    plan: SolvedPlan,
    drawing: Drawing,
    way: tuple[float, float],
    size: tuple[float, float],
    frame: tuple[float, float],
    taken: Sequence[tuple[float, float, float, float]],
) -> tuple[float, float] | None:
    """The centre of a word: free of the picture, as near as can be to the middle of the side it names."""
    low, high = np.array([float(c) for c in plan.low]), np.array([float(c) for c in plan.high])
    half = (high - low) / 2
    # the upper part of the work is where people look for its sides
    side = low + half + np.array([way[0] * half[0], way[1] * half[1], half[2] * 0.8])
    at = np.array(drawing.point(side.tolist()))
    outward = drawing.sight.view.matrix[:2] @ np.array([way[0], way[1], 0.0])
    outward = outward / np.linalg.norm(outward)
    (wide, tall), (right, top) = size, frame
    steps = np.arange(-_REACH, _REACH + 1) * _STEP
    grid = np.stack(np.meshgrid(steps, steps, indexing="ij"), axis=-1).reshape(-1, 2) + at
    ok = (grid[:, 0] >= wide / 2) & (grid[:, 0] <= right - wide / 2)
    ok &= (grid[:, 1] >= tall / 2) & (grid[:, 1] <= top - tall / 2)
    ok &= (grid - at) @ outward > 0
    for x0, y0, x1, y1 in taken:
        ok &= (
            (grid[:, 0] + wide / 2 + _AIR < x0)
            | (grid[:, 0] - wide / 2 - _AIR > x1)
            | (grid[:, 1] + tall / 2 + _AIR < y0)
            | (grid[:, 1] - tall / 2 - _AIR > y1)
        )
    grid = grid[ok]
    free = grid[_clear(grid, drawing.lines[drawing.sight.picture.kind == LineKind.SILHOUETTE], wide, tall)]
    if not len(free):
        return None
    off = free - at
    aside = np.abs(off @ np.array([-outward[1], outward[0]]))
    far = np.hypot(off[:, 0], off[:, 1]) + aside
    x, y = free[np.argsort(np.round(far, 6), kind="stable")[0]].tolist()
    return (x, y)


def _clear(centres: Floats, borders: Floats, wide: float, tall: float) -> Flags:
    """(n,) whether a word's box at each centre, grown by `_AIR`, is free of the borders and not within them."""
    half = np.array([wide / 2 + _AIR, tall / 2 + _AIR])
    start = borders[None, :, 0] - centres[:, None]
    run = np.broadcast_to(borders[None, :, 1] - borders[None, :, 0], start.shape)
    safe = np.where(np.abs(run) < 1e-9, 1e-9, run)
    one, other = (-half - start) / safe, (half - start) / safe
    enter = np.minimum(one, other).max(axis=2)
    leave = np.maximum(one, other).min(axis=2)
    meets = np.maximum(enter, 0.0) <= np.minimum(leave, 1.0)
    clear: Flags = ~meets.any(axis=1) & ~covered(centres, borders)
    return clear
