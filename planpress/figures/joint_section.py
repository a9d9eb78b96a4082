"""The section of a joint: both pieces cut through its middle, each hatched its own way, with the joint's sizes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

import numpy as np
from attrs import evolve

from planpress.base.display import (
    Figure,
    Hatch,
    Item,
    Path,
    Pen,
    Point,
    Role,
    Segment,
    TypeMeasure,
    line,
    polyline,
    rectangle,
)
from planpress.base.edition import Edition
from planpress.figures import style
from planpress.figures.extents import bounds, fitted_figure
from planpress.figures.joint_pictures import Apart
from planpress.figures.joint_planes import Plane, section_plane
from planpress.figures.joint_sizes import section_sizes
from planpress.figures.joint_solids import CUT, Stub, faces_named, stub, stubs
from planpress.figures.marks import BREAK_OVERRUN
from planpress.figures.pictures import Box, Drawing, Ink
from planpress.figures.scales import scales
from planpress.figures.scenes import Placed, Scenes, Sight
from planpress.geometry.mesh import Flags
from planpress.geometry.pictures import Picture, Scene
from planpress.geometry.regions import chains, regions
from planpress.geometry.vectors import floats

_PEN: Final = Pen(style.MEDIUM, style.INK)
_INK: Final = Ink((style.TINT_0, style.TINT_1, style.TINT_1), style.THIN, _PEN, _PEN)
#: Hatching of the first and the second piece and of what is loose; lines of each lean their own way.
_HATCHES: Final = tuple(
    Hatch(step, angle, Pen(style.HAIR, style.HATCH_GREY)) for step, angle in ((1.5, 45.0), (2.1, -45.0), (1.1, 0.0))
)
_FASTENER_PEN: Final = Pen(style.FINE, style.INK)
#: Drawn larger than life where a joint is small.
_ENLARGED: Final = (Fraction(4), Fraction(3), Fraction(2))
_ALONG, _LONG_PATCH = 0.9, 2.5
_SAME = 1e-3
# Share of the wood that pictures leave beside the joint.
_BESIDE = 0.36
# From the wood to the first dimension line, mm on paper.
_FIRST = 6.5
_RUNS = ("housing", "rabbet", "groove")


def _within(plane: Plane, kept: Sequence[Stub]) -> Plane:
    """The plane where it cuts both pieces: of a joint that runs on for long only an end is kept."""
    reaches = [part.solid.mesh().vertices @ plane.normal for part in kept]
    low, high = max(float(r.min()) for r in reaches), min(float(r.max()) for r in reaches)
    place = float(plane.point @ plane.normal)
    if low < place < high:
        return plane
    return evolve(plane, point=plane.point + plane.normal * ((low + high) / 2 - place))


def section(
    scenes: Scenes, apart: Apart, edition: Edition, measure: TypeMeasure, width: float, height: float
) -> Figure:
    """The section at the largest standard scale at which it and its dimensions fit width x height mm."""
    plane = section_plane(scenes, apart)
    whole = stubs(scenes, apart.meeting, plane.normal, _BESIDE, edge_on=True)
    plane = _within(plane, whole)
    cut = [stub(s.piece, s.solid.trimmed(plane.point, plane.normal, CUT), s.saws) for s in whole]
    scene = Scene([part.shape for part in cut], plane.view.matrix)
    picture = scene.picture()
    sight = Sight(plane.view, tuple(Placed(part.piece) for part in cut), scene, picture, regions(picture))
    items: list[Item] = []
    scale = Fraction(1)
    for scale in (*_ENLARGED, *scales(edition)):
        s = float(scale)
        drawing = Drawing(sight, s, (0.0, 0.0), picture.segments * s)
        items = _fasteners(scenes, apart, plane, s)
        items += section_sizes(scenes, apart, plane, drawing, edition, measure)
        around = Path(rectangle(*_corner_and_size(drawing.box)), style.OUTLINE)
        left, low, right, top = bounds([*items, around], measure)
        if right - left <= width and top - low <= height:
            break
    items = [*_wood(drawing, cut, plane), *items]
    return fitted_figure(items, measure, "", scale)


def _corner_and_size(box: Box) -> Box:
    """Of a break line's swing more than the box around the wood."""
    left, low, right, top = box
    return (left - 1.0, low - 1.0, right - left + 2.0, top - low + 2.0)


