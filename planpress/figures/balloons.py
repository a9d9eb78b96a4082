"""Balloons of a picture: one for each part letter asked for, in columns or where there is room."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from planpress.base.display import Item, Point
from planpress.figures.leaders import Leader, Obstacles, Sites, Spot, Target, Wishes, choose, spots_inside
from planpress.figures.marks import BALLOON_RADIUS, balloon, square_balloon
from planpress.figures.pictures import Drawing, loop_area
from planpress.figures.scenes import Scenes
from planpress.geometry.mesh import Floats
from planpress.geometry.pictures import LineKind

#: Distance of the columns of balloons from the sides of the frame.
COLUMN = 15.0
#: Steps between candidate places of balloons: in columns and inside.
_STEP, _GRID = 3.25, 4.5
#: What a balloon inside the picture costs more than one in a column, in lines crossed.
_INSIDE = 2.0
#: Visible faces of a letter that are looked at, and dots kept for the choice.
_FACES, _SPOTS = 6, 14
#: Room below a balloon for its count.
_COUNT_ROOM = 9.4
#: In pictures of steps: dots kept, steps between places of balloons, and how far from a dot they may be.
_FEW, _AROUND, _NEAR = 8, 4.0, 26.0
#: Cost of a balloon above which something is crossed that should not be.
_CROSSED = 14.0


def balloon_columns(
    scenes: Scenes,
    drawing: Drawing,
    letters: Sequence[str],
    trails: Sequence[tuple[Point, Point]],
    width: float,
    height: float,
) -> list[Item]:
    """Leaders and balloons with counts in two columns; inside the picture only where that saves crossings."""
    obstacles = _obstacles(drawing, trails)
    low, high = _COUNT_ROOM, height - BALLOON_RADIUS - 0.5
    count = max(1, math.floor((high - low) / _STEP))
    columns = Sites.at(
        [(x, low + (high - low) * k / count) for x in (COLUMN, width - COLUMN) for k in range(count + 1)]
    )
    inside = _grid((COLUMN + 12, low, width - COLUMN - 12, high), _GRID, _INSIDE)
    sites = obstacles.free(columns, with_count=True)
    spare = obstacles.free(inside, with_count=True)
    counts = {part.letter: part.count for part in scenes.plan.parts}
    counts |= {fastener.letter: fastener.count for fastener in scenes.plan.fasteners}
    leaders, _ = choose(targets(scenes, drawing, letters), sites, obstacles, Wishes(), spare)
    return balloon_items(scenes, leaders, counts)


def balloons_around(
    scenes: Scenes, drawing: Drawing, letters: Sequence[str], width: float, height: float
) -> tuple[list[Item], bool]:
    """Leaders and balloons without counts, wherever the frame has room near the parts.

    Returns:
        the items, and whether all found good places.
    """
    obstacles = _obstacles(drawing, [])
    edge = BALLOON_RADIUS + 0.4
    aims = targets(scenes, drawing, letters, _FEW)
    grid = _grid((edge, edge, width - edge, height - edge), _AROUND, 0.0)
    sites = obstacles.free(_within(grid, aims, _NEAR), with_count=False)
    if aims and not len(sites):
        return [], False
    wishes = Wishes(with_count=False, shortest=6.0, per_mm=0.08)
    leaders, cost = choose(aims, sites, obstacles, wishes)
    return balloon_items(scenes, leaders, {}), cost < _CROSSED * max(1, len(aims))


def balloon_items(scenes: Scenes, leaders: Sequence[Leader], counts: Mapping[str, int]) -> list[Item]:
    """Leaders first, then balloons: circles for parts, squares for fasteners, with the counts given."""
    bought = {fastener.letter for fastener in scenes.plan.fasteners}
    items: list[Item] = []
    for leader in leaders:
        items += leader.items(leader.letter in bought)
    for leader in leaders:
        sign = square_balloon if leader.letter in bought else balloon
        items += sign(leader.centre, leader.letter, count=counts.get(leader.letter), source=leader.letter)
    return items


def _within(sites: Sites, aims: Sequence[Target], reach: float) -> Sites:
    """The sites no further than `reach` from a place for a dot."""
    spots = np.array([(spot.x, spot.y) for aim in aims for spot in aim.spots]).reshape(-1, 2)
    (x, y), (u, v) = sites.places.T, spots.T
    close = (np.abs(x[:, None] - u) < reach) & (np.abs(y[:, None] - v) < reach)
    return sites.only(close.any(axis=1))


def targets(scenes: Scenes, drawing: Drawing, letters: Sequence[str], most: int = _SPOTS) -> list[Target]:
    """Places for the dots of each letter that is seen: on the largest visible faces of its pieces."""
    faces: dict[str, list[tuple[float, int]]] = {letter: [] for letter in letters}
    for name, seen in drawing.faces_by_thing().items():
        letter = scenes.letter(name)
        if letter in faces:
            for face in seen:
                faces[letter].append((sum(loop_area(loop) for loop in drawing.loops(face)), face))
    out: list[Target] = []
    for letter in letters:
        largest = sorted(faces[letter], key=lambda entry: (-round(entry[0], 3), entry[1]))[:_FACES]
        spots = [spot for _, face in largest for spot in spots_inside(drawing.loops(face))]
        if spots:
            out.append(Target(letter, _spread(spots, most)))
    return out


def _spread(spots: Sequence[Spot], most: int) -> tuple[Spot, ...]:
    """The roomiest spots, no two of them close together."""
    kept: list[Spot] = []
    for spot in sorted(spots, key=lambda s: -round(min(s.clearance, 2.0), 2)):
        if all(math.hypot(spot.x - k.x, spot.y - k.y) > 3.0 for k in kept):
            kept.append(spot)
    return tuple(kept[:most])


def _grid(box: tuple[float, float, float, float], step: float, cost: float) -> Sites:
    left, bottom, right, top = box
    across = max(1, round((right - left) / step))
    up = max(1, round((top - bottom) / step))
    x = left + (right - left) * np.arange(across + 1) / across
    y = bottom + (top - bottom) * np.arange(up + 1) / up
    return Sites.at(np.column_stack([np.tile(x, up + 1), np.repeat(y, across + 1)]), cost)


def _obstacles(drawing: Drawing, trails: Sequence[tuple[Point, Point]]) -> Obstacles:
    kind = drawing.sight.picture.kind
    lines: Floats = drawing.lines[kind != LineKind.EDGE]
    along = np.array(trails, dtype=np.float64).reshape(-1, 2, 2)
    return Obstacles(lines, drawing.lines[kind == LineKind.SILHOUETTE], along, _slants(drawing.lines))


def _slants(lines: Floats) -> list[float]:
    """The three commonest directions of the lines by length, degrees from 0 to 180."""
    run = lines[:, 1] - lines[:, 0]
    angle = np.degrees(np.arctan2(run[:, 1], run[:, 0])) % 180
    bins = np.bincount(np.round(angle / 2).astype(int) % 90, np.hypot(run[:, 0], run[:, 1]), minlength=90)
    order = np.argsort(-np.round(bins, 3), kind="stable")[:3]
    return [2.0 * float(number) for number in order]
