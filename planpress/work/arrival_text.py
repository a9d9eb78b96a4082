"""In which order pieces come together, and from where, in words."""

from __future__ import annotations

from collections.abc import Sequence

from planpress.geometry.vectors import Vec
from planpress.work.insertion import Arrival
from planpress.work.places import Meeting
from planpress.work.saying import listed, times
from planpress.work.telling import Telling

#: Where a piece comes from that travels along an axis of the world with this sign.
_FROM = {
    (0, 1): "from the left",
    (0, -1): "from the right",
    (1, 1): "from the front",
    (1, -1): "from behind",
    (2, 1): "from below",
    (2, -1): "from above",
}
_MOST_LINES = 6


def arrival_lines(telling: Telling, met: Meeting) -> list[str]:
    """How the pieces of a joining step arrive one after the other; none if that is not known or needs no words."""
    order = _of_step(telling, met)
    if not order:
        return []
    first = _beginning(telling, order)
    rows = _rows(telling, [a for a in order if a.pieces[0] not in first])
    if not rows:
        return []
    lines = [f"Begin with {_named(telling, list(first))}."]
    for pieces, way in rows[: _MOST_LINES - 1]:
        lines.append(f"Bring in {_named(telling, pieces)} {coming_from(way)}.")
    if len(rows) >= _MOST_LINES:
        left = [name for pieces, _ in rows[_MOST_LINES - 1 :] for name in pieces]
        lines.append(f"Then, in this order, {_named(telling, left)}, each along the lines of the exploded view.")
    return [lines[0], " ".join(lines[1:])]


def coming_from(way: Vec) -> str:
    """Where a piece comes from that travels in a direction of the world."""
    axis = max(range(3), key=lambda i: (abs(way[i]), -i))
    slanted = "" if abs(way[axis]) > 0.99 else ", at a slant"
    return _FROM[axis, 1 if way[axis] > 0 else -1] + slanted


def _of_step(telling: Telling, met: Meeting) -> list[Arrival]:
    """The arrivals of the pieces of one copy of what this step joins."""
    own = dict.fromkeys(met.pieces)
    found: list[Arrival] = []
    known: dict[str, None] = {}
    for arrival in telling.arrivals:
        if all(name in own and name not in known for name in arrival.pieces):
            found.append(arrival)
            known.update(dict.fromkeys(arrival.pieces))
    return found if len(known) == len(own) and len(found) > 1 else []


def _beginning(telling: Telling, order: Sequence[Arrival]) -> dict[str, None]:
    """The pieces that are laid out first: those that come before any that is joined to them."""
    first: dict[str, None] = {}
    for arrival in order:
        new = dict.fromkeys(arrival.pieces)
        if any({j.first, j.second} & first.keys() and {j.first, j.second} & new.keys() for j in telling.plan.joints):
            break
        first.update(new)
    return first


def _rows(telling: Telling, order: Sequence[Arrival]) -> list[tuple[list[str], Vec]]:
    """Arrivals that follow each other with pieces of one part and from one side, together."""
    rows: list[tuple[list[str], Vec]] = []
    last = ""
    for arrival in order:
        if not arrival.ways:
            return []
        letters = "".join(telling.plan.pieces[name].letter for name in arrival.pieces)
        way = arrival.ways[0]
        if rows and letters == last and coming_from(rows[-1][1]) == coming_from(way):
            rows[-1][0].extend(arrival.pieces)
        else:
            rows.append((list(arrival.pieces), way))
        last = letters
    return rows


def _named(telling: Telling, pieces: Sequence[str]) -> str:
    counts: dict[str, int] = {}
    for name in pieces:
        letter = telling.plan.pieces[name].letter
        counts[letter] = counts.get(letter, 0) + 1
    return listed([letter if count == 1 else times(letter, count) for letter, count in counts.items()])
