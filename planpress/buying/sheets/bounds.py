"""Bounds on the number of sheets that no layout can beat: area, and dual-feasible functions on both sides.

A function f with f(x1) + .. + f(xn) <= f(L) whenever x1 + .. + xn <= L may take the place of lengths: the "area" so
computed still must fit. Functions: S. P. Fekete and J. Schepers, "New classes of fast lower bounds for bin packing
problems" (2001); J. Carlier, F. Clautiaux, A. Moukrim, "New reduction procedures and lower bounds for the
two-dimensional bin packing problem with fixed orientation" (2007). All in whole numbers. The bounds hold for layouts
that are not sawn edge to edge as well.
"""

from __future__ import annotations

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

Ints = NDArray[np.int64]

#: Most thresholds of each family that are tried on one side.
_MOST = 60


@frozen(eq=False)
class Measures:
    """Ways to measure parts: each part's measure (row: way, column: part) and the sheet's, which limits their sum."""

    parts: Ints
    sheet: Ints

    def bound(self, counts: Ints) -> int:
        """Fewest sheets by any of them."""
        return int((-(-(self.parts @ counts) // self.sheet)).max(initial=0))


def measures(length: int, width: int, lengths: Ints, widths: Ints, may_turn: NDArray[np.bool_]) -> Measures:
    """All products of a function along the sheet's length and one along its width.

    Args:
        length, width: of the sheet, one kerf enlarged and trimmed. lengths, widths: of the parts, one kerf enlarged.
        may_turn: for each part; one that may be turned counts the lesser of its two measures.
    """
    along = _functions(length, np.concatenate((lengths, widths[may_turn])))
    across = _functions(width, np.concatenate((widths, lengths[may_turn])))
    f_plain = np.array([[f[min(x, length)] for x in lengths.tolist()] for f in along])
    g_plain = np.array([[g[min(x, width)] for x in widths.tolist()] for g in across])
    parts = f_plain[:, None, :] * g_plain[None, :, :]
    if may_turn.any():
        f_turned = np.array([[f[min(x, length)] for x in widths.tolist()] for f in along])
        g_turned = np.array([[g[min(x, width)] for x in lengths.tolist()] for g in across])
        turned = f_turned[:, None, :] * g_turned[None, :, :]
        plain_fits = (lengths <= length) & (widths <= width)
        turned_fits = may_turn & (widths <= length) & (lengths <= width)
        parts = np.where(turned_fits, np.where(plain_fits, np.minimum(parts, turned), turned), parts)
    sheet = np.array([int(f[length]) for f in along])[:, None] * np.array([int(g[width]) for g in across])[None, :]
    return Measures(parts.reshape(-1, len(lengths)), sheet.reshape(-1))


def _functions(size: int, sides: Ints) -> list[Ints]:
    """Dual-feasible functions on 0 .. `size`, as tables of whole numbers; the first is the length itself."""
    x = np.arange(size + 1, dtype=np.int64)
    tables = [x]
    seen = {x.tobytes()}
    half = size // 2
    marks = sorted({s for side in sides.tolist() for s in (side, side + 1, size - side, size - side + 1)})
    cuts = [mark for mark in marks if 0 < mark <= half]
    small = [k for k in range(2, 17) if k <= size]
    steps = sorted(set(cuts) | {size // k for k in small} | {size // k + 1 for k in small})
    steps = [step for step in steps if 0 < step <= half]
    for cut in cuts[:: max(1, -(-len(cuts) // _MOST))]:
        table = np.where(x > size - cut, size, np.where(x < cut, 0, x))
        if table.tobytes() not in seen:
            seen.add(table.tobytes())
            tables.append(table)
    for step in steps[:: max(1, -(-len(steps) // _MOST))]:
        whole = size // step
        table = np.where(2 * x > size, 2 * (whole - (size - x) // step), 2 * (x // step))
        table = np.where(2 * x == size, whole, table)
        if table[size] > 0 and table.tobytes() not in seen:
            seen.add(table.tobytes())
            tables.append(table)
    return tables
