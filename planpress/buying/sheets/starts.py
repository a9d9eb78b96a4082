"""Layouts of sheets by many starts: parts in some order, each into the free piece that suits it best.

The order of the best layout so far is changed a little, under one of several rules, and kept if it is no worse.
Random choices are seeded: equal input gives equal layouts.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

from attrs import frozen

from planpress.buying.effort import Watch
from planpress.buying.sheets.cells import Cell, Tree, new_tree
from planpress.buying.sheets.records import SheetProblem


@frozen
class Rule:
    """How a start decides. `fit`: what is least in the piece chosen (0: the shorter rest, 1: the area left, 2: the
    longer rest, 3: first sheet, then area); `split`: how the rest is divided (0: longer piece whole, 1: shorter piece
    whole, 2: always across first, 3: always along first, 4: largest single piece)."""

    fit: int
    split: int


RULES = tuple(Rule(fit, split) for split in (4, 0, 1, 2, 3) for fit in (0, 1, 3, 2))

#: Starts for the sake of the offcut once the cost is as low as can be.
_NEATER = 60

#: Sizes of a piece (enlarged) by part, with whether it is turned.
Sizes = Sequence[Sequence[tuple[int, int, bool]]]

#: Cost, and how far the emptiest sheet is from being empty.
Score = tuple[int, float]


def laid(problem: SheetProblem, sizes: Sizes, order: Sequence[int], rule: Rule, limit: int) -> list[Tree] | None:
    """Sheets with the parts in the given order; None if they would cost `limit` or more, or sheets run out."""
    trees: list[Tree] = []
    spent = 0
    for part in order:
        best: tuple[tuple[int, ...], Tree, int, tuple[int, int, bool]] | None = None
        for number, tree in enumerate(trees):
            found = _best_home(tree, sizes[part], rule, number)
            if found is not None and (best is None or found[0] < best[0]):
                best = (found[0], tree, found[1], found[2])
        if best is None:
            fresh = _new_sheet(problem, sizes[part], trees)
            if fresh is None:
                return None
            spent += problem.cost(fresh.stock)
            if spent >= limit:
                return None
            trees.append(fresh)
            found = _best_home(fresh, sizes[part], rule, len(trees))
            assert found is not None
            best = (found[0], fresh, found[1], found[2])
        _, tree, index, (length, width, turned) = best
        cell = tree.free.pop(index)
        tree.free += cell.place(part, turned, length, width, _across_first(cell, length, width, rule.split))
    return trees


def _best_home(
    tree: Tree, sizes: Sequence[tuple[int, int, bool]], rule: Rule, number: int
) -> tuple[tuple[int, ...], int, tuple[int, int, bool]] | None:
    """The free piece of a sheet that suits a part best, with the rating, and which way the part lies."""
    best: tuple[tuple[int, ...], int, tuple[int, int, bool]] | None = None
    for index, cell in enumerate(tree.free):
        for size in sizes:
            rest_x, rest_y = cell.length - size[0], cell.width - size[1]
            if rest_x < 0 or rest_y < 0:
                continue
            if rule.fit == 0:
                rating = (min(rest_x, rest_y), max(rest_x, rest_y))
            elif rule.fit == 1:
                rating = (cell.length * cell.width, min(rest_x, rest_y))
            elif rule.fit == 2:
                rating = (max(rest_x, rest_y), min(rest_x, rest_y))
            else:
                rating = (number, cell.length * cell.width)
            if best is None or rating < best[0]:
                best = (rating, index, size)
    return best


def _across_first(cell: Cell, length: int, width: int, split: int) -> bool:
    """Whether the first of the two cuts round a part runs across the sheet."""
    rest_x, rest_y = cell.length - length, cell.width - width
    if split == 0:
        return rest_x >= rest_y
    if split == 1:
        return rest_x < rest_y
    if split == 4:
        return max(rest_x * cell.width, length * rest_y) >= max(rest_y * cell.length, rest_x * width)
    return split == 2


def _new_sheet(problem: SheetProblem, sizes: Sequence[tuple[int, int, bool]], trees: list[Tree]) -> Tree | None:
    """A sheet that holds the part, least cost for its area first; None if there is none left."""
    best: tuple[float, int] | None = None
    for stock, sheet in enumerate(problem.stock):
        if sheet.limit is not None and sum(tree.stock == stock for tree in trees) >= sheet.limit:
            continue
        root = new_tree(problem, stock).root
        if any(length <= root.length and width <= root.width for length, width, _ in sizes):
            rating = (problem.cost(stock) / (root.length * root.width), stock)
            best = rating if best is None else min(best, rating)
    return None if best is None else new_tree(problem, best[1])


def score(problem: SheetProblem, sizes: Sizes, trees: Sequence[Tree]) -> Score:
    """What is compared, less is better."""
    cost = sum(problem.cost(tree.stock) for tree in trees)
    filled = []
    for tree in trees:
        used = sum(sizes[cell.part][0][0] * sizes[cell.part][0][1] for cell in tree.root.cells() if cell.part >= 0)
        filled.append(used / (tree.root.length * tree.root.width))
    emptiest = min(filled, default=0.0)
    return cost, emptiest - 0.01 * sum(fill * fill for fill in filled)


def many_starts(
    problem: SheetProblem, sizes: Sizes, bound: int, starts: int, watch: Watch, seed: int = 20
) -> tuple[list[Tree] | None, int]:
    """The best layout of many, and its cost. One that costs no more than the bound ends the search, but for a few more
    starts that may leave a larger offcut, or need fewer cuts."""
    pieces = [part for part, it in enumerate(problem.parts) for _ in range(it.count)]
    area = [sizes[part][0][0] * sizes[part][0][1] for part in range(len(sizes))]
    longest = [max(sizes[part][0][:2]) for part in range(len(sizes))]
    orders = [
        sorted(pieces, key=lambda p: -area[p]),
        sorted(pieces, key=lambda p: (-longest[p], -area[p])),
        sorted(pieces, key=lambda p: (-sizes[p][0][1], -sizes[p][0][0])),
        sorted(pieces, key=lambda p: (-sizes[p][0][0], -sizes[p][0][1])),
    ]
    best: list[Tree] | None = None
    best_rating: tuple[int, int, int] = (1 << 62, 0, 0)
    current, current_score = (orders[0], RULES[0]), (1 << 62, 0.0)
    chance = random.Random(seed)
    attempts = [(order, rule) for rule in RULES for order in orders]
    end = starts
    for turn in range(starts):
        if turn >= end or watch.is_up():
            break
        if turn < len(attempts):
            order, rule = attempts[turn]
        else:
            order, rule = _changed(current, chance)
        trees = laid(problem, sizes, order, rule, current_score[0] + 1)
        if trees is None:
            continue
        new = score(problem, sizes, trees)
        if new <= current_score:
            current, current_score = (order, rule), new
        rating = (new[0], *neatness(problem, trees))
        if rating < best_rating:
            best, best_rating = trees, rating
        if new[0] <= bound:
            end = min(end, turn + _NEATER)
    return best, best_rating[0]


def neatness(problem: SheetProblem, trees: Sequence[Tree]) -> tuple[int, int]:
    """Of layouts that cost the same: area of the largest offcut (negative), number of cuts; less is better."""
    offcuts = [cell.real(problem.kerf) for tree in trees for cell in tree.free]
    largest = max((cut.length * cut.width for cut in offcuts if min(cut.length, cut.width) > 0), default=0)
    return -largest, sum(cell.direction is not None for tree in trees for cell in tree.root.cells())


def _changed(current: tuple[list[int], Rule], chance: random.Random) -> tuple[list[int], Rule]:
    """The order with a few parts moved, now and then under another rule."""
    order, rule = list(current[0]), current[1]
    for _ in range(chance.choice((1, 1, 2, 3))):
        i, j = chance.randrange(len(order)), chance.randrange(len(order))
        if chance.random() < 0.5:
            order[i], order[j] = order[j], order[i]
        else:
            order.insert(j, order.pop(i))
    if chance.random() < 0.15:
        rule = chance.choice(RULES)
    return order, rule
