"""What a layout of sheets is asked for and what it gives.

Lengths are whole numbers of one unit that the caller chose. x runs along the length of a sheet, y along its width, both
from one corner of the sheet as bought. The grain runs along the length of sheets and parts.
"""

from __future__ import annotations

from typing import Literal

from attrs import frozen

from planpress.buying.counts import check_stock

#: Which lines a cut runs along: "across" the sheet at one x, "along" it at one y.
Direction = Literal["across", "along"]


@frozen
class SheetStock:
    """Sheets of one size that can be bought or are at hand.

    Attributes:
        length, width: as sold, before trimming.
        price: of one sheet; None if no prices are known (then of all kinds of stock).
        limit: how many there are; None: as many as wanted.
        at_hand: already in the shop. It costs nothing if no prices are known.
        label: as the caller calls it.
    """

    length: int
    width: int
    price: int | None = None
    limit: int | None = None
    at_hand: bool = False
    label: str = ""


@frozen
class SheetPart:
    """Rectangles of one size. `may_turn`: its length may lie across the sheet's (no grain condition)."""

    length: int
    width: int
    count: int
    may_turn: bool = False
    label: str = ""


@frozen
class SheetProblem:
    """Rectangles to be sawn edge to edge from sheets.

    Attributes:
        stock, parts: results refer to them by index.
        kerf: lost at each cut between two pieces. trim: cut off at each edge of a sheet before use.
        first_cuts: None: cuts in any order, as deep as wanted. "across" or "along": two stages, first strips cut that
            way from edge to edge, then each strip cut square to that; a last cut trims a part to size.
    """

    stock: tuple[SheetStock, ...]
    parts: tuple[SheetPart, ...]
    kerf: int = 0
    trim: int = 0
    first_cuts: Direction | None = None

    def __attrs_post_init__(self) -> None:
        check_stock(self.stock, self.kerf, self.trim, "sheet")
        for stock in self.stock:
            if min(stock.length, stock.width) <= 0:
                raise ValueError(f"sheet {stock}: sizes must be positive")
        for part in self.parts:
            if min(part.length, part.width) <= 0 or part.count < 0:
                raise ValueError(f"part {part}: sizes must be positive, the count not negative")

    def cost(self, stock: int) -> int:
        """What one sheet of a kind costs: its price; without prices its area, or nothing if it is at hand."""
        sheet = self.stock[stock]
        if sheet.price is not None:
            return sheet.price
        return 0 if sheet.at_hand else sheet.length * sheet.width

    def sizes(self, part: int) -> list[tuple[int, int, bool]]:
        """Size along x and along y of a part, and whether it is turned for that; the way it is described first."""
        it = self.parts[part]
        plain = [(it.length, it.width, False)]
        return [*plain, (it.width, it.length, True)] if it.may_turn and it.length != it.width else plain


@frozen
class Rectangle:
    """A piece of a sheet: its corner nearest the sheet's, and its sizes along x and y."""

    x: int
    y: int
    length: int
    width: int


@frozen
class Placed:
    """A part on its sheet, by the corner nearest the sheet's."""

    part: int
    x: int
    y: int
    turned: bool


@frozen
class Cut:
    """One cut through a piece from edge to edge.

    Attributes:
        piece: what is cut; the whole sheet at first.
        direction: "across" at one x, "along" at one y.
        at: where the piece that stays nearer the corner ends; the kerf lies beyond it.
    """

    piece: Rectangle
    direction: Direction
    at: int


@frozen
class SawnSheet:
    """One sheet: which stock, where the parts lie, and the cuts in an order that can be followed."""

    stock: int
    placed: tuple[Placed, ...]
    cuts: tuple[Cut, ...]


@frozen
class SheetLayout:
    """A plan of cutting. `cost`: of all sheets; `bound`: no plan costs less; `told`: what the reader must know."""

    sheets: tuple[SawnSheet, ...]
    cost: int
    bound: int
    told: tuple[str, ...] = ()

    @property
    def is_proven(self) -> bool:
        """True if no plan is cheaper."""
        return self.cost == self.bound
