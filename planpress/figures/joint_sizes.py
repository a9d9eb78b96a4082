"""The sizes in the section of a joint: width and depth of cuts, slots between fingers, how deep fasteners sit."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from attrs import frozen

from planpress.base.display import Item, TypeMeasure
from planpress.base.edition import Edition
from planpress.figures.dimensions import FIRST, STEP, Label, Span, level, upright
from planpress.figures.joint_groups import BY_FASTENER, Member, void_corners
from planpress.figures.joint_pictures import Apart
from planpress.figures.joint_planes import IN_FACE, Plane, opens_along
from planpress.figures.pictures import Drawing
from planpress.figures.scenes import Scenes
from planpress.geometry.mesh import Floats
from planpress.geometry.vectors import floats
from planpress.model.records import Notch
from planpress.model.solids import side_point

# From the wood to the first dimension line, mm on paper.
_FIRST = 6.5


@frozen
class _Size:
    """A size to write, between two places along an axis of the paper: 0 level, 1 upright; `far`: above or right."""

    axis: int
    low: float
    high: float
    far: bool
    label: Label
    source: str


def section_sizes(
    scenes: Scenes, apart: Apart, plane: Plane, drawing: Drawing, edition: Edition, measure: TypeMeasure
) -> list[Item]:
    """Dimensions around a section, those of the first piece to the left and below, of the second opposite."""
    left, low, right, top = drawing.box
    sizes: list[_Size] = []
    if apart.meeting.main.kind in IN_FACE:
        sizes += _slot_sizes(scenes, apart.meeting.first, plane, drawing.scale, edition)
    for number, member in enumerate(apart.meeting.members if not sizes else ()):
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
        if not opens_along(notch, frame, apart.way):
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
    into = Fraction(round(float((met - head) @ way) * 10**6), 10**6)
    passed, held = into, fastener.length - into
    if fastener.kind == "dowel":
        depths = [max((hole.depth or into for hole in m.holes), default=into) for m in apart.meeting.members]
        passed, held = depths[0], depths[1]
    axis = 1 if plane.is_upright else 0
    places = (into - passed, into, into + held)
    levels = [float(plane.flat((head + way * float(d))[None])[0][axis]) * scale for d in places]
    found = []
    for number, length in enumerate((passed, held)):
        low, high = sorted(levels[number : number + 2])
        letter = apart.meeting.members[number].part.letter
        found.append(_Size(axis, low, high, number == 1, Label(edition.joint(length)), letter))
    return found


def _slot_sizes(scenes: Scenes, member: Member, plane: Plane, scale: float, edition: Edition) -> list[_Size]:
    """Width at the end of the piece, and length, of a slot between two fingers or tails."""
    part, frame = member.part, scenes.plan.pieces[member.piece].frame
    slots = [notch for notch in member.notches if notch.side.axis == 2 and notch.open_end is not None]
    if not slots:
        return []
    slots.sort(key=lambda n: (n.across[0] <= 0 or n.across[1] >= part.width, n.across[0]))
    notch = slots[0]
    low, high = notch.span
    open_u = high if notch.open_end is not None and notch.open_end.is_far else low
    ends = sorted(s for u, s in notch.outline if u == open_u)
    if len(ends) < 2:
        return []
    corners = [(low, ends[0]), (high, ends[-1])]
    flat = plane.flat(np.array([floats(frame.point(side_point(part, notch.side, c))) for c in corners])) * scale
    axis = 1 if plane.is_upright else 0
    along = sorted((float(flat[0][axis]), float(flat[1][axis])))
    across = sorted((float(flat[0][1 - axis]), float(flat[1][1 - axis])))
    outer = float(plane.flat(np.array(floats(frame.x))[None])[0][axis]) > 0
    return [
        _Size(axis, along[0], along[1], True, Label(edition.joint(high - low)), part.letter),
        _Size(
            1 - axis,
            across[0],
            across[1],
            outer == (open_u == high),
            Label(edition.joint(ends[-1] - ends[0])),
            part.letter,
        ),
    ]
