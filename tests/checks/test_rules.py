"""Every rule is shown to fail on a planted fault, and to be silent on the demo where it should be."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable
from fractions import Fraction

import pytest
from attrs import evolve

from planpress import checks
from planpress.base.diagnostics import Diagnostic, Severity
from planpress.base.lettering import plain
from planpress.base.printing import Units
from planpress.checks import RULES, Checking, check_plan, fastening, insertion, notches, sizes, solidity, work_order
from planpress.checks.checking import Rule
from planpress.geometry.vectors import add, vec
from planpress.model.records import Part, Piece, SolvedPlan
from planpress.model.solids import Solids
from tests.plans import small_plan, solved_stand

IN = Fraction(254, 10)


def found(rule: Rule, plan: SolvedPlan) -> list[Diagnostic]:
    """What one rule says of a plan."""
    return list(rule(Checking(plan, Solids(plan))))


def with_part(plan: SolvedPlan, letter: str, change: Callable[[Part], Part]) -> SolvedPlan:
    """The plan with one part changed."""
    return evolve(plan, parts=tuple(change(p) if p.letter == letter else p for p in plan.parts))


def with_piece(plan: SolvedPlan, name: str, change: Callable[[Piece], Piece]) -> SolvedPlan:
    """The plan with one piece changed."""
    return evolve(plan, pieces={k: change(p) if k == name else p for k, p in plan.pieces.items()})


def shifted(x: Fraction | int = 0, y: Fraction | int = 0, z: Fraction | int = 0) -> Callable[[Piece], Piece]:
    """Moves a piece (mm)."""

    def move(piece: Piece) -> Piece:
        return evolve(piece, frame=evolve(piece.frame, origin=add(piece.frame.origin, vec(x, y, z))))

    return move


def deeper(amount: Fraction) -> Callable[[Part], Part]:
    """Makes the notches of a part deeper (mm)."""
    return lambda part: evolve(part, notches=tuple(evolve(n, depth=n.depth + amount) for n in part.notches))


@pytest.mark.parametrize("units", list(Units))
def test_the_demo_has_no_errors(units: Units) -> None:
    plan = solved_stand(units)
    assert [d for d in check_plan(plan, Solids(plan)) if d.severity is Severity.ERROR] == []


@pytest.mark.parametrize(
    "rule",
    [
        work_order.counts,
        work_order.order,
        notches.widths,
        notches.depths,
        notches.floors,
        notches.short_grain,
        notches.walls,
        solidity.overlaps,
        solidity.touching,
        insertion.ways_in,
        solidity.overall,
        sizes.even_gaps,
        sizes.mass,
        sizes.wide_boards,
        sizes.held_across,
        fastening.inside,
        fastening.thread,
        fastening.grain,
    ],
)
def test_these_rules_have_nothing_to_say_of_the_inch_demo(rule: Rule) -> None:
    assert found(rule, solved_stand()) == []


def test_every_rule_is_run() -> None:
    names = [module.name for module in pkgutil.iter_modules(checks.__path__)]
    modules = [importlib.import_module(f"planpress.checks.{name}") for name in names]
    rules = {
        value
        for module in modules
        for value in vars(module).values()
        if callable(value)
        and getattr(value, "__module__", "") == module.__name__
        and (value.__doc__ or "")[:1] == "P"
        and (value.__doc__ or "")[1:2].isdigit()
    }
    assert rules == set(RULES)


def test_every_finding_on_the_demo_points_into_the_description() -> None:
    plan = solved_stand()
    lines = len(plan.description.parts)  # a plan with parts has at least as many lines
    for item in check_plan(plan, Solids(plan)):
        assert item.place is not None
        assert item.place.file == "plan.yaml"
        assert item.place.line > lines


def test_p2_a_piece_missing_from_the_table() -> None:
    plan = with_part(solved_stand(), "A", lambda p: evolve(p, pieces=p.pieces[:-1]))
    (fault,) = found(work_order.counts, plan)
    assert fault.code == "P2"
    assert "8 in the parts table, 9 in the model, 9 in the steps" in fault.message
    assert fault.place is not None


def test_p3_a_screw_that_no_step_uses() -> None:
    plan = solved_stand()
    screws = plan.fasteners[1]
    stray = evolve(screws.places[0], second="top.bearer[0]")
    plan = evolve(plan, fasteners=(plan.fasteners[0], evolve(screws, places=(*screws.places, stray))))
    (fault,) = found(work_order.counts, plan)
    assert (fault.code, fault.severity) == ("P3", Severity.ERROR)
    assert "7 in the parts table, 6 used" in fault.message


def test_p6_a_screw_without_a_hole() -> None:
    plan = with_piece(solved_stand(), "top.slat[2]", lambda p: evolve(p, in_place_holes=p.in_place_holes[:1]))
    items = [d for d in found(fastening.holes, plan) if "has no hole" in d.message]
    assert [d.code for d in items] == ["P6"]
    assert "'top.slat[2]'" in items[0].message


def test_p6_a_hole_that_ends_too_early() -> None:
    half = lambda p: evolve(p, in_place_holes=tuple(evolve(h, depth=Fraction(12)) for h in p.in_place_holes))  # noqa: E731
    plan = with_piece(solved_stand(), "top.slat[4]", half)
    items = [d for d in found(fastening.holes, plan) if "'top.slat[4]'" in d.message]
    assert [(d.code, d.severity) for d in items] == [("P6", Severity.ERROR)]


def test_p12_a_notch_narrower_than_its_mate() -> None:
    tight = lambda p: evolve(p, notches=tuple(evolve(n, width=n.width - Fraction(1, 2)) for n in p.notches))  # noqa: E731
    (fault,) = found(notches.widths, with_part(solved_stand(), "A", tight))
    assert (fault.code, fault.severity) == ("P12", Severity.ERROR)
    assert "'lattice'" in fault.message


@pytest.mark.parametrize("fit", [Fraction(-1, 10), Fraction(3, 10)])
def test_p12_a_glued_lap_that_is_too_loose_or_too_tight(fit: Fraction) -> None:
    loose = lambda p: evolve(p, notches=tuple(evolve(n, fit=fit, width=n.width + fit) for n in p.notches))  # noqa: E731
    (item,) = found(notches.widths, with_part(solved_stand(), "B", loose))
    assert (item.code, item.severity) == ("P12", Severity.WARNING)


def test_p13_depths_that_do_not_add_up() -> None:
    plan = with_part(solved_stand(), "A", deeper(Fraction(1, 2)))
    (fault,) = found(notches.depths, plan)
    assert (fault.code, fault.severity) == ("P13", Severity.ERROR)
    assert "and 26 more places like it" in fault.message


def test_p15_pieces_in_one_place() -> None:
    plan = with_piece(solved_stand(), "top.slat[3]", shifted(y=2))
    items = found(solidity.overlaps, plan)
    assert [d.code for d in items] == ["P15"]
    # at each crossing, the wood of the bearer beside its notch: 19.05 mm high and thick, 2 mm wide
    volume = 19.05 * 19.05 * 2
    assert f"{volume:.0f} mm³" in items[0].message
    assert "2 more places" in items[0].message


def test_p15_shallow_notches_overlap_and_deep_ones_leave_a_gap() -> None:
    shallow = with_part(solved_stand(), "A", deeper(Fraction(-1)))
    assert [d.code for d in found(solidity.overlaps, shallow)] == ["P15"]
    deep = with_part(solved_stand(), "A", deeper(Fraction(1, 10)))
    assert found(solidity.overlaps, deep) == []
    (gap,) = found(solidity.touching, deep)
    assert (gap.code, gap.severity) == ("P15", Severity.ERROR)
    assert "touch over 0 of 363 mm²" in gap.message  # 19.05 x 19.05 mm


def test_p19_a_notch_close_to_the_end() -> None:
    plan = solved_stand(Units.IMPERIAL, "", proud="1/2 in")
    (item,) = found(notches.short_grain, plan)
    assert (item.code, item.severity) == ("P19", Severity.WARNING)
    assert "part B ('bearer')" in item.message


def test_p20_thin_walls() -> None:
    thin = lambda p: evolve(p, notches=tuple(evolve(n, depth=p.width - 4) for n in p.notches))  # noqa: E731
    (item,) = found(notches.walls, with_part(solved_stand(), "A", thin))
    assert (item.code, item.severity) == ("P20", Severity.WARNING)
    assert "under a notch" in item.message


def test_p20_two_notches_with_little_between() -> None:
    def doubled(part: Part) -> Part:
        first = part.notches[0]
        step = first.width + 3
        beside = evolve(first, outline=tuple((u + step, s) for u, s in first.outline))
        return evolve(part, notches=(first, beside, *part.notches[1:]))

    (item,) = found(notches.walls, with_part(solved_stand(), "A", doubled))
    assert "between two notches" in item.message


def test_p30_an_overall_size_that_is_not_true() -> None:
    plan = solved_stand()
    plan = evolve(plan, high=add(plan.high, vec(0, 0, 1)))
    (fault,) = found(solidity.overall, plan)
    assert fault.code == "P30"
    assert "height" in fault.message


def test_p31_uneven_gaps_and_p66_openings() -> None:
    plan = with_piece(solved_stand(), "top.slat[3]", shifted(y=2))
    assert [d.code for d in found(sizes.even_gaps, plan)] == ["P31"]
    (finger,) = found(sizes.openings, solved_stand())
    assert (finger.code, finger.severity) == ("P66", Severity.NOTE)
    assert found(sizes.openings, solved_stand(Units.IMPERIAL, "", gap="1-1/8 in")) == []


def test_p42_a_piece_too_heavy_for_one() -> None:
    (item,) = found(sizes.mass, evolve(solved_stand(), mass=30.0))
    assert item.code == "P42"
    assert found(sizes.mass, evolve(solved_stand(), mass=None)) == []


def test_p44_short_parts() -> None:
    (item,) = found(sizes.short_parts, solved_stand())
    assert (item.code, item.severity) == ("P44", Severity.NOTE)
    assert "('rail')" in item.message
    rough = lambda p: evolve(p, material=evolve(p.material, form="rough"))  # noqa: E731
    assert [d.code for d in found(sizes.short_parts, with_part(solved_stand(), "E", rough))] == ["P43"]


def test_p59_says_what_half_depth_leaves() -> None:
    """An eighth of the stiffness and a quarter of the strength: second moment b h^3 / 12, modulus b h^2 / 6."""
    items = found(notches.weakened, solved_stand())
    assert all(d.severity is Severity.NOTE for d in items)
    assert any("12.5 % of its bending stiffness and 25 % of its strength" in d.message for d in items)


def with_screws(length: Fraction) -> SolvedPlan:
    """The inch demo with screws of another length (mm), their pilot holes as they were."""
    plan = solved_stand()
    return evolve(plan, fasteners=tuple(evolve(f, length=length) if f.kind == "screw" else f for f in plan.fasteners))


@pytest.mark.parametrize(
    ("length", "severity"), [(Fraction(13, 4) * IN, Severity.ERROR), (3 * IN - 2, Severity.WARNING)]
)
def test_p64_a_screw_that_comes_out_or_nearly_does(length: Fraction, severity: Severity) -> None:
    """Rail and slat are 1 1/2 in high each, together 3 in."""
    (item,) = found(fastening.inside, with_screws(length))
    assert (item.code, item.severity) == ("P64", severity)
    assert "5 more places" in item.message


def test_p64_a_screw_too_short_to_hold() -> None:
    (item,) = found(fastening.thread, with_screws(Fraction(9, 4) * IN))
    assert (item.code, item.severity) == ("P64", Severity.WARNING)
    assert "has only 3/4 in" in plain(item.message)


END_GRAIN = """
parameters: {long: {value: 20 in}}
materials: {wood: {form: board, species: white oak, thickness: 1 in, width: 2 in}}
parts:
  post: {material: wood, length: long, place: {corner: [0 in, 0 in, 0 in], length: +z, width: +x}}
  cap: {material: wood, length: long, place: {corner: [-4 in, 0 in, 20 in], length: +x, width: +y}}
