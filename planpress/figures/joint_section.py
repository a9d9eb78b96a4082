"""The section of a joint: both pieces cut through its middle, each hatched its own way, with the joint's sizes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

import numpy as np
from attrs import evolve, frozen

from planpress.base.display import Figure, Hatch, Item, Path, Pen, Point, Role, Segment, TypeMeasure, line, polyline
from planpress.base.edition import Edition
from planpress.figures import style
from planpress.figures.dimensions import FIRST, STEP, Label, Span, level, upright
from planpress.figures.extents import bounds, fitted_figure
from planpress.figures.joint_groups import BY_FASTENER, Member, void_corners
from planpress.figures.joint_pictures import Apart
from planpress.figures.joint_solids import CUT, Stub, faces_named, long_way, stub, stubs
from planpress.figures.marks import BREAK_OVERRUN
from planpress.figures.pictures import Drawing, Ink
from planpress.figures.scales import scales
from planpress.figures.scenes import FRONT_LEFT, Placed, Scenes, Sight, View
from planpress.geometry.mesh import Flags, Floats
from planpress.geometry.pictures import Picture, Scene
from planpress.geometry.regions import chains, regions
from planpress.geometry.vectors import floats
from planpress.model.records import Notch

_PEN: Final = Pen(style.MEDIUM, style.INK)
_INK: Final = Ink((style.TINT_0, style.TINT_1, style.TINT_1), style.THIN, _PEN, _PEN)
#: Hatching of the first and the second piece; lines of each lean their own way.
_HATCHES: Final = (
    Hatch(1.5, 45.0, Pen(style.HAIR, style.HATCH_GREY)),
    Hatch(2.1, -45.0, Pen(style.HAIR, style.HATCH_GREY)),
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


@frozen
class Across(View):
    """Straight at a section: rows right, up, toward the viewer."""

    rows: tuple[tuple[float, float, float], ...] = ()

    @property
    def matrix(self) -> Floats:
        """The rows (3, 3)."""
        matrix: Floats = np.array(self.rows, dtype=np.float64)
        return matrix


@frozen(eq=False)
class Plane:
    """Where a joint is cut, and how the section lies on paper.

    Attributes:
        point: on the plane (3,), mm. view: straight at it.
        is_upright: the joint closes up or down on paper, else left or right.
    """

    point: Floats
    view: Across
    is_upright: bool

    @property
    def normal(self) -> Floats:
        """(3,) towards the viewer."""
        return self.view.matrix[2]

    def flat(self, points: Floats) -> Floats:
        """(n, 2) where points (n, 3) fall on paper at true size."""
        found: Floats = points @ self.view.matrix[:2].T
        return found


def section_plane(scenes: Scenes, apart: Apart) -> Plane:
    """Through the middle of the joint or its first fastener, along the way it closes, across what runs on for long."""
    meeting = apart.meeting
    way = apart.way
    first, second = (np.array(floats(scenes.plan.pieces[m.piece].frame.x)) for m in meeting.members)
    patch = np.array([floats(corner) for corner in meeting.main.patch])
    long, length = long_way(patch)
    lengths = sorted(np.round(np.ptp(patch @ np.column_stack([long, np.cross(long, way)]), axis=0), 6))
    if meeting.main.kind in _RUNS or (lengths[0] > 0 and length > _LONG_PATCH * lengths[0] and not meeting.fasteners):
        normal = long
    elif abs(float(first @ way)) < 0.5:  # laid over or against the other
        normal = first if meeting.second.notches or not meeting.first.notches else second
    else:
        normal = np.cross(way, second)
        if np.linalg.norm(normal) < 0.1:
            normal = np.array(floats(scenes.plan.pieces[meeting.first.piece].frame.y))
    normal = normal - way * float(normal @ way)
    if np.linalg.norm(normal) < 0.1:
        normal = np.cross(way, [0.0, 0.0, 1.0] if abs(way[2]) < 0.9 else [0.0, 1.0, 0.0])
    normal = normal / np.linalg.norm(normal)
    if float(normal @ FRONT_LEFT.matrix[2]) < 0:
        normal = -normal
    point = patch.mean(axis=0)
    if meeting.fasteners:
        point = np.array(floats(scenes.fasteners[meeting.fasteners[0]][1].head))
    is_upright = abs(float(way[2])) > 0.7 or (abs(float(normal[2])) > 0.7 and abs(float(way[1])) > 0.7)
    if is_upright:
        up = way if float(way @ [0.0, 0.1, 1.0]) > 0 else -way
        right = np.cross(up, normal)
    else:
        right = way
        up = np.cross(normal, right)
        if float(up @ [0.0, 0.1, 1.0]) < 0:
            right, up = -right, -up
    rows = tuple((float(x), float(y), float(z)) for x, y, z in np.round([right, up, normal], 12))
    return Plane(point, Across(rows=rows), is_upright)


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
        items = [*_wood(drawing, cut, plane), *_fasteners(scenes, apart, plane, s)]
        items += _sizes(scenes, apart, plane, drawing, edition, measure)
        left, low, right, top = bounds(items, measure)
        if right - left <= width and top - low <= height:
            break
    return fitted_figure(items, measure, "", scale)


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
                hatches.append(Path(segments, None, _HATCHES[number], Role.HATCH, part.piece))
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


# --- sizes ------------------------------------------------------------------------------------------------------------


@frozen
class _Size:
    """A size to write, between two places along an axis of the paper: 0 level, 1 upright; `far`: above or right."""

    axis: int
    low: float
    high: float
    far: bool
    label: Label
    source: str


def _sizes(
    scenes: Scenes, apart: Apart, plane: Plane, drawing: Drawing, edition: Edition, measure: TypeMeasure
) -> list[Item]:
    left, low, right, top = drawing.box
    sizes: list[_Size] = []
    for number, member in enumerate(apart.meeting.members):
        sizes += _notch_sizes(scenes, apart, plane, member, number, drawing.scale, edition)
    if apart.meeting.main.kind in BY_FASTENER:
        sizes += _fastener_sizes(scenes, apart, plane, drawing.scale, edition)
    items: list[Item] = []
    stacked: dict[tuple[int, bool], int] = {}
    for size in sizes:
        side = (size.axis, size.far)
        number = stacked.get(side, 0)
        stacked[side] = number + 1
        if size.axis == 0:
            edge = top if size.far else low
            at = edge + (1 if size.far else -1) * (_FIRST + number * STEP)
            items += level(Span(size.low, size.high, edge, edge, size.label, size.source), at, measure)
        else:
            edge = right if size.far else left
            at = edge + (FIRST + number * STEP if size.far else -_FIRST - number * STEP)
            items += upright(Span(size.low, size.high, edge, edge, size.label, size.source), at, measure)
    return items


def _notch_sizes(
    scenes: Scenes, apart: Apart, plane: Plane, member: Member, number: int, scale: float, edition: Edition
) -> list[_Size]:
    """Depth and width of the notches of one piece that open along the way the joint closes; each size once."""
    frame = scenes.plan.pieces[member.piece].frame
    found: list[_Size] = []
    depth_axis = 1 if plane.is_upright else 0
    said: set[tuple[int, str]] = set()
    mouth_is_far = plane.flat(apart.way[None])[0][depth_axis] < 0  # the first comes from the right or from above
    for notch in member.notches:
        outward = np.array(floats((frame.x, frame.y, frame.z)[notch.side.axis])) * (1 if notch.side.is_far else -1)
        if abs(float(outward @ apart.way)) < _ALONG or notch.role in ("corner", "kerf", "cheek"):
            continue
        corners = np.array([floats(frame.point(corner)) for corner in void_corners(notch, member.part)])
        count = len(notch.outline)
        mouth, floor = corners[:count], corners[count:]
        spread = _crossing(mouth, plane)
        if spread is None:
            continue
        levels = sorted(float(plane.flat(face[:1])[0][depth_axis]) * scale for face in (mouth, floor))
        depth = edition.joint(notch.depth)
        if (depth_axis, depth) not in said:
            said.add((depth_axis, depth))
            found.append(_Size(depth_axis, levels[0], levels[1], number == 1, Label(depth), member.part.letter))
        covered = apart.meeting.first.notches and notch.role == "mortise"
        width = edition.joint(_width(notch, spread))
        if (number == 1 or not apart.meeting.second.notches) and (1 - depth_axis, width) not in said:
            said.add((1 - depth_axis, width))
            far = mouth_is_far != bool(covered) if number == 1 else not mouth_is_far
            a, b = (value * scale for value in spread)
            found.append(_Size(1 - depth_axis, a, b, far, Label(width), member.part.letter))
    return found


def _width(notch: Notch, spread: tuple[float, float]) -> Fraction:
    """The exact size that a width measured in the section stands for."""
    (low, high), (under, over) = notch.span, notch.across
    measured = spread[1] - spread[0]
    return min((notch.width, high - low, over - under), key=lambda size: abs(float(size) - measured))


def _crossing(outline: Floats, plane: Plane) -> tuple[float, float] | None:
    """Where, across the closing direction on paper (true size), the section passes through an outline."""
    off = (outline - plane.point) @ plane.normal
    after, off_after = np.roll(outline, -1, axis=0), np.roll(off, -1)
    passes = (off > 0) != (off_after > 0)
    if passes.sum() < 2:
        return None
    share = off[passes] / (off[passes] - off_after[passes])
    points = outline[passes] + share[:, None] * (after[passes] - outline[passes])
    across = plane.flat(points)[:, 0 if plane.is_upright else 1]
    return float(across.min()), float(across.max())


def _fastener_sizes(scenes: Scenes, apart: Apart, plane: Plane, scale: float, edition: Edition) -> list[_Size]:
    """What a fastener passes in the first piece, and how deep it goes into the second."""
    name = apart.meeting.fasteners[0]
    fastener, place = scenes.fasteners[name]
    head, way = np.array(floats(place.head)), np.array(floats(place.direction))
    met = np.array(floats(apart.meeting.main.patch[0]))
    passed = Fraction(round(float((met - head) @ way) * 10**6), 10**6)
    axis = 1 if plane.is_upright else 0
    levels = [float(plane.flat((head + way * float(d))[None])[0][axis]) * scale for d in (0, passed, fastener.length)]
    letters = [member.part.letter for member in apart.meeting.members]
    found = []
    for number, (a, b, length) in enumerate(
        ((levels[0], levels[1], passed), (levels[1], levels[2], fastener.length - passed))
    ):
        low, high = sorted((a, b))
        found.append(_Size(axis, low, high, number == 1, Label(edition.joint(length)), letters[number]))
    return found
