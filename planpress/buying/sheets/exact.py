"""All ways to saw a few parts from one piece, edge to edge: which sets of parts fit on a sheet at all.

Every layout of a set is two layouts of its halves side by side, along or across. For each set the smallest pieces that
hold it are kept (none is both longer and wider than another).
"""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from planpress.buying.sheets.cells import Cell, Tree

#: Parts up to which all ways are tried: the work grows threefold with each.
MOST_PARTS = 10


@frozen
class Block:
    """A smallest piece (enlarged) that holds a set of parts: one part, or two blocks beside each other.

    `across`: the cut between the blocks runs across the sheet, they lie one after the other in x.
    """

    length: int
    width: int
    part: int = -1
    turned: bool = False
    across: bool = False
    halves: tuple[Block, Block] | None = None


def blocks_of_sets(
    pieces: Sequence[int], sizes: Sequence[Sequence[tuple[int, int, bool]]], length: int, width: int
) -> list[list[Block]]:
    """The smallest blocks of every set of the pieces that fit on a sheet; bit i of the index stands for piece i."""
    table: list[list[Block]] = [[] for _ in range(1 << len(pieces))]
    for i, part in enumerate(pieces):
        table[1 << i] = [Block(x, y, part, turned) for x, y, turned in sizes[part] if x <= length and y <= width]
    for whole in range(3, 1 << len(pieces)):
        lowest = whole & -whole
        if whole == lowest:
            continue
        best: dict[int, Block] = {}
        half = (whole - 1) & whole
        while half:
            if half & lowest:
                _join(best, table[half], table[whole ^ half], length, width)
            half = (half - 1) & whole
        table[whole] = _smallest(list(best.values()))
    return table


def _join(best: dict[int, Block], ones: list[Block], others: list[Block], length: int, width: int) -> None:
    """Put each of some blocks beside each of others; of equal length the narrowest is kept."""
    for one in ones:
        for other in others:
            x, y = one.length + other.length, max(one.width, other.width)
            if x <= length and y <= width and (x not in best or best[x].width > y):
                best[x] = Block(x, y, across=True, halves=(one, other))
            x, y = max(one.length, other.length), one.width + other.width
            if x <= length and y <= width and (x not in best or best[x].width > y):
                best[x] = Block(x, y, across=False, halves=(one, other))


def _smallest(blocks: list[Block]) -> list[Block]:
    """Those that no other fits into."""
    out: list[Block] = []
    for block in sorted(blocks, key=lambda b: (b.length, b.width)):
        if not out or block.width < out[-1].width:
            out.append(block)
    return out


def saw_block(cell: Cell, block: Block, tree: Tree) -> None:
    """Cut a block out of a piece that holds it; what is left goes to the tree's free pieces."""
    if block.halves is None:
        tree.free += cell.place(block.part, block.turned, block.length, block.width, across_first=False)
        return
    first, second = block.halves
    near, far = cell.cut("across", first.length) if block.across else cell.cut("along", first.width)
    saw_block(near, first, tree)
    saw_block(far, second, tree)
