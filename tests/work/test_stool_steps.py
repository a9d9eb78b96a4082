"""Words for a stool: wedges, tenons square to the seat, frames that meet, compound ends; sizes by hand arithmetic."""

from __future__ import annotations

import math
import re

import pytest

from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.base.printing import Units
from planpress.model.records import Side
from planpress.model.saw_settings import saw_setting
from planpress.model.tenon_sizes import squared_tenon, tenon_sizes
from planpress.work.steps import Step, plan_steps
from tests.model.framing import leg_in_seat, metric, part_named

#: Two frames of two legs each, splayed at two angles; a rail ties each frame, another the frames; then the seat.
STOOL = """
planes: {floor_plane: z = 0 mm, top: z = 300 mm}
materials:
  seat_stock: {form: board, species: white oak, thickness: 32 mm, width: 250 mm}
  leg_stock: {form: board, species: white oak, thickness: 40 mm, width: 40 mm}
  bar: {form: board, species: white oak, thickness: 20 mm, width: 50 mm}
parts:
  seat: {material: seat_stock, length: 400 mm, place: {corner: [-200 mm, -125 mm, 268 mm], length: +x, width: +y}}
  leg:
    material: leg_stock
    place:
      to: [140 mm, back * 80 mm, 300 mm]
      lean: {x: -8 deg, y: -back * 6 deg}
      rise: 300 mm
      width: +x
    trim: {start: floor_plane, end: top}
    repeat: {back: [-1, 1]}
  side:
    material: bar
    place: {from: [168 mm, -107 mm, 100 mm], to: [168 mm, 107 mm, 100 mm], width: +z}
  middle:
    material: bar
    place: {from: [-178 mm, 0 mm, 100 mm], to: [178 mm, 0 mm, 100 mm], width: +z}
assemblies:
  side_frame: {parts: [leg, side], place: [{}, {mirror: x}]}
joints:
  sides: {kind: mortise and tenon, tenon: side, mortise: leg, width: 38 mm, glue: true}
  ties: {kind: mortise and tenon, tenon: middle, mortise: side, width: 38 mm, glue: true}
  heads:
    kind: mortise and tenon
    tenon: leg
    mortise: seat
    axis: mortise
    thickness: 20 mm
    width: 26 mm
    wedges: 1
    glue: true
"""
PLAN = metric(STOOL)


def steps() -> list[Step]:
    return list(plan_steps(PLAN, Edition(Units.METRIC, "a4")))


def glued(title: str) -> list[str]:
    step = next(s for s in steps() if plain(s.title) == title)
    return [plain(a).replace("\u00a0", " ") for a in step.actions]


def test_frames_come_first_then_what_ties_them_then_the_seat() -> None:
    titles = [plain(s.title) for s in steps() if s.title.startswith("Glue")]
    assert titles == ["Glue the side frames", "Glue the middle to the side frames", "Glue the seat to the side frames"]


def test_frames_that_meet_are_told_in_the_order_they_come() -> None:
    lines = glued("Glue the middle to the side frames")
    begin = lines.index("Begin with one side frame.")
    come = next(i for i, line in enumerate(lines) if line.startswith("Bring in"))
    assert re.search(r"Bring in [A-Z] from the left\. Bring in the other side frame from the left\.", lines[come])
    assert begin < lines.index("Brush glue thinly on both faces that meet.") < come
    assert any(line.startswith("Set A on without glue until this has set") for line in lines)


def test_wedges_and_flare_are_told_with_their_sizes() -> None:
    """A kerf a quarter of 32 mm short of the shoulder: 24 mm. Thick end: 2 x 24 x tan 3 deg = 2.5; less the saw's 1.5
    it spreads the tenon by 1 mm, half to each end of the mortise."""
    lines = glued("Glue the seat to the side frames")
    thick = 2 * 24 * math.tan(math.radians(3))
    assert round(thick * 2) / 2 == 2.5
    assert lines[0].startswith(
        "Make four wedges of hard wood, grain along: ≈ 2.5 thick at the thick end, 20 wide, 24 long"
    )
    assert "back by ≈ 0.5 where the tenon comes out" in lines[1] or "back by 0.5 where the tenon comes out" in lines[1]
    assert any("tap a wedge into each tenon" in line for line in lines)
    step = next(s for s in steps() if plain(s.title) == "Glue the seat to the side frames")
    assert "hammer" in step.tools


def test_the_tenon_is_told_by_its_own_size_and_the_way_of_the_end() -> None:
    step = next(s for s in steps() if plain(s.title) == "Cut the joints of the legs")
    line = next(plain(a) for a in step.actions if "shoulders" in a)
    assert "20 by 26" in line
    assert "square to the shoulder, not along" in line


@pytest.mark.parametrize(("splay", "rake"), [(8, 0), (6, 8), (-6, 8), (9, -5)])
@pytest.mark.parametrize("twin", ["", ", tenons: 2"])
def test_sizes_of_a_tenon_that_leans_in_its_part(splay: int, rake: int, twin: str) -> None:
    plan = metric(leg_in_seat(splay, rake, f", width: 27 mm, thickness: 15 mm, axis: mortise{twin}"))
    leg = part_named(plan, "leg")
    found = squared_tenon(leg, "tenons", Side.FAR_END)
    assert found is not None
    assert tenon_sizes(leg, "tenons", Side.FAR_END) == (found.thickness, found.width)
    assert (float(found.thickness), float(found.width)) == pytest.approx((15, 27), abs=1e-6)
    assert float(found.length) == pytest.approx(36, abs=1e-6)
    # over 36 mm of height it shifts across the leg by 36 times the tangent of the leg's lean, all but the small turn
    for i, lean in ((0, rake), (1, splay)):
        middle = [sum(part[i]) / 2 for part in (found.tip, found.foot)]
        assert abs(float(middle[0] - middle[1])) == pytest.approx(
            36 * abs(math.tan(math.radians(lean))), rel=0.03, abs=0.1
        )


def test_the_longer_sides_of_a_compound_end_are_told_for_left_and_right() -> None:
    step = next(s for s in steps() if plain(s.title) == "Cut legs to length, ends at an angle")
    lines = [plain(a) for a in step.actions]
    said = [line for line in lines if line.startswith("Of ")]
    legs = [p for p in PLAN.parts if p.name == "leg"]
    assert len(legs) == len(said) == 2
    for leg, line in zip(legs, said, strict=True):
        setting = saw_setting(leg.ends[0])
        near = leg.ends[0]
        # the longer side is where the plane of the reference end lies at the smaller u
        at = {v: near.u_at(v, leg.thickness / 2) for v in (0 * leg.width, leg.width)}
        longer = Side.UPPER if at[leg.width] < at[0 * leg.width] else Side.LOWER
        assert setting.longer is longer
        word = "the reference edge" if longer is leg.reference_edge else "the edge opposite the reference edge"
        assert f"Of {leg.letter}, {word} and " in line
    assert said[0][5:] != said[1][5:]
