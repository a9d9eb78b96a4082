"""Bridle joints at a corner and in a T: volumes and glue faces by hand arithmetic."""

from __future__ import annotations

import math

import pytest

from planpress.base.diagnostics import PlanFaults
from planpress.model.records import Side
from tests.model.framing import PLACES, bridled, contact, cuts, leaning_line, metric, part_named, sound, volume

STILE = 21 * 60 * 400
RAIL = 21 * 60 * 300


@pytest.mark.parametrize("fit", [0, 0.2])
def test_corner(fit: float) -> None:
    plan = metric(bridled(PLACES["corner"], f", fit: {fit} mm"))
    solids = sound(plan)
    assert volume(solids, plan, "rail") == pytest.approx(RAIL - 2 * 7 * 60 * 60)
    assert volume(solids, plan, "stile") == pytest.approx(STILE - (7 + fit) * 60 * 60)
    (slot,) = cuts(part_named(plan, "stile"), "slot")
    assert (slot.side.axis, slot.depth, slot.open_end) == (1, 60, Side.FAR_END)
    shoulders_and_floor = 3 * 7 * 60 - fit * 60
    assert contact(solids, "rail", "stile") == pytest.approx(shoulders_and_floor + (0 if fit else 2 * 60 * 60))


@pytest.mark.parametrize(("place", "high"), [("runs on", 60), ("ends inside", 50), ("at the foot", 50)])
def test_in_a_t(place: str, high: int) -> None:
    """The rail runs on over the stile's end, which straddles it over 60 or 50 mm of its width."""
    plan = metric(bridled(PLACES[place]))
    solids = sound(plan)
    assert volume(solids, plan, "rail") == pytest.approx(RAIL - 2 * 7 * 60 * high)
    assert volume(solids, plan, "stile") == pytest.approx(STILE - 7 * 60 * high)
    laps = cuts(part_named(plan, "rail"), "lap")
    assert [(n.side, n.depth, n.width, n.span) for n in laps] == [
        (Side.BACK, 7, 60, (100, 160)),
        (Side.FACE, 7, 60, (100, 160)),
    ]
    glued = 2 * 60 * high + 7 * 60 + 4 * 7 * high  # both cheeks, the slot's floor, both walls of both notches
    if high < 60:
        glued += 2 * 7 * 60  # and the notches' closed ends
    assert contact(solids, "rail", "stile") == pytest.approx(glued)
    (joint,) = plan.joints
    assert joint.direction == ((0, 0, -1) if place != "at the foot" else (0, 0, 1))


@pytest.mark.parametrize("degrees", [5, 12, 20])
def test_skewed_in_a_t(degrees: int) -> None:
    """The stile's end stands beyond the rail: it covers a parallelogram of 60 x 60 mm / cos."""
    rise = 180 * math.tan(math.radians(degrees))  # from where the rail begins to the middle of the stile
    plan = metric(bridled(leaning_line(-150, 340 - rise, degrees, 400), length=""))
    solids = sound(plan)
    covered = 60 * 60 / math.cos(math.radians(degrees))
    assert volume(solids, plan, "rail") == pytest.approx(21 * 60 * 400 - 2 * 7 * covered, abs=0.1)
    lap = cuts(part_named(plan, "rail"), "lap")[0]
    assert lap.skew == pytest.approx(degrees, abs=1e-4)
    inner = 340 - 30 / math.cos(math.radians(degrees))  # the rail's inner edge on the stile's middle line
    assert volume(solids, plan, "stile") == pytest.approx(STILE - 7 * 60 * (400 - inner), abs=0.1)


@pytest.mark.parametrize("degrees", [5, 12, -8])
def test_skewed_corner(degrees: int) -> None:
    """The rail falls or rises to the stile and goes through it; the slot is open above."""
    turned = math.radians(degrees)
    plan = metric(bridled(leaning_line(-12, 340 - 12 * math.tan(turned), degrees, 400), length=""))
    solids = sound(plan)
    taken = 2 * 7 * 60 * (60 + 12) / math.cos(turned)  # the end stands 12 mm beyond the stile, measured level
    assert volume(solids, plan, "rail") == pytest.approx(21 * 60 * 400 - taken, abs=0.1)
    assert len(cuts(part_named(plan, "stile"), "slot")) == 1


def test_a_rail_that_lies_flat_has_no_tongue_for_the_slot() -> None:
    flat = "{corner: [0 mm, 0 mm, 370 mm], length: +x, width: +y}"
    with pytest.raises(PlanFaults, match="do not lie in one plane"):
        metric(bridled(flat))


@pytest.mark.parametrize(
    ("place", "settings", "message"),
    [
        ("in the middle", "", "no end of 'stile' lies in 'rail', so its slot cannot be open at the end"),
        ("too short", "", "the tongue of 'rail' ends 10 mm before the far side of 'stile'"),
        ("corner", ", thickness: 21 mm", "'stile' has no wood on both sides of a tongue 21 mm thick"),
        ("corner", ", thickness: 30 mm", "a tenon 30 mm thick, set off by 0 mm, leaves 'rail'"),
    ],
)
def test_what_cannot_be_cut_is_told(place: str, settings: str, message: str) -> None:
    with pytest.raises(PlanFaults, match=message):
        metric(bridled(PLACES[place], settings))