joints:
  hold: {kind: screw, through: cap, into: post, gauge: 8, length: 2-1/2 in, count: 1, material: steel}
"""


def test_p64_a_screw_in_end_grain() -> None:
    (item,) = found(fastening.grain, small_plan(END_GRAIN))
    assert (item.code, item.severity) == ("P64", Severity.WARNING)
    assert item.place is not None


WIDE = """
parameters: {wide: {value: 12 in}}
materials:
  plank: {form: board, species: white oak, thickness: 1 in, width: wide}
  stick: {form: board, species: white oak, thickness: 1 in, width: 2 in}
parts:
  top: {material: plank, length: 30 in, place: {corner: [0 in, 0 in, 1 in], length: +x, width: +y}}
  cleat: {material: stick, length: wide, place: {corner: [4 in, 0 in, 0 in], length: +y, width: +x}}
joints:
  across: {kind: butt, between: [top, cleat], glue: true}
"""


def test_p62_and_p63_a_wide_board_glued_across_its_grain() -> None:
    plan = small_plan(WIDE)
    assert [d.code for d in found(sizes.wide_boards, plan)] == ["P62"]
    (item,) = found(sizes.held_across, plan)
    assert (item.code, item.severity) == ("P63", Severity.WARNING)
    narrow = small_plan(WIDE.replace("value: 12 in", "value: 3 in"))
    assert found(sizes.held_across, narrow) == []


HOUSED = """
parameters: {up: {value: 300 mm}, reach: {value: 8 mm}, behind: {value: 235 mm}, cut: {value: 10 mm}}
materials:
  oak: {form: board, species: white oak, thickness: 20 mm, width: 250 mm}
  thin: {form: sheet, species: birch plywood, thickness: 6 mm}
