"""Mitre joints: both ends of a corner cut along one plane, perhaps with a spline across it."""

from __future__ import annotations

from fractions import Fraction

from planpress.description.records import MitreJoint
from planpress.geometry.vectors import dot, neg
from planpress.model.blanks import Blank
from planpress.model.contacts import touching
from planpress.model.cutting import Cut, JointError, Settings
from planpress.model.loose import strip_sizes
from planpress.model.mitre_planes import end_plane, find_mitre, recut
from planpress.model.records import JointPlace
from planpress.model.splines import fit_spline

_TINY = Fraction(1, 10**9)


def cut_mitre(first: Blank, second: Blank, joint: MitreJoint, settings: Settings) -> Cut | None:
    """Cut both ends of one corner, and a spline's slots if the joint has one; None if the ends do not meet.

    The members may overlap in the corner, meet in it with their centre lines, or touch: their lengths follow.

    Raises:
        JointError: if they share space without meeting in a corner, or the spline does not fit.
        FormulaError: if a setting makes no sense.
    """
    strip = strip_sizes(joint.spline, joint.fit, settings) if joint.spline else None
    mitre = find_mitre(first, second)
    if mitre is None:
        return None
    ways = (mitre.normal, neg(mitre.normal))
    for blank, mate, end, way in zip((first, second), (second, first), mitre.ends, ways, strict=True):
        recut(blank, end, end_plane(blank, mitre, way, f"mitre with {mate.record.name}"))
    patch = touching(first, second, {})
    if patch is None or dot(patch.direction, mitre.normal) < 1 - _TINY:
        raise JointError("their mitred ends do not meet; they lie at different heights")
    place = JointPlace(joint.name, "mitre", first.id, second.id, patch.direction, patch.outline, joint.glue)
    if strip is None:
        return Cut(place)
    return fit_spline(first, second, joint, mitre, strip, place)
