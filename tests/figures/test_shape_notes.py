"""Dimensions and words of shapes, for drawings."""

from __future__ import annotations

import pytest

from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.base.printing import Units
from planpress.figures.shape_notes import ShapeLabel, shape_labels, shape_notes
from planpress.model.records import Part, Side
from tests.plans import small_plan

EDITION = Edition(Units.METRIC, "a4")


def part(keys: str) -> Part:
    return small_plan(
        "materials:\n  slab: {form: sheet, species: white oak, thickness: 24 mm}\n"
        "parts:\n  seat:\n    material: slab\n    length: 400 mm\n    width: 200 mm\n"
        f"    place: {{corner: [0 mm, 0 mm, 0 mm], length: +x, width: +y}}\n    {keys}\n",
        Units.METRIC,
    ).parts[0]


def told(label: ShapeLabel) -> tuple[str, str, str]:
    return plain(label.text), plain(label.u), plain(label.second)


def test_a_straight_part_needs_nothing() -> None:
    assert shape_labels(part("remark: plain"), EDITION) == ()
    assert shape_notes(part("remark: plain"), EDITION) == ()


def test_equal_radii_are_told_once() -> None:
    radius, *positions = shape_labels(part("corners: {radius: 40 mm}"), EDITION)
    assert told(radius)[0].replace("\u00a0", " ") == "4 \u00d7 R 40"
    assert (radius.side, radius.kind) == (Side.FACE, "radius")
    # the first corner is the lower one at the reference end: its middle lies 40 (1 - 1/sqrt 2) inside
    assert [float(c) for c in radius.at] == pytest.approx([11.7157, 11.7157], abs=1e-4)
    assert [float(c) for c in radius.towards] == pytest.approx([-28.2843, -28.2843], abs=1e-4)
    assert sorted(told(p)[1:] for p in positions) == sorted(
        [
            ("0", "40"),
            ("40", "0"),
            ("360", "0"),
            ("400", "40"),
            ("400", "160"),
            ("360", "200"),
            ("40", "200"),
            ("0", "160"),
        ]
    )


def test_a_taper_is_told_by_its_corners() -> None:
    labels = shape_labels(
        part("taper: {towards: end, width: 120 mm, thickness: 18 mm, begins: 100 mm, sides: [upper edge, face]}"),
        EDITION,
    )
    assert [(label.side, *told(label)[1:]) for label in labels] == [
        (Side.FACE, "400", "120"),
        (Side.FACE, "100", "200"),
        (Side.LOWER, "400", "18"),
        (Side.LOWER, "100", "24"),
    ]


def test_a_hollow_points_away_from_its_wood() -> None:
    (label,) = shape_labels(
        part(
            "outline: {start: [0 mm, 0 mm], path: [{hollow: {to: [400 mm, 0 mm], rise: 20 mm}},"
            " {line: [400 mm, 200 mm]}, {line: [0 mm, 200 mm]}]}"
        ),
        EDITION,
    )
    assert told(label)[0].replace("\u00a0", " ") == "R 1010"  # (200^2 + 20^2) / (2 x 20)
    assert [float(c) for c in label.at] == pytest.approx([200, 20], abs=1e-6)
    assert label.towards[1] < 0


def test_a_curve_is_told_by_the_points_it_goes_through() -> None:
    labels = shape_labels(
        part(
            "outline: {start: [0 mm, 50 mm], path: [{curve: {through: [[200 mm, 0 mm]], to: [400 mm, 50 mm]}},"
            " {line: [400 mm, 200 mm]}, {line: [0 mm, 200 mm]}]}"
        ),
        EDITION,
    )
    assert [told(label)[1:] for label in labels] == [("0", "50"), ("200", "0"), ("400", "50")]


@pytest.mark.parametrize(
    ("keys", "first", "rest"),
    [
        ("edges: {long: {chamfer: 3 mm}}", "Chamfer the four long edges,", "3 \u00d7 45\u00b0."),
        ("edges: {all: {round: 6 mm}}", "Round over all edges,", "R 6."),
        ("edges: {face: {round: 6 mm}}", "Round over the edges round the reference face,", "R 6."),
        ("edges: {start: {chamfer: 2 mm}}", "Chamfer the edges round the reference end,", "2 \u00d7 45\u00b0."),
        (
            "edges: {upper face: {chamfer: 2 mm}}",
            "Chamfer the edge between upper edge and reference face,",
            "2 \u00d7 45\u00b0.",
        ),
    ],
)
def test_edges_in_words(keys: str, first: str, rest: str) -> None:
    (note,) = shape_notes(part(keys), EDITION)
    assert (note.bold, plain(note.rest).replace("\u00a0", " ")) == (first, rest)


def test_all_edges_of_a_rounded_seat() -> None:
    outline, edges = shape_notes(part("corners: {radius: 40 mm}\n    edges: {all: {round: 6 mm}}"), EDITION)
    assert outline.bold == "Cut to the outline"
    assert edges.bold == "Round over all edges,"
