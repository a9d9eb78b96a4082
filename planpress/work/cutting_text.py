"""Texts of the steps that cut joints other than laps: housings, tenons, mortises, slots, dovetails."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction

from planpress.geometry.polygons import area
from planpress.geometry.vectors import root
from planpress.model.laps import snapped_degrees
from planpress.model.records import Notch, Part, Role, Side
from planpress.model.tenon_sizes import SquaredTenon, squared_tenon
from planpress.work.facts import end_at, reference_line, side_words
from planpress.work.guidance import ESTIMATES
from planpress.work.operations import Kind
from planpress.work.saying import Say, in_words, listed, plural
from planpress.work.telling import StepText, Telling, letters, names

#: More running positions than this are left to the drawing of the part.
_MANY_POSITIONS = 8
_SAME = Fraction(1, 1000)


def cut_joints(telling: Telling) -> StepText:
    """One part, or a handed pair, with all its cuts."""
    say = telling.say
    parts = telling.parts(Kind.NOTCH)
    first = parts[0]
    tested = [j for o in telling.of(Kind.TEST) for j in o.joints]
    actions: list[str] = []
    if tested:
        actions.append("Try each new setting in an offcut of the same wood first, together with what goes in.")
    tools: dict[str, None] = {}
    for notches in _groups(first):
        actions.append(_LINES[notches[0].role](first, notches, say))
        tools.update(dict.fromkeys(_TOOLS[notches[0].role]))
    handed = len(parts) > 1
    caution = "Lay them out as mirror images first and mark what is cut off: a cut on the wrong side spoils one."
    if not handed:
        caution = "A joint cut too wide cannot be mended: cut on the waste side of the line and try before you go on."
    count = sum(p.count * len(p.notches) for p in parts)
    return StepText(
        title=f"Cut the joints of the {names(parts)}",
        tools=("square", "marking gauge", "knife", *tools),
        minutes=ESTIMATES.set_up + ESTIMATES.test_notch * len(tested) + ESTIMATES.notch * count,
        actions=tuple(actions),
        check=f"each joint of {letters(parts)} closes by hand pressure and does not fall apart again.",
        caution=caution,
    )


def is_plain(part: Part) -> bool:
    """True if all its notches are laps, which have a text of their own."""
    return all(notch.role == "lap" for notch in part.notches)


def _groups(part: Part) -> list[list[Notch]]:
    """Notches that one line tells: of one joint, role and size, in order along the part."""
    rows: dict[tuple[object, ...], list[Notch]] = {}
    for notch in part.notches:
        key: tuple[object, ...] = (notch.joint, notch.role)
        if notch.role not in ("cheek", "socket", "corner") and (notch.role != "slot" or notch.open_end is None):
            low, high = notch.across
            of = notch.mates if notch.role == "housing" else notch.joint
            key = (of, notch.role, notch.side, notch.width, notch.depth, notch.skew, low, high)
            if notch.role == "mortise":
                size = round(high - low, 3), round(notch.span[1] - notch.span[0], 3)
                key = (of, notch.role, notch.side, notch.depth, abs(notch.skew), *size)
        rows.setdefault(key, []).append(notch)
    return list(rows.values())


# --- where and how large


def _along(part: Part, notch: Notch) -> tuple[Fraction, Fraction]:
    """Near and far side (mm) of a cut from the reference end, on the reference line or the nearest line it reaches."""
    v, w = reference_line(part, notch.side)
    low, high = notch.across
    wanted = w if notch.side.axis == 1 else v
    near, far = notch.shoulders(min(max(wanted, low), high))
    start = end_at(part.ends[0], v, w)
    return near - start, far - start


def _on_middle(part: Part, notch: Notch) -> tuple[Fraction, Fraction]:
    """Near and far end (mm) of a cut from the reference end, along its own middle line."""
    v, w = reference_line(part, notch.side)
    near, far = notch.shoulders(sum(notch.across, Fraction(0)) / 2)
    start = end_at(part.ends[0], v, w)
    return near - start, far - start


def _positions(part: Part, notches: Sequence[Notch], say: Say) -> str:
    if len(notches) > _MANY_POSITIONS:
        return f"at the places in the drawing of {part.letter}"
    where = _on_middle if notches[0].role == "mortise" else _along
    return f"{listed([say.length(where(part, n)[0]) for n in notches])} from the reference end"


def _mates(notches: Sequence[Notch]) -> str:
    return listed(list(dict.fromkeys(m for n in notches for m in n.mates)))


def _ends(notches: Sequence[Notch]) -> list[Side]:
    return list(dict.fromkeys(n.open_end for n in notches if n.open_end is not None))


def _at_ends(notches: Sequence[Notch]) -> str:
    ends = _ends(notches)
    if len(ends) == 2:
        return "at both ends"
    return f"at the {_end_words(ends[0])}" if ends else ""


def _end_words(end: Side) -> str:
    return "reference end" if end is Side.NEAR_END else end.value


def _leaning(notch: Notch, say: Say) -> str:
    return f", {say.angle(notch.skew)} from square" if notch.skew else ""


def _deep(part: Part, notch: Notch, say: Say) -> str:
    through = abs(notch.depth - part.size_along(notch.side.axis)) <= _SAME
    return "right through" if through else f"{say.joint(notch.depth)} deep"


def _many(count: int, noun: str, article: str = "") -> str:
    if count == 1:
        return f"{article} {noun}".strip()
    return f"{in_words(count)} {plural(noun)}"


# --- one line for each role


def _housing(part: Part, notches: Sequence[Notch], say: Say) -> str:
    one = notches[0]
    size = "thick" if one.mate_size == "thickness" else "wide"
    low, high = one.across
    limit = part.size_along(1 if one.side.axis == 2 else 2)
    each, which = "it runs" if len(notches) == 1 else "they run", "reference face"
    if one.side.axis == 2:
        which = "reference edge"
        if part.reference_edge is Side.UPPER:
            low, high = part.width - high, part.width - low
    else:
        low, high = part.thickness - high, part.thickness - low
    stopped = f" Stopped: {each} from {say.joint(low)} to {say.joint(high)}, seen from the {which}."
    stopped = stopped if low > 0 or high < limit else ""
    return (
        f"Mark {_many(len(notches), 'housing', 'the')} for {_mates(notches)} on the {side_words(part, one.side)}, near"
        f" {plural('shoulder', len(notches))} {_positions(part, notches, say)}{_leaning(one, say)}. Width: as"
        f" {_mates(notches)} is {size}, {say.joint(one.width)} by the table; {_deep(part, one, say)}.{stopped}"
    )


def _rabbet(part: Part, notches: Sequence[Notch], say: Say) -> str:
    one = notches[0]
    near, far = one.span
    low, high = one.across
    if far - near < high - low:
        return (
            f"Cut the rabbet for {_mates(notches)} {_at_ends(notches) or 'across the grain'} on the"
            f" {side_words(part, one.side)}, {say.joint(far - near)} wide and {_deep(part, one, say)}."
        )
    border = part.size_along(1 if one.side.axis == 2 else 2)
    corner = f"in the {side_words(part, one.side)}, where it meets the {_border(part, one, low, border)}"
    if len(notches) > 1:
        corner = f"along both sides of the {side_words(part, one.side)}"
    run = "from end to end" if far - near >= part.length - 1 else f"from {say.length(near)} to {say.length(far)}"
    return (
        f"Cut the rabbet for {_mates(notches)} {corner}: {run}, {say.joint(high - low)} wide and"
        f" {_deep(part, one, say)}."
    )


def _border(part: Part, notch: Notch, low: Fraction, limit: Fraction) -> str:
    if notch.side.axis == 2:
        side = Side.LOWER if low <= limit - notch.across[1] else Side.UPPER
        return side_words(part, side)
    return side_words(part, Side.BACK if low <= limit - notch.across[1] else Side.FACE)


def _inset(part: Part, notch: Notch) -> tuple[Fraction, str]:
    """How far (mm) a cut stays from the reference edge (on a face) or the reference face (on an edge), and which."""
    low, high = notch.across
    if notch.side.axis == 2:
        upper = part.reference_edge is Side.UPPER
        return (part.width - high if upper else low), "reference edge"
    return part.thickness - high, "reference face"


def _groove(part: Part, notches: Sequence[Notch], say: Say) -> str:
    one = notches[0]
    inset, which = _inset(part, one)
    near, far = one.span
    run = "from end to end" if far - near >= part.length - 1 else f"from {say.length(near)} to {say.length(far)}"
    low, high = one.across
    return (
        f"Groove the {side_words(part, one.side)} for {_mates(notches)} {run}, {say.joint(high - low)} wide and"
        f" {_deep(part, one, say)}, {say.joint(inset)} from the {which}."
    )


def _mortise(part: Part, notches: Sequence[Notch], say: Say) -> str:
    one = notches[0]
    near, far = _on_middle(part, one)
    low, high = one.across
    through = " Mark them on both sides and cut from both."
    if one.depth < part.size_along(one.side.axis) - _SAME:
        through = ""
    elif len(notches) == 1:
        through = " Mark it on both sides and cut from both."
    long, wide, slant = far - near, high - low, ""
    if one.skew and not _ends(notches):
        long, wide, angle = _slanting(one)
        slant = f", slanting {say.angle(angle)} to the length" if angle else ""
    lean = " The walls lean: set a bevel gauge from the drawing." if one.direction is not None else ""
    ends = f" The ends are round, {say.joint(2 * one.radius)} wide." if one.radius else ""
    return (
        f"Mark {_many(len(notches), 'mortise')} for {_mates(notches)} on the {side_words(part, one.side)},"
        f" {_mortise_places(part, notches, say)}, {say.joint(long)} along, {say.joint(wide)} across{slant} and"
        f" {_deep(part, one, say)}.{through}{lean}{ends}"
    )


def _mortise_places(part: Part, notches: Sequence[Notch], say: Say) -> str:
    """Near ends from the reference end and near sides from the reference edge or face; in a grid each place once."""
    places = [(say.length(_on_middle(part, n)[0]), say.joint(_inset(part, n)[0])) for n in notches]
    ends, sides = (list(dict.fromkeys(p[i] for p in places)) for i in (0, 1))
    which = _inset(part, notches[0])[1]
    if len(ends) * len(sides) == len(places) or len(sides) == 1:
        if len(ends) > _MANY_POSITIONS:
            return f"at the places in the drawing of {part.letter}"
        word = plural("side", len(sides))
        return (
            f"near {plural('end', len(ends))} {listed(ends)} from the reference end, near {word} {listed(sides)} from"
            f" the {which}"
        )
    if len(places) > _MANY_POSITIONS:
        return f"at the places in the drawing of {part.letter}"
    pairs = listed([f"{end} and {side}" for end, side in places], "then")
    return f"near ends and near sides {pairs} from the reference end and the {which}"


def _slanting(notch: Notch) -> tuple[Fraction, Fraction, Fraction]:
    """Length and width (mm) of a slanting mortise, and the angle (degrees) of its longer walls to the part's length."""
    corners = notch.outline
    runs = [(q[0] - p[0], q[1] - p[1]) for p, q in zip(corners, (*corners[1:], corners[0]), strict=True)]
    along, across = max(runs, key=lambda run: abs(run[0]) - abs(run[1]))
    long = root(along**2 + across**2)
    angle = snapped_degrees(math.degrees(math.atan(abs(float(across / along)))))
    return long, area(corners) / long, angle


