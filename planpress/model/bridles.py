"""Bridle joints: a tongue sits in a slot that is open at the end of the other member.

At a corner the tongue is the end of its member. In a T the member with the tongue runs on: it is notched on both faces,
and the end with the slot straddles it.
"""

from __future__ import annotations

from fractions import Fraction

from planpress.description.records import TenonJoint
from planpress.geometry.polygons import Point2, Polygon, cleaned, cut
from planpress.geometry.vectors import SAME, Vec, add, dot, neg, scale, settled
from planpress.model.blanks import Blank, RawNotch
from planpress.model.cutting import Cut, JointError, Settings
from planpress.model.laps import boxes_overlap
from planpress.model.records import JointPlace, Side
from planpress.model.tenon_entries import Entry, Range, crossings, entries, on_level, side_polygon
from planpress.model.tenon_sections import cut_end, cut_side, degrees, tenon_face, widest_shoulder
from planpress.model.tenons import thickness_range

#: A tongue that stands out further than this share of what it goes through runs on: then it is a T.
_CORNER = Fraction(1, 4)
#: The end with the slot may stand out this many times the width of the tongue.
_MOST_HORN = 1
_FLAT = Fraction(1, 10**9)


def cut_bridle(first: Blank, second: Blank, joint: TenonJoint, settings: Settings) -> Cut | None:
    """Cut the tongue of `first` and the open slot of `second`; None if they share no space.

    Raises:
        JointError: if no end of the second lies in the first, or their faces do not lie in one plane.
        FormulaError: for settings.
    """
    if not boxes_overlap(first, second):
        return None
    slot_ends = entries(second, first, joint)
    if not slot_ends or slot_ends[0].proud > slot_ends[0].through_size * _MOST_HORN:
        raise JointError(f"no end of '{second.id}' lies in '{first.id}', so its slot cannot be open at the end")
    slot_end = slot_ends[0]
    thick = thickness_range(first, joint, settings)
    _check_faces(slot_end, thick)
    fit = settings.length(joint.fit)
    tongue = _ending_tongue(first, second, joint)
    if tongue is not None:
        place = _corner(tongue, thick, joint)
    else:
        tongue = min(crossings(first, second, joint, Side.FAR_END), key=lambda entry: entry.shoulder_steepness)
        place = _straddled(tongue, slot_end, thick, fit)
    second.notches.append(_slot(tongue, slot_end, thick, fit))
    return Cut(place)


def _ending_tongue(first: Blank, second: Blank, joint: TenonJoint) -> Entry | None:
    """How the first ends in the second; None if it runs on.

    Raises:
        JointError: if it ends before the far side.
    """
    for entry in entries(first, second, joint):
        if entry.proud < -SAME:
            short = float(-entry.proud)
            raise JointError(f"the tongue of '{first.id}' ends {short:g} mm before the far side of '{second.id}'")
        if entry.proud <= entry.through_size * _CORNER:
            return entry
    return None


def _check_faces(slot_end: Entry, thick: Range) -> None:
    """The tongue's faces must lie in the plane of the other member, with wood beside them for both sides of the slot.

    Raises:
        JointError: if they do not.
    """
    slotted, tongued = slot_end.tenon, slot_end.mortise
    face = tongued.axes[2]
    if slot_end.side.axis != 1 or all(abs(dot(axis, face)) < 1 - _FLAT for axis in slotted.axes[1:]):
        raise JointError(f"the faces of '{tongued.id}' do not lie in one plane with '{slotted.id}'")
    low, high = slotted.extent(face)
    level = dot(tongued.frame.origin, face)
    if low - level > thick[0] - SAME or high - level < thick[1] + SAME:
        raise JointError(
            f"'{slotted.id}' has no wood on both sides of a tongue {float(thick[1] - thick[0]):g} mm thick"
        )


