"""Loose pieces that a joint asks for: splines across mitres, tongues between edges.

They are parts like others, with a letter, though the description has no record of them as parts: one is made up here.
The grain of a spline runs across the joint line, so that it cannot split along it: its length is twice the depth
it sits in each member, its width runs along the joint. A tongue is ripped from a long strip: its length runs along the
joint (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from attrs import frozen

from planpress.base.printing import Units
from planpress.description import records as described
from planpress.description.formulas import Formula
from planpress.geometry.vectors import ORIGIN, Frame, Vec, add, cross, dot, neg, settled, settled_vec, sub
from planpress.model.blanks import Blank, RawNotch, stick
from planpress.model.cutting import JointError, Settings
from planpress.model.laps import set_on_side
from planpress.model.placing import positive
from planpress.model.records import JointPlace, Role, Side, SolvedMaterial

#: How much deeper a groove is than a tongue or spline reaches, mm: 1/32 in, or 1 mm (from memory).
USUAL_ROOM = {Units.IMPERIAL: Fraction(254, 320), Units.METRIC: Fraction(1)}


@frozen
class StripSizes:
    """A strip's settings as numbers, mm: how deep it sits in each member, how much deeper the slot is, clearance."""

    material: SolvedMaterial
    thickness: Fraction
    depth: Fraction
    room: Fraction
    fit: Fraction

    @property
    def slot_width(self) -> Fraction:
        """Of the slot or groove."""
        return self.thickness + self.fit

    @property
    def slot_depth(self) -> Fraction:
        """Of the slot or groove."""
        return self.depth + self.room


def strip_sizes(strip: described.Strip, fit: Formula | None, settings: Settings) -> StripSizes:
    """The settings of a spline or tongue.

    Raises:
        FormulaError: if one makes no sense.
    """
    material = settings.materials[strip.material.text]
    room = USUAL_ROOM[settings.units]
    if strip.room is not None:
        room = settings.length(settings.of_units(strip.room))
    if room < 0:
        raise JointError("a slot cannot be less deep than its strip reaches; 'room' must not be negative")
    return StripSizes(
        material=material,
        thickness=settings.size(strip.thickness, material.thickness),
        depth=positive(strip.depth, settings.names),
        room=room,
        fit=settings.length(fit),
    )


def made_piece(
    label: str,
    joint: described.MitreJoint | described.EdgeJoint,
    members: tuple[Blank, Blank],
    strip: StripSizes,
    centre: Vec,
    axes: tuple[Vec, Vec],
    sizes: tuple[Fraction, Fraction],
) -> Blank:
    """A loose piece as a blank of its own.

    Args:
        label: "Spline" or "Tongue". centre: of the piece in the world.
        axes: world directions of its length and width; sizes: length and width, mm.
    """
    first, second = members
    name = f"{joint.name} {label.lower()}"
    record = described.Part(
        name=name,
        label=label,
        material=described.Name(strip.material.name, joint.place),
        thickness=None,
        width=None,
        length=None,
        placement=first.record.placement,
        trim_start=None,
        trim_end=None,
        repeat=(),
        fit_in_place=False,
        remark="",
        place=joint.place,
    )
    frame = Frame(ORIGIN, axes[0], axes[1], cross(axes[0], axes[1]))
    half = (sizes[0] / 2, sizes[1] / 2, strip.thickness / 2)
    blank = stick(
        record=record,
        piece_id=f"{name} ({first.id}, {second.id})",
        repeat={},
        material=strip.material,
        frame=Frame(settled_vec(add(centre, neg(frame.direction(half)))), frame.x, frame.y, frame.z),
        length=sizes[0],
        width=sizes[1],
        thickness=strip.thickness,
        near=None,
        far=None,
    )
    if first.assembly == second.assembly:
        blank.assembly = first.assembly
    return blank


def seat(
    joint: described.MitreJoint | described.EdgeJoint,
    piece: Blank,
    member: Blank,
    way: Vec,
    ring: Sequence[Vec],
    outward: Vec,
) -> JointPlace:
    """Where a loose piece sits in a member, into which it travels along `way`.

    The patch is the glue face, the piece's broad side inside the slot, which lies along the way; its corners run
    anticlockwise seen from outside the piece. `ring`: its corners; `outward`: which way that side looks.
    """
    turned = dot(cross(sub(ring[1], ring[0]), sub(ring[2], ring[1])), outward)
    patch = tuple(ring) if turned > 0 else tuple(reversed(ring))
    return JointPlace(joint.name, piece.record.label.lower(), piece.id, member.id, way, patch, joint.glue)


def slot(
    member: Blank,
    side: Side,
    outline: Sequence[Vec],
    *,
    piece: Blank,
    strip: StripSizes,
    depth: Fraction,
    start: Fraction,
    skew: Fraction,
    joint: str,
    kind: str,
    role: Role,
) -> None:
    """Note the slot for a loose piece; `outline` in world points, seen square to the side.

    Args:
        depth, start: mm square to the side. skew: see `Notch`.
    """
    member.notches.append(
        RawNotch(
            side=side,
            outline=tuple(set_on_side(member, side, p) for p in outline),
            depth=settled(depth),
            width=strip.slot_width,
            fit=strip.fit,
            skew=skew,
            mates=(piece.id,),
            mate_size="thickness",
            joint=joint,
            kind=kind,
            depth_share="given",
            role=role,
            start=settled(start),
        )
    )
