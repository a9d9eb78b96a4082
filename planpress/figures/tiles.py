"""Laying a template out on sheets: what is left out, where a seam may go, how few sheets will do.

Positions are u, mm along the part from its reference end; heights are mm on paper, so that 1 mm is 1 mm. Long plain
stretches are broken out, seams stand clear of notches and holes, and the sheets are filled evenly.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import TypeAlias

from attrs import field, frozen

#: Least and greatest u of something that no seam may go through.
Span: TypeAlias = tuple[Fraction, Fraction]

LONGEST_PLAIN = Fraction(60)  # a longer stretch without features may be broken out
KEPT_PLAIN = Fraction(20)  # wood left on both sides of a feature where it is
KEPT_END = Fraction(5)  # of a plain square reference end
SEAM_CLEAR = Fraction(3)  # between a seam and a feature, where there is room
LEAST_CLEAR = Fraction(1, 2)
LEAST_PIECE = Fraction(20)  # between a seam and an end of the wood shown
_RANGES_TRIED = 3


@frozen
class TileArea:
    """The paper that the tiles of a template stand on, mm.

    The default is what the block of 180 x 252, common to letter and A4, leaves between the head of the page, the column
    of words and the bar across: x 0 to 112, y 22.5 to 224 from its upper left corner.

    Attributes:
        width, height: of the figure. overlap: the strip beyond a join line, on which the next tile lies.
        foot, head: free at the bottom (for the mark of the reference end, or crosses) and at the top.
        gap: between the two break lines of a stretch left out.
    """

    width: float = 112.0
    height: float = 201.5
    overlap: float = 12.0
    foot: float = 5.5
    head: float = 1.5
    gap: float = field(default=4.0)

    @property
    def room(self) -> Fraction:
        """Height for wood."""
        return Fraction(self.height) - Fraction(self.foot) - Fraction(self.head)


@frozen
class Window:
    """A stretch of the part on one tile.

    Attributes:
        low, high: its range in u, without the overlap.
        base: height of `low` on the tile. overlap: mm of wood shown beyond `high`, on the grey strip.
        joined_below, joined_above: whether it meets another tile there at a join line.
        broken_below, broken_above: whether a stretch is left out there.
    """

    low: Fraction
    high: Fraction
    base: Fraction
    overlap: Fraction
    joined_below: bool
    joined_above: bool
    broken_below: bool
    broken_above: bool

    @property
    def top(self) -> Fraction:
        """Greatest u shown, overlap included."""
        return self.high + self.overlap

    def y(self, u: Fraction) -> Fraction:
        """Height on the tile of a position."""
        return self.base + (u - self.low)


@frozen
class Layout:
    """All tiles of a template: the windows of each, from the reference end on.

    Attributes:
        tiles: windows of each tile, bottom up. forced: seams (u) that go through a feature, for want of a better place.
    """

    tiles: tuple[tuple[Window, ...], ...]
    forced: tuple[Fraction, ...]

    @property
    def seams(self) -> tuple[Fraction, ...]:
        """Positions of all join lines."""
        return tuple(w.high for tile in self.tiles for w in tile if w.joined_above)

    @property
    def is_broken(self) -> bool:
        """True if stretches between shown ones are left out, so that the paper cannot be used as one."""
        return any(w.broken_below for tile in self.tiles for w in tile)

    @property
    def high(self) -> Fraction:
        """The greatest u shown."""
        return self.tiles[-1][-1].high


def lay_out(length: Fraction, features: Sequence[Span], keep: tuple[bool, bool], area: TileArea) -> Layout:
    """The layout with the fewest tiles.

    Of several the first: the whole part; all but its plain far end; with long plain stretches broken out.

    Args:
        features: spans of notches and holes. keep: whether the near and the far end are features too (ends not square).

    Raises:
        ValueError: if the area is too low for any wood.
    """
    if area.room < 2 * Fraction(area.overlap) + LEAST_PIECE:
        raise ValueError("the sheet is too low for a template")
    merged = merge_spans(features)
    whole = _arrange([(Fraction(0), length)], merged, length, area)
    if len(whole.tiles) == 1:
        return whole
    best = whole
    others = [stretches(length, merged, keep)]
    if merged and not keep[1] and merged[-1][1] + KEPT_PLAIN < length:
        others.insert(0, [(Fraction(0), merged[-1][1] + KEPT_PLAIN)])
    for shown in others:
        least = math.ceil(sum((high - low for low, high in shown), Fraction(0)) / area.room)
        if (least, 0) < _rank(best):  # else it cannot be better
            best = min(best, _arrange(shown, merged, length, area), key=_rank)
    return best


def _rank(layout: Layout) -> tuple[int, int]:
    return len(layout.tiles), len(layout.forced)


def merge_spans(spans: Sequence[Span]) -> list[Span]:
    """Spans in ascending order, those that overlap or touch made one."""
    out: list[Span] = []
    for low, high in sorted(spans):
        if out and low <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], high))
        else:
            out.append((low, high))
    return out


def stretches(length: Fraction, features: Sequence[Span], keep: tuple[bool, bool]) -> list[Span]:
    """The stretches of wood to show when long plain ones are broken out.

    A plain square reference end keeps a stub, which the running dimensions start from; a plain square far end goes.
    """
    zero = Fraction(0)
    near, far = keep
    solid = [*features]
    if near and (not solid or solid[0][0] > 0):
        solid.insert(0, (zero, zero))
    if far and (not solid or solid[-1][1] < length):
        solid.append((length, length))
    if not solid:
        return [(zero, length)]
    out: list[Span] = []
    start = zero
    if solid[0][0] > LONGEST_PLAIN:
        out.append((zero, KEPT_END))
        start = solid[0][0] - KEPT_PLAIN
    for before, after in itertools.pairwise(solid):
        if after[0] - before[1] > LONGEST_PLAIN:
            out.append((start, before[1] + KEPT_PLAIN))
            start = after[0] - KEPT_PLAIN
    plain_end = length - solid[-1][1] > LONGEST_PLAIN
    out.append((start, solid[-1][1] + KEPT_PLAIN if plain_end else length))
    return out


def seam_ranges(stretch: Span, features: Sequence[Span]) -> list[Span]:
    """Where in a stretch a seam may go: clear of features by 3 mm, or as far as the wood between them allows."""
    low, high = stretch
    inside = [(max(a, low), min(b, high)) for a, b in features if b > low and a < high]
    out: list[Span] = []
    walls = [(low, low), *inside, (high, high)]
    for i, (before, after) in enumerate(itertools.pairwise(walls)):
        gap = after[0] - before[1]
        clear = [SEAM_CLEAR, SEAM_CLEAR]
        if i == 0:
            clear[0] = LEAST_PIECE
        if i == len(walls) - 2:
            clear[1] = LEAST_PIECE
        if i not in (0, len(walls) - 2) and gap < 2 * SEAM_CLEAR:
            clear = [gap / 2, gap / 2]
        start, end = before[1] + clear[0], after[0] - clear[1]
        if start <= end and min(clear) >= LEAST_CLEAR:
            out.append((start, end))
    return out


@frozen(order=True)
class _Cost:
    """What makes a layout better, the most important first."""

    tiles: int = 0
    forced: int = 0
    seams: int = 0
    unevenness: Fraction = Fraction(0)

    def __add__(self, other: _Cost) -> _Cost:
        return _Cost(
            self.tiles + other.tiles,
            self.forced + other.forced,
            self.seams + other.seams,
            self.unevenness + other.unevenness,
        )


@frozen
class _Page:
    """One way to fill a tile: the windows, where the next one starts (stretch, u), and whether its seam is forced."""

    windows: tuple[Window, ...]
    next_start: tuple[int, Fraction] | None
    forced: bool
    cost: _Cost


class _Arranger:
    """Finds the cheapest pages from any start on; the answers are kept by start."""

    def __init__(self, shown: Sequence[Span], features: Sequence[Span], length: Fraction, area: TileArea) -> None:
        self._shown = shown
        self._length = length
        self._room, self._gap, self._overlap = area.room, Fraction(area.gap), Fraction(area.overlap)
        self._foot = Fraction(area.foot)
        self._ranges = [seam_ranges(stretch, features) for stretch in shown]
        self._known: dict[tuple[int, Fraction], tuple[_Cost, _Page]] = {}

    def best(self, start: tuple[int, Fraction]) -> tuple[_Cost, _Page]:
        """The least cost from `start` to the end, and the page to begin with; the first found wins a tie."""
        if start not in self._known:
            choices = []
            for page in self._pages(start):
                rest = self.best(page.next_start)[0] if page.next_start else _Cost()
                choices.append((page.cost + rest, page))
            self._known[start] = min(choices, key=lambda choice: choice[0])
        return self._known[start]

    def _pages(self, start: tuple[int, Fraction]) -> Iterator[_Page]:
        index, low = start
        room, gap, overlap = self._room, self._gap, self._overlap
        used = Fraction(0)
        windows: tuple[Window, ...] = ()
        found = False
        while True:
            high = self._shown[index][1]
            for seam in self._seams(index, low, low + room - overlap - used):
                found = True
                window = self._window(index, low, seam, used)
                yield self._page((*windows, window), (index, seam), False, used + seam - low + overlap)
            if used + high - low > room:
                break
            windows = (*windows, self._window(index, low, high, used))
            used += high - low
            found = True
            if index + 1 == len(self._shown):
                yield self._page(windows, None, False, used)
                return
            yield self._page(windows, (index + 1, self._shown[index + 1][0]), False, used)
            index, low = index + 1, self._shown[index + 1][0]
            used += gap
        if not found:
            seam = low + room - overlap
            window = self._window(index, low, seam, Fraction(0))
            yield self._page((window,), (index, seam), True, room)

    def _seams(self, index: int, low: Fraction, limit: Fraction) -> Iterator[Fraction]:
        """Seams worth a try: the highest below the limit, then ends and middles of the ranges just below it.

        The highest never needs more tiles than another; the others, which do not depend on where the tile starts, may
        fill the tiles more evenly.
        """
        least = low + LEAST_PIECE
        reached = [r for r in self._ranges[index] if r[0] <= limit and r[1] >= least and limit >= least]
        if not reached:
            return
        highest = min(reached[-1][1], limit)
        if highest < least:
            return
        yield highest
        enough = max(least, limit - self._room / 2)
        for start, end in reached[-_RANGES_TRIED:]:
            for seam in ((start + end) / 2, end):
                if enough <= seam < highest:
                    yield seam

    def _page(
        self, windows: tuple[Window, ...], following: tuple[int, Fraction] | None, forced: bool, used: Fraction
    ) -> _Page:
        seam = following is not None and following[1] == windows[-1].high and windows[-1].joined_above
        free = self._room - used
        return _Page(windows, following, forced, _Cost(1, int(forced), int(seam), free * free))

    def _window(self, index: int, low: Fraction, high: Fraction, used: Fraction) -> Window:
        first, last = self._shown[index]
        return Window(
            low,
            high,
            self._foot + used,
            min(self._overlap, self._length - high) if high < last else Fraction(0),
            low > first,
            high < last,
            low == first and low > 0,
            high == last and high < self._length,
        )


def _arrange(shown: Sequence[Span], features: Sequence[Span], length: Fraction, area: TileArea) -> Layout:
    arranger = _Arranger(shown, features, length, area)
    tiles: list[tuple[Window, ...]] = []
    forced: list[Fraction] = []
    start: tuple[int, Fraction] | None = (0, shown[0][0])
    while start is not None:
        page = arranger.best(start)[1]
        tiles.append(page.windows)
        if page.forced:
            forced.append(page.windows[-1].high)
        start = page.next_start
    return Layout(tuple(tiles), tuple(forced))
