"""The keys of finger joints, dovetails, mitres and edge glue-ups."""

from __future__ import annotations

import pytest

from planpress.description.records import DovetailJoint, EdgeJoint, FingerJoint, MitreJoint
from tests.description.plans import SMALL, marked, read, told


def test_records_of_corner_joints() -> None:
    plan = read(
        SMALL
        + """\
  comb: {kind: finger joint, between: [slat, leg], fingers: 7, fit: 0.1 mm, glue: true}
  tails: {kind: dovetail, tails: slat, pins: leg, count: 3, slope: 7, pin: 1/4 in}
  frame: {kind: mitre, between: [slat, leg], fit: 0.1 mm,
          spline: {material: stick, thickness: 1/8 in, depth: 1/4 in, room: {imperial: 1/32 in, metric: 1 mm}}}
  bare: {kind: mitre, between: [leg, leg], glue: true}
  panel: {kind: edge glue-up, between: [slat, slat], tongue: {material: stick, depth: thick / 2}, glue: true}
"""
    )
    _, comb, tails, frame, bare, panel = plan.joints
    assert isinstance(comb, FingerJoint)
    assert comb.fingers is not None
    assert (comb.fingers.text, comb.glue, [n.text for n in comb.between]) == ("7", True, ["slat", "leg"])
    assert isinstance(tails, DovetailJoint)
    assert ([n.text for n in tails.between], tails.glue, tails.fit) == (["slat", "leg"], False, None)
    assert (tails.count and tails.count.text, tails.slope and tails.slope.text) == ("3", "7")
    assert isinstance(frame, MitreJoint)
    assert frame.spline is not None
    assert frame.spline.material.text == "stick"
    assert frame.spline.thickness is not None
    assert frame.spline.room is not None
    assert (frame.spline.thickness.text, frame.spline.room.metric.text) == ("1/8 in", "1 mm")
    assert isinstance(bare, MitreJoint)
    assert bare.spline is None
    assert isinstance(panel, EdgeJoint)
    assert panel.tongue is not None
    assert (panel.tongue.thickness, panel.tongue.depth.text, panel.tongue.room) == (None, "thick / 2", None)


@pytest.mark.parametrize(
    ("joint", "expected"),
    [
        ("{kind: finger joint, between: [slat, leg], fingers: ^3 in}", "'3 in' is a length"),
        ("{kind: finger joint, between: [slat, ^slat]}", "joint 'x' (finger joint) names 'slat' twice"),
        ("{kind: dovetail, tails: slat}", "28:3 the key 'pins' is missing in joint 'x' (dovetail)"),
        ("{kind: dovetail, tails: slat, pins: leg, slope: ^1/8 in}", "'1/8 in' is a length"),
        ("{kind: dovetail, tails: slat, pins: leg, pin: ^3}", "'3' is a count"),
        ("{kind: mitre, between: [slat, leg], spline: {depth: 1/4 in}}",
         "the key 'material' is missing in 'spline' of joint 'x' (mitre)"),
        ("{kind: mitre, between: [slat, leg], spline: {material: ^ply, depth: 1/4 in}}", "unknown material 'ply'"),
        ("{kind: mitre, between: [slat, leg], spline: {material: stick, depth: 1/4 in, ^width: 1 in}}",
         "unknown key 'width' in 'spline' of joint 'x' (mitre)"),
        ("{kind: edge glue-up, between: [slat, leg], ^spline: {material: stick, depth: 1/4 in}}",
         "unknown key 'spline' in joint 'x' (edge glue-up)"),
        ("{kind: edge glue-up, between: [slat, leg], tongue: {material: stick}}",
         "the key 'depth' is missing in 'tongue' of joint 'x' (edge glue-up)"),
    ],
)  # fmt: skip
def test_one_fault_of_a_corner_joint(joint: str, expected: str) -> None:
    text, expected = marked(f"{SMALL}  x: {joint}\n", expected)
    assert len(told(text)) == 1
    assert expected in told(text)[0]
