"""Whether some number of equal sheets is enough: parts are dealt out to them, and each hand is tried.

Each sheet must hold its parts by every measure of `bounds`. A dealing that does is tried sheet by sheet in all ways
(`exact`); sets of parts that fit on no sheet are barred, and the parts are dealt again. Either a dealing fits, or there
is none, which proves that one sheet more is needed, or the search ends undecided.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from attrs import frozen

from planpress.buying.effort import Watch
from planpress.buying.highs import Row, solve_whole
from planpress.buying.sheets.bounds import Ints, Measures
from planpress.buying.sheets.cells import Tree, new_tree
from planpress.buying.sheets.exact import MOST_PARTS, Block, blocks_of_sets, saw_block
from planpress.buying.sheets.records import SheetProblem
from planpress.buying.sheets.starts import Sizes

#: Pieces and sheets up to which this is tried, and how often parts are dealt.
_PIECES, _SHEETS, _DEALS = 60, 8, 40
#: Sets of parts that are barred after one dealing.
_BARS = 12


@frozen(eq=False)
class Verdict:
    """`trees`: sheets that hold all parts, if found. `too_few`: proven that there is no such layout."""

    trees: list[Tree] | None = None
    too_few: bool = False


def deal(problem: SheetProblem, sizes: Sizes, ways: Measures, sheets: int, nodes: int, watch: Watch) -> Verdict:
    """Try to lay out all parts on that many sheets of the only size.

    Args:
        sizes: of the parts, enlarged. ways: their measures. nodes: of each search for a dealing.
    """
    pieces = [part for part, it in enumerate(problem.parts) for _ in range(it.count)]
    count = len(pieces)
    if count > _PIECES or sheets > _SHEETS:
        return Verdict()
    root = new_tree(problem, 0).root
    measured = ways.parts[:, np.array(pieces)]
    column = np.arange(count * sheets, dtype=np.int64).reshape(count, sheets)
    apart = pairs_apart(pieces, sizes, root.length, root.width)
    singles = _all_apart(count, apart)
    if len(singles) > sheets:
        return Verdict(too_few=True)
    highs = np.ones(count * sheets)
    for sheet, piece in enumerate(singles):  # equal sheets: name them by pieces that are apart
        highs[column[piece]] = 0.0
        highs[column[piece, sheet]] = 1.0
    rows = [Row(column[piece], np.ones(sheets), 1.0, 1.0) for piece in range(count)]
    rows += [row for pair in apart for row in _bar(list(pair), column)]
    shares = measured.sum(axis=1) / ways.sheet
    for way in np.argsort(-shares, kind="stable")[:20].tolist():
        rows += _measure_rows(measured[way], int(ways.sheet[way]), column)
    for _ in range(_DEALS):
        if watch.is_up():
            return Verdict()
        answer = solve_whole(np.zeros(count * sheets), highs, rows, nodes, watch)
        if answer.state == "none":
            return Verdict(too_few=True)
        if not len(answer.values):
            return Verdict()
        dealt = answer.values.reshape(count, sheets)
        excess = (measured @ dealt) / ways.sheet[:, None]
        worst = [int(way) for way in np.argsort(-excess.max(axis=1), kind="stable")[:10] if excess[way].max() > 1]
        fresh = [row for way in worst for row in _measure_rows(measured[way], int(ways.sheet[way]), column)]
        if not fresh:
            hands = [np.flatnonzero(dealt[:, sheet]).tolist() for sheet in range(sheets)]
            if any(len(hand) > MOST_PARTS for hand in hands):
                return Verdict()
            tables = [blocks_of_sets([pieces[i] for i in hand], sizes, root.length, root.width) for hand in hands]
            if all(table[-1] for table in tables if len(table) > 1):
                blocks = [table[-1][0] for table in tables if len(table) > 1]
                return Verdict(trees=[_sawn_tree(problem, block) for block in blocks])
            for hand, table in zip(hands, tables, strict=True):
                for barred in _sets_that_do_not_fit(hand, table):
                    fresh += _bar(barred, column)
        rows += fresh
    return Verdict()


def _sawn_tree(problem: SheetProblem, block: Block) -> Tree:
    """A sheet with a block sawn from its corner."""
    tree = new_tree(problem, 0)
    tree.free.clear()
    saw_block(tree.root, block, tree)
    return tree


def _sets_that_do_not_fit(hand: list[int], table: list[list[Block]]) -> list[list[int]]:
    """Sets of pieces without a block, smallest first, none of which holds another."""
    bad: list[int] = []
    for members in sorted((s for s in range(1, len(table)) if not table[s]), key=lambda s: (s.bit_count(), s)):
        if not any(smaller & members == smaller for smaller in bad):
            bad.append(members)
    return [[piece for i, piece in enumerate(hand) if members >> i & 1] for members in bad[:_BARS]]


def _bar(pieces: list[int], column: Ints) -> list[Row]:
    """No sheet holds all of the pieces."""
    return [
        Row(column[pieces, sheet], np.ones(len(pieces)), 0.0, len(pieces) - 1.0) for sheet in range(column.shape[1])
    ]


def _measure_rows(measured: Ints, sheet: int, column: Ints) -> list[Row]:
    """A measure's limit on each sheet."""
    held = np.flatnonzero(measured)
    return [
        Row(column[held, s], measured[held].astype(np.float64) / sheet, -math.inf, 1.0 + 1e-9)
        for s in range(column.shape[1])
    ]


def _all_apart(count: int, apart: Sequence[tuple[int, int]]) -> list[int]:
    """Pieces no two of which fit on one sheet, as many as come up when those with the most conflicts go first."""
    near: list[set[int]] = [set() for _ in range(count)]
    for i, j in apart:
        near[i].add(j)
        near[j].add(i)
    chosen: list[int] = []
    for piece in sorted(range(count), key=lambda p: (-len(near[p]), p)):
        if all(piece in near[other] for other in chosen):
            chosen.append(piece)
    return chosen


def pairs_apart(pieces: Sequence[int], sizes: Sizes, length: int, width: int) -> list[tuple[int, int]]:
    """Pairs of pieces that do not fit on one sheet of the given (enlarged) size side by side, either way."""
    known: dict[tuple[int, int], bool] = {}
    out = []
    for j, b in enumerate(pieces):
        for i, a in enumerate(pieces[:j]):
            if (a, b) not in known:
                known[a, b] = bool(blocks_of_sets([a, b], sizes, length, width)[3])
            if not known[a, b]:
                out.append((i, j))
    return out
