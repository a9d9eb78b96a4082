"""What boards and sheets have in common: kinds of stock that can be asked for, and counts that a layout must keep."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol


class Stock(Protocol):
    """One kind of board or sheet, as far as it does not matter which."""

    @property
    def price(self) -> int | None:
        """Of one; None if no prices are known."""

    @property
    def limit(self) -> int | None:
        """How many there are; None: as many as wanted."""


def check_stock(stock: Sequence[Stock], kerf: int, trim: int, noun: str) -> None:
    """Refuses what no layout can be made for.

    Args:
        noun: "board" or "sheet", for messages.

    Raises:
        ValueError: if there is no stock, a number is negative, or only some prices are known.
    """
    if not stock:
        raise ValueError(f"there are no {noun}s to cut from")
    if kerf < 0 or trim < 0:
        raise ValueError("kerf and trim must not be negative")
    for one in stock:
        if (one.limit or 0) < 0 or (one.price or 0) < 0:
            raise ValueError(f"{noun} {one}: limit and price must not be negative")
    known = [one.price is not None for one in stock]
    if any(known) and not all(known):
        raise ValueError(f"give a price for every kind of {noun}, or for none ({noun}s at hand: price 0)")


def count_faults(wanted: Sequence[int], made: Sequence[int], stock: Sequence[Stock], used: Sequence[int]) -> list[str]:
    """Parts cut too often or too seldom, and stock used more often than it is there.

    Args:
        wanted, made: pieces of each part. used: how many of each kind of stock.
    """
    faults = [
        f"part {index} is cut {cut} times, not {count}"
        for index, (count, cut) in enumerate(zip(wanted, made, strict=True))
        if cut != count
    ]
    faults += [
        f"stock {index} is used {count} times, there are {one.limit}"
        for index, (one, count) in enumerate(zip(stock, used, strict=True))
        if one.limit is not None and count > one.limit
    ]
    return faults


def cost_faults(cost: int, told: int, bound: int, noun: str) -> list[str]:
    """A cost that is not that of the boards or sheets used, or a bound that cannot be one."""
    faults = [f"the {noun}s cost {cost}, not {told}"] if cost != told else []
    return [*faults, f"the bound {bound} is above the cost {told}"] if bound > told else faults
