"""Where a joint is cut for its section, and how the section lies on paper."""

from __future__ import annotations

from typing import Final

import numpy as np
from attrs import frozen

from planpress.figures.joint_groups import void_corners
from planpress.figures.joint_pictures import Apart
from planpress.figures.joint_solids import long_way
from planpress.figures.scenes import FRONT_LEFT, Scenes, View
from planpress.geometry.mesh import Floats
from planpress.geometry.vectors import Frame, Vec, floats
from planpress.model.records import Notch, Part

_ALONG, _LONG_PATCH = 0.9, 2.5
_SAME = 1e-3
_RUNS: Final = ("housing", "rabbet", "groove")
#: Corners whose section lies in the face of the first piece: it shows how the fingers lie between each other.
IN_FACE: Final = ("finger joint", "dovetail")


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
        lead: direction (3,) that lies so: the way the first piece travels, or its length where that is shown.
    """

    point: Floats
    view: Across
    is_upright: bool
    lead: Floats

    @property
    def normal(self) -> Floats:
        """(3,) towards the viewer."""
        normal: Floats = self.view.matrix[2]
        return normal

    def flat(self, points: Floats) -> Floats:
        """(n, 2) where points (n, 3) fall on paper at true size."""
        found: Floats = points @ self.view.matrix[:2].T
        return found


def section_plane(scenes: Scenes, apart: Apart) -> Plane:
    """Through the middle of the joint or its first fastener, along the way it closes, across what runs on for long."""
    meeting = apart.meeting
    way = _square_to_mouth(scenes, apart)
    in_face = meeting.main.kind in IN_FACE
    frame = scenes.plan.pieces[meeting.first.piece].frame
    first, second = (np.array(floats(scenes.plan.pieces[m.piece].frame.x)) for m in meeting.members)
    patch = np.array([floats(corner) for corner in meeting.main.patch])
    long, length = long_way(patch)
    lengths = sorted(np.round(np.ptp(patch @ np.column_stack([long, np.cross(long, way)]), axis=0), 6))
    if in_face:
        way, normal = first, np.array(floats(frame.z))
    elif meeting.main.kind in _RUNS or (lengths[0] > 0 and length > _LONG_PATCH * lengths[0] and not meeting.fasteners):
        normal = long
    elif abs(float(first @ way)) < 0.5:  # laid over or against the other
        normal = first if meeting.second.notches or not meeting.first.notches else second
    else:
        normal = np.cross(way, second)
        if np.linalg.norm(normal) < 0.1:
            normal = np.array(floats(frame.y))
    normal = normal - way * float(normal @ way)
    if np.linalg.norm(normal) < 0.1:
        normal = np.cross(way, [0.0, 0.0, 1.0] if abs(way[2]) < 0.9 else [0.0, 1.0, 0.0])
    normal = normal / np.linalg.norm(normal)
    if float(normal @ FRONT_LEFT.matrix[2]) < 0:
        normal = -normal
    point = np.array(floats(frame.point(_centre(meeting.first.part)))) if in_face else _middle(scenes, apart, patch)
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
    return Plane(point, Across(rows=rows), is_upright, way)


def _square_to_mouth(scenes: Scenes, apart: Apart) -> Floats:
    """(3,) the way the joint closes; of one that leans, square to the side that is cut: depths are measured so."""
    member = apart.meeting.second
    frame = scenes.plan.pieces[member.piece].frame
    for notch in member.notches:
        if opens_along(notch, frame, apart.way):
            outward = np.array(floats((frame.x, frame.y, frame.z)[notch.side.axis]))
            return outward if float(outward @ apart.way) > 0 else -outward
    return apart.way


def _centre(part: Part) -> Vec:
    return (part.length / 2, part.width / 2, part.thickness / 2)


def _middle(scenes: Scenes, apart: Apart, patch: Floats) -> Floats:
    """(3,) the middle of the largest cut that opens along the way the joint closes, else of the touching faces."""
    best: Floats = patch.mean(axis=0)
    area = 0.0
    for member in apart.meeting.members[::-1]:
        frame = scenes.plan.pieces[member.piece].frame
        for notch in member.notches:
            if opens_along(notch, frame, apart.way):
                corners = np.array([floats(frame.point(c)) for c in void_corners(notch, member.part)])
                (low, high), (under, over) = notch.span, notch.across
                size = float((high - low) * (over - under) * notch.depth)
                if size > area + _SAME:
                    best, area = corners.mean(axis=0), size
        if area:
            break
    return best


def opens_along(notch: Notch, frame: Frame, way: Floats) -> bool:
    """True for a cut that takes in the other piece along the way the joint closes."""
    outward = np.array(floats((frame.x, frame.y, frame.z)[notch.side.axis]))
    return abs(float(outward @ way)) >= _ALONG and notch.role not in ("corner", "kerf", "cheek")
