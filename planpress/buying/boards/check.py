"""Checks a layout of boards by sawing it: knows nothing of how it was found."""

from __future__ import annotations

from planpress.buying.boards.records import BoardLayout, BoardProblem


def board_faults(problem: BoardProblem, layout: BoardLayout) -> list[str]:
    """What is wrong with a layout, in words; empty if nothing is."""
    faults: list[str] = []
    made = [0] * len(problem.parts)
    used = [0] * len(problem.stock)
    for number, board in enumerate(layout.boards):
        used[board.stock] += 1
        position, end = problem.trim, problem.stock[board.stock].length - problem.trim
        for part in board.parts:
            made[part] += 1
            if position + problem.parts[part].length > end:
                faults.append(f"board {number}: part {part} ends beyond the board")
            position += problem.parts[part].length + problem.kerf
    for index, part_ in enumerate(problem.parts):
        if made[index] != part_.count:
            faults.append(f"part {index} is cut {made[index]} times, not {part_.count}")
    for index, stock in enumerate(problem.stock):
        if stock.limit is not None and used[index] > stock.limit:
            faults.append(f"stock {index} is used {used[index]} times, there are {stock.limit}")
    cost = sum(problem.cost(board.stock) for board in layout.boards)
    if cost != layout.cost:
        faults.append(f"the boards cost {cost}, not {layout.cost}")
    if layout.bound > layout.cost:
        faults.append(f"the bound {layout.bound} is above the cost {layout.cost}")
    return faults
