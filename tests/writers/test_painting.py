"""Figures in the written file: true sizes, lines, circles, colours and hatching, read back by pdfium and pikepdf."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from planpress.base.display import (
    Anchor,
    Circle,
    Face,
    Figure,
    Hatch,
    Item,
    Path,
    Pen,
    Role,
    Text,
    line,
    polyline,
    rectangle,
)
from planpress.writers.pdf.fonts import Metrics
from planpress.writers.pdf.painting import colour_operands, item_operators
from planpress.writers.pdf.writing import PdfWriter
from tests.writers.reading import characters, operators, paths
from tests.writers.sample import SETTINGS, drawn

ROLL = (914 / 25.4 * 72, 3000 / 25.4 * 72)
PEN = Pen(0.5)

#: Tolerance of a length in mm: pdfium reads 32-bit floats, the file has whole 1/100 mm.
CLOSE = 0.01


def figure(*items: Item) -> Figure:
    return Figure(900, 2900, items)


@pytest.mark.parametrize("length", [10, 250, 2500])
def test_a_line_is_true_to_length(length: float) -> None:
    ((points, width),) = paths(drawn(figure(line((20, 30), (20, 30 + length), PEN)), ROLL))
    (_, x0, y0), (_, x1, y1) = points
    assert y1 - y0 == pytest.approx(length, abs=CLOSE)
    assert x0 == pytest.approx(20, abs=CLOSE)
    assert y0 == pytest.approx(30, abs=CLOSE)
    assert x1 == pytest.approx(20, abs=CLOSE)
    assert width == pytest.approx(0.5, abs=0.001)


def test_a_figure_stands_where_it_is_put() -> None:
    pdf = PdfWriter(SETTINGS)
    canvas = pdf.new_canvas((612, 792))
    canvas.translate(72, 144)
    canvas.draw_figure(figure(line((0, 0), (10, 0), PEN)), 36, 0)
    ((points, _),) = paths(canvas.finish().data)
    assert points[0][1] == pytest.approx(1.5 * 25.4, abs=CLOSE)
    assert points[0][2] == pytest.approx(2 * 25.4, abs=CLOSE)


@pytest.mark.parametrize("radius", [0.8, 40, 400])
def test_a_circle_is_round(radius: float) -> None:
    ((points, _),) = paths(drawn(figure(Circle((450, 1000), radius, PEN)), ROLL))
    curve = [(x, y) for _, x, y in points]
    assert len(curve) == 1 + 8 * 3
    for i in range(0, 24, 3):
        a, b, c, d = curve[i : i + 4]
        for step in range(11):
            t = step / 10
            weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
            x, y = (sum(w * p[k] for w, p in zip(weights, (a, b, c, d), strict=True)) for k in (0, 1))
            assert math.hypot(x - 450, y - 1000) == pytest.approx(radius, abs=CLOSE + 5e-6 * radius)


def test_text_starts_ends_and_turns_about_its_position() -> None:
    width = Metrics().width("Slat", Face.REGULAR, 11)
    for angle in (0, 90, 30):
        ends = {}
        for anchor in Anchor:
            letters = characters(drawn(figure(Text((80, 90), "Slat", anchor=anchor, angle=angle))))
            ends[anchor] = letters[0][1:]
        for anchor, back in ((Anchor.START, 0), (Anchor.MIDDLE, width / 2), (Anchor.END, width)):
            x, y = 80 - back * math.cos(math.radians(angle)), 90 - back * math.sin(math.radians(angle))
            assert ends[anchor][0] == pytest.approx(x, abs=CLOSE)
            assert ends[anchor][1] == pytest.approx(y, abs=CLOSE)


@pytest.mark.parametrize(
    ("colour", "operands"),
    [
        ("#000000", ("0",)),
        ("#FFFFFF", ("1",)),
        ("#1B1B1A", ("0.105",)),
        ("#8E8E89", ("0.555",)),
        ("#2E6A4C", ("0.18", "0.416", "0.298")),
    ],
)
def test_neutral_colours_are_grey(colour: str, operands: tuple[str, ...]) -> None:
    assert colour_operands(colour) == operands


@pytest.mark.parametrize("colour", ["red", "#12345", "#1234567", "#GGGGGG"])
def test_other_colours_are_refused(colour: str) -> None:
    with pytest.raises(ValueError, match=r"colour|invalid literal"):
        colour_operands(colour)


def _operators(*items: Item) -> list[str]:
    return item_operators(items, lambda face, text: [("/F", f"({text})")])


def test_lines_of_one_pen_are_one_path() -> None:
    thin = Pen(0.18)
    items = [line((0, 0), (1, 0), PEN), line((5, 5), (6, 5), thin), line((2, 0), (3, 0), PEN)]
    assert [text for text in _operators(*items) if text == "S"] == ["S", "S"]


def test_lines_of_other_colours_keep_their_order() -> None:
    red, green = Pen(0.5, "#FF0000"), Pen(0.5, "#00FF00")
    shown = _operators(line((0, 0), (1, 0), red), line((0, 0), (1, 0), green), line((0, 1), (1, 1), red))
    assert [text for text in shown if text.endswith("RG")] == ["0 1 0 RG", "1 0 0 RG"]
    assert shown[0].startswith("1 0 0 RG 50 w")


def test_edges_are_drawn_on_and_check_bars_are_not() -> None:
    corner = [((0.0, 0.0), (5.0, 0.0)), ((5.0, 0.0), (5.0, 5.0))]
    edges = [line(a, b, PEN, Role.EDGE) for a, b in corner]
    bars = [line(a, b, PEN, Role.CHECK_BAR) for a, b in corner]
    assert _operators(*edges)[1:] == ["0 0 m 500 0 l", "500 500 l", "S"]
    assert _operators(*bars)[1:] == ["0 0 m 500 0 l", "500 0 m 500 500 l", "S"]


def test_dashes_are_in_millimetres_and_begin_anew() -> None:
    dashed = Pen(0.18, dash=(1.6, 0.8))
    shown = _operators(line((0, 0), (5, 0), dashed), line((5, 0), (5, 5), dashed))
    assert "[160 80] 0 d" in shown[0]
    assert shown[2] == "500 0 m 500 500 l"


def test_areas_are_filled_even_odd_in_order() -> None:
    ring = Path((*rectangle(0, 0, 10, 10), *rectangle(2, 2, 6, 6)), None, "#FFFFFF", Role.TINT)
    shown = operators(drawn(figure(ring, Path(rectangle(1, 1, 2, 2), PEN, "#CBCBC6"))))
    assert [text for text in shown if text in ("f*", "B*", "f", "S")] == ["f*", "B*"]
    assert shown.index("1 g") < shown.index("f*") < shown.index("0.794 g") < shown.index("B*")


def test_hatching_is_clipped_lines_at_the_step() -> None:
    area = rectangle(20, 20, 30, 12)
    shown = operators(drawn(figure(Path(area, PEN, Hatch(2.0, -45)))))
    assert shown.index("W*") < shown.index("n") < shown.index("S")
    found = paths(drawn(figure(Path(area, None, Hatch(2.0, -45)))))
    lines = [points for points, _ in found if len(points) > 6]
    offsets = sorted({round((x + y) / math.sqrt(2), 2) for points in lines for kind, x, y in points if kind == 2})
    assert len(offsets) >= (30 + 12) / math.sqrt(2) / 2 - 1
    assert all(b - a == pytest.approx(2.0, abs=0.02) for a, b in pairwise(offsets))


def test_hatches_of_neighbouring_areas_match() -> None:
    left, right = (
        [text for text in _operators(Path(rectangle(x, 0, 10, 10), None, Hatch(1.6, 45))) if text.endswith(" l")]
        for x in (0, 10)
    )

    def offsets(lines: list[str]) -> set[int]:
        ends = [[int(number) for number in text.split()[:2]] for text in lines]
        return {round((y - x) / math.sqrt(2) / 160) for x, y in ends}

    assert offsets(left) & offsets(right)
    for text in [*left, *right]:
        x, y = (int(number) for number in text.split()[:2])
        steps = (y - x) / math.sqrt(2) / 160
        assert steps == pytest.approx(round(steps), abs=0.01)


def test_curves_closed_paths_and_open_ones() -> None:
    path = Path((("m", 0, 0), ("c", 0, 1, 1, 2, 2, 2), ("l", 3, 2), ("z",)), PEN)
    assert _operators(path)[1] == "0 0 m 0 100 100 200 200 200 c 300 200 l h"
    assert _operators(Path(polyline([(0, 0), (1, 1)]), PEN))[1] == "0 0 m 100 100 l"


def test_nothing_is_drawn_of_nothing() -> None:
    assert _operators(Path((), PEN), Path((), None, "#FFFFFF"), Path(polyline([(0, 0), (1, 1)]))) == []


def test_an_outline_is_drawn_over_its_fill_and_later_items_over_both() -> None:
    shown = _operators(Circle((5, 5), 2, PEN, "#FFFFFF"), Text((5, 5), "A"), line((0, 0), (9, 9), PEN))
    kinds = [text.split()[-1] for text in shown]
    assert kinds.index("B*") < kinds.index("BT") < kinds.index("ET") < kinds.index("S")
