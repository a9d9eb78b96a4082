"""The solver of linear and whole-number programs (HiGHS), behind the few calls that layouts need.

highspy is imported when a program is made, so that commands that lay out nothing start quickly. One thread, no clock
but the safety net: equal programs give equal answers. Answers are floating point; callers count costs again in whole
numbers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from planpress.buying.effort import Watch

if TYPE_CHECKING:
    import highspy

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def _solver() -> highspy.Highs:
    import highspy

    # The constructor of Highs turns callbacks on, which prints a banner on stdout; that of its base class does not.
    solver = highspy.Highs.__new__(highspy.Highs)
    super(highspy.Highs, solver).__init__()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    return solver


class LinearProgram:
    """A program of least cost that grows by rows and columns and is solved again from where it stood."""

    def __init__(self) -> None:
        self._solver = _solver()
        self._columns = 0

    def add_row(self, low: float, high: float) -> None:
        """Add an empty row whose sum must lie between `low` and `high` (math.inf: no limit)."""
        self._solver.addRow(low, high, 0, np.empty(0, np.int32), np.empty(0))

    def add_column(self, cost: float, rows: Sequence[int], values: Sequence[float], high: float = math.inf) -> int:
        """Add a variable from 0 to `high` with its entries in the rows; gives its index."""
        self._solver.addCol(cost, 0.0, high, len(rows), np.asarray(rows, np.int32), np.asarray(values, np.float64))
        self._columns += 1
        return self._columns - 1

    def bound_row(self, row: int, low: float, high: float) -> None:
        """Set the limits of a row."""
        self._solver.changeRowBounds(row, low, high)

    def bound_column(self, column: int, high: float) -> None:
        """Set the greatest value of a variable."""
        self._solver.changeColBounds(column, 0.0, high)

    def solve(self) -> bool:
        """Solve; False if there is no best answer (no answer at all, or numerical trouble)."""
        import highspy

        self._solver.run()
        return bool(self._solver.getModelStatus() == highspy.HighsModelStatus.kOptimal)

    def cost(self) -> float:
        """Cost of the last answer."""
        return float(self._solver.getInfo().objective_function_value)

    def values(self) -> Floats:
        """Value of each variable in the last answer."""
        return np.array(self._solver.getSolution().col_value, dtype=np.float64)

    def duals(self) -> Floats:
        """Price of each row: what one unit more of its limit would cost."""
        return np.array(self._solver.getSolution().row_dual, dtype=np.float64)


@frozen(eq=False)
class Row:
    """One row of a whole-number program: `low` <= sum of values * variables <= `high`."""

    columns: Ints
    values: Floats
    low: float
    high: float


@frozen(eq=False)
class WholeAnswer:
    """What a whole-number program came to.

    Attributes:
        state: "best": proven; "found": stopped with an answer; "none": proven that there is no answer; "open": stopped
            without one.
        values: whole numbers (fractional variables are rounded too), empty if there is no answer.
        bound: no answer costs less (floating point), -inf if unknown.
    """

    state: Literal["best", "found", "none", "open"]
    values: Ints
    bound: float


def solve_whole(
    costs: Floats,
    highs: Floats,
    rows: Sequence[Row],
    nodes: int,
    watch: Watch,
    start: Ints | None = None,
) -> WholeAnswer:
    """Least cost over whole numbers from 0 to `highs` that keep the rows.

    Args:
        costs, highs: one entry a variable.
        nodes: most nodes of the search tree.
        start: an answer to begin with, if one is known.
    """
    import highspy

    solver = _solver()
    for name, value in (
        ("mip_rel_gap", 0.0),
        ("mip_abs_gap", 1e-6),
        ("mip_max_nodes", nodes),
        ("time_limit", watch.left()),
        ("random_seed", 1),
        ("mip_allow_restart", False),  # these programs are small: restarts and symmetry cost more than they save
        ("mip_detect_symmetry", False),
    ):
        solver.setOptionValue(name, value)
    program = highspy.HighsLp()
    program.num_col_, program.num_row_ = len(costs), len(rows)
    program.col_cost_ = costs
    program.col_lower_ = np.zeros(len(costs))
    program.col_upper_ = highs
    program.row_lower_ = np.array([row.low for row in rows], dtype=np.float64)
    program.row_upper_ = np.array([row.high for row in rows], dtype=np.float64)
    program.integrality_ = [highspy.HighsVarType.kInteger] * len(costs)
    program.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    program.a_matrix_.start_ = np.concatenate(([0], np.cumsum([len(row.columns) for row in rows]))).astype(np.int32)
    program.a_matrix_.index_ = np.concatenate([row.columns for row in rows]).astype(np.int32)
    program.a_matrix_.value_ = np.concatenate([row.values for row in rows])
    solver.passModel(program)
    if start is not None:
        solution = highspy.HighsSolution()
        solution.col_value = [float(value) for value in start]
        solver.setSolution(solution)
    solver.run()
    status = solver.getModelStatus()
    if status == highspy.HighsModelStatus.kTimeLimit:
        watch.rang = True
    info = solver.getInfo()
    bound = float(info.mip_dual_bound)
    if info.primal_solution_status == 2:  # feasible
        values = np.rint(np.array(solver.getSolution().col_value, dtype=np.float64)).astype(np.int64)
        best = status == highspy.HighsModelStatus.kOptimal
        return WholeAnswer("best" if best else "found", values, bound)
    nothing = np.zeros(0, dtype=np.int64)
    if status == highspy.HighsModelStatus.kInfeasible:
        return WholeAnswer("none", nothing, math.inf)
    return WholeAnswer("open", nothing, bound if math.isfinite(bound) else -math.inf)
