"""The steps of the plan set: operations in an order that works, grouped, put in words and numbered."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from attrs import evolve, frozen

from planpress.base.edition import Edition
from planpress.description.records import Caution
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from planpress.work import cutting_text, fastening_text, joining_text, outline_text, shaping_text
from planpress.work.deriving import derive_operations
from planpress.work.graph import grouped
from planpress.work.insertion import Arrival, Sliding, arrivals
from planpress.work.operations import Kind, Operation
from planpress.work.pictures import StepPicture, picture
from planpress.work.saying import Say, listed, lower_first, plural, times
from planpress.work.telling import StepText, Telling


@frozen
class Step:
    """One step as it is printed. Texts may contain stacked fractions (`base.lettering`) and no-break spaces.

    Attributes:
        number: from 1. title: what is done.
        reason: "Comes after step 9, because ...", "" for the first.
        parts: "A × 9, B × 3", fasteners at the end; letters: of parts, then fasteners.
        tools: a list. time: an estimate, "about 35 min, then 1 h in the clamps".
        caution: at most one, hazard and consequence, or "". of_maker: what the maker warns of before this step.
        actions: in order. check: what, within how much; without the word "check".
        picture: what to show, or None.
        operations: ids of the operations in it. pieces: ids of all pieces concerned. places: ids of pieces that come to
            the work here. fasteners: ids of the fasteners used up. unit: name of the assembly worked on, or "".
        waits_for: numbers of the steps it comes after by any dependency.
    """

    number: int
    title: str
    reason: str
    parts: str
    letters: tuple[str, ...]
    tools: tuple[str, ...]
    time: str
    caution: str
    actions: tuple[str, ...]
    check: str
    picture: StepPicture | None
    operations: tuple[str, ...]
    pieces: tuple[str, ...]
    places: tuple[str, ...]
    fasteners: tuple[str, ...]
    unit: str
    waits_for: tuple[int, ...]
    of_maker: tuple[Caution, ...] = ()


def _notch(telling: Telling) -> StepText:
    plain = all(cutting_text.is_plain(part) for part in telling.parts(Kind.NOTCH))
    return shaping_text.notch(telling) if plain else cutting_text.cut_joints(telling)


#: Joints whose pieces are set on each other in a row: the order is plain.
_PLAIN_KINDS = ("cross lap", "edge lap", "end lap", "corner lap", "butt", "dowel", "screw")

#: Which operation of a step gives its words, the weightiest first.
_TELLERS: Mapping[Kind, Callable[[Telling], StepText]] = {
    Kind.HANG: joining_text.hang,
    Kind.FIT: joining_text.fit,
    Kind.SCREW: fastening_text.screw,
    Kind.PIN: fastening_text.pin,
    Kind.JOIN: joining_text.join,
    Kind.DRY_FIT: joining_text.dry_fit,
    Kind.NOTCH: _notch,
    Kind.DRILL: shaping_text.drill,
    Kind.SHAPE: outline_text.shape,
    Kind.CUT: shaping_text.cut,
    Kind.SMOOTH: shaping_text.smooth,
    Kind.MILL: shaping_text.mill,
    Kind.SQUARE: shaping_text.square,
    Kind.SETTLE: shaping_text.settle,
    Kind.FINISH: joining_text.finish,
    Kind.CHECK: fastening_text.check_whole,
}


def plan_steps(plan: SolvedPlan, edition: Edition, solids: Solids | None = None) -> tuple[Step, ...]:
    """The steps of one edition.

    Args:
        solids: the plan's solids, if they have been built; asked for the order in which pieces come together, where
            joints other than laps decide it.

    Raises:
        PlanFaults: if the work waits for itself in a circle.
    """
    say = Say(edition)
    groups = grouped(derive_operations(plan))
    number_of = {operation.id: i for i, group in enumerate(groups, start=1) for operation in group}
    arriving: tuple[Arrival, ...] = ()
    if any(joint.kind not in _PLAIN_KINDS for joint in plan.joints):
        arriving = tuple(arrivals(plan, Sliding(plan, solids or Solids(plan))))
    steps: list[Step] = []
    for number, group in enumerate(groups, start=1):
        steps.append(_step(Telling(plan, say, group, arriving), number, number_of, steps))
    return tuple(steps)


def _step(telling: Telling, number: int, number_of: Mapping[str, int], steps: Sequence[Step]) -> Step:
    plan, say, group = telling.plan, telling.say, telling.operations
    text = _words(telling)
    placed = [piece for step in steps for piece in step.places]
    waits = sorted({number_of[a.operation] for o in group for a in o.after} - {number})
    fasteners = tuple(f for o in group for f in o.fasteners)
    pieces = dict.fromkeys(p for o in group for p in o.pieces if o.kind is not Kind.CHECK or len(group) == 1)
    counts = _counts(plan, tuple(pieces), fasteners)
    places = tuple(p for o in group for p in o.places)
    return Step(
        number=number,
        title=text.title,
        reason=_reason(group, number, number_of, steps),
        parts=", ".join([*_units(plan, group), *(times(a, n) for a, n in counts if not _in_unit(plan, group, a))]),
        letters=tuple(letter for letter, _ in counts),
        tools=text.tools,
        time=", then ".join(t for t in (say.about(text.minutes), text.then) if t),
        caution=text.caution,
        actions=text.actions,
        check=text.check,
        picture=picture(plan, group, placed),
        operations=tuple(o.id for o in group),
        pieces=tuple(pieces),
        places=places,
        fasteners=fasteners,
        unit=next((o.unit for o in group if o.unit), ""),
        waits_for=tuple(waits),
        of_maker=_of_maker(plan, places),
    )


def _of_maker(plan: SolvedPlan, places: Sequence[str]) -> tuple[Caution, ...]:
    """The maker's cautions about parts whose first piece is among those that come to the work."""
    arriving = dict.fromkeys(places)
    return tuple(
        caution
        for caution in plan.description.cautions
        if caution.before is not None
        and next((p.id in arriving for p in plan.pieces.values() if p.name == caution.before.text), False)
    )


