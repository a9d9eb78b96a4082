"""Pictures of one joint: taken apart along the way it closes, with what is glued dotted, and closed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import frozen

from planpress.base.display import Figure, Hatch, Item, Path, Pen, Point, Role, line, polyline, rectangle
from planpress.figures import style
from planpress.figures.balloons import balloons_around
from planpress.figures.joint_groups import JointGroup, Meeting
from planpress.figures.joint_marks import closing_arrow, reference_mark
from planpress.figures.joint_solids import (
    SAWN,
    Stub,
    beside,
    faces_named,
    is_kept,
    is_long,
    kept_part,
    moves_back,
    stub,
    stubs,
)
from planpress.figures.pictures import FASTENER_INK, TINTS, Drawing, Ink, fitted
from planpress.figures.scenes import AT_REST, FRONT_LEFT, Offset, Placed, Scenes, Sight, View
from planpress.geometry.mesh import Flags, Floats
from planpress.geometry.pictures import Scene
from planpress.geometry.regions import Loop, regions
from planpress.geometry.revolve import SEGMENTS
from planpress.geometry.shapes import Shape
from planpress.geometry.solids import OVERSHOOT, rod
from planpress.geometry.vectors import floats

JOINT_INK: Final = Ink(TINTS, style.THIN, Pen(style.MEDIUM, style.INK), Pen(style.MEDIUM, style.INK))
SAWN_HATCH: Final = Hatch(1.1, -45.0, Pen(style.HAIR, style.HATCH_GREY))
#: Dots on faces to be glued: from each other, their side, from the border of the face, mm on paper.
_DOT_STEP, _DOT, _DOT_CLEAR = 1.7, 0.42, 0.5
#: Other sides from which a joint may be seen, and what a side must show more than the usual one to be taken.
OTHER_VIEWS: Final = (View(azimuth=-58.0), View(azimuth=58.0), View(azimuth=122.0), View(turned_over=True))
_BETTER: Final = 1.4
# What the piece of which less is seen counts beside the other.
_BOTH = 3.0
# An earlier one of the other sides is kept unless a later one shows this much more.
_ORDER = 1.15
# A part that is no mirror image of another is preferred as much. What a plain face counts beside one of a notch.
_UNMIRRORED, _PLAIN = 1.3, 0.03
# Ways apart that are tried, as shares of the wood left beside the joint; what may be lost by taking a shorter one.
_USUAL = 0.45
_GAPS, _LOSS = (0.2, _USUAL, 0.8, 1.2), 0.85
# In the search, the step (mm, true size) of the points that are looked at.
_LOOK = 2.5
_SHARES = (0.98, 0.88, 0.78, 0.68)
_FASTENER_OUT = 0.3
# Between pieces there is room for this many lengths of a dowel.
_DOWEL_ROOM = 1.3


@frozen(eq=False)
class Apart:
    """How a joint is shown: which of its meetings, from where, and how far the pieces are apart (mm)."""

    meeting: Meeting
    view: View
    stubs: tuple[Stub, ...]
    distance: float

    @property
    def way(self) -> Floats:
        """(3,) the direction in which the first piece travels."""
        return np.array(floats(self.meeting.main.direction))

    @property
    def offset(self) -> Offset:
        """Of the first piece."""
        x, y, z = (-self.way * self.distance).tolist()
        return (x, y, z)

    @property
    def offsets(self) -> list[Offset]:
        """Of every piece: the first goes back, the second stays, what sits loose in both lies between."""
        x, y, z = self.offset
        return [self.offset, AT_REST] + [(x / 2, y / 2, z / 2)] * (len(self.stubs) - 2)

    @property
    def side_words(self) -> str:
        """From where the joint is seen; "" for the usual side."""
        if self.view.turned_over:
            return "turned over"
        return {-58.0: "seen from the right", 58.0: "seen from behind, right", 122.0: "seen from behind"}.get(
            self.view.azimuth, ""
        )

    def fasteners(self, scenes: Scenes) -> list[str]:
        """Ids of the fasteners that sit in what is shown of the joint."""
        return [
            name for name in self.meeting.fasteners if is_kept(floats(scenes.fasteners[name][1].head), *self.stubs[:2])
        ]


def best_apart(scenes: Scenes, group: JointGroup) -> Apart:
    """The meeting and the side from which most is seen of what touches; the usual side if it is nearly as good."""
    unlike: dict[tuple[object, ...], Meeting] = {}
    for meeting in group.meetings:
        way = tuple(round(c, 3) for c in floats(meeting.main.direction))
        unlike.setdefault((meeting.first.part.letter, meeting.second.part.letter, way), meeting)
    tried = [_Trial.of(scenes, meeting, FRONT_LEFT, _USUAL) for meeting in unlike.values()]
    best = max(tried, key=lambda one: round(one.worth * (_UNMIRRORED if one.is_unmirrored else 1.0), 6))
    shown, least = best.apart, best.worth * _BETTER
    for view in OTHER_VIEWS:
        other = _Trial.of(scenes, shown.meeting, view, _USUAL, None if is_long(shown.meeting) else shown)
        if other.worth > least:
            best, least = other, other.worth * _ORDER
    chosen = best.apart
    gaps = [best if gap == _USUAL else _Trial.of(scenes, chosen.meeting, chosen.view, gap, chosen) for gap in _GAPS]
    most = max(one.worth for one in gaps)
    return next(one.apart for one in gaps if one.worth >= _LOSS * most)


@frozen(eq=False)
class _Trial:
    """How much is seen of what touches: of the piece of which more, and of which less is seen."""

    apart: Apart
    more: float
    less: float

    @property
    def worth(self) -> float:
        return self.more + _BOTH * self.less

    @property
    def is_unmirrored(self) -> bool:
        return all(member.part.mirror_of is None for member in self.apart.meeting.members)

    @classmethod
    def of(cls, scenes: Scenes, meeting: Meeting, view: View, gap: float, like: Apart | None = None) -> _Trial:
        """Pieces apart by a share of the wood beside the joint; `like` lends them."""
        parts = like.stubs if like is not None else stubs(scenes, meeting, view.matrix[2])
        clear = moves_back(parts[0], parts[1], np.array(floats(meeting.main.direction)))
        least = _DOWEL_ROOM * _between(scenes, meeting)
        apart = Apart(meeting, view, parts, clear + max(gap * beside(meeting), least))
        sight = _sight(view, apart.stubs, apart.offsets)
        drawing = Drawing(sight, 1.0, (0.0, 0.0), sight.picture.segments)
        low, high = sorted(math.sqrt(_worth(apart, drawing, number)) for number in range(2))
        return cls(apart, high, low)


def _between(scenes: Scenes, meeting: Meeting) -> float:
    """Length (mm) of what goes into both pieces: dowels, splines, tongues; 0 if there is none."""
    if meeting.loose:
        way = np.array(floats(meeting.main.direction))
        member = meeting.loose[0]
        frame = scenes.plan.pieces[member.piece].frame
        sizes = (member.part.length, member.part.width, member.part.thickness)
        axes = (frame.x, frame.y, frame.z)
        return sum(abs(float(np.array(floats(a)) @ way)) * float(size) for a, size in zip(axes, sizes, strict=True))
    if any(hole.depth is None for hole in meeting.first.holes):
        return 0.0
    return max((float(scenes.fasteners[name][0].length) for name in meeting.fasteners), default=0.0)


def _worth(apart: Apart, drawing: Drawing, number: int) -> float:
    """How much of what touches the other piece is seen of one, faces of notches above all."""
    own = apart.stubs[number]
    label, names = drawing.sight.picture.face_label, own.mesh.names
    total = 0.0
    for face, points in _touching(apart, drawing, number, _LOOK, 0.0).items():
        total += len(points) * (1.0 if names[int(label[face])].startswith("notch") else _PLAIN)
    return total


def _sight(
    view: View, parts: Sequence[Stub], offsets: Sequence[Offset], more: Sequence[tuple[str, Shape, Offset]] = ()
) -> Sight:
    """Stubs, and fasteners besides, seen one way."""
    shapes = [part.shape for part in parts] + [shape for _, shape, _ in more]
    places = [*offsets, *(offset for _, _, offset in more)]
    names = [part.piece for part in parts] + [name for name, _, _ in more]
    scene = Scene(shapes, view.matrix, places)
    picture = scene.picture()
    placed = tuple(Placed(name, offset) for name, offset in zip(names, places, strict=True))
    return Sight(view, placed, scene, picture, regions(picture))


# --- what touches -----------------------------------------------------------------------------------------------------


def _touching(apart: Apart, drawing: Drawing, number: int, step: float, clear: float) -> dict[int, list[Point]]:
    """Points of a grid on paper at which a piece shows a face that lies against the other one when closed, by face."""
    own = apart.stubs[number]
    mates = [part for part in apart.stubs if part is not own]
    offset = np.array(apart.offsets[number])
    sight = drawing.sight
    picture = sight.picture
    toward = sight.view.matrix[2]
    first_face = sum(part.shape.face_count for part in apart.stubs[:number])
    found: dict[int, list[Point]] = {}
    for face in drawing.faces_by_thing()[own.piece]:
        normal = picture.face_normal[face]
        if np.linalg.norm(normal) < 0.999 or abs(float(normal @ toward)) < 1e-6:
            continue
        patch = own.shape.patches[np.flatnonzero(own.shape.patch_face == face - first_face)[0]][0]
        if not any(mate.surface.is_met(patch, normal) for mate in mates):
            continue
        points = _grid_inside(drawing.loops(face), step, clear)
        if not len(points):
            continue
        flat = (points - np.array(drawing.origin)) / drawing.scale
        base = flat @ sight.view.matrix[:2]
        nearness = ((patch + offset) @ normal - base @ normal) / float(normal @ toward)
        world = base + nearness[:, None] * toward - offset
        held = np.logical_or.reduce([mate.surface.touches(world, normal) for mate in mates])
        found[face] = [(float(x), float(y)) for x, y in points[held]]
    return found


def _grid_inside(loops: Sequence[Loop], step: float, clear: float) -> Floats:
    """(n, 2) points of a staggered grid inside a region, at least `clear` from its border."""
    starts = np.concatenate([np.array(loop) for loop in loops])
    ends = np.concatenate([np.roll(np.array(loop), -1, axis=0) for loop in loops])
    (left, low), (right, high) = starts.min(axis=0), starts.max(axis=0)
    rows = np.arange(math.floor(low / step), math.ceil(high / step) + 1)
    columns = np.arange(math.floor(left / step) - 1, math.ceil(right / step) + 1)
    x = (columns[None, :] + 0.5 * (rows[:, None] % 2)) * step
    y = np.broadcast_to(rows[:, None] * step, x.shape)
    points = np.column_stack([x.ravel(), y.ravel()])
    points = points[_inside(points, starts, ends)]
    return points[_distance(points, starts, ends) >= clear] if clear else points


def _inside(points: Floats, starts: Floats, ends: Floats) -> Flags:
    """(n,) by the even-odd rule."""
    x, y = points.T
    above = (starts[:, 1] > y[:, None]) != (ends[:, 1] > y[:, None])
    rise = np.where(ends[:, 1] == starts[:, 1], 1.0, ends[:, 1] - starts[:, 1])
    at = starts[:, 0] + (y[:, None] - starts[:, 1]) / rise * (ends[:, 0] - starts[:, 0])
    odd: Flags = ((above & (at > x[:, None])).sum(axis=1) % 2).astype(np.bool_)
    return odd


def _distance(points: Floats, starts: Floats, ends: Floats) -> Floats:
    """(n,) to the nearest of the lines."""
    run = ends - starts
    length = np.maximum((run**2).sum(axis=1), 1e-12)
    way = points[:, None] - starts
    share = np.clip((way * run).sum(axis=2) / length, 0.0, 1.0)
    nearest: Floats = np.linalg.norm(way - share[:, :, None] * run, axis=2).min(axis=1)
    return nearest


# --- figures ----------------------------------------------------------------------------------------------------------


def apart_figure(
    scenes: Scenes, apart: Apart, accent: str, width: float, height: float
) -> tuple[Figure, float, tuple[bool, bool]]:
    """The joint taken apart, with trail lines, dots on what is glued, the way it closes, and balloons.

    Returns:
        the figure; its scale, which the closed one should not exceed; whether the reference face of each piece shows.
    """
    loose = _loose_fasteners(scenes, apart)
    sight = _sight(apart.view, apart.stubs, apart.offsets, loose)
    letters = [scenes.letter(part.piece) for part in apart.stubs] + [scenes.letter(name) for name, _, _ in loose]
    letters = list(dict.fromkeys(letters))
    drawing: Drawing
    marks: list[Item] = []
    for share in _SHARES:
        side, rise = width * (1 - share) / 2, height * (1 - share) / 2
        drawing = fitted(sight, (side, rise, width - side, height - rise), largest=2.0)
        marks, good = balloons_around(scenes, drawing, letters, width, height)
        if good:
            break
    trails = _trails(apart, drawing, accent)
    items = [*_wood(apart, drawing), *trails]
    dots: list[Item] = []
    for number in range(len(apart.stubs) if apart.meeting.is_glued else 0):
        by_face = _touching(apart, drawing, number, _DOT_STEP, _DOT_CLEAR)
        dots += _dots([point for points in by_face.values() for point in points], apart.stubs[number].piece)
    items += dots
    signs: list[Item] = [*marks, *trails, *dots]
    for member, own, offset in zip(apart.meeting.members, apart.stubs, apart.offsets, strict=False):
        signs += reference_mark(drawing, own, scenes.plan.pieces[own.piece], member.part, offset, signs)
    middle = np.array(kept_part([floats(corner) for corner in apart.meeting.main.patch], apart.stubs)).mean(axis=0)
    gap = drawing.point((middle - apart.way * apart.distance / 2).tolist())
    signs += closing_arrow(drawing, apart.way, gap, signs, (width, height))
    drawn = [item for item in signs if item not in trails and item not in dots]
    shows = [_shows_face(scenes, apart, number) for number in range(2)]
    return Figure(width, height, (*items, *drawn), ""), drawing.scale, (shows[0], shows[1])


def _shows_face(scenes: Scenes, apart: Apart, number: int) -> bool:
    """True if the reference face of a piece looks to the viewer."""
    out = np.array(floats(scenes.plan.pieces[apart.stubs[number].piece].frame.z))
    return float(out @ apart.view.matrix[2]) > 0


def closed_figure(scenes: Scenes, apart: Apart, scale: float, width: float, height: float) -> Figure:
    """The joint closed, at most at the scale given; of screws and dowels only heads and ends show."""
    parts = []
    for own in apart.stubs:
        solid = own.solid
        for name in apart.fasteners(scenes):
            place = scenes.fasteners[name][1]
            profile = scenes.seated_profile(name, OVERSHOOT)
            solid = solid.minus(rod(profile, floats(place.head), floats(place.direction), segments=SEGMENTS))
        parts.append(stub(own.piece, solid))
    driven = [(name, scenes.shape(name, (name,)), AT_REST) for name in apart.fasteners(scenes)]
    sight = _sight(apart.view, parts, [AT_REST] * len(parts), driven)
    drawing = fitted(sight, (0.0, 0.0, width, height), largest=scale)
    return Figure(width, height, tuple(_wood(apart, drawing)), "")


def _wood(apart: Apart, drawing: Drawing) -> list[Item]:
    pieces = {part.piece for part in apart.stubs}
    items = drawing.items(lambda name: JOINT_INK if name in pieces else FASTENER_INK, close=0.0)
    picture = drawing.sight.picture
    for part in apart.stubs:
        sawn = faces_named(part, (SAWN,))
        for face in drawing.faces_by_thing()[part.piece]:
            if int(picture.face_label[face]) in sawn:
                segments = tuple(s for loop in drawing.loops(face) for s in polyline(loop, closed=True))
                items.append(Path(segments, None, SAWN_HATCH, Role.HATCH, part.piece))
    return items


def _dots(points: Sequence[Point], source: str) -> list[Item]:
    if not points:
        return []
    half = _DOT / 2
    segments = tuple(s for x, y in points for s in rectangle(x - half, y - half, _DOT, _DOT))
    return [Path(segments, None, style.SECONDARY, Role.HATCH, source)]


def _loose_fasteners(scenes: Scenes, apart: Apart) -> list[tuple[str, Shape, Offset]]:
    """Fasteners on their way: out of the piece that they are driven through, or between the two."""
    found = []
    for name in apart.fasteners(scenes):
        fastener, place = scenes.fasteners[name]
        driven = np.array(floats(place.direction))
        along = float(driven @ apart.way)
        through = any(hole.depth is None for hole in apart.meeting.first.holes)
        if through and along > 0:
            back = apart.distance + (1 + _FASTENER_OUT) * float(fastener.length)
        else:
            back = apart.distance / 2
        x, y, z = (-apart.way * back).tolist() if abs(along) > 0.5 else (-driven * float(fastener.length)).tolist()
        found.append((name, scenes.shape(name), (x, y, z)))
    return found


def _trails(apart: Apart, drawing: Drawing, accent: str) -> list[Item]:
    """From each corner of the touching face on the second piece to the same corner of the first."""
    back = np.array(apart.offset)
    patch = kept_part([floats(corner) for corner in apart.meeting.main.patch], apart.stubs)
    ways = [(corner, (np.array(corner) + back).tolist()) for corner in patch]
    items: list[Item] = []
    for (a, b), shares in zip(ways, drawing.sight.in_sight(ways), strict=True):
        (x, y), (u, v) = drawing.point(a), drawing.point(b)
        for low, high in shares:
            start = (x + (u - x) * low, y + (v - y) * low)
            end = (x + (u - x) * high, y + (v - y) * high)
            if math.dist(start, end) >= 1.0:
                items.append(line(start, end, style.trail(accent), Role.TRAIL, apart.meeting.main.joint))
    return items
