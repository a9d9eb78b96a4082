"""An instance of a cutting problem as JSON, and its layout as JSON.

Every number is a whole number of one unit. Boards and sheets:

    {"kerf": 3, "trim": 0, "stock": [{"length": 2400, "price": 700, "limit": null}, ...],
     "parts": [{"length": 990, "qty": 4}, ...]}

`limit`: how many there are, null: any number. Sheets have a `width` too; parts with a `width` may have `rotate`: true
if they may be turned; `stages`: null or 2, then `first_cut` says which way the strips run ("parallel to the width axis"
or "parallel to the length axis"); `objective`: "min_sheets" or "min_cost". Other keys are not looked at.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import TypeAlias

from planpress.buying.boards.records import BoardLayout, BoardPart, BoardProblem, BoardStock
from planpress.buying.sheets.records import Direction, SheetLayout, SheetPart, SheetProblem, SheetStock

Problem: TypeAlias = BoardProblem | SheetProblem
Answer: TypeAlias = dict[str, object]


class InstanceError(ValueError):
    """The file is no instance of a cutting problem; the message says where and what was expected."""


def read_instance(text: str) -> Problem:
    """The problem that a file describes.

    Raises:
        InstanceError: with place and expectation.
    """
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise InstanceError(f"line {error.lineno}, column {error.colno}: not JSON ({error.msg})") from None
    if not isinstance(data, dict):
        raise InstanceError("expected a JSON object with kerf, trim, stock and parts")
    stock, parts = _rows(data, "stock"), _rows(data, "parts")
    kerf, trim = _whole(data, "kerf", "", 0, 0), _whole(data, "trim", "", 0, 0)
    flat = any("width" in row for row in (*stock, *parts))
    try:
        return _sheets(data, stock, parts, kerf, trim) if flat else _boards(data, stock, parts, kerf, trim)
    except InstanceError:
        raise
    except ValueError as error:
        raise InstanceError(str(error)) from None


def _boards(
    data: Mapping[str, object],
    stock: list[Mapping[str, object]],
    parts: list[Mapping[str, object]],
    kerf: int,
    trim: int,
) -> BoardProblem:
    if data.get("objective", "min_cost") != "min_cost":
        raise InstanceError(f"objective: expected min_cost for boards, found {data['objective']!r}")
    return BoardProblem(
        tuple(
            BoardStock(_whole(row, "length", f"stock[{i}].", 1), _price(row, i), _limit(row, i))
            for i, row in enumerate(stock)
        ),
        tuple(
            BoardPart(_whole(row, "length", f"parts[{i}].", 1), _whole(row, "qty", f"parts[{i}].", 0))
            for i, row in enumerate(parts)
        ),
        kerf,
        trim,
    )


def _sheets(
    data: Mapping[str, object],
    stock: list[Mapping[str, object]],
    parts: list[Mapping[str, object]],
    kerf: int,
    trim: int,
) -> SheetProblem:
    goal = data.get("objective", "min_sheets")
    if goal not in ("min_sheets", "min_cost"):
        raise InstanceError(f"objective: expected min_sheets or min_cost, found {goal!r}")
    sheets = []
    for i, row in enumerate(stock):
        price = 1 if goal == "min_sheets" else _price(row, i)
        length, width = (_whole(row, key, f"stock[{i}].", 1) for key in ("length", "width"))
        sheets.append(SheetStock(length, width, price, _limit(row, i)))
    pieces = []
    for i, row in enumerate(parts):
        length, width = (_whole(row, key, f"parts[{i}].", 1) for key in ("length", "width"))
        turns = row.get("rotate", False)
        if not isinstance(turns, bool):
            raise InstanceError(f"parts[{i}].rotate: expected true or false, found {turns!r}")
        pieces.append(SheetPart(length, width, _whole(row, "qty", f"parts[{i}].", 0), turns))
    if data.get("guillotine", True) is not True:
        raise InstanceError("guillotine: only cuts from edge to edge are laid out, expected true")
    return SheetProblem(tuple(sheets), tuple(pieces), kerf, trim, _first_cuts(data))


def _first_cuts(data: Mapping[str, object]) -> Direction | None:
    stages, first = data.get("stages"), data.get("first_cut")
    if stages is None:
        return None
    if stages != 2:
        raise InstanceError(f"stages: expected null or 2, found {stages!r}")
    if isinstance(first, str) and first.startswith("parallel to the width"):
        return "across"
    if isinstance(first, str) and first.startswith("parallel to the length"):
        return "along"
    raise InstanceError(
        f"first_cut: expected 'parallel to the width axis' or 'parallel to the length axis', found {first!r}"
    )


def _rows(data: Mapping[str, object], key: str) -> list[Mapping[str, object]]:
    rows = data.get(key)
    if not isinstance(rows, list) or not rows:
        raise InstanceError(f"{key}: expected a list with at least one entry, found {_short(rows)}")
    for i, row in enumerate(rows):
        if not isinstance(row, dict):
            raise InstanceError(f"{key}[{i}]: expected an object, found {_short(row)}")
    return rows


def _whole(row: Mapping[str, object], key: str, where: str, least: int, default: int | None = None) -> int:
    value = row.get(key, default)
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    if isinstance(value, bool) or not isinstance(value, int) or value < least:
        found = _short(value) if key in row else "nothing"
        raise InstanceError(f"{where}{key}: expected a whole number of at least {least}, found {found}")
    return value


def _price(row: Mapping[str, object], i: int) -> int | None:
    return None if row.get("price") is None else _whole(row, "price", f"stock[{i}].", 0)


def _limit(row: Mapping[str, object], i: int) -> int | None:
    return None if row.get("limit") is None else _whole(row, "limit", f"stock[{i}].", 0)


def _short(value: object) -> str:
    text = json.dumps(value)
    return text if len(text) <= 40 else text[:37] + "..."


def board_answer(layout: BoardLayout, seconds: float) -> Answer:
    """A layout of boards as plain values for JSON."""
    boards = [{"stock": board.stock, "parts": list(board.parts)} for board in layout.boards]
    return {**_head(layout, seconds), "boards": boards}


def sheet_answer(layout: SheetLayout, seconds: float) -> Answer:
    """A layout of sheets as plain values for JSON. A cut: the piece it goes through (x, y, length, width), whether it
    runs across or along it, and where the piece nearer the corner ends."""
    sheets = [
        {
            "stock": sheet.stock,
            "placed": [{"part": p.part, "x": p.x, "y": p.y, "turned": p.turned} for p in sheet.placed],
            "cuts": [
                {
                    "piece": [cut.piece.x, cut.piece.y, cut.piece.length, cut.piece.width],
                    "direction": cut.direction,
                    "at": cut.at,
                }
                for cut in sheet.cuts
            ],
        }
        for sheet in layout.sheets
    ]
    return {**_head(layout, seconds), "sheets": sheets}


def _head(layout: BoardLayout | SheetLayout, seconds: float) -> Answer:
    return {
        "cost": layout.cost,
        "bound": layout.bound,
        "proven": layout.is_proven,
        "seconds": round(seconds, 3),
        "told": list(layout.told),
    }
