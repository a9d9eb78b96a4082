"""Scales against ISO 5455 and inch rules; the scale bar measures true."""

from __future__ import annotations

from fractions import Fraction

import pytest

from planpress.base.display import Path, Text
from planpress.base.lettering import plain
from planpress.base.quantities import INCH
from planpress.figures.extents import bounds
from planpress.figures.scales import largest_scale, ratio, scale_bar, scale_words, scales
from tests.figures.measure import INCHES, MEASURE, MILLIMETRES

# ISO 5455:1979 Technical drawings - Scales, table 1: reductions up to 1 : 200 (from memory).
ISO_REDUCTIONS = (2, 5, 10, 20, 50, 100, 200)
# Inches on paper to one foot on the usual architect's scale rule (common practice, no source).
INCHES_TO_A_FOOT = (Fraction(4), Fraction(3), Fraction(2), Fraction(1), Fraction(1, 2), Fraction(1, 4), Fraction(1, 8))


def test_metric_editions_have_every_reduction_of_the_standard() -> None:
    found = scales(MILLIMETRES)
    assert [n for n in ISO_REDUCTIONS if Fraction(1, n) not in found] == []


def test_inch_editions_have_the_scales_of_inch_rules_and_no_2_5() -> None:
    found = scales(INCHES)
    assert [s for s in INCHES_TO_A_FOOT if s / 12 not in found] == []
    assert Fraction(2, 5) not in found
    assert Fraction(2, 5) in scales(MILLIMETRES)


def test_scales_fall() -> None:
    for edition in (INCHES, MILLIMETRES):
        found = scales(edition)
        assert found[0] == 1
        assert list(found) == sorted(found, reverse=True)
        assert len(set(found)) == len(found)


def test_largest_scale_is_the_first_that_fits() -> None:
    assert largest_scale(lambda s: 1016 * s <= 170, INCHES) == Fraction(1, 6)
    assert largest_scale(lambda s: 400 * s <= 165, MILLIMETRES) == Fraction(2, 5)
    assert largest_scale(lambda s: 400 * s <= 165, INCHES) == Fraction(1, 3)
    with pytest.raises(ValueError, match="too large"):
        largest_scale(lambda s: False, INCHES)


def test_words() -> None:
    assert scale_words(Fraction(1)) == "full size"
    assert scale_words(Fraction(1, 6)) == "scale 1\u00a0:\u00a06"
    assert ratio(Fraction(2, 5)) == "1\u00a0:\u00a02.5"


@pytest.mark.parametrize("reduction", [1, 2, 3, 5, 6, 8, 10, 12, 16, 20, 24, 50])
def test_scale_bar_measures_true(reduction: int) -> None:
    for edition, unit in ((INCHES, INCH), (MILLIMETRES, Fraction(1))):
        scale = Fraction(1, reduction)
        items = scale_bar(scale, edition, MEASURE)
        fields = [item for item in items if isinstance(item, Path)]
        numbers = [item for item in items if isinstance(item, Text) and item.string not in ("in", "mm")]
        assert 3 <= len(fields) <= 4
        assert len(numbers) == len(fields) + 1
        right = bounds(fields[-1:], MEASURE)[2] - 0.125  # less half its line
        value = sum((Fraction(word) for word in plain(numbers[-1].string).split()), Fraction(0)) * unit
        assert right == pytest.approx(float(value * scale), abs=1e-6)
        assert numbers[-1].at[0] == pytest.approx(right)
