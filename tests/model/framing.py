"""Small plans of two members for the tests of tenons and bridles: a rail in a leg, a leg in a seat, a frame corner."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping

from planpress.base.diagnostics import Severity
from planpress.base.printing import Units
from planpress.checks import check_plan
from planpress.geometry.solids import contact_area, overlap_volume
from planpress.model.records import Notch, Part, SolvedPlan
from planpress.model.solids import Solids
from tests.plans import small_plan


def mm(value: float) -> str:
    """A length for a description, to a millionth of a millimetre."""
    text = f"{abs(round(value * 10**6))}/1000000 * 1 mm"
    return f"-({text})" if value < 0 else text


def metric(body: str) -> SolvedPlan:
    """The metric edition of a small plan."""
    return small_plan(body, Units.METRIC)


def sound(plan: SolvedPlan) -> Solids:
    """The plan's solids: none shares space with another, and no rule calls it an error."""
    solids = Solids(plan)
    for a, b in itertools.combinations(plan.pieces, 2):
        assert overlap_volume(solids.piece(a), solids.piece(b)) < 1e-6, (a, b)
    assert [d for d in check_plan(plan, solids) if d.severity is Severity.ERROR] == []
    for part in plan.parts:
        assert len(solids.part(part.letter).parts()) == 1, part.label
    return solids


def contact(solids: Solids, a: str, b: str) -> float:
    """Area (mm2) over which two pieces touch."""
    return contact_area(solids.piece(a), solids.piece(b))


def part_named(plan: SolvedPlan, name: str) -> Part:
    """The one part of a name."""
    (part,) = (p for p in plan.parts if p.name == name)
    return part


def cuts(part: Part, role: str) -> list[Notch]:
    """The part's cuts of one role."""
    return [n for n in part.notches if n.role == role]


def volume(solids: Solids, plan: SolvedPlan, name: str) -> float:
    """Volume (mm3) of the one part of a name."""
    return solids.part(part_named(plan, name).letter).volume


RAIL_AND_LEG = """
materials:
  rail_stock: {form: board, species: white oak, thickness: 21 mm, width: 60 mm}
  leg_stock: {form: board, species: white oak, thickness: 45 mm, width: 45 mm}
parts:
  leg: {material: leg_stock, length: 400 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +z, width: +x}}
"""


def rail_in_leg(settings: str = "", reach: float = 30, level: float = 300, length: float = 300) -> str:
    """A rail 21 x 60 mm that comes from the right and reaches into a leg 45 x 45 x 400 mm."""
    return (
        RAIL_AND_LEG
        + f"""
  rail:
    material: rail_stock
    length: {mm(length)}
    place: {{corner: [{mm(45 - reach)}, 12 mm, {mm(level)}], length: +x, width: +z}}
joints:
  tenons: {{kind: mortise and tenon, tenon: rail, mortise: leg, glue: true{settings}}}
"""
    )


def leaning_rail(degrees: float, settings: str = "", reach: float = 30) -> str:
    """The same rail, falling towards the leg; the middle of its end lies `reach` mm beneath the leg's side."""
    run, rise = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    start = (45 - reach * run, 250 - reach * rise)
    end = (start[0] + 300 * run, start[1] + 300 * rise)
    return (
        RAIL_AND_LEG
        + f"""
  rail:
    material: rail_stock
    place:
      from: [{mm(start[0])}, 22.5 mm, {mm(start[1])}]
      to: [{mm(end[0])}, 22.5 mm, {mm(end[1])}]
      width: +z
joints:
  tenons: {{kind: mortise and tenon, tenon: rail, mortise: leg, glue: true{settings}}}
"""
    )


def leg_in_seat(splay: float, rake: float, settings: str = "", trim: str = "top", tip: float = 436) -> str:
    """A leg 44 x 44 mm, splayed and raked (degrees), from the floor into a seat 36 mm thick at z = 400 mm."""
    dx, dy = (math.tan(math.radians(angle)) * tip for angle in (splay, rake))
    end = f", end: {trim}" if trim else ""
    return f"""
planes: {{floor: z = 0 mm, top: z = 436 mm, proud: z = 446 mm, inside: z = 425 mm}}
materials:
  seat_stock: {{form: board, species: white oak, thickness: 36 mm, width: 280 mm}}
  leg_stock: {{form: board, species: white oak, thickness: 44 mm, width: 44 mm}}
parts:
  seat: {{material: seat_stock, length: 500 mm, place: {{corner: [-250 mm, -140 mm, 400 mm], length: +x, width: +y}}}}
  leg:
    material: leg_stock
    place: {{from: [{mm(100 + dx)}, {mm(60 + dy)}, 0 mm], to: [100 mm, 60 mm, {mm(tip)}], width: +y}}
    trim: {{start: floor{end}}}
joints:
  tenons: {{kind: mortise and tenon, tenon: leg, mortise: seat, glue: true{settings}}}
"""


PLACES: Mapping[str, str] = {
    "corner": "{corner: [0 mm, 0 mm, 340 mm], length: +x, width: +z}",
    "runs on": "{corner: [-100 mm, 0 mm, 340 mm], length: +x, width: +z}",
    "ends inside": "{corner: [-100 mm, 0 mm, 350 mm], length: +x, width: +z}",
    "at the foot": "{corner: [-100 mm, 0 mm, -10 mm], length: +x, width: +z}",
    "in the middle": "{corner: [-100 mm, 0 mm, 200 mm], length: +x, width: +z}",
    "too short": "{corner: [10 mm, 0 mm, 340 mm], length: +x, width: +z}",
}


def bridled(place: str, settings: str = "", length: str = "length: 300 mm, ") -> str:
    """A rail (tongue) and a stile (open slot) of 21 x 60 mm; the stile is 400 mm high."""
    return f"""
materials:
  stock: {{form: board, species: white oak, thickness: 21 mm, width: 60 mm}}
parts:
  stile: {{material: stock, length: 400 mm, place: {{corner: [0 mm, 0 mm, 0 mm], length: +z, width: +x}}}}
  rail: {{material: stock, {length}place: {place}}}
joints:
  bridle: {{kind: bridle, tenon: rail, mortise: stile, glue: true{settings}}}
"""


def leaning_line(x: float, z: float, degrees: float, length: float) -> str:
    """A place for the rail of `bridled`: a middle line in the stile's plane."""
    dx, dz = (length * f(math.radians(degrees)) for f in (math.cos, math.sin))
    return f"{{from: [{mm(x)}, 10.5 mm, {mm(z)}], to: [{mm(x + dx)}, 10.5 mm, {mm(z + dz)}], width: +z}}"
