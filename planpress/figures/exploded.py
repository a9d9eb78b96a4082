"""The exploded view: the work taken apart along the ways it is put together, with a balloon for every part."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import frozen

from planpress.base.display import Figure, Item, Point, Role, line
from planpress.figures import style
from planpress.figures.balloons import balloon_columns
from planpress.figures.explosion import Explosion, contact_on_axis, explode, patch_middle
from planpress.figures.pictures import PIECE_INK, Drawing, count_words, fitted, ink_chooser
from planpress.figures.scenes import FRONT_LEFT, Offset, PieceSolids, Placed, Scenes
from planpress.geometry.vectors import floats
from planpress.model.records import JointPlace, SolvedPlan

#: White between the picture and the columns of balloons.
_COLUMN = 22.0
#: Visible stretches of trail lines shorter than this (mm on paper) are left out.
_SHORT = 1.0
#: Trail lines whose ends lie this near (mm) to those of another are drawn once.
_SAME = 1.0
#: Up to this many fasteners in a row each get a trail line.
_ROW = 4
_BY_FASTENER = ("dowel", "screw")


@frozen
class Trail:
    """The way a piece or fastener travels: straight stretches (ends in mm, world), and whose it is."""

    stretches: tuple[tuple[Offset, Offset], ...]
    source: str


def exploded(
    plan: SolvedPlan, solids: PieceSolids, scenes: Scenes, width: float = 180.0, height: float = 140.0
) -> Figure:
    """The exploded view with balloons and trail lines in a frame of width x height mm."""
    del solids  # the scenes hold them
    box = (_COLUMN, 0.0, width - _COLUMN, height)
    explosion = explode(scenes, FRONT_LEFT, (box[2] - box[0], height))
    placed = [Placed(name, offset) for name, offset in explosion.offsets.items()]
    drawing = fitted(scenes.sight(FRONT_LEFT, placed), box, style.PIECE / 2)
    trails = _on_paper(drawing, trail_lines(scenes, explosion))
    pen = style.trail(plan.description.accent)
    items: list[Item] = drawing.items(ink_chooser(scenes, drawing.scale, PIECE_INK))
    items += [line(a, b, pen, Role.TRAIL, source) for a, b, source in trails]
    letters = [part.letter for part in plan.parts] + [fastener.letter for fastener in plan.fasteners]
    items += balloon_columns(scenes, drawing, letters, [(a, b) for a, b, _ in trails], width, height)
    alt = (
        f"{plan.description.title}, taken apart along the ways its joints close, seen from the front left and above: "
        f"{count_words(scenes, list(explosion.offsets))}."
    )
    return Figure(width, height, tuple(items), alt)


def trail_lines(scenes: Scenes, explosion: Explosion) -> list[Trail]:
    """Trail lines of the outer pieces of each row, and of fasteners."""
    offset, group_of = explosion.offsets, explosion.group_of
    rows: dict[tuple[str, int, int], list[JointPlace]] = {}
    for place in scenes.plan.joints:
        if place.kind not in _BY_FASTENER and offset[place.first] != offset[place.second]:
            rows.setdefault((place.joint, group_of[place.first], group_of[place.second]), []).append(place)
    trails: list[Trail] = []
    for places in rows.values():
        for place in _outer(places):
            way = floats(place.direction)
            stretches = _way_home(patch_middle(place), offset[place.second], offset[place.first], way)
            trails.append(Trail(stretches, place.joint))
    trails += _fastener_trails(scenes, explosion)
    return trails


def _outer(places: Sequence[JointPlace]) -> list[JointPlace]:
    """The first and last place along each piece of the smaller row."""
    firsts = list(dict.fromkeys(p.first for p in places))
    seconds = list(dict.fromkeys(p.second for p in places))
    by_second = len(seconds) <= len(firsts)
    out: list[JointPlace] = []
    for name in seconds if by_second else firsts:
        row = [p for p in places if name == (p.second if by_second else p.first)]
        middles = np.array([patch_middle(p) for p in row])
        spread = middles - middles.mean(axis=0)
        way = spread[np.argmax(np.round((spread**2).sum(axis=1), 6))]
        along = spread @ way
        out += [row[number] for number in dict.fromkeys((int(along.argmin()), int(along.argmax())))]
    return out


def _fastener_trails(scenes: Scenes, explosion: Explosion) -> list[Trail]:
    """From the point of each fastener into its hole, and on to where the second piece is met."""
    offset = explosion.offsets
    met = {(p.joint, p.first, p.second): p for p in scenes.plan.joints}
    rows: dict[tuple[str, str], list[str]] = {}
    for name, (fastener, place) in scenes.fasteners.items():
        rows.setdefault((fastener.letter, place.first), []).append(name)
    trails: list[Trail] = []
    for names in rows.values():
        shown = names if len(names) <= _ROW else [names[0], names[-1]]
        for name in shown:
            fastener, place = scenes.fasteners[name]
            head, way = np.array(floats(place.head)), np.array(floats(place.direction))
            tip = _moved((head + way * float(fastener.length)).tolist(), offset[name])
            trails.append(Trail(((tip, _moved(floats(place.head), offset[place.first])),), name))
            meeting = met.get((fastener.joint, place.first, place.second))
            if meeting is not None:
                at = contact_on_axis(place.head, place.direction, meeting)
                driven = floats(place.direction)
                trails.append(Trail(_way_home(at, offset[place.second], offset[place.first], driven), name))
    return trails


def _moved(point: Sequence[float], offset: Offset) -> Offset:
    return (point[0] + offset[0], point[1] + offset[1], point[2] + offset[2])


def _way_home(
    at: Offset, stays: Offset, moves: Offset, way: tuple[float, float, float]
) -> tuple[tuple[Offset, Offset], ...]:
    """From where a seat is on one piece to where it is on the other: along its own way, then across if need be."""
    off = np.array(moves) - np.array(stays)
    along = np.array(way) * float(off @ np.array(way))
    start = _moved(at, stays)
    turn = _moved(start, (float(along[0]), float(along[1]), float(along[2])))
    return ((start, turn), (turn, _moved(at, moves)))


def _on_paper(drawing: Drawing, trails: Sequence[Trail]) -> list[tuple[Point, Point, str]]:
    """What is seen of trail lines, on paper: not what pieces hide, what is too short, or what lies on another."""
    ways = [(a, b, trail.source) for trail in trails for a, b in trail.stretches]
    kept: list[tuple[Offset, Offset, str]] = []
    papers: list[tuple[Point, Point]] = []
    for a, b, source in ways:
        p, q = drawing.point(a), drawing.point(b)
        doubled = any((_near(p, c) and _near(q, d)) or (_near(p, d) and _near(q, c)) for c, d in papers)
        if not _near(p, q) and not doubled:
            kept.append((a, b, source))
            papers.append((p, q))
    out: list[tuple[Point, Point, str]] = []
    shares = drawing.sight.in_sight([(a, b) for a, b, _ in kept])
    for ((x, y), (u, v)), (_, _, source), seen in zip(papers, kept, shares, strict=True):
        for low, high in seen:
            start = (x + (u - x) * low, y + (v - y) * low)
            end = (x + (u - x) * high, y + (v - y) * high)
            if np.hypot(end[0] - start[0], end[1] - start[1]) >= _SHORT:
                out.append((start, end, source))
    return out


def _near(a: Point, b: Point) -> bool:
    return bool(np.hypot(a[0] - b[0], a[1] - b[1]) < _SAME)
