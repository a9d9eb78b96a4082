"""Floor 4: rules a solved plan must keep. Codes P1, P2 ... number the rules; DEVELOPERS.md lists them."""

from __future__ import annotations

from typing import Final

from planpress.base.diagnostics import Diagnostic, in_order
from planpress.checks import corners, fastening, insertion, notches, sizes, solidity, tenons, work_order
from planpress.checks.checking import Checking, Rule
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids

RULES: Final[tuple[Rule, ...]] = (
    work_order.counts,
    work_order.order,
    fastening.holes,
    notches.widths,
    notches.depths,
    notches.floors,
    solidity.overlaps,
    solidity.touching,
    insertion.ways_in,
    notches.short_grain,
    notches.walls,
    solidity.overall,
    sizes.even_gaps,
    sizes.mass,
    sizes.short_parts,
    notches.weakened,
    sizes.wide_boards,
    sizes.held_across,
    fastening.inside,
    fastening.thread,
    fastening.grain,
    sizes.openings,
    tenons.tenon_thickness,
    tenons.mortise_walls,
    tenons.tenon_width,
    tenons.tenon_length,
    tenons.mortise_ends,
    tenons.haunches,
    tenons.wedge_strips,
    tenons.cutters,
    tenons.glue_gaps,
    corners.fingers,
    corners.dovetail_slopes,
    corners.thin_pins,
    corners.dovetails_in_sheets,
    corners.spline_thickness,
    corners.spline_walls,
    corners.shallow_strips,
    corners.bare_mitres,
    corners.wide_strips,
)


def check_plan(plan: SolvedPlan, solids: Solids) -> list[Diagnostic]:
    """Everything that breaks a rule, by place in the description; empty if there is nothing to say."""
    checking = Checking(plan, solids)
    return in_order(item for rule in RULES for item in rule(checking))


__all__ = ["RULES", "Checking", "check_plan"]
