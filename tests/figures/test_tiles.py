"""Laying out templates on sheets: seams, breaks, number of tiles."""

from __future__ import annotations

import itertools
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planpress.figures.tiles import (
    KEPT_PLAIN,
    Layout,
    Span,
    TileArea,
    Window,
    lay_out,
    merge_spans,
    seam_ranges,
    stretches,
)

INCH = Fraction(127, 5)
SQUARE = (False, False)


def spans(starts: list[Fraction], width: Fraction) -> list[Span]:
    return [(start, start + width) for start in starts]


def windows(layout: Layout) -> list[Window]:
    return [w for tile in layout.tiles for w in tile]


def test_a_short_part_is_one_whole_tile() -> None:
    layout = lay_out(Fraction(190), [(Fraction(90), Fraction(110))], SQUARE, TileArea())
    (window,) = windows(layout)
    assert (window.low, window.high, window.overlap) == (0, 190, 0)
    assert not layout.is_broken


def test_a_long_slat_with_three_notches_is_not_four_empty_tiles() -> None:
    """40 in with notches at 6, 19 5/8 and 33 1/4 in."""
    starts = [6 * INCH, Fraction(157, 8) * INCH, Fraction(133, 4) * INCH]
    layout = lay_out(40 * INCH, spans(starts, INCH * 3 / 4), SQUARE, TileArea())
    assert len(layout.tiles) == 1
    assert layout.is_broken
    assert windows(layout)[0].low == 0


def test_a_row_of_close_notches_stays_in_one_piece() -> None:
    """Nine notches 1 1/2 in apart in 14 3/4 in: two tiles, joined between notches."""
    starts = [INCH + k * INCH * 3 / 2 for k in range(9)]
    layout = lay_out(Fraction(59, 4) * INCH, spans(starts, INCH * 3 / 4), SQUARE, TileArea())
    assert len(layout.tiles) == 2
    assert not layout.is_broken
    assert len(layout.seams) == 1


def test_a_part_is_not_broken_where_that_saves_no_tile() -> None:
    layout = lay_out(Fraction(330), spans([Fraction(20), Fraction(290)], Fraction(18)), (True, True), TileArea())
    assert len(layout.tiles) == 2 or layout.is_broken
    whole = lay_out(Fraction(194), spans([Fraction(20), Fraction(160)], Fraction(18)), SQUARE, TileArea())
    assert not whole.is_broken
    assert len(whole.tiles) == 1


def test_a_seam_that_cannot_avoid_a_notch_is_told() -> None:
    wide = [(Fraction(60), Fraction(560))]
    layout = lay_out(Fraction(620), wide, (True, True), TileArea())
    assert layout.forced
    assert all(60 < seam < 560 for seam in layout.forced)


def test_a_sheet_too_low_is_refused() -> None:
    with pytest.raises(ValueError, match="too low"):
        lay_out(Fraction(100), [], SQUARE, TileArea(height=40))


def test_seam_ranges_stand_off_notches() -> None:
    ranges = seam_ranges((Fraction(0), Fraction(100)), [(Fraction(30), Fraction(40)), (Fraction(44), Fraction(50))])
    assert ranges == [(20, 27), (42, 42), (53, 80)]


def test_stretches_keep_wood_on_both_sides_of_features() -> None:
    shown = stretches(Fraction(500), [(Fraction(100), Fraction(120)), (Fraction(300), Fraction(320))], (True, False))
    assert shown == [(0, 20), (80, 140), (280, 340)]


@st.composite
def notch_rows(draw: st.DrawFn) -> tuple[Fraction, list[Span], tuple[bool, bool], TileArea]:
    """Parts up to 2.5 m with up to 30 notches and walls from 1 mm to half a metre, on papers of several heights."""
    gaps = draw(st.lists(st.tuples(st.integers(4, 2000), st.integers(6, 400)), min_size=1, max_size=30))
    position, row = Fraction(0), []
    for wall, width in gaps:
        position += Fraction(wall, 4)
        row.append((position, position + Fraction(width, 8)))
        position += Fraction(width, 8)
    length = position + Fraction(draw(st.integers(0, 1000)), 4)
    area = TileArea(height=draw(st.sampled_from([150.0, 201.5, 380.0])))
    return length, row, draw(st.tuples(st.booleans(), st.booleans())), area


@settings(max_examples=60, deadline=None)
@given(notch_rows())
def test_no_seam_goes_through_a_notch(case: tuple[Fraction, list[Span], tuple[bool, bool], TileArea]) -> None:
    length, row, keep, area = case
    layout = lay_out(length, row, keep, area)
    for seam in layout.seams:
        hit = [s for s in row if s[0] < seam < s[1]]
        assert not hit or seam in layout.forced
    for seam in layout.forced:
        assert any(s[0] - KEPT_PLAIN <= seam <= s[1] + KEPT_PLAIN for s in merge_spans(row))


@settings(max_examples=60, deadline=None)
@given(notch_rows())
def test_every_notch_is_shown_whole_and_everything_fits(
    case: tuple[Fraction, list[Span], tuple[bool, bool], TileArea],
) -> None:
    length, row, keep, area = case
    layout = lay_out(length, row, keep, area)
    shown = windows(layout)
    for low, high in row:
        holding = [w for w in shown if w.low <= low and high <= w.high]
        assert len(holding) == 1 or any(low < seam < high for seam in layout.forced)
    for before, after in itertools.pairwise(shown):
        assert before.high <= after.low
        assert before.joined_above == after.joined_below == (before.high == after.low)
    for tile in layout.tiles:
        assert float(tile[0].base) == area.foot
        assert float(tile[-1].y(tile[-1].top)) <= area.height - area.head + 1e-9
        for below, above in itertools.pairwise(tile):
            assert float(above.base - below.y(below.high)) == pytest.approx(area.gap)
        for window in tile:
            if window.joined_above:
                assert float(window.overlap) == min(area.overlap, float(length - window.high))
    assert shown[0].low == 0
    if keep[1]:
        assert shown[-1].high == length
