"""Texts of the steps that drill through joined parts: pins and screws. The last joining step also checks the whole."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from planpress.geometry.vectors import dot
from planpress.model.records import Fastener, FastenerPlace, Hole, Purpose, SolvedPlan
from planpress.work.facts import end_at, extent, in_row, middle, reference_line
from planpress.work.guidance import ESTIMATES, PVA, THIN_REST, TWO_PEOPLE
from planpress.work.joining_text import unit_name
from planpress.work.operations import Kind, Operation
from planpress.work.places import copy_of, driven
from planpress.work.saying import listed, ordinal, plural, times
from planpress.work.telling import StepText, Telling, letters, names


def wood_left(plan: SolvedPlan, place: FastenerPlace, reach: Fraction) -> Fraction:
    """Wood (mm) left beyond a hole that reaches so far from the fastener's head, before it comes out."""
    _, far = extent(plan, (place.second,), place.direction)
    return far - dot(place.head, place.direction) - reach


def hole_in(plan: SolvedPlan, piece: str, joint: str, purpose: Purpose) -> Hole | None:
    """The hole of a joint in a piece (all holes of one joint in one part are alike)."""
    holes = [*plan.pieces[piece].in_place_holes, *plan.part_of(piece).holes]
    return next((h for h in holes if h.joint == joint and h.purpose is purpose), None)


def pin(telling: Telling) -> StepText:
    """Dowels through joined parts, trimmed flush."""
    plan, say = telling.plan, telling.say
    operation = telling.of(Kind.PIN)[0]
    fasteners = _fasteners(plan, operation)
    places = [place for _, place in driven(plan, operation)]
    first, joint = places[0], operation.joints[0]
    through = hole_in(plan, first.first, joint, Purpose.DOWEL)
    into = hole_in(plan, first.second, joint, Purpose.DOWEL)
    over = _letters(plan, [p.first for p in places])
    under = _letters(plan, [p.second for p in places])
    bit = say.drill(fasteners[0].diameter)
    reach = fasteners[0].length
    left = min(wood_left(plan, place, reach) for place in places)
    actions = [f"Mark the middle of each joint of {over}."]
    if through is not None and into is not None and into.depth is not None:
        actions.append(
            f"Set the depth stop on the {bit} bit to {say.at_most(through.through_length + into.depth)}. Drill square"
            f" through {over} into {_either(under)}."
        )
    used = [times(f.letter, n) for f, n in _counts(plan, operation)]
    actions += [
        f"Glue the holes and tap {listed(used)} home.",
        "Once the glue is hard, trim them flush.",
    ]
    caution = ""
    if left < THIN_REST:
        caution = f"Without a depth stop the drill comes out: only {say.joint(left)} of wood is left."
    return StepText(
        title=f"Pin the {_names(plan, [p.first for p in places])} to the {_names(plan, [p.second for p in places])}",
        tools=("drill", f"{bit} bit with depth stop", "mallet", "fine saw", "chisel", PVA.name),
        minutes=ESTIMATES.set_up + Fraction(ESTIMATES.pin * len(places)),
        actions=tuple(actions),
        check="a straightedge slides over all pins.",
        caution=caution,
    )


def screw(telling: Telling) -> StepText:
    """Screw parts or whole units together; holes are marked through the first member and drilled in the second."""
    plan, say = telling.plan, telling.say
    operation = telling.of(Kind.SCREW)[0]
    uses = driven(plan, operation)
    first, joint = uses[0][1], operation.joints[0]
    clearance = hole_in(plan, first.first, joint, Purpose.CLEARANCE)
    pilot = hole_in(plan, first.second, joint, Purpose.PILOT)
    over = _letters(plan, [p.first for _, p in uses])
    under = _letters(plan, [p.second for _, p in uses])
    used = listed([times(f.letter, n) for f, n in _counts(plan, operation)])
    carried, carrier = _moved(telling, first.first, over), _moved(telling, first.second, under)
    upward = first.direction[2] > Fraction(1, 2)
    them = "it" if carried.startswith("the ") and not carried.endswith("s") else "them"
    actions = [_set_up(telling, uses, carried, carrier, upward)]
    stuck = False
    tools = ["driver"]
    caution = ""
    if clearance is not None and pilot is not None and pilot.depth is not None:
        wide, narrow, depth = say.drill(clearance.diameter), say.drill(pilot.diameter), say.at_most(pilot.depth)
        left = min(wood_left(plan, p, _reach(plan, p)) for _, p in uses)
        glued = {frozenset((j.first, j.second)) for j in plan.joints if j.glue}
        stuck = all(frozenset((p.first, p.second)) in glued for _, p in uses)
        actions = [f"Drill through the holes of {over} into {under}: {narrow}, {depth} deep."] if stuck else actions
        actions += (
            []
            if stuck
            else [
                f"Turn the {wide} bit by hand in the holes of {over}: it marks {_which(plan, uses, under)}.",
                f"Take {them} off. Drill each mark {narrow}, {depth} deep.",
            ]
        )
        tools += [f"{wide} and {narrow} bits", "depth stop"]
        if left < THIN_REST:
            caution = (
                f"Set the depth stop on the bit at {depth}, or the drill comes through {under}: only"
                f" {say.joint(left)} of wood is left."
            )
    back = f"Set {them} back, wax" if pilot is not None and not stuck else "Wax"
    actions.append(f"{back} {used} and drive flush{'' if stuck else f' until {over} closes on {under}'}.")
    heavy = plan.mass is not None and plan.mass > TWO_PEOPLE
    if heavy and plan.mass is not None:
        caution = f"It weighs about {say.mass(plan.mass)}. Two people turn it over: a bad lift hurts your back."
    return StepText(
        title=f"Screw {carried} to {carrier}",
        tools=(*tools, *(("blanket",) if upward else ())),
        minutes=ESTIMATES.set_up + Fraction(ESTIMATES.screw * len(uses)),
        actions=tuple(actions),
        check="no gap shows where the parts meet, and every head sits flush.",
        caution=caution,
    )


