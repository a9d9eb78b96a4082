"""Ways in which pieces come to their places: the demo, a woven frame that nobody can put together, blind dowels."""

from __future__ import annotations

from planpress.base.diagnostics import Severity
from planpress.checks import check_plan
from planpress.geometry.vectors import Vec, X, Z, floats, neg
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from planpress.work.insertion import Arrival, Sliding, arrivals
from tests.plans import small_plan, solved_stand, stand_solids

STICK = """
materials:
  stick: {form: board, species: white oak, thickness: 20 mm, width: 40 mm}
parts:
"""


def bar(name: str, x: int, y: int, length: str) -> str:
    return f"""
  {name}:
    material: stick
    length: 300 mm
    place: {{corner: [{x} mm, {y} mm, 0 mm], length: {length}, width: +z}}
"""


def woven(last: str) -> SolvedPlan:
    """Two bars over two others; each pair of names laps the first over the second."""
    bars = bar("a1", 0, 50, "+x") + bar("a2", 0, 150, "+x") + bar("b1", 50, 0, "+y") + bar("b2", 150, 0, "+y")
    pairs = ("a1, b1", "b2, a1", "a2, b2", last)
    joints = "".join(f"  w{i}: {{kind: cross lap, between: [{pair}], glue: true}}\n" for i, pair in enumerate(pairs))
    return small_plan(f"{STICK}{bars}\njoints:\n{joints}")


def order(plan: SolvedPlan) -> list[Arrival]:
    return arrivals(plan, Sliding(plan, Solids(plan)))


def test_woven_bars_cannot_be_put_together() -> None:
    plan = woven("b1, a2")
    stuck = [arrival for arrival in order(plan) if arrival.in_the_way]
    assert len(stuck) == 1
    faults = [d for d in check_plan(plan, Solids(plan)) if d.code == "P17"]
    assert [d.severity for d in faults] == [Severity.ERROR]
    for name in (*stuck[0].pieces, *stuck[0].in_the_way):
        assert f"'{name}'" in faults[0].message


def test_bars_that_are_not_woven_can_and_come_in_the_order_they_lie() -> None:
    plan = woven("a2, b1")
    found = order(plan)
    assert not any(arrival.in_the_way for arrival in found)
    place = {arrival.pieces[0]: i for i, arrival in enumerate(found)}
    # a1 lies over b1 and under b2, which lies under a2: each comes after what it lies on, or from below before
    assert all(arrival.ways[0] in (Z, neg(Z)) for arrival in found[1:])
    assert sorted(place) == ["a1", "a2", "b1", "b2"]
    assert not [d for d in check_plan(plan, Solids(plan)) if d.code == "P17"]


def test_the_stand_goes_together_and_fitted_parts_come_last_in_their_frame() -> None:
    plan = solved_stand()
    sliding = Sliding(plan, stand_solids())
    found = arrivals(plan, sliding)
    assert not any(arrival.in_the_way for arrival in found)
    frame = [arrival.pieces[0] for arrival in found if arrival.pieces[0].startswith("frame[0].")]
    assert frame[3] == "frame[0].spreader"
    whole = [len(arrival.pieces) for arrival in found[-3:]]
    assert whole == [12, 4, 4]  # top, then one frame after the other


def test_a_lap_closes_one_way_only() -> None:
    plan = solved_stand()
    ways = Sliding(plan, stand_solids()).ways(["top.slat[0]"], ["top.bearer[0]"])
    assert ways == [neg(Z)]


def test_blind_dowels_leave_one_way() -> None:
    plan = small_plan(
        f"""{STICK}{bar("post", 0, 0, "+y")}
  rail:
    material: stick
    length: 200 mm
    place: {{corner: [20 mm, 100 mm, 0 mm], length: +x, width: +z}}
joints:
  pegs:
    kind: dowel
    between: [rail, post]
    diameter: 6 mm
    depth_first: 25 mm
    depth: 12 mm
    count: 2
    glue: true
"""
    )
    sliding = Sliding(plan, Solids(plan))
    assert sliding.ways(["rail"], ["post"]) == [neg(X)]
    without: list[Vec] = Sliding(small_plan(_BUTT), Solids(small_plan(_BUTT))).ways(["rail"], ["post"])
    assert len(without) == 5, [floats(way) for way in without]


_BUTT = f"""{STICK}{bar("post", 0, 0, "+y")}
  rail:
    material: stick
    length: 200 mm
    place: {{corner: [20 mm, 100 mm, 0 mm], length: +x, width: +z}}
joints:
  plain: {{kind: butt, between: [rail, post], glue: true}}
"""


def test_a_table_with_rails_both_ways_is_built_from_two_ends() -> None:
    plan = small_plan(
        """
materials:
  post: {form: board, species: white oak, thickness: 60 mm, width: 60 mm}
  board: {form: board, species: white oak, thickness: 24 mm, width: 80 mm}
parts:
  leg:
    material: post
    length: 400 mm
    place: {corner: [x * 540 mm, y * 340 mm, 0 mm], length: +z, width: +x}
    repeat: {x: 2, y: 2}
  long_rail:
    material: board
    length: 520 mm
    place: {corner: [40 mm, 18 mm + y * 340 mm, 300 mm], length: +x, width: +z}
    repeat: {y: 2}
  short_rail:
    material: board
    length: 320 mm
    place: {corner: [18 mm + x * 540 mm, 40 mm, 200 mm], length: +y, width: +z}
    repeat: {x: 2}
joints:
  long: {kind: mortise and tenon, tenon: long_rail, mortise: leg, glue: true}
  short: {kind: mortise and tenon, tenon: short_rail, mortise: leg, glue: true}
"""
    )
    found = order(plan)
    assert not any(arrival.in_the_way for arrival in found)
    groups = [arrival for arrival in found if len(arrival.pieces) > 1]
    assert [len(group.pieces) for group in groups] == [3]
    assert {plan.pieces[name].name for name in groups[0].pieces} in ({"leg", "short_rail"}, {"leg", "long_rail"})
