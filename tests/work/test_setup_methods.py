"""Stop, spacer and cutter simulated as removed intervals, against the notch that is asked for."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterable
from fractions import Fraction

import pytest

from planpress.base.quantities import INCH
from planpress.work.error_budget import row_budget
from planpress.work.setup_methods import (
    Interval,
    Passes,
    TooWideError,
    from_shoulder,
    pass_count,
    turned_end_for_end,
    with_offcut,
    with_spacer,
    with_two_fences,
)

CASES = 3000


def simulated(passes: Passes, kerf: Fraction, length: Fraction) -> list[Interval]:
    """What the passes take out of a piece, as intervals that do not touch each other.

    The cutter stands from D to D + k right of the stop. The end stands at the spacer, so a point of the piece is
    its distance from that end, plus the spacer, from the stop.
    """
    removed = []
    for one in passes.all:
        left, right = one.stop - one.spacer, one.stop + kerf - one.spacer
        removed.append((length - right, length - left) if one.turned else (left, right))
    return joined(removed)


def joined(intervals: Iterable[Interval]) -> list[Interval]:
    out: list[Interval] = []
    for low, high in sorted(intervals):
        if out and low <= out[-1][1]:
            out[-1] = (out[-1][0], max(high, out[-1][1]))
        else:
            out.append((low, high))
    return out


def lengths(number: int) -> Iterable[tuple[random.Random, Fraction, Fraction, Fraction, Fraction]]:
    """Random pieces: (random, length, width of the notch, cutter, overlap); some cutters are as wide as the notch."""
    chance = random.Random(number)
    for i in range(CASES):
        width = Fraction(chance.randint(30, 1200), 10) if i % 2 else INCH * chance.randint(3, 300) / 64
        kerf = width if i % 17 == 0 else width * chance.randint(20, 999) / 1000
        length = width * chance.randint(2, 40) + Fraction(chance.randint(0, 999), 7)
        yield chance, length, width, kerf, kerf * chance.randint(0, 60) / 100


def test_one_stop_and_one_spacer() -> None:
    for chance, length, width, kerf, overlap in lengths(1):
        near = (length - width) * chance.randint(0, 1000) / 1000
        assert simulated(with_spacer(near, near + width, kerf, overlap), kerf, length) == [(near, near + width)]


def test_an_offcut_makes_the_notch_as_wide_as_it_is_itself() -> None:
    """Whatever the offcut measures: the near shoulder stays where the stop is for, the width is the offcut's."""
    for chance, length, width, kerf, overlap in lengths(2):
        near = (length - width) * chance.randint(0, 1000) / 1000
        measured = width + Fraction(chance.randint(0, 40), 100)
        assert simulated(with_offcut(near, measured, kerf, overlap), kerf, length) == [(near, near + measured)]


def test_turned_end_for_end_is_central() -> None:
    for _, length, width, kerf, overlap in lengths(3):
        removed = simulated(turned_end_for_end(length, width, kerf, overlap), kerf, length)
        assert removed == [((length - width) / 2, (length + width) / 2)]


def test_turned_end_for_end_stays_central_in_a_piece_of_another_length() -> None:
    """If a piece is e longer than the others, the notch is central all the same, but e narrower."""
    for chance, length, width, kerf, _ in lengths(4):
        if kerf == width:
            continue  # one pass: nothing is turned
        longer = min(Fraction(chance.randint(-50, 50), 100), width - kerf)
        shoulders = Passes(turned_end_for_end(length, width, kerf, Fraction(0)).shoulders, ())
        removed = simulated(shoulders, kerf, length + longer)
        low, high = removed[0][0], removed[-1][1]
        assert low + high == length + longer
        assert high - low == width - longer


def test_from_a_shoulder_out_to_the_end() -> None:
    for chance, length, width, kerf, overlap in lengths(5):
        near = -width * chance.randint(0, 100) / 1000  # a slanted end stands out beyond the stop
        removed = simulated(from_shoulder(near, near + width, kerf, overlap), kerf, length)
        assert removed == [(near, near + width)]


