"""A layout of boards: least cost, proven where it can be; then neater at that cost."""

from __future__ import annotations

from planpress.buying.boards.neatness import neatest
from planpress.buying.boards.normal import named_boards, normal_form
from planpress.buying.boards.records import BoardLayout, BoardProblem
from planpress.buying.boards.search import search
from planpress.buying.effort import CUT_SHORT, Effort, Watch


def lay_out_boards(problem: BoardProblem, effort: Effort | None = None) -> BoardLayout:
    """Cut all parts from boards.

    Aims, in this order: least cost (without prices: least bought length); least length; fewest boards; fewest different
    layouts; longest offcut; parts of one kind together. The first is proven when cost = bound, the others are the best
    found.

    Raises:
        NoLayoutError: if a part is longer than every board, or there are not enough boards.
    """
    effort = effort or Effort()
    watch = Watch(effort.seconds)
    normal = normal_form(problem)
    if not normal.weights:
        return BoardLayout((), 0, 0)
    state = search(normal, effort, watch)
    plan = neatest(state, effort, watch)
    cost = sum(problem.cost(pattern.stock) for pattern in plan)
    told = (CUT_SHORT,) if watch.rang else ()
    return BoardLayout(named_boards(normal, problem, plan), cost, min(cost, state.bound * normal.coin), told)
