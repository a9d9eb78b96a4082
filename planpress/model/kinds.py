"""Which function cuts which kind of joint."""

from __future__ import annotations

from fractions import Fraction

from planpress.description import records as described
from planpress.model.blanks import Blank
from planpress.model.bridles import cut_bridle
from planpress.model.cutting import Cut, Settings
from planpress.model.dovetails import cut_dovetails
from planpress.model.edges import join_edges
from planpress.model.fingers import cut_fingers
from planpress.model.housings import cut_housed
from planpress.model.laps import cut_lap
from planpress.model.mitres import cut_mitre
from planpress.model.placing import positive
from planpress.model.tenons import cut_tenon


def kind_of(joint: described.Joint) -> str:
    """The kind as the maker writes it."""
    if isinstance(joint, (described.LapJoint, described.HousedJoint, described.TenonJoint)):
        return joint.kind
    return {
        described.FingerJoint: "finger joint",
        described.DovetailJoint: "dovetail",
        described.MitreJoint: "mitre",
        described.EdgeJoint: "edge glue-up",
        described.ButtJoint: "butt",
        described.DowelJoint: "dowel",
        described.ScrewJoint: "screw",
    }[type(joint)]


def cut_joint(first: Blank, second: Blank, joint: described.ShapedJoint, settings: Settings) -> Cut | None:
    """Cut the features of one pair into both blanks; None if the pair does not meet.

    Raises:
        JointError: if the pair meets in a way the joint cannot be cut for.
        FormulaError: if a setting of the joint has no sense.
    """
    if isinstance(joint, described.LapJoint):
        return _lap(first, second, joint, settings)
    if isinstance(joint, described.HousedJoint):
        return cut_housed(first, second, joint, settings)
    if isinstance(joint, described.FingerJoint):
        return cut_fingers(first, second, joint, settings)
    if isinstance(joint, described.DovetailJoint):
        return cut_dovetails(first, second, joint, settings)
    if isinstance(joint, described.TenonJoint):
        return (cut_bridle if joint.kind == "bridle" else cut_tenon)(first, second, joint, settings)
    if isinstance(joint, described.MitreJoint):
        return cut_mitre(first, second, joint, settings)
    if isinstance(joint, described.EdgeJoint):
        return join_edges(first, second, joint, settings)
    raise NotImplementedError(kind_of(joint))


def _lap(first: Blank, second: Blank, joint: described.LapJoint, settings: Settings) -> Cut | None:
    depth = positive(joint.depth, settings.names) if joint.depth else None
    place = cut_lap(first, second, joint, depth, settings.length(joint.fit, Fraction(0)))
    return None if place is None else Cut(place)