def _cheeks(part: Part, notches: Sequence[Notch], say: Say) -> str:
    """The tenon that is left: its length, thickness and width."""
    ends = _ends(notches)
    at_one = [n for n in notches if n.open_end is ends[0]] if ends else list(notches)
    deepest = {side: max((n.depth for n in at_one if n.side is side), default=Fraction(0)) for side in Side}
    squared = squared_tenon(part, at_one[0].joint, ends[0]) if ends else None
    if squared is not None:
        return _squared(part, notches, squared, say)
    thick = part.thickness - deepest[Side.BACK] - deepest[Side.FACE]
    wide = part.width - deepest[Side.LOWER] - deepest[Side.UPPER]
    near, far = _along(part, at_one[0])
    long = far if ends and ends[0] is Side.NEAR_END else edge_end(part) - near
    where = _at_ends(notches)
    skew = next((n for n in at_one if n.skew), None)
    slant = f" Shoulders lean {say.angle(skew.skew)} from square." if skew else ""
    return (
        f"Mark the shoulders {where} all round, {say.joint(long)} in. Saw them, then take down the cheeks until a tenon"
        f" {say.joint(thick)} thick and {say.joint(wide)} wide is left for {_mates(notches)}.{slant}"
    )


def _squared(part: Part, notches: Sequence[Notch], tenon: SquaredTenon, say: Say) -> str:
    """A tenon that leans within its part, as the shoulder and the end are cut alike."""
    end = part.ends[1 if notches[0].open_end is Side.FAR_END else 0]
    v, w = reference_line(part, Side.FACE)
    long = abs(end.u_at(v, w) - tenon.shoulder.u_at(v, w))
    angles = listed([say.angle(abs(a)) for a in (end.mitre, end.bevel) if a])
    return (
        f"Mark the shoulders {_at_ends(notches)} all round, {say.joint(long)} in, with two bevel gauges: they run as"
        f" the end does, {angles} from square. Mark the tenon on the end as drawn, {say.joint(tenon.thickness)} by"
        f" {say.joint(tenon.width)}, and carry its lines down with a square held on the end: it stands square to the"
        f" shoulder, not along {part.letter}. Saw the cheeks, then the shoulders, until it fits {_mates(notches)}."
    )


