"""Checks a layout of sheets by sawing it: knows nothing of how it was found."""

from __future__ import annotations

from attrs import frozen

from planpress.buying.counts import cost_faults, count_faults
from planpress.buying.sheets.records import Direction, Rectangle, SawnSheet, SheetLayout, SheetProblem


@frozen
class _Piece:
    """A piece in the course of sawing; `stage`: times the direction of cutting has changed since the edges were
    trimmed."""

    place: Rectangle
    stage: int
    direction: Direction | None


def sheet_faults(problem: SheetProblem, layout: SheetLayout) -> list[str]:
    """What is wrong with a layout, in words; empty if nothing is."""
    faults: list[str] = []
    made = [0] * len(problem.parts)
    used = [0] * len(problem.stock)
    for number, sheet in enumerate(layout.sheets):
        used[sheet.stock] += 1
        for placed in sheet.placed:
            made[placed.part] += 1
        found = _placing_faults(problem, sheet) + _sawing_faults(problem, sheet)
        faults += [f"sheet {number}: {fault}" for fault in found]
    faults += count_faults([part.count for part in problem.parts], made, problem.stock, used)
    cost = sum(problem.cost(sheet.stock) for sheet in layout.sheets)
    return faults + cost_faults(cost, layout.cost, layout.bound, "sheet")


def part_rectangles(problem: SheetProblem, sheet: SawnSheet) -> list[Rectangle]:
    """Where the parts lie, in the order of `placed`."""
    out = []
    for placed in sheet.placed:
        part = problem.parts[placed.part]
        length, width = (part.width, part.length) if placed.turned else (part.length, part.width)
        out.append(Rectangle(placed.x, placed.y, length, width))
    return out


def _placing_faults(problem: SheetProblem, sheet: SawnSheet) -> list[str]:
    """Grain, trim, and a kerf between any two parts."""
    faults = []
    stock, trim, kerf = problem.stock[sheet.stock], problem.trim, problem.kerf
    places = part_rectangles(problem, sheet)
    for placed, place in zip(sheet.placed, places, strict=True):
        if placed.turned and not problem.parts[placed.part].may_turn:
            faults.append(f"part {placed.part} lies across the grain")
        if min(place.x, place.y) < trim:
            faults.append(f"part {placed.part} lies in the trimmed edge")
        if place.x + place.length > stock.length - trim or place.y + place.width > stock.width - trim:
            faults.append(f"part {placed.part} ends beyond the sheet")
    for i, a in enumerate(places):
        for b in places[:i]:
            apart_x = a.x + a.length + kerf <= b.x or b.x + b.length + kerf <= a.x
            apart_y = a.y + a.width + kerf <= b.y or b.y + b.width + kerf <= a.y
            if not apart_x and not apart_y:
                faults.append(f"parts at ({a.x}, {a.y}) and ({b.x}, {b.y}) leave no kerf")
    return faults


def _sawing_faults(problem: SheetProblem, sheet: SawnSheet) -> list[str]:
    """Make the cuts in their order; the parts must come off as pieces of their exact size."""
    faults = []
    stock, kerf = problem.stock[sheet.stock], problem.kerf
    pieces = [_Piece(Rectangle(0, 0, stock.length, stock.width), 0, None)]
    trims = 4 if problem.trim else 0
    waste: list[Rectangle] = []
    for number, cut in enumerate(sheet.cuts):
        piece = next((piece for piece in pieces if piece.place == cut.piece), None)
        if piece is None:
            faults.append(f"cut {number} is through a piece that is not there: {cut.piece}")
            continue
        pieces.remove(piece)
        stage, direction = piece.stage, piece.direction
        if number >= trims and cut.direction != direction:
            stage, direction = stage + 1, cut.direction
        place = piece.place
        if cut.direction == "across":
            near = Rectangle(place.x, place.y, cut.at - place.x, place.width)
            far = Rectangle(cut.at + kerf, place.y, place.x + place.length - cut.at - kerf, place.width)
        else:
            near = Rectangle(place.x, place.y, place.length, cut.at - place.y)
            far = Rectangle(place.x, cut.at + kerf, place.length, place.y + place.width - cut.at - kerf)
        pieces += [_Piece(rest, stage, direction) for rest in (near, far) if rest.length > 0 and rest.width > 0]
        if problem.first_cuts is not None:
            if stage == 1 and direction != problem.first_cuts and number >= trims:
                faults.append(f"cut {number} runs {direction}, the first ones must run {problem.first_cuts}")
            if stage > 3:
                faults.append(f"cut {number} is of stage {stage}")
            if stage == 3:
                waste.append(far)
    left = [piece.place for piece in pieces]
    for place in part_rectangles(problem, sheet):
        if place in left:
            left.remove(place)
        else:
            faults.append(f"no piece comes off as {place}")
        if place in waste:
            faults.append(f"{place} is cut in a third stage")
    return faults
