"""Dimension lines, running rows, angles: where arrows, lines and values stand."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planpress.base.display import Anchor, Circle, Face, Figure, Item, Path, Role, Text, points_of
from planpress.base.lettering import plain
from planpress.base.printing import close_chain, write_ticks
from planpress.base.quantities import INCH
from planpress.figures import style
from planpress.figures.callouts import angle, arc, drill_size
from planpress.figures.dimensions import FIRST, NARROW, Label, Span, level, levels, stack_levels, upright
from planpress.figures.extents import fitted_figure
from planpress.figures.running import (
    MOST_VALUES,
    TURNED_STEP,
    Value,
    positions_table,
    running_column,
    running_row,
    spread,
)
from tests.figures.measure import INCHES, MEASURE, MILLIMETRES, faults


def figure(items: Sequence[Item]) -> Figure:
    return fitted_figure(items, MEASURE, "")


def row(positions: Sequence[Fraction], scale: float = 0.25) -> tuple[Item, ...]:
    """A running row as part drawings make it; the last position is the overall size."""
    values = [
        Value(float(p) * scale, 0.0, Label(INCHES.length(p), bold=i == len(positions) - 1))
        for i, p in enumerate(positions)
    ]
    return running_row(Value(0.0, 0.0, Label("0")), values, -7.0, -1, MEASURE).items


def texts(items: Sequence[Item]) -> list[Text]:
    return [item for item in items if isinstance(item, Text)]


def test_value_stands_above_its_line_in_the_middle() -> None:
    items = level(Span(10.0, 50.0, 0.0, 0.0, Label("40")), -9.0, MEASURE)
    (text,) = texts(items)
    assert text.anchor is Anchor.MIDDLE
    assert text.at == (30.0, pytest.approx(-9.0 + 1.6))
    assert text.angle == 0


def test_fractions_are_lifted_off_the_line() -> None:
    half = INCHES.length(INCH * Fraction(3, 2))
    (plain_text,) = texts(level(Span(0, 40, 0, 0, Label("1")), 9.0, MEASURE))
    (fraction,) = texts(level(Span(0, 40, 0, 0, Label(half)), 9.0, MEASURE))
    assert fraction.at[1] - plain_text.at[1] == pytest.approx(0.9, abs=0.05)


def test_upright_values_read_from_the_right() -> None:
    (text,) = texts(upright(Span(0.0, 40.0, 10.0, 10.0, Label("40")), 0.0, MEASURE))
    assert text.angle == 90
    assert text.at[0] < 0.0


@pytest.mark.parametrize("length", [2.0, 6.4, NARROW + 0.1, 30.0])
def test_arrows_of_narrow_dimensions_come_from_outside(length: float) -> None:
    items = level(Span(0.0, length, 0.0, 0.0, Label("1")), 9.0, MEASURE)
    heads = [i for i in items if isinstance(i, Path) and i.role is Role.DIMENSION and i.fill == style.INK]
    backs = [sum(x for x, _ in points_of(head.segments)[1:]) / 2 for head in heads]
    outside = backs[0] < 0.0 and backs[1] > length
    assert outside == (length < NARROW)


def test_extension_lines_leave_a_gap_and_overrun() -> None:
    items = level(Span(0.0, 30.0, 2.0, 2.0, Label("1")), -9.0, MEASURE)
    for item in items:
        if isinstance(item, Path) and item.role is Role.EXTENSION:
            start, end = points_of(item.segments)
            assert (start[1], end[1]) == (pytest.approx(2.0 - 1.2), pytest.approx(-9.0 - 1.5))


def test_stack_puts_the_shortest_nearest_and_keeps_clear() -> None:
    spans = [Span(0, 100, 0, 0, Label("100")), Span(0, 40, 0, 0, Label("40")), Span(50, 90, 0, 0, Label("50"))]
    assert levels(spans) == [1, 0, 0]
    assert faults(figure(stack_levels(spans, 0.0, -1, MEASURE))) == []


@given(st.lists(st.tuples(st.integers(0, 100), st.integers(8, 100)), min_size=1, max_size=6))
def test_stacked_spans_never_share_a_line_with_what_they_overlap(pairs: list[tuple[int, int]]) -> None:
    spans = [Span(a, a + n, 0, 0, Label("1")) for a, n in pairs]
    numbers = levels(spans)
    for i, a in enumerate(spans):
        for j, b in enumerate(spans):
            if i < j and a.low < b.high and b.low < a.high:
                assert numbers[i] != numbers[j]
                longer = i if a.length >= b.length + 1e-3 else j if b.length >= a.length + 1e-3 else None
                if longer is not None:
                    assert numbers[longer] == max(numbers[i], numbers[j])


def test_running_row_writes_positions_and_ends_with_the_overall_size() -> None:
    positions = [INCH * p for p in (Fraction(6), Fraction(157, 8), Fraction(133, 4), Fraction(40))]
    items = row(positions, 0.166)
    assert [plain(t.string) for t in texts(items)] == ["0", "6", "19 5/8", "33 1/4", "40"]
    assert [t.face for t in texts(items)] == [Face.REGULAR] * 4 + [Face.SEMIBOLD]
    rings = [i for i in items if isinstance(i, Circle) and i.fill == style.TINT_0]
    assert [ring.centre for ring in rings] == [(0.0, -7.0)]
    assert len({t.at[1] for t in texts(items)}) == 1, "values share a baseline"
    assert faults(figure(items)) == []


def test_running_row_closes_where_rounded_gaps_do_not() -> None:
    # 12 slats of 38 mm in 1200 mm: gaps rounded to 1/16 in would be 5/16 in out over the row.
    width, overall = Fraction(38), Fraction(1200)
    gap = (overall - 12 * width) / 11
    positions = [i * (width + gap) for i in range(1, 12)] + [overall]
    shown = [plain(t.string).removeprefix("\u2248\u00a0") for t in texts(row(positions))]
    ticks = close_chain([Fraction(0), *positions], INCHES.length_grid)
    assert shown == [plain(write_ticks(t, INCHES.length_grid)) for t in ticks]
    assert ticks[-1] == round(overall / INCHES.length_grid.step)
    rounded_gap = round(gap / INCHES.length_grid.step) + round(width / INCHES.length_grid.step)
    assert rounded_gap * 11 + round(width / INCHES.length_grid.step) != ticks[-1]


@pytest.mark.parametrize("step", [1.0, 3.0, 6.0, 9.0, 14.0])
@pytest.mark.parametrize("way", [1, -1])
def test_dense_rows_stay_readable(step: float, way: int) -> None:
    values = [
        Value(step * i, 0.0, Label(INCHES.length(INCH * (10 + i + Fraction(1, 16))), i == 12)) for i in range(1, 13)
    ]
    items = running_row(Value(0.0, 0.0, Label("0")), values, way * 7.0, way, MEASURE).items
    assert faults(figure(items)) == []
    assert {t.angle for t in texts(items)} == ({0.0} if step >= 9 else {90.0})


def test_more_than_24_values_become_numbers_and_a_table() -> None:
    n = MOST_VALUES + 6
    values = [Value(5.0 * i, 0.0, Label(str(10 * i), i == n)) for i in range(1, n + 1)]
    made = running_row(Value(0.0, 0.0, Label("0")), values, 7.0, 1, MEASURE)
    assert made.numbered == tuple((i, str(10 * i)) for i in range(1, n))
    assert len(texts(made.items)) < MOST_VALUES
    table = positions_table(made.numbered, MEASURE)
    assert [t.string for t in texts(table)][1::2] == [str(10 * i) for i in range(1, n)]
    assert faults(figure(table)) == []


def test_upright_rows_stay_readable() -> None:
    values = [Value(y, 0.0, Label(str(i))) for i, y in enumerate((1.0, 2.0, 30.0, 33.0, 80.0))]
    items = running_column(Value(0.0, 0.0, Label("0")), values, 9.0, 1, MEASURE).items
    assert faults(figure(items)) == []


@given(st.lists(st.floats(0, 200), min_size=1, max_size=20))
def test_spread_keeps_order_and_step(places: list[float]) -> None:
    wanted = sorted(places)
    found = spread(wanted, TURNED_STEP)
    assert all(b - a >= TURNED_STEP - 1e-9 for a, b in pairwise(found))
    assert sum(found) == pytest.approx(sum(wanted), abs=1e-6)  # least squares keeps the mean
    if all(b - a >= TURNED_STEP for a, b in pairwise(wanted)):
        assert found == pytest.approx(wanted)


@given(st.floats(-180, 180), st.floats(1, 170))
def test_arcs_are_round(start: float, turn: float) -> None:
    segments = arc((3.0, 4.0), 10.0, start, start + turn)
    for segment in segments:
        end = points_of([segment])[-1]
        assert math.dist(end, (3.0, 4.0)) == pytest.approx(10.0)


@pytest.mark.parametrize(("reference", "leg"), [(90.0, 84.0), (90.0, 96.0), (-90.0, -84.0), (-90.0, -96.0)])
def test_angle_value_stands_outside_the_wedge(reference: float, leg: float) -> None:
    items = angle((0.0, 0.0), reference, leg, "6°", MEASURE)
    (text,) = texts(items)
    middle = math.degrees(math.atan2(text.at[1], text.at[0]))
    assert (middle - reference) * (leg - reference) < 0
    assert faults(figure(items)) == []


def test_drill_sizes() -> None:
    assert plain(drill_size(Fraction("4.365625"), INCHES)) == "\u00d8\u00a011/64"
    assert drill_size(Fraction("4.5"), MILLIMETRES) == "\u00d8\u00a04.5"


def test_first_line_stands_clear_of_the_outline() -> None:
    (text,) = texts(stack_levels([Span(0, 40, 0, 0, Label("40"))], 0.0, 1, MEASURE))
    assert text.at[1] == pytest.approx(FIRST + 1.6)
