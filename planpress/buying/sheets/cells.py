"""Sheets as trees of cuts. Here every piece is one kerf longer and wider than it is, so that cuts take nothing."""

from __future__ import annotations

from collections.abc import Iterator

from attrs import define, field

from planpress.buying.sheets.records import Cut, Direction, Placed, Rectangle, SawnSheet, SheetProblem


@define(eq=False)
class Cell:
    """A piece: cut in two, or a part (`part` and `turned`), or an offcut.

    Attributes:
        x, y, length, width: of the enlarged piece; x and y are where it really begins.
        direction: of its cut; near, far: the pieces it gives.
    """

    x: int
    y: int
    length: int
    width: int
    part: int = -1
    turned: bool = False
    direction: Direction | None = None
    near: Cell | None = None
    far: Cell | None = None

    def cut(self, direction: Direction, size: int) -> tuple[Cell, Cell]:
        """Cut off a piece of the given size (enlarged) at the corner; gives it and the rest, which may be nothing."""
        if direction == "across":
            near = Cell(self.x, self.y, size, self.width)
            far = Cell(self.x + size, self.y, self.length - size, self.width)
        else:
            near = Cell(self.x, self.y, self.length, size)
            far = Cell(self.x, self.y + size, self.length, self.width - size)
        self.direction, self.near, self.far = direction, near, far
        return near, far

    def place(self, part: int, turned: bool, length: int, width: int, across_first: bool) -> list[Cell]:
        """Cut a part (enlarged sizes) out of the corner by at most two cuts; gives the one or two pieces left."""
        cell, rest = self, []
        order: list[tuple[Direction, int]] = [("across", length), ("along", width)]
        for direction, size in order if across_first else order[::-1]:
            if size < (cell.length if direction == "across" else cell.width):
                cell, far = cell.cut(direction, size)
                rest.append(far)
        cell.part, cell.turned = part, turned
        return rest

    def cells(self) -> Iterator[Cell]:
        """This piece and all that are cut from it."""
        yield self
        for child in (self.near, self.far):
            if child is not None:
                yield from child.cells()

    def real(self, kerf: int) -> Rectangle:
        """The piece as it is; sizes may be 0 or less if the saw takes all of it."""
        return Rectangle(self.x, self.y, self.length - kerf, self.width - kerf)


@define(eq=False)
class Tree:
    """A sheet being cut: its stock, its usable piece (enlarged), and the pieces that are not used yet."""

    stock: int
    root: Cell
    free: list[Cell] = field(factory=list)


def new_tree(problem: SheetProblem, stock: int) -> Tree:
    """An uncut sheet."""
    sheet, trim, kerf = problem.stock[stock], problem.trim, problem.kerf
    root = Cell(trim, trim, sheet.length - 2 * trim + kerf, sheet.width - 2 * trim + kerf)
    return Tree(stock, root, [root])


def sawn(problem: SheetProblem, tree: Tree) -> SawnSheet:
    """The sheet with its parts, and its cuts in an order that can be followed: four trimming cuts if it is trimmed,
    then each piece before what is cut from it."""
    sheet, trim, kerf = problem.stock[tree.stock], problem.trim, problem.kerf
    cuts: list[Cut] = []
    placed = [Placed(c.part, c.x, c.y, c.turned) for c in tree.root.cells() if c.part >= 0]
    cuts += trimming_cuts(sheet.length, sheet.width, trim, kerf)
    for cell in tree.root.cells():
        if cell.direction is not None and cell.near is not None:
            near = cell.near.real(kerf)
            at = near.x + near.length if cell.direction == "across" else near.y + near.width
            cuts.append(Cut(cell.real(kerf), cell.direction, at))
    return SawnSheet(tree.stock, tuple(placed), tuple(cuts))


def trimming_cuts(length: int, width: int, trim: int, kerf: int) -> list[Cut]:
    """The cuts that true the four edges; the kerf lies in what is trimmed off, or takes all of it."""
    if not trim:
        return []
    return [
        Cut(Rectangle(0, 0, length, width), "across", trim - kerf),
        Cut(Rectangle(trim, 0, length - trim, width), "across", length - trim),
        Cut(Rectangle(trim, 0, length - 2 * trim, width), "along", trim - kerf),
        Cut(Rectangle(trim, trim, length - 2 * trim, width - trim), "along", width - trim),
    ]
