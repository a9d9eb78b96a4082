"""The rules on tenons: each is silent on a sound joint and reports a planted fault."""

from __future__ import annotations

import pytest

from planpress.base.diagnostics import Diagnostic, Severity
from planpress.checks import Checking, tenons
from planpress.checks.checking import Rule
from planpress.model.solids import Solids
from tests.model.framing import PLACES, bridled, leg_in_seat, metric, rail_in_leg

ALL: list[Rule] = [
    tenons.tenon_thickness,
    tenons.mortise_walls,
    tenons.tenon_width,
    tenons.tenon_length,
    tenons.mortise_ends,
    tenons.haunches,
    tenons.wedge_strips,
    tenons.cutters,
    tenons.glue_gaps,
]
BIT = ", cutter: {imperial: 1/4 in, metric: 7 mm}"


def found(rule: Rule, body: str) -> list[Diagnostic]:
    """What one rule says of a plan."""
    plan = metric(body)
    return list(rule(Checking(plan, Solids(plan))))


@pytest.mark.parametrize("rule", ALL)
@pytest.mark.parametrize(
    "body",
    [
        rail_in_leg(f", width: 42 mm, fit: 0.1 mm{BIT}"),
        rail_in_leg(", haunch: 8 mm, haunch_width: 20 mm", level=340),
        rail_in_leg(", thickness: 10 mm, width: 50 mm, wedges: 2", reach=45),
        rail_in_leg(", tenons: 2", reach=26),
        rail_in_leg(", thickness: 21 mm", level=200),
        leg_in_seat(6, 8, ", width: 40 mm, wedges: 1"),
        bridled(PLACES["corner"]),
        bridled(PLACES["runs on"], ", fit: 0.1 mm"),
    ],
)
def test_sound_joints_are_passed(rule: Rule, body: str) -> None:
    assert found(rule, body) == []


@pytest.mark.parametrize(
    ("rule", "body", "code", "words"),
    [
        (tenons.tenon_thickness, rail_in_leg(", thickness: 5 mm"), "P110", "5 thick, 23.8 % of its thickness"),
        (tenons.tenon_thickness, rail_in_leg(", thickness: 12 mm"), "P110", "57.1 %"),
        (tenons.tenon_thickness, bridled(PLACES["corner"], ", thickness: 4 mm"), "P110", "4 thick"),
        (tenons.mortise_walls, rail_in_leg(", width: 42 mm", reach=40), "P111", "3.5 of wood is left under"),
        (
            tenons.mortise_walls,
            rail_in_leg(", width: 42 mm").replace("12 mm,", "-3 mm,"),
            "P111",
            "4 of wood is left beside",
        ),
        (tenons.tenon_width, rail_in_leg(), "P112", "60 wide"),
        (tenons.tenon_length, rail_in_leg(reach=20), "P113", "only 21.5 deep"),
        (tenons.mortise_ends, rail_in_leg(level=335), "P114", "only 5 of wood is left"),
        (tenons.mortise_ends, rail_in_leg(level=340), "P114", "is open at the end"),
        (tenons.haunches, rail_in_leg(", haunch: 8 mm, haunch_width: 32 mm", level=335), "P115", "32 wide"),
        (tenons.wedge_strips, rail_in_leg(", width: 12 mm, wedges: 2", reach=45), "P116", "beside a wedge"),
        (tenons.cutters, rail_in_leg(f", thickness: 6.5 mm{BIT}"), "P117", "a bit of 7 cannot cut"),
        (tenons.glue_gaps, rail_in_leg(", fit: 0.3 mm"), "P118", "a fit of 0.3 mm"),
        (tenons.glue_gaps, bridled(PLACES["corner"], ", fit: 0.4 mm"), "P118", "a fit of 0.4 mm"),
    ],
)
def test_planted_faults_are_found(rule: Rule, body: str, code: str, words: str) -> None:
    (item,) = found(rule, body)
    assert item.code == code
    assert words in item.message
    assert item.place is not None
    severity = {"P117": Severity.ERROR, "P113": Severity.NOTE}.get(code, Severity.WARNING)
    assert item.severity is severity
