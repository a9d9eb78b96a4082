"""Texts of the steps that bring parts together and finish them."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from planpress.base.quantities import COUNT, TIME
from planpress.geometry.vectors import Vec, dot
from planpress.model.records import Part
from planpress.work.arrival_text import arrival_lines, body_lines, coming_from, following
from planpress.work.facts import edge_lengths, extent, in_row, leans, size_along
from planpress.work.guidance import CLAMP_ROOM, ESTIMATES, PVA, TWO_PEOPLE
from planpress.work.operations import Kind, Operation
from planpress.work.places import Meeting, meeting
from planpress.work.saying import in_words, listed, lower_first, plural, times
from planpress.work.telling import StepText, Telling, letters, names
from planpress.work.wedging_text import after_closing, before_glue, wedge_tools

#: A lattice is clamped with a batten over each lying piece that has at least so many arriving ones.
BATTEN_FROM = 4
_WIPE = "Wipe off the excess."
_WAYS = ((1, 1, "to the front"), (1, -1, "to the back"), (0, 1, "to the left"), (0, -1, "to the right"))


def unit_name(telling: Telling, unit: str) -> str:
    """What an assembly is called in a sentence: "top"."""
    for group in telling.plan.assemblies:
        if group.name == unit:
            return lower_first(group.label)
    return ""


def dry_fit(telling: Telling) -> StepText:
    """The trial run of a large glue-up, in a step of its own."""
    operation = telling.of(Kind.DRY_FIT)[0]
    met = meeting(telling.plan, operation)
    return StepText(
        title=f"Put the {_subject(telling, operation, met)} together without glue",
        tools=_tools(telling, met, glued=False),
        minutes=10 + ESTIMATES.dry_joint * len(met.places) * met.copies,
        actions=(
            *_lay_out(telling, met),
            f"{_clamp_line(telling, met)} Note the order.",
            "Number the parts on faces that will not show. Take it apart again.",
        ),
        check=_closing_check(telling, met),
    )


def join(telling: Telling) -> StepText:
    """Put a unit together, with glue or without."""
    operation = telling.of(Kind.JOIN)[0]
    met = meeting(telling.plan, operation)
    subject = _subject(telling, operation, met)
    many = met.copies > 1
    if not met.places:
        unit = plural(unit_name(telling, operation.unit), met.copies) if operation.unit else ""
        return StepText(
            title=f"Set the {unit or names(telling.parts(Kind.JOIN))} in place",
            tools=(),
            minutes=Fraction(5),
            actions=(f"{_bring_in(telling, operation, unit)} as the views show.",),
            check="it slides in without force." if unit else "nothing rocks.",
        )
    actions = _glue_up(telling, met) if telling.glued else _lay_out(telling, met)
    actions[:0] = _remarks(telling, operation)
    actions[:0] = before_glue(telling, met)
    actions += after_closing(telling, met)
    actions += _held_by(telling, operation)
    if many:
        actions[-1] += f" Build {'both' if met.copies == 2 else f'all {in_words(met.copies)}'} alike."
    minutes = 10 + (ESTIMATES.glue_joint + ESTIMATES.dry_joint) * len(met.places) * met.copies
    return StepText(
        title=f"{'Glue' if telling.glued else 'Put together'} the {subject}",
        tools=tuple(dict.fromkeys([*_tools(telling, met, glued=telling.glued), *wedge_tools(telling, met)])),
        minutes=minutes,
        then=_clamp_time(telling),
        actions=tuple(actions),
        check=_closing_check(telling, met),
        caution=_glue_caution(telling, met) if telling.glued else "",
    )


def _bring_in(telling: Telling, operation: Operation, unit: str) -> str:
    """Loose pieces are set, an assembly is brought in from where it has a way."""
    if not unit:
        return f"Set {listed([times(a, n) for a, n in operation.parts])} in place"
    own = dict.fromkeys(operation.pieces)
    ways = [a.ways[0] for a in telling.arrivals if a.ways and len(a.pieces) > 1 and all(p in own for p in a.pieces)]
    return f"Bring in the {unit}{f' {coming_from(ways[-1])}' if ways else ''}"


def _held_by(telling: Telling, operation: Operation) -> list[str]:
    """A piece that comes later and takes hold of several bodies joined here keeps them in place while glue sets."""
    if operation.unit or not telling.glued or not _is_added(telling, operation):
        return []
    standing = dict.fromkeys(telling.plan.pieces[p].assembly for p in operation.pieces)
    later = following(telling, operation)
    for name in later:
        if telling.plan.pieces[name].assembly[0] or telling.plan.part_of(name).fit_in_place:
            continue
        others = [j.second if j.first == name else j.first for j in telling.plan.joints if name in (j.first, j.second)]
        held = dict.fromkeys(telling.plan.pieces[p].assembly for p in others)
        if len([unit for unit in held if unit[0] and unit in standing]) > 1:
            letter = telling.plan.pieces[name].letter
            return [f"Set {letter} on without glue until this has set: it keeps all in place. Then lift it off."]
    return []


def _remarks(telling: Telling, operation: Operation) -> list[str]:
    """What the maker remarks on loose parts that are set on an assembly here."""
    if operation.unit or not _is_added(telling, operation):
        return []
    return [f"{part.letter}: {part.remark}." for part in _row_letters(telling, operation.places) if part.remark]


def _glue_up(telling: Telling, met: Meeting) -> list[str]:
    """Actions of a glue-up: short after a dry fit in a step of its own, else with the dry fit."""
    operation = telling.of(Kind.JOIN)[0]
    lay = _lay_out(telling, met)
    dry = [a.operation for a in operation.after if a.operation.startswith(Kind.DRY_FIT.value)]
    rehearsed = bool(dry) and not telling.of(Kind.DRY_FIT)
    by_row = _too_long(met) and len(met.arriving) > 2
    if rehearsed and arrival_lines(telling, met):
        return [
            "Go in the order of the dry fit. Brush glue thinly on both faces of each joint just before it closes.",
            f"{_clamp_line(telling, met)} {_WIPE}",
        ]
    if rehearsed and by_row and len(lay) > 1:
        arriving = letters(_row_letters(telling, met.arriving))
        return [
            f"Lay {_counted(telling, met.lying)} as in the dry fit.",
            f"{_glue_line(met)[:-1]}, tap its {arriving} down evenly. Go on row by row.",
            f"{_clamp_line(telling, met)} {_WIPE}",
        ]
    if telling.of(Kind.DRY_FIT) and arrival_lines(telling, met):
        return [
            *lay,
            "Do this with clamps and no glue first, then take it apart.",
            f"{_glue_line(met)} Set all again in the same order. {_clamp_line(telling, met)} {_WIPE}",
        ]
    if telling.of(Kind.DRY_FIT) and len(lay) > 1:
        trial = f"With clamps, no glue: {lower_first(lay[1])}"
        clamp = _clamp_line(telling, met)
        again = f"set all again. {clamp}" if _battens(met) else f"set and {lower_first(clamp)}"
        return [lay[0], trial, f"{_glue_line(met)[:-1]}, {again} {_WIPE}"]
    trial_first = ["Put it together without glue first."] if telling.of(Kind.DRY_FIT) else []
    if len(lay) == 1:
        return [*trial_first, _glue_line(met), *lay, f"{_clamp_line(telling, met)} {_WIPE}"]
    return [*trial_first, *lay[:1], _glue_line(met), *lay[1:], f"{_clamp_line(telling, met)} {_WIPE}"]


def fit(telling: Telling) -> StepText:
    """Measure a part from what stands, cut it, and put it in if that is one step."""
    say = telling.say
    operation = telling.of(Kind.FIT)[0]
    part = telling.parts(Kind.FIT)[0]
    joining = telling.of(Kind.JOIN)
    met = meeting(telling.plan, joining[0]) if joining else None
    lying = [p for p in telling.plan.parts if met and any(telling.plan.pieces[x].letter == p.letter for x in met.lying)]
    others = letters(lying) or "the work"
    notched = any(part.letter in n.mates for p in lying for n in p.notches)
    edging = bool(met and met.places) and all(j.kind == "edge glue-up" for j in (met.places if met else ()))
    hold = f"Lay {part.letter} in its notches" if notched else f"Hold {part.letter} to {others}"
    flush = any("flush" in end.target for end in part.ends)
    along = "along the outer edges" if flush else f"where it meets {others}"
    along = "where the edge that it covers ends, or meets another part" if edging else along
    several = operation.parts[0][1] > 1
    longest = edge_lengths(part)[1]
    off = say.length(2 * say.edition.length_grid.step)
    trim = "pare to the marks" if flush else f"trim until {part.letter} goes in"
    actions = [
        f"{hold}, knife its ends {along}{'; number each' if several else ''}.",
        f"The marks should lie {say.length(longest)} apart; if off by more than {off}, find out why.",
        f"Saw just outside them{_about_angle(telling, part)}; {trim}. Sand {part.letter}, ease its edges.",
    ]
    minutes = Fraction(ESTIMATES.fit_piece * operation.parts[0][1])
    tools: list[str] = [
        "knife",
        "saw",
        "chisel" if flush else "bevel gauge" if _about_angle(telling, part) else "square",
    ]
    if met and telling.glued:
        actions.append(f"{_glue_line(met)} {_clamp_line(telling, met)} {_WIPE}")
        tools += _tools(telling, met, glued=True)
        minutes += ESTIMATES.glue_joint * len(met.places) * met.copies
    verb = "Fit and glue" if telling.glued else "Fit"
    return StepText(
        title=f"{verb} the {names([part])}",
        tools=tuple(dict.fromkeys(tools)),
        minutes=minutes,
        then=_clamp_time(telling),
        actions=tuple(actions),
        check=f"the ends of {part.letter} {'lie flush' if flush else 'close'}, within {say.fine}.",
        caution=f"Do not cut {part.letter} from the parts table: one that is too short is spoiled.",
    )


def _about_angle(telling: Telling, part: Part) -> str:
    angles = dict.fromkeys(telling.say.angle(e.mitre or e.bevel) for e in part.ends if not e.is_square)
    return f", near {listed(list(angles))}" if angles else ""


def hang(telling: Telling) -> StepText:
    """What stays on the wall is fixed there, the piece is hung on it."""
    plan, say = telling.plan, telling.say
    parts = telling.parts(Kind.HANG)
    pieces = telling.of(Kind.HANG)[0].pieces
    up = (Fraction(0), Fraction(0), Fraction(1))
    above = plan.high[2] - extent(plan, pieces, up)[1]
    it = "them" if len(pieces) > 1 else "it"
    return StepText(
        title=f"Fix the {names(parts)}, hang the piece",
        tools=("spirit level", "drill", "fasteners for this wall", "driver"),
        minutes=Fraction(30),
        actions=(
            f"Draw a level line on the wall, {say.length(above)} below where the top of the piece is to be.",
            f"Hold the upper edge of {letters(parts)} to the line, turned as in the picture. Fix {it} with at least two"
            " fasteners that the wall can hold; their heads must lie below the surface.",
            "Set the piece against the wall a little too high and let it down until it sits.",
        ),
        check="a level on the top shows no tilt, and the piece cannot be drawn off the wall without lifting it.",
    )


def finish(telling: Telling) -> StepText:
    """Coats with waits."""
    plan, say = telling.plan, telling.say
    described = plan.description.finish
    assert described is not None, "the operation exists only for a plan with a finish"
    coats = int(described.coats.quantity(plan.values, COUNT).value)
    recoat = described.recoat.quantity(plan.values, TIME).value if described.recoat else None
    product = described.product
    oil = is_drying_oil(product)
    wait = f"{say.time(int(recoat))}" if recoat is not None else ""
    verb = "Oil" if oil else "Finish"
    feet = "" if plan.description.hangs_by else " and feet"
    actions = [
        "Take off pencil marks with 180 grit and wipe off all dust.",
        f"Brush on a thin coat of {product}, undersides and inner edges first.",
    ]
    if oil:
        actions.append("After a quarter of an hour wipe off all that has not gone in.")
    if coats > 1:
        again = f" after {wait}" if wait else " when it is dry"
        actions.append(f"Rub down lightly with fine paper and put on {_more_coats(coats - 1)}{again}.")
    caution = (
        "Oily rags can catch fire by themselves within hours. Spread them flat outdoors to dry, or keep them under"
        " water in a closed metal can."
        if oil
        else "Vapour can burn and harms the lungs. Work with open windows, away from flames."
    )
    return StepText(
        title=f"{verb} the whole piece",
        tools=("brush", "clean rags", "gloves", "180 grit and fine paper"),
        minutes=coats * (10 + ESTIMATES.coat_piece * len(plan.pieces)),
        then=f"{wait} to dry after each coat" if wait else "drying as the label says",
        actions=tuple(actions),
        check=f"no side is missed, undersides{feet} too; {in_words(coats)} {plural('coat', coats)} on all.",
        caution=caution,
    )


def _more_coats(count: int) -> str:
    return "another coat" if count == 1 else f"{in_words(count)} more coats"


def is_drying_oil(product: str) -> bool:
    """True for finishes whose rags heat up by themselves: drying oils, oil varnishes, wax oils (fire-service guidance,
    from memory). When in doubt, yes."""
    words = product.lower()
    return any(word in words for word in ("oil", "linseed", "tung", "varnish")) and "mineral oil" not in words


# --- phrases of glue-ups


def _subject(telling: Telling, operation: Operation, met: Meeting) -> str:
    name = unit_name(telling, operation.unit)
    if name:
        return plural(name, met.copies)
    if _is_added(telling, operation):
        return f"{names(_row_letters(telling, operation.places))} to the {_standing(telling, operation)}"
    return names([telling.plan.part(a) for a in operation.letters])


def _is_added(telling: Telling, operation: Operation) -> bool:
    """True if loose pieces are set on an assembly that stands."""
    new = dict.fromkeys(operation.places)
    standing = [p for p in operation.pieces if p not in new]
    return bool(new) and bool(standing) and all(telling.plan.pieces[p].assembly[0] for p in standing)


def _standing(telling: Telling, operation: Operation) -> str:
    """Names of the assemblies that loose pieces are set on."""
    new = dict.fromkeys(operation.places)
    copies = dict.fromkeys(telling.plan.pieces[p].assembly for p in operation.pieces if p not in new)
    counts: dict[str, int] = {}
    for unit, _ in copies:
        counts[unit] = counts.get(unit, 0) + 1
    return listed([plural(unit_name(telling, unit), count) for unit, count in counts.items()])


def _row_letters(telling: Telling, pieces: Sequence[str]) -> list[Part]:
    return [p for p in telling.plan.parts if any(telling.plan.pieces[x].letter == p.letter for x in pieces)]


def _counted(telling: Telling, pieces: Sequence[str]) -> str:
    """ "B × 3", "C and D"."""
    counts = [(p.letter, sum(telling.plan.pieces[x].letter == p.letter for x in pieces)) for p in telling.plan.parts]
    return listed([letter if n == 1 else times(letter, n) for letter, n in counts if n])


def _lay_out(telling: Telling, met: Meeting) -> list[str]:
    """How the lying parts lie and how the arriving ones are set on them."""
    plan = telling.plan
    lying, arriving = _row_letters(telling, met.lying), _row_letters(telling, met.arriving)
    operation = next(iter(telling.of(Kind.JOIN)), None)
    ordered = arrival_lines(telling, met)
    if not ordered and operation is not None and not operation.unit and _is_added(telling, operation):
        bodies = body_lines(telling, operation)
        if bodies:
            return bodies
        way = f" {coming_from(met.direction)}" if met.direction else ""
        return [f"Set {_counted(telling, met.arriving)} on {letters(lying)}{way}, as the views show."]
    if ordered:
        return ordered
    if not lying or not arriving:
        return [f"Join {letters(_row_letters(telling, met.pieces))} place by place."]
    notched = any(n.joint in {j.joint for j in met.places} for p in lying for n in p.notches)
    up = ", notches up" if notched else ""
    first = f"Lay {_counted(telling, met.lying)} flat{up}, reference ends {_ends_way(telling, met.lying)}."
    row, begin = in_row(plan, arriving[0].letter, met.arriving)
    flush = listed(list(dict.fromkeys(e.target for p in arriving for e in p.ends if e.target.startswith("flush"))))
    where = "the notches" if notched else letters(lying)
    if len(row) > 2 and begin:
        way = _ends_way(telling, met.arriving)
        second = (
            f"Set {arriving[0].letter} into {where} one after the other, beginning at {begin}, reference ends {way}."
            " Tap each down evenly along its length."
        )
    else:
        second = f"Set {letters(arriving)} into {where}" if notched else f"Set {letters(arriving)} on {where}"
        second += f", ends flush with {letters(lying)}." if flush else " and press it down fully."
    return [first, second]


def _ends_way(telling: Telling, pieces: Sequence[str]) -> str:
    """Where reference ends point: all to the front, to the left, or just all the same way."""
    axes = [telling.plan.pieces[p].frame.x for p in pieces]
    for axis, sign, word in _WAYS:
        if all(a[axis] * sign > Fraction(9, 10) for a in axes):
            return word
    return "the same way" if all(dot(axes[0], a) > Fraction(1, 2) for a in axes) else "as drawn"


def _glue_line(met: Meeting) -> str:
    laps = any("lap" in j.kind for j in met.places)
    if _too_long(met) and len(met.arriving) > 2:
        return f"Brush glue thinly {'into' if laps else 'on'} one row of {'notches' if laps else 'joints'}."
    return f"Brush glue thinly {'into the notches' if laps else 'on both faces that meet'}."


def _too_long(met: Meeting) -> bool:
    return ESTIMATES.glue_joint * len(met.places) > PVA.open_time


def _glue_caution(telling: Telling, met: Meeting) -> str:
    return f"Glue grabs in about {telling.say.time(PVA.open_time)} (the label prevails): an open joint is then lost."


def _clamp_time(telling: Telling) -> str:
    if not telling.glued:
        return ""
    return f"{telling.say.time(PVA.clamp_time)} in the clamps, {telling.say.time(PVA.cure_time)} without load"


def _battens(met: Meeting) -> bool:
    return len(met.arriving) >= BATTEN_FROM


def clamps(telling: Telling, met: Meeting) -> tuple[int, Fraction]:
    """Number of clamps for one copy and how far (mm) they must open: the joint's height, battens and pads.

    One clamp across a piece closes the joints at both its ends; laps and butts are clamped one by one.
    """
    count = 2 * len(met.lying) if _battens(met) else len(_clamped(met))
    pieces = telling.plan.pieces
    unlike = {(j.joint, pieces[j.first].letter, pieces[j.second].letter): j for j in reversed(met.places)}
    open_to = max(
        (size_along(telling.plan, (j.first, j.second), j.direction) for j in unlike.values()), default=Fraction(0)
    )
    return count, open_to + CLAMP_ROOM


def _clamped(met: Meeting) -> list[tuple[object, ...]]:
    """What is clamped by one clamp each."""
    local = [(j.joint, j.first, j.second) for j in met.places if "lap" in j.kind or j.kind in ("butt", "edge glue-up")]
    across = dict.fromkeys(
        (j.first, tuple(abs(c) for c in j.direction)) for j in met.places if (j.joint, j.first, j.second) not in local
    )
    return [*local, *across]


def _clamp_line(telling: Telling, met: Meeting) -> str:
    count, _ = clamps(telling, met)
    if _battens(met):
        return f"Clamp a batten over each {letters(_row_letters(telling, met.lying))} at both its ends."
    return f"Clamp {'the joint' if count == 1 else 'every joint'} over pads."


def _tools(telling: Telling, met: Meeting, glued: bool) -> tuple[str, ...]:
    count, opening = clamps(telling, met)
    mallet = ("mallet",) if len(met.arriving) > 2 else ()
    battens = (f"{len(met.lying)} battens",) if _battens(met) else ()
    count *= met.copies
    jaws = f"{count} {plural('clamp', count)} opening {telling.say.at_least(opening)}"
    glue = (PVA.name, "brush") if glued else ()
    return (*mallet, *battens, jaws, *glue)


def _closing_check(telling: Telling, met: Meeting) -> str:
    """Equal diagonals where all is square, else the widest place."""
    plan, say = telling.plan, telling.say
    pieces = [*met.pieces, *met.lying]
    operation = next(iter(telling.of(Kind.JOIN)), None)
    if operation is not None and not operation.unit and _is_added(telling, operation):
        return (
            f"no gap shows where {_counted(telling, met.arriving)} {'meets' if len(met.arriving) == 1 else 'meet'}"
            + (" the work, before the glue sets." if telling.glued else " the work.")
        )
    name = f"each {unit_name(telling, plan.pieces[met.pieces[0]].assembly[0])}" if met.copies > 1 else "the work"
    if not any(leans(plan, p) for p in pieces):
        return (
            f"both diagonals are alike, within {say.coarse}, before the glue sets."
            if telling.glued
            else (f"every joint closes and both diagonals are alike, within {say.coarse}.")
        )
    frame = next((g.frame for g in plan.assemblies if pieces[0] in g.pieces), None)
    axes: tuple[Vec, ...] = (frame.x, frame.y) if frame else ((Fraction(1), Fraction(0), Fraction(0)),)
    widest = max(size_along(plan, pieces, axis) for axis in axes)
    before = ", before the glue sets" if telling.glued else ""
    return f"{name} is {say.length(widest)} at its widest, within {say.coarse}{before}."


def heavy(telling: Telling) -> bool:
    """True if two people have to lift the whole piece."""
    return telling.plan.mass is not None and telling.plan.mass > TWO_PEOPLE