def _wood(drawing: Drawing, cut: Sequence[Stub], plane: Plane) -> list[Item]:
    """Cut faces hatched, what lies behind them lightly tinted; where a piece goes on, a free-hand line."""
    picture = drawing.sight.picture
    gone = _sawn(picture, cut, plane)
    keep = ~gone
    plain = Picture(
        picture.segments[keep],
        picture.kind[keep],
        picture.faces[keep],
        picture.owner[keep],
        picture.face_piece,
        picture.face_label,
        picture.face_normal,
    )
    whole = Drawing(evolve(drawing.sight, picture=plain), drawing.scale, drawing.origin, drawing.lines[keep])
    items = whole.items(lambda _: _INK, close=0.0)
    hatches: list[Item] = []
    for number, part in enumerate(cut):
        labels = faces_named(part, (CUT,))
        for face in whole.faces_by_thing()[part.piece]:
            if int(picture.face_label[face]) in labels:
                segments = tuple(s for loop in whole.loops(face) for s in polyline(loop, closed=True))
                hatches.append(Path(segments, None, style.TINT_0, Role.TINT, part.piece))
                hatches.append(Path(segments, None, _HATCHES[min(number, 2)], Role.HATCH, part.piece))
    lines = [item for item in items if item.role is not Role.TINT]
    tints = [item for item in items if item.role is Role.TINT]
    grown = drawing.lines[gone] * 10.0
    breaks = [
        _free_hand((chain[0][0] / 10, chain[0][1] / 10), (chain[-1][0] / 10, chain[-1][1] / 10), cut[one].piece)
        for one, chain in chains(grown, picture.owner[gone])
    ]
    return [*tints, *hatches, *lines, *breaks]


def _sawn(picture: Picture, cut: Sequence[Stub], plane: Plane) -> Flags:
    """(n,) which lines are where a piece was sawn off for the picture."""
    found = np.zeros(len(picture.segments), dtype=np.bool_)
    for number, part in enumerate(cut):
        for point, normal in part.saws:
            trace = plane.view.matrix @ normal
            if abs(float(trace[2])) > _SAME:
                continue  # not seen edge-on
            off = picture.segments @ trace[:2] - float(point @ normal)
            found |= (np.abs(off) < _SAME).all(axis=1) & (picture.owner == number)
    return found


def _free_hand(a: Point, b: Point, source: str) -> Path:
    """A free-hand line from a to b and a little beyond both."""
    length = math.dist(a, b)
    (ux, uy) = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    over, swing = BREAK_OVERRUN * 0.7, min(1.0, length / 6)
    whole = length + 2 * over

    def at(along: float, aside: float) -> Point:
        along -= over
        return (a[0] + ux * along - uy * aside, a[1] + uy * along + ux * aside)

    curves = (
        (at(0.17 * whole, swing), at(0.3 * whole, swing), at(0.5 * whole, 0.0)),
        (at(0.7 * whole, -swing), at(0.83 * whole, -swing), at(whole, 0.0)),
    )
    segments: list[Segment] = [("m", *at(0.0, 0.0))]
    segments += [("c", *p, *q, *r) for p, q, r in curves]
    return Path(tuple(segments), style.BREAK, None, Role.BREAK, source)


def _fasteners(scenes: Scenes, apart: Apart, plane: Plane, scale: float) -> list[Item]:
    """Screws and dowels whose axis lies in the plane, whole, over the wood."""
    items: list[Item] = []
    for name in apart.meeting.fasteners:
        head, way = (np.array(floats(v)) for v in (scenes.fasteners[name][1].head, scenes.fasteners[name][1].direction))
        if abs(float((head - plane.point) @ plane.normal)) > 1.0 or abs(float(way @ plane.normal)) > 0.05:
            continue
        start = plane.flat(head[None])[0] * scale
        run = plane.flat(way[None])[0]
        aside = np.array([-run[1], run[0]])
        profile = scenes.profile(name)
        rim = [start + (run * depth + aside * radius) * scale for depth, radius in profile]
        rim += [start + (run * depth - aside * radius) * scale for depth, radius in reversed(profile) if radius > 0]
        outline = polyline([(float(x), float(y)) for x, y in rim], closed=True)
        items.append(Path(outline, _FASTENER_PEN, style.TINT_3, Role.OUTLINE, scenes.letter(name)))
        ends = [start - run * 1.6, start + run * (profile[-1][0] * scale + 1.6)]
        p, q = ((float(x), float(y)) for x, y in ends)
        items.append(line(p, q, style.CENTRE, Role.CENTRE, scenes.letter(name)))
    return items
