"""Templates against the model: outlines, handedness, joined tiles, and what a PDF reader finds on the page."""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from datetime import date
from fractions import Fraction

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from attrs import evolve
from numpy.typing import NDArray
from shapely import GeometryCollection, LineString, Polygon, box, unary_union
from shapely.affinity import translate

from planpress.base.display import Path, Point, Role, Text, points_of
from planpress.base.edition import Edition
from planpress.base.printing import Units
from planpress.figures.clearance import findings
from planpress.figures.template_outlines import SideView, shown_sides, template_outline
from planpress.figures.templates import Template, plan_templates, tile_map, tile_words
from planpress.geometry.outlines import face_outline
from planpress.model.records import Notch, Part, Side
from planpress.model.solids import Solids, side_level
from planpress.writers.pdf.document import DocumentSettings
from planpress.writers.pdf.fonts import Metrics
from planpress.writers.pdf.writing import PdfWriter
from tests.figures.notched import (
    METRIC,
    cut_paths,
    edge_notch,
    face_notch,
    hole,
    model_lines,
    part,
    templates,
)
from tests.plans import solved_stand, stand_solids

MM = 72 / 25.4
EDITIONS = [Edition(Units.IMPERIAL, "letter"), Edition(Units.METRIC, "a4")]
ROW = [edge_notch(25 + 38 * k, 18) for k in range(12)]


def stand_templates(edition: Edition) -> tuple[Template, ...]:
    return plan_templates(solved_stand(edition.units), edition, Metrics())


def view_polygon(template: Template) -> Polygon:
    """The outline in (u, x of the view)."""
    outline = template.outline
    return Polygon([(float(u), float(outline.view.x(s))) for u, s in outline.outline])


def expected_lines(template: Template) -> GeometryCollection:
    """All lines to cut, as the model has them, in the range shown."""
    outline, view = template.outline, template.outline.view
    lines = [*outline.border_lines, *outline.wall_lines()]
    return unary_union([LineString([(float(u), float(view.x(s))) for u, s in line]) for line in lines])


