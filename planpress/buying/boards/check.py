"""Checks a layout of boards by sawing it: knows nothing of how it was found."""

from __future__ import annotations

from planpress.buying.boards.records import BoardLayout, BoardProblem
from planpress.buying.counts import cost_faults, count_faults


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
    faults += count_faults([part.count for part in problem.parts], made, problem.stock, used)
    cost = sum(problem.cost(board.stock) for board in layout.boards)
    return faults + cost_faults(cost, layout.cost, layout.bound, "board")
