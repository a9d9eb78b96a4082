"""In which order pieces come together, and from where, in words."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import define

from planpress.geometry.vectors import Vec
from planpress.work.insertion import Arrival
from planpress.work.operations import Operation
from planpress.work.places import Meeting
from planpress.work.saying import listed, lower_first, times
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


@define
class _Row:
    """Pieces that come alike. way: None for those that a part of the work begins with. is_group: they are joined."""

    pieces: list[str]
    letters: list[str]
    way: Vec | None
    is_group: bool

    def follows(self, other: _Row) -> bool:
        """True if these come as those before them did."""
        if self.way is None or other.way is None or other.is_group:
            return False
        return self.letters == other.letters and coming_from(self.way) == coming_from(other.way)


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
    for row in rows[: _MOST_LINES - 1]:
        if row.way is None:
            lines.append(f"Beside it, begin with {_named(telling, row.pieces)}.")
        elif row.is_group:
            lines.append(f"Bring these, {_named(telling, row.pieces)}, together {coming_from(row.way)}.")
        else:
            lines.append(f"Bring in {_named(telling, row.pieces)} {coming_from(row.way)}.")
    if len(rows) >= _MOST_LINES:
        left = dict.fromkeys(name for row in rows[_MOST_LINES - 1 :] for name in row.pieces)
        lines.append(f"Then, in this order, {_named(telling, list(left))}, each along the lines of the exploded view.")
    return [lines[0], " ".join(lines[1:])]


def body_lines(telling: Telling, operation: Operation) -> list[str]:
    """How loose pieces and several assemblies that they join come together; none if only one assembly stands."""
    order = _bodies(telling, operation)
    plan = telling.plan
    units = [plan.pieces[a.pieces[0]].assembly for a in order]
    if (
        len([unit for unit in units if unit[0]]) < 2
        or not _stood_apart(telling, order)
        or not all(a.ways for a in order[1:])
    ):
        return []
    said: dict[str, int] = {}
    words = []
    for arrival, (unit, _) in zip(order, units, strict=True):
        name = plan.pieces[arrival.pieces[0]].letter
        if unit:
            label = next(lower_first(group.label) for group in plan.assemblies if group.name == unit)
            count = sum(name == unit for name, _ in units)
            article = ("one" if count > 1 else "the") if unit not in said else "the other" if count == 2 else "another"
            name = f"{article} {label}"
            said[unit] = 1
        words.append(name)
    come = [f"Bring in {name} {coming_from(a.ways[0])}." for name, a in zip(words[1:], order[1:], strict=True)]
    return [f"Begin with {words[0]}.", " ".join(come)]


def _bodies(telling: Telling, operation: Operation) -> list[Arrival]:
    """The arrivals of whole assemblies and loose pieces that an operation joins, in order."""
    own = dict.fromkeys(operation.pieces)
    return [a for a in telling.arrivals if _is_body(telling, a) and any(name in own for name in a.pieces)]


def _stood_apart(telling: Telling, order: Sequence[Arrival]) -> bool:
    """True if nothing else comes between the bodies and joins them before."""
    bodies = [a for a in telling.arrivals if _is_body(telling, a)]
    return bool(order) and bodies.index(order[-1]) - bodies.index(order[0]) == len(order) - 1


def _is_body(telling: Telling, arrival: Arrival) -> bool:
    """True if a loose piece or all of a copy of an assembly arrives."""
    unit = telling.plan.pieces[arrival.pieces[0]].assembly
    if not unit[0]:
        return len(arrival.pieces) == 1
    return len(arrival.pieces) == sum(p.assembly == unit for p in telling.plan.pieces.values())


def following(telling: Telling, operation: Operation) -> list[str]:
    """Loose pieces that arrive after all that an operation joins."""
    bodies = [a for a in telling.arrivals if _is_body(telling, a)]
    joined = _bodies(telling, operation)
    if not joined:
        return []
    return [a.pieces[0] for a in bodies[bodies.index(joined[-1]) + 1 :] if len(a.pieces) == 1]


def coming_from(way: Vec) -> str:
    """Where a piece comes from that travels in a direction of the world."""
    axis = max(range(3), key=lambda i: (abs(way[i]), -i))
    slanted = "" if abs(way[axis]) > 0.99 else ", at a slant"
    return _FROM[axis, 1 if way[axis] > 0 else -1] + slanted


def _of_step(telling: Telling, met: Meeting) -> list[Arrival]:
    """The arrivals of the pieces of one copy of what this step joins, without that of the whole copy."""
    own = dict.fromkeys(met.pieces)
    found = [a for a in telling.arrivals if len(a.pieces) < len(own) and all(name in own for name in a.pieces)]
    known = dict.fromkeys(name for a in found for name in a.pieces)
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


def _rows(telling: Telling, order: Sequence[Arrival]) -> list[_Row]:
    """Arrivals that follow each other with pieces of one part and from one side, together."""
    rows: list[_Row] = []
    known: dict[str, None] = {}
    for arrival in order:
        letters = [telling.plan.pieces[name].letter for name in arrival.pieces]
        way = arrival.ways[0] if arrival.ways else None
        is_group = len(arrival.pieces) > 1 and all(name in known for name in arrival.pieces)
        row = _Row(list(arrival.pieces), letters, way, is_group)
        if rows and not is_group and row.follows(rows[-1]):
            rows[-1].pieces.extend(arrival.pieces)
        else:
            rows.append(row)
        known.update(dict.fromkeys(arrival.pieces))
    return rows


def _named(telling: Telling, pieces: Sequence[str]) -> str:
    counts: dict[str, int] = {}
    for name in pieces:
        letter = telling.plan.pieces[name].letter
        counts[letter] = counts.get(letter, 0) + 1
    return listed([letter if count == 1 else times(letter, count) for letter, count in counts.items()])
