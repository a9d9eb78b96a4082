"""Part drawings: what is printed equals the model, each size once, nothing in the way of anything."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import pytest
from attrs import evolve

from planpress.base.display import Circle, Figure, Hatch, Path, Role, Text
from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.base.printing import Units
from planpress.figures.extents import bounds
from planpress.figures.part_drawing import PartDrawing, part_drawing
from planpress.figures.part_notes import Note, capsule_words, notch_kinds, turns_end_for_end
from planpress.figures.part_sides import position
from planpress.model.records import Part, Side, SolvedPlan
from tests.figures.measure import INCHES, MEASURE, MILLIMETRES, faults, find, words
from tests.plans import solved_stand

EDITIONS = (INCHES, MILLIMETRES)
LETTERS = "ABCDEF"
SETTINGS: tuple[dict[str, str], ...] = (
    {},
    {"slats": "17", "bearers": "5"},
    {"bearers": "2", "splay": "10 deg"},
    {"top_length": "60 in", "stick_wide": "2 in", "height": "40 in"},
)


def drawing(letter: str, edition: Edition, **settings: str) -> PartDrawing:
    plan = solved_stand(edition.units, **settings)
    return part_drawing(plan.part(letter), by_letter(plan), edition, MEASURE)


def by_letter(plan: SolvedPlan) -> dict[str, Part]:
    return {part.letter: part for part in plan.parts}


def figures(made: PartDrawing) -> Iterator[Figure]:
    for band in made.bands:
        if band.figure is not None:
            yield band.figure


def views(made: PartDrawing) -> Figure:
    figure = made.bands[0].figure
    assert figure is not None
    return figure


@pytest.mark.parametrize("settings", SETTINGS, ids=str)
@pytest.mark.parametrize("edition", EDITIONS, ids=lambda e: e.unit_name)
def test_nothing_overlaps(edition: Edition, settings: dict[str, str]) -> None:
    plan = solved_stand(edition.units, **settings)
    found = [
        (part.letter, fault)
        for part in plan.parts
        for figure in figures(part_drawing(part, by_letter(plan), edition, MEASURE))
        for fault in faults(figure)
    ]
    assert found == []


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda e: e.unit_name)
@pytest.mark.parametrize("letter", LETTERS)
def test_positions_and_length_are_those_of_the_model(letter: str, edition: Edition) -> None:
    part = solved_stand(edition.units).part(letter)
    made = drawing(letter, edition)
    expected = [edition.length(position(notch, part)) for notch in part.notches]
    expected += [edition.length(hole.at[0]) for hole in part.holes]
    texts = words(views(made))
    assert [w for w in expected if plain(w) not in texts] == []
    (overall,) = [t for t in texts if t in (plain(edition.length(part.length)), f"fit\u00a0({_guide(part, edition)})")]
    assert overall.startswith("fit") == part.fit_in_place


def _guide(part: Part, edition: Edition) -> str:
    return plain(edition.length(part.length)).removeprefix("\u2248\u00a0")


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda e: e.unit_name)
@pytest.mark.parametrize("letter", LETTERS)
def test_positions_stand_true_to_scale(letter: str, edition: Edition) -> None:
    part = solved_stand(edition.units).part(letter)
    made = drawing(letter, edition)
    ups = [
        item.segments[0][1]
        for item in views(made).items
        if isinstance(item, Path) and item.role is Role.EXTENSION and len(item.segments[0]) == 3
    ]
    start = min(ups)
    for notch in part.notches:
        along = float(position(notch, part) * made.scale)
        assert min(abs(x - start - along) for x in ups) < 1e-6


def test_the_slat_as_a_person_would_draw_it() -> None:
    made = drawing("A", INCHES)
    assert made.scale == Fraction(1, 6)
    assert (made.label, made.pieces, plain(made.sizes).replace("\u00a0", " ")) == (
        "Slat",
        "9 pieces",
        "3/4 × 1 1/2 × 40",
    )
    texts = words(views(made))
    assert [t for t in texts if t[0].isdigit()] == ["0", "6", "19 5/8", "33 1/4", "40"]
    assert "reference edge (upper)" in texts
    assert "Reference face, scale 1\u00a0:\u00a06" in texts
    detail = made.bands[1].figure
    assert detail is not None
    assert detail.scale == 1
    assert sorted(words(detail)) == sorted(
        ["Notches for B in A, full size", "=\u00a0B", "near side", "3/4", "1 1/2"],
    )
    assert [n.bold for n in made.notes][:3] == [
        "Three notches in the lower edge,",
        "Depth is half of the width of A,",
        "Both ends alike:",
    ]
    assert plain(made.notes[0].rest).replace("\u00a0", " ") == (
        "each as wide as bearer B is thick. B should measure 3/4; yours measures"
    )
    assert made.notes[0].box
    assert plain(made.notes[1].rest).startswith("3/4 for 1 1/2.")


def test_the_bearer_carries_width_sign_and_depth_in_its_view() -> None:
    made = drawing("B", INCHES)
    assert made.scale == Fraction(1, 3)
    texts = words(views(made))
    assert texts.count("=\u00a0A") == 1
    assert texts.count("3/4") == 1
    assert texts.count("1 1/2") == 1
    assert texts[-1] != ""
    assert [t for t in texts if t[:1].isdigit()][:11] == [
        *("0", "1", "2 1/2", "4", "5 1/2", "7", "8 1/2", "10", "11 1/2", "13", "14 3/4"),
    ]


@pytest.mark.parametrize("letter", LETTERS)
def test_each_size_once(letter: str) -> None:
    part = solved_stand().part(letter)
    made = drawing(letter, INCHES)
    numbers = [w for f in figures(made) for w in words(f)]
    for notch in part.notches:
        assert numbers.count(plain(INCHES.length(position(notch, part)))) == 1
    assert numbers.count(plain(INCHES.length(part.length))) <= 1


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda e: e.unit_name)
def test_edges_stand_where_the_projection_puts_them(edition: Edition) -> None:
    # Third angle: what is seen from below stands below. First angle: what is seen from below stands above (ISO 5456-2).
    for letter, name, below_in_third in (("A", "Lower edge", True), ("E", "Lower edge", True)):
        figure = views(drawing(letter, edition))
        edge = find(figure, name)
        (face,) = [t for t in figure.items if isinstance(t, Text) and t.string.startswith("Reference face")]
        is_below = edge.at[1] < face.at[1]
        assert is_below == (below_in_third != edition.is_metric)


def test_marks_of_the_reference_end_and_edge() -> None:
    for letter in LETTERS:
        part = solved_stand().part(letter)
        items = views(drawing(letter, INCHES)).items
        triangles = [i for i in items if isinstance(i, Path) and i.role is Role.MARK and i.fill is not None]
        outlines = [i for i in items if isinstance(i, Path) and i.role is Role.OUTLINE]
        left = bounds(outlines, MEASURE)[0]
        assert triangles
        for triangle in triangles:
            assert bounds([triangle], MEASURE)[2] == pytest.approx(left + 0.25, abs=1.0)
        assert f"reference edge ({'upper' if part.reference_edge is Side.UPPER else 'lower'})" in words(
            views(drawing(letter, INCHES))
        )


def test_waste_is_hatched_and_its_open_side_undrawn() -> None:
    items = views(drawing("B", INCHES)).items
    hatched = [i for i in items if isinstance(i, Path) and isinstance(i.fill, Hatch)]
    assert len(hatched) == 9
    assert all(i.pen is None for i in hatched)
    outline = next(i for i in items if isinstance(i, Path) and i.role is Role.OUTLINE)
    top = max(bounds([i], MEASURE)[3] for i in hatched)
    at_top = [s for s in outline.segments if len(s) == 3 and abs(s[2] - top) < 1e-6]
    assert len(at_top) == 2 + 2 * 9, "the outline dips into each notch"


def test_leg_details_show_lean_sign_and_depth() -> None:
    made = drawing("C", INCHES)
    details = [band.figure for band in made.bands[1:] if band.figure is not None]
    assert len(details) == 2
    for figure, mate in zip(details, "FE", strict=True):
        texts = words(figure)
        assert texts.count("6°") == 1
        assert texts.count(f"=\u00a0{mate}") == 1
        assert texts.count("3/4") == 1
    assert words(views(made)).count("6°") == 2


def test_hands_are_drawn_apart() -> None:
    left, right = drawing("C", INCHES), drawing("D", INCHES)
    assert left.label != right.label
    assert left.bands[0].figure != right.bands[0].figure


def test_holes_are_called_out_and_placed() -> None:
    made = drawing("E", MILLIMETRES)
    texts = words(views(made))
    assert "3\u00a0×\u00a0Ø\u00a04.5, through" in texts
    assert "9" in texts, "their distance from the reference face"
    circles = [i for i in views(made).items if isinstance(i, Circle) and i.role is Role.EDGE]
    assert len(circles) == 2 * 3, "hole and countersink"


def test_holes_drilled_in_place_are_told_in_words_only() -> None:
    for letter in "ACDF":
        made = drawing(letter, INCHES)
        assert any(n.bold.startswith("Holes drilled at assembly") for n in made.notes)
        assert not any("Ø" in w for f in figures(made) for w in words(f))


def test_fit_in_place_is_said() -> None:
    made = drawing("F", INCHES)
    assert made.notes[0] == Note(
        "Fit in place:", "measure the length from the work; the length in the table is a guide."
    )


def test_capsules_of_double_notches() -> None:
    notch = solved_stand().part("A").notches[0]
    assert capsule_words(notch).replace("\u00a0", " ") == "= B"
    assert capsule_words(evolve(notch, mates=("B", "B"))).replace("\u00a0", " ") == "= 2 × B"
    assert capsule_words(evolve(notch, mates=("B", "C"))).replace("\u00a0", " ") == "= B + C"


def test_turning_end_for_end() -> None:
    slat = solved_stand().part("A")
    assert turns_end_for_end(slat)
    first, *rest = slat.notches
    shifted = evolve(first, outline=tuple((u + 1, s) for u, s in first.outline))
    assert not turns_end_for_end(evolve(slat, notches=(shifted, *rest)))
    assert not turns_end_for_end(solved_stand().part("E")), "slanted ends"


def test_unlike_notches_are_told_apart() -> None:
    kinds = [notch_kinds(solved_stand().part(letter)) for letter in "ABCD"]
    assert [len(k) for k in kinds] == [1, 1, 2, 2]


def test_alternative_text_gives_the_key_sizes() -> None:
    made = drawing("A", MILLIMETRES)
    assert "at 150, 491, 832 from the reference end" in made.alt
    assert solved_stand(Units.METRIC).part("A").length == 1000


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda e: e.unit_name)
def test_equal_input_gives_equal_drawings(edition: Edition) -> None:
    assert drawing("C", edition) == drawing("C", edition)


def longer(part: Part, length: Fraction) -> Part:
    """The part with square ends at 0 and `length`, without notches."""
    near, far = part.ends
    return evolve(part, length=length, ends=(near, evolve(far, point=(length, *far.point[1:]))), notches=())


def test_long_slim_parts_are_shortened_between_break_lines() -> None:
    part = longer(
        evolve(solved_stand(Units.METRIC).part("A"), width=Fraction(20), thickness=Fraction(10)), Fraction(2400)
    )
    made = part_drawing(part, {"A": part}, MILLIMETRES, MEASURE)
    figure = views(made)
    assert float(part.width * made.scale) >= 6.0, "too slim to read"
    assert "2400" in words(figure), "the true length is written"
    assert any("shortened" in text for text in words(figure))
    breaks = [i for i in figure.items if isinstance(i, Path) and i.role is Role.BREAK]
    assert len(breaks) == 2
    assert faults(figure) == []
    whole = part_drawing(longer(part, Fraction(400)), {"A": part}, MILLIMETRES, MEASURE)
    assert not any(isinstance(i, Path) and i.role is Role.BREAK for i in views(whole).items)


def test_more_than_24_notches_are_numbered_and_listed() -> None:
    slat = solved_stand(Units.METRIC).part("A")
    first = slat.notches[0]
    low = first.span[0]
    places = [Fraction(30 + 60 * i) for i in range(31)]
    notches = tuple(evolve(first, outline=tuple((u - low + p, s) for u, s in first.outline)) for p in places)
    part = evolve(longer(slat, Fraction(2000)), notches=notches)
    made = part_drawing(part, by_letter(solved_stand(Units.METRIC)), MILLIMETRES, MEASURE)
    texts = words(views(made))
    listed = texts[texts.index("No.\u00a01", texts.index("2000")) :]
    assert listed[: 2 * 31] == [word for i, p in enumerate(places, 1) for word in (f"No.\u00a0{i}", str(p))]
    assert faults(views(made)) == []
