"""Where notches stand on the printed templates: on which edge, leaning which way, how far from the reference end.

`outlines.py` measures each notch by itself, so that a template turned over, or moved along the part, would pass there.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from attrs import frozen

from planpress.base.printing import Units
from planpress.model.records import Notch, Part, Side, SolvedPlan
from tests.app.builds import EDITIONS, built
from tests.app.outlines import Segment, _template_segments
from tests.plans import solved_stand

CLOSE = 0.05  # mm; P67 of what the trade needs: templates true within it
Settings = tuple[tuple[str, str], ...]


@frozen
class Shoulder:
    """A line to cut on: its ends from the left border of the template (mm), and how far the right end is higher."""

    left: float
    right: float
    rise: float


def shoulder(notch: Notch, part: Part) -> Shoulder:
    """Where a notch's shoulder must be, from the part's own axes.

    On the reference face u runs along the length and v to its left when u points up, seen from outside (u, v and the
    way towards the viewer are right-handed). So v = 0, the lower edge, is the right border.
    """
    width = float(part.width)
    if notch.side.axis == 1:  # across an edge: seen in profile, as deep as it is
        depth = float(notch.depth)
        return Shoulder(0.0, depth, 0.0) if notch.side is Side.UPPER else Shoulder(width - depth, width, 0.0)
    assert notch.side is Side.FACE
    at_right, at_left = (notch.shoulders(second)[0] for second in (notch.across[0], notch.across[1]))
    return Shoulder(0.0, width, float(at_right - at_left))


def left_border(segments: list[Segment], part: Part) -> float:
    """x of the left of the two upright lines that lie as far apart as the part is wide."""
    upright = sorted({x1 for x1, y1, x2, y2 in segments if abs(x2 - x1) < 1e-6 and abs(y2 - y1) > 4})
    pairs = [a for a in upright for b in upright if abs(b - a - float(part.width)) < CLOSE]
    assert pairs, (part.letter, upright)
    return min(pairs)


def levels(segments: list[Segment], wanted: Shoulder, left: float) -> list[float]:
    """y at the left end of every drawn line that is such a shoulder, from the bottom up."""
    return sorted(
        y1
        for x1, y1, x2, y2 in segments
        if max(abs(x1 - left - wanted.left), abs(x2 - left - wanted.right), abs(y2 - y1 - wanted.rise)) < CLOSE
    )


def from_reference_end(segments: list[Segment], notch: Notch, part: Part, left: float) -> list[float]:
    """Lengths of unbroken edge from the line of the reference end to a shoulder of the notch."""
    edge = left if notch.side is Side.UPPER else left + float(part.width)
    ends = levels(segments, Shoulder(0.0, float(part.width), 0.0), left)
    shoulders = levels(segments, shoulder(notch, part), left)
    return [
        abs(y2 - y1)
        for x1, y1, x2, y2 in segments
        if max(abs(x1 - edge), abs(x2 - edge)) < CLOSE
        and any(abs(min(y1, y2) - y) < CLOSE for y in ends[:1])
        and any(abs(max(y1, y2) - y) < CLOSE for y in shoulders)
    ]


def drawn_notches(pages: list[list[Segment]], notch: Notch, part: Part) -> int:
    """How many pairs of shoulders like this notch's are drawn, one notch width apart along the part."""
    near, far = notch.shoulders(notch.across[0])
    count = 0
    for segments in pages:
        found = levels(segments, shoulder(notch, part), left_border(segments, part))
        count += sum(any(abs(high - low - float(far - near)) < CLOSE for high in found) for low in found)
    return count


def model_and_pages(
    units: str, paper: str, settings: Settings
) -> tuple[SolvedPlan, list[tuple[Part, list[list[Segment]]]]]:
    """The model of an edition, and each notched part with what its template pages draw."""
    plan = solved_stand(Units(units), "", **dict(settings))
    pdf: Path = built(units, paper, settings).plan_set
    return plan, [(part, list(_template_segments(pdf, part))) for part in plan.parts if part.notches]


@pytest.mark.parametrize(("units", "paper", "settings"), EDITIONS)
def test_every_notch_is_drawn_on_its_edge_and_leans_its_way(units: str, paper: str, settings: Settings) -> None:
    plan, templates = model_and_pages(units, paper, settings)
    assert [part.letter for part, _ in templates] == ["A", "B", "C", "D"]
    assert {shoulder(part.notches[0], part).rise > 0 for part in plan.parts if "Leg" in part.label} == {True, False}
    for part, pages in templates:
        closed = [notch for notch in part.notches if notch.open_end is None]
        alike = {(n.side, n.depth, n.width, n.skew): n for n in closed}
        for key, notch in alike.items():
            wanted = sum((n.side, n.depth, n.width, n.skew) == key for n in closed)
            assert drawn_notches(pages, notch, part) >= wanted, (part.letter, key)


@pytest.mark.parametrize(("units", "paper", "settings"), EDITIONS)
def test_the_first_notch_of_a_bearer_is_as_far_from_the_reference_end_as_in_the_model(
    units: str, paper: str, settings: Settings
) -> None:
    """The one part whose first notch is so near the end that the wood between is drawn unbroken."""
    _, templates = model_and_pages(units, paper, settings)
    ((part, pages),) = [(part, pages) for part, pages in templates if part.label == "Bearer"]
    first = part.notches[0]
    drawn = from_reference_end(pages[0], first, part, left_border(pages[0], part))
    assert len(drawn) == 1, drawn
    assert drawn[0] == pytest.approx(float(first.span[0]), abs=CLOSE)
