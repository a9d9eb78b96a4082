"""The cover picture, its tints and pens, and the words for places."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import box

from planpress.base.display import Face, Figure, Item, Path, Role, points_of
from planpress.figures import style
from planpress.figures.clearance import findings
from planpress.figures.density import close_stretches
from planpress.figures.pictures import COVER_INK, FASTENER_INK, fitted, hero, ink_chooser, tones, whole
from planpress.figures.place_words import WORD_SIZE, place_words
from planpress.figures.scenes import FRONT_LEFT, Placed, Scenes, View
from planpress.geometry.pictures import LineKind
from planpress.geometry.solids import Solid
from planpress.geometry.solids import box as box_solid
from tests.figures.measure import MEASURE
from tests.figures.picture_cases import CASES, Case, case, loops_of, seen_area, texts
from tests.plans import solved_stand


def cover(name: str) -> Figure:
    """The cover picture of a case."""
    one = case(name)
    return hero(one.plan, one.solids, one.scenes, 172.0, 142.0)


def extent(items: tuple[Item, ...]) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of all lines."""
    points = np.array([p for item in items if isinstance(item, Path) for p in points_of(item.segments)])
    return (*points.min(axis=0).tolist(), *points.max(axis=0).tolist())


@pytest.mark.parametrize("name", CASES)
def test_the_cover_picture_has_no_open_regions(name: str) -> None:
    one = case(name)
    assert one.scenes.sight(FRONT_LEFT, whole(one.scenes)).regions.bridged == []


@pytest.mark.parametrize("name", CASES)
def test_the_cover_picture_is_as_large_as_its_frame_allows(name: str) -> None:
    left, bottom, right, top = extent(cover(name).items)
    assert left >= 0 <= bottom
    assert right <= 172
    assert top <= 142
    assert right - left == pytest.approx(171.5, abs=0.01) or top - bottom == pytest.approx(141.5, abs=0.01)
    assert left + right == pytest.approx(172, abs=0.01)
    assert bottom + top == pytest.approx(142, abs=0.01)


@pytest.mark.parametrize("name", CASES)
def test_tints_fill_the_picture_once(name: str) -> None:
    """The tints do not overlap and leave no seam: their areas add up to the area of their union."""
    one, figure = case(name), cover(name)
    names = [placed.id for placed in whole(one.scenes)]
    everything = seen_area(figure, names)
    assert sum(seen_area(figure, [each]).area for each in names) == pytest.approx(everything.area, rel=2e-5)


def test_tints_tell_the_way_faces_look() -> None:
    figure = cover("inches")
    used = {item.fill for item in figure.items if item.role is Role.TINT and isinstance(item, Path)}
    assert used == {style.TINT_0, style.TINT_2, style.TINT_3}


class _OneBox:
    """The solids of a plan whose only piece asked for is a box."""

    def piece(self, name: str) -> Solid:
        assert name == "frame[0].rail"
        return box_solid(10, 20, 30)


@pytest.mark.parametrize("turned", [False, True])
def test_what_looks_up_now_is_lightest(turned: bool) -> None:
    scenes = Scenes(solved_stand(), _OneBox())
    sight = scenes.sight(View(turned_over=turned), [Placed("frame[0].rail")])
    tone = tones(sight)
    normals = sight.picture.face_normal
    seen = {tone[face]: normals[face].round(6).tolist() for face in sight.regions.loops}
    assert len(sight.regions.loops) == 3
    up = -1.0 if turned else 1.0
    assert seen[0] == pytest.approx([0.0, 0.0, up])
    assert seen[1] == pytest.approx([0.0, -up, 0.0])  # turned about its length: the back comes to the front
    assert seen[2] == pytest.approx([-1.0, 0.0, 0.0])  # left stays left


def test_three_kinds_of_line_have_their_own_pens() -> None:
    pens = {item.role: [] for item in cover("inches").items}  # type: dict[Role, list[float]]
    for item in cover("inches").items:
        if isinstance(item, Path) and item.pen is not None:
            pens[item.role].append(item.pen.width)
    assert max(pens[Role.SILHOUETTE]) == 0.5
    assert max(pens[Role.OUTLINE]) == 0.25
    assert pens[Role.EDGE] == [0.18]
    assert min(pens[Role.SILHOUETTE] + pens[Role.OUTLINE]) >= 0.18


def test_fasteners_have_no_inner_edges_and_one_tint() -> None:
    one = case("stool")
    sight = one.scenes.sight(FRONT_LEFT, whole(one.scenes))
    drawing = fitted(sight, (0.0, 0.0, 172.0, 142.0))
    ink = ink_chooser(one.scenes, drawing.scale, COVER_INK)
    assert ink("D[0]") is FASTENER_INK
    assert ink("seat") is COVER_INK
    tints = {i.fill for i in drawing.items(ink) if isinstance(i, Path) and i.source == "D[0]"}
    assert tints == {style.TINT_3}


