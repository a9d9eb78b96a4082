"""Texts of the steps on single parts: settle, plane, square, cut, notch, drill, smooth."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from planpress.model.records import Hole, Notch, Part, Purpose, Side
from planpress.model.saw_settings import saw_setting
from planpress.work.facts import (
    edge_lengths,
    end_at,
    ends_are_parallel,
    follows_ends,
    near_shoulder,
    reference_line,
    side_words,
)
from planpress.work.guidance import ESTIMATES, HANDS_OFF, SETTLING_DAYS, SHORT_PART, SPARE_LENGTH
from planpress.work.operations import Kind
from planpress.work.saying import Say, capital, in_words, listed, times
from planpress.work.shaping import is_square_cut
from planpress.work.telling import StepText, Telling, letters, names

#: More running positions than this are left to the drawing of the part.
MANY_POSITIONS = 12


def settle(telling: Telling) -> StepText:
    """Let the wood lie, then measure it: every notch is cut to what it measures."""
    plan, say = telling.plan, telling.say
    boards = [part for part in plan.parts if part.material.form == "board"]
    sections: dict[tuple[Fraction, Fraction], list[Part]] = {}
    for part in boards:
        sections.setdefault((part.thickness, part.width), []).append(part)
    sizes = [
        f"The wood for {letters(parts)} should measure {say.joint(thickness)} × {say.joint(width)}."
        for (thickness, width), parts in sections.items()
    ]
    for form, words in (
        ("sheet", "The panel for {} should measure {} thick."),
        ("rough", "The rough wood for {} must leave {} when it is planed."),
    ):
        thick: dict[Fraction, list[Part]] = {}
        for part in plan.parts:
            if part.material.form == form:
                thick.setdefault(part.thickness, []).append(part)
        sizes += [words.format(letters(parts), say.joint(thickness)) for thickness, parts in thick.items()]
    actions = [
        f"Lay the wood in the workshop for about {in_words(SETTLING_DAYS)} days, with strips between the layers.",
        *sizes,
        f"Measure every {'stick' if boards else 'board and panel'} in the middle and near both ends. Write the true"
        " sizes on this page.",
    ]
    if any(part.notches for part in boards):
        actions.append("Sort the wood so that parts that meet in a notch come from sticks that measure alike.")
    return StepText(
        title="Let the wood settle, then measure it",
        tools=("calipers or a fine rule", "pencil"),
        minutes=ESTIMATES.measure_piece * len(plan.pieces),
        actions=tuple(actions),
        check=f"{'sticks of one size' if boards else 'pieces of one thickness'} measure alike, within {say.fine}.",
    )


def mill(telling: Telling) -> StepText:
    """Rough stock to its finished section."""
    parts, say = telling.parts(Kind.MILL), telling.say
    sizes: dict[str, None] = {}
    for p in parts:
        to = f"Plane to {say.joint(p.thickness)} thick"
        sizes[f"{to}{f' and {say.joint(p.width)} wide' if p.material.width else ''}, all at one setting."] = None
    wide = [p for p in parts if p.material.width is None]
    short = any(edge_lengths(p)[1] < SHORT_PART for p in parts)
    return StepText(
        title=f"Plane the wood for {letters(parts)}",
        tools=(
            "planes or planing machines",
            *(("rip fence and push stick",) if wide else ()),
            "square",
            "calipers",
        ),
        minutes=ESTIMATES.set_up + 5 * sum((Fraction(p.count) for p in parts), Fraction(0)),
        actions=(
            "Plane one true face and mark it, then one true edge square to it.",
            *sizes,
            *_ripping(wide, say),
            *(["Plane the sawn edges."] if wide else []),
        ),
        check=f"all alike, within {say.fine}; the edges are square to the faces.",
        caution=(
            f"A piece shorter than {say.at_least(SHORT_PART)} can tip into the cutters. Plane long pieces, cut them up"
            " afterwards."
            if short
            else ""
        ),
    )


def square(telling: Telling) -> StepText:
    """The reference end."""
    plan, say = telling.plan, telling.say
    widths: dict[Fraction, list[Part]] = {}
    for part in plan.parts:
        if part.material.form == "sheet":
            widths.setdefault(part.width, []).append(part)
    strips = [f"{say.length(width)} wide for {letters(parts)}" for width, parts in widths.items()]
    actions = [
        *([f"Saw the panels into strips, the grain of the face along them: {listed(strips)}."] if strips else []),
        f"Cut one end of each {'piece' if strips else 'stick'} square, far enough in to be clear of cracks.",
        "Mark this reference end with a cross and the part's letter, and mark the reference face and edge next to it.",
    ]
    fitted = [p for p in plan.parts if p.fit_in_place]
    if fitted:
        longest = max(edge_lengths(p)[1] for p in fitted)
        actions.append(
            f"Keep {listed([times(p.letter, p.count) for p in fitted])} long, at least"
            f" {say.at_least(longest + SPARE_LENGTH)}: they are cut later, to the work."
        )
    return StepText(
        title="Saw panels to width, square one end of each piece" if strips else "Square one end of each stick",
        tools=(*(("saw with a fence",) if strips else ()), "crosscut saw", "square", "pencil"),
        minutes=ESTIMATES.set_up + ESTIMATES.crosscut * len(plan.pieces),
        actions=tuple(actions),
        check="a square held against the reference edge and face shows no light at the end.",
    )


def cut(telling: Telling) -> StepText:
    """To length, square or at an angle; longest first, so that short parts come from what is left over."""
    say = telling.say
    parts = sorted(telling.parts(Kind.CUT), key=lambda p: -edge_lengths(p)[1])
    by_letter = telling.parts(Kind.CUT)
    angled = not is_square_cut(parts[0])
    boards = [p for p in parts if p.material.form == "board"]  # panels are sawn, rough wood is planed to width before
    actions = _ripping(boards, say)
    for part in parts:
        actions += _angled_cut(part, parts, say) if angled else [_square_cut(part, say)]
    if angled:
        actions = _said_once(actions)
        actions.append("Carry the letter and the marks of the reference edge and face over to every piece.")
    short = [p for p in by_letter if edge_lengths(p)[1] < SHORT_PART]
    caution = (
        "Fix the stop to the crosscut fence. A piece that touches the rip fence jams against the blade and is thrown."
    )
    if short:
        be = "is" if sum(p.count for p in short) == 1 else "are"
        caution = (
            f"{capital(names(short))} {letters(short)} {be} short: hands come close to the blade. Clamp the wood and"
            f" keep your fingers {say.at_least(HANDS_OFF)} away."
        )
    count = sum(p.count for p in parts)
    minutes = ESTIMATES.angled_cut * 2 if angled else ESTIMATES.crosscut
    return StepText(
        title=f"Cut {names(by_letter)} to length" + (", ends at an angle" if angled else ""),
        tools=(
            *(("rip fence and push stick",) if _ripping(boards, say) else ()),
            "crosscut saw",
            "stop block",
            *(("bevel gauge",) if angled else ()),
            "rule",
        ),
        minutes=ESTIMATES.set_up * len(parts) + minutes * count,
        actions=tuple(dict.fromkeys(actions)),
        check=f"pieces of one letter, stood side by side, are equally long, within {say.fine}.",
        caution=caution,
    )


def _ripping(parts: Sequence[Part], say: Say) -> list[str]:
    """Strips for parts that are not as wide as their stock, equal widths at one setting."""
    widths: dict[Fraction, list[Part]] = {}
    for part in sorted(parts, key=lambda p: -p.width):
        if part.width != part.material.width:
            widths.setdefault(part.width, []).append(part)
    return [
        f"Rip strips {say.joint(width)} wide for {letters(sorted(alike, key=lambda p: p.letter))}, length with the"
        " grain."
        for width, alike in widths.items()
    ]


def _square_cut(part: Part, say: Say) -> str:
    pieces = times(part.letter, part.count)
    return f"Set the stop {say.length(part.length)} from the blade. Reference end to the stop, cut {pieces}."


def _angled_cut(part: Part, parts: list[Part], say: Say) -> list[str]:
    """Angle, how the ends lie to each other, and the length that a stop can be set to."""
    near, far = part.ends
    first = next((p for p in parts if _looks(p) == _looks(part)), part)
    if first is not part:
        return []
    alike = [p for p in parts if _looks(p) == _looks(part)]
    who = letters(sorted(alike, key=lambda p: p.letter))
    pieces = listed([times(p.letter, p.count) for p in sorted(alike, key=lambda p: p.letter)])
    shortest, longest = edge_lengths(part)
    angles = list(dict.fromkeys(say.angle(end.mitre if end.mitre else end.bevel) for end in part.ends))
    if any(end.mitre and end.bevel for end in part.ends):
        saws = [saw_setting(end) for end in part.ends]
        settings = listed(
            list(dict.fromkeys(f"{say.angle(saw.gauge)} across and {say.angle(saw.tilt)} tilted" for saw in saws))
        )
        sorted_alike = sorted(alike, key=lambda p: p.letter)
        longer = [_longer_sides(p, several=len(alike) > 1) for p in sorted_alike]
        if ends_are_parallel(part):
            return [
                f"The back on the table, set the saw to {settings}. Trim the reference end of {who}.",
                *longer,
                f"Slide on, do not turn the stick: both ends run parallel. Set the stop {say.length(longest)} away,"
                f" measured along one edge, and cut {pieces}.",
            ]
        return [
            f"The back on the table, set the saw to {settings}.",
            *longer,
            f"Cut {pieces}, {say.length(part.length)} from tip to tip.",
        ]
    over = "the face" if any(end.mitre for end in part.ends) else "the edge"
    if ends_are_parallel(part):
        return [
            f"Set the saw to {angles[0]} across {over}. Trim the reference end of {who}.",
            f"Slide on, do not turn the stick: both ends run parallel. Set the stop {say.length(longest)} away,"
            f" measured along one edge, and cut {pieces}.",
        ]
    if near.is_square or far.is_square:
        slanted = far if near.is_square else near
        angle = say.angle(slanted.mitre if slanted.mitre else slanted.bevel)
        which = "far end" if near.is_square else "reference end"
        return [f"Cut the {which} of {pieces} at {angle} across {over}, {say.length(longest)} along the longer edge."]
    return [
        f"Set the saw to {listed(angles)} across {over}. Trim the reference end of {who}, then turn the stick over.",
        f"The ends lean towards each other. Set the stop {say.length(longest)} away, measured along the longer edge,"
        f" and cut {pieces}; the shorter edge measures {say.length(shortest)}.",
    ]


def _longer_sides(part: Part, several: bool) -> str:
    """Which sides come out the longer at the reference end, so that the saw is swung and tilted the right way."""
    setting = saw_setting(part.ends[0])
    sides = [f"the {side_words(part, side)}" for side in (setting.longer, setting.overhangs) if side is not None]
    return f"{'Of ' + part.letter if several else 'There'}, {listed(sides)} must come out longer{' there' * several}."


def _looks(part: Part) -> tuple[object, ...]:
    """Equal for parts cut with the same saw setting and stop, left and right alike."""
    return (
        ends_are_parallel(part),
        tuple((abs(e.mitre), abs(e.bevel)) for e in part.ends),
        round(part.length, 3),
        part.width,
        part.thickness,
    )


def notch(telling: Telling) -> StepText:
    """Notches of one part, or of a left-hand and a right-hand one, after a test notch."""
    say = telling.say
    parts = telling.parts(Kind.NOTCH)
    first = parts[0]
    joints = list(dict.fromkeys(n.joint for p in parts for n in p.notches))
    tested = [o.joints[0] for o in telling.of(Kind.TEST)]
    handed = len(parts) > 1
    actions: list[str] = []
    mates = _mates(first, joints)
    depths = list(dict.fromkeys(say.joint(n.depth) for n in first.notches))
    keep = not tested and len(depths) == 1
    depth = f"{'Keep the depth of cut at' if keep else 'Set the depth of cut to'} {_depth_words(first, say)}."
    if tested:
        tries = _stick(_mates(first, tested))
        depth += f" Cut a test notch in an offcut: {tries} closes by hand and stays in."
    actions.append(depth)
    sides = list(dict.fromkeys(n.side for n in first.notches))
    if handed:
        actions.append(f"Lay {letters(parts)} as a pair, {side_words(first, sides[0])} up, reference edges outward.")
    laid = handed and len(sides) == 1
    together = _common_line(parts, joints, say, laid)
    actions += [together] if together else [_notch_line(parts, joint, say, laid) for joint in joints]
    if sum(len(p.pieces) for p in parts) > 1:
        actions[-1] += " Cut all pieces at one stop, then set the next."
    caution = ""
    if handed:
        caution = "Mark all as mirror images first: a notch on the wrong face spoils one."
    elif tested:
        caution = "A notch too wide spoils the part: cut none before the test fits."
    count = sum(p.count * len(p.notches) for p in parts)
    skewed = any(n.skew for n in first.notches)
    whole = all(n.depth_share == "whole" for n in first.notches)
    level = "lies level" if whole else "reaches the floor"
    return StepText(
        title=f"Notch the {names(parts)}",
        tools=("saw with depth stop", "stop block", "bevel gauge" if skewed else "square", "chisel"),
        minutes=ESTIMATES.set_up + ESTIMATES.test_notch * len(tested) + ESTIMATES.notch * count,
        actions=tuple(actions),
        check=f"in every notch {_stick(mates)} {level}, within {say.fine}.",
        caution=caution,
    )


def _mates(part: Part, joints: list[str]) -> list[str]:
    return list(dict.fromkeys(m for n in part.notches if n.joint in joints for m in n.mates))


def _stick(mates: Sequence[str]) -> str:
    """What a notch is tried with."""
    return f"a stick for {listed(mates, 'or')}"


def _said_once(actions: Sequence[str]) -> list[str]:
    """The actions, a first sentence that an earlier one has begun with left out: the saw is set once."""
    said: dict[str, None] = {}
    out = []
    for action in actions:
        first, _, rest = action.partition(". ")
        out.append(rest if rest and first in said else action)
        said[first] = None
    return out


def _notch_line(parts: list[Part], joint: str, say: Say, laid: bool) -> str:
    """Where the notches of one joint lie, in running places from the reference end, and how wide they are.

    Args:
        laid: which side is worked on has been said.
    """
    part = parts[0]
    notches = [n for n in part.notches if n.joint == joint]
    one = notches[0]
    mates = listed(_mates(part, [joint]))
    places = [say.length(near_shoulder(part, n)) for n in notches]
    where = f"{listed(places)} from the reference end"
    if len(places) > MANY_POSITIONS:
        where = f"at the places in the drawing of {letters(parts)}"
    if one.skew:
        where += ", along the reference edge"
    shoulders = "the near shoulder" if len(places) == 1 else "near shoulders"
    on = "" if laid else f" on the {side_words(part, one.side)}"
    text = f"Mark {shoulders} for {mates}{on}, {where}."
    if one.skew:
        ends = follows_ends(part, one)
        text += f" Both shoulders {'run parallel to the ends' if ends else f'lean {say.angle(one.skew)} from square'}."
    size = "thick" if one.mate_size == "thickness" else "wide"
    text += f" Width: as {mates} is {size}, {say.joint(one.width)} by the table"
    return text + (f", out to the {one.open_end.value}." if one.open_end else ".")


def _common_line(parts: list[Part], joints: list[str], say: Say, laid: bool) -> str:
    """One line for all joints whose notches are alike but for their places; "" if they are not."""
    part = parts[0]
    rows = [(joint, [n for n in part.notches if n.joint == joint]) for joint in joints]
    looks = {(n.side, n.skew, say.joint(n.width), n.mate_size) for _, notches in rows for n in notches}
    if len(rows) < 2 or len(looks) > 1 or any(len(notches) > 1 for _, notches in rows):
        return ""
    one = rows[0][1][0]
    places = []
    for joint, (notch,) in rows:
        end = f", out to the {notch.open_end.value}" if notch.open_end else ""
        places.append(f"{say.length(near_shoulder(part, notch))} for {listed(_mates(part, [joint]))}{end}")
    on = "" if laid else f" on the {side_words(part, one.side)}"
    text = f"Mark near shoulders{on} from the reference end{', along the reference edge' if one.skew else ''}:"
    text += f" {listed(places)}."
    if one.skew:
        lean = "parallel to the ends" if follows_ends(part, one) else f"leaning {say.angle(one.skew)} from square"
        text += f" Shoulders {lean}."
    mates = _mates(part, joints)
    size = "thick" if one.mate_size == "thickness" else "wide"
    return f"{text} Width: as {listed(mates)} are {size}, {say.joint(one.width)} by the table."


def _depth_words(part: Part, say: Say) -> str:
    """Depths of a part's notches, each with what it follows from."""
    notches: dict[str, list[Notch]] = {}
    for n in part.notches:
        notches.setdefault(say.joint(n.depth), []).append(n)
    return listed([depth + _depth_reason(part, alike) for depth, alike in notches.items()])


