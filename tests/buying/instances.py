"""Instances whose best layout is known by the way they are made."""

from __future__ import annotations

import random

from planpress.buying.boards.records import BoardPart, BoardProblem, BoardStock
from planpress.buying.sheets.records import SheetPart, SheetProblem, SheetStock


def triplets(boards: int, length: int, kerf: int, seed: int) -> BoardProblem:
    """Three parts fill each board to the last unit (E. Falkenauer, "A hybrid grouping genetic algorithm for bin
    packing", 1996): the best plan needs `boards` boards."""
    chance = random.Random(seed)
    parts = []
    for _ in range(boards):
        first = chance.randint(length * 38 // 100, length * 49 // 100)
        second = chance.randint((length - first) * 40 // 100, (length - first) // 2)
        parts += [first - kerf, second - kerf, length - first - second - kerf]
    return BoardProblem((BoardStock(length - kerf, 1),), tuple(BoardPart(part, 1) for part in parts), kerf)


def filled_boards(boards: int, kerf: int, trim: int, seed: int) -> tuple[BoardProblem, int]:
    """Boards of several lengths, each cut up with nothing left; they are priced by what they hold. Gives the problem
    and the least cost."""
    chance = random.Random(seed)
    lengths = (1800, 2400, 3000)
    prices = [length - 2 * trim + kerf for length in lengths]
    parts: list[int] = []
    cost = 0
    for _ in range(boards):
        which = chance.randrange(3)
        cost += prices[which]
        left = prices[which]
        while left > 900:
            piece = chance.randint(150, 700)
            parts.append(piece - kerf)
            left -= piece
        parts.append(left - kerf)
    stock = tuple(BoardStock(length, price) for length, price in zip(lengths, prices, strict=True))
    return BoardProblem(stock, tuple(BoardPart(part, 1) for part in parts), kerf, trim), cost


def furniture(seed: int) -> BoardProblem:
    """Lengths as furniture has them: 8 to 52 pieces of 4 to 12 lengths, 3 or 4 lengths of boards, a third of the
    instances with leftovers."""
    chance = random.Random(seed)
    lengths = sorted(
        {chance.randint(*chance.choice(((100, 400), (300, 900), (600, 1500)))) for _ in range(chance.randint(4, 12))},
        reverse=True,
    )
    counts = [1] * len(lengths)
    pieces = chance.randint(8, 52)
    while sum(counts) < pieces:
        counts[chance.randrange(len(counts))] += chance.choice((1, 2))
    stock = [BoardStock(1800, 540), BoardStock(2400, 700), BoardStock(3000, 890)]
    if chance.random() < 0.5:
        stock.append(BoardStock(3600, 1080))
    if seed % 3 == 0:
        stock += [BoardStock(chance.randint(400, 1500), 0, chance.randint(1, 2)) for _ in range(chance.randint(1, 3))]
    parts = tuple(BoardPart(length, count) for length, count in zip(lengths, counts, strict=True))
    return BoardProblem(tuple(stock), parts, chance.choice((2, 3)), chance.choice((0, 5, 10)))


def split_sheets(sheets: int, pieces: int, kerf: int, trim: int, may_turn: bool, seed: int) -> SheetProblem:
    """Sheets cut edge to edge into parts with nothing left but the kerfs: the best plan needs that many sheets."""
    chance = random.Random(seed)
    length, width = 2440, 1220
    parts = []
    for _ in range(sheets):
        open_pieces = [(length - 2 * trim + kerf, width - 2 * trim + kerf)]
        while len(open_pieces) < pieces:
            open_pieces.sort(key=lambda piece: piece[0] * piece[1])
            x, y = open_pieces.pop()
            share = chance.randint(30, 70)
            if x >= y:
                open_pieces += [(x * share // 100, y), (x - x * share // 100, y)]
            else:
                open_pieces += [(x, y * share // 100), (x, y - y * share // 100)]
        parts += [SheetPart(x - kerf, y - kerf, 1, may_turn) for x, y in open_pieces]
    chance.shuffle(parts)
    return SheetProblem((SheetStock(length, width, 1),), tuple(parts), kerf, trim)
