"""The search for the cheapest plan and the proof that there is no cheaper one."""

from __future__ import annotations

from attrs import define

from planpress.buying.boards.columns import Duals, Master, proving_duals
from planpress.buying.boards.diving import dive
from planpress.buying.boards.enumeration import patterns_within
from planpress.buying.boards.greedy import best_quick_plan
from planpress.buying.boards.normal import NoLayoutError, Normal, Pattern, plan_cost
from planpress.buying.boards.whole import cheapest, mix_bound
from planpress.buying.effort import Effort, Watch


@define(eq=False)
class Search:
    """What is known so far: the cheapest plan, the bound (coins), the patterns found, the prices that prove the bound.

    `within`: the patterns listed cover every plan of at most this cost, -1 if none were listed.
    """

    normal: Normal
    plan: list[Pattern] | None
    bound: int
    patterns: list[Pattern]
    duals: Duals
    within: int = -1

    @property
    def cost(self) -> int:
        """Of the cheapest plan."""
        assert self.plan is not None
        return plan_cost(self.normal, self.plan)

    @property
    def is_done(self) -> bool:
        """True if the plan is as cheap as the bound."""
        return self.plan is not None and self.cost <= self.bound

    def offer(self, plan: list[Pattern] | None) -> None:
        """Keep a plan if it is cheaper."""
        if plan is not None and (self.plan is None or plan_cost(self.normal, plan) < self.cost):
            self.plan = plan


def search(normal: Normal, effort: Effort, watch: Watch) -> Search:
    """Find a plan of least cost, and how far it may be from the least.

    Raises:
        NoLayoutError: if the boards do not hold all parts.
    """
    master = Master(normal)
    quick = best_quick_plan(normal, normal.demand, normal.limits)
    if quick is not None:
        master.add(quick)
    top = master.converge(normal.demand, normal.limits, effort.rounds, watch)
    duals = proving_duals(normal, top.prices)
    bound = max(duals.whole_bound, mix_bound(normal, effort.nodes, watch))
    state = Search(normal, quick, bound, master.patterns, duals)
    for turn in range(effort.dives):
        if state.is_done or watch.is_up():
            break
        below = state.cost if state.plan is not None else 1 + sum(
            price * limit for price, limit in zip(normal.prices, normal.limits, strict=True)
        )
        state.offer(dive(master, top, turn, below, watch))
        if turn == 1 and not state.is_done:
            _whole_of_found(state, effort, watch)
    if not state.is_done:
        _prove(state, effort, watch)
    if state.plan is None:
        raise NoLayoutError("there are not enough boards for all parts")
    return state


def _whole_of_found(state: Search, effort: Effort, watch: Watch) -> None:
    """Look for a cheaper plan among the patterns found so far."""
    high = state.cost - 1 if state.plan is not None else sum(state.normal.prices) * sum(state.normal.demand)
    _, plan = cheapest(state.normal, state.patterns, state.bound, high, effort.nodes // 8, watch)
    state.offer(plan)


def _prove(state: Search, effort: Effort, watch: Watch) -> None:
    """List every pattern that a plan of some cost can contain and take the cheapest plan of them; allow twice the
    surplus over the bound each time, until the plan found is the cheapest."""
    surplus = 0
    while not state.is_done and not watch.is_up():
        aim = state.bound + surplus
        if state.plan is not None:
            aim = min(aim, state.cost - 1)
        patterns = patterns_within(state.normal, state.duals, aim, effort.patterns)
        if patterns is None:
            return
        answer, plan = cheapest(state.normal, patterns, state.bound, aim, effort.nodes, watch)
        state.offer(plan)
        if answer.state == "none":
            state.bound = max(state.bound, aim + 1)
        elif answer.state == "best" and plan is not None:
            state.bound = max(state.bound, plan_cost(state.normal, plan))
        elif plan is None:
            return
        surplus = max(1, 2 * surplus, state.bound // 400)