def _depth_reason(part: Part, notches: list[Notch]) -> str:
    """What one depth follows from, if all notches of that depth agree."""
    halves = [abs(2 * n.depth - part.size_along(n.side.axis)) < Fraction(1, 100) for n in notches]
    if all(halves) and all(n.depth_share == "half" for n in notches):
        return f", half the {'width' if notches[0].side.axis == 1 else 'thickness'}"
    if all(n.depth_share == "whole" for n in notches):
        mates = list(dict.fromkeys(m for n in notches for m in n.mates))
        size = "thick" if notches[0].mate_size == "width" else "wide"
        return f", as {listed(mates)} {'is' if len(mates) == 1 else 'are'} {size}"
    return ""


def drill(telling: Telling) -> StepText:
    """Holes made before assembly."""
    say = telling.say
    parts = telling.parts(Kind.DRILL)
    actions: list[str] = []
    bits: dict[str, None] = {}
    sunk = False
    for part in parts:
        for line, bit in _hole_lines(part, say):
            actions.append(line)
            bits[bit] = None
        sunk = sunk or any(h.sink_diameter for h in part.holes)
    through = any(h.depth is None for p in parts for h in p.holes)
    if through:
        actions.insert(0, "Clamp a scrap behind the wood, or the drill breaks it out where it comes through.")
    count = sum(p.count * len(p.holes) for p in parts)
    clearance = any(h.purpose is Purpose.CLEARANCE for p in parts for h in p.holes)
    return StepText(
        title=f"Drill the {names(parts)}",
        tools=("drill", *(f"{bit} bit" for bit in bits), *(("countersink",) if sunk else ()), "square", "awl"),
        minutes=ESTIMATES.set_up + ESTIMATES.hole * count,
        actions=tuple(actions),
        check=(
            "a screw drops through each hole, its head flush."
            if clearance
            else f"each hole is square to the surface and in its place, within {say.fine}."
        ),
    )