def _words(telling: Telling) -> StepText:
    kinds = [o.kind for o in telling.operations]
    text = next(tell for kind, tell in _TELLERS.items() if kind in kinds)(telling)
    if Kind.CHECK in kinds and len(kinds) > 1:
        whole = fastening_text.check_whole(telling)
        text = evolve(text, check=whole.check)
    return text


def _counts(plan: SolvedPlan, pieces: Sequence[str], fasteners: Sequence[str]) -> list[tuple[str, int]]:
    """Letters with counts: parts, then fasteners, in order of letters."""
    parts = [(part.letter, sum(plan.pieces[p].letter == part.letter for p in pieces)) for part in plan.parts]
    bought = [(f.letter, sum(name.split("[")[0] == f.letter for name in fasteners)) for f in plan.fasteners]
    return [(letter, count) for letter, count in [*parts, *bought] if count]


def _meets(group: Sequence[Operation]) -> Operation | None:
    """The operation of a step by which units meet, if it is such a step."""
    return next((o for o in group if o.kind in (Kind.SCREW, Kind.PIN) and not o.unit), None)


def _units(plan: SolvedPlan, group: Sequence[Operation]) -> list[str]:
    """Names of the units that meet: "top", "frames"."""
    operation = _meets(group)
    if operation is None:
        return []
    met = {plan.pieces[p].assembly[0] for p in operation.pieces}
    counts: dict[str, int] = {}
    labels: dict[str, str] = {}
    for assembly in plan.assemblies:
        if assembly.name in met:
            counts[assembly.name] = counts.get(assembly.name, 0) + 1
            labels.setdefault(assembly.name, lower_first(assembly.label))
    return [plural(labels[name], count) for name, count in counts.items()]


def _in_unit(plan: SolvedPlan, group: Sequence[Operation], letter: str) -> bool:
    """True if a step names a part's unit and not the part."""
    operation = _meets(group)
    pieces = [p for p in (operation.pieces if operation else ()) if plan.pieces[p].letter == letter]
    return bool(pieces) and all(plan.pieces[p].assembly[0] for p in pieces)


def _reason(group: Sequence[Operation], number: int, number_of: Mapping[str, int], steps: Sequence[Step]) -> str:
    """The last reason of the latest step that this one waits for, with all steps it waits for by the same reason.

    Steps that one of the others waits for anyway are left out.
    """
    by_reason: dict[str, set[int]] = {}
    for operation in [o for o in group if o.kind is not Kind.CHECK] or group:
        for after in operation.after:
            if number_of[after.operation] != number:
                by_reason.setdefault(after.because, set()).add(number_of[after.operation])
    if not by_reason:
        return ""
    because = max(reversed(by_reason), key=lambda words: max(by_reason[words]))
    numbers = sorted(by_reason[because])
    implied: set[int] = set()
    for earlier in numbers:
        implied |= _before(earlier, steps)
    shown = [n for n in numbers if n not in implied]
    return f"Comes after {plural('step', len(shown))}\u00a0{listed([str(n) for n in shown])}, because {because}."


def _before(number: int, steps: Sequence[Step]) -> set[int]:
    """Numbers of all steps that come before a step by its dependencies."""
    out: set[int] = set()
    for earlier in steps[number - 1].waits_for:
        out |= {earlier} | _before(earlier, steps)
    return out