def _reach(plan: SolvedPlan, place: FastenerPlace) -> Fraction:
    """How far (mm) from its head a screw's point goes."""
    lengths = [f.length for f in plan.fasteners if place in f.places]
    return lengths[0]


def check_whole(telling: Telling) -> StepText:
    """The whole, when it stands."""
    plan, say = telling.plan, telling.say
    sizes = " × ".join(say.length(size) for size in plan.overall)
    stands = "" if plan.description.hangs_by else "on a flat floor it does not rock; "
    return StepText(
        title="Check the whole piece",
        tools=("rule", "straightedge"),
        minutes=Fraction(5),
        actions=("Turn it right way up.",),
        check=f"{stands}overall {sizes}, within {say.coarse}.",
    )


def _set_up(
    telling: Telling,
    uses: Sequence[tuple[str, FastenerPlace]],
    carried: str,
    carrier: str,
    upward: bool,
) -> str:
    """How the two lie, and where on the second the first is set."""
    plan = telling.plan
    text = f"Hold {carried} to {carrier}"
    if upward:
        text = f"Lay {carrier} upside down on a blanket. Stand {carried} on it"
    facing = _facing(plan, uses[0][1].first)
    text += f", {plan.pieces[uses[0][1].first].letter} {facing}" if facing else ""
    return f"{text}{_distance(telling, uses)}."


def _either(under: str) -> str:
    """Letters of which each place has one: "C or D"."""
    return under.replace(" and ", " or ")


def _facing(plan: SolvedPlan, piece: str) -> str:
    """ "outward" if a piece lies further from the middle of the whole than the rest of its assembly."""
    mates = [p for p in copy_of(plan, piece) if p != piece]
    if not mates:
        return ""
    best, word = Fraction(1), ""
    for axis in (0, 1):
        centre = (plan.low[axis] + plan.high[axis]) / 2
        own = abs(middle(plan, piece)[axis] - centre)
        rest = abs(sum((middle(plan, m)[axis] for m in mates), Fraction(0)) / len(mates) - centre)
        if abs(own - rest) > best:
            best, word = abs(own - rest), "outward" if own > rest else "inward"
    return word


def _distance(telling: Telling, uses: Sequence[tuple[str, FastenerPlace]]) -> str:
    """Where along the second members the fasteners lie, from the nearer end, if that is one distance."""
    plan, say = telling.plan, telling.say
    found: dict[Fraction, str] = {}
    for _, place in uses:
        part = plan.part_of(place.second)
        v, w = reference_line(part, part.reference_edge)
        u = plan.pieces[place.second].frame.local_point(place.head)[0]
        near, far = u - end_at(part.ends[0], v, w), end_at(part.ends[1], v, w) - u
        found[round(min(near, far), 3)] = part.letter
    if len(found) != 1:
        return ""
    distance, letter = next(iter(found.items()))
    return f", screw holes {say.length(distance)} from the ends of {letter}"


def _row(plan: SolvedPlan, uses: Sequence[tuple[str, FastenerPlace]]) -> tuple[list[str], str]:
    letter = plan.pieces[uses[0][1].second].letter
    return in_row(plan, letter, plan.part(letter).pieces)


def _which(plan: SolvedPlan, uses: Sequence[tuple[str, FastenerPlace]], under: str) -> str:
    """ "the 3rd, 5th and 7th A, counted from the front"; plain letters if they stand in no row."""
    row, begin = _row(plan, uses)
    if not begin or len({plan.pieces[p.second].letter for _, p in uses}) > 1:
        return under
    numbers = sorted({row.index(p.second) + 1 for _, p in uses})
    if len(numbers) == len(row):
        return f"every {under}"
    return f"the {listed([ordinal(n) for n in numbers])} {under}, counted from {begin}"


def _moved(telling: Telling, piece: str, words: str) -> str:
    """A unit by its name, or parts by their letters."""
    plan = telling.plan
    unit = plan.pieces[piece].assembly[0]
    within = telling.of(Kind.SCREW)[0].unit
    if not unit or unit == within:
        return words
    copies = sum(g.name == unit for g in plan.assemblies)
    return f"the {plural(unit_name(telling, unit), copies)}"


def _letters(plan: SolvedPlan, pieces: Sequence[str]) -> str:
    wanted = {plan.pieces[p].letter for p in pieces}
    return letters([part for part in plan.parts if part.letter in wanted])


def _names(plan: SolvedPlan, pieces: Sequence[str]) -> str:
    wanted = {plan.pieces[p].letter for p in pieces}
    return names([part for part in plan.parts if part.letter in wanted])


def _fasteners(plan: SolvedPlan, operation: Operation) -> list[Fastener]:
    return [fastener for fastener, _ in _counts(plan, operation)]


def _counts(plan: SolvedPlan, operation: Operation) -> list[tuple[Fastener, int]]:
    out = []
    for fastener in plan.fasteners:
        count = sum(name.split("[")[0] == fastener.letter for name in operation.fasteners)
        if count:
            out.append((fastener, count))
    return out