def _inward(part: Part, hole: Hole, say: Say) -> str:
    """How far a hole lies from the reference edge, or on an edge from the reference face."""
    if hole.side.axis == 2:
        upper = part.reference_edge is Side.UPPER
        return f"{say.length(part.width - hole.at[1] if upper else hole.at[1])} from the reference edge"
    return f"{say.length(part.thickness - hole.at[1])} from the reference face"


def _hole_lines(part: Part, say: Say) -> list[tuple[str, str]]:
    """One line for all holes of a part that are alike, and their bit."""
    alike: dict[tuple[object, ...], list[Hole]] = {}
    for hole in part.holes:
        alike.setdefault((hole.side, hole.diameter, hole.depth, hole.sink_diameter), []).append(hole)
    out = []
    for holes in alike.values():
        hole = holes[0]
        v, w = reference_line(part, hole.side)
        start = end_at(part.ends[0], v, w)
        places = [say.length(h.at[0] - start if hole.side.axis else h.at[0]) for h in holes]
        deep = "right through" if hole.depth is None else f"to a depth of {say.joint(hole.depth)}"
        across = part.size_along(2 if hole.side.axis == 1 else 1)
        halved = abs(2 * hole.at[1] - across) < Fraction(1, 10)
        inward = "on its middle line" if halved else _inward(part, hole, say)
        sink = ""
        if hole.sink_diameter and hole.sink_angle:
            sink = " Countersink there until a screw's head lies flush."
        elif hole.sink_diameter:
            sink = (
                f" First bore {say.drill(hole.sink_diameter)} wide and {say.joint(hole.sink_depth)} deep for the heads."
            )
        where = f"{inward}, {listed(places)} from the reference end" if hole.side.axis else "as drawn"
        out.append(
            (
                f"On the {side_words(part, hole.side)} of {times(part.letter, part.count)}, prick centres {where}."
                f" Drill {say.drill(hole.diameter)} {deep}.{sink}",
                say.drill(hole.diameter),
            )
        )
    return out


def smooth(telling: Telling) -> StepText:
    """Sanding and easing while every side can be reached."""
    parts = telling.parts(Kind.SMOOTH)
    count = sum(p.count for p in parts)
    joints = any(j.glue for j in telling.plan.joints)
    actions = [
        "Sand the faces and edges with 120, then 180 grit, along the grain.",
        "Round all long edges and ends slightly with two strokes of 180 grit.",
    ]
    if any(p.notches for p in parts) or joints:
        actions.insert(0, "Do not sand where parts meet: notches and what lies in them stay as they were cut.")
    return StepText(
        title="Sand the parts and ease their edges",
        tools=("sanding block", "120 and 180 grit paper", "dust mask"),
        minutes=ESTIMATES.smooth_piece * count,
        actions=tuple(actions),
        check="no edge feels sharp, and every joint still fits as before.",
    )
