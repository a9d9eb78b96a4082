"""The search for the cheapest plan and the proof that there is no cheaper one."""

from __future__ import annotations

from attrs import define

from planpress.buying.boards.columns import Duals, Fractions, Master, board_filler, proving_duals
from planpress.buying.boards.diving import dive
from planpress.buying.boards.enumeration import patterns_within
from planpress.buying.boards.greedy import best_quick_plan
from planpress.buying.boards.normal import NoLayoutError, Normal, Pattern, plan_cost
from planpress.buying.boards.whole import cheapest, mix_bound
from planpress.buying.effort import Effort, Watch


@define(eq=False)
class Search:
    """What is known so far: the cheapest plan, the bound (coins), the patterns found, the prices that prove it."""

    normal: Normal
    plan: list[Pattern] | None
    bound: int
    patterns: list[Pattern]
    duals: Duals

    @property
    def cost(self) -> int:
        """Of the cheapest plan."""
        assert self.plan is not None
        return plan_cost(self.normal, self.plan)

    @property
    def ceiling(self) -> int:
        """Most that a plan may cost to be of use, in coins: less than the cheapest one."""
        if self.plan is not None:
            return self.cost - 1
        return sum(price * limit for price, limit in zip(self.normal.prices, self.normal.limits, strict=True))

    @property
    def is_done(self) -> bool:
        """True if the plan is as cheap as the bound."""
        return self.plan is not None and self.cost <= self.bound

    def offer(self, plan: list[Pattern] | None) -> None:
        """Keep a plan if it is cheaper."""
        if plan is not None and (self.plan is None or plan_cost(self.normal, plan) < self.cost):
            self.plan = plan


#: Patterns a quick proof lists; it comes before most dives because a short list is soon searched.
_SHORT_LIST = 2_000
_ONE_GO = 1_200
_FIRST_DIVES = 2
#: Kinds of parts beyond which dives and programs are long: half as many dives are made then, and no program of what
#: they found.
_MANY_KINDS = 60


def search(normal: Normal, effort: Effort, watch: Watch) -> Search:
    """Find a plan of least cost, and how far it may be from the least.

    Raises:
        NoLayoutError: if the boards do not hold all parts.
    """
    fill = board_filler(normal)
    master = Master(normal, fill)
    quick = best_quick_plan(normal, normal.demand, normal.limits)
    if quick is not None:
        master.add(quick)
    top = master.converge(normal.demand, normal.limits, effort.rounds, watch)
    duals = proving_duals(normal, top.prices, fill)
    bound = max(duals.whole_bound, mix_bound(normal, effort.nodes, watch))
    state = Search(normal, quick, bound, master.patterns, duals)
    _dive(state, master, top, range(min(_FIRST_DIVES, effort.dives)), watch)
    _prove(state, min(_SHORT_LIST, effort.patterns), effort.nodes, watch)
    if not state.is_done and not watch.is_up():
        dives = effort.dives
        if normal.kinds > _MANY_KINDS:
            dives //= 2
        else:
            _, plan = cheapest(normal, state.patterns, state.bound, state.ceiling, effort.nodes // 8, watch)
            state.offer(plan)
        _dive(state, master, top, range(_FIRST_DIVES, dives), watch)
        _prove(state, effort.patterns, effort.nodes, watch)
    if state.plan is None:
        raise NoLayoutError("no way was found to cut all parts from the boards there are")
    return state


def _dive(state: Search, master: Master, top: Fractions, turns: range, watch: Watch) -> None:
    """Some dives, until one reaches the bound."""
    for turn in turns:
        if state.is_done or watch.is_up():
            return
        state.offer(dive(master, top, best_quick_plan, turn, state.ceiling + 1, watch))


def _prove(state: Search, most: int, nodes: int, watch: Watch) -> None:
    """List every pattern (`most`: give up beyond) that a plan of some cost can contain and take the cheapest plan of
    them; allow twice the surplus over the bound each time, until the plan found is the cheapest."""
    surplus = 0
    while not state.is_done and not watch.is_up():
        patterns = None
        aim = state.ceiling
        if not surplus:  # all in one go is quicker if they are few
            patterns = patterns_within(state.normal, state.duals, aim, min(_ONE_GO, most))
        if patterns is None:
            aim = min(state.bound + surplus, state.ceiling)
            patterns = patterns_within(state.normal, state.duals, aim, most)
        if patterns is None:
            return
        answer, plan = cheapest(state.normal, patterns, state.bound, aim, nodes, watch)
        state.offer(plan)
        if answer.state == "none":
            state.bound = max(state.bound, aim + 1)
            if state.plan is None and aim == state.ceiling:
                return
        elif answer.state == "best" and plan is not None:
            state.bound = max(state.bound, plan_cost(state.normal, plan))
        elif plan is None:
            return
        surplus = max(1, 2 * surplus, state.bound // 400)