def test_screw_heads_are_seen_where_they_look_to_the_viewer() -> None:
    one = case("stool")
    shown = [placed.id for placed in whole(one.scenes)]
    assert {"D[0]", "D[1]", "D[2]", "D[3]"} <= set(shown)  # screws from above
    assert len([name for name in shown if name.startswith("E")]) == 2  # dowels of the left side only


def test_lines_close_beside_each_other_are_told_apart_by_stretches() -> None:
    lines = np.array(
        [[(0.0, 0.0), (30.0, 0.0)], [(10.0, 1.0), (20.0, 1.0)], [(14.0, -0.4), (18.0, -0.4)], [(5.0, 3.0), (5.0, 9.0)]]
    )
    cut, line, step = close_stretches(lines, np.ones(4, dtype=np.bool_), 1.2)
    first = [
        (round(ends[0][0], 6), round(ends[1][0], 6), int(of_step))
        for ends, of, of_step in zip(cut.tolist(), line, step, strict=True)
        if of == 0
    ]
    assert first == [
        (0.0, 10.0, 0),
        (10.0, 14.0, 1),
        (14.0, 18.0, 2),
        (18.0, 20.0, 1),
        (20.0, 30.0, 0),
    ]
    assert step[line == 3].tolist() == [0]
    length = np.hypot(*(cut[:, 1] - cut[:, 0]).T)
    assert [length[line == k].sum() for k in range(4)] == pytest.approx([30, 10, 4, 6])


def test_unwatched_lines_stay_whole_and_do_not_count() -> None:
    lines = np.array([[(0.0, 0.0), (30.0, 0.0)], [(0.0, 0.5), (30.0, 0.5)]])
    cut, line, step = close_stretches(lines, np.array([True, False]), 1.2)
    assert cut.tolist() == lines.tolist()
    assert line.tolist() == [0, 1]
    assert step.tolist() == [0, 0]


def test_the_alternative_text_names_size_and_parts() -> None:
    alt = cover("inches").alt.replace("\u00a0", " ")
    assert "40 in long, 17 1/4 in deep and 30 in high" in alt
    assert "20 pieces: Slat A × 9, Bearer B × 3" in alt
    assert "1000\u00a0mm long" in cover("millimetres").alt


def test_equal_input_gives_an_equal_cover() -> None:
    one = case("inches")
    again = hero(one.plan, one.solids, Scenes(one.plan, one.solids), 172.0, 142.0)
    assert again == cover("inches")


def test_every_line_of_the_picture_is_drawn() -> None:
    """Strokes add up to the length of the visible lines (all pieces have pens for all kinds)."""
    one = case("inches")
    drawing = fitted(one.scenes.sight(FRONT_LEFT, [Placed(n) for n in one.plan.pieces]), (0.0, 0.0, 172.0, 142.0))
    total = np.hypot(*(drawing.lines[:, 1] - drawing.lines[:, 0]).T).sum()
    drawn = 0.0
    for item in drawing.items(lambda _: COVER_INK):
        if isinstance(item, Path) and item.role is not Role.TINT:
            for loop in loops_of(item):
                run = np.diff(np.array(loop), axis=0)
                drawn += float(np.hypot(run[:, 0], run[:, 1]).sum())
    assert drawn == pytest.approx(total, rel=1e-3)
    assert (drawing.sight.picture.kind == LineKind.SILHOUETTE).any()


@pytest.mark.parametrize("name", CASES)
def test_place_words_stand_free_beside_the_picture(name: str) -> None:
    one: Case = case(name)
    figure = place_words(one.plan, one.solids, one.scenes, MEASURE, 62.0, 48.0)
    assert [text.string for text in texts(figure)] == ["left", "back", "right", "front"]
    picture = seen_area(figure, list(one.plan.pieces))
    boxes = {}
    for text in texts(figure):
        half = MEASURE.width(text.string, Face.ITALIC, WORD_SIZE) / 2
        assert text.face is Face.ITALIC
        area = box(text.at[0] - half, text.at[1] - 0.8, text.at[0] + half, text.at[1] + 2.4)
        assert area.distance(picture) > 0.5
        assert box(0, 0, 62, 48).covers(area)
        boxes[text.string] = area.centroid
    assert findings(figure, MEASURE) == []
    assert boxes["left"].x < boxes["right"].x
    assert boxes["front"].y < boxes["back"].y
