"""Order of operations: dependencies kept, ties by declaration, circles told as chains. Oracle: graphlib."""

from __future__ import annotations

import graphlib
import heapq
import random

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from planpress.base.diagnostics import PlanFaults
from planpress.base.printing import Units
from planpress.work.deriving import derive_operations
from planpress.work.graph import grouped, in_dependency_order, ordered
from planpress.work.operations import After, Kind, Operation
from tests.plans import solved_stand


def assert_kept(order: list[Operation]) -> None:
    """Each operation stands after everything that it waits for."""
    place = {operation.id: i for i, operation in enumerate(order)}
    assert len(place) == len(order)
    for operation in order:
        for after in operation.after:
            assert place[after.operation] < place[operation.id], (after.operation, operation.id)


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("size", ["", "balcony"])
def test_the_demo_keeps_every_dependency(units: Units, size: str) -> None:
    operations = derive_operations(solved_stand(units, size))
    order = ordered(operations)
    assert_kept(order)
    waits = {o.id: [a.operation for a in o.after] for o in operations}
    assert set(graphlib.TopologicalSorter(waits).static_order()) == {o.id for o in operations}


def test_operations_declared_in_another_order_still_come_in_one_that_works() -> None:
    operations = list(derive_operations(solved_stand()))
    shuffler = random.Random(5)
    for _ in range(20):
        shuffler.shuffle(operations)
        order = ordered(operations)
        assert_kept(order)
        assert sorted(o.id for o in order) == sorted(o.id for o in operations)


def test_rules_of_the_trade_hold_for_the_demo() -> None:
    """Seed rules of workshop practice (common practice, no source): cut before notch, test before notch, notch before
    smooth, dry before glue, clamps before drilling, all before the finish."""
    place = {o.id: i for i, o in enumerate(ordered(derive_operations(solved_stand())))}
    chains = [
        ["settle", "square", "cut A", "test lattice", "notch A lattice", "smooth", "dry fit top", "join top", "finish"],
        ["cut C", "test rail_laps", "notch C rail_laps", "smooth", "join frame", "join frame, wait", "fit F", "join F"],
        ["join F, wait", "pin pins frame", "attach fixing", "check", "finish"],
        ["cut E", "drill E", "join frame"],
    ]
    for chain in chains:
        assert [place[name] for name in chain] == sorted(place[name] for name in chain)


def test_operations_shown_together_stay_together() -> None:
    groups = grouped(derive_operations(solved_stand()))
    keys = [{o.shown_with or o.id for o in group} for group in groups]
    assert all(len(key) == 1 for key in keys)
    assert len({next(iter(key)) for key in keys}) == len(groups)


def test_a_circle_is_told_as_a_chain_of_names() -> None:
    a, b, c = (Operation(name, Kind.FIT, (), ()) for name in ("fit A", "fit B", "fit C"))
    ring = [
        evolve(a, after=(After("fit C", ""),)),
        evolve(b, after=(After("fit A", ""),)),
        evolve(c, after=(After("fit B", ""),)),
    ]
    with pytest.raises(PlanFaults) as caught:
        ordered(ring)
    (fault,) = caught.value.diagnostics
    assert fault.code == "work-circle"
    assert "'fit A', which waits for 'fit C', which waits for 'fit B', which waits for 'fit A'" in fault.message


def least_order(names: list[str], waits: dict[str, list[str]]) -> list[str] | None:
    """The order that always takes the free name declared first, by the standard library; None if there is none."""
    sorter = graphlib.TopologicalSorter(waits)
    try:
        sorter.prepare()
    except graphlib.CycleError:
        return None
    rank = {name: i for i, name in enumerate(names)}
    free: list[int] = []
    out = []
    while sorter.is_active():
        for name in sorter.get_ready():
            heapq.heappush(free, rank[name])
        out.append(names[heapq.heappop(free)])
        sorter.done(out[-1])
    return out


@given(st.integers(1, 25), st.randoms(use_true_random=False), st.booleans())
def test_any_graph_is_ordered_or_found_circular(count: int, chance: random.Random, loops: bool) -> None:
    names = [f"n{i}" for i in range(count)]
    waits = {
        name: [other for j, other in enumerate(names) if chance.random() < 0.15 and (j < i or (loops and j != i))]
        for i, name in enumerate(names)
    }
    chance.shuffle(names)
    expected = least_order(names, waits)
    if expected is None:
        with pytest.raises(PlanFaults) as caught:
            in_dependency_order(names, waits)
        assert caught.value.diagnostics[0].code == "work-circle"
    else:
        assert in_dependency_order(names, waits) == expected
