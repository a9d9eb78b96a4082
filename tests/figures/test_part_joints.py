"""Part drawings of joints' cuts: seen as the solid is, each size from the records, nothing in the way of anything."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

import numpy as np
import pytest
from attrs import evolve
from shapely.geometry import Polygon  # an independent geometry library
from shapely.ops import unary_union

from planpress.base.display import Figure, Hatch, Path, Role
from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.figures.part_bodies import VIEWS, PartBodies, seen_from
from planpress.figures.part_cut_notes import finger_pitch, slope_of
from planpress.figures.part_drawing import PartDrawing, part_drawing
from planpress.figures.part_groups import end_joints, lie_of
from planpress.figures.part_sides import positions, side_view
from planpress.figures.templates import part_templates
from planpress.model.records import Notch, Part, Side
from planpress.model.solids import part_solid
from tests.figures.joined import (
    ALL,
    divider,
    drawer_front,
    drawer_side,
    in_inches,
    leg,
    named,
    rail,
    tray_side,
    twin,
    uneven,
    upright,
)
from tests.figures.measure import INCHES, MEASURE, MILLIMETRES, faults, words
from tests.figures.notched import part

EDITIONS = (INCHES, MILLIMETRES)


def in_units(made: Part, edition: Edition) -> Part:
    return made if edition.is_metric else in_inches(made)


def mates(made: Part) -> Mapping[str, Part]:
    blank = part(300, [], 60, 18)
    names = {"A": "Rail", "B": "Leg", "C": "Panel"}
    return {**{letter: named(blank, letter, name) for letter, name in names.items()}, made.letter: made}


def drawing(made: Part, edition: Edition = MILLIMETRES) -> PartDrawing:
    return part_drawing(made, mates(made), edition, MEASURE)


def figures(made: PartDrawing) -> Iterator[Figure]:
    for band in made.bands:
        if band.figure is not None:
            yield band.figure


def titled(made: PartDrawing, start: str) -> Figure:
    return next(f for f in figures(made) if f.alt.startswith(start))


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda e: e.unit_name)
@pytest.mark.parametrize("name", [name for name in ALL if name != "uneven"])
def test_nothing_overlaps(name: str, edition: Edition) -> None:
    made = drawing(in_units(ALL[name](), edition), edition)
    assert [fault for figure in figures(made) for fault in faults(figure)] == []


@pytest.mark.parametrize("side", list(VIEWS))
@pytest.mark.parametrize("name", [name for name in ALL if "slots" not in name and name != "uneven"])
def test_the_body_is_the_shadow_of_the_solid(name: str, side: Side) -> None:
    made = ALL[name]()
    triangles = part_solid(made).mesh().corners()
    shadow = unary_union(
        [t.buffer(1e-4) for t in map(Polygon, (seen_from(made, side)(c) for c in triangles)) if t.area > 1e-6]
    )
    view = side_view(PartBodies(made), side)
    outer = [loop for loop in view.loops if Polygon(loop).exterior.is_ccw]
    inner = [loop for loop in view.loops if not Polygon(loop).exterior.is_ccw]
    drawn = unary_union([Polygon(p) for p in outer]).difference(unary_union([Polygon(p) for p in inner]))
    assert drawn.symmetric_difference(shadow).area < 0.5  # mm2; the buffer's rim


def test_waste_and_wood_fill_the_side_seen() -> None:
    for made in (tray_side(), drawer_side(), drawer_front()):
        bodies = PartBodies(made)
        for side in (Side.FACE, Side.FAR_END):
            view = side_view(bodies, side)
            front = np.array([float(made.size_along(axis)) for axis in range(3)])
            width, height = seen_from(made, side)(front[None])[0] if side is Side.FACE else (made.thickness, made.width)
            waste = unary_union([Polygon(w.polygon) for w in view.wastes])
            opened = sum(area_on(n, made, side) for n in made.notches)
            assert waste.area == pytest.approx(opened, rel=1e-6)
            assert waste.area < float(width) * float(height)


def area_on(notch: Notch, made: Part, side: Side) -> float:
    """Area (mm2) over which a square-walled cut opens on a side, by hand."""
    through = notch.depth == made.size_along(notch.side.axis)
    if notch.side is side or (notch.side.opposite is side and through):
        return float(Polygon([(float(a), float(b)) for a, b in notch.outline]).area)
    if notch.side.opposite is side:
        return 0.0
    if side is Side.FAR_END:  # its line on the end times its depth
        ends = [s for u, s in notch.outline if u == made.length]
        return float((max(ends) - min(ends)) * notch.depth) if ends else 0.0
    ends = [v for v, w in notch.outline if w == made.thickness]  # of a socket: its line on the face times its depth
    return float((max(ends) - min(ends)) * notch.depth) if ends else 0.0


def test_a_tenon_has_shoulder_length_thickness_and_width() -> None:
    made = drawing(rail())
    views = words(next(figures(made)))
    assert [w for w in views if w.isdigit()] == ["0", "30", "370", "400", "60"]
    (detail,) = list(figures(made))[1:]
    assert detail.alt.startswith("Tenon of A, both ends")
    texts = words(detail)
    assert sorted(w for w in texts if w[0].isdigit()) == ["30", "44", "6.5", "7", "8"]
    assert "far end" in texts


def test_tenons_at_unlike_ends_are_drawn_apart() -> None:
    made = rail()
    longer = tuple(evolve(n, outline=tuple((u - 5 if u == 370 else u, s) for u, s in n.outline)) for n in made.notches)
    assert [j.ends for j in end_joints(made)] == [(Side.FAR_END, Side.NEAR_END)]
    assert [j.ends for j in end_joints(evolve(made, notches=longer))] == [(Side.FAR_END,), (Side.NEAR_END,)]


def test_a_mortise_has_both_ends_its_width_length_depth_and_radius() -> None:
    made = drawing(leg())
    texts = words(next(figures(made)))
    assert {"60", "104", "300", "350", "560", "604"} <= set(texts)
    blind = words(titled(made, "Mortises for A"))
    assert {"44", "7", "19", "32"} <= set(blind)
    through = words(titled(made, "Mortise for C"))
    assert {"50", "9", "18", "R\u00a04.5"} <= set(through)
    assert [n.bold for n in made.notes].count("Through:") == 1
    assert any("0.2 mm of clearance" in n.rest for n in made.notes)


def test_twin_tenons_stand_at_their_distances_from_the_reference_edge() -> None:
    texts = words(titled(drawing(twin()), "Twin tenons"))
    assert [w for w in ("0", "10", "40", "60", "90") if w not in texts] == []
    assert any(n.bold == "Gap between the tenons:" and n.rest == "20." for n in drawing(twin()).notes)
    assert any(n.bold == "Two saw cuts for wedges," and n.rest == "2 wide." for n in drawing(twin()).notes)


def test_housings_rabbets_and_grooves() -> None:
    made = drawing(upright())
    texts = words(next(figures(made)))
    assert {"100", "400", "50", "750", "25", "Back"} <= set(texts)
    titles = [f.alt.split(",")[0] for f in figures(made)][1:]
    assert titles == ["Housing for B in A", "Stopped housing for B in A", "Rabbet for C in A", "Groove for C in A"]
    assert {"9", "7"} <= set(words(titled(made, "Rabbet")))
    assert {"20", "6", "=\u00a0C"} <= set(words(titled(made, "Groove")))
    assert [lie_of(n, upright()) for n in upright().notches] == ["across", "across", "along", "along"]


@pytest.mark.parametrize("fingers", [3, 4, 8, 9, 18])
def test_fingers_are_counted_and_measured(fingers: int) -> None:
    made = tray_side(fingers)
    (joint,) = end_joints(made)
    assert finger_pitch(joint, made) == (fingers, Fraction(108, fingers))
    note = next(n for n in drawing(made).notes if "share the width" in n.bold)
    assert plain(MILLIMETRES.joint(Fraction(108, fingers))) in plain(note.bold)


def test_many_fingers_are_told_not_listed() -> None:
    texts = words(titled(drawing(tray_side(27)), "Fingers"))
    assert len([w for w in texts if w.isdigit()]) <= 5


def test_dovetails_have_slope_and_places() -> None:
    for made in (drawer_side(), drawer_front()):
        (joint,) = end_joints(made)
        assert slope_of(joint) == 6  # 15 / 2.5, by hand
    tails = words(titled(drawing(drawer_side()), "Tails"))
    assert [w for w in ("6", "34", "46", "74", "86", "114", "15") if w not in tails] == []
    pins = words(titled(drawing(drawer_front()), "Pins"))
    assert [w for w in ("6", "34", "46", "74", "86", "114", "120") if w not in pins] == []
    assert any(n.bold.startswith("Four pins") for n in drawing(drawer_front()).notes)


def test_a_row_of_300_slots_is_told_by_count_and_pitch() -> None:
    made = drawing(divider(300, 8))
    views = next(figures(made))
    assert [w for w in words(views) if w.isdigit()] == ["0", "30", "38", "2422", "2440"]
    note = next(n for n in made.notes if n.bold.startswith("300 notches, 8 apart"))
    assert "the first at 30, the last at 2422" in note.rest
    assert any(isinstance(i, Path) and i.role is Role.BREAK for i in views.items)
    assert views.height < 60


def test_long_uneven_rows_are_broken_over() -> None:
    made = drawing(uneven(130))
    tables = list(figures(made))[1:3]
    listed = [w for table in tables for w in words(table) if w.isdigit()]
    assert listed == [str(positions(n, uneven(130))[0]) for n in uneven(130).notches]
    assert all(table.height < 130 for table in tables)


def test_the_tenon_is_not_hatched_but_the_wood_beside_it() -> None:
    view = side_view(PartBodies(rail()), Side.FACE)
    tenon = Polygon([(372, 10), (398, 10), (398, 50), (372, 50)])
    assert all(Polygon(w.polygon).intersection(tenon).area == 0 for w in view.wastes)
    assert sum(Polygon(w.polygon).area for w in view.wastes) == pytest.approx(4 * 30 * 8)
    items = next(figures(drawing(rail()))).items
    assert any(isinstance(i, Path) and isinstance(i.fill, Hatch) for i in items)


def test_templates_mark_what_a_gauge_cannot_set() -> None:
    def shown(made: Part) -> list[str]:
        names = {letter: one.name for letter, one in mates(made).items()}
        return [t.title for t in part_templates(made, names, MILLIMETRES, MEASURE)]

    assert shown(rail()) == [], "cheeks are set with a gauge"
    assert shown(leg()) == ["Template: leg B", "Template: leg B, lower edge"]
    (face, edge) = part_templates(leg(), {"A": "rail", "C": "shelf"}, MILLIMETRES, MEASURE)
    assert face.capsules == (), "a mortise is cut to its numbers"
    assert face.notes[0] == "Mortises in this side are 32 deep."
    assert edge.notes[0] == "Mortises in this side are cut through."
    (round_ended,) = edge.outline.cutouts
    by_hand = 41 * 9 + 3.14159265 * 4.5**2  # a rectangle between two half circles
    assert float(Polygon(round_ended.area).area) == pytest.approx(by_hand, rel=3e-3)