def edge_end(part: Part) -> Fraction:
    """Where (u, mm) the far end lies on the reference line of the reference face."""
    v, w = reference_line(part, Side.FACE)
    return end_at(part.ends[1], v, w) - end_at(part.ends[0], v, w)


def _slots(part: Part, notches: Sequence[Notch], say: Say) -> str:
    one = notches[0]
    low, high = one.across
    each = [n for n in notches if n.open_end is one.open_end] if one.open_end else list(notches)
    long = one.span[1] - one.span[0]
    if one.open_end is None:
        return (
            f"Cut {_many(len(each), 'slot')} for {_mates(notches)} in the {side_words(part, one.side)},"
            f" {_positions(part, each, say)}, {say.joint(one.width)} wide and {_deep(part, one, say)}."
        )
    return (
        f"Cut {_many(len(each), 'slot')} {_at_ends(notches)} for {_mates(notches)}, {say.joint(high - low)} wide and"
        f" {say.joint(long)} deep, at the places in the drawing of {part.letter}."
    )


def _sockets(part: Part, notches: Sequence[Notch], say: Say) -> str:
    one = notches[0]
    if one.side.axis == 0:
        sockets = _many(len([n for n in notches if n.side is one.side]), "socket")
        return (
            f"Mark the pins {_on_ends(notches)} from the finished tails of {_mates(notches)}, saw on the waste side and"
            f" chop out {sockets}, {say.joint(one.depth)} deep."
        )
    count = len([n for n in notches if n.open_end is one.open_end])
    long = one.span[1] - one.span[0]
    return (
        f"Mark the tails {_at_ends(notches)} from the template or the drawing of {part.letter}, saw them and chop out"
        f" {_many(count, 'socket')}, {say.joint(long)} deep."
    )