parts:
  side: {material: oak, length: 600 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +z, width: +y}}
  shelf:
    material: oak
    width: 225 mm
    length: 400 mm
    place: {corner: [20 mm - reach, 0 mm, up], length: +x, width: +y}
  back:
    material: thin
    length: 580 mm
    width: 300 mm
    place: {corner: [20 mm - cut, behind, 10 mm], length: +z, width: +x}
joints:
  shelf_in_side: {kind: housing, let_in: shelf, into: side, glue: true, stop: {-y: 20 mm}}
  back_in_side: {kind: groove, let_in: back, into: side, room: 1 mm}
"""


def housed(**values: str) -> SolvedPlan:
    """A shelf and a back let into a side, some sizes set otherwise."""
    return small_plan(HOUSED, settings=values)


@pytest.mark.parametrize("rule", [r for r in RULES if r not in (sizes.wide_boards, sizes.short_parts)])
def test_a_shelf_and_a_back_let_in_well_break_no_rule(rule: Rule) -> None:
    """Both swell alike across the shelf's end, a groove may end near an end, a corner cut away holds nothing."""
    assert found(rule, housed()) == []


def test_p14_what_is_let_in_reaches_the_floor_or_stops_short_as_described() -> None:
    items = found(notches.floors, with_part(housed(), "A", deeper(Fraction(1, 2))))
    assert [(d.code, d.severity) for d in items] == [("P14", Severity.ERROR)] * 2
    assert "'shelf' reaches" in items[0].message
    assert items[0].place is not None


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"reach": "15 mm"}, "of wood is left under a notch in part A"),
        ({"cut": "14 mm"}, "of wood is left under a notch in part A"),
        ({"behind": "241 mm"}, "of wood is left beside a groove in part A"),
    ],
)
def test_p20_thin_wood_at_housings_and_grooves(values: dict[str, str], words: str) -> None:
    (item,) = found(notches.walls, housed(**values))
    assert (item.code, item.severity) == ("P20", Severity.WARNING)
    assert words in item.message


def test_p19_and_p59_look_at_housings_across_the_grain() -> None:
    (item,) = found(notches.short_grain, housed(up="10 mm"))
    assert "joint 'shelf_in_side'" in item.message
    (item,) = found(notches.weakened, housed(reach="10 mm"))
    assert "a notch takes 50 % of the depth of part A" in item.message
