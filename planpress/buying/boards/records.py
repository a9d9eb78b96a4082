"""What a layout of boards is asked for and what it gives. Lengths are whole numbers of one unit that the caller chose
(a tenth of a millimetre, a sixty-fourth of an inch), prices whole numbers of the smallest coin."""

from __future__ import annotations

from attrs import frozen

from planpress.buying.counts import check_stock


@frozen
class BoardStock:
    """Boards of one length that can be bought or are at hand.

    Attributes:
        length: as sold, before trimming.
        price: of one board; None if no prices are known (then of all kinds of stock).
        limit: how many there are; None: as many as wanted.
        at_hand: already in the shop. It costs nothing if no prices are known.
        label: as the caller calls it.
    """

    length: int
    price: int | None = None
    limit: int | None = None
    at_hand: bool = False
    label: str = ""


@frozen
class BoardPart:
    """Parts of one length. `length`: as cut from the board, with whatever extra it gets; `count`: how many."""

    length: int
    count: int
    label: str = ""


@frozen
class BoardProblem:
    """Parts to be crosscut from boards.

    Attributes:
        stock, parts: results refer to them by index.
        kerf: lost at each cut between two pieces. trim: cut off at each end of a board before use.
    """

    stock: tuple[BoardStock, ...]
    parts: tuple[BoardPart, ...]
    kerf: int = 0
    trim: int = 0

    def __attrs_post_init__(self) -> None:
        check_stock(self.stock, self.kerf, self.trim, "board")
        for stock in self.stock:
            if stock.length <= 0:
                raise ValueError(f"board {stock}: the length must be positive")
        for part in self.parts:
            if part.length <= 0 or part.count < 0:
                raise ValueError(f"part {part}: the length must be positive, the count not negative")

    def cost(self, stock: int) -> int:
        """What one board of a kind costs: its price; without prices its length, or nothing if it is at hand."""
        board = self.stock[stock]
        if board.price is not None:
            return board.price
        return 0 if board.at_hand else board.length

    def usable(self, stock: int) -> int:
        """Length between the trimmed ends of a board, perhaps negative."""
        return self.stock[stock].length - 2 * self.trim


@frozen
class SawnBoard:
    """One board: which stock, and the parts (indexes) in the order of cutting from its reference end."""

    stock: int
    parts: tuple[int, ...]


@frozen
class BoardLayout:
    """A plan of cutting.

    Attributes:
        boards: equal ones next to each other.
        cost: sum of `BoardProblem.cost` over the boards. bound: no plan costs less.
        told: what the reader must know about the search, for example that the clock cut it short.
    """

    boards: tuple[SawnBoard, ...]
    cost: int
    bound: int
    told: tuple[str, ...] = ()

    @property
    def is_proven(self) -> bool:
        """True if no plan is cheaper."""
        return self.cost == self.bound


def offcut(problem: BoardProblem, board: SawnBoard) -> int:
    """Length that is left at the end of a board after its last cut, 0 if the cut itself takes the rest."""
    used = sum(problem.parts[part].length + problem.kerf for part in board.parts)
    return max(0, problem.usable(board.stock) - used)
