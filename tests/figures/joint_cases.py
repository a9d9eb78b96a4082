"""Small plans with one joint each, of every kind, for the tests of joint details."""

from __future__ import annotations

import functools

from planpress.base.edition import Edition
from planpress.base.printing import Units
from planpress.figures.joint_details import JointDetail, joint_details
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from planpress.writers.pdf.fonts import Metrics
from tests.plans import small_plan

STOCK = """
materials:
  board: {form: board, species: white oak, thickness: 18 mm, width: 200 mm}
  post_stock: {form: board, species: white oak, thickness: 45 mm, width: 45 mm}
  ply: {form: sheet, species: birch plywood, thickness: 6 mm}
"""


def _rail(joint: str, x: str = "-30 mm", z: str = "200 mm") -> str:
    """A post, and a rail whose end reaches into it."""
    return f"""{STOCK}
parts:
  post:
    material: post_stock
    length: 400 mm
    place: {{corner: [-45 mm, 0 mm, 0 mm], length: +z, width: +x}}
  rail:
    material: board
    thickness: 21 mm
    width: 70 mm
    length: 330 mm
    place: {{corner: [{x}, 12 mm, {z}], length: +x, width: +z}}
joints:
  joint: {joint}
"""


def _shelf(joint: str, start: str = "12 mm", z: str = "150 mm") -> str:
    """An upright, and a shelf that begins at x = `start`; the upright's face is at 18 mm."""
    return f"""{STOCK}
parts:
  side:
    material: board
    length: 400 mm
    place: {{corner: [0 mm, 0 mm, 0 mm], length: +z, width: +y}}
  shelf:
    material: board
    length: 300 mm
    place: {{corner: [{start}, 0 mm, {z}], length: +x, width: +y}}
joints:
  joint: {joint}
"""


def _corner(joint: str) -> str:
    """Two boards on edge that fill a corner."""
    return f"""{STOCK}
parts:
  front:
    material: board
    width: 100 mm
    length: 240 mm
    place: {{corner: [0 mm, 0 mm, 0 mm], length: +x, width: +z}}
  left:
    material: board
    width: 100 mm
    length: 160 mm
    place: {{corner: [0 mm, 0 mm, 0 mm], length: +y, width: +z}}
joints:
  joint: {joint}
"""


_EDGES = f"""{STOCK}
parts:
  front: {{material: board, width: 100 mm, length: 300 mm,
          place: {{corner: [0 mm, 0 mm, 0 mm], length: +x, width: +y}}}}
  back: {{material: board, width: 100 mm, length: 260 mm,
         place: {{corner: [0 mm, 100 mm, 0 mm], length: +x, width: +y}}}}
joints:
  joint: {{kind: edge glue-up, between: [front, back], tongue: {{material: ply, thickness: 6 mm, depth: 8 mm}},
          glue: true}}
"""

_TENON = "kind: mortise and tenon, tenon: rail, mortise: post, glue: true"
_DOWELS = "diameter: 8 mm, depth: 12 mm, depth_first: 20 mm, count: 2, glue: true"
BODIES = {
    "blind tenon": _rail(f"{{{_TENON}, room: {{imperial: 2 mm, metric: 2 mm}}, fit: 0.2 mm}}"),
    "round-ended tenon": _rail(f"{{{_TENON}, width: 50 mm, cutter: {{imperial: 8 mm, metric: 8 mm}}}}"),
    "wedged tenon": _rail(f"{{{_TENON}, wedges: 2, width: 40 mm}}", x="-45 mm"),
    "haunched tenon": _rail(f"{{{_TENON}, haunch: 12 mm, haunch_width: 20 mm}}", z="330 mm"),
    "bridle": _rail("{kind: bridle, tenon: rail, mortise: post, glue: true}", x="-45 mm", z="330 mm"),
    "housing": _shelf("{kind: housing, let_in: shelf, into: side, glue: true}"),
    "stopped housing": _shelf("{kind: housing, let_in: shelf, into: side, stop: {-y: 15 mm}, glue: true}"),
    "rabbet": _shelf("{kind: rabbet, let_in: shelf, into: side, glue: true}", z="382 mm"),
    "butt": _shelf("{kind: butt, between: [shelf, side]}", start="18 mm"),
    "dowels": _shelf(f"{{kind: dowel, between: [shelf, side], {_DOWELS}}}", start="18 mm"),
    "finger joint": _corner("{kind: finger joint, between: [front, left], fingers: 5, glue: true}"),
    "dovetail": _corner("{kind: dovetail, tails: front, pins: left, count: 3, glue: true}"),
    "mitre": _corner(
        "{kind: mitre, between: [front, left], spline: {material: ply, thickness: 4 mm, depth: 10 mm}, glue: true}"
    ),
    "edge glue-up": _EDGES,
}


@functools.cache
def joint_plan(name: str) -> SolvedPlan:
    """The plan of one case."""
    return small_plan(BODIES[name], Units.METRIC)


@functools.cache
def details(name: str) -> tuple[JointDetail, ...]:
    """All details of one case."""
    plan = joint_plan(name)
    return joint_details(plan, Solids(plan), Edition(Units.METRIC, "a4"), Metrics())