def test_a_cutter_wider_than_an_end_notch_still_makes_its_shoulder() -> None:
    passes = from_shoulder(Fraction(0), Fraction(10), Fraction(19), Fraction(1))
    assert simulated(passes, Fraction(19), Fraction(300)) == [(-9, 10)]


def test_two_settings_of_the_fence() -> None:
    for chance, length, width, kerf, overlap in lengths(6):
        near = (length - width) * chance.randint(0, 1000) / 1000
        assert simulated(with_two_fences(near, near + width, kerf, overlap), kerf, length) == [(near, near + width)]


def test_no_pass_asks_a_piece_to_go_through_the_stop() -> None:
    for chance, length, width, kerf, overlap in lengths(7):
        near = (length - width) * chance.randint(0, 1000) / 1000
        ways = (
            with_spacer(near, near + width, kerf, overlap),
            with_offcut(near, width, kerf, overlap),
            turned_end_for_end(length, width, kerf, overlap),
            from_shoulder(Fraction(0), width, kerf, overlap),
        )
        assert all(one.spacer >= 0 for passes in ways for one in passes.all)


def test_neighbouring_passes_overlap_as_much_as_they_should() -> None:
    for chance, length, width, kerf, overlap in lengths(8):
        near = (length - width) * chance.randint(0, 1000) / 1000
        starts = sorted(one.removed(kerf, length)[0] for one in with_spacer(near, near + width, kerf, overlap).all)
        assert all(b - a <= kerf - overlap for a, b in itertools.pairwise(starts))


@pytest.mark.parametrize(
    ("width", "kerf", "overlap", "count"),
    [
        ("38.1", "19.05", "0.5", 3),  # by hand: 1 + ceil(19.05 / 18.55)
        ("38.1", "3.2", "0.5", 14),  # 1 + ceil(34.9 / 2.7)
        ("19.05", "19.05", "0.8", 1),
        ("19.05", "3.175", "0.8", 8),  # 1 + ceil(15.875 / 2.375)
        ("3.3", "3.2", "0.8", 2),
    ],
)
def test_numbers_of_passes_by_hand(width: str, kerf: str, overlap: str, count: int) -> None:
    assert pass_count(Fraction(width), Fraction(kerf), Fraction(overlap)) == count


def test_a_cutter_that_is_too_wide_is_refused() -> None:
    with pytest.raises(TooWideError):
        with_spacer(Fraction(10), Fraction(20), Fraction(11), Fraction(1))
    with pytest.raises(TooWideError):
        with_offcut(Fraction(10), Fraction(10), Fraction(11), Fraction(1))
    with pytest.raises(ValueError, match="overlap"):
        pass_count(Fraction(10), Fraction(1), Fraction(1))


def test_the_error_of_a_row_against_simulated_settings() -> None:
    """Ten thousand rows with errors of one size, plus or minus: the spread of the last notch is the likely error.

    The worst case is all errors on one side, and a pin that repeats its own error reaches it every time.
    """
    chance, error, notches = random.Random(9), 0.3, 9
    ends = [sum(chance.choice((-error, error)) for _ in range(notches)) for _ in range(10000)]
    spread = (sum(e * e for e in ends) / len(ends)) ** 0.5
    budget = row_budget(notches, Fraction("0.3"))
    assert float(budget.stepped_likely) == pytest.approx(spread, rel=0.03)
    assert float(budget.stepped_likely) == pytest.approx(0.9)
    assert budget.stepped_worst == Fraction("2.7")
    assert max(abs(e) for e in ends) <= float(budget.stepped_worst) + 1e-9
    assert budget.measured_worst == Fraction("0.3")
    assert budget.measuring_pays
    assert not row_budget(2, Fraction("0.3")).measuring_pays


def test_a_row_needs_a_notch() -> None:
    with pytest.raises(ValueError, match="at least one"):
        row_budget(0, Fraction(1))