# --- outlines ---


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("letter", ["A", "B", "C", "D"])
def test_outline_is_the_face_of_the_solid(units: Units, letter: str) -> None:
    """Exact outline against the face of the boolean solid (manifold3d), areas compared by shapely."""
    solids: Solids = stand_solids(units)
    made = solids.plan.part(letter)
    for side in shown_sides(made):
        outline = template_outline(made, side)
        level = float(side_level(made, side))
        point, normal = [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
        point[side.axis], normal[side.axis] = level, 1.0 if side.is_far else -1.0
        face = face_outline(solids.part(letter).mesh(), point, normal, right=(1.0, 0.0, 0.0))
        second = 3 - side.axis
        flat = [[(x * face.right + y * face.up + face.origin)[[0, second]] for x, y in loop] for loop in face.outer]
        wood = unary_union([Polygon(loop) for loop in flat])
        ours = Polygon([(float(u), float(s)) for u, s in outline.outline])
        bands = [Polygon([(float(u), float(s)) for u, s in c.area]) for c in outline.cutouts if c.kind == "band"]
        assert ours.difference(unary_union(bands)).symmetric_difference(wood).area < 0.01
        assert len(outline.outline) >= 4 + 4 * sum(c.kind == "profile" for c in outline.cutouts)


@pytest.mark.parametrize("edition", EDITIONS)
def test_drawn_corners_are_model_coordinates(edition: Edition) -> None:
    for template in stand_templates(edition):
        view, drawn = template.outline.view, []
        for tile in template.tiles:
            drawn += [p for chain in model_lines(template, tile) for p in chain]
        corners = [line[0] for line in (*template.outline.border_lines, *template.outline.wall_lines())]
        shown = [w for tile in template.tiles for w in tile.windows]
        wanted = [(float(u), float(view.x(s))) for u, s in corners if any(w.low <= u <= w.top for w in shown)]
        assert len(wanted) >= 4
        for u, x in wanted:
            assert min(abs(u - a) + abs(x - b) for a, b in drawn) < 1e-6


def test_every_notch_of_the_stand_appears_hatched() -> None:
    plan = solved_stand()
    made = stand_templates(EDITIONS[0])
    for stand_part in plan.parts:
        mine = [t for t in made if t.letter == stand_part.letter]
        assert bool(mine) == bool(stand_part.notches)
        notches = [c.notch for t in mine for c in t.outline.cutouts]
        assert sorted(n.span for n in notches) == sorted(n.span for n in stand_part.notches)
        items = [item for t in mine for tile in t.tiles for item in tile.figure.items]
        hatched = [item for item in items if isinstance(item, Path) and item.role is Role.HATCH]
        assert len(hatched) >= len(stand_part.notches)


def test_an_end_lap_takes_the_corner() -> None:
    lap = evolve(edge_notch(0, 20, 10), open_end=Side.NEAR_END)
    outline = template_outline(part(100, [lap]), Side.FACE)
    assert set(outline.outline) == {(0, 0), (100, 0), (100, 38), (20, 38), (20, 28), (0, 28)}
    (template,) = templates(part(100, [lap]))
    texts = [i.string for i in template.tiles[0].figure.items if isinstance(i, Text)]
    assert "20" in texts, "the far shoulder: the near one is the end"


def test_touching_notches_of_unlike_depth_share_a_wall() -> None:
    made = part(100, [edge_notch(20, 10, 8), edge_notch(30, 10, 12)])
    outline = template_outline(made, Side.FACE)
    assert Polygon([(float(u), float(s)) for u, s in outline.outline]).area == 100 * 38 - 80 - 120


# --- which way round ---


@pytest.mark.parametrize("side", [Side.FACE, Side.BACK, Side.UPPER, Side.LOWER])
def test_paper_is_seen_from_outside_the_wood(side: Side) -> None:
    """Right of the paper x up of the paper = out of the wood, in the part's right-handed u, v, w."""
    view = SideView(side, Fraction(30))
    right = np.zeros(3)
    right[3 - side.axis] = float(view.x(Fraction(20)) - view.x(Fraction(10))) / 10
    out = np.cross(right, [1.0, 0.0, 0.0])
    wanted = np.zeros(3)
    wanted[side.axis] = 1.0 if side.is_far else -1.0
    assert out.tolist() == wanted.tolist()


def test_left_and_right_legs_are_mirror_images() -> None:
    left, right = (t for t in stand_templates(EDITIONS[0]) if "leg" in t.name)
    assert (left.title, right.title) == ("Template: left-hand leg C", "Template: right-hand leg D")
    across = float(left.outline.view.across)
    a, b = view_polygon(left), view_polygon(right)
    mirrored = Polygon([(u, across - x) for u, x in b.exterior.coords])
    assert a.symmetric_difference(mirrored).area < 0.01
    assert a.symmetric_difference(b).area > 10, "each leg has its own"


# --- joined tiles ---


@pytest.mark.parametrize("template", [t for e in EDITIONS for t in stand_templates(e) if t.layout.seams], ids=str)
def test_tiles_joined_by_their_crosses_give_the_outline(template: Template) -> None:
    check_joined(template)


@pytest.mark.parametrize(
    "notches",
    [ROW, [face_notch(20 + 41 * k, 20, 6) for k in range(11)], [face_notch(20 + 41 * k, 20, -6) for k in range(11)]],
)
def test_long_rows_joined_by_their_crosses(notches: list[Notch]) -> None:
    for template in templates(part(500, notches)):
        assert len(template.tiles) > 1
        check_joined(template)


def check_joined(template: Template) -> None:
    """Lay each tile on the one before, cross on cross, and compare all cut lines with the model's."""
    placed: dict[int, Point] = {}
    lines = []
    dx = dy = 0.0
    for tile in template.tiles:
        here = {cross.number: cross.at for cross in tile.crosses}
        shared = [n for n in here if n in placed]
        assert len(shared) == (2 if tile.index > 1 else 0)
        moves = [(placed[n][0] - here[n][0], placed[n][1] - here[n][1]) for n in shared]
        if moves:
            (dx, dy), second = moves
            assert second == pytest.approx((dx, dy), abs=1e-9)
        placed |= {n: (x + dx, y + dy) for n, (x, y) in here.items()}
        lines += [LineString([(y + dy, x + dx) for x, y in chain]) for chain in cut_paths(tile)]
    first = template.tiles[0]
    base, left = float(first.windows[0].base), first.left
    joined = unary_union(lines)
    wanted = expected_lines(template)
    shown = box(base - 1, -500, base + float(template.layout.high), 500)
    wanted = translate(wanted, base, left).intersection(shown)
    assert joined.hausdorff_distance(wanted) < 0.001
    assert joined.length == pytest.approx(wanted.length, abs=0.01)


def test_crosses_stand_on_the_same_model_points() -> None:
    (template,) = templates(part(500, ROW))
    by_number: dict[int, list[tuple[Fraction, Fraction]]] = {}
    for tile in template.tiles:
        for cross in tile.crosses:
            by_number.setdefault(cross.number, []).append((cross.u, cross.second))
    assert all(len(points) == 2 and points[0] == points[1] for points in by_number.values())
    assert list(by_number) == list(range(1, 2 * len(template.tiles) - 1))


def test_no_join_line_through_notch_or_hole() -> None:
    made = part(500, [*ROW[::2]], holes=[hole(63 + 76 * k, 10) for k in range(6)])
    (template,) = templates(made)
    for seam in template.layout.seams:
        assert not any(c.span[0] <= seam <= c.span[1] for c in template.outline.cutouts)
        assert not any(abs(h.at[0] - seam) <= 4 for h in made.holes)
    assert template.layout.seams


# --- wide parts, several sides ---


def test_a_wide_part_shows_a_strip_along_its_notched_edge() -> None:
    (template,) = templates(part(180, [edge_notch(60, 18, 25)], width=200))
    assert template.border is Side.UPPER
    assert template.shown == (155, 200)
    assert template.title == "Template: stick A, along the upper edge"
    assert any("200 wide" in note for note in template.notes)
    assert any(i.role is Role.BREAK for i in template.tiles[0].figure.items)


def test_a_wide_part_notched_in_both_edges_gets_two_strips() -> None:
    made = part(180, [edge_notch(60, 18, 25), edge_notch(100, 18, 15, Side.LOWER)], width=200)
    assert [t.border for t in templates(made)] == [Side.LOWER, Side.UPPER]


def test_notches_in_face_and_back_get_a_template_each() -> None:
    back = evolve(face_notch(120, 20), side=Side.BACK)
    made = part(190, [face_notch(50, 20), back, edge_notch(90, 10)])
    face_up, back_up = templates(made)
    assert [len(t.outline.cutouts) for t in (face_up, back_up)] == [2, 1]
    assert back_up.title == "Template: stick A, back"


def test_a_skewed_notch_across_an_edge_is_marked_on_that_edge() -> None:
    corners = ((50, 0), (70, 0), (74, 18), (54, 18))
    outline = tuple((Fraction(u), Fraction(w)) for u, w in corners)
    skewed = evolve(edge_notch(50, 20), outline=outline, skew=Fraction(12))
    assert shown_sides(part(150, [skewed])) == (Side.UPPER,)
    (template,) = templates(part(150, [skewed]))
    assert "The reference face is at the right." in template.notes


# --- words, and the drawing as a drawing ---


def test_values_run_from_the_reference_end() -> None:
    (template,) = templates(part(150, [edge_notch(25, 18), edge_notch(70, 18)]))
    texts = [i.string for i in template.tiles[0].figure.items if isinstance(i, Text)]
    assert [t for t in texts if t.isdigit()] == ["0", "25", "70", "150"]
    assert "reference end" in texts
    assert "A" in texts


def test_unlike_mates_stand_beside_their_values() -> None:
    made = part(150, [edge_notch(25, 18), edge_notch(70, 36, mates=("C", "C"))])
    (template,) = templates(made)
    assert [c.sign for c in template.capsules] == ["=\u00a0B", "=\u00a0C\u00a0+\u00a0C"]
    assert template.capsules[1].words == "Notch width is that of 2 of your rails side by side."
    texts = [i.string for i in template.tiles[0].figure.items if isinstance(i, Text)]
    assert "=\u00a0B" in texts


def test_words_about_tiles() -> None:
    (template,) = templates(part(500, ROW))
    assert template.purpose(1)[0].startswith("Full size, tile\u00a01 of\u00a0")
    assert tile_words(template, 1) == (
        "This is tile\u00a01. Tile\u00a02 is the next page; it carries the same crosses 1 and\u00a02."
    )
    assert "last one" in tile_words(template, len(template.tiles))
    assert template.steps[0] == "Measure both bars. Stop if either is not 150\u00a0mm."
    boxes = [i for i in tile_map(template, 2).items if isinstance(i, Path)]
    assert len(boxes) == len(template.tiles)
    for drawn in boxes:
        xs = [x for x, _ in points_of(drawn.segments)]
        assert max(xs) - min(xs) == pytest.approx(12)


def drawn_cases() -> Iterator[Template]:
    for edition in EDITIONS:
        yield from stand_templates(edition)
        yield from plan_templates(solved_stand(edition.units, "balcony"), edition, Metrics())
    made: list[Part] = [
        part(500, ROW),
        part(500, ROW, reference_edge=Side.UPPER),
        part(180, [edge_notch(60, 18, 25)], width=200),
        part(700, [face_notch(40 + 90 * k, 20, 8) for k in range(7)]),
        part(300, [edge_notch(100, 9, 5, mates=("B",)), edge_notch(112, 9, 5, mates=("C",))], width=12),
        part(300, [edge_notch(20, 6, 5), edge_notch(28, 6, 5), edge_notch(36, 6, 5)]),
        part(250, [edge_notch(60, 18)], holes=[hole(30, 10), hole(140, 20)]),
    ]
    for one in made:
        yield from templates(one)


@pytest.mark.parametrize("template", list(drawn_cases()), ids=lambda t: t.title)
def test_tiles_read_well(template: Template) -> None:
    """No text on lines or other text, nothing outside the frame, nothing too small."""
    for tile in template.tiles:
        assert findings(tile.figure, Metrics()) == []
        assert tile.figure.scale == 1


def test_equal_input_gives_equal_tiles() -> None:
    assert templates(part(500, ROW)) == templates(part(500, ROW))


# --- the written page ---


def path_points(data: bytes, page: int) -> NDArray[np.float64]:
    """All points of all paths of a page in mm from its lower left corner, by a general-purpose PDF reader."""
    points = []
    x, y = ctypes.c_float(), ctypes.c_float()
    for found in pypdfium2.PdfDocument(data)[page].get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH]):
        matrix = found.get_matrix()
        for i in range(pdfium.FPDFPath_CountSegments(found.raw)):
            segment = pdfium.FPDFPath_GetPathSegment(found.raw, i)
            pdfium.FPDFPathSegment_GetPoint(segment, x, y)
            points.append(matrix.on_point(x.value, y.value))
    return np.array(points) / MM


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_written_outline_is_true_within_a_twentieth_of_a_millimetre(edition: Edition) -> None:
    made = stand_templates(edition)
    writer = PdfWriter(DocumentSettings("templates", date(2026, 5, 12)))
    canvas = writer.new_canvas((210 * MM, 279.4 * MM))
    tiles = [(t, tile) for t in made for tile in t.tiles]
    for _, tile in tiles:
        canvas.draw_figure(tile.figure, 18 * MM, 41 * MM)
        canvas.showPage()
    canvas.save()
    data = writer.written().data
    for page, (template, tile) in enumerate(tiles):
        found = path_points(data, page)
        view = template.outline.view
        wanted = []
        for (u, second), _ in (*template.outline.border_lines, *template.outline.wall_lines()):
            for window in tile.windows:
                if window.low <= u <= window.high:
                    wanted.append((18 + tile.left + float(view.x(second)), 41 + float(window.y(u))))
        assert wanted
        for point in wanted:
            assert np.hypot(*(found - point).T).min() < 0.05


def test_metric_edition_says_millimetres_in_words_for_readers() -> None:
    (template,) = templates(part(150, [edge_notch(25, 18)]), METRIC)
    assert template.tiles[0].figure.alt == (
        "Full-size template of stick A, face, tile 1 of 1: 0 to 150 millimetres from the reference end"
    )