def _slot(tongue: Entry, slot_end: Entry, thick: Range, fit: Fraction) -> RawNotch:
    """The slot: from the tongue's inner edge to the end, through the whole width."""
    beyond = 2 * (tongue.mortise.length + tongue.tenon.width)
    across = (Fraction(0), tongue.tenon.width + beyond)
    if slot_end.side is Side.UPPER:
        across = (-beyond, tongue.tenon.width)
    return cut_side(tongue, across, thick, tongue.through_size, "slot", fit=fit)


def _corner(tongue: Entry, thick: Range, joint: TenonJoint) -> JointPlace:
    """Cut the cheeks of a tongue at the end of its member."""
    t = tongue.tenon
    for side, waste in ((Side.BACK, thick[0]), (Side.FACE, t.thickness - thick[1])):
        if waste > SAME:
            t.notches.append(cut_end(tongue, side, waste, "cheek"))
    patch = widest_shoulder(tongue, (Fraction(0), t.width), thick) or tenon_face(tongue, (Fraction(0), t.width), thick)
    return JointPlace(joint.name, joint.kind, t.id, tongue.mortise.id, tongue.along, patch, joint.glue)


def _straddled(tongue: Entry, slot_end: Entry, thick: Range, fit: Fraction) -> JointPlace:
    """Notch both faces of the member that runs on, where the other straddles it."""
    t, m, joint = tongue.tenon, tongue.mortise, tongue.joint
    for side, waste in ((Side.BACK, thick[0]), (Side.FACE, t.thickness - thick[1])):
        if waste <= SAME:
            continue
        outline = _footprint(tongue, slot_end, side, fit)
        level = t.thickness if side.is_far else Fraction(0)
        run = tongue.shoulder.u_at(t.width, level) - tongue.shoulder.u_at(Fraction(0), level)
        t.notches.append(
            RawNotch(
                side=side,
                outline=tuple(on_level(t, side, p) for p in outline),
                depth=settled(waste),
                width=tongue.through_size + fit,
                fit=fit,
                skew=degrees(run, t.width),
                mates=(m.id,),
                mate_size="width" if tongue.side.axis == 1 else "thickness",
                joint=joint.name,
                kind=joint.kind,
                depth_share="given",
                role="lap",
            )
        )
    v = Fraction(0) if slot_end.side is Side.LOWER else t.width
    step = tongue.through_size / tongue.shoulder.normal[0]
    ring = [
        (tongue.shoulder.u_at(v, w) + k * step, v, w) for w, k in zip((*thick, *thick[::-1]), (0, 0, 1, 1), strict=True)
    ]
    patch = tuple(t.frame.point(p) for p in ring)
    return JointPlace(joint.name, joint.kind, t.id, m.id, neg(slot_end.along), patch, joint.glue)


def _footprint(tongue: Entry, slot_end: Entry, side: Side, fit: Fraction) -> Polygon:
    """What the slotted member covers of a face (u, v) of the other, wider by `fit`."""
    t, m = tongue.tenon, tongue.mortise
    level = t.thickness if side.is_far else Fraction(0)
    outline = side_polygon(t, side)
    normal = tongue.shoulder.normal
    outline = _cut_by(outline, neg(normal), add(tongue.shoulder.point, scale(normal, -fit / 2)), level)
    outline = _cut_by(outline, normal, add(tongue.shoulder.point, scale(normal, tongue.through_size + fit / 2)), level)
    end, ring = m.face(slot_end.end)
    outline = _cut_by(outline, t.frame.local_direction(end), t.frame.local_point(ring[0]), level)
    if len(outline) < 3:
        raise JointError(f"'{m.id}' covers nothing of '{t.id}'")
    return cleaned(tuple((settled(u), settled(v)) for u, v in outline))


def _cut_by(outline: Polygon, normal: Vec, point: Vec, level: Fraction) -> Polygon:
    """The part of an outline (u, v) at a level of w behind a plane."""
    offset = dot(normal, point) - normal[2] * level
    flat: Point2 = (normal[0], normal[1])
    return cut(outline, flat, offset)