def _on_ends(notches: Sequence[Notch]) -> str:
    sides = list(dict.fromkeys(n.side for n in notches))
    return "on both ends" if len(sides) == 2 else f"on the {_end_words(sides[0])}"


def _kerfs(part: Part, notches: Sequence[Notch], say: Say) -> str:
    one = notches[0]
    each = [n for n in notches if n.open_end is one.open_end]
    squared = squared_tenon(part, one.joint, one.open_end) if one.open_end else None
    long = area(one.outline) / one.width if squared else one.span[1] - one.span[0]
    return (
        f"Saw {_many(len(each), 'kerf')} for {plural('wedge', len(each))} into each tenon {_at_ends(notches)},"
        f" {say.joint(long)} deep, as drawn."
    )


def _corners(part: Part, notches: Sequence[Notch], say: Say) -> str:
    if any(n.side.axis == 0 for n in notches):
        return f"Round the edges of the tenon {_on_ends(notches)} until it enters its mortise."
    one = notches[0]
    low, high = one.across
    ends = len(_ends(notches))
    which = (
        "a corner at each end"
        if len(notches) == ends == 2
        else f"{_many(len(notches), 'corner', 'the')} {_at_ends(notches)}"
    )
    border = part.size_along(1 if one.side.axis == 2 else 2)
    at = f" on the {_border(part, one, low, border)}" if high - low < border else ""
    return (
        f"Cut away {which}{at}, {say.joint(one.span[1] - one.span[0])} along"
        f" and {say.joint(high - low if one.side.axis == 2 else one.depth)} across, to clear the stopped cut in"
        f" {_mates(notches)}."
    )


def _laps(part: Part, notches: Sequence[Notch], say: Say) -> str:
    one = notches[0]
    return (
        f"Notch the {side_words(part, one.side)} for {_mates(notches)}, near"
        f" {plural('shoulder', len(notches))} {_positions(part, notches, say)}{_leaning(one, say)},"
        f" {say.joint(one.width)} wide and {_deep(part, one, say)}."
    )


_LINES: Mapping[Role, Callable[[Part, Sequence[Notch], Say], str]] = {
    "lap": _laps,
    "housing": _housing,
    "rabbet": _rabbet,
    "groove": _groove,
    "mortise": _mortise,
    "cheek": _cheeks,
    "corner": _corners,
    "slot": _slots,
    "kerf": _kerfs,
    "socket": _sockets,
}
_TOOLS: Mapping[Role, tuple[str, ...]] = {
    "lap": ("saw with depth stop", "chisel"),
    "housing": ("saw or router with a guide", "chisel"),
    "rabbet": ("router or saw with a fence",),
    "groove": ("router or saw with a fence",),
    "mortise": ("chisel and mallet, or router with a guide",),
    "cheek": ("saw with depth stop", "chisel"),
    "corner": ("saw", "chisel"),
    "slot": ("saw with a stop", "chisel"),
    "kerf": ("fine saw",),
    "socket": ("fine saw", "chisel and mallet"),
}
