"""Small plans of boards that meet in corners, and what their solids share."""

from __future__ import annotations

import itertools

from planpress.geometry.solids import Solid, overlap_volume
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from tests.plans import small_plan

STOCK = """
materials:
  board: {form: board, species: white oak, thickness: 18 mm, width: 100 mm}
  thin: {form: board, species: white oak, thickness: 12 mm, width: 100 mm}
  ply: {form: sheet, species: birch plywood, thickness: 4 mm}
"""


def corner_body(
    joint: str,
    *,
    width: str = "100 mm",
    second_width: str = "",
    thick: str = "18 mm",
    second_thick: str = "",
    turn: str = "0 deg about z",
    stock: str = STOCK,
) -> str:
    """Two upright boards that fill a corner: `front` along x (240 mm), `left` along y (160 mm), both from x = y = 0."""
    return (
        stock
        + f"""
parts:
  front:
    material: board
    thickness: {thick}
    width: {width}
    length: 240 mm
    place: {{corner: [0 mm, 0 mm, 0 mm], length: +x, width: +z}}
  left:
    material: board
    thickness: {second_thick or thick}
    width: {second_width or width}
    length: 160 mm
    place: {{corner: [0 mm, 0 mm, 0 mm], length: +y, width: +z}}
assemblies:
  box: {{parts: [front, left], place: [{{turn: {turn}}}]}}
joints:
  corner: {joint}
"""
    )


def corner_plan(joint: str, **sizes: str) -> SolvedPlan:
    """The plan of `corner_body`, solved."""
    return small_plan(corner_body(joint, **sizes))


def box_plan(joint: str, extra: str = "", stock: str = STOCK, parts: str = "") -> SolvedPlan:
    """A four-sided box, 240 x 160 mm outside, of upright boards placed outside to outside."""
    return small_plan(
        stock
        + f"""
parts:
  long:
    material: board
    length: 240 mm
    place: {{corner: [0 mm, at, 0 mm], length: +x, width: +z}}
    repeat: {{at: [0 mm, 142 mm]}}
  short:
    material: board
    length: 160 mm
    place: {{corner: [at, 0 mm, 0 mm], length: +y, width: +z}}
    repeat: {{at: [0 mm, 222 mm]}}
{parts}joints:
  corner: {joint}
{extra}"""
    )


def solids_without_overlap(plan: SolvedPlan, most: float = 1e-6) -> dict[str, Solid]:
    """The plan's pieces as solids, none of which shares space with another."""
    solids = Solids(plan)
    out = {name: solids.piece(name) for name in plan.pieces}
    for a, b in itertools.combinations(out, 2):
        assert overlap_volume(out[a], out[b]) < most, (a, b)
    return out
